/* What the side view says: its labels and where they stand, and its text for screen readers. */
#include "core/draw/side_scene.h"

#include <math.h>

#define EDGE_GAP 6.0          /* to what is an edge or a corner, not a device */
#define BACKDROP_LABEL 22.0   /* below the top of the sheet */
#define SHORTEST_UPRIGHT 48.0 /* that has room for its height */
#define TAPE_SHOWN 14.0       /* of a measured distance beside its words */
#define ALMOST_IN_SECTION_M 0.005

/* ---- words ---- */

static void show_up(struct owl_text *text, double up_m)
{
    owl_stage_show_tape(text, up_m);
    owl_text_words(text, up_m < -ALMOST_IN_SECTION_M ? " down" : " up");
}

static bool is_aside(double aside_m)
{
    return fabs(aside_m) >= ALMOST_IN_SECTION_M;
}

static void show_aside(struct owl_text *text, double aside_m)
{
    owl_stage_show_tape(text, aside_m);
    owl_text_words(text, aside_m < 0.0 ? " left" : " right");
}

static void show_edge(struct owl_text *text, double up_m)
{
    if (isinf(up_m))
        owl_text_words(text, up_m > 0.0 ? "the sky" : "the ground");
    else
        show_up(text, up_m);
}

static void show_frame(const struct owl_stage_scene *scene, struct owl_text *text)
{
    double low_m = owl_side_frame_up_m(scene, -1.0), high_m = owl_side_frame_up_m(scene, 1.0);
    if (low_m < 0.0 && high_m > 0.0)
        owl_text_words(text, "the ground");
    else if (low_m >= 0.0 && isfinite(high_m))
        owl_stage_show_tape(text, low_m);
    else
        show_edge(text, low_m);
    owl_text_words(text, " to ");
    show_edge(text, high_m);
}

/* ---- labels ---- */

static bool label_upright(struct owl_stage_scene *scene, int device)
{
    struct owl_label_stroke line = owl_side_upright(scene, device);
    if (fabs(line.y2 - line.y1) < SHORTEST_UPRIGHT)
        return false;
    struct owl_label *label = owl_stage_label(scene, 0.0, 0.0, "");
    struct owl_text text = owl_stage_label_line(label);
    show_up(&text, owl_side_device(scene, device).up_m);
    if (owl_label_on_line(&scene->board, label, &line))
        return true;
    scene->labels--;
    return false;
}

static bool label_tape(struct owl_stage_scene *scene, double along_m, double length_m)
{
    struct owl_label_stroke line = owl_side_tape(scene, along_m);
    struct owl_label *label = owl_stage_label(scene, 0.0, 0.0, "");
    struct owl_text text = owl_stage_label_line(label);
    owl_stage_show_tape(&text, length_m);
    double room = line.x2 - line.x1 - TAPE_SHOWN;
    if (owl_label_width(label->line[0], OWL_STAGE_FONT) < room && owl_label_on_line(&scene->board, label, &line))
        return true;
    scene->labels--;
    return false;
}

static void label_device(struct owl_stage_scene *scene, int device, bool measured)
{
    const struct owl_plan *plan = scene->plan;
    struct owl_side_point place = owl_side_device(scene, device);
    struct owl_label *label = owl_stage_label(scene, place.along_m, place.up_m, owl_device_name(plan, device));
    struct owl_text text = owl_stage_label_line(label);
    if (device >= OWL_DEVICE_FLASH) {
        owl_unit_show(OWL_UNIT_POWER, plan->flash[device - OWL_DEVICE_FLASH].power, &text);
        owl_text_words(&text, " power");
        text = owl_stage_label_line(label);
    }
    if (is_aside(place.aside_m)) {
        show_aside(&text, place.aside_m);
        text = owl_stage_label_line(label);
    }
    if (!measured)
        show_up(&text, place.up_m);
    owl_label_near(&scene->board, label);
}

/* The animal, and what it stands on. */
static void label_animal(struct owl_stage_scene *scene, bool measured)
{
    const struct owl_plan *plan = scene->plan;
    struct owl_point middle = owl_stage_middle(plan);
    struct owl_label *label = owl_stage_label(scene, owl_side_across_m(scene) / 2.0, middle.z_m,
                                              owl_animal_at((size_t)plan->subject.kind)->name);
    struct owl_text text = owl_stage_label_line(label);
    label->gap = EDGE_GAP;
    owl_text_words(&text, "its middle ");
    show_up(&text, middle.z_m);
    text = owl_stage_label_line(label);
    if (plan->stage.mark_height_m > 0.0) {
        owl_text_words(&text, "stands ");
        show_up(&text, plan->stage.mark_height_m);
        text = owl_stage_label_line(label);
    }
    if (!measured) {
        struct owl_side_point camera = owl_side_device(scene, OWL_DEVICE_CAMERA);
        owl_stage_show_tape(&text, camera.along_m);
        owl_text_words(&text, " from the camera");
    }
    owl_label_near(&scene->board, label);
}

static void place_frame_label(const struct owl_stage_scene *scene, struct owl_label_board *board, struct owl_label *label,
                              double side)
{
    double up_m = owl_side_frame_up_m(scene, side);
    label->at_y = isinf(up_m) ? 0.0 : owl_stage_y(scene, side > 0.0 ? up_m : fmax(up_m, 0.0));
    owl_stage_hold_label(scene, label);
    owl_label_near(board, label);
}

/* At the edge, over the mark, where there is room nearer by. */
static void label_frame(struct owl_stage_scene *scene)
{
    if (!owl_side_frame_comes(scene))
        return;
    struct owl_label *label = owl_stage_label(scene, 0.0, 0.0, "frame at the mark:");
    struct owl_text text = owl_stage_label_line(label);
    label->gap = EDGE_GAP;
    show_frame(scene, &text);
    struct owl_label_board below = scene->board, above = scene->board;
    struct owl_label low = *label, high = *label;
    double x, y;
    place_frame_label(scene, &above, &high, 1.0);
    place_frame_label(scene, &below, &low, -1.0);
    bool lower = owl_label_leader(&low, &x, &y) < owl_label_leader(&high, &x, &y);
    *label = lower ? low : high;
    scene->board = lower ? below : above;
}

static bool on_sheet(const struct owl_stage_scene *scene, const struct owl_side_point *point)
{
    double x = owl_stage_x(scene, point->along_m), y = owl_stage_y(scene, point->up_m);
    return x > 0.0 && x < OWL_STAGE_WIDTH && y > 0.0 && y < scene->board.height;
}

/* At the first corner of the sharp zone that lies on the sheet. */
static void label_sharp(struct owl_stage_scene *scene)
{
    const struct owl_outcome *outcome = &scene->evaluation->outcome;
    double near_m = owl_outcome_value(outcome, OWL_RESULT_NEAR, 0), far_m = owl_outcome_value(outcome, OWL_RESULT_FAR, 0);
    if (isnan(near_m) || !scene->viewed)
        return;
    double depth_m[] = {fmin(far_m, near_m + scene->reach_m), near_m};
    struct owl_side_point at = {0};
    for (int i = 0; i < 4; i++) {
        struct owl_side_point corner = owl_side_in_view(scene, depth_m[i / 2], i % 2 ? -1.0 : 1.0);
        if (on_sheet(scene, &corner)) {
            at = corner;
            break;
        }
    }
    struct owl_label *label = owl_stage_label(scene, at.along_m, at.up_m, "");
    struct owl_text text = owl_stage_label_line(label);
    label->gap = EDGE_GAP;
    owl_text_words(&text, "sharp from ");
    owl_unit_show(OWL_UNIT_LENGTH, near_m, &text);
    text = owl_stage_label_line(label);
    owl_text_words(&text, "to ");
    if (isinf(far_m))
        owl_text_words(&text, "the horizon");
    else
        owl_unit_show(OWL_UNIT_LENGTH, far_m, &text);
    owl_label_near(&scene->board, label);
}

static void label_backdrop(struct owl_stage_scene *scene, bool measured)
{
    struct owl_side_point wall = owl_side_of(scene, &scene->backdrop);
    struct owl_label *label = owl_stage_label(scene, wall.along_m, 0.0, "backdrop");
    struct owl_text text = owl_stage_label_line(label);
    label->at_y = scene->backdrop_shown ? BACKDROP_LABEL : owl_stage_y(scene, 0.0) - BACKDROP_LABEL;
    label->gap = 5.0;
    owl_stage_hold_label(scene, label);
    if (!measured) {
        owl_unit_show(OWL_UNIT_LENGTH, scene->plan->stage.backdrop_distance_m, &text);
        owl_text_words(&text, " from the mark");
    }
    owl_label_near(&scene->board, label);
}

void owl_side_label(struct owl_stage_scene *scene)
{
    const struct owl_plan *plan = scene->plan;
    int devices = OWL_DEVICE_FLASH + plan->flashes;
    bool measured[OWL_DEVICES];
    double camera_m = owl_side_device(scene, OWL_DEVICE_CAMERA).along_m, wall_m = owl_side_of(scene, &scene->backdrop).along_m;
    bool taped = label_tape(scene, camera_m, camera_m);
    bool wall_taped = scene->backdrop_shown && label_tape(scene, wall_m, plan->stage.backdrop_distance_m);
    for (int device = 0; device < devices; device++)
        measured[device] = label_upright(scene, device);
    label_backdrop(scene, wall_taped);
    label_animal(scene, taped);
    for (int device = 0; device < devices; device++)
        label_device(scene, device, measured[device]);
    if (owl_side_beam_shown(scene)) {
        struct owl_side_point end = owl_side_of(scene, &plan->sensor.aim);
        owl_label_near(&scene->board, owl_stage_label(scene, end.along_m, end.up_m, "other end of beam"));
    }
    label_frame(scene);
    label_sharp(scene);
}

/* ---- words for screen readers ---- */

static void describe_device(const struct owl_stage_scene *scene, int device, struct owl_text *svg)
{
    struct owl_side_point place = owl_side_device(scene, device);
    owl_text_words(svg, device >= OWL_DEVICE_FLASH ? " Flash " : " The ");
    owl_text_markup(svg, owl_device_name(scene->plan, device));
    owl_text_words(svg, ": ");
    show_up(svg, place.up_m);
    owl_text_words(svg, ", ");
    owl_stage_show_tape(svg, place.along_m);
    owl_text_words(svg, place.along_m > 0.0 ? " behind the mark" : " before the mark");
    if (is_aside(place.aside_m)) {
        owl_text_words(svg, ", ");
        show_aside(svg, place.aside_m);
    }
    if (device >= OWL_DEVICE_FLASH) {
        owl_text_words(svg, ", power ");
        owl_unit_show(OWL_UNIT_POWER, scene->plan->flash[device - OWL_DEVICE_FLASH].power, svg);
    }
    owl_text_char(svg, '.');
}

static void describe_animal(const struct owl_plan *plan, struct owl_text *svg)
{
    owl_text_words(svg, " The ");
    owl_text_markup(svg, owl_animal_at((size_t)plan->subject.kind)->name);
    owl_text_words(svg, " on the mark stands ");
    if (plan->stage.mark_height_m > 0.0)
        show_up(svg, plan->stage.mark_height_m);
    else
        owl_text_words(svg, "on the ground");
    owl_text_words(svg, "; its middle is ");
    show_up(svg, owl_stage_middle(plan).z_m);
    owl_text_char(svg, '.');
}

static void describe_sharp(const struct owl_stage_scene *scene, struct owl_text *svg)
{
    const struct owl_outcome *outcome = &scene->evaluation->outcome;
    double near_m = owl_outcome_value(outcome, OWL_RESULT_NEAR, 0), far_m = owl_outcome_value(outcome, OWL_RESULT_FAR, 0);
    if (owl_side_frame_comes(scene)) {
        owl_text_words(svg, " Over the mark the frame reaches from ");
        show_frame(scene, svg);
        owl_text_char(svg, '.');
    }
    if (isnan(near_m))
        return;
    owl_text_words(svg, " Sharp from ");
    owl_unit_show(OWL_UNIT_LENGTH, near_m, svg);
    owl_text_words(svg, " to ");
    if (isinf(far_m))
        owl_text_words(svg, "the horizon");
    else
        owl_unit_show(OWL_UNIT_LENGTH, far_m, svg);
    owl_text_words(svg, " before the camera.");
}

void owl_side_describe(const struct owl_stage_scene *scene, struct owl_text *svg)
{
    owl_text_words(svg, "Upright section through camera and mark, to scale; the camera is on the left and looks right. "
                        "Heights count from the ground at the mark, sides are as the camera sees them.");
    for (int device = 0; device < OWL_DEVICE_FLASH + scene->plan->flashes; device++)
        describe_device(scene, device, svg);
    describe_animal(scene->plan, svg);
    describe_sharp(scene, svg);
    owl_text_words(svg, " Backdrop ");
    owl_unit_show(OWL_UNIT_LENGTH, scene->plan->stage.backdrop_distance_m, svg);
    owl_text_words(svg, " behind the mark.");
}
