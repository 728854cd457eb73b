/* What is wrong with a plan that can be built: each fault with the share of passes it loses and the
   one change that mends it, the dearest first. */
#include <math.h>
#include <string.h>

#include "core/constants.h"
#include "core/model/beam.h"
#include "core/model/heat.h"
#include "core/plan/dials.h"
#include "core/plan/warning.h"

/* What a fault costs when only part of it can be told; our own judgement. */
#define COST_SOFT 0.6        /* a body partly outside the sharp depth still gives some keepers */
#define COST_DIM_BURST 0.1   /* later frames of a firing darker than the first */
#define COST_DARK_BACKDROP 0.05
#define COST_NARROW_PORT 0.1
#define DARK_BACKDROP_STOPS (-4.0)
#define FLAT_LIGHT_STOPS 0.5
#define ONE_THIRD_STOP 1.26 /* nothing on the dial lies between */
#define SAFE_REACH 1.1       /* reach over distance that lets a pass be missed seldom */

static void say_fault(struct owl_evaluating *part, double cost, const char *words, const char *change)
{
    struct owl_fault fault;
    owl_warning_new(part, cost, false, &fault);
    owl_text_words(&fault.words, words);
    owl_text_words(&fault.change, change);
}

static void warn_armed(struct owl_evaluating *part)
{
    struct owl_fault fault;
    if (part->armed_s == 0.0) {
        say_fault(part, 1.0, "the rig is never armed: light gate and hours leave no minute",
                  "sensor: raise 'gate level', or light gate = always");
        return;
    }
    if (part->share > 0.75)
        return;
    owl_warning_new(part, 1.0 - part->share, false, &fault);
    owl_text_words(&fault.words, "the animal is about while the rig is disarmed: only ");
    owl_unit_show(OWL_UNIT_PERCENT, part->share, &fault.words);
    owl_text_words(&fault.words, " of its passes fall in armed hours");
    owl_text_words(&fault.change, isnan(part->plan->watch.from_s) ? "sensor: light gate = always, with a shutter that suits both"
                                                                  : "watch: longer hours from .. to");
}

/* Reach at the mark's distance with another pitch of the zones. */
static double reach_with_pitch_m(const struct owl_evaluating *part, double pitch_rad, double distance_m)
{
    const struct owl_plan *plan = part->plan;
    struct owl_heat_target target = {
        .area_m2 = owl_heat_visible_area_m2(owl_warning_value(part, OWL_RESULT_SENSOR_BODY), plan->subject.height_m, pitch_rad,
                                            plan->sensor.fan_height_rad, distance_m),
        .contrast_w_m2 = owl_warning_value(part, OWL_RESULT_SENSOR_CONTRAST),
        .crossing_hz = owl_warning_value(part, OWL_RESULT_SENSOR_CROSSING) * plan->sensor.zone_pitch_rad / pitch_rad,
    };
    return owl_heat_range_m(plan->sensor.range_m, &target);
}

/* Wider zones give more area and a slower crossing; when no pitch is enough, another sensor is. */
static void say_reach_change(const struct owl_evaluating *part, double distance_m, struct owl_text *text)
{
    for (double pitch_rad = part->plan->sensor.zone_pitch_rad; pitch_rad < 40.0 * OWL_RAD_PER_DEG; pitch_rad += OWL_RAD_PER_DEG) {
        if (reach_with_pitch_m(part, pitch_rad, distance_m) < distance_m * SAFE_REACH)
            continue;
        owl_text_words(text, "wider zones: zone pitch = ");
        owl_text_rounded(text, ceil(pitch_rad * OWL_DEG_PER_RAD), 3);
        owl_text_words(text, " deg, or a beam");
        return;
    }
    owl_text_words(text, "a beam instead of a heat sensor, or one of longer range");
}

static void warn_unseen(struct owl_evaluating *part)
{
    const struct owl_plan *plan = part->plan;
    struct owl_fault fault;
    if (plan->sensor.kind == OWL_SENSOR_BEAM) {
        if (!part->result->noticed)
            say_fault(part, 1.0, "the beam does not cross the path", "sensor: place and aim on both sides of the path");
        else if (!owl_beam_breaks(plan->subject.length_m, plan->subject.speed_m_s, plan->sensor.debounce_s))
            say_fault(part, 1.0, "the animal breaks the beam too briefly to count", "sensor: a shorter 'debounce'");
        return;
    }
    double reach_m = owl_warning_value(part, OWL_RESULT_SENSOR_RANGE), distance_m = owl_warning_value(part, OWL_RESULT_SENSOR_DISTANCE);
    if (reach_m >= distance_m * SAFE_REACH && part->result->noticed)
        return;
    owl_warning_new(part, reach_m < distance_m || !part->result->noticed ? 1.0 : 0.3, false, &fault);
    if (reach_m < distance_m * SAFE_REACH) {
        owl_text_words(&fault.words, "the sensor notices this animal up to ");
        owl_unit_show(OWL_UNIT_LENGTH, reach_m, &fault.words);
        owl_text_words(&fault.words, ", and the mark is ");
        owl_unit_show(OWL_UNIT_LENGTH, distance_m, &fault.words);
        owl_text_words(&fault.words, " away");
        say_reach_change(part, distance_m, &fault.change);
    } else {
        owl_text_words(&fault.words, "the path crosses too few of the sensor's zones to make it fire");
        owl_text_words(&fault.change, "aim the sensor across the path, or set pulses = 1");
    }
}

static void say_places(struct owl_text *text, double offset)
{
    owl_unit_show(OWL_UNIT_LENGTH, fabs(offset), text);
    owl_text_words(text, offset > 0.0 ? " past the mark" : " before the mark");
}

/* It comes both ways and is released too soon: let more edges be crossed first. */
static void say_later_change(const struct owl_evaluating *part, struct owl_text *text)
{
    struct owl_plan plan = *part->plan;
    struct owl_path path = owl_stage_path(&plan);
    double travel_m = owl_warning_value(part, OWL_RESULT_RELEASE_TRAVEL), best_m = INFINITY;
    double reach_m = plan.sensor.kind == OWL_SENSOR_HEAT ? owl_warning_value(part, OWL_RESULT_SENSOR_RANGE) : INFINITY;
    int best = 1;
    for (int pulses = 1; pulses <= 4; pulses++) {
        plan.sensor.pulses = pulses;
        struct owl_crossing crossed = owl_sensor_cross(&plan, &path, part->result->worse_sense, reach_m);
        double offset_m = fabs(crossed.front_m + travel_m - plan.subject.length_m / 2.0);
        if (crossed.noticed && offset_m < best_m) {
            best_m = offset_m;
            best = pulses;
        }
    }
    if (best == (int)part->plan->sensor.pulses) {
        owl_text_words(text, "mask the sensor to fewer zones: it comes both ways");
        return;
    }
    owl_text_words(text, "sensor: pulses = ");
    owl_text_integer(text, best);
    owl_text_words(text, ", so that it is further in when the shutter opens");
}

static void warn_late(struct owl_evaluating *part)
{
    const struct owl_plan *plan = part->plan;
    struct owl_fault fault;
    double inside = owl_warning_value(part, OWL_RESULT_OFFSET_INSIDE), offset = owl_warning_value(part, OWL_RESULT_OFFSET);
    if (isnan(inside) || inside >= plan->limits.inside - 1e-9)
        return;
    owl_warning_new(part, 1.0, false, &fault);
    owl_text_words(&fault.words, "when the shutter opens the animal's middle is ");
    say_places(&fault.words, offset);
    owl_text_words(&fault.words, "; in the frame: ");
    owl_unit_show(OWL_UNIT_PERCENT, inside, &fault.words);
    if (!part->result->both_ways) {
        double shift = part->result->aim_shift_m;
        owl_text_words(&fault.change, "move the sensor's aim ");
        owl_unit_show(OWL_UNIT_LENGTH, fabs(shift), &fault.change);
        owl_text_words(&fault.change, shift > 0.0 ? " to the right along the path" : " to the left along the path");
    } else if (offset > 0.0) {
        owl_text_words(&fault.change, plan->camera.sleeps == OWL_YES ? "keep the camera awake (sleeps = no), or open more zones: it comes both ways"
                                                                     : "open more of the sensor's zones: it comes both ways");
    } else {
        say_later_change(part, &fault.change);
    }
}

static void warn_soft(struct owl_evaluating *part)
{
    const struct owl_plan *plan = part->plan;
    struct owl_fault fault;
    double wanted = owl_warning_value(part, OWL_RESULT_APERTURE_WANTED);
    double near_m = owl_warning_value(part, OWL_RESULT_NEAR), near_wanted = owl_warning_value(part, OWL_RESULT_NEAR_WANTED);
    double far_m = owl_warning_value(part, OWL_RESULT_FAR), far_wanted = owl_warning_value(part, OWL_RESULT_FAR_WANTED);
    if (near_wanted >= near_m && far_wanted <= far_m)
        return;
    double lost = (fmax(0.0, near_m - near_wanted) + fmax(0.0, far_wanted - far_m)) / (far_wanted - near_wanted);
    owl_warning_new(part, fmin(1.0, COST_SOFT * lost + 0.05), false, &fault);
    owl_text_words(&fault.words, "sharp from ");
    owl_unit_show(OWL_UNIT_LENGTH, near_m, &fault.words);
    owl_text_words(&fault.words, " to ");
    owl_unit_show(OWL_UNIT_LENGTH, far_m, &fault.words);
    owl_text_words(&fault.words, ", but the animal needs ");
    owl_unit_show(OWL_UNIT_LENGTH, near_wanted, &fault.words);
    owl_text_words(&fault.words, " to ");
    owl_unit_show(OWL_UNIT_LENGTH, far_wanted, &fault.words);
    if (far_m - near_m >= far_wanted - near_wanted || isnan(wanted)) {
        owl_text_words(&fault.change, "focus at ");
        owl_unit_show(OWL_UNIT_LENGTH, 2.0 * near_wanted * far_wanted / (near_wanted + far_wanted), &fault.change);
    } else if (wanted <= plan->lens.narrowest) {
        owl_text_words(&fault.change, "camera: aperture = ");
        owl_unit_show(OWL_UNIT_FNUMBER, owl_dial_aperture_up(wanted), &fault.change);
        owl_text_words(&fault.change, plan->flashes ? ", with more flash power or ISO to match" : ", with ISO to match");
    } else {
        owl_text_words(&fault.change, "step back or take a shorter focal length: no aperture of this lens is enough");
    }
}

static void warn_motion(struct owl_evaluating *part)
{
    const struct owl_plan *plan = part->plan;
    struct owl_fault fault;
    double share = owl_warning_value(part, OWL_RESULT_SMEAR_SHARE);
    if (!(share > 0.005))
        return;
    double time_s = plan->limits.blur_m / (part->magnification * part->speed_across_m_s);
    bool by_flash = part->flash_lxs > 0.0 && part->longest_pulse_s > time_s;
    owl_warning_new(part, share, false, &fault);
    owl_text_words(&fault.words, "the walk smears ");
    owl_unit_show(OWL_UNIT_PERCENT, share, &fault.words);
    owl_text_words(&fault.words, by_flash ? " of its armed passes: the flash pulse lasts too long" : " of its armed passes: by ambient light the shutter is too slow");
    owl_text_words(&fault.change, by_flash ? "lower flash power (a shorter pulse); it may last " : isinf(plan->camera.shutter_s) ? "sensor: hold by day = " : "a shutter of ");
    owl_unit_show(by_flash ? OWL_UNIT_TIME : OWL_UNIT_SHUTTER, by_flash ? time_s : owl_dial_shutter_down_s(time_s), &fault.change);
    owl_text_words(&fault.change, by_flash ? " at most" : plan->flashes ? "; shorter than x-sync, so keep the flashes off by day, or rest by day" : " or shorter, with ISO or aperture to match");
}

static void say_exposure_change(const struct owl_evaluating *part, double stops, struct owl_text *text)
{
    const struct owl_plan *plan = part->plan;
    double aperture = owl_warning_value(part, OWL_RESULT_LIGHT_APERTURE);
    if (aperture >= plan->lens.widest && aperture <= plan->lens.narrowest) {
        owl_text_words(text, "camera: aperture = ");
        owl_unit_show(OWL_UNIT_FNUMBER, owl_dial_aperture_near(aperture), text);
        owl_text_words(text, ", or ");
    }
    owl_text_words(text, stops < 0.0 ? "camera: iso = " : "all flashes down ");
    if (stops < 0.0)
        owl_text_rounded(text, owl_dial_iso_up(plan->camera.iso * exp2(-stops - 1.0 / 6.0)), 6);
    else
        owl_unit_show(OWL_UNIT_STOPS, stops, text);
}

/* What mends an exposure that ambient light spoils. */
static const char *exposure_change(const struct owl_plan *plan, bool burnt)
{
    if (burnt && plan->sensor.gate == OWL_GATE_NIGHT)
        return "sensor: a lower 'gate level', so that it waits for the dark";
    if (burnt)
        return plan->flashes ? "sensor: light gate = night, or camera: exposure = metered" : "camera: exposure = metered";
    if (plan->sensor.gate == OWL_GATE_DAY)
        return "sensor: a higher 'gate level', so that it rests in the dusk";
    return "a flash, or light gate = day: without one there is no picture in the dark";
}

static void warn_exposure(struct owl_evaluating *part)
{
    struct owl_fault fault;
    double stops = owl_warning_value(part, OWL_RESULT_LIGHT_ERROR), wrong = owl_warning_value(part, OWL_RESULT_WRONG_SHARE);
    if (isnan(wrong) || wrong < 0.05)
        return;
    if (part->flash_lxs > 0.0 && fabs(stops) > part->plan->limits.exposure_stops) {
        owl_warning_new(part, wrong, false, &fault);
        owl_text_words(&fault.words, "the flashes give ");
        owl_unit_show(OWL_UNIT_STOPS, fabs(stops), &fault.words);
        owl_text_words(&fault.words, stops < 0.0 ? " too little light" : " too much light");
        say_exposure_change(part, stops, &fault.change);
        return;
    }
    double dark = owl_warning_value(part, OWL_RESULT_AMBIENT_DARKEST), light = owl_warning_value(part, OWL_RESULT_AMBIENT_LIGHTEST);
    owl_warning_new(part, wrong, false, &fault);
    owl_unit_show(OWL_UNIT_PERCENT, wrong, &fault.words);
    owl_text_words(&fault.words, " of its armed passes are wrongly exposed; ambient light runs from ");
    owl_unit_show(OWL_UNIT_STOPS, dark, &fault.words);
    owl_text_words(&fault.words, " to ");
    owl_unit_show(OWL_UNIT_STOPS, light, &fault.words);
    owl_text_words(&fault.change, exposure_change(part->plan, light > part->plan->limits.exposure_stops));
}

static void warn_ghost(struct owl_evaluating *part)
{
    const struct owl_plan *plan = part->plan;
    struct owl_fault fault;
    double share = owl_warning_value(part, OWL_RESULT_GHOST_SHARE);
    if (isnan(share) || share < 0.005)
        return;
    owl_warning_new(part, share, false, &fault);
    owl_unit_show(OWL_UNIT_PERCENT, share, &fault.words);
    owl_text_words(&fault.words, " of its armed passes fall in light that draws a second, ghostly image");
    if (plan->sensor.gate == OWL_GATE_NIGHT) {
        owl_text_words(&fault.change, "sensor: gate level = ");
        owl_unit_show(OWL_UNIT_LIGHT, part->ghost_lx, &fault.change);
        owl_text_words(&fault.change, " or less");
    } else if (owl_shutter_at_s(part, part->lightest_lx) > plan->camera.xsync_s * ONE_THIRD_STOP) {
        owl_text_words(&fault.change, isinf(plan->camera.shutter_s) ? "sensor: hold and hold by day = " : "camera: shutter = ");
        owl_unit_show(OWL_UNIT_SHUTTER, plan->camera.xsync_s, &fault.change);
        owl_text_words(&fault.change, ", or light gate = night");
    } else {
        owl_text_words(&fault.change, "more flash power with a smaller aperture or lower ISO, or light gate = night");
    }
}

/* On bulb the sensor's hold by day must fit the flashes too. */
static void warn_day_hold(struct owl_evaluating *part)
{
    const struct owl_plan *plan = part->plan;
    struct owl_fault fault;
    if (!isinf(plan->camera.shutter_s) || plan->flashes == 0 || plan->sensor.gate == OWL_GATE_NIGHT ||
        plan->sensor.day_hold_s >= plan->camera.xsync_s)
        return;
    owl_warning_new(part, 0.3, false, &fault);
    owl_text_words(&fault.words, "by day the sensor holds the shutter for less than the x-sync time: the flashes light only part of the frame");
    owl_text_words(&fault.change, "sensor: hold by day = ");
    owl_unit_show(OWL_UNIT_SHUTTER, plan->camera.xsync_s, &fault.change);
    owl_text_words(&fault.change, " or longer");
}

static void warn_flash_state(struct owl_evaluating *part, int i)
{
    const struct owl_plan *plan = part->plan;
    const struct owl_plan_flash *flash = &plan->flash[i];
    struct owl_fault fault;
    double last = owl_outcome_value(&part->result->outcome, OWL_RESULT_FLASH_LAST, i);
    double share = owl_outcome_value(&part->result->outcome, OWL_RESULT_FLASH_EXPOSURE, i) / fmax(part->flash_lxs, 1e-9);
    if (flash->sleeps_after_s < plan->watch.nights * OWL_SECONDS_PER_DAY) {
        owl_warning_new(part, share, false, &fault);
        owl_text_words(&fault.words, "flash ");
        owl_text_words(&fault.words, flash->name);
        owl_text_words(&fault.words, " switches itself off after ");
        owl_unit_show(OWL_UNIT_TIME, flash->sleeps_after_s, &fault.words);
        owl_text_words(&fault.words, " and sleeps through the watch");
        owl_text_words(&fault.change, "switch its auto-off off, or wake it by wire before each frame");
    }
    if (last < 0.7) {
        owl_warning_new(part, COST_DIM_BURST, false, &fault);
        owl_text_words(&fault.words, "flash ");
        owl_text_words(&fault.words, flash->name);
        owl_text_words(&fault.words, " is not recharged for the last frame of a firing: ");
        owl_unit_show(OWL_UNIT_PERCENT, last, &fault.words);
        owl_text_words(&fault.words, " of its light");
        owl_text_words(&fault.change, "camera: interval = ");
        owl_unit_show(OWL_UNIT_TIME, ceil(flash->recycle_s * flash->power * 1.5), &fault.change);
    }
}

static void warn_outlast(struct owl_evaluating *part)
{
    const struct owl_plan *plan = part->plan;
    struct owl_fault fault;
    double lasts = owl_warning_value(part, OWL_RESULT_OUTLAST), nights = plan->watch.nights;
    int device = part->result->first_to_fail;
    if (lasts >= nights)
        return;
    owl_warning_new(part, 1.0 - lasts / nights, false, &fault);
    owl_text_words(&fault.words, device == OWL_DEVICES ? "the card is full" : "the cells of ");
    if (device < OWL_DEVICES)
        owl_text_words(&fault.words, owl_device_name(plan, device));
    owl_text_words(&fault.words, device == OWL_DEVICES ? " after " : " give out after ");
    owl_unit_show(OWL_UNIT_NIGHTS, lasts, &fault.words);
    owl_text_words(&fault.words, " of ");
    owl_text_rounded(&fault.words, nights, 3);
    if (device == OWL_DEVICES) {
        owl_text_words(&fault.change, "fewer frames at each firing, or a larger card");
    } else {
        double sets = owl_device_supply(plan, device)->sets;
        owl_text_words(&fault.change, "cell sets = ");
        owl_text_rounded(&fault.change, ceil(sets * nights / fmax(lasts, 0.01)), 3);
        owl_text_words(&fault.change, ", cells that bear the cold, or a visit before then");
    }
}

static void warn_picture(struct owl_evaluating *part)
{
    const struct owl_plan *plan = part->plan;
    double inside = owl_warning_value(part, OWL_RESULT_INSIDE_MARK), backdrop = owl_warning_value(part, OWL_RESULT_LIGHT_BACKDROP);
    if (inside < plan->limits.inside - 1e-9)
        say_fault(part, 1.0, "even on the mark part of the animal lies outside the frame", "aim the camera at the middle of the animal");
    if (backdrop < DARK_BACKDROP_STOPS)
        say_fault(part, COST_DARK_BACKDROP, "the backdrop stays black: the flashes do not reach it", "light it with a flash of its own, or bring the mark nearer to it");
    if (owl_warning_value(part, OWL_RESULT_LIGHT_RATIO) < FLAT_LIGHT_STOPS)
        say_fault(part, 0.0, "key and fill are equally strong: flat light without form", "lower one flash by one to two stops");
    if (part->plan->flashes > 0 && part->flash_lxs <= 0.0)
        say_fault(part, 1.0, "no flash lights the side of the animal that the camera sees", "place the key on the camera's side of the mark");
}

static void warn_weather(struct owl_evaluating *part)
{
    const struct owl_plan *plan = part->plan;
    struct owl_fault fault;
    double margin = owl_warning_value(part, OWL_RESULT_DEW_MARGIN), gel = owl_warning_value(part, OWL_RESULT_DESICCANT);
    if (margin < 0.0) {
        owl_warning_new(part, 0.1, false, &fault);
        owl_text_words(&fault.words, "on clear nights the window is ");
        owl_unit_show(OWL_UNIT_WARMTH, -margin, &fault.words);
        owl_text_words(&fault.words, plan->climate.night_k < OWL_ZERO_CELSIUS_K ? " below the dew point: frost on it" : " below the dew point: dew on it");
        owl_text_words(&fault.change, "a roof or hood over the window that hides the sky");
    }
    if (gel > plan->housing.desiccant_kg) {
        owl_warning_new(part, 0.02, false, &fault);
        owl_text_words(&fault.words, "the silica gel in the box will be spent before the end");
        owl_text_words(&fault.change, "housing: desiccant = ");
        owl_unit_show(OWL_UNIT_MASS, ceil(gel * 200.0) / 200.0, &fault.change);
    }
    double port_m = owl_warning_value(part, OWL_RESULT_PORT_NEEDED);
    if (plan->housing.port_diameter_m < port_m) {
        owl_warning_new(part, COST_NARROW_PORT, false, &fault);
        owl_text_words(&fault.words, "the window cuts the corners of the frame");
        owl_text_words(&fault.change, "a window ");
        owl_unit_show(OWL_UNIT_LENGTH, port_m, &fault.change);
        owl_text_words(&fault.change, " wide, or the lens nearer to it");
    }
}

/* Dangers first, then by cost; equal ones stay in the order they were found. */
static bool comes_before(const struct owl_warning *one, const struct owl_warning *other)
{
    if (one->danger != other->danger)
        return one->danger;
    return one->cost > other->cost;
}

static void sort_warnings(struct owl_evaluation *result)
{
    for (int i = 1; i < result->warnings; i++) {
        struct owl_warning moving = result->warning[i];
        int j = i;
        for (; j > 0 && comes_before(&moving, &result->warning[j - 1]); j--)
            result->warning[j] = result->warning[j - 1];
        result->warning[j] = moving;
    }
}

void owl_evaluate_warnings(struct owl_evaluating *part)
{
    owl_warn_care(part);
    warn_armed(part);
    warn_unseen(part);
    warn_late(part);
    warn_soft(part);
    warn_motion(part);
    warn_exposure(part);
    warn_ghost(part);
    warn_day_hold(part);
    for (int i = 0; i < part->plan->flashes; i++)
        warn_flash_state(part, i);
    warn_outlast(part);
    warn_picture(part);
    warn_weather(part);
    sort_warnings(part->result);
}
