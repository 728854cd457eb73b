/* What the parts of an evaluation hand on to each other. The rehearsal
   borrows the light of one minute from here; nobody else does. */
#ifndef OWL_CORE_PLAN_EVALUATING_H
#define OWL_CORE_PLAN_EVALUATING_H

#include "core/plan/evaluate.h"
#include "core/plan/geometry.h"

struct owl_evaluating {
    const struct owl_plan *plan;
    const struct owl_watch_view *watch;
    struct owl_evaluation *result;
    struct owl_view view;
    struct owl_point middle;      /* of the animal on the mark */
    double magnification, pixel_m, speed_across_m_s;
    double flash_needed_lxs, ambient_needed_lxs;
    double flash_lxs;             /* on the animal, all flashes; 0 without */
    double longest_pulse_s;       /* of the flashes that light it */
    double shortest_s;            /* shutter a metered camera may choose: x-sync with flashes */
    double darkest_lx, lightest_lx, lightest_shutter_s; /* NaN when never armed */
    double ghost_lx;              /* ambient light from which a ghost shows; infinite: never */
    double share, others_per_night, armed_s;
    bool pattern_used[OWL_PATTERNS]; /* by the subject or a passer */
};

void owl_evaluate_picture(struct owl_evaluating *part); /* framing and depth */
void owl_evaluate_flashes(struct owl_evaluating *part); /* each flash, and together */
void owl_evaluate_armed(struct owl_evaluating *part);   /* armed hours, light, shares of activity */
void owl_evaluate_ambient(struct owl_evaluating *part); /* shutter, ambient light, ghost */
void owl_evaluate_nights(struct owl_evaluating *part);  /* test minute */
void owl_evaluate_blur(struct owl_evaluating *part);
void owl_evaluate_sensor(struct owl_evaluating *part);
void owl_evaluate_outlast(struct owl_evaluating *part);
void owl_evaluate_care(struct owl_evaluating *part);
void owl_evaluate_warnings(struct owl_evaluating *part);

/* The shutter time at an ambient light level. */
double owl_shutter_at_s(const struct owl_evaluating *part, double light_lx);

#endif
