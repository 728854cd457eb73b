/* Showing values as a person would write them. */
#include <math.h>

#include "core/calendar.h"
#include "core/constants.h"
#include "core/plan/units.h"

#define SHOWN_DIGITS 3

static void show_with(struct owl_text *text, double value, const char *unit)
{
    owl_text_rounded(text, value, SHOWN_DIGITS);
    owl_text_char(text, ' ');
    owl_text_words(text, unit);
}

static void show_length(struct owl_text *text, double value_m)
{
    double size = fabs(value_m);
    if (isinf(value_m))
        owl_text_words(text, "infinity");
    else if (size >= 1000.0)
        show_with(text, value_m / 1000.0, "km");
    else if (size >= 1.0 || size == 0.0)
        show_with(text, value_m, "m");
    else if (size >= 0.1)
        show_with(text, value_m * 100.0, "cm");
    else if (size >= 0.001)
        show_with(text, value_m * 1000.0, "mm");
    else
        show_with(text, value_m * 1e6, "um");
}

static void show_time(struct owl_text *text, double value_s)
{
    double size = fabs(value_s);
    if (size >= 2 * OWL_SECONDS_PER_DAY)
        show_with(text, value_s / OWL_SECONDS_PER_DAY, "d");
    else if (size >= OWL_SECONDS_PER_HOUR)
        show_with(text, value_s / OWL_SECONDS_PER_HOUR, "h");
    else if (size >= 120.0)
        show_with(text, value_s / 60.0, "min");
    else if (size >= 0.5 || size == 0.0)
        show_with(text, value_s, "s");
    else if (size >= 1e-3)
        show_with(text, value_s * 1e3, "ms");
    else
        show_with(text, value_s * 1e6, "us");
}

/* A shutter time or a flash power: a whole reciprocal where it is one, as the dials say it. */
static bool show_reciprocal(struct owl_text *text, double value)
{
    double inverse = value > 0.0 && value < 1.0 ? 1.0 / value : 0.5;
    double whole = floor(inverse + 0.5);
    if (value > 0.3 && fabs(inverse - whole) > 0.01)
        return false;
    if (value >= 1.0 || value <= 0.0)
        return false;
    owl_text_words(text, "1/");
    owl_text_rounded(text, whole, SHOWN_DIGITS);
    return true;
}

static void show_clock(struct owl_text *text, double second_of_day)
{
    int minutes = (int)floor(second_of_day / 60.0 + 0.5) % (24 * 60);
    int hour = minutes / 60, minute = minutes % 60;
    if (hour < 10)
        owl_text_char(text, '0');
    owl_text_integer(text, hour);
    owl_text_words(text, minute < 10 ? ":0" : ":");
    owl_text_integer(text, minute);
}

static void show_date(struct owl_text *text, double days)
{
    struct owl_date date = owl_calendar_date((int64_t)days);
    owl_text_integer(text, date.year);
    owl_text_words(text, date.month < 10 ? "-0" : "-");
    owl_text_integer(text, date.month);
    owl_text_words(text, date.day < 10 ? "-0" : "-");
    owl_text_integer(text, date.day);
}

static void show_compass(struct owl_text *text, double value_rad, const char *plus, const char *minus)
{
    owl_text_rounded(text, fabs(value_rad) * OWL_DEG_PER_RAD, 6);
    owl_text_words(text, value_rad < 0.0 ? minus : plus);
}

static void show_scaled(struct owl_text *text, double value, const char *small, const char *plain)
{
    if (fabs(value) < 1.0 && value != 0.0)
        show_with(text, value * 1000.0, small);
    else
        show_with(text, value, plain);
}

static void show_power(struct owl_text *text, double value)
{
    if (value == 1.0)
        owl_text_words(text, "full");
    else if (!show_reciprocal(text, value))
        owl_text_rounded(text, value, SHOWN_DIGITS);
}

static void show_shutter(struct owl_text *text, double value_s)
{
    if (isinf(value_s)) {
        owl_text_words(text, "bulb");
    } else {
        if (!show_reciprocal(text, value_s))
            owl_text_rounded(text, value_s, SHOWN_DIGITS);
        owl_text_words(text, " s");
    }
}

static void show_nights(struct owl_text *text, double value)
{
    if (isinf(value))
        owl_text_words(text, "no end");
    else
        show_with(text, floor(value * 10.0) / 10.0, "nights");
}

/* Finer than this no exposure is set or judged. */
static double hundredths(double value)
{
    return floor(value * 100.0 + 0.5) / 100.0;
}

static void show_percent(struct owl_text *text, double value)
{
    double percent = value * 100.0, tenths = percent * 10.0;
    bool given_so = fabs(tenths - floor(tenths + 0.5)) < 1e-9; /* 12.5 % was written, not computed */
    if (percent < 10.0 || given_so)
        owl_text_rounded(text, percent, given_so ? SHOWN_DIGITS : 2);
    else
        owl_text_fixed(text, percent, 0);
    owl_text_words(text, " %");
}

void owl_unit_show(enum owl_unit unit, double value, struct owl_text *text)
{
    if (isnan(value)) {
        owl_text_words(text, "not given");
        return;
    }
    switch (unit) {
    case OWL_UNIT_COUNT: owl_text_fixed(text, value, 0); break;
    case OWL_UNIT_DATE: show_date(text, value); break;
    case OWL_UNIT_CLOCK: show_clock(text, value); break;
    case OWL_UNIT_LENGTH: show_length(text, value); break;
    case OWL_UNIT_FOCAL: show_with(text, value * 1000.0, "mm"); break;
    case OWL_UNIT_TIME: show_time(text, value); break;
    case OWL_UNIT_SHUTTER: show_shutter(text, value); break;
    case OWL_UNIT_MASS: show_scaled(text, value, "g", "kg"); break;
    case OWL_UNIT_ANGLE: show_with(text, value * OWL_DEG_PER_RAD, "deg"); break;
    case OWL_UNIT_LATITUDE: show_compass(text, value, " N", " S"); break;
    case OWL_UNIT_LONGITUDE: show_compass(text, value, " E", " W"); break;
    case OWL_UNIT_TEMPERATURE: show_with(text, value - OWL_ZERO_CELSIUS_K, "C"); break;
    case OWL_UNIT_WARMTH: show_with(text, value, "K"); break;
    case OWL_UNIT_PERCENT: show_percent(text, value); break;
    case OWL_UNIT_DENSITY: show_with(text, value * 1e6, "per km2"); break;
    case OWL_UNIT_CURRENT: show_scaled(text, value, "mA", "A"); break;
    case OWL_UNIT_CHARGE: show_scaled(text, value, "mAh", "Ah"); break;
    case OWL_UNIT_ENERGY: show_with(text, value >= 1000.0 ? value / 1000.0 : value, value >= 1000.0 ? "kJ" : "J"); break;
    case OWL_UNIT_VOLUME: show_with(text, value * 1000.0, "L"); break;
    case OWL_UNIT_STOPS: show_with(text, hundredths(value), fabs(value) == 1.0 ? "stop" : "stops"); break;
    case OWL_UNIT_FNUMBER:
        owl_text_words(text, "f/");
        owl_text_rounded(text, value, value < 10.0 ? 2 : SHOWN_DIGITS - 1);
        break;
    case OWL_UNIT_POWER: show_power(text, value); break;
    case OWL_UNIT_BYTES: show_with(text, value >= 1e9 ? value / 1e9 : value / 1e6, value >= 1e9 ? "GB" : "MB"); break;
    case OWL_UNIT_NIGHTS: show_nights(text, value); break;
    case OWL_UNIT_RATIO: owl_text_rounded(text, value, SHOWN_DIGITS); break;
    case OWL_UNIT_MOMENT:
        show_date(text, floor(value / OWL_SECONDS_PER_DAY));
        owl_text_char(text, ' ');
        show_clock(text, value - floor(value / OWL_SECONDS_PER_DAY) * OWL_SECONDS_PER_DAY);
        break;
    default:
        owl_text_rounded(text, value, SHOWN_DIGITS);
        if (*owl_unit_usual(unit)) {
            owl_text_char(text, ' ');
            owl_text_words(text, owl_unit_usual(unit));
        }
    }
}

static void show_part(struct owl_text *text, double value_m, const char *plus, const char *minus)
{
    if (value_m == 0.0)
        return;
    if (text->length > 0 && text->buffer[text->length - 1] != '(')
        owl_text_words(text, ", ");
    show_length(text, fabs(value_m));
    owl_text_char(text, ' ');
    owl_text_words(text, value_m > 0.0 ? plus : minus);
}

void owl_unit_show_point(const struct owl_point *point, struct owl_text *text)
{
    char parts[128];
    struct owl_text inner = owl_text_over(parts, sizeof parts);
    show_part(&inner, point->x_m, "right", "left");
    show_part(&inner, point->y_m, "behind", "before");
    show_part(&inner, point->z_m, "up", "down");
    owl_text_words(text, inner.length ? parts : "mark");
}
