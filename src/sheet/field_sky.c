/* The sky of the watch: a line for every night, by the clock of the site. */
#include <math.h>

#include "core/constants.h"
#include "core/draw/ribbon.h"
#include "sheet/field_parts.h"

/* `UTC`, `UTC+1`, `UTC-3:30`. */
static void write_offset(const struct owl_sheet *sheet, int seconds)
{
    int minutes = (seconds < 0 ? -seconds : seconds) / 60;
    owl_sheet_raw(sheet, "<b>UTC");
    if (minutes > 0) {
        owl_text_char(sheet->html, seconds < 0 ? '-' : '+');
        owl_text_integer(sheet->html, minutes / 60);
    }
    if (minutes % 60) {
        owl_sheet_raw(sheet, minutes % 60 < 10 ? ":0" : ":");
        owl_text_integer(sheet->html, minutes % 60);
    }
    owl_sheet_raw(sheet, "</b>");
}

/* The zone once, and every night in which its clock is moved. */
static void write_zone(const struct owl_sheet *sheet)
{
    const struct owl_watch_view *watch = sheet->watch;
    owl_sheet_raw(sheet, "<p>By the clock of ");
    owl_sheet_name(sheet, sheet->plan->site.zone);
    owl_sheet_raw(sheet, ", ");
    write_offset(sheet, owl_sky_offset_s(watch->sky, watch->night[0].noon_unix_s));
    for (int n = 0; n < watch->nights; n++) {
        double noon_s = watch->night[n].noon_unix_s;
        int after_s = owl_sky_offset_s(watch->sky, noon_s + OWL_SECONDS_PER_DAY);
        if (owl_sky_offset_s(watch->sky, noon_s) == after_s)
            continue;
        owl_sheet_raw(sheet, "; <strong>the clock changes</strong> in the night of <b>");
        owl_sheet_date(sheet, sheet->plan->watch.start_days + n);
        owl_sheet_raw(sheet, "</b> to ");
        write_offset(sheet, after_s);
    }
    owl_sheet_raw(sheet, ". A night has the date of its evening and runs from noon to noon, so that times after midnight are of "
                         "the next morning.</p>\n");
}

static void write_event(const struct owl_sheet *sheet, const struct owl_sky_event *event)
{
    owl_sheet_raw(sheet, "<td>");
    switch (event->what) {
    case OWL_EVENT_AT: owl_sheet_clock(sheet, event->unix_s); break;
    case OWL_EVENT_ALWAYS_UP: owl_sheet_raw(sheet, "stays up"); break;
    case OWL_EVENT_ALWAYS_DOWN: owl_sheet_raw(sheet, "stays down"); break;
    default: owl_sheet_raw(sheet, "none");
    }
    owl_sheet_raw(sheet, "</td>");
}

static void write_number(const struct owl_sheet *sheet, double value, int decimals)
{
    owl_sheet_raw(sheet, "<td>");
    owl_text_fixed(sheet->html, value, decimals);
    owl_sheet_raw(sheet, "</td>");
}

static void write_test(const struct owl_sheet *sheet, double unix_s)
{
    owl_sheet_raw(sheet, "<td>");
    if (isnan(unix_s))
        owl_sheet_raw(sheet, "none");
    else
        owl_sheet_clock(sheet, unix_s);
    owl_sheet_raw(sheet, "</td>");
}

static void write_night(const struct owl_sheet *sheet, int n)
{
    const struct owl_night *night = &sheet->watch->night[n];
    const struct owl_night_result *result = &sheet->evaluation->night[n];
    double days = sheet->plan->watch.start_days + n;
    bool sunday = owl_sheet_weekday(days) == 3;
    owl_sheet_raw(sheet, sunday ? "<tr class=\"sunday\"><th scope=\"row\">" : "<tr><th scope=\"row\">");
    owl_sheet_raw(sheet, "<span class=\"day\">");
    owl_sheet_raw(sheet, owl_sheet_weekday_name(days));
    owl_sheet_raw(sheet, "</span> ");
    owl_sheet_day_month(sheet, days);
    owl_sheet_raw(sheet, "</th>");
    write_event(sheet, &night->event[OWL_SUNSET]);
    write_test(sheet, result->test_unix_s);
    write_event(sheet, &night->event[OWL_MOONRISE]);
    write_event(sheet, &night->event[OWL_MOONSET]);
    write_number(sheet, night->moon_lit * 100.0, 0);
    write_event(sheet, &night->event[OWL_SUNRISE]);
    write_number(sheet, result->armed_s / OWL_SECONDS_PER_HOUR, 1);
    write_number(sheet, result->share * 100.0, 0);
    owl_sheet_raw(sheet, "</tr>\n");
}

static void write_ribbon(const struct owl_sheet *sheet)
{
    owl_sheet_raw(sheet, "<figure>\n");
    owl_draw_ribbon(sheet->plan, sheet->evaluation, sheet->watch, sheet->html);
    owl_sheet_raw(sheet, "<figcaption class=\"quiet\">The night ribbon: the light at the mark, a row for each night.</figcaption>\n"
                         "</figure>\n");
}

void owl_sheet_sky(const struct owl_sheet *sheet)
{
    owl_sheet_open(sheet, "sky", "Sky of the watch");
    write_zone(sheet);
    write_ribbon(sheet);
    owl_sheet_raw(sheet, "<p class=\"quiet\">Test: from then on the light is right for the test. Lit: share of the moon's disc in "
                         "the middle of the night, %. Armed: hours in the 24. Active: share of the animal's own activity that "
                         "falls in them, %.</p>\n<div class=\"wide\">\n<table class=\"sky\">\n<thead><tr><th scope=\"col\">Night</th>"
                         "<th scope=\"col\">Sun sets</th><th scope=\"col\">Test</th><th scope=\"col\">Moon rises</th>"
                         "<th scope=\"col\">Moon sets</th><th scope=\"col\">Lit</th><th scope=\"col\">Sun rises</th>"
                         "<th scope=\"col\">Armed</th><th scope=\"col\">Active</th></tr></thead>\n<tbody>\n");
    for (int n = 0; n < sheet->watch->nights; n++)
        write_night(sheet, n);
    owl_sheet_raw(sheet, "</tbody>\n</table>\n</div>\n");
    owl_sheet_close(sheet);
}
