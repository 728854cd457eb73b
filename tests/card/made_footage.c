/* Everything is a function of place and seed, so that a camera may look at it from anywhere. */
#include "card/made_footage.h"

#include <math.h>

#include "core/model/rng.h"

#define FRAMES_A_VISIT 3
#define GAMMA 2.2

/* A fixed random number 0..1 for a place of a grid. */
static double speck(uint64_t seed, int x, int y)
{
    uint64_t h = seed * 0x9e3779b97f4a7c15u ^ (uint64_t)(uint32_t)x * 0xbf58476d1ce4e5b9u;
    h ^= (uint64_t)(uint32_t)y * 0x94d049bb133111ebu;
    h ^= h >> 31;
    h *= 0xd6e8feb86659fd93u;
    h ^= h >> 32;
    h *= 0xd6e8feb86659fd93u;
    h ^= h >> 32;
    return (double)(h >> 11) * 0x1p-53;
}

/* Smooth between the places of a grid. */
static double smooth(uint64_t seed, double x, double y)
{
    int left = (int)floor(x), top = (int)floor(y);
    double p = x - left, q = y - top;
    p = p * p * (3.0 - 2.0 * p);
    q = q * q * (3.0 - 2.0 * q);
    double upper = speck(seed, left, top) * (1.0 - p) + speck(seed, left + 1, top) * p;
    double lower = speck(seed, left, top + 1) * (1.0 - p) + speck(seed, left + 1, top + 1) * p;
    return upper * (1.0 - q) + lower * q;
}

/* Reflectance of the ground. */
static double ground(uint64_t seed, double x, double y)
{
    double patches = 0.22 * smooth(seed, x / 29.0, y / 21.0) * smooth(seed + 1, x / 7.0, y / 7.0);
    return 0.06 + patches + 0.08 * smooth(seed + 2, x / 3.1, y / 3.1);
}

/* Light on a place: flashes stand at both sides and reach less far. */
static double light(const struct made_footage *footage, const struct made_scene *scene, double x, double y)
{
    if (!footage->night)
        return 1.3;
    if (scene->none_fired)
        return 0.01;
    double w = footage->width, h = footage->height, far = 1.3 * (1.0 - y / h);
    double right = 1.9 / (1.0 + pow((w - x) / w, 2.0) * 2.0 + far * far);
    double left = 1.9 / (1.0 + pow(x / w, 2.0) * 2.0 + far * far);
    return 0.01 + (scene->one_missing ? 0.0 : left) + right;
}

/* How much of a blade covers a place; it bends more towards its tip. */
static double blade_cover(const struct made_footage *footage, int blade, double sway, double x, double y)
{
    uint64_t seed = footage->seed + 77;
    double foot_x = footage->width * speck(seed, blade, 0), foot_y = footage->height * (0.45 + 0.6 * speck(seed, blade, 1));
    double length = footage->height * (0.1 + 0.2 * speck(seed, blade, 2)), up = (foot_y - y) / length;
    if (up < 0.0 || up > 1.0)
        return 0.0;
    double axis = foot_x + (10.0 * (speck(seed, blade, 3) - 0.5) + sway) * up * up, half = 1.4 * (1.0 - 0.8 * up);
    return fmin(fmax(half + 0.5 - fabs(x - axis), 0.0), 1.0);
}

struct sight {
    const struct made_footage *footage;
    const struct made_scene *scene;
    double sway[512];
    double middle_x, middle_y, half_x, half_y; /* of the animal */
    uint64_t coat;
};

/* How much of the animal covers a place: a body and a head. */
static double animal_cover(const struct sight *sight, double x, double y)
{
    if (!sight->scene->subject)
        return 0.0;
    double u = (x - sight->middle_x) / sight->half_x, v = (y - sight->middle_y) / sight->half_y;
    double body = 1.0 - (u * u + v * v * v * v);
    double head = 1.0 - (pow((u - 0.8) / 0.2, 2.0) + pow((v + 0.5) / 0.5, 2.0));
    double edge = 0.5 * sight->half_y * fmax(body, head * 0.4) + 0.5;
    return fmin(fmax(edge, 0.0), 1.0);
}

/* What lies at a place. The animal's coat is darker or paler than the ground, with a texture of its own; blades stand before
   all. */
static double seen(const struct sight *sight, double x, double y)
{
    double value = ground(sight->footage->seed, x, y), cover = animal_cover(sight, x, y);
    double coat = (sight->coat % 2 ? 0.02 : 0.28) + 0.07 * smooth(sight->coat, x / 3.0, y / 3.0);
    value += cover * (coat - value);
    for (int blade = 0; blade < sight->footage->blades; blade++) {
        double part = blade_cover(sight->footage, blade, sight->sway[blade], x, y);
        value += part * (0.35 - value);
    }
    return value * light(sight->footage, sight->scene, x, y);
}

/* An animal somewhere in the lower part, another size every visit, a step further every frame. */
static void place_animal(const struct made_footage *footage, int number, struct made_scene *scene, struct sight *sight)
{
    int visit = number / FRAMES_A_VISIT;
    struct owl_rng rng = owl_rng_start(footage->seed + 5, (uint64_t)visit);
    scene->subject = owl_rng_chance(&rng, footage->visited);
    double ratio = footage->most_share / footage->least_share, size = owl_rng_uniform(&rng), shape = 1.4 + owl_rng_uniform(&rng);
    double area = footage->least_share * pow(ratio, size) * footage->width * footage->height;
    sight->half_y = sqrt(area / (3.4 * shape));
    sight->half_x = shape * sight->half_y;
    double room_x = footage->width - 4.0 * sight->half_x, room_y = 0.7 * footage->height - 4.0 * sight->half_y;
    sight->middle_x = 2.0 * sight->half_x + room_x * owl_rng_uniform(&rng) + 0.7 * sight->half_x * (number % FRAMES_A_VISIT - 1);
    sight->middle_y = 0.3 * footage->height + 2.0 * sight->half_y + room_y * owl_rng_uniform(&rng);
    sight->coat = owl_rng_bits(&rng) >> 20;
}

static struct made_scene scene_of(const struct made_footage *footage, int number, struct owl_rng *rng, struct sight *sight)
{
    struct made_scene scene = {.gain = exp2(footage->gain_spread * owl_rng_normal(rng))};
    bool knocked = footage->knock_at >= 0 && number >= footage->knock_at;
    int every = footage->fault_every, fault = every > 0 && number % every == every - 1 ? number / every : -1;
    scene.right_px = footage->jitter_px * owl_rng_normal(rng) + (knocked ? footage->knock_right_px : 0.0);
    scene.down_px = footage->jitter_px * owl_rng_normal(rng) + (knocked ? footage->knock_down_px : 0.0);
    scene.turn_rad = knocked ? footage->knock_turn_rad : 0.0;
    scene.one_missing = fault >= 0 && fault % 2 == 0;
    scene.none_fired = fault >= 0 && fault % 2 == 1;
    place_animal(footage, number, &scene, sight);
    double gust = fabs(owl_rng_normal(rng));
    for (int blade = 0; blade < footage->blades; blade++)
        sight->sway[blade] = footage->wind * gust * (0.4 + 0.8 * owl_rng_normal(rng));
    return scene;
}

/* Where a pixel looks: back through shift and turn. */
static double shade(const struct sight *sight, double x, double y)
{
    const struct made_scene *scene = sight->scene;
    double cx = 0.5 * (sight->footage->width - 1), cy = 0.5 * (sight->footage->height - 1);
    double u = x - cx - scene->right_px, v = y - cy - scene->down_px, c = cos(scene->turn_rad), s = sin(scene->turn_rad);
    return seen(sight, c * u + s * v + cx, -s * u + c * v + cy);
}

static void note_box(const struct sight *sight, int x, int y, struct made_scene *scene)
{
    double cx = 0.5 * (sight->footage->width - 1), cy = 0.5 * (sight->footage->height - 1);
    double u = x - cx - scene->right_px, v = y - cy - scene->down_px, c = cos(scene->turn_rad), s = sin(scene->turn_rad);
    if (animal_cover(sight, c * u + s * v + cx, -s * u + c * v + cy) < 0.5)
        return;
    scene->left = x < scene->left ? x : scene->left;
    scene->top = y < scene->top ? y : scene->top;
    scene->right = x >= scene->right ? x + 1 : scene->right;
    scene->bottom = y >= scene->bottom ? y + 1 : scene->bottom;
}

struct made_scene made_footage_frame(const struct made_footage *footage, int number, uint8_t *level)
{
    struct owl_rng rng = owl_rng_start(footage->seed, (uint64_t)(number + 1));
    struct sight sight = {.footage = footage};
    struct made_scene scene = scene_of(footage, number, &rng, &sight);
    sight.scene = &scene;
    scene.left = footage->width;
    scene.top = footage->height;
    for (int y = 0; y < footage->height; y++)
        for (int x = 0; x < footage->width; x++) {
            double linear = scene.gain * shade(&sight, x, y);
            double value = 255.0 * pow(linear, 1.0 / GAMMA);
            value += footage->noise * sqrt(0.3 + 0.7 * linear / 0.2) * owl_rng_normal(&rng);
            level[y * footage->width + x] = (uint8_t)(fmin(fmax(value, 0.0), 255.0) + 0.5);
            if (scene.subject)
                note_box(&sight, x, y, &scene);
        }
    return scene;
}
