/* How each kind of value is written, named and counted. */
#include "core/plan/units.h"

struct manner {
    const char *example, *usual, *si;
};

static const struct manner manners[OWL_UNITS] = {
    [OWL_UNIT_TEXT] = {"words", "", ""},
    [OWL_UNIT_CHOICE] = {"one of the words allowed", "", ""},
    [OWL_UNIT_COUNT] = {"a whole number such as 3", "", "1"},
    [OWL_UNIT_NUMBER] = {"a number such as 400", "", "1"},
    [OWL_UNIT_DATE] = {"a date such as 2027-01-09", "", "d"},
    [OWL_UNIT_CLOCK] = {"a time of day such as 21:30", "", "s"},
    [OWL_UNIT_LENGTH] = {"a length such as 2.5 m, 80 cm or 50 mm", "m", "m"},
    [OWL_UNIT_FOCAL] = {"a focal length such as 50 mm", "mm", "m"},
    [OWL_UNIT_POINT] = {"a place such as 1.2 m left, 2 m before, 80 cm up", "m", "m"},
    [OWL_UNIT_MASS] = {"a mass such as 1.4 kg or 50 g", "kg", "kg"},
    [OWL_UNIT_TIME] = {"a time such as 1/4 s, 80 ms or 5 min", "s", "s"},
    [OWL_UNIT_SHUTTER] = {"a shutter time such as 1/160 s, or bulb", "s", "s"},
    [OWL_UNIT_SPEED] = {"a speed such as 1.2 m/s or 4 km/h", "m/s", "m/s"},
    [OWL_UNIT_ANGLE] = {"an angle such as 40 deg", "deg", "rad"},
    [OWL_UNIT_LATITUDE] = {"a latitude such as 57.05 N", "N", "rad"},
    [OWL_UNIT_LONGITUDE] = {"a longitude such as 4.5 W", "E", "rad"},
    [OWL_UNIT_TEMPERATURE] = {"a temperature such as -6 C", "C", "K"},
    [OWL_UNIT_WARMTH] = {"a temperature difference such as 4 K", "K", "K"},
    [OWL_UNIT_PERCENT] = {"a percentage such as 85 %", "%", "1"},
    [OWL_UNIT_VOLTAGE] = {"a voltage such as 5 V", "V", "V"},
    [OWL_UNIT_CURRENT] = {"a current such as 0.4 mA", "mA", "A"},
    [OWL_UNIT_CHARGE] = {"a capacity such as 2000 mAh or 2 Ah", "mAh", "Ah"},
    [OWL_UNIT_ENERGY] = {"an energy such as 75 J", "J", "J"},
    [OWL_UNIT_VOLUME] = {"a volume such as 6 L", "L", "m3"},
    [OWL_UNIT_STOPS] = {"stops, such as 1.5 stops", "stops", "stop"},
    [OWL_UNIT_FNUMBER] = {"an aperture such as f/8", "", "1"},
    [OWL_UNIT_POWER] = {"a flash power such as 1/16 or full", "", "1"},
    [OWL_UNIT_LIGHT] = {"a light level such as 10 lx", "lx", "lx"},
    [OWL_UNIT_EXPOSURE] = {"a light dose such as 160 lx s", "lx s", "lx s"},
    [OWL_UNIT_RATE] = {"a rate such as 0.4 per night", "per night", "1/night"},
    [OWL_UNIT_DENSITY] = {"a density such as 0.5 per km2", "per km2", "1/m2"},
    [OWL_UNIT_BYTES] = {"a size such as 64 GB or 25 MB", "GB", "byte"},
    [OWL_UNIT_NIGHTS] = {"nights", "", "night"},
    [OWL_UNIT_PIXELS] = {"pixels, such as 2 px", "px", "px"},
    [OWL_UNIT_RATIO] = {"a ratio", "", "1"},
    [OWL_UNIT_MOMENT] = {"a moment", "", "s since 1970-01-01 UTC"},
    [OWL_UNIT_PHYSICAL] = {"a physical value", "", ""},
};

const char *owl_unit_example(enum owl_unit unit)
{
    return manners[unit].example;
}

const char *owl_unit_usual(enum owl_unit unit)
{
    return manners[unit].usual;
}

const char *owl_unit_si(enum owl_unit unit)
{
    return manners[unit].si;
}
