/* The frames of a made-up card as pixels: the light desk's scene exposed, then what sky, lens and image sensor add to it.
   Owns its rooms; made_studio_close gives them back. */
#ifndef OWL_TESTS_MADE_STUDIO_H
#define OWL_TESTS_MADE_STUDIO_H

#include "support/made_jpeg.h"
#include "support/made_schedule.h"

struct made_studio;

/* NULL: no memory, or sides or lights out of range. wish and plan must outlive it. */
struct made_studio *made_studio_open(const struct made_card_wish *wish, const struct owl_plan *plan);

/* Renders frame number `number` of the card into *picture, whose pixels live until the next frame, and completes the truth;
   the box in pixels of the rendered size. */
enum owl_status made_studio_shoot(struct made_studio *studio, int number, struct made_frame *frame,
                                  struct made_picture *picture) OWL_MUST_USE;

void made_studio_close(struct made_studio *studio);

#endif
