/* What the light desk keeps of a scene: one image for each light, before aperture, speed and powers are chosen. Light adds up,
   so a change of those only weighs the images anew. The caller owns the room; nothing is allocated.

   Two layers: what is behind, everywhere, as if the animal were of glass but threw its shadow; and the animal before it. A
   value is the light thrown back: reflectance times exposure (lx s) for a weight of one, red, green, blue. Rows run from
   the top of the picture, pixels from its left. */
#ifndef OWL_CORE_DESK_FILM_H
#define OWL_CORE_DESK_FILM_H

#include <stddef.h>
#include <stdint.h>

#include "core/plan/plan.h"

#define OWL_FILM_LIGHTS (OWL_FLASHES + 1) /* the flashes in the order of the plan, then the ambient light */
#define OWL_FILM_SIDE_MOST 8192

struct owl_film {
    int width, height, lights;      /* lights: flashes + 1; the last is the ambient light */
    float *behind[OWL_FILM_LIGHTS]; /* 3 width height each */
    float *body[OWL_FILM_LIGHTS];   /* the same, already times the cover */
    float *cover;                   /* width height: share of the pixel the animal covers, 0..1 */
    float *behind_depth_m, *body_depth_m; /* along the camera's axis; the body's counts where the cover is above 0 */
};

/* Floats such a film needs. Sides 1..OWL_FILM_SIDE_MOST, lights 1..OWL_FILM_LIGHTS. */
size_t owl_film_floats(int width, int height, int lights);

/* A film over that many floats. */
struct owl_film owl_film_over(float *room, int width, int height, int lights);

/* How a film is exposed. */
struct owl_film_exposure {
    double weight[OWL_FILM_LIGHTS];      /* of each light's image; a sum of 1 is a mid grey */
    double smear_x_px[OWL_FILM_LIGHTS];  /* how far the animal's picture moves while this light lasts, */
    double smear_y_px[OWL_FILM_LIGHTS];  /* to the right and downwards */
    double focus_m;                      /* distance in focus; INFINITY allowed */
    double disc_px;                      /* blur disc of a point at infinity, were it focused at focus_m: of one at d
                                            it is disc_px |1 - focus/d|; for an infinite focus, disc_px/d with
                                            disc_px in px m */
};

/* Floats of room for developing beside the film. */
size_t owl_film_work_floats(const struct owl_film *film);

/* Adds the images up, smears the animal's by its way and blurs by defocus: linear[3 width height], 1 a mid grey. The smear
   begins where the animal was when the shutter opened, and what it bares lets through what is behind; below half a pixel, or
   without end, there is none. Nothing enters from outside the film: a smear brings no light in, a blur is the mean of what
   lies on the film. A depth that is NaN or not above 0 is not blurred. The disc is drawn as a box of the same variance. */
void owl_film_develop(const struct owl_film *film, const struct owl_film_exposure *exposure, float *work, float *linear);

/* The tone curve: from linear, 1 a mid grey, to a code value 0..1 of sRGB [iec61966]. Up to OWL_TONE_KNEE times mid grey
   straight (mid grey at 0.18 of white), then bent so that it meets white with OWL_TONE_CLIP times mid grey, the headroom
   of [iso12232]. 0 for what is below 0. */
#define OWL_TONE_CLIP 7.8
double owl_tone_code(double linear);

/* The light a code value stands for, the inverse of owl_tone_code: within 1e-9, and within 2e-8 at linear 0.017393, where the
   two pieces that [iec61966] puts together overlap by 3e-8 of a code. code 0..1; NaN outside. */
double owl_tone_light(double code);

/* count values through the tone curve to bytes 0..255, within 0.75 of 255 times the code; NaN gives 0. */
void owl_tone_bytes(const float *linear, size_t count, uint8_t *bytes);

#endif
