/* Lines, headings and values: the text of a plan taken apart. */
#include "core/plan/reader.h"

#include <math.h>
#include <string.h>

#include "core/plan/reading.h"

#define NAME_BYTES 48

/* A stretch of one line. */
struct span {
    const char *start, *end;
};

/* Where the reading stands. */
struct place {
    struct owl_reading *reading;
    struct span line;
    int number;                        /* of the line, from 1 */
    const struct owl_section *section; /* NULL before the first heading and under a bad one */
    int nth;
    bool headless_told, under_bad_heading;
};

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

static struct span trimmed(struct span span)
{
    while (span.start < span.end && is_blank(*span.start))
        span.start++;
    while (span.end > span.start && is_blank(span.end[-1]))
        span.end--;
    return span;
}

static int characters(const char *start, const char *end)
{
    int count = 0;
    for (; start < end; start++)
        count += ((unsigned char)*start & 0xC0u) != 0x80u;
    return count;
}

static struct owl_text complain_span(struct place *place, struct span span)
{
    return owl_complain(place->reading->complaints, place->number,
                        characters(place->line.start, span.start) + 1, characters(span.start, span.end));
}

/* Lower case, runs of blanks and underscores to one blank; false when it does not fit. */
static bool plain_name(struct span span, char name[NAME_BYTES])
{
    size_t length = 0;
    bool gap = false;
    for (const char *c = span.start; c < span.end; c++) {
        if (is_blank(*c) || *c == '_') {
            gap = length > 0;
            continue;
        }
        if (length + 2 >= NAME_BYTES)
            return false;
        if (gap)
            name[length++] = ' ';
        gap = false;
        name[length++] = *c >= 'A' && *c <= 'Z' ? (char)(*c - 'A' + 'a') : *c;
    }
    name[length] = '\0';
    return true;
}

/* The words of a span inside quotes, cut to a readable length. */
static void quote(struct owl_text *text, struct span span)
{
    owl_text_char(text, '\'');
    for (int i = 0; span.start < span.end && i < 40; span.start++, i++)
        owl_text_char(text, (unsigned char)*span.start < 0x20 ? ' ' : *span.start);
    owl_text_words(text, span.start < span.end ? "...'" : "'");
}

static const char *section_name(const void *list, int place)
{
    (void)list;
    return place < owl_section_count() ? owl_section_at(place)->name : NULL;
}

static const char *field_name(const void *list, int place)
{
    const struct owl_section *section = list;
    return place < section->field_count ? section->fields[place].name : NULL;
}

static const char *choice_name(const void *list, int place)
{
    const struct owl_field *field = list;
    return field->choice(place);
}

/* ---- defaults ---- */

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

static void set_section(const struct owl_section *section, int nth, struct owl_plan *plan)
{
    for (int field = 0; field < section->field_count; field++)
        set_standard(section, nth, field, plan);
}

/* Flashes and passers get theirs when their sections are opened. */
static void set_standards(struct owl_plan *plan)
{
    for (int s = 0; s < owl_section_count(); s++)
        if (owl_section_at(s)->most == 1)
            set_section(owl_section_at(s), 0, plan);
}

/* ---- headings ---- */

static bool name_allowed(const char *name)
{
    size_t length = strlen(name);
    if (length == 0 || length >= OWL_NAME_BYTES || strcmp(name, "camera") == 0 || strcmp(name, "sensor") == 0)
        return false;
    return strspn(name, "abcdefghijklmnopqrstuvwxyz0123456789-") == length;
}

static char *given_name(struct place *place, int nth)
{
    struct owl_plan *plan = &place->reading->plan;
    return strcmp(place->section->name, "flash") == 0 ? plan->flash[nth].name : plan->passer[nth].name;
}

static bool open_repeated(struct place *place, struct span heading, const char *name)
{
    bool flash = strcmp(place->section->name, "flash") == 0;
    struct owl_reading *reading = place->reading;
    int *count = flash ? &reading->plan.flashes : &reading->plan.passers;
    struct owl_text text;
    if (!name_allowed(name)) {
        text = complain_span(place, heading);
        owl_text_words(&text, "this section needs a name of its own in small letters, such as ");
        owl_text_words(&text, flash ? "[flash key]" : "[passer fox]");
        return false;
    }
    for (int i = 0; i < *count; i++) {
        if (strcmp(given_name(place, i), name) == 0) {
            text = complain_span(place, heading);
            owl_text_words(&text, "this name is taken by the section on line ");
            owl_text_integer(&text, flash ? reading->flash_line[i] : reading->passer_line[i]);
            owl_text_words(&text, "; another name would be right");
            return false;
        }
    }
    if (*count == place->section->most) {
        text = complain_span(place, heading);
        owl_text_words(&text, "at most ");
        owl_text_integer(&text, place->section->most);
        owl_text_words(&text, flash ? " flashes can be planned" : " other passers can be planned");
        return false;
    }
    place->nth = (*count)++;
    set_section(place->section, place->nth, &reading->plan);
    memcpy(given_name(place, place->nth), name, strlen(name) + 1);
    (flash ? reading->flash_line : reading->passer_line)[place->nth] = place->number;
    return true;
}

static bool open_single(struct place *place, struct span heading, const char *name, int index)
{
    int *line = &place->reading->section_line[index];
    struct owl_text text;
    if (*name) {
        text = complain_span(place, heading);
        owl_text_words(&text, "this section takes no name: [");
        owl_text_words(&text, place->section->name);
        owl_text_words(&text, "] would be right");
        return false;
    }
    if (*line) {
        text = complain_span(place, heading);
        owl_text_words(&text, "this section stands already on line ");
        owl_text_integer(&text, *line);
        owl_text_words(&text, "; one of the two must go");
        return false;
    }
    *line = place->number;
    place->nth = 0;
    return true;
}

static void complain_heading(struct place *place, struct span heading, const char *word)
{
    const char *nearest = owl_spelling_nearest(word, section_name, NULL);
    struct owl_text text = complain_span(place, heading);
    owl_text_words(&text, "no section is called ");
    quote(&text, trimmed((struct span){heading.start + 1, heading.end - (heading.end[-1] == ']')}));
    owl_text_words(&text, nearest ? "; did you mean [" : "; a plan has [site], [watch], [subject], [stage], [camera], "
                                    "[lens], [sensor], [flash NAME], [passer NAME], [bait], [housing], [climate], [limits]");
    if (nearest) {
        owl_text_words(&text, nearest);
        owl_text_words(&text, "]?");
    }
}

static void read_heading(struct place *place, struct span heading)
{
    char words[NAME_BYTES] = "";
    place->section = NULL;
    place->under_bad_heading = true;
    if (heading.end[-1] != ']') {
        struct owl_text text = complain_span(place, heading);
        owl_text_words(&text, "the heading is not closed; a ']' at its end would be right");
        return;
    }
    struct span inside = trimmed((struct span){heading.start + 1, heading.end - 1});
    if (!plain_name(inside, words)) {
        complain_heading(place, heading, "");
        return;
    }
    char *name = strchr(words, ' ');
    if (name)
        *name++ = '\0';
    else
        name = words + strlen(words);
    for (int i = 0; i < owl_section_count(); i++)
        if (strcmp(owl_section_at(i)->name, words) == 0)
            place->section = owl_section_at(i);
    if (!place->section) {
        complain_heading(place, heading, words);
        return;
    }
    bool opened = place->section->most > 1
                      ? open_repeated(place, heading, name)
                      : open_single(place, heading, name, (int)(place->section - owl_section_at(0)));
    place->under_bad_heading = !opened;
    if (!opened)
        place->section = NULL;
}

/* ---- values ---- */

static void complain_misread(struct place *place, struct span value, const struct owl_field *field,
                             enum owl_misread misread, size_t at)
{
    struct span wrong = {value.start + at, value.end};
    bool whole = wrong.start >= wrong.end || misread == OWL_READ_NO_SUCH_DATE || misread == OWL_READ_NO_UNIT;
    struct owl_text text = complain_span(place, whole ? value : wrong);
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

static void complain_range(struct place *place, struct span value, const struct owl_field *field)
{
    struct owl_text text = complain_span(place, value);
    owl_text_words(&text, field->name);
    owl_text_words(&text, " must lie between ");
    owl_unit_show(field->unit, field->least, &text);
    owl_text_words(&text, " and ");
    owl_unit_show(field->unit, field->most, &text);
}

static void read_number(struct place *place, struct span value, const struct owl_field *field, double *member)
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

static void read_point(struct place *place, struct span value, const struct owl_field *field,
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

static void read_text(struct place *place, struct span value, const struct owl_field *field, char *member)
{
    size_t length = (size_t)(value.end - value.start);
    if (length >= OWL_WORDS_BYTES) {
        struct owl_text text = complain_span(place, value);
        owl_text_words(&text, field->name);
        owl_text_words(&text, " is too long; fewer than 64 characters would be right");
        return;
    }
    memcpy(member, value.start, length);
    member[length] = '\0';
}

static void read_choice(struct place *place, struct span value, const struct owl_field *field, int *member)
{
    char word[NAME_BYTES] = "";
    bool fits = plain_name(value, word);
    for (int i = 0; fits && field->choice(i); i++) {
        if (owl_text_same_name(field->choice(i), word)) {
            *member = i;
            return;
        }
    }
    const char *nearest = owl_spelling_nearest(word, choice_name, field);
    struct owl_text text = complain_span(place, value);
    owl_text_words(&text, field->name);
    owl_text_words(&text, " cannot be ");
    quote(&text, value);
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

static void read_value(struct place *place, struct span value, int field)
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

static void complain_name(struct place *place, struct span name, const char *plain)
{
    struct owl_text text = complain_span(place, name);
    const char *nearest = owl_spelling_nearest(plain, field_name, place->section);
    owl_text_char(&text, '[');
    owl_text_words(&text, place->section->name);
    owl_text_words(&text, "] has no ");
    quote(&text, name);
    if (nearest) {
        owl_text_words(&text, "; did you mean '");
        owl_text_words(&text, nearest);
        owl_text_words(&text, "'?");
        return;
    }
    for (int i = 0; i < owl_section_count(); i++) {
        if (owl_field_find(owl_section_at(i), plain) >= 0) {
            owl_text_words(&text, "; it belongs under [");
            owl_text_words(&text, owl_section_at(i)->name);
            owl_text_words(&text, "]");
            return;
        }
    }
    owl_text_words(&text, "; the manual lists what it can hold");
}

static void read_assignment(struct place *place, struct span whole, const char *equals)
{
    struct span name = trimmed((struct span){whole.start, equals});
    struct span value = trimmed((struct span){equals + 1, whole.end});
    char plain[NAME_BYTES] = "";
    bool fits = plain_name(name, plain);
    int field = fits ? owl_field_find(place->section, plain) : -1;
    if (field < 0) {
        complain_name(place, name.start < name.end ? name : whole, fits ? plain : "");
        return;
    }
    int *line = &place->reading->plan.line_of[owl_field_slot(place->section, place->nth, field)];
    if (*line) {
        struct owl_text text = complain_span(place, name);
        owl_text_words(&text, plain);
        owl_text_words(&text, " stands already on line ");
        owl_text_integer(&text, *line);
        owl_text_words(&text, "; one of the two must go");
        return;
    }
    *line = place->number;
    if (value.start == value.end) {
        struct owl_text text = complain_span(place, whole);
        owl_text_words(&text, plain);
        owl_text_words(&text, " has no value; ");
        owl_text_words(&text, owl_unit_example(place->section->fields[field].unit));
        owl_text_words(&text, " would be right");
        return;
    }
    read_value(place, value, field);
}

static void read_entry(struct place *place, struct span whole)
{
    const char *equals = memchr(whole.start, '=', (size_t)(whole.end - whole.start));
    if (place->section == NULL) {
        if (place->under_bad_heading || place->headless_told)
            return; /* told once already */
        place->headless_told = true;
        struct owl_text text = complain_span(place, whole);
        owl_text_words(&text, "this stands under no heading; a line such as [site] above it would be right");
    } else if (!equals) {
        struct owl_text text = complain_span(place, whole);
        owl_text_words(&text, "this is neither a heading nor 'name = value'; remarks begin with #");
    } else {
        read_assignment(place, whole, equals);
    }
}

static void read_line(struct place *place)
{
    const char *remark = memchr(place->line.start, '#', (size_t)(place->line.end - place->line.start));
    struct span content = trimmed((struct span){place->line.start, remark ? remark : place->line.end});
    if (content.start == content.end)
        return;
    if (*content.start == '[')
        read_heading(place, content);
    else
        read_entry(place, content);
}

static void read_lines(struct owl_reading *reading)
{
    struct place place = {.reading = reading};
    const char *here = reading->bytes, *end = reading->bytes + reading->length;
    while (here < end) {
        const char *feed = memchr(here, '\n', (size_t)(end - here));
        const char *stop = feed ? feed : end;
        place.number++;
        place.line = (struct span){here, stop > here && stop[-1] == '\r' ? stop - 1 : stop};
        read_line(&place);
        here = feed ? feed + 1 : end;
    }
}

/* ---- what is missing ---- */

static bool section_stands(const struct owl_reading *reading, int index, int nth)
{
    const struct owl_section *section = owl_section_at(index);
    if (section->most == 1)
        return nth == 0 && (reading->section_line[index] != 0 || strcmp(section->name, "bait") != 0);
    return nth < (strcmp(section->name, "flash") == 0 ? reading->plan.flashes : reading->plan.passers);
}

static void complain_missing(struct owl_reading *reading)
{
    for (int s = 0; s < owl_section_count(); s++) {
        const struct owl_section *section = owl_section_at(s);
        for (int nth = 0; nth < section->most && section_stands(reading, s, nth); nth++) {
            for (int field = 0; field < section->field_count; field++) {
                const struct owl_field *row = &section->fields[field];
                if (strcmp(row->standard, OWL_REQUIRED) != 0 ||
                    reading->plan.line_of[owl_field_slot(section, nth, field)])
                    continue;
                struct owl_text text = owl_complain_field(reading, section->name, nth, row->name);
                owl_text_char(&text, '[');
                owl_text_words(&text, section->name);
                owl_text_words(&text, "] lacks '");
                owl_text_words(&text, row->name);
                owl_text_words(&text, "' (");
                owl_text_words(&text, row->help);
                owl_text_words(&text, "); ");
                owl_text_words(&text, row->unit == OWL_UNIT_CHOICE ? "'" : owl_unit_example(row->unit));
                if (row->unit == OWL_UNIT_CHOICE) {
                    owl_text_words(&text, row->name);
                    owl_text_words(&text, " = ");
                    owl_text_words(&text, row->choice(3));
                    owl_text_words(&text, "' for one");
                }
                owl_text_words(&text, " would be right");
            }
        }
    }
}

static int line_of_section(const struct owl_reading *reading, const struct owl_section *section, int nth)
{
    if (section->most == 1)
        return reading->section_line[section - owl_section_at(0)];
    return strcmp(section->name, "flash") == 0 ? reading->flash_line[nth] : reading->passer_line[nth];
}

struct owl_text owl_complain_field(struct owl_reading *reading, const char *section_words, int nth,
                                   const char *field_words)
{
    const struct owl_section *section = owl_section_find(section_words);
    int field = field_words ? owl_field_find(section, field_words) : -1;
    int line = field >= 0 ? reading->plan.line_of[owl_field_slot(section, nth, field)] : 0;
    bool value_only = line != 0;
    if (!line)
        line = line_of_section(reading, section, nth);
    if (!line)
        return owl_complain(reading->complaints, 0, 0, 0);
    struct span whole, content;
    owl_text_line(reading->bytes, reading->length, line, &whole.start, &whole.end);
    const char *remark = memchr(whole.start, '#', (size_t)(whole.end - whole.start));
    content = trimmed((struct span){whole.start, remark ? remark : whole.end});
    const char *equals = memchr(content.start, '=', (size_t)(content.end - content.start));
    if (value_only && equals)
        content = trimmed((struct span){equals + 1, content.end});
    return owl_complain(reading->complaints, line, characters(whole.start, content.start) + 1,
                        characters(content.start, content.end));
}

static bool complain_bytes(struct owl_reading *reading)
{
    const char *zero = memchr(reading->bytes, '\0', reading->length);
    if (reading->length > OWL_PLAN_BYTES) {
        struct owl_text text = owl_complain(reading->complaints, 0, 0, 0);
        owl_text_words(&text, "this is too long for a plan; a plan is a text of at most 256 KB");
        return true;
    }
    if (!zero)
        return false;
    int line = 1;
    for (const char *c = reading->bytes; c < zero; c++)
        line += *c == '\n';
    const char *start, *end;
    owl_text_line(reading->bytes, reading->length, line, &start, &end);
    struct owl_text text = owl_complain(reading->complaints, line, characters(start, zero) + 1, 1);
    owl_text_words(&text, "a zero byte stands here, so this is not a text; a plan is plain text (UTF-8)");
    return true;
}

enum owl_status owl_plan_read(const char *bytes, size_t length, struct owl_plan *plan,
                              struct owl_complaints *complaints)
{
    struct owl_reading reading = {.bytes = bytes, .length = length, .complaints = complaints};
    complaints->count = complaints->left_out = 0;
    if (length >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0) {
        reading.bytes += 3;
        reading.length -= 3;
    }
    set_standards(&reading.plan);
    if (complain_bytes(&reading))
        return OWL_BAD_PLAN;
    read_lines(&reading);
    complain_missing(&reading);
    if (complaints->count == 0) {
        owl_plan_complete(&reading.plan);
        owl_plan_check(&reading);
    }
    owl_complaints_sort(complaints);
    if (complaints->count > 0)
        return OWL_BAD_PLAN;
    *plan = reading.plan;
    return OWL_OK;
}
