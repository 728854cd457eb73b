/* Stretches of a plan's text: trimmed, counted, quoted, complained about. */
#include "core/plan/reading.h"

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

struct owl_span owl_span_trimmed(struct owl_span span)
{
    while (span.start < span.end && is_blank(*span.start))
        span.start++;
    while (span.end > span.start && is_blank(span.end[-1]))
        span.end--;
    return span;
}

int owl_span_characters(const char *start, const char *end)
{
    int count = 0;
    for (; start < end; start++)
        count += ((unsigned char)*start & 0xC0u) != 0x80u;
    return count;
}

struct owl_text owl_complain_span(struct owl_place *place, struct owl_span span)
{
    return owl_complain(place->reading->complaints, place->number,
                        owl_span_characters(place->line.start, span.start) + 1, owl_span_characters(span.start, span.end));
}

/* Lower case, runs of blanks and underscores to one blank; false when it does not fit. */
bool owl_span_name(struct owl_span span, char name[OWL_READ_NAME_BYTES])
{
    size_t length = 0;
    bool gap = false;
    for (const char *c = span.start; c < span.end; c++) {
        if (is_blank(*c) || *c == '_') {
            gap = length > 0;
            continue;
        }
        if (length + 2 >= OWL_READ_NAME_BYTES)
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
void owl_span_quote(struct owl_text *text, struct owl_span span)
{
    owl_text_char(text, '\'');
    for (int i = 0; span.start < span.end && i < 40; span.start++, i++)
        owl_text_char(text, (unsigned char)*span.start < 0x20 ? ' ' : *span.start);
    owl_text_words(text, span.start < span.end ? "...'" : "'");
}
