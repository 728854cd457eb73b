/* Times cut into whole hundredths of a second, so that no part rounds over into the next. */
#include "sheet/moment.h"

#include <math.h>

#include "core/calendar.h"
#include "core/constants.h"

#define HUNDREDTHS 100
#define DAY ((int64_t)OWL_SECONDS_PER_DAY * HUNDREDTHS)
#define MINUTES 60
#define FARTHEST_S 1e12 /* more than all years the calendar knows */

static int64_t hundredths_of(double local_s)
{
    return (int64_t)floor(local_s * HUNDREDTHS + 0.5);
}

static int64_t days_of(int64_t hundredths)
{
    return (hundredths - (hundredths % DAY + DAY) % DAY) / DAY;
}

bool owl_moment_known(double local_s)
{
    return fabs(local_s) < FARTHEST_S && owl_calendar_date(days_of(hundredths_of(local_s))).year > 0;
}

static void write_figures(struct owl_text *text, int value, int digits)
{
    int least = 1;
    for (int i = 1; i < digits; i++) {
        least *= 10;
        if (value < least)
            owl_text_repeat(text, '0', 1);
    }
    owl_text_integer(text, value);
}

void owl_moment_date(int64_t days, struct owl_text *text)
{
    struct owl_date date = owl_calendar_date(days);
    if (date.year == 0)
        return;
    write_figures(text, date.year, 4);
    owl_text_char(text, '-');
    write_figures(text, date.month, 2);
    owl_text_char(text, '-');
    write_figures(text, date.day, 2);
}

static void write_clock(int64_t of_day_s, struct owl_text *text)
{
    write_figures(text, (int)(of_day_s / (MINUTES * MINUTES)), 2);
    owl_text_char(text, ':');
    write_figures(text, (int)(of_day_s / MINUTES % MINUTES), 2);
    owl_text_char(text, ':');
    write_figures(text, (int)(of_day_s % MINUTES), 2);
}

void owl_moment_clock(double local_s, struct owl_text *text)
{
    if (!owl_moment_known(local_s))
        return;
    int64_t all = hundredths_of(local_s), days = days_of(all);
    write_clock((all - days * DAY) / HUNDREDTHS, text);
}

void owl_moment_iso(double local_s, struct owl_text *text)
{
    if (!owl_moment_known(local_s))
        return;
    int64_t all = hundredths_of(local_s), days = days_of(all), of_day = all - days * DAY;
    owl_moment_date(days, text);
    owl_text_char(text, 'T');
    write_clock(of_day / HUNDREDTHS, text);
    if (of_day % HUNDREDTHS != 0) {
        owl_text_char(text, '.');
        write_figures(text, (int)(of_day % HUNDREDTHS), 2);
    }
}

int64_t owl_moment_night(double local_s)
{
    return isnan(local_s) ? OWL_MOMENT_NO_NIGHT : (int64_t)floor((local_s - 0.5 * OWL_SECONDS_PER_DAY) / OWL_SECONDS_PER_DAY);
}
