/* The light on a spot. Private to core/desk. */
#ifndef OWL_CORE_DESK_LIGHT_H
#define OWL_CORE_DESK_LIGHT_H

#include "core/desk/trace.h"

/* Exposure (lx s) of a spot by a lamp at full power. Its lit surface is asked at rays * rays places for what stands in the
   way; `number` scatters them. */
double owl_light_lamp_lxs(const struct owl_desk_scene *scene, const struct owl_desk_lamp *lamp, const struct owl_spot *spot,
                          int rays, uint32_t number);

/* Share of light from all around that reaches a spot past what stands near. 0..1. Estimate. */
double owl_light_open_share(const struct owl_desk_scene *scene, const struct owl_spot *spot);

/* What a wet spot mirrors of the lamp towards the eye that looks along `sight`, as reflectance times exposure. */
double owl_light_glint_lxs(const struct owl_desk_lamp *lamp, const struct owl_spot *spot, const struct owl_point *sight);

#endif
