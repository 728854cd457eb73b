/* Reading and showing values in human notation: one table of units, a few special kinds. */
#include "core/plan/units.h"

#include <math.h>
#include <string.h>

#include "core/calendar.h"
#include "core/constants.h"

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
    {OWL_UNIT_BYTES, "GB", 1e9, 0},
    {OWL_UNIT_BYTES, "MB", 1e6, 0},
    {OWL_UNIT_BYTES, "TB", 1e12, 0},
    {OWL_UNIT_PIXELS, "px", 1, 0},
};

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

/* ---- reading ---- */

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

/* ---- showing ---- */

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
