/* From the words of a warning to changes that can be made at once. Private to core/report. */
#ifndef OWL_CORE_REPORT_MEND_H
#define OWL_CORE_REPORT_MEND_H

#include "core/plan/evaluate.h"
#include "core/plan/rewrite.h"

#define OWL_MEND_CHANGES 2

/* The changes a warning's words ask for, in the plan's own notation: `camera: aperture = f/11`, `focus at 3.2 m`, and what the
   words say of a place the evaluation knows in full. Of several ways the first that can be written. How many: 0 when the words
   name none, the plan would not stand with it, or nothing would change by it. */
int owl_mend_of(const struct owl_plan *plan, const struct owl_evaluation *evaluation, const struct owl_warning *warning,
                struct owl_change change[OWL_MEND_CHANGES]);

#endif
