/* Where the camera looked: shift and turn of one picture against another, by small patches found again. Nothing is allocated. */
#ifndef OWL_CARD_JUDGE_REGISTRATION_H
#define OWL_CARD_JUDGE_REGISTRATION_H

#include <stdbool.h>

#include "card/judge/luma.h"

#define OWL_PATCH_SIDE 20
#define OWL_PATCHES_ACROSS 10
#define OWL_PATCHES_DOWN 6
#define OWL_PATCHES (OWL_PATCHES_ACROSS * OWL_PATCHES_DOWN)
#define OWL_REGISTRATION_REACH_PX 20 /* farthest shift searched, from where it is guessed */

/* What lies at p in the one picture lies at c + R(turn) (p - c) + shift in the other, c the middle; x right, y down. */
struct owl_pose {
    double right_px, down_px, turn_rad;
};

struct owl_point_px {
    double x, y;
};

struct owl_point_px owl_pose_apply(const struct owl_pose *pose, int width, int height, double x, double y);

/* First `first`, then `then`. */
struct owl_pose owl_pose_chain(const struct owl_pose *first, const struct owl_pose *then);

struct owl_pose owl_pose_back(const struct owl_pose *pose);

/* The largest way any pixel moves between two poses, px. */
double owl_pose_apart_px(const struct owl_pose *a, const struct owl_pose *b, int width, int height);

struct owl_patch {
    int left, top;
    float trust; /* how often it agreed with the others lately, 0..1 */
    float full[OWL_PATCH_SIDE * OWL_PATCH_SIDE];         /* mean 0, length 1 */
    float half[OWL_PATCH_SIDE * OWL_PATCH_SIDE / 4];
};

/* A picture to find again. */
struct owl_landmarks {
    int count;
    struct owl_patch patch[OWL_PATCHES];
};

/* The best corner of each cell of a grid of 10 x 6 [shi1994]. work: 4 width height floats. */
void owl_landmarks_find(const struct owl_luma *luma, float *work, struct owl_landmarks *landmarks);

/* The pose of luma against the landmarks' picture: false if too few are found to agree, and then *pose is unchanged. Learns
   from each picture which landmarks sway in the wind, and then leaves those out.
   guess: where to begin, NULL for nowhere in particular. half: (width/2) (height/2) bytes of room.
   Within 0.1 px where the landmarks do not move. */
bool owl_landmarks_pose(struct owl_landmarks *landmarks, const struct owl_luma *luma, const struct owl_pose *guess,
                        uint8_t *half, struct owl_pose *pose);

/* The picture as if taken without the pose: out[p] = luma[pose(p)], between pixels by straight lines, beyond the border the
   nearest pixel. */
void owl_pose_undo(const struct owl_luma *luma, const struct owl_pose *pose, uint8_t *out);

#endif
