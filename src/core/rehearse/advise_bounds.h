/* What no advice may trade away. Owns nothing. */
#ifndef OWL_CORE_REHEARSE_ADVISE_BOUNDS_H
#define OWL_CORE_REHEARSE_ADVISE_BOUNDS_H

#include "core/rehearse/rehearsal.h"

/* Taken from a plan: a changed one must keep to what is right, or, where the plan itself does not, to what it has.
   X-sync by the shutter set, and all else that the reader checks, is owl_plan_stands's. */
struct owl_bounds {
    double eye_margin;              /* light at the eye, not below */
    double rest_s;                  /* pause with flashes by night, not below */
    double flashed_frames;          /* frames of a firing with flashes by night, not above: each is a flash more */
    double day_hold_s;              /* shutter time held by day with flashes, not below */
    double airy_m;                  /* blur by diffraction, which no frame is judged by: not above */
    double fill;                    /* share of the frame's width that the animal fills: not below */
    int dangers;                    /* warnings of danger, trigger voltage among them: not more */
    double lasts[OWL_RIG_CARD + 1]; /* share of the seasons in which each set of cells and the card last: not below */
};

/* All but `lasts`, which only seasons can tell: of that nothing is asked. */
struct owl_bounds owl_bounds_of(const struct owl_plan *plan, const struct owl_evaluation *evaluation);

/* Asks for what these seasons of the plan reach, 0.9 at most. */
void owl_bounds_take_seasons(struct owl_bounds *bounds, const struct owl_season *season, int seasons);

bool owl_bounds_hold(const struct owl_bounds *bounds, const struct owl_plan *plan, const struct owl_evaluation *evaluation);
bool owl_bounds_hold_seasons(const struct owl_bounds *bounds, const struct owl_season *season, int seasons);

#endif
