/* What the parts of the examination share: the frames in order, room to compute in, findings. Private to src/card/health*.c. */
#ifndef OWL_CARD_HEALTH_VIEW_H
#define OWL_CARD_HEALTH_VIEW_H

#include "card/chance.h"
#include "card/health.h"

#define OWL_HEALTH_ALPHA 0.05         /* false alarms of one kind, share of cards */
#define OWL_HEALTH_TREND_NIGHTS 6     /* from so many nights on a trend is one of nights; estimate */

struct owl_health_sample {
    int frame;
    double value;
};

struct owl_health_view {
    const struct owl_judged *judged;
    const struct owl_health_wish *wish;
    struct owl_health *health;
    int *timed;        /* numbers of the frames whose time can be relied on, in order of time */
    int timed_count;
    int *order;        /* the same when they are at least half of all; otherwise all by number */
    int ordered;
    bool by_time;      /* the former */
    double scale;      /* px of the whole picture for one of the small ones */
    struct owl_health_sample *sample;  /* room, for all frames each */
    struct owl_chance_point *point;
    double *column;
    struct owl_chance_ranked *ranked;
    int *tally;        /* room for all frames and one */
    double *slopes;    /* OWL_CHANCE_SLOPES */
};

/* A finding of the kind with everything else 0 or NaN; severity FACT. */
struct owl_health_finding owl_health_new(enum owl_health_kind kind);
void owl_health_add(struct owl_health_view *view, const struct owl_health_finding *finding);

/* The share count/of as the finding's value, with its interval. */
void owl_health_share(struct owl_health_finding *finding);

double owl_health_taken_s(const struct owl_health_view *view, int frame);
double owl_health_night_of(double taken_s); /* whole nights since 1970 */
bool owl_health_flashed(const struct owl_frame_verdict *verdict); /* flashes were to fire */
bool owl_health_missed(const struct owl_frame_verdict *verdict);  /* not all did */
double owl_health_median(double *value, int count);            /* sorts; NaN of none */

/* What changed from the first to the last of samples, by the robust trend; NaN where there are too few. */
struct owl_health_change {
    double whole, low, high, p;
    double nights;       /* between the first and the last sample; NaN by number */
    double from_s, to_s; /* of these */
};

/* Trend of view->sample[0..count), in order. Frames of one night share its weather and its cells, so where there are
   OWL_HEALTH_TREND_NIGHTS nights each night counts once, with its median; otherwise the frames do, as medians of neighbours
   where there are more than OWL_CHANCE_POINTS. */
struct owl_health_change owl_health_change_of(struct owl_health_view *view, int count);

/* Whether chance is ruled out, out of so many tests, and the interval excludes no change. */
bool owl_health_changed(const struct owl_health_change *change, int tests);

/* Empty frames of the commonest light, aperture, sensitivity; flashed: with all flashes fired. Fills view->sample with
   their numbers, returns how many. */
int owl_health_alike(struct owl_health_view *view, bool flashed);

/* The parts. */
void owl_health_find_flashes(struct owl_health_view *view);
void owl_health_find_sight(struct owl_health_view *view);
void owl_health_find_stand(struct owl_health_view *view);
void owl_health_find_triggers(struct owl_health_view *view);
void owl_health_find_clock(struct owl_health_view *view);

#endif
