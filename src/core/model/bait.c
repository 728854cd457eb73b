/* Foods, and the energy laws by group of animal. */
#include "core/model/bait.h"

#include <math.h>

#include "core/text.h"

static const struct owl_bait_food foods[] = {
    {"potato", 3.220e6, true},  {"apple", 2.180e6, false},  {"carrot", 1.730e6, false},
    {"maize", 15.270e6, true},  {"peanut", 23.740e6, false}, {"sunflower", 24.450e6, false},
    {"seed mix", 20.0e6, true}, {"egg", 5.980e6, false},    {"fish", 5.0e6, false},
    {"meat", 6.0e6, false},
};

size_t owl_bait_count(void)
{
    return sizeof foods / sizeof *foods;
}

const struct owl_bait_food *owl_bait_at(size_t index)
{
    return &foods[index];
}

const struct owl_bait_food *owl_bait_find(const char *name)
{
    for (size_t i = 0; i < owl_bait_count(); i++)
        if (owl_text_same_name(foods[i].name, name))
            return &foods[i];
    return NULL;
}

double owl_bait_daily_energy_j(enum owl_animal_class class, double mass_kg)
{
    static const double law[][2] = {[OWL_CLASS_HUNTER] = {4.21, 0.772},
                                    [OWL_CLASS_GRAZER] = {7.94, 0.646},
                                    [OWL_CLASS_MAMMAL] = {4.82, 0.734},
                                    [OWL_CLASS_BIRD] = {10.5, 0.681}};
    double mass_g = mass_kg * 1000.0;
    return mass_kg > 0.0 ? 1000.0 * law[class][0] * pow(mass_g, law[class][1]) : NAN;
}

double owl_bait_share(double food_j_kg, double mass_per_night_kg, double daily_energy_j)
{
    bool stated = food_j_kg >= 0.0 && mass_per_night_kg >= 0.0 && daily_energy_j > 0.0;
    return stated ? food_j_kg * mass_per_night_kg / daily_energy_j : NAN;
}

double owl_bait_limit_kg(double food_j_kg, double daily_energy_j)
{
    return food_j_kg > 0.0 && daily_energy_j >= 0.0 ? OWL_BAIT_SHARE_LIMIT * daily_energy_j / food_j_kg : NAN;
}
