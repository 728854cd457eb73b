/* Labels in a drawing: where their text can stand so that no two touch and none leaves the board.
   The board is a plain value of the caller's; lengths are in drawing units, y grows downwards. */
#ifndef OWL_CORE_DRAW_LABEL_H
#define OWL_CORE_DRAW_LABEL_H

#include <stdbool.h>

#include "core/text.h"

#define OWL_LABEL_LINES 4
#define OWL_LABEL_BYTES 64
#define OWL_LABEL_BOXES 64
#define OWL_LABEL_STROKES 48

struct owl_label_box {
    double left, top, right, bottom;
};

struct owl_label_stroke {
    double x1, y1, x2, y2;
};

struct owl_label {
    char line[OWL_LABEL_LINES][OWL_LABEL_BYTES]; /* "" for a line it has not */
    double at_x, at_y;                           /* what it names */
    bool strong;                                 /* its first line is set in bolder letters */
    double gap;                                  /* room kept between that and the text */
    struct owl_label_box box;                    /* where the text stands; set by placing */
};

struct owl_label_board {
    double width, height; /* height grows when nothing else helps */
    double font;          /* height of the letters' em square */
    int boxes, strokes;
    struct owl_label_box box[OWL_LABEL_BOXES];          /* taken: never touched */
    struct owl_label_stroke stroke[OWL_LABEL_STROKES];  /* lines: crossed only when that is better
                                                           than standing far off */
};

/* Width of one line of text, on the safe side of what sans-serif faces in use need: letters are
   counted in classes, every character beyond ASCII as a full em. Our own measure. */
double owl_label_width(const char *words, double font);

/* Height of `lines` lines. */
double owl_label_height(int lines, double font);

int owl_label_lines(const struct owl_label *label);

/* From one line of text to the next. */
double owl_label_leading(double font);

bool owl_label_touch(const struct owl_label_box *one, const struct owl_label_box *other);

/* Takes a place on the board for something that is no label; more than there is room for are
   forgotten. */
void owl_label_take(struct owl_label_board *board, double left, double top, double right, double bottom);
void owl_label_cross(struct owl_label_board *board, double x1, double y1, double x2, double y2);

/* Puts the label on a line, as a measure stands on its line. False, and nothing is taken, when no
   stretch of it is free. */
bool owl_label_on_line(struct owl_label_board *board, struct owl_label *label,
                       const struct owl_label_stroke *line);

/* Puts the label as near to its point as a free place is; the board grows downwards when there is
   none. Always finds one. */
void owl_label_near(struct owl_label_board *board, struct owl_label *label);

/* The point of the label's box nearest to what it names, and how far off that is: where a leader
   line ends. */
double owl_label_leader(const struct owl_label *label, double *x, double *y);

#endif
