/* The nights: armed time, the light in it, the animals' activity in it, and when to come back. */
#include <math.h>

#include "core/constants.h"
#include "core/model/diel.h"
#include "core/plan/evaluating.h"

#define ACTIVITY_BINS 96
#define ROW_RAD (OWL_ROW_STEP_S / OWL_SECONDS_PER_DAY * OWL_TAU)

/* A pattern's density, tabulated once for an evaluation: it is looked up at every row. */
struct activity {
    double density[ACTIVITY_BINS + 1];
};

static void tabulate(struct activity *activity, int pattern)
{
    for (int i = 0; i <= ACTIVITY_BINS; i++)
        activity->density[i] = owl_diel_density((enum owl_animal_pattern)pattern, i * OWL_TAU / ACTIVITY_BINS);
}

static double activity_at(const struct activity *activity, double anchored_rad)
{
    double place = anchored_rad * (ACTIVITY_BINS / OWL_TAU);
    int bin = (int)place;
    if (bin < 0 || bin >= ACTIVITY_BINS)
        bin = 0;
    double part = place - bin;
    return activity->density[bin] * (1.0 - part) + activity->density[bin + 1] * part;
}

static bool clock_arms(const struct owl_plan_watch *watch, double clock_s)
{
    if (isnan(watch->from_s) || isnan(watch->to_s))
        return true;
    if (watch->from_s <= watch->to_s)
        return clock_s >= watch->from_s && clock_s < watch->to_s;
    return clock_s >= watch->from_s || clock_s < watch->to_s;
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
    return clock_arms(&plan->watch, row->clock_s) ? gate_share(&plan->sensor, row[0].light_lx, row[1].light_lx) : 0.0;
}

struct sums {
    double all, armed, subject_all, subject_armed;
};

/* The light the rig meets while armed: the rows' own, cut off at the gate level. */
static void take_light(const struct owl_plan_sensor *sensor, double light_lx, struct owl_night_result *night)
{
    if (sensor->gate == OWL_GATE_NIGHT)
        light_lx = fmin(light_lx, sensor->gate_lx);
    else if (sensor->gate == OWL_GATE_DAY)
        light_lx = fmax(light_lx, sensor->gate_lx);
    night->darkest_lx = fmin(night->darkest_lx, light_lx);
    night->lightest_lx = fmax(night->lightest_lx, light_lx);
}

static void sum_night(const struct owl_plan *plan, const struct owl_watch_row *row, const struct activity *activity,
                      struct owl_night_result *night, struct sums *sums)
{
    double armed_rows = 0.0, active = 0.0, active_armed = 0.0;
    *night = (struct owl_night_result){.darkest_lx = INFINITY, .lightest_lx = -INFINITY, .test_unix_s = NAN};
    for (int i = 0; i < OWL_NIGHT_ROWS; i++) {
        double armed = armed_share(plan, &row[i]), density = activity_at(activity, row[i].anchored_rad);
        armed_rows += armed;
        active += density;
        active_armed += armed * density;
        if (armed > 0.0)
            take_light(&plan->sensor, row[i].light_lx, night);
    }
    night->armed_s = armed_rows * OWL_ROW_STEP_S;
    night->share = active > 0.0 ? active_armed / active : 0.0;
    if (armed_rows == 0.0)
        night->darkest_lx = night->lightest_lx = NAN;
    sums->armed += armed_rows;
    sums->subject_all += active;
    sums->subject_armed += active_armed;
}

/* Passes a night, in armed hours, of a passer. */
static double passer_rate(const struct owl_plan *plan, const struct owl_watch_view *watch,
                          const struct owl_plan_body *body)
{
    struct activity activity;
    double all = 0.0, armed = 0.0;
    tabulate(&activity, body->pattern);
    for (int i = 0; i < watch->nights * OWL_NIGHT_ROWS; i += 3) { /* every half hour is enough here */
        double density = activity_at(&activity, watch->row[i].anchored_rad);
        all += density;
        armed += density * armed_share(plan, &watch->row[i]);
    }
    return all > 0.0 ? body->passes_per_night * armed / all : 0.0;
}

static void note_watch(struct owl_evaluating *part, const struct sums *sums)
{
    const struct owl_plan *plan = part->plan;
    struct owl_outcome *out = &part->result->outcome;
    double nights = part->watch->nights, rate = plan->subject.passes_per_night;
    part->armed_s = OWL_NOTE(out, ARMED, 0, sums->armed * OWL_ROW_STEP_S / nights, nights, plan->sensor.gate_lx);
    part->share = OWL_NOTE(out, ARMED_SHARE, 0, sums->subject_armed / sums->subject_all, part->armed_s);
    OWL_NOTE(out, PASSES, 0, rate * part->share * nights, rate, part->share, nights);
    for (int i = 0; i < plan->passers; i++)
        part->others_per_night += passer_rate(plan, part->watch, &plan->passer[i].body);
    double firings = rate * part->share + part->others_per_night +
                     plan->sensor.false_triggers * part->armed_s / OWL_SECONDS_PER_DAY;
    OWL_NOTE(out, FIRINGS, 0, firings, rate, part->share, part->others_per_night, plan->sensor.false_triggers, part->armed_s);
    OWL_NOTE(out, FRAMES, 0, firings * plan->camera.frames, firings, plan->camera.frames);
}

void owl_evaluate_armed(struct owl_evaluating *part)
{
    struct activity activity;
    struct sums sums = {0};
    part->darkest_lx = INFINITY;
    part->lightest_lx = -INFINITY;
    tabulate(&activity, part->plan->subject.pattern);
    for (int n = 0; n < part->watch->nights; n++) {
        struct owl_night_result *night = &part->result->night[n];
        sum_night(part->plan, &part->watch->row[n * OWL_NIGHT_ROWS], &activity, night, &sums);
        part->darkest_lx = fmin(part->darkest_lx, night->darkest_lx); /* fmin and fmax pass NaN by */
        part->lightest_lx = fmax(part->lightest_lx, night->lightest_lx);
    }
    if (sums.armed == 0.0)
        part->darkest_lx = part->lightest_lx = NAN;
    note_watch(part, &sums);
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

/* What goes wrong with the light of one minute. */
struct light_faults {
    bool ghost, smear, wrong;
};

static struct light_faults judge_light(const struct owl_evaluating *part, double light_lx, double ghost_factor)
{
    const struct owl_plan_limits *limits = &part->plan->limits;
    double shutter_s = owl_shutter_at_s(part, light_lx), ambient_lxs = light_lx * shutter_s, flash_lxs = part->flash_lxs;
    double per_second_m = part->magnification * part->speed_across_m_s;
    bool long_shutter = per_second_m * shutter_s > limits->blur_m;
    bool flash_makes_it = flash_lxs > ambient_lxs * ghost_factor, ambient_makes_it = ambient_lxs >= flash_lxs * ghost_factor;
    double total = flash_lxs / part->flash_needed_lxs + ambient_lxs / part->ambient_needed_lxs;
    double high = exp2(limits->exposure_stops);
    return (struct light_faults){
        .ghost = !flash_makes_it && !ambient_makes_it && long_shutter,
        .smear = ambient_makes_it ? long_shutter : per_second_m * part->longest_pulse_s > limits->blur_m,
        .wrong = total > high || total * high < 1.0,
    };
}

void owl_evaluate_nights(struct owl_evaluating *part)
{
    struct activity activity;
    double armed = 0.0, ghosts = 0.0, smears = 0.0, wrongs = 0.0, ghost_factor = exp2(part->plan->limits.ghost_stops);
    tabulate(&activity, part->plan->subject.pattern);
    for (int n = 0; n < part->watch->nights; n++)
        part->result->night[n].test_unix_s = test_moment_s(part, n);
    for (int i = 0; i < part->watch->nights * OWL_NIGHT_ROWS; i++) {
        const struct owl_watch_row *row = &part->watch->row[i];
        double weight = armed_share(part->plan, row);
        if (weight == 0.0)
            continue;
        weight *= activity_at(&activity, row->anchored_rad);
        struct light_faults faults = judge_light(part, row->light_lx, ghost_factor);
        armed += weight;
        ghosts += faults.ghost ? weight : 0.0;
        smears += faults.smear ? weight : 0.0;
        wrongs += faults.wrong ? weight : 0.0;
    }
    if (armed == 0.0)
        return;
    struct owl_outcome *out = &part->result->outcome;
    OWL_NOTE(out, WRONG_SHARE, 0, wrongs / armed, part->plan->limits.exposure_stops);
    OWL_NOTE(out, SMEAR_SHARE, 0, smears / armed, part->plan->limits.blur_m);
    if (part->flash_lxs > 0.0)
        OWL_NOTE(out, GHOST_SHARE, 0, ghosts / armed, part->plan->limits.ghost_stops);
}
