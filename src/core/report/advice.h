/* Advice for machines (RFC 8259). */
#ifndef OWL_CORE_REPORT_ADVICE_H
#define OWL_CORE_REPORT_ADVICE_H

#include "core/rehearse/advise.h"

struct owl_report_advised {
    const struct owl_plan *plan;
    const struct owl_advice *advice;
    const struct owl_keep *keep;
    int keeps;
    uint64_t seed;
    const char *written; /* the new plan's path, NULL when none was written */
    bool doable;         /* each advice carries its changes as the page makes them, too */
};

/* `together` is null when nothing together wins more than the best alone. */
void owl_report_advice(const struct owl_report_advised *report, struct owl_text *text);

#endif
