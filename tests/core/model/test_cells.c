/* Cells by temperature, drain and age against values worked elsewhere, the laws behind them and their domains.
   The table itself is an estimate: worked values show the formulas, not the cells. */
#include "core/model/cells.h"

#include <math.h>

#include "support/check.h"

#define ROOM_K 293.15 /* 20 C */

static void expect_nan(double value)
{
    assert_true(isnan(value));
}

static struct owl_cells_set set_of(const char *name, int in_series)
{
    return (struct owl_cells_set){owl_cells_find(name), in_series, 1, NAN, ROOM_K, 0.0};
}

/* A kind as a test wants it: no loss but those it sets. */
static struct owl_cells_kind plain_kind(double volts, double capacity_ah)
{
    return (struct owl_cells_kind){.name = "plain", .nominal_v = volts, .mean_v = volts, .cutoff_v = 0.9, .capacity_ah = capacity_ah,
                                   .resistance_ohm = 0.15, .resistance_cold_ohm = 0.3, .usable = {1.0, 1.0, 1.0},
                                   .self_discharge_per_month = 0.0, .peukert = 1.0};
}

/* identity: the six kinds are found by name, capitals ignored; nothing else is. */
static void test_cells_finds_every_kind(void **state)
{
    (void)state;
    static const char *const names[] = {"alkaline AA", "lithium AA", "NiMH AA", "NiMH AA fast-fading", "Li-ion", "lead-acid 12 V"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        assert_non_null(owl_cells_find(names[i]));
    for (size_t i = 0; i < owl_cells_count(); i++)
        assert_ptr_equal(owl_cells_find(owl_cells_at(i)->name), owl_cells_at(i));
    assert_ptr_equal(owl_cells_find("nimh aa"), owl_cells_find("NiMH AA"));
    assert_null(owl_cells_find("NiMH"));
    assert_null(owl_cells_find(""));
}

/* identity: every kind is a cell that could be: cut-off below nominal, colder never better, shares within 0..1. */
static void test_cells_kinds_are_possible(void **state)
{
    (void)state;
    for (size_t i = 0; i < owl_cells_count(); i++) {
        const struct owl_cells_kind *k = owl_cells_at(i);
        assert_true(k->cutoff_v > 0.0 && k->cutoff_v < k->nominal_v && k->capacity_ah > 0.0);
        assert_true(k->resistance_ohm > 0.0 && k->resistance_cold_ohm >= k->resistance_ohm);
        assert_true(k->usable[0] <= 1.0 && k->usable[1] <= k->usable[0] && k->usable[2] <= k->usable[1] && k->usable[2] > 0.0);
        assert_true(k->self_discharge_per_month > 0.0 && k->self_discharge_per_month < 0.5);
        assert_true(k->peukert >= 1.0);
    }
}

struct rating_row {
    const char *name;
    double nominal_v, cutoff_v, capacity_from_ah, capacity_to_ah, warm_from_ohm, warm_to_ohm, cold_from_ohm,
        cold_to_ohm, lost_from, lost_to;
};

/* pinned: voltages, and the ranges of capacity, resistance at 20 and -20 C and loss in a month that data sheets
   print (from memory), within which every kind must lie. */
static void test_cells_ratings_lie_in_their_ranges(void **state)
{
    (void)state;
    static const struct rating_row rows[] = {
        {"alkaline AA", 1.5, 0.9, 2.6, 2.6, 0.15, 0.3, 0.6, 1.0, 0.02 / 12, 0.03 / 12},
        {"lithium AA", 1.5, 0.9, 3.0, 3.3, 0.12, 0.24, 0.3, 0.3, 0.0, 0.01 / 12},
        {"NiMH AA", 1.2, 1.0, 1.9, 2.0, 0.02, 0.03, 0.06, 0.06, 0.15 / 12, 0.30 / 12},
        {"NiMH AA fast-fading", 1.2, 1.0, 2.4, 2.7, 0.03, 0.03, 0.06, 0.06, 0.20, 0.30},
        {"Li-ion", 3.6, 3.0, 2.0, 3.5, 0.03, 0.08, 0.15, 0.25, 0.01, 0.03},
        {"lead-acid 12 V", 12.0, 10.5, 7.0, 7.0, 0.01, 0.03, 0.01, 0.06, 0.03, 0.03},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct owl_cells_kind *kind = owl_cells_find(rows[i].name);
        check_near(rows[i].name, kind->nominal_v, rows[i].nominal_v, 0.0);
        check_near(rows[i].name, kind->cutoff_v, rows[i].cutoff_v, 0.0);
        assert_true(kind->mean_v > kind->cutoff_v && kind->mean_v <= kind->nominal_v);
        assert_true(kind->capacity_ah >= rows[i].capacity_from_ah && kind->capacity_ah <= rows[i].capacity_to_ah);
        assert_true(kind->resistance_ohm >= rows[i].warm_from_ohm && kind->resistance_ohm <= rows[i].warm_to_ohm);
        assert_true(kind->resistance_cold_ohm >= rows[i].cold_from_ohm && kind->resistance_cold_ohm <= rows[i].cold_to_ohm);
        assert_true(kind->self_discharge_per_month >= rows[i].lost_from && kind->self_discharge_per_month <= rows[i].lost_to);
    }
    assert_true(owl_cells_find("lead-acid 12 V")->peukert >= 1.15 && owl_cells_find("lead-acid 12 V")->peukert <= 1.25);
    check_near("rating h", owl_cells_find("lead-acid 12 V")->rating_h, 20.0, 0.0);
}

struct cold_row {
    const char *name;
    double freezing, minus_ten, minus_twenty;
};

/* pinned: usable shares at 0, -10 and -20 C in data-sheet style, from memory, within 15 percentage points. */
static void test_cells_usable_shares_of_the_table(void **state)
{
    (void)state;
    static const struct cold_row rows[] = {
        {"alkaline AA", 0.75, 0.55, 0.30}, {"lithium AA", 0.98, 0.95, 0.85}, {"NiMH AA", 0.95, 0.85, 0.65},
        {"NiMH AA fast-fading", 0.95, 0.85, 0.65},
        {"Li-ion", 0.88, 0.78, 0.62},      {"lead-acid 12 V", 0.85, 0.72, 0.55},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct owl_cells_kind *kind = owl_cells_find(rows[i].name);
        check_near(rows[i].name, owl_cells_usable_share(kind, 273.15), rows[i].freezing, 1e-12);
        check_near(rows[i].name, owl_cells_usable_share(kind, 263.15), rows[i].minus_ten, 1e-12);
        check_near(rows[i].name, owl_cells_usable_share(kind, 253.15), rows[i].minus_twenty, 1e-12);
    }
}

/* identity: half way between two points the share is half way; flat above 20 and below -20 C. */
static void test_cells_usable_share_is_linear_between(void **state)
{
    (void)state;
    const struct owl_cells_kind *kind = owl_cells_find("alkaline AA");
    check_near("10 C", owl_cells_usable_share(kind, 283.15), 0.875, 1e-12);
    check_near("-5 C", owl_cells_usable_share(kind, 268.15), 0.65, 1e-12);
    check_near("-15 C", owl_cells_usable_share(kind, 258.15), 0.425, 1e-12);
    check_near("20 C", owl_cells_usable_share(kind, ROOM_K), 1.0, 0.0);
    check_near("40 C", owl_cells_usable_share(kind, 313.15), 1.0, 0.0);
    check_near("-40 C", owl_cells_usable_share(kind, 233.15), 0.30, 0.0);
}

/* identity: warmth never leaves a cell less, from -40 to 50 C, in any kind. */
static void test_cells_usable_share_rises_with_warmth(void **state)
{
    (void)state;
    for (size_t i = 0; i < owl_cells_count(); i++)
        for (double celsius = -40.0; celsius < 50.0; celsius += 0.5)
            assert_true(owl_cells_usable_share(owl_cells_at(i), 273.65 + celsius) >=
                        owl_cells_usable_share(owl_cells_at(i), 273.15 + celsius));
}

/* pinned: alkaline capacity by drain, from memory: 2.6, 2.2, 1.2, 0.7 Ah; half way in the logarithm half way in
   capacity; flat beyond both ends. */
static void test_cells_alkaline_fades_with_drain(void **state)
{
    (void)state;
    const struct owl_cells_kind *kind = owl_cells_find("alkaline AA");
    static const double rows[][2] = {{0.001, 2.6}, {0.025, 2.6}, {0.05, 2.4}, {0.1, 2.2},
                                     {0.2236068, 1.7}, {0.5, 1.2}, {1.0, 0.7}, {5.0, 0.7}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        check_near("capacity Ah", owl_cells_drain_share(kind, rows[i][0]) * kind->capacity_ah, rows[i][1], 1e-6);
}

/* identity: kinds without a table hold the same at every drain; lead-acid at its 20 h rate and below holds all,
   above it what Peukert's law leaves: 5.6743 h at 1 A of 7 Ah. */
static void test_cells_other_kinds_by_drain(void **state)
{
    (void)state;
    check_near("NiMH", owl_cells_drain_share(owl_cells_find("NiMH AA"), 2.0), 1.0, 0.0);
    const struct owl_cells_kind *lead = owl_cells_find("lead-acid 12 V");
    check_near("rated", owl_cells_drain_share(lead, 0.35), 1.0, 1e-12);
    check_near("easier", owl_cells_drain_share(lead, 0.07), 1.0, 1e-12);
    check_near("1 A", owl_cells_drain_share(lead, 1.0), 5.6743 / 7.0, 1e-5);
    for (double drain_a = 0.001; drain_a < 10.0; drain_a *= 1.1)
        assert_true(owl_cells_drain_share(lead, drain_a) <= 1.0);
}

/* cited: 7 Ah in 20 h, exponent 1.2, worked elsewhere; half the last digit. */
static void test_cells_peukert_follows_the_examples(void **state)
{
    (void)state;
    check_cited("peukert1897", "1 A h", owl_cells_peukert_h(7.0, 20.0, 1.2, 1.0), 5.6743, 5e-5);
    check_cited("peukert1897", "rated current h", owl_cells_peukert_h(7.0, 20.0, 1.2, 0.35), 20.0, 5e-2);
}

/* identity: below the rated current the charge alone counts, and the two meet there; exponent 1 is no loss. */
static void test_cells_peukert_has_its_limits(void **state)
{
    (void)state;
    check_near("a tenth", owl_cells_peukert_h(7.0, 20.0, 1.2, 0.035), 200.0, 1e-9);
    check_near("just above", owl_cells_peukert_h(7.0, 20.0, 1.2, 0.35 * (1.0 + 1e-12)), 20.0, 1e-9);
    check_near("exponent 1", owl_cells_peukert_h(7.0, 20.0, 1.0, 3.5), 2.0, 1e-12);
}

/* identity: the table's ends at 20 and -20 C, their geometric mean at 0 C, flat beyond. */
static void test_cells_resistance_rises_in_the_cold(void **state)
{
    (void)state;
    const struct owl_cells_kind *kind = owl_cells_find("alkaline AA");
    check_near("20 C", owl_cells_resistance_ohm(kind, ROOM_K), kind->resistance_ohm, 1e-15);
    check_near("40 C", owl_cells_resistance_ohm(kind, 313.15), kind->resistance_ohm, 1e-15);
    check_near("0 C", owl_cells_resistance_ohm(kind, 273.15), sqrt(kind->resistance_ohm * kind->resistance_cold_ohm), 1e-12);
    check_near("-20 C", owl_cells_resistance_ohm(kind, 253.15), kind->resistance_cold_ohm, 1e-12);
    check_near("-40 C", owl_cells_resistance_ohm(kind, 233.15), kind->resistance_cold_ohm, 1e-12);
}

/* cited: what standing leaves, worked elsewhere: 1 % a month for 6, lead-acid for 3 at 30 C, alkaline (2.5 % a
   year, 0.21 % a month when rounded) for 60; half the last digit, and the last 0.001 for that rounding. */
static void test_cells_left_share_follows_the_examples(void **state)
{
    (void)state;
    struct owl_cells_kind kind = plain_kind(1.2, 2.0);
    kind.self_discharge_per_month = 0.01;
    check_cited("cells", "1 % a month 6 months", owl_cells_left_share(&kind, ROOM_K, 6.0), 0.9415, 5e-5);
    check_cited("cells", "lead-acid at 30 C 3 months", owl_cells_left_share(owl_cells_find("lead-acid 12 V"), 303.15, 3.0), 0.831, 5e-4);
    check_cited("cells", "alkaline 5 years", owl_cells_left_share(owl_cells_find("alkaline AA"), ROOM_K, 60.0), 0.881, 1e-3);
}

/* identity: self-discharge doubles for 10 K, halves for -10 K, and takes all but never more; none in no time. */
static void test_cells_self_discharge_doubles(void **state)
{
    (void)state;
    const struct owl_cells_kind *kind = owl_cells_find("NiMH AA fast-fading");
    double here = owl_cells_self_discharge_per_month(kind, ROOM_K);
    check_near("20 C", here, kind->self_discharge_per_month, 1e-15);
    check_near("30 C", owl_cells_self_discharge_per_month(kind, 303.15), 2.0 * here, 1e-12);
    check_near("10 C", owl_cells_self_discharge_per_month(kind, 283.15), 0.5 * here, 1e-12);
    check_near("60 C", owl_cells_self_discharge_per_month(kind, 333.15), 1.0, 0.0);
    check_near("no time", owl_cells_left_share(kind, ROOM_K, 0.0), 1.0, 0.0);
    check_near("all gone", owl_cells_left_share(kind, 333.15, 1.0), 0.0, 0.0);
}

/* cited: full flashes of 75 J at efficiency 0.65 from four cells, worked elsewhere: 287 of 2.0 Ah at 1.15 V, 300
   at 1.2 V, 524 of 3.0 Ah at 1.4 V; half of one flash. */
static void test_cells_energy_follows_the_examples(void **state)
{
    (void)state;
    static const double rows[][3] = {{1.15, 2.0, 287.0}, {1.2, 2.0, 300.0}, {1.4, 3.0, 524.0}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct owl_cells_kind kind = plain_kind(rows[i][0], rows[i][1]);
        struct owl_cells_set set = {&kind, 4, 1, NAN, ROOM_K, 0.0};
        check_cited("cells", "flashes", owl_cells_energy_j(&set, 1.0) * 0.65 / 75.0, rows[i][2], 0.51);
    }
}

/* identity: energy is charge times voltage: twice for twice the rows, by the measured capacity when there is
   one, less the reserve, the cold and the drain. */
static void test_cells_energy_counts_every_share(void **state)
{
    (void)state;
    struct owl_cells_set set = set_of("NiMH AA", 4);
    check_near("2 Ah at 4.8 V", owl_cells_energy_j(&set, 0.1), 2.0 * 3600.0 * 4.8, 1e-9);
    set.in_parallel = 2;
    check_near("two rows", owl_cells_energy_j(&set, 0.1), 2.0 * 2.0 * 3600.0 * 4.8, 1e-9);
    set.capacity_ah = 1.5;
    set.reserve_share = 0.2;
    set.temperature_k = 253.15;
    check_near("measured, reserve, -20 C", owl_cells_energy_j(&set, 0.1), 2.0 * 1.5 * 3600.0 * 4.8 * 0.8 * 0.65, 1e-9);
    struct owl_cells_set alkaline = set_of("alkaline AA", 4);
    check_near("alkaline at 1 A", owl_cells_energy_j(&alkaline, 1.0), 0.7 * 3600.0 * 4.6, 1e-9);
}

/* identity: a lead-acid block gives what Peukert's running time and its current carry, for the kind's 7 Ah and
   for one of 100 Ah, whose own 20 h current of 5 A costs it nothing; twice the alkaline cell is loaded half as
   hard. */
static void test_cells_energy_weighs_drain_by_capacity(void **state)
{
    (void)state;
    struct owl_cells_set lead = set_of("lead-acid 12 V", 1);
    double volts = owl_cells_find("lead-acid 12 V")->mean_v;
    check_near("7 Ah at 1 A", owl_cells_energy_j(&lead, 1.0) / (volts * 3600.0 * 5.674292), 1.0, 1e-6);
    lead.capacity_ah = 100.0;
    check_near("100 Ah at 5 A", owl_cells_energy_j(&lead, 5.0) / (volts * 3600.0 * 100.0), 1.0, 1e-12);
    double hours = owl_cells_peukert_h(100.0, 20.0, 1.2, 10.0);
    check_near("100 Ah at 10 A", owl_cells_energy_j(&lead, 10.0) / (volts * 3600.0 * 10.0 * hours), 1.0, 1e-12);
    struct owl_cells_set alkaline = set_of("alkaline AA", 1);
    double small_j = owl_cells_energy_j(&alkaline, 0.25);
    alkaline.capacity_ah = 5.2;
    check_near("twice the alkaline", owl_cells_energy_j(&alkaline, 0.5) / small_j, 2.0, 1e-12);
}

/* identity: without self-discharge nights are energy over draw; with it the store left then equals what was
   taken, which are fewer nights. */
static void test_cells_nights_balance_store_and_draw(void **state)
{
    (void)state;
    struct owl_cells_kind kind = plain_kind(1.2, 2.0);
    struct owl_cells_set set = {&kind, 4, 1, NAN, ROOM_K, 0.2};
    double store_j = owl_cells_energy_j(&set, 0.1);
    check_near("no self-discharge", owl_cells_nights(&set, 100.0, 0.1), store_j / 100.0, 1e-9);
    kind.self_discharge_per_month = 0.25;
    for (double night_j = 1e-3; night_j < 1e6; night_j *= 10.0) {
        double nights = owl_cells_nights(&set, night_j, 0.1);
        assert_true(nights < store_j / night_j);
        check_near("balance", store_j * pow(0.75, nights / 30.4375) / (nights * night_j), 1.0, 1e-6);
    }
}

/* identity: nothing taken lasts for ever, though the cells fade; an empty store lasts no night, and nor does one
   that fades at once. */
static void test_cells_nights_at_the_edges(void **state)
{
    (void)state;
    struct owl_cells_set set = set_of("NiMH AA", 4);
    check_near("nothing taken", owl_cells_nights(&set, 0.0, 0.1), INFINITY, 0.0);
    set.reserve_share = 1.0;
    check_near("all kept back", owl_cells_nights(&set, 100.0, 0.1), 0.0, 0.0);
    struct owl_cells_set hot = set_of("NiMH AA fast-fading", 4);
    hot.temperature_k = 333.15;
    check_near("fades at once", owl_cells_nights(&hot, 100.0, 0.1), 0.0, 1e-9);
}

struct power_row {
    const char *name;
    double volts, power_w, recycle_s;
};

/* cited: most power of four cells and 0.1 ohm, and the time for 75 J at efficiency 0.65 with a converter of at
   most 25 W, worked elsewhere (the lithium cells at 1.65 V); half the last digit. */
static void test_cells_peak_power_follows_the_examples(void **state)
{
    (void)state;
    static const struct power_row rows[] = {{"alkaline AA", 1.5, 10.0, 11.54}, {"NiMH AA", 1.2, 26.2, 4.62}, {"lithium AA", 1.65, 15.6, 7.42}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct owl_cells_kind kind = *owl_cells_find(rows[i].name);
        kind.nominal_v = kind.mean_v = rows[i].volts;
        struct owl_cells_set set = {&kind, 4, 1, NAN, ROOM_K, 0.0};
        double power_w = owl_cells_peak_power_w(&set, 0.1);
        check_cited("cells", "most power W", power_w, rows[i].power_w, 0.05);
        check_cited("cells", "recycle s", 75.0 / 0.65 / fmin(25.0, power_w), rows[i].recycle_s, 5e-3);
    }
}

/* identity: sag is the resistances of a row over the rows; at most power the voltage is half; no current, no
   sag; more current than the set can give goes below 0. */
static void test_cells_sag_is_ohms_law(void **state)
{
    (void)state;
    struct owl_cells_set set = set_of("alkaline AA", 4);
    check_near("no current", owl_cells_sag_v(&set, 0.0), 6.0, 1e-12);
    check_near("4 A", owl_cells_sag_v(&set, 4.0), 6.0 - 4.0 * 0.8, 1e-12);
    double most_w = owl_cells_peak_power_w(&set, 0.0), current_a = most_w / 3.0;
    check_near("half at most power", owl_cells_sag_v(&set, current_a), 3.0, 1e-12);
    assert_true(owl_cells_sag_v(&set, 8.0) < 0.0);
    set.in_parallel = 2;
    check_near("two rows", owl_cells_sag_v(&set, 4.0), 6.0 - 4.0 * 0.4, 1e-12);
}

/* identity: one kind outside its domain gives NaN, never a share that looks real. */
static void test_cells_kind_outside_its_domain(void **state)
{
    (void)state;
    const struct owl_cells_kind *kind = owl_cells_find("lead-acid 12 V");
    static const double wrong[] = {0.0, -1.0, NAN};
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++) {
        expect_nan(owl_cells_usable_share(kind, wrong[i]));
        expect_nan(owl_cells_drain_share(kind, wrong[i]));
        expect_nan(owl_cells_resistance_ohm(kind, wrong[i]));
        expect_nan(owl_cells_self_discharge_per_month(kind, wrong[i]));
        expect_nan(owl_cells_left_share(kind, wrong[i], 1.0));
        expect_nan(owl_cells_left_share(kind, wrong[i], 0.0));
        for (int k = 0; k < 4; k++) {
            double in[] = {7.0, 20.0, 1.2, 1.0};
            in[k] = wrong[i];
            expect_nan(owl_cells_peukert_h(in[0], in[1], in[2], in[3]));
        }
    }
    expect_nan(owl_cells_left_share(kind, ROOM_K, -1.0));
    expect_nan(owl_cells_drain_share(kind, INFINITY));
    expect_nan(owl_cells_drain_share(owl_cells_find("alkaline AA"), INFINITY));
}

/* identity: nor does a set. */
static void test_cells_set_outside_its_domain(void **state)
{
    (void)state;
    struct owl_cells_set set = set_of("NiMH AA", 4);
    expect_nan(owl_cells_energy_j(&set, 0.0));
    for (int sign = -1; sign <= 0; sign++) {
        set.capacity_ah = sign;
        expect_nan(owl_cells_energy_j(&set, 0.1));
    }
    set.capacity_ah = NAN;
    expect_nan(owl_cells_nights(&set, 100.0, 0.0));
    expect_nan(owl_cells_nights(&set, -1.0, 0.1));
    expect_nan(owl_cells_nights(&set, NAN, 0.1));
    expect_nan(owl_cells_sag_v(&set, NAN));
    expect_nan(owl_cells_peak_power_w(&set, -0.1));
    static const double reserves[] = {-0.1, 1.01, NAN};
    for (size_t i = 0; i < sizeof reserves / sizeof *reserves; i++) {
        set.reserve_share = reserves[i];
        expect_nan(owl_cells_energy_j(&set, 0.1));
        expect_nan(owl_cells_nights(&set, 100.0, 0.1));
    }
    set = set_of("NiMH AA", 4);
    set.temperature_k = 0.0;
    expect_nan(owl_cells_energy_j(&set, 0.1));
    expect_nan(owl_cells_nights(&set, 0.0, 0.1));
    expect_nan(owl_cells_sag_v(&set, 1.0));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_cells_finds_every_kind),
        cmocka_unit_test(test_cells_kinds_are_possible),
        cmocka_unit_test(test_cells_ratings_lie_in_their_ranges),
        cmocka_unit_test(test_cells_usable_shares_of_the_table),
        cmocka_unit_test(test_cells_usable_share_is_linear_between),
        cmocka_unit_test(test_cells_usable_share_rises_with_warmth),
        cmocka_unit_test(test_cells_alkaline_fades_with_drain),
        cmocka_unit_test(test_cells_other_kinds_by_drain),
        cmocka_unit_test(test_cells_peukert_follows_the_examples),
        cmocka_unit_test(test_cells_peukert_has_its_limits),
        cmocka_unit_test(test_cells_resistance_rises_in_the_cold),
        cmocka_unit_test(test_cells_left_share_follows_the_examples),
        cmocka_unit_test(test_cells_self_discharge_doubles),
        cmocka_unit_test(test_cells_energy_follows_the_examples),
        cmocka_unit_test(test_cells_energy_counts_every_share),
        cmocka_unit_test(test_cells_energy_weighs_drain_by_capacity),
        cmocka_unit_test(test_cells_nights_balance_store_and_draw),
        cmocka_unit_test(test_cells_nights_at_the_edges),
        cmocka_unit_test(test_cells_peak_power_follows_the_examples),
        cmocka_unit_test(test_cells_sag_is_ohms_law),
        cmocka_unit_test(test_cells_kind_outside_its_domain),
        cmocka_unit_test(test_cells_set_outside_its_domain),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
