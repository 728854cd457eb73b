/* Leader clustering of miniatures. */
#include "card/judge/lighting.h"

#include <math.h>
#include <stdlib.h>

#define DIMMEST_RATIO 0.45
#define BRIGHTEST_RATIO 2.2
#define ALIKE_CORRELATION 0.82
#define TRIMMING_ROUNDS 4
#define LEFT_OUT_SHARE 4       /* one tile in so many may be an animal */
#define LEAST_DEVIATION 0.01   /* levels: so that a flat picture is like nothing */
#define BLACK_LEVEL 1.0 /* added before a ratio, so that black frames are alike */

void owl_lighting_of(const struct owl_luma *luma, struct owl_lighting *lighting)
{
    for (int v = 0; v < OWL_LIGHTING_DOWN; v++) {
        int top = v * luma->height / OWL_LIGHTING_DOWN, bottom = (v + 1) * luma->height / OWL_LIGHTING_DOWN;
        for (int u = 0; u < OWL_LIGHTING_ACROSS; u++) {
            int left = u * luma->width / OWL_LIGHTING_ACROSS, right = (u + 1) * luma->width / OWL_LIGHTING_ACROSS;
            unsigned sum = 0, count = (unsigned)((bottom - top) * (right - left));
            for (int y = top; y < bottom; y++)
                for (int x = left; x < right; x++)
                    sum += luma->level[(size_t)y * (size_t)luma->width + (size_t)x];
            lighting->tile[v * OWL_LIGHTING_ACROSS + u] = (uint8_t)((sum + count / 2) / count);
        }
    }
}

/* Mean and deviation of the tiles not left out (NULL: none is). */
static void spread_of(const struct owl_lighting *lighting, const bool *out, double *mean, double *deviation)
{
    double n = 0.0, sum = 0.0, squares = 0.0;
    for (int i = 0; i < OWL_LIGHTING_TILES; i++) {
        if (out && out[i])
            continue;
        n += 1.0;
        sum += lighting->tile[i];
        squares += (double)lighting->tile[i] * lighting->tile[i];
    }
    *mean = sum / n;
    *deviation = sqrt(fmax(squares / n - *mean * *mean, 0.0)) + LEAST_DEVIATION;
}

/* Marks the tiles that differ most once both pictures are brought to one mean and deviation; these are found again without
   those tiles until an animal no longer spoils them. */
static void leave_out(const struct owl_lighting *a, const struct owl_lighting *b, bool *out)
{
    float apart[OWL_LIGHTING_TILES], sorted[OWL_LIGHTING_TILES];
    for (int round = 0; round < TRIMMING_ROUNDS; round++) {
        double mean_a, mean_b, deviation_a, deviation_b;
        spread_of(a, round > 0 ? out : NULL, &mean_a, &deviation_a);
        spread_of(b, round > 0 ? out : NULL, &mean_b, &deviation_b);
        for (int i = 0; i < OWL_LIGHTING_TILES; i++)
            sorted[i] = apart[i] = (float)fabs((a->tile[i] - mean_a) / deviation_a - (b->tile[i] - mean_b) / deviation_b);
        float limit = owl_luma_ranked(sorted, OWL_LIGHTING_TILES, OWL_LIGHTING_TILES - OWL_LIGHTING_TILES / LEFT_OUT_SHARE);
        for (int i = 0; i < OWL_LIGHTING_TILES; i++)
            out[i] = apart[i] > limit;
    }
}

double owl_lighting_likeness(const struct owl_lighting *a, const struct owl_lighting *b)
{
    bool out[OWL_LIGHTING_TILES];
    double mean_a, mean_b, deviation_a, deviation_b, sum = 0.0, n = 0.0;
    leave_out(a, b, out);
    spread_of(a, out, &mean_a, &deviation_a);
    spread_of(b, out, &mean_b, &deviation_b);
    double ratio = (mean_a + BLACK_LEVEL) / (mean_b + BLACK_LEVEL);
    if (ratio < DIMMEST_RATIO || ratio > BRIGHTEST_RATIO)
        return -1.0;
    for (int i = 0; i < OWL_LIGHTING_TILES; i++) {
        if (out[i])
            continue;
        sum += (a->tile[i] - mean_a) * (b->tile[i] - mean_b);
        n += 1.0;
    }
    return sum / (n * deviation_a * deviation_b);
}

static enum owl_status lead(struct owl_lighting_groups *groups, const struct owl_lighting *lighting)
{
    if (groups->count == groups->room) {
        int room = groups->room ? 2 * groups->room : 16;
        struct owl_lighting *leader = realloc(groups->leader, (size_t)room * sizeof *leader);
        if (!leader)
            return OWL_NO_MEMORY;
        groups->leader = leader;
        groups->room = room;
    }
    groups->leader[groups->count++] = *lighting;
    return OWL_OK;
}

enum owl_status owl_lighting_join(struct owl_lighting_groups *groups, const struct owl_lighting *lighting, int *group)
{
    double best = ALIKE_CORRELATION;
    int nearest = -1;
    for (int i = 0; i < groups->count; i++) {
        double likeness = owl_lighting_likeness(&groups->leader[i], lighting);
        if (likeness > best) {
            best = likeness;
            nearest = i;
        }
    }
    *group = nearest >= 0 ? nearest : groups->count;
    return nearest >= 0 ? OWL_OK : lead(groups, lighting);
}

void owl_lighting_clear(struct owl_lighting_groups *groups)
{
    free(groups->leader);
    *groups = (struct owl_lighting_groups){0};
}
