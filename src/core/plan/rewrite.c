/* Values exchanged in a plan and in its text. */
#include "core/plan/rewrite.h"

#include <math.h>
#include <string.h>

#include "core/plan/reading.h"

#define HEADING_BYTES 48
#define BOM_BYTES 3

/* ---- the value ---- */

static bool read_choice(const struct owl_field *field, const char *words, int *value)
{
    for (int i = 0; field->choice(i); i++) {
        if (owl_text_same_name(field->choice(i), words)) {
            *value = i;
            return true;
        }
    }
    return false;
}

static bool read_point(const struct owl_field *field, const char *words, struct owl_point *value)
{
    struct owl_point point = {0.0, 0.0, 0.0};
    size_t at = 0;
    if (owl_unit_read_point(words, strlen(words), &point, &at) != OWL_READ_WELL)
        return false;
    if (!(fabs(point.x_m) <= field->most && fabs(point.y_m) <= field->most && fabs(point.z_m) <= field->most))
        return false;
    *value = point;
    return true;
}

static bool read_number(const struct owl_field *field, const char *words, double *value)
{
    double number = 0.0;
    size_t at = 0;
    if (owl_unit_read(field->unit, words, strlen(words), &number, &at) != OWL_READ_WELL)
        return false;
    bool bulb = field->unit == OWL_UNIT_SHUTTER && isinf(number);
    if (!bulb && !(number >= field->least && number <= field->most))
        return false;
    *value = number;
    return true;
}

static bool read_member(const struct owl_field *field, const char *words, void *member)
{
    switch (field->unit) {
    case OWL_UNIT_TEXT: memcpy(member, words, strlen(words) + 1); return true;
    case OWL_UNIT_CHOICE: return read_choice(field, words, member);
    case OWL_UNIT_POINT: return read_point(field, words, member);
    default: return read_number(field, words, member);
    }
}

/* What the rest of the plan decides, and the user did not, is open again. */
static void forget_derived(struct owl_plan *plan, const struct owl_section *section, int nth, int field)
{
    const struct owl_field *row = &section->fields[field];
    void *member = owl_field_member(section, nth, field, plan);
    if (row->standard[0] != '=' || plan->line_of[owl_field_slot(section, nth, field)] != 0)
        return;
    if (row->unit == OWL_UNIT_CHOICE)
        *(int *)member = -1;
    else if (row->unit == OWL_UNIT_POINT)
        *(struct owl_point *)member = (struct owl_point){NAN, NAN, NAN};
    else
        *(double *)member = NAN;
}

static int times_standing(const struct owl_section *section, const struct owl_plan *plan)
{
    if (section->most == 1)
        return 1;
    return strcmp(section->name, "flash") == 0 ? plan->flashes : plan->passers;
}

static void derive_anew(struct owl_plan *plan)
{
    for (int s = 0; s < owl_section_count(); s++) {
        const struct owl_section *section = owl_section_at(s);
        for (int nth = 0; nth < times_standing(section, plan); nth++)
            for (int field = 0; field < section->field_count; field++)
                forget_derived(plan, section, nth, field);
    }
    owl_plan_complete(plan);
}

enum owl_status owl_plan_apply(const struct owl_change *change, struct owl_plan *plan)
{
    const struct owl_field *field = &change->section->fields[change->field];
    if (!read_member(field, change->words, owl_field_member(change->section, change->nth, change->field, plan)))
        return OWL_OUTSIDE_DOMAIN;
    int *line = &plan->line_of[owl_field_slot(change->section, change->nth, change->field)];
    if (*line == 0)
        *line = -1;
    derive_anew(plan);
    return OWL_OK;
}

/* ---- the text ---- */

/* A stretch of the text. */
struct span {
    const char *start, *end;
};

struct rewriting {
    struct span whole;
    const struct owl_plan *plan;
    const struct owl_change *change;
    int changes;
    int behind[OWL_CHANGES_MOST]; /* the line behind which a change adds its own, 0: in none that is there */
    struct owl_text *text;
};

/* One line: all of it but its end, the part before a remark without blanks around, and where its end lies. */
struct line {
    struct span all, content;
    const char *next;
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

static struct line line_at(const struct rewriting *rewriting, const char *here)
{
    struct line line;
    const char *end = rewriting->whole.end, *feed = memchr(here, '\n', (size_t)(end - here));
    line.next = feed ? feed + 1 : end;
    line.all = (struct span){here, feed ? feed : end};
    if (line.all.end > here && line.all.end[-1] == '\r')
        line.all.end--;
    const char *remark = memchr(here, '#', (size_t)(line.all.end - here));
    line.content = trimmed((struct span){here, remark ? remark : line.all.end});
    return line;
}

static bool is_heading(const struct line *line)
{
    return line->content.start < line->content.end && *line->content.start == '[';
}

static bool is_filler(char c)
{
    return is_blank(c) || c == '_'; /* the reader takes it for a blank */
}

/* The one name a section that stands once can have: its own, in any capitals. */
static bool is_heading_of(const struct line *line, const struct owl_section *section)
{
    char name[HEADING_BYTES];
    struct span inside = {line->content.start + 1, line->content.end - 1};
    while (inside.start < inside.end && is_filler(*inside.start))
        inside.start++;
    while (inside.end > inside.start && is_filler(inside.end[-1]))
        inside.end--;
    size_t length = (size_t)(inside.end - inside.start);
    if (length >= sizeof name)
        return false;
    memcpy(name, inside.start, length);
    name[length] = '\0';
    return owl_text_same_name(name, section->name);
}

/* Whether a later change is to the same field. */
static bool is_overruled(const struct rewriting *rewriting, int number)
{
    const struct owl_change *change = &rewriting->change[number];
    for (int i = number + 1; i < rewriting->changes; i++)
        if (rewriting->change[i].section == change->section && rewriting->change[i].nth == change->nth &&
            rewriting->change[i].field == change->field)
            return true;
    return false;
}

static int line_of(const struct rewriting *rewriting, const struct owl_change *change)
{
    return rewriting->plan->line_of[owl_field_slot(change->section, change->nth, change->field)];
}

/* The change to what stands on a line; NULL when it stays. */
static const struct owl_change *change_on(const struct rewriting *rewriting, int number)
{
    for (int i = 0; i < rewriting->changes; i++)
        if (line_of(rewriting, &rewriting->change[i]) == number && !is_overruled(rewriting, i))
            return &rewriting->change[i];
    return NULL;
}

/* Some line within a section, 0 when it does not stand in the text. A heading with nothing under it has no field
   that would tell. */
static int some_line_of(const struct rewriting *rewriting, const struct owl_section *section, int nth)
{
    for (int field = 0; field < section->field_count; field++) {
        int line = rewriting->plan->line_of[owl_field_slot(section, nth, field)];
        if (line > 0)
            return line;
    }
    int number = 0;
    for (const char *here = rewriting->whole.start; here < rewriting->whole.end;) {
        struct line line = line_at(rewriting, here);
        number++;
        if (is_heading(&line) && is_heading_of(&line, section))
            return number;
        here = line.next;
    }
    return 0;
}

/* The last line of a section that holds something, by a line in it. */
static int last_line_of(const struct rewriting *rewriting, int within)
{
    int number = 0, last = within;
    for (const char *here = rewriting->whole.start; here < rewriting->whole.end;) {
        struct line line = line_at(rewriting, here);
        number++;
        if (number > within && is_heading(&line))
            break;
        if (number > within && line.content.start < line.content.end)
            last = number;
        here = line.next;
    }
    return last;
}

/* As the first line of the text ends. */
static const char *line_end(const struct rewriting *rewriting)
{
    const char *feed = memchr(rewriting->whole.start, '\n', (size_t)(rewriting->whole.end - rewriting->whole.start));
    return feed && feed > rewriting->whole.start && feed[-1] == '\r' ? "\r\n" : "\n";
}

static void write_span(struct owl_text *text, const char *start, const char *end)
{
    owl_text_bytes(text, start, (size_t)(end - start));
}

static int characters(struct span span)
{
    int count = 0;
    for (; span.start < span.end; span.start++)
        count += ((unsigned char)*span.start & 0xC0u) != 0x80u;
    return count;
}

/* Blanks of a length that keeps the remark where it stood, one at least. */
static void write_gap(struct owl_text *text, struct span gap, int grown)
{
    int blanks = (int)(gap.end - gap.start);
    if (grown == 0 || memchr(gap.start, '\t', (size_t)blanks))
        write_span(text, gap.start, gap.end);
    else if (blanks > 0)
        owl_text_repeat(text, ' ', blanks - grown > 1 ? blanks - grown : 1);
}

static void write_changed(const struct rewriting *rewriting, const struct line *line, const char *words)
{
    struct owl_text *text = rewriting->text;
    const char *equals = memchr(line->content.start, '=', (size_t)(line->content.end - line->content.start));
    struct span value = trimmed((struct span){equals + 1, line->content.end}), gap = {line->content.end, line->all.end};
    for (gap.end = gap.start; gap.end < line->all.end && is_blank(*gap.end);)
        gap.end++;
    write_span(text, line->all.start, value.start);
    owl_text_words(text, words);
    write_gap(text, gap, owl_text_columns(words) - characters(value));
    write_span(text, gap.end, line->next);
}

static void write_new(const struct rewriting *rewriting, const struct owl_change *change)
{
    owl_text_words(rewriting->text, change->section->fields[change->field].name);
    owl_text_words(rewriting->text, " = ");
    owl_text_words(rewriting->text, change->words);
    owl_text_words(rewriting->text, line_end(rewriting));
}

/* The last line of the text may lack its end. */
static void end_line(const struct rewriting *rewriting)
{
    const struct owl_text *text = rewriting->text;
    if (text->length > 0 && text->buffer[text->length - 1] != '\n')
        owl_text_words(rewriting->text, line_end(rewriting));
}

static bool is_new(const struct rewriting *rewriting, int i)
{
    return line_of(rewriting, &rewriting->change[i]) <= 0 && !is_overruled(rewriting, i);
}

static void find_places(struct rewriting *rewriting)
{
    for (int i = 0; i < rewriting->changes; i++) {
        const struct owl_change *change = &rewriting->change[i];
        int within = is_new(rewriting, i) ? some_line_of(rewriting, change->section, change->nth) : 0;
        rewriting->behind[i] = within ? last_line_of(rewriting, within) : 0;
    }
}

static void write_added(const struct rewriting *rewriting, int number)
{
    for (int i = 0; i < rewriting->changes; i++) {
        if (rewriting->behind[i] != number)
            continue;
        end_line(rewriting);
        write_new(rewriting, &rewriting->change[i]);
    }
}

static void write_heading(const struct rewriting *rewriting, const struct owl_section *section)
{
    const char *end = line_end(rewriting);
    end_line(rewriting);
    owl_text_words(rewriting->text, end);
    owl_text_char(rewriting->text, '[');
    owl_text_words(rewriting->text, section->name);
    owl_text_char(rewriting->text, ']');
    owl_text_words(rewriting->text, end);
}

/* What no section took, by sections in the order of the table. */
static void write_sections(const struct rewriting *rewriting)
{
    for (int s = 0; s < owl_section_count(); s++) {
        const struct owl_section *section = owl_section_at(s);
        bool begun = false;
        for (int i = 0; i < rewriting->changes; i++) {
            if (rewriting->change[i].section != section || !is_new(rewriting, i) || rewriting->behind[i] != 0)
                continue;
            if (!begun)
                write_heading(rewriting, section);
            begun = true;
            write_new(rewriting, &rewriting->change[i]);
        }
    }
}

void owl_plan_rewrite(const char *bytes, size_t length, const struct owl_plan *plan, const struct owl_change *change,
                      int changes, struct owl_text *text)
{
    struct rewriting rewriting = {.whole = {bytes, bytes + length}, .plan = plan, .change = change, .changes = changes, .text = text};
    int number = 0;
    if (length >= BOM_BYTES && memcmp(bytes, "\xEF\xBB\xBF", BOM_BYTES) == 0) {
        owl_text_bytes(text, bytes, BOM_BYTES);
        rewriting.whole.start += BOM_BYTES;
    }
    find_places(&rewriting);
    for (const char *here = rewriting.whole.start; here < rewriting.whole.end;) {
        struct line line = line_at(&rewriting, here);
        const struct owl_change *changed = change_on(&rewriting, ++number);
        if (changed)
            write_changed(&rewriting, &line, changed->words);
        else
            write_span(text, here, line.next);
        write_added(&rewriting, number);
        here = line.next;
    }
    write_sections(&rewriting);
}
