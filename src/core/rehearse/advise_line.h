/* A line through the levers along which the best place is sought, coarsely and then finely. A plain value. */
#ifndef OWL_CORE_REHEARSE_ADVISE_LINE_H
#define OWL_CORE_REHEARSE_ADVISE_LINE_H

#include "core/rehearse/advise_trial.h"

#define OWL_LINE_LEVERS (1 + OWL_FLASHES)

struct owl_line {
    int levers, lever[OWL_LINE_LEVERS], ratio[OWL_LINE_LEVERS]; /* steps of each lever for one along the line */
    int hint;                    /* a place to try first, 0: none */
    int reach;                   /* the farthest of the coarse ones */
    int tries, stride;           /* how far it got */
    uint64_t tried[4];           /* places -128..127 */
    int place;                   /* the one at trial */
    int best;                    /* 0: none is better than where it began */
    struct owl_difference gain;  /* of the best, against where it began */
};

/* A line of one lever. */
struct owl_line owl_line_of(int lever, int hint, int reach);

/* A line along which settings go in step so that the exposure stays as it is, or all flashes go together. */
#define OWL_LINE_JOINTS 6
struct owl_line owl_line_joint(const struct owl_ground *ground, int number, int reach);

/* Goes to the next place not yet tried; false when the line is done. */
bool owl_line_next(struct owl_line *line);

/* The steps that lead from some to a place on the line. */
struct owl_steps owl_line_steps(const struct owl_line *line, const struct owl_steps *from, int place);

/* What the next place must be able to win to matter; >= 0. */
double owl_line_target(const struct owl_line *line);

/* Takes in what the place at trial won; true when it is the best so far. Of two nearly as good the smaller step is
   better. Nothing is, whose gain may be chance. */
bool owl_line_take(struct owl_line *line, const struct owl_difference *gain);

/* The half-width of a 90 % interval in standard errors, of a normal. */
#define OWL_INTERVAL_ERRORS 1.645

#endif
