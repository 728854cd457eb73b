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

/* The lit surface of a flash as the animal sees it: its diffuser, or else its bare window. */
struct owl_lit_surface {
    double width_m, height_m;
};
struct owl_lit_surface owl_lit_surface_of(const struct owl_plan_flash *flash);

/* What a minute's light does to the picture. */
struct owl_light_case {
    double flash_lxs, ambient_lxs;        /* on the animal */
    double total;                         /* both together as a share of a right exposure */
    double ghost_factor, exposure_factor; /* the limits as factors */
    bool shutter_smears, pulse_smears;    /* the walk blurs beyond the limit while the shutter is open; while the flashes last */
};
struct owl_light_faults {
    bool ghost, smear, dim, burnt;
};

/* The one rule for ghost, smear and wrong exposure: the plan's shares and every rehearsed frame go by it. In the header
   because the plan asks at every row of the watch. */
static inline struct owl_light_faults owl_light_judge(const struct owl_light_case *light)
{
    bool flash_makes_it = light->flash_lxs > light->ambient_lxs * light->ghost_factor;
    bool ambient_makes_it = light->ambient_lxs >= light->flash_lxs * light->ghost_factor;
    return (struct owl_light_faults){
        .ghost = !flash_makes_it && !ambient_makes_it && light->shutter_smears,
        .smear = ambient_makes_it ? light->shutter_smears : light->pulse_smears,
        .dim = light->total * light->exposure_factor < 1.0,
        .burnt = light->total > light->exposure_factor,
    };
}

/* Fills what the settings of part->plan ask of the light: what a right exposure needs, and the shortest shutter. */
void owl_light_prepare(struct owl_evaluating *part);

/* The shutter time at an ambient light level, of a part so prepared. */
double owl_shutter_at_s(const struct owl_evaluating *part, double light_lx);

#endif
