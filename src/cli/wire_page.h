/* The page of a wiring: what joins what, what to buy, what to pack, what to mind, and what it does to the plan. */
#ifndef OWL_CLI_WIRE_PAGE_H
#define OWL_CLI_WIRE_PAGE_H

#include "core/plan/plan.h"
#include "shelf/wire.h"

/* A wiring under its heading, or why there is none. */
struct owl_wire_shown {
    const char *heading;
    const struct owl_wire_request *request;
    const struct owl_wire_answer *answer;
    const struct owl_wire_why *why; /* where none was found */
    const struct owl_plan *plan;
    const char *currency;
};

void owl_page_wiring(const struct owl_wire_shown *shown, struct owl_text *text);

/* The things of a wiring, each kind once with its number, to be packed. */
void owl_page_wiring_pack(const struct owl_wire_shown *shown, struct owl_text *text);

#endif
