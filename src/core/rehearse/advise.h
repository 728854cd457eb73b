/* Advice: which settings that can still be changed would win most keepers, found by rehearsing candidates under the
   same random numbers and confirmed under others. Nothing runs in here: each task names seasons to be run, in any
   shares on any threads, before the next is asked for. Same plan, wish and seed: same advice, to the bit.

       if (owl_advise_begin(&advise, &plan, &watch, &habits, &wish, &room) == OWL_OK)
           while (owl_advise_next(&advise, &task))
               owl_rehearsal_run(task.setup, task.seed, task.from, task.to, task.season);

   What is never traded away: X-sync and all else the reader checks, pause and frames of flashes by night, light at the
   eye, trigger voltage and every other danger the plan warns of, cells and card lasting in 90 % of the seasons; and,
   since no frame is judged by them, blur by diffraction and the size of the animal in the picture. What the plan as
   it stands does not keep to must not get worse (advise_bounds.h). */
#ifndef OWL_CORE_REHEARSE_ADVISE_H
#define OWL_CORE_REHEARSE_ADVISE_H

#include "core/rehearse/advise_line.h"

#define OWL_ADVISE_SEASONS 400     /* for a candidate at most, when their number is left to us */
#define OWL_ADVISE_FRESH 3         /* times as many to confirm */
#define OWL_ADVISE_TRIALS_MOST 700 /* candidates in all but those that confirm */
#define OWL_ADVICE_SINGLES 8

struct owl_advise_wish {
    const struct owl_keep *keep;
    int keeps;
    uint64_t seed;
    int seasons; /* for a candidate; 0: as many as their cost allows */
};

/* Keepers more per watch: mean and its 90 % interval. */
struct owl_gain {
    double mean, low, high;
};

struct owl_advised {
    int lever; /* handier ones have lower numbers */
    struct owl_change change[OWL_LEVER_CHANGES];
    int changes;
    struct owl_gain gain;
};

/* Every gain is of seasons that the search did not see, and its interval lies above 0. No singles and no changes
   together: no change is worth making. */
struct owl_advice {
    int trials, seasons, fresh_seasons; /* candidates tried, seasons for each, seasons to confirm */
    double passes, keepers;             /* per watch, of the plan as it stands */
    int singles;
    struct owl_advised single[OWL_ADVICE_SINGLES]; /* each alone, the best first */
    int changes; /* of the best together; 0: they win no more than the best alone */
    struct owl_change together[OWL_CHANGES_MOST];
    struct owl_gain gain;
};

/* Room to work in, the caller's: rows of nights * OWL_NIGHT_ROWS + 1; seasons, and numbers in each column, of
   OWL_ADVISE_FRESH times the seasons wished for, or of OWL_ADVISE_SEASONS when none are. */
#define OWL_ADVISE_COLUMNS 3
struct owl_advise_room {
    struct owl_setup_row *row;
    struct owl_season *season;
    double *column[OWL_ADVISE_COLUMNS];
};

enum owl_advise_phase {
    OWL_ADVISE_AS_IT_IS,
    OWL_ADVISE_ALONE,
    OWL_ADVISE_REFERENCE, /* the best alone, run whole to compare with */
    OWL_ADVISE_TOGETHER,
    OWL_ADVISE_PRUNE,     /* what adds nothing goes back */
    OWL_ADVISE_FRESH_AS_IT_IS,
    OWL_ADVISE_FRESH_ALONE,
    OWL_ADVISE_FRESH_TOGETHER,
    OWL_ADVISE_DONE
};

/* A lever that wins alone. */
struct owl_advise_found {
    int lever, step;
    double gain;
};

/* The state of a search; its members are its own. */
struct owl_advise {
    struct owl_ground ground;
    struct owl_advise_wish wish;
    struct owl_advise_room room;
    int trials_most;
    double worth; /* keepers per watch; less is not worth a change */
    enum owl_advise_phase phase;
    int at, round;        /* of the phase: which lever, line or advice; which time round */
    bool improved;        /* in this round */
    struct owl_line line;
    struct owl_steps best; /* of the changes together */
    struct owl_advise_found found[OWL_LEVERS_MOST]; /* the best first, once all are found */
    int founds;
    struct owl_trial trial;
    struct owl_advice advice;
};

/* Everything but wish and habits is borrowed, the keeps too, and must outlive the search, which must not be moved.
   OWL_OUTSIDE_DOMAIN: the plan cannot be evaluated or rehearsed. */
enum owl_status owl_advise_begin(struct owl_advise *advise, const struct owl_plan *plan, const struct owl_watch_view *watch,
                                 const struct owl_habits *habits, const struct owl_advise_wish *wish,
                                 const struct owl_advise_room *room) OWL_MUST_USE;

/* Seasons to be run: from..to-1 of a setup and seed into season[0 .. to-from-1]. */
struct owl_advise_task {
    const struct owl_setup *setup;
    uint64_t seed;
    int from, to;
    struct owl_season *season;
};

/* Takes in the seasons of the last task and names the next; false when the advice is whole. */
bool owl_advise_next(struct owl_advise *advise, struct owl_advise_task *task);

#endif
