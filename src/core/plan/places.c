/* Headings and fields found in a text that need not be sound. */
#include "core/plan/places.h"

#include <string.h>

#include "core/plan/complaints.h"
#include "core/plan/reading.h"

#define BOM_BYTES 3

/* Where the finding stands. */
struct finding {
    struct owl_places *places;
    const struct owl_section *section; /* NULL: under none */
    int nth, line;
};

static bool is_flash(const struct owl_section *section)
{
    return strcmp(section->name, "flash") == 0;
}

static char *name_room(struct owl_plan *plan, const struct owl_section *section, int nth)
{
    return is_flash(section) ? plan->flash[nth].name : plan->passer[nth].name;
}

const char *owl_places_name(const struct owl_places *places, const struct owl_section *section, int nth)
{
    if (section->most == 1)
        return "";
    return is_flash(section) ? places->plan.flash[nth].name : places->plan.passer[nth].name;
}

int owl_places_count(const struct owl_places *places, const struct owl_section *section)
{
    if (section->most == 1)
        return 1;
    return is_flash(section) ? places->plan.flashes : places->plan.passers;
}

static bool open_repeated(struct finding *finding, const struct owl_section *section, const char *name)
{
    struct owl_plan *plan = &finding->places->plan;
    int *count = is_flash(section) ? &plan->flashes : &plan->passers;
    if (*name == '\0' || strlen(name) >= OWL_NAME_BYTES || *count == section->most)
        return false;
    for (int i = 0; i < *count; i++)
        if (strcmp(name_room(plan, section, i), name) == 0)
            return false;
    finding->nth = (*count)++;
    memcpy(name_room(plan, section, finding->nth), name, strlen(name) + 1);
    return true;
}

static void find_heading(struct finding *finding, struct owl_span heading)
{
    char words[OWL_READ_NAME_BYTES];
    finding->section = NULL;
    if (heading.end[-1] != ']' || !owl_span_name(owl_span_trimmed((struct owl_span){heading.start + 1, heading.end - 1}), words))
        return;
    char *blank = strchr(words, ' ');
    const char *name = blank ? blank + 1 : "";
    if (blank)
        *blank = '\0';
    for (int i = 0; i < owl_section_count() && i < OWL_HEADINGS_MOST; i++) {
        const struct owl_section *section = owl_section_at(i);
        int *line = &finding->places->heading[i];
        if (strcmp(section->name, words) != 0)
            continue;
        bool opened = section->most > 1 ? open_repeated(finding, section, name) : *name == '\0' && *line == 0;
        if (section->most == 1)
            finding->nth = 0;
        if (opened && *line == 0)
            *line = finding->line;
        finding->section = opened ? section : NULL;
    }
}

static void find_field(struct finding *finding, struct owl_span content)
{
    char name[OWL_READ_NAME_BYTES];
    const char *equals = memchr(content.start, '=', (size_t)(content.end - content.start));
    if (!finding->section || !equals || !owl_span_name(owl_span_trimmed((struct owl_span){content.start, equals}), name))
        return;
    int field = owl_field_find(finding->section, name);
    if (field < 0)
        return;
    int *line = &finding->places->plan.line_of[owl_field_slot(finding->section, finding->nth, field)];
    if (*line == 0)
        *line = finding->line;
}

/* The part of a line before its end and before a remark. */
static struct owl_span content_of(const char *start, const char *stop)
{
    const char *end = stop > start && stop[-1] == '\r' ? stop - 1 : stop;
    const char *remark = memchr(start, '#', (size_t)(end - start));
    return owl_span_trimmed((struct owl_span){start, remark ? remark : end});
}

void owl_places_find(const char *bytes, size_t length, struct owl_places *places)
{
    struct finding finding = {.places = places};
    const char *here = bytes, *end = bytes + length;
    memset(places, 0, sizeof *places);
    if (length >= BOM_BYTES && memcmp(bytes, "\xEF\xBB\xBF", BOM_BYTES) == 0)
        here += BOM_BYTES;
    while (here < end) {
        const char *feed = memchr(here, '\n', (size_t)(end - here));
        struct owl_span content = content_of(here, feed ? feed : end);
        finding.line++;
        if (content.start < content.end && *content.start == '[')
            find_heading(&finding, content);
        else if (content.start < content.end)
            find_field(&finding, content);
        here = feed ? feed + 1 : end;
    }
}

void owl_places_words(const char *bytes, size_t length, int line, struct owl_text *text)
{
    const char *start, *end;
    owl_text_line(bytes, length, line, &start, &end);
    struct owl_span content = content_of(start, end);
    const char *equals = memchr(content.start, '=', (size_t)(content.end - content.start));
    if (!equals)
        return;
    struct owl_span value = owl_span_trimmed((struct owl_span){equals + 1, content.end});
    owl_text_bytes(text, value.start, (size_t)(value.end - value.start));
}
