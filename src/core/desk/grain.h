/* Grain: how bark, leaf litter and coats vary from spot to spot. A fixed pattern in space for each seed, mean 0. */
#ifndef OWL_CORE_DESK_GRAIN_H
#define OWL_CORE_DESK_GRAIN_H

#include <stdint.h>

/* A whole number spread over 0..1, below 1. */
double owl_grain_share(uint32_t seed, uint32_t number);

/* Smooth noise over space, -1..1, one cell to a unit of x, y, z. */
double owl_grain_at(uint32_t seed, double x, double y, double z);

/* Grain of three sizes, the coarsest `cell_m`, each a third of the one before; sizes that a spot of spot_m across cannot
   show are left out. About -1..1. */
double owl_grain_rough(uint32_t seed, const double at_m[3], double cell_m, double spot_m);

#endif
