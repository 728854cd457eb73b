/* The tone curve: straight, a shoulder, then the transfer function of sRGB. */
#include <math.h>
#include <string.h>

#include "core/desk/film.h"

#define MID_GREY 0.18      /* of white: ISO 12232 sets the mid tone at code 118 of 255, which is this [iso12232] */
#define KNEE 0.5           /* of white, our own choice */
#define WHITEST (MID_GREY * OWL_TONE_CLIP)
#define SHOULDER_SLOPE ((WHITEST - KNEE) / (1.0 - KNEE)) /* so that the curve has no corner at the knee */

/* [iec61966] */
#define SRGB_LINEAR 0.0031308
#define SRGB_SLOPE 12.92
#define SRGB_OFFSET 0.055
#define SRGB_POWER 2.4

/* Share t 0..1 of the way from knee to whitest, bent: slope SHOULDER_SLOPE at 0, 1 at 1, rising all the way. */
static double bent(double t)
{
    return SHOULDER_SLOPE * t - (SHOULDER_SLOPE - 1.0) * t * t;
}

static double straightened(double share)
{
    double a = SHOULDER_SLOPE - 1.0, b = SHOULDER_SLOPE;
    return 2.0 * share / (b + sqrt(b * b - 4.0 * a * share));
}

double owl_tone_code(double linear)
{
    double shown = MID_GREY * linear;
    if (!(shown > 0.0))
        return 0.0;
    if (shown >= WHITEST)
        return 1.0;
    if (shown > KNEE)
        shown = KNEE + (1.0 - KNEE) * bent((shown - KNEE) / (WHITEST - KNEE));
    if (shown <= SRGB_LINEAR)
        return SRGB_SLOPE * shown;
    return (1.0 + SRGB_OFFSET) * pow(shown, 1.0 / SRGB_POWER) - SRGB_OFFSET;
}

double owl_tone_light(double code)
{
    if (!(code >= 0.0 && code <= 1.0))
        return NAN;
    double shown = code / SRGB_SLOPE;
    if (shown > SRGB_LINEAR)
        shown = pow((code + SRGB_OFFSET) / (1.0 + SRGB_OFFSET), SRGB_POWER);
    if (shown > KNEE)
        shown = KNEE + (WHITEST - KNEE) * straightened((shown - KNEE) / (1.0 - KNEE));
    return shown / MID_GREY;
}

/* A float's exponent and the first eight bits behind it are the place in a table of 256 steps to the stop: each entry is
   right to a quarter of a byte. Made anew at each call: as many powers as it has steps. */
#define STEP_BITS 15
#define LOWEST_BITS 0x3a000000u  /* 2^-11: so dark that its byte is 0 */
#define HIGHEST_BITS 0x41000000u /* 2^3: above OWL_TONE_CLIP, white */
#define STEPS ((HIGHEST_BITS - LOWEST_BITS) >> STEP_BITS)

static void fill_steps(uint8_t step[STEPS])
{
    for (uint32_t i = 0; i < STEPS; i++) {
        uint32_t bits = LOWEST_BITS + (i << STEP_BITS) + (1u << (STEP_BITS - 1));
        float middle;
        memcpy(&middle, &bits, sizeof middle);
        step[i] = (uint8_t)(owl_tone_code((double)middle) * 255.0 + 0.5);
    }
}

static uint8_t byte_of(const uint8_t step[STEPS], float linear)
{
    uint32_t bits;
    memcpy(&bits, &linear, sizeof bits);
    if (!(linear > 0.0f) || bits < LOWEST_BITS)
        return 0;
    return bits >= HIGHEST_BITS ? 255 : step[(bits - LOWEST_BITS) >> STEP_BITS];
}

void owl_tone_bytes(const float *linear, size_t count, uint8_t *bytes)
{
    uint8_t step[STEPS];
    fill_steps(step);
    for (size_t i = 0; i < count; i++)
        bytes[i] = byte_of(step, linear[i]);
}
