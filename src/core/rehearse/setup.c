/* Hoisting: from a plan and its evaluation to what the event loop reads. */
#include "core/rehearse/setup.h"

#include <math.h>

#include "core/constants.h"
#include "core/model/heat.h"
#include "core/model/metering.h"

#define SPEED_SPREAD 0.3 /* estimate */
#define TURN_PER_M 1.0   /* estimate: over a metre a path turns aside by as much as it is off */
#define TURN_MOST_RAD (15.0 * OWL_RAD_PER_DEG) /* beyond, the box of a walk along the path says little; estimate */
#define SD_PER_SCATTER 0.5 /* `path scatter` is how far passes stray to either side: two standard deviations */

struct owl_habits owl_setup_usual_habits(void)
{
    return (struct owl_habits){.speed_spread = SPEED_SPREAD, .turn_per_m = TURN_PER_M};
}

struct owl_habits owl_setup_habits_of(const struct owl_plan *plan)
{
    struct owl_habits habits = owl_setup_usual_habits();
    const struct owl_plan_body *subject = &plan->subject;
    habits.speed_spread = subject->speed_spread;
    habits.stays = subject->stays;
    habits.stay_s = subject->stay_s;
    habits.shy = subject->shy;
    habits.shy_nights = subject->shy_nights;
    habits.group = subject->group;
    if (!isnan(subject->scouted_nights)) {
        habits.scouted_passes = subject->scouted_passes;
        habits.scouted_nights = subject->scouted_nights;
    }
    return habits;
}

static bool habits_hold(const struct owl_habits *habits)
{
    const double number[] = {habits->scouted_passes, habits->scouted_nights, habits->speed_spread, habits->turn_per_m,
                             habits->stays,          habits->stay_s,         habits->shy,          habits->shy_nights,
                             habits->group};
    for (size_t i = 0; i < sizeof number / sizeof *number; i++)
        if (!(number[i] >= 0.0 && isfinite(number[i])))
            return false;
    return true;
}

static struct owl_walker walker_of(const struct owl_plan_body *body)
{
    return (struct owl_walker){.passes_per_night = body->passes_per_night,
                               .speed_m_s = body->speed_m_s,
                               .length_m = body->length_m,
                               .width_m = body->width_m,
                               .height_m = body->height_m,
                               .pattern = body->pattern};
}

static void prepare_walkers(struct owl_setup *setup)
{
    const struct owl_plan *plan = setup->plan;
    setup->walker[0] = walker_of(&plan->subject);
    for (int i = 0; i < plan->passers; i++)
        setup->walker[1 + i] = walker_of(&plan->passer[i].body);
    setup->walkers = 1 + plan->passers;
    setup->offset_sd_m = SD_PER_SCATTER * plan->stage.path_scatter_m;
    setup->turn_sd_rad = fmin(atan(setup->habits.turn_per_m * setup->offset_sd_m), TURN_MOST_RAD);
}

static bool clock_arms(const struct owl_plan_watch *watch, double clock_s)
{
    if (isnan(watch->from_s) || isnan(watch->to_s))
        return true;
    if (watch->from_s <= watch->to_s)
        return clock_s >= watch->from_s && clock_s < watch->to_s;
    return clock_s >= watch->from_s || clock_s < watch->to_s;
}

/* The activity of a row's ten minutes is that at its beginning, as in the plan's own sums. */
static void spread_activity(const struct owl_watch_view *watch, int pattern, int night, struct owl_setup_row *row)
{
    const struct owl_watch_row *seen = &watch->row[night * OWL_NIGHT_ROWS];
    double sum = 0.0;
    for (int i = 0; i < OWL_NIGHT_ROWS; i++) {
        row[i].before[pattern] = sum;
        sum += owl_activity_at(&watch->activity, pattern, seen[i].anchored_rad);
    }
    for (int i = 0; i < OWL_NIGHT_ROWS; i++)
        row[i].before[pattern] /= sum;
}

static void prepare_rows(struct owl_setup *setup, struct owl_setup_row *row)
{
    const struct owl_watch_view *watch = setup->watch;
    int rows = setup->nights * OWL_NIGHT_ROWS;
    for (int i = 0; i <= rows; i++) {
        const struct owl_watch_row *seen = &watch->row[i];
        row[i] = (struct owl_setup_row){
            .log_lx = log(seen->light_lx),
            .scheduled = clock_arms(&setup->plan->watch, seen->clock_s),
            .by_day = seen->anchored_rad >= 0.5 * OWL_PI && seen->anchored_rad < 1.5 * OWL_PI,
        };
    }
    for (int night = 0; night < setup->nights; night++)
        for (int i = 0; i < setup->walkers; i++)
            spread_activity(watch, setup->walker[i].pattern, night, &row[night * OWL_NIGHT_ROWS]);
    setup->row = row;
}

/* The reach law is rated range * min(most, scale * sqrt(area * response)): one call each with a target too small
   to meet the bound and one far beyond it give both numbers, and no pass has to integrate a spectrum. */
static void prepare_reach(struct owl_setup *setup)
{
    const struct owl_plan_climate *climate = &setup->plan->climate;
    const double hz = 1.0;
    for (int day = 0; day < 2; day++) {
        double air_k = day ? climate->day_k : climate->night_k;
        double coat_k = air_k + owl_heat_coat_excess_k(air_k, OWL_HEAT_BODY_K);
        struct owl_heat_target small = {1e-9, owl_heat_contrast_w_m2(coat_k, air_k), hz};
        setup->reach_scale[day] = owl_heat_range_m(1.0, &small) / sqrt(small.area_m2 * owl_heat_response(hz));
    }
    struct owl_heat_target vast = {1e9, 1e3, hz};
    setup->reach_most = owl_heat_range_m(1.0, &vast);
}

static void prepare_light(struct owl_setup *setup, const struct owl_evaluation *evaluation)
{
    const struct owl_plan *plan = setup->plan;
    const struct owl_plan_camera *camera = &plan->camera;
    setup->light = (struct owl_evaluating){
        .plan = plan,
        .pixel_m = camera->width_m / camera->pixels_across,
    };
    owl_light_prepare(&setup->light);
    setup->ghost_factor = owl_metering_stops_factor(plan->limits.ghost_stops);
    setup->exposure_factor = owl_metering_stops_factor(plan->limits.exposure_stops);
    for (int i = 0; i < plan->flashes; i++) {
        const struct owl_plan_flash *flash = &plan->flash[i];
        setup->lamp[i] = (struct owl_setup_lamp){
            .intensity_cds = owl_outcome_value(&evaluation->outcome, OWL_RESULT_FLASH_INTENSITY, i),
            .pulse_s = owl_outcome_value(&evaluation->outcome, OWL_RESULT_FLASH_TENTH, i),
            .half_coverage_rad = flash->coverage_rad / 2.0,
            .power = flash->power,
            .recycle_s = flash->recycle_s,
            .sleeps_after_s = isnan(flash->sleeps_after_s) ? INFINITY : flash->sleeps_after_s,
        };
    }
}

/* The plan's figure of what a set of cells gives in a night keeps the numbers that went into it: voltage, current
   all the time, frames, energy of a frame. */
static bool prepare_cells(struct owl_setup *setup, const struct owl_evaluation *evaluation)
{
    enum { VOLTS, AMPERES, FRAMES, FRAME_ENERGY };
    const struct owl_plan *plan = setup->plan;
    double months = setup->nights * OWL_SECONDS_PER_DAY / OWL_CELLS_MONTH_S;
    setup->devices = OWL_DEVICE_FLASH + plan->flashes;
    for (int device = 0; device < setup->devices; device++) {
        const struct owl_figure *draw = owl_outcome_find(&evaluation->outcome, OWL_RESULT_CELLS_DRAW, device);
        struct owl_setup_cells *cells = &setup->cells[device];
        if (!draw)
            return false;
        cells->kind = owl_cells_at((size_t)owl_device_supply(plan, device)->kind);
        cells->store_j = owl_outcome_value(&evaluation->outcome, OWL_RESULT_CELLS_STORE, device);
        cells->end_j = cells->store_j * owl_cells_left_share(cells->kind, plan->climate.night_k, months);
        cells->standby_w = draw->input[VOLTS] * draw->input[AMPERES];
        cells->frame_j = draw->input[FRAME_ENERGY];
    }
    setup->card_frames = owl_outcome_value(&evaluation->outcome, OWL_RESULT_CARD_FRAMES, 0);
    setup->frames_per_firing = plan->camera.frames;
    return !isnan(setup->card_frames);
}

static bool count_arrivals(struct owl_setup *setup)
{
    bool scouted = setup->belief.nights > 0.0;
    double per_night = setup->plan->sensor.false_triggers;
    per_night += scouted ? owl_odds_rate_mean(setup->belief) : setup->walker[0].passes_per_night;
    for (int i = 1; i < setup->walkers; i++)
        per_night += setup->walker[i].passes_per_night;
    setup->arrivals = per_night * setup->nights;
    return setup->arrivals <= OWL_SETUP_ARRIVALS_MOST && setup->arrivals * setup->frames_per_firing <= OWL_SETUP_FRAMES_MOST;
}

enum owl_status owl_setup_prepare(const struct owl_plan *plan, const struct owl_watch_view *watch,
                                  const struct owl_evaluation *evaluation, const struct owl_habits *habits,
                                  struct owl_setup_row *row, struct owl_setup *setup)
{
    if (!habits_hold(habits) || evaluation->outcome.undefined > 0)
        return OWL_OUTSIDE_DOMAIN;
    *setup = (struct owl_setup){.plan = plan, .watch = watch, .habits = *habits, .nights = watch->nights};
    if (habits->scouted_nights > 0.0)
        setup->belief = owl_odds_posterior(habits->scouted_passes, habits->scouted_nights, owl_odds_jeffreys());
    prepare_walkers(setup);
    prepare_light(setup, evaluation);
    if (!prepare_cells(setup, evaluation) || !count_arrivals(setup))
        return OWL_OUTSIDE_DOMAIN;
    prepare_reach(setup);
    prepare_rows(setup, row);
    return owl_view_of(plan, &setup->light.view);
}

double owl_setup_time_s(const struct owl_setup *setup, int pattern, double nights_worth)
{
    int night = (int)nights_worth;
    double share = nights_worth - night;
    const struct owl_setup_row *row = &setup->row[night * OWL_NIGHT_ROWS];
    int low = 0, high = OWL_NIGHT_ROWS; /* before[low] <= share < before[high], the night's end counting as 1 */
    while (high - low > 1) {
        int middle = (low + high) / 2;
        if (row[middle].before[pattern] <= share)
            low = middle;
        else
            high = middle;
    }
    double from = row[low].before[pattern], to = high < OWL_NIGHT_ROWS ? row[high].before[pattern] : 1.0;
    double part = to > from ? fmin((share - from) / (to - from), 1.0) : 0.0;
    return night * OWL_SECONDS_PER_DAY + (low + part) * OWL_ROW_STEP_S;
}

static bool gate_open(const struct owl_plan_sensor *sensor, double light_lx)
{
    if (sensor->gate == OWL_GATE_ALWAYS)
        return true;
    return (light_lx < sensor->gate_lx) == (sensor->gate == OWL_GATE_NIGHT);
}

/* Between rows the logarithm of the light runs straight, so that the gate opens where the plan says it does. */
struct owl_minute owl_setup_minute(const struct owl_setup *setup, double at_s)
{
    double end_s = setup->nights * OWL_SECONDS_PER_DAY;
    double place = fmin(fmax(at_s, 0.0), end_s) / OWL_ROW_STEP_S;
    int i = (int)place;
    if (i == setup->nights * OWL_NIGHT_ROWS)
        i--;
    double part = place - i;
    const struct owl_setup_row *row = &setup->row[i];
    struct owl_minute minute = {.at_s = at_s, .by_day = row->by_day};
    minute.light_lx = exp(row[0].log_lx + part * (row[1].log_lx - row[0].log_lx));
    minute.clock_s = fmod(setup->watch->row[i].clock_s + part * OWL_ROW_STEP_S, OWL_SECONDS_PER_DAY);
    minute.shutter_s = owl_shutter_at_s(&setup->light, minute.light_lx);
    minute.ambient_lxs = minute.light_lx * minute.shutter_s;
    minute.armed = row->scheduled && gate_open(&setup->plan->sensor, minute.light_lx);
    return minute;
}
