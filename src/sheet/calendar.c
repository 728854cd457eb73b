/* Each line is written whole into a small room first, then cut to the length the standard allows. */
#include "sheet/calendar.h"

#include <math.h>
#include <string.h>

#include "core/calendar.h"
#include "core/constants.h"
#include "sheet/clean.h"

#define LINE_OCTETS 75 /* of one line without its end [rfc5545] */
#define LINE_BYTES 2048
#define VALUE_BYTES 1024
#define TEST_NIGHTS 2 /* the first, and the next should it be missed */
#define MINUTE_S 60.0
#define PLACE_GRAIN_DEG 0.1 /* some 10 km: tells unnamed sites apart and gives none away */
#define REMINDER "-PT15H" /* before the midnight that begins the day: nine in the morning */

struct calendar {
    const struct owl_plan *plan;
    const struct owl_evaluation *evaluation;
    const struct owl_watch_view *watch;
    double stamp_unix_s;
    uint64_t site;
    struct owl_text *text;
};

/* ---- lines ---- */

/* Where to cut: never within a character. */
static size_t cut_at(const char *line, size_t room)
{
    size_t cut = room;
    while (cut > 0 && ((unsigned char)line[cut] & 0xC0u) == 0x80u)
        cut--;
    return cut > 0 ? cut : room;
}

static void write_line(const struct calendar *calendar, const char *line)
{
    size_t left = strlen(line), room = LINE_OCTETS;
    while (left > room) {
        size_t cut = cut_at(line, room);
        owl_text_bytes(calendar->text, line, cut);
        owl_text_words(calendar->text, "\r\n ");
        line += cut;
        left -= cut;
        room = LINE_OCTETS - 1; /* the blank counts */
    }
    owl_text_words(calendar->text, line);
    owl_text_words(calendar->text, "\r\n");
}

/* A value that is a text: what has a meaning in lists and lines is written as itself. */
static void write_words(const struct calendar *calendar, const char *name, const char *words)
{
    char buffer[LINE_BYTES];
    struct owl_text line = owl_text_over(buffer, sizeof buffer);
    owl_text_words(&line, name);
    owl_text_char(&line, ':');
    for (; *words; words++) {
        if (strchr("\\;,", *words))
            owl_text_char(&line, '\\');
        owl_text_words(&line, *words == '\n' ? "\\n" : (char[]){*words, '\0'});
    }
    write_line(calendar, buffer);
}

static void show_figures(struct owl_text *line, int64_t value, int64_t least)
{
    for (; value < least && least > 1; least /= 10)
        owl_text_char(line, '0');
    owl_text_integer(line, value);
}

static void show_day(struct owl_text *line, int64_t days)
{
    struct owl_date date = owl_calendar_date(days);
    show_figures(line, date.year, 1000);
    show_figures(line, date.month, 10);
    show_figures(line, date.day, 10);
}

static void write_day(const struct calendar *calendar, const char *name, int64_t days)
{
    char buffer[VALUE_BYTES];
    struct owl_text line = owl_text_over(buffer, sizeof buffer);
    owl_text_words(&line, name);
    owl_text_words(&line, ";VALUE=DATE:");
    show_day(&line, days);
    write_line(calendar, buffer);
}

static void write_moment(const struct calendar *calendar, const char *name, double unix_s)
{
    char buffer[VALUE_BYTES];
    struct owl_text line = owl_text_over(buffer, sizeof buffer);
    int64_t days = (int64_t)floor(unix_s / OWL_SECONDS_PER_DAY);
    int64_t of_day = (int64_t)floor(unix_s) - days * (int64_t)OWL_SECONDS_PER_DAY;
    owl_text_words(&line, name);
    owl_text_char(&line, ':');
    show_day(&line, days);
    owl_text_char(&line, 'T');
    show_figures(&line, of_day / 3600, 10);
    show_figures(&line, of_day / 60 % 60, 10);
    show_figures(&line, of_day % 60, 10);
    owl_text_char(&line, 'Z');
    write_line(calendar, buffer);
}

/* ---- names ---- */

/* FNV-1a [rfc9923]. */
static uint64_t stir(uint64_t hash, const char *bytes)
{
    for (; *bytes; bytes++)
        hash = (hash ^ (unsigned char)*bytes) * 1099511628211u;
    return (hash ^ 0xFFu) * 1099511628211u; /* ends the word: no byte of UTF-8 */
}

static uint64_t site_of(const struct owl_plan *plan)
{
    char buffer[VALUE_BYTES];
    struct owl_text place = owl_text_over(buffer, sizeof buffer);
    owl_text_fixed(&place, floor(plan->site.latitude_rad * OWL_DEG_PER_RAD / PLACE_GRAIN_DEG), 0);
    owl_text_char(&place, ' ');
    owl_text_fixed(&place, floor(plan->site.longitude_rad * OWL_DEG_PER_RAD / PLACE_GRAIN_DEG), 0);
    owl_text_char(&place, ' ');
    owl_text_fixed(&place, plan->watch.start_days, 0);
    return stir(stir(stir(14695981039346656037u, plan->site.name), plan->site.zone), buffer);
}

static void write_name(const struct calendar *calendar, const char *what, int number)
{
    static const char digits[] = "0123456789abcdef";
    char buffer[VALUE_BYTES];
    struct owl_text line = owl_text_over(buffer, sizeof buffer);
    owl_text_words(&line, "UID:owllight-");
    for (int shift = 60; shift >= 0; shift -= 4)
        owl_text_char(&line, digits[calendar->site >> shift & 15u]);
    owl_text_char(&line, '-');
    owl_text_words(&line, what);
    if (number > 0) {
        owl_text_char(&line, '-');
        owl_text_integer(&line, number);
    }
    write_line(calendar, buffer);
}

/* ---- events ---- */

/* `what` names the kind of event, number its place among those of its kind, 0: it is the only one. */
static void open_event(const struct calendar *calendar, const char *what, int number)
{
    write_line(calendar, "BEGIN:VEVENT");
    write_name(calendar, what, number);
    write_moment(calendar, "DTSTAMP", calendar->stamp_unix_s);
    write_line(calendar, "CLASS:PRIVATE"); /* it tells where something of value stands alone */
}

/* The summary with the site's name, and more about it. */
static void write_about(const struct calendar *calendar, const char *summary, const char *more)
{
    char buffer[VALUE_BYTES];
    struct owl_text words = owl_text_over(buffer, sizeof buffer);
    owl_text_words(&words, summary);
    if (calendar->plan->site.name[0]) {
        owl_text_words(&words, ": ");
        owl_clean_words(&words, calendar->plan->site.name);
    }
    write_words(calendar, "SUMMARY", buffer);
    write_words(calendar, "DESCRIPTION", more);
}

static void write_whole_day(const struct calendar *calendar, int64_t days)
{
    write_day(calendar, "DTSTART", days);
    write_day(calendar, "DTEND", days + 1); /* not in it */
    write_line(calendar, "TRANSP:TRANSPARENT");
}

static void close_event(const struct calendar *calendar)
{
    write_line(calendar, "END:VEVENT");
}

static int64_t start_days(const struct calendar *calendar)
{
    return (int64_t)calendar->plan->watch.start_days;
}

static void write_placing(const struct calendar *calendar)
{
    char buffer[VALUE_BYTES];
    struct owl_text words = owl_text_over(buffer, sizeof buffer);
    owl_text_words(&words, "The first of ");
    owl_unit_show(OWL_UNIT_NIGHTS, calendar->plan->watch.nights, &words);
    owl_text_words(&words, " begins this evening. Take the field sheet; leave daylight enough to place, measure and focus.");
    open_event(calendar, "placing", 0);
    write_whole_day(calendar, start_days(calendar));
    write_about(calendar, "Place the rig", buffer);
    close_event(calendar);
}

static void write_test(const struct calendar *calendar, int night, double test_unix_s)
{
    char buffer[VALUE_BYTES];
    struct owl_text words = owl_text_over(buffer, sizeof buffer);
    double minute_s = floor(test_unix_s / MINUTE_S + 0.5) * MINUTE_S;
    double local_s = owl_sky_local_s(calendar->watch->sky, minute_s);
    owl_text_words(&words, night > 0 ? "Only if the first night's test was missed. " : "");
    owl_text_words(&words, "From ");
    owl_unit_show(OWL_UNIT_CLOCK, local_s - floor(local_s / OWL_SECONDS_PER_DAY) * OWL_SECONDS_PER_DAY, &words);
    owl_text_words(&words, " by the clock of ");
    owl_clean_words(&words, calendar->plan->site.zone);
    owl_text_words(&words, " on, the light is right for the test: draw the stand-in through the path, and look at frame, focus, "
                           "exposure and every flash.");
    open_event(calendar, "test", night + 1);
    write_moment(calendar, "DTSTART", minute_s);
    write_line(calendar, "DURATION:PT1H");
    write_about(calendar, night > 0 ? "Test the rig, second chance" : "Come back and test the rig", buffer);
    close_event(calendar);
}

static double lasts_nights(const struct calendar *calendar, enum owl_result result, int which)
{
    return owl_outcome_value(&calendar->evaluation->outcome, result, which);
}

static void show_device(const struct calendar *calendar, struct owl_text *words, int device)
{
    owl_text_words(words, device >= OWL_DEVICE_FLASH && device < OWL_DEVICES ? "flash " : "");
    owl_clean_words(words, device == OWL_DEVICES ? "card" : owl_device_name(calendar->plan, device));
}

static void show_lasting(const struct calendar *calendar, struct owl_text *words, int device)
{
    double nights = device == OWL_DEVICES ? lasts_nights(calendar, OWL_RESULT_CARD_NIGHTS, 0)
                                          : lasts_nights(calendar, OWL_RESULT_CELLS_NIGHTS, device);
    if (!isfinite(nights))
        return;
    owl_text_words(words, "\n");
    show_device(calendar, words, device);
    owl_text_words(words, ": ");
    /* Whole nights, as it is no use in the one it fails in. */
    owl_unit_show(OWL_UNIT_NIGHTS, nights < 1.0 ? nights : floor(nights), words);
}

static void write_service(const struct calendar *calendar, int number, int64_t days)
{
    char buffer[VALUE_BYTES];
    struct owl_text words = owl_text_over(buffer, sizeof buffer);
    owl_text_words(&words, "Fresh cells in every device and an empty card, before dark. First to run out: ");
    show_device(calendar, &words, calendar->evaluation->first_to_fail);
    owl_text_words(&words, ". How long each lasts:");
    for (int device = 0; device < OWL_DEVICE_FLASH + calendar->plan->flashes; device++)
        show_lasting(calendar, &words, device);
    show_lasting(calendar, &words, OWL_DEVICES);
    open_event(calendar, "service", number);
    write_whole_day(calendar, days);
    write_about(calendar, "Service the rig", buffer);
    write_line(calendar, "BEGIN:VALARM");
    write_line(calendar, "ACTION:DISPLAY");
    write_line(calendar, "TRIGGER:" REMINDER);
    write_words(calendar, "DESCRIPTION", "Service the rig tomorrow: charge cells, empty a card.");
    write_line(calendar, "END:VALARM");
    close_event(calendar);
}

static void write_services(const struct calendar *calendar)
{
    double lasts = lasts_nights(calendar, OWL_RESULT_OUTLAST, 0), nights = calendar->plan->watch.nights;
    double every = fmax(floor(lasts) - 1.0, 1.0);
    int number = 0;
    /* The last turn with a NaN, or with what lasts for ever, is the first. */
    for (double renewed = 0.0; renewed + lasts < nights && renewed + every < nights; renewed += every)
        write_service(calendar, ++number, start_days(calendar) + (int64_t)(renewed + every));
}

static void write_end(const struct calendar *calendar)
{
    open_event(calendar, "end", 0);
    write_whole_day(calendar, start_days(calendar) + (int64_t)calendar->plan->watch.nights);
    write_about(calendar, "Fetch the rig", "The last night of the watch ended this morning. Take everything home: devices, pegs, "
                                           "cords, cells, bait and litter.");
    close_event(calendar);
}

static bool day_known(double days)
{
    return fabs(days) < 1e9 && owl_calendar_date((int64_t)floor(days)).year > 0;
}

enum owl_status owl_calendar_write(const struct owl_plan *plan, const struct owl_evaluation *evaluation,
                                   const struct owl_watch_view *watch, double stamp_unix_s, struct owl_text *text)
{
    const struct calendar calendar = {plan, evaluation, watch, stamp_unix_s, site_of(plan), text};
    if (!day_known(stamp_unix_s / OWL_SECONDS_PER_DAY) || !day_known(plan->watch.start_days) ||
        !day_known(plan->watch.start_days + plan->watch.nights + 1.0))
        return OWL_OUTSIDE_DOMAIN;
    write_line(&calendar, "BEGIN:VCALENDAR");
    write_line(&calendar, "VERSION:2.0");
    write_line(&calendar, "PRODID:-//owllight//watch//EN");
    write_placing(&calendar);
    for (int night = 0; night < TEST_NIGHTS && night < evaluation->nights; night++)
        if (!isnan(evaluation->night[night].test_unix_s))
            write_test(&calendar, night, evaluation->night[night].test_unix_s);
    write_services(&calendar);
    write_end(&calendar);
    write_line(&calendar, "END:VCALENDAR");
    return text->cut ? OWL_NO_ROOM : OWL_OK;
}
