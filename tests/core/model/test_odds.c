/* Encounter odds against values of another program, printed tables and closed forms. */
#include "core/model/odds.h"

#include <math.h>

#include "support/check.h"

#define PI 3.14159265358979323846
#define DAY_S 86400.0
#define PER_KM2 1e-6
#define COUNT(array) (sizeof(array) / sizeof((array)[0]))
#define WORKED 1e-6 /* what the worked values are good to */

static void expect_nan(double value)
{
    assert_true(isnan(value));
}

static struct owl_odds_gamma seen(double count, double nights)
{
    return owl_odds_posterior(count, nights, owl_odds_jeffreys());
}

/* cited: gamma functions of the printed table, to its ten digits; half the last, in the logarithm. */
static void test_odds_log_gamma_table(void **state)
{
    (void)state;
    static const double rows[][2] = {{1.25, 0.9064024771}, {1.5, 0.8862269255}, {1.75, 0.9190625268}};
    for (size_t i = 0; i < COUNT(rows); i++)
        check_cited("abramowitz1964", "Gamma", exp(owl_odds_log_gamma(rows[i][0])), rows[i][1], 5e-11);
}

/* identity: the C library's function, factorials, the root of pi, and Gamma(x + 1) = x Gamma(x) over the seam. */
static void test_odds_log_gamma_identities(void **state)
{
    (void)state;
    static const double places[] = {1e-300, 1e-5, 0.1, 0.5, 0.999, 1.0, 1.001, 1.46163, 2.0, 2.5, 5.0,
                                    9.999999, 10.0, 10.000001, 20.0, 171.0, 1e4, 1e10, 1e300};
    double factorial = 1.0;
    for (size_t i = 0; i < COUNT(places); i++) {
        double x = places[i], log_gamma = owl_odds_log_gamma(x), size = fmax(10.0, fabs(log_gamma));
        check_near("library", log_gamma, lgamma(x), 1e-15 * size);
        if (x > 1e-5 && x < 1e5)
            check_near("recurrence", owl_odds_log_gamma(x + 1.0) - log_gamma, log(x), 2e-15 * size);
    }
    for (int n = 1; n <= 20; n++) {
        check_near("factorial", exp(owl_odds_log_gamma(n)) / factorial, 1.0, 3e-14);
        factorial *= n;
    }
    check_near("half", owl_odds_log_gamma(0.5), 0.5 * log(PI), 1e-14);
    assert_true(owl_odds_log_gamma(INFINITY) == INFINITY);
    expect_nan(owl_odds_log_gamma(0.0));
    expect_nan(owl_odds_log_gamma(-0.5));
    expect_nan(owl_odds_log_gamma(NAN));
}

/* cited: percentage points of chi-square (degrees, probability, point), which is twice a gamma of half the degrees;
 * printed digits, half the last. */
static void test_odds_gamma_quantile_table(void **state)
{
    (void)state;
    static const double rows[][4] = {{1, 0.95, 3.84146, 5e-6},  {2, 0.95, 5.99146, 5e-6},  {5, 0.5, 4.35146, 5e-6},
                                     {10, 0.95, 18.3070, 5e-5}, {10, 0.05, 3.94030, 5e-6}, {30, 0.99, 50.8922, 5e-5},
                                     {100, 0.95, 124.342, 5e-4}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        double shape = rows[i][0] / 2.0;
        check_cited("abramowitz1964", "chi-square point", 2.0 * owl_odds_gamma_quantile(shape, rows[i][1]),
                    rows[i][2], rows[i][3]);
    }
}

/* identity: whole shapes are Poisson tails, shape 1/2 the error function; both expansions and their seam. */
static void test_odds_gamma_below_closed_forms(void **state)
{
    (void)state;
    for (int shape = 1; shape <= 30; shape++) {
        for (double x = 0.125; x < 90.0; x *= 1.37) {
            double term = exp(-x), tail = 0.0;
            for (int k = 0; k < shape; k++) {
                tail += term;
                term *= x / (k + 1);
            }
            check_near("whole shape", owl_odds_gamma_below(shape, x), 1.0 - tail, 1e-14);
        }
        check_near("seam", owl_odds_gamma_below(shape, shape + 1.0 - 1e-12),
                   owl_odds_gamma_below(shape, shape + 1.0), 1e-12);
    }
    for (double x = 1e-9; x < 40.0; x *= 2.3)
        check_near("half", owl_odds_gamma_below(0.5, x), erf(sqrt(x)), 1e-14);
}

/* identity: at large shapes P(a, a) tends to 1/2 + 1/(3 sqrt(2 pi a)), the error being of order a^-3/2. */
static void test_odds_gamma_below_large_shapes(void **state)
{
    (void)state;
    for (double shape = 1e3; shape <= 1e6; shape *= 10.0)
        check_near("middle", owl_odds_gamma_below(shape, shape), 0.5 + 1.0 / (3.0 * sqrt(2.0 * PI * shape)),
                   0.01 * pow(shape, -1.5) + 1e-9);
}

/* identity: the quantile undoes the probability, from tiny shapes to the limit; it rises with p. */
static void test_odds_gamma_quantile_round_trip(void **state)
{
    (void)state;
    static const double shapes[] = {0.05, 0.5, 1.0, 1.5, 4.5, 30.0, 1e3, 1e4, 1e6};
    static const double shares[] = {1e-12, 1e-6, 0.01, 0.3, 0.5, 0.9, 0.999, 1.0 - 1e-9};
    for (size_t i = 0; i < COUNT(shapes); i++) {
        double last = 0.0;
        for (size_t j = 0; j < COUNT(shares); j++) {
            double x = owl_odds_gamma_quantile(shapes[i], shares[j]);
            check_near("share", owl_odds_gamma_below(shapes[i], x), shares[j], 1e-14 + shapes[i] * 1e-15);
            assert_true(x > last);
            last = x;
        }
    }
    for (double p = 0.001; p < 1.0; p += 0.037)
        check_near("exponential", owl_odds_gamma_quantile(1.0, p), -log1p(-p), 1e-12 * -log1p(-p));
}

/* identity: edges of the gamma distribution. */
static void test_odds_gamma_edges(void **state)
{
    (void)state;
    check_near("nothing below 0", owl_odds_gamma_below(2.0, 0.0), 0.0, 0.0);
    check_near("all below infinity", owl_odds_gamma_below(2.0, INFINITY), 1.0, 0.0);
    check_near("least", owl_odds_gamma_quantile(2.0, 0.0), 0.0, 0.0);
    check_near("too small for a double", owl_odds_gamma_quantile(1e-4, 0.1), 0.0, 0.0);
    assert_true(owl_odds_gamma_quantile(2.0, 1.0) == INFINITY);
    static const double bad[] = {0.0, -1.0, 1.1 * OWL_ODDS_SHAPE_MAX, INFINITY, NAN};
    for (size_t i = 0; i < COUNT(bad); i++) {
        expect_nan(owl_odds_gamma_below(bad[i], 1.0));
        expect_nan(owl_odds_gamma_quantile(bad[i], 0.5));
    }
    expect_nan(owl_odds_gamma_below(2.0, -0.1));
    expect_nan(owl_odds_gamma_below(2.0, NAN));
    expect_nan(owl_odds_gamma_quantile(2.0, -0.1));
    expect_nan(owl_odds_gamma_quantile(2.0, 1.1));
    expect_nan(owl_odds_gamma_quantile(2.0, NAN));
}

/* cited: posterior rates worked elsewhere (visits, nights, shape of the prior, mean, 5, 50 and 95 %). */
static void test_odds_posterior_rates(void **state)
{
    (void)state;
    static const double rows[][7] = {{4, 10, 0.5, 0.45, 0.166256, 0.417142, 0.845949},
                                     {0, 10, 0.5, 0.05, 0.000196607, 0.0227468, 0.192073},
                                     {7, 21, 1.0, 0.380952, 0.189563, 0.365202, 0.626101}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        const double *row = rows[i];
        struct owl_odds_gamma belief = owl_odds_posterior(row[0], row[1], (struct owl_odds_gamma){row[2], 0.0});
        check_cited("r-stats", "posterior mean", owl_odds_rate_mean(belief), row[3], WORKED);
        check_cited("r-stats", "5 % of the rate", owl_odds_rate_quantile(belief, 0.05), row[4], WORKED);
        check_cited("r-stats", "50 % of the rate", owl_odds_rate_quantile(belief, 0.50), row[5], WORKED);
        check_cited("r-stats", "95 % of the rate", owl_odds_rate_quantile(belief, 0.95), row[6], WORKED);
    }
    check_cited("r-stats", "mean of 1 in 10", owl_odds_rate_mean(seen(1, 10)), 0.15, WORKED);
    check_cited("r-stats", "small rate", owl_odds_rate_quantile(seen(0, 10), 0.05), 0.000196607, 5e-10);
}

/* cited: visits to come, worked elsewhere. */
static void test_odds_visits_to_come(void **state)
{
    (void)state;
    struct owl_odds_gamma flat = owl_odds_posterior(0, 10, (struct owl_odds_gamma){1.0, 0.0});
    check_cited("r-stats", "4 in 10: 1 or more in 3", owl_odds_at_least(seen(4, 10), 1, 3), 0.692918, WORKED);
    check_cited("r-stats", "the same plugged in", 1.0 - owl_odds_none(0.4, 3), 0.698806, WORKED);
    check_cited("r-stats", "4 in 10: 3 or more in 10", owl_odds_at_least(seen(4, 10), 3, 10), 0.719643, WORKED);
    check_cited("r-stats", "0 in 10: 1 or more in 14", owl_odds_at_least(seen(0, 10), 1, 14), 0.354503, WORKED);
    check_cited("r-stats", "the same, prior 1", owl_odds_at_least(flat, 1, 14), 0.583333, WORKED);
}

/* cited: nights for a visit with 95 %, worked elsewhere; printed to four and three digits, half the last. */
static void test_odds_nights(void **state)
{
    (void)state;
    check_cited("r-stats", "4 in 10: nights", owl_odds_nights_for(seen(4, 10), 0.95), 9.4589, 5e-5);
    check_cited("r-stats", "4 in 10: plugged in", owl_odds_nights_plug_in(0.4, 0.95), 7.4893, 5e-5);
    check_cited("r-stats", "1 in 10: nights", owl_odds_nights_for(seen(1, 10), 0.95), 63.681, 5e-4);
}

/* cited: nothing seen, worked elsewhere (nights, exact, rule of three). */
static void test_odds_nothing_seen(void **state)
{
    (void)state;
    static const double rows[][3] = {{7, 0.427962, 0.428571}, {10, 0.299573, 0.3}, {30, 0.0998577, 0.1}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        check_cited("hanley1983", "upper rate", owl_odds_unseen_upper(rows[i][0], 0.95), rows[i][1], WORKED);
        check_cited("hanley1983", "rule of three", owl_odds_rule_of_three(rows[i][0]), rows[i][2], WORKED);
    }
}

/* P(at least k) by Simpson's rule over the rate: the mixture itself instead of its closed form. */
static double mixture(struct owl_odds_gamma belief, int visits, double nights)
{
    int steps = 20000;
    double end = 30.0, sum = 0.0, step = end / steps;
    for (int i = 1; i < steps; i++) {
        double rate = i * step, term = exp(-rate * nights), fewer = 0.0;
        for (int k = 0; k < visits; k++) {
            fewer += term;
            term *= rate * nights / (k + 1);
        }
        double log_density = belief.shape * log(belief.nights) + (belief.shape - 1.0) * log(rate) -
                             belief.nights * rate - lgamma(belief.shape);
        sum += (i % 2 ? 4.0 : 2.0) * exp(log_density) * (1.0 - fewer);
    }
    return sum * step / 3.0;
}

/* identity: a Poisson count whose rate follows the belief; shape 1 is geometric; a firm belief is Poisson. */
static void test_odds_at_least_identities(void **state)
{
    (void)state;
    struct owl_odds_gamma few = {4.5, 2.0}, one = {1.0, 10.0}, firm = {1e6, 1e6};
    for (int k = 1; k <= 40; k += 3) {
        check_near("mixture", owl_odds_at_least(few, k, 5.0), mixture(few, k, 5.0), 1e-9);
        check_near("geometric", owl_odds_at_least(one, k, 14.0), pow(14.0 / 24.0, k), 1e-13);
        check_near("Poisson", owl_odds_at_least(firm, k, 7.0), owl_odds_gamma_below(k, 7.0), 2e-5);
    }
    check_near("certain", owl_odds_at_least(few, 0, 5.0), 1.0, 0.0);
    check_near("fewer than none", owl_odds_at_least(few, -3, 5.0), 1.0, 0.0);
    check_near("no nights", owl_odds_at_least(few, 1, 0.0), 0.0, 0.0);
    check_near("no nights, more", owl_odds_at_least(few, 3, 0.0), 0.0, 0.0);
}

/* identity: long counts, where (1 - s)^r runs under. With as many visits asked for as seen, in as many nights, either
 * is as likely to come first: exactly 1/2. Ten deviations off there is all or nothing. */
static void test_odds_at_least_long_counts(void **state)
{
    (void)state;
    struct owl_odds_gamma many = {10000.0, 365.0};
    check_near("as many again", owl_odds_at_least(many, 10000, 365.0), 0.5, 1e-11);
    check_near("far below", owl_odds_at_least(many, 8500, 365.0), 1.0, 1e-11);
    check_near("far above", owl_odds_at_least(many, 10000, 300.0), 0.0, 1e-11);
}

/* identity: after the nights for p, the chance of a visit is p; likewise plugged in; the rate that nothing seen
 * allows leaves the chance of seeing nothing. */
static void test_odds_nights_round_trip(void **state)
{
    (void)state;
    for (double p = 0.0; p < 0.999; p += 0.0451) {
        struct owl_odds_gamma belief = seen(2.25, 17.0);
        check_near("posterior", owl_odds_at_least(belief, 1, owl_odds_nights_for(belief, p)), p, 1e-14);
        check_near("plug-in", 1.0 - owl_odds_none(0.3, owl_odds_nights_plug_in(0.3, p)), p, 1e-14);
        check_near("unseen", owl_odds_none(owl_odds_unseen_upper(17.0, p), 17.0), 1.0 - p, 1e-14);
        assert_true(owl_odds_nights_for(belief, p) >= owl_odds_nights_plug_in(owl_odds_rate_mean(belief), p));
    }
    assert_true(owl_odds_nights_for(seen(1, 5), 1.0) == INFINITY);
    assert_true(owl_odds_nights_plug_in(0.2, 1.0) == INFINITY);
    assert_true(owl_odds_nights_plug_in(0.0, 0.1) == INFINITY);
    assert_true(owl_odds_unseen_upper(7.0, 1.0) == INFINITY);
    check_near("no rate, no wish", owl_odds_nights_plug_in(0.0, 0.0), 0.0, 0.0);
    check_near("no rate", owl_odds_none(0.0, 9.0), 1.0, 0.0);
}

/* identity: a belief is the sum of its parts, so two watches one after the other are one; outside, NaN. */
static void test_odds_posterior_domain(void **state)
{
    (void)state;
    struct owl_odds_gamma twice = owl_odds_posterior(3, 8, seen(1, 2)), once = seen(4, 10);
    check_near("shape", twice.shape, once.shape, 0.0);
    check_near("nights", twice.nights, once.nights, 0.0);
    static const double bad[] = {-1.0, INFINITY, NAN};
    for (size_t i = 0; i < COUNT(bad); i++) {
        expect_nan(seen(bad[i], 10).shape);
        expect_nan(seen(4, bad[i]).nights);
        expect_nan(owl_odds_posterior(4, 10, (struct owl_odds_gamma){bad[i], 0.0}).shape);
        expect_nan(owl_odds_posterior(4, 10, (struct owl_odds_gamma){0.5, bad[i]}).nights);
        expect_nan(owl_odds_at_least(once, 1, bad[i]));
    }
}

/* fault: a belief without nights, without shape or not a number says nothing; nor do wishes outside 0..1. */
static void test_odds_beliefs_that_say_nothing(void **state)
{
    (void)state;
    const struct owl_odds_gamma bad[] = {{4.5, 0.0},  {0.0, 10.0}, {NAN, 10.0}, {4.5, NAN}, {4.5, -1.0},
                                         {-0.5, 1.0}, {2e6, 10.0}, {4.5, INFINITY}};
    for (size_t i = 0; i < COUNT(bad); i++) {
        expect_nan(owl_odds_rate_mean(bad[i]));
        expect_nan(owl_odds_rate_quantile(bad[i], 0.5));
        expect_nan(owl_odds_at_least(bad[i], 1, 3.0));
        expect_nan(owl_odds_nights_for(bad[i], 0.5));
    }
    static const double wish[] = {-0.01, 1.01, NAN};
    for (size_t i = 0; i < COUNT(wish); i++) {
        expect_nan(owl_odds_rate_quantile(seen(4, 10), wish[i]));
        expect_nan(owl_odds_nights_for(seen(4, 10), wish[i]));
        expect_nan(owl_odds_nights_plug_in(0.4, wish[i]));
        expect_nan(owl_odds_unseen_upper(7.0, wish[i]));
    }
    expect_nan(owl_odds_at_least(seen(4, 10), OWL_ODDS_VISITS_MAX + 1, 3.0));
    expect_nan(owl_odds_nights_plug_in(-0.4, 0.5));
    expect_nan(owl_odds_none(-0.4, 1.0));
    expect_nan(owl_odds_none(0.4, -1.0));
    expect_nan(owl_odds_unseen_upper(0.0, 0.95));
    expect_nan(owl_odds_rule_of_three(0.0));
    expect_nan(owl_odds_rule_of_three(NAN));
}

/* cited: random encounters worked elsewhere from the paper's equation, in km, days and animals per km2; half the last
 * digit. */
static void test_odds_encounters(void **state)
{
    (void)state;
    double km_per_day = 1000.0 / DAY_S;
    check_cited("rowcliffe2008", "encounters per day",
                owl_odds_encounters_per_s(12, 0.175, 1.2 * km_per_day, 100 * PER_KM2) * DAY_S, 0.99695, 5e-6);
    check_cited("rowcliffe2008", "encounters per day",
                owl_odds_encounters_per_s(8, 0.7, 3.0 * km_per_day, 5 * PER_KM2) * DAY_S, 0.10313, 5e-6);
    check_cited("rowcliffe2008", "animals per km2",
                owl_odds_density_per_m2(10, 0.7, 2.0 * km_per_day, 0.2 / DAY_S) / PER_KM2, 11.6355, 5e-5);
}

/* cited: mean widths of the unit sector, worked elsewhere from the equation; half the last digit. */
static void test_odds_profile_width(void **state)
{
    (void)state;
    check_cited("rowcliffe2008", "width, 60 deg", owl_odds_profile_width_m(1.0, PI / 3.0), 0.96995, 5e-6);
    check_cited("rowcliffe2008", "width, 0.175 rad", owl_odds_profile_width_m(1.0, 0.175), 0.69232, 5e-6);
}

/* How wide the unit sector of an angle looks from direction `from`: the spread of its points across that direction. */
static double seen_width(double angle_rad, double from)
{
    double least = 0.0, most = 0.0;
    for (int i = 0; i <= 400; i++) {
        double across = cos(angle_rad * i / 400.0 - from);
        least = fmin(least, across);
        most = fmax(most, across);
    }
    return most - least;
}

/* identity: the sector's width averaged over all directions; density and encounters undo each other. */
static void test_odds_encounter_identities(void **state)
{
    (void)state;
    for (double angle = 0.0; angle <= PI; angle += PI / 7.0) {
        double sum = 0.0;
        for (int i = 0; i < 720; i++)
            sum += seen_width(angle, 2.0 * PI * i / 720.0);
        check_near("mean width", owl_odds_profile_width_m(1.0, angle), sum / 720.0, 2e-5);
        double rate_per_s = owl_odds_encounters_per_s(9.0, angle, 0.02, 3e-6);
        check_near("density", owl_odds_density_per_m2(9.0, angle, 0.02, rate_per_s), 3e-6, 1e-20);
    }
    check_near("half disc", owl_odds_profile_width_m(2.0, PI), 2.0 * (2.0 + PI) / PI, 1e-15);
}

/* fault: encounters outside the model. */
static void test_odds_encounters_outside(void **state)
{
    (void)state;
    static const double bad[] = {-0.1, INFINITY, NAN};
    for (size_t i = 0; i < COUNT(bad); i++) {
        expect_nan(owl_odds_profile_width_m(bad[i], 0.5));
        expect_nan(owl_odds_profile_width_m(1.0, bad[i]));
        expect_nan(owl_odds_encounters_per_s(1.0, 0.5, bad[i], 1.0));
        expect_nan(owl_odds_encounters_per_s(1.0, 0.5, 1.0, bad[i]));
        expect_nan(owl_odds_encounters_per_s(bad[i], 0.5, 1.0, 1.0));
        expect_nan(owl_odds_density_per_m2(1.0, 0.5, 1.0, bad[i]));
        expect_nan(owl_odds_density_per_m2(1.0, 0.5, bad[i], 1.0));
    }
    expect_nan(owl_odds_profile_width_m(1.0, PI + 0.001));
    expect_nan(owl_odds_density_per_m2(0.0, 0.5, 1.0, 1.0));
    expect_nan(owl_odds_density_per_m2(1.0, 0.5, 0.0, 1.0));
}

/* identity: type 7 by its definition: the values stand at i/(n - 1), straight between; infinities stay. */
static void test_odds_quantile_sorted(void **state)
{
    (void)state;
    static const double sorted[] = {1.0, 2.0, 4.0, 8.0, 16.0}, open[] = {1.0, 3.0, INFINITY, INFINITY};
    for (int i = 0; i < 5; i++)
        check_near("value", owl_odds_quantile_sorted(sorted, 5, i / 4.0), sorted[i], 0.0);
    check_near("between", owl_odds_quantile_sorted(sorted, 5, 0.1), 1.4, 1e-15);
    check_near("between", owl_odds_quantile_sorted(sorted, 5, 0.9), 12.8, 1e-14);
    check_near("median of four", owl_odds_quantile_sorted(sorted, 4, 0.5), 3.0, 1e-15);
    check_near("alone", owl_odds_quantile_sorted(sorted, 1, 0.3), 1.0, 0.0);
    check_near("finite part", owl_odds_quantile_sorted(open, 4, 1.0 / 6.0), 2.0, 1e-15);
    assert_true(owl_odds_quantile_sorted(open, 4, 0.5) == INFINITY);
    assert_true(owl_odds_quantile_sorted(open, 4, 0.9) == INFINITY);
    assert_true(owl_odds_quantile_sorted(open, 4, 1.0) == INFINITY);
    expect_nan(owl_odds_quantile_sorted(sorted, 0, 0.5));
    expect_nan(owl_odds_quantile_sorted(sorted, 5, -0.1));
    expect_nan(owl_odds_quantile_sorted(sorted, 5, 1.1));
    expect_nan(owl_odds_quantile_sorted(sorted, 5, NAN));
}

/* cited: the printed comparison's 95 % score intervals (seen, of, low, high); half the last digit. */
static void test_odds_wilson_table(void **state)
{
    (void)state;
    static const double rows[][4] = {
        {81, 263, 0.2553, 0.3662}, {15, 148, 0.0624, 0.1605}, {0, 20, 0.0, 0.1611}, {1, 29, 0.0061, 0.1718}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct owl_odds_interval interval = owl_odds_wilson(rows[i][0], rows[i][1], 1.959963984540054);
        check_cited("newcombe1998", "score interval, low", interval.low, rows[i][2], 5e-5);
        check_cited("newcombe1998", "score interval, high", interval.high, rows[i][3], 5e-5);
    }
}

/* identity: at the bounds the share seen is z standard errors off; mirrored for failures; z is the 95 % quantile. */
static void test_odds_wilson_identities(void **state)
{
    (void)state;
    double z = OWL_ODDS_Z_90;
    check_near("5 % above", 0.5 * erfc(z / sqrt(2.0)), 0.05, 1e-16);
    for (int x = 0; x <= 12; x++) {
        struct owl_odds_interval interval = owl_odds_wilson(x, 12, z), mirror = owl_odds_wilson(12 - x, 12, z);
        double low = interval.low, high = interval.high, p = x / 12.0;
        check_near("low bound", p - low, z * sqrt(low * (1.0 - low) / 12.0), 1e-14);
        check_near("high bound", high - p, z * sqrt(high * (1.0 - high) / 12.0), 1e-14);
        check_near("mirror", low, 1.0 - mirror.high, 1e-15);
        assert_true(low >= 0.0 && low <= p && p <= high && high <= 1.0);
    }
    check_near("no width", owl_odds_wilson(3, 12, 0.0).low, 0.25, 0.0);
    expect_nan(owl_odds_wilson(-1, 12, z).low);
    expect_nan(owl_odds_wilson(13, 12, z).high);
    expect_nan(owl_odds_wilson(0, 0, z).low);
    expect_nan(owl_odds_wilson(3, NAN, z).high);
    expect_nan(owl_odds_wilson(NAN, 12, z).low);
    expect_nan(owl_odds_wilson(3, 12, -1.0).low);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_odds_log_gamma_table),
        cmocka_unit_test(test_odds_log_gamma_identities),
        cmocka_unit_test(test_odds_gamma_quantile_table),
        cmocka_unit_test(test_odds_gamma_below_closed_forms),
        cmocka_unit_test(test_odds_gamma_below_large_shapes),
        cmocka_unit_test(test_odds_gamma_quantile_round_trip),
        cmocka_unit_test(test_odds_gamma_edges),
        cmocka_unit_test(test_odds_posterior_rates),
        cmocka_unit_test(test_odds_visits_to_come),
        cmocka_unit_test(test_odds_nights),
        cmocka_unit_test(test_odds_nothing_seen),
        cmocka_unit_test(test_odds_at_least_identities),
        cmocka_unit_test(test_odds_at_least_long_counts),
        cmocka_unit_test(test_odds_nights_round_trip),
        cmocka_unit_test(test_odds_posterior_domain),
        cmocka_unit_test(test_odds_beliefs_that_say_nothing),
        cmocka_unit_test(test_odds_encounters),
        cmocka_unit_test(test_odds_profile_width),
        cmocka_unit_test(test_odds_encounter_identities),
        cmocka_unit_test(test_odds_encounters_outside),
        cmocka_unit_test(test_odds_quantile_sorted),
        cmocka_unit_test(test_odds_wilson_table),
        cmocka_unit_test(test_odds_wilson_identities),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
