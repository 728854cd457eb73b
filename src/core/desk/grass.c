/* Blades of grass, drawn as tapering strokes over what is behind. */
#include "core/desk/desk.h"

#include "core/desk/grain.h"
#include "core/desk/light.h"
#include "core/plan/vector.h"

#define PIECES 10
#define WIDTH_M 0.006         /* of a blade at its root; estimate */
#define SHORTEST_OF_FRAME 0.12 /* height against the frame's, our own choice */
#define LONGEST_OF_FRAME 0.45
#define BEND 0.7              /* how far a tip goes aside in a full wind, in heights */
#define LIT_PLACES 3
#define LOWEST_ROOTS 0.45     /* share of the frame, from its top, below which blades are rooted */

static const double green[3] = {0.13, 0.17, 0.07}; /* estimate */

struct blade {
    struct owl_point root;
    double height_m, lean, phase;
    double depth_m;
    float light[LIT_PLACES][OWL_FILM_LIGHTS][3]; /* at its root, its middle, its tip */
};

static double share_of(const struct owl_desk_scene *scene, int blade, uint32_t what)
{
    return owl_grain_share(scene->seed + 101, (uint32_t)blade * 8u + what);
}

static void light_place(const struct owl_desk_scene *scene, int i, int place, struct blade *blade)
{
    struct owl_spot facing = {.place = blade->root, .normal = owl_vector_scaled(&scene->view.forward, -1.0)};
    facing.place.z_m += blade->height_m * (place + 0.1) / LIT_PLACES;
    for (int l = 0; l <= scene->lamps; l++) {
        double lxs = l < scene->lamps ? owl_light_lamp_lxs(scene, &scene->lamp[l], &facing, 1, 0) : 1.0;
        for (int c = 0; c < 3; c++)
            blade->light[place][l][c] = (float)(lxs * green[c] * (0.6 + 0.9 * share_of(scene, i, 5)));
    }
}

/* Roots where the lens looks, so that a blade is seen however the camera stands. False: nothing grows there. */
static bool plant(const struct owl_desk_scene *scene, int i, struct blade *blade)
{
    const struct owl_view *view = &scene->planted;
    double x_m = (share_of(scene, i, 0) - 0.5) * scene->width * scene->pixel_m;
    double y_m = (0.5 - LOWEST_ROOTS - (1.0 - LOWEST_ROOTS) * share_of(scene, i, 1)) * scene->height * scene->pixel_m;
    struct owl_point way = owl_vector_scaled(&view->forward, view->image_m);
    way = owl_vector_along(&way, &view->right, x_m);
    way = owl_vector_along(&way, &view->up, y_m);
    struct owl_ray ray = {view->place, owl_vector_unit(&way)};
    struct owl_spot spot;
    double far_m = owl_trace_behind(scene, &ray, &spot);
    if (isinf(far_m))
        return false;
    double frame_m = scene->height * scene->pixel_m / view->image_m * far_m;
    blade->root = spot.place;
    blade->depth_m = far_m * owl_vector_dot(&ray.direction, &scene->view.forward);
    blade->height_m = frame_m * (SHORTEST_OF_FRAME + (LONGEST_OF_FRAME - SHORTEST_OF_FRAME) * share_of(scene, i, 2));
    blade->lean = 0.5 * (share_of(scene, i, 3) - 0.5);
    blade->phase = share_of(scene, i, 4);
    for (int place = 0; place < LIT_PLACES; place++)
        light_place(scene, i, place, blade);
    return true;
}

/* A place on the blade, `up` 0..1 from root to tip, on the film in pixels. */
static void blade_px(const struct owl_desk_scene *scene, const struct blade *blade, double wind, double up, double px[2])
{
    const struct owl_view *view = &scene->view;
    double aside_m = blade->height_m * (blade->lean * up + BEND * wind * (0.6 + 0.8 * blade->phase) * up * up);
    struct owl_point at = owl_vector_along(&blade->root, &view->right, aside_m);
    at.z_m += blade->height_m * up;
    struct owl_point sight = owl_vector_from_to(&view->place, &at);
    double per_m = view->image_m / owl_vector_dot(&sight, &view->forward) / scene->pixel_m;
    px[0] = scene->width / 2.0 + per_m * owl_vector_dot(&sight, &view->right);
    px[1] = scene->height / 2.0 - per_m * owl_vector_dot(&sight, &view->up);
}

static void cover_pixel(struct owl_film *film, size_t pixel, const struct blade *blade, double up, double cover)
{
    float share = (float)cover, rest = 1.0f - share;
    int place = up < 0.5 ? 0 : 1;
    float tipwards = (float)(2.0 * up - place), rootwards = 1.0f - tipwards;
    for (int l = 0; l < film->lights; l++)
        for (size_t c = 0; c < 3; c++) {
            float *value = &film->behind[l][3 * pixel + c];
            float lit = rootwards * blade->light[place][l][c] + tipwards * blade->light[place + 1][l][c];
            *value = rest * *value + share * lit;
        }
    if (share > 0.5f)
        film->behind_depth_m[pixel] = (float)blade->depth_m;
}

/* Distance of a pixel's middle from a piece of the blade. */
static double off_piece_px(const double from[2], const double to[2], double x, double y)
{
    double dx = to[0] - from[0], dy = to[1] - from[1], length2 = dx * dx + dy * dy;
    double share = length2 > 0.0 ? fmin(fmax(((x - from[0]) * dx + (y - from[1]) * dy) / length2, 0.0), 1.0) : 0.0;
    return hypot(x - from[0] - share * dx, y - from[1] - share * dy);
}

static int within(double value, int most)
{
    return value < 0.0 ? 0 : value > most ? most : (int)value;
}

/* `up`: 0..1 from root to tip. */
static void draw_piece(struct owl_film *film, const struct blade *blade, double up, const double from[2], const double to[2],
                       double half_px)
{
    int left = within(fmin(from[0], to[0]) - half_px - 1.0, film->width);
    int right = within(fmax(from[0], to[0]) + half_px + 2.0, film->width);
    int top = within(fmin(from[1], to[1]) - half_px - 1.0, film->height);
    int bottom = within(fmax(from[1], to[1]) + half_px + 2.0, film->height);
    for (int y = top; y < bottom; y++)
        for (int x = left; x < right; x++) {
            double cover = fmin(half_px + 0.5 - off_piece_px(from, to, x + 0.5, y + 0.5), fmin(1.0, 2.0 * half_px));
            size_t pixel = (size_t)y * (size_t)film->width + (size_t)x;
            if (cover > 0.0 && blade->depth_m <= film->behind_depth_m[pixel] * 1.0001)
                cover_pixel(film, pixel, blade, up, cover);
        }
}

void owl_desk_grass(const struct owl_desk_scene *scene, struct owl_film *film, int blades, double wind)
{
    for (int i = 0; i < blades; i++) {
        struct blade blade;
        if (!plant(scene, i, &blade))
            continue;
        double root_px = WIDTH_M / 2.0 * scene->view.image_m / blade.depth_m / scene->pixel_m, from[2], to[2];
        blade_px(scene, &blade, wind, 0.0, from);
        for (int piece = 1; piece <= PIECES; piece++) {
            blade_px(scene, &blade, wind, (double)piece / PIECES, to);
            double up = (piece - 0.5) / PIECES;
            draw_piece(film, &blade, up, from, to, root_px * (1.0 - up));
            from[0] = to[0];
            from[1] = to[1];
        }
    }
}
