/* The field table and a plan's text as one form. */
#include "core/report/form.h"

#include <math.h>
#include <string.h>

#include "core/model/bait.h"
#include "core/report/json.h"

#define SHOWN_BYTES 256

static const char *unit_name(enum owl_unit unit)
{
    static const char *const names[OWL_UNITS] = {
        [OWL_UNIT_TEXT] = "text", [OWL_UNIT_CHOICE] = "choice", [OWL_UNIT_COUNT] = "count", [OWL_UNIT_NUMBER] = "number",
        [OWL_UNIT_DATE] = "date", [OWL_UNIT_CLOCK] = "clock", [OWL_UNIT_LENGTH] = "length", [OWL_UNIT_FOCAL] = "focal",
        [OWL_UNIT_POINT] = "point", [OWL_UNIT_MASS] = "mass", [OWL_UNIT_TIME] = "time", [OWL_UNIT_SHUTTER] = "shutter",
        [OWL_UNIT_SPEED] = "speed", [OWL_UNIT_ANGLE] = "angle", [OWL_UNIT_LATITUDE] = "latitude",
        [OWL_UNIT_LONGITUDE] = "longitude", [OWL_UNIT_TEMPERATURE] = "temperature", [OWL_UNIT_WARMTH] = "warmth",
        [OWL_UNIT_PERCENT] = "percent", [OWL_UNIT_VOLTAGE] = "voltage", [OWL_UNIT_CURRENT] = "current",
        [OWL_UNIT_CHARGE] = "charge", [OWL_UNIT_ENERGY] = "energy", [OWL_UNIT_VOLUME] = "volume", [OWL_UNIT_STOPS] = "stops",
        [OWL_UNIT_FNUMBER] = "f-number", [OWL_UNIT_POWER] = "power", [OWL_UNIT_LIGHT] = "light",
        [OWL_UNIT_EXPOSURE] = "exposure", [OWL_UNIT_RATE] = "rate", [OWL_UNIT_DENSITY] = "density", [OWL_UNIT_BYTES] = "bytes",
        [OWL_UNIT_NIGHTS] = "nights", [OWL_UNIT_PIXELS] = "pixels", [OWL_UNIT_RATIO] = "ratio", [OWL_UNIT_MOMENT] = "moment",
        [OWL_UNIT_PHYSICAL] = "physical"};
    return names[unit];
}

/* One field of the form. */
struct entry {
    const struct owl_report_form *form;
    const struct owl_section *section;
    const struct owl_field *field;
    int nth, at, line;
    bool counted; /* the last sound plan has this section */
};

static bool has_numbers(enum owl_unit unit)
{
    return unit != OWL_UNIT_TEXT && unit != OWL_UNIT_CHOICE && unit != OWL_UNIT_POINT;
}

/* Whether the plan has a value for it at all. */
static bool has_value(const struct entry *entry)
{
    if (!entry->counted)
        return false;
    const void *value = owl_field_value(entry->section, entry->nth, entry->at, entry->form->plan);
    switch (entry->field->unit) {
    case OWL_UNIT_TEXT: return *(const char *)value != '\0';
    case OWL_UNIT_CHOICE: return *(const int *)value >= 0;
    case OWL_UNIT_POINT: return !isnan(((const struct owl_point *)value)->x_m);
    default: return !isnan(*(const double *)value);
    }
}

static void write_value(const struct entry *entry, struct owl_text *text)
{
    owl_report_key(text, ", ", "value");
    if (!has_value(entry) || entry->field->unit == OWL_UNIT_TEXT) {
        owl_text_words(text, "null");
        return;
    }
    const void *value = owl_field_value(entry->section, entry->nth, entry->at, entry->form->plan);
    if (entry->field->unit == OWL_UNIT_CHOICE) {
        owl_text_integer(text, *(const int *)value);
    } else if (entry->field->unit == OWL_UNIT_POINT) {
        const struct owl_point *point = value;
        const double numbers[] = {point->x_m, point->y_m, point->z_m};
        for (int i = 0; i < 3; i++) {
            owl_text_words(text, i ? ", " : "[");
            owl_text_number(text, numbers[i]);
        }
        owl_text_char(text, ']');
    } else {
        owl_text_number(text, *(const double *)value);
    }
}

/* As written, else as it counts, else the default that is a value. */
static void write_words(const struct entry *entry, struct owl_text *text)
{
    char words[SHOWN_BYTES];
    struct owl_text shown = owl_text_over(words, sizeof words);
    const char *standard = entry->field->standard;
    if (entry->line)
        owl_places_words(entry->form->bytes, entry->form->length, entry->line, &shown);
    else if (has_value(entry))
        owl_field_show(entry->section, entry->nth, entry->at, entry->form->plan, &shown);
    else if (*standard != '=' && *standard != *OWL_REQUIRED)
        owl_text_words(&shown, standard);
    owl_report_words(text, ", ", "words", words);
}

static void write_standard(const struct owl_field *field, struct owl_text *text)
{
    const char *standard = field->standard;
    bool required = strcmp(standard, OWL_REQUIRED) == 0, derived = *standard == '=';
    owl_report_words(text, ", ", "standard", derived ? standard + 1 : standard);
    owl_report_truth(text, ", ", "required", required);
    owl_report_truth(text, ", ", "derived", derived);
}

static void write_allowed(const struct owl_field *field, struct owl_text *text)
{
    bool ranged = has_numbers(field->unit);
    owl_report_number(text, ", ", "least", ranged ? field->least : NAN);
    owl_report_number(text, ", ", "most", ranged ? field->most : NAN);
    owl_report_key(text, ", ", "choices");
    if (field->unit != OWL_UNIT_CHOICE) {
        owl_text_words(text, "null");
        return;
    }
    for (int i = 0; field->choice(i); i++) {
        owl_text_words(text, i ? ", " : "[");
        owl_text_json(text, field->choice(i));
    }
    owl_text_char(text, ']');
}

static void write_field(const struct entry *entry, struct owl_text *text)
{
    const struct owl_field *field = entry->field;
    owl_report_number(text, "{", "field", entry->at);
    owl_report_words(text, ", ", "name", field->name);
    owl_report_words(text, ", ", "unit", unit_name(field->unit));
    owl_report_words(text, ", ", "si", has_numbers(field->unit) ? owl_unit_si(field->unit) : "");
    write_words(entry, text);
    write_value(entry, text);
    owl_report_truth(text, ", ", "given", entry->line > 0);
    owl_report_number(text, ", ", "line", entry->line);
    write_standard(field, text);
    write_allowed(field, text);
    owl_report_words(text, ", ", "origin", owl_origin_words(field->origin));
    owl_report_words(text, ", ", "help", field->help);
    owl_report_words(text, ", ", "example",
                     field->unit == OWL_UNIT_CHOICE ? "one of the choices" : owl_unit_example(field->unit));
    owl_text_char(text, '}');
}

static bool is_bait(const struct owl_section *section)
{
    return strcmp(section->name, "bait") == 0;
}

static int heading_of(const struct owl_report_form *form, const struct owl_section *section)
{
    return form->places->heading[section - owl_section_at(0)];
}

/* Where some field of it stands; 0: no field does. */
static int first_line(const struct owl_report_form *form, const struct owl_section *section, int nth)
{
    int least = 0;
    for (int i = 0; i < section->field_count; i++) {
        int line = form->places->plan.line_of[owl_field_slot(section, nth, i)];
        if (line > 0 && (least == 0 || line < least))
            least = line;
    }
    return least;
}

/* The nth flash or passer of the text is the same in the last sound plan when it has the same name. */
static bool is_counted(const struct owl_report_form *form, const struct owl_section *section, int nth)
{
    if (!form->plan || section->most == 1)
        return form->plan != NULL;
    bool flash = section->name[0] == 'f';
    if (nth >= (flash ? form->plan->flashes : form->plan->passers))
        return false;
    const char *name = flash ? form->plan->flash[nth].name : form->plan->passer[nth].name;
    return strcmp(name, owl_places_name(form->places, section, nth)) == 0;
}

static void write_section(const struct owl_report_form *form, const struct owl_section *section, int nth, struct owl_text *text)
{
    char words[OWL_NAME_BYTES + 16];
    struct owl_text label = owl_text_over(words, sizeof words);
    const char *own = owl_places_name(form->places, section, nth);
    bool counted = is_counted(form, section, nth);
    owl_report_section_name(&form->places->plan, section, nth, &label);
    owl_report_number(text, "{", "section", (double)(section - owl_section_at(0)));
    owl_report_words(text, ", ", "name", section->name);
    owl_report_number(text, ", ", "nth", nth);
    owl_report_words(text, ", ", "own", own);
    owl_report_words(text, ", ", "label", words);
    owl_report_words(text, ", ", "help", section->help);
    owl_report_truth(text, ", ", "given", section->most > 1 || heading_of(form, section) > 0);
    owl_report_number(text, ", ", "line", section->most > 1 ? first_line(form, section, nth) : heading_of(form, section));
    owl_report_key(text, ", ", "fields");
    for (int i = 0; i < section->field_count; i++) {
        struct entry entry = {.form = form, .section = section, .field = &section->fields[i], .nth = nth, .at = i};
        entry.counted = counted;
        entry.line = form->places->plan.line_of[owl_field_slot(section, nth, i)];
        owl_text_words(text, i ? ",\n  " : "[\n  ");
        write_field(&entry, text);
    }
    owl_text_words(text, "]}");
}

static void write_addable(const struct owl_report_form *form, struct owl_text *text)
{
    bool begun = false;
    owl_report_key(text, "],\n", "can add");
    owl_text_char(text, '[');
    for (int i = 0; i < owl_section_count(); i++) {
        const struct owl_section *section = owl_section_at(i);
        bool can = is_bait(section) ? heading_of(form, section) == 0
                                    : section->most > 1 && owl_places_count(form->places, section) < section->most;
        if (!can)
            continue;
        owl_report_words(text, begun ? ", {" : "{", "section", section->name);
        owl_report_truth(text, ", ", "named", section->most > 1);
        owl_report_words(text, ", ", "help", section->help);
        owl_text_char(text, '}');
        begun = true;
    }
    owl_text_words(text, "]}\n");
}

void owl_report_form(const struct owl_report_form *form, struct owl_text *text)
{
    bool begun = false;
    owl_report_key(text, "{", "sections");
    owl_text_char(text, '[');
    for (int i = 0; i < owl_section_count(); i++) {
        const struct owl_section *section = owl_section_at(i);
        if (is_bait(section) && heading_of(form, section) == 0)
            continue;
        for (int nth = 0; nth < owl_places_count(form->places, section); nth++) {
            owl_text_words(text, begun ? ",\n" : "\n");
            write_section(form, section, nth, text);
            begun = true;
        }
    }
    write_addable(form, text);
}

/* ---- what stands behind the choices ---- */

static void write_animal(const struct owl_animal *animal, struct owl_text *text)
{
    static const char *const about[] = {"night", "day", "dusk and dawn", "all hours"};
    owl_report_words(text, "{", "name", animal->name);
    owl_report_number(text, ", ", "mass", animal->mass_kg);
    owl_report_number(text, ", ", "length", animal->length_m);
    owl_report_number(text, ", ", "height", animal->height_m);
    owl_report_number(text, ", ", "shoulder", animal->shoulder_m);
    owl_report_number(text, ", ", "width", animal->width_m);
    owl_report_number(text, ", ", "speed", animal->walk_m_s);
    owl_report_words(text, ", ", "active", about[animal->pattern]);
    owl_text_char(text, '}');
}

void owl_report_choices(struct owl_text *text)
{
    owl_report_key(text, "{", "animals");
    for (size_t i = 0; i < owl_animal_count(); i++) {
        owl_text_words(text, i ? ",\n" : "[\n");
        write_animal(owl_animal_at(i), text);
    }
    owl_report_key(text, "],\n", "cells");
    for (size_t i = 0; i < owl_cells_count(); i++) {
        const struct owl_cells_kind *kind = owl_cells_at(i);
        owl_report_words(text, i ? ",\n{" : "[\n{", "name", kind->name);
        owl_report_number(text, ", ", "voltage", kind->nominal_v);
        owl_report_number(text, ", ", "capacity", kind->capacity_ah);
        owl_text_char(text, '}');
    }
    owl_report_key(text, "],\n", "foods");
    for (size_t i = 0; i < owl_bait_count(); i++) {
        const struct owl_bait_food *food = owl_bait_at(i);
        owl_report_words(text, i ? ",\n{" : "[\n{", "name", food->name);
        owl_report_number(text, ", ", "energy", food->energy_j_kg);
        owl_text_char(text, '}');
    }
    owl_text_words(text, "]}\n");
}
