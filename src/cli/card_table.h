/* What a command about a card tells of its frames: their table, their visits' sidecars. */
#ifndef OWL_CLI_CARD_TABLE_H
#define OWL_CLI_CARD_TABLE_H

#include "card/visits.h"
#include "cli/card_options.h"

/* The table of all frames on stdout; the exit status. */
int owl_card_table(const struct owl_card_session *session, const struct owl_visits *visits);

/* Writes the sidecars and tells how many; the exit status. */
int owl_card_tell_sidecars(const struct owl_card_session *session, const struct owl_visits *visits);

#endif
