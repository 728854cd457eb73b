/* The scene without an animal is rendered once for each way the camera stands; frames at nothing take it from there. */
#include "support/made_studio.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/constants.h"

#define STREAM_OF_FRAME 1000 /* each frame draws from streams of its own */
enum { DRAWS_POWER, DRAWS_RAIN, DRAWS_NOISE, DRAWS_STREAMS };

#define POWER_JITTER 0.07
#define OVER_EXPOSURE 8.0
#define FULL_WELL_M2 1.7e15 /* electrons a square metre of image sensor holds at ISO 100; estimate */
#define READ_NOISE 3.0      /* electrons of each of the camera's pixels; estimate */

struct made_studio {
    const struct made_card_wish *wish;
    const struct owl_plan *plan;
    size_t pixels, floats;
    float *empty_room, *room, *work, *linear, *spare;
    uint8_t *marks, *bytes;
    struct owl_film empty, film; /* without an animal, as the camera stands; and the one under way */
    bool empty_made;
    double empty_x_px, empty_y_px;
};

struct made_studio *made_studio_open(const struct made_card_wish *wish, const struct owl_plan *plan)
{
    struct made_studio *studio = calloc(1, sizeof *studio);
    bool sides = wish->width >= 1 && wish->height >= 1 && wish->width <= OWL_FILM_SIDE_MOST && wish->height <= OWL_FILM_SIDE_MOST;
    if (!studio || !sides) {
        free(studio);
        return NULL;
    }
    int lights = plan->flashes + 1;
    studio->wish = wish;
    studio->plan = plan;
    studio->pixels = (size_t)wish->width * (size_t)wish->height;
    studio->floats = owl_film_floats(wish->width, wish->height, lights);
    studio->empty_room = calloc(studio->floats, sizeof(float));
    studio->room = calloc(studio->floats, sizeof(float));
    studio->linear = calloc(6 * studio->pixels, sizeof(float));
    studio->marks = malloc(4 * studio->pixels);
    if (studio->empty_room && studio->room && studio->linear && studio->marks) {
        studio->empty = owl_film_over(studio->empty_room, wish->width, wish->height, lights);
        studio->film = owl_film_over(studio->room, wish->width, wish->height, lights);
        studio->work = calloc(owl_film_work_floats(&studio->film), sizeof(float));
    }
    if (!studio->work) {
        made_studio_close(studio);
        return NULL;
    }
    studio->spare = studio->linear + 3 * studio->pixels;
    studio->bytes = studio->marks + studio->pixels;
    return studio;
}

void made_studio_close(struct made_studio *studio)
{
    if (!studio)
        return;
    free(studio->empty_room);
    free(studio->room);
    free(studio->work);
    free(studio->linear);
    free(studio->marks);
    free(studio);
}

/* ---- the scene ---- */

static void render(struct made_studio *studio, const struct owl_desk_scene *scene, struct owl_film *film)
{
    owl_desk_render(scene, film, 1, 0, 0, film->height);
    owl_desk_mark(film, studio->marks);
    owl_desk_smooth(scene, film, studio->marks, 0, film->height);
}

static void fill_film(struct made_studio *studio, const struct owl_desk_scene *scene, const struct made_frame *frame)
{
    if (!frame->moment.absent) {
        render(studio, scene, &studio->film);
    } else {
        bool moved = frame->shift_x_px != studio->empty_x_px || frame->shift_y_px != studio->empty_y_px;
        if (!studio->empty_made || moved)
            render(studio, scene, &studio->empty);
        studio->empty_made = true;
        studio->empty_x_px = frame->shift_x_px;
        studio->empty_y_px = frame->shift_y_px;
        memcpy(studio->room, studio->empty_room, studio->floats * sizeof(float));
    }
    if (studio->wish->blades > 0)
        owl_desk_grass(scene, &studio->film, studio->wish->blades, frame->wind);
}

static void box_animal(const struct made_studio *studio, struct made_frame *frame)
{
    const struct owl_film *film = &studio->film;
    size_t covered = 0;
    frame->left = film->width;
    frame->top = film->height;
    for (int y = 0; y < film->height; y++)
        for (int x = 0; x < film->width; x++) {
            if (!(film->cover[(size_t)y * (size_t)film->width + (size_t)x] > 0.5f))
                continue;
            covered++;
            frame->left = x < frame->left ? x : frame->left;
            frame->right = x >= frame->right ? x + 1 : frame->right;
            frame->top = y < frame->top ? y : frame->top;
            frame->bottom = y + 1;
        }
    frame->subject = covered > 0;
    frame->covered = (double)covered / (double)studio->pixels;
    if (!frame->subject)
        frame->left = frame->top = 0;
}

/* ---- the exposure ---- */

/* Mean brightness of what is behind, by one light at weight 1. */
static double mean_of(const struct made_studio *studio, int light)
{
    double sum = 0.0;
    for (size_t i = 1; i < 3 * studio->pixels; i += 3)
        sum += studio->film.behind[light][i];
    return sum / (double)studio->pixels;
}

/* So much ambient light through so long a shutter that it shows what walks by behind what the flashes stopped. */
static enum owl_status let_ambient_in(const struct made_studio *studio, const struct owl_plan *plan,
                                      const struct owl_desk_scene *scene, struct made_frame *frame,
                                      struct owl_film_exposure *exposure)
{
    int ambient = plan->flashes;
    struct owl_film_exposure at_1_lx;
    frame->shutter_s = 0.2 + 0.6 * frame->strength;
    enum owl_status status = owl_desk_exposure_of(plan, scene, 1.0, frame->shutter_s, &at_1_lx);
    double flashes = 0.0, one = mean_of(studio, ambient) * at_1_lx.weight[ambient];
    for (int i = 0; i < ambient; i++)
        flashes += mean_of(studio, i) * exposure->weight[i];
    if (status != OWL_OK || !(one > 0.0))
        return OWL_OUTSIDE_DOMAIN;
    if (!(flashes > 0.0))
        flashes = 1.0; /* without any, the long shutter alone draws the picture */
    frame->ambient_lx = (0.5 + 0.4 * frame->strength) * flashes / one;
    return owl_desk_exposure_of(plan, scene, frame->ambient_lx, frame->shutter_s, exposure);
}

/* Flashes that burn so long that the animal goes on by a few hundredths of the frame. */
static void smear_flashes(const struct made_studio *studio, const struct made_frame *frame, struct owl_film_exposure *exposure)
{
    int ambient = studio->plan->flashes;
    double way_px = hypot(exposure->smear_x_px[ambient], exposure->smear_y_px[ambient]);
    double wanted_px = studio->wish->width * (0.012 + 0.03 * frame->strength);
    double x_px = way_px > 0.0 ? exposure->smear_x_px[ambient] / way_px : frame->moment.sense;
    double y_px = way_px > 0.0 ? exposure->smear_y_px[ambient] / way_px : 0.0;
    for (int i = 0; i < ambient; i++) {
        exposure->smear_x_px[i] = x_px * wanted_px;
        exposure->smear_y_px[i] = y_px * wanted_px;
    }
}

static enum owl_status expose(const struct made_studio *studio, const struct owl_plan *plan, const struct owl_desk_scene *scene,
                              struct owl_rng *rng, struct made_frame *frame, struct owl_film_exposure *exposure)
{
    enum owl_status status = owl_desk_exposure_of(plan, scene, frame->ambient_lx, frame->shutter_s, exposure);
    if (status == OWL_OK && frame->fault == MADE_GHOST)
        status = let_ambient_in(studio, plan, scene, frame, exposure);
    for (int i = 0; i < plan->flashes; i++) {
        exposure->weight[i] *= made_between(rng, 1.0 - POWER_JITTER, 1.0 + POWER_JITTER);
        if (frame->fault == MADE_ALL_FLASHES_FAILED || frame->flash == i)
            exposure->weight[i] = 0.0;
    }
    for (int i = 0; i <= plan->flashes && frame->fault == MADE_OVER_EXPOSED; i++)
        exposure->weight[i] *= OVER_EXPOSURE;
    if (frame->fault == MADE_BLURRED)
        smear_flashes(studio, frame, exposure);
    return status;
}

/* ---- between scene and image sensor ---- */

/* Means over boxes in a row of `count` values, `step` floats apart. */
static void soften_line(const float *from, float *to, int count, size_t step, int reach)
{
    double sum = 0.0;
    for (int i = -reach; i < count + reach; i++) {
        int in = i + reach, out = i - reach - 1;
        sum += in < count && in >= 0 ? from[(size_t)in * step] : 0.0f;
        sum -= out >= 0 && out < count ? from[(size_t)out * step] : 0.0f;
        if (i < 0 || i >= count)
            continue;
        int first = i < reach ? 0 : i - reach, last = i + reach >= count ? count - 1 : i + reach;
        to[(size_t)i * step] = (float)(sum / (last - first + 1));
    }
}

static void soften(struct made_studio *studio, int reach)
{
    size_t row = 3 * (size_t)studio->wish->width;
    for (int pass = 0; pass < 2; pass++) { /* twice a box is near enough to a bell */
        for (size_t y = 0; y < (size_t)studio->wish->height; y++)
            for (size_t c = 0; c < 3; c++)
                soften_line(studio->linear + y * row + c, studio->spare + y * row + c, studio->wish->width, 3, reach);
        for (size_t x = 0; x < row; x++)
            soften_line(studio->spare + x, studio->linear + x, studio->wish->height, row, reach);
    }
}

static double mean_light(const struct made_studio *studio)
{
    double sum = 0.0;
    for (size_t i = 0; i < 3 * studio->pixels; i++)
        sum += studio->linear[i];
    return sum / (3.0 * (double)studio->pixels);
}

/* Droplets on the glass: light from everywhere over everything, and what is behind them soft. */
static void fog_up(struct made_studio *studio, double strength)
{
    float veil = (float)(0.15 + 0.4 * strength), mean = (float)mean_light(studio);
    soften(studio, (int)lround(studio->wish->width * (0.0015 + 0.0035 * strength)));
    for (size_t i = 0; i < 3 * studio->pixels; i++)
        studio->linear[i] = (1.0f - veil) * studio->linear[i] + veil * 1.3f * mean;
}

/* A drop lit by the flashes while it falls, soft at both sides. */
static void draw_streak(struct made_studio *studio, const double from[2], const double way[2], double half_px, double light)
{
    int length = (int)ceil(way[1]);
    for (int i = 0; i < length; i++) {
        double x = from[0] + way[0] * i / length;
        int y = (int)floor(from[1]) + i;
        for (int k = (int)floor(x - half_px - 1.0); k <= (int)ceil(x + half_px + 1.0); k++) {
            double share = fmin(1.0, half_px + 0.5 - fabs(k - x));
            if (k < 0 || k >= studio->wish->width || y < 0 || y >= studio->wish->height || share <= 0.0)
                continue;
            float *rgb = studio->linear + 3 * ((size_t)y * (size_t)studio->wish->width + (size_t)k);
            for (int c = 0; c < 3; c++)
                rgb[c] += (float)(share * light);
        }
    }
}

static void rain(struct made_studio *studio, const struct made_frame *frame, struct owl_rng *rng)
{
    double width = studio->wish->width, height = studio->wish->height, mean = mean_light(studio);
    int drops = (int)lround(15.0 + 50.0 * frame->strength);
    for (int i = 0; i < drops; i++) {
        double near = owl_rng_uniform(rng); /* near drops are long, broad and bright */
        double from[2] = {made_between(rng, 0.0, width), made_between(rng, -0.1 * height, height)};
        double way[2] = {0.0, height * (0.02 + 0.10 * near)};
        way[0] = way[1] * (0.35 * frame->wind + made_between(rng, -0.04, 0.04));
        draw_streak(studio, from, way, width * (0.0006 + 0.0016 * near), mean * made_between(rng, 0.8, 3.5) * (0.4 + near));
    }
}

/* Light comes in electrons, and counting them scatters as the root of their number; reading them out adds its own. */
static void add_noise(struct made_studio *studio, const struct owl_desk_scene *scene, struct owl_rng *rng)
{
    const struct owl_plan_camera *camera = &studio->plan->camera;
    double well = FULL_WELL_M2 * scene->pixel_m * scene->pixel_m * 100.0 / camera->iso;
    double per_unit = well / OWL_TONE_CLIP, together = pow(camera->pixels_across / scene->width, 2.0);
    double read = READ_NOISE * READ_NOISE * together;
    for (size_t i = 0; i < 3 * studio->pixels; i++) {
        double electrons = fmax(0.0, studio->linear[i]) * per_unit;
        double scatter = studio->wish->noise * sqrt(electrons + read) / per_unit;
        studio->linear[i] += (float)(scatter * owl_rng_normal(rng));
    }
}

enum owl_status made_studio_shoot(struct made_studio *studio, int number, struct made_frame *frame, struct made_picture *picture)
{
    struct owl_rng rng[DRAWS_STREAMS];
    for (int i = 0; i < DRAWS_STREAMS; i++)
        rng[i] = owl_rng_start(studio->wish->seed, (uint64_t)(STREAM_OF_FRAME + number * DRAWS_STREAMS + i));
    struct owl_plan turned = *studio->plan;
    struct owl_desk_scene scene;
    struct owl_film_exposure exposure;
    enum owl_status status = made_schedule_turn(&turned, studio->wish, frame->shift_x_px, frame->shift_y_px);
    if (status == OWL_OK)
        status = owl_desk_scene_of(&turned, &frame->moment, studio->wish->width, studio->wish->height, &scene);
    if (status == OWL_OK)
        status = owl_view_of(studio->plan, &scene.planted); /* a knock turns the camera, not the grass */
    if (status != OWL_OK)
        return status;
    fill_film(studio, &scene, frame);
    box_animal(studio, frame);
    status = expose(studio, &turned, &scene, &rng[DRAWS_POWER], frame, &exposure);
    if (status != OWL_OK)
        return status;
    owl_film_develop(&studio->film, &exposure, studio->work, studio->linear);
    if (frame->fault == MADE_RAIN)
        rain(studio, frame, &rng[DRAWS_RAIN]);
    if (frame->fault == MADE_FOG)
        fog_up(studio, frame->strength);
    if (studio->wish->noise > 0.0)
        add_noise(studio, &scene, &rng[DRAWS_NOISE]);
    owl_tone_bytes(studio->linear, 3 * studio->pixels, studio->bytes);
    *picture = (struct made_picture){studio->wish->width, studio->wish->height, studio->bytes};
    return OWL_OK;
}
