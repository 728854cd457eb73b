/* The rig in the course of a season: what is still in its pause, charged, full or run out. A plain value; a copy of
   it goes its own way, as the question "and if it had worked?" needs. Times are seconds since the watch began. */
#ifndef OWL_CORE_REHEARSE_RIG_H
#define OWL_CORE_REHEARSE_RIG_H

#include "core/rehearse/setup.h"

#define OWL_RIG_CARD OWL_DEVICES /* the card's place among what runs out, after the cells of every device */

/* The store of a flash. */
struct owl_rig_lamp {
    double charge; /* share of the full store, at `at_s` */
    double at_s;   /* when it last fired */
    bool off;      /* it switched itself off, for the rest of the watch */
};

struct owl_rig {
    double deaf_until_s;               /* the sensor, after it fired */
    double busy_until_s;               /* the camera, with its frames */
    double awake_until_s;              /* the camera, if it sleeps at all */
    double reckoned_s;                 /* up to where the cells are reckoned */
    double used_j[OWL_DEVICES];        /* for frames, from each set of cells */
    double out_s[OWL_RIG_CARD + 1];    /* when it ran out; INFINITY: it has not */
    double card_left;                  /* frames */
    struct owl_rig_lamp lamp[OWL_FLASHES];
};

/* Everything fresh, full, charged and listening. */
void owl_rig_begin(const struct owl_setup *setup, struct owl_rig *rig);

/* The same rig with full cells and an empty card, in the same pauses. */
struct owl_rig owl_rig_mended(const struct owl_setup *setup, const struct owl_rig *rig);

/* Carries the cells on to a time; what runs out on the way is noted to the second. Going back does nothing. */
void owl_rig_reckon(const struct owl_setup *setup, struct owl_rig *rig, double to_s);

/* Whether sensor and camera have power and the card has room. */
bool owl_rig_works(const struct owl_rig *rig);

/* When the shutter opens after the sensor's signal: lag, and waking when the camera is asleep. */
double owl_rig_opens_s(const struct owl_setup *setup, const struct owl_rig *rig, double signal_s);

/* What the flashes give to one frame. */
struct owl_rig_light {
    double share[OWL_FLASHES]; /* of the light at the power set, 0..1; as though its cells had not run out */
    bool dead[OWL_FLASHES];    /* its cells have run out */
    bool lit;                  /* some flash went off */
};

/* Takes a frame: fires the flashes, draws on cells and card. Two frames at one time find the flashes emptied by
   the first. missed: flashes, as bits, whose link did not hear; they keep their charge. */
struct owl_rig_light owl_rig_frame(const struct owl_setup *setup, struct owl_rig *rig, double opens_s, unsigned missed);

/* The sensor's pause after a signal. */
void owl_rig_deafen(const struct owl_setup *setup, struct owl_rig *rig, double signal_s);

/* After a firing: the sensor's pause from its signal, the camera busy until its last frame ends and awake for
   a while longer. */
void owl_rig_pause(const struct owl_setup *setup, struct owl_rig *rig, double signal_s, double last_frame_ends_s);

#endif
