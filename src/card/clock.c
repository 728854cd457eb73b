/* Clocks that were reset, set to another zone, or go fast or slow. */
#include "card/clock.h"

#include <math.h>
#include <stddef.h>

#include "core/calendar.h"
#include "core/constants.h"

#define NOON_S (12.0 * OWL_SECONDS_PER_HOUR)

/* ---- one clock ---- */

static enum owl_clock_look look_of_date(struct owl_date date, double of_day_s)
{
    if (date.year < OWL_CLOCK_FIRST_YEAR)
        return OWL_CLOCK_RESET;
    if (date.month != 1 || date.day != 1)
        return OWL_CLOCK_PLAUSIBLE;
    bool starts = of_day_s < OWL_SECONDS_PER_HOUR || (of_day_s >= NOON_S && of_day_s < NOON_S + OWL_SECONDS_PER_HOUR);
    return starts ? OWL_CLOCK_MAYBE_RESET : OWL_CLOCK_PLAUSIBLE;
}

enum owl_clock_look owl_clock_look(double local_s, double now_s)
{
    double days = floor(local_s / OWL_SECONDS_PER_DAY);
    if (!(fabs(days) < 1e9) || local_s > now_s + OWL_SECONDS_PER_DAY)
        return OWL_CLOCK_RESET;
    return look_of_date(owl_calendar_date((int64_t)days), local_s - days * OWL_SECONDS_PER_DAY);
}

int owl_clock_step_back(const double *times_s, int count, int from, double leeway_s)
{
    double before_s = NAN;
    for (int i = 0; i < count; i++) {
        if (i >= from && times_s[i] < before_s - leeway_s)
            return i;
        if (!isnan(times_s[i]))
            before_s = times_s[i];
    }
    return count;
}

/* ---- two clocks, one shift ---- */

int owl_clock_pairs(const struct owl_clock_series *reference, const struct owl_clock_series *other, double shift_s,
                    double tolerance_s, struct owl_clock_pair *pairs, int room)
{
    int found = 0;
    for (int i = 0, k = 0; i < reference->count && k < other->count;) {
        double ahead_s = other->time_s[k] - shift_s - reference->time_s[i];
        if (ahead_s < -tolerance_s) {
            k++;
        } else if (ahead_s > tolerance_s) {
            i++;
        } else {
            if (found < room)
                pairs[found] = (struct owl_clock_pair){reference->time_s[i], other->time_s[k]};
            found++;
            i++;
            k++;
        }
    }
    return found;
}

/* Enters one shift into the contest. Shifts come in the order of their size, so that the smaller wins among equals. */
static void contest(struct owl_clock_shift *best, double shift_s, int matched)
{
    if (matched > best->matched) {
        best->runner_up = best->matched;
        best->matched = matched;
        best->shift_s = shift_s;
    } else if (matched > best->runner_up) {
        best->runner_up = matched;
    }
}

struct owl_clock_shift owl_clock_zone_shift(const struct owl_clock_series *reference, const struct owl_clock_series *other,
                                            double tolerance_s)
{
    struct owl_clock_shift best = {.shift_s = NAN};
    if (!(tolerance_s > 0.0 && tolerance_s < OWL_CLOCK_ZONE_STEP_S / 2.0))
        return best;
    for (double size_s = 0.0; size_s <= OWL_CLOCK_ZONE_MOST_S; size_s += OWL_CLOCK_ZONE_STEP_S) {
        contest(&best, size_s, owl_clock_pairs(reference, other, size_s, tolerance_s, NULL, 0));
        if (size_s > 0.0)
            contest(&best, -size_s, owl_clock_pairs(reference, other, -size_s, tolerance_s, NULL, 0));
    }
    best.found = best.matched >= OWL_CLOCK_MATCHES_LEAST && best.matched >= 2 * best.runner_up;
    return best;
}

/* ---- two clocks, one drifting ---- */

/* Sums over pairs, of deviations from a first pair and then from the middle: times since 1970 squared would leave no digits. */
struct sums {
    double reference_s, ahead_s;   /* means */
    double spread, product;        /* of squares and products of the deviations */
};

static struct sums sums_of(const struct owl_clock_pair *pairs, int count)
{
    struct sums sums = {0};
    double base_s = pairs[0].reference_s;
    for (int i = 0; i < count; i++) {
        sums.reference_s += (pairs[i].reference_s - base_s) / count;
        sums.ahead_s += (pairs[i].other_s - pairs[i].reference_s) / count;
    }
    sums.reference_s += base_s;
    for (int i = 0; i < count; i++) {
        double along_s = pairs[i].reference_s - sums.reference_s;
        sums.spread += along_s * along_s;
        sums.product += along_s * (pairs[i].other_s - pairs[i].reference_s - sums.ahead_s);
    }
    return sums;
}

static double squares_left(const struct owl_clock_pair *pairs, int count, const struct owl_clock_drift *drift)
{
    double sum = 0.0;
    for (int i = 0; i < count; i++) {
        double expected_s = drift->offset_s + drift->rate * (pairs[i].reference_s - drift->at_s);
        double left_s = pairs[i].other_s - pairs[i].reference_s - expected_s;
        sum += left_s * left_s;
    }
    return sum;
}

struct owl_clock_drift owl_clock_fit(const struct owl_clock_pair *pairs, int count)
{
    struct owl_clock_drift drift = {NAN, NAN, NAN, NAN, NAN, NAN, count > 0 ? count : 0};
    if (count < 1)
        return drift;
    struct sums sums = sums_of(pairs, count);
    if (!isfinite(sums.reference_s) || !isfinite(sums.ahead_s))
        return drift;
    drift.at_s = sums.reference_s;
    drift.offset_s = sums.ahead_s;
    if (!(sums.spread > 0.0))
        return drift;
    drift.rate = sums.product / sums.spread;
    if (count < 3)
        return drift;
    drift.scatter_s = sqrt(squares_left(pairs, count, &drift) / (count - 2));
    drift.offset_error_s = drift.scatter_s / sqrt(count);
    drift.rate_error = drift.scatter_s / sqrt(sums.spread);
    return drift;
}

struct owl_clock_drift owl_clock_constant(double shift_s)
{
    return (struct owl_clock_drift){.at_s = 0.0, .offset_s = shift_s, .rate = 0.0, .offset_error_s = NAN, .rate_error = NAN,
                                    .scatter_s = NAN, .pairs = 0};
}

double owl_clock_apply(const struct owl_clock_drift *drift, double other_s)
{
    if (!(drift->rate > -1.0))
        return NAN;
    return drift->at_s + (other_s - drift->at_s - drift->offset_s) / (1.0 + drift->rate);
}

double owl_clock_apply_error_s(const struct owl_clock_drift *drift, double other_s)
{
    double away_s = owl_clock_apply(drift, other_s) - drift->at_s;
    return hypot(drift->offset_error_s, drift->rate_error * away_s) / (1.0 + drift->rate);
}
