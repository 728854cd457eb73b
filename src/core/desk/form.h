/* An animal's body as a solid that light can fall on: round cones, melted together where they meet. Plain values; nothing is
   allocated.

   Body axes: origin on the ground below the middle between nose and rump, x to the nose, y to its left, z up. */
#ifndef OWL_CORE_DESK_FORM_H
#define OWL_CORE_DESK_FORM_H

#include "core/plan/plan.h"

#define OWL_FORM_PARTS 56
#define OWL_FORM_LIMBS 12

/* What covers a part of the body. */
enum owl_skin {
    OWL_SKIN_COAT,
    OWL_SKIN_PALE, /* throat, belly, stripes */
    OWL_SKIN_DARK, /* legs, back, mask */
    OWL_SKIN_BARE, /* beak, hooves, nose */
    OWL_SKIN_EYE,
    OWL_SKINS
};

/* A round cone: all between two balls. It grows out of the parts before it, and melts into them within blend_m. */
struct owl_form_part {
    struct owl_point from, to;
    double from_radius_m, to_radius_m, blend_m;
    enum owl_skin skin;
    /* worked out by owl_form_gather */
    struct owl_point axis, middle;          /* from -> to, length 1 */
    double length_m, sine, cosine, reach_m; /* of the slope of its side; all of it lies within its reach of its middle */
};

/* Parts in a row that lie close together, passed over at once by whoever is far away. */
struct owl_form_limb {
    int first, past; /* parts [first, past) */
    struct owl_point middle;
    double reach_m, blend_m; /* the largest of its parts */
};

struct owl_form {
    int parts, limbs;
    struct owl_form_part part[OWL_FORM_PARTS];
    struct owl_form_limb limb[OWL_FORM_LIMBS];
    double blend_m;                   /* how far a joint is rounded: the largest of the parts */
    struct owl_point low, high;       /* the corners of a box that holds all of it */
    double reflectance[OWL_SKINS][3]; /* share of red, green and blue light thrown back */
};

/* The form of a body: nose to rump is its length, the back at its shoulder, the top of the head at its height, the trunk as
   wide as it is wide; tail and ears come on top, and the lowest foot stands on the ground. `step` 0..1 is how far the stride has
   come round: 0 and 1 are the same, what lies outside is taken round.
   The build is that of the kind. Of the coat the luminance (weights of [bt709]) equals body->coat, in the hue of the kind; pale,
   dark and bare skin follow from it. A body of several times another shape than its kind's is fitted as far as it goes.
   The first limb is the trunk with the wings, the next are neck and head, the last is the tail; between them, the legs.
   Proportions and tones: estimate. */
void owl_form_of(const struct owl_plan_body *body, double step, struct owl_form *form);

/* Works out what follows from the parts' ends, radii and blends and from the limbs' ranges: all else of parts and limbs, the
   form's blend and its box. For a form laid out by hand; its limbs must cover its parts in order. */
void owl_form_gather(struct owl_form *form);

/* Signed distance from the skin, negative inside. Never farther than the skin truly is, so that a ray may go so far
   unharmed: exact for a single part, less near where parts melt together. INFINITY for a form without parts. */
double owl_form_distance_m(const struct owl_form *form, const struct owl_point *at);

/* What covers the skin nearest to a point. */
enum owl_skin owl_form_skin_at(const struct owl_form *form, const struct owl_point *at);

#endif
