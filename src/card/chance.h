/* How likely chance alone makes what was counted on a card, without a guess at how the numbers are spread: trends by ranks,
   shares, waits. Pure computation; nothing is allocated. z of all 95 % intervals: OWL_CHANCE_Z_95. */
#ifndef OWL_CARD_CHANCE_H
#define OWL_CARD_CHANCE_H

#include <stdbool.h>

#define OWL_CHANCE_Z_95 1.959963984540054 /* standard normal quantile of 0.975 */
#define OWL_CHANCE_POINTS 200             /* of a trend, at most: its time grows with their square */
#define OWL_CHANCE_SLOPES (OWL_CHANCE_POINTS * (OWL_CHANCE_POINTS - 1) / 2)

struct owl_chance_point {
    double x, y;
};

struct owl_chance_trend {
    double slope;     /* median of the slopes of all pairs, y per x */
    double low, high; /* its 95 % interval; infinite where the points are too few for it */
    double p;         /* of a rank correlation at least as strong either way, were there no trend */
};

/* The robust trend of 3..OWL_CHANCE_POINTS finite points in any order. slopes: room for OWL_CHANCE_SLOPES. All NaN with fewer
   or more points, or all at one x. The points are taken as independent of each other. Interval and p by the normal
   approximation with ties counted: for 6 points p is up to three times too high, never too low by more than a tenth.
   Published [sen1968], [kendall1975]. */
struct owl_chance_trend owl_chance_trend_of(const struct owl_chance_point *point, int count, double *slopes);

/* Some of a number. */
struct owl_chance_share {
    int hits, of;
};

/* P(at least so many of the hits fall to the first), were a hit as likely in both: the exact one-sided test of a table of four.
   1 when either is empty; NaN for hits outside 0..of. Within 1e-10 of p up to 10^5 in all. Published [fisher1922]. */
double owl_chance_more(struct owl_chance_share first, struct owl_chance_share second);

/* P(at least so many hits) when each comes with probability `each`, 0..1: exact binomial tail. NaN outside. */
double owl_chance_at_least(struct owl_chance_share seen, double each);

/* P(a wait is at least `times` >= 0 as long as the longest of `others` >= 1 others) when all come by chance at one rate, whatever
   the rate. any: the wait was picked as the longest of them all; otherwise it was fixed beforehand, such as the last.
   From the Laplace transform of the longest of n exponential waits, prod j/(j + times), by [renyi1953]. NaN outside. */
double owl_chance_wait(double times, int others, bool any);

struct owl_chance_ranked {
    double value;
    bool first;
};

struct owl_chance_ranks {
    double share;     /* of pairs where the first's value is the larger, equal ones half: 0.5 when alike */
    double low, high; /* its 95 % interval [hanley1982] */
    double p;         /* of a share as high, were both alike; normal approximation with ties [mann1947] */
};

/* Whether the values marked `first` are the larger. Sorts value[count] in place. All NaN unless both kinds are there and
   values differ. */
struct owl_chance_ranks owl_chance_larger(struct owl_chance_ranked *value, int count);

#endif
