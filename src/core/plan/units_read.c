/* Reading values in human notation: one table of unit words, and the kinds with a notation of their own. */
#include <math.h>
#include <string.h>

#include "core/calendar.h"
#include "core/constants.h"
#include "core/plan/units.h"

struct suffix {
    enum owl_unit unit;
    const char *word;
    double factor, shift; /* SI = number * factor + shift */
};

static const struct suffix suffixes[] = {
    {OWL_UNIT_LENGTH, "m", 1, 0},
    {OWL_UNIT_LENGTH, "cm", 1e-2, 0},
    {OWL_UNIT_LENGTH, "mm", 1e-3, 0},
    {OWL_UNIT_LENGTH, "um", 1e-6, 0},
    {OWL_UNIT_LENGTH, "\xC2\xB5m", 1e-6, 0},
    {OWL_UNIT_LENGTH, "km", 1e3, 0},
    {OWL_UNIT_LENGTH, "ft", OWL_METRES_PER_FOOT, 0},
    {OWL_UNIT_FOCAL, "mm", 1e-3, 0},
    {OWL_UNIT_FOCAL, "cm", 1e-2, 0},
    {OWL_UNIT_FOCAL, "m", 1, 0},
    {OWL_UNIT_MASS, "kg", 1, 0},
    {OWL_UNIT_MASS, "g", 1e-3, 0},
    {OWL_UNIT_TIME, "s", 1, 0},
    {OWL_UNIT_TIME, "ms", 1e-3, 0},
    {OWL_UNIT_TIME, "us", 1e-6, 0},
    {OWL_UNIT_TIME, "\xC2\xB5s", 1e-6, 0},
    {OWL_UNIT_TIME, "min", 60, 0},
    {OWL_UNIT_TIME, "h", OWL_SECONDS_PER_HOUR, 0},
    {OWL_UNIT_TIME, "d", OWL_SECONDS_PER_DAY, 0},
    {OWL_UNIT_SHUTTER, "s", 1, 0},
    {OWL_UNIT_SHUTTER, "ms", 1e-3, 0},
    {OWL_UNIT_SPEED, "m/s", 1, 0},
    {OWL_UNIT_SPEED, "cm/s", 1e-2, 0},
    {OWL_UNIT_SPEED, "km/h", 1.0 / 3.6, 0},
    {OWL_UNIT_ANGLE, "deg", OWL_RAD_PER_DEG, 0},
    {OWL_UNIT_ANGLE, "\xC2\xB0", OWL_RAD_PER_DEG, 0},
    {OWL_UNIT_LATITUDE, "N", OWL_RAD_PER_DEG, 0},
    {OWL_UNIT_LATITUDE, "S", -OWL_RAD_PER_DEG, 0},
    {OWL_UNIT_LONGITUDE, "E", OWL_RAD_PER_DEG, 0},
    {OWL_UNIT_LONGITUDE, "W", -OWL_RAD_PER_DEG, 0},
    {OWL_UNIT_TEMPERATURE, "C", 1, OWL_ZERO_CELSIUS_K},
    {OWL_UNIT_TEMPERATURE, "\xC2\xB0" "C", 1, OWL_ZERO_CELSIUS_K},
    {OWL_UNIT_TEMPERATURE, "K", 1, 0},
    {OWL_UNIT_WARMTH, "K", 1, 0},
    {OWL_UNIT_PERCENT, "%", 1e-2, 0},
    {OWL_UNIT_VOLTAGE, "V", 1, 0},
    {OWL_UNIT_CURRENT, "A", 1, 0},
    {OWL_UNIT_CURRENT, "mA", 1e-3, 0},
    {OWL_UNIT_CURRENT, "uA", 1e-6, 0},
    {OWL_UNIT_CHARGE, "Ah", 1, 0},
    {OWL_UNIT_CHARGE, "mAh", 1e-3, 0},
    {OWL_UNIT_ENERGY, "J", 1, 0},
    {OWL_UNIT_ENERGY, "kJ", 1e3, 0},
    {OWL_UNIT_ENERGY, "Wh", OWL_SECONDS_PER_HOUR, 0},
    {OWL_UNIT_ENERGY, "Ws", 1, 0},
    {OWL_UNIT_VOLUME, "L", 1e-3, 0},
    {OWL_UNIT_VOLUME, "l", 1e-3, 0},
    {OWL_UNIT_VOLUME, "ml", 1e-6, 0},
    {OWL_UNIT_STOPS, "stops", 1, 0},
    {OWL_UNIT_STOPS, "stop", 1, 0},
    {OWL_UNIT_LIGHT, "lx", 1, 0},
    {OWL_UNIT_EXPOSURE, "lx s", 1, 0},
    {OWL_UNIT_RATE, "per night", 1, 0},
    {OWL_UNIT_RATE, "a night", 1, 0},
    {OWL_UNIT_RATE, "per day", 1, 0},
    {OWL_UNIT_DENSITY, "per km2", 1e-6, 0},
    {OWL_UNIT_BYTES, "GB", 1e9, 0},
    {OWL_UNIT_BYTES, "MB", 1e6, 0},
    {OWL_UNIT_BYTES, "TB", 1e12, 0},
    {OWL_UNIT_PIXELS, "px", 1, 0},
};

/* The text still to be read. */
struct rest {
    const char *start, *here, *end;
};

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static void skip_blanks(struct rest *rest)
{
    while (rest->here < rest->end && (*rest->here == ' ' || *rest->here == '\t'))
        rest->here++;
}

static bool take(struct rest *rest, const char *word)
{
    size_t length = strlen(word);
    if ((size_t)(rest->end - rest->here) < length || memcmp(rest->here, word, length) != 0)
        return false;
    rest->here += length;
    return true;
}

static bool at_end(struct rest *rest)
{
    skip_blanks(rest);
    return rest->here == rest->end;
}

/* Digits with at most one point: at most 15 digits count, which no honest field value exceeds. */
static bool take_decimal(struct rest *rest, double *value)
{
    const char *from = rest->here;
    double number = 0.0, scale = 1.0;
    int digits = 0;
    bool point = false;
    for (; rest->here < rest->end; rest->here++) {
        char c = *rest->here;
        if (c == '.' && !point) {
            point = true;
        } else if (is_digit(c) && digits < 15) {
            number = number * 10.0 + (c - '0');
            scale *= point ? 10.0 : 1.0;
            digits++;
        } else {
            break;
        }
    }
    if (digits == 0) {
        rest->here = from;
        return false;
    }
    *value = number / scale;
    return true;
}

/* A signed decimal or a fraction such as 1/160. */
static bool take_number(struct rest *rest, double *value)
{
    const char *from = rest->here;
    bool negative = take(rest, "-") || take(rest, "\xE2\x88\x92");
    double number, divisor;
    if (!take_decimal(rest, &number)) {
        rest->here = from;
        return false;
    }
    const char *slash = rest->here;
    if (take(rest, "/")) {
        if (take_decimal(rest, &divisor) && divisor > 0.0)
            number /= divisor;
        else
            rest->here = slash;
    }
    *value = negative ? -number : number;
    return true;
}

/* The longest unit word that stands here and ends there, of the wanted kind or of any. */
static const struct suffix *take_suffix(struct rest *rest, int unit)
{
    const struct suffix *best = NULL;
    size_t best_length = 0;
    for (size_t i = 0; i < sizeof suffixes / sizeof *suffixes; i++) {
        struct rest ahead = *rest;
        size_t length = strlen(suffixes[i].word);
        bool fits = take(&ahead, suffixes[i].word) &&
                    (ahead.here == ahead.end || strchr(" \t,", *ahead.here) != NULL);
        if (fits && length > best_length && (unit < 0 || suffixes[i].unit == (enum owl_unit)unit)) {
            best = &suffixes[i];
            best_length = length;
        }
    }
    rest->here += best_length;
    return best;
}

static enum owl_misread read_with_unit(enum owl_unit unit, struct rest *rest, double *value)
{
    double number;
    if (!take_number(rest, &number))
        return OWL_READ_NO_NUMBER;
    skip_blanks(rest);
    const struct suffix *suffix = take_suffix(rest, (int)unit);
    if (!suffix) {
        struct rest ahead = *rest;
        if (rest->here == rest->end || *rest->here == ',')
            return OWL_READ_NO_UNIT;
        return take_suffix(&ahead, -1) ? OWL_READ_WRONG_UNIT : OWL_READ_LEFT_OVER;
    }
    *value = number * suffix->factor + suffix->shift;
    return OWL_READ_WELL;
}

static enum owl_misread read_bare(struct rest *rest, double *value)
{
    return take_number(rest, value) ? OWL_READ_WELL : OWL_READ_NO_NUMBER;
}

static enum owl_misread read_count(struct rest *rest, double *value)
{
    double number;
    const char *from = rest->here;
    if (!take_number(rest, &number))
        return OWL_READ_NO_NUMBER;
    if (number != floor(number)) {
        rest->here = from;
        return OWL_READ_NOT_WHOLE;
    }
    *value = number;
    return OWL_READ_WELL;
}

static enum owl_misread read_fnumber(struct rest *rest, double *value)
{
    if (!take(rest, "f/") && !take(rest, "F/"))
        return OWL_READ_NO_UNIT;
    return take_decimal(rest, value) ? OWL_READ_WELL : OWL_READ_NO_NUMBER;
}

static enum owl_misread read_power(struct rest *rest, double *value)
{
    if (take(rest, "full")) {
        *value = 1.0;
        return OWL_READ_WELL;
    }
    return read_bare(rest, value);
}

static enum owl_misread read_shutter(struct rest *rest, double *value)
{
    if (take(rest, "bulb")) {
        *value = INFINITY;
        return OWL_READ_WELL;
    }
    return read_with_unit(OWL_UNIT_SHUTTER, rest, value);
}

static bool take_digits(struct rest *rest, int count, int *value)
{
    *value = 0;
    for (int i = 0; i < count; i++, rest->here++) {
        if (rest->here == rest->end || !is_digit(*rest->here))
            return false;
        *value = *value * 10 + (*rest->here - '0');
    }
    return true;
}

static enum owl_misread read_date(struct rest *rest, double *value)
{
    struct owl_date date;
    if (!take_digits(rest, 4, &date.year) || !take(rest, "-") || !take_digits(rest, 2, &date.month) ||
        !take(rest, "-") || !take_digits(rest, 2, &date.day))
        return OWL_READ_NO_NUMBER;
    if (!owl_calendar_valid(date))
        return OWL_READ_NO_SUCH_DATE;
    *value = (double)owl_calendar_days(date);
    return OWL_READ_WELL;
}

static enum owl_misread read_clock(struct rest *rest, double *value)
{
    int hour, minute;
    if (!take_digits(rest, 2, &hour) || !take(rest, ":") || !take_digits(rest, 2, &minute))
        return OWL_READ_NO_NUMBER;
    if (hour > 23 || minute > 59)
        return OWL_READ_NO_SUCH_DATE;
    *value = hour * OWL_SECONDS_PER_HOUR + minute * 60.0;
    return OWL_READ_WELL;
}

static enum owl_misread read_kind(enum owl_unit unit, struct rest *rest, double *value)
{
    switch (unit) {
    case OWL_UNIT_COUNT: return read_count(rest, value);
    case OWL_UNIT_NUMBER: return read_bare(rest, value);
    case OWL_UNIT_FNUMBER: return read_fnumber(rest, value);
    case OWL_UNIT_POWER: return read_power(rest, value);
    case OWL_UNIT_SHUTTER: return read_shutter(rest, value);
    case OWL_UNIT_DATE: return read_date(rest, value);
    case OWL_UNIT_CLOCK: return read_clock(rest, value);
    default: return read_with_unit(unit, rest, value);
    }
}

enum owl_misread owl_unit_read(enum owl_unit unit, const char *words, size_t length, double *value,
                               size_t *at)
{
    struct rest rest = {words, words, words + length};
    double found = 0.0;
    skip_blanks(&rest);
    enum owl_misread misread = read_kind(unit, &rest, &found);
    if (misread == OWL_READ_WELL && !at_end(&rest))
        misread = OWL_READ_LEFT_OVER;
    *at = (size_t)(rest.here - rest.start);
    if (misread == OWL_READ_WELL)
        *value = found;
    return misread;
}

static bool take_direction(struct rest *rest, struct owl_point *point, double distance_m)
{
    skip_blanks(rest);
    if (take(rest, "left"))
        point->x_m -= distance_m;
    else if (take(rest, "right"))
        point->x_m += distance_m;
    else if (take(rest, "before"))
        point->y_m -= distance_m;
    else if (take(rest, "behind"))
        point->y_m += distance_m;
    else if (take(rest, "up"))
        point->z_m += distance_m;
    else if (take(rest, "down"))
        point->z_m -= distance_m;
    else
        return false;
    return true;
}

enum owl_misread owl_unit_read_point(const char *words, size_t length, struct owl_point *point, size_t *at)
{
    struct rest rest = {words, words, words + length};
    struct owl_point found = {0};
    enum owl_misread misread = OWL_READ_WELL;
    skip_blanks(&rest);
    bool more = !take(&rest, "mark");
    while (more && misread == OWL_READ_WELL) {
        double distance_m = 0.0;
        skip_blanks(&rest);
        misread = read_with_unit(OWL_UNIT_LENGTH, &rest, &distance_m);
        if (misread == OWL_READ_WELL && !take_direction(&rest, &found, distance_m))
            misread = OWL_READ_NO_SUCH_WORD;
        skip_blanks(&rest);
        more = take(&rest, ",");
    }
    if (misread == OWL_READ_WELL && !at_end(&rest))
        misread = OWL_READ_LEFT_OVER;
    *at = (size_t)(rest.here - rest.start);
    if (misread == OWL_READ_WELL)
        *point = found;
    return misread;
}
