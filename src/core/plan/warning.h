/* How a warning is made: room for its words and for the change that mends it. Private to core/plan. */
#ifndef OWL_CORE_PLAN_WARNING_H
#define OWL_CORE_PLAN_WARNING_H

#include "core/plan/evaluating.h"

/* The two texts of a warning being written. */
struct owl_fault {
    struct owl_text words, change;
};

/* A new warning of the evaluation and the texts to write into. cost: share of passes lost, bounded to
   0..1. When there are too many the last one is overwritten. */
void owl_warning_new(struct owl_evaluating *part, double cost, bool danger, struct owl_fault *fault);

/* The value of a figure without `*` in its key, NaN when there is none. */
double owl_warning_value(const struct owl_evaluating *part, enum owl_result result);

/* warnings_care.c: what can hurt people, animals or gear. */
void owl_warn_care(struct owl_evaluating *part);

#endif
