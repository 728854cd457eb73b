/* Pauses, charges, cells and card. */
#include "core/rehearse/rig.h"

#include <math.h>

#include "core/constants.h"
#include "core/model/flash.h"

#define HALVINGS 50 /* of the span in which a set of cells ran out: below a microsecond of any watch */

void owl_rig_begin(const struct owl_setup *setup, struct owl_rig *rig)
{
    *rig = (struct owl_rig){.deaf_until_s = -INFINITY, .busy_until_s = -INFINITY, .awake_until_s = -INFINITY};
    rig->card_left = setup->card_frames;
    for (int i = 0; i <= OWL_RIG_CARD; i++)
        rig->out_s[i] = INFINITY;
    for (int i = 0; i < OWL_FLASHES; i++)
        rig->lamp[i].charge = 1.0;
}

struct owl_rig owl_rig_mended(const struct owl_setup *setup, const struct owl_rig *rig)
{
    struct owl_rig mended = *rig;
    mended.card_left = setup->card_frames;
    for (int i = 0; i <= OWL_RIG_CARD; i++)
        mended.out_s[i] = INFINITY;
    return mended;
}

/* What a set of cells still holds; below 0 it has run out. Self-discharge by the model's own law. */
static double left_j(const struct owl_setup *setup, int device, double used_j, double at_s)
{
    const struct owl_setup_cells *cells = &setup->cells[device];
    double share = owl_cells_left_share(cells->kind, setup->plan->climate.night_k, at_s / OWL_CELLS_MONTH_S);
    return cells->store_j * share - cells->standby_w * at_s - used_j;
}

static double runs_out_s(const struct owl_setup *setup, int device, double used_j, double from_s, double to_s)
{
    if (left_j(setup, device, used_j, from_s) <= 0.0)
        return from_s;
    for (int i = 0; i < HALVINGS; i++) {
        double middle_s = 0.5 * (from_s + to_s);
        if (left_j(setup, device, used_j, middle_s) > 0.0)
            from_s = middle_s;
        else
            to_s = middle_s;
    }
    return to_s;
}

/* The store never falls below what is left of it at the end of the watch, so most of the time one comparison
   settles that it lasts. */
void owl_rig_reckon(const struct owl_setup *setup, struct owl_rig *rig, double to_s)
{
    if (!(to_s > rig->reckoned_s))
        return;
    for (int i = 0; i < setup->devices; i++) {
        const struct owl_setup_cells *cells = &setup->cells[i];
        if (isfinite(rig->out_s[i]) || cells->standby_w * to_s + rig->used_j[i] < cells->end_j)
            continue;
        if (left_j(setup, i, rig->used_j[i], to_s) <= 0.0)
            rig->out_s[i] = runs_out_s(setup, i, rig->used_j[i], rig->reckoned_s, to_s);
    }
    rig->reckoned_s = to_s;
}

bool owl_rig_works(const struct owl_rig *rig)
{
    return isinf(rig->out_s[OWL_DEVICE_CAMERA]) && isinf(rig->out_s[OWL_DEVICE_SENSOR]) && rig->card_left >= 1.0;
}

double owl_rig_opens_s(const struct owl_setup *setup, const struct owl_rig *rig, double signal_s)
{
    const struct owl_plan_camera *camera = &setup->plan->camera;
    bool asleep = camera->sleeps == OWL_YES && signal_s >= rig->awake_until_s;
    return signal_s + (asleep ? camera->wake_s : 0.0) + camera->lag_s;
}

/* The model asks for the share that an earlier flash took of a full store: here, what is missing. */
static double charge_at(const struct owl_setup_lamp *lamp, const struct owl_rig_lamp *state, double at_s)
{
    double missing = 1.0 - state->charge;
    return missing > 0.0 ? owl_flash_charge_share(fmax(at_s - state->at_s, 0.0), lamp->recycle_s, missing) : 1.0;
}

/* Share of the light at the power set; what is not there cannot be given. */
static double fire_lamp(const struct owl_setup_lamp *lamp, struct owl_rig_lamp *state, double at_s)
{
    state->off = state->off || at_s - state->at_s > lamp->sleeps_after_s;
    if (state->off)
        return 0.0;
    double charge = charge_at(lamp, state, at_s), taken = fmin(charge, lamp->power);
    state->charge = charge - taken;
    state->at_s = fmax(at_s, state->at_s);
    return taken / lamp->power;
}

struct owl_rig_light owl_rig_frame(const struct owl_setup *setup, struct owl_rig *rig, double opens_s, unsigned missed)
{
    struct owl_rig_light light = {.lit = false};
    for (int i = 0; i < setup->plan->flashes; i++) {
        int device = OWL_DEVICE_FLASH + i;
        light.dead[i] = isfinite(rig->out_s[device]);
        light.share[i] = missed & 1u << i ? 0.0 : fire_lamp(&setup->lamp[i], &rig->lamp[i], opens_s);
        if (light.dead[i] || light.share[i] == 0.0)
            continue;
        light.lit = true;
        rig->used_j[device] += setup->cells[device].frame_j;
    }
    rig->used_j[OWL_DEVICE_CAMERA] += setup->cells[OWL_DEVICE_CAMERA].frame_j;
    rig->used_j[OWL_DEVICE_SENSOR] += setup->cells[OWL_DEVICE_SENSOR].frame_j;
    rig->card_left -= 1.0;
    if (rig->card_left < 1.0)
        rig->out_s[OWL_RIG_CARD] = fmin(rig->out_s[OWL_RIG_CARD], opens_s);
    return light;
}

void owl_rig_deafen(const struct owl_setup *setup, struct owl_rig *rig, double signal_s)
{
    rig->deaf_until_s = signal_s + setup->plan->sensor.pause_s;
}

void owl_rig_pause(const struct owl_setup *setup, struct owl_rig *rig, double signal_s, double last_frame_ends_s)
{
    owl_rig_deafen(setup, rig, signal_s);
    rig->busy_until_s = last_frame_ends_s;
    rig->awake_until_s = last_frame_ends_s + setup->plan->camera.awake_s;
}
