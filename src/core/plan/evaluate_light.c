/* Flash light, ambient light, and the two against each other. */
#include <math.h>

#include "core/constants.h"
#include "core/model/eye.h"
#include "core/model/flash.h"
#include "core/model/metering.h"
#include "core/plan/evaluating.h"

#define FAINTEST_LXS 1e-6       /* so that no light at all still has a number of stops */

static double capped_stops(double exposure_lxs, double needed_lxs)
{
    return owl_metering_stops(fmax(exposure_lxs, FAINTEST_LXS) / needed_lxs);
}

/* Light of one flash on a point: off its axis and at its distance, facing it. */
static double light_on_lxs(const struct owl_plan_flash *flash, double intensity_cds, const struct owl_point *point)
{
    double off_rad = owl_point_angle_rad(&flash->place, &flash->aim, point);
    double distance_m = owl_point_distance_m(&flash->place, point);
    return owl_metering_flash_exposure_lxs(intensity_cds, distance_m, 1.0) *
           owl_metering_beam_share(off_rad, flash->coverage_rad / 2.0);
}

static void note_pulse(struct owl_evaluating *part, int i)
{
    const struct owl_plan *plan = part->plan;
    const struct owl_plan_flash *flash = &plan->flash[i];
    struct owl_outcome *out = &part->result->outcome;
    enum owl_flash_control control = (enum owl_flash_control)flash->control;
    double decay_s = owl_flash_decay_s(flash->pulse_s), p = flash->power;
    OWL_NOTE(out, FLASH_HALF, i, owl_flash_half_peak_s(control, decay_s, p), flash->pulse_s, p);
    OWL_NOTE(out, FLASH_TENTH, i, owl_flash_tenth_peak_s(control, decay_s, p), flash->pulse_s, p);
    OWL_NOTE(out, FLASH_SYNC, i, owl_flash_sync_time_s(plan->camera.xsync_s, flash->link_delay_s),
             plan->camera.xsync_s, flash->link_delay_s);
    OWL_NOTE(out, FLASH_RECYCLE, i, flash->recycle_s * p, flash->recycle_s, p);
    double short_each = fmax(0.0, p - plan->camera.interval_s / flash->recycle_s);
    double charge = fmax(0.0, 1.0 - (plan->camera.frames - 1.0) * short_each);
    OWL_NOTE(out, FLASH_LAST, i, fmin(1.0, charge / p), plan->camera.frames, p, plan->camera.interval_s, flash->recycle_s);
}

struct owl_lit_surface owl_lit_surface_of(const struct owl_plan_flash *flash)
{
    if (isnan(flash->diffuser_width_m))
        return (struct owl_lit_surface){flash->window_width_m, flash->window_height_m};
    return (struct owl_lit_surface){flash->diffuser_width_m, flash->diffuser_height_m};
}

static void note_eye(struct owl_evaluating *part, int i, double intensity_cds, double beam, double distance_m)
{
    const struct owl_plan_flash *flash = &part->plan->flash[i];
    struct owl_outcome *out = &part->result->outcome;
    struct owl_lit_surface lit = owl_lit_surface_of(flash);
    double area_m2 = lit.width_m * lit.height_m, angle = owl_eye_source_angle_rad(lit.width_m, lit.height_m, distance_m);
    double pulse_s = owl_outcome_value(out, OWL_RESULT_FLASH_TENTH, i);
    double radiance = owl_eye_radiance_time_cds_m2(intensity_cds, area_m2);
    OWL_NOTE(out, FLASH_EYE, i, intensity_cds * beam / (distance_m * distance_m), intensity_cds, beam, distance_m);
    OWL_NOTE(out, FLASH_MARGIN, i, owl_eye_thermal_margin(radiance, pulse_s, angle), intensity_cds, distance_m,
             area_m2, pulse_s, angle);
}

static double note_flash(struct owl_evaluating *part, int i)
{
    const struct owl_plan *plan = part->plan;
    const struct owl_plan_flash *flash = &plan->flash[i];
    struct owl_outcome *out = &part->result->outcome;
    struct owl_point way = owl_point_between(&flash->place, &part->middle);
    double distance_m = OWL_NOTE(out, FLASH_DISTANCE, i, owl_point_length_m(&way), way.x_m, way.y_m, way.z_m);
    double off_rad = OWL_NOTE(out, FLASH_OFF_AXIS, i, owl_point_angle_rad(&flash->place, &flash->aim, &part->middle), distance_m);
    double beam = OWL_NOTE(out, FLASH_BEAM, i, owl_metering_beam_share(off_rad, flash->coverage_rad / 2.0), off_rad,
                           flash->coverage_rad);
    double turn_rad = owl_point_angle_rad(&part->middle, &flash->place, &plan->camera.place);
    double facing = OWL_NOTE(out, FLASH_INCIDENCE, i, fmax(0.0, cos(turn_rad)), turn_rad);
    double intensity_cds = owl_metering_intensity_time_cds(flash->guide_number_m, flash->power) /
                           owl_metering_stops_factor(flash->diffuser_stops);
    OWL_NOTE(out, FLASH_INTENSITY, i, intensity_cds, flash->guide_number_m, flash->power, flash->diffuser_stops);
    double exposure_lxs = intensity_cds * beam * facing / (distance_m * distance_m);
    OWL_NOTE(out, FLASH_EXPOSURE, i, exposure_lxs, intensity_cds, beam, facing, distance_m);
    OWL_NOTE(out, FLASH_STOPS, i, capped_stops(exposure_lxs, part->flash_needed_lxs), exposure_lxs, part->flash_needed_lxs);
    note_pulse(part, i);
    note_eye(part, i, intensity_cds, beam, distance_m);
    return exposure_lxs;
}

static void note_backdrop(struct owl_evaluating *part)
{
    const struct owl_plan *plan = part->plan;
    struct owl_point sight = owl_point_between(&plan->camera.place, &part->middle);
    double reach = plan->stage.backdrop_distance_m / owl_point_length_m(&sight);
    struct owl_point behind = {part->middle.x_m + sight.x_m * reach, part->middle.y_m + sight.y_m * reach,
                               part->middle.z_m + sight.z_m * reach};
    double sum_lxs = 0.0;
    for (int i = 0; i < plan->flashes; i++) {
        double intensity_cds = owl_outcome_value(&part->result->outcome, OWL_RESULT_FLASH_INTENSITY, i);
        sum_lxs += light_on_lxs(&plan->flash[i], intensity_cds, &behind);
    }
    double r = plan->stage.backdrop_brightness;
    OWL_NOTE(&part->result->outcome, LIGHT_BACKDROP, 0, capped_stops(sum_lxs * r / OWL_MID_REFLECTANCE, part->flash_needed_lxs),
             sum_lxs, r, part->flash_needed_lxs);
}

void owl_light_prepare(struct owl_evaluating *part)
{
    const struct owl_plan *plan = part->plan;
    const struct owl_plan_camera *camera = &plan->camera;
    part->flash_needed_lxs = owl_metering_flash_exposure_needed_lxs(camera->aperture, camera->iso);
    part->ambient_needed_lxs = owl_metering_ambient_exposure_needed_lxs(camera->aperture, camera->iso);
    part->shortest_s = plan->flashes ? camera->xsync_s : camera->fastest_s;
}

void owl_evaluate_flashes(struct owl_evaluating *part)
{
    const struct owl_plan *plan = part->plan;
    struct owl_outcome *out = &part->result->outcome;
    double strongest_lxs = -1.0;
    owl_light_prepare(part);
    part->result->key_flash = -1;
    if (plan->flashes == 0)
        return;
    OWL_NOTE(out, LIGHT_NEEDED, 0, part->flash_needed_lxs, plan->camera.aperture, plan->camera.iso);
    for (int i = 0; i < plan->flashes; i++) {
        double exposure_lxs = note_flash(part, i);
        part->flash_lxs += exposure_lxs;
        if (exposure_lxs > 0.0)
            part->longest_pulse_s = fmax(part->longest_pulse_s, owl_outcome_value(out, OWL_RESULT_FLASH_TENTH, i));
        if (exposure_lxs > strongest_lxs) {
            strongest_lxs = exposure_lxs;
            part->result->key_flash = i;
        }
    }
    OWL_NOTE(out, LIGHT_EXPOSURE, 0, part->flash_lxs, part->flash_needed_lxs);
    OWL_NOTE(out, LIGHT_ERROR, 0, capped_stops(part->flash_lxs, part->flash_needed_lxs), part->flash_lxs, part->flash_needed_lxs);
    OWL_NOTE(out, LIGHT_APERTURE, 0, owl_metering_fnumber_for(part->flash_lxs, plan->camera.iso), part->flash_lxs, plan->camera.iso);
    if (part->flash_lxs > strongest_lxs)
        OWL_NOTE(out, LIGHT_RATIO, 0, owl_metering_stops(strongest_lxs / (part->flash_lxs - strongest_lxs)), strongest_lxs,
                 part->flash_lxs);
    note_backdrop(part);
}

double owl_shutter_at_s(const struct owl_evaluating *part, double light_lx)
{
    const struct owl_plan_camera *camera = &part->plan->camera;
    const struct owl_plan_sensor *sensor = &part->plan->sensor;
    if (isinf(camera->shutter_s))
        return light_lx < sensor->gate_lx ? sensor->hold_s : sensor->day_hold_s;
    if (camera->exposure == OWL_EXPOSURE_FIXED || light_lx <= 0.0)
        return camera->shutter_s;
    double asked_s = part->ambient_needed_lxs / light_lx;
    return fmin(fmax(asked_s, part->shortest_s), camera->shutter_s);
}

static void note_ghost(struct owl_evaluating *part, double dark_s, double light_s)
{
    const struct owl_plan *plan = part->plan;
    struct owl_outcome *out = &part->result->outcome;
    double q = part->flash_lxs;
    OWL_NOTE(out, GHOST_DARKEST, 0, owl_metering_stops(q / (part->darkest_lx * dark_s)), q, part->darkest_lx, dark_s);
    OWL_NOTE(out, GHOST_LIGHTEST, 0, owl_metering_stops(q / (part->lightest_lx * light_s)), q, part->lightest_lx, light_s);
    /* told whether or not the walk is fast enough to draw one: a branch in the wind is */
    part->ghost_lx = q / (light_s * owl_metering_stops_factor(plan->limits.ghost_stops));
    OWL_NOTE(out, GHOST_LEVEL, 0, part->ghost_lx, q, light_s, plan->limits.ghost_stops);
}

void owl_evaluate_ambient(struct owl_evaluating *part)
{
    const struct owl_plan *plan = part->plan;
    struct owl_outcome *out = &part->result->outcome;
    part->ghost_lx = INFINITY;
    part->lightest_shutter_s = NAN;
    if (isnan(part->lightest_lx))
        return;
    double dark_lx = part->darkest_lx, light_lx = part->lightest_lx;
    double n = plan->camera.aperture, iso = plan->camera.iso;
    double dark_s = owl_shutter_at_s(part, dark_lx), light_s = owl_shutter_at_s(part, light_lx);
    part->lightest_shutter_s = light_s;
    OWL_NOTE(out, LIGHT_DARKEST, 0, dark_lx, plan->site.open_sky, plan->watch.nights);
    OWL_NOTE(out, LIGHT_LIGHTEST, 0, light_lx, plan->site.open_sky, plan->watch.nights);
    OWL_NOTE(out, SHUTTER_DARKEST, 0, dark_s, plan->camera.shutter_s, dark_lx);
    OWL_NOTE(out, SHUTTER_LIGHTEST, 0, light_s, plan->camera.shutter_s, light_lx);
    OWL_NOTE(out, AMBIENT_DARKEST, 0, owl_metering_stops(dark_lx * dark_s / part->ambient_needed_lxs), dark_lx, dark_s, iso, n);
    OWL_NOTE(out, AMBIENT_LIGHTEST, 0, owl_metering_stops(light_lx * light_s / part->ambient_needed_lxs), light_lx, light_s, iso, n);
    if (part->flash_lxs > 0.0)
        note_ghost(part, dark_s, light_s);
    OWL_NOTE(out, GHOST_TRAVEL, 0, part->magnification * part->speed_across_m_s * light_s / part->pixel_m, part->magnification,
             plan->subject.speed_m_s, plan->stage.path_angle_rad, light_s, part->pixel_m);
}
