/* What the camera sees when nothing is there: level and restlessness of every pixel over a window of frames. The caller owns
   all planes. */
#ifndef OWL_CARD_JUDGE_BACKGROUND_H
#define OWL_CARD_JUDGE_BACKGROUND_H

#include "card/judge/luma.h"

/* Per pixel, the value with `rank` smaller or equal ones before it among count frames; rank 0..count - 1, count 1..255. */
void owl_background_ranked(const uint8_t *const *frame, int count, size_t pixels, int rank, uint8_t *out);

/* Per pixel, the median (upper one of two) distance of the frames from `middle`. */
void owl_background_spread(const uint8_t *const *frame, int count, size_t pixels, const uint8_t *middle, uint8_t *out);

struct owl_background {
    int width, height;
    uint8_t *level;        /* median */
    uint8_t *least, *most; /* its extremes in the 3 x 3 pixels around: what a leaf's width moved is no change */
    float *certainty;      /* 1 over the standard deviation one has to expect, 1/levels */
};

/* Fills background from count frames, all registered and in one light. work: 3 width height floats. */
void owl_background_make(const uint8_t *const *frame, int count, float *work, struct owl_background *background);

#endif
