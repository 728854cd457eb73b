/* The geometry and the light of one pass, by the model's own routines. */
#include "core/rehearse/passage.h"

#include <math.h>

#include "core/constants.h"
#include "core/model/beam.h"
#include "core/model/heat.h"
#include "core/model/metering.h"
#include "core/model/optics.h"
#include "core/rehearse/ledger.h"

static int drawn_sense(int travel, struct owl_rng *rng)
{
    bool right = owl_rng_chance(rng, 0.5);
    if (travel == OWL_TRAVEL_BOTH)
        return right ? 1 : -1;
    return travel == OWL_TRAVEL_RIGHT ? 1 : -1;
}

struct owl_pass owl_passage_draw(const struct owl_setup *setup, const struct owl_walker *walker, double at_s,
                                 struct owl_rng *rng)
{
    struct owl_pass pass = {.walker = walker, .at_s = at_s};
    pass.sense = drawn_sense(setup->plan->stage.travel, rng);
    double aside_m = setup->offset_sd_m * owl_rng_normal(rng);
    double turn_rad = setup->turn_sd_rad * owl_rng_normal(rng);
    pass.path = owl_path_of(setup->plan->stage.path_angle_rad + turn_rad, aside_m);
    pass.speed_m_s = owl_rng_log_normal(rng, walker->speed_m_s, setup->habits.speed_spread);
    bool stays = owl_rng_chance(rng, setup->habits.stays);
    double stay_s = setup->habits.stay_s * owl_rng_exponential(rng, 1.0);
    pass.stay_s = stays && walker == &setup->walker[0] ? stay_s : 0.0;
    return pass;
}

/* The middle of a body of some height on the path. */
static struct owl_point middle_at(const struct owl_setup *setup, const struct owl_pass *pass, double past_m)
{
    struct owl_point point = owl_path_point(setup->plan, &pass->path, pass->sense * past_m);
    point.z_m += pass->walker->height_m / 2.0;
    return point;
}

double owl_passage_reach_m(const struct owl_setup *setup, const struct owl_pass *pass, bool by_day)
{
    const struct owl_plan_sensor *sensor = &setup->plan->sensor;
    const struct owl_walker *walker = pass->walker;
    struct owl_point middle = middle_at(setup, pass, 0.0);
    struct owl_point sight = owl_point_between(&sensor->place, &middle);
    double distance_m = owl_point_length_m(&sight);
    /* cosine and sine of the angle between walk and sight; a sensor straight above sees it walk along x */
    double ground_m = hypot(sight.x_m, sight.y_m);
    if (ground_m < 1e-9) {
        sight.x_m = 1.0;
        ground_m = 1.0;
    }
    double c = (sight.x_m * pass->path.cosine + sight.y_m * pass->path.sine) / ground_m;
    double s = (sight.y_m * pass->path.cosine - sight.x_m * pass->path.sine) / ground_m;
    double across_m = walker->length_m * fabs(s) + walker->width_m * fabs(c);
    double area_m2 = owl_heat_visible_area_m2(across_m, walker->height_m, sensor->zone_pitch_rad, sensor->fan_height_rad,
                                              distance_m);
    double hz = owl_heat_crossing_hz(pass->speed_m_s * fabs(s), sensor->zone_pitch_rad, distance_m);
    return sensor->range_m * fmin(setup->reach_scale[by_day] * sqrt(area_m2 * owl_heat_response(hz)), setup->reach_most);
}

/* A beam above its head does not see it. */
static bool beam_meets_body(const struct owl_setup *setup, const struct owl_pass *pass, double distance_m)
{
    const struct owl_plan_sensor *sensor = &setup->plan->sensor;
    double whole_m = hypot(sensor->aim.x_m - sensor->place.x_m, sensor->aim.y_m - sensor->place.y_m);
    double beam_m = sensor->place.z_m + (sensor->aim.z_m - sensor->place.z_m) * distance_m / whole_m;
    return beam_m <= setup->plan->stage.mark_height_m + pass->walker->height_m;
}

struct owl_notice owl_passage_notice(const struct owl_setup *setup, const struct owl_pass *pass, bool by_day)
{
    const struct owl_plan *plan = setup->plan;
    bool beam = plan->sensor.kind == OWL_SENSOR_BEAM;
    struct owl_crossing crossed = owl_sensor_cross(plan, &pass->path, pass->sense, INFINITY);
    bool noticed = crossed.noticed;
    if (noticed && beam) {
        noticed = owl_beam_breaks(pass->walker->length_m, pass->speed_m_s, plan->sensor.debounce_s) &&
                  beam_meets_body(setup, pass, crossed.distance_m);
    } else if (noticed) {
        double reach_m = owl_passage_reach_m(setup, pass, by_day);
        struct owl_crossing within = owl_sensor_cross(plan, &pass->path, pass->sense, reach_m);
        noticed = within.noticed;
        crossed = noticed ? within : crossed;
    }
    return (struct owl_notice){noticed, crossed.front_m, crossed.distance_m};
}

double owl_passage_past_m(const struct owl_pass *pass, double at_s)
{
    double since_s = at_s - pass->at_s;
    if (since_s <= 0.0)
        return pass->speed_m_s * since_s;
    return pass->speed_m_s * fmax(0.0, since_s - pass->stay_s);
}

bool owl_passage_stands(const struct owl_pass *pass, double at_s)
{
    return at_s > pass->at_s && at_s < pass->at_s + pass->stay_s;
}

double owl_passage_time_s(const struct owl_pass *pass, double front_m)
{
    double past_m = front_m - pass->walker->length_m / 2.0;
    return pass->at_s + past_m / pass->speed_m_s + (past_m > 0.0 ? pass->stay_s : 0.0);
}

static double dot(const struct owl_point *a, const struct owl_point *b)
{
    return a->x_m * b->x_m + a->y_m * b->y_m + a->z_m * b->z_m;
}

/* Blur disc of the body's nearest or farthest part along the optical axis, whichever is worse. */
static double worst_defocus_m(const struct owl_setup *setup, const struct owl_pass *pass, const struct owl_point *middle)
{
    const struct owl_plan *plan = setup->plan;
    const struct owl_view *view = &setup->light.view;
    const struct owl_walker *walker = pass->walker;
    double c = pass->path.cosine, s = pass->path.sine, f = plan->lens.focal_m;
    struct owl_point sight = owl_point_between(&view->place, middle);
    double half_m = 0.5 * (walker->length_m * fabs(c * view->forward.x_m + s * view->forward.y_m) +
                           walker->width_m * fabs(c * view->forward.y_m - s * view->forward.x_m) +
                           walker->height_m * fabs(view->forward.z_m));
    double depth_m = dot(&sight, &view->forward);
    double near_m = fmax(depth_m - half_m, f), far_m = fmax(depth_m + half_m, f);
    return fmax(owl_optics_defocus_blur_m(f, plan->camera.aperture, plan->lens.focus_m, near_m),
                owl_optics_defocus_blur_m(f, plan->camera.aperture, plan->lens.focus_m, far_m));
}

/* Light of the flashes on the side turned to the camera. */
struct flash_light {
    double all_lxs, live_lxs;         /* as though none were dead; of those that are not */
    double all_pulse_s, live_pulse_s; /* the longest pulse among them */
};

static double lamp_lxs(const struct owl_setup *setup, int i, const struct owl_point *middle)
{
    const struct owl_plan_flash *flash = &setup->plan->flash[i];
    const struct owl_setup_lamp *lamp = &setup->lamp[i];
    double distance_m = owl_point_distance_m(&flash->place, middle);
    double off_rad = owl_point_angle_rad(&flash->place, &flash->aim, middle);
    double turn_rad = owl_point_angle_rad(middle, &flash->place, &setup->plan->camera.place);
    return owl_metering_flash_exposure_lxs(lamp->intensity_cds, distance_m, cos(turn_rad)) *
           owl_metering_beam_share(off_rad, lamp->half_coverage_rad);
}

static struct flash_light light_of(const struct owl_setup *setup, const struct owl_rig_light *given,
                                   const struct owl_point *middle)
{
    struct flash_light light = {0.0, 0.0, 0.0, 0.0};
    for (int i = 0; i < setup->plan->flashes; i++) {
        double lxs = given->share[i] > 0.0 ? given->share[i] * lamp_lxs(setup, i, middle) : 0.0;
        if (!(lxs > 0.0))
            continue;
        light.all_lxs += lxs;
        light.all_pulse_s = fmax(light.all_pulse_s, setup->lamp[i].pulse_s);
        if (given->dead[i])
            continue;
        light.live_lxs += lxs;
        light.live_pulse_s = fmax(light.live_pulse_s, setup->lamp[i].pulse_s);
    }
    return light;
}

static double exposure_of(const struct owl_setup *setup, const struct owl_minute *minute, double flash_lxs)
{
    return flash_lxs / setup->light.flash_needed_lxs + minute->ambient_lxs / setup->light.ambient_needed_lxs;
}

/* What flash and ambient light do together. per_second_m: how fast the image moves on the image sensor. */
static unsigned light_faults(const struct owl_setup *setup, const struct owl_minute *minute, double per_second_m,
                             double flash_lxs, double pulse_s)
{
    double blur_m = setup->plan->limits.blur_m;
    struct owl_light_case light = {
        .flash_lxs = flash_lxs,
        .ambient_lxs = minute->ambient_lxs,
        .total = exposure_of(setup, minute, flash_lxs),
        .ghost_factor = setup->ghost_factor,
        .exposure_factor = setup->exposure_factor,
        .shutter_smears = per_second_m * minute->shutter_s > blur_m,
        .pulse_smears = per_second_m * pulse_s > blur_m,
    };
    struct owl_light_faults faults = owl_light_judge(&light);
    return (faults.smear ? OWL_FAILED(OWL_LEDGER_SMEARED) : 0) | (faults.ghost ? OWL_FAILED(OWL_LEDGER_DOUBLED) : 0) |
           (faults.dim ? OWL_FAILED(OWL_LEDGER_DIM) : 0) | (faults.burnt ? OWL_FAILED(OWL_LEDGER_BURNT) : 0);
}

static unsigned judge_light(const struct owl_setup *setup, const struct owl_pass *pass, const struct owl_minute *minute,
                            const struct owl_point *middle, double magnification, struct owl_frame *frame)
{
    struct flash_light light = light_of(setup, &frame->light, middle);
    double speed_m_s = owl_passage_stands(pass, frame->opens_s) ? 0.0 : pass->speed_m_s;
    double per_second_m = magnification * speed_m_s * fabs(pass->path.cosine);
    unsigned failed = light_faults(setup, minute, per_second_m, light.all_lxs, light.all_pulse_s);
    bool ambient_makes_it = minute->ambient_lxs >= light.all_lxs * setup->ghost_factor;
    frame->travel_m = per_second_m * (ambient_makes_it ? minute->shutter_s : light.all_pulse_s);
    frame->stops = owl_metering_stops(exposure_of(setup, minute, light.live_lxs));
    if (light.live_lxs < light.all_lxs &&
        (light_faults(setup, minute, per_second_m, light.live_lxs, light.live_pulse_s) & ~failed) != 0)
        failed |= OWL_FAILED(OWL_LEDGER_SPENT);
    return failed;
}

void owl_passage_judge(const struct owl_setup *setup, const struct owl_pass *pass, const struct owl_minute *minute,
                       struct owl_frame *frame)
{
    const struct owl_plan *plan = setup->plan;
    const struct owl_view *view = &setup->light.view;
    double past_m = owl_passage_past_m(pass, frame->opens_s);
    struct owl_frame_box box = owl_view_body(view, plan, &pass->path, pass->sense * past_m);
    frame->past_m = past_m;
    frame->inside = box.inside;
    frame->failed = 0;
    if (!(box.inside > 0.0)) {
        frame->failed |= OWL_FAILED(OWL_LEDGER_LATE);
        past_m = 0.0;
        box = owl_view_body(view, plan, &pass->path, 0.0);
    }
    if (box.inside < plan->limits.inside)
        frame->failed |= OWL_FAILED(OWL_LEDGER_CUT);
    struct owl_point middle = middle_at(setup, pass, past_m);
    double distance_m = fmax(owl_point_distance_m(&plan->camera.place, &middle), 2.0 * plan->lens.focal_m);
    double magnification = owl_optics_magnification(plan->lens.focal_m, distance_m);
    frame->defocus_m = worst_defocus_m(setup, pass, &middle);
    if (frame->defocus_m > plan->limits.blur_m)
        frame->failed |= OWL_FAILED(OWL_LEDGER_SOFT);
    frame->failed |= judge_light(setup, pass, minute, &middle, magnification, frame);
}
