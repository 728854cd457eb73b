/* The page `owllight plan` prints: what to change first, then every part of the rig in turn. */
#include "cli/plan_page.h"

#include <math.h>
#include <stdarg.h>
#include <string.h>

#include "core/constants.h"
#include "core/plan/workings.h"

#define LABEL_COLUMNS 22
#define VALUE_COLUMNS 60
#define NIGHTS_IN_FULL 10
#define NIGHTS_APART 7

/* A page being written. */
struct page {
    const struct owl_session *session;
    const struct owl_plan *plan;
    const struct owl_evaluation *evaluation;
    struct owl_text *text;
};

static struct page page_of(const struct owl_session *session, struct owl_text *text)
{
    return (struct page){session, &session->plan, &session->evaluation, text};
}

static double value_of(const struct page *page, enum owl_result result, int which)
{
    return owl_outcome_value(&page->evaluation->outcome, result, which);
}

static void show(const struct page *page, enum owl_result result, int which, struct owl_text *text)
{
    const struct owl_figure *figure = owl_outcome_find(&page->evaluation->outcome, result, which);
    if (figure)
        owl_figure_show(figure, text);
    else
        owl_text_char(text, '-');
}

/* `12 cm past` or `12 cm before`. */
static void show_place(const struct page *page, enum owl_result result, int which, const char *above, const char *below,
                       struct owl_text *text)
{
    double value = value_of(page, result, which);
    owl_unit_show(owl_result_row(result)->unit, fabs(value), text);
    owl_text_words(text, value < 0.0 ? below : above);
}

#define ROW_KEYS 4

/* The keys of a row in brackets: `[picture.near .far]`, the common beginning said once. */
static void write_keys(const struct page *page, int which, const enum owl_result *results, int count)
{
    char first[96], key[96];
    struct owl_text text = owl_text_over(first, sizeof first);
    owl_figure_key(page->plan, results[0], which, &text);
    owl_text_words(page->text, " [");
    owl_text_words(page->text, first);
    size_t stem = (size_t)(strrchr(first, '.') - first) + 1;
    for (int i = 1; i < count; i++) {
        text = owl_text_over(key, sizeof key);
        owl_figure_key(page->plan, results[i], which, &text);
        bool shared = strncmp(first, key, stem) == 0;
        owl_text_char(page->text, shared ? ' ' : ',');
        owl_text_words(page->text, shared ? "." : " ");
        owl_text_words(page->text, shared ? key + stem : key);
    }
    owl_text_char(page->text, ']');
}

/* One row of the page: `label  value  [keys]`. In the pattern a `%` stands for the next result
   given, shown with its unit, `@` for one shown as so far past or before, `~` as above or below. */
static void row(const struct page *page, const char *label, int which, const char *pattern, ...)
{
    char value[240];
    struct owl_text shown = owl_text_over(value, sizeof value);
    enum owl_result given[ROW_KEYS];
    int count = 0;
    va_list results;
    va_start(results, pattern);
    for (; *pattern; pattern++) {
        if (!strchr("%@~", *pattern)) {
            owl_text_char(&shown, *pattern);
            continue;
        }
        enum owl_result result = (enum owl_result)va_arg(results, int);
        if (count < ROW_KEYS)
            given[count++] = result;
        if (*pattern == '%')
            show(page, result, which, &shown);
        else
            show_place(page, result, which, *pattern == '@' ? " past" : " above", *pattern == '@' ? " before" : " below", &shown);
    }
    va_end(results);
    owl_text_words(page->text, "  ");
    owl_text_padded(page->text, label, LABEL_COLUMNS);
    owl_text_padded(page->text, value, count > 0 ? VALUE_COLUMNS : 0);
    if (count > 0)
        write_keys(page, which, given, count);
    owl_text_char(page->text, '\n');
}

static void heading(const struct page *page, const char *words)
{
    owl_text_char(page->text, '\n');
    owl_text_words(page->text, words);
    owl_text_char(page->text, '\n');
}

/* A row of words only. */
static void note(const struct page *page, const char *label, const char *words)
{
    owl_text_words(page->text, "  ");
    owl_text_padded(page->text, label, LABEL_COLUMNS);
    owl_text_words(page->text, words);
    owl_text_char(page->text, '\n');
}

void owl_page_clock(const struct owl_session *session, double unix_s, struct owl_text *text)
{
    if (isnan(unix_s)) {
        owl_text_words(text, "-");
        return;
    }
    double local_s = owl_sky_local_s(&session->sky.sky, unix_s);
    owl_unit_show(OWL_UNIT_CLOCK, local_s - floor(local_s / OWL_SECONDS_PER_DAY) * OWL_SECONDS_PER_DAY, text);
}

void owl_page_date(const struct owl_session *session, int night, struct owl_text *text)
{
    owl_unit_show(OWL_UNIT_DATE, session->plan.watch.start_days + night, text);
}

static void write_title(const struct page *page)
{
    const struct owl_plan *plan = page->plan;
    struct owl_text *text = page->text;
    owl_text_words(text, owl_animal_at((size_t)plan->subject.kind)->name);
    if (*plan->site.name) {
        owl_text_words(text, ", ");
        owl_text_words(text, plan->site.name);
    }
    owl_text_words(text, " (");
    owl_unit_show(OWL_UNIT_LATITUDE, plan->site.latitude_rad, text);
    owl_text_words(text, ", ");
    owl_unit_show(OWL_UNIT_LONGITUDE, plan->site.longitude_rad, text);
    owl_text_words(text, ")\n");
    owl_text_integer(text, page->evaluation->nights);
    owl_text_words(text, page->evaluation->nights == 1 ? " night, " : " nights, ");
    owl_page_date(page->session, 0, text);
    owl_text_words(text, " to ");
    owl_page_date(page->session, page->evaluation->nights, text);
    owl_text_words(text, "; times by the clock of ");
    owl_text_words(text, plan->site.zone);
    owl_text_char(text, '\n');
}

static void write_warnings(const struct page *page)
{
    heading(page, "What to change first");
    if (page->evaluation->warnings == 0)
        note(page, "", "nothing: this plan loses no picture that it can foresee");
    for (int i = 0; i < page->evaluation->warnings; i++) {
        const struct owl_warning *warning = &page->evaluation->warning[i];
        char mark[24];
        struct owl_text text = owl_text_over(mark, sizeof mark);
        if (warning->danger) {
            owl_text_words(&text, "caution");
        } else if (warning->cost < 0.005) {
            owl_text_words(&text, "looks");
        } else {
            owl_text_words(&text, "loses ");
            owl_text_integer(&text, (int64_t)(warning->cost * 100.0 + 0.5));
            owl_text_words(&text, " %");
        }
        owl_text_words(page->text, "  ");
        owl_text_padded(page->text, mark, 13);
        owl_text_words(page->text, warning->words);
        owl_text_words(page->text, "\n               -> ");
        owl_text_words(page->text, warning->change);
        owl_text_char(page->text, '\n');
    }
}

static void write_picture(const struct page *page)
{
    heading(page, "The picture at the mark");
    row(page, "distance", 0, "%, angle of view %", OWL_RESULT_DISTANCE, OWL_RESULT_FIELD_ANGLE);
    row(page, "frame", 0, "% wide, % high", OWL_RESULT_FIELD_WIDTH, OWL_RESULT_FIELD_HEIGHT);
    row(page, "animal in it", 0, "fills % of the width, % of the height; % across", OWL_RESULT_FILL_WIDTH, OWL_RESULT_FILL_HEIGHT,
        OWL_RESULT_BODY_PIXELS);
    row(page, "focus", 0, "% from the lens, % on its scale", OWL_RESULT_FOCUS, OWL_RESULT_FOCUS_SCALE);
    row(page, "sharp", 0, "from % to %, hyperfocal %", OWL_RESULT_NEAR, OWL_RESULT_FAR, OWL_RESULT_HYPERFOCAL);
    row(page, "the animal needs", 0, "from % to %", OWL_RESULT_NEAR_WANTED, OWL_RESULT_FAR_WANTED);
    row(page, "aperture for that", 0, "% at least, sharpest at %", OWL_RESULT_APERTURE_WANTED, OWL_RESULT_APERTURE_SHARPEST);
    row(page, "blur", 0, "%; on the print %", OWL_RESULT_BLUR_PIXELS, OWL_RESULT_BLUR_PRINT);
    row(page, "of which", 0, "focus %, diffraction %, motion %", OWL_RESULT_DEFOCUS_BLUR, OWL_RESULT_AIRY_BLUR,
        OWL_RESULT_MOTION_BLUR);
    bool frozen = value_of(page, OWL_RESULT_MOTION_BLUR, 0) <= page->plan->limits.blur_m;
    row(page, "limit", 0, frozen ? "% of blur on the image sensor; the walk is frozen" : "% of blur on the image sensor; the walk is not frozen",
        OWL_RESULT_BLUR_LIMIT);
}

static void write_flashes(const struct page *page)
{
    const struct owl_plan *plan = page->plan;
    if (plan->flashes == 0)
        return;
    heading(page, "Flash light");
    for (int i = 0; i < plan->flashes; i++) {
        bool behind = value_of(page, OWL_RESULT_FLASH_EXPOSURE, i) <= 0.0;
        if (behind)
            row(page, plan->flash[i].name, i, "from behind, at %: a rim of light (%)", OWL_RESULT_FLASH_DISTANCE, OWL_RESULT_FLASH_INTENSITY);
        else
            row(page, plan->flash[i].name, i, "% at % gives %, alone %", OWL_RESULT_FLASH_INTENSITY, OWL_RESULT_FLASH_DISTANCE,
                OWL_RESULT_FLASH_EXPOSURE, OWL_RESULT_FLASH_STOPS);
        row(page, "", i, "pulse %, ready after %, last frame %", OWL_RESULT_FLASH_TENTH, OWL_RESULT_FLASH_RECYCLE,
            OWL_RESULT_FLASH_LAST);
        row(page, "", i, "shutter % or longer", OWL_RESULT_FLASH_SYNC);
    }
    row(page, "together", 0, "% of % needed: %", OWL_RESULT_LIGHT_EXPOSURE, OWL_RESULT_LIGHT_NEEDED, OWL_RESULT_LIGHT_ERROR);
    row(page, "right aperture", 0, "%", OWL_RESULT_LIGHT_APERTURE);
    if (!isnan(value_of(page, OWL_RESULT_LIGHT_RATIO, 0)))
        row(page, "key over fill", 0, "%", OWL_RESULT_LIGHT_RATIO);
    row(page, "backdrop", 0, "% against mid grey", OWL_RESULT_LIGHT_BACKDROP);
}

static void write_ambient(const struct page *page)
{
    heading(page, "Ambient light while armed");
    if (isnan(value_of(page, OWL_RESULT_LIGHT_DARKEST, 0))) {
        note(page, "", "never armed");
        return;
    }
    row(page, "darkest minute", 0, "%, shutter %: %", OWL_RESULT_LIGHT_DARKEST, OWL_RESULT_SHUTTER_DARKEST, OWL_RESULT_AMBIENT_DARKEST);
    row(page, "lightest minute", 0, "%, shutter %: %", OWL_RESULT_LIGHT_LIGHTEST, OWL_RESULT_SHUTTER_LIGHTEST,
        OWL_RESULT_AMBIENT_LIGHTEST);
    row(page, "moves meanwhile", 0, "%", OWL_RESULT_GHOST_TRAVEL);
    if (!isnan(value_of(page, OWL_RESULT_GHOST_SHARE, 0))) {
        row(page, "flashes over ambient", 0, "% in the darkest, % in the lightest", OWL_RESULT_GHOST_DARKEST, OWL_RESULT_GHOST_LIGHTEST);
        row(page, "no ghost", 0, "up to % of ambient light", OWL_RESULT_GHOST_LEVEL);
        row(page, "ghosts", 0, "% of the armed passes", OWL_RESULT_GHOST_SHARE);
    }
    row(page, "smeared", 0, "% of the armed passes", OWL_RESULT_SMEAR_SHARE);
    row(page, "wrongly exposed", 0, "% of the armed passes", OWL_RESULT_WRONG_SHARE);
}

static void write_aim_advice(const struct page *page)
{
    char words[160];
    struct owl_text text = owl_text_over(words, sizeof words);
    double shift_m = page->evaluation->aim_shift_m;
    if (page->evaluation->both_ways) {
        owl_text_words(&text, "it comes both ways: an aim at the mark is fairest; the figures are of the way to the ");
        owl_text_words(&text, page->evaluation->worse_sense > 0 ? "right" : "left");
    } else if (fabs(shift_m) < 0.02) {
        owl_text_words(&text, "leave it: the shutter opens on the mark");
    } else {
        owl_text_words(&text, "move it ");
        owl_unit_show(OWL_UNIT_LENGTH, fabs(shift_m), &text);
        owl_text_words(&text, shift_m > 0.0 ? " to the right along the path" : " to the left along the path");
    }
    note(page, "aim", words);
}

static void write_sensor(const struct page *page)
{
    heading(page, "The sensor and the moment");
    if (page->plan->sensor.kind == OWL_SENSOR_HEAT) {
        row(page, "notices it up to", 0, "%; the mark is % away", OWL_RESULT_SENSOR_RANGE, OWL_RESULT_SENSOR_DISTANCE);
        row(page, "coat over air", 0, "% warmer: %", OWL_RESULT_SENSOR_EXCESS, OWL_RESULT_SENSOR_CONTRAST);
    }
    row(page, "delay", 0, "%; it walks % meanwhile", OWL_RESULT_RELEASE_DELAY, OWL_RESULT_RELEASE_TRAVEL);
    if (!page->evaluation->noticed) {
        note(page, "noticed", "no: the path does not cross enough of what the sensor watches");
        return;
    }
    row(page, "noticed", 0, "its nose @ the mark", OWL_RESULT_NOTICE);
    row(page, "shutter opens", 0, "its middle @ the mark, % of it in the frame", OWL_RESULT_OFFSET, OWL_RESULT_OFFSET_INSIDE);
    write_aim_advice(page);
}

static void write_watch(const struct page *page)
{
    heading(page, "The watch");
    row(page, "armed", 0, "% a night and day, % of its passes", OWL_RESULT_ARMED, OWL_RESULT_ARMED_SHARE);
    row(page, "passes", 0, "% in armed hours over the watch", OWL_RESULT_PASSES);
    row(page, "firings", 0, "%, frames %", OWL_RESULT_FIRINGS, OWL_RESULT_FRAMES);
    for (int device = 0; device < OWL_DEVICE_FLASH + page->plan->flashes; device++) {
        char label[48];
        struct owl_text text = owl_text_over(label, sizeof label);
        owl_text_words(&text, "cells of ");
        owl_text_words(&text, owl_device_name(page->plan, device));
        row(page, label, device, "last %; % of %", OWL_RESULT_CELLS_NIGHTS, OWL_RESULT_CELLS_DRAW, OWL_RESULT_CELLS_STORE);
    }
    row(page, "card", 0, "lasts %, holds % frames", OWL_RESULT_CARD_NIGHTS, OWL_RESULT_CARD_FRAMES);
    int first = page->evaluation->first_to_fail;
    note(page, "first to fail", first == OWL_DEVICES ? "the card" : owl_device_name(page->plan, first));
}

static void write_care(const struct page *page)
{
    heading(page, "Care");
    if (page->plan->flashes > 0) {
        row(page, "light at the eye", 0, "% times below the limit (human), % for an animal's", OWL_RESULT_EYE_MARGIN, OWL_RESULT_EYE_ANIMAL);
        row(page, "rest for its eyes", 0, "% needed, % as set; % flashes in one firing", OWL_RESULT_EYE_REST, OWL_RESULT_EYE_GAP,
            OWL_RESULT_EYE_FLASHES);
    }
    if (page->plan->bait.food >= 0)
        row(page, "bait", 0, "% of its day; at most %", OWL_RESULT_BAIT_SHARE, OWL_RESULT_BAIT_LIMIT);
    row(page, "dew", 0, "window ~ its dew point of %", OWL_RESULT_DEW_MARGIN, OWL_RESULT_DEW_POINT);
    row(page, "silica gel", 0, "% for the watch", OWL_RESULT_DESICCANT);
}

static void write_event(const struct page *page, const struct owl_sky_event *event, struct owl_text *text)
{
    switch (event->what) {
    case OWL_EVENT_AT: owl_page_clock(page->session, event->unix_s, text); break;
    case OWL_EVENT_ALWAYS_UP: owl_text_words(text, "up"); break;
    case OWL_EVENT_ALWAYS_DOWN: owl_text_words(text, "down"); break;
    default: owl_text_words(text, "none");
    }
}

static void cell(const struct page *page, const char *words, int columns)
{
    owl_text_padded(page->text, words, columns);
}

static void event_cell(const struct page *page, const struct owl_night *night, enum owl_sky_event_kind kind)
{
    char words[24];
    struct owl_text text = owl_text_over(words, sizeof words);
    write_event(page, &night->event[kind], &text);
    cell(page, words, 9);
}

static void value_cell(const struct page *page, enum owl_unit unit, double value, int columns)
{
    char words[32];
    struct owl_text text = owl_text_over(words, sizeof words);
    owl_unit_show(unit, value, &text);
    cell(page, words, columns);
}

static void write_night_line(const struct page *page, int n)
{
    const struct owl_night *night = &page->session->night[n];
    const struct owl_night_result *result = &page->evaluation->night[n];
    char words[24];
    struct owl_text text = owl_text_over(words, sizeof words);
    owl_text_words(page->text, "  ");
    value_cell(page, OWL_UNIT_DATE, page->plan->watch.start_days + n, 12);
    event_cell(page, night, OWL_SUNSET);
    owl_page_clock(page->session, result->test_unix_s, &text);
    cell(page, words, 9);
    event_cell(page, night, OWL_SUNRISE);
    event_cell(page, night, OWL_MOONRISE);
    event_cell(page, night, OWL_MOONSET);
    value_cell(page, OWL_UNIT_PERCENT, floor(night->moon_lit * 100.0 + 0.5) / 100.0, 7);
    value_cell(page, OWL_UNIT_TIME, result->armed_s, 9);
    value_cell(page, OWL_UNIT_PERCENT, floor(result->share * 100.0 + 0.5) / 100.0, 0);
    owl_text_char(page->text, '\n');
}

static void write_nights(const struct page *page)
{
    heading(page, "The nights (test: when to come back and test in the light it will work in)");
    owl_text_words(page->text, "  evening of  sunset   test     sunrise  moonrise moonset  moon   armed    of its passes\n");
    int nights = page->evaluation->nights, apart = nights <= NIGHTS_IN_FULL ? 1 : NIGHTS_APART;
    for (int n = 0; n < nights; n += apart)
        write_night_line(page, n);
    if (apart > 1)
        owl_text_words(page->text, "  (every seventh; --night DATE for any other, the field sheet has all)\n");
}

void owl_page_plan(const struct owl_session *session, struct owl_text *text)
{
    struct page page = page_of(session, text);
    write_title(&page);
    write_warnings(&page);
    write_picture(&page);
    write_flashes(&page);
    write_ambient(&page);
    write_sensor(&page);
    write_watch(&page);
    write_care(&page);
    write_nights(&page);
    owl_text_words(text, "\nAny [key]: owllight working FILE 'key' shows how its number came about.\n");
}

void owl_page_night(const struct owl_session *session, int n, struct owl_text *text)
{
    static const struct {
        enum owl_sky_event_kind kind;
        const char *label;
    } events[] = {{OWL_SUNSET, "sunset"}, {OWL_CIVIL_DUSK, "civil dusk"}, {OWL_NAUTICAL_DUSK, "nautical dusk"},
                  {OWL_ASTRONOMICAL_DUSK, "astronomical dusk"}, {OWL_ASTRONOMICAL_DAWN, "astronomical dawn"},
                  {OWL_NAUTICAL_DAWN, "nautical dawn"}, {OWL_CIVIL_DAWN, "civil dawn"}, {OWL_SUNRISE, "sunrise"},
                  {OWL_MOONRISE, "moonrise"}, {OWL_MOONSET, "moonset"}};
    struct page page = page_of(session, text);
    const struct owl_night_result *result = &session->evaluation.night[n];
    write_title(&page);
    owl_text_words(text, "\nThe night of ");
    owl_page_date(session, n, text);
    owl_text_char(text, '\n');
    for (size_t i = 0; i < sizeof events / sizeof *events; i++) {
        char words[24];
        struct owl_text shown = owl_text_over(words, sizeof words);
        const struct owl_sky_event *event = &session->night[n].event[events[i].kind];
        if (event->what == OWL_EVENT_ALWAYS_UP || event->what == OWL_EVENT_ALWAYS_DOWN)
            owl_text_words(&shown, "none: it stays ");
        write_event(&page, event, &shown);
        note(&page, events[i].label, words);
    }
    const struct {
        const char *label;
        enum owl_unit unit;
        double value;
    } values[] = {{"moon lit", OWL_UNIT_PERCENT, session->night[n].moon_lit}, {"armed", OWL_UNIT_TIME, result->armed_s},
                  {"of its passes", OWL_UNIT_PERCENT, result->share}, {"darkest armed minute", OWL_UNIT_LIGHT, result->darkest_lx},
                  {"lightest armed minute", OWL_UNIT_LIGHT, result->lightest_lx}};
    for (size_t i = 0; i < sizeof values / sizeof *values; i++) {
        char words[32];
        struct owl_text shown = owl_text_over(words, sizeof words);
        owl_unit_show(values[i].unit, values[i].value, &shown);
        note(&page, values[i].label, words);
    }
    char words[24];
    struct owl_text shown = owl_text_over(words, sizeof words);
    owl_page_clock(session, result->test_unix_s, &shown);
    note(&page, "come back and test at", words);
}
