/* The bodies of the animals a plan may name: size, pace, eyes, build and coat, when they are about.
   A table of typical values, all `estimate`: the user's own measures go before them. */
#ifndef OWL_CORE_MODEL_ANIMAL_H
#define OWL_CORE_MODEL_ANIMAL_H

#include <stddef.h>

/* When an animal is about; diel.h gives the density of each. */
enum owl_animal_pattern { OWL_ACTIVE_NIGHT, OWL_ACTIVE_DAY, OWL_ACTIVE_TWILIGHT, OWL_ACTIVE_ALWAYS };

/* Groups that spend energy alike; bait.h has an equation for each. */
enum owl_animal_class { OWL_CLASS_HUNTER, OWL_CLASS_GRAZER, OWL_CLASS_MAMMAL, OWL_CLASS_BIRD };

/* Kinds built alike; the desk has a form for each. */
enum owl_animal_build {
    OWL_BUILD_CLIMBER,
    OWL_BUILD_SQUIRREL,
    OWL_BUILD_CAT,
    OWL_BUILD_FOX,
    OWL_BUILD_DOG,
    OWL_BUILD_DEER,
    OWL_BUILD_BOAR,
    OWL_BUILD_BADGER,
    OWL_BUILD_BEAR,
    OWL_BUILD_HARE,
    OWL_BUILD_MOUSE,
    OWL_BUILD_HEDGEHOG,
    OWL_BUILD_PERCHING,
    OWL_BUILD_FOWL,
    OWL_BUILD_WADER,
    OWL_BUILD_OWL,
    OWL_BUILDS
};

struct owl_animal {
    const char *name;
    double mass_kg;
    double length_m;   /* nose to rump */
    double height_m;   /* to the top of the head, standing, for framing: 1.1 to 1.4 times the shoulder by how
                          the kind carries its head, birds up to 1.6 times */
    double shoulder_m; /* top of the back above the legs, standing */
    double width_m;    /* across the body: a quarter to a third of its length, round bodies up to 0.6 */
    double walk_m_s;   /* on an undisturbed pass; the owl's is its glide */
    double run_m_s;    /* short flight burst */
    double pupil_m;    /* opened in the dark */
    double coat_reflectance;
    double coat_hue[3]; /* red, green and blue thrown back, against each other: only their ratio counts */
    enum owl_animal_build build;
    enum owl_animal_pattern pattern;
    enum owl_animal_class class;
};

size_t owl_animal_count(void);

/* index < owl_animal_count(); never NULL. */
const struct owl_animal *owl_animal_at(size_t index);

/* By its name, capitals ignored; NULL when there is none. */
const struct owl_animal *owl_animal_find(const char *name);

#endif
