/* What a ray meets. Private to core/desk. */
#ifndef OWL_CORE_DESK_TRACE_H
#define OWL_CORE_DESK_TRACE_H

#include "core/desk/desk.h"

struct owl_ray {
    struct owl_point from, direction; /* length 1 */
};

/* A spot of a surface, ready to be lit. */
struct owl_spot {
    struct owl_point place, normal;
    double reflectance[3];
    bool wet;  /* mirrors a lamp besides, as an eye does */
    bool solo; /* nothing hides ambient light from it */
};

/* Where the ray meets ground, log or backdrop. Distance along it; INFINITY when it meets nothing, and the spot is left as it
   was. */
double owl_trace_behind(const struct owl_desk_scene *scene, const struct owl_ray *ray, struct owl_spot *spot);

/* Where it meets the animal or the card. */
double owl_trace_body(const struct owl_desk_scene *scene, const struct owl_ray *ray, struct owl_spot *spot);

/* Whether a ray of light passes animal and log for far_m. clearance takes, when it is the least so far, how near the ray came to
   them in parts of the way done: a round source of a smaller angular radius is seen as a whole. */
bool owl_trace_free(const struct owl_desk_scene *scene, const struct owl_ray *ray, double far_m, double *clearance);

/* Distance to the nearest of animal, log and ground. */
double owl_trace_near_m(const struct owl_desk_scene *scene, const struct owl_point *at);

/* Whether animal or log stand so near to a straight way, or to a point, that they may matter. */
bool owl_trace_in_the_way(const struct owl_desk_scene *scene, const struct owl_point *from, const struct owl_point *to,
                          double width_m);

#endif
