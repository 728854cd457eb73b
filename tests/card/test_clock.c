/* Clocks against published regression values, against made-up cameras with a known fault, and at the edges. */
#include <math.h>
#include <stdlib.h>

#include "card/clock.h"
#include "support/check.h"

#define DAY_S 86400.0
#define HOUR_S 3600.0
#define YEAR_2000_S 946684800.0 /* 2000-01-01T00:00 [posix] */
#define YEAR_2027_S 1798761600.0
#define VISITS 60

/* ---- one clock ---- */

/* identity: the years before, the first hours of a year, and all else */
static void test_clock_look(void **state)
{
    (void)state;
    double year_2005_s = YEAR_2000_S + 1827.0 * DAY_S;
    assert_int_equal(owl_clock_look(0.0, NAN), OWL_CLOCK_RESET);
    assert_int_equal(owl_clock_look(YEAR_2000_S + 100.0 * DAY_S, NAN), OWL_CLOCK_RESET);
    assert_int_equal(owl_clock_look(year_2005_s - 1.0, NAN), OWL_CLOCK_RESET);
    assert_int_equal(owl_clock_look(year_2005_s, NAN), OWL_CLOCK_MAYBE_RESET);
    assert_int_equal(owl_clock_look(YEAR_2027_S, NAN), OWL_CLOCK_MAYBE_RESET);
    assert_int_equal(owl_clock_look(YEAR_2027_S - 1.0, NAN), OWL_CLOCK_PLAUSIBLE);
    assert_int_equal(owl_clock_look(YEAR_2027_S + HOUR_S - 1.0, NAN), OWL_CLOCK_MAYBE_RESET);
    assert_int_equal(owl_clock_look(YEAR_2027_S + HOUR_S, NAN), OWL_CLOCK_PLAUSIBLE);
    assert_int_equal(owl_clock_look(YEAR_2027_S + 12.0 * HOUR_S, NAN), OWL_CLOCK_MAYBE_RESET);
    assert_int_equal(owl_clock_look(YEAR_2027_S + 13.0 * HOUR_S, NAN), OWL_CLOCK_PLAUSIBLE);
    assert_int_equal(owl_clock_look(YEAR_2027_S + DAY_S, NAN), OWL_CLOCK_PLAUSIBLE);
}

/* fault: times to come, and such as are none */
static void test_clock_look_impossible(void **state)
{
    (void)state;
    double now_s = YEAR_2027_S + 100.0 * DAY_S;
    assert_int_equal(owl_clock_look(now_s + 0.9 * DAY_S, now_s), OWL_CLOCK_PLAUSIBLE);
    assert_int_equal(owl_clock_look(now_s + 1.1 * DAY_S, now_s), OWL_CLOCK_RESET);
    assert_int_equal(owl_clock_look(NAN, now_s), OWL_CLOCK_RESET);
    assert_int_equal(owl_clock_look(NAN, NAN), OWL_CLOCK_RESET);
    assert_int_equal(owl_clock_look(INFINITY, NAN), OWL_CLOCK_RESET);
    assert_int_equal(owl_clock_look(-1e300, NAN), OWL_CLOCK_RESET);
    assert_int_equal(owl_clock_look(1e12, NAN), OWL_CLOCK_RESET);
}

/* identity: steps back are found one after the other, missing times are passed over */
static void test_clock_step_back(void **state)
{
    (void)state;
    static const double times_s[] = {100.0, 200.0, NAN, 199.0, 300.0, 10.0, 20.0, NAN, 5.0};
    assert_int_equal(owl_clock_step_back(times_s, 9, 0, 0.0), 3);
    assert_int_equal(owl_clock_step_back(times_s, 9, 4, 0.0), 5);
    assert_int_equal(owl_clock_step_back(times_s, 9, 6, 0.0), 8);
    assert_int_equal(owl_clock_step_back(times_s, 9, 5, 0.0), 5);
    assert_int_equal(owl_clock_step_back(times_s, 9, 0, 2.0), 5);
    assert_int_equal(owl_clock_step_back(times_s, 9, 9, 0.0), 9);
    assert_int_equal(owl_clock_step_back(NULL, 0, 0, 0.0), 0);
}

/* ---- shifts ---- */

static double next_share(uint32_t *seed)
{
    *seed ^= *seed << 13;
    *seed ^= *seed >> 17;
    *seed ^= *seed << 5;
    return *seed / 4294967296.0;
}

static int by_time(const void *one, const void *other)
{
    double a = *(const double *)one, b = *(const double *)other;
    return (a > b) - (a < b);
}

/* Visits over a month; of each series three in ten are missing, and the other sees some seconds later. */
struct watched {
    double reference[VISITS], other[VISITS];
    struct owl_clock_series series[2];
};

static void watch(struct watched *watched, double shift_s, double late_s, uint32_t seed)
{
    int count[2] = {0, 0};
    for (int i = 0; i < VISITS; i++) {
        double at_s = YEAR_2027_S + next_share(&seed) * 30.0 * DAY_S;
        if (next_share(&seed) > 0.3)
            watched->reference[count[0]++] = at_s;
        if (next_share(&seed) > 0.3)
            watched->other[count[1]++] = at_s + shift_s + late_s * next_share(&seed);
    }
    qsort(watched->reference, (size_t)count[0], sizeof(double), by_time);
    qsort(watched->other, (size_t)count[1], sizeof(double), by_time);
    watched->series[0] = (struct owl_clock_series){watched->reference, count[0]};
    watched->series[1] = (struct owl_clock_series){watched->other, count[1]};
}

/* identity: every shift in use comes back from half the visits seen by both, and from no others */
static void test_clock_zone_shift(void **state)
{
    (void)state;
    static const double shifts_s[] = {0.0, 3600.0, -3600.0, 7200.0, 20700.0, -12600.0, 43200.0, -43200.0, 93600.0, -93600.0};
    for (size_t i = 0; i < sizeof shifts_s / sizeof *shifts_s; i++) {
        struct watched watched;
        watch(&watched, shifts_s[i], 20.0, 2463534242u + (uint32_t)i);
        struct owl_clock_shift shift = owl_clock_zone_shift(&watched.series[0], &watched.series[1], 30.0);
        assert_true(shift.found);
        check_near("shift", shift.shift_s, shifts_s[i], 0.0);
        assert_true(shift.matched >= 18 && shift.runner_up <= 3);
    }
}

/* identity: a shift that is no multiple of the step is not found, nor one between series with nothing in common */
static void test_clock_zone_shift_none(void **state)
{
    (void)state;
    struct watched watched, stranger;
    watch(&watched, 400.0, 20.0, 88675123u);
    assert_false(owl_clock_zone_shift(&watched.series[0], &watched.series[1], 30.0).found);
    watch(&stranger, 0.0, 20.0, 521288629u);
    assert_false(owl_clock_zone_shift(&watched.series[0], &stranger.series[0], 30.0).found);
    struct owl_clock_series none = {NULL, 0};
    struct owl_clock_shift shift = owl_clock_zone_shift(&watched.series[0], &none, 30.0);
    assert_false(shift.found);
    assert_true(isnan(shift.shift_s));
    assert_int_equal(shift.matched + shift.runner_up, 0);
    assert_true(isnan(owl_clock_zone_shift(&watched.series[0], &watched.series[1], 0.0).shift_s));
    assert_true(isnan(owl_clock_zone_shift(&watched.series[0], &watched.series[1], 450.0).shift_s));
    assert_true(isnan(owl_clock_zone_shift(&watched.series[0], &watched.series[1], NAN).shift_s));
}

/* identity: visits at the same hours every day could be shifted by whole hours, and that is not hidden */
static void test_clock_zone_shift_ambiguous(void **state)
{
    (void)state;
    double hourly_s[40];
    for (int i = 0; i < 40; i++)
        hourly_s[i] = YEAR_2027_S + i * HOUR_S;
    struct owl_clock_series series = {hourly_s, 40};
    struct owl_clock_shift shift = owl_clock_zone_shift(&series, &series, 30.0);
    assert_false(shift.found);
    check_near("shift", shift.shift_s, 0.0, 0.0);
    assert_int_equal(shift.matched, 40);
    assert_int_equal(shift.runner_up, 39);
}

/* identity: each moment goes into one pair, and more than there is room for are only counted */
static void test_clock_pairs(void **state)
{
    (void)state;
    static const double one[] = {100.0, 200.0, 205.0, 400.0}, two[] = {1101.0, 1204.0, 1300.0, 1399.0, 1400.0};
    struct owl_clock_series reference = {one, 4}, other = {two, 5};
    struct owl_clock_pair pairs[2];
    assert_int_equal(owl_clock_pairs(&reference, &other, 1000.0, 5.0, pairs, 2), 3);
    check_near("first", pairs[0].other_s - pairs[0].reference_s, 1001.0, 0.0);
    check_near("second", pairs[1].reference_s, 200.0, 0.0);
    check_near("second", pairs[1].other_s, 1204.0, 0.0);
    assert_int_equal(owl_clock_pairs(&reference, &other, 0.0, 5.0, NULL, 0), 0);
}

/* ---- drift ---- */

/* cited: the certified values of the first linear data set: line, standard errors, residual deviation; printed to 15 figures */
static void test_clock_fit_certified(void **state)
{
    (void)state;
    static const double y_x[][2] = {
        {0.1, 0.2}, {338.8, 337.4}, {118.1, 118.2}, {888.0, 884.6}, {9.2, 10.1}, {228.1, 226.5}, {668.5, 666.3}, {998.5, 996.3},
        {449.1, 448.6}, {778.9, 777.0}, {559.2, 558.2}, {0.3, 0.4}, {0.1, 0.6}, {778.1, 775.5}, {668.8, 666.9}, {339.3, 338.0},
        {448.9, 447.5}, {10.8, 11.6}, {557.7, 556.0}, {228.3, 228.1}, {998.0, 995.8}, {888.8, 887.6}, {119.6, 120.2}, {0.3, 0.3},
        {0.6, 0.3}, {557.6, 556.8}, {339.3, 339.1}, {888.0, 887.2}, {998.5, 999.0}, {778.9, 779.0}, {10.2, 11.1}, {117.6, 118.3},
        {228.9, 229.2}, {668.4, 669.1}, {449.2, 448.9}, {0.2, 0.5}};
    struct owl_clock_pair pairs[36];
    for (int i = 0; i < 36; i++)
        pairs[i] = (struct owl_clock_pair){.reference_s = y_x[i][1], .other_s = y_x[i][0]};
    struct owl_clock_drift drift = owl_clock_fit(pairs, 36);
    check_cited("nist-strd", "slope", 1.0 + drift.rate, 1.00211681802045, 1e-13);
    check_cited("nist-strd", "intercept", drift.offset_s - drift.rate * drift.at_s, -0.262323073774029, 1e-12);
    check_cited("nist-strd", "slope error", drift.rate_error, 0.429796848199937e-3, 1e-14);
    check_cited("nist-strd", "intercept error", hypot(drift.offset_error_s, drift.rate_error * drift.at_s), 0.232818234301152,
                1e-12);
    check_cited("nist-strd", "residual", drift.scatter_s, 0.884796396144373, 1e-12);
}

/* identity: a clock 40 s ahead that gains 2 s a day, at times since 1970; applying the fit undoes it */
static void test_clock_fit_round_trip(void **state)
{
    (void)state;
    struct owl_clock_pair pairs[30];
    for (int i = 0; i < 30; i++) {
        double at_s = YEAR_2027_S + i * DAY_S;
        pairs[i] = (struct owl_clock_pair){at_s, at_s + 40.0 + 2.0 * i};
    }
    struct owl_clock_drift drift = owl_clock_fit(pairs, 30);
    check_near("rate", drift.rate, 2.0 / DAY_S, 1e-15);
    check_near("middle", drift.at_s, YEAR_2027_S + 14.5 * DAY_S, 1e-6);
    check_near("offset", drift.offset_s, 69.0, 1e-6);
    check_near("scatter", drift.scatter_s, 0.0, 1e-6);
    for (int i = 0; i < 30; i++)
        check_near("undone", owl_clock_apply(&drift, pairs[i].other_s), pairs[i].reference_s, 1e-6);
}

/* identity: over many made-up months the errors told are those met, one standard error as often as it should be */
static void test_clock_fit_errors(void **state)
{
    (void)state;
    uint32_t seed = 2463534242u;
    int within[3] = {0, 0, 0}, months = 2000;
    for (int month = 0; month < months; month++) {
        struct owl_clock_pair pairs[25];
        for (int i = 0; i < 25; i++) {
            double at_s = YEAR_2027_S + 30.0 * DAY_S * next_share(&seed), noise_s = 0.0;
            for (int k = 0; k < 12; k++)
                noise_s += next_share(&seed) - 0.5; /* nearly normal, deviation 1 */
            pairs[i] = (struct owl_clock_pair){at_s, at_s + 3600.0 + 1e-5 * (at_s - YEAR_2027_S) + 3.0 * noise_s};
        }
        struct owl_clock_drift drift = owl_clock_fit(pairs, 25);
        double true_s = YEAR_2027_S + 60.0 * DAY_S, read_s = true_s + 3600.0 + 1e-5 * 60.0 * DAY_S;
        within[0] += fabs(drift.rate - 1e-5) < drift.rate_error;
        within[1] += fabs(drift.offset_s - 3600.0 - 1e-5 * (drift.at_s - YEAR_2027_S)) < drift.offset_error_s;
        within[2] += fabs(owl_clock_apply(&drift, read_s) - true_s) < owl_clock_apply_error_s(&drift, read_s);
    }
    /* the t distribution with 23 degrees of freedom: 0.672 within one error; the share is good to 0.0105, four times that */
    for (int i = 0; i < 3; i++)
        check_near("share within one error", within[i] / (double)months, 0.672, 0.042);
}

/* fault: too few pairs, all at one time, and such as are none */
static void test_clock_fit_edges(void **state)
{
    (void)state;
    struct owl_clock_pair pairs[3] = {{100.0, 107.0}, {300.0, 311.0}, {200.0, 209.0}};
    struct owl_clock_drift drift = owl_clock_fit(pairs, 0);
    assert_true(isnan(drift.at_s) && isnan(drift.offset_s) && isnan(drift.rate));
    assert_int_equal(owl_clock_fit(NULL, -1).pairs, 0);
    drift = owl_clock_fit(pairs, 1);
    check_near("offset of one", drift.offset_s, 7.0, 0.0);
    assert_true(isnan(drift.rate) && isnan(owl_clock_apply(&drift, 107.0)));
    drift = owl_clock_fit(pairs, 2);
    check_near("rate of two", drift.rate, 0.02, 1e-15);
    assert_true(isnan(drift.rate_error) && isnan(drift.scatter_s) && isnan(owl_clock_apply_error_s(&drift, 0.0)));
    pairs[1] = pairs[2] = pairs[0];
    assert_true(isnan(owl_clock_fit(pairs, 3).rate));
    pairs[1].other_s = NAN;
    assert_true(isnan(owl_clock_fit(pairs, 3).offset_s));
    pairs[1].other_s = INFINITY;
    assert_true(isnan(owl_clock_fit(pairs, 3).offset_s));
}

/* identity: a fixed shift comes off; a clock that stands or runs back cannot be read */
static void test_clock_apply(void **state)
{
    (void)state;
    struct owl_clock_drift drift = owl_clock_constant(-3600.0);
    check_near("shifted", owl_clock_apply(&drift, YEAR_2027_S), YEAR_2027_S + 3600.0, 0.0);
    assert_true(isnan(owl_clock_apply_error_s(&drift, YEAR_2027_S)));
    drift.rate = -1.0;
    assert_true(isnan(owl_clock_apply(&drift, YEAR_2027_S)));
    drift.rate = NAN;
    assert_true(isnan(owl_clock_apply(&drift, YEAR_2027_S)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_clock_look),
        cmocka_unit_test(test_clock_look_impossible),
        cmocka_unit_test(test_clock_step_back),
        cmocka_unit_test(test_clock_zone_shift),
        cmocka_unit_test(test_clock_zone_shift_none),
        cmocka_unit_test(test_clock_zone_shift_ambiguous),
        cmocka_unit_test(test_clock_pairs),
        cmocka_unit_test(test_clock_fit_certified),
        cmocka_unit_test(test_clock_fit_round_trip),
        cmocka_unit_test(test_clock_fit_errors),
        cmocka_unit_test(test_clock_fit_edges),
        cmocka_unit_test(test_clock_apply),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
