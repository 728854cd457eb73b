/* Places moved onto the section, window and scale of the side view, and what its labels keep clear of. */
#include "core/draw/side_scene.h"

#include <math.h>

#include "core/constants.h"

#define SIDE_MARGIN 56.0
#define TOP_MARGIN 100.0     /* of air over the highest thing: labels need it most */
#define GROUND_MARGIN 54.0    /* of earth below the lowest thing: it holds the measured distances */
#define MOST_HEIGHT 620.0
#define LEAST_HEIGHT 300.0
#define TAPE_DEPTH 16.0       /* of the measured distances below the ground */
#define GLYPH_REACH 11.0      /* half the square kept free around a device */
#define LEAST_PERCH 22.0      /* width of what the animal stands on */
#define PERCH_PER_BODY 1.5
#define FAR_FOR_BACKDROP 1.3  /* of the size of everything else */
#define FAR_ASIDE 0.2         /* of the drawn length */
#define MOST_TURN (0.999 * OWL_TAU)
#define BEAM_PAST_AIM 1.12

/* ---- places on the section ---- */

struct owl_side_point owl_side_of(const struct owl_stage_scene *scene, const struct owl_point *point)
{
    double x = scene->ahead_x, y = scene->ahead_y;
    return (struct owl_side_point){point->x_m * x + point->y_m * y, point->z_m, point->x_m * y - point->y_m * x};
}

struct owl_side_point owl_side_device(const struct owl_stage_scene *scene, int device)
{
    return owl_side_of(scene, owl_stage_place(scene->plan, device));
}

/* As far as it notices this animal. */
struct owl_side_fan owl_side_sensor_fan(const struct owl_stage_scene *scene)
{
    const struct owl_plan_sensor *sensor = &scene->plan->sensor;
    return (struct owl_side_fan){&sensor->place, &sensor->aim, fmin(sensor->fan_height_rad, MOST_TURN),
                                 owl_stage_sensor_reach_m(scene)};
}

struct owl_side_fan owl_side_flash_beam(const struct owl_stage_scene *scene, const struct owl_plan_flash *flash)
{
    double length_m = owl_point_distance_m(&flash->place, &flash->aim);
    return (struct owl_side_fan){&flash->place, &flash->aim, fmin(flash->coverage_rad, MOST_TURN),
                                 fmin(BEAM_PAST_AIM * length_m, scene->reach_m)};
}

/* One aimed straight up or down opens along the section. */
struct owl_side_point owl_side_on_rim(const struct owl_stage_scene *scene, const struct owl_side_fan *fan, double share)
{
    struct owl_point aim = owl_point_between(fan->place, fan->aim);
    double level_m = hypot(aim.x_m, aim.y_m), angle = atan2(aim.z_m, level_m) + share * fan->angle_rad / 2.0;
    double x = level_m > 0.0 ? aim.x_m / level_m : scene->ahead_x, y = level_m > 0.0 ? aim.y_m / level_m : scene->ahead_y;
    struct owl_point rim = {fan->place->x_m + fan->radius_m * cos(angle) * x, fan->place->y_m + fan->radius_m * cos(angle) * y,
                            fan->place->z_m + fan->radius_m * sin(angle)};
    return owl_side_of(scene, &rim);
}

struct owl_side_point owl_side_in_view(const struct owl_stage_scene *scene, double depth_m, double side)
{
    const struct owl_view *view = &scene->view;
    double slope = side * view->height_m / 2.0 / view->image_m;
    struct owl_point point = {view->place.x_m + depth_m * (view->forward.x_m + slope * view->up.x_m),
                              view->place.y_m + depth_m * (view->forward.y_m + slope * view->up.y_m),
                              view->place.z_m + depth_m * (view->forward.z_m + slope * view->up.z_m)};
    return owl_side_of(scene, &point);
}

bool owl_side_frame_comes(const struct owl_stage_scene *scene)
{
    const struct owl_point *forward = &scene->view.forward;
    return scene->viewed && forward->x_m * scene->ahead_x + forward->y_m * scene->ahead_y > 0.0;
}

double owl_side_frame_up_m(const struct owl_stage_scene *scene, double side)
{
    struct owl_side_point camera = owl_side_in_view(scene, 0.0, 0.0), edge = owl_side_in_view(scene, 1.0, side);
    double nearing_m = edge.along_m - camera.along_m;
    if (nearing_m <= 0.0)
        return side * INFINITY;
    return camera.up_m - camera.along_m / nearing_m * (edge.up_m - camera.up_m);
}

double owl_side_across_m(const struct owl_stage_scene *scene)
{
    struct owl_path path = owl_stage_path(scene->plan);
    double ahead = path.cosine * scene->ahead_x + path.sine * scene->ahead_y;
    double beside = path.cosine * scene->ahead_y - path.sine * scene->ahead_x;
    return scene->plan->subject.length_m * fabs(ahead) + scene->plan->subject.width_m * fabs(beside);
}

struct owl_label_box owl_side_perch(const struct owl_stage_scene *scene)
{
    double half = fmax(PERCH_PER_BODY * owl_side_across_m(scene) * scene->scale, LEAST_PERCH) / 2.0;
    double x = owl_stage_x(scene, 0.0), top = owl_stage_y(scene, scene->plan->stage.mark_height_m);
    return (struct owl_label_box){x - half, top, x + half, owl_stage_y(scene, 0.0)};
}

bool owl_side_far_aside(const struct owl_stage_scene *scene, const struct owl_point *place)
{
    return fabs(owl_side_of(scene, place).aside_m) > FAR_ASIDE * OWL_STAGE_WIDTH / scene->scale;
}

bool owl_side_beam_shown(const struct owl_stage_scene *scene)
{
    const struct owl_plan_sensor *sensor = &scene->plan->sensor;
    struct owl_side_point one = owl_side_of(scene, &sensor->place), other = owl_side_of(scene, &sensor->aim);
    double apart_m = hypot(other.along_m - one.along_m, other.up_m - one.up_m);
    return sensor->kind == OWL_SENSOR_BEAM && apart_m * scene->scale > 2.0 * GLYPH_REACH;
}

bool owl_side_sunken(const struct owl_plan *plan)
{
    for (int device = 0; device < OWL_DEVICE_FLASH + plan->flashes; device++)
        if (owl_stage_place(plan, device)->z_m < 0.0)
            return true;
    return plan->sensor.kind == OWL_SENSOR_BEAM && plan->sensor.aim.z_m < 0.0;
}

struct owl_label_stroke owl_side_upright(const struct owl_stage_scene *scene, int device)
{
    struct owl_side_point place = owl_side_device(scene, device);
    double x = owl_stage_x(scene, place.along_m);
    return (struct owl_label_stroke){x, owl_stage_y(scene, 0.0), x, owl_stage_y(scene, place.up_m)};
}

struct owl_label_stroke owl_side_tape(const struct owl_stage_scene *scene, double along_m)
{
    double y = owl_stage_y(scene, 0.0) + TAPE_DEPTH;
    return (struct owl_label_stroke){owl_stage_x(scene, fmin(along_m, 0.0)), y, owl_stage_x(scene, fmax(along_m, 0.0)), y};
}

/* ---- the window ---- */

struct window {
    double left_m, right_m, bottom_m, top_m;
};

static void include(struct window *window, double along_m, double up_m)
{
    window->left_m = fmin(window->left_m, along_m);
    window->right_m = fmax(window->right_m, along_m);
    window->bottom_m = fmin(window->bottom_m, up_m);
    window->top_m = fmax(window->top_m, up_m);
}

static struct window window_of(struct owl_stage_scene *scene)
{
    const struct owl_plan *plan = scene->plan;
    struct window window = {0};
    double half_m = owl_side_across_m(scene) * 0.75, wall_m = owl_side_of(scene, &scene->backdrop).along_m;
    include(&window, -half_m, plan->stage.mark_height_m);
    include(&window, half_m, plan->stage.mark_height_m + plan->subject.height_m);
    for (int device = 0; device < OWL_DEVICE_FLASH + plan->flashes; device++) {
        struct owl_side_point place = owl_side_device(scene, device);
        include(&window, place.along_m, place.up_m);
    }
    if (plan->sensor.kind == OWL_SENSOR_BEAM) {
        struct owl_side_point end = owl_side_of(scene, &plan->sensor.aim);
        include(&window, end.along_m, end.up_m);
    }
    double others_m = fmax(window.right_m - window.left_m, window.top_m - window.bottom_m);
    scene->backdrop_shown = wall_m <= FAR_FOR_BACKDROP * others_m;
    if (scene->backdrop_shown)
        include(&window, wall_m, 0.0);
    return window;
}

/* What is spare goes to both sides alike, and above: the ground stays low. */
static void set_scale(struct owl_stage_scene *scene, const struct window *window)
{
    double width_m = window->right_m - window->left_m, rise_m = window->top_m - window->bottom_m;
    scene->scale = fmin((OWL_STAGE_WIDTH - 2.0 * SIDE_MARGIN) / width_m, (MOST_HEIGHT - TOP_MARGIN - GROUND_MARGIN) / rise_m);
    double height = fmax(LEAST_HEIGHT, rise_m * scene->scale + TOP_MARGIN + GROUND_MARGIN);
    scene->left_m = (window->left_m + window->right_m) / 2.0 - OWL_STAGE_WIDTH / 2.0 / scene->scale;
    scene->top_m = window->bottom_m + (height - GROUND_MARGIN) / scene->scale;
    scene->reach_m = 3.0 * (OWL_STAGE_WIDTH + height) / scene->scale;
    scene->ground_height = height;
    scene->board = (struct owl_label_board){.width = OWL_STAGE_WIDTH, .height = height, .font = OWL_STAGE_FONT};
}

/* ---- what labels keep clear of ---- */

static void take_glyph(struct owl_stage_scene *scene, const struct owl_point *place)
{
    struct owl_side_point at = owl_side_of(scene, place);
    double x = owl_stage_x(scene, at.along_m), y = owl_stage_y(scene, at.up_m);
    owl_label_take(&scene->board, x - GLYPH_REACH, y - GLYPH_REACH, x + GLYPH_REACH, y + GLYPH_REACH);
}

/* From a device on; earth hides what lies in it. */
static void cross(struct owl_stage_scene *scene, const struct owl_side_point *from, const struct owl_side_point *to)
{
    double share = to->up_m < 0.0 && !owl_side_sunken(scene->plan) ? from->up_m / (from->up_m - to->up_m) : 1.0;
    owl_label_cross(&scene->board, owl_stage_x(scene, from->along_m), owl_stage_y(scene, from->up_m),
                    owl_stage_x(scene, from->along_m + share * (to->along_m - from->along_m)),
                    owl_stage_y(scene, from->up_m + share * (to->up_m - from->up_m)));
}

static void cross_stroke(struct owl_stage_scene *scene, const struct owl_label_stroke *stroke)
{
    owl_label_cross(&scene->board, stroke->x1, stroke->y1, stroke->x2, stroke->y2);
}

static void cross_fan(struct owl_stage_scene *scene, const struct owl_side_fan *fan)
{
    struct owl_side_point place = owl_side_of(scene, fan->place);
    for (double side = -1.0; side <= 1.0; side += 2.0) {
        struct owl_side_point rim = owl_side_on_rim(scene, fan, side);
        cross(scene, &place, &rim);
    }
}

static void take_animal(struct owl_stage_scene *scene)
{
    const struct owl_plan *plan = scene->plan;
    double half = owl_side_across_m(scene) * scene->scale / 2.0, x = owl_stage_x(scene, 0.0);
    double feet_m = plan->stage.mark_height_m, head = owl_stage_y(scene, feet_m + plan->subject.height_m);
    struct owl_label_box perch = owl_side_perch(scene);
    owl_label_take(&scene->board, x - half - 2.0, head - 2.0, x + half + 2.0, owl_stage_y(scene, feet_m));
    if (feet_m <= 0.0)
        return;
    owl_label_cross(&scene->board, perch.left, perch.top, perch.left, perch.bottom);
    owl_label_cross(&scene->board, perch.right, perch.top, perch.right, perch.bottom);
}

/* Text would rather stand in the air. */
static void take_earth(struct owl_stage_scene *scene)
{
    struct owl_label_stroke camera = owl_side_tape(scene, owl_side_device(scene, OWL_DEVICE_CAMERA).along_m);
    struct owl_label_stroke wall = owl_side_tape(scene, owl_side_of(scene, &scene->backdrop).along_m);
    double y = owl_stage_y(scene, 0.0);
    cross_stroke(scene, &camera);
    if (scene->backdrop_shown)
        cross_stroke(scene, &wall);
    owl_label_cross(&scene->board, 0.0, y, OWL_STAGE_WIDTH, y);
    owl_label_cross(&scene->board, 0.0, y + 2.0 * TAPE_DEPTH, OWL_STAGE_WIDTH, y + 2.0 * TAPE_DEPTH);
}

static void take_things(struct owl_stage_scene *scene)
{
    const struct owl_plan *plan = scene->plan;
    struct owl_side_fan fan = owl_side_sensor_fan(scene);
    struct owl_side_point wall = owl_side_of(scene, &scene->backdrop), sensor = owl_side_device(scene, OWL_DEVICE_SENSOR),
                          camera = owl_side_device(scene, OWL_DEVICE_CAMERA);
    double y = owl_stage_y(scene, 0.0);
    take_animal(scene);
    for (int device = 0; device < OWL_DEVICE_FLASH + plan->flashes; device++) {
        struct owl_label_stroke upright = owl_side_upright(scene, device);
        take_glyph(scene, owl_stage_place(plan, device));
        cross_stroke(scene, &upright);
    }
    take_earth(scene);
    if (plan->sensor.kind != OWL_SENSOR_BEAM)
        cross_fan(scene, &fan);
    for (int i = 0; i < plan->flashes; i++) {
        fan = owl_side_flash_beam(scene, &plan->flash[i]);
        cross_fan(scene, &fan);
    }
    if (owl_side_beam_shown(scene)) {
        struct owl_side_point end = owl_side_of(scene, &plan->sensor.aim);
        take_glyph(scene, &plan->sensor.aim);
        cross(scene, &sensor, &end);
    }
    for (double side = -1.0; side <= 1.0 && scene->viewed; side += 2.0) {
        struct owl_side_point edge = owl_side_in_view(scene, scene->reach_m, side);
        cross(scene, &camera, &edge);
    }
    if (scene->backdrop_shown)
        owl_label_cross(&scene->board, owl_stage_x(scene, wall.along_m), 0.0, owl_stage_x(scene, wall.along_m), y);
}

/* ---- the steps ---- */

void owl_side_lay_out(struct owl_stage_scene *scene, const struct owl_plan *plan, const struct owl_evaluation *evaluation)
{
    owl_stage_begin(scene, plan, evaluation, "owl-side");
    scene->note = "heights from the ground";
    struct window window = window_of(scene);
    set_scale(scene, &window);
    take_things(scene);
    owl_side_label(scene);
    owl_stage_end(scene);
}
