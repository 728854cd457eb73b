/* One candidate of the search for better settings: its plan, what it may not trade away, and its seasons against those
   of another plan under the same random numbers. Owns nothing. */
#ifndef OWL_CORE_REHEARSE_ADVISE_TRIAL_H
#define OWL_CORE_REHEARSE_ADVISE_TRIAL_H

#include "core/rehearse/advise_levers.h"
#include "core/rehearse/rehearsal.h"

/* What no advice may make worse than it is, or than what is right where the plan is better than that. */
struct owl_bounds {
    double eye_margin;                /* not below */
    double rest_s;                    /* pause with flashes by night, not below */
    double flashed_frames;            /* frames of a firing with flashes by night, not above: each is a flash more */
    double airy_m;                    /* blur by diffraction, which no frame is judged by: not above */
    double fill;                      /* share of the frame's width that the animal fills: not below */
    int dangers;                      /* warnings of danger: not more */
    double lasts[OWL_RIG_CARD + 1];   /* share of the seasons in which each set of cells and the card last: not below */
};

/* All but `lasts`, which only seasons can tell: of that nothing is asked. */
struct owl_bounds owl_bounds_of(const struct owl_plan *plan, const struct owl_evaluation *evaluation);

/* Asks for what these seasons reach, 0.9 at most. */
void owl_bounds_take_seasons(struct owl_bounds *bounds, const struct owl_season *season, int seasons);

bool owl_bounds_hold(const struct owl_bounds *bounds, const struct owl_plan *plan, const struct owl_evaluation *evaluation);
bool owl_bounds_hold_seasons(const struct owl_bounds *bounds, const struct owl_season *season, int seasons);

/* A step for each lever, 0 for those that stay. */
struct owl_steps {
    int step[OWL_LEVERS_MOST];
};

/* The changes of some steps, in the order of the levers; -1 when a lever has no such value. */
int owl_steps_changes(const struct owl_steps *steps, const struct owl_lever *lever, int levers, const struct owl_plan *plan,
                      struct owl_change change[OWL_CHANGES_MOST]);

/* What a difference between two plans comes to: the mean over seasons and its standard error. */
struct owl_difference {
    double mean, error;
};

/* Of trial[i] - reference[i], i < count, count >= 1; error INFINITY for one. */
struct owl_difference owl_difference_of(const double *trial, const double *reference, int count);

/* How good a season is: its keepers, less a ten-thousandth for each link of the chain that a lost pass was still to
   get past, so that of two plans without a keeper the one nearer to one is told. */
double owl_season_score(const struct owl_season *season);

#endif
