/* One simulated pass on the stage seen from above: the way it took, where the sensor noticed it, where every frame
   found it, and what was lost. */
#ifndef OWL_CORE_DRAW_PASS_H
#define OWL_CORE_DRAW_PASS_H

#include "core/plan/evaluate.h"
#include "core/rehearse/season.h"

/* Room that always holds one drawing. */
#define OWL_PASS_BYTES 32768

/* Writes one self-contained <svg> element as owl_draw_stage does, to the same scale rules and in the same colours, with
   ids of its own. The trace is of a pass of this plan, from owl_season_trace; `evaluation` must be of this plan too.
   Frames that the rig took are drawn whole, those it would have taken had it answered in dashes; the frame that counts
   is the darkest. Of more frames than can be told apart an even selection is drawn that holds that one.
   What does not fit is dropped and svg->cut is set. */
void owl_draw_pass(const struct owl_plan *plan, const struct owl_evaluation *evaluation, const struct owl_trace *trace,
                   struct owl_text *svg);

#endif
