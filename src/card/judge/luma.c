/* Plain filters on grey pictures. */
#include "card/judge/luma.h"


static int within(int i, int count)
{
    return i < 0 ? 0 : i >= count ? count - 1 : i;
}

/* Along one row: the sum over a window slides on by one value in and one out. */
static void mean_row(int width, int radius, const float *in, float *out)
{
    float sum = 0.0f, share = 1.0f / (float)(2 * radius + 1);
    for (int x = -radius; x <= radius; x++)
        sum += in[within(x, width)];
    for (int x = 0; x < width; x++) {
        out[x] = sum * share;
        sum += in[within(x + radius + 1, width)] - in[within(x - radius, width)];
    }
}

/* Down the columns all sums of a row slide together. */
void owl_luma_box_mean(int width, int height, int radius, const float *in, float *work, float *out)
{
    float sum[OWL_LUMA_SIDE_MOST] = {0}, share = 1.0f / (float)(2 * radius + 1);
    for (int y = 0; y < height; y++)
        mean_row(width, radius, in + (size_t)y * (size_t)width, work + (size_t)y * (size_t)width);
    for (int y = -radius; y <= radius; y++) {
        const float *row = work + (size_t)within(y, height) * (size_t)width;
        for (int x = 0; x < width; x++)
            sum[x] += row[x];
    }
    for (int y = 0; y < height; y++) {
        const float *next = work + (size_t)within(y + radius + 1, height) * (size_t)width;
        const float *past = work + (size_t)within(y - radius, height) * (size_t)width;
        float *row = out + (size_t)y * (size_t)width;
        for (int x = 0; x < width; x++) {
            row[x] = sum[x] * share;
            sum[x] += next[x] - past[x];
        }
    }
}

static uint8_t less(uint8_t a, uint8_t b)
{
    return a < b ? a : b;
}

static uint8_t more(uint8_t a, uint8_t b)
{
    return a > b ? a : b;
}

void owl_luma_extremes(const struct owl_luma *luma, uint8_t *least, uint8_t *most)
{
    int width = luma->width;
    uint8_t low[OWL_LUMA_SIDE_MOST], high[OWL_LUMA_SIDE_MOST];
    for (int y = 0; y < luma->height; y++) {
        const uint8_t *above = luma->level + (size_t)within(y - 1, luma->height) * (size_t)width;
        const uint8_t *row = luma->level + (size_t)y * (size_t)width;
        const uint8_t *below = luma->level + (size_t)within(y + 1, luma->height) * (size_t)width;
        for (int x = 0; x < width; x++) {
            low[x] = less(less(above[x], row[x]), below[x]);
            high[x] = more(more(above[x], row[x]), below[x]);
        }
        for (int x = 0; x < width; x++) {
            int left = within(x - 1, width), right = within(x + 1, width);
            least[(size_t)y * (size_t)width + (size_t)x] = less(less(low[left], low[x]), low[right]);
            most[(size_t)y * (size_t)width + (size_t)x] = more(more(high[left], high[x]), high[right]);
        }
    }
}

void owl_luma_halve(const struct owl_luma *luma, uint8_t *half)
{
    int width = luma->width / 2, height = luma->height / 2;
    for (int y = 0; y < height; y++) {
        const uint8_t *upper = luma->level + (size_t)(2 * y) * (size_t)luma->width, *lower = upper + luma->width;
        for (int x = 0; x < width; x++)
            half[(size_t)y * (size_t)width + (size_t)x] =
                (uint8_t)((upper[2 * x] + upper[2 * x + 1] + lower[2 * x] + lower[2 * x + 1] + 2) / 4);
    }
}

/* Hoare's selection: each round leaves the rank wanted in the smaller and smaller middle. */
float owl_luma_ranked(float *value, int count, int rank)
{
    int first = 0, last = count - 1;
    while (first < last) {
        float pivot = value[rank];
        int i = first, j = last;
        while (i <= j) {
            while (value[i] < pivot)
                i++;
            while (pivot < value[j])
                j--;
            if (i <= j) {
                float kept = value[i];
                value[i++] = value[j];
                value[j--] = kept;
            }
        }
        if (j < rank)
            first = i;
        if (rank < i)
            last = j;
    }
    return value[rank];
}
