/* The health of the rig as a card tells it, by the clock put right and with what its watch's plan knows. */
#ifndef OWL_SESSION_CARD_HEALTH_H
#define OWL_SESSION_CARD_HEALTH_H

#include "card/health.h"
#include "session/card_session.h"

/* *health is always fit for owl_health_clear. OWL_NO_MEMORY. */
enum owl_status owl_card_health(const struct owl_card_session *session, struct owl_health *health) OWL_MUST_USE;

/* "Watch it". */
const char *owl_card_severity_words(enum owl_health_severity severity);

#endif
