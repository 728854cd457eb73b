/* The page of a card's visits: night by night, visit by visit, and the ledger of what came beside what was rehearsed. */
#ifndef OWL_CLI_VISITS_PAGE_H
#define OWL_CLI_VISITS_PAGE_H

#include "session/card_rehearsed.h"

/* rehearsed: NULL, there is none. */
void owl_page_visits(const struct owl_card_session *session, const struct owl_visits *visits,
                     const struct owl_visits_rehearsed *rehearsed, struct owl_text *text);

/* Room such a page needs. */
size_t owl_page_visits_bytes(const struct owl_judged *judged, const struct owl_visits *visits);

#endif
