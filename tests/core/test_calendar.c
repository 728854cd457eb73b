/* Dates against printed Julian days, round trips and the edges of the calendar. */
#include "core/calendar.h"

#include "support/check.h"

struct day_row {
    struct owl_date date;
    double julian_day; /* at 0 h */
};

/* cited: Julian days of dates printed in chapter 7 of the source (recalled, not re-read); exact. */
static void test_calendar_julian_days_of_printed_dates(void **state)
{
    (void)state;
    static const struct day_row rows[] = {
        {{2000, 1, 1}, 2451544.5},  {{1999, 1, 1}, 2451179.5},  {{1987, 1, 27}, 2446822.5},
        {{1987, 6, 19}, 2446965.5}, {{1988, 1, 27}, 2447187.5}, {{1988, 6, 19}, 2447331.5},
        {{1900, 1, 1}, 2415020.5},  {{1600, 1, 1}, 2305447.5},  {{1600, 12, 31}, 2305812.5},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double unix_s = 86400.0 * (double)owl_calendar_days(rows[i].date);
        check_cited("meeus1998", "julian day", owl_calendar_julian_day(unix_s), rows[i].julian_day, 0.0);
    }
}

/* cited: the launch at 1957-10-04.81, JD 2436116.31; half the last digit. */
static void test_calendar_julian_day_of_a_fraction(void **state)
{
    (void)state;
    double unix_s = 86400.0 * ((double)owl_calendar_days((struct owl_date){1957, 10, 4}) + 0.81);
    check_cited("meeus1998", "julian day 1957", owl_calendar_julian_day(unix_s), 2436116.31, 0.005);
}

/* identity: the epoch, the day before it, and second 1 000 000 000, which fell on 2001-09-09. */
static void test_calendar_days_count_from_the_epoch(void **state)
{
    (void)state;
    assert_int_equal(owl_calendar_days((struct owl_date){1970, 1, 1}), 0);
    assert_int_equal(owl_calendar_days((struct owl_date){1969, 12, 31}), -1);
    assert_int_equal(owl_calendar_days((struct owl_date){2001, 9, 9}), 1000000000 / 86400);
}

static struct owl_date day_after(struct owl_date date)
{
    struct owl_date tries[] = {
        {date.year, date.month, date.day + 1}, {date.year, date.month + 1, 1}, {date.year + 1, 1, 1}};
    int i = 0;
    while (i < 2 && !owl_calendar_valid(tries[i]))
        i++;
    return tries[i];
}

/* identity: stepping day by day over 401 years, counts grow by one and dates come back. */
static void test_calendar_dates_round_trip_over_a_cycle(void **state)
{
    (void)state;
    struct owl_date date = {1799, 12, 28};
    int64_t days = owl_calendar_days(date);
    for (; date.year < 2201; date = day_after(date), days++) {
        struct owl_date back = owl_calendar_date(days);
        if (owl_calendar_days(date) != days || back.year != date.year || back.month != date.month ||
            back.day != date.day)
            fail_msg("%d-%d-%d", date.year, date.month, date.day);
    }
}

/* identity: which days exist: the leap rule with its two exceptions, and the bounds of each field. */
static void test_calendar_valid_knows_leap_years_and_bounds(void **state)
{
    (void)state;
    static const struct owl_date good[] = {{2024, 2, 29}, {2000, 2, 29}, {1, 1, 1}, {9999, 12, 31}, {2026, 4, 30}};
    static const struct owl_date bad[] = {{2026, 2, 29}, {1900, 2, 29}, {2100, 2, 29}, {2026, 4, 31},
                                          {2026, 0, 1},  {2026, 13, 1}, {2026, 1, 0},  {2026, 1, 32},
                                          {0, 12, 31},   {10000, 1, 1}, {2026, -1, 1}, {2026, 1, -1}};
    for (size_t i = 0; i < sizeof good / sizeof good[0]; i++)
        assert_true(owl_calendar_valid(good[i]));
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        assert_false(owl_calendar_valid(bad[i]));
        assert_true(owl_calendar_days(bad[i]) == INT64_MIN);
    }
}

/* identity: both ends of the calendar come back; one day beyond them is no date. */
static void test_calendar_date_ends_with_the_calendar(void **state)
{
    (void)state;
    int64_t first = owl_calendar_days((struct owl_date){1, 1, 1});
    int64_t last = owl_calendar_days((struct owl_date){9999, 12, 31});
    assert_int_equal(owl_calendar_date(first).year, 1);
    assert_int_equal(owl_calendar_date(last).day, 31);
    assert_int_equal(last - first + 1, 3652059);
    assert_false(owl_calendar_valid(owl_calendar_date(first - 1)));
    assert_false(owl_calendar_valid(owl_calendar_date(last + 1)));
    assert_false(owl_calendar_valid(owl_calendar_date(INT64_MIN)));
    assert_false(owl_calendar_valid(owl_calendar_date(INT64_MAX)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_calendar_julian_days_of_printed_dates),
        cmocka_unit_test(test_calendar_julian_day_of_a_fraction),
        cmocka_unit_test(test_calendar_days_count_from_the_epoch),
        cmocka_unit_test(test_calendar_dates_round_trip_over_a_cycle),
        cmocka_unit_test(test_calendar_valid_knows_leap_years_and_bounds),
        cmocka_unit_test(test_calendar_date_ends_with_the_calendar),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
