/* What the rig does to the animal and the weather to the rig: eyes, bait, dew. */
#include <math.h>

#include "core/constants.h"
#include "core/model/bait.h"
#include "core/model/eye.h"
#include "core/model/moisture.h"
#include "core/model/optics.h"
#include "core/plan/evaluating.h"

#define STILL_AIR_W_M2_K 6.0 /* heat a window exchanges with calm air, from memory: 5 calm .. 20 in wind */

static double worst_margin(const struct owl_evaluating *part, int *flash)
{
    double least = INFINITY;
    for (int i = 0; i < part->plan->flashes; i++) {
        double margin = owl_outcome_value(&part->result->outcome, OWL_RESULT_FLASH_MARGIN, i);
        if (margin < least) {
            least = margin;
            *flash = i;
        }
    }
    return least;
}

static void note_eye(struct owl_evaluating *part)
{
    const struct owl_plan *plan = part->plan;
    struct owl_outcome *out = &part->result->outcome;
    int brightest = 0;
    double margin = OWL_NOTE(out, EYE_MARGIN, 0, worst_margin(part, &brightest), OWL_EYE_MARGIN_WARN);
    OWL_NOTE(out, EYE_ANIMAL, 0, owl_eye_animal_margin(margin), margin);
    struct owl_lit_surface lit = owl_lit_surface_of(&plan->flash[brightest]);
    double radiance = owl_eye_radiance_time_cds_m2(owl_outcome_value(out, OWL_RESULT_FLASH_INTENSITY, brightest), lit.width_m * lit.height_m);
    OWL_NOTE(out, EYE_BLEACH, 0, owl_eye_bleached_share(owl_eye_retinal_exposure_td_s(radiance, plan->subject.pupil_m)), plan->subject.pupil_m);
    OWL_NOTE(out, EYE_REST, 0, OWL_EYE_REST_S, OWL_EYE_REST_S);
    OWL_NOTE(out, EYE_GAP, 0, plan->sensor.pause_s, plan->sensor.pause_s);
    OWL_NOTE(out, EYE_FLASHES, 0, plan->camera.frames, plan->camera.frames);
}

static void note_bait(struct owl_evaluating *part)
{
    const struct owl_plan *plan = part->plan;
    struct owl_outcome *out = &part->result->outcome;
    const struct owl_bait_food *food = owl_bait_at((size_t)plan->bait.food);
    const struct owl_animal *animal = owl_animal_at((size_t)plan->subject.kind);
    double need_j = OWL_NOTE(out, BAIT_NEED, 0, owl_bait_daily_energy_j(animal->class, plan->subject.mass_kg), plan->subject.mass_kg);
    OWL_NOTE(out, BAIT_SHARE, 0, owl_bait_share(food->energy_j_kg, plan->bait.amount_kg, need_j), food->energy_j_kg,
             plan->bait.amount_kg, need_j);
    OWL_NOTE(out, BAIT_LIMIT, 0, owl_bait_limit_kg(food->energy_j_kg, need_j), need_j, food->energy_j_kg);
}

static void note_dew(struct owl_evaluating *part)
{
    const struct owl_plan *plan = part->plan;
    struct owl_outcome *out = &part->result->outcome;
    double air_k = plan->climate.night_k, humidity = plan->climate.humidity;
    double dew_k = OWL_NOTE(out, DEW_POINT, 0, owl_moisture_dew_point_k(air_k, humidity), air_k, humidity);
    double cooling_k = OWL_NOTE(out, PORT_COOLING, 0,
                                owl_moisture_sky_cooling_k(air_k, dew_k, STILL_AIR_W_M2_K, plan->site.open_sky), air_k,
                                dew_k, plan->site.open_sky);
    double window_k = OWL_NOTE(out, PORT_TEMPERATURE, 0, air_k + cooling_k, air_k, cooling_k);
    OWL_NOTE(out, DEW_MARGIN, 0, window_k - dew_k, window_k, dew_k);
}

static void note_housing(struct owl_evaluating *part)
{
    const struct owl_plan *plan = part->plan;
    const struct owl_plan_housing *housing = &plan->housing;
    struct owl_outcome *out = &part->result->outcome;
    struct owl_moisture_box box = {.volume_m3 = housing->volume_m3,
                                   .day_swing_k = fabs(plan->climate.day_k - plan->climate.night_k),
                                   .temperature_k = plan->climate.night_k,
                                   .humidity = plan->climate.humidity,
                                   .leak_time_s = housing->leak_time_s};
    double intake_kg = owl_moisture_intake_kg(&box, plan->watch.nights * OWL_SECONDS_PER_DAY);
    OWL_NOTE(out, DESICCANT, 0, owl_moisture_desiccant_kg(intake_kg), housing->volume_m3, plan->watch.nights, housing->leak_time_s);
    double corner_rad = owl_optics_field_angle_rad(hypot(part->view.width_m, part->view.height_m), plan->lens.focal_m, INFINITY);
    OWL_NOTE(out, PORT_NEEDED, 0,
             owl_moisture_port_diameter_m(plan->lens.focal_m, plan->camera.aperture, corner_rad, housing->port_gap_m),
             plan->lens.focal_m, plan->camera.aperture, housing->port_gap_m, corner_rad);
}

void owl_evaluate_care(struct owl_evaluating *part)
{
    if (part->plan->flashes > 0)
        note_eye(part);
    if (part->plan->bait.food >= 0)
        note_bait(part);
    note_dew(part);
    note_housing(part);
}
