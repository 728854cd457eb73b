/* One candidate of the search for better settings: its plan, and its seasons against those of another plan under the
   same random numbers. Owns nothing. */
#ifndef OWL_CORE_REHEARSE_ADVISE_TRIAL_H
#define OWL_CORE_REHEARSE_ADVISE_TRIAL_H

#include "core/rehearse/advise_bounds.h"
#include "core/rehearse/advise_levers.h"

/* A step for each lever, 0 for those that stay. */
struct owl_steps {
    int step[OWL_LEVERS_MOST];
};

int owl_steps_moved(const struct owl_steps *steps);

/* What all candidates share. Plan, watch, keeps and rows are borrowed. */
struct owl_ground {
    const struct owl_plan *plan;
    const struct owl_watch_view *watch;
    struct owl_habits habits;
    const struct owl_keep *keep;
    int keeps;
    struct owl_setup_row *row; /* nights * OWL_NIGHT_ROWS + 1, of the setup at hand */
    struct owl_lever lever[OWL_LEVERS_MOST];
    int levers;
    struct owl_bounds bounds;
};

/* The changes of some steps, in the order of the levers; -1 when a lever has no such value. */
int owl_steps_changes(const struct owl_ground *ground, const struct owl_steps *steps, struct owl_change change[OWL_CHANGES_MOST]);

/* What a difference between two plans comes to: the mean over seasons and its standard error. */
struct owl_difference {
    double mean, error;
};

/* Of trial[i] - reference[i], i < count, count >= 1; error INFINITY for one. */
struct owl_difference owl_difference_of(const double *trial, const double *reference, int count);

/* How good a season is: its keepers, less OWL_LINK_WORTH for each link of the chain that a lost pass was still to get
   past, so that of two plans without a keeper the one nearer to one is told. */
#define OWL_LINK_WORTH 1e-4
double owl_season_score(const struct owl_season *season);

struct owl_trial {
    struct owl_steps steps;
    struct owl_plan plan;
    struct owl_evaluation evaluation;
    struct owl_setup setup;
    int done, to, wanted; /* seasons run, being run, to be run */
    double target;        /* a mean difference that must stay within hope; -INFINITY: run all seasons */
    bool running;
    bool held; /* all seasons were run, within the bounds */
    struct owl_difference difference;
};

/* Makes the plan and prepares its seasons; false when gear, reader, bounds or keeps do not allow it. The passes of the
   subject stay what the plan as it stands says, also where it left them to sensor and place. */
bool owl_trial_begin(struct owl_trial *trial, const struct owl_ground *ground, const struct owl_steps *steps, int wanted,
                     double target);

/* Sets how far the next seasons go. A hopeless candidate shows after an eighth, or a third, of them. */
void owl_trial_go_on(struct owl_trial *trial);

/* Judges what was run: score[0 .. trial->to-1] against reference. False when more seasons are to be run. */
bool owl_trial_judge(struct owl_trial *trial, const struct owl_ground *ground, const struct owl_season *season,
                     const double *score, const double *reference);

#endif
