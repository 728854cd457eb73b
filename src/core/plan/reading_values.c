/* One value of one field: its default, and what the user wrote for it. */
#include <math.h>
#include <string.h>

#include "core/plan/reading.h"

static void set_standard(const struct owl_section *section, int nth, int field, struct owl_plan *plan)
{
    const struct owl_field *row = &section->fields[field];
    void *member = owl_field_member(section, nth, field, plan);
    const char *standard = row->standard;
    bool open = *standard == '\0' || *standard == '!' || *standard == '=';
    size_t at = 0;
    if (row->unit == OWL_UNIT_TEXT) {
        memcpy(member, open ? "" : standard, open ? 1 : strlen(standard) + 1);
    } else if (row->unit == OWL_UNIT_CHOICE) {
        int place = -1;
        for (int i = 0; !open && row->choice(i); i++)
            if (strcmp(row->choice(i), standard) == 0)
                place = i;
        *(int *)member = place;
    } else if (row->unit == OWL_UNIT_POINT) {
        *(struct owl_point *)member = (struct owl_point){NAN, NAN, NAN};
    } else {
        double value = NAN;
        enum owl_misread misread = open ? OWL_READ_WELL
                                        : owl_unit_read(row->unit, standard, strlen(standard), &value, &at);
        *(double *)member = misread == OWL_READ_WELL ? value : NAN;
    }
}

void owl_plan_set_standards(const struct owl_section *section, int nth, struct owl_plan *plan)
{
    for (int field = 0; field < section->field_count; field++)
        set_standard(section, nth, field, plan);
}

static const char *choice_name(const void *list, int place)
{
    const struct owl_field *field = list;
    return field->choice(place);
}

static void complain_misread(struct owl_place *place, struct owl_span value, const struct owl_field *field,
                             enum owl_misread misread, size_t at)
{
    struct owl_span wrong = {value.start + at, value.end};
    bool whole = wrong.start >= wrong.end || misread == OWL_READ_NO_SUCH_DATE || misread == OWL_READ_NO_UNIT;
    struct owl_text text = owl_complain_span(place, whole ? value : wrong);
    owl_text_words(&text, field->name);
    switch (misread) {
    case OWL_READ_NO_UNIT: owl_text_words(&text, " needs a unit"); break;
    case OWL_READ_WRONG_UNIT: owl_text_words(&text, " cannot have this unit"); break;
    case OWL_READ_LEFT_OVER: owl_text_words(&text, " has something after its value that is not understood"); break;
    case OWL_READ_NOT_WHOLE: owl_text_words(&text, " must be a whole number"); break;
    case OWL_READ_NO_SUCH_DATE: owl_text_words(&text, " is no date or time there is"); break;
    case OWL_READ_NO_SUCH_WORD: owl_text_words(&text, " needs one of left, right, before, behind, up, down here"); break;
    default: owl_text_words(&text, " is not a value this field can hold"); break;
    }
    owl_text_words(&text, "; ");
    if (misread == OWL_READ_NO_UNIT && *owl_unit_usual(field->unit) && field->unit != OWL_UNIT_POINT) {
        owl_text_char(&text, '\'');
        owl_text_bytes(&text, value.start, (size_t)(value.end - value.start));
        owl_text_char(&text, ' ');
        owl_text_words(&text, owl_unit_usual(field->unit));
        owl_text_words(&text, "' perhaps, or ");
    }
    owl_text_words(&text, owl_unit_example(field->unit));
    owl_text_words(&text, " would be right");
}

static void complain_range(struct owl_place *place, struct owl_span value, const struct owl_field *field)
{
    struct owl_text text = owl_complain_span(place, value);
    owl_text_words(&text, field->name);
    owl_text_words(&text, " must lie between ");
    owl_unit_show(field->unit, field->least, &text);
    owl_text_words(&text, " and ");
    owl_unit_show(field->unit, field->most, &text);
}

static void read_number(struct owl_place *place, struct owl_span value, const struct owl_field *field, double *member)
{
    double number = 0.0;
    size_t at = 0;
    enum owl_misread misread = owl_unit_read(field->unit, value.start, (size_t)(value.end - value.start), &number, &at);
    bool bulb = field->unit == OWL_UNIT_SHUTTER && misread == OWL_READ_WELL && isinf(number);
    if (misread != OWL_READ_WELL)
        complain_misread(place, value, field, misread, at);
    else if (!bulb && !(number >= field->least && number <= field->most))
        complain_range(place, value, field);
    else
        *member = number;
}

static bool point_in_range(const struct owl_point *point, const struct owl_field *field)
{
    return fabs(point->x_m) <= field->most && fabs(point->y_m) <= field->most && fabs(point->z_m) <= field->most;
}

static void read_point(struct owl_place *place, struct owl_span value, const struct owl_field *field,
                       struct owl_point *member)
{
    struct owl_point point = {0};
    size_t at = 0;
    enum owl_misread misread = owl_unit_read_point(value.start, (size_t)(value.end - value.start), &point, &at);
    if (misread != OWL_READ_WELL)
        complain_misread(place, value, field, misread, at);
    else if (!point_in_range(&point, field))
        complain_range(place, value, field);
    else
        *member = point;
}

static void read_text(struct owl_place *place, struct owl_span value, const struct owl_field *field, char *member)
{
    size_t length = (size_t)(value.end - value.start);
    if (length >= OWL_WORDS_BYTES) {
        struct owl_text text = owl_complain_span(place, value);
        owl_text_words(&text, field->name);
        owl_text_words(&text, " is too long; fewer than 64 characters would be right");
        return;
    }
    memcpy(member, value.start, length);
    member[length] = '\0';
}

static void read_choice(struct owl_place *place, struct owl_span value, const struct owl_field *field, int *member)
{
    char word[OWL_READ_NAME_BYTES] = "";
    bool fits = owl_span_name(value, word);
    for (int i = 0; fits && field->choice(i); i++) {
        if (owl_text_same_name(field->choice(i), word)) {
            *member = i;
            return;
        }
    }
    const char *nearest = owl_spelling_nearest(word, choice_name, field);
    struct owl_text text = owl_complain_span(place, value);
    owl_text_words(&text, field->name);
    owl_text_words(&text, " cannot be ");
    owl_span_quote(&text, value);
    if (nearest) {
        owl_text_words(&text, "; did you mean '");
        owl_text_words(&text, nearest);
        owl_text_words(&text, "'?");
        return;
    }
    owl_text_words(&text, "; one of these would be right: ");
    for (int i = 0; field->choice(i); i++) {
        owl_text_words(&text, i ? ", " : "");
        owl_text_words(&text, field->choice(i));
    }
}

void owl_read_value(struct owl_place *place, struct owl_span value, int field)
{
    const struct owl_field *row = &place->section->fields[field];
    void *member = owl_field_member(place->section, place->nth, field, &place->reading->plan);
    if (row->unit == OWL_UNIT_TEXT)
        read_text(place, value, row, member);
    else if (row->unit == OWL_UNIT_CHOICE)
        read_choice(place, value, row, member);
    else if (row->unit == OWL_UNIT_POINT)
        read_point(place, value, row, member);
    else
        read_number(place, value, row, member);
}
