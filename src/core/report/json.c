/* Pieces of JSON. */
#include "core/report/json.h"

void owl_report_key(struct owl_text *text, const char *before, const char *name)
{
    owl_text_words(text, before);
    owl_text_json(text, name);
    owl_text_words(text, ": ");
}

void owl_report_number(struct owl_text *text, const char *before, const char *name, double value)
{
    owl_report_key(text, before, name);
    owl_text_number(text, value);
}

void owl_report_words(struct owl_text *text, const char *before, const char *name, const char *words)
{
    owl_report_key(text, before, name);
    owl_text_json(text, words);
}

void owl_report_truth(struct owl_text *text, const char *before, const char *name, bool value)
{
    owl_report_key(text, before, name);
    owl_text_words(text, value ? "true" : "false");
}

void owl_report_do(struct owl_text *text, const char *before, const struct owl_change *change, int changes)
{
    owl_report_key(text, before, "do");
    owl_text_char(text, '[');
    for (int i = 0; i < changes; i++) {
        owl_report_words(text, i ? ", {" : "{", "section", change[i].section->name);
        owl_report_number(text, ", ", "nth", change[i].nth);
        owl_report_words(text, ", ", "field", change[i].section->fields[change[i].field].name);
        owl_report_words(text, ", ", "words", change[i].words);
        owl_text_char(text, '}');
    }
    owl_text_char(text, ']');
}

void owl_report_section_name(const struct owl_plan *plan, const struct owl_section *section, int nth, struct owl_text *text)
{
    owl_text_words(text, section->name);
    if (section->most == 1 || nth < 0)
        return;
    owl_text_char(text, ' ');
    owl_text_words(text, section->name[0] == 'f' ? plan->flash[nth].name : plan->passer[nth].name);
}
