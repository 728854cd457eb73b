/* Candidates made, run in stages, and compared. */
#include "core/rehearse/advise_trial.h"

#include <math.h>

#include "core/plan/reader.h"

#define FIRST_STAGE 8  /* 1/8 of the seasons, then */
#define SECOND_STAGE 3 /* 1/3 */
#define STAGE_LEAST 25
#define HOPE 3.0       /* standard errors by which a candidate may be better than it looks */

int owl_steps_moved(const struct owl_steps *steps)
{
    int moved = 0;
    for (int i = 0; i < OWL_LEVERS_MOST; i++)
        moved += steps->step[i] != 0;
    return moved;
}

int owl_steps_changes(const struct owl_ground *ground, const struct owl_steps *steps, struct owl_change change[OWL_CHANGES_MOST])
{
    int count = 0;
    for (int i = 0; i < ground->levers; i++) {
        if (steps->step[i] == 0)
            continue;
        bool room = count + OWL_LEVER_CHANGES <= OWL_CHANGES_MOST;
        int more = room ? owl_lever_changes(&ground->lever[i], ground->plan, steps->step[i], change + count) : 0;
        if (more == 0)
            return -1;
        count += more;
    }
    return count;
}

struct owl_difference owl_difference_of(const double *trial, const double *reference, int count)
{
    double sum = 0.0, squares = 0.0;
    for (int i = 0; i < count; i++)
        sum += trial[i] - reference[i];
    double mean = sum / count;
    for (int i = 0; i < count; i++) {
        double off = trial[i] - reference[i] - mean;
        squares += off * off;
    }
    return (struct owl_difference){mean, count > 1 ? sqrt(squares / (count - 1) / count) : INFINITY};
}

double owl_season_score(const struct owl_season *season)
{
    double score = season->ledger.first[OWL_LEDGER_KEEPER];
    for (int row = OWL_LEDGER_AWAY; row < OWL_LEDGER_ROWS; row++)
        score -= OWL_LINK_WORTH * (OWL_LEDGER_ROWS - row) * season->ledger.first[row];
    return score;
}

static bool make_plan(struct owl_trial *trial, const struct owl_ground *ground)
{
    struct owl_change change[OWL_CHANGES_MOST];
    int changes = owl_steps_changes(ground, &trial->steps, change);
    trial->plan = *ground->plan;
    for (int i = 0; i < changes; i++)
        if (owl_plan_apply(&change[i], &trial->plan) != OWL_OK)
            return false;
    trial->plan.subject.passes_per_night = ground->plan->subject.passes_per_night;
    return changes >= 0 && owl_keeps_hold(ground->keep, ground->keeps, ground->plan, &trial->plan) &&
           owl_plan_stands(&trial->plan);
}

bool owl_trial_begin(struct owl_trial *trial, const struct owl_ground *ground, const struct owl_steps *steps, int wanted,
                     double target)
{
    trial->steps = *steps;
    trial->done = trial->to = 0;
    trial->wanted = wanted;
    trial->target = target;
    trial->held = false;
    trial->running = make_plan(trial, ground) &&
                     owl_plan_evaluate(&trial->plan, ground->watch, &trial->evaluation) == OWL_OK &&
                     owl_bounds_hold(&ground->bounds, &trial->plan, &trial->evaluation) &&
                     owl_setup_prepare(&trial->plan, ground->watch, &trial->evaluation, &ground->habits, ground->row,
                                       &trial->setup) == OWL_OK;
    return trial->running;
}

void owl_trial_go_on(struct owl_trial *trial)
{
    int first = trial->wanted / FIRST_STAGE, second = trial->wanted / SECOND_STAGE;
    if (trial->target == -INFINITY || second < STAGE_LEAST || trial->done >= second)
        trial->to = trial->wanted;
    else if (trial->done == 0)
        trial->to = first > STAGE_LEAST ? first : STAGE_LEAST;
    else
        trial->to = second;
}

bool owl_trial_judge(struct owl_trial *trial, const struct owl_ground *ground, const struct owl_season *season,
                     const double *score, const double *reference)
{
    trial->done = trial->to;
    trial->difference = owl_difference_of(score, reference, trial->done);
    bool hopeless = trial->difference.mean + HOPE * trial->difference.error <= trial->target;
    if (!hopeless && trial->done < trial->wanted)
        return false;
    trial->held = !hopeless && owl_bounds_hold_seasons(&ground->bounds, season, trial->done);
    trial->running = false;
    return true;
}
