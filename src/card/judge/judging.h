/* What the files of the judge share among themselves: the notes of the first pass, and the second pass's window. */
#ifndef OWL_CARD_JUDGE_JUDGING_H
#define OWL_CARD_JUDGE_JUDGING_H

#include "card/judge/blobs.h"
#include "card/judge/change.h"
#include "card/judge/judge.h"

struct judge_note {
    struct owl_lighting lighting;
    struct owl_pose to_leader; /* against the leader of its group */
    bool readable, flash_expected, linked;
    struct owl_frame_verdict verdict;
};

/* A lighting group beside its leader's miniature. */
struct judge_group {
    struct owl_landmarks landmarks;
    struct owl_pose to_first; /* the leader's pose against the card's first frame with landmarks */
    bool linked, rare;        /* rare: too few frames to judge by */
    struct owl_pose last;     /* of the last frame found: a good guess for the next */
    struct owl_frame_norm norm;
};

struct owl_judge {
    struct owl_judge_setup setup;
    bool finished;
    int frames, frames_room, groups_room;
    struct judge_note *note;
    struct owl_lighting_groups lighting;
    struct judge_group *group;
    uint8_t *half;
    float *work;              /* 4 width height */
    uint8_t *ignored;         /* width height: 1 in a region to ignore */
};

/* The second pass over frames of one light between two moves of the camera, in order of time. list is worked on. */
struct judge_run {
    const struct owl_judge_source *source;
    int *frame, frames;
    struct owl_pose stand; /* the camera's usual pose, against the group's leader */
};

struct judge_window;
struct judge_window *owl_judge_window_new(const struct owl_judge *judge);
void owl_judge_window_free(struct judge_window *window);
void owl_judge_window_run(struct owl_judge *judge, struct judge_window *window, struct judge_run *run);

#endif
