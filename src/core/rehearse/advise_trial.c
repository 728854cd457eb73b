/* Bounds and comparisons. */
#include "core/rehearse/advise_trial.h"

#include <math.h>

#include "core/model/eye.h"

#define LASTS_WANTED 0.9  /* of the seasons; our choice */
#define FILL_KEPT 0.7     /* of the picture's size: beyond, it is another picture; our choice */
#define LINK_WORTH 1e-4   /* keepers; below what any real gain comes to */
#define SLACK 1e-9

static double figure(const struct owl_evaluation *evaluation, enum owl_result result)
{
    return owl_outcome_value(&evaluation->outcome, result, 0);
}

static int count_dangers(const struct owl_evaluation *evaluation)
{
    int dangers = 0;
    for (int i = 0; i < evaluation->warnings; i++)
        dangers += evaluation->warning[i].danger;
    return dangers;
}

static bool flashes_by_night(const struct owl_plan *plan)
{
    return plan->flashes > 0 && plan->sensor.gate != OWL_GATE_DAY;
}

struct owl_bounds owl_bounds_of(const struct owl_plan *plan, const struct owl_evaluation *evaluation)
{
    struct owl_bounds bounds = {
        .eye_margin = fmin(figure(evaluation, OWL_RESULT_EYE_MARGIN), OWL_EYE_MARGIN_WARN), /* NaN is passed by */
        .rest_s = flashes_by_night(plan) ? fmin(plan->sensor.pause_s, OWL_EYE_REST_S) : OWL_EYE_REST_S,
        .flashed_frames = plan->camera.frames,
        .airy_m = fmax(figure(evaluation, OWL_RESULT_AIRY_BLUR), plan->limits.blur_m),
        .fill = FILL_KEPT * figure(evaluation, OWL_RESULT_FILL_WIDTH),
        .dangers = count_dangers(evaluation),
    };
    return bounds;
}

bool owl_bounds_hold(const struct owl_bounds *bounds, const struct owl_plan *plan, const struct owl_evaluation *evaluation)
{
    if (plan->flashes > 0 && !(figure(evaluation, OWL_RESULT_EYE_MARGIN) >= bounds->eye_margin * (1.0 - SLACK)))
        return false;
    if (flashes_by_night(plan) && (plan->sensor.pause_s < bounds->rest_s || plan->camera.frames > bounds->flashed_frames))
        return false;
    return figure(evaluation, OWL_RESULT_AIRY_BLUR) <= bounds->airy_m * (1.0 + SLACK) &&
           figure(evaluation, OWL_RESULT_FILL_WIDTH) >= bounds->fill * (1.0 - SLACK) && count_dangers(evaluation) <= bounds->dangers;
}

/* The share of the seasons in which a store lasts; devices that are not there last. */
static double lasting(const struct owl_season *season, int seasons, int store)
{
    int count = 0;
    for (int i = 0; i < seasons; i++)
        count += isinf(season[i].out_nights[store]) != 0;
    return (double)count / seasons;
}

void owl_bounds_take_seasons(struct owl_bounds *bounds, const struct owl_season *season, int seasons)
{
    for (int store = 0; store <= OWL_RIG_CARD; store++)
        bounds->lasts[store] = fmin(lasting(season, seasons, store), LASTS_WANTED);
}

bool owl_bounds_hold_seasons(const struct owl_bounds *bounds, const struct owl_season *season, int seasons)
{
    for (int store = 0; store <= OWL_RIG_CARD; store++)
        if (lasting(season, seasons, store) < bounds->lasts[store])
            return false;
    return true;
}

int owl_steps_changes(const struct owl_steps *steps, const struct owl_lever *lever, int levers, const struct owl_plan *plan,
                      struct owl_change change[OWL_CHANGES_MOST])
{
    int count = 0;
    for (int i = 0; i < levers; i++) {
        if (steps->step[i] == 0)
            continue;
        int more = count + OWL_LEVER_CHANGES <= OWL_CHANGES_MOST ? owl_lever_changes(&lever[i], plan, steps->step[i], change + count) : 0;
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
        score += LINK_WORTH * (row - OWL_LEDGER_ROWS) * season->ledger.first[row];
    return score;
}
