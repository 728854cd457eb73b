/* The stage seen from the side, as a drawing: the upright section through camera and mark, to scale, with the camera
   on the left and what it looks at on the right. */
#ifndef OWL_CORE_DRAW_SIDE_H
#define OWL_CORE_DRAW_SIDE_H

#include "core/plan/evaluate.h"

/* Room that always holds one drawing. */
#define OWL_SIDE_BYTES 32768

/* Writes one self-contained <svg> element as owl_draw_stage does, in the same colours, with ids of its own. One scale
   serves along the ground and upwards; heights count from the ground at the mark. What stands beside the section is
   moved onto it square, and its label tells how far beside it stands; beams far beside it are fainter. A fan or beam is
   drawn as it opens up and down in the upright plane of its aim, so that over the mark the edges of one aimed there lie at
   the heights it reaches. The figures come from `evaluation`, which must be of this plan.
   What does not fit is dropped and svg->cut is set. */
void owl_draw_side(const struct owl_plan *plan, const struct owl_evaluation *evaluation, struct owl_text *svg);

#endif
