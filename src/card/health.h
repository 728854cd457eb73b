/* The health of the rig over a watch, read from its own frames: flashes, sight, stand, false triggers, silence, clock. Pure
   computation. The caller owns struct owl_health and gives its memory back with owl_health_clear.

   Times are seconds since 1970 by the camera's own clock, as in owl_judged; a night runs from noon to noon of it. A finding
   about chance is made only where chance alone would give it in at most one card of twenty: the limit is shared among all
   the tests that could have led to a finding of its kind [bonferroni1936]. The sizes from which a finding is worth telling are
   estimates. */
#ifndef OWL_CARD_HEALTH_H
#define OWL_CARD_HEALTH_H

#include <stdint.h>

#include "card/judged.h"
#include "core/text.h"

#define OWL_HEALTH_FINDINGS 32

/* What the numbers of a finding mean, beside from_s and to_s (NaN: not known) and p (NaN: not a matter of chance). `value`
   has a 95 % interval low..high where both are finite. */
enum owl_health_kind {
    OWL_HEALTH_FLASH_WEAKER,      /* value: stops gained over the span, below 0; second: nights; count: flashes in it */
    OWL_HEALTH_FLASH_SIDE_WEAKER, /* value: stops the left half gained on the right one; second: nights; count: flashes */
    OWL_HEALTH_FLASH_STOPPED,     /* count: frames at the end in a row without all flashes; of: all frames with flash */
    OWL_HEALTH_MISFIRES,          /* count of `of` frames missed a flash, other of them all flashes; value: share */
    OWL_HEALTH_MISFIRES_SOON,     /* the same for frames at most `second` s after the one before, value: share; other of
                                     other_of: the rest. `advised`: s to leave between frames */
    OWL_HEALTH_MISFIRES_SIDE,     /* count of `of` frames with one flash missing were dark on one half; second: -1 left, 1
                                     right */
    OWL_HEALTH_FOG,               /* one run of count fogged frames of `of` in its time */
    OWL_HEALTH_FOG_HOURS,         /* count of `of` runs of fog, other of other_of clear frames in hours value..second */
    OWL_HEALTH_SLIP,              /* value: px of the whole picture over the span; axis 0 right, 1 down, 2 clockwise at its side
                                     edges; second: degrees where axis is 2; count: frames */
    OWL_HEALTH_MOVED,             /* value: px of the whole picture, the largest way of any point */
    OWL_HEALTH_NIGHT_OF_EMPTIES,  /* count of `of` frames empty; second: usual number; value: count, with its interval */
    OWL_HEALTH_EMPTIES_IN_WIND,   /* value: share of pairs of an empty and a subject frame where the empty is windier; count
                                     empties, other subject frames */
    OWL_HEALTH_EMPTIES_IN_SUN,    /* count of `of` empties in hours value..second, other of other_of subject frames */
    OWL_HEALTH_SILENCE_AT_END,    /* value: s without a frame; second: longest other wait, s; count: waits compared with */
    OWL_HEALTH_SILENCE,           /* the same within the watch */
    OWL_HEALTH_CLOCK_RESET,       /* from_s: the first frame; count 1: certain, 0: it may be */
    OWL_HEALTH_CLOCK_BACK,        /* from_s the frame before, to_s the one after; value: s; count: number of the frame, from 0 */
    OWL_HEALTH_CLOCK_MISSING,     /* count of `of` frames without time */
    OWL_HEALTH_APERTURE,          /* count changes; value from.. low..high: span of values; second: the value after the first */
    OWL_HEALTH_EXPOSURE,          /* the same, s; here low and high are no interval */
    OWL_HEALTH_ISO,
    OWL_HEALTH_DAMAGED,           /* count of `of` frames; value: share */
    OWL_HEALTH_OVER_EXPOSED,
    OWL_HEALTH_OUT_OF_FOCUS,
    OWL_HEALTH_FOCUS_DRIFT,       /* value: change of fine detail over the span, share, below 0; count: frames */
    OWL_HEALTH_KINDS
};

enum owl_health_severity {
    OWL_HEALTH_FACT, /* good to know */
    OWL_HEALTH_WATCH_IT,
    OWL_HEALTH_MEND_IT
};

struct owl_health_finding {
    enum owl_health_kind kind;
    enum owl_health_severity severity;
    double from_s, to_s;
    double value, low, high, second, advised;
    int count, of, other, other_of;
    int axis;
    double p;  /* chance of at least this without a cause, for one test ... */
    int tests; /* ... out of so many that could have led here */
};

/* What the caller knows beside the frames; owl_health_wish_none for nothing. */
struct owl_health_wish {
    double until_s; /* when the watch ended, by the camera's clock; NaN: not known */
    double now_s;   /* time of looking, any zone; NaN: not known */
    double dawn_s;  /* usual beginning of morning twilight, s after midnight of the camera's clock; NaN: not known */
};
struct owl_health_wish owl_health_wish_none(void);

struct owl_health_night {
    double noon_s; /* it begins at */
    int frames, subjects, empties, fogged, misfires;
};

struct owl_health_hour {
    int frames, subjects, empties;
};

struct owl_health {
    struct owl_health_hour hour[24]; /* of the camera's clock; only frames whose time can be relied on, as in nights */
    struct owl_health_night *night;  /* in order; only nights with frames */
    int nights;
    int timed;                       /* frames whose time can be relied on */
    double first_s, last_s;          /* of these; NaN: none */
    int findings, left_out;          /* left_out: more than there is room for, none graver than those kept */
    struct owl_health_finding finding[OWL_HEALTH_FINDINGS]; /* gravest first, else in the order of kinds */
};

/* Looks through a judged card. *health needs no preparation and is always fit for owl_health_clear. OWL_NO_MEMORY. */
enum owl_status owl_health_examine(const struct owl_judged *judged, const struct owl_health_wish *wish,
                                   struct owl_health *health) OWL_MUST_USE;
void owl_health_clear(struct owl_health *health);

/* What was found, one or two sentences. */
void owl_health_tell(const struct owl_health_finding *finding, struct owl_text *text);

/* What to do, sentences; never NULL. owl_health_advise puts the finding's own numbers in where it has some. */
const char *owl_health_advice(enum owl_health_kind kind);
void owl_health_advise(const struct owl_health_finding *finding, struct owl_text *text);

/* How it was worked out: method, numbers, source keys. */
void owl_health_working(const struct owl_health_finding *finding, struct owl_text *text);

#endif
