/* The values of a thing: its field table, its price and its weather code. */
#include <math.h>
#include <string.h>

#include "core/constants.h"
#include "shelf/reading.h"

#define DEAREST 1e7 /* of any currency: more is a slip of the pen */

static const char *yes_words(int place)
{
    return place == OWL_NO ? "no" : place == OWL_YES ? "yes" : NULL;
}

static const char *origin_words(int place)
{
    return place >= OWL_PUBLISHED && place <= OWL_GIVEN ? owl_origin_words((enum owl_origin)place) : NULL;
}

#define AT(member) offsetof(struct owl_thing, member)

static const struct owl_thing_field fields[] = {
    {"is", OWL_UNIT_CHOICE, AT(kind), 0, 0, owl_thing_kind_words, "what it is"},
    {"owned", OWL_UNIT_COUNT, AT(owned), 0, 99, NULL, "how many of it lie on the shelf; none unless said"},
    {"length", OWL_UNIT_LENGTH, AT(length_m), 0, 500, NULL, "of a cable, stretched out, as long as it stays without strain"},
    {"standby", OWL_UNIT_CURRENT, AT(standby_a), 0, 10, NULL, "drawn all the time it is switched on"},
    {"voltage", OWL_UNIT_VOLTAGE, AT(supply_v), 0, 250, NULL, "of the cells that feed it"},
    {"latency", OWL_UNIT_TIME, AT(latency_s), 0, 60, NULL, "from the signal coming in to the signal going out"},
    {"miss", OWL_UNIT_PERCENT, AT(miss), 0, 1, NULL, "radio: chance that one signal is not heard"},
    {"range", OWL_UNIT_LENGTH, AT(range_m), 0.01, 5000, NULL, "radio and light: as far as it can be trusted out of doors"},
    {"works by day", OWL_UNIT_CHOICE, AT(by_day), 0, 0, yes_words, "an eye for light: not fooled or blinded by daylight"},
    {"ignores pre-flash", OWL_UNIT_CHOICE, AT(ignores_preflash), 0, 0, yes_words, "an eye for light: waits for the main flash"},
    {"pre-flash", OWL_UNIT_CHOICE, AT(preflash), 0, 0, yes_words, "a flash: it cannot be set not to flash beforehand"},
    {"isolates", OWL_UNIT_CHOICE, AT(isolates), 0, 0, yes_words,
     "no voltage gets through it; 'no' unless said for cables, adapters, splitters and flashes, 'yes' for the rest"},
    {"origin", OWL_UNIT_CHOICE, AT(origin), 0, 0, origin_words, "where its figures come from"},
    {"source", OWL_UNIT_TEXT, AT(source), 0, 0, NULL, "which manual, label or measurement"},
};

const struct owl_thing_field *owl_thing_field_at(int place)
{
    return place >= 0 && (size_t)place < sizeof fields / sizeof *fields ? &fields[place] : NULL;
}

static void complain_misread(struct owl_shelf_reading *reading, struct owl_span words, const char *name, enum owl_unit unit,
                             enum owl_misread misread)
{
    struct owl_text text = owl_shelf_complain(reading, words);
    owl_text_words(&text, name);
    switch (misread) {
    case OWL_READ_NO_UNIT: owl_text_words(&text, " needs a unit"); break;
    case OWL_READ_WRONG_UNIT: owl_text_words(&text, " cannot have this unit"); break;
    case OWL_READ_LEFT_OVER: owl_text_words(&text, " has something after its value that is not understood"); break;
    case OWL_READ_NOT_WHOLE: owl_text_words(&text, " must be a whole number"); break;
    default: owl_text_words(&text, " has no value here that can be read"); break;
    }
    owl_text_words(&text, "; ");
    owl_text_words(&text, owl_unit_example(unit));
    owl_text_words(&text, " would be right");
}

bool owl_shelf_read_number(struct owl_shelf_reading *reading, struct owl_span words, const char *name, enum owl_unit unit,
                           double least, double most, double *value)
{
    double number = 0.0;
    size_t at = 0;
    enum owl_misread misread = owl_unit_read(unit, words.start, (size_t)(words.end - words.start), &number, &at);
    if (misread != OWL_READ_WELL) {
        complain_misread(reading, words, name, unit, misread);
        return false;
    }
    if (!(number >= least && number <= most)) {
        struct owl_text text = owl_shelf_complain(reading, words);
        owl_text_words(&text, name);
        owl_text_words(&text, " must lie between ");
        owl_unit_show(unit, least, &text);
        owl_text_words(&text, " and ");
        owl_unit_show(unit, most, &text);
        return false;
    }
    *value = number;
    return true;
}

static void read_choice(struct owl_shelf_reading *reading, struct owl_span value, const struct owl_thing_field *field,
                        int *member)
{
    for (int i = 0; field->choice(i); i++) {
        if (owl_shelf_span_is(value, field->choice(i))) {
            *member = i;
            return;
        }
    }
    struct owl_text text = owl_shelf_complain(reading, value);
    owl_text_char(&text, '\'');
    owl_text_words(&text, field->name);
    owl_text_words(&text, "' cannot be ");
    owl_span_quote(&text, value);
    owl_shelf_suggest(&text, value, field->choice);
}

void owl_shelf_read_field(struct owl_shelf_reading *reading, struct owl_span value, int field)
{
    const struct owl_thing_field *row = &fields[field];
    struct owl_thing *thing = reading->thing;
    void *member = (char *)thing + row->offset;
    if (row->unit == OWL_UNIT_CHOICE) {
        read_choice(reading, value, row, member);
    } else if (row->unit == OWL_UNIT_TEXT) {
        size_t length = (size_t)(value.end - value.start);
        if (length >= OWL_SOURCE_BYTES) {
            struct owl_text text = owl_shelf_complain(reading, value);
            owl_text_words(&text, row->name);
            owl_text_words(&text, " is too long; fewer than 96 characters would be right");
            return;
        }
        memcpy(member, value.start, length);
        thing->source[length] = '\0';
    } else {
        owl_shelf_read_number(reading, value, row->name, row->unit, row->least, row->most, member);
        if (member == &thing->length_m && thing->length_m == 0.0) {
            struct owl_text text = owl_shelf_complain(reading, value);
            owl_text_words(&text, "a length of nothing joins nothing; a length such as 5 m would be right, "
                                  "and an adapter needs no length");
        }
    }
}

/* ---- price ---- */

static bool currency_code(struct owl_span words)
{
    if (words.end - words.start != 3)
        return false;
    for (const char *c = words.start; c < words.end; c++)
        if (*c < 'A' || *c > 'Z')
            return false;
    return true;
}

static void take_currency(struct owl_shelf_reading *reading, struct owl_span code)
{
    char *currency = reading->shelf->currency;
    if (currency[0] == '\0') {
        memcpy(currency, code.start, 3);
        currency[3] = '\0';
        reading->currency_line = reading->number;
    } else if (memcmp(currency, code.start, 3) != 0) {
        struct owl_text text = owl_shelf_complain(reading, code);
        owl_text_words(&text, "one shelf counts in one currency, and line ");
        owl_text_integer(&text, reading->currency_line);
        owl_text_words(&text, " counts in ");
        owl_text_words(&text, currency);
        owl_text_words(&text, "; the price in that would be right");
    }
}

void owl_shelf_read_price(struct owl_shelf_reading *reading, struct owl_span value)
{
    struct owl_span rest = value, number = owl_shelf_take(&rest, ' ');
    struct owl_span code = owl_span_trimmed(rest);
    double amount = 0.0;
    size_t at = 0;
    if (*value.start == '-') {
        struct owl_text text = owl_shelf_complain(reading, value);
        owl_text_words(&text, "a price below zero cannot be; 0 for a gift, or the price without the minus, would be right");
        return;
    }
    enum owl_misread misread = owl_unit_read(OWL_UNIT_NUMBER, number.start, (size_t)(number.end - number.start), &amount, &at);
    if (misread != OWL_READ_WELL || !currency_code(code) || !(amount <= DEAREST)) {
        struct owl_text text = owl_shelf_complain(reading, value);
        owl_text_words(&text, "a price is an amount and the three capitals of its currency; "
                              "one such as 12.50 EUR would be right");
        return;
    }
    take_currency(reading, code);
    reading->thing->price = (int64_t)floor(amount * 100.0 + 0.5);
}

/* ---- weather ---- */

/* A digit up to the largest, or X for one not tested. */
static bool code_digit(char c, char largest, int *digit)
{
    *digit = c == 'X' || c == 'x' ? -1 : c - '0';
    return *digit == -1 || (c >= '0' && c <= largest);
}

/* IEC 60529: IP, a digit 0 to 6 against solids, a digit 0 to 9 against water [iec60529]. */
void owl_shelf_read_weather(struct owl_shelf_reading *reading, struct owl_span value)
{
    int solids = -1, water = -1;
    const char *c = value.start;
    if (owl_shelf_span_is(value, "none"))
        return;
    if (value.end - c == 4 && c[0] == 'I' && c[1] == 'P' && code_digit(c[2], '6', &solids) && code_digit(c[3], '9', &water)) {
        reading->thing->solids = solids;
        reading->thing->water = water;
        return;
    }
    struct owl_text text = owl_shelf_complain(reading, value);
    owl_text_words(&text, "a weather rating is IP with a digit 0 to 6 and a digit 0 to 9, X for one not tested; "
                          "IP55, IPX4 or none would be right");
}
