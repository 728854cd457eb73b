/* What the parts of the wiring search share. Private to the shelf.

   A label is a piece of wiring built from the flashes up: a thing with what hangs on its exits already joined, and one
   entrance still open. Two pieces are joined at a time, cheapest first, until the sensor (or the camera) holds everything.
   A piece that is in nothing better than another with the same open entrance and the same flashes is dropped. */
#ifndef OWL_SHELF_WIRING_H
#define OWL_SHELF_WIRING_H

#include "shelf/wire.h"

#define OWL_NO_LABEL (-1)
#define OWL_CAMERA_TARGET 1u /* the camera's bit among the targets; flash i has 2 << i */

struct owl_wire_search {
    const struct owl_wire_request *request;
    struct owl_wire_room *room;
    unsigned full;      /* what the root must hold */
    double most_m;      /* the longest way to lay: more cable than that is no better */
    bool crowded;       /* the room ended */
};

/* wire_pool.c: members, groups, sets and which socket fits which. */
enum owl_status owl_wire_gather(struct owl_wire_search *search);
/* The signals a piece needs at its entrance. */
unsigned owl_wire_signals(const struct owl_wire_request *request, unsigned targets);
bool owl_wire_fits(const struct owl_wire_room *room, unsigned targets, int member, int out, int group);

/* wire_search.c: runs to the end; the label of the finished root, or OWL_NO_LABEL. */
int owl_wire_run(struct owl_wire_search *search);

/* wire_answer.c: tells the tree of a finished label. */
void owl_wire_tell(const struct owl_wire_search *search, int label, struct owl_wire_answer *answer);

/* wire_cautions.c: what to mind about a told tree. */
void owl_wire_caution(struct owl_wire_answer *answer);

#endif
