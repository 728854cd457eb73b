/* Clocks of the world through their changes, and names that are no zone. The changes are those of the public zone
   database, edition 2024 and later. */
#ifndef _POSIX_C_SOURCE
#define _POSIX_C_SOURCE 200809L
#endif

#include "sky/zone.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "support/check.h"

#define COUNT(array) (sizeof(array) / sizeof((array)[0]))
#define HOUR 3600

static double unix_of(int year, int month, int day, int hour)
{
    return 86400.0 * (double)owl_calendar_days((struct owl_date){year, month, day}) + 3600.0 * hour;
}

struct change {
    int year, month, day, hour; /* UTC */
    int offset_s;
    const char *name;
};

struct zone_row {
    const char *name;
    struct change first; /* on 2026-01-01 at 0 h */
    struct change change[4];
    int changes;
};

static const struct zone_row zones[] = {
    {"Europe/London",
     {2026, 1, 1, 0, 0, "GMT"},
     {{2026, 3, 29, 1, HOUR, "BST"},
      {2026, 10, 25, 1, 0, "GMT"},
      {2027, 3, 28, 1, HOUR, "BST"},
      {2027, 10, 31, 1, 0, "GMT"}},
     4},
    {"Europe/Berlin",
     {2026, 1, 1, 0, HOUR, "CET"},
     {{2026, 3, 29, 1, 2 * HOUR, "CEST"},
      {2026, 10, 25, 1, HOUR, "CET"},
      {2027, 3, 28, 1, 2 * HOUR, "CEST"},
      {2027, 10, 31, 1, HOUR, "CET"}},
     4},
    {"America/New_York",
     {2026, 1, 1, 0, -5 * HOUR, "EST"},
     {{2026, 3, 8, 7, -4 * HOUR, "EDT"},
      {2026, 11, 1, 6, -5 * HOUR, "EST"},
      {2027, 3, 14, 7, -4 * HOUR, "EDT"},
      {2027, 11, 7, 6, -5 * HOUR, "EST"}},
     4},
    {"Australia/Sydney",
     {2026, 1, 1, 0, 11 * HOUR, "AEDT"},
     {{2026, 4, 4, 16, 10 * HOUR, "AEST"},
      {2026, 10, 3, 16, 11 * HOUR, "AEDT"},
      {2027, 4, 3, 16, 10 * HOUR, "AEST"},
      {2027, 10, 2, 16, 11 * HOUR, "AEDT"}},
     4},
    {"Africa/Johannesburg", {2026, 1, 1, 0, 2 * HOUR, "SAST"}, {{0}}, 0},
    {"Asia/Kolkata", {2026, 1, 1, 0, 5 * HOUR + 1800, "IST"}, {{0}}, 0},
    {"Asia/Kathmandu", {2026, 1, 1, 0, 5 * HOUR + 2700, "+0545"}, {{0}}, 0},
    {"America/Costa_Rica", {2026, 1, 1, 0, -6 * HOUR, "CST"}, {{0}}, 0},
    {"Pacific/Kiritimati", {2026, 1, 1, 0, 14 * HOUR, "+14"}, {{0}}, 0},
    {"UTC", {2026, 1, 1, 0, 0, "UTC"}, {{0}}, 0},
};

static void expect_span(const char *zone, const struct owl_zone_span *span, const struct change *wanted)
{
    check_cited("tzdata", zone, span->from_unix_s, unix_of(wanted->year, wanted->month, wanted->day, wanted->hour),
                0.0);
    check_cited("tzdata", zone, span->offset_s, wanted->offset_s, 0.0);
    assert_string_equal(span->name, wanted->name);
}

/* cited: every change of the clock in 2026 and 2027: north and south, half and quarter hours, none at all, and
   beyond the date line; to the second. */
static void test_zone_changes_of_two_years(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(zones); i++) {
        struct owl_zone_span spans[OWL_ZONE_SPANS];
        int count = 0;
        assert_int_equal(owl_zone_spans(zones[i].name, unix_of(2026, 1, 1, 0), unix_of(2028, 1, 1, 0), spans, &count),
                         OWL_OK);
        assert_int_equal(count, zones[i].changes + 1);
        expect_span(zones[i].name, &spans[0], &zones[i].first);
        for (int k = 0; k < zones[i].changes; k++)
            expect_span(zones[i].name, &spans[k + 1], &zones[i].change[k]);
    }
}

/* cited: an island whose summer time is half an hour, and one at a quarter hour: the offsets, not the hours. */
static void test_zone_changes_by_half_an_hour(void **state)
{
    (void)state;
    struct owl_zone_span spans[OWL_ZONE_SPANS];
    int count = 0;
    assert_int_equal(
        owl_zone_spans("Australia/Lord_Howe", unix_of(2026, 1, 1, 0), unix_of(2026, 12, 31, 0), spans, &count),
        OWL_OK);
    assert_int_equal(count, 3);
    check_cited("tzdata", "summer s", spans[0].offset_s, 11 * HOUR, 0.0);
    check_cited("tzdata", "winter s", spans[1].offset_s, 10 * HOUR + 1800, 0.0);
    assert_int_equal(
        owl_zone_spans("Pacific/Chatham", unix_of(2026, 6, 1, 0), unix_of(2026, 12, 31, 0), spans, &count), OWL_OK);
    assert_int_equal(count, 2);
    check_cited("tzdata", "winter s", spans[0].offset_s, 12 * HOUR + 2700, 0.0);
    check_cited("tzdata", "summer s", spans[1].offset_s, 13 * HOUR + 2700, 0.0);
}

/* identity: the last instant before a change and the change itself as ends of the stretch asked for. */
static void test_zone_ends_of_the_stretch(void **state)
{
    (void)state;
    struct owl_zone_span spans[OWL_ZONE_SPANS];
    double change_s = unix_of(2026, 3, 29, 1);
    int count = 0;
    assert_int_equal(owl_zone_spans("Europe/London", change_s - 5.0, change_s - 1.0, spans, &count), OWL_OK);
    assert_int_equal(count, 1);
    assert_int_equal(owl_zone_spans("Europe/London", change_s - 5.5, change_s, spans, &count), OWL_OK);
    assert_int_equal(count, 2);
    check_near("first begins where asked", spans[0].from_unix_s, change_s - 5.5, 0.0);
    check_near("change", spans[1].from_unix_s, change_s, 0.0);
    assert_int_equal(owl_zone_spans("Europe/London", change_s, change_s, spans, &count), OWL_OK);
    assert_int_equal(count, 1);
    assert_string_equal(spans[0].name, "BST");
}

/* fault: names that are none, among them ways out of the folder, zones that count leap seconds, a folder and a
   file that is no zone. */
static void test_zone_refuses_names_that_are_none(void **state)
{
    (void)state;
    static const char *const names[] = {NULL,
                                        "",
                                        "Europe/Atlantis",
                                        "Europe",
                                        "europe",
                                        "/usr/share/zoneinfo/Europe/London",
                                        "../zoneinfo/Europe/London",
                                        "Europe/../Europe/London",
                                        ":Europe/London",
                                        "Europe/London ",
                                        "GMT0BST,M3.5.0",
                                        "right/Europe/London",
                                        "zone.tab",
                                        "tzdata_zi",
                                        "Aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa"};
    struct owl_zone_span spans[OWL_ZONE_SPANS];
    int count = 0;
    for (size_t i = 0; i < COUNT(names); i++)
        assert_int_equal(owl_zone_spans(names[i], 0.0, 1e6, spans, &count), OWL_UNKNOWN_ZONE);
}

/* fault: times out of order or range, and more changes than there is room for. */
static void test_zone_refuses_times_and_too_many_changes(void **state)
{
    (void)state;
    struct owl_zone_span spans[OWL_ZONE_SPANS];
    int count = 0;
    assert_int_equal(owl_zone_spans("Europe/London", 10.0, 0.0, spans, &count), OWL_OUTSIDE_DOMAIN);
    assert_int_equal(owl_zone_spans("Europe/London", NAN, 0.0, spans, &count), OWL_OUTSIDE_DOMAIN);
    assert_int_equal(owl_zone_spans("Europe/London", 0.0, INFINITY, spans, &count), OWL_OUTSIDE_DOMAIN);
    assert_int_equal(owl_zone_spans("Europe/London", -1e11, 0.0, spans, &count), OWL_OUTSIDE_DOMAIN);
    assert_int_equal(owl_zone_spans("Europe/London", unix_of(2010, 1, 1, 0), unix_of(2020, 1, 1, 0), spans, &count),
                     OWL_NO_ROOM);
}

static int hour_of_epoch(void)
{
    time_t zero = 0;
    struct tm clock = {0};
    tzset();
    localtime_r(&zero, &clock);
    return clock.tm_hour;
}

/* identity: the process's own zone is as it was, set or unset, whether the call went well or not. */
static void test_zone_leaves_the_process_its_own(void **state)
{
    (void)state;
    struct owl_zone_span spans[OWL_ZONE_SPANS];
    int count = 0;
    setenv("TZ", "Asia/Tokyo", 1);
    assert_int_equal(owl_zone_spans("America/New_York", 0.0, 1e6, spans, &count), OWL_OK);
    assert_string_equal(getenv("TZ"), "Asia/Tokyo");
    assert_int_equal(hour_of_epoch(), 9);
    assert_int_equal(owl_zone_spans("Nowhere", 0.0, 1e6, spans, &count), OWL_UNKNOWN_ZONE);
    assert_string_equal(getenv("TZ"), "Asia/Tokyo");
    unsetenv("TZ");
    assert_int_equal(owl_zone_spans("America/New_York", 0.0, 1e6, spans, &count), OWL_OK);
    assert_null(getenv("TZ"));
}

/* fault: a folder of zones that holds nothing, given by TZDIR, has no zone to offer. */
static void test_zone_looks_where_tzdir_says(void **state)
{
    (void)state;
    struct owl_zone_span spans[OWL_ZONE_SPANS];
    int count = 0;
    setenv("TZDIR", "/nonexistent", 1);
    assert_int_equal(owl_zone_spans("Europe/London", 0.0, 1e6, spans, &count), OWL_UNKNOWN_ZONE);
    unsetenv("TZDIR");
    assert_int_equal(owl_zone_spans("Europe/London", 0.0, 1e6, spans, &count), OWL_OK);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_zone_changes_of_two_years),
        cmocka_unit_test(test_zone_changes_by_half_an_hour),
        cmocka_unit_test(test_zone_ends_of_the_stretch),
        cmocka_unit_test(test_zone_refuses_names_that_are_none),
        cmocka_unit_test(test_zone_refuses_times_and_too_many_changes),
        cmocka_unit_test(test_zone_leaves_the_process_its_own),
        cmocka_unit_test(test_zone_looks_where_tzdir_says),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
