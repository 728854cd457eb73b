/* A rehearsal in three drawings: the odds of a keeper night by night, what runs out, and where the passes end.
   Each is one self-contained <svg> element: no script, nothing from outside, text for screen readers in its title and desc.
   They follow the reader's choice of dark or light on a screen; a page that sets --owl-paper, --owl-ink, --owl-faint,
   --owl-frame, --owl-sharp, --owl-path gives them other colours. What does not fit is dropped and svg->cut is set. */
#ifndef OWL_CORE_DRAW_CURVES_H
#define OWL_CORE_DRAW_CURVES_H

#include "core/rehearse/rehearsal.h"

/* Room that always holds one drawing. */
#define OWL_KEEPERS_BYTES 24576
#define OWL_CELLS_BYTES 24576
#define OWL_LEDGER_BYTES 24576

/* The chance of at least one keeper by the end of each night, in steps, with the first night at whose end it has reached
   each of owl_rehearsal_chance. */
void owl_draw_keepers(const struct owl_plan *plan, const struct owl_rehearsal *rehearsal, struct owl_text *svg);

/* For the cells of each device, and the card, in how many of the rehearsed seasons they still last: the thickness of a
   band over the nights, drawn through what 5, 50 and 95 of 100 seasons do not exceed. A mark shows the nights the plan's
   own figures give at its average use. Without a rehearsal (NULL) the band ends there. */
void owl_draw_cells(const struct owl_plan *plan, const struct owl_evaluation *evaluation, const struct owl_rehearsal *rehearsal,
                    struct owl_text *svg);

/* The ledger for a watch: for each row a bar of the passes it is the first link to lose, with the range that 5 and 95 of
   100 seasons do not exceed, and a mark for those that mending it alone would win. */
void owl_draw_ledger(const struct owl_plan *plan, const struct owl_rehearsal *rehearsal, struct owl_text *svg);

#endif
