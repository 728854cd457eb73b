/* The solid of round cones: its distance, its skin and what is worked out beforehand so that both are quick. */
#include "core/desk/form.h"

#include <math.h>

#include "core/plan/vector.h"

static struct owl_point between(const struct owl_point *from, const struct owl_point *to, double share)
{
    struct owl_point way = owl_vector_from_to(from, to);
    return owl_vector_along(from, &way, share);
}

/* ---- gathering ---- */

/* Where one ball holds the other the cone is that ball alone: a cone without length. */
static void keep_larger_ball(struct owl_form_part *part)
{
    if (part->to_radius_m > part->from_radius_m) {
        part->from = part->to;
        part->from_radius_m = part->to_radius_m;
    }
    part->to = part->from;
    part->to_radius_m = part->from_radius_m;
    part->axis = (struct owl_point){1.0, 0.0, 0.0};
    part->length_m = part->sine = 0.0;
    part->cosine = 1.0;
}

static void gather_part(struct owl_form_part *part)
{
    struct owl_point way = owl_vector_from_to(&part->from, &part->to);
    double length_m = owl_vector_length(&way), narrowing_m = part->from_radius_m - part->to_radius_m;
    if (fabs(narrowing_m) >= length_m) {
        keep_larger_ball(part);
    } else {
        part->length_m = length_m;
        part->axis = owl_vector_scaled(&way, 1.0 / length_m);
        part->sine = narrowing_m / length_m;
        part->cosine = sqrt(1.0 - part->sine * part->sine);
    }
    /* the smallest ball around both: its ends are the far ends of the cone */
    part->reach_m = (part->length_m + part->from_radius_m + part->to_radius_m) / 2.0;
    part->middle = owl_vector_along(&part->from, &part->axis, part->reach_m - part->from_radius_m);
}

static void widen(const struct owl_point *at, double radius_m, struct owl_point *low, struct owl_point *high)
{
    *low = (struct owl_point){fmin(low->x_m, at->x_m - radius_m), fmin(low->y_m, at->y_m - radius_m),
                              fmin(low->z_m, at->z_m - radius_m)};
    *high = (struct owl_point){fmax(high->x_m, at->x_m + radius_m), fmax(high->y_m, at->y_m + radius_m),
                               fmax(high->z_m, at->z_m + radius_m)};
}

/* The corners of the parts' box. Melting fills hollows and swells out where several parts lie in one place: two add a quarter
   of their blend, eight two thirds of it, so a whole blend beyond any part is beyond the skin. */
static void box_of(const struct owl_form *form, int first, int past, struct owl_point *low, struct owl_point *high)
{
    *low = (struct owl_point){INFINITY, INFINITY, INFINITY};
    *high = (struct owl_point){-INFINITY, -INFINITY, -INFINITY};
    for (int i = first; i < past; i++) {
        const struct owl_form_part *part = &form->part[i];
        widen(&part->from, part->from_radius_m + part->blend_m, low, high);
        widen(&part->to, part->to_radius_m + part->blend_m, low, high);
    }
}

static void gather_limb(const struct owl_form *form, struct owl_form_limb *limb)
{
    struct owl_point low, high;
    box_of(form, limb->first, limb->past, &low, &high);
    limb->middle = between(&low, &high, 0.5);
    limb->reach_m = limb->blend_m = 0.0;
    for (int i = limb->first; i < limb->past; i++) {
        const struct owl_form_part *part = &form->part[i];
        struct owl_point way = owl_vector_from_to(&limb->middle, &part->middle);
        limb->reach_m = fmax(limb->reach_m, owl_vector_length(&way) + part->reach_m);
        limb->blend_m = fmax(limb->blend_m, part->blend_m);
    }
}

void owl_form_gather(struct owl_form *form)
{
    for (int i = 0; i < form->parts; i++)
        gather_part(&form->part[i]);
    form->blend_m = 0.0;
    for (int i = 0; i < form->limbs; i++) {
        gather_limb(form, &form->limb[i]);
        form->blend_m = fmax(form->blend_m, form->limb[i].blend_m);
    }
    box_of(form, 0, form->parts, &form->low, &form->high);
}

/* ---- distance ---- */

/* In the half plane through the axis, y along it from the first ball and x off it, the cone's side is the line touching
   both circles. Its outward normal is (cosine, sine), sine = (r - r')/length, for the radii to the touching points are
   perpendicular to it; its direction is (-sine, cosine). A point's coordinate along that direction, counted from the first
   middle, tells what is nearest: below 0 the first ball, above length * cosine the second, in between the side, at
   cosine * x + sine * y - r. */
static double part_distance_m(const struct owl_form_part *part, const struct owl_point *at)
{
    struct owl_point way = owl_vector_from_to(&part->from, at);
    double square = owl_vector_dot(&way, &way), y = owl_vector_dot(&way, &part->axis);
    double x_square = fmax(square - y * y, 0.0), x = sqrt(x_square);
    double along = part->cosine * y - part->sine * x;
    if (along <= 0.0)
        return sqrt(square) - part->from_radius_m;
    if (along < part->cosine * part->length_m)
        return part->cosine * x + part->sine * y - part->from_radius_m;
    double beyond = y - part->length_m;
    return sqrt(x_square + beyond * beyond) - part->to_radius_m;
}

/* Whether all within a ball is at least so far away. */
static inline bool beyond(const struct owl_point *at, const struct owl_point *middle, double reach_m, double far_m)
{
    struct owl_point way = owl_vector_from_to(middle, at);
    double least_m = reach_m + far_m;
    return least_m <= 0.0 || owl_vector_dot(&way, &way) >= least_m * least_m;
}

/* The polynomial smooth minimum: with h = 1 - |a - b|/k it is min(a, b) - k h^2/4, from |a - b| = k on the plain one. Its slope
   is a mean of those of a and b, so it changes no faster than a distance does; and that makes a part farther off than
   the nearest by its blend of no account, which is what lets it be left out unseen. */
static inline double melted(double a, double b, double blend_m)
{
    double apart = fabs(a - b), least = b < a ? b : a;
    if (apart >= blend_m)
        return least;
    double h = 1.0 - apart / blend_m;
    return least - blend_m * h * h / 4.0;
}

double owl_form_distance_m(const struct owl_form *form, const struct owl_point *at)
{
    double least_m = INFINITY;
    for (int i = 0; i < form->limbs; i++) {
        const struct owl_form_limb *limb = &form->limb[i];
        if (beyond(at, &limb->middle, limb->reach_m, least_m + limb->blend_m))
            continue;
        for (int k = limb->first; k < limb->past; k++) {
            const struct owl_form_part *part = &form->part[k];
            if (!beyond(at, &part->middle, part->reach_m, least_m + part->blend_m))
                least_m = melted(least_m, part_distance_m(part, at), part->blend_m);
        }
    }
    return least_m;
}

enum owl_skin owl_form_skin_at(const struct owl_form *form, const struct owl_point *at)
{
    double least_m = INFINITY;
    enum owl_skin skin = OWL_SKIN_COAT;
    for (int i = 0; i < form->parts; i++) {
        double distance_m = part_distance_m(&form->part[i], at);
        if (distance_m < least_m) {
            least_m = distance_m;
            skin = form->part[i].skin;
        }
    }
    return skin;
}
