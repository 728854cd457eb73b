/* The bounds of a plan, and whether another keeps within them. */
#include "core/rehearse/advise_bounds.h"

#include <math.h>

#include "core/model/eye.h"
#include "core/model/flash.h"

#define LASTS_WANTED 0.9 /* of the seasons; our choice */
#define FILL_KEPT 0.7    /* of the animal's size in the frame: beyond, it is another picture; our choice */
#define SLACK 1e-9       /* of rounding */

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

/* Whether the sensor holds the shutter open by day, too. */
static bool holds_by_day(const struct owl_plan *plan)
{
    return plan->flashes > 0 && isinf(plan->camera.shutter_s) && plan->sensor.gate != OWL_GATE_NIGHT;
}

static double sync_time_s(const struct owl_plan *plan)
{
    double longest_s = 0.0;
    for (int i = 0; i < plan->flashes; i++)
        longest_s = fmax(longest_s, owl_flash_sync_time_s(plan->camera.xsync_s, plan->flash[i].link_delay_s));
    return longest_s;
}

struct owl_bounds owl_bounds_of(const struct owl_plan *plan, const struct owl_evaluation *evaluation)
{
    double sync_s = sync_time_s(plan);
    return (struct owl_bounds){
        .eye_margin = fmin(figure(evaluation, OWL_RESULT_EYE_MARGIN), OWL_EYE_MARGIN_WARN), /* NaN is passed by */
        .rest_s = flashes_by_night(plan) ? fmin(plan->sensor.pause_s, OWL_EYE_REST_S) : OWL_EYE_REST_S,
        .flashed_frames = plan->camera.frames,
        .day_hold_s = holds_by_day(plan) ? fmin(plan->sensor.day_hold_s, sync_s) : sync_s,
        .airy_m = fmax(figure(evaluation, OWL_RESULT_AIRY_BLUR), plan->limits.blur_m),
        .fill = FILL_KEPT * figure(evaluation, OWL_RESULT_FILL_WIDTH),
        .dangers = count_dangers(evaluation),
    };
}

bool owl_bounds_hold(const struct owl_bounds *bounds, const struct owl_plan *plan, const struct owl_evaluation *evaluation)
{
    if (plan->flashes > 0 && !(figure(evaluation, OWL_RESULT_EYE_MARGIN) >= bounds->eye_margin * (1.0 - SLACK)))
        return false;
    if (flashes_by_night(plan) && (plan->sensor.pause_s < bounds->rest_s || plan->camera.frames > bounds->flashed_frames))
        return false;
    if (holds_by_day(plan) && plan->sensor.day_hold_s < bounds->day_hold_s * (1.0 - SLACK))
        return false;
    return figure(evaluation, OWL_RESULT_AIRY_BLUR) <= bounds->airy_m * (1.0 + SLACK) &&
           figure(evaluation, OWL_RESULT_FILL_WIDTH) >= bounds->fill * (1.0 - SLACK) &&
           count_dangers(evaluation) <= bounds->dangers;
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
