/* A card's visits held against the rehearsed seasons of a plan. */
#ifndef OWL_SESSION_CARD_REHEARSED_H
#define OWL_SESSION_CARD_REHEARSED_H

#include "card/visits.h"
#include "core/rehearse/observed.h"
#include "session/card_session.h"
#include "session/seasons.h"

/* What a rehearsal says of such a card. */
struct owl_visits_rehearsed {
    const char *plan;            /* what messages call it */
    int seasons, nights;         /* rehearsed; nights of the plan's watch */
    struct owl_observed links;
    bool counted;                /* the card covers the plan's watch, so that numbers can be compared: */
    struct owl_observed_count visits, empties;
};

/* Compares with seasons that were rehearsed, as often as wished: after a correction, too. rehearsed->plan stays as it is.
   OWL_OUTSIDE_DOMAIN, told with that name. */
enum owl_status owl_card_compare(const struct owl_seasons *seasons, const struct owl_judged *judged,
                                 const struct owl_visits *visits, struct owl_visits_rehearsed *rehearsed,
                                 struct owl_error *error) OWL_MUST_USE;

/* Nights from the first dated frame's to the last one's, both counted; 0 when no frame is dated. */
int owl_visits_span(const struct owl_visits *visits);

#endif
