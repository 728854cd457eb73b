/* Complaints: their list, their layout, and the guess at what was meant. */
#include "core/plan/complaints.h"

#include <limits.h>
#include <string.h>

#define SPELLING_BYTES 40
#define SHOWN_LINE_BYTES 100

struct owl_text owl_complain(struct owl_complaints *complaints, int line, int column, int width)
{
    if (complaints->count == OWL_COMPLAINTS) {
        complaints->left_out++;
        return owl_text_over(complaints->nowhere, sizeof complaints->nowhere);
    }
    struct owl_complaint *complaint = &complaints->list[complaints->count++];
    *complaint = (struct owl_complaint){line, column, width, ""};
    return owl_text_over(complaint->words, sizeof complaint->words);
}

void owl_text_line(const char *text, size_t length, int line, const char **start, const char **end)
{
    const char *last = text + length, *here = text;
    for (int i = 1; i < line && here < last; i++) {
        const char *feed = memchr(here, '\n', (size_t)(last - here));
        here = feed ? feed + 1 : last;
    }
    const char *feed = here < last ? memchr(here, '\n', (size_t)(last - here)) : NULL;
    *start = here;
    *end = feed ? feed : last;
    if (*end > *start && (*end)[-1] == '\r')
        (*end)--;
}

/* Bytes of a line that a terminal can show: control bytes become blanks, long lines are cut. */
static void show_line(const char *start, const char *end, struct owl_text *text)
{
    for (int i = 0; start < end && i < SHOWN_LINE_BYTES; start++, i++)
        owl_text_char(text, (unsigned char)*start < 0x20 || *start == 0x7F ? ' ' : *start);
}

void owl_complaint_show(const struct owl_complaint *complaint, const char *file, const char *plan,
                        size_t length, struct owl_text *text)
{
    owl_text_words(text, file);
    owl_text_char(text, ':');
    if (complaint->line > 0) {
        owl_text_integer(text, complaint->line);
        owl_text_char(text, ':');
        owl_text_integer(text, complaint->column);
        owl_text_char(text, ':');
    }
    owl_text_char(text, ' ');
    owl_text_words(text, complaint->words);
    owl_text_char(text, '\n');
    if (complaint->line == 0)
        return;
    const char *start, *end;
    owl_text_line(plan, length, complaint->line, &start, &end);
    size_t before = text->length;
    owl_text_words(text, "  ");
    owl_text_integer(text, complaint->line);
    owl_text_words(text, " | ");
    int margin = (int)(text->length - before);
    show_line(start, end, text);
    owl_text_char(text, '\n');
    if (complaint->column > SHOWN_LINE_BYTES)
        return;
    owl_text_repeat(text, ' ', margin - 2);
    owl_text_words(text, "| ");
    owl_text_repeat(text, ' ', complaint->column - 1);
    int width = complaint->width < 1 ? 1 : complaint->width;
    owl_text_repeat(text, '^', width < SHOWN_LINE_BYTES ? width : SHOWN_LINE_BYTES);
    owl_text_char(text, '\n');
}

static int sort_place(const struct owl_complaint *complaint)
{
    return complaint->line == 0 ? INT_MAX : complaint->line;
}

void owl_complaints_sort(struct owl_complaints *complaints)
{
    for (int i = 1; i < complaints->count; i++) {
        struct owl_complaint moving = complaints->list[i];
        int j = i;
        for (; j > 0 && sort_place(&complaints->list[j - 1]) > sort_place(&moving); j--)
            complaints->list[j] = complaints->list[j - 1];
        complaints->list[j] = moving;
    }
}

static int least(int a, int b)
{
    return a < b ? a : b;
}

/* Distance with swaps of neighbours (restricted Damerau-Levenshtein), three rows kept. */
int owl_spelling_distance(const char *one, const char *other)
{
    size_t rows = strlen(one), columns = strlen(other);
    int cost[3][SPELLING_BYTES + 1];
    if (rows > SPELLING_BYTES || columns > SPELLING_BYTES)
        return INT_MAX;
    for (size_t j = 0; j <= columns; j++)
        cost[0][j] = (int)j;
    for (size_t i = 1; i <= rows; i++) {
        int *now = cost[i % 3], *last = cost[(i + 2) % 3], *before = cost[(i + 1) % 3];
        now[0] = (int)i;
        for (size_t j = 1; j <= columns; j++) {
            now[j] = least(least(last[j], now[j - 1]) + 1, last[j - 1] + (one[i - 1] != other[j - 1]));
            if (i > 1 && j > 1 && one[i - 1] == other[j - 2] && one[i - 2] == other[j - 1])
                now[j] = least(now[j], before[j - 2] + 1);
        }
    }
    return cost[rows % 3][columns];
}

const char *owl_spelling_nearest(const char *word, const char *(*candidate)(const void *list, int place),
                                 const void *list)
{
    const char *best = NULL, *name;
    int nearest = least(1 + (int)strlen(word) / 4, 3) + 1;
    for (int i = 0; (name = candidate(list, i)) != NULL; i++) {
        int distance = owl_spelling_distance(word, name);
        if (distance < nearest) {
            nearest = distance;
            best = name;
        }
    }
    return best;
}
