/* Window and scale of the stage drawing, and what its labels say and where they stand. */
#include "core/draw/stage_scene.h"

#include <math.h>

#define NINE_IN_TEN 1.6448536 /* deviations of a bell curve on either side of nine tenths of it */
#define SIDE_MARGIN 44.0
#define END_MARGIN 40.0
#define MOST_HEIGHT 660.0
#define LEAST_HEIGHT 250.0
#define GLYPH_REACH 12.0    /* half the square kept free around a device */
#define LABEL_GAP 13.0
#define SHORTEST_MEASURE 40.0
#define FAR_FOR_BACKDROP 1.3 /* of the size of everything else */
#define FAR_FOR_BODY 2.0

double owl_stage_x(const struct owl_stage_scene *scene, double x_m)
{
    return (x_m - scene->left_m) * scene->scale;
}

double owl_stage_y(const struct owl_stage_scene *scene, double y_m)
{
    return (scene->top_m - y_m) * scene->scale;
}

const struct owl_point *owl_stage_place(const struct owl_plan *plan, int device)
{
    return device == OWL_DEVICE_CAMERA   ? &plan->camera.place
           : device == OWL_DEVICE_SENSOR ? &plan->sensor.place
                                         : &plan->flash[device - OWL_DEVICE_FLASH].place;
}

const struct owl_point *owl_stage_aim(const struct owl_plan *plan, int device)
{
    return device == OWL_DEVICE_CAMERA   ? &plan->camera.aim
           : device == OWL_DEVICE_SENSOR ? &plan->sensor.aim
                                         : &plan->flash[device - OWL_DEVICE_FLASH].aim;
}

/* ---- the window ---- */

struct window {
    double left_m, right_m, bottom_m, top_m;
};

static void include(struct window *window, double x_m, double y_m)
{
    window->left_m = fmin(window->left_m, x_m);
    window->right_m = fmax(window->right_m, x_m);
    window->bottom_m = fmin(window->bottom_m, y_m);
    window->top_m = fmax(window->top_m, y_m);
}

static double size_of(const struct window *window)
{
    return fmax(window->right_m - window->left_m, window->top_m - window->bottom_m);
}

static void include_body(struct window *window, const struct owl_plan *plan, const struct owl_point *middle)
{
    double half_m = fmax(plan->subject.length_m, plan->subject.width_m) * 0.75;
    include(window, middle->x_m - half_m, middle->y_m - half_m);
    include(window, middle->x_m + half_m, middle->y_m + half_m);
}

/* The backdrop stands behind the mark on the line from the camera through the animal. */
static void find_backdrop(struct owl_stage_scene *scene)
{
    const struct owl_plan *plan = scene->plan;
    struct owl_point middle = owl_stage_middle(plan), sight = owl_point_between(&plan->camera.place, &middle);
    double ground_m = hypot(sight.x_m, sight.y_m);
    double behind_m = plan->stage.backdrop_distance_m * ground_m / owl_point_length_m(&sight);
    scene->ahead_x = ground_m > 0.0 ? sight.x_m / ground_m : 0.0;
    scene->ahead_y = ground_m > 0.0 ? sight.y_m / ground_m : 1.0;
    scene->backdrop = (struct owl_point){scene->ahead_x * behind_m, scene->ahead_y * behind_m, 0.0};
}

void owl_stage_add_body(struct owl_stage_scene *scene, const struct owl_stage_body *body)
{
    if (scene->bodies < OWL_STAGE_BODIES)
        scene->body[scene->bodies++] = *body;
}

static bool near_enough(const struct owl_point *point, double others_m)
{
    return hypot(point->x_m, point->y_m) < FAR_FOR_BODY * others_m;
}

static struct window window_of(struct owl_stage_scene *scene, const struct owl_point *also)
{
    static const struct owl_point mark = {0.0, 0.0, 0.0};
    const struct owl_plan *plan = scene->plan;
    struct window window = {0};
    include_body(&window, plan, &mark);
    for (int device = 0; device < OWL_DEVICE_FLASH + plan->flashes; device++)
        include(&window, owl_stage_place(plan, device)->x_m, owl_stage_place(plan, device)->y_m);
    if (plan->sensor.kind == OWL_SENSOR_BEAM)
        include(&window, plan->sensor.aim.x_m, plan->sensor.aim.y_m);
    double others_m = size_of(&window);
    for (int i = 0; i < scene->bodies; i++)
        if (!scene->body[i].loose && near_enough(&scene->body[i].middle, others_m))
            include_body(&window, plan, &scene->body[i].middle);
    if (also && near_enough(also, others_m))
        include(&window, also->x_m, also->y_m);
    scene->backdrop_shown = hypot(scene->backdrop.x_m, scene->backdrop.y_m) <= FAR_FOR_BACKDROP * others_m;
    if (scene->backdrop_shown)
        include(&window, scene->backdrop.x_m, scene->backdrop.y_m);
    return window;
}

static void set_scale(struct owl_stage_scene *scene, const struct window *window)
{
    double width_m = window->right_m - window->left_m, depth_m = window->top_m - window->bottom_m;
    scene->scale = fmin((OWL_STAGE_WIDTH - 2.0 * SIDE_MARGIN) / width_m, (MOST_HEIGHT - 2.0 * END_MARGIN) / depth_m);
    double height = fmax(LEAST_HEIGHT, depth_m * scene->scale + 2.0 * END_MARGIN);
    scene->left_m = (window->left_m + window->right_m) / 2.0 - OWL_STAGE_WIDTH / 2.0 / scene->scale;
    scene->top_m = (window->top_m + window->bottom_m) / 2.0 + height / 2.0 / scene->scale;
    scene->reach_m = 3.0 * (OWL_STAGE_WIDTH + height) / scene->scale;
    scene->ground_height = height;
    scene->board = (struct owl_label_board){.width = OWL_STAGE_WIDTH, .height = height, .font = OWL_STAGE_FONT};
}

/* ---- the labels ---- */

struct owl_label *owl_stage_label(struct owl_stage_scene *scene, double x_m, double y_m, const char *words)
{
    struct owl_label *label = &scene->label[scene->labels < OWL_STAGE_LABELS ? scene->labels++ : OWL_STAGE_LABELS - 1];
    *label = (struct owl_label){.at_x = owl_stage_x(scene, x_m), .at_y = owl_stage_y(scene, y_m), .gap = LABEL_GAP};
    struct owl_text text = owl_text_over(label->line[0], OWL_LABEL_BYTES);
    owl_text_words(&text, words);
    return label;
}

struct owl_text owl_stage_label_line(struct owl_label *label)
{
    return owl_text_over(label->line[owl_label_lines(label)], OWL_LABEL_BYTES);
}

static double ground_m(const struct owl_plan *plan, int device)
{
    const struct owl_point *place = owl_stage_place(plan, device);
    return hypot(place->x_m, place->y_m);
}

void owl_stage_show_tape(struct owl_text *text, double length_m)
{
    owl_unit_show(OWL_UNIT_LENGTH, floor(fabs(length_m) * 100.0 + 0.5) / 100.0, text);
}

double owl_stage_sensor_reach_m(const struct owl_stage_scene *scene)
{
    double reach_m = owl_outcome_value(&scene->evaluation->outcome, OWL_RESULT_SENSOR_RANGE, 0);
    return fmin(isnan(reach_m) ? scene->plan->sensor.range_m : reach_m, scene->reach_m);
}

struct owl_stage_spread owl_stage_spread_of(const struct owl_stage_scene *scene)
{
    const struct owl_outcome *outcome = &scene->evaluation->outcome;
    double offset_m = owl_outcome_value(outcome, OWL_RESULT_OFFSET, 0);
    double travel_m = owl_outcome_value(outcome, OWL_RESULT_RELEASE_TRAVEL, 0);
    double factor = exp(NINE_IN_TEN * scene->plan->subject.speed_spread);
    return (struct owl_stage_spread){offset_m + travel_m * (1.0 / factor - 1.0), offset_m + travel_m * (factor - 1.0)};
}

void owl_stage_show_past(struct owl_text *text, double past_m)
{
    owl_stage_show_tape(text, past_m);
    owl_text_words(text, past_m < 0.0 ? " before the mark" : " past the mark");
}

void owl_stage_hold_label(const struct owl_stage_scene *scene, struct owl_label *label)
{
    label->at_x = fmin(fmax(label->at_x, 0.0), scene->board.width);
    label->at_y = fmin(fmax(label->at_y, 0.0), scene->board.height);
}

/* A distance on its measuring line; false when the line is too short or too crowded for it. */
static bool label_measure(struct owl_stage_scene *scene, int device)
{
    const struct owl_point *place = owl_stage_place(scene->plan, device);
    double distance_m = ground_m(scene->plan, device);
    struct owl_label_stroke line = {owl_stage_x(scene, 0.0), owl_stage_y(scene, 0.0), owl_stage_x(scene, place->x_m),
                                    owl_stage_y(scene, place->y_m)};
    if (distance_m * scene->scale < SHORTEST_MEASURE)
        return false;
    struct owl_label *label = owl_stage_label(scene, 0.0, 0.0, "");
    struct owl_text text = owl_stage_label_line(label);
    owl_stage_show_tape(&text, distance_m);
    if (owl_label_on_line(&scene->board, label, &line))
        return true;
    scene->labels--;
    return false;
}

static void label_device(struct owl_stage_scene *scene, int device, bool measured)
{
    const struct owl_plan *plan = scene->plan;
    const struct owl_point *place = owl_stage_place(plan, device);
    struct owl_label *label = owl_stage_label(scene, place->x_m, place->y_m, owl_device_name(plan, device));
    if (scene->quiet) {
        owl_label_near(&scene->board, label);
        return;
    }
    struct owl_text text = owl_stage_label_line(label);
    if (device >= OWL_DEVICE_FLASH) {
        owl_unit_show(OWL_UNIT_POWER, plan->flash[device - OWL_DEVICE_FLASH].power, &text);
        owl_text_words(&text, " power");
        text = owl_stage_label_line(label);
    }
    if (!measured) {
        owl_stage_show_tape(&text, ground_m(plan, device));
        owl_text_words(&text, " away, ");
    }
    owl_stage_show_tape(&text, place->z_m);
    owl_text_words(&text, place->z_m < 0.0 ? " down" : " up");
    owl_label_near(&scene->board, label);
}

struct owl_point owl_stage_in_view(const struct owl_stage_scene *scene, double depth_m, double side)
{
    const struct owl_view *view = &scene->view;
    double slope = side * view->width_m / 2.0 / view->image_m;
    return (struct owl_point){view->place.x_m + depth_m * (view->forward.x_m + slope * view->right.x_m),
                              view->place.y_m + depth_m * (view->forward.y_m + slope * view->right.y_m), 0.0};
}

bool owl_stage_on_sheet(const struct owl_stage_scene *scene, const struct owl_point *point)
{
    double x = owl_stage_x(scene, point->x_m), y = owl_stage_y(scene, point->y_m);
    return x > 0.0 && x < scene->board.width && y > 0.0 && y < scene->board.height;
}

/* At the first corner of the sharp zone that lies on the sheet. */
static void label_sharp(struct owl_stage_scene *scene)
{
    const struct owl_outcome *outcome = &scene->evaluation->outcome;
    double near_m = owl_outcome_value(outcome, OWL_RESULT_NEAR, 0), far_m = owl_outcome_value(outcome, OWL_RESULT_FAR, 0);
    struct owl_point at = {0};
    if (isnan(near_m) || !scene->viewed)
        return;
    double depth_m[] = {fmin(far_m, near_m + scene->reach_m), near_m};
    bool found = false;
    for (int i = 0; i < 4 && !found; i++) {
        at = owl_stage_in_view(scene, depth_m[i / 2], i % 2 ? -1.0 : 1.0);
        found = owl_stage_on_sheet(scene, &at);
    }
    if (!found)
        at = (struct owl_point){0};
    struct owl_label *label = owl_stage_label(scene, at.x_m, at.y_m, "sharp from ");
    label->gap = LABEL_GAP / 2.0;
    struct owl_text text = {label->line[0], OWL_LABEL_BYTES, sizeof "sharp from " - 1, false};
    owl_unit_show(OWL_UNIT_LENGTH, near_m, &text);
    text = owl_stage_label_line(label);
    if (isinf(far_m)) {
        owl_text_words(&text, "to the horizon");
    } else {
        owl_text_words(&text, "to ");
        owl_unit_show(OWL_UNIT_LENGTH, far_m, &text);
    }
    owl_label_near(&scene->board, label);
}

/* Narrows [*from, *to] to where start + t * change lies in 0..most. */
static void narrow(double start, double change, double most, double *from, double *to)
{
    if (fabs(change) < 1e-9)
        return;
    double one = -start / change, other = (most - start) / change;
    *from = fmax(*from, fmin(one, other));
    *to = fmin(*to, fmax(one, other));
}

struct owl_label_stroke owl_stage_visible(const struct owl_stage_scene *scene, const struct owl_point *from,
                                          double x, double y)
{
    double start_x = owl_stage_x(scene, from->x_m), start_y = owl_stage_y(scene, from->y_m);
    double least = -scene->reach_m * scene->scale, most = -least;
    narrow(start_x, x, OWL_STAGE_WIDTH, &least, &most);
    narrow(start_y, -y, scene->ground_height, &least, &most);
    return (struct owl_label_stroke){start_x + least * x, start_y - least * y, start_x + most * x, start_y - most * y};
}

static void label_path(struct owl_stage_scene *scene)
{
    static const struct owl_point mark = {0.0, 0.0, 0.0};
    double angle = scene->plan->stage.path_angle_rad;
    struct owl_label_stroke path = owl_stage_visible(scene, &mark, cos(angle), sin(angle));
    struct owl_label *label = owl_stage_label(scene, 0.0, 0.0, "path, strays");
    label->at_x = path.x1 + 0.12 * (path.x2 - path.x1);
    label->at_y = path.y1 + 0.12 * (path.y2 - path.y1);
    label->gap = 4.0;
    struct owl_text text = owl_stage_label_line(label);
    owl_unit_show(OWL_UNIT_LENGTH, scene->plan->stage.path_scatter_m, &text);
    owl_text_words(&text, " each way");
    owl_label_near(&scene->board, label);
}

static void label_backdrop(struct owl_stage_scene *scene)
{
    struct owl_label *label = owl_stage_label(scene, scene->backdrop.x_m, scene->backdrop.y_m, "backdrop");
    if (!scene->backdrop_shown) {
        static const struct owl_point mark = {0.0, 0.0, 0.0};
        struct owl_label_stroke ahead = owl_stage_visible(scene, &mark, scene->ahead_x, scene->ahead_y);
        label->at_x = ahead.x2;
        label->at_y = ahead.y2;
    }
    label->gap = 5.0;
    struct owl_text text = owl_stage_label_line(label);
    owl_unit_show(OWL_UNIT_LENGTH, scene->plan->stage.backdrop_distance_m, &text);
    owl_text_words(&text, " from the mark");
    owl_label_near(&scene->board, label);
}

static void take_glyphs(struct owl_stage_scene *scene)
{
    const struct owl_plan *plan = scene->plan;
    double mark_x = owl_stage_x(scene, 0.0), mark_y = owl_stage_y(scene, 0.0);
    owl_label_take(&scene->board, mark_x - GLYPH_REACH, mark_y - GLYPH_REACH, mark_x + GLYPH_REACH, mark_y + GLYPH_REACH);
    for (int device = 0; device < OWL_DEVICE_FLASH + plan->flashes; device++) {
        const struct owl_point *place = owl_stage_place(plan, device);
        double x = owl_stage_x(scene, place->x_m), y = owl_stage_y(scene, place->y_m);
        owl_label_take(&scene->board, x - GLYPH_REACH, y - GLYPH_REACH, x + GLYPH_REACH, y + GLYPH_REACH);
        if (!scene->quiet)
            owl_label_cross(&scene->board, mark_x, mark_y, x, y);
    }
}

static void take_lines(struct owl_stage_scene *scene)
{
    static const struct owl_point mark = {0.0, 0.0, 0.0};
    double angle = scene->plan->stage.path_angle_rad;
    struct owl_label_stroke path = owl_stage_visible(scene, &mark, cos(angle), sin(angle));
    owl_label_cross(&scene->board, path.x1, path.y1, path.x2, path.y2);
    if (scene->backdrop_shown) {
        struct owl_label_stroke wall = owl_stage_visible(scene, &scene->backdrop, scene->ahead_y, -scene->ahead_x);
        owl_label_cross(&scene->board, wall.x1, wall.y1, wall.x2, wall.y2);
    }
    if (scene->plan->sensor.kind == OWL_SENSOR_BEAM) {
        const struct owl_point *one = &scene->plan->sensor.place, *other = &scene->plan->sensor.aim;
        owl_label_cross(&scene->board, owl_stage_x(scene, one->x_m), owl_stage_y(scene, one->y_m),
                        owl_stage_x(scene, other->x_m), owl_stage_y(scene, other->y_m));
    }
}

void owl_stage_label_devices(struct owl_stage_scene *scene)
{
    bool measured[OWL_DEVICES];
    int devices = OWL_DEVICE_FLASH + scene->plan->flashes;
    for (int device = 0; device < devices; device++)
        measured[device] = !scene->quiet && label_measure(scene, device);
    for (int device = 0; device < devices; device++)
        label_device(scene, device, measured[device]);
    if (scene->plan->sensor.kind == OWL_SENSOR_BEAM)
        owl_label_near(&scene->board, owl_stage_label(scene, scene->plan->sensor.aim.x_m, scene->plan->sensor.aim.y_m, "other end of beam"));
    owl_label_near(&scene->board, owl_stage_label(scene, 0.0, 0.0, "mark"));
}

void owl_stage_label_ground(struct owl_stage_scene *scene)
{
    if (!scene->quiet)
        label_sharp(scene);
    label_backdrop(scene);
    label_path(scene);
}

/* ---- the steps ---- */

void owl_stage_begin(struct owl_stage_scene *scene, const struct owl_plan *plan, const struct owl_evaluation *evaluation,
                     const char *name)
{
    *scene = (struct owl_stage_scene){.plan = plan, .evaluation = evaluation, .name = name, .note = "measured on the ground"};
    scene->viewed = owl_view_of(plan, &scene->view) == OWL_OK;
    find_backdrop(scene);
}

void owl_stage_fit(struct owl_stage_scene *scene, const struct owl_point *also)
{
    struct window window = window_of(scene, also);
    set_scale(scene, &window);
    take_glyphs(scene);
    take_lines(scene);
}

void owl_stage_end(struct owl_stage_scene *scene)
{
    scene->ground_height = scene->board.height;
}
