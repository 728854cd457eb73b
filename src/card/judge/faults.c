/* Faults as ratios to what is usual. */
#include "card/judge/faults.h"

#include <math.h>

#define DARK_TILE_SHARE 0.05
#define TONE_GAMMA 2.2           /* common practice */
#define LIT_LEVEL 24             /* tiles darker than this tell nothing about the flash */
#define FEWEST_LIT 12
#define BLACK_MEAN 4.0
#define KNOCK_FRAMES 7
#define KNOCK_LEAST 3            /* frames needed on either side */
#define KNOCK_SHARE 192          /* of the width */
#define KNOCK_SCATTER 3.0        /* times the poses' own scatter */

/* ---- one frame's numbers ---- */

static double darkest_tile(const struct owl_lighting *lighting)
{
    int times[256] = {0}, below = 0, level = 0;
    for (int i = 0; i < OWL_LIGHTING_TILES; i++)
        times[lighting->tile[i]]++;
    while (below + times[level] <= DARK_TILE_SHARE * OWL_LIGHTING_TILES)
        below += times[level++];
    return level;
}

void owl_frame_look_at(const struct owl_luma *luma, const struct owl_lighting *lighting, struct owl_frame_look *look)
{
    size_t width = (size_t)luma->width, pixels = owl_luma_pixels(luma);
    long long sum = 0, clipped = 0, across = 0, down = 0;
    for (size_t i = 0; i < pixels; i++) {
        sum += luma->level[i];
        clipped += luma->level[i] >= OWL_LUMA_CLIPPED;
    }
    for (size_t i = 0; i + width < pixels; i++) {
        int right = luma->level[i + 1] - luma->level[i], below = luma->level[i + width] - luma->level[i];
        across += right < 0 ? -right : right;
        down += below < 0 ? -below : below;
    }
    double n = (double)pixels;
    *look = (struct owl_frame_look){.mean = (double)sum / n, .clipped = (double)clipped / n, .light = 1.0, .lopsided = 1.0};
    look->detail = (double)(across + down) / n;
    look->darkest = darkest_tile(lighting);
}

/* ---- flashes ---- */

double owl_flash_usual_mean(const double *mean, int count)
{
    double sorted[OWL_FAULT_NEAR] = {0.0};
    int from = 0;
    for (int i = 0; i < count; i++) {
        int at = i;
        for (; at > 0 && sorted[at - 1] > mean[i]; at--)
            sorted[at] = sorted[at - 1];
        sorted[at] = mean[i];
    }
    while (count > 2) {
        int half = (count + 1) / 2, best = from;
        for (int i = from; i + half <= from + count; i++)
            if (sorted[i + half - 1] - sorted[i] < sorted[best + half - 1] - sorted[best])
                best = i;
        from = best;
        count = half;
    }
    return 0.5 * (sorted[from] + sorted[from + count - 1]);
}

void owl_lighting_usual(const struct owl_lighting *const *lighting, int count, struct owl_lighting *usual)
{
    float level[OWL_FAULT_NEAR];
    for (int i = 0; i < OWL_LIGHTING_TILES; i++) {
        for (int f = 0; f < count; f++)
            level[f] = lighting[f]->tile[i];
        usual->tile[i] = (uint8_t)owl_luma_ranked(level, count, count / 2);
    }
}

static double middle(float *value, int count)
{
    return count > 0 ? (double)owl_luma_ranked(value, count, count / 2) : 1.0;
}

void owl_frame_compare_light(const struct owl_lighting *lighting, const struct owl_lighting *usual, struct owl_frame_look *look)
{
    float all[OWL_LIGHTING_TILES], side[2][OWL_LIGHTING_TILES];
    int count = 0, on[2] = {0, 0};
    for (int i = 0; i < OWL_LIGHTING_TILES; i++) {
        if (usual->tile[i] < LIT_LEVEL || usual->tile[i] >= OWL_LUMA_CLIPPED - 10)
            continue;
        int half = i % OWL_LIGHTING_ACROSS >= OWL_LIGHTING_ACROSS / 2;
        float ratio = (float)pow((double)lighting->tile[i] / usual->tile[i], TONE_GAMMA);
        all[count++] = ratio;
        side[half][on[half]++] = ratio;
    }
    look->light = count >= FEWEST_LIT ? middle(all, count) : 1.0;
    look->lopsided = 1.0;
    if (on[0] >= FEWEST_LIT && on[1] >= FEWEST_LIT)
        look->lopsided = middle(side[0], on[0]) / fmax(middle(side[1], on[1]), 0.01);
}

enum owl_flash_state owl_flash_state_of(const struct owl_frame_look *look, int flashes)
{
    if (look->light < OWL_FAULT_NO_LIGHT || look->mean < BLACK_MEAN)
        return OWL_FLASH_NONE;
    bool uneven = look->lopsided > OWL_FAULT_LOPSIDED || look->lopsided < 1.0 / OWL_FAULT_LOPSIDED;
    bool dimmer = look->light < OWL_FAULT_MISSING_LIGHT || (uneven && look->light < OWL_FAULT_LOPSIDED_LIGHT);
    return flashes > 1 && dimmer ? OWL_FLASH_ONE_MISSING : OWL_FLASH_FULL;
}

/* ---- exposure and sight ---- */

bool owl_frame_over_exposed(const struct owl_frame_look *look, const struct owl_frame_norm *norm)
{
    bool brighter = look->light > OWL_FAULT_OVER_LIGHT || look->clipped > OWL_FAULT_OVER_RATIO * norm->clipped;
    return look->clipped > OWL_FAULT_OVER_SHARE && brighter;
}

static bool detail_lost(const struct owl_frame_look *look, const struct owl_frame_norm *norm)
{
    return look->detail < OWL_FAULT_DETAIL_LEFT * norm->detail &&
           look->detail * norm->mean < OWL_FAULT_DETAIL_LEFT * norm->detail * look->mean;
}

static bool blacks_lifted(const struct owl_frame_look *look, const struct owl_frame_norm *norm)
{
    double expected = norm->mean > 0.0 ? norm->darkest * look->mean / norm->mean : norm->darkest;
    return look->darkest > expected + OWL_FAULT_LIFTED_LEVELS;
}

bool owl_frame_fogged(const struct owl_frame_look *look, const struct owl_frame_norm *norm)
{
    return detail_lost(look, norm) && blacks_lifted(look, norm);
}

bool owl_frame_out_of_focus(const struct owl_frame_look *look, const struct owl_frame_norm *norm)
{
    return detail_lost(look, norm) && !blacks_lifted(look, norm);
}

/* ---- knocks ---- */

static struct owl_pose median_pose(const struct owl_pose *pose, int count)
{
    float right[KNOCK_FRAMES], down[KNOCK_FRAMES], turn[KNOCK_FRAMES];
    for (int i = 0; i < count; i++) {
        right[i] = (float)pose[i].right_px;
        down[i] = (float)pose[i].down_px;
        turn[i] = (float)pose[i].turn_rad;
    }
    return (struct owl_pose){middle(right, count), middle(down, count), middle(turn, count)};
}

/* Median way of some poses from their median. */
static double scatter_px(const struct owl_pose *pose, int count, const struct owl_pose *usual, int width, int height)
{
    float apart[KNOCK_FRAMES];
    for (int i = 0; i < count; i++)
        apart[i] = (float)owl_pose_apart_px(&pose[i], usual, width, height);
    return middle(apart, count);
}

static int fewer(int a, int b)
{
    return a < b ? a : b;
}

/* With the majority of seven poses beyond it, the first place where the medians differ lies at most three before the knock:
   it is where most poses fall on the right side. */
static int place_knock(const struct owl_pose *pose, int count, int first, const struct owl_pose *before, int width, int height)
{
    int from = fewer(first + KNOCK_FRAMES / 2 + 1, count - KNOCK_LEAST), last = fewer(first + KNOCK_FRAMES / 2, count - 1);
    struct owl_pose after = median_pose(pose + from, fewer(KNOCK_FRAMES, count - from));
    double best = INFINITY;
    int place = first;
    for (int split = first; split <= last; split++) {
        double cost = 0.0;
        for (int i = first; i <= last; i++)
            cost += owl_pose_apart_px(&pose[i], i < split ? before : &after, width, height);
        if (cost < best) {
            best = cost;
            place = split;
        }
    }
    return place;
}

/* Whether the camera was moved between the poses before and those from `pose` on; where the former stood. */
static bool knocked(const struct owl_pose *pose, int back, int ahead, int width, int height, struct owl_pose *before)
{
    struct owl_pose after = median_pose(pose, ahead);
    *before = median_pose(pose - back, back);
    double apart = owl_pose_apart_px(before, &after, width, height);
    double scatter = scatter_px(pose - back, back, before, width, height) + scatter_px(pose, ahead, &after, width, height);
    return apart > fmax((double)width / KNOCK_SHARE, KNOCK_SCATTER * 0.5 * scatter);
}

void owl_knock_segments(const struct owl_pose *pose, int count, int width, int height, int *segment)
{
    int now = 0, begin = 0;
    for (int i = 0; i < count; i++) {
        int back = fewer(i - begin, KNOCK_FRAMES), ahead = fewer(count - i, KNOCK_FRAMES);
        struct owl_pose before;
        if (back >= KNOCK_LEAST && ahead >= KNOCK_LEAST && knocked(pose + i, back, ahead, width, height, &before)) {
            begin = place_knock(pose, count, i, &before, width, height);
            for (; i < begin; i++)
                segment[i] = now;
            now++;
        }
        segment[i] = now;
    }
}
