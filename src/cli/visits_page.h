/* The page of a card's visits: night by night, visit by visit, and the ledger of what came beside what was rehearsed. */
#ifndef OWL_CLI_VISITS_PAGE_H
#define OWL_CLI_VISITS_PAGE_H

#include "card/visits.h"
#include "cli/card_session.h"
#include "core/rehearse/observed.h"

/* What a rehearsal says of such a card. */
struct owl_visits_rehearsed {
    const char *plan;            /* what messages call it */
    int seasons, nights;         /* rehearsed; nights of the plan's watch */
    struct owl_observed links;
    bool counted;                /* the card covers the plan's watch, so that numbers can be compared: */
    struct owl_observed_count visits, empties;
};

/* rehearsed: NULL, there is none. */
void owl_page_visits(const struct owl_card_session *session, const struct owl_visits *visits,
                     const struct owl_visits_rehearsed *rehearsed, struct owl_text *text);

/* Room such a page needs. */
size_t owl_page_visits_bytes(const struct owl_judged *judged, const struct owl_visits *visits);

/* Nights from the first dated frame's to the last one's, both counted; 0 when no frame is dated. */
int owl_visits_span(const struct owl_visits *visits);

#endif
