/* The table of animals. Masses, lengths, shoulders and paces: models of handbook size, from memory,
   within a quarter; pupils, coats and their hues: estimates. */
#include "core/model/animal.h"

#include "core/text.h"

/* Coats, the darkest hue of each at 1. */
#define RUST {3.4, 1.7, 1}
#define CHESTNUT {2.5, 1.6, 1}
#define BROWN {2.0, 1.4, 1}
#define FAWN {1.9, 1.5, 1}
#define DUN {1.5, 1.25, 1}
#define GREY {1.06, 1.03, 1}
#define SLATE {1, 1.06, 1.16}

#define ANIMAL(name, kg, length, height, shoulder, width, walk, run, pupil_mm, coat, hue, build, when, group)     \
    {name, kg, length, height, shoulder, width, walk, run, (pupil_mm) * 1e-3, coat, hue, OWL_BUILD_##build, \
     OWL_ACTIVE_##when, OWL_CLASS_##group}

static const struct owl_animal animals[] = {
    ANIMAL("wood mouse", 0.02, 0.09, 0.04, 0.03, 0.03, 0.3, 2.5, 3, 0.20, FAWN, MOUSE, NIGHT, MAMMAL),
    ANIMAL("red squirrel", 0.30, 0.22, 0.12, 0.09, 0.06, 0.7, 5, 4, 0.20, RUST, SQUIRREL, DAY, MAMMAL),
    ANIMAL("hedgehog", 0.8, 0.25, 0.13, 0.10, 0.15, 0.25, 1.8, 3, 0.18, DUN, HEDGEHOG, NIGHT, MAMMAL),
    ANIMAL("pine marten", 1.4, 0.48, 0.24, 0.18, 0.12, 1.0, 7, 8, 0.12, CHESTNUT, CLIMBER, NIGHT, HUNTER),
    ANIMAL("brown hare", 3.8, 0.60, 0.42, 0.30, 0.15, 0.6, 17, 10, 0.25, FAWN, HARE, NIGHT, GRAZER),
    ANIMAL("red fox", 6, 0.70, 0.49, 0.38, 0.18, 1.3, 13, 10, 0.22, RUST, FOX, NIGHT, HUNTER),
    ANIMAL("badger", 11, 0.75, 0.36, 0.30, 0.28, 1.0, 7, 7, 0.20, GREY, BADGER, NIGHT, HUNTER),
    ANIMAL("lynx", 20, 1.00, 0.80, 0.65, 0.25, 1.1, 17, 13, 0.28, FAWN, CAT, TWILIGHT, HUNTER),
    ANIMAL("roe deer", 24, 1.15, 0.95, 0.68, 0.29, 0.9, 16, 14, 0.25, CHESTNUT, DEER, TWILIGHT, GRAZER),
    ANIMAL("wolf", 38, 1.25, 0.95, 0.75, 0.30, 1.5, 16, 12, 0.22, DUN, DOG, NIGHT, HUNTER),
    ANIMAL("wild boar", 80, 1.40, 0.90, 0.80, 0.40, 1.1, 11, 9, 0.10, DUN, BOAR, NIGHT, MAMMAL),
    ANIMAL("red deer", 150, 2.00, 1.70, 1.20, 0.50, 1.2, 18, 16, 0.22, CHESTNUT, DEER, TWILIGHT, GRAZER),
    ANIMAL("brown bear", 150, 1.80, 1.20, 1.00, 0.60, 1.3, 13, 10, 0.12, BROWN, BEAR, TWILIGHT, MAMMAL),
    ANIMAL("moose", 380, 2.60, 2.30, 1.90, 0.65, 1.4, 15, 17, 0.12, BROWN, DEER, TWILIGHT, GRAZER),
    ANIMAL("pheasant", 1.2, 0.45, 0.45, 0.28, 0.18, 0.7, 4, 4, 0.20, CHESTNUT, FOWL, DAY, BIRD),
    ANIMAL("owl", 0.45, 0.38, 0.38, 0.30, 0.20, 6.5, 8, 12, 0.25, DUN, OWL, NIGHT, BIRD),
    ANIMAL("dipper", 0.06, 0.18, 0.11, 0.08, 0.08, 0.4, 11, 3, 0.15, BROWN, PERCHING, DAY, BIRD),
    ANIMAL("heron", 1.5, 0.65, 0.90, 0.55, 0.17, 0.4, 10, 5, 0.30, SLATE, WADER, DAY, BIRD),
};

size_t owl_animal_count(void)
{
    return sizeof animals / sizeof *animals;
}

const struct owl_animal *owl_animal_at(size_t index)
{
    return &animals[index];
}

const struct owl_animal *owl_animal_find(const char *name)
{
    for (size_t i = 0; i < owl_animal_count(); i++)
        if (owl_text_same_name(animals[i].name, name))
            return &animals[i];
    return NULL;
}
