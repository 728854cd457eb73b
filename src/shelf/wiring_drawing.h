/* A wiring as a drawing: every thing a box under the one it hangs on, every joint a line with its two sockets. */
#ifndef OWL_SHELF_WIRING_DRAWING_H
#define OWL_SHELF_WIRING_DRAWING_H

#include "core/text.h"
#include "shelf/wire.h"

/* Room that always holds one drawing. */
#define OWL_WIRING_BYTES 163840

/* Writes one self-contained <svg> element, 360 units wide: no script, nothing from outside, the wiring in words for screen
   readers in its desc. Full lines are wires, broken ones go through the air; boxes with a thick edge must be bought.
   It is light on paper and follows the reader's choice of dark or light on a screen; --owl-paper, --owl-ink, --owl-faint,
   --owl-frame, --owl-sensor and --owl-flash of a page give it other colours. What does not fit is dropped and svg->cut is
   set. The answer must be one that was found.
   flash_name: the rig's names for its flashes, one a flash, NULL for none. */
void owl_draw_wiring(const struct owl_wire_answer *answer, const char *const flash_name[OWL_FLASHES], struct owl_text *svg);

#endif
