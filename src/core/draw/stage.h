/* The stage seen from above, as a drawing: where everything stands around the mark, to scale, with
   the camera at the bottom of the sheet and what it looks at above. */
#ifndef OWL_CORE_DRAW_STAGE_H
#define OWL_CORE_DRAW_STAGE_H

#include "core/plan/evaluate.h"

/* Room that always holds one drawing. */
#define OWL_STAGE_BYTES 32768

/* Writes one self-contained <svg> element: no script, nothing from outside, text for screen readers
   in its title and desc. Distances are those along the ground, as a tape on it shows them. It is
   light on paper and follows the reader's choice of dark or light on a screen; a page that sets
   --owl-paper, --owl-ink, --owl-faint, --owl-frame, --owl-sharp, --owl-sensor, --owl-flash,
   --owl-path, --owl-spread gives it other colours. The figures come from `evaluation`, which must be of this plan.
   What does not fit is dropped and svg->cut is set. */
void owl_draw_stage(const struct owl_plan *plan, const struct owl_evaluation *evaluation,
                    struct owl_text *svg);

#endif
