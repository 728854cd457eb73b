/* What a card's frames are to its visits, and what leaves the program of that: table, contact sheet, sidecars. */
#ifndef OWL_CLI_CARD_PLACES_H
#define OWL_CLI_CARD_PLACES_H

#include "card/visits.h"
#include "cli/card_session.h"

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

/* The table of all frames on stdout; the exit status. */
int owl_card_table(const struct owl_card_session *session, const struct owl_visits *visits);

/* The contact sheet into a new file that `option` named; the exit status. */
int owl_card_contact(const struct owl_card_session *session, const struct owl_visits *visits, const char *path);

/* A sidecar beside each frame of a folder that `pull` filled; those that are there stay as they are. The exit status. */
int owl_card_sidecars(const struct owl_card_session *session, const struct owl_visits *visits);

#endif
