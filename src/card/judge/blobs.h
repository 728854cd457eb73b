/* Patches of change: found, weighed, boxed. The caller owns all room. */
#ifndef OWL_CARD_JUDGE_BLOBS_H
#define OWL_CARD_JUDGE_BLOBS_H

#include "card/judge/luma.h"

#define OWL_BLOBS_MOST 64 /* the heaviest so many are kept */

struct owl_blob {
    int left, top, right, bottom; /* right, bottom one past */
    int area;
    int thickness;       /* width of the largest square that fits into it */
    double brightness;   /* mean change, positive where brighter */
    double weight;       /* change beyond doubt, summed over its core */
    double thin, shadow; /* what its shape and its texture leave of the weight, 0..1 */
};

struct owl_blob_room { /* width height each */
    uint8_t *mask, *spare, *depth, *thick;
    int32_t *label, *queue;
};

/* 1 where |change| is beyond 2.6, small gaps closed. */
void owl_blobs_mask(const float *change, int width, int height, uint8_t *spare, uint8_t *mask);

/* Numbers the patches of mask that touch by side or corner from 1, 0 elsewhere, in the order their first pixel is met; how
   many. queue: width height. */
int owl_blobs_label(const uint8_t *mask, int width, int height, int32_t *queue, int32_t *label);

/* The blobs of a frame, the heaviest (after thin and shadow) first; how many. change: calmed; luma, background: aligned alike. */
int owl_blobs_find(const float *change, const struct owl_luma *luma, const struct owl_luma *background,
                   const struct owl_blob_room *room, struct owl_blob blob[OWL_BLOBS_MOST]);

/* Joins what is near and heavy enough beside the heaviest; drops what weighs less than 12 % of it. How many remain. */
int owl_blobs_join(struct owl_blob *blob, int blobs, int width);

#endif
