/* What can hurt people, animals or gear: trigger voltages, eyes, bait. */
#include <math.h>

#include "core/model/bait.h"
#include "core/model/eye.h"
#include "core/model/flash.h"
#include "core/plan/warning.h"

static void warn_trigger(struct owl_evaluating *part, int i)
{
    const struct owl_plan_flash *flash = &part->plan->flash[i];
    enum owl_trigger_verdict verdict = owl_flash_trigger(flash->trigger_v, part->plan->camera.socket_limit_v);
    struct owl_fault fault;
    if (verdict == OWL_TRIGGER_SAFE || (flash->link == OWL_LINK_RADIO && isnan(flash->trigger_v)))
        return;
    owl_warning_new(part, 1.0, true, &fault);
    owl_text_words(&fault.words, "flash ");
    owl_text_words(&fault.words, flash->name);
    if (isnan(flash->trigger_v)) {
        owl_text_words(&fault.words, ": trigger voltage not measured; an old flash can destroy the camera's socket");
        owl_text_words(&fault.change, "measure it with the flash charged (high-resistance meter) and write 'trigger voltage', or use an opto-isolated adapter");
        return;
    }
    owl_text_words(&fault.words, ": trigger voltage ");
    owl_unit_show(OWL_UNIT_VOLTAGE, flash->trigger_v, &fault.words);
    owl_text_words(&fault.words, " is above the camera's limit of ");
    owl_unit_show(OWL_UNIT_VOLTAGE, part->plan->camera.socket_limit_v, &fault.words);
    owl_text_words(&fault.change, verdict == OWL_TRIGGER_NEVER ? "do not join this flash to the camera at all"
                                                                : "use an opto-isolated adapter");
}

static void warn_eyes(struct owl_evaluating *part)
{
    struct owl_fault fault;
    for (int i = 0; i < part->plan->flashes; i++) {
        double margin = owl_outcome_value(&part->result->outcome, OWL_RESULT_FLASH_MARGIN, i);
        if (margin >= OWL_EYE_MARGIN_WARN)
            continue;
        owl_warning_new(part, 0.0, true, &fault);
        owl_text_words(&fault.words, "flash ");
        owl_text_words(&fault.words, part->plan->flash[i].name);
        owl_text_words(&fault.words, " is hard on eyes: only ");
        owl_unit_show(OWL_UNIT_RATIO, margin, &fault.words);
        owl_text_words(&fault.words, " times below the limit for a human retina, less for an animal's wide pupil");
        owl_text_words(&fault.change, "spread it with a diffuser (give 'diffuser width' and 'height'), or lower its power");
    }
    if (part->plan->flashes > 0 && part->plan->sensor.pause_s < OWL_EYE_REST_S && part->plan->sensor.gate != OWL_GATE_DAY) {
        owl_warning_new(part, 0.0, true, &fault);
        owl_text_words(&fault.words, "an animal that stays is flashed again after ");
        owl_unit_show(OWL_UNIT_TIME, part->plan->sensor.pause_s, &fault.words);
        owl_text_words(&fault.words, "; its night sight needs 10 min");
        owl_text_words(&fault.change, "sensor: pause = 10 min");
    }
}

static void warn_bait(struct owl_evaluating *part)
{
    struct owl_fault fault;
    double share = owl_warning_value(part, OWL_RESULT_BAIT_SHARE);
    if (isnan(share) || share <= OWL_BAIT_SHARE_LIMIT)
        return;
    owl_warning_new(part, 0.0, true, &fault);
    owl_text_words(&fault.words, "the bait gives ");
    owl_unit_show(OWL_UNIT_PERCENT, share, &fault.words);
    owl_text_words(&fault.words, " of the animal's day: it becomes a need");
    owl_text_words(&fault.change, "bait: amount = ");
    owl_unit_show(OWL_UNIT_MASS, owl_warning_value(part, OWL_RESULT_BAIT_LIMIT), &fault.change);
    owl_text_words(&fault.change, " or less; ask whether feeding is allowed at all");
}

void owl_warn_care(struct owl_evaluating *part)
{
    for (int i = 0; i < part->plan->flashes; i++)
        warn_trigger(part, i);
    warn_eyes(part);
    warn_bait(part);
}
