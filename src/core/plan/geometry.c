/* Vectors, projection, and the crossing of path and sensor. */
#include "core/plan/geometry.h"

#include <math.h>

#include "core/model/optics.h"
#include "core/plan/vector.h"

#define ALMOST_NOTHING_M 1e-9

struct owl_point owl_point_between(const struct owl_point *from, const struct owl_point *to)
{
    return owl_vector_from_to(from, to);
}

double owl_point_length_m(const struct owl_point *vector)
{
    return owl_vector_length(vector);
}

double owl_point_distance_m(const struct owl_point *one, const struct owl_point *other)
{
    struct owl_point between = owl_point_between(one, other);
    return owl_point_length_m(&between);
}

double owl_point_angle_rad(const struct owl_point *apex, const struct owl_point *one,
                           const struct owl_point *other)
{
    struct owl_point a = owl_point_between(apex, one), b = owl_point_between(apex, other);
    struct owl_point normal = owl_vector_cross(&a, &b);
    return atan2(owl_point_length_m(&normal), owl_vector_dot(&a, &b));
}

struct owl_point owl_stage_middle(const struct owl_plan *plan)
{
    return (struct owl_point){0.0, 0.0, plan->stage.mark_height_m + plan->subject.height_m / 2.0};
}

struct owl_path owl_path_of(double angle_rad, double aside_m)
{
    return (struct owl_path){angle_rad, aside_m, cos(angle_rad), sin(angle_rad)};
}

struct owl_path owl_stage_path(const struct owl_plan *plan)
{
    return owl_path_of(plan->stage.path_angle_rad, 0.0);
}

struct owl_point owl_path_point(const struct owl_plan *plan, const struct owl_path *path, double along_m)
{
    double c = path->cosine, s = path->sine;
    return (struct owl_point){along_m * c - path->aside_m * s, along_m * s + path->aside_m * c, plan->stage.mark_height_m};
}

enum owl_status owl_view_of(const struct owl_plan *plan, struct owl_view *view)
{
    static const struct owl_point up = {0.0, 0.0, 1.0};
    const struct owl_plan_camera *camera = &plan->camera;
    struct owl_point axis = owl_point_between(&camera->place, &camera->aim);
    struct owl_point side = owl_vector_cross(&axis, &up);
    double length_m = owl_point_length_m(&axis), side_m = owl_point_length_m(&side);
    if (side_m < ALMOST_NOTHING_M || plan->lens.focus_m <= plan->lens.focal_m)
        return OWL_OUTSIDE_DOMAIN;
    bool portrait = camera->orientation == OWL_PORTRAIT;
    view->place = camera->place;
    view->forward = owl_vector_scaled(&axis, 1.0 / length_m);
    view->right = owl_vector_scaled(&side, 1.0 / side_m);
    view->up = owl_vector_cross(&view->right, &view->forward);
    view->width_m = portrait ? camera->height_m : camera->width_m;
    view->height_m = portrait ? camera->width_m : camera->height_m;
    view->image_m = plan->lens.focal_m * (1.0 + owl_optics_magnification(plan->lens.focal_m, plan->lens.focus_m));
    return OWL_OK;
}

static double overlap(double low, double high, double half)
{
    double from = fmax(low, -half), to = fmin(high, half);
    return to > from ? to - from : 0.0;
}

static void take_corner(const struct owl_view *view, const struct owl_point *corner, struct owl_frame_box *box)
{
    struct owl_point sight = owl_point_between(&view->place, corner);
    double depth_m = owl_vector_dot(&sight, &view->forward);
    if (depth_m < ALMOST_NOTHING_M) {
        box->in_front = false;
        return;
    }
    double x_m = view->image_m * owl_vector_dot(&sight, &view->right) / depth_m;
    double y_m = view->image_m * owl_vector_dot(&sight, &view->up) / depth_m;
    box->left_m = fmin(box->left_m, x_m);
    box->right_m = fmax(box->right_m, x_m);
    box->bottom_m = fmin(box->bottom_m, y_m);
    box->top_m = fmax(box->top_m, y_m);
}

struct owl_frame_box owl_view_body(const struct owl_view *view, const struct owl_plan *plan,
                                   const struct owl_path *path, double along_m)
{
    struct owl_frame_box box = {INFINITY, -INFINITY, INFINITY, -INFINITY, 0.0, true};
    const struct owl_plan_body *body = &plan->subject;
    double c = path->cosine, s = path->sine;
    for (int i = 0; i < 8; i++) {
        double along = along_m + ((i & 1) ? 0.5 : -0.5) * body->length_m;
        double aside = path->aside_m + ((i & 2) ? 0.5 : -0.5) * body->width_m;
        struct owl_point corner = {along * c - aside * s, along * s + aside * c,
                                   plan->stage.mark_height_m + ((i & 4) ? body->height_m : 0.0)};
        take_corner(view, &corner, &box);
    }
    if (!box.in_front)
        return (struct owl_frame_box){0};
    double area = (box.right_m - box.left_m) * (box.top_m - box.bottom_m);
    box.inside = overlap(box.left_m, box.right_m, view->width_m / 2.0) *
                 overlap(box.bottom_m, box.top_m, view->height_m / 2.0) / area;
    return box;
}

/* Along-path coordinate (growing x) where a ray from the sensor in the plan direction `bearing`
   meets the path; NaN when it runs beside it or points away. */
static double ray_meets_path(const struct owl_point *from, const struct owl_path *path, double bearing, double *distance_m)
{
    double c = path->cosine, s = path->sine;
    double dx = cos(bearing), dy = sin(bearing);
    double nearing = dx * s - dy * c; /* how fast the ray nears the line */
    if (fabs(nearing) < ALMOST_NOTHING_M)
        return NAN;
    *distance_m = (from->y_m * c - from->x_m * s - path->aside_m) / nearing;
    if (*distance_m <= 0.0)
        return NAN;
    return (from->x_m + *distance_m * dx) * c + (from->y_m + *distance_m * dy) * s;
}

static double aim_bearing(const struct owl_plan_sensor *sensor)
{
    return atan2(sensor->aim.y_m - sensor->place.y_m, sensor->aim.x_m - sensor->place.x_m);
}

#define EDGES_MOST 61 /* one more than the field table allows zones */

static const struct owl_crossing nothing_noticed = {false, NAN, NAN};

/* The edges of the finger zones in the order in which the walk meets them; the deciding one is the
   last of the pulses wanted. */
static struct owl_crossing fan_cross(const struct owl_plan *plan, const struct owl_path *path, int sense, double reach_m)
{
    const struct owl_plan_sensor *sensor = &plan->sensor;
    double middle = aim_bearing(sensor), front_m[EDGES_MOST], distance_m[EDGES_MOST];
    int count = 0, zones = (int)sensor->zones, deciding = (int)sensor->pulses - 1;
    for (int edge = 0; edge <= zones; edge++) {
        double distance = 0.0, bearing = middle + (edge - zones / 2.0) * sensor->zone_pitch_rad;
        double along = ray_meets_path(&sensor->place, path, bearing, &distance);
        if (isnan(along) || !(distance <= reach_m))
            continue;
        int place = count++;
        for (; place > 0 && front_m[place - 1] > sense * along; place--) {
            front_m[place] = front_m[place - 1];
            distance_m[place] = distance_m[place - 1];
        }
        front_m[place] = sense * along;
        distance_m[place] = distance;
    }
    if (deciding >= count)
        return nothing_noticed;
    return (struct owl_crossing){true, front_m[deciding], distance_m[deciding]};
}

static struct owl_crossing beam_cross(const struct owl_plan *plan, const struct owl_path *path, int sense)
{
    const struct owl_plan_sensor *sensor = &plan->sensor;
    double length_m = hypot(sensor->aim.x_m - sensor->place.x_m, sensor->aim.y_m - sensor->place.y_m);
    double distance_m = 0.0, along = ray_meets_path(&sensor->place, path, aim_bearing(sensor), &distance_m);
    if (isnan(along) || distance_m > length_m)
        return nothing_noticed;
    return (struct owl_crossing){true, sense * along, distance_m};
}

struct owl_crossing owl_sensor_cross(const struct owl_plan *plan, const struct owl_path *path, int sense,
                                     double reach_m)
{
    return plan->sensor.kind == OWL_SENSOR_BEAM ? beam_cross(plan, path, sense) : fan_cross(plan, path, sense, reach_m);
}
