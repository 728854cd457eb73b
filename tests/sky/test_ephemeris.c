/* Sun and moon against printed worked examples, lunar quarters and seasons of an outside library. */
#include "sky/ephemeris.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "support/check.h"

#define PI 3.14159265358979323846
#define RAD (PI / 180.0)
#define AU_M 149597870700.0
#define COUNT(array) (sizeof(array) / sizeof((array)[0]))

/* The count of seconds of a date and hour; the calendar has its own tests. */
static double unix_of(int year, int month, int day, double hour)
{
    return 86400.0 * (double)owl_calendar_days((struct owl_date){year, month, day}) + 3600.0 * hour;
}

static double altitude_deg(const double seen[3])
{
    return asin(seen[2]) / RAD;
}

static double azimuth_deg(const double seen[3])
{
    double deg = atan2(seen[0], seen[1]) / RAD;
    return deg < 0.0 ? deg + 360.0 : deg;
}

static double degrees_apart(double a, double b)
{
    return remainder(a - b, 360.0);
}

/* cited: the worked example of a solar position algorithm: Julian date, distance, airless altitude (its zenith
   less its refraction) and azimuth. Its stated uncertainty is 0.0003 deg, and it takes 67 s for the 64.184 s
   between UTC and TT: 0.0005 deg. */
static void test_ephemeris_sun_of_the_worked_site(void **state)
{
    (void)state;
    struct owl_ephemeris_site site = {39.742476 * RAD, -105.1786 * RAD, 1830.14};
    double unix_s = unix_of(2003, 10, 17, 19.0) + 30.0 * 60.0 + 30.0;
    struct owl_sky_row row;
    struct owl_ephemeris_place sun, moon;
    assert_int_equal(owl_ephemeris_row(&site, unix_s, &row), OWL_OK);
    assert_int_equal(owl_ephemeris_places(unix_s, &sun, &moon), OWL_OK);
    check_cited("reda2004", "julian day", owl_calendar_julian_day(unix_s), 2452930.312847, 5e-7);
    check_cited("reda2004", "sun distance au", sun.distance_m / AU_M, 0.996542, 1.5e-6);
    check_cited("reda2004", "sun altitude deg", altitude_deg(row.sun), 90.0 - 50.111622 - 0.016332, 5e-4);
    check_cited("reda2004", "sun azimuth deg", azimuth_deg(row.sun), 194.340241, 5e-4);
}

/* 0 h of dynamical time of a day in 1992, when TT was ahead of UTC by 32.184 s and 26 or (from July) 27 leap
   seconds. */
static double dynamical_midnight(int month, int day)
{
    return unix_of(1992, month, day, 0.0) - 32.184 - (month < 7 ? 26.0 : 27.0);
}

/* cited: example 47.a, the moon on 1992-04-12: apparent place and distance. Our theory is the same series with the
   author's later corrections: 0.0003 deg. */
static void test_ephemeris_moon_of_the_worked_example(void **state)
{
    (void)state;
    struct owl_ephemeris_place sun, moon;
    assert_int_equal(owl_ephemeris_places(dynamical_midnight(4, 12), &sun, &moon), OWL_OK);
    check_cited("meeus1998", "moon right ascension deg", moon.right_ascension_rad / RAD, 134.688470, 3e-4);
    check_cited("meeus1998", "moon declination deg", moon.declination_rad / RAD, 13.768368, 3e-4);
    check_cited("meeus1998", "moon distance km", moon.distance_m / 1000.0, 368409.7, 0.5);
}

/* cited: example 48.a, the same instant: phase angle and illuminated share, and 47.a's parallax; half the last digit
   and, for the angle, the printed example's rounding of its inputs. */
static void test_ephemeris_phase_of_the_worked_example(void **state)
{
    (void)state;
    struct owl_ephemeris_site site = {0.0, 0.0, 0.0};
    struct owl_sky_row row;
    assert_int_equal(owl_ephemeris_row(&site, dynamical_midnight(4, 12), &row), OWL_OK);
    check_cited("meeus1998", "phase angle deg", row.moon_phase_rad / RAD, 69.0756, 1e-3);
    check_cited("meeus1998", "illuminated share", (1.0 + cos(row.moon_phase_rad)) / 2.0, 0.6786, 5e-5);
    check_cited("meeus1998", "moon parallax deg", row.moon_parallax_rad / RAD, 0.991990, 5e-6);
}

/* cited: example 25.b, the sun on 1992-10-13; 0.0002 deg, its shortened theory. */
static void test_ephemeris_sun_of_the_worked_example(void **state)
{
    (void)state;
    struct owl_ephemeris_place sun, moon;
    assert_int_equal(owl_ephemeris_places(dynamical_midnight(10, 13), &sun, &moon), OWL_OK);
    check_cited("meeus1998", "sun right ascension deg", sun.right_ascension_rad / RAD, 198.378121, 2e-4);
    check_cited("meeus1998", "sun declination deg", sun.declination_rad / RAD, -7.783817, 2e-4);
    check_cited("meeus1998", "sun distance au", sun.distance_m / AU_M, 0.99760775, 2e-6);
}

/* Ecliptic longitude, with the mean obliquity of 2026.99; what that leaves out moves a moon 5 deg off the ecliptic by
 * 1". */
static double longitude_deg(struct owl_ephemeris_place place)
{
    double obliquity = 23.4358 * RAD;
    double y = sin(place.right_ascension_rad) * cos(obliquity) + tan(place.declination_rad) * sin(obliquity);
    return atan2(y, cos(place.right_ascension_rad)) / RAD;
}

static double elongation_deg(double unix_s)
{
    struct owl_ephemeris_place sun, moon;
    assert_int_equal(owl_ephemeris_places(unix_s, &sun, &moon), OWL_OK);
    return longitude_deg(moon) - longitude_deg(sun);
}

static double sun_longitude_deg(double unix_s)
{
    struct owl_ephemeris_place sun, moon;
    assert_int_equal(owl_ephemeris_places(unix_s, &sun, &moon), OWL_OK);
    return longitude_deg(sun);
}

/* How late after `near_s` an angle that grows evenly reaches its target, from two points an hour apart. */
static double lateness_s(double (*angle_deg)(double), double near_s, double target_deg)
{
    double here = angle_deg(near_s);
    double rate = degrees_apart(angle_deg(near_s + 3600.0), here) / 3600.0;
    return degrees_apart(target_deg, here) / rate;
}

static double quarter_target_deg(const char *quarter)
{
    static const char *const names[] = {"new", "first", "full", "last"};
    for (size_t i = 0; i < COUNT(names); i++)
        if (strcmp(quarter, names[i]) == 0)
            return 90.0 * (double)i;
    return NAN;
}

/* cited: every lunar quarter of 2026 and 2027; 90 s, the difference of the two theories of the moon. */
static void test_ephemeris_quarters_of_two_years(void **state)
{
    (void)state;
    char line[128], quarter[16];
    int y, m, d, hour, minute, second, rows = 0;
    FILE *file = fopen(check_data_path("moon_quarters_2026_2027.csv"), "r");
    assert_non_null(file);
    while (fgets(line, sizeof line, file)) {
        if (sscanf(line, "%15[a-z],%d-%d-%dT%d:%d:%d", quarter, &y, &m, &d, &hour, &minute, &second) != 7)
            continue;
        double unix_s = unix_of(y, m, d, hour + minute / 60.0 + second / 3600.0);
        double late_s = lateness_s(elongation_deg, unix_s, quarter_target_deg(quarter));
        check_cited("astronomy-engine", "lunar quarter lateness s", late_s, 0.0, 90.0);
        rows++;
    }
    fclose(file);
    assert_int_equal(rows, 99);
}

struct moment_row {
    int year, month, day, hour, minute;
    double target_deg;
};

/* cited: full moons and the starts of the seasons, printed to the minute; 2 min. */
static void test_ephemeris_full_moons_and_seasons(void **state)
{
    (void)state;
    static const struct moment_row full[] = {{2026, 1, 3, 10, 3, 180},   {2026, 3, 3, 11, 38, 180},
                                             {2026, 6, 29, 23, 57, 180}, {2026, 9, 26, 16, 50, 180},
                                             {2026, 12, 24, 1, 29, 180}, {2027, 1, 22, 12, 18, 180},
                                             {2027, 5, 20, 11, 0, 180}};
    static const struct moment_row season[] = {
        {2026, 3, 20, 14, 46, 0}, {2026, 6, 21, 8, 25, 90}, {2026, 9, 23, 0, 6, 180}, {2026, 12, 21, 20, 50, 270}};
    for (size_t i = 0; i < COUNT(full); i++) {
        const struct moment_row *row = &full[i];
        double near_s = unix_of(row->year, row->month, row->day, row->hour + row->minute / 60.0);
        check_cited("astronomy-engine", "full moon lateness s", lateness_s(elongation_deg, near_s, row->target_deg),
                    0.0, 120.0);
    }
    for (size_t i = 0; i < COUNT(season); i++) {
        const struct moment_row *row = &season[i];
        double near_s = unix_of(row->year, row->month, row->day, row->hour + row->minute / 60.0);
        check_cited("astronomy-engine", "season lateness s", lateness_s(sun_longitude_deg, near_s, row->target_deg),
                    0.0, 120.0);
    }
}

static double apart_deg(const double a[3], const double b[3])
{
    return sqrt((a[0] - b[0]) * (a[0] - b[0]) + (a[1] - b[1]) * (a[1] - b[1]) + (a[2] - b[2]) * (a[2] - b[2])) / RAD;
}

/* identity: rows made through nodes six hours apart are those made one by one, within 0.00001 deg, across a leap
   day, a year's end and several moves of the nodes. */
static void test_ephemeris_rows_are_the_single_rows(void **state)
{
    (void)state;
    static struct owl_sky_row rows[800];
    struct owl_ephemeris_site site = {47.0 * RAD, 9.0 * RAD, 400.0};
    const double starts[] = {unix_of(2028, 2, 20, 3.0), unix_of(2026, 12, 24, 11.0)};
    for (size_t k = 0; k < COUNT(starts); k++) {
        assert_int_equal(owl_ephemeris_rows(&site, starts[k], 1777.0, (int)COUNT(rows), rows), OWL_OK);
        for (int i = 0; i < (int)COUNT(rows); i += 7) {
            struct owl_sky_row row;
            assert_int_equal(owl_ephemeris_row(&site, starts[k] + i * 1777.0, &row), OWL_OK);
            check_near("sun apart deg", apart_deg(row.sun, rows[i].sun), 0.0, 1e-7);
            check_near("moon apart deg", apart_deg(row.moon, rows[i].moon), 0.0, 1e-5);
            check_near("phase", row.moon_phase_rad, rows[i].moon_phase_rad, 1e-5 * RAD);
            check_near("parallax", row.moon_parallax_rad, rows[i].moon_parallax_rad, 1e-6 * RAD);
            check_near("sun radius", row.sun_radius_rad, rows[i].sun_radius_rad, 1e-9 * RAD);
        }
    }
}

/* identity: vectors are of unit length everywhere, at both poles and at the date line, whose two names give one
   sky; a mountain sees the moon's parallax a little otherwise than the sea below it. */
static void test_ephemeris_holds_at_the_edges_of_the_map(void **state)
{
    (void)state;
    double unix_s = unix_of(2026, 5, 5, 5.0);
    struct owl_sky_row north, south, east, west, high;
    assert_int_equal(owl_ephemeris_row(&(struct owl_ephemeris_site){PI / 2.0, 0.0, 0.0}, unix_s, &north), OWL_OK);
    assert_int_equal(owl_ephemeris_row(&(struct owl_ephemeris_site){-PI / 2.0, 0.0, 0.0}, unix_s, &south), OWL_OK);
    assert_int_equal(owl_ephemeris_row(&(struct owl_ephemeris_site){0.3, PI, 0.0}, unix_s, &east), OWL_OK);
    assert_int_equal(owl_ephemeris_row(&(struct owl_ephemeris_site){0.3, -PI, 0.0}, unix_s, &west), OWL_OK);
    assert_int_equal(owl_ephemeris_row(&(struct owl_ephemeris_site){0.3, PI, 9000.0}, unix_s, &high), OWL_OK);
    check_near("date line sun", apart_deg(east.sun, west.sun), 0.0, 1e-12);
    check_near("date line moon", apart_deg(east.moon, west.moon), 0.0, 1e-12);
    check_near("poles", altitude_deg(north.sun), -altitude_deg(south.sun), 0.006); /* twice the sun's parallax */
    assert_true(apart_deg(east.moon, high.moon) > 1e-5 && apart_deg(east.moon, high.moon) < 2e-3);
    check_near("unit length", hypot(hypot(north.moon[0], north.moon[1]), north.moon[2]), 1.0, 1e-14);
}

/* fault: times outside the theories and sites off the earth are refused, and nothing is written. */
static void test_ephemeris_refuses_what_it_does_not_know(void **state)
{
    (void)state;
    struct owl_ephemeris_site good = {0.5, 0.5, 0.0};
    const struct owl_ephemeris_site bad[] = {{1.6, 0.0, 0.0},  {-1.6, 0.0, 0.0},   {0.0, 3.2, 0.0},
                                             {0.0, -3.2, 0.0}, {0.0, 0.0, -501.0}, {0.0, 0.0, 9001.0},
                                             {NAN, 0.0, 0.0},  {0.0, NAN, 0.0},    {0.0, 0.0, NAN}};
    const double times[] = {unix_of(1971, 12, 31, 23.999), unix_of(2100, 1, 1, 0.0), NAN, INFINITY};
    struct owl_sky_row row = {.moon_phase_rad = -7.0};
    struct owl_ephemeris_place sun, moon;
    for (size_t i = 0; i < COUNT(bad); i++) {
        assert_int_equal(owl_ephemeris_row(&bad[i], 1.7e9, &row), OWL_OUTSIDE_DOMAIN);
        assert_int_equal(owl_ephemeris_rows(&bad[i], 1.7e9, 600.0, 1, &row), OWL_OUTSIDE_DOMAIN);
    }
    for (size_t i = 0; i < COUNT(times); i++) {
        assert_int_equal(owl_ephemeris_row(&good, times[i], &row), OWL_OUTSIDE_DOMAIN);
        assert_int_equal(owl_ephemeris_places(times[i], &sun, &moon), OWL_OUTSIDE_DOMAIN);
        assert_int_equal(owl_ephemeris_rows(&good, times[i], 600.0, 1, &row), OWL_OUTSIDE_DOMAIN);
    }
    assert_int_equal(owl_ephemeris_rows(&good, 1.7e9, 0.0, 1, &row), OWL_OUTSIDE_DOMAIN);
    check_near("untouched", row.moon_phase_rad, -7.0, 0.0);
    struct owl_sky_row late[40];
    double nearly_s = unix_of(2099, 12, 31, 0.0);
    assert_int_equal(owl_ephemeris_rows(&good, nearly_s, 3600.0, 40, late), OWL_OUTSIDE_DOMAIN);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_ephemeris_sun_of_the_worked_site),
        cmocka_unit_test(test_ephemeris_moon_of_the_worked_example),
        cmocka_unit_test(test_ephemeris_phase_of_the_worked_example),
        cmocka_unit_test(test_ephemeris_sun_of_the_worked_example),
        cmocka_unit_test(test_ephemeris_quarters_of_two_years),
        cmocka_unit_test(test_ephemeris_full_moons_and_seasons),
        cmocka_unit_test(test_ephemeris_rows_are_the_single_rows),
        cmocka_unit_test(test_ephemeris_holds_at_the_edges_of_the_map),
        cmocka_unit_test(test_ephemeris_refuses_what_it_does_not_know),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
