/* All results for machines: every key with value and unit, the nights, the warnings (RFC 8259). */
#include <math.h>

#include "cli/plan_page.h"

static void member(struct owl_text *text, const char *name, const char *before)
{
    owl_text_words(text, before);
    owl_text_json(text, name);
    owl_text_words(text, ": ");
}

static void number_member(struct owl_text *text, const char *name, double value, const char *before)
{
    member(text, name, before);
    owl_text_number(text, value);
}

static void write_figure(const struct owl_session *session, const struct owl_figure *figure, struct owl_text *text)
{
    const struct owl_result_row *row = owl_result_row(figure->result);
    char words[96];
    struct owl_text name = owl_text_over(words, sizeof words);
    owl_figure_key(&session->plan, figure->result, figure->which, &name);
    member(text, words, "    ");
    number_member(text, "value", figure->value, "{");
    name = owl_text_over(words, sizeof words);
    owl_result_si(figure->result, &name);
    member(text, "unit", ", ");
    owl_text_json(text, words);
    member(text, "origin", ", ");
    owl_text_json(text, owl_origin_words(row->origin));
    member(text, "source", ", ");
    owl_text_json(text, row->source);
    owl_text_char(text, '}');
}

static void write_event(const struct owl_sky_event *event, const char *name, struct owl_text *text)
{
    static const char *const words[] = {
        [OWL_EVENT_AT] = "", [OWL_EVENT_NONE] = "none", [OWL_EVENT_ALWAYS_UP] = "up", [OWL_EVENT_ALWAYS_DOWN] = "down"};
    member(text, name, ", ");
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
    member(text, "evening", "    {");
    owl_text_json(text, date);
    for (int kind = 0; kind < OWL_SKY_EVENTS; kind++)
        write_event(&session->night[n].event[kind], names[kind], text);
    number_member(text, "moon lit", session->night[n].moon_lit, ", ");
    number_member(text, "armed", result->armed_s, ", ");
    number_member(text, "share", result->share, ", ");
    number_member(text, "darkest", result->darkest_lx, ", ");
    number_member(text, "lightest", result->lightest_lx, ", ");
    number_member(text, "test", isnan(result->test_unix_s) ? NAN : floor(result->test_unix_s + 0.5), ", ");
    owl_text_char(text, '}');
}

static void write_warning(const struct owl_warning *warning, struct owl_text *text)
{
    member(text, "caution", "    {");
    owl_text_words(text, warning->danger ? "true" : "false");
    number_member(text, "loses", warning->cost, ", ");
    member(text, "what", ", ");
    owl_text_json(text, warning->words);
    member(text, "change", ", ");
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
