/* The stage's shapes as SVG: what lies on the ground, then the devices on it; and the drawing of the plan's stage. */
#include "core/draw/stage.h"

#include <math.h>

#include "core/constants.h"
#include "core/draw/stage_scene.h"

#define ARROW_INSET 14.0
#define THINNEST_BODY 5.0
#define SPREAD_END 6.0 /* half the strokes that end its bar */
#define MOST_TURN (0.999 * OWL_TAU)
#define BEAM_PAST_AIM 1.12

/* ---- numbers and plain shapes ---- */

static void point_at(const struct owl_stage_scene *scene, struct owl_text *svg, double x_m, double y_m)
{
    owl_stage_pair(svg, owl_stage_x(scene, x_m), owl_stage_y(scene, y_m));
}

static void open_turned(struct owl_text *svg, double x, double y, double angle_rad)
{
    owl_text_words(svg, "<g transform=\"translate(");
    owl_stage_pair(svg, x, y);
    owl_text_words(svg, ") rotate(");
    owl_text_fixed(svg, -angle_rad * OWL_DEG_PER_RAD, 1);
    owl_text_words(svg, ")\">");
}

/* ---- what lies on the ground ---- */

static void draw_frame(const struct owl_stage_scene *scene, struct owl_text *svg)
{
    const struct owl_outcome *outcome = &scene->evaluation->outcome;
    double near_m = owl_outcome_value(outcome, OWL_RESULT_NEAR, 0), far_m = owl_outcome_value(outcome, OWL_RESULT_FAR, 0);
    struct owl_point left = owl_stage_in_view(scene, scene->reach_m, -1.0), right = owl_stage_in_view(scene, scene->reach_m, 1.0);
    owl_stage_open(svg, "frame");
    point_at(scene, svg, scene->view.place.x_m, scene->view.place.y_m);
    owl_text_char(svg, 'L');
    point_at(scene, svg, left.x_m, left.y_m);
    owl_text_char(svg, 'L');
    point_at(scene, svg, right.x_m, right.y_m);
    owl_text_char(svg, 'Z');
    owl_stage_close(svg);
    if (isnan(near_m))
        return;
    double depth_m[] = {near_m, near_m, fmin(far_m, near_m + scene->reach_m), fmin(far_m, near_m + scene->reach_m)};
    double side[] = {-1.0, 1.0, 1.0, -1.0};
    owl_stage_open(svg, "sharp");
    for (int i = 0; i < 4; i++) {
        struct owl_point corner = owl_stage_in_view(scene, depth_m[i], side[i]);
        if (i > 0)
            owl_text_char(svg, 'L');
        point_at(scene, svg, corner.x_m, corner.y_m);
    }
    owl_text_char(svg, 'Z');
    owl_stage_close(svg);
}

/* A slice of a disc between two plan directions. */
static void draw_slice(const struct owl_stage_scene *scene, struct owl_text *svg, const char *class,
                       const struct owl_point *from, const double bearing[2], double radius_m)
{
    double radius = radius_m * scene->scale;
    owl_stage_open(svg, class);
    point_at(scene, svg, from->x_m, from->y_m);
    owl_text_char(svg, 'L');
    point_at(scene, svg, from->x_m + radius_m * cos(bearing[0]), from->y_m + radius_m * sin(bearing[0]));
    owl_text_char(svg, 'A');
    owl_stage_pair(svg, radius, radius);
    owl_text_words(svg, bearing[1] - bearing[0] > OWL_PI ? " 0 1 0 " : " 0 0 0 ");
    point_at(scene, svg, from->x_m + radius_m * cos(bearing[1]), from->y_m + radius_m * sin(bearing[1]));
    owl_text_char(svg, 'Z');
    owl_stage_close(svg);
}

static double bearing_to(const struct owl_point *from, const struct owl_point *to)
{
    return atan2(to->y_m - from->y_m, to->x_m - from->x_m);
}

static void draw_sensor_sight(const struct owl_stage_scene *scene, struct owl_text *svg)
{
    const struct owl_plan_sensor *sensor = &scene->plan->sensor;
    if (sensor->kind == OWL_SENSOR_BEAM) {
        struct owl_label_stroke beam = {owl_stage_x(scene, sensor->place.x_m), owl_stage_y(scene, sensor->place.y_m),
                                        owl_stage_x(scene, sensor->aim.x_m), owl_stage_y(scene, sensor->aim.y_m)};
        owl_stage_stroke(svg, "sensor", &beam);
        return;
    }
    double whole = fmin(sensor->zones * sensor->zone_pitch_rad, MOST_TURN), zone = whole / sensor->zones;
    double start = bearing_to(&sensor->place, &sensor->aim) - whole / 2.0, radius_m = owl_stage_sensor_reach_m(scene);
    for (int i = 0; i < (int)sensor->zones; i++) {
        double bearing[2] = {start + i * zone, start + (i + 1) * zone};
        draw_slice(scene, svg, i % 2 ? "sensor odd" : "sensor", &sensor->place, bearing, radius_m);
    }
}

/* Its light, and the two edges where it is one stop down. */
static void draw_flash_beam(const struct owl_stage_scene *scene, struct owl_text *svg, const struct owl_plan_flash *flash)
{
    double length_m = hypot(flash->aim.x_m - flash->place.x_m, flash->aim.y_m - flash->place.y_m);
    double half = fmin(flash->coverage_rad, MOST_TURN) / 2.0, middle = bearing_to(&flash->place, &flash->aim);
    double bearing[2] = {middle - half, middle + half}, radius_m = fmin(BEAM_PAST_AIM * length_m, scene->reach_m);
    if (length_m * scene->scale < 1.0)
        return; /* straight down: seen from above it has no edges */
    draw_slice(scene, svg, "flash", &flash->place, bearing, radius_m);
    owl_stage_open(svg, "edge");
    point_at(scene, svg, flash->place.x_m + radius_m * cos(bearing[0]), flash->place.y_m + radius_m * sin(bearing[0]));
    owl_text_char(svg, 'L');
    point_at(scene, svg, flash->place.x_m, flash->place.y_m);
    owl_text_char(svg, 'L');
    point_at(scene, svg, flash->place.x_m + radius_m * cos(bearing[1]), flash->place.y_m + radius_m * sin(bearing[1]));
    owl_stage_close(svg);
}

void owl_stage_draw_arrow(struct owl_text *svg, double x, double y, double angle_rad)
{
    open_turned(svg, x, y, angle_rad);
    owl_text_words(svg, "<path class=\"arrow\" d=\"M7 0L-6 5.5L-3 0L-6-5.5Z\"/></g>");
}

static void draw_path(const struct owl_stage_scene *scene, struct owl_text *svg)
{
    static const struct owl_point mark = {0.0, 0.0, 0.0};
    const struct owl_plan_stage *stage = &scene->plan->stage;
    double angle = stage->path_angle_rad, c = cos(angle), s = sin(angle);
    struct owl_label_stroke path = owl_stage_visible(scene, &mark, c, s);
    double stray_m = fmin(stage->path_scatter_m, scene->reach_m), far_m = scene->reach_m;
    owl_stage_open(svg, "stray");
    point_at(scene, svg, -far_m * c - stray_m * s, -far_m * s + stray_m * c);
    owl_text_char(svg, 'L');
    point_at(scene, svg, far_m * c - stray_m * s, far_m * s + stray_m * c);
    owl_text_char(svg, 'L');
    point_at(scene, svg, far_m * c + stray_m * s, far_m * s - stray_m * c);
    owl_text_char(svg, 'L');
    point_at(scene, svg, -far_m * c + stray_m * s, -far_m * s - stray_m * c);
    owl_text_char(svg, 'Z');
    owl_stage_close(svg);
    owl_stage_stroke(svg, scene->quiet ? "path faint" : "path", &path);
    if (scene->quiet)
        return;
    if (stage->travel != OWL_TRAVEL_LEFT)
        owl_stage_draw_arrow(svg, path.x2 - ARROW_INSET * c, path.y2 + ARROW_INSET * s, angle);
    if (stage->travel != OWL_TRAVEL_RIGHT)
        owl_stage_draw_arrow(svg, path.x1 + ARROW_INSET * c, path.y1 - ARROW_INSET * s, angle + OWL_PI);
}

static void draw_backdrop(const struct owl_stage_scene *scene, struct owl_text *svg)
{
    if (!scene->backdrop_shown)
        return;
    struct owl_label_stroke wall = owl_stage_visible(scene, &scene->backdrop, scene->ahead_y, -scene->ahead_x);
    owl_stage_stroke(svg, "backdrop", &wall);
}

/* A rounded box and, when it walks, its nose. */
void owl_stage_draw_body(const struct owl_stage_scene *scene, struct owl_text *svg, const struct owl_stage_body *body)
{
    const struct owl_plan *plan = scene->plan;
    double length = fmax(plan->subject.length_m * scene->scale, 1.6 * THINNEST_BODY);
    double width = fmax(plan->subject.width_m * scene->scale, THINNEST_BODY);
    open_turned(svg, owl_stage_x(scene, body->middle.x_m), owl_stage_y(scene, body->middle.y_m), body->heading_rad);
    owl_text_words(svg, "<rect class=\"");
    owl_text_words(svg, body->class);
    owl_text_char(svg, '"');
    owl_stage_attribute(svg, "x", -length / 2.0);
    owl_stage_attribute(svg, "y", -width / 2.0);
    owl_stage_attribute(svg, "width", length);
    owl_stage_attribute(svg, "height", width);
    owl_stage_attribute(svg, "rx", fmin(width, length) / 2.0);
    owl_text_words(svg, "/>");
    if (body->nose) {
        owl_stage_open(svg, body->nose);
        owl_stage_pair(svg, length / 2.0 + width * 0.25, 0.0);
        owl_text_char(svg, 'L');
        owl_stage_pair(svg, length / 2.0 - width * 0.6, -width * 0.5);
        owl_text_char(svg, 'L');
        owl_stage_pair(svg, length / 2.0 - width * 0.6, width * 0.5);
        owl_text_char(svg, 'Z');
        owl_stage_close(svg);
    }
    owl_text_words(svg, "</g>");
}

void owl_stage_open_ground(const struct owl_stage_scene *scene, struct owl_text *svg)
{
    owl_text_words(svg, "<g clip-path=\"url(#");
    owl_text_words(svg, scene->name);
    owl_text_words(svg, "-ground)\">");
    if (scene->viewed)
        draw_frame(scene, svg);
    for (int i = 0; i < scene->plan->flashes; i++)
        draw_flash_beam(scene, svg, &scene->plan->flash[i]);
    draw_sensor_sight(scene, svg);
    draw_backdrop(scene, svg);
    draw_path(scene, svg);
}

void owl_stage_close_ground(struct owl_text *svg)
{
    owl_text_words(svg, "</g>");
}

/* ---- devices, measures, labels ---- */

void owl_stage_draw_glyph(const struct owl_stage_scene *scene, struct owl_text *svg, int device, double x, double y,
                          double angle_rad)
{
    static const char *const shape[] = {"M-11-8H-2V-5H4V5H-2V8H-11Z", "M-6-7H-1A7 7 0 0 1-1 7H-6Z", "M-8-5H1L5-9V9L1 5H-8Z"};
    bool key = device >= OWL_DEVICE_FLASH && device - OWL_DEVICE_FLASH == scene->evaluation->key_flash;
    open_turned(svg, x, y, angle_rad);
    owl_text_words(svg, key ? "<path class=\"device key\" d=\"" : "<path class=\"device\" d=\"");
    owl_text_words(svg, shape[device < OWL_DEVICE_FLASH ? device : OWL_DEVICE_FLASH]);
    owl_text_words(svg, "\"/></g>");
}

void owl_stage_draw_beam_end(struct owl_text *svg, double x, double y, double angle_rad)
{
    open_turned(svg, x, y, angle_rad);
    owl_text_words(svg, "<path class=\"device\" d=\"M-4-4H4V4H-4Z\"/></g>");
}

void owl_stage_draw_devices(const struct owl_stage_scene *scene, struct owl_text *svg)
{
    const struct owl_plan *plan = scene->plan;
    double x = owl_stage_x(scene, 0.0), y = owl_stage_y(scene, 0.0);
    int devices = OWL_DEVICE_FLASH + plan->flashes;
    for (int device = 0; device < devices && !scene->quiet; device++) {
        const struct owl_point *place = owl_stage_place(plan, device);
        struct owl_label_stroke line = {x, y, owl_stage_x(scene, place->x_m), owl_stage_y(scene, place->y_m)};
        owl_stage_stroke(svg, "measure", &line);
    }
    for (int device = devices - 1; device >= 0; device--) {
        const struct owl_point *place = owl_stage_place(plan, device);
        owl_stage_draw_glyph(scene, svg, device, owl_stage_x(scene, place->x_m), owl_stage_y(scene, place->y_m),
                             bearing_to(place, owl_stage_aim(plan, device)));
    }
    if (plan->sensor.kind == OWL_SENSOR_BEAM)
        owl_stage_draw_beam_end(svg, owl_stage_x(scene, plan->sensor.aim.x_m), owl_stage_y(scene, plan->sensor.aim.y_m), 0.0);
    open_turned(svg, x, y, 0.0);
    owl_text_words(svg, "<path class=\"line\" d=\"M-9 0H9M0-9V9\"/><circle class=\"line\" r=\"5\"/></g>");
}

/* ---- the plan's own stage ---- */

/* One waits on the mark, one is where the shutter finds it. */
static void add_bodies(struct owl_stage_scene *scene)
{
    double offset_m = owl_outcome_value(&scene->evaluation->outcome, OWL_RESULT_OFFSET, 0);
    int sense = scene->evaluation->worse_sense;
    struct owl_path path = owl_stage_path(scene->plan);
    owl_stage_add_body(scene, &(struct owl_stage_body){.heading_rad = path.angle_rad, .class = "waiting"});
    if (isnan(offset_m))
        return;
    owl_stage_add_body(scene, &(struct owl_stage_body){.middle = owl_path_point(scene->plan, &path, sense * offset_m),
                                                       .heading_rad = path.angle_rad + (sense < 0 ? OWL_PI : 0.0),
                                                       .class = "body",
                                                       .nose = "ink"});
}

static void label_animal(struct owl_stage_scene *scene)
{
    const struct owl_evaluation *evaluation = scene->evaluation;
    double offset_m = owl_outcome_value(&evaluation->outcome, OWL_RESULT_OFFSET, 0);
    if (isnan(offset_m)) {
        struct owl_label *mute = owl_stage_label(scene, 0.0, 0.0, "not noticed");
        owl_label_near(&scene->board, mute);
        return;
    }
    const struct owl_point *animal = &scene->body[scene->bodies - 1].middle;
    struct owl_label *label = owl_stage_label(scene, animal->x_m, animal->y_m, "at the open shutter:");
    owl_stage_hold_label(scene, label);
    struct owl_text text = owl_stage_label_line(label);
    owl_stage_show_past(&text, offset_m);
    text = owl_stage_label_line(label);
    owl_text_words(&text, evaluation->worse_sense > 0 ? "walking right" : "walking left");
    struct owl_stage_spread spread = owl_stage_spread_of(scene);
    if (spread.high_m > spread.low_m) {
        text = owl_stage_label_line(label);
        owl_text_words(&text, "9 in 10 within ");
        owl_stage_show_tape(&text, spread.high_m - spread.low_m);
    }
    owl_label_near(&scene->board, label);
}

/* A bar along the path from where slow passes are met to where fast ones are. */
static void draw_spread(const struct owl_stage_scene *scene, struct owl_text *svg)
{
    struct owl_stage_spread spread = owl_stage_spread_of(scene);
    struct owl_path path = owl_stage_path(scene->plan);
    const double past_m[2] = {spread.low_m, spread.high_m};
    if (!(spread.high_m > spread.low_m))
        return;
    owl_stage_open(svg, "spread");
    for (int i = 0; i < 2; i++) {
        struct owl_point end = owl_path_point(scene->plan, &path, scene->evaluation->worse_sense * past_m[i]);
        double x = owl_stage_x(scene, end.x_m), y = owl_stage_y(scene, end.y_m);
        if (i > 0)
            owl_text_char(svg, 'L');
        owl_stage_pair(svg, x, y);
        owl_text_char(svg, 'M');
        owl_stage_pair(svg, x - SPREAD_END * path.sine, y - SPREAD_END * path.cosine);
        owl_text_char(svg, 'L');
        owl_stage_pair(svg, x + SPREAD_END * path.sine, y + SPREAD_END * path.cosine);
        owl_text_char(svg, 'M');
        owl_stage_pair(svg, x, y);
    }
    owl_stage_close(svg);
}

static void lay_out(const struct owl_plan *plan, const struct owl_evaluation *evaluation, struct owl_stage_scene *scene)
{
    owl_stage_begin(scene, plan, evaluation, "owl-stage");
    add_bodies(scene);
    owl_stage_fit(scene, NULL);
    owl_stage_label_devices(scene);
    label_animal(scene);
    owl_stage_label_ground(scene);
    owl_stage_end(scene);
}

void owl_draw_stage(const struct owl_plan *plan, const struct owl_evaluation *evaluation, struct owl_text *svg)
{
    struct owl_stage_scene scene;
    lay_out(plan, evaluation, &scene);
    owl_stage_head(&scene, svg);
    owl_stage_open_ground(&scene, svg);
    for (int i = 0; i < scene.bodies; i++)
        owl_stage_draw_body(&scene, svg, &scene.body[i]);
    draw_spread(&scene, svg);
    owl_stage_close_ground(svg);
    owl_stage_draw_devices(&scene, svg);
    owl_stage_labels(&scene, svg);
    owl_stage_strip(&scene, svg);
    owl_text_words(svg, "</svg>\n");
}
