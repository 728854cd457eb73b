/* What a card's frames are to its visits, and the sidecars that tell it beside the pictures. */
#ifndef OWL_SESSION_CARD_PLACES_H
#define OWL_SESSION_CARD_PLACES_H

#include "card/visits.h"
#include "session/card_session.h"

/* Where a frame stands. */
struct owl_card_place {
    int visit;              /* its number from 1; 0: of none */
    bool best;              /* of its visit */
    int sharpness_rank;     /* among the visit's frames that show something, 1 the sharpest; 0: shows nothing */
    enum owl_ledger_row row; /* of a frame that shows something, or failed its flash: its first failing link */
    bool booked;            /* row means something */
};

/* One for each frame of the card, from malloc; NULL: no memory. */
struct owl_card_place *owl_card_places(const struct owl_judged *judged, const struct owl_visits *visits);

struct owl_card_sidecars {
    int written, there; /* there: were there before, and stay as they are */
};

/* A sidecar beside each frame of a folder that `pull` filled. *done is filled in every case. OWL_BAD_USE: the folder may be the
   card itself, and nothing is written; OWL_CANNOT_WRITE: those before are; OWL_NO_MEMORY. */
enum owl_status owl_card_sidecars(const struct owl_card_session *session, const struct owl_visits *visits,
                                  struct owl_card_sidecars *done, struct owl_error *error) OWL_MUST_USE;

/* "3 sidecars written; 2 were there already and stay as they are". */
void owl_card_sidecars_tell(const struct owl_card_sidecars *done, struct owl_text *text);

#endif
