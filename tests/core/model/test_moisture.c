/* Vapour, silica gel, sky cooling and window against printed tables, values worked elsewhere, limits and
   domains. */
#include "core/model/moisture.h"

#include <math.h>

#include "support/check.h"

#define DAY_S 86400.0

static double kelvin(double celsius)
{
    return celsius + 273.15;
}

static void expect_nan(double value)
{
    assert_true(isnan(value));
}

/* cited: saturation over water in hPa, worked elsewhere from the paper's equation 21 (coefficients seen in a
   public transcription); half the last digit. */
static void test_moisture_saturation_follows_the_paper(void **state)
{
    (void)state;
    static const double rows[][2] = {{-10, 2.868}, {0, 6.109}, {10, 12.260}, {20, 23.334}, {30, 42.367}, {40, 73.747}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        check_cited("alduchov1996", "over water hPa", owl_moisture_saturation_pa(kelvin(rows[i][0])) / 100.0,
                    rows[i][1], 5.1e-4);
    check_cited("alduchov1996", "over ice at -10 C hPa", owl_moisture_saturation_ice_pa(kelvin(-10)) / 100.0, 2.597, 5e-4);
    check_cited("alduchov1996", "over ice at -20 C hPa", owl_moisture_saturation_ice_pa(kelvin(-20)) / 100.0, 1.031, 5e-4);
}

/* cited: printed tables of steam (hPa at 0, 10, 20, 30, 40 C) and of vapour over ice (0, -10, -20, -30 C), from
   memory; within the paper's stated 0.4 %. */
static void test_moisture_saturation_follows_steam_tables(void **state)
{
    (void)state;
    static const double water[] = {6.11, 12.28, 23.39, 42.47, 73.85}, ice[] = {6.11, 2.60, 1.033, 0.3801};
    for (int i = 0; i < 5; i++)
        check_cited_relative("steam-table", "over water hPa", owl_moisture_saturation_pa(kelvin(10.0 * i)) / 100.0,
                             water[i], 4e-3);
    for (int i = 0; i < 4; i++)
        check_cited_relative("steam-table", "over ice hPa", owl_moisture_saturation_ice_pa(kelvin(-10.0 * i)) / 100.0,
                             ice[i], 4e-3);
}

/* identity: ice holds less vapour than water at every frost, and as much (within 0.1 %) at 0 C. */
static void test_moisture_ice_is_drier_than_water(void **state)
{
    (void)state;
    for (double celsius = -40.0; celsius < -0.5; celsius += 1.0)
        assert_true(owl_moisture_saturation_ice_pa(kelvin(celsius)) < owl_moisture_saturation_pa(kelvin(celsius)));
    check_near("0 C", owl_moisture_saturation_ice_pa(273.15) / owl_moisture_saturation_pa(273.15), 1.0, 1e-3);
}

/* cited: dew points in C worked elsewhere from the paper's equation; half the last digit. */
static void test_moisture_dew_point_follows_the_table(void **state)
{
    (void)state;
    static const double rows[][3] = {{20, 0.50, 9.261}, {10, 0.80, 6.708}, {0, 0.90, -1.444}, {30, 0.70, 23.930}, {25, 0.40, 10.465}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        check_cited("alduchov1996", "dew point C", owl_moisture_dew_point_k(kelvin(rows[i][0]), rows[i][1]) - 273.15,
                    rows[i][2], 5.1e-4);
}

/* identity: air at its dew point holds what it holds; saturated air is at it; frosts of -60 C have one too. */
static void test_moisture_dew_point_saturates(void **state)
{
    (void)state;
    for (double celsius = -60.0; celsius <= 50.0; celsius += 10.0) {
        double dew_k = owl_moisture_dew_point_k(kelvin(celsius), 0.6);
        check_near("vapour kept", owl_moisture_saturation_pa(dew_k) / owl_moisture_saturation_pa(kelvin(celsius)), 0.6, 1e-12);
        check_near("saturated", owl_moisture_dew_point_k(kelvin(celsius), 1.0), kelvin(celsius), 1e-9);
    }
}

/* identity: the dew point never lies above the air, not by the last digit, so saturated air wets nothing as warm
   as itself. */
static void test_moisture_dew_point_is_never_above_the_air(void **state)
{
    (void)state;
    for (double air_k = 220.0; air_k < 330.0; air_k += 0.0137)
        assert_false(owl_moisture_condenses(air_k, owl_moisture_dew_point_k(air_k, 1.0)));
}

/* cited: saturated air in g/m3, worked elsewhere; half the last digit. */
static void test_moisture_density_follows_the_table(void **state)
{
    (void)state;
    static const double rows[][2] = {{0, 4.846}, {10, 9.382}, {20, 17.247}, {30, 30.282}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double air_k = kelvin(rows[i][0]);
        check_cited("alduchov1996", "saturated air g/m3",
                    1e3 * owl_moisture_density_kg_m3(owl_moisture_saturation_pa(air_k), air_k), rows[i][1], 5.1e-4);
    }
}

/* cited: the gas law with 18.015 g/mol and 8.3145 J/(mol K): 1 kPa at 300 K is 7.2223 g/m3; the rounded factor
   lies 0.01 % above. */
static void test_moisture_density_is_the_gas_law(void **state)
{
    (void)state;
    check_cited("codata2018", "1 kPa at 300 K g/m3", 1e3 * owl_moisture_density_kg_m3(1000.0, 300.0),
                1000.0 * 18.015 / (8.3145 * 300.0), 1e-3);
}

/* pinned: silica gel at 20, 40, 60, 80 % (from memory, 12, 23, 32, 36 % of its mass), linear between, saturated
   within the printed 37 to 40 %. */
static void test_moisture_desiccant_share_follows_its_points(void **state)
{
    (void)state;
    static const double rows[][2] = {{0.0, 0.0}, {0.1, 0.06}, {0.2, 0.12}, {0.4, 0.23}, {0.5, 0.275}, {0.6, 0.32}, {0.8, 0.36}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        check_near("uptake", owl_moisture_desiccant_share(rows[i][0]), rows[i][1], 1e-12);
    assert_true(owl_moisture_desiccant_share(1.0) >= 0.37 && owl_moisture_desiccant_share(1.0) <= 0.40);
    for (int percent = 1; percent <= 100; percent++)
        assert_true(owl_moisture_desiccant_share(percent / 100.0) > owl_moisture_desiccant_share((percent - 1) / 100.0));
}

/* cited: a tight box of 6 l, 20 K a day, 10 C at 85 %, worked elsewhere: 3.38 mg a day, 0.203 g in 60 days, 1.01 g
   of gel; half the last digit. */
static void test_moisture_intake_follows_the_example(void **state)
{
    (void)state;
    const struct owl_moisture_box box = {0.006, 20.0, 283.15, 0.85, INFINITY};
    double intake_kg = owl_moisture_intake_kg(&box, 60.0 * DAY_S);
    check_cited("din55474", "mg a day", 1e6 * owl_moisture_intake_kg(&box, DAY_S), 3.38, 5e-3);
    check_cited("din55474", "g in 60 days", 1e3 * intake_kg, 0.203, 5e-4);
    check_cited("din55474", "g of gel", 1e3 * owl_moisture_desiccant_kg(intake_kg), 1.01, 5e-3);
}

/* identity: a leak brings the vapour between outside and 40 % once in its time, dries where it is drier outside,
   and nothing comes in at 40 %, without swing, or in no time. */
static void test_moisture_intake_by_leak(void **state)
{
    (void)state;
    struct owl_moisture_box box = {0.006, 0.0, 293.15, 0.90, 30.0 * DAY_S};
    check_near("once", owl_moisture_intake_kg(&box, 30.0 * DAY_S), 0.006 * 17.247e-3 * 0.5, 5e-9);
    box.humidity = 0.40;
    check_near("as inside", owl_moisture_intake_kg(&box, 30.0 * DAY_S), 0.0, 0.0);
    box.humidity = 0.10;
    check_near("drier outside", owl_moisture_intake_kg(&box, 30.0 * DAY_S), 0.0, 0.0);
    box.humidity = 0.90;
    check_near("no time", owl_moisture_intake_kg(&box, 0.0), 0.0, 0.0);
    box.day_swing_k = 20.0;
    double both_kg = owl_moisture_intake_kg(&box, DAY_S);
    box.leak_time_s = INFINITY;
    assert_true(both_kg > owl_moisture_intake_kg(&box, DAY_S));
}

/* cited: emissivity 0.772 at a dew point of 5 C and 0.741 at 0 C (from memory); half the last digit. */
static void test_moisture_sky_emissivity_follows_the_paper(void **state)
{
    (void)state;
    check_cited("berdahl1982", "emissivity at 5 C", owl_moisture_sky_emissivity(kelvin(5)), 0.772, 5e-4);
    check_cited("berdahl1982", "emissivity at 0 C", owl_moisture_sky_emissivity(kelvin(0)), 0.741, 5e-4);
    check_near("steaming", owl_moisture_sky_emissivity(kelvin(60)), 1.0, 0.0);
    check_near("no vapour", owl_moisture_sky_emissivity(kelvin(-150)), 0.0, 0.0);
}

struct cooling_row {
    double air_c, dew_c, exchange, view, cooling_k;
};

/* cited: worked elsewhere for a surface of emissivity 0.95 whose view beside the sky is as warm as the air; half
   the last digit. */
static void test_moisture_sky_cooling_follows_the_table(void **state)
{
    (void)state;
    static const struct cooling_row rows[] = {
        {10, 5, 10, 1, -5.35}, {10, 5, 5, 1, -8.15}, {10, 5, 20, 1, -3.18}, {10, 5, 10, 0.5, -2.66}, {0, -5, 6, 1, -8.53},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        check_cited("berdahl1982", "cooling K",
                    owl_moisture_sky_cooling_k(kelvin(rows[i].air_c), kelvin(rows[i].dew_c), rows[i].exchange, rows[i].view),
                    rows[i].cooling_k, 5e-3);
}

/* identity: no sky, no cooling; a sky as black as the air's warmth, none either; more view and calmer air cool
   more; and the heat radiated equals the heat taken from the air. */
static void test_moisture_sky_cooling_balances(void **state)
{
    (void)state;
    check_near("no sky", owl_moisture_sky_cooling_k(kelvin(5), kelvin(2), 6.0, 0.0), 0.0, 1e-9);
    check_near("black sky", owl_moisture_sky_cooling_k(kelvin(45), kelvin(44), 6.0, 1.0), 0.0, 1e-9);
    double last_k = 0.0;
    for (double view = 0.1; view < 1.0; view += 0.1) {
        double cooling_k = owl_moisture_sky_cooling_k(kelvin(5), kelvin(2), 6.0, view);
        double surface_k = kelvin(5) + cooling_k, seen = view * (0.741 + 0.0062 * 2.0) + 1.0 - view;
        double lost = 0.95 * 5.670374e-8 * (pow(surface_k, 4) - seen * pow(kelvin(5), 4));
        assert_true(cooling_k < last_k);
        check_near("balance W/m2", lost + 6.0 * cooling_k, 0.0, 1e-4);
        last_k = cooling_k;
    }
    assert_true(owl_moisture_sky_cooling_k(kelvin(5), kelvin(2), 5.0, 0.5) < owl_moisture_sky_cooling_k(kelvin(5), kelvin(2), 20.0, 0.5));
}

/* identity: the balance holds from a gale to next to no air, under a sky that sends nothing, to 1e-9 K as halving
   finds it. */
static void test_moisture_sky_cooling_balances_without_air(void **state)
{
    (void)state;
    for (double exchange = 1e-9; exchange < 100.0; exchange *= 10.0) {
        double low_k = 0.0, high_k = 290.0;
        for (int i = 0; i < 100; i++) {
            double k = 0.5 * (low_k + high_k);
            if (0.95 * 5.670374419e-8 * pow(k, 4) > exchange * (290.0 - k))
                high_k = k;
            else
                low_k = k;
        }
        check_near("surface K", 290.0 + owl_moisture_sky_cooling_k(290.0, 100.0, exchange, 1.0), low_k, 1e-9);
    }
}

/* identity: dew needs a surface colder than the dew point; as cold is not enough, unknown is no dew. */
static void test_moisture_condenses_below_the_dew_point(void **state)
{
    (void)state;
    assert_true(owl_moisture_condenses(278.0, 279.0));
    assert_false(owl_moisture_condenses(279.0, 279.0));
    assert_false(owl_moisture_condenses(280.0, 279.0));
    assert_false(owl_moisture_condenses(NAN, 279.0));
}

/* Full diagonal field of a lens focused far off. */
static double field_rad(double diagonal_mm, double focal_mm)
{
    return 2.0 * atan(diagonal_mm / 2.0 / focal_mm);
}

/* cited: clear widths in mm worked elsewhere for diagonals of 43.27 and 28.2 mm; the printed angle is rounded to
   0.01 degrees, which moves the width by up to 0.008 mm. */
static void test_moisture_port_follows_the_examples(void **state)
{
    (void)state;
    check_cited("port-cone", "24 mm f/2.8", 1e3 * owl_moisture_port_diameter_m(0.024, 2.8, field_rad(43.267, 24), 0.045), 89.70, 0.013);
    check_cited("port-cone", "50 mm f/4", 1e3 * owl_moisture_port_diameter_m(0.050, 4.0, field_rad(43.267, 50), 0.060), 64.42, 0.013);
    check_cited("port-cone", "18 mm f/4", 1e3 * owl_moisture_port_diameter_m(0.018, 4.0, field_rad(28.2, 18), 0.040), 67.17, 0.013);
}

/* identity: a window at the pupil, or a field of no width, needs the pupil alone. */
static void test_moisture_port_holds_the_pupil(void **state)
{
    (void)state;
    check_near("at the pupil", owl_moisture_port_diameter_m(0.050, 4.0, 1.0, 0.0), 0.0125, 1e-15);
    check_near("no field", owl_moisture_port_diameter_m(0.050, 4.0, 0.0, 0.060), 0.0125, 1e-15);
}

/* identity: outside the domains of vapour and gel NaN comes out. */
static void test_moisture_vapour_outside_its_domain(void **state)
{
    (void)state;
    expect_nan(owl_moisture_saturation_pa(30.0));
    expect_nan(owl_moisture_saturation_pa(NAN));
    expect_nan(owl_moisture_saturation_ice_pa(kelvin(0.1)));
    expect_nan(owl_moisture_saturation_ice_pa(0.0));
    expect_nan(owl_moisture_dew_point_k(290.0, 0.0));
    expect_nan(owl_moisture_dew_point_k(290.0, 1.01));
    expect_nan(owl_moisture_dew_point_k(290.0, NAN));
    expect_nan(owl_moisture_dew_point_k(30.0, 0.5));
    expect_nan(owl_moisture_density_kg_m3(-1.0, 290.0));
    expect_nan(owl_moisture_density_kg_m3(1000.0, 0.0));
    expect_nan(owl_moisture_desiccant_share(-0.01));
    expect_nan(owl_moisture_desiccant_share(1.01));
    expect_nan(owl_moisture_desiccant_share(NAN));
    expect_nan(owl_moisture_desiccant_kg(-1.0));
    expect_nan(owl_moisture_desiccant_kg(NAN));
}

/* identity: a box of unknown or impossible making takes in NaN, not nothing. */
static void test_moisture_box_outside_its_domain(void **state)
{
    (void)state;
    const struct owl_moisture_box right = {0.006, 20.0, 283.15, 0.85, 1e6};
    struct owl_moisture_box wrong[] = {right, right, right, right, right, right, right};
    wrong[0].volume_m3 = -1.0;
    wrong[1].day_swing_k = -1.0;
    wrong[2].temperature_k = 0.0;
    wrong[3].humidity = 1.01;
    wrong[4].humidity = NAN;
    wrong[5].leak_time_s = 0.0;
    wrong[6].humidity = -0.01;
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++)
        expect_nan(owl_moisture_intake_kg(&wrong[i], DAY_S));
    expect_nan(owl_moisture_intake_kg(&right, -1.0));
}

/* identity: outside the domains of sky and window NaN comes out, never a surface as warm as the air. */
static void test_moisture_sky_and_port_outside_their_domain(void **state)
{
    (void)state;
    expect_nan(owl_moisture_sky_emissivity(NAN));
    expect_nan(owl_moisture_sky_cooling_k(280.0, NAN, 6.0, 1.0));
    expect_nan(owl_moisture_sky_cooling_k(0.0, 278.0, 6.0, 1.0));
    expect_nan(owl_moisture_sky_cooling_k(280.0, 278.0, 0.0, 1.0));
    expect_nan(owl_moisture_sky_cooling_k(280.0, 278.0, 6.0, -0.1));
    expect_nan(owl_moisture_sky_cooling_k(280.0, 278.0, 6.0, 1.01));
    expect_nan(owl_moisture_port_diameter_m(0.0, 4.0, 1.0, 0.05));
    expect_nan(owl_moisture_port_diameter_m(0.05, 0.0, 1.0, 0.05));
    expect_nan(owl_moisture_port_diameter_m(0.05, 4.0, -0.1, 0.05));
    expect_nan(owl_moisture_port_diameter_m(0.05, 4.0, acos(-1.0), 0.05));
    expect_nan(owl_moisture_port_diameter_m(0.05, 4.0, 1.0, -0.05));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_moisture_saturation_follows_the_paper),
        cmocka_unit_test(test_moisture_saturation_follows_steam_tables),
        cmocka_unit_test(test_moisture_ice_is_drier_than_water),
        cmocka_unit_test(test_moisture_dew_point_follows_the_table),
        cmocka_unit_test(test_moisture_dew_point_saturates),
        cmocka_unit_test(test_moisture_dew_point_is_never_above_the_air),
        cmocka_unit_test(test_moisture_density_follows_the_table),
        cmocka_unit_test(test_moisture_density_is_the_gas_law),
        cmocka_unit_test(test_moisture_desiccant_share_follows_its_points),
        cmocka_unit_test(test_moisture_intake_follows_the_example),
        cmocka_unit_test(test_moisture_intake_by_leak),
        cmocka_unit_test(test_moisture_sky_emissivity_follows_the_paper),
        cmocka_unit_test(test_moisture_sky_cooling_follows_the_table),
        cmocka_unit_test(test_moisture_sky_cooling_balances),
        cmocka_unit_test(test_moisture_sky_cooling_balances_without_air),
        cmocka_unit_test(test_moisture_condenses_below_the_dew_point),
        cmocka_unit_test(test_moisture_port_follows_the_examples),
        cmocka_unit_test(test_moisture_port_holds_the_pupil),
        cmocka_unit_test(test_moisture_vapour_outside_its_domain),
        cmocka_unit_test(test_moisture_box_outside_its_domain),
        cmocka_unit_test(test_moisture_sky_and_port_outside_their_domain),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
