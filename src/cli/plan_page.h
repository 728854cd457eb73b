/* The plan as one readable page, one night of it, and all of it for machines. */
#ifndef OWL_CLI_PLAN_PAGE_H
#define OWL_CLI_PLAN_PAGE_H

#include "cli/session.h"

void owl_page_plan(const struct owl_session *session, struct owl_text *text);

/* night: from 0. */
void owl_page_night(const struct owl_session *session, int night, struct owl_text *text);

void owl_page_json(const struct owl_session *session, struct owl_text *text);

/* Local date and time of a moment, `17:42`; `-` for NaN. */
void owl_page_clock(const struct owl_session *session, double unix_s, struct owl_text *text);

/* The date of a night's evening. */
void owl_page_date(const struct owl_session *session, int night, struct owl_text *text);

#endif
