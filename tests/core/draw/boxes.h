/* Whether the texts of a chart keep apart: each names the room it keeps in data-box. Fails the running test. */
#ifndef OWL_TESTS_BOXES_H
#define OWL_TESTS_BOXES_H

#include <stdlib.h>
#include <string.h>

#include "support/check.h"
#include "support/markup.h"

#include "core/draw/chart.h"
#include "core/draw/label.h"

static inline struct owl_label_box read_room(const char *words)
{
    char *end = (char *)(uintptr_t)words;
    struct owl_label_box box;
    box.left = strtod(end, &end);
    box.top = strtod(end, &end);
    box.right = strtod(end, &end);
    box.bottom = strtod(end, &end);
    return box;
}

/* Words as they are seen, a plain letter for each entity. */
static inline void check_width(const char *text, double room)
{
    char words[OWL_CHART_WORDS + 1];
    size_t length = 0;
    for (const char *c = strchr(text, '>') + 1; *c != '<'; c++) {
        assert_true(length < OWL_CHART_WORDS);
        words[length++] = *c == '&' ? 'x' : *c;
        if (*c == '&')
            c = strchr(c, ';');
    }
    words[length] = '\0';
    assert_true(length > 0);
    assert_true(owl_label_width(words, OWL_CHART_FONT) <= room + 0.21);
}

/* Well formed, no number that is none, nothing fetched, no text off the sheet or on another; every <text> has a room. */
static inline int check_chart(const char *svg)
{
    static struct owl_label_box box[OWL_CHART_TEXTS];
    char *end;
    int count = 0;
    check_balance(svg);
    double width = strtod(strstr(svg, "viewBox=\"0 0 ") + 13, &end), height = strtod(end, NULL);
    assert_true(width == OWL_CHART_WIDTH);
    for (const char *c = strstr(svg, "<text"); c; c = strstr(c + 1, "<text")) {
        assert_memory_equal(c, "<text data-box=\"", 16);
        assert_true(count < OWL_CHART_TEXTS);
        box[count] = read_room(c + 16);
        const struct owl_label_box *here = &box[count];
        assert_true(here->left >= 0.0 && here->top >= 0.0 && here->right <= width && here->bottom <= height);
        for (int i = 0; i < count; i++)
            assert_false(owl_label_touch(here, &box[i]));
        check_width(c, here->right - here->left);
        count++;
    }
    assert_null(strstr(svg, "nan"));
    assert_null(strstr(svg, "\"inf"));
    assert_null(strstr(svg, " inf"));
    assert_null(strstr(svg, "<script"));
    assert_null(strstr(svg, "@import"));
    assert_null(strstr(strstr(svg, "http") + 1, "http"));
    return count;
}

#endif
