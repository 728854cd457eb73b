/* The room a wiring search works in: the caller gives it, nothing of it need be looked at. */
#ifndef OWL_SHELF_WIRE_ROOM_H
#define OWL_SHELF_WIRE_ROOM_H

#include "shelf/fit.h"

#define OWL_WIRE_POOL 160      /* different things one search may use */
#define OWL_WIRE_GROUPS 512    /* of them, counted by the socket a signal enters by */
#define OWL_WIRE_SETS 16       /* radio sets */

/* A piece of wiring in the search. */
struct owl_wire_label {
    int64_t key[3];
    double hang_m;
    struct owl_net net;
    int base, child, chain, next, heap;
    int16_t group;
    uint8_t targets;
    int8_t site, out, tip;
    bool pinned, settled;
    uint8_t sends[OWL_WIRE_SETS], used[OWL_WIRE_POOL];
};

#define OWL_WIRE_CHAINS 16384
#define OWL_WIRE_TARGETS (2 << OWL_FLASHES) /* sets of camera and flashes */

struct owl_wire_member {
    const struct owl_thing *thing;
    int shelf, owned;
    int64_t price; /* -1: cannot be bought */
    bool rig;
    bool counted;  /* how many are owned is minded; until a wiring uses too many, it is not */
};

struct owl_wire_group {
    int16_t member, in, flash; /* in -1: the root; flash -1: none of the rig's */
    int8_t site;               /* -1: a part */
    uint8_t target;            /* its own bit */
};

/* The caller's room, large: label[most] is the caller's array, the rest is filled by the search. */
struct owl_wire_room {
    struct owl_wire_label *label;
    int most;
    int labels, heaped;
    struct owl_wire_member member[OWL_WIRE_POOL];
    int members;
    struct owl_wire_group group[OWL_WIRE_GROUPS];
    int groups;
    uint8_t fits[2][OWL_WIRE_POOL][OWL_THING_SOCKETS][OWL_WIRE_GROUPS / 8]; /* by signals: release, sync */
    char set[OWL_WIRE_SETS][OWL_SHAPE_BYTES];
    int set_channels[OWL_WIRE_SETS], sets;
    int chain[OWL_WIRE_CHAINS];
    int settled[OWL_WIRE_GROUPS][OWL_WIRE_TARGETS]; /* finished pieces, lists by `next` */
    int counted[OWL_WIRE_POOL], counts; /* the members whose number is minded */
};

#endif
