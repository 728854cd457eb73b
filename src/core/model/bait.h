/* Bait against what the animal needs in a day. Check local law and disease rules first. */
#ifndef OWL_CORE_MODEL_BAIT_H
#define OWL_CORE_MODEL_BAIT_H

#include <stdbool.h>
#include <stddef.h>

#include "core/model/animal.h"

#define OWL_BAIT_SHARE_LIMIT 0.10 /* of one animal's day; common practice [bait-limit] */

struct owl_bait_food {
    const char *name;
    double energy_j_kg; /* that a body gets from it fresh; human factors, from memory, within 20 % */
    bool starchy;       /* never in bulk to animals that chew the cud */
};

size_t owl_bait_count(void);
const struct owl_bait_food *owl_bait_at(size_t index);
/* By its name, capitals ignored; NULL when there is none. */
const struct owl_bait_food *owl_bait_find(const char *name);

/* Energy a free-living animal spends in a day, J: a power of its mass for its group: hunters
   4.21 M^0.772, grazers 7.94 M^0.646, other mammals 4.82 M^0.734, birds 10.5 M^0.681 (kJ, M in g).
   95 % of species lie within a factor of 2.5. NaN unless mass > 0. Published [nagy1999]. */
double owl_bait_daily_energy_j(enum owl_animal_class class, double mass_kg);

/* Share of a day's energy that so much food gives, 0 and up. NaN unless food and mass are >= 0 and daily
   energy > 0. */
double owl_bait_share(double food_j_kg, double mass_per_night_kg, double daily_energy_j);

/* Most food that stays within OWL_BAIT_SHARE_LIMIT, kg. NaN unless the food has energy
   and daily energy >= 0. */
double owl_bait_limit_kg(double food_j_kg, double daily_energy_j);

#endif
