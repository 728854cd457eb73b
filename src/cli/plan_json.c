/* All results for machines: every key with value and unit, the nights, the warnings (RFC 8259). */
#include <math.h>

#include "cli/console.h"
#include "cli/plan_page.h"

static void write_figure(const struct owl_session *session, const struct owl_figure *figure, struct owl_text *text)
{
    const struct owl_result_row *row = owl_result_row(figure->result);
    char words[96];
    struct owl_text name = owl_text_over(words, sizeof words);
    owl_figure_key(&session->plan, figure->result, figure->which, &name);
    owl_json_key(text, "    ", words);
    owl_json_number(text, "{", "value", figure->value);
    name = owl_text_over(words, sizeof words);
    owl_result_si(figure->result, &name);
    owl_json_key(text, ", ", "unit");
    owl_text_json(text, words);
    owl_json_key(text, ", ", "origin");
    owl_text_json(text, owl_origin_words(row->origin));
    owl_json_key(text, ", ", "source");
    owl_text_json(text, row->source);
    owl_text_char(text, '}');
}

static void write_event(const struct owl_sky_event *event, const char *name, struct owl_text *text)
{
    static const char *const words[] = {
        [OWL_EVENT_AT] = "", [OWL_EVENT_NONE] = "none", [OWL_EVENT_ALWAYS_UP] = "up", [OWL_EVENT_ALWAYS_DOWN] = "down"};
    owl_json_key(text, ", ", name);
    if (event->what == OWL_EVENT_AT)
        owl_text_number(text, floor(event->unix_s + 0.5));
    else
        owl_text_json(text, words[event->what]);
}

static void write_night(const struct owl_session *session, int n, struct owl_text *text)
{
    static const char *const names[OWL_SKY_EVENTS] = {
        [OWL_SUNSET] = "sunset", [OWL_CIVIL_DUSK] = "civil dusk", [OWL_NAUTICAL_DUSK] = "nautical dusk",
        [OWL_ASTRONOMICAL_DUSK] = "astronomical dusk", [OWL_ASTRONOMICAL_DAWN] = "astronomical dawn",
        [OWL_NAUTICAL_DAWN] = "nautical dawn", [OWL_CIVIL_DAWN] = "civil dawn", [OWL_SUNRISE] = "sunrise",
        [OWL_MOONRISE] = "moonrise", [OWL_MOONSET] = "moonset"};
    const struct owl_night_result *result = &session->evaluation.night[n];
    char date[24];
    struct owl_text shown = owl_text_over(date, sizeof date);
    owl_page_date(session, n, &shown);
    owl_json_key(text, "    {", "evening");
    owl_text_json(text, date);
    for (int kind = 0; kind < OWL_SKY_EVENTS; kind++)
        write_event(&session->night[n].event[kind], names[kind], text);
    owl_json_number(text, ", ", "moon lit", session->night[n].moon_lit);
    owl_json_number(text, ", ", "armed", result->armed_s);
    owl_json_number(text, ", ", "share", result->share);
    owl_json_number(text, ", ", "darkest", result->darkest_lx);
    owl_json_number(text, ", ", "lightest", result->lightest_lx);
    owl_json_number(text, ", ", "test", isnan(result->test_unix_s) ? NAN : floor(result->test_unix_s + 0.5));
    owl_text_char(text, '}');
}

static void write_warning(const struct owl_warning *warning, struct owl_text *text)
{
    owl_json_key(text, "    {", "caution");
    owl_text_words(text, warning->danger ? "true" : "false");
    owl_json_number(text, ", ", "loses", warning->cost);
    owl_json_key(text, ", ", "what");
    owl_text_json(text, warning->words);
    owl_json_key(text, ", ", "change");
    owl_text_json(text, warning->change);
    owl_text_char(text, '}');
}

void owl_page_json(const struct owl_session *session, struct owl_text *text)
{
    const struct owl_evaluation *evaluation = &session->evaluation;
    owl_text_words(text, "{\n  \"results\": {\n");
    for (int i = 0; i < evaluation->outcome.count; i++) {
        write_figure(session, &evaluation->outcome.figure[i], text);
        owl_text_words(text, i + 1 < evaluation->outcome.count ? ",\n" : "\n");
    }
    owl_text_words(text, "  },\n  \"nights\": [\n");
    for (int n = 0; n < evaluation->nights; n++) {
        write_night(session, n, text);
        owl_text_words(text, n + 1 < evaluation->nights ? ",\n" : "\n");
    }
    owl_text_words(text, "  ],\n  \"warnings\": [\n");
    for (int i = 0; i < evaluation->warnings; i++) {
        write_warning(&evaluation->warning[i], text);
        owl_text_words(text, i + 1 < evaluation->warnings ? ",\n" : "\n");
    }
    owl_text_words(text, "  ]\n}\n");
}
