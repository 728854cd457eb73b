/* A made-up sky for tests and fuzzing: nights that all look alike, with light between starlight and
   full day, so that plans can be evaluated without an ephemeris. */
#ifndef OWL_TESTS_MADE_WATCH_H
#define OWL_TESTS_MADE_WATCH_H

#include "core/plan/watch_view.h"

#define MADE_NIGHTS 2

struct made_watch {
    struct owl_night night[MADE_NIGHTS];
    struct owl_watch_row row[MADE_NIGHTS * OWL_NIGHT_ROWS + 1];
    struct owl_watch_view view;
};

/* Light runs as exp of a cosine from 2900 lx at noon to 0.001 lx at midnight; clock and animals'
   hour are solar time. Sets the plan's nights to MADE_NIGHTS. made must not be moved afterwards. */
void made_watch_fill(struct owl_plan *plan, struct made_watch *made);

#endif
