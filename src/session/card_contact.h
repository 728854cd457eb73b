/* The contact sheet of a card, as a file. */
#ifndef OWL_SESSION_CARD_CONTACT_H
#define OWL_SESSION_CARD_CONTACT_H

#include "card/visits.h"
#include "session/card_session.h"

struct owl_contact_wish {
    const char *path;   /* a new file */
    const char *writer; /* what writes new files only, as the message about one that is there calls it */
    const struct owl_listener *listener;
};

/* Writes it whole or not at all, small pictures made as the page asks for them. OWL_BAD_USE: no such file can be made, as
   where one is there; OWL_CANNOT_READ: the card; OWL_CANNOT_WRITE; OWL_NO_MEMORY. */
enum owl_status owl_card_contact(const struct owl_card_session *session, const struct owl_visits *visits,
                                 const struct owl_contact_wish *wish, struct owl_error *error) OWL_MUST_USE;

#endif
