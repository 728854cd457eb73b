/* Sphere tracing: a ray goes on as far as nothing can be nearer. The ground and the backdrop are planes and need none. */
#include "core/desk/trace.h"

#include "core/desk/grain.h"
#include "core/plan/vector.h"

#define STEPS_MOST 96
#define TOUCH 4e-4           /* nearer than this in parts of the way counts as met */
#define TOUCH_LEAST_M 1e-4
#define NORMAL_STEP_M 4e-4
#define GROUND_GRAIN_M 0.09
#define BACKDROP_GRAIN_M 0.4
#define BARK_GRAIN_M 0.035
#define FUR_GRAIN_M 0.012
#define GRAIN_DEPTH 0.45     /* of reflectance */
#define FUR_DEPTH 0.22
#define BARK_STRETCH 4.0     /* bark and fur run lengthwise */
#define FUR_STRETCH 3.5
#define RELIEF 0.35          /* how far rough ground tilts */

/* ---- the animal ---- */

/* A point in the axes of the body, and a direction. */
static struct owl_point turned_in(const struct owl_desk_scene *scene, const struct owl_point *a)
{
    double c = scene->form_cosine, s = scene->form_sine;
    return (struct owl_point){a->x_m * c + a->y_m * s, a->y_m * c - a->x_m * s, a->z_m};
}

static struct owl_point turned_out(const struct owl_desk_scene *scene, const struct owl_point *a)
{
    double c = scene->form_cosine, s = scene->form_sine;
    return (struct owl_point){a->x_m * c - a->y_m * s, a->y_m * c + a->x_m * s, a->z_m};
}

static struct owl_point in_body(const struct owl_desk_scene *scene, const struct owl_point *at)
{
    struct owl_point from_feet = owl_vector_from_to(&scene->form_place, at);
    return turned_in(scene, &from_feet);
}

/* The stretch of one axis inside the box, cut from what the others left. */
static void cut_axis(double from, double direction, double low, double high, double span[2])
{
    double a = (low - from) / direction, b = (high - from) / direction;
    if (direction == 0.0) {
        if (from < low || from > high)
            span[1] = -INFINITY;
        return;
    }
    span[0] = fmax(span[0], fmin(a, b));
    span[1] = fmin(span[1], fmax(a, b));
}

/* The part of a ray, in the body's axes, that lies in its box; false when there is none. */
static bool box_span(const struct owl_form *form, const struct owl_ray *ray, double far_m, double span[2])
{
    span[0] = 0.0;
    span[1] = far_m;
    cut_axis(ray->from.x_m, ray->direction.x_m, form->low.x_m, form->high.x_m, span);
    cut_axis(ray->from.y_m, ray->direction.y_m, form->low.y_m, form->high.y_m, span);
    cut_axis(ray->from.z_m, ray->direction.z_m, form->low.z_m, form->high.z_m, span);
    return span[0] < span[1];
}

static double march_form(const struct owl_form *form, const struct owl_ray *ray, double far_m, double *clearance)
{
    double span[2];
    if (!box_span(form, ray, far_m, span))
        return INFINITY;
    double t = span[0];
    for (int i = 0; i < STEPS_MOST && t < span[1]; i++) {
        struct owl_point at = owl_vector_along(&ray->from, &ray->direction, t);
        double free_m = owl_form_distance_m(form, &at);
        if (free_m < fmax(TOUCH_LEAST_M, TOUCH * t))
            return t;
        *clearance = fmin(*clearance, free_m / fmax(t, TOUCH_LEAST_M));
        t += free_m;
    }
    return INFINITY;
}

static struct owl_ray ray_in_body(const struct owl_desk_scene *scene, const struct owl_ray *ray)
{
    return (struct owl_ray){in_body(scene, &ray->from), turned_in(scene, &ray->direction)};
}

/* The slope of the distance, from four points around. */
static struct owl_point form_normal(const struct owl_form *form, const struct owl_point *at)
{
    static const double corner[4][3] = {{1, -1, -1}, {-1, -1, 1}, {-1, 1, -1}, {1, 1, 1}};
    struct owl_point slope = {0.0, 0.0, 0.0};
    for (int i = 0; i < 4; i++) {
        const struct owl_point way = {corner[i][0], corner[i][1], corner[i][2]};
        struct owl_point beside = owl_vector_along(at, &way, NORMAL_STEP_M);
        slope = owl_vector_along(&slope, &way, owl_form_distance_m(form, &beside));
    }
    return owl_vector_unit(&slope);
}

static void grained(double reflectance[3], const double plain[3], double grain)
{
    for (int c = 0; c < 3; c++)
        reflectance[c] = plain[c] * (1.0 + grain);
}

static void fill_coat(const struct owl_desk_scene *scene, const struct owl_point *at, double far_m, struct owl_spot *spot)
{
    enum owl_skin skin = owl_form_skin_at(&scene->form, at);
    double lengthwise_m[3] = {at->x_m / FUR_STRETCH, at->y_m, at->z_m};
    bool furred = skin == OWL_SKIN_COAT || skin == OWL_SKIN_PALE || skin == OWL_SKIN_DARK;
    double grain = furred ? FUR_DEPTH * owl_grain_rough(scene->seed + 31, lengthwise_m, FUR_GRAIN_M, far_m * TOUCH) : 0.0;
    struct owl_point normal = form_normal(&scene->form, at);
    grained(spot->reflectance, scene->form.reflectance[skin], scene->grain * grain);
    spot->normal = turned_out(scene, &normal);
    spot->wet = skin == OWL_SKIN_EYE;
}

/* ---- the card ---- */

static double meet_card(const struct owl_desk_scene *scene, const struct owl_ray *ray)
{
    struct owl_point normal = owl_vector_scaled(&scene->view.forward, -1.0);
    struct owl_point gap = owl_vector_from_to(&ray->from, &scene->card_middle);
    double nearing = owl_vector_dot(&ray->direction, &normal), t = owl_vector_dot(&gap, &normal) / nearing;
    struct owl_point at = owl_vector_along(&ray->from, &ray->direction, t);
    struct owl_point off = owl_vector_from_to(&scene->card_middle, &at);
    bool on_it = fabs(owl_vector_dot(&off, &scene->view.right)) <= scene->card_half_m &&
                 fabs(owl_vector_dot(&off, &scene->view.up)) <= scene->card_half_m;
    return nearing != 0.0 && t > 0.0 && on_it ? t : INFINITY;
}

static double trace_card(const struct owl_desk_scene *scene, const struct owl_ray *ray, struct owl_spot *spot)
{
    double t = meet_card(scene, ray);
    if (isinf(t))
        return t;
    spot->place = owl_vector_along(&ray->from, &ray->direction, t);
    spot->normal = owl_vector_scaled(&scene->view.forward, -1.0);
    spot->wet = false;
    spot->solo = true;
    for (int c = 0; c < 3; c++)
        spot->reflectance[c] = OWL_MID_REFLECTANCE;
    return t;
}

double owl_trace_body(const struct owl_desk_scene *scene, const struct owl_ray *ray, struct owl_spot *spot)
{
    double clearance = INFINITY;
    if (scene->card)
        return trace_card(scene, ray, spot);
    if (!scene->animal)
        return INFINITY;
    struct owl_ray inside = ray_in_body(scene, ray);
    double t = march_form(&scene->form, &inside, INFINITY, &clearance);
    if (isinf(t))
        return t;
    struct owl_point at = owl_vector_along(&inside.from, &inside.direction, t);
    spot->place = owl_vector_along(&ray->from, &ray->direction, t);
    spot->solo = false;
    fill_coat(scene, &at, t, spot);
    return t;
}

/* ---- log, ground, backdrop ---- */

/* The nearest point of the log's axis. */
static struct owl_point on_axis(const struct owl_desk_scene *scene, const struct owl_point *at)
{
    struct owl_point axis = owl_vector_from_to(&scene->log_from, &scene->log_to);
    struct owl_point way = owl_vector_from_to(&scene->log_from, at);
    double share = owl_vector_dot(&way, &axis) / owl_vector_dot(&axis, &axis);
    return owl_vector_along(&scene->log_from, &axis, fmin(fmax(share, 0.0), 1.0));
}

static double log_distance_m(const struct owl_desk_scene *scene, const struct owl_point *at)
{
    struct owl_point foot = on_axis(scene, at), off = owl_vector_from_to(&foot, at);
    return owl_vector_length(&off) - scene->log_radius_m;
}

static double march_log(const struct owl_desk_scene *scene, const struct owl_ray *ray, double far_m, double *clearance)
{
    double t = 0.0;
    for (int i = 0; i < STEPS_MOST && t < far_m; i++) {
        struct owl_point at = owl_vector_along(&ray->from, &ray->direction, t);
        double free_m = log_distance_m(scene, &at);
        if (free_m < fmax(TOUCH_LEAST_M, TOUCH * t))
            return t;
        *clearance = fmin(*clearance, free_m / fmax(t, TOUCH_LEAST_M));
        t += free_m;
    }
    return INFINITY;
}

static void fill_log(const struct owl_desk_scene *scene, const struct owl_point *at, double far_m, struct owl_spot *spot)
{
    struct owl_point foot = on_axis(scene, at), off = owl_vector_from_to(&foot, at);
    struct owl_point axis = owl_vector_from_to(&scene->log_from, &scene->log_to), along = owl_vector_unit(&axis);
    double lengthwise_m[3] = {owl_vector_dot(at, &along) / BARK_STRETCH, off.z_m, off.x_m * along.y_m - off.y_m * along.x_m};
    double grain = GRAIN_DEPTH * scene->grain * owl_grain_rough(scene->seed + 47, lengthwise_m, BARK_GRAIN_M, far_m * TOUCH);
    double ridge = RELIEF * scene->grain * owl_grain_rough(scene->seed + 71, lengthwise_m, BARK_GRAIN_M, far_m * TOUCH);
    struct owl_point outward = owl_vector_unit(&off), around = owl_vector_cross(&along, &outward);
    struct owl_point ridged = owl_vector_along(&outward, &around, ridge);
    spot->place = *at;
    spot->normal = owl_vector_unit(&ridged);
    grained(spot->reflectance, scene->log_reflectance, grain);
}

/* Rough ground faces a little aside at every spot. */
static struct owl_point tilted(const struct owl_desk_scene *scene, const double at_m[3], double spot_m)
{
    double x = owl_grain_rough(scene->seed + 61, at_m, GROUND_GRAIN_M, spot_m);
    double y = owl_grain_rough(scene->seed + 67, at_m, GROUND_GRAIN_M, spot_m);
    struct owl_point slope = {RELIEF * scene->grain * x, RELIEF * scene->grain * y, 1.0};
    return owl_vector_unit(&slope);
}

static void fill_ground(const struct owl_desk_scene *scene, const struct owl_point *at, double far_m, struct owl_spot *spot)
{
    double at_m[3] = {at->x_m, at->y_m, 0.0};
    double grain = GRAIN_DEPTH * scene->grain * owl_grain_rough(scene->seed + 53, at_m, GROUND_GRAIN_M, far_m * TOUCH);
    spot->place = *at;
    spot->normal = tilted(scene, at_m, far_m * TOUCH);
    grained(spot->reflectance, scene->ground_reflectance, grain);
}

/* A thicket: streaks that stand. */
static void fill_backdrop(const struct owl_desk_scene *scene, const struct owl_point *at, double far_m, struct owl_spot *spot)
{
    double standing_m[3] = {at->x_m, at->y_m, at->z_m / BARK_STRETCH};
    double grain = GRAIN_DEPTH * scene->grain * owl_grain_rough(scene->seed + 59, standing_m, BACKDROP_GRAIN_M, far_m * TOUCH);
    spot->place = *at;
    spot->normal = scene->backdrop_normal;
    grained(spot->reflectance, scene->backdrop_reflectance, grain);
}

static double meet_plane(const struct owl_ray *ray, const struct owl_point *place, const struct owl_point *normal)
{
    struct owl_point gap = owl_vector_from_to(&ray->from, place);
    double t = owl_vector_dot(&gap, normal) / owl_vector_dot(&ray->direction, normal);
    return t > 0.0 ? t : INFINITY;
}

double owl_trace_behind(const struct owl_desk_scene *scene, const struct owl_ray *ray, struct owl_spot *spot)
{
    static const struct owl_point mark = {0.0, 0.0, 0.0}, up = {0.0, 0.0, 1.0};
    double clearance = INFINITY;
    double ground = meet_plane(ray, &mark, &up), wall = meet_plane(ray, &scene->backdrop_place, &scene->backdrop_normal);
    double nearest = fmin(ground, wall);
    double log = scene->log ? march_log(scene, ray, nearest, &clearance) : INFINITY;
    double t = fmin(nearest, log);
    if (isinf(t))
        return t;
    struct owl_point at = owl_vector_along(&ray->from, &ray->direction, t);
    spot->wet = spot->solo = false;
    if (log < nearest)
        fill_log(scene, &at, t, spot);
    else if (ground < wall)
        fill_ground(scene, &at, t, spot);
    else
        fill_backdrop(scene, &at, t, spot);
    return t;
}

/* ---- rays of light ---- */

bool owl_trace_free(const struct owl_desk_scene *scene, const struct owl_ray *ray, double far_m, double *clearance)
{
    if (scene->animal) {
        struct owl_ray inside = ray_in_body(scene, ray);
        if (!isinf(march_form(&scene->form, &inside, far_m, clearance)))
            return false;
    }
    return !scene->log || isinf(march_log(scene, ray, far_m, clearance));
}

double owl_trace_near_m(const struct owl_desk_scene *scene, const struct owl_point *at)
{
    double near_m = at->z_m;
    if (scene->animal) {
        struct owl_point inside = in_body(scene, at);
        near_m = fmin(near_m, owl_form_distance_m(&scene->form, &inside));
    }
    return scene->log ? fmin(near_m, log_distance_m(scene, at)) : near_m;
}

/* Distance of a point from a straight way. */
static double off_way_m(const struct owl_point *point, const struct owl_point *from, const struct owl_point *to)
{
    struct owl_point way = owl_vector_from_to(from, to), gap = owl_vector_from_to(from, point);
    double length2 = owl_vector_dot(&way, &way);
    double share = length2 > 0.0 ? fmin(fmax(owl_vector_dot(&gap, &way) / length2, 0.0), 1.0) : 0.0;
    struct owl_point foot = owl_vector_along(from, &way, share), off = owl_vector_from_to(&foot, point);
    return owl_vector_length(&off);
}

bool owl_trace_in_the_way(const struct owl_desk_scene *scene, const struct owl_point *from, const struct owl_point *to,
                          double width_m)
{
    if (scene->animal) {
        const struct owl_form *form = &scene->form;
        struct owl_point sum = owl_vector_along(&form->low, &form->high, 1.0), half = owl_vector_scaled(&sum, 0.5);
        struct owl_point corner = owl_vector_from_to(&half, &form->high), middle = turned_out(scene, &half);
        middle = owl_vector_along(&middle, &scene->form_place, 1.0);
        if (off_way_m(&middle, from, to) < owl_vector_length(&corner) + width_m)
            return true;
    }
    return scene->log; /* it is long: nearly every way begins or ends near it */
}
