/* The rehearsed seasons of a plan, run on as many threads as wished. */
#ifndef OWL_SESSION_SEASONS_H
#define OWL_SESSION_SEASONS_H

#include "core/rehearse/rehearsal.h"
#include "session/listener.h"
#include "session/plan_session.h"

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

/* Makes the setup of a plan's seasons; the plan must outlive them. name: what messages call it. OWL_OUTSIDE_DOMAIN: more of
   something than can be rehearsed; OWL_NO_MEMORY. */
enum owl_status owl_seasons_set_up(const struct owl_session *session, const char *name, struct owl_seasons *seasons,
                                   struct owl_error *error) OWL_MUST_USE;

/* Runs and sums them up; progress is told on the calling thread. OWL_BAD_USE: stopped before the first was done, which the
   error tells; OWL_NO_MEMORY. */
enum owl_status owl_seasons_rehearse(const struct owl_seasons_wish *wish, const struct owl_listener *listener,
                                     struct owl_seasons *seasons, struct owl_error *error) OWL_MUST_USE;

void owl_seasons_clear(struct owl_seasons *seasons);

#endif
