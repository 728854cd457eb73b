/* What a plan comes to, for machines (RFC 8259): complaints, results, nights, warnings. */
#ifndef OWL_CORE_REPORT_FIGURES_H
#define OWL_CORE_REPORT_FIGURES_H

#include "core/plan/complaints.h"
#include "core/plan/evaluate.h"

/* A plan evaluated. */
struct owl_report_plan {
    const struct owl_plan *plan;
    const struct owl_watch_view *watch;
    const struct owl_evaluation *evaluation;
};

/* All of it in one object, results by their keys. */
void owl_report_plan(const struct owl_report_plan *report, struct owl_text *text);

/* `{"complaints": [..], "left out": n}`. */
void owl_report_complaints(const struct owl_complaints *complaints, struct owl_text *text);

/* `{"results": [..]}`: each with key, label, value, words as people write it, SI unit, group. */
void owl_report_results(const struct owl_report_plan *report, struct owl_text *text);

/* `{"nights": [..]}`: each as owl_report_plan has it, and the clock's offset from UTC at its middle, s; times are unix
   seconds, or `none`, `up`, `down` for the body that is not seen to rise or set. */
void owl_report_nights(const struct owl_report_plan *report, struct owl_text *text);

/* `{"warnings": [..]}`: each as owl_report_plan has it but for `change words`, and `do`: the changes that mend it
   (mend.h), empty where only words are known. */
void owl_report_warnings(const struct owl_report_plan *report, struct owl_text *text);

/* The group of results one belongs to: `picture`, `flashes`, `light`, `sensor`, `watch`, `supplies`, `care`. */
const char *owl_report_group(enum owl_result result);

/* Which sky a plan needs, in a few words: place, zone and dates; two plans with the same words share one. */
void owl_report_sky_key(const struct owl_plan *plan, struct owl_text *text);

#endif
