/* Human notation: how a value of each kind is written in a plan, read into SI, and shown again.
   Everything here is pure text work over the caller's buffers. */
#ifndef OWL_CORE_PLAN_UNITS_H
#define OWL_CORE_PLAN_UNITS_H

#include <stdbool.h>
#include <stddef.h>

#include "core/text.h"

enum owl_unit {
    OWL_UNIT_TEXT,        /* words                          char[OWL_WORDS_BYTES] */
    OWL_UNIT_CHOICE,      /* one of a list                  int, the place in the list */
    OWL_UNIT_COUNT,       /* 42                             double, a whole number */
    OWL_UNIT_NUMBER,      /* 0.35, 400                      double */
    OWL_UNIT_DATE,        /* 2027-01-09                     double, days since 1970-01-01 */
    OWL_UNIT_CLOCK,       /* 21:30                          double, s after midnight */
    OWL_UNIT_LENGTH,      /* 2.5 m, 80 cm, 50 mm            double, m */
    OWL_UNIT_FOCAL,       /* 200 mm: a length shown in mm   double, m */
    OWL_UNIT_POINT,       /* 1 m left, 2 m before, 30 cm up struct owl_point, m */
    OWL_UNIT_MASS,        /* 1.4 kg, 50 g                   double, kg */
    OWL_UNIT_TIME,        /* 1/4 s, 80 ms, 5 min            double, s */
    OWL_UNIT_SHUTTER,     /* 1/160 s, bulb                  double, s; infinite for bulb */
    OWL_UNIT_SPEED,       /* 1.2 m/s, 4 km/h                double, m/s */
    OWL_UNIT_ANGLE,       /* 40 deg                         double, rad */
    OWL_UNIT_LATITUDE,    /* 57.05 N                        double, rad, north + */
    OWL_UNIT_LONGITUDE,   /* 4.5 W                          double, rad, east + */
    OWL_UNIT_TEMPERATURE, /* -6 C                           double, K */
    OWL_UNIT_WARMTH,      /* a difference: 4 K              double, K */
    OWL_UNIT_PERCENT,     /* 85 %                           double, share of 1 */
    OWL_UNIT_VOLTAGE,     /* 5 V                            double, V */
    OWL_UNIT_CURRENT,     /* 0.4 mA                         double, A */
    OWL_UNIT_CHARGE,      /* 2000 mAh                       double, Ah */
    OWL_UNIT_ENERGY,      /* 75 J                           double, J */
    OWL_UNIT_VOLUME,      /* 6 L                            double, m3 */
    OWL_UNIT_STOPS,       /* 1.5 stops                      double, powers of two */
    OWL_UNIT_FNUMBER,     /* f/8                            double */
    OWL_UNIT_POWER,       /* 1/16, full                     double, share of 1 */
    OWL_UNIT_LIGHT,       /* 10 lx                          double, lx */
    OWL_UNIT_EXPOSURE,    /* 160 lx s                       double, lx s */
    OWL_UNIT_RATE,        /* 0.4 per night                  double, 1/night */
    OWL_UNIT_DENSITY,     /* 0.5 per km2                    double, 1/m2 */
    OWL_UNIT_BYTES,       /* 64 GB                          double, bytes */
    OWL_UNIT_NIGHTS,      /* 42 nights (shown, not read)    double */
    OWL_UNIT_PIXELS,      /* 2 px                           double */
    OWL_UNIT_RATIO,       /* 2.4 times (shown, not read)    double */
    OWL_UNIT_MOMENT,      /* 2027-01-09 17:42 (shown)       double, unix s */
    OWL_UNIT_PHYSICAL,    /* any other, shown with its own unit text */
    OWL_UNITS
};

#define OWL_WORDS_BYTES 64

struct owl_point {
    double x_m, y_m, z_m; /* right as the camera sees it, away from the camera, up */
};

/* What went wrong in reading a value; the reader of the plan puts it into a sentence. */
enum owl_misread {
    OWL_READ_WELL,
    OWL_READ_NO_NUMBER,    /* no number where one should be */
    OWL_READ_NO_UNIT,      /* a bare number where a unit is needed */
    OWL_READ_WRONG_UNIT,   /* a unit of another kind */
    OWL_READ_LEFT_OVER,    /* more text after a complete value */
    OWL_READ_NOT_WHOLE,    /* a fraction where a whole number is needed */
    OWL_READ_NO_SUCH_DATE, /* 2027-02-30 */
    OWL_READ_NO_SUCH_WORD  /* a word where only certain words may stand */
};

/* Reads words[0..length) as a value of the kind; never for TEXT, CHOICE, POINT or shown-only kinds.
   The value is finite except `bulb`. On failure the value is untouched and *at is the offset of the
   first character that could not be used. */
enum owl_misread owl_unit_read(enum owl_unit unit, const char *words, size_t length, double *value,
                               size_t *at);

/* Reads a place such as `1.2 m left, 2 m before, 80 cm up`; parts left out are 0, `mark` is the
   origin. */
enum owl_misread owl_unit_read_point(const char *words, size_t length, struct owl_point *point, size_t *at);

/* How a value of the kind is written, for messages: `a length such as 2.5 m or 80 cm`. */
const char *owl_unit_example(enum owl_unit unit);

/* One unit that would make a bare number right: `m`; "" when none is needed. */
const char *owl_unit_usual(enum owl_unit unit);

/* The SI name for machines (JSON, manual): `m`, `s`, `1`. */
const char *owl_unit_si(enum owl_unit unit);

/* The value as a person would write it: 2.5 m, 1/160 s, f/8, 1/16, 21:30. Three significant digits
   unless the kind has its own custom. */
void owl_unit_show(enum owl_unit unit, double value, struct owl_text *text);

void owl_unit_show_point(const struct owl_point *point, struct owl_text *text);

#endif
