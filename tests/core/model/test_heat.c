/* Radiation, response and range of the heat sensor against tables, a series for Planck's integral, limits and
   domains. The sensor's own figures are estimates: worked values show the formula, not the sensor. */
#include "core/model/heat.h"

#include <math.h>

#include "support/check.h"

#define COLD_K 273.15 /* 0 C */

static void expect_nan(double value)
{
    assert_true(isnan(value));
}

struct radiation_row {
    double temperature_k, total, band, total_slope, band_slope;
};

/* cited: exitance and its slope, whole and 8 to 14 um, integrated elsewhere from Planck's law; half the last
   digit. Slopes by central difference over 0.1 K, whose own error is below 1e-6. */
static void test_heat_exitance_follows_the_table(void **state)
{
    (void)state;
    static const struct radiation_row rows[] = {
        {263.15, 271.91, 91.538, 4.133, 1.778},
        {283.15, 364.48, 131.605, 5.149, 2.233},
        {303.15, 478.90, 180.989, 6.319, 2.708},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double t = rows[i].temperature_k, up = t + 0.05, down = t - 0.05;
        check_cited("planck", "exitance", owl_heat_exitance_w_m2(t), rows[i].total, 5e-3);
        check_cited("planck", "exitance in band", owl_heat_band_exitance_w_m2(t), rows[i].band, 5e-4);
        check_cited("planck", "slope", (owl_heat_exitance_w_m2(up) - owl_heat_exitance_w_m2(down)) / 0.1,
                    rows[i].total_slope, 5e-4);
        check_cited("planck", "slope in band", owl_heat_contrast_w_m2(up, down) / 0.1, rows[i].band_slope, 5e-4);
    }
}

/* cited: the textbook table of the share of black-body radiation below a wavelength times temperature:
   0.140256 at 2400 um K and 0.516014 at 4200 (8 and 14 um at 300 K), 0.019718 at 1600 and 0.227897 at 2800
   (at 200 K), from memory. Its older radiation constant shifts a share by up to 1.2e-5, so 2e-5 each. */
static void test_heat_band_share_follows_the_textbook(void **state)
{
    (void)state;
    double at_300 = owl_heat_band_exitance_w_m2(300.0) / owl_heat_exitance_w_m2(300.0);
    double at_200 = owl_heat_band_exitance_w_m2(200.0) / owl_heat_exitance_w_m2(200.0);
    check_cited("howell2010", "share 8 to 14 um at 300 K", at_300, 0.516014 - 0.140256, 4e-5);
    check_cited("howell2010", "share 8 to 14 um at 200 K", at_200, 0.227897 - 0.019718, 4e-5);
}

/* Share of black-body radiation below x = c2 / (wavelength T), by its series. */
static double share_below(double wavelength_m, double temperature_k)
{
    double x = 1.438776877e-2 / (wavelength_m * temperature_k), sum = 0.0, pi = acos(-1.0);
    for (int n = 1; n < 60; n++)
        sum += exp(-n * x) / n * (x * x * x + 3.0 * x * x / n + 6.0 * x / n / n + 6.0 / n / n / n);
    return 15.0 / (pi * pi * pi * pi) * sum;
}

/* identity: the integral equals the difference of two series, within the stated 1e-6 from 200 to 340 K. */
static void test_heat_band_equals_its_series(void **state)
{
    (void)state;
    for (double t = 200.0; t <= 340.0; t += 20.0) {
        double want = (share_below(14e-6, t) - share_below(8e-6, t)) * owl_heat_exitance_w_m2(t);
        check_near("band exitance", owl_heat_band_exitance_w_m2(t) / want, 1.0, 1e-6);
    }
}

struct contrast_row {
    double air_c, surface_c, total, band;
};

/* cited: contrasts worked elsewhere from Planck's law; half the last digit. */
static void test_heat_contrast_follows_the_table(void **state)
{
    (void)state;
    static const struct contrast_row rows[] = {
        {0, 5, 23.75, 10.298},    {10, 17, 37.40, 16.205},   {20, 25, 29.31, 12.641},
        {30, 32, 12.76, 5.464},   {35, 35.5, 3.33, 1.417},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double air_k = COLD_K + rows[i].air_c, surface_k = COLD_K + rows[i].surface_c;
        check_cited("planck", "contrast", owl_heat_exitance_w_m2(surface_k) - owl_heat_exitance_w_m2(air_k),
                    rows[i].total, 5.1e-3);
        check_cited("planck", "contrast in band", owl_heat_contrast_w_m2(surface_k, air_k), rows[i].band, 5e-4);
    }
}

/* identity: contrast changes sign with its sides and is 0 between equals; nothing radiates at 0 K. */
static void test_heat_contrast_is_odd(void **state)
{
    (void)state;
    check_near("odd", owl_heat_contrast_w_m2(280.0, 290.0), -owl_heat_contrast_w_m2(290.0, 280.0), 1e-12);
    check_near("equal", owl_heat_contrast_w_m2(285.0, 285.0), 0.0, 0.0);
    check_near("exitance at 0 K", owl_heat_exitance_w_m2(0.0), 0.0, 0.0);
    check_near("band at 0 K", owl_heat_band_exitance_w_m2(0.0), 0.0, 0.0);
    check_near("band at 1 K", owl_heat_band_exitance_w_m2(1.0), 0.0, 0.0);
}

/* cited: answer against its best, worked elsewhere from the paper's form with 0.15 and 1 s (times from
   memory; at 1 Hz by hand, 7.2257 / (1.3741 * 6.3623)); half the last digit. */
static void test_heat_response_follows_the_table(void **state)
{
    (void)state;
    static const double rows[][2] = {{0.05, 0.344}, {0.1, 0.609}, {0.2, 0.884}, {0.3, 0.978}, {1, 0.826},
                                     {2, 0.537},    {3, 0.383},   {5, 0.239},   {10, 0.121}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        check_cited("porter1981", "answer", owl_heat_response(rows[i][0]), rows[i][1], 5e-4);
}

/* identity: the answer is 1 at 0.411 Hz, less to both sides, and 0 for what does not move. */
static void test_heat_response_has_its_peak(void **state)
{
    (void)state;
    check_near("peak", owl_heat_response(0.41093629604), 1.0, 1e-12);
    assert_true(owl_heat_response(0.40) < 1.0 && owl_heat_response(0.42) < 1.0);
    check_near("still", owl_heat_response(0.0), 0.0, 0.0);
    assert_true(owl_heat_response(1e6) < 1e-5);
}

/* cited: zones of 6 degrees crossed, worked elsewhere; half the last digit. */
static void test_heat_crossing_follows_the_examples(void **state)
{
    (void)state;
    double pitch_rad = 6.0 * acos(-1.0) / 180.0;
    check_cited("heat-sensor", "1 m/s at 6 m Hz", owl_heat_crossing_hz(1.0, pitch_rad, 6.0), 1.592, 5e-4);
    check_cited("heat-sensor", "0.3 m/s at 10 m Hz", owl_heat_crossing_hz(0.3, pitch_rad, 10.0), 0.286, 5e-4);
    check_cited("heat-sensor", "4 m/s at 2 m Hz", owl_heat_crossing_hz(4.0, pitch_rad, 2.0), 19.1, 5e-2);
    check_near("straight at it", owl_heat_crossing_hz(0.0, pitch_rad, 6.0), 0.0, 0.0);
}

static double reference_hz(void)
{
    return 1.0 / (6.0 * acos(-1.0) / 180.0 * 12.0);
}

/* The contrast in the proportion of warmth, as the worked values take it. */
static double reference_contrast(double warmth_k)
{
    return owl_heat_contrast_w_m2(COLD_K + 23.5, COLD_K + 20.0) * warmth_k / 3.5;
}

/* cited: ranges of a sensor rated 12 m, worked elsewhere with contrast proportional to warmth and the
   reference's frequency; half the last digit. */
static void test_heat_range_follows_the_examples(void **state)
{
    (void)state;
    static const double rows[][3] = {{0.25, 6, 9.39}, {0.06, 5, 4.20}, {0.25, 1, 3.83}, {0.01, 4, 1.53}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct owl_heat_target target = {rows[i][0], reference_contrast(rows[i][1]), reference_hz()};
        check_cited("heat-sensor", "range m", owl_heat_range_m(12.0, &target), rows[i][2], 5e-3);
    }
}

/* identity: Planck's own contrast of 6 K over 20 C differs from the proportional one by less than 1 % of the
   range, so the worked values hold for it too. */
static void test_heat_range_with_true_contrast(void **state)
{
    (void)state;
    struct owl_heat_target target = {0.25, owl_heat_contrast_w_m2(COLD_K + 26.0, COLD_K + 20.0), reference_hz()};
    check_near("range m", owl_heat_range_m(12.0, &target), 9.39, 0.0939);
}

/* identity: the reference itself is noticed at the rated range; four times the area doubles it until the cap
   of 1.5; a cold body counts as a warm one; none without contrast or movement. */
static void test_heat_range_scales(void **state)
{
    (void)state;
    struct owl_heat_target target = {0.7, reference_contrast(3.5), reference_hz()};
    check_near("reference", owl_heat_range_m(12.0, &target), 12.0, 1e-9);
    check_near("another rating", owl_heat_range_m(20.0, &target), 20.0, 1e-9);
    target.contrast_w_m2 = -target.contrast_w_m2;
    check_near("colder than its background", owl_heat_range_m(12.0, &target), 12.0, 1e-9);
    target.area_m2 = 0.7 / 4.0;
    check_near("a quarter of the area", owl_heat_range_m(12.0, &target), 6.0, 1e-9);
    target.area_m2 = 0.7 * 100.0;
    check_near("cap", owl_heat_range_m(12.0, &target), 18.0, 1e-12);
    target.crossing_hz = 0.0;
    check_near("no movement across", owl_heat_range_m(12.0, &target), 0.0, 0.0);
    target = (struct owl_heat_target){0.7, 0.0, reference_hz()};
    check_near("no contrast", owl_heat_range_m(12.0, &target), 0.0, 0.0);
}

/* identity: the area is the body's when the zone is larger, the zone's when the body is, and either way for
   each side by itself. */
static void test_heat_visible_area_is_the_smaller(void **state)
{
    (void)state;
    check_near("body in zone", owl_heat_visible_area_m2(0.6, 0.4, 0.1, 1.0, 10.0), 0.24, 1e-15);
    check_near("zone on body", owl_heat_visible_area_m2(0.6, 0.4, 0.1, 0.1, 2.0), 0.04, 1e-15);
    check_near("zone narrow, fan high", owl_heat_visible_area_m2(0.6, 0.4, 0.1, 1.0, 2.0), 0.08, 1e-15);
    check_near("zone wide, fan low", owl_heat_visible_area_m2(0.6, 0.4, 0.5, 0.1, 2.0), 0.12, 1e-15);
    check_near("at the sensor", owl_heat_visible_area_m2(0.6, 0.4, 0.1, 1.0, 0.0), 0.0, 0.0);
}

/* identity: two pulses take one period, none only the electronics; what stands still is never counted. */
static void test_heat_latency_counts_half_periods(void **state)
{
    (void)state;
    check_near("two pulses", owl_heat_latency_s(2.0, 1.6, 0.05), 1.0 / 1.6 + 0.05, 1e-15);
    check_near("one pulse", owl_heat_latency_s(1.0, 1.6, 0.0), 0.5 / 1.6, 1e-15);
    check_near("no pulse", owl_heat_latency_s(0.0, 1.6, 0.05), 0.05, 1e-15);
    check_near("still", owl_heat_latency_s(2.0, 0.0, 0.05), INFINITY, 0.0);
}

/* identity: our own line: 4 K at 10 C, half of it half way to the body, 0 at body heat and above, never more
   than 10 K. */
static void test_heat_coat_excess_falls_with_warmth(void **state)
{
    (void)state;
    check_near("10 C", owl_heat_coat_excess_k(COLD_K + 10.0, OWL_HEAT_BODY_K), 4.0, 1e-12);
    check_near("23.5 C", owl_heat_coat_excess_k(COLD_K + 23.5, OWL_HEAT_BODY_K), 2.0, 1e-12);
    check_near("body heat", owl_heat_coat_excess_k(OWL_HEAT_BODY_K, OWL_HEAT_BODY_K), 0.0, 0.0);
    check_near("hotter", owl_heat_coat_excess_k(COLD_K + 45.0, OWL_HEAT_BODY_K), 0.0, 0.0);
    check_near("polar night", owl_heat_coat_excess_k(COLD_K - 60.0, OWL_HEAT_BODY_K), 10.0, 0.0);
}

/* identity: infinitely fast is not noticed, whatever it radiates; no area against infinite contrast has no
   range, not the cap. */
static void test_heat_range_at_infinity(void **state)
{
    (void)state;
    check_near("answer", owl_heat_response(INFINITY), 0.0, 0.0);
    struct owl_heat_target target = {0.7, reference_contrast(3.5), INFINITY};
    check_near("infinitely fast", owl_heat_range_m(12.0, &target), 0.0, 0.0);
    target = (struct owl_heat_target){0.7, INFINITY, reference_hz()};
    check_near("infinitely hot", owl_heat_range_m(12.0, &target), 18.0, 0.0);
    target.area_m2 = 0.0;
    expect_nan(owl_heat_range_m(12.0, &target));
}

/* identity: outside their domains the formulas of radiation and coat give NaN. */
static void test_heat_radiation_outside_its_domain(void **state)
{
    (void)state;
    expect_nan(owl_heat_exitance_w_m2(-1.0));
    expect_nan(owl_heat_exitance_w_m2(NAN));
    expect_nan(owl_heat_band_exitance_w_m2(-1.0));
    expect_nan(owl_heat_contrast_w_m2(-1.0, 280.0));
    expect_nan(owl_heat_contrast_w_m2(280.0, NAN));
    expect_nan(owl_heat_coat_excess_k(NAN, 310.0));
    expect_nan(owl_heat_coat_excess_k(0.0, 310.0));
    expect_nan(owl_heat_coat_excess_k(280.0, 283.15));
}

/* identity: outside their domains the sensor's formulas give NaN, never a range that looks real. */
static void test_heat_sensor_outside_its_domain(void **state)
{
    (void)state;
    expect_nan(owl_heat_response(-0.1));
    expect_nan(owl_heat_crossing_hz(-1.0, 0.1, 5.0));
    expect_nan(owl_heat_crossing_hz(1.0, 0.0, 5.0));
    expect_nan(owl_heat_crossing_hz(1.0, 0.1, 0.0));
    for (int i = 0; i < 5; i++) {
        double in[] = {0.6, 0.4, 0.1, 1.0, 5.0};
        in[i] = -1.0;
        expect_nan(owl_heat_visible_area_m2(in[0], in[1], in[2], in[3], in[4]));
    }
    for (int i = 0; i < 3; i++) {
        double in[] = {2.0, 1.0, 0.05};
        in[i] = i == 1 ? NAN : -1.0;
        expect_nan(owl_heat_latency_s(in[0], in[1], in[2]));
    }
    const struct owl_heat_target wrong[] = {{-0.1, 8.0, 1.0}, {0.7, NAN, 1.0}, {0.7, 8.0, -1.0}, {NAN, 8.0, 1.0}};
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++)
        expect_nan(owl_heat_range_m(12.0, &wrong[i]));
    const struct owl_heat_target right = {0.7, 8.0, 1.0};
    expect_nan(owl_heat_range_m(-12.0, &right));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_heat_exitance_follows_the_table),
        cmocka_unit_test(test_heat_band_share_follows_the_textbook),
        cmocka_unit_test(test_heat_band_equals_its_series),
        cmocka_unit_test(test_heat_contrast_follows_the_table),
        cmocka_unit_test(test_heat_contrast_is_odd),
        cmocka_unit_test(test_heat_response_follows_the_table),
        cmocka_unit_test(test_heat_response_has_its_peak),
        cmocka_unit_test(test_heat_crossing_follows_the_examples),
        cmocka_unit_test(test_heat_range_follows_the_examples),
        cmocka_unit_test(test_heat_range_with_true_contrast),
        cmocka_unit_test(test_heat_range_scales),
        cmocka_unit_test(test_heat_range_at_infinity),
        cmocka_unit_test(test_heat_visible_area_is_the_smaller),
        cmocka_unit_test(test_heat_latency_counts_half_periods),
        cmocka_unit_test(test_heat_coat_excess_falls_with_warmth),
        cmocka_unit_test(test_heat_radiation_outside_its_domain),
        cmocka_unit_test(test_heat_sensor_outside_its_domain),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
