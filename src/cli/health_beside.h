/* A camera's clock held against that of another camera that saw the same visits. */
#ifndef OWL_CLI_HEALTH_BESIDE_H
#define OWL_CLI_HEALTH_BESIDE_H

#include "cli/card_options.h"

/* Judges, or takes out of the book, the card in the folder `beside` as options say, and writes how the session's clock goes
   against it, and how to put it right. The exit status, told. */
int owl_health_beside(const struct owl_card_options *options, const struct owl_card_session *session, const char *beside,
                      struct owl_text *text);

#endif
