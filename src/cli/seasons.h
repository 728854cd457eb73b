/* The rehearsed seasons of a plan, run with progress told and stopped by an interrupt. */
#ifndef OWL_CLI_SEASONS_H
#define OWL_CLI_SEASONS_H

#include "cli/session.h"
#include "session/seasons.h"

/* Makes the setup of a plan's seasons. The exit status, told where it is not OWL_EXIT_WELL; name: what messages call the plan. */
int owl_seasons_prepare(const struct owl_session *session, const char *name, struct owl_seasons *seasons);

/* Runs and sums them up. The same. */
int owl_seasons_run(const struct owl_seasons_wish *wish, struct owl_seasons *seasons);

#endif
