/* Pieces of JSON (RFC 8259). Private to core/report. */
#ifndef OWL_CORE_REPORT_JSON_H
#define OWL_CORE_REPORT_JSON_H

#include "core/plan/rewrite.h"

/* `before`, the name in quotes and a colon; the same with a number, with words, with true or false. */
void owl_report_key(struct owl_text *text, const char *before, const char *name);
void owl_report_number(struct owl_text *text, const char *before, const char *name, double value);
void owl_report_words(struct owl_text *text, const char *before, const char *name, const char *words);
void owl_report_truth(struct owl_text *text, const char *before, const char *name, bool value);

/* `"do": [{"section", "nth", "field", "words"}, ..]`: changes as the page makes them. */
void owl_report_do(struct owl_text *text, const char *before, const struct owl_change *change, int changes);

/* `flash key`, `camera`. */
void owl_report_section_name(const struct owl_plan *plan, const struct owl_section *section, int nth, struct owl_text *text);

#endif
