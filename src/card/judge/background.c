/* Medians of bytes by bisection: the same eight comparisons for every pixel, so that many go side by side. */
#include "card/judge/background.h"

#include <math.h>
#include <string.h>

#define STRIP 64
#define SIGMA_PER_MAD 1.4826
#define SMOOTHING 2           /* radius over which a deviation's estimate is evened out */
#define FLOOR_SHARE 0.5f      /* of the frame's usual variance, added everywhere */
#define EDGE_SHARE 0.01f      /* of the squared gradient: a tenth of a pixel's misalignment */
#define ROUNDING_VARIANCE 1.0f

/* One strip of pixels. The value of a rank is the largest v that has at most `rank` frames below it; found bit by bit. */
static void rank_strip(const uint8_t (*value)[STRIP], int count, int rank, uint8_t *out)
{
    uint8_t found[STRIP] = {0};
    for (int bit = 128; bit > 0; bit /= 2) {
        uint8_t trial[STRIP], below[STRIP] = {0};
        for (int i = 0; i < STRIP; i++)
            trial[i] = (uint8_t)(found[i] | bit);
        for (int f = 0; f < count; f++)
            for (int i = 0; i < STRIP; i++)
                below[i] = (uint8_t)(below[i] + (value[f][i] < trial[i]));
        for (int i = 0; i < STRIP; i++)
            found[i] = below[i] <= rank ? trial[i] : found[i];
    }
    memcpy(out, found, STRIP);
}

/* Gathers a strip of every frame, as distances from `middle` if that is given; ranks it. */
static void rank_all(const uint8_t *const *frame, int count, size_t pixels, const uint8_t *middle, int rank, uint8_t *out)
{
    uint8_t value[255][STRIP], ranked[STRIP];
    for (size_t first = 0; first < pixels; first += STRIP) {
        size_t length = pixels - first < STRIP ? pixels - first : STRIP;
        for (int f = 0; f < count; f++) {
            memset(value[f], 0, STRIP);
            memcpy(value[f], frame[f] + first, length);
            for (size_t i = 0; middle && i < length; i++) {
                uint8_t level = value[f][i], usual = middle[first + i];
                value[f][i] = (uint8_t)(level > usual ? level - usual : usual - level);
            }
        }
        rank_strip((const uint8_t(*)[STRIP])value, count, rank, ranked);
        memcpy(out + first, ranked, length);
    }
}

void owl_background_ranked(const uint8_t *const *frame, int count, size_t pixels, int rank, uint8_t *out)
{
    rank_all(frame, count, pixels, NULL, rank, out);
}

void owl_background_spread(const uint8_t *const *frame, int count, size_t pixels, const uint8_t *middle, uint8_t *out)
{
    rank_all(frame, count, pixels, middle, count / 2, out);
}

static float median_of_bytes(const uint8_t *value, size_t count)
{
    size_t times[256] = {0}, below = 0;
    for (size_t i = 0; i < count; i++)
        times[value[i]]++;
    int v = 0;
    while (below + times[v] <= count / 2)
        below += times[v++];
    return (float)v;
}

static float edge_variance(const struct owl_background *background, int x, int y)
{
    int width = background->width;
    const uint8_t *here = background->level + (size_t)y * (size_t)width + (size_t)x;
    int left = x > 0, right = x < width - 1, up = y > 0 ? width : 0, down = y < background->height - 1 ? width : 0;
    float gx = 0.5f * (float)(here[right] - here[-left]), gy = 0.5f * (float)(here[down] - here[-up]);
    return EDGE_SHARE * (gx * gx + gy * gy);
}

void owl_background_make(const uint8_t *const *frame, int count, float *work, struct owl_background *background)
{
    int width = background->width, height = background->height;
    size_t pixels = (size_t)width * (size_t)height;
    float *sigma = work, *even = work + pixels, *spare = even + pixels;
    uint8_t *spread = background->least; /* until the extremes are worked out */
    owl_background_ranked(frame, count, pixels, count / 2, background->level);
    owl_background_spread(frame, count, pixels, background->level, spread);
    float usual = (float)SIGMA_PER_MAD * median_of_bytes(spread, pixels);
    for (size_t i = 0; i < pixels; i++)
        sigma[i] = (float)SIGMA_PER_MAD * (float)spread[i];
    owl_luma_box_mean(width, height, SMOOTHING, sigma, spare, even);
    for (int y = 0; y < height; y++)
        for (int x = 0; x < width; x++) {
            size_t i = (size_t)y * (size_t)width + (size_t)x;
            float larger = sigma[i] > even[i] ? sigma[i] : even[i];
            float variance = larger * larger + FLOOR_SHARE * usual * usual + edge_variance(background, x, y) + ROUNDING_VARIANCE;
            background->certainty[i] = 1.0f / sqrtf(variance);
        }
    owl_luma_extremes(&(struct owl_luma){width, height, background->level}, background->least, background->most);
}
