/* Which frames are lit alike: only those can be compared pixel by pixel. The groups own their leaders' pictures. */
#ifndef OWL_CARD_JUDGE_LIGHTING_H
#define OWL_CARD_JUDGE_LIGHTING_H

#include <stdbool.h>

#include "card/judge/luma.h"
#include "core/status.h"

#define OWL_LIGHTING_ACROSS 32
#define OWL_LIGHTING_DOWN 24
#define OWL_LIGHTING_TILES (OWL_LIGHTING_ACROSS * OWL_LIGHTING_DOWN)

/* A frame in miniature: the mean level of each of 32 x 24 tiles. */
struct owl_lighting {
    uint8_t tile[OWL_LIGHTING_TILES];
};

void owl_lighting_of(const struct owl_luma *luma, struct owl_lighting *lighting);

/* How alike two are: the correlation of their tiles, without the quarter that differs most, which may be an animal; -1..1.
   -1 also where one is beyond 0.45 to 2.2 times as bright as the other. */
double owl_lighting_likeness(const struct owl_lighting *a, const struct owl_lighting *b);

struct owl_lighting_groups {
    int count, room;
    struct owl_lighting *leader;
};

/* The group most like the frame, or a new one that it leads: *group. Groups begin as {0}.
   OWL_NO_MEMORY leaves them as they were. */
enum owl_status owl_lighting_join(struct owl_lighting_groups *groups, const struct owl_lighting *lighting, int *group)
    OWL_MUST_USE;

void owl_lighting_clear(struct owl_lighting_groups *groups);

#endif
