/* The proportions of each build, from which form_body.c shapes a body. Private to core/desk.

   Lengths called natural are in body lengths, nose to rump, of an animal of the build's own proportions. A shape takes three
   measures from a body: along x its length, across half its width, upwards its shoulder (above that, the head's surplus).
   Head, tail, feet and all thicknesses keep their shape and are scaled as a whole. */
#ifndef OWL_CORE_DESK_FORM_BUILDS_H
#define OWL_CORE_DESK_FORM_BUILDS_H

#include "core/desk/form.h"

#define OWL_BUILD_SECTIONS 6
#define OWL_BUILD_NECK 6
#define OWL_BUILD_PIECES 14
#define OWL_BUILD_MARKS 3
#define OWL_BUILD_TAIL 5

/* A cut through the trunk: x in lengths from the middle, top and bottom in shoulders, width in widths. The first is the rump,
   where x is the skin's; the others' x is the middle's. A list ends where wide is 0. */
struct owl_build_section {
    double x, top, bottom, wide;
};

/* A cone with natural thickness, once or on either side. A list ends where from_radius is 0. */
struct owl_build_piece {
    double from[3], from_radius, to[3], to_radius;
    enum owl_skin skin;
    bool both;
};

struct owl_build_joint {
    double x, z, radius;
};

/* Hip (or shoulder): x in lengths, z in shoulders. Knee (elbow) and hock (wrist): x natural, from the hip. A leg ends in a foot
   from heel to toe, with two more toes `splay` of its length to either side, if not 0. `out` and `stance`: how far out hip and
   foot lie, 1 flush with the flank. radius 0 of the hip: no leg. */
struct owl_build_leg {
    struct owl_build_joint hip, knee, hock;
    double heel_x, toe_x, foot_radius, out, stance;
    enum owl_skin thigh, shank, lower, foot;
    double splay;
};

struct owl_build {
    double shoulder, height, width; /* natural */
    double blend;                   /* natural */
    double stride;                  /* natural: how far a foot goes before and behind its place */
    struct owl_build_section trunk[OWL_BUILD_SECTIONS];
    enum owl_skin belly, throat; /* coat: no other than the rest */
    /* the first joint as a hip is given; the others in shares of the way from it to the middle of the skull, across and up */
    struct owl_build_joint neck[OWL_BUILD_NECK];
    struct owl_build_piece head[OWL_BUILD_PIECES]; /* about the middle of the skull, which is the first */
    struct owl_build_piece marks[OWL_BUILD_MARKS]; /* on the trunk, as its measures go; y flush with the flank at 1 */
    struct owl_build_leg hind, fore;
    double tail_z; /* in shoulders, at the rump */
    struct owl_build_piece tail[OWL_BUILD_TAIL];   /* about the tail's root */
};

/* The proportions of a build; never NULL. */
const struct owl_build *owl_build_of(enum owl_animal_build build);

#endif
