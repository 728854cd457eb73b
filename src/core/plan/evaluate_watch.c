/* The nights: armed time, the light in it, the animals' activity in it, and when to come back. */
#include <math.h>

#include "core/constants.h"
#include "core/plan/evaluating.h"

/* Share of the time from this row to the next that lies within the armed hours, which may run over
   midnight. */
static double clock_share(const struct owl_plan_watch *watch, double clock_s)
{
    if (isnan(watch->from_s) || isnan(watch->to_s))
        return 1.0;
    double day_s = OWL_SECONDS_PER_DAY;
    double window_s = watch->to_s - watch->from_s + (watch->to_s <= watch->from_s ? day_s : 0.0);
    double start_s = clock_s - watch->from_s + (clock_s < watch->from_s ? day_s : 0.0), end_s = start_s + OWL_ROW_STEP_S;
    double inside_s = (end_s < window_s ? end_s : window_s) - start_s;
    double next_day_s = end_s - day_s;
    return ((inside_s > 0.0 ? inside_s : 0.0) + (next_day_s > 0.0 ? next_day_s : 0.0)) / OWL_ROW_STEP_S;
}

/* Where between two rows the light passes a level: 0 at the first, 1 at the second, by its logarithm. */
static double crossing(double first_lx, double second_lx, double level_lx)
{
    if (first_lx <= 0.0 || second_lx <= 0.0 || first_lx == second_lx)
        return 0.5;
    return log(level_lx / first_lx) / log(second_lx / first_lx);
}

/* Share of the time from this row to the next in which the light gate is open. */
static double gate_share(const struct owl_plan_sensor *sensor, double here_lx, double next_lx)
{
    if (sensor->gate == OWL_GATE_ALWAYS)
        return 1.0;
    bool dark = here_lx < sensor->gate_lx, dark_next = next_lx < sensor->gate_lx;
    double dark_share = dark ? 1.0 : 0.0;
    if (dark != dark_next) {
        double at = crossing(here_lx, next_lx, sensor->gate_lx);
        dark_share = dark ? at : 1.0 - at;
    }
    return sensor->gate == OWL_GATE_NIGHT ? dark_share : 1.0 - dark_share;
}

static double armed_share(const struct owl_plan *plan, const struct owl_watch_row *row)
{
    double by_clock = clock_share(&plan->watch, row->clock_s);
    return by_clock > 0.0 ? by_clock * gate_share(&plan->sensor, row[0].light_lx, row[1].light_lx) : 0.0;
}

/* What judging one row's light needs, worked out once for all rows. */
struct light_limits {
    double ghost_factor, exposure_factor; /* the limits as factors */
    double by_flash, per_ambient_lxs; /* shares of a right exposure: all the flashes', and of 1 lx s of ambient light */
    double per_second_m, blur_m;      /* the image's speed on the image sensor, and the blur allowed */
    bool pulse_smears;
};

static struct light_limits limits_of(const struct owl_evaluating *part)
{
    const struct owl_plan_limits *limits = &part->plan->limits;
    double per_second_m = part->magnification * part->speed_across_m_s;
    return (struct light_limits){
        .ghost_factor = exp2(limits->ghost_stops),
        .exposure_factor = exp2(limits->exposure_stops),
        .by_flash = part->flash_lxs / part->flash_needed_lxs,
        .per_ambient_lxs = 1.0 / part->ambient_needed_lxs,
        .per_second_m = per_second_m,
        .blur_m = limits->blur_m,
        .pulse_smears = per_second_m * part->longest_pulse_s > limits->blur_m,
    };
}

static struct owl_light_faults judge_light(const struct owl_evaluating *part, double light_lx, const struct light_limits *limits)
{
    double shutter_s = owl_shutter_at_s(part, light_lx), ambient_lxs = light_lx * shutter_s;
    struct owl_light_case light = {
        .flash_lxs = part->flash_lxs,
        .ambient_lxs = ambient_lxs,
        .total = limits->by_flash + ambient_lxs * limits->per_ambient_lxs,
        .ghost_factor = limits->ghost_factor,
        .exposure_factor = limits->exposure_factor,
        .shutter_smears = limits->per_second_m * shutter_s > limits->blur_m,
        .pulse_smears = limits->pulse_smears,
    };
    return owl_light_judge(&light);
}

/* Sums over rows: armed time, and activity in all and in armed time. The last three are of the
   subject's armed activity. */
struct tally {
    double armed, all[OWL_PATTERNS], in_armed[OWL_PATTERNS], ghosts, smears, wrongs;
};

/* The light the rig meets while armed: the rows' own, cut off at the gate level. */
static void take_light(const struct owl_plan_sensor *sensor, double light_lx, struct owl_night_result *night)
{
    bool beyond_gate = (sensor->gate == OWL_GATE_NIGHT && light_lx > sensor->gate_lx) ||
                       (sensor->gate == OWL_GATE_DAY && light_lx < sensor->gate_lx);
    double met_lx = beyond_gate ? sensor->gate_lx : light_lx;
    if (met_lx < night->darkest_lx)
        night->darkest_lx = met_lx;
    if (met_lx > night->lightest_lx)
        night->lightest_lx = met_lx;
}

static void tally_activity(const struct owl_evaluating *part, const struct owl_watch_row *row, double armed, struct tally *tally)
{
    for (int pattern = 0; pattern < OWL_PATTERNS; pattern++) {
        if (!part->pattern_used[pattern])
            continue;
        double active = owl_activity_at(&part->watch->activity, pattern, row->anchored_rad);
        tally->all[pattern] += active;
        tally->in_armed[pattern] += active * armed;
    }
}

static void tally_night(const struct owl_evaluating *part, int n, const struct light_limits *limits, struct tally *tally)
{
    const struct owl_plan *plan = part->plan;
    const struct owl_watch_row *row = &part->watch->row[n * OWL_NIGHT_ROWS];
    struct owl_night_result *night = &part->result->night[n];
    int subject = plan->subject.pattern;
    double armed_before = tally->armed, all_before = tally->all[subject], in_armed_before = tally->in_armed[subject];
    *night = (struct owl_night_result){.darkest_lx = INFINITY, .lightest_lx = -INFINITY, .test_unix_s = NAN};
    for (int i = 0; i < OWL_NIGHT_ROWS; i++, row++) {
        double armed = armed_share(plan, row), before = tally->in_armed[subject];
        tally_activity(part, row, armed, tally);
        if (armed == 0.0)
            continue;
        double weight = tally->in_armed[subject] - before;
        struct owl_light_faults faults = judge_light(part, row->light_lx, limits);
        take_light(&plan->sensor, row->light_lx, night);
        tally->armed += armed;
        tally->ghosts += faults.ghost ? weight : 0.0;
        tally->smears += faults.smear ? weight : 0.0;
        tally->wrongs += faults.dim || faults.burnt ? weight : 0.0;
    }
    night->armed_s = (tally->armed - armed_before) * OWL_ROW_STEP_S;
    night->share = (tally->in_armed[subject] - in_armed_before) / (tally->all[subject] - all_before);
    if (night->armed_s == 0.0)
        night->darkest_lx = night->lightest_lx = NAN;
}

static void note_watch(struct owl_evaluating *part, const struct tally *tally)
{
    const struct owl_plan *plan = part->plan;
    struct owl_outcome *out = &part->result->outcome;
    double nights = part->watch->nights, rate = plan->subject.passes_per_night;
    int subject = plan->subject.pattern;
    part->armed_s = OWL_NOTE(out, ARMED, 0, tally->armed * OWL_ROW_STEP_S / nights, nights, plan->sensor.gate_lx);
    part->share = OWL_NOTE(out, ARMED_SHARE, 0, tally->in_armed[subject] / tally->all[subject], part->armed_s);
    OWL_NOTE(out, PASSES, 0, rate * part->share * nights, rate, part->share, nights);
    for (int i = 0; i < plan->passers; i++) {
        const struct owl_plan_body *body = &plan->passer[i].body;
        part->others_per_night += body->passes_per_night * tally->in_armed[body->pattern] / tally->all[body->pattern];
    }
    double firings = rate * part->share + part->others_per_night +
                     plan->sensor.false_triggers * part->armed_s / OWL_SECONDS_PER_DAY;
    OWL_NOTE(out, FIRINGS, 0, firings, rate, part->share, part->others_per_night, plan->sensor.false_triggers, part->armed_s);
    OWL_NOTE(out, FRAMES, 0, firings * plan->camera.frames, firings, plan->camera.frames);
}

static void note_faults(struct owl_evaluating *part, const struct tally *tally)
{
    struct owl_outcome *out = &part->result->outcome;
    const struct owl_plan_limits *limits = &part->plan->limits;
    double armed = tally->in_armed[part->plan->subject.pattern];
    if (armed <= 0.0)
        return;
    OWL_NOTE(out, WRONG_SHARE, 0, tally->wrongs / armed, limits->exposure_stops);
    OWL_NOTE(out, SMEAR_SHARE, 0, tally->smears / armed, limits->blur_m);
    if (part->flash_lxs > 0.0)
        OWL_NOTE(out, GHOST_SHARE, 0, tally->ghosts / armed, limits->ghost_stops);
}

void owl_evaluate_armed(struct owl_evaluating *part)
{
    const struct owl_plan *plan = part->plan;
    const struct light_limits limits = limits_of(part);
    struct tally tally = {0};
    part->darkest_lx = INFINITY;
    part->lightest_lx = -INFINITY;
    part->pattern_used[plan->subject.pattern] = true;
    for (int i = 0; i < plan->passers; i++)
        part->pattern_used[plan->passer[i].body.pattern] = true;
    for (int n = 0; n < part->watch->nights; n++) {
        tally_night(part, n, &limits, &tally);
        part->darkest_lx = fmin(part->darkest_lx, part->result->night[n].darkest_lx); /* NaN is passed by */
        part->lightest_lx = fmax(part->lightest_lx, part->result->night[n].lightest_lx);
    }
    if (tally.armed == 0.0)
        part->darkest_lx = part->lightest_lx = NAN;
    note_watch(part, &tally);
    note_faults(part, &tally);
}

/* When the light first falls below (or, by day, rises above) a level in one night's 24 hours. */
static double level_passed_s(const struct owl_watch_row *row, double noon_unix_s, double level_lx, bool falling)
{
    for (int i = 0; i < OWL_NIGHT_ROWS; i++) {
        double here = row[i].light_lx, next = row[i + 1].light_lx;
        if (falling ? here >= level_lx && next < level_lx : here < level_lx && next >= level_lx)
            return noon_unix_s + (i + crossing(here, next, level_lx)) * OWL_ROW_STEP_S;
    }
    return NAN;
}

/* The test belongs in the light the rig will work in: by night once the gate has armed it and the
   flashes outshine what is left of the day, by day once the gate opens. */
static double test_moment_s(const struct owl_evaluating *part, int night)
{
    const struct owl_plan_sensor *sensor = &part->plan->sensor;
    const struct owl_watch_row *row = &part->watch->row[night * OWL_NIGHT_ROWS];
    double noon_s = part->watch->night[night].noon_unix_s;
    if (sensor->gate == OWL_GATE_DAY)
        return level_passed_s(row, noon_s, sensor->gate_lx, false);
    double level_lx = sensor->gate == OWL_GATE_NIGHT ? fmin(sensor->gate_lx, part->ghost_lx) : part->ghost_lx;
    return isinf(level_lx) ? NAN : level_passed_s(row, noon_s, level_lx, true);
}

void owl_evaluate_nights(struct owl_evaluating *part)
{
    for (int n = 0; n < part->watch->nights; n++)
        part->result->night[n].test_unix_s = test_moment_s(part, n);
}
