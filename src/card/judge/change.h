/* How far a frame departs from its background, in standard deviations, and how much of that is only the wind. Owns nothing. */
#ifndef OWL_CARD_JUDGE_CHANGE_H
#define OWL_CARD_JUDGE_CHANGE_H

#include "card/judge/background.h"
#include "card/judge/photometry.h"

#define OWL_CHANGE_BLOCK 12   /* side of a block, pixels */
#define OWL_CHANGE_PER_SIGMA 256 /* stored as whole numbers: change[i]/256 */

/* The change at every pixel, positive where brighter, 0 where barred (NULL: nowhere) and where both are burnt out. gain: of
   luma against the background. work: 2 width height floats. */
void owl_change_of(const struct owl_background *background, const struct owl_gain *gain, const struct owl_luma *luma,
                   const uint8_t *barred, float *work, int16_t *change);

/* Blocks along one side of so many pixels. */
int owl_change_blocks(int side);

/* Activity of each block: the change that a tenth of its pixels exceed, sign aside. */
void owl_change_activity(const int16_t *change, int width, int height, float *activity);

/* The usual activity of each block over count frames. */
void owl_change_usual(const float *const *activity, int count, int blocks, float *usual);

/* What a whole frame's blocks say. */
struct owl_change_calm {
    double wind; /* restless blocks now against usually, 0.8..3 */
    double calm; /* divisor for all change, 1..4 */
};
struct owl_change_calm owl_change_calm(const float *activity, const float *usual, int blocks);

/* Change with restless parts and restless frames calmed: out of width height floats. */
void owl_change_calmed(const int16_t *change, const float *usual, const struct owl_change_calm *calm, int width, int height,
                       float *out);

#endif
