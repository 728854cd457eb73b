/* How long each set of cells and the card last. */
#include <math.h>

#include "core/constants.h"
#include "core/model/flash.h"
#include "core/plan/evaluating.h"

#define RESERVE_SHARE 0.2         /* kept back for the unforeseen, common practice */
#define LEAST_DRAIN_A 1e-4        /* below this no cell table tells anything */

/* What one device takes: all the time, for one frame, and how hard it pulls while it works. */
struct draw {
    double standby_a, frame_j, working_a;
};

static double usual_v(const struct owl_supply *supply)
{
    return supply->cells * owl_cells_at((size_t)supply->kind)->mean_v;
}

static struct draw camera_draw(const struct owl_plan *plan)
{
    const struct owl_plan_camera *camera = &plan->camera;
    bool sleeps = camera->sleeps == OWL_YES;
    double awake_s = camera->awake_s + (camera->frames - 1.0) * camera->interval_s;
    double awake_j = sleeps ? usual_v(&camera->supply) * camera->awake_a * awake_s / camera->frames : 0.0;
    return (struct draw){sleeps ? camera->supply.standby_a : camera->awake_a, camera->frame_energy_j + awake_j, camera->awake_a};
}

static struct draw flash_draw(const struct owl_plan_flash *flash)
{
    double charging_w = flash->stored_energy_j / OWL_FLASH_CHARGER_EFFICIENCY / flash->recycle_s;
    return (struct draw){flash->supply.standby_a, flash->stored_energy_j * flash->power / OWL_FLASH_CHARGER_EFFICIENCY,
                         charging_w / usual_v(&flash->supply)};
}

static struct draw device_draw(const struct owl_plan *plan, int device)
{
    if (device == OWL_DEVICE_CAMERA)
        return camera_draw(plan);
    if (device == OWL_DEVICE_SENSOR)
        return (struct draw){plan->sensor.supply.standby_a, 0.0, plan->sensor.supply.standby_a};
    return flash_draw(&plan->flash[device - OWL_DEVICE_FLASH]);
}

static double note_cells(struct owl_evaluating *part, int device, double frames_per_night)
{
    const struct owl_plan *plan = part->plan;
    struct owl_outcome *out = &part->result->outcome;
    const struct owl_supply *supply = owl_device_supply(plan, device);
    struct draw draw = device_draw(plan, device);
    struct owl_cells_set set = {.kind = owl_cells_at((size_t)supply->kind),
                                .in_series = (int)supply->cells,
                                .in_parallel = (int)supply->sets,
                                .capacity_ah = supply->capacity_ah,
                                .temperature_k = plan->climate.night_k,
                                .reserve_share = RESERVE_SHARE};
    /* The capacity table asks for the drain while most of the charge leaves: the work when it
       outweighs standing by. */
    double standby_j = usual_v(supply) * draw.standby_a * OWL_SECONDS_PER_DAY;
    bool works = draw.frame_j * frames_per_night > standby_j;
    double drain_a = fmax(works ? draw.working_a : draw.standby_a, LEAST_DRAIN_A) / supply->sets;
    double night_j = standby_j + frames_per_night * draw.frame_j;
    OWL_NOTE(out, CELLS_STORE, device, owl_cells_energy_j(&set, drain_a), plan->climate.night_k, drain_a, supply->capacity_ah, supply->cells);
    OWL_NOTE(out, CELLS_DRAW, device, night_j, usual_v(supply), draw.standby_a, frames_per_night, draw.frame_j);
    return OWL_NOTE(out, CELLS_NIGHTS, device, owl_cells_nights(&set, night_j, drain_a),
                    owl_outcome_value(out, OWL_RESULT_CELLS_STORE, device), night_j);
}

void owl_evaluate_outlast(struct owl_evaluating *part)
{
    const struct owl_plan *plan = part->plan;
    struct owl_outcome *out = &part->result->outcome;
    double frames = owl_outcome_value(out, OWL_RESULT_FRAMES, 0);
    double room = OWL_NOTE(out, CARD_FRAMES, 0, floor(plan->camera.card_bytes / plan->camera.frame_bytes),
                           plan->camera.card_bytes, plan->camera.frame_bytes);
    double card_nights = OWL_NOTE(out, CARD_NIGHTS, 0, room / fmax(frames, 1e-6), room, frames);
    double least = card_nights;
    part->result->first_to_fail = OWL_DEVICES;
    for (int device = 0; device < OWL_DEVICE_FLASH + plan->flashes; device++) {
        double nights = note_cells(part, device, frames);
        if (nights < least) {
            least = nights;
            part->result->first_to_fail = device;
        }
    }
    OWL_NOTE(out, OUTLAST, 0, least, card_nights);
}
