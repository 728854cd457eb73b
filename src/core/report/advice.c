/* Advice as JSON: each change alone, the best together. */
#include "core/report/advice.h"

#include "core/report/json.h"

#define NAME_BYTES (OWL_CHANGE_BYTES * 2)

static void write_change(const struct owl_plan *plan, const struct owl_change *change, struct owl_text *text)
{
    char words[NAME_BYTES];
    struct owl_text shown = owl_text_over(words, sizeof words);
    owl_report_section_name(plan, change->section, change->nth, &shown);
    owl_report_words(text, "{", "section", words);
    owl_report_words(text, ", ", "field", change->section->fields[change->field].name);
    shown = owl_text_over(words, sizeof words);
    owl_field_show(change->section, change->nth, change->field, plan, &shown);
    owl_report_words(text, ", ", "from", words);
    owl_report_words(text, ", ", "to", change->words);
    owl_text_char(text, '}');
}

static void write_advised(const struct owl_report_advised *report, const struct owl_change *change, int changes,
                          const struct owl_gain *gain, struct owl_text *text)
{
    owl_report_key(text, "{", "changes");
    for (int i = 0; i < changes; i++) {
        owl_text_words(text, i ? ", " : "[");
        write_change(report->plan, &change[i], text);
    }
    owl_report_key(text, "], ", "gain");
    owl_report_number(text, "{", "mean", gain->mean);
    owl_report_number(text, ", ", "low", gain->low);
    owl_report_number(text, ", ", "high", gain->high);
    owl_text_char(text, '}');
    if (report->doable)
        owl_report_do(text, ", ", change, changes);
    owl_text_char(text, '}');
}

static void write_kept(const struct owl_report_advised *report, struct owl_text *text)
{
    owl_report_key(text, ",\n  ", "kept");
    owl_text_char(text, '[');
    for (int i = 0; i < report->keeps; i++) {
        char words[NAME_BYTES];
        struct owl_text shown = owl_text_over(words, sizeof words);
        owl_report_section_name(report->plan, report->keep[i].section, report->keep[i].nth, &shown);
        owl_text_char(&shown, '.');
        owl_text_words(&shown, report->keep[i].section->fields[report->keep[i].field].name);
        owl_text_words(text, i ? ", " : "");
        owl_text_json(text, words);
    }
    owl_text_char(text, ']');
}

static void write_alone(const struct owl_report_advised *report, struct owl_text *text)
{
    const struct owl_advice *advice = report->advice;
    owl_report_key(text, ",\n  ", "alone");
    owl_text_char(text, '[');
    for (int i = 0; i < advice->singles; i++) {
        const struct owl_advised *single = &advice->single[i];
        owl_text_words(text, i ? ",\n    " : "\n    ");
        write_advised(report, single->change, single->changes, &single->gain, text);
    }
    owl_text_words(text, advice->singles ? "\n  ]" : "]");
}

void owl_report_advice(const struct owl_report_advised *report, struct owl_text *text)
{
    const struct owl_advice *advice = report->advice;
    owl_report_number(text, "{\n  ", "seed", (double)report->seed);
    owl_report_number(text, ",\n  ", "candidates", advice->trials);
    owl_report_number(text, ",\n  ", "seasons", advice->seasons);
    owl_report_number(text, ",\n  ", "other seasons", advice->fresh_seasons);
    owl_report_number(text, ",\n  ", "keepers", advice->keepers);
    owl_report_number(text, ",\n  ", "passes", advice->passes);
    write_kept(report, text);
    write_alone(report, text);
    owl_report_key(text, ",\n  ", "together");
    if (advice->changes)
        write_advised(report, advice->together, advice->changes, &advice->gain, text);
    else
        owl_text_words(text, "null");
    owl_report_key(text, ",\n  ", "written");
    if (report->written)
        owl_text_json(text, report->written);
    else
        owl_text_words(text, "null");
    owl_text_words(text, "\n}\n");
}
