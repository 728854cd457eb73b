/* The table of animals. Masses, lengths, shoulders and paces: models of handbook size, from memory,
   within a quarter; pupils and coats: estimates. */
#include "core/model/animal.h"

#include "core/text.h"

#define ANIMAL(name, kg, length, height, shoulder, width, walk, run, pupil_mm, coat, when, group) \
    {name, kg, length, height, shoulder, width, walk, run, (pupil_mm) * 1e-3, coat, OWL_ACTIVE_##when, OWL_CLASS_##group}

static const struct owl_animal animals[] = {
    ANIMAL("wood mouse", 0.02, 0.09, 0.04, 0.03, 0.03, 0.3, 2.5, 3, 0.20, NIGHT, MAMMAL),
    ANIMAL("red squirrel", 0.30, 0.22, 0.12, 0.09, 0.06, 0.7, 5, 4, 0.20, DAY, MAMMAL),
    ANIMAL("hedgehog", 0.8, 0.25, 0.13, 0.10, 0.15, 0.25, 1.8, 3, 0.18, NIGHT, MAMMAL),
    ANIMAL("pine marten", 1.4, 0.48, 0.24, 0.18, 0.12, 1.0, 7, 8, 0.12, NIGHT, HUNTER),
    ANIMAL("brown hare", 3.8, 0.60, 0.42, 0.30, 0.15, 0.6, 17, 10, 0.25, NIGHT, GRAZER),
    ANIMAL("red fox", 6, 0.70, 0.49, 0.38, 0.18, 1.3, 13, 10, 0.22, NIGHT, HUNTER),
    ANIMAL("badger", 11, 0.75, 0.36, 0.30, 0.28, 1.0, 7, 7, 0.20, NIGHT, HUNTER),
    ANIMAL("lynx", 20, 1.00, 0.80, 0.65, 0.25, 1.1, 17, 13, 0.28, TWILIGHT, HUNTER),
    ANIMAL("roe deer", 24, 1.15, 0.95, 0.68, 0.29, 0.9, 16, 14, 0.25, TWILIGHT, GRAZER),
    ANIMAL("wolf", 38, 1.25, 0.95, 0.75, 0.30, 1.5, 16, 12, 0.22, NIGHT, HUNTER),
    ANIMAL("wild boar", 80, 1.40, 0.90, 0.80, 0.40, 1.1, 11, 9, 0.10, NIGHT, MAMMAL),
    ANIMAL("red deer", 150, 2.00, 1.70, 1.20, 0.50, 1.2, 18, 16, 0.22, TWILIGHT, GRAZER),
    ANIMAL("brown bear", 150, 1.80, 1.20, 1.00, 0.60, 1.3, 13, 10, 0.12, TWILIGHT, MAMMAL),
    ANIMAL("moose", 380, 2.60, 2.30, 1.90, 0.65, 1.4, 15, 17, 0.12, TWILIGHT, GRAZER),
    ANIMAL("pheasant", 1.2, 0.45, 0.45, 0.28, 0.18, 0.7, 4, 4, 0.20, DAY, BIRD),
    ANIMAL("owl", 0.45, 0.38, 0.38, 0.30, 0.20, 6.5, 8, 12, 0.25, NIGHT, BIRD),
    ANIMAL("dipper", 0.06, 0.18, 0.11, 0.08, 0.08, 0.4, 11, 3, 0.15, DAY, BIRD),
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
