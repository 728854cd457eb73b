/* Change against what is usual at a pixel, then against what is usual around it. */
#include "card/judge/change.h"

#include <math.h>
#include <stdbool.h>

#define PLAIN_SHARE 0.35f    /* of the plain difference; the rest is distance outside the surroundings' range */
#define GATHERED 2.2f        /* of three a mean over 3 x 3 pixels would give independent ones */
#define MOST_CHANGE 120.0f
#define BUSY_SHARE 10        /* one pixel in so many is busier than the activity */
#define USUAL_QUANTILE 0.72
#define MOST_OVER_MEDIAN 1.8f /* a block visited now and then is not restless */
#define QUIET_ACTIVITY 1.3f  /* what noise alone does */
#define RESTLESS_ACTIVITY 2.0f
#define FRAMES_MOST 255

static float limited(float value, float least, float most)
{
    return value < least ? least : value > most ? most : value;
}

/* A burnt-out pixel is at least so bright, a black one at most: what that allows for is no evidence. even: the level brought to
   the background's light. */
static bool hidden(uint8_t level, float even, uint8_t background)
{
    if (level >= OWL_LUMA_CLIPPED)
        return even <= (float)background || background >= OWL_LUMA_CLIPPED;
    return level <= OWL_LUMA_DARK && even >= (float)background;
}

void owl_change_of(const struct owl_background *background, const struct owl_gain *gain, const struct owl_luma *luma,
                   const uint8_t *barred, float *work, int16_t *change)
{
    size_t pixels = owl_luma_pixels(luma);
    float *even = work, *spare = work + pixels;
    float dimmer = (float)fmin(owl_gain_mean(gain), 1.0); /* what is brightened comes out rougher, too */
    owl_gain_undo(gain, luma, even);
    for (size_t i = 0; i < pixels; i++) {
        float level = even[i], under = level - (float)background->least[i], over = level - (float)background->most[i];
        float outside = under < 0.0f ? under : over > 0.0f ? over : 0.0f;
        bool mute = (barred && barred[i]) || hidden(luma->level[i], level, background->level[i]);
        float plain = PLAIN_SHARE * (level - (float)background->level[i]) + (1.0f - PLAIN_SHARE) * outside;
        even[i] = mute ? 0.0f : plain * background->certainty[i] * dimmer;
    }
    owl_luma_box_mean(luma->width, luma->height, 1, even, spare, even);
    for (size_t i = 0; i < pixels; i++)
        change[i] = (int16_t)(limited(GATHERED * even[i], -MOST_CHANGE, MOST_CHANGE) * (float)OWL_CHANGE_PER_SIGMA);
}

int owl_change_blocks(int side)
{
    return (side + OWL_CHANGE_BLOCK - 1) / OWL_CHANGE_BLOCK;
}

static int least_int(int a, int b)
{
    return a < b ? a : b;
}

/* The change exceeded by a tenth, to a sixteenth: everything up to 16 counted in steps. */
static float block_activity(const int16_t *change, int width, int left, int top, int right, int bottom)
{
    int times[257] = {0}, wanted = (right - left) * (bottom - top) / BUSY_SHARE, above = 0, step = 256;
    for (int y = top; y < bottom; y++)
        for (int x = left; x < right; x++) {
            int size = change[(size_t)y * (size_t)width + (size_t)x];
            times[least_int((size < 0 ? -size : size) * 16 / OWL_CHANGE_PER_SIGMA, 256)]++;
        }
    while (step > 0 && above + times[step] <= wanted)
        above += times[step--];
    return (float)step / 16.0f;
}

void owl_change_activity(const int16_t *change, int width, int height, float *activity)
{
    int across = owl_change_blocks(width), down = owl_change_blocks(height);
    for (int v = 0; v < down; v++)
        for (int u = 0; u < across; u++)
            activity[v * across + u] = block_activity(change, width, u * OWL_CHANGE_BLOCK, v * OWL_CHANGE_BLOCK,
                                                      least_int((u + 1) * OWL_CHANGE_BLOCK, width),
                                                      least_int((v + 1) * OWL_CHANGE_BLOCK, height));
}

void owl_change_usual(const float *const *activity, int count, int blocks, float *usual)
{
    float value[FRAMES_MOST];
    for (int b = 0; b < blocks; b++) {
        for (int f = 0; f < count; f++)
            value[f] = activity[f][b];
        float high = owl_luma_ranked(value, count, (int)(USUAL_QUANTILE * (count - 1)));
        float middle = owl_luma_ranked(value, count, count / 2);
        usual[b] = fminf(high, MOST_OVER_MEDIAN * fmaxf(middle, QUIET_ACTIVITY));
    }
}

/* What a block's change is divided by. */
static float unrest(float usual, double wind)
{
    return usual < RESTLESS_ACTIVITY ? fmaxf(1.0f, usual / QUIET_ACTIVITY) : fmaxf(1.0f, usual / QUIET_ACTIVITY * (float)wind);
}

/* The value at a share of a column of ratios, by counting: blocks can be too many for a local list. */
static double ratio_at_half(const float *activity, const float *usual, int blocks, bool restless, double wind)
{
    int times[512] = {0}, count = 0, below = 0, step = 0;
    for (int b = 0; b < blocks; b++) {
        if (restless && usual[b] < RESTLESS_ACTIVITY)
            continue;
        float base = restless ? usual[b] : QUIET_ACTIVITY * unrest(usual[b], wind);
        times[least_int((int)(activity[b] / base * 64.0f), 511)]++;
        count++;
    }
    if (count == 0)
        return 1.0;
    while (below + times[step] <= count / 2)
        below += times[step++];
    return (step + 0.5) / 64.0;
}

struct owl_change_calm owl_change_calm(const float *activity, const float *usual, int blocks)
{
    struct owl_change_calm calm;
    calm.wind = fmin(fmax(ratio_at_half(activity, usual, blocks, true, 1.0), 0.8), 3.0);
    calm.calm = fmin(fmax(ratio_at_half(activity, usual, blocks, false, calm.wind), 1.0), 4.0);
    return calm;
}

/* Between the middles of blocks by straight lines. */
static void split_place(int pixel, int blocks, int *first, int *second, float *share)
{
    float place = ((float)pixel + 0.5f) / (float)OWL_CHANGE_BLOCK - 0.5f;
    place = limited(place, 0.0f, (float)(blocks - 1));
    *first = (int)place;
    *second = least_int(*first + 1, blocks - 1);
    *share = place - (float)*first;
}

void owl_change_calmed(const int16_t *change, const float *usual, const struct owl_change_calm *calm, int width, int height,
                       float *out)
{
    int across = owl_change_blocks(width), down = owl_change_blocks(height);
    float scale = 1.0f / ((float)OWL_CHANGE_PER_SIGMA * (float)calm->calm);
    for (int y = 0; y < height; y++) {
        int upper, lower, left, right;
        float q, p, unrest_of[OWL_LUMA_SIDE_MOST / OWL_CHANGE_BLOCK + 1];
        split_place(y, down, &upper, &lower, &q);
        for (int u = 0; u < across; u++)
            unrest_of[u] = (1.0f - q) * unrest(usual[upper * across + u], calm->wind) +
                           q * unrest(usual[lower * across + u], calm->wind);
        for (int x = 0; x < width; x++) {
            split_place(x, across, &left, &right, &p);
            size_t i = (size_t)y * (size_t)width + (size_t)x;
            out[i] = (float)change[i] * scale / ((1.0f - p) * unrest_of[left] + p * unrest_of[right]);
        }
    }
}
