/* A made-up memory card: rendered frames of a plan as a camera would have stored them, with the truth about each in a table.
   The same wish always makes the same bytes. */
#ifndef OWL_TESTS_MADE_CARD_H
#define OWL_TESTS_MADE_CARD_H

#include "support/made_schedule.h"

#define MADE_CARD_FRAMES_MOST 9999   /* what four figures of a file's name can count */
#define MADE_CARD_CLOCK_MINUTES 60   /* the camera's clock, ahead of UTC */

/* What went wrong, in words. */
struct made_card_trouble {
    char words[320];
};

/* A card as any night's: a third of the frames visited, some of each fault, grass in a light wind, 750 x 500 pixels. */
struct made_card_wish made_card_usual(const char *plan_path, uint64_t seed, int frames);

/* Writes directory/IMG_0001.JPG and on; makes the directory if its parent is there. The truth goes to truth_path, or to
   truth.csv beside the directory for NULL, and into frames[wish->frames] if not NULL, places and sizes in pixels of the
   files. Columns of the table: file, taken_unix_s, visit, subject, left, top, right, bottom, covered, fault, strength,
   flash, shift_x, shift_y, wind, ambient_lx, shutter_s. On failure some files may have been written.
   OWL_BAD_USE: the wish cannot be fulfilled; OWL_CANNOT_READ, OWL_BAD_PLAN: its plan; OWL_OUTSIDE_DOMAIN: the plan has no
   picture; OWL_CANNOT_WRITE; OWL_NO_MEMORY. */
enum owl_status made_card(const struct made_card_wish *wish, const char *directory, const char *truth_path,
                          struct made_frame *frames, struct made_card_trouble *trouble) OWL_MUST_USE;

/* The plan in a file, without its sky. */
enum owl_status made_card_plan(const char *path, struct owl_plan *plan, struct made_card_trouble *trouble) OWL_MUST_USE;

#endif
