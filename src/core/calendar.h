/* Dates of the Gregorian calendar and the counts of days astronomy and clocks use. Owns nothing.

   Every time in owllight is seconds since 1970-01-01T00:00:00 UTC as a double, named `_unix_s`; leap
   seconds are not counted, so a day always has 86400 of them. The rules are published [meeus1998]. */
#ifndef OWL_CORE_CALENDAR_H
#define OWL_CORE_CALENDAR_H

#include <stdbool.h>
#include <stdint.h>

#define OWL_EPOCH_JULIAN_DAY 2440587.5 /* Julian date of 1970-01-01T00:00 [meeus1998] */

struct owl_date {
    int year, month, day; /* 1..9999, 1..12, 1..31 */
};

/* Whether such a day exists: years 1..9999, the Gregorian rule carried backwards before 1582. */
bool owl_calendar_valid(struct owl_date date);

/* Days from 1970-01-01 to the date, negative before it, exact. INT64_MIN for a date that does not exist. */
int64_t owl_calendar_days(struct owl_date date);

/* The date `days` after 1970-01-01, exact. The date {0, 0, 0} when it lies outside years 1..9999. */
struct owl_date owl_calendar_date(int64_t days);

/* Julian date of a time, days; the fraction is 0 at noon. Good to 0.05 ms of time, a double's grain. */
double owl_calendar_julian_day(double unix_s);

#endif
