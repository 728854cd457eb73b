/* The outcome of a rehearsal for machines (RFC 8259). */
#ifndef OWL_CORE_REPORT_LEDGER_H
#define OWL_CORE_REPORT_LEDGER_H

#include "core/rehearse/rehearsal.h"

struct owl_report_rehearsal {
    const struct owl_plan *plan;
    const struct owl_rehearsal *rehearsal;
    uint64_t seed;
    int wanted; /* seasons; more than were run when it was stopped */
};

/* What does not happen within the watch is null. */
void owl_report_ledger(const struct owl_report_rehearsal *report, struct owl_text *text);

#endif
