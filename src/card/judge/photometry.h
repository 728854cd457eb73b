/* How much brighter one picture is than another, place by place. Owns nothing. */
#ifndef OWL_CARD_JUDGE_PHOTOMETRY_H
#define OWL_CARD_JUDGE_PHOTOMETRY_H

#include "card/judge/luma.h"

#define OWL_GAIN_TERMS 6

/* level = base (t0 + t1 x + t2 y + t3 x^2 + t4 x y + t5 y^2) + offset, x and y from -1 to 1 across and down the picture. */
struct owl_gain {
    double term[OWL_GAIN_TERMS];
    double offset;
};

/* The gain that turns base into luma for most pixels: Tukey's weights, so what has changed counts little [beaton1974].
   Both the same size. barred: width height bytes, pixels not 0 are left out; NULL for none. Left out too is what is burnt
   out in either. A picture
   with hardly a pixel left gives gain 1. work: OWL_GAIN_ROOM(width, height) floats. */
#define OWL_GAIN_STEP 4
#define OWL_GAIN_ROOM(width, height) \
    (6 * (size_t)(((width) + OWL_GAIN_STEP - 1) / OWL_GAIN_STEP) * (size_t)(((height) + OWL_GAIN_STEP - 1) / OWL_GAIN_STEP))
struct owl_gain owl_gain_between(const struct owl_luma *base, const struct owl_luma *luma, const uint8_t *barred, float *work);

/* The gain at a pixel, at least OWL_GAIN_LEAST. */
#define OWL_GAIN_LEAST 0.05
double owl_gain_at(const struct owl_gain *gain, int width, int height, double x, double y);

/* Mean over the frame. */
double owl_gain_mean(const struct owl_gain *gain);

/* The picture as it would be in base's light: (luma - offset)/gain, out of width height floats. */
void owl_gain_undo(const struct owl_gain *gain, const struct owl_luma *luma, float *out);

#endif
