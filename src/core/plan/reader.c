/* Lines, headings and assignments: the text of a plan taken apart. */
#include "core/plan/reader.h"

#include <string.h>

#include "core/plan/reading.h"

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

/* Flashes and passers get theirs when their sections are opened. */
static void set_standards(struct owl_plan *plan)
{
    for (int s = 0; s < owl_section_count(); s++)
        if (owl_section_at(s)->most == 1)
            owl_plan_set_standards(owl_section_at(s), 0, plan);
}

/* ---- headings ---- */

static bool name_allowed(const char *name)
{
    size_t length = strlen(name);
    if (length == 0 || length >= OWL_NAME_BYTES || strcmp(name, "camera") == 0 || strcmp(name, "sensor") == 0)
        return false;
    return strspn(name, "abcdefghijklmnopqrstuvwxyz0123456789-") == length;
}

static char *given_name(struct owl_place *place, int nth)
{
    struct owl_plan *plan = &place->reading->plan;
    return strcmp(place->section->name, "flash") == 0 ? plan->flash[nth].name : plan->passer[nth].name;
}

static bool open_repeated(struct owl_place *place, struct owl_span heading, const char *name)
{
    bool flash = strcmp(place->section->name, "flash") == 0;
    struct owl_reading *reading = place->reading;
    int *count = flash ? &reading->plan.flashes : &reading->plan.passers;
    struct owl_text text;
    if (!name_allowed(name)) {
        text = owl_complain_span(place, heading);
        owl_text_words(&text, "this section needs a name of its own in small letters, such as ");
        owl_text_words(&text, flash ? "[flash key]" : "[passer fox]");
        return false;
    }
    for (int i = 0; i < *count; i++) {
        if (strcmp(given_name(place, i), name) == 0) {
            text = owl_complain_span(place, heading);
            owl_text_words(&text, "this name is taken by the section on line ");
            owl_text_integer(&text, flash ? reading->flash_line[i] : reading->passer_line[i]);
            owl_text_words(&text, "; another name would be right");
            return false;
        }
    }
    if (*count == place->section->most) {
        text = owl_complain_span(place, heading);
        owl_text_words(&text, "at most ");
        owl_text_integer(&text, place->section->most);
        owl_text_words(&text, flash ? " flashes can be planned" : " other passers can be planned");
        return false;
    }
    place->nth = (*count)++;
    owl_plan_set_standards(place->section, place->nth, &reading->plan);
    memcpy(given_name(place, place->nth), name, strlen(name) + 1);
    (flash ? reading->flash_line : reading->passer_line)[place->nth] = place->number;
    return true;
}

static bool open_single(struct owl_place *place, struct owl_span heading, const char *name, int index)
{
    int *line = &place->reading->section_line[index];
    struct owl_text text;
    if (*name) {
        text = owl_complain_span(place, heading);
        owl_text_words(&text, "this section takes no name: [");
        owl_text_words(&text, place->section->name);
        owl_text_words(&text, "] would be right");
        return false;
    }
    if (*line) {
        text = owl_complain_span(place, heading);
        owl_text_words(&text, "this section stands already on line ");
        owl_text_integer(&text, *line);
        owl_text_words(&text, "; one of the two must go");
        return false;
    }
    *line = place->number;
    place->nth = 0;
    return true;
}

static void complain_heading(struct owl_place *place, struct owl_span heading, const char *word)
{
    const char *nearest = owl_spelling_nearest(word, section_name, NULL);
    struct owl_text text = owl_complain_span(place, heading);
    owl_text_words(&text, "no section is called ");
    owl_span_quote(&text, owl_span_trimmed((struct owl_span){heading.start + 1, heading.end - (heading.end[-1] == ']')}));
    owl_text_words(&text, nearest ? "; did you mean [" : "; a plan has [site], [watch], [subject], [stage], [camera], "
                                    "[lens], [sensor], [flash NAME], [passer NAME], [bait], [housing], [climate], [limits]");
    if (nearest) {
        owl_text_words(&text, nearest);
        owl_text_words(&text, "]?");
    }
}

static void read_heading(struct owl_place *place, struct owl_span heading)
{
    char words[OWL_READ_NAME_BYTES] = "";
    place->section = NULL;
    place->under_bad_heading = true;
    if (heading.end[-1] != ']') {
        struct owl_text text = owl_complain_span(place, heading);
        owl_text_words(&text, "the heading is not closed; a ']' at its end would be right");
        return;
    }
    struct owl_span inside = owl_span_trimmed((struct owl_span){heading.start + 1, heading.end - 1});
    if (!owl_span_name(inside, words)) {
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

/* ---- lines ---- */

static void complain_name(struct owl_place *place, struct owl_span name, const char *plain)
{
    struct owl_text text = owl_complain_span(place, name);
    const char *nearest = owl_spelling_nearest(plain, field_name, place->section);
    owl_text_char(&text, '[');
    owl_text_words(&text, place->section->name);
    owl_text_words(&text, "] has no ");
    owl_span_quote(&text, name);
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

static void read_assignment(struct owl_place *place, struct owl_span whole, const char *equals)
{
    struct owl_span name = owl_span_trimmed((struct owl_span){whole.start, equals});
    struct owl_span value = owl_span_trimmed((struct owl_span){equals + 1, whole.end});
    char plain[OWL_READ_NAME_BYTES] = "";
    bool fits = owl_span_name(name, plain);
    int field = fits ? owl_field_find(place->section, plain) : -1;
    if (field < 0) {
        complain_name(place, name.start < name.end ? name : whole, fits ? plain : "");
        return;
    }
    int *line = &place->reading->plan.line_of[owl_field_slot(place->section, place->nth, field)];
    if (*line) {
        struct owl_text text = owl_complain_span(place, name);
        owl_text_words(&text, plain);
        owl_text_words(&text, " stands already on line ");
        owl_text_integer(&text, *line);
        owl_text_words(&text, "; one of the two must go");
        return;
    }
    *line = place->number;
    if (value.start == value.end) {
        struct owl_text text = owl_complain_span(place, whole);
        owl_text_words(&text, plain);
        owl_text_words(&text, " has no value; ");
        owl_text_words(&text, owl_unit_example(place->section->fields[field].unit));
        owl_text_words(&text, " would be right");
        return;
    }
    owl_read_value(place, value, field);
}

static void read_entry(struct owl_place *place, struct owl_span whole)
{
    const char *equals = memchr(whole.start, '=', (size_t)(whole.end - whole.start));
    if (place->section == NULL) {
        if (place->under_bad_heading || place->headless_told)
            return; /* told once already */
        place->headless_told = true;
        struct owl_text text = owl_complain_span(place, whole);
        owl_text_words(&text, "this stands under no heading; a line such as [site] above it would be right");
    } else if (!equals) {
        struct owl_text text = owl_complain_span(place, whole);
        owl_text_words(&text, "this is neither a heading nor 'name = value'; remarks begin with #");
    } else {
        read_assignment(place, whole, equals);
    }
}

static void read_line(struct owl_place *place)
{
    const char *remark = memchr(place->line.start, '#', (size_t)(place->line.end - place->line.start));
    struct owl_span content = owl_span_trimmed((struct owl_span){place->line.start, remark ? remark : place->line.end});
    if (content.start == content.end)
        return;
    if (*content.start == '[')
        read_heading(place, content);
    else
        read_entry(place, content);
}

static void read_lines(struct owl_reading *reading)
{
    struct owl_place place = {.reading = reading};
    const char *here = reading->bytes, *end = reading->bytes + reading->length;
    while (here < end) {
        const char *feed = memchr(here, '\n', (size_t)(end - here));
        const char *stop = feed ? feed : end;
        place.number++;
        place.line = (struct owl_span){here, stop > here && stop[-1] == '\r' ? stop - 1 : stop};
        read_line(&place);
        here = feed ? feed + 1 : end;
    }
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
    struct owl_text text = owl_complain(reading->complaints, line, owl_span_characters(start, zero) + 1, 1);
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
    owl_plan_complain_missing(&reading);
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
