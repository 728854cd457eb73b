/* The side view's shapes as SVG. */
#include "core/draw/side.h"

#include <math.h>

#include "core/draw/side_scene.h"

#define THINNEST_BODY 5.0
#define BELLY 0.3           /* of its height: where legs end and the body begins */
#define LEG 0.27            /* of its length along the section */
#define ROUND 0.9           /* of its shoulder height: the most that its rounded back takes from one end to the other */
#define HEAD 0.18           /* of its height: half its head */
#define RIM_STEPS 12
#define TICK 4.0
#define MIDDLE_GAP 3.0      /* from its body to the ticks at its middle */

static void side_point(const struct owl_stage_scene *scene, struct owl_text *svg, const struct owl_side_point *point)
{
    owl_stage_pair(svg, owl_stage_x(scene, point->along_m), owl_stage_y(scene, point->up_m));
}

static void line_to(const struct owl_stage_scene *scene, struct owl_text *svg, const struct owl_side_point *point)
{
    owl_text_char(svg, 'L');
    side_point(scene, svg, point);
}

static void draw_rectangle(struct owl_text *svg, const char *class, const struct owl_label_box *box, double round)
{
    owl_text_words(svg, "<rect class=\"");
    owl_text_words(svg, class);
    owl_text_char(svg, '"');
    owl_stage_attribute(svg, "x", box->left);
    owl_stage_attribute(svg, "y", box->top);
    owl_stage_attribute(svg, "width", box->right - box->left);
    owl_stage_attribute(svg, "height", box->bottom - box->top);
    if (round > 0.0)
        owl_stage_attribute(svg, "rx", round);
    owl_text_words(svg, "/>");
}

/* ---- sight and light ---- */

static void draw_depth(const struct owl_stage_scene *scene, struct owl_text *svg, const char *class, double near_m, double far_m)
{
    struct owl_side_point corner[] = {owl_side_in_view(scene, near_m, -1.0), owl_side_in_view(scene, near_m, 1.0),
                                      owl_side_in_view(scene, far_m, 1.0), owl_side_in_view(scene, far_m, -1.0)};
    owl_stage_open(svg, class);
    side_point(scene, svg, &corner[0]);
    for (int i = near_m > 0.0 ? 1 : 2; i < 4; i++)
        line_to(scene, svg, &corner[i]);
    owl_text_char(svg, 'Z');
    owl_stage_close(svg);
}

static void draw_frame(const struct owl_stage_scene *scene, struct owl_text *svg)
{
    const struct owl_outcome *outcome = &scene->evaluation->outcome;
    double near_m = owl_outcome_value(outcome, OWL_RESULT_NEAR, 0), far_m = owl_outcome_value(outcome, OWL_RESULT_FAR, 0);
    if (!scene->viewed)
        return;
    draw_depth(scene, svg, "frame", 0.0, scene->reach_m);
    if (!isnan(near_m))
        draw_depth(scene, svg, "sharp", near_m, fmin(far_m, near_m + scene->reach_m));
}

static void draw_fan(const struct owl_stage_scene *scene, struct owl_text *svg, const char *class, const struct owl_side_fan *fan)
{
    struct owl_side_point place = owl_side_of(scene, fan->place);
    owl_stage_open(svg, class);
    side_point(scene, svg, &place);
    for (int i = 0; i <= RIM_STEPS; i++) {
        struct owl_side_point rim = owl_side_on_rim(scene, fan, 2.0 * i / RIM_STEPS - 1.0);
        line_to(scene, svg, &rim);
    }
    owl_text_char(svg, 'Z');
    owl_stage_close(svg);
}

/* Its light, and the two edges where it is one stop down. */
static void draw_flash_beam(const struct owl_stage_scene *scene, struct owl_text *svg, const struct owl_plan_flash *flash)
{
    struct owl_side_fan beam = owl_side_flash_beam(scene, flash);
    struct owl_side_point place = owl_side_of(scene, &flash->place), low = owl_side_on_rim(scene, &beam, -1.0),
                          high = owl_side_on_rim(scene, &beam, 1.0);
    owl_text_words(svg, owl_side_far_aside(scene, &flash->place) ? "<g opacity=\".5\">" : "<g>");
    draw_fan(scene, svg, "flash", &beam);
    owl_stage_open(svg, "edge");
    side_point(scene, svg, &low);
    line_to(scene, svg, &place);
    line_to(scene, svg, &high);
    owl_stage_close(svg);
    owl_text_words(svg, "</g>");
}

static void draw_sensor_sight(const struct owl_stage_scene *scene, struct owl_text *svg)
{
    const struct owl_plan_sensor *sensor = &scene->plan->sensor;
    if (sensor->kind != OWL_SENSOR_BEAM) {
        struct owl_side_fan fan = owl_side_sensor_fan(scene);
        draw_fan(scene, svg, "sensor", &fan);
        return;
    }
    struct owl_side_point from = owl_side_of(scene, &sensor->place), to = owl_side_of(scene, &sensor->aim);
    owl_stage_open(svg, "sensor");
    side_point(scene, svg, &from);
    line_to(scene, svg, &to);
    owl_stage_close(svg);
}

/* ---- what stands there ---- */

static void draw_ground(const struct owl_stage_scene *scene, struct owl_text *svg)
{
    double y = owl_stage_y(scene, 0.0);
    struct owl_label_box earth = {0.0, y, OWL_STAGE_WIDTH, scene->ground_height + 1.0}; /* no seam where the clip ends */
    struct owl_label_stroke line = {0.0, y, OWL_STAGE_WIDTH, y};
    draw_rectangle(svg, "paper", &earth, 0.0);
    draw_rectangle(svg, "stray", &earth, 0.0);
    owl_stage_stroke(svg, "path", &line);
}

static void draw_backdrop(const struct owl_stage_scene *scene, struct owl_text *svg)
{
    double x = owl_stage_x(scene, owl_side_of(scene, &scene->backdrop).along_m);
    struct owl_label_stroke wall = {x, 0.0, x, owl_stage_y(scene, 0.0)};
    if (scene->backdrop_shown)
        owl_stage_stroke(svg, "backdrop", &wall);
}

static void draw_perch(const struct owl_stage_scene *scene, struct owl_text *svg)
{
    struct owl_label_box perch = owl_side_perch(scene);
    if (scene->plan->stage.mark_height_m <= 0.0)
        return;
    draw_rectangle(svg, "paper", &perch, 0.0);
    draw_rectangle(svg, "stray", &perch, 0.0);
    owl_stage_open(svg, "path");
    owl_stage_pair(svg, perch.left, perch.bottom);
    owl_text_char(svg, 'L');
    owl_stage_pair(svg, perch.left, perch.top);
    owl_text_char(svg, 'L');
    owl_stage_pair(svg, perch.right, perch.top);
    owl_text_char(svg, 'L');
    owl_stage_pair(svg, perch.right, perch.bottom);
    owl_stage_close(svg);
}

/* Letters of a path: one way by so much, a quarter of a circle turning right. */
static void move_by(struct owl_text *svg, char way, double length)
{
    owl_text_char(svg, way);
    owl_text_fixed(svg, length, 1);
}

static void turn_by(struct owl_text *svg, double x, double y)
{
    owl_text_char(svg, 'a');
    owl_stage_pair(svg, fabs(x), fabs(y));
    owl_text_words(svg, " 0 0 1 ");
    owl_stage_pair(svg, x, y);
}

/* A rounded back as high as its shoulder, over two legs. */
static void draw_trunk(struct owl_text *svg, double across, double tall)
{
    double round = fmin(across, ROUND * tall) / 2.0;
    move_by(svg, 'v', round - tall);
    turn_by(svg, round, -round);
    move_by(svg, 'h', across - 2.0 * round);
    turn_by(svg, round, round);
    move_by(svg, 'v', tall - round);
    move_by(svg, 'h', -LEG * across);
    move_by(svg, 'v', -BELLY * tall);
    move_by(svg, 'h', (2.0 * LEG - 1.0) * across);
    move_by(svg, 'v', BELLY * tall);
    owl_text_char(svg, 'Z');
}

/* A round head that reaches its height, at the end it walks with. */
static void draw_head(const struct owl_stage_scene *scene, struct owl_text *svg, double radius)
{
    const struct owl_plan *plan = scene->plan;
    struct owl_path path = owl_stage_path(plan);
    double sense = plan->stage.travel == OWL_TRAVEL_LEFT ? -1.0 : 1.0;
    double ahead = sense * (path.cosine * scene->ahead_x + path.sine * scene->ahead_y);
    double reach = fmax(plan->subject.length_m * scene->scale / 2.0 - radius, 0.0);
    double top_m = plan->stage.mark_height_m + plan->subject.height_m;
    owl_text_char(svg, 'M');
    owl_stage_pair(svg, owl_stage_x(scene, 0.0) + ahead * reach, owl_stage_y(scene, top_m));
    turn_by(svg, radius, radius);
    turn_by(svg, -radius, radius);
    turn_by(svg, -radius, -radius);
    turn_by(svg, radius, -radius);
    owl_text_char(svg, 'Z');
}

/* As tall and as long as it is in the section. */
static void draw_animal(const struct owl_stage_scene *scene, struct owl_text *svg)
{
    const struct owl_plan_body *body = &scene->plan->subject;
    double across = fmax(owl_side_across_m(scene) * scene->scale, THINNEST_BODY);
    double tall = fmax(fmin(body->shoulder_m, body->height_m) * scene->scale, THINNEST_BODY);
    double head = fmax(HEAD * body->height_m, (body->height_m - body->shoulder_m) / 2.0) * scene->scale;
    owl_stage_open(svg, "body");
    owl_stage_pair(svg, owl_stage_x(scene, 0.0) - across / 2.0, owl_stage_y(scene, scene->plan->stage.mark_height_m));
    draw_trunk(svg, across, tall);
    if (tall > THINNEST_BODY)
        draw_head(scene, svg, fmin(head, across / 2.0));
    owl_stage_close(svg);
}

/* ---- measures and devices ---- */

static void draw_tape(const struct owl_stage_scene *scene, struct owl_text *svg, double along_m)
{
    struct owl_label_stroke tape = owl_side_tape(scene, along_m);
    owl_stage_stroke(svg, "measure", &tape);
    for (int end = 0; end < 2; end++) {
        double x = end ? tape.x2 : tape.x1;
        struct owl_label_stroke tick = {x, tape.y1 - TICK, x, tape.y1 + TICK};
        owl_stage_stroke(svg, "leader", &tick);
    }
}

static void draw_measures(const struct owl_stage_scene *scene, struct owl_text *svg)
{
    double x = owl_stage_x(scene, 0.0), y = owl_stage_y(scene, owl_stage_middle(scene->plan).z_m);
    double half = owl_side_across_m(scene) * scene->scale / 2.0;
    struct owl_label_stroke upright = {x, owl_stage_y(scene, 0.0), x, y};
    owl_stage_stroke(svg, "measure", &upright);
    for (int side = -1; side <= 1; side += 2) {
        struct owl_label_stroke tick = {x + side * (half + MIDDLE_GAP), y, x + side * (half + MIDDLE_GAP + TICK), y};
        owl_stage_stroke(svg, "line", &tick);
    }
    for (int device = 0; device < OWL_DEVICE_FLASH + scene->plan->flashes; device++) {
        upright = owl_side_upright(scene, device);
        owl_stage_stroke(svg, "measure", &upright);
    }
    draw_tape(scene, svg, owl_side_of(scene, &scene->plan->camera.place).along_m);
    if (scene->backdrop_shown)
        draw_tape(scene, svg, owl_side_of(scene, &scene->backdrop).along_m);
}

/* How steeply one place lies above another, seen from the side. */
static double steepness(const struct owl_side_point *from, const struct owl_side_point *to)
{
    return atan2(to->up_m - from->up_m, to->along_m - from->along_m);
}

static void draw_devices(const struct owl_stage_scene *scene, struct owl_text *svg)
{
    const struct owl_plan *plan = scene->plan;
    for (int device = OWL_DEVICE_FLASH + plan->flashes - 1; device >= 0; device--) {
        struct owl_side_point at = owl_side_device(scene, device), aim = owl_side_of(scene, owl_stage_aim(plan, device));
        owl_stage_draw_glyph(scene, svg, device, owl_stage_x(scene, at.along_m), owl_stage_y(scene, at.up_m),
                             steepness(&at, &aim));
    }
    if (owl_side_beam_shown(scene)) {
        struct owl_side_point end = owl_side_of(scene, &plan->sensor.aim), sensor = owl_side_of(scene, &plan->sensor.place);
        owl_stage_draw_beam_end(svg, owl_stage_x(scene, end.along_m), owl_stage_y(scene, end.up_m), steepness(&end, &sensor));
    }
}

/* ---- the drawing ---- */

/* Earth hides what would shine into it, but not devices that stand lower than the mark. */
static void draw_section(const struct owl_stage_scene *scene, struct owl_text *svg)
{
    bool earth_first = owl_side_sunken(scene->plan);
    owl_text_words(svg, "<g clip-path=\"url(#owl-side-ground)\">");
    if (earth_first)
        draw_ground(scene, svg);
    draw_frame(scene, svg);
    for (int i = 0; i < scene->plan->flashes; i++)
        draw_flash_beam(scene, svg, &scene->plan->flash[i]);
    draw_sensor_sight(scene, svg);
    draw_backdrop(scene, svg);
    if (!earth_first)
        draw_ground(scene, svg);
    draw_perch(scene, svg);
    draw_animal(scene, svg);
    owl_stage_close_ground(svg);
}

void owl_draw_side(const struct owl_plan *plan, const struct owl_evaluation *evaluation, struct owl_text *svg)
{
    struct owl_stage_scene scene;
    owl_side_lay_out(&scene, plan, evaluation);
    owl_stage_open_head(&scene, "The stage from the side", svg);
    owl_side_describe(&scene, svg);
    owl_stage_close_head(&scene, svg);
    draw_section(&scene, svg);
    draw_measures(&scene, svg);
    draw_devices(&scene, svg);
    owl_stage_labels(&scene, svg);
    owl_stage_strip(&scene, svg);
    owl_text_words(svg, "</svg>\n");
}
