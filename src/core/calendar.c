/* Gregorian dates as counts of days. */
#include "core/calendar.h"

#include "core/constants.h"

#define FIRST_YEAR 1
#define LAST_YEAR 9999
#define DAYS_PER_CYCLE 146097 /* 400 years */
#define YEARS_PER_CYCLE 400
#define DAYS_PER_CENTURY 36524
#define DAYS_PER_FOUR_YEARS 1460 /* the short four years of a cycle: without a leap day */
#define DAYS_PER_YEAR 365
#define EPOCH_DAYS 719468 /* from 0000-03-01 to 1970-01-01 */

static bool is_leap(int year)
{
    return (year % 4 == 0 && year % 100 != 0) || year % YEARS_PER_CYCLE == 0;
}

static int days_in_month(int year, int month)
{
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    return month == 2 && is_leap(year) ? 29 : days[month - 1];
}

bool owl_calendar_valid(struct owl_date date)
{
    return date.year >= FIRST_YEAR && date.year <= LAST_YEAR && date.month >= 1 && date.month <= 12 &&
           date.day >= 1 && date.day <= days_in_month(date.year, date.month);
}

/* Years are counted from 1 March, so that the leap day comes last and the months before it repeat the
   lengths 31 30 31 30 31: the days before month m (0 = March) are then (153 m + 2)/5. */
int64_t owl_calendar_days(struct owl_date date)
{
    if (!owl_calendar_valid(date))
        return INT64_MIN;
    int64_t year = date.month > 2 ? date.year : date.year - 1;
    int64_t month = (date.month + 9) % 12;
    int64_t day_of_year = (153 * month + 2) / 5 + date.day - 1;
    return DAYS_PER_YEAR * year + year / 4 - year / 100 + year / YEARS_PER_CYCLE + day_of_year - EPOCH_DAYS;
}

/* The same backwards; the three corrections take out the leap days before the year is divided off. */
struct owl_date owl_calendar_date(int64_t days)
{
    static const struct owl_date none = {0, 0, 0};
    if (days < owl_calendar_days((struct owl_date){FIRST_YEAR, 1, 1}) ||
        days > owl_calendar_days((struct owl_date){LAST_YEAR, 12, 31}))
        return none;
    int64_t since_march = days + EPOCH_DAYS;
    int64_t cycle = since_march / DAYS_PER_CYCLE;
    int64_t in_cycle = since_march % DAYS_PER_CYCLE;
    int64_t year =
        (in_cycle - in_cycle / DAYS_PER_FOUR_YEARS + in_cycle / DAYS_PER_CENTURY - in_cycle / (DAYS_PER_CYCLE - 1)) /
        DAYS_PER_YEAR;
    int64_t day_of_year = in_cycle - (DAYS_PER_YEAR * year + year / 4 - year / 100);
    int64_t month = (5 * day_of_year + 2) / 153;
    struct owl_date date = {
        .month = (int)(month < 10 ? month + 3 : month - 9),
        .day = (int)(day_of_year - (153 * month + 2) / 5) + 1,
    };
    date.year = (int)(YEARS_PER_CYCLE * cycle + year) + (date.month <= 2);
    return date;
}

double owl_calendar_julian_day(double unix_s)
{
    return OWL_EPOCH_JULIAN_DAY + unix_s / OWL_SECONDS_PER_DAY;
}
