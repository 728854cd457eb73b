/* The field sheet: what goes into the wood, on paper or a phone. One web page that stands alone. */
#ifndef OWL_SHEET_FIELD_SHEET_H
#define OWL_SHEET_FIELD_SHEET_H

#include "core/plan/evaluate.h"
#include "core/status.h"
#include "shelf/wire.h"

/* Room that always holds the sheet of the longest watch. */
#define OWL_SHEET_BYTES 1310720

/* Writes one whole HTML5 page: packing list, placing in order, stage drawing, settings, test,
   leaving, care, the plan's warnings and the sky of every night. It asks for nothing from outside
   and runs no script; it can be ticked off on a screen and prints on A4.
   `evaluation` and `watch` must be of this plan; times are by the clock of its zone. wiring: found for this plan, with its
   shelves still there; NULL: not known, and the sheet says nothing of it.
   OWL_NO_ROOM when html's buffer is too small; what fitted is then in it. */
enum owl_status owl_sheet_write(const struct owl_plan *plan, const struct owl_evaluation *evaluation,
                                const struct owl_watch_view *watch, const struct owl_wire_answer *wiring,
                                struct owl_text *html) OWL_MUST_USE;

#endif
