/* The night ribbon: the light at the mark, night by night over the watch, with the armed time, the moon, when the animal
   is about, and when to come back for the test. */
#ifndef OWL_CORE_DRAW_RIBBON_H
#define OWL_CORE_DRAW_RIBBON_H

#include "core/plan/evaluate.h"

/* Room that always holds one drawing, whatever the sky does in OWL_NIGHTS_MOST nights; under a real sky 42 nights need
   30 kB and a year 120 kB. */
#define OWL_RIBBON_BYTES 655360

/* Writes one self-contained <svg> element: no script, nothing from outside, text for screen readers in its title and
   desc. One row for each night, the first on top, along the clock of the site from before dark to after dawn, or through
   the whole 24 hours where dark or armed time ask for them; a clock that is changed leaves a gap in its row, or goes back
   in it. It follows the reader's choice of dark or light on a screen, and stays dark for night in both; a page that sets
   --owl-paper, --owl-ink, --owl-faint, --owl-sharp, --owl-sensor, --owl-path, --owl-night, --owl-day, --owl-moon gives
   it other colours. `evaluation` and `watch` must be of this plan; the watch's sky is not read. What does not fit is
   dropped and svg->cut is set. */
void owl_draw_ribbon(const struct owl_plan *plan, const struct owl_evaluation *evaluation, const struct owl_watch_view *watch,
                     struct owl_text *svg);

#endif
