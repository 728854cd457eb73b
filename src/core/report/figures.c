/* Complaints, results, nights and warnings as JSON. */
#include "core/report/figures.h"

#include <math.h>

#include "core/constants.h"
#include "core/plan/workings.h"
#include "core/report/json.h"
#include "core/report/mend.h"

#define KEY_BYTES 96
#define SHOWN_BYTES 96

/* ---- results ---- */

const char *owl_report_group(enum owl_result result)
{
    /* The result table stands in this order. */
    static const struct {
        enum owl_result first;
        const char *name;
    } groups[] = {{OWL_RESULT_EYE_MARGIN, "care"}, {OWL_RESULT_CARD_FRAMES, "supplies"}, {OWL_RESULT_ARMED, "watch"},
                  {OWL_RESULT_SENSOR_DISTANCE, "sensor"}, {OWL_RESULT_LIGHT_NEEDED, "light"},
                  {OWL_RESULT_FLASH_DISTANCE, "flashes"}};
    for (size_t i = 0; i < sizeof groups / sizeof *groups; i++)
        if (result >= groups[i].first)
            return groups[i].name;
    return "picture";
}

static void write_si(enum owl_result result, struct owl_text *text)
{
    char words[SHOWN_BYTES];
    struct owl_text unit = owl_text_over(words, sizeof words);
    owl_result_si(result, &unit);
    owl_report_words(text, ", ", "unit", words);
}

static void write_figure(const struct owl_plan *plan, const struct owl_figure *figure, struct owl_text *text)
{
    const struct owl_result_row *row = owl_result_row(figure->result);
    char words[KEY_BYTES];
    struct owl_text name = owl_text_over(words, sizeof words);
    owl_figure_key(plan, figure->result, figure->which, &name);
    owl_report_key(text, "    ", words);
    owl_report_number(text, "{", "value", figure->value);
    write_si(figure->result, text);
    owl_report_words(text, ", ", "origin", owl_origin_words(row->origin));
    owl_report_words(text, ", ", "source", row->source);
    owl_text_char(text, '}');
}

static void write_result(const struct owl_plan *plan, const struct owl_figure *figure, struct owl_text *text)
{
    char words[KEY_BYTES], shown[SHOWN_BYTES];
    struct owl_text key = owl_text_over(words, sizeof words), value = owl_text_over(shown, sizeof shown);
    owl_figure_key(plan, figure->result, figure->which, &key);
    owl_figure_show(figure, &value);
    owl_report_words(text, "{", "key", words);
    owl_report_words(text, ", ", "label", owl_result_row(figure->result)->label);
    owl_report_number(text, ", ", "value", figure->value);
    owl_report_words(text, ", ", "words", shown);
    write_si(figure->result, text);
    owl_report_words(text, ", ", "group", owl_report_group(figure->result));
    owl_text_char(text, '}');
}

void owl_report_results(const struct owl_report_plan *report, struct owl_text *text)
{
    const struct owl_outcome *outcome = &report->evaluation->outcome;
    owl_report_key(text, "{", "results");
    for (int i = 0; i < outcome->count; i++) {
        owl_text_words(text, i ? ",\n" : "[\n");
        write_result(report->plan, &outcome->figure[i], text);
    }
    owl_text_words(text, outcome->count ? "]}\n" : "[]}\n");
}

/* ---- nights ---- */

static void write_event(const struct owl_sky_event *event, const char *name, struct owl_text *text)
{
    static const char *const words[] = {
        [OWL_EVENT_AT] = "", [OWL_EVENT_NONE] = "none", [OWL_EVENT_ALWAYS_UP] = "up", [OWL_EVENT_ALWAYS_DOWN] = "down"};
    owl_report_key(text, ", ", name);
    if (event->what == OWL_EVENT_AT)
        owl_text_number(text, floor(event->unix_s + 0.5));
    else
        owl_text_json(text, words[event->what]);
}

/* All of a night but the closing brace. */
static void write_night(const struct owl_report_plan *report, int n, struct owl_text *text)
{
    static const char *const names[OWL_SKY_EVENTS] = {
        [OWL_SUNSET] = "sunset", [OWL_CIVIL_DUSK] = "civil dusk", [OWL_NAUTICAL_DUSK] = "nautical dusk",
        [OWL_ASTRONOMICAL_DUSK] = "astronomical dusk", [OWL_ASTRONOMICAL_DAWN] = "astronomical dawn",
        [OWL_NAUTICAL_DAWN] = "nautical dawn", [OWL_CIVIL_DAWN] = "civil dawn", [OWL_SUNRISE] = "sunrise",
        [OWL_MOONRISE] = "moonrise", [OWL_MOONSET] = "moonset"};
    const struct owl_night_result *result = &report->evaluation->night[n];
    const struct owl_night *night = &report->watch->night[n];
    char date[24];
    struct owl_text shown = owl_text_over(date, sizeof date);
    owl_unit_show(OWL_UNIT_DATE, report->plan->watch.start_days + n, &shown);
    owl_report_words(text, "    {", "evening", date);
    for (int kind = 0; kind < OWL_SKY_EVENTS; kind++)
        write_event(&night->event[kind], names[kind], text);
    owl_report_number(text, ", ", "moon lit", night->moon_lit);
    owl_report_number(text, ", ", "armed", result->armed_s);
    owl_report_number(text, ", ", "share", result->share);
    owl_report_number(text, ", ", "darkest", result->darkest_lx);
    owl_report_number(text, ", ", "lightest", result->lightest_lx);
    owl_report_number(text, ", ", "test", isnan(result->test_unix_s) ? NAN : floor(result->test_unix_s + 0.5));
}

/* Clock minus UTC at the middle of a night; without a sky as the watch's own row tells it, which at the date line may be a
   day off. */
static double offset_s(const struct owl_report_plan *report, int n)
{
    int middle = OWL_NIGHT_ROWS / 2;
    double unix_s = report->watch->night[n].noon_unix_s + middle * OWL_ROW_STEP_S;
    if (report->watch->sky)
        return owl_sky_offset_s(report->watch->sky, unix_s);
    double behind_s = report->watch->row[n * OWL_NIGHT_ROWS + middle].clock_s - unix_s, day_s = OWL_SECONDS_PER_DAY;
    double offset = behind_s - floor(behind_s / day_s) * day_s;
    return floor((offset > 14.0 * OWL_SECONDS_PER_HOUR ? offset - day_s : offset) + 0.5); /* clocks run from -12 h to +14 h */
}

void owl_report_nights(const struct owl_report_plan *report, struct owl_text *text)
{
    owl_report_key(text, "{", "nights");
    for (int n = 0; n < report->evaluation->nights; n++) {
        owl_text_words(text, n ? ",\n" : "[\n");
        write_night(report, n, text);
        owl_report_number(text, ", ", "offset", offset_s(report, n));
        owl_text_char(text, '}');
    }
    owl_text_words(text, report->evaluation->nights ? "]}\n" : "[]}\n");
}

/* ---- warnings ---- */

static void write_warning(const struct owl_warning *warning, const char *change_name, struct owl_text *text)
{
    owl_report_truth(text, "    {", "caution", warning->danger);
    owl_report_number(text, ", ", "loses", warning->cost);
    owl_report_words(text, ", ", "what", warning->words);
    owl_report_words(text, ", ", change_name, warning->change);
}

void owl_report_warnings(const struct owl_report_plan *report, struct owl_text *text)
{
    const struct owl_evaluation *evaluation = report->evaluation;
    owl_report_key(text, "{", "warnings");
    for (int i = 0; i < evaluation->warnings; i++) {
        struct owl_change change[OWL_MEND_CHANGES];
        int changes = owl_mend_of(report->plan, evaluation, &evaluation->warning[i], change);
        owl_text_words(text, i ? ",\n" : "[\n");
        write_warning(&evaluation->warning[i], "change words", text);
        owl_report_do(text, ", ", change, changes);
        owl_text_char(text, '}');
    }
    owl_text_words(text, evaluation->warnings ? "]}\n" : "[]}\n");
}

void owl_report_complaints(const struct owl_complaints *complaints, struct owl_text *text)
{
    owl_report_key(text, "{", "complaints");
    for (int i = 0; i < complaints->count; i++) {
        const struct owl_complaint *complaint = &complaints->list[i];
        owl_text_words(text, i ? ",\n" : "[\n");
        owl_report_number(text, "{", "line", complaint->line);
        owl_report_number(text, ", ", "column", complaint->column);
        owl_report_number(text, ", ", "width", complaint->width);
        owl_report_words(text, ", ", "words", complaint->words);
        owl_text_char(text, '}');
    }
    owl_report_number(text, complaints->count ? "], " : "[], ", "left out", complaints->left_out);
    owl_text_words(text, "}\n");
}

/* ---- all in one ---- */

void owl_report_plan(const struct owl_report_plan *report, struct owl_text *text)
{
    const struct owl_evaluation *evaluation = report->evaluation;
    owl_text_words(text, "{\n  \"results\": {\n");
    for (int i = 0; i < evaluation->outcome.count; i++) {
        write_figure(report->plan, &evaluation->outcome.figure[i], text);
        owl_text_words(text, i + 1 < evaluation->outcome.count ? ",\n" : "\n");
    }
    owl_text_words(text, "  },\n  \"nights\": [\n");
    for (int n = 0; n < evaluation->nights; n++) {
        write_night(report, n, text);
        owl_text_words(text, n + 1 < evaluation->nights ? "},\n" : "}\n");
    }
    owl_text_words(text, "  ],\n  \"warnings\": [\n");
    for (int i = 0; i < evaluation->warnings; i++) {
        write_warning(&evaluation->warning[i], "change", text);
        owl_text_words(text, i + 1 < evaluation->warnings ? "},\n" : "}\n");
    }
    owl_text_words(text, "  ]\n}\n");
}

void owl_report_sky_key(const struct owl_plan *plan, struct owl_text *text)
{
    const double numbers[] = {plan->site.latitude_rad, plan->site.longitude_rad, plan->site.altitude_m, plan->watch.start_days,
                              plan->watch.nights};
    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++) {
        owl_text_number(text, numbers[i]);
        owl_text_char(text, ' ');
    }
    owl_text_words(text, plan->site.zone);
}
