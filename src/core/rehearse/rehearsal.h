/* Many seasons, and what they come to together: the ledger with its spread, the odds night by night, what runs out.
   Seasons may be run in any shares on any threads into one array; the summing up goes through it in order, so the
   outcome is the same to the bit. Arrays are the caller's. */
#ifndef OWL_CORE_REHEARSE_REHEARSAL_H
#define OWL_CORE_REHEARSE_REHEARSAL_H

#include "core/rehearse/season.h"

#define OWL_REHEARSAL_SEASONS_MOST 1000000

/* Runs seasons from..to-1 into season[0 .. to-from-1]. */
void owl_rehearsal_run(const struct owl_setup *setup, uint64_t seed, int from, int to, struct owl_season *season);

/* How a number spreads over the seasons: its mean, and what 5, 50 and 95 of 100 seasons do not exceed. */
struct owl_spread {
    double mean, low, middle, high;
};

/* The chances of which the nights needed are told. */
#define OWL_REHEARSAL_CHANCES 3
double owl_rehearsal_chance(int i); /* 0.5, 0.8, 0.95 */

struct owl_rehearsal {
    int seasons, nights;
    struct owl_spread passes;                                          /* of the subject, per watch */
    struct owl_spread first[OWL_LEDGER_ROWS], only[OWL_LEDGER_ROWS];   /* the ledger, per watch; keepers are first[0] */
    double keepers_error;                                              /* standard error of the mean of keepers */
    double odds[OWL_NIGHTS_MOST + 1];                                  /* of a keeper by the end of night n; odds[0] = 0 */
    double nights_for[OWL_REHEARSAL_CHANCES];                          /* INFINITY: not within this watch */
    struct owl_spread out_nights[OWL_RIG_CARD + 1];                    /* mean not told (NaN); INFINITY: it lasts */
    double lasts[OWL_RIG_CARD + 1];                                    /* share of the seasons in which it does */
    struct owl_spread frames, false_frames, firings, flashes, unrested; /* per watch */
    double shortest_gap_s;     /* between two firings with flash, the shortest of all seasons; INFINITY: none */
    struct owl_spread gap_s;   /* the shortest of each season; mean not told (NaN) */
};

/* Sums up season[0 .. seasons-1], seasons >= 1; column[seasons] is room to work in. */
void owl_rehearsal_reduce(const struct owl_setup *setup, const struct owl_season *season, int seasons, double *column,
                          struct owl_rehearsal *rehearsal);

/* Seasons after which the standard error of the mean of keepers is a hundredth of it, judged by some that were run
   already: at least `least`, at most `most`. */
int owl_rehearsal_seasons_wanted(const struct owl_season *season, int seasons, int least, int most);

#endif
