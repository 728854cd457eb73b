/* The table of chemistries, and what temperature, drain and time do to them. */
#include "core/model/cells.h"

#include <math.h>

#include "core/constants.h"
#include "core/text.h"

static const double alkaline_drain[][2] = {{0.025, 2.6}, {0.1, 2.2}, {0.5, 1.2}, {1.0, 0.7}, {0, 0}};

static const struct owl_cells_kind kinds[] = {
    {"alkaline AA", 1.5, 0.9, 1.15, 2.6, 0.2, 0.8, {0.75, 0.55, 0.30}, 0.0021, 1.0, 0.0, alkaline_drain},
    {"lithium AA", 1.5, 0.9, 1.4, 3.0, 0.15, 0.3, {0.98, 0.95, 0.85}, 0.0006, 1.0, 0.0, NULL},
    {"NiMH AA", 1.2, 1.0, 1.2, 2.0, 0.03, 0.06, {0.95, 0.85, 0.65}, 0.02, 1.0, 0.0, NULL},
    {"NiMH AA fast-fading", 1.2, 1.0, 1.2, 2.5, 0.03, 0.06, {0.95, 0.85, 0.65}, 0.25, 1.0, 0.0, NULL},
    {"Li-ion", 3.6, 3.0, 3.6, 3.0, 0.05, 0.2, {0.88, 0.78, 0.62}, 0.02, 1.0, 0.0, NULL},
    {"lead-acid 12 V", 12.0, 10.5, 12.0, 7.0, 0.02, 0.03, {0.85, 0.72, 0.55}, 0.03, 1.2, 20.0, NULL},
};

size_t owl_cells_count(void)
{
    return sizeof kinds / sizeof *kinds;
}

const struct owl_cells_kind *owl_cells_at(size_t index)
{
    return &kinds[index];
}

const struct owl_cells_kind *owl_cells_find(const char *name)
{
    for (size_t i = 0; i < owl_cells_count(); i++)
        if (owl_text_same_name(kinds[i].name, name))
            return &kinds[i];
    return NULL;
}

double owl_cells_usable_share(const struct owl_cells_kind *kind, double temperature_k)
{
    static const double celsius[] = {20.0, 0.0, -10.0, -20.0};
    const double share[] = {1.0, kind->usable[0], kind->usable[1], kind->usable[2]};
    if (!(temperature_k > 0.0))
        return NAN;
    double here = temperature_k - OWL_ZERO_CELSIUS_K;
    if (here >= celsius[0])
        return share[0];
    for (int i = 1; i < 4; i++)
        if (here >= celsius[i])
            return share[i] + (share[i - 1] - share[i]) * (here - celsius[i]) / (celsius[i - 1] - celsius[i]);
    return share[3];
}

static double table_capacity_ah(const double (*table)[2], double drain_a)
{
    if (drain_a <= table[0][0])
        return table[0][1];
    for (int i = 1; table[i][0] > 0.0; i++) {
        if (drain_a <= table[i][0]) {
            double part = log(drain_a / table[i - 1][0]) / log(table[i][0] / table[i - 1][0]);
            return table[i - 1][1] + part * (table[i][1] - table[i - 1][1]);
        }
    }
    int last = 0;
    while (table[last + 1][0] > 0.0)
        last++;
    return table[last][1];
}

double owl_cells_drain_share(const struct owl_cells_kind *kind, double drain_a)
{
    if (!(drain_a > 0.0 && drain_a < INFINITY))
        return NAN;
    if (kind->drain_table)
        return table_capacity_ah(kind->drain_table, drain_a) / kind->capacity_ah;
    if (kind->peukert > 1.0) {
        double hours = owl_cells_peukert_h(kind->capacity_ah, kind->rating_h, kind->peukert, drain_a);
        return fmin(1.0, hours * drain_a / kind->capacity_ah);
    }
    return 1.0;
}

double owl_cells_resistance_ohm(const struct owl_cells_kind *kind, double temperature_k)
{
    if (!(temperature_k > 0.0))
        return NAN;
    double part = (OWL_ZERO_CELSIUS_K + 20.0 - temperature_k) / 40.0;
    part = fmin(fmax(part, 0.0), 1.0);
    return kind->resistance_ohm * pow(kind->resistance_cold_ohm / kind->resistance_ohm, part);
}

double owl_cells_self_discharge_per_month(const struct owl_cells_kind *kind, double temperature_k)
{
    if (!(temperature_k > 0.0))
        return NAN;
    double warmer = (temperature_k - OWL_ZERO_CELSIUS_K - 20.0) / 10.0;
    return fmin(1.0, kind->self_discharge_per_month * exp2(warmer));
}

double owl_cells_left_share(const struct owl_cells_kind *kind, double temperature_k, double months)
{
    double lost = owl_cells_self_discharge_per_month(kind, temperature_k);
    if (!(months >= 0.0) || isnan(lost)) /* pow makes 1 of NaN to the 0 */
        return NAN;
    return pow(1.0 - lost, months);
}

static double cell_capacity_ah(const struct owl_cells_set *set)
{
    return isnan(set->capacity_ah) ? set->kind->capacity_ah : set->capacity_ah;
}

double owl_cells_energy_j(const struct owl_cells_set *set, double drain_a)
{
    double capacity_ah = cell_capacity_ah(set);
    if (!(capacity_ah > 0.0 && set->reserve_share >= 0.0 && set->reserve_share <= 1.0))
        return NAN;
    double drain_of_kind_a = drain_a * set->kind->capacity_ah / capacity_ah;
    double charge_ah = capacity_ah * owl_cells_usable_share(set->kind, set->temperature_k) *
                       owl_cells_drain_share(set->kind, drain_of_kind_a);
    double cells = (double)set->in_series * set->in_parallel;
    return charge_ah * OWL_SECONDS_PER_HOUR * set->kind->mean_v * cells * (1.0 - set->reserve_share);
}

/* The left side falls and the right side rises with n, so halving finds the one meeting point. */
double owl_cells_nights(const struct owl_cells_set *set, double night_j, double drain_a)
{
    double store_j = owl_cells_energy_j(set, drain_a);
    if (!(night_j >= 0.0) || isnan(store_j))
        return NAN;
    if (night_j == 0.0)
        return INFINITY;
    double low = 0.0, high = store_j / night_j; /* without self-discharge */
    double left = 1.0 - owl_cells_self_discharge_per_month(set->kind, set->temperature_k);
    double per_night = pow(left, OWL_SECONDS_PER_DAY / OWL_CELLS_MONTH_S);
    for (int i = 0; i < 60; i++) {
        double middle = 0.5 * (low + high);
        if (store_j * pow(per_night, middle) > middle * night_j)
            low = middle;
        else
            high = middle;
    }
    return 0.5 * (low + high);
}

double owl_cells_peukert_h(double capacity_ah, double rating_h, double exponent, double current_a)
{
    if (!(capacity_ah > 0.0 && rating_h > 0.0 && exponent > 0.0 && current_a > 0.0))
        return NAN;
    if (current_a * rating_h <= capacity_ah)
        return capacity_ah / current_a;
    return rating_h * pow(capacity_ah / (current_a * rating_h), exponent);
}

static double set_resistance_ohm(const struct owl_cells_set *set)
{
    return owl_cells_resistance_ohm(set->kind, set->temperature_k) * set->in_series / set->in_parallel;
}

double owl_cells_sag_v(const struct owl_cells_set *set, double current_a)
{
    return set->in_series * set->kind->nominal_v - current_a * set_resistance_ohm(set);
}

double owl_cells_peak_power_w(const struct owl_cells_set *set, double circuit_ohm)
{
    if (!(circuit_ohm >= 0.0))
        return NAN;
    double volts = set->in_series * set->kind->nominal_v;
    return volts * volts / (4.0 * (set_resistance_ohm(set) + circuit_ohm));
}
