/* What happens on a made-up card: which frames there are, when, and what is wrong with each. From the seed alone; nothing
   is allocated. */
#ifndef OWL_TESTS_MADE_SCHEDULE_H
#define OWL_TESTS_MADE_SCHEDULE_H

#include "core/desk/desk.h"
#include "core/model/rng.h"
#include "core/status.h"

/* What can be wrong with one frame: the names in the truth, and whether it takes an animal to show. */
#define MADE_FAULT_LIST(X)                                                                  \
    X(MADE_SOUND, "none", false)                                                            \
    X(MADE_ONE_FLASH_FAILED, "one flash failed", false)                                     \
    X(MADE_ALL_FLASHES_FAILED, "all flashes failed", false)                                 \
    X(MADE_OVER_EXPOSED, "over-exposed", false)                                             \
    X(MADE_BLURRED, "blurred", true)     /* it moves while the flashes burn */              \
    X(MADE_GHOST, "ghost", true)         /* it moves through ambient light, shutter open long */ \
    X(MADE_CUT_OFF, "cut off", true)     /* partly outside the frame */                     \
    X(MADE_FOG, "fog", false)            /* in runs: comes and goes */                      \
    X(MADE_RAIN, "rain", false)          /* in runs */

enum made_fault {
#define MADE_FAULT_NAME(name, words, animal) name,
    MADE_FAULT_LIST(MADE_FAULT_NAME)
#undef MADE_FAULT_NAME
    MADE_FAULTS
};

const char *made_fault_words(enum made_fault fault);

struct made_card_wish {
    uint64_t seed;
    const char *plan_path;
    int frames, width, height;   /* as rendered */
    int file_width;              /* of the files, enlarged or shrunk to it; 0: as rendered */
    double visited;              /* share of frames with an animal, 0..1 */
    double share[MADE_FAULTS];   /* of the frames that can have it; all together at most 1 */
    int blades;                  /* of grass, 0: none */
    double wind;                 /* how far they sway, 0..1 */
    int knock_at;                /* from this frame on, counted from 1, the camera stands otherwise; 0: never */
    double knock_x_px, knock_y_px; /* how far what it sees then lies to the right and lower, at the rendered size */
    double lightest_lx;          /* the sensor works up to so much light; 0: what the plan's gate says */
    double noise;                /* against that of a good image sensor: 1; 0: none */
    double file_noise;           /* levels, as a standard deviation, put over files of another size than rendered: what
                                    grows by straight lines is smoother, and so smaller, than what a camera stores */
    int quality;                 /* of the files, 1..100 */
    bool preview;                /* with a second, smaller picture in the file */
};

/* A frame's truth. Until it is rendered, box and covered are 0. */
struct made_frame {
    double taken_unix_s;
    int visit;                    /* from 1; 0: the sensor fired at nothing */
    bool subject;                 /* some of the animal can be seen */
    int left, top, right, bottom; /* pixels of the file around what it covers by more than half; right, bottom: one past */
    double covered;               /* share of the picture */
    enum made_fault fault;
    double strength;              /* of the fault, 0..1 */
    int flash;                    /* the failed one; -1: none, or all */
    double wind, ambient_lx, shutter_s;
    double shift_x_px, shift_y_px; /* of what the camera sees, against the first frame */
    struct owl_desk_moment moment;
};

/* frames[wish->frames]. OWL_OUTSIDE_DOMAIN where the plan has no view, or its sensor never works. */
enum owl_status made_schedule(const struct made_card_wish *wish, const struct owl_plan *plan, struct made_frame *frames)
    OWL_MUST_USE;

/* The plan with its camera turned so that what lies in the middle moves so far on a film of the wish's size.
   OWL_OUTSIDE_DOMAIN where the plan has no view. */
enum owl_status made_schedule_turn(struct owl_plan *plan, const struct made_card_wish *wish, double right_px, double down_px)
    OWL_MUST_USE;

/* Even between two values. */
double made_between(struct owl_rng *rng, double from, double to);

#endif
