/* What the ribbon and the curves are drawn with: one sheet of fixed width whose texts keep apart, and pieces of SVG.
   Private to core/draw. The sheet is a plain value of the caller's; lengths are in drawing units, y grows downwards. */
#ifndef OWL_CORE_DRAW_CHART_H
#define OWL_CORE_DRAW_CHART_H

#include <stdbool.h>

#include "core/text.h"

#define OWL_CHART_WIDTH 440.0
#define OWL_CHART_FONT 13.0
#define OWL_CHART_LINE 17.0   /* from one line of text to the next */
#define OWL_CHART_EDGE 6.0    /* kept free at the sheet's sides */
#define OWL_CHART_TEXTS 160
#define OWL_CHART_WORDS 96
#define OWL_CHART_PARAGRAPH 512
#define OWL_CHART_SWATCH 20.0 /* width of a picture in the key */

enum owl_chart_anchor { OWL_CHART_START, OWL_CHART_MIDDLE, OWL_CHART_END };

struct owl_chart_text {
    double left, top, right, bottom; /* the room it keeps */
    double x;
    enum owl_chart_anchor anchor;
    char words[OWL_CHART_WORDS];
};

struct owl_chart {
    double height;
    int texts;
    struct owl_chart_text text[OWL_CHART_TEXTS];
};

/* Puts words beside, around or before x, its line beginning at `top`. False, and nothing is put, when they would touch
   others or leave the sheet at a side. */
bool owl_chart_put(struct owl_chart *chart, double x, double top, enum owl_chart_anchor anchor, const char *words);

/* Puts a paragraph broken into lines; where the next one may begin is returned. No word of it may be wider than
   `right` - `left`. */
double owl_chart_paragraph(struct owl_chart *chart, double left, double right, double top, const char *words);

/* The key, filled line by line: where the next entry goes. */
struct owl_chart_key {
    double x, top;
};

/* Puts one entry, its picture OWL_CHART_SWATCH wide at *x and the line's middle *y. */
void owl_chart_entry(struct owl_chart *chart, struct owl_chart_key *key, const char *words, double *x, double *y);

/* The drawing's beginning up to the words of its desc, which follow; and from their end to the first shape.
   `name`: its ids begin with it. */
void owl_chart_open(const struct owl_chart *chart, const char *name, const char *title, struct owl_text *svg);
void owl_chart_begin(const struct owl_chart *chart, struct owl_text *svg);

/* The texts, and the end. */
void owl_chart_close(const struct owl_chart *chart, struct owl_text *svg);

/* A number to a tenth, as short as it can be; ` name="value"`; one bar. */
void owl_chart_number(struct owl_text *svg, double value);
void owl_chart_attribute(struct owl_text *svg, const char *name, double value);
void owl_chart_bar(struct owl_text *svg, const char *class, double x, double y, double width, double height);

/* A path: opened, moved to a point, moved on along one direction, closed. */
void owl_chart_path(struct owl_text *svg, const char *class);
void owl_chart_move(struct owl_text *svg, double x, double y);
void owl_chart_along(struct owl_text *svg, char direction, double length);
void owl_chart_end(struct owl_text *svg);

/* One straight line along (`h`) or down (`v`). */
void owl_chart_line(struct owl_text *svg, const char *class, double x, double y, char direction, double length);

/* The date so many days after 1970-01-01 as `9 Jan`; hours of a clock as `17:00`, also beyond midnight. */
void owl_chart_date(struct owl_text *text, double days);
void owl_chart_clock(struct owl_text *text, double clock_s);

/* The first of the steps, in the order given, that is at least `least`; the last when none is. */
double owl_chart_step(const double *steps, int count, double least);

/* Numbers 1, 2, 5, 10 .. up to `last` along an axis from x to x + width, evenly spaced, with their ticks at the line's top. */
void owl_chart_nights_axis(struct owl_chart *chart, double x, double width, double top, int last);

#endif
