/* The light desk: the scene of a plan, ray-marched onto a film light by light. Nothing is allocated.

   Each point of the scene throws light back evenly to all sides (Lambert). A flash is its lit surface: strength off its
   axis by the beam's law, falling with the square of the distance, times the cosine, times the share of the surface that
   can be seen. The ambient light comes from all around alike, as the plan takes it, less what stands near and hides it. Light
   thrown from one thing onto another is left out. */
#ifndef OWL_CORE_DESK_DESK_H
#define OWL_CORE_DESK_DESK_H

#include "core/desk/film.h"
#include "core/desk/form.h"
#include "core/plan/evaluate.h"
#include "core/plan/geometry.h"

/* What the picture shows, apart from the plan. */
struct owl_desk_moment {
    double along_m;   /* the animal's middle past the mark, towards growing x, when the shutter opens */
    double aside_m;   /* off the line of the path, as in struct owl_path */
    double turn_rad;  /* the path turned against the plan's angle */
    int sense;        /* +1: it walks towards growing x, -1: the other way */
    double step;      /* of its stride, 0..1 */
    bool absent;      /* no animal in the scene */
    bool card;        /* a grey card stands in its place, facing the camera */
    uint32_t seed;    /* of the grain of ground, bark and coat, and of the blades */
};

/* The moment of the plan's own figures: where the animal is when the shutter opens, on the mark if never noticed. */
struct owl_desk_moment owl_desk_moment_of(const struct owl_plan *plan, const struct owl_evaluation *evaluation);

struct owl_desk_lamp {
    struct owl_point place, forward, across, up; /* axes of the lit surface, lengths 1 */
    double intensity_cds;                        /* on the axis at full power, after the diffuser */
    double half_coverage_rad, width_m, height_m;
};

struct owl_desk_scene {
    struct owl_view view;
    struct owl_view planted; /* the view that the grass was planted for: the same, unless the camera has been moved since */
    double pixel_m; /* pitch of the film's pixels on the image sensor */
    int width, height;
    int lamps;
    struct owl_desk_lamp lamp[OWL_FLASHES];
    bool animal;
    struct owl_form form;
    struct owl_point form_place;   /* below its middle */
    double form_cosine, form_sine; /* its nose's direction in plan */
    bool card;                     /* a square facing the camera */
    struct owl_point card_middle;
    double card_half_m;
    bool log;                         /* what the animal walks on when the mark is above the ground */
    struct owl_point log_from, log_to; /* the ends of its axis, which lies along the path */
    double log_radius_m;
    struct owl_point backdrop_place, backdrop_normal; /* a wall upright without end, facing the camera */
    double ground_reflectance[3], backdrop_reflectance[3], log_reflectance[3];
    double grain; /* how far reflectances vary from spot to spot: 1 as in a wood, 0 not at all */
    uint32_t seed;
};

/* The scene of a plan at a moment, on a film of that many pixels; the frame is fitted into it whole.
   OWL_OUTSIDE_DOMAIN where the plan has no view. */
enum owl_status owl_desk_scene_of(const struct owl_plan *plan, const struct owl_desk_moment *moment, int width, int height,
                                  struct owl_desk_scene *scene) OWL_MUST_USE;

/* Renders the rows [from, to) at every `step`-th pixel and fills the squares in between with it: 8, then 4, 2, 1 shows the
   picture coarse at once and finer from pass to pass. A pass leaves out what the pass of `done` (0: none) has rendered, but
   shadows of coarse passes, from 4 on, are rough and rendered again. */
void owl_desk_render(const struct owl_desk_scene *scene, struct owl_film *film, int step, int done, int from, int to);

/* Marks the pixels where two things meet, for smoothing: marks[width height] takes 1 there, 0 elsewhere. After a pass
   with step 1. */
void owl_desk_mark(const struct owl_film *film, uint8_t *marks);

/* Renders the marked pixels of the rows [from, to) again, each from four points. */
void owl_desk_smooth(const struct owl_desk_scene *scene, struct owl_film *film, const uint8_t *marks, int from, int to);

/* Draws so many blades of grass over what is behind, rooted where the camera looks, bent by the wind (-1..1 to the left or
   right). They throw no shadow and hide the ground only. Last of all. */
void owl_desk_grass(const struct owl_desk_scene *scene, struct owl_film *film, int blades, double wind);

/* The exposure of the plan as it is set, at an ambient light: weights, smears and blur for the film of the scene.
   ambient_lx >= 0. OWL_OUTSIDE_DOMAIN for any other. */
enum owl_status owl_desk_exposure_of(const struct owl_plan *plan, const struct owl_desk_scene *scene, double ambient_lx,
                                     double shutter_s, struct owl_film_exposure *exposure) OWL_MUST_USE;

/* The shutter time of the plan at an ambient light: as set, on bulb the sensor's hold, metered what the meter asks. */
double owl_desk_shutter_s(const struct owl_plan *plan, double ambient_lx);

#endif
