/* Values exchanged in a plan and in its text. */
#include "core/plan/rewrite.h"

#include <math.h>
#include <string.h>

#include "core/plan/reading.h"

#define BOM_BYTES 3

/* ---- the value ---- */

/* By the reader's own rules, as though the words stood alone on a line. */
static bool read_words(const struct owl_change *change, struct owl_plan *plan)
{
    struct owl_complaints complaints = {.count = 0};
    struct owl_span words = {change->words, change->words + strlen(change->words)};
    struct owl_reading reading = {.bytes = words.start, .plan = *plan, .complaints = &complaints};
    struct owl_place place = {.reading = &reading, .line = words, .number = 1, .section = change->section, .nth = change->nth};
    struct owl_span trimmed = owl_span_trimmed(words);
    if (words.start == words.end || trimmed.start != words.start || trimmed.end != words.end || strpbrk(words.start, "#\r\n"))
        return false; /* a line could not hold them so */
    owl_read_value(&place, words, change->field);
    if (complaints.count > 0)
        return false;
    *plan = reading.plan;
    return true;
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
    if (!read_words(change, plan))
        return OWL_OUTSIDE_DOMAIN;
    int *line = &plan->line_of[owl_field_slot(change->section, change->nth, change->field)];
    if (*line == 0)
        *line = -1;
    derive_anew(plan);
    return OWL_OK;
}

/* ---- the text ---- */

struct rewriting {
    struct owl_span whole;
    const struct owl_plan *plan;
    const struct owl_change *change;
    int changes;
    int behind[OWL_CHANGES_MOST]; /* the line behind which a change adds its own, 0: in none that is there */
    struct owl_text *text;
};

/* One line: all of it but its end, the part before a remark without blanks around, and where its end lies. */
struct line {
    struct owl_span all, content;
    const char *next;
};

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

static struct line line_at(const struct rewriting *rewriting, const char *here)
{
    struct line line;
    const char *end = rewriting->whole.end, *feed = memchr(here, '\n', (size_t)(end - here));
    line.next = feed ? feed + 1 : end;
    line.all = (struct owl_span){here, feed ? feed : end};
    if (line.all.end > here && line.all.end[-1] == '\r')
        line.all.end--;
    const char *remark = memchr(here, '#', (size_t)(line.all.end - here));
    line.content = owl_span_trimmed((struct owl_span){here, remark ? remark : line.all.end});
    return line;
}

static bool is_heading(const struct line *line)
{
    return line->content.start < line->content.end && *line->content.start == '[';
}

static bool is_heading_of(const struct line *line, const struct owl_section *section)
{
    char name[OWL_READ_NAME_BYTES];
    struct owl_span inside = {line->content.start + 1, line->content.end - 1};
    return owl_span_name(owl_span_trimmed(inside), name) && strcmp(name, section->name) == 0;
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

/* Blanks of a length that keeps the remark where it stood, one at least. */
static void write_gap(struct owl_text *text, struct owl_span gap, int grown)
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
    struct owl_span value = owl_span_trimmed((struct owl_span){equals + 1, line->content.end}), gap = {line->content.end, line->all.end};
    for (gap.end = gap.start; gap.end < line->all.end && is_blank(*gap.end);)
        gap.end++;
    write_span(text, line->all.start, value.start);
    owl_text_words(text, words);
    write_gap(text, gap, owl_text_columns(words) - owl_span_characters(value.start, value.end));
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
