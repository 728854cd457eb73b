/* What the photographer can still change about a plan, one lever a setting, and the values each can be set to.
   Owns nothing. */
#ifndef OWL_CORE_REHEARSE_ADVISE_LEVERS_H
#define OWL_CORE_REHEARSE_ADVISE_LEVERS_H

#include "core/plan/rewrite.h"

#define OWL_LEVERS_MOST 40
#define OWL_LEVER_CHANGES 2 /* a beam is shifted at both its ends */

enum owl_lever_kind {
    OWL_LEVER_GATE,        /* night, day, always */
    OWL_LEVER_GATE_LEVEL,  /* 1, 2, 5, 10 lx .. */
    OWL_LEVER_APERTURE,    /* thirds of a stop, as are the next four */
    OWL_LEVER_ISO,
    OWL_LEVER_SHUTTER,
    OWL_LEVER_HOLD,        /* a shutter on bulb, by night */
    OWL_LEVER_DAY_HOLD,
    OWL_LEVER_POWER,       /* of one flash: full, 1/2, 1/4 .. */
    OWL_LEVER_FRAMES,
    OWL_LEVER_INTERVAL,
    OWL_LEVER_PAUSE,
    OWL_LEVER_SLEEPS,
    OWL_LEVER_FOCUS,       /* by 5 cm, when the plan gives it */
    OWL_LEVER_AIM,         /* of a heat sensor, along the path by 5 cm */
    OWL_LEVER_PULSES,
    OWL_LEVER_ZONES,
    OWL_LEVER_BEAM,        /* both ends of a beam, along the path by 5 cm */
    OWL_LEVER_SENSOR,      /* place of a heat sensor, nearer to the animal or farther by 10 cm */
    OWL_LEVER_FLASH,       /* place of one flash, the same */
    OWL_LEVER_CAMERA,      /* place, the same, at most 30 % */
    OWL_LEVER_FOCAL        /* whole mm, at most 30 %, when the plan does not give it */
};

/* step 0 is the plan's own value; steps go up (or away) and down from there. */
struct owl_lever {
    enum owl_lever_kind kind;
    const struct owl_section *section;
    int nth, field;
    int least, most; /* steps worth a look; not at every one there is a value */
};

/* The levers a plan has, what is set on a dial before what must be carried about; returns their number. */
int owl_levers_of(const struct owl_plan *plan, struct owl_lever lever[OWL_LEVERS_MOST]);

/* The changes that put a lever of the plan `step` steps from where it stands; returns their number, 0 when the gear
   has no such value. */
int owl_lever_changes(const struct owl_lever *lever, const struct owl_plan *plan, int step,
                      struct owl_change change[OWL_LEVER_CHANGES]);

/* Settings that are to stay: a field, in one or all (nth -1) of the sections of its kind. */
struct owl_keep {
    const struct owl_section *section;
    int nth, field;
};

#define OWL_KEEPS_MOST 64

enum owl_kept { OWL_KEPT, OWL_KEPT_UNKNOWN, OWL_KEPT_AMBIGUOUS };

/* Finds what `camera.iso`, `flash.power`, `flash key.power` or, where only one section has such a field, `iso` means;
   capitals do not matter, and `_` stands for a blank. *keep is set by OWL_KEPT only. */
enum owl_kept owl_keep_find(const char *words, const struct owl_plan *plan, struct owl_keep *keep);

/* Whether every setting that is to stay is the same in both plans, be it given or left to the rest of the plan. */
bool owl_keeps_hold(const struct owl_keep *keep, int keeps, const struct owl_plan *plan, const struct owl_plan *changed);

#endif
