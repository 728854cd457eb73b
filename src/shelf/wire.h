/* The wiring of a rig: a tree of things from the sensor over the camera to every flash, joined socket to socket, proven to
   be the best there is. Nothing is allocated: the search works in the caller's room. */
#ifndef OWL_SHELF_WIRE_H
#define OWL_SHELF_WIRE_H

#include "core/status.h"
#include "shelf/fit.h"
#include "shelf/wire_room.h"

#define OWL_WIRE_SHELVES 4
#define OWL_WIRE_SITES (2 + OWL_FLASHES)
#define OWL_WIRE_USES 48       /* things in one wiring */
#define OWL_WIRE_CAUTIONS 32

/* Sites: where the devices stand. Parts stand at one of them, or hang on a cable from one. */
enum owl_wire_site { OWL_AT_SENSOR, OWL_AT_CAMERA, OWL_AT_FLASH /* and on, one a flash */ };

/* What comes first, second and third; of equals the first found is kept, always the same one. */
enum owl_wire_aim {
    OWL_WIRE_CHEAPEST,      /* money, then joints, then things bought */
    OWL_WIRE_FEWEST_JOINTS, /* joints, then money, then things bought */
    OWL_WIRE_OWNED_FIRST,   /* things bought, then money, then joints */
    OWL_WIRE_AIMS
};

/* The lengths are in metres: `apart` straight through the air, `along` as a cable is laid. */
struct owl_wire_request {
    const struct owl_shelf *shelf[OWL_WIRE_SHELVES];
    double money[OWL_WIRE_SHELVES];   /* one unit of that shelf's currency in the currency of the answer; 0 stands for 1 */
    bool may_buy[OWL_WIRE_SHELVES];   /* false: only what is owned on it */
    int shelves;
    const struct owl_thing *sensor;   /* NULL: from the camera on only */
    const struct owl_thing *camera;
    const struct owl_thing *flash[OWL_FLASHES]; /* all on one of the shelves */
    int flashes;                      /* 0: to the camera only */
    double apart_m[OWL_WIRE_SITES][OWL_WIRE_SITES], along_m[OWL_WIRE_SITES][OWL_WIRE_SITES];
    bool camera_sleeps;               /* the trigger must wake it: focus or wake besides release */
    bool by_day;                      /* armed by day, at least at times */
    bool through_air;                 /* radio and light allowed; false: wires only */
    enum owl_wire_aim aim;
    unsigned aside;                   /* refusals set aside, as bits; 0 for a true answer */
};

/* Fills along_m from apart_m: up and down each stand, and the way along the ground with a share of slack.
   climb_m: one a site, at least 0; slack: 0.2 for a fifth more. */
void owl_wire_lay(struct owl_wire_request *request, const double climb_m[OWL_WIRE_SITES], double slack);

struct owl_wire_use {
    const struct owl_thing *thing;
    int shelf, pool;      /* which shelf it is of; things of one kind share a pool number */
    int from;             /* the use it is joined to, -1 for the first */
    int out, in;          /* sockets: of that one, of this one; -1 for the first */
    int at;               /* the site nearest to its entrance, as far as is settled */
    int site;             /* where it stands, or the site its cable comes from */
    bool stands;
    double hang_m;        /* cable from there to its entrance */
    int flash;            /* which flash of the rig; -1 for none */
    double latency_s;     /* from the signal of the first to this one's signal, itself included */
};

struct owl_wire_buy {
    const struct owl_thing *thing;
    int count, used, shelf;
    int64_t each; /* hundredths of the answer's currency; -1: no price stated (only devices of the rig) */
};

enum owl_wire_caution_kind {
    OWL_CAUTION_CAPACITOR,       /* a charged flash */
    OWL_CAUTION_TRIGGER_HIGH,    /* volts on a flash's contact above what ISO 10330 asks a camera to bear */
    OWL_CAUTION_TRIGGER_UNKNOWN, /* not stated: measure before joining */
    OWL_CAUTION_BEARS_UNKNOWN,   /* what the other end bears is not stated */
    OWL_CAUTION_POLARITY,        /* a contact that has a plus, and nothing stated on the other side */
    OWL_CAUTION_TIP,             /* tip and ring stated on one side only */
    OWL_CAUTION_RADIO_MISS,
    OWL_CAUTION_RADIO_DRAIN,
    OWL_CAUTION_LIGHT,           /* an eye must see the other flash */
    OWL_CAUTION_WEATHER,         /* no code, or less than water from all sides */
    OWL_CAUTION_PRICE,           /* a device of the rig has no price */
    OWL_CAUTION_KINDS
};

struct owl_wire_caution {
    enum owl_wire_caution_kind kind;
    int use;        /* first thing it is about */
    int count;      /* things it is about */
    double value;   /* the volts, chance or amperes it is about; NaN for none */
};

/* Plain words for a caution, with what to do. */
const char *owl_wire_caution_words(enum owl_wire_caution_kind kind);

#define OWL_SAFE_TRIGGER_V 24.0 /* what a camera's contact must bear by ISO 10330 [iso10330, from memory, text not seen] */
#define OWL_RAIN_WATER 4        /* second digit of IEC 60529 against splashing from all sides [iec60529] */

struct owl_wire_answer {
    bool found;
    bool proven;              /* the search ended by itself: the best there is, or none at all */
    struct owl_wire_use use[OWL_WIRE_USES]; /* the first is the sensor or camera; each stands after the one it joins */
    int uses, joints, bought;
    struct owl_wire_buy buy[OWL_WIRE_USES]; /* everything used, each kind once; count 0 for what is owned already */
    int buys;
    int64_t cost;             /* hundredths of the answer's currency */
    double camera_s, flash_s[OWL_FLASHES]; /* from the sensor's notice to release; from the camera's sync to each flash */
    double standby_a, standby_w;           /* of everything used that states it; the plan counts the three devices itself */
    double parts_a;           /* of that, what the links draw */
    double heard;             /* chance that every radio link hears one signal, independent of each other */
    struct owl_wire_caution caution[OWL_WIRE_CAUTIONS];
    int cautions;
    int labels;               /* pieces looked at */
};

/* Finds the best wiring. OWL_OK: *answer tells it, or that there is none (found false, proven true).
   OWL_NO_ROOM: the room ended before the proof; found is false, or true with a wiring that may not be the best.
   OWL_BAD_USE: a device is on none of the shelves, or the request has more things than one search may use. */
enum owl_status owl_wire_find(const struct owl_wire_request *request, struct owl_wire_room *room,
                              struct owl_wire_answer *answer) OWL_MUST_USE;

/* Why a wiring cannot be: asks link by link (sensor to camera, camera to each flash), and for each that cannot be, which
   single rule stands in its way. */
struct owl_wire_obstacle {
    int flash;                 /* -1: the link from sensor to camera */
    enum owl_refusal refusal;  /* OWL_REFUSED_PLUG: nothing on the shelves joins the two at all */
    const struct owl_thing *giver, *taker; /* where it fails, when it is at one joint; else the two ends of the link. Of a
                                              voltage: taker lays it on, giver bears too little */
    int out, in;
    double value, limit;       /* volts, metres of cable or metres of air: what is, and what may be; NaN for none */
};

struct owl_wire_why {
    struct owl_wire_obstacle obstacle[1 + OWL_FLASHES];
    int obstacles; /* 0 although nothing was found: each link can be, but not all at once (sockets, owned things, channels) */
    bool mended;   /* with the mending shelf there is a wiring: mend tells it, its buy list is what is missing */
    struct owl_wire_answer mend;
};

/* mending: a shelf to buy from besides, NULL for none; its things count at request's money of the last shelf.
   The same statuses as owl_wire_find. */
enum owl_status owl_wire_explain(const struct owl_wire_request *request, const struct owl_shelf *mending,
                                 struct owl_wire_room *room, struct owl_wire_why *why) OWL_MUST_USE;

#endif
