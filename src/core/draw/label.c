/* The search for free places: rings around the point, then the whole board, then more board. */
#include "core/draw/label.h"

#include <math.h>
#include <string.h>

#include "core/constants.h"

#define LINE_HEIGHT 1.22
#define STRONG_WIDTH 1.1    /* of bolder letters, against plain ones */
#define PADDING 2.0         /* kept free above and below a text, drawing units */
#define SIDE_PADDING 5.0    /* beside it: two texts in a row must not read as one */
#define DIRECTIONS 16
#define RINGS 12
#define RING_STEP 12.0
#define GRID_STEP 6.0
/* What a place costs, in drawing units of distance. */
#define COST_CROSSED 14.0   /* text on a line of the drawing */
#define COST_LEADER 9.0     /* its leader over a line */
#define COST_OVER_TEXT 90.0 /* its leader over another text or device */

static double letter_width(unsigned char c)
{
    if (c >= 0x80)
        return (c & 0xC0) == 0x80 ? 0.0 : 1.0;
    if (strchr(" .,:;'|!ijlt1-/()[]fr", c))
        return 0.44;
    if (strchr("mwMW@%", c))
        return 1.0;
    return c >= 'A' && c <= 'Z' ? 0.76 : 0.62;
}

double owl_label_width(const char *words, double font)
{
    double width = 0.0;
    for (; *words; words++)
        width += letter_width((unsigned char)*words);
    return width * font;
}

double owl_label_leading(double font)
{
    return LINE_HEIGHT * font;
}

double owl_label_height(int lines, double font)
{
    return lines * owl_label_leading(font);
}

int owl_label_lines(const struct owl_label *label)
{
    int lines = 0;
    while (lines < OWL_LABEL_LINES && label->line[lines][0])
        lines++;
    return lines;
}

bool owl_label_touch(const struct owl_label_box *one, const struct owl_label_box *other)
{
    return one->left < other->right && other->left < one->right && one->top < other->bottom &&
           other->top < one->bottom;
}

void owl_label_take(struct owl_label_board *board, double left, double top, double right, double bottom)
{
    if (board->boxes < OWL_LABEL_BOXES)
        board->box[board->boxes++] = (struct owl_label_box){left, top, right, bottom};
}

void owl_label_cross(struct owl_label_board *board, double x1, double y1, double x2, double y2)
{
    if (board->strokes < OWL_LABEL_STROKES)
        board->stroke[board->strokes++] = (struct owl_label_stroke){x1, y1, x2, y2};
}

static double text_width(const struct owl_label *label, double font)
{
    double width = 0.0;
    for (int i = 0; i < owl_label_lines(label); i++)
        width = fmax(width, (i == 0 && label->strong ? STRONG_WIDTH : 1.0) * owl_label_width(label->line[i], font));
    return width;
}

static struct owl_label_box box_around(double x, double y, double width, double height)
{
    return (struct owl_label_box){x - width / 2.0, y - height / 2.0, x + width / 2.0, y + height / 2.0};
}

/* Narrows [*from, *to], the part of a stroke inside the half plane start + t * change >= 0. */
static bool clip(double start, double change, double *from, double *to)
{
    if (change == 0.0)
        return start >= 0.0;
    double at = -start / change;
    if (change > 0.0)
        *from = fmax(*from, at);
    else
        *to = fmin(*to, at);
    return *from < *to;
}

static bool stroke_meets(const struct owl_label_stroke *stroke, const struct owl_label_box *box)
{
    double dx = stroke->x2 - stroke->x1, dy = stroke->y2 - stroke->y1, from = 0.0, to = 1.0;
    return clip(stroke->x1 - box->left, dx, &from, &to) && clip(box->right - stroke->x1, -dx, &from, &to) &&
           clip(stroke->y1 - box->top, dy, &from, &to) && clip(box->bottom - stroke->y1, -dy, &from, &to);
}

static bool strokes_meet(const struct owl_label_stroke *one, const struct owl_label_stroke *other)
{
    double ax = one->x2 - one->x1, ay = one->y2 - one->y1, bx = other->x2 - other->x1, by = other->y2 - other->y1;
    double turn = ax * by - ay * bx, cx = other->x1 - one->x1, cy = other->y1 - one->y1;
    if (turn == 0.0)
        return false;
    double t = (cx * by - cy * bx) / turn, u = (cx * ay - cy * ax) / turn;
    return t > 0.0 && t < 1.0 && u > 0.0 && u < 1.0;
}

static bool free_place(const struct owl_label_board *board, const struct owl_label_box *box)
{
    struct owl_label_box wide = {box->left - SIDE_PADDING, box->top - PADDING, box->right + SIDE_PADDING,
                                 box->bottom + PADDING};
    if (wide.left < 0.0 || wide.top < 0.0 || wide.right > board->width || wide.bottom > board->height)
        return false;
    for (int i = 0; i < board->boxes; i++)
        if (owl_label_touch(&wide, &board->box[i]))
            return false;
    return true;
}

static int strokes_under(const struct owl_label_board *board, const struct owl_label_box *box,
                         const struct owl_label_stroke *own)
{
    int count = 0;
    for (int i = 0; i < board->strokes; i++) {
        const struct owl_label_stroke *stroke = &board->stroke[i];
        if (own && memcmp(stroke, own, sizeof *own) == 0)
            continue;
        count += stroke_meets(stroke, box);
    }
    return count;
}

static void settle(struct owl_label_board *board, struct owl_label *label, const struct owl_label_box *box)
{
    label->box = *box;
    owl_label_take(board, box->left, box->top, box->right, box->bottom);
}

bool owl_label_on_line(struct owl_label_board *board, struct owl_label *label,
                       const struct owl_label_stroke *line)
{
    static const double shares[] = {0.5, 0.56, 0.44, 0.62, 0.38, 0.68, 0.32, 0.74, 0.26, 0.8};
    double width = text_width(label, board->font), height = owl_label_height(owl_label_lines(label), board->font);
    for (int crossed = 0; crossed <= 1; crossed++) {
        for (size_t i = 0; i < sizeof shares / sizeof *shares; i++) {
            label->at_x = line->x1 + shares[i] * (line->x2 - line->x1);
            label->at_y = line->y1 + shares[i] * (line->y2 - line->y1);
            struct owl_label_box box = box_around(label->at_x, label->at_y, width, height);
            if (!free_place(board, &box) || strokes_under(board, &box, line) > crossed)
                continue;
            settle(board, label, &box);
            return true;
        }
    }
    return false;
}

double owl_label_leader(const struct owl_label *label, double *x, double *y)
{
    *x = fmin(fmax(label->at_x, label->box.left), label->box.right);
    *y = fmin(fmax(label->at_y, label->box.top), label->box.bottom);
    return hypot(*x - label->at_x, *y - label->at_y);
}

/* Distance, and what the text and its leader would cover. */
static double cost_of(const struct owl_label_board *board, const struct owl_label *label,
                      const struct owl_label_box *box)
{
    struct owl_label there = *label;
    struct owl_label_stroke leader = {label->at_x, label->at_y, 0.0, 0.0};
    there.box = *box;
    double cost = owl_label_leader(&there, &leader.x2, &leader.y2);
    cost += COST_CROSSED * strokes_under(board, box, NULL);
    if (cost <= label->gap + 1.0)
        return cost;
    for (int i = 0; i < board->strokes; i++)
        cost += strokes_meet(&leader, &board->stroke[i]) ? COST_LEADER : 0.0;
    for (int i = 0; i < board->boxes; i++) {
        const struct owl_label_box *taken = &board->box[i];
        bool own = label->at_x >= taken->left && label->at_x <= taken->right && label->at_y >= taken->top &&
                   label->at_y <= taken->bottom;
        cost += !own && stroke_meets(&leader, taken) ? COST_OVER_TEXT : 0.0;
    }
    return cost;
}

struct search {
    struct owl_label_box best;
    double cost; /* infinite while none is found */
};

static void try_place(const struct owl_label_board *board, const struct owl_label *label,
                      const struct owl_label_box *box, struct search *search)
{
    if (!free_place(board, box))
        return;
    double cost = cost_of(board, label, box);
    if (cost < search->cost) {
        search->cost = cost;
        search->best = *box;
    }
}

static void try_rings(const struct owl_label_board *board, const struct owl_label *label, double width,
                      double height, struct search *search)
{
    for (int ring = 0; ring < RINGS; ring++) {
        for (int i = 0; i < DIRECTIONS; i++) {
            double angle = i * OWL_TAU / DIRECTIONS, reach = label->gap + ring * RING_STEP;
            double x = label->at_x + cos(angle) * (reach + width / 2.0);
            double y = label->at_y + sin(angle) * (reach + height / 2.0);
            struct owl_label_box box = box_around(x, y, width, height);
            try_place(board, label, &box, search);
        }
    }
}

static void try_everywhere(const struct owl_label_board *board, const struct owl_label *label, double width,
                           double height, struct search *search)
{
    for (double y = height / 2.0 + PADDING; y < board->height; y += GRID_STEP) {
        for (double x = width / 2.0 + SIDE_PADDING; x < board->width; x += GRID_STEP) {
            struct owl_label_box box = box_around(x, y, width, height);
            try_place(board, label, &box, search);
        }
    }
}

void owl_label_near(struct owl_label_board *board, struct owl_label *label)
{
    struct search search = {.cost = INFINITY};
    double width = text_width(label, board->font), height = owl_label_height(owl_label_lines(label), board->font);
    try_rings(board, label, width, height, &search);
    if (isinf(search.cost))
        try_everywhere(board, label, width, height, &search);
    if (isinf(search.cost)) {
        double left = fmax(SIDE_PADDING, fmin(label->at_x - width / 2.0, board->width - width - SIDE_PADDING));
        search.best = (struct owl_label_box){left, board->height + PADDING, left + width, board->height + PADDING + height};
        board->height = search.best.bottom + PADDING;
    }
    settle(board, label, &search.best);
}
