/* The film filled, pixel by pixel: first coarse, then finer, at last smooth where two things meet. */
#include "core/desk/desk.h"

#include "core/desk/light.h"
#include "core/plan/vector.h"

#define COARSE_STEP 4      /* from this on the picture is coarse */
#define COARSE_RAYS 1      /* a side, to a lamp's lit surface, while it is */
#define FINE_RAYS 4
#define CORNERS 4          /* points of a smoothed pixel */
#define DEPTH_JUMP 0.02    /* share of the depth by which a plane does not bend */
#define NOWHERE_M 1e6      /* depth of a pixel that shows nothing at all */

/* What one ray from the lens brings home. */
struct sample {
    double cover, behind_depth_m, body_depth_m;
    float behind[OWL_FILM_LIGHTS][3], body[OWL_FILM_LIGHTS][3];
};

static struct owl_ray ray_through(const struct owl_desk_scene *scene, double x_px, double y_px)
{
    const struct owl_view *view = &scene->view;
    struct owl_point way = owl_vector_scaled(&view->forward, view->image_m);
    way = owl_vector_along(&way, &view->right, (x_px - scene->width / 2.0) * scene->pixel_m);
    way = owl_vector_along(&way, &view->up, (scene->height / 2.0 - y_px) * scene->pixel_m);
    return (struct owl_ray){view->place, owl_vector_unit(&way)};
}

struct lighting {
    const struct owl_desk_scene *scene;
    const struct owl_ray *ray;
    int rays;
    uint32_t number;
};

static void light_spot(const struct lighting *lighting, const struct owl_spot *spot, float value[OWL_FILM_LIGHTS][3])
{
    const struct owl_desk_scene *scene = lighting->scene;
    for (int i = 0; i < scene->lamps; i++) {
        const struct owl_desk_lamp *lamp = &scene->lamp[i];
        double lxs = owl_light_lamp_lxs(scene, lamp, spot, lighting->rays, lighting->number);
        double glint = spot->wet ? owl_light_glint_lxs(lamp, spot, &lighting->ray->direction) : 0.0;
        for (int c = 0; c < 3; c++)
            value[i][c] = (float)(spot->reflectance[c] * lxs + glint);
    }
    double open = owl_light_open_share(scene, spot);
    for (int c = 0; c < 3; c++)
        value[scene->lamps][c] = (float)(spot->reflectance[c] * open);
}

static struct sample take_sample(const struct owl_desk_scene *scene, double x_px, double y_px, int rays)
{
    struct sample sample = {.behind_depth_m = NOWHERE_M};
    struct owl_ray ray = ray_through(scene, x_px, y_px);
    struct owl_spot behind, body;
    double axial = owl_vector_dot(&ray.direction, &scene->view.forward);
    double behind_m = owl_trace_behind(scene, &ray, &behind), body_m = owl_trace_body(scene, &ray, &body);
    struct lighting lighting = {scene, &ray, rays, (uint32_t)(y_px * 4.0) * 65537u + (uint32_t)(x_px * 4.0)};
    if (!isinf(behind_m)) {
        sample.behind_depth_m = behind_m * axial;
        light_spot(&lighting, &behind, sample.behind);
    }
    if (body_m < behind_m) {
        sample.cover = 1.0;
        sample.body_depth_m = body_m * axial;
        light_spot(&lighting, &body, sample.body);
    }
    return sample;
}

static void put_sample(struct owl_film *film, size_t pixel, const struct sample *sample)
{
    film->cover[pixel] = (float)sample->cover;
    film->behind_depth_m[pixel] = (float)sample->behind_depth_m;
    film->body_depth_m[pixel] = (float)sample->body_depth_m;
    for (int i = 0; i < film->lights; i++)
        for (size_t c = 0; c < 3; c++) {
            film->behind[i][3 * pixel + c] = sample->behind[i][c];
            film->body[i][3 * pixel + c] = sample->body[i][c];
        }
}

static int least(int a, int b)
{
    return a < b ? a : b;
}

/* The square that a pixel stands for. */
static void fill_square(struct owl_film *film, int x, int y, int side, int to, const struct sample *sample)
{
    for (int row = y; row < least(y + side, to); row++)
        for (int column = x; column < least(x + side, film->width); column++)
            put_sample(film, (size_t)row * (size_t)film->width + (size_t)column, sample);
}

void owl_desk_render(const struct owl_desk_scene *scene, struct owl_film *film, int step, int done, int from, int to)
{
    int rays = step >= COARSE_STEP ? COARSE_RAYS : FINE_RAYS;
    bool keep = done > 0 && (done < COARSE_STEP || step >= COARSE_STEP);
    for (int y = (from + step - 1) / step * step; y < least(to, film->height); y += step)
        for (int x = 0; x < film->width; x += step) {
            if (keep && x % done == 0 && y % done == 0)
                continue;
            struct sample sample = take_sample(scene, x + 0.5, y + 0.5, rays);
            fill_square(film, x, y, step, film->height, &sample);
        }
}

/* How near the pixel's thing is, 1/m. */
static double nearness(const struct owl_film *film, size_t pixel)
{
    return 1.0 / (double)(film->cover[pixel] > 0.0f ? film->body_depth_m[pixel] : film->behind_depth_m[pixel]);
}

/* Over a plane nearness runs straight across the picture: where it does not, from one pixel through the next to the one
   after, something ends. */
static bool bends(const struct owl_film *film, size_t first, size_t stride)
{
    size_t middle = first + stride, last = middle + stride;
    if (film->cover[first] != film->cover[middle] || film->cover[middle] != film->cover[last])
        return true;
    double bend = nearness(film, first) - 2.0 * nearness(film, middle) + nearness(film, last);
    return fabs(bend) > DEPTH_JUMP * nearness(film, middle);
}

static void mark_line(const struct owl_film *film, size_t start, size_t stride, int count, uint8_t *marks)
{
    for (int i = 0; i + 2 < count; i++) {
        size_t first = start + (size_t)i * stride;
        if (bends(film, first, stride))
            marks[first] = marks[first + stride] = marks[first + 2 * stride] = 1;
    }
}

void owl_desk_mark(const struct owl_film *film, uint8_t *marks)
{
    size_t width = (size_t)film->width, height = (size_t)film->height;
    for (size_t i = 0; i < width * height; i++)
        marks[i] = 0;
    for (size_t y = 0; y < height; y++)
        mark_line(film, y * width, 1, film->width, marks);
    for (size_t x = 0; x < width; x++)
        mark_line(film, x, width, film->height, marks);
}

/* The mean of four rays; a depth only of those that met something. */
static struct sample smooth_sample(const struct owl_desk_scene *scene, int x, int y)
{
    struct sample mean = {0};
    double body_depth_m = 0.0;
    for (int k = 0; k < CORNERS; k++) {
        struct sample one = take_sample(scene, x + 0.25 + 0.5 * (k % 2), y + 0.25 + 0.5 * (double)(k / 2), FINE_RAYS / 2);
        mean.cover += one.cover / CORNERS;
        mean.behind_depth_m += one.behind_depth_m / CORNERS;
        body_depth_m += one.cover * one.body_depth_m / CORNERS;
        for (int i = 0; i < OWL_FILM_LIGHTS; i++)
            for (int c = 0; c < 3; c++) {
                mean.behind[i][c] += one.behind[i][c] / CORNERS;
                mean.body[i][c] += one.body[i][c] / CORNERS;
            }
    }
    mean.body_depth_m = mean.cover > 0.0 ? body_depth_m / mean.cover : 0.0;
    return mean;
}

void owl_desk_smooth(const struct owl_desk_scene *scene, struct owl_film *film, const uint8_t *marks, int from, int to)
{
    for (int y = from; y < least(to, film->height); y++)
        for (int x = 0; x < film->width; x++) {
            size_t pixel = (size_t)y * (size_t)film->width + (size_t)x;
            if (!marks[pixel])
                continue;
            struct sample sample = smooth_sample(scene, x, y);
            put_sample(film, pixel, &sample);
        }
}
