/* The rehearsed seasons of a plan, run on as many threads as wished, and stopped by an interrupt. */
#ifndef OWL_CLI_SEASONS_H
#define OWL_CLI_SEASONS_H

#include "cli/session.h"
#include "core/rehearse/rehearsal.h"

#define OWL_SEASONS_SEED 1

/* Begins as {0}; owl_seasons_clear gives its memory back. */
struct owl_seasons {
    struct owl_setup_row *row;
    struct owl_setup setup;
    struct owl_season *season;
    double *column;
    struct owl_rehearsal *rehearsal;
    int done, wanted; /* done: fewer than wanted only where it was stopped */
};

struct owl_seasons_wish {
    int seasons; /* 0: as many as make the mean of keepers sure to a hundredth, within what a moment allows */
    uint64_t seed;
    uint64_t threads; /* 0: as many as the machine has */
};

/* Makes the setup of a plan's seasons. The exit status, told where it is not OWL_EXIT_WELL; name: what messages call the plan. */
int owl_seasons_prepare(const struct owl_session *session, const char *name, struct owl_seasons *seasons);

/* Runs and sums them up. The same. */
int owl_seasons_run(const struct owl_seasons_wish *wish, struct owl_seasons *seasons);

void owl_seasons_clear(struct owl_seasons *seasons);

#endif
