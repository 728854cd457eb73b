/* Circular statistics against worked values of other programs and a printed data set, and the anchored day. */
#include "core/model/diel.h"

#include <math.h>
#include <stdio.h>

#include "support/check.h"

#define PI 3.14159265358979323846
#define HOUR (PI / 12.0)
#define COUNT(array) (sizeof(array) / sizeof((array)[0]))
#define ARRIVALS 254

static void expect_nan(double value)
{
    assert_true(isnan(value));
}

/* The 254 arrivals of the printed data set, rad. */
static const double *arrivals(void)
{
    static double angle_rad[ARRIVALS];
    char line[64];
    int count = 0;
    double hour;
    FILE *file = fopen(check_data_path("fisherB1_hours.csv"), "r");
    assert_non_null(file);
    while (fgets(line, sizeof line, file))
        if (sscanf(line, "%lf", &hour) == 1 && count < ARRIVALS)
            angle_rad[count++] = hour * HOUR;
    fclose(file);
    assert_int_equal(count, ARRIVALS);
    return angle_rad;
}

/* cited: scaled Bessel functions, worked elsewhere to ten digits; half the last. */
static void test_diel_bessel_functions(void **state)
{
    (void)state;
    static const double rows[][3] = {{0.5, 0.6450352704, 0.1564208032},
                                     {1.0, 0.4657596076, 0.2079104153},
                                     {2.0, 0.3085083226, 0.2152692892},
                                     {5.0, 0.1835408126, 0.1639722669},
                                     {10.0, 0.1278333372, 0.1212626814}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        check_cited("abramowitz1964", "I0 scaled", owl_diel_bessel_i0e(rows[i][0]), rows[i][1], 5e-11);
        check_cited("abramowitz1964", "I1 scaled", owl_diel_bessel_i1e(rows[i][0]), rows[i][2], 5e-11);
    }
    check_cited("abramowitz1964", "I0(1)", exp(1.0) * owl_diel_bessel_i0e(1.0), 1.266065878, 5e-10);
    check_cited("abramowitz1964", "I1(1)", exp(1.0) * owl_diel_bessel_i1e(1.0), 0.565159104, 5e-10);
}

/* The integral (1/pi) int exp(x (cos t - 1)) cos(n t) dt by the trapezoid, which for a periodic function is exact. */
static double bessel_integral(int order, double x)
{
    double sum = 0.0;
    for (int i = 0; i < 2000; i++) {
        double t = 2.0 * PI * i / 2000.0;
        sum += exp(x * (cos(t) - 1.0)) * cos(order * t);
    }
    return sum / 2000.0;
}

/* identity: both series are the defining integral, on both sides of where one gives way to the other, and even or
 * odd. */
static void test_diel_bessel_functions_are_their_integral(void **state)
{
    (void)state;
    static const double places[] = {0.0, 1e-6, 0.1, 3.0, 15.0, 29.9, 30.0, 30.1, 50.0, 200.0, 1000.0};
    for (size_t i = 0; i < COUNT(places); i++) {
        double x = places[i];
        check_near("I0", owl_diel_bessel_i0e(x), bessel_integral(0, x), 1e-14);
        check_near("I1", owl_diel_bessel_i1e(x), bessel_integral(1, x), 1e-14);
        check_near("I0 even", owl_diel_bessel_i0e(-x), owl_diel_bessel_i0e(x), 0.0);
        check_near("I1 odd", owl_diel_bessel_i1e(-x), -owl_diel_bessel_i1e(x), 0.0);
    }
    check_near("far out", owl_diel_bessel_i0e(INFINITY), 0.0, 0.0);
    expect_nan(owl_diel_bessel_i0e(NAN));
    expect_nan(owl_diel_bessel_i1e(NAN));
}

/* cited: densities worked elsewhere; half the last digit. */
static void test_diel_von_mises_density(void **state)
{
    (void)state;
    static const double rows[][4] = {{2.0, 0.515885412, 0.06981749835, 0.009448770915},
                                     {10.0, 1.245019074, 5.652378e-5, 2.566176e-9},
                                     {0.5, 0.2467383574, 0.1496543787, 0.09076997}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        double kappa = rows[i][0];
        check_cited_relative("fisher1993", "density at mean", owl_diel_von_mises(0.0, 0.0, kappa), rows[i][1], 1e-9);
        check_cited_relative("fisher1993", "density aside", owl_diel_von_mises(PI / 2.0, 0.0, kappa), rows[i][2],
                             1e-7);
        check_cited_relative("fisher1993", "density opposite", owl_diel_von_mises(1.0 + PI, 1.0, kappa), rows[i][3],
                             2e-7);
    }
    check_near("even", owl_diel_von_mises(1.0, 2.0, 0.0), 1.0 / (2.0 * PI), 1e-15);
    assert_true(isfinite(owl_diel_von_mises(0.0, 0.0, 1e5)));
    expect_nan(owl_diel_von_mises(0.0, 0.0, -0.1));
    expect_nan(owl_diel_von_mises(0.0, 0.0, INFINITY));
    expect_nan(owl_diel_von_mises(0.0, 0.0, NAN));
    expect_nan(owl_diel_von_mises(NAN, 0.0, 1.0));
}

/* cited: A and its exact inverse worked elsewhere; half the last digit. The piecewise fit would give 1.151 and 2.862.
 */
static void test_diel_a1_and_its_inverse(void **state)
{
    (void)state;
    static const double forward[][2] = {{1, 0.4463899659}, {2, 0.697774658}, {5, 0.893383137}, {10, 0.948599826}};
    static const double back[][2] = {{0.5, 1.159319921}, {0.8, 2.871286707}, {0.9, 5.304689063}};
    for (size_t i = 0; i < COUNT(forward); i++)
        check_cited("fisher1993", "A", owl_diel_a1(forward[i][0]), forward[i][1], 6e-10);
    for (size_t i = 0; i < COUNT(back); i++)
        check_cited("fisher1993", "A inverse", owl_diel_a1_inverse(back[i][0]), back[i][1], 5e-10);
}

/* identity: the inverse undoes A over ten decades; ends and outside. */
static void test_diel_a1_inverse_undoes_it(void **state)
{
    (void)state;
    for (double kappa = 1e-4; kappa < 1e6; kappa *= 1.7)
        check_near("kappa", owl_diel_a1_inverse(owl_diel_a1(kappa)) / kappa, 1.0, 1e-9 + 1e-15 * kappa);
    check_near("none", owl_diel_a1(0.0), 0.0, 0.0);
    check_near("all", owl_diel_a1(INFINITY), 1.0, 0.0);
    check_near("none back", owl_diel_a1_inverse(0.0), 0.0, 1e-15);
    check_near("all back", owl_diel_a1_inverse(1.0), INFINITY, 0.0);
    assert_true(owl_diel_a1_inverse(1.0 - 1e-15) > 1e14);
    expect_nan(owl_diel_a1(-1.0));
    expect_nan(owl_diel_a1(NAN));
    expect_nan(owl_diel_a1_inverse(-0.1));
    expect_nan(owl_diel_a1_inverse(1.1));
    expect_nan(owl_diel_a1_inverse(NAN));
}

/* cited: mean direction, lengths, Rayleigh's z and concentration of the printed data, worked elsewhere; half the last
   digit, the whole of it for z, which is cut, not rounded. */
static void test_diel_mean_of_the_printed_data(void **state)
{
    (void)state;
    struct owl_diel_sample sample = {arrivals(), ARRIVALS, 0.0};
    struct owl_diel_mean mean = owl_diel_moment(&sample, 1);
    check_cited("fisher1993", "mean direction h", mean.direction_rad / HOUR, 17.25791692, 5e-9);
    check_cited("fisher1993", "resultant length", mean.length, 0.3173028543, 5e-11);
    check_cited("fisher1993", "second length", owl_diel_moment(&sample, 2).length, 0.07213291953, 5e-12);
    check_cited("fisher1993", "rayleigh z", owl_diel_rayleigh(&sample), 25.572999, 1e-6);
    check_cited("fisher1993", "kappa", owl_diel_a1_inverse(mean.length), 0.6695177, 5e-8);
}

/* cited: kernel densities of the printed data for three nu, worked elsewhere by two programs; half the last digit. */
static void test_diel_kernel_densities_of_the_printed_data(void **state)
{
    (void)state;
    static const double rows[][9] = {
        {10, 0.130304, 0.116627, 0.034863, 0.090947, 0.207938, 0.233037, 0.241929, 0.211587},
        {5, 0.142640, 0.106167, 0.049987, 0.100395, 0.195420, 0.233891, 0.240296, 0.204049},
        {50, 0.106009, 0.115296, 0.015853, 0.059253, 0.239298, 0.192992, 0.232149, 0.221205}};
    for (size_t i = 0; i < COUNT(rows); i++)
        for (int k = 0; k < 8; k++) {
            struct owl_diel_sample sample = {arrivals(), ARRIVALS, rows[i][0]};
            check_cited("fisher1993", "kernel density", owl_diel_kernel_density(&sample, 3.0 * k * HOUR),
                        rows[i][k + 1], 5e-7);
        }
}

/* cited: the largest kappa of three moments, whose outside root-finder stops at 1.2e-4, and the plug-in nu of it
   (1e-3 by that) and of another kappa; else half the last digit. */
static void test_diel_bandwidth_of_the_printed_data(void **state)
{
    (void)state;
    struct owl_diel_sample sample = {arrivals(), ARRIVALS, 0.0};
    double kappa = owl_diel_kappa(&sample);
    check_cited("ridout2009", "largest kappa", kappa, 1.84026, 1.2e-4);
    check_cited("taylor2008", "nu", owl_diel_taylor_nu(ARRIVALS, kappa), 11.0194, 1e-3);
    check_cited("taylor2008", "nu of a lesser kappa", owl_diel_taylor_nu(ARRIVALS, 0.66923), 2.5156, 5e-5);
}

/* cited: activity level of the printed data; half the last digit. */
static void test_diel_activity_level_of_the_printed_data(void **state)
{
    (void)state;
    struct owl_diel_sample sample = {arrivals(), ARRIVALS, 11.0194};
    check_cited("rowcliffe2014", "activity level", owl_diel_activity_level(&sample), 0.61292, 5e-6);
}

/* cited: overlap of von Mises densities, each the kernel of a sample of one; the grid of 512 costs 1e-5 at the
 * crossings. */
static void test_diel_overlap_of_two_curves(void **state)
{
    (void)state;
    const double times[] = {PI / 2.0, PI, 0.0};
    struct owl_diel_sample a = {&times[0], 1, 2.0}, b = {&times[1], 1, 3.0}, even = {&times[0], 1, 0.0},
                           one = {&times[2], 1, 1.0};
    check_cited("ridout2009", "two peaks", owl_diel_overlap_grid(&a, &b), 0.2770198949, 1e-5);
    check_cited("ridout2009", "peak and even", owl_diel_overlap_grid(&even, &one), 0.7112673962, 1e-5);
    check_near("itself", owl_diel_overlap_grid(&a, &a), 1.0, 1e-12);
    check_near("itself at points", owl_diel_overlap_points(&a, &a), 1.0, 0.0);
}

/* Takes from `from` those of one parity (parity 0, 1), or hours below `below`, or from `above` on. */
static int take(const double *from, int parity, double below, double above, double *kept)
{
    int count = 0;
    for (int i = 0; i < ARRIVALS; i++)
        if ((parity < 0 || i % 2 == parity) && from[i] < below * HOUR - 1e-9 && from[i] > above * HOUR - 1e-9)
            kept[count++] = from[i];
    return count;
}

/* cited: both estimators on two splits of the printed data and on two small samples, worked elsewhere; the last
   digit, the programs' own grids being 128 and more. */
static void test_diel_overlap_of_samples(void **state)
{
    (void)state;
    static double first[ARRIVALS], second[ARRIVALS];
    const double *all = arrivals();
    struct owl_diel_sample a = {first, take(all, 0, 25.0, -1.0, first), 10.0},
                           b = {second, take(all, 1, 25.0, -1.0, second), 10.0};
    check_cited("ridout2009", "odd and even, grid", owl_diel_overlap_grid(&a, &b), 0.902305, 1e-4);
    check_cited("ridout2009", "odd and even, points", owl_diel_overlap_points(&a, &b), 0.890047, 5e-7);
    a.count = take(all, -1, 15.0, -1.0, first);
    b.count = take(all, -1, 25.0, 12.0, second);
    assert_int_equal(a.count, 120);
    assert_int_equal(b.count, 179);
    check_cited("ridout2009", "early and late, grid", owl_diel_overlap_grid(&a, &b), 0.357144, 1e-4);
    check_cited("ridout2009", "early and late, points", owl_diel_overlap_points(&a, &b), 0.331824, 5e-7);
    const double x[] = {20 * HOUR, 21 * HOUR, 22 * HOUR, 23 * HOUR, 1 * HOUR, 2 * HOUR};
    const double y[] = {18 * HOUR, 19 * HOUR, 20 * HOUR, 21 * HOUR, 22 * HOUR, 5 * HOUR};
    struct owl_diel_sample small = {x, 6, 8.0}, other = {y, 6, 8.0};
    check_cited("ridout2009", "small, grid", owl_diel_overlap_grid(&small, &other), 0.580012, 1e-4);
    check_cited("ridout2009", "small, points", owl_diel_overlap_points(&small, &other), 0.560471, 5e-7);
    check_cited("ridout2009", "kernel 22 h", owl_diel_kernel_density(&small, 22 * HOUR), 0.551026, 5e-7);
    check_cited("ridout2009", "kernel 0 h", owl_diel_kernel_density(&small, 24 * HOUR), 0.429411, 5e-7);
}

/* identity: overlap does not ask which sample comes first; evenly spread times have no direction; one time is all of
 * it. */
static void test_diel_limits_of_samples(void **state)
{
    (void)state;
    const double cross[] = {0.0, PI / 2.0, PI, 1.5 * PI}, one[] = {-1.0};
    struct owl_diel_sample even = {cross, 4, 6.0}, single = {one, 1, 3.0};
    check_near("symmetry", owl_diel_overlap_grid(&even, &single), owl_diel_overlap_grid(&single, &even), 1e-15);
    check_near("symmetry", owl_diel_overlap_points(&even, &single), owl_diel_overlap_points(&single, &even), 1e-15);
    check_near("no length", owl_diel_moment(&even, 1).length, 0.0, 1e-12);
    expect_nan(owl_diel_moment(&even, 1).direction_rad);
    check_near("direction", owl_diel_moment(&single, 1).direction_rad, 2.0 * PI - 1.0, 1e-12);
    check_near("length", owl_diel_moment(&single, 1).length, 1.0, 1e-15);
    assert_true(owl_diel_kappa(&single) > 1e12);
    even.nu = 0.0;
    check_near("even activity", owl_diel_activity_level(&even), 1.0, 1e-12);
    check_near("flat kappa", owl_diel_taylor_nu(10, 0.0), 0.0, 0.0);
}

/* identity: no sample, a kernel that is none, a time that is none: no answer. */
static void test_diel_samples_know_their_domain(void **state)
{
    (void)state;
    const double times[] = {1.0, NAN};
    struct owl_diel_sample good = {times, 1, 2.0};
    const struct owl_diel_sample bad[] = {
        {times, 0, 2.0}, {times, 1, -1.0}, {times, 1, NAN}, {times, 1, INFINITY}, {times, 2, 2.0}};
    for (size_t i = 0; i < COUNT(bad); i++) {
        expect_nan(owl_diel_kernel_density(&bad[i], 0.0));
        expect_nan(owl_diel_activity_level(&bad[i]));
        expect_nan(owl_diel_overlap_grid(&bad[i], &good));
        expect_nan(owl_diel_overlap_grid(&good, &bad[i]));
        expect_nan(owl_diel_overlap_points(&bad[i], &good));
        expect_nan(owl_diel_overlap_points(&good, &bad[i]));
    }
    expect_nan(owl_diel_moment(&bad[0], 1).length);
    expect_nan(owl_diel_moment(&good, 0).length);
    expect_nan(owl_diel_moment(&bad[4], 1).length);
    expect_nan(owl_diel_rayleigh(&bad[0]));
    expect_nan(owl_diel_kappa(&bad[0]));
    expect_nan(owl_diel_kappa(&bad[4]));
    expect_nan(owl_diel_taylor_nu(0, 1.0));
    expect_nan(owl_diel_taylor_nu(5, -1.0));
    expect_nan(owl_diel_taylor_nu(5, NAN));
}

/* cited: four times anchored by hand with the printed formula, hours; half the last digit. */
static void test_diel_anchors_by_hand(void **state)
{
    (void)state;
    static const double rows[][6] = {{22, 4.5, 21.5, 6, 18, 18.85714},
                                     {3, 8, 16, 6, 18, 2.25},
                                     {20, 8, 16, 6, 18, 21.0},
                                     {12, 5.25, 19, 5.9, 18.4, 12.03636}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        const double *h = rows[i];
        double anchored_rad = owl_diel_anchor_rad(h[0] * HOUR, h[1] * HOUR, h[2] * HOUR, h[3] * HOUR, h[4] * HOUR);
        check_cited("vazquez2019", "anchored h", anchored_rad / HOUR, h[5], 5e-6);
    }
}

/* identity: sunrise and sunset fall on their anchors; the order of times is kept round the day, through midnight; a
   whole turn changes nothing; equal events and NaN have no answer. */
static void test_diel_anchored_day_keeps_its_order(void **state)
{
    (void)state;
    for (double rise = 0.5; rise < 12.0; rise += 1.7) {
        double set = 24.0 - rise / 2.0, last = 6.0 * HOUR;
        check_near("sunrise", owl_diel_anchor_rad(rise * HOUR, rise * HOUR, set * HOUR, 6 * HOUR, 18 * HOUR),
                   6 * HOUR, 1e-12);
        check_near("sunset", owl_diel_anchor_rad(set * HOUR, rise * HOUR, set * HOUR, 6 * HOUR, 18 * HOUR), 18 * HOUR,
                   1e-12);
        for (double t = rise + 0.1; t < rise + 23.95; t += 0.1) {
            double now = owl_diel_anchor_rad(t * HOUR, rise * HOUR, (set - 24.0) * HOUR, 6 * HOUR, 18 * HOUR);
            assert_true(now >= 0.0 && now < 2.0 * PI);
            double step = remainder(now - last, 2.0 * PI);
            assert_true(step > 0.0 && step < PI);
            last = now;
        }
    }
    expect_nan(owl_diel_anchor_rad(1.0, 2.0, 2.0, 1.5, 4.5));
    expect_nan(owl_diel_anchor_rad(1.0, 2.0, 3.0, 1.5, 1.5 + 0.0));
    expect_nan(owl_diel_anchor_rad(NAN, 2.0, 3.0, 1.5, 4.5));
    expect_nan(owl_diel_anchor_rad(1.0, NAN, 3.0, 1.5, 4.5));
}

/* identity: one anchor turns the day without stretching it. */
static void test_diel_turned_day(void **state)
{
    (void)state;
    check_near("event", owl_diel_turn_rad(21 * HOUR, 21 * HOUR, 18 * HOUR), 18 * HOUR, 1e-12);
    check_near("three hours on", owl_diel_turn_rad(24 * HOUR, 21 * HOUR, 18 * HOUR), 21 * HOUR, 1e-12);
    check_near("wrap", owl_diel_turn_rad(1 * HOUR, 21 * HOUR, 2 * HOUR), 6 * HOUR, 1e-12);
    expect_nan(owl_diel_turn_rad(NAN, 0.0, 0.0));
}

static double share_between(enum owl_animal_pattern pattern, double from_hour, double to_hour)
{
    double sum = 0.0;
    for (int i = 0; i < 4800; i++)
        sum += owl_diel_density(pattern, (from_hour + (to_hour - from_hour) * (i + 0.5) / 4800.0) * HOUR);
    return sum * (to_hour - from_hour) * HOUR / 4800.0;
}

/* pinned: every pattern sums to 1, is nowhere negative, repeats each day, and spends the share of the night
   that the header states, our own estimates. */
static void test_diel_patterns_spend_the_day_as_named(void **state)
{
    (void)state;
    static const double night[] = {
        [OWL_ACTIVE_NIGHT] = 0.90, [OWL_ACTIVE_DAY] = 0.10, [OWL_ACTIVE_TWILIGHT] = 0.57, [OWL_ACTIVE_ALWAYS] = 0.50};
    for (int pattern = OWL_ACTIVE_NIGHT; pattern <= OWL_ACTIVE_ALWAYS; pattern++) {
        enum owl_animal_pattern which = (enum owl_animal_pattern)pattern;
        check_near("whole", share_between(which, 0.0, 24.0), 1.0, 1e-9);
        check_near("night", share_between(which, 18.0, 30.0), night[pattern], 5e-3);
        for (double hour = 0.0; hour < 24.0; hour += 0.25) {
            double density = owl_diel_density(which, hour * HOUR);
            assert_true(density >= 0.0);
            check_near("next day", owl_diel_density(which, (hour + 24.0) * HOUR), density, 1e-12);
        }
    }
    assert_true(share_between(OWL_ACTIVE_TWILIGHT, 4.0, 8.0) + share_between(OWL_ACTIVE_TWILIGHT, 16.0, 20.0) > 0.8);
    expect_nan(owl_diel_density((enum owl_animal_pattern)7, 1.0));
    expect_nan(owl_diel_density(OWL_ACTIVE_NIGHT, NAN));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_diel_bessel_functions),
        cmocka_unit_test(test_diel_bessel_functions_are_their_integral),
        cmocka_unit_test(test_diel_von_mises_density),
        cmocka_unit_test(test_diel_a1_and_its_inverse),
        cmocka_unit_test(test_diel_a1_inverse_undoes_it),
        cmocka_unit_test(test_diel_mean_of_the_printed_data),
        cmocka_unit_test(test_diel_kernel_densities_of_the_printed_data),
        cmocka_unit_test(test_diel_bandwidth_of_the_printed_data),
        cmocka_unit_test(test_diel_activity_level_of_the_printed_data),
        cmocka_unit_test(test_diel_overlap_of_two_curves),
        cmocka_unit_test(test_diel_overlap_of_samples),
        cmocka_unit_test(test_diel_limits_of_samples),
        cmocka_unit_test(test_diel_samples_know_their_domain),
        cmocka_unit_test(test_diel_anchors_by_hand),
        cmocka_unit_test(test_diel_anchored_day_keeps_its_order),
        cmocka_unit_test(test_diel_turned_day),
        cmocka_unit_test(test_diel_patterns_spend_the_day_as_named),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
