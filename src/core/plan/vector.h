/* Arithmetic of vectors in the axes of the stage, in the header because pictures ask for it millions of times. */
#ifndef OWL_CORE_PLAN_VECTOR_H
#define OWL_CORE_PLAN_VECTOR_H

#include <math.h>

#include "core/plan/units.h"

static inline double owl_vector_dot(const struct owl_point *a, const struct owl_point *b)
{
    return a->x_m * b->x_m + a->y_m * b->y_m + a->z_m * b->z_m;
}

static inline struct owl_point owl_vector_cross(const struct owl_point *a, const struct owl_point *b)
{
    return (struct owl_point){a->y_m * b->z_m - a->z_m * b->y_m, a->z_m * b->x_m - a->x_m * b->z_m,
                              a->x_m * b->y_m - a->y_m * b->x_m};
}

static inline struct owl_point owl_vector_scaled(const struct owl_point *a, double factor)
{
    return (struct owl_point){a->x_m * factor, a->y_m * factor, a->z_m * factor};
}

static inline struct owl_point owl_vector_from_to(const struct owl_point *from, const struct owl_point *to)
{
    return (struct owl_point){to->x_m - from->x_m, to->y_m - from->y_m, to->z_m - from->z_m};
}

/* `from` and so far along a direction. */
static inline struct owl_point owl_vector_along(const struct owl_point *from, const struct owl_point *direction, double far)
{
    return (struct owl_point){from->x_m + far * direction->x_m, from->y_m + far * direction->y_m,
                              from->z_m + far * direction->z_m};
}

static inline double owl_vector_length(const struct owl_point *a)
{
    return sqrt(owl_vector_dot(a, a));
}

/* The same direction with length 1; of a vector without length, NaN. */
static inline struct owl_point owl_vector_unit(const struct owl_point *a)
{
    return owl_vector_scaled(a, 1.0 / owl_vector_length(a));
}

#endif
