/* What a plan leaves out and the rest of it decides: bodies from the kind of animal, places from
   the stage, limits from the image sensor. */
#include <math.h>

#include "core/constants.h"
#include "core/model/beam.h"
#include "core/model/flash.h"
#include "core/model/gait.h"
#include "core/model/odds.h"
#include "core/model/optics.h"
#include "core/plan/geometry.h"
#include "core/plan/reading.h"

#define USUAL_CAMERA_DISTANCE_M 3.0
#define SENSOR_BESIDE_CAMERA_M 0.25
#define RADIO_DELAY_S 0.0005        /* middle of the trade's 0.3 to 1 ms, common practice */
#define CONVERTER_LIMIT_W 25.0      /* what such a circuit takes at most, estimate */
#define CIRCUIT_RESISTANCE_OHM 0.1  /* contacts and leads, estimate */

static void fill(double *value, double standard)
{
    if (isnan(*value))
        *value = standard;
}

static void fill_point(struct owl_point *point, double x_m, double y_m, double z_m)
{
    if (isnan(point->x_m))
        *point = (struct owl_point){x_m, y_m, z_m};
}

/* A passer has few fields of its own: the rest of its body is its kind's. */
static void take_kind(struct owl_plan_body *passer)
{
    passer->mass_kg = passer->length_m = passer->height_m = passer->shoulder_m = passer->width_m = NAN;
    passer->coat = passer->pupil_m = NAN;
}

static void complete_body(struct owl_plan_body *body)
{
    const struct owl_animal *animal = owl_animal_at((size_t)body->kind);
    fill(&body->mass_kg, animal->mass_kg);
    fill(&body->length_m, animal->length_m);
    fill(&body->height_m, animal->height_m);
    fill(&body->shoulder_m, fmin(animal->shoulder_m, body->height_m));
    fill(&body->width_m, animal->width_m);
    fill(&body->speed_m_s, animal->walk_m_s);
    fill(&body->coat, animal->coat_reflectance);
    fill(&body->pupil_m, animal->pupil_m);
    if (body->pattern < 0)
        body->pattern = (int)animal->pattern;
}

/* Passes by chance encounter: animals at that density, walking their usual way in a day, met in the
   sector that the sensor opens up to the mark. */
static double encounters_per_night(const struct owl_plan *plan)
{
    const struct owl_plan_body *subject = &plan->subject;
    bool hunter = owl_animal_at((size_t)subject->kind)->class == OWL_CLASS_HUNTER;
    struct owl_point middle = owl_stage_middle(plan);
    double radius_m = owl_point_distance_m(&plan->sensor.place, &middle);
    double angle_rad = plan->sensor.kind == OWL_SENSOR_HEAT ? fmin(plan->sensor.zones * plan->sensor.zone_pitch_rad, OWL_PI) : 0.0;
    double day_speed_m_s = owl_gait_day_range_m(subject->mass_kg, hunter) / OWL_SECONDS_PER_DAY;
    return owl_odds_encounters_per_s(radius_m, angle_rad, day_speed_m_s, subject->density_per_m2) * OWL_SECONDS_PER_DAY;
}

#define USUAL_PASSES_PER_NIGHT 0.3 /* of an animal that lives there, estimate */

static void complete_passes(struct owl_plan *plan)
{
    struct owl_plan_body *subject = &plan->subject;
    if (!isnan(subject->scouted_nights))
        fill(&subject->passes_per_night, owl_odds_rate_mean(owl_odds_posterior(subject->scouted_passes, subject->scouted_nights, owl_odds_jeffreys())));
    else if (!isnan(subject->density_per_m2))
        fill(&subject->passes_per_night, encounters_per_night(plan));
    fill(&subject->passes_per_night, USUAL_PASSES_PER_NIGHT);
}

static void complete_supply(struct owl_supply *supply)
{
    fill(&supply->capacity_ah, owl_cells_at((size_t)supply->kind)->capacity_ah);
}

/* Recharging after a full flash, from its store and what the cells can give at 20 C. */
static double usual_recycle_s(const struct owl_plan_flash *flash)
{
    const struct owl_cells_kind *kind = owl_cells_at((size_t)flash->supply.kind);
    double cells = flash->supply.cells;
    double power_w = owl_flash_supply_power_w(cells * kind->nominal_v,
                                              cells * kind->resistance_ohm / flash->supply.sets + CIRCUIT_RESISTANCE_OHM,
                                              CONVERTER_LIMIT_W);
    return owl_flash_recycle_s(flash->stored_energy_j, OWL_FLASH_CHARGER_EFFICIENCY, power_w);
}

static void complete_flash(struct owl_plan_flash *flash, const struct owl_point *middle)
{
    fill_point(&flash->aim, middle->x_m, middle->y_m, middle->z_m);
    fill(&flash->link_delay_s, flash->link == OWL_LINK_RADIO ? RADIO_DELAY_S : 0.0);
    complete_supply(&flash->supply);
    fill(&flash->recycle_s, usual_recycle_s(flash));
}

static void complete_sensor(struct owl_plan *plan, const struct owl_point *middle)
{
    struct owl_plan_sensor *sensor = &plan->sensor;
    const struct owl_point *camera = &plan->camera.place;
    if (sensor->kind == OWL_SENSOR_BEAM) {
        double beam_m = plan->stage.mark_height_m + owl_beam_height_m(plan->subject.shoulder_m);
        fill_point(&sensor->place, 0.0, -1.5, beam_m);
        fill_point(&sensor->aim, 0.0, 1.5, beam_m);
    } else {
        fill_point(&sensor->place, camera->x_m + SENSOR_BESIDE_CAMERA_M, camera->y_m, camera->z_m);
        fill_point(&sensor->aim, middle->x_m, middle->y_m, middle->z_m);
    }
    complete_supply(&sensor->supply);
}

void owl_plan_complete(struct owl_plan *plan)
{
    struct owl_plan_camera *camera = &plan->camera;
    complete_body(&plan->subject);
    for (int i = 0; i < plan->passers; i++) {
        take_kind(&plan->passer[i].body);
        complete_body(&plan->passer[i].body);
    }
    struct owl_point middle = owl_stage_middle(plan);
    fill_point(&camera->place, 0.0, -USUAL_CAMERA_DISTANCE_M, middle.z_m);
    fill_point(&camera->aim, middle.x_m, middle.y_m, middle.z_m);
    fill(&plan->lens.focus_m, owl_point_distance_m(&camera->place, &middle));
    fill(&plan->limits.blur_m, owl_optics_print_coc_m(hypot(camera->width_m, camera->height_m)));
    complete_supply(&camera->supply);
    complete_sensor(plan, &middle);
    complete_passes(plan);
    for (int i = 0; i < plan->flashes; i++)
        complete_flash(&plan->flash[i], &middle);
}
