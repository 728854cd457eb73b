/* The rig of a plan wired from shelves: its devices found by their gear names, distances from the stage, the search. */
#ifndef OWL_CLI_RIG_WIRING_H
#define OWL_CLI_RIG_WIRING_H

#include "cli/shelf_files.h"
#include "core/plan/plan.h"
#include "shelf/wire_room.h"

/* Begins as {0}; owl_rig_wiring_close gives its memory back. */
struct owl_rig_wiring {
    struct owl_shelves shelves;
    struct owl_wire_request request;
    struct owl_wire_room *room;
    struct owl_wire_answer *answer;
    struct owl_wire_why *why;       /* where none was found */
};

struct owl_rig_wish {
    const char *file;               /* what messages call the plan */
    const char *const *shelf;
    int shelves;
    bool owned_only;
    enum owl_wire_aim aim;
};

/* Whether the plan names gear for all its devices. */
bool owl_rig_named(const struct owl_plan *plan);

/* Opens the shelves, finds the devices and measures the stage. The exit status, told. */
int owl_rig_wiring_open(const struct owl_rig_wish *wish, const struct owl_plan *plan, struct owl_rig_wiring *wiring);

/* The best wiring, by wires only or through the air as well; where there is none, why. The exit status, told. */
int owl_rig_wiring_find(struct owl_rig_wiring *wiring, bool through_air);

void owl_rig_wiring_close(struct owl_rig_wiring *wiring);

#endif
