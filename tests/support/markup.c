/* Tags counted on a stack, and rooms of labels held against each other. */
#include "support/markup.h"

#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "support/check.h"

#include "core/draw/label.h"

#define BOXES 64
#define LEAST_LABELS 10 /* any stage has more */
#define WIDTH 440.0
#define FONT 13.5
#define ROUNDING 0.11   /* of coordinates to a decimal */

#define DEEPEST 64
#define NAME_BYTES 32

struct open_tags {
    char name[DEEPEST][NAME_BYTES];
    int depth;
};

static void check_attributes(const char *from, const char *end)
{
    int quotes = 0;
    for (; from < end; from++) {
        assert_true(*from != '<');
        quotes += *from == '"';
    }
    assert_int_equal(quotes % 2, 0);
}

/* The tag from < to > against those open. */
static void check_tag(struct open_tags *open, const char *from, const char *end)
{
    char name[NAME_BYTES] = "";
    bool closing = from[1] == '/', alone = end[-1] == '/';
    size_t length = strcspn(from + 1, " >\n");
    assert_true(length < sizeof name);
    memcpy(name, from + 1 + closing, length - closing);
    check_attributes(from + 1, end);
    if (closing) {
        assert_true(open->depth > 0);
        assert_string_equal(open->name[--open->depth], name);
    } else if (!alone) {
        assert_true(open->depth < DEEPEST);
        strcpy(open->name[open->depth++], name);
    }
}

void check_balance(const char *text)
{
    struct open_tags open = {.depth = 0};
    for (const char *c = text; *c; c++) {
        if (*c == '&')
            assert_non_null(strchr("alqg#", c[1]));
        if (*c != '<')
            continue;
        const char *end = strchr(c, '>');
        assert_non_null(end);
        if (c[1] != '!')
            check_tag(&open, c, end);
        c = end;
    }
    assert_int_equal(open.depth, 0);
}

static double sheet_height(const char *svg)
{
    const char *view = strstr(svg, "viewBox=\"0 0 ");
    assert_non_null(view);
    char *end;
    assert_true(strtod(view + 13, &end) == WIDTH);
    return strtod(end, NULL);
}

static const char *next_box(const char *from)
{
    const char *found = strstr(from, "data-box=\"");
    return found ? found + 10 : NULL;
}

static struct owl_label_box read_box(const char *words)
{
    char *end = (char *)(uintptr_t)words;
    struct owl_label_box box;
    box.left = strtod(end, &end);
    box.top = strtod(end, &end);
    box.right = strtod(end, &end);
    box.bottom = strtod(end, &end);
    return box;
}

/* The words of a text element, with a plain letter for each entity. */
static void read_words(const char *from, char *words, size_t room)
{
    size_t length = 0;
    for (; *from != '<'; from++) {
        assert_true(length + 1 < room);
        words[length++] = *from == '&' ? 'x' : *from;
        if (*from == '&')
            from = strchr(from, ';');
    }
    words[length] = '\0';
}

/* Measured by its characters. */
static void check_texts(const char *label, double room)
{
    const char *close = strstr(label, "</g>");
    for (const char *t = strstr(label, "<text"); t && t < close; t = strstr(t + 1, "<text")) {
        char words[128];
        read_words(strchr(t, '>') + 1, words, sizeof words);
        assert_true(owl_label_width(words, FONT) <= room + ROUNDING);
    }
}

void check_labels(const char *svg)
{
    struct owl_label_box box[BOXES];
    double height = sheet_height(svg);
    int count = 0;
    for (const char *c = next_box(svg); c; c = next_box(c)) {
        assert_true(count < BOXES);
        const struct owl_label_box *here = &box[count];
        box[count++] = read_box(c);
        assert_true(here->left >= 0.0 && here->top >= 0.0 && here->right <= WIDTH && here->bottom <= height);
        for (int i = 0; i < count - 1; i++)
            assert_false(owl_label_touch(here, &box[i]));
        check_texts(c, here->right - here->left);
    }
    assert_true(count >= LEAST_LABELS);
}

void check_drawing(const char *svg)
{
    check_balance(svg);
    check_labels(svg);
    assert_null(strstr(svg, "nan"));
    assert_null(strstr(svg, "inf"));
    assert_null(strstr(svg, "<script"));
}
