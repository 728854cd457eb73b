/* The nights of a watch laid along the clock: what the ribbon draws and tells. Private to core/draw. */
#ifndef OWL_CORE_DRAW_RIBBON_SCENE_H
#define OWL_CORE_DRAW_RIBBON_SCENE_H

#include "core/draw/chart.h"
#include "core/plan/evaluate.h"

#define OWL_RIBBON_SHADES 12      /* of the light scale, from its dark end */
#define OWL_RIBBON_SHADES_A_TICK 3 /* two powers of ten */
#define OWL_RIBBON_BINS 192       /* ten minutes each: the longest axis there is */

/* A stretch of one night, in rows of the watch view since its noon: 0..OWL_NIGHT_ROWS. */
struct owl_ribbon_span {
    double from, to;
};

/* Clock times are in seconds after the midnight before the night's evening, so that those after midnight go on from
   86400. */
struct owl_ribbon {
    const struct owl_plan *plan;
    const struct owl_evaluation *evaluation;
    const struct owl_watch_view *watch;
    int nights;
    double from_s, to_s;       /* the axis */
    bool thin;                 /* rows too thin for lines under them */
    double left, width;        /* of the rows on the sheet */
    double top, pitch, band;   /* of the first row; from row to row; the lit part of one */
    int armed_nights;          /* in which it is armed at all */
    struct owl_ribbon_span armed_s; /* earliest and latest armed clock time; NaN when never */
    struct owl_chart chart;
};

/* Clock time of a place in a night's rows. */
double owl_ribbon_clock_s(const struct owl_ribbon *ribbon, int night, double rows);

/* How far the clock is put forward in a night, s: 0 for most, negative when put back. */
double owl_ribbon_clock_change_s(const struct owl_ribbon *ribbon, int night);

/* The next armed stretch of a night from row *row on, which moves past it; false when there is none. A night gives at
   most eight, the last reaching over the rest. */
struct owl_ribbon_armed {
    int night, row, given;
};
bool owl_ribbon_next_armed(const struct owl_ribbon *ribbon, struct owl_ribbon_armed *at, struct owl_ribbon_span *span);

/* The stretches between sunset and sunrise in which the moon is up; how many, 0 to 2. */
int owl_ribbon_moon(const struct owl_ribbon *ribbon, int night, struct owl_ribbon_span span[2]);

/* Which shade a light has, 0 darkest; the light between a shade and the one before. */
int owl_ribbon_shade(double light_lx);
double owl_ribbon_shade_lx(int shade);

/* The animal's activity over the clock, mean of all nights, as shares of its peak; bin i begins at from_s + 600 i, NaN
   where no night is. How many bins the axis has is returned. */
int owl_ribbon_activity(const struct owl_ribbon *ribbon, double share[OWL_RIBBON_BINS]);

/* Finds nights, axis and armed time. */
void owl_ribbon_survey(struct owl_ribbon *ribbon);

/* What must be said in words: never armed, the sun that stays down or up, the clock that changes. */
void owl_ribbon_notes(const struct owl_ribbon *ribbon, struct owl_text *text);

/* The text for screen readers. */
void owl_ribbon_describe(const struct owl_ribbon *ribbon, struct owl_text *text);

#endif
