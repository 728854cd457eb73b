/* Blobs by flooding; thickness by distance from the outside; shadows by the texture that shines through. */
#include "card/judge/blobs.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

#define MASK_CHANGE 2.6f
#define CORE_CHANGE 4.0f
#define DOUBT 2.8f
#define MOST_CHANGE 9.0f
#define CLOSING_SHARE 256        /* of the width: how far gaps are closed */
#define FLAT_RADIUS 3            /* texture is what remains after a mean over this */
#define SHADOW_FROM 0.45         /* correlation of textures from which it may be light or shadow, */
#define SHADOW_TO 0.85           /* and from which it surely is */
#define SHADOW_TAKES 0.92
#define TEXTURE_SAMPLES 2000
#define NEAR_SHARE 40            /* of the width: a gap so small joins */
#define HEAVY_SHARE 0.12
#define LEAST_AREA 6
#define BLADE_SHARE 128          /* of the width: what is no wider on either side of its middle is a blade, a twig, a raindrop */
#define BLADE_COUNTS 0.1         /* what counts of its weight */
#define MIXED_SIGNS 0.7          /* what counts of a thickness made of brighter and darker parts: a blade that swayed is bright
                                    where it is and dark where it was, and no wider for that */

/* ---- mask ---- */

/* Marks the pixels with any (else: only) marked ones no more than radius away, along one line of `count` pixels that lie `step`
   apart. Beyond the border there is nothing: a blob there is not eaten from outside. */
static void grow_line(const uint8_t *in, int count, int step, int radius, bool any, uint8_t *out)
{
    int marked = 0, seen = 0;
    for (int i = 0; i < radius && i < count; i++) {
        marked += in[i * step];
        seen++;
    }
    for (int i = 0; i < count; i++) {
        if (i + radius < count) {
            marked += in[(i + radius) * step];
            seen++;
        }
        out[i * step] = any ? marked > 0 : marked == seen;
        if (i - radius >= 0) {
            marked -= in[(i - radius) * step];
            seen--;
        }
    }
}

/* Marks pixels with any (else: only) marked ones in the square around: first along rows, then along columns. */
static void grow(uint8_t *mask, int width, int height, int radius, bool any, uint8_t *spare)
{
    for (int y = 0; y < height; y++)
        grow_line(mask + (size_t)y * (size_t)width, width, 1, radius, any, spare + (size_t)y * (size_t)width);
    for (int x = 0; x < width; x++)
        grow_line(spare + x, height, width, radius, any, mask + x);
}

void owl_blobs_mask(const float *change, int width, int height, uint8_t *spare, uint8_t *mask)
{
    size_t pixels = (size_t)width * (size_t)height;
    int radius = (width + CLOSING_SHARE / 2) / CLOSING_SHARE;
    for (size_t i = 0; i < pixels; i++)
        mask[i] = change[i] > MASK_CHANGE || change[i] < -MASK_CHANGE;
    if (radius == 0)
        return;
    grow(mask, width, height, radius, true, spare);
    grow(mask, width, height, radius, false, spare);
}

/* ---- labels ---- */

/* Numbers all that hangs together with `start`; queue then lists those pixels. How many. */
static int flood(const uint8_t *mask, int width, int height, int32_t start, int number, int32_t *queue, int32_t *label)
{
    int known = 0;
    queue[known++] = start;
    label[start] = number;
    for (int next = 0; next < known; next++) {
        int x = queue[next] % width, y = queue[next] / width;
        for (int v = y > 0 ? y - 1 : 0; v <= y + 1 && v < height; v++)
            for (int u = x > 0 ? x - 1 : 0; u <= x + 1 && u < width; u++) {
                int32_t j = v * width + u;
                if (!mask[j] || label[j])
                    continue;
                label[j] = number;
                queue[known++] = j;
            }
    }
    return known;
}

int owl_blobs_label(const uint8_t *mask, int width, int height, int32_t *queue, int32_t *label)
{
    int32_t pixels = width * height;
    int number = 0;
    memset(label, 0, (size_t)pixels * sizeof *label);
    for (int32_t i = 0; i < pixels; i++)
        if (mask[i] && !label[i])
            flood(mask, width, height, i, ++number, queue, label);
    return number;
}

/* ---- weighing ---- */

static float size_of(float change)
{
    return change < 0.0f ? -change : change;
}

/* A core pixel is sure of itself and has sure neighbours. */
static bool in_core(const float *change, int width, int height, int x, int y)
{
    const float *here = change + (size_t)y * (size_t)width + (size_t)x;
    if (x == 0 || y == 0 || x == width - 1 || y == height - 1)
        return size_of(here[0]) > CORE_CHANGE;
    return size_of(here[0]) > CORE_CHANGE && size_of(here[-1]) > DOUBT && size_of(here[1]) > DOUBT &&
           size_of(here[-width]) > DOUBT && size_of(here[width]) > DOUBT;
}

/* Steps to the outside, the border of the picture being no outside; 255 at most. change not NULL: also to where it has
   another sign. */
static void depths(const uint8_t *mask, const float *change, int width, int height, uint8_t *depth)
{
    static const int ahead[4][2] = {{-1, 0}, {-1, -1}, {0, -1}, {1, -1}};
    size_t pixels = (size_t)width * (size_t)height;
    for (int pass = 0; pass < 2; pass++)
        for (size_t k = 0; k < pixels; k++) {
            size_t i = pass ? pixels - 1 - k : k;
            int x = (int)(i % (size_t)width), y = (int)(i / (size_t)width), least = pass ? depth[i] : mask[i] ? 255 : 0;
            for (int n = 0; n < 4 && least > 0; n++) {
                int u = x + (pass ? -ahead[n][0] : ahead[n][0]), v = y + (pass ? -ahead[n][1] : ahead[n][1]);
                if (u < 0 || v < 0 || u >= width || v >= height)
                    continue;
                size_t j = (size_t)v * (size_t)width + (size_t)u;
                int there = !change || (change[i] < 0.0f) == (change[j] < 0.0f) ? depth[j] + 1 : 1;
                least = there < least ? there : least;
            }
            depth[i] = (uint8_t)least;
        }
}

/* A square gives 1; a blade of grass, or a comb of blades, far less. Only a shape thinner than an animal's body loses. */
static double thinness(const struct owl_blob *blob, int width)
{
    double compact = blob->thickness / sqrt((double)blob->area), slim = (double)blob->thickness / width;
    double shape = fmin(fmax((compact - 0.32) / 0.2, 0.0), 1.0), body = fmin(fmax((slim - 0.018) / 0.018, 0.0), 1.0);
    return 0.15 + 0.85 * fmax(shape, body);
}

/* What the mean around leaves over. */
static float texture_at(const struct owl_luma *luma, int x, int y)
{
    int sum = 0, count = 0;
    for (int v = y - FLAT_RADIUS; v <= y + FLAT_RADIUS; v++)
        for (int u = x - FLAT_RADIUS; u <= x + FLAT_RADIUS; u++) {
            if (u < 0 || v < 0 || u >= luma->width || v >= luma->height)
                continue;
            sum += luma->level[(size_t)v * (size_t)luma->width + (size_t)u];
            count++;
        }
    return (float)luma->level[(size_t)y * (size_t)luma->width + (size_t)x] - (float)sum / (float)count;
}

struct view {
    const float *change;
    const struct owl_luma *luma, *background;
    const uint8_t *depth, *depth_of_one_sign, *thick;
};

/* Marks what lies in some square of one sign and of 2 radius + 1 pixels: animals, not blades. scratch: width height. */
static void mark_thick(const uint8_t *depth_of_one_sign, int width, int height, uint8_t *scratch, uint8_t *thick)
{
    int radius = width / BLADE_SHARE;
    for (size_t i = 0; i < (size_t)width * (size_t)height; i++)
        thick[i] = depth_of_one_sign[i] > radius;
    if (radius > 0)
        grow(thick, width, height, radius, true, scratch);
}

static double limited(double value, double most)
{
    return value < -most ? -most : value > most ? most : value;
}

/* What the same texture leaves of a blob: ground under a shadow stays ground. Coarse texture counts no more than the mean, lest
   the grass before an animal makes a shadow of it. Of large blobs a sample does. */
static double shadow_of(const struct view *view, const int32_t *pixel, int area)
{
    double mean_a = 0.0, mean_b = 0.0, aa = 0.0, bb = 0.0, ab = 0.0;
    int width = view->luma->width, step = 1 + area / TEXTURE_SAMPLES, count = (area + step - 1) / step;
    for (int i = 0; i < area; i += step) {
        mean_a += fabs((double)texture_at(view->luma, pixel[i] % width, pixel[i] / width)) / count;
        mean_b += fabs((double)texture_at(view->background, pixel[i] % width, pixel[i] / width)) / count;
    }
    for (int i = 0; i < area; i += step) {
        double a = limited((double)texture_at(view->luma, pixel[i] % width, pixel[i] / width), mean_a);
        double b = limited((double)texture_at(view->background, pixel[i] % width, pixel[i] / width), mean_b);
        aa += a * a;
        bb += b * b;
        ab += a * b;
    }
    double alike = aa > 0.0 && bb > 0.0 ? ab / sqrt(aa * bb) : 0.0;
    return 1.0 - SHADOW_TAKES * fmin(fmax((alike - SHADOW_FROM) / (SHADOW_TO - SHADOW_FROM), 0.0), 1.0);
}

static int least(int a, int b)
{
    return a < b ? a : b;
}

static int most(int a, int b)
{
    return a > b ? a : b;
}

/* The box, area and weight of a blob of these pixels, before shape and texture take from it. */
static struct owl_blob measure(const struct view *view, const int32_t *pixel, int area)
{
    int width = view->luma->width, height = view->luma->height;
    struct owl_blob blob = {.left = width, .top = height, .area = area, .thin = 1.0, .shadow = 1.0};
    double thickness = 0.0;
    for (int i = 0; i < area; i++) {
        int x = pixel[i] % width, y = pixel[i] / width;
        float change = view->change[pixel[i]];
        blob.left = least(blob.left, x);
        blob.top = least(blob.top, y);
        blob.right = most(blob.right, x + 1);
        blob.bottom = most(blob.bottom, y + 1);
        thickness = fmax(thickness, MIXED_SIGNS * (2 * view->depth[pixel[i]] - 1));
        thickness = fmax(thickness, 2 * view->depth_of_one_sign[pixel[i]] - 1);
        blob.brightness += (double)change / area;
        if (in_core(view->change, width, height, x, y))
            blob.weight += (view->thick[pixel[i]] ? 1.0 : BLADE_COUNTS) * (double)(fminf(size_of(change), MOST_CHANGE) - DOUBT);
    }
    blob.thickness = (int)(thickness + 0.5);
    return blob;
}

/* Keeps the list sorted, the lightest falling off its end. */
static int insert(struct owl_blob *list, int count, const struct owl_blob *blob)
{
    int at = count < OWL_BLOBS_MOST ? count : OWL_BLOBS_MOST;
    while (at > 0 && list[at - 1].weight < blob->weight) {
        if (at < OWL_BLOBS_MOST)
            list[at] = list[at - 1];
        at--;
    }
    if (at < OWL_BLOBS_MOST)
        list[at] = *blob;
    return least(count + 1, OWL_BLOBS_MOST);
}

int owl_blobs_find(const float *change, const struct owl_luma *luma, const struct owl_luma *background,
                   const struct owl_blob_room *room, struct owl_blob blob[OWL_BLOBS_MOST])
{
    int width = luma->width, height = luma->height, blobs = 0;
    struct view view = {change, luma, background, room->depth, room->spare, room->thick};
    owl_blobs_mask(change, width, height, room->spare, room->mask);
    depths(room->mask, NULL, width, height, room->depth);
    depths(room->mask, change, width, height, room->spare);
    mark_thick(room->spare, width, height, (uint8_t *)room->queue, room->thick);
    memset(room->label, 0, owl_luma_pixels(luma) * sizeof *room->label);
    for (int32_t i = 0; i < width * height; i++) {
        if (!room->mask[i] || room->label[i])
            continue;
        int area = flood(room->mask, width, height, i, 1, room->queue, room->label);
        struct owl_blob found = measure(&view, room->queue, area);
        if (area < LEAST_AREA || !(found.weight > 0.0))
            continue;
        found.thin = thinness(&found, width);
        found.shadow = shadow_of(&view, room->queue, area);
        found.weight *= found.thin * found.shadow;
        blobs = insert(blob, blobs, &found);
    }
    return blobs;
}

/* ---- boxes ---- */

/* The gap between two boxes, the larger of across and down; negative where they overlap. */
static int gap(const struct owl_blob *a, const struct owl_blob *b)
{
    return most(most(a->left - b->right, b->left - a->right), most(a->top - b->bottom, b->top - a->bottom));
}

static void swallow(struct owl_blob *whole, const struct owl_blob *part)
{
    whole->left = least(whole->left, part->left);
    whole->top = least(whole->top, part->top);
    whole->right = most(whole->right, part->right);
    whole->bottom = most(whole->bottom, part->bottom);
    whole->thickness = most(whole->thickness, part->thickness);
    whole->brightness = (whole->brightness * whole->area + part->brightness * part->area) / (whole->area + part->area);
    whole->area += part->area;
    whole->weight += part->weight;
}

/* Whether blob i found one beside it to swallow, which then leaves the list. */
static bool join_one(struct owl_blob *blob, int *blobs, int i, int near_px)
{
    for (int j = i + 1; j < *blobs; j++) {
        if (gap(&blob[i], &blob[j]) > near_px)
            continue;
        swallow(&blob[i], &blob[j]);
        memmove(&blob[j], &blob[j + 1], (size_t)(*blobs - j - 1) * sizeof *blob);
        --*blobs;
        return true;
    }
    return false;
}

int owl_blobs_join(struct owl_blob *blob, int blobs, int width)
{
    int kept = 0;
    while (kept < blobs && blob[kept].weight >= HEAVY_SHARE * blob[0].weight)
        kept++;
    for (int i = 0; i < kept; i++)
        while (join_one(blob, &kept, i, width / NEAR_SHARE))
            ;
    for (int i = 1; i < kept; i++)
        for (int j = i; j > 0 && blob[j].weight > blob[j - 1].weight; j--) {
            struct owl_blob heavier = blob[j];
            blob[j] = blob[j - 1];
            blob[j - 1] = heavier;
        }
    return kept;
}
