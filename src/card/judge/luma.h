/* Grey pictures and what every stage of the judge does with them. The caller owns all pixels; rows run from the top. */
#ifndef OWL_CARD_JUDGE_LUMA_H
#define OWL_CARD_JUDGE_LUMA_H

#include <stddef.h>
#include <stdint.h>

#define OWL_LUMA_SIDE_LEAST 64
#define OWL_LUMA_SIDE_MOST 2048
#define OWL_LUMA_CLIPPED 250 /* from this level on a pixel is taken as burnt out */
#define OWL_LUMA_DARK 5      /* up to this level as black */

struct owl_luma {
    int width, height;
    const uint8_t *level; /* width height */
};

static inline size_t owl_luma_pixels(const struct owl_luma *luma)
{
    return (size_t)luma->width * (size_t)luma->height;
}

/* Mean over the square of 2 radius + 1 pixels around each, the border's pixels repeated outwards. in and out hold
   width height values and may be the same; radius 0..16. Work: width height floats. */
void owl_luma_box_mean(int width, int height, int radius, const float *in, float *work, float *out);

/* Smallest and largest level of the 3 x 3 pixels around each; beyond the border there is nothing. */
void owl_luma_extremes(const struct owl_luma *luma, uint8_t *least, uint8_t *most);

/* Every second pixel each way, the mean of four. half holds (width/2) (height/2). */
void owl_luma_halve(const struct owl_luma *luma, uint8_t *half);

/* The value with `rank` smaller or equal ones before it, of count >= 1 values, which get reordered; rank 0..count - 1. */
float owl_luma_ranked(float *value, int count, int rank);

#endif
