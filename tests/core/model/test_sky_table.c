/* The sky table against bodies that move by spherical trigonometry alone: their risings follow from the hour
   angle, and every way an event can be missing is made on purpose. The real sky is in tests/sky. */
#include "core/model/sky_table.h"

#include <math.h>
#include <stdbool.h>

#include "core/model/twilight.h"
#include "support/check.h"

#define PI 3.14159265358979323846
#define RAD (PI / 180.0)
#define DAY 86400.0
#define STEP 600.0
#define ROWS 181 /* 30 hours */
#define COUNT(array) (sizeof(array) / sizeof((array)[0]))
#define SUN_RADIUS_RAD (16.0 / 60.0 * RAD)
#define PARALLAX_RAD (0.951 * RAD)

/* A body that goes round once in period_s and stands in the south (hour angle 0) at noon_s. */
struct course {
    double declination_deg, noon_s, period_s;
};

static void point(double latitude_deg, struct course course, double unix_s, double seen[3])
{
    double hour = 2.0 * PI * (unix_s - course.noon_s) / course.period_s;
    double d = course.declination_deg * RAD, p = latitude_deg * RAD;
    seen[0] = -cos(d) * sin(hour);
    seen[1] = cos(p) * sin(d) - sin(p) * cos(d) * cos(hour);
    seen[2] = sin(p) * sin(d) + cos(p) * cos(d) * cos(hour);
}

static struct owl_sky_row rows[ROWS];

/* A table from 3 h before time 0 to 27 h after. */
static struct owl_sky made_sky(double latitude_deg, struct course sun, struct course moon)
{
    struct owl_sky sky = {.start_unix_s = -3.0 * 3600.0, .step_s = STEP, .count = ROWS, .rows = rows};
    for (int i = 0; i < ROWS; i++) {
        double unix_s = sky.start_unix_s + i * STEP;
        rows[i] = (struct owl_sky_row){
            .moon_phase_rad = 1.0, .moon_parallax_rad = PARALLAX_RAD, .sun_radius_rad = SUN_RADIUS_RAD};
        point(latitude_deg, sun, unix_s, rows[i].sun);
        point(latitude_deg, moon, unix_s, rows[i].moon);
    }
    return sky;
}

static const struct course idle = {0.0, 0.0, DAY};

/* Hour angle, in seconds of its course, at which a body stands at an altitude. */
static double half_arc_s(double latitude_deg, struct course course, double altitude_deg)
{
    double p = latitude_deg * RAD, d = course.declination_deg * RAD;
    return acos((sin(altitude_deg * RAD) - sin(p) * sin(d)) / (cos(p) * cos(d))) / (2.0 * PI) * course.period_s;
}

static void expect_at(const struct owl_sky_event *event, double unix_s, double tolerance_s)
{
    assert_int_equal(event->what, OWL_EVENT_AT);
    check_near("event s", event->unix_s, unix_s, tolerance_s);
}

/* cited: all eight events of the sun from the hour-angle formula, whose horizon is 34' and the upper limb; the cubic
   between rows costs 0.02 s. */
static void test_sky_table_events_of_the_sun_follow_the_hour_angle(void **state)
{
    (void)state;
    struct course sun = {10.0, 300.0, DAY};
    struct owl_sky sky = made_sky(50.0, sun, idle);
    struct owl_sky_event events[OWL_SKY_EVENTS];
    static const double altitudes[] = {-50.0 / 60.0, -6.0, -12.0, -18.0};
    assert_int_equal(owl_sky_events(&sky, 0.0, events), OWL_OK);
    for (int i = 0; i < 4; i++) {
        double arc_s = half_arc_s(50.0, sun, altitudes[i]);
        check_cited("meeus1998", "evening event s", events[OWL_SUNSET + i].unix_s, sun.noon_s + arc_s, 0.02);
        check_cited("meeus1998", "morning event s", events[OWL_SUNRISE - i].unix_s, sun.noon_s + DAY - arc_s, 0.02);
    }
}

/* cited: the moon's rising and setting from the hour-angle formula, its radius seen from the site; 0.1 s. */
static void test_sky_table_events_of_the_moon_follow_the_hour_angle(void **state)
{
    (void)state;
    struct course moon = {-5.0, 10.0 * 3600.0, 89400.0};
    struct owl_sky sky = made_sky(50.0, idle, moon);
    struct owl_sky_event events[OWL_SKY_EVENTS];
    double site_km = 6378.137 / sin(PARALLAX_RAD) - 6378.137 * sin(-0.83 * RAD);
    double altitude_deg = -34.0 / 60.0 - asin(1737.4 / site_km) / RAD;
    double arc_s = half_arc_s(50.0, moon, altitude_deg);
    assert_int_equal(owl_sky_events(&sky, 0.0, events), OWL_OK);
    check_cited("meeus1998", "moonrise s", events[OWL_MOONRISE].unix_s, moon.noon_s - arc_s, 0.1);
    check_cited("meeus1998", "moonset s", events[OWL_MOONSET].unix_s, moon.noon_s + arc_s, 0.1);
}

/* identity: polar day: nothing happens and all of it is up; polar night with twilight: the sun stays down, the deeper
   twilights have their times. */
static void test_sky_table_events_of_polar_day_and_night(void **state)
{
    (void)state;
    struct owl_sky_event events[OWL_SKY_EVENTS];
    struct owl_sky day = made_sky(80.0, (struct course){20.0, 0.0, DAY}, idle);
    assert_int_equal(owl_sky_events(&day, 0.0, events), OWL_OK);
    for (int kind = OWL_SUNSET; kind <= OWL_SUNRISE; kind++) {
        assert_int_equal(events[kind].what, OWL_EVENT_ALWAYS_UP);
        assert_true(isnan(events[kind].unix_s));
    }
    struct owl_sky night = made_sky(80.0, (struct course){-23.0, 0.0, DAY}, (struct course){-20.0, 0.0, DAY});
    assert_int_equal(owl_sky_events(&night, 0.0, events), OWL_OK);
    assert_int_equal(events[OWL_SUNSET].what, OWL_EVENT_ALWAYS_DOWN);
    assert_int_equal(events[OWL_CIVIL_DAWN].what, OWL_EVENT_ALWAYS_DOWN);
    assert_int_equal(events[OWL_NAUTICAL_DUSK].what, OWL_EVENT_ALWAYS_DOWN);
    assert_int_equal(events[OWL_ASTRONOMICAL_DUSK].what, OWL_EVENT_AT);
    assert_int_equal(events[OWL_MOONRISE].what, OWL_EVENT_ALWAYS_DOWN);
}

/* identity: a moon that sets and rises again only after the window has no rising in it, and the other way round. */
static void test_sky_table_events_missing_from_a_day(void **state)
{
    (void)state;
    struct owl_sky_event events[OWL_SKY_EVENTS];
    struct owl_sky sky = made_sky(0.0, idle, (struct course){0.0, 22000.0, 89400.0});
    assert_int_equal(owl_sky_events(&sky, 0.0, events), OWL_OK);
    assert_int_equal(events[OWL_MOONRISE].what, OWL_EVENT_NONE);
    assert_int_equal(events[OWL_MOONSET].what, OWL_EVENT_AT);
    sky = made_sky(0.0, idle, (struct course){0.0, 22000.0 + 44700.0, 89400.0});
    assert_int_equal(owl_sky_events(&sky, 0.0, events), OWL_OK);
    assert_int_equal(events[OWL_MOONRISE].what, OWL_EVENT_AT);
    assert_int_equal(events[OWL_MOONSET].what, OWL_EVENT_NONE);
    assert_true(isnan(events[OWL_MOONSET].unix_s));
}

/* identity: a night of three minutes, a hair under the horizon in the middle of a step, has its sunset and sunrise;
   a hair above, it has none. The cubic's 2e-7 rad is worth a second there. */
static void test_sky_table_events_of_the_shortest_night(void **state)
{
    (void)state;
    for (int minute = 0; minute < 60; minute += 7) {
        struct course sun = {20.0, 60.0 * minute, DAY};
        double latitude_deg = 70.0 - 50.0 / 60.0 - 0.0005;
        struct owl_sky_event events[OWL_SKY_EVENTS];
        struct owl_sky sky = made_sky(latitude_deg, sun, idle);
        double arc_s = half_arc_s(latitude_deg, sun, -50.0 / 60.0);
        assert_int_equal(owl_sky_events(&sky, 0.0, events), OWL_OK);
        expect_at(&events[OWL_SUNSET], sun.noon_s + arc_s, 1.5);
        expect_at(&events[OWL_SUNRISE], sun.noon_s + DAY - arc_s, 1.5);
        assert_true(events[OWL_SUNRISE].unix_s - events[OWL_SUNSET].unix_s < 240.0);
        sky = made_sky(latitude_deg + 0.001, sun, idle);
        assert_int_equal(owl_sky_events(&sky, 0.0, events), OWL_OK);
        assert_int_equal(events[OWL_SUNSET].what, OWL_EVENT_ALWAYS_UP);
    }
}

/* identity: the same for a day of three minutes in the polar night, also in the first and last step of the window. */
static void test_sky_table_events_of_the_shortest_day(void **state)
{
    (void)state;
    static const double noons[] = {200.0, 900.0, 43200.0, DAY - 200.0};
    for (size_t i = 0; i < COUNT(noons); i++) {
        struct course sun = {-20.0, noons[i], DAY};
        double latitude_deg = 70.0 + 50.0 / 60.0 - 0.0005;
        struct owl_sky_event events[OWL_SKY_EVENTS];
        struct owl_sky sky = made_sky(latitude_deg, sun, idle);
        double arc_s = half_arc_s(latitude_deg, sun, -50.0 / 60.0);
        assert_int_equal(owl_sky_events(&sky, 0.0, events), OWL_OK);
        expect_at(&events[OWL_SUNRISE], sun.noon_s - arc_s, 1.5);
        expect_at(&events[OWL_SUNSET], sun.noon_s + arc_s, 1.5);
    }
}

/* fault: a window the table does not hold whole is refused and nothing is written. */
static void test_sky_table_events_need_the_whole_window(void **state)
{
    (void)state;
    struct owl_sky sky = made_sky(50.0, idle, idle);
    struct owl_sky_event events[OWL_SKY_EVENTS] = {{OWL_EVENT_NONE, -7.0}};
    assert_int_equal(owl_sky_events(&sky, -3.0 * 3600.0 - 1.0, events), OWL_OUTSIDE_DOMAIN);
    assert_int_equal(owl_sky_events(&sky, 3.0 * 3600.0 + 1.0, events), OWL_OUTSIDE_DOMAIN);
    assert_int_equal(owl_sky_events(&sky, NAN, events), OWL_OUTSIDE_DOMAIN);
    check_near("untouched", events[0].unix_s, -7.0, 0.0);
    assert_int_equal(owl_sky_events(&sky, -3.0 * 3600.0, events), OWL_OK);
    assert_int_equal(owl_sky_events(&sky, 3.0 * 3600.0, events), OWL_OK);
}

/* identity: positions between rows are those of the trigonometry within 0.00001 deg, at the table's ends too where
   the four rows lie to one side; azimuth runs 0..2 pi through north. */
static void test_sky_table_at_is_the_course_between_rows(void **state)
{
    (void)state;
    struct course sun = {60.0, 300.0, DAY}, moon = {-10.0, 4e4, 89400.0};
    struct owl_sky sky = made_sky(40.0, sun, moon);
    double end_s = sky.start_unix_s + (ROWS - 1) * STEP;
    for (double unix_s = sky.start_unix_s; unix_s <= end_s; unix_s += 97.0) {
        struct owl_sky_moment moment;
        double v[3];
        assert_int_equal(owl_sky_at(&sky, unix_s, &moment), OWL_OK);
        point(40.0, sun, unix_s, v);
        bool at_end = unix_s < sky.start_unix_s + STEP || unix_s > end_s - STEP;
        double tolerance = at_end ? 3e-5 * RAD : 1e-5 * RAD;
        check_near("sun altitude", moment.sun_altitude_rad, asin(v[2]), tolerance);
        check_near("sun azimuth", remainder(moment.sun_azimuth_rad - atan2(v[0], v[1]), 2.0 * PI), 0.0,
                   4.0 * tolerance);
        assert_true(moment.sun_azimuth_rad >= 0.0 && moment.sun_azimuth_rad < 2.0 * PI);
        point(40.0, moon, unix_s, v);
        check_near("moon altitude", moment.moon_altitude_rad, asin(v[2]), tolerance);
        check_near("moon azimuth", remainder(moment.moon_azimuth_rad - atan2(v[0], v[1]), 2.0 * PI), 0.0,
                   4.0 * tolerance);
        check_near("lit", moment.moon_lit, (1.0 + cos(1.0)) / 2.0, 1e-12);
        check_near("parallax", moment.moon_parallax_rad, PARALLAX_RAD, 1e-12);
    }
}

/* identity: a row's own time gives the row; a phase that the cubic carries past full or new is held there. */
static void test_sky_table_at_keeps_rows_and_bounds(void **state)
{
    (void)state;
    struct owl_sky sky = made_sky(40.0, idle, idle);
    struct owl_sky_moment moment;
    for (int i = 0; i < ROWS; i++)
        rows[i].moon_phase_rad = i % 4 < 2 ? 0.0 : PI;
    for (int i = 0; i < ROWS; i++) {
        assert_int_equal(owl_sky_at(&sky, sky.start_unix_s + i * STEP, &moment), OWL_OK);
        check_near("row's altitude", moment.sun_altitude_rad, asin(rows[i].sun[2]), 1e-7);
        check_near("row's phase", moment.moon_phase_rad, rows[i].moon_phase_rad, 1e-12);
    }
    for (double unix_s = sky.start_unix_s; unix_s < 9e4; unix_s += 50.0) {
        assert_int_equal(owl_sky_at(&sky, unix_s, &moment), OWL_OK);
        assert_true(moment.moon_phase_rad >= 0.0 && moment.moon_phase_rad <= PI);
        assert_true(moment.moon_lit >= 0.0 && moment.moon_lit <= 1.0);
    }
}

/* fault: no moment before the first row, after the last, at NaN, or from three rows. */
static void test_sky_table_at_ends_with_the_table(void **state)
{
    (void)state;
    struct owl_sky sky = made_sky(40.0, idle, idle);
    struct owl_sky_moment moment = {.moon_lit = -7.0};
    assert_int_equal(owl_sky_at(&sky, sky.start_unix_s - 1e-3, &moment), OWL_OUTSIDE_DOMAIN);
    assert_int_equal(owl_sky_at(&sky, sky.start_unix_s + (ROWS - 1) * STEP + 1e-3, &moment), OWL_OUTSIDE_DOMAIN);
    assert_int_equal(owl_sky_at(&sky, NAN, &moment), OWL_OUTSIDE_DOMAIN);
    sky.count = 3;
    assert_int_equal(owl_sky_at(&sky, sky.start_unix_s, &moment), OWL_OUTSIDE_DOMAIN);
    check_near("untouched", moment.moon_lit, -7.0, 0.0);
    sky.count = 4;
    assert_int_equal(owl_sky_at(&sky, sky.start_unix_s + 3.0 * STEP, &moment), OWL_OK);
}

/* identity: light at a row is the model's there; between two rows it lies between theirs; the table's first and
   last steps count too. */
static void test_sky_table_light_passes_through_its_rows(void **state)
{
    (void)state;
    static double lg_lx[ROWS];
    struct owl_sky sky = made_sky(50.0, (struct course){10.0, 0.0, DAY}, (struct course){-5.0, 4e4, 89400.0});
    assert_int_equal(owl_sky_fill_light(&sky, 1.0, 0.5, lg_lx), OWL_OK);
    for (int i = 0; i < ROWS; i++) {
        struct owl_twilight_sky above = {asin(rows[i].sun[2]), asin(rows[i].moon[2]), 1.0, PARALLAX_RAD, 1.0, 0.5};
        double wanted_lx = owl_twilight_horizontal_lx(&above);
        check_near("row's lx", owl_sky_light_lx(&sky, lg_lx, sky.start_unix_s + i * STEP), wanted_lx,
                   1e-9 * wanted_lx);
    }
    for (int i = 0; i + 1 < ROWS; i++)
        for (double u = 0.0; u <= 1.0; u += 0.1) {
            double lg = log10(owl_sky_light_lx(&sky, lg_lx, sky.start_unix_s + (i + u) * STEP));
            assert_true(lg >= fmin(lg_lx[i], lg_lx[i + 1]) - 1e-9 && lg <= fmax(lg_lx[i], lg_lx[i + 1]) + 1e-9);
        }
}

/* fault: no light outside the table, nor under clouds or a canopy that do not exist. */
static void test_sky_table_light_knows_its_domain(void **state)
{
    (void)state;
    static double lg_lx[ROWS];
    struct owl_sky sky = made_sky(50.0, idle, idle);
    assert_int_equal(owl_sky_fill_light(&sky, -0.1, 1.0, lg_lx), OWL_OUTSIDE_DOMAIN);
    assert_int_equal(owl_sky_fill_light(&sky, 3.1, 1.0, lg_lx), OWL_OUTSIDE_DOMAIN);
    assert_int_equal(owl_sky_fill_light(&sky, NAN, 1.0, lg_lx), OWL_OUTSIDE_DOMAIN);
    assert_int_equal(owl_sky_fill_light(&sky, 0.0, 0.0, lg_lx), OWL_OUTSIDE_DOMAIN);
    assert_int_equal(owl_sky_fill_light(&sky, 0.0, 1.1, lg_lx), OWL_OUTSIDE_DOMAIN);
    assert_true(isnan(owl_sky_light_lx(&sky, lg_lx, sky.start_unix_s - 1.0)));
    assert_true(isnan(owl_sky_light_lx(&sky, lg_lx, sky.start_unix_s + ROWS * STEP)));
    assert_true(isnan(owl_sky_light_lx(&sky, lg_lx, NAN)));
}

static double unix_of(int month, int day, double hour)
{
    return 86400.0 * (double)owl_calendar_days((struct owl_date){2026, month, day}) + 3600.0 * hour;
}

/* A clock of western Europe in 2026: summer time from 29 March 1 h UTC to 25 October 1 h UTC. */
static struct owl_sky clock_sky(void)
{
    return (struct owl_sky){
        .zone = {{unix_of(1, 1, 0.0), 0, "GMT"},
                 {unix_of(3, 29, 1.0), 3600, "BST"},
                 {unix_of(10, 25, 1.0), 0, "GMT"}},
        .zone_count = 3,
    };
}

/* identity: offset and name on both sides of each change, before the first span and after the last. */
static void test_sky_table_clock_shows_the_span_of_its_time(void **state)
{
    (void)state;
    struct owl_sky sky = clock_sky();
    assert_int_equal(owl_sky_offset_s(&sky, unix_of(3, 29, 1.0) - 1.0), 0);
    assert_int_equal(owl_sky_offset_s(&sky, unix_of(3, 29, 1.0)), 3600);
    assert_string_equal(owl_sky_zone_name(&sky, unix_of(7, 1, 0.0)), "BST");
    assert_int_equal(owl_sky_offset_s(&sky, unix_of(10, 25, 1.0) - 1e-3), 3600);
    assert_string_equal(owl_sky_zone_name(&sky, unix_of(10, 25, 1.0)), "GMT");
    assert_int_equal(owl_sky_offset_s(&sky, 0.0), 0);
    check_near("summer clock", owl_sky_local_s(&sky, unix_of(7, 1, 12.0)), unix_of(7, 1, 13.0), 0.0);
    sky.zone_count = 0;
    assert_int_equal(owl_sky_offset_s(&sky, 0.0), 0);
    assert_string_equal(owl_sky_zone_name(&sky, 0.0), "UTC");
    check_near("no zone", owl_sky_local_s(&sky, 5.0), 5.0, 0.0);
}

/* identity: in the gap of spring the time moves on by the gap, in the doubled hour of autumn the first is meant, and
   the seconds beside either are untouched. */
static void test_sky_table_wall_clock_through_both_changes(void **state)
{
    (void)state;
    struct owl_sky sky = clock_sky();
    struct owl_date spring = {2026, 3, 29}, autumn = {2026, 10, 25};
    check_near("before the gap", owl_sky_unix_s(&sky, spring, 3599), unix_of(3, 29, 0.0) + 3599.0, 0.0);
    check_near("start of the gap", owl_sky_unix_s(&sky, spring, 3600), unix_of(3, 29, 1.0), 0.0);
    check_near("in the gap", owl_sky_unix_s(&sky, spring, 5400), unix_of(3, 29, 1.5), 0.0);
    check_near("which shows", owl_sky_local_s(&sky, owl_sky_unix_s(&sky, spring, 5400)), unix_of(3, 29, 2.5), 0.0);
    check_near("behind the gap", owl_sky_unix_s(&sky, spring, 7200), unix_of(3, 29, 1.0), 0.0);
    check_near("before the doubled hour", owl_sky_unix_s(&sky, autumn, 3599), unix_of(10, 24, 24.0) - 1.0, 0.0);
    check_near("in it, the first", owl_sky_unix_s(&sky, autumn, 5400), unix_of(10, 25, 0.5), 0.0);
    check_near("behind it", owl_sky_unix_s(&sky, autumn, 7200), unix_of(10, 25, 2.0), 0.0);
}

/* identity: away from the changes the clock is read back as it was set; hours beyond the day count on; no date, no
   time; without spans the clock is UTC. */
static void test_sky_table_wall_clock_comes_back(void **state)
{
    (void)state;
    struct owl_sky sky = clock_sky();
    for (int day = 1; day <= 28; day++)
        for (int month = 1; month <= 12; month++) {
            double unix_s = owl_sky_unix_s(&sky, (struct owl_date){2026, month, day}, 20 * 3600);
            check_near("clock", owl_sky_local_s(&sky, unix_s), unix_of(month, day, 20.0), 0.0);
        }
    check_near("24 h", owl_sky_unix_s(&sky, (struct owl_date){2026, 7, 1}, 86400), unix_of(7, 1, 23.0), 0.0);
    check_near("-1 h", owl_sky_unix_s(&sky, (struct owl_date){2026, 7, 1}, -3600), unix_of(6, 30, 22.0), 0.0);
    assert_true(isnan(owl_sky_unix_s(&sky, (struct owl_date){2026, 2, 29}, 0)));
    sky.zone_count = 0;
    check_near("UTC", owl_sky_unix_s(&sky, (struct owl_date){2026, 7, 1}, 60), unix_of(7, 1, 0.0) + 60.0, 0.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_sky_table_events_of_the_sun_follow_the_hour_angle),
        cmocka_unit_test(test_sky_table_events_of_the_moon_follow_the_hour_angle),
        cmocka_unit_test(test_sky_table_events_of_polar_day_and_night),
        cmocka_unit_test(test_sky_table_events_missing_from_a_day),
        cmocka_unit_test(test_sky_table_events_of_the_shortest_night),
        cmocka_unit_test(test_sky_table_events_of_the_shortest_day),
        cmocka_unit_test(test_sky_table_events_need_the_whole_window),
        cmocka_unit_test(test_sky_table_at_is_the_course_between_rows),
        cmocka_unit_test(test_sky_table_at_keeps_rows_and_bounds),
        cmocka_unit_test(test_sky_table_at_ends_with_the_table),
        cmocka_unit_test(test_sky_table_light_passes_through_its_rows),
        cmocka_unit_test(test_sky_table_light_knows_its_domain),
        cmocka_unit_test(test_sky_table_clock_shows_the_span_of_its_time),
        cmocka_unit_test(test_sky_table_wall_clock_through_both_changes),
        cmocka_unit_test(test_sky_table_wall_clock_comes_back),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
