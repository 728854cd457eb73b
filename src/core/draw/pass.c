/* The way of one pass over the stage: its bodies, its words, and their labels. */
#include "core/draw/pass.h"

#include <math.h>

#include "core/constants.h"
#include "core/draw/stage_scene.h"

#define FRAMES_DRAWN 12
#define ROWS_NAMED 3         /* links that failed besides the first, by name */
#define ALMOST_ON_PATH_M 0.005
#define ARROW_INSET 14.0
#define NAMED_AT 0.88        /* of its way over the sheet */
#define NUMBER_GAP 5.0

struct pass_scene {
    struct owl_stage_scene stage;
    const struct owl_trace *trace;
    double heading_rad;     /* plan direction of the walk */
    struct owl_point abeam; /* its middle as it passes the mark */
};

/* ---- where it is ---- */

static bool imagined(const struct owl_trace *trace)
{
    return trace->failed != 0;
}

static struct owl_point on_way(const struct pass_scene *scene, double past_m)
{
    const struct owl_pass *pass = &scene->trace->pass;
    return owl_path_point(scene->stage.plan, &pass->path, pass->sense * past_m);
}

/* Frames follow one another as the camera's interval has them, or as they end. */
static double frame_past_m(const struct pass_scene *scene, int frame)
{
    const struct owl_trace *trace = scene->trace;
    double step_s = fmax(scene->stage.plan->camera.interval_s, trace->minute.shutter_s);
    if (frame == trace->best)
        return trace->frame.past_m;
    return owl_passage_past_m(&trace->pass, trace->frame.opens_s + step_s * (frame - trace->best));
}

static int frames_taken(const struct pass_scene *scene)
{
    return (int)scene->stage.plan->camera.frames;
}

/* All of a short burst, of a long one those that still show it or a few. Every so manyth is drawn, the one that counts
   among them. */
static int frames_told(const struct pass_scene *scene)
{
    int judged = scene->trace->verdict.frames, taken = frames_taken(scene);
    return taken <= FRAMES_DRAWN ? taken : judged > FRAMES_DRAWN ? judged : FRAMES_DRAWN;
}

static int stride(const struct pass_scene *scene)
{
    return (frames_told(scene) + FRAMES_DRAWN - 1) / FRAMES_DRAWN;
}

static int first_drawn(const struct pass_scene *scene)
{
    return scene->trace->best % stride(scene);
}

static void add_body(struct pass_scene *scene, double past_m, const char *class, const char *nose, bool loose)
{
    struct owl_stage_body body = {on_way(scene, past_m), scene->heading_rad, class, nose, loose};
    owl_stage_add_body(&scene->stage, &body);
}

/* The frame that counts comes last, on top; one that finds the animal gone need not be seen. */
static void add_bodies(struct pass_scene *scene)
{
    const struct owl_trace *trace = scene->trace;
    double half_m = scene->stage.plan->subject.length_m / 2.0;
    const char *usual = imagined(trace) ? "imagined" : "taken";
    if (!isnan(trace->notice.front_m))
        add_body(scene, trace->notice.front_m - half_m, "noticing", "noticing", false);
    for (int i = first_drawn(scene); i < frames_told(scene); i += stride(scene))
        if (i != trace->best)
            add_body(scene, frame_past_m(scene, i), usual, usual, i >= trace->verdict.frames);
    if (imagined(trace))
        add_body(scene, trace->frame.past_m, "imagined counts", "imagined counts", false);
    else
        add_body(scene, trace->frame.past_m, "body counts", "ink", false);
}

static struct owl_label_stroke way_on_sheet(const struct pass_scene *scene)
{
    return owl_stage_visible(&scene->stage, &scene->abeam, cos(scene->heading_rad), sin(scene->heading_rad));
}

/* Whether the way meets the sheet at all. */
static bool way_shown(const struct pass_scene *scene, const struct owl_label_stroke *way)
{
    double x = (way->x1 + way->x2) / 2.0, y = (way->y1 + way->y2) / 2.0;
    bool onward = (way->x2 - way->x1) * cos(scene->heading_rad) - (way->y2 - way->y1) * sin(scene->heading_rad) > 0.0;
    return onward && x >= 0.0 && x <= scene->stage.board.width && y >= 0.0 && y <= scene->stage.board.height;
}

/* ---- words ---- */

static void write_verdict(const struct owl_trace *trace, struct owl_text *text)
{
    enum owl_ledger_row first = owl_ledger_first(trace->verdict.failed);
    owl_text_words(text, first == OWL_LEDGER_KEEPER ? "" : "lost as ");
    owl_text_words(text, owl_ledger_word(first));
}

/* `also soft, dim`; nothing when no other link failed. */
static void write_others(const struct owl_trace *trace, int most, struct owl_text *text)
{
    unsigned left = trace->verdict.failed;
    int named = 0, more = 0;
    for (int row = (int)owl_ledger_first(left) + 1; row < OWL_LEDGER_ROWS; row++) {
        if (!(left & OWL_FAILED(row)))
            continue;
        if (named == most) {
            more++;
            continue;
        }
        owl_text_words(text, named++ ? ", " : "also ");
        owl_text_words(text, owl_ledger_word((enum owl_ledger_row)row));
    }
    if (more > 0) {
        owl_text_words(text, " and ");
        owl_text_integer(text, more);
        owl_text_words(text, " more");
    }
}

static void write_aside(const struct pass_scene *scene, struct owl_text *text)
{
    double aside_m = scene->trace->pass.path.aside_m;
    if (fabs(aside_m) < ALMOST_ON_PATH_M) {
        owl_text_words(text, "on the line of the path");
        return;
    }
    owl_stage_show_tape(text, aside_m);
    owl_text_words(text, aside_m < 0.0 ? " nearer than the path" : " beyond the path");
}

static void write_walk(const struct pass_scene *scene, struct owl_text *text)
{
    owl_text_words(text, scene->trace->pass.sense > 0 ? "walking right, " : "walking left, ");
    owl_unit_show(OWL_UNIT_SPEED, scene->trace->pass.speed_m_s, text);
}

static const char *missed_words(const struct pass_scene *scene)
{
    return scene->stage.plan->sensor.kind == OWL_SENSOR_BEAM ? "misses the beam" : "crosses too few zones";
}

static void describe_notice(const struct pass_scene *scene, struct owl_text *svg)
{
    const struct owl_notice *notice = &scene->trace->notice;
    if (isnan(notice->front_m)) {
        owl_text_words(svg, " The sensor does not notice it: its way ");
        owl_text_words(svg, missed_words(scene));
        owl_text_words(svg, ".");
        return;
    }
    owl_text_words(svg, notice->noticed ? " The sensor notices it when its nose is "
                                        : " The sensor does not notice it; it should when its nose is ");
    owl_stage_show_past(svg, notice->front_m);
    owl_text_words(svg, ".");
}

static void describe_frames(const struct pass_scene *scene, struct owl_text *svg)
{
    const struct owl_trace *trace = scene->trace;
    owl_text_words(svg, imagined(trace) ? " No frame follows; had it been otherwise:" : "");
    for (int i = first_drawn(scene); i < frames_told(scene); i += stride(scene)) {
        owl_text_words(svg, " Frame ");
        owl_text_integer(svg, i + 1);
        owl_text_words(svg, i == trace->best ? ", which counts: its middle is " : ": its middle is ");
        owl_stage_show_past(svg, frame_past_m(scene, i));
        owl_text_words(svg, ".");
    }
}

static void describe(const struct pass_scene *scene, struct owl_text *svg)
{
    const struct owl_trace *trace = scene->trace;
    enum owl_ledger_row first = owl_ledger_first(trace->verdict.failed);
    owl_text_words(svg, "Plan view, to scale; the camera looks up the page. The ");
    owl_text_markup(svg, owl_animal_at((size_t)scene->stage.plan->subject.kind)->name);
    owl_text_words(svg, " of night ");
    owl_text_integer(svg, (int64_t)floor(trace->pass.at_s / OWL_SECONDS_PER_DAY) + 1);
    owl_text_words(svg, ", ");
    owl_unit_show(OWL_UNIT_CLOCK, trace->minute.clock_s, svg);
    owl_text_words(svg, ": ");
    write_walk(scene, svg);
    owl_text_words(svg, ", ");
    write_aside(scene, svg);
    owl_text_words(svg, ".");
    describe_notice(scene, svg);
    describe_frames(scene, svg);
    owl_text_words(svg, " It ends as ");
    owl_text_words(svg, owl_ledger_word(first));
    owl_text_words(svg, ": ");
    owl_text_words(svg, owl_ledger_meaning(first));
    struct owl_text others = *svg;
    owl_text_words(svg, "; ");
    size_t before = svg->length;
    write_others(trace, OWL_LEDGER_ROWS, svg);
    if (svg->length == before)
        *svg = others;
    owl_text_words(svg, ".");
}

/* ---- labels ---- */

static void label_verdict(struct pass_scene *scene)
{
    const struct owl_trace *trace = scene->trace;
    struct owl_point at = on_way(scene, trace->frame.past_m);
    struct owl_label *label = owl_stage_label(&scene->stage, at.x_m, at.y_m, "");
    struct owl_text text = owl_stage_label_line(label);
    label->strong = true;
    write_verdict(trace, &text);
    text = owl_stage_label_line(label);
    write_others(trace, ROWS_NAMED, &text);
    text = owl_stage_label_line(label);
    if (frames_taken(scene) > 1) {
        owl_text_words(&text, "frame ");
        owl_text_integer(&text, trace->best + 1);
        owl_text_words(&text, " of ");
        owl_text_integer(&text, frames_taken(scene));
        owl_text_words(&text, imagined(trace) ? ", not taken:" : ":");
    } else {
        owl_text_words(&text, imagined(trace) ? "frame, not taken:" : "at the open shutter:");
    }
    text = owl_stage_label_line(label);
    owl_stage_show_past(&text, trace->frame.past_m);
    owl_stage_hold_label(&scene->stage, label);
    owl_label_near(&scene->stage.board, label);
}

static void label_notice(struct pass_scene *scene)
{
    const struct owl_notice *notice = &scene->trace->notice;
    const struct owl_point *sensor = &scene->stage.plan->sensor.place;
    bool crosses = !isnan(notice->front_m);
    struct owl_point at = crosses ? on_way(scene, notice->front_m) : *sensor;
    const char *first = !crosses ? "not noticed: its way" : notice->noticed ? "noticed: its nose" : "not noticed: its nose";
    struct owl_label *label = owl_stage_label(&scene->stage, at.x_m, at.y_m, first);
    struct owl_text text = owl_stage_label_line(label);
    if (crosses)
        owl_stage_show_past(&text, notice->front_m);
    else
        owl_text_words(&text, missed_words(scene));
    owl_stage_hold_label(&scene->stage, label);
    owl_label_near(&scene->stage.board, label);
}

/* The numbers of the other frames, at their noses. */
static void label_frames(struct pass_scene *scene)
{
    const struct owl_trace *trace = scene->trace;
    double half_m = scene->stage.plan->subject.length_m / 2.0;
    for (int i = first_drawn(scene); i < frames_told(scene); i += stride(scene)) {
        struct owl_point nose = on_way(scene, frame_past_m(scene, i) + half_m);
        if (i == trace->best || !owl_stage_on_sheet(&scene->stage, &nose))
            continue;
        struct owl_label *label = owl_stage_label(&scene->stage, nose.x_m, nose.y_m, "");
        struct owl_text text = owl_stage_label_line(label);
        owl_text_integer(&text, i + 1);
        label->gap = NUMBER_GAP;
        owl_label_near(&scene->stage.board, label);
    }
}

static void label_way(struct pass_scene *scene)
{
    struct owl_label_stroke way = way_on_sheet(scene);
    struct owl_label *label = owl_stage_label(&scene->stage, scene->abeam.x_m, scene->abeam.y_m, "this pass:");
    if (way_shown(scene, &way)) {
        label->at_x = way.x1 + NAMED_AT * (way.x2 - way.x1);
        label->at_y = way.y1 + NAMED_AT * (way.y2 - way.y1);
    }
    struct owl_text text = owl_stage_label_line(label);
    write_aside(scene, &text);
    text = owl_stage_label_line(label);
    write_walk(scene, &text);
    owl_stage_hold_label(&scene->stage, label);
    owl_label_near(&scene->stage.board, label);
}

/* Text would rather not stand on a body: neither of its diagonals. */
static void cross_body(struct owl_stage_scene *stage, const struct owl_stage_body *body)
{
    double half_m = stage->plan->subject.length_m / 2.0, wide_m = stage->plan->subject.width_m / 2.0;
    double c = cos(body->heading_rad), s = sin(body->heading_rad);
    for (int side = -1; side <= 1; side += 2) {
        double x_m = half_m * c - side * wide_m * s, y_m = half_m * s + side * wide_m * c;
        owl_label_cross(&stage->board, owl_stage_x(stage, body->middle.x_m - x_m), owl_stage_y(stage, body->middle.y_m - y_m),
                        owl_stage_x(stage, body->middle.x_m + x_m), owl_stage_y(stage, body->middle.y_m + y_m));
    }
}

static void cross_way(struct pass_scene *scene)
{
    struct owl_label_stroke way = way_on_sheet(scene);
    if (way_shown(scene, &way))
        owl_label_cross(&scene->stage.board, way.x1, way.y1, way.x2, way.y2);
    for (int i = 0; i < scene->stage.bodies; i++)
        cross_body(&scene->stage, &scene->stage.body[i]);
}

/* ---- the drawing ---- */

static void lay_out(const struct owl_plan *plan, const struct owl_evaluation *evaluation, const struct owl_trace *trace,
                    struct pass_scene *scene)
{
    scene->trace = trace;
    scene->heading_rad = trace->pass.path.angle_rad + (trace->pass.sense < 0 ? OWL_PI : 0.0);
    owl_stage_begin(&scene->stage, plan, evaluation, "owl-pass");
    scene->stage.quiet = true;
    scene->abeam = on_way(scene, 0.0);
    add_bodies(scene);
    owl_stage_fit(&scene->stage, &scene->abeam);
    cross_way(scene);
    label_verdict(scene);
    label_notice(scene);
    label_frames(scene);
    owl_stage_label_devices(&scene->stage);
    label_way(scene);
    owl_stage_label_ground(&scene->stage);
    owl_stage_end(&scene->stage);
}

static void draw_way(const struct pass_scene *scene, struct owl_text *svg)
{
    struct owl_label_stroke way = way_on_sheet(scene);
    double c = cos(scene->heading_rad), s = sin(scene->heading_rad);
    if (!way_shown(scene, &way))
        return;
    owl_stage_stroke(svg, "path", &way);
    owl_stage_draw_arrow(svg, way.x2 - ARROW_INSET * c, way.y2 + ARROW_INSET * s, scene->heading_rad);
}

/* Where its nose was when the sensor decided. */
static void draw_nose(const struct pass_scene *scene, struct owl_text *svg)
{
    if (isnan(scene->trace->notice.front_m))
        return;
    struct owl_point nose = on_way(scene, scene->trace->notice.front_m);
    owl_text_words(svg, "<circle class=\"nose\"");
    owl_stage_attribute(svg, "cx", owl_stage_x(&scene->stage, nose.x_m));
    owl_stage_attribute(svg, "cy", owl_stage_y(&scene->stage, nose.y_m));
    owl_text_words(svg, " r=\"3\"/>");
}

static void draw_head(const struct pass_scene *scene, struct owl_text *svg)
{
    char title[OWL_LABEL_BYTES];
    struct owl_text text = owl_text_over(title, sizeof title);
    owl_text_words(&text, "One pass from above: ");
    write_verdict(scene->trace, &text);
    owl_stage_open_head(&scene->stage, title, svg);
    describe(scene, svg);
    owl_stage_close_head(&scene->stage, svg);
}

void owl_draw_pass(const struct owl_plan *plan, const struct owl_evaluation *evaluation, const struct owl_trace *trace,
                   struct owl_text *svg)
{
    struct pass_scene scene;
    lay_out(plan, evaluation, trace, &scene);
    draw_head(&scene, svg);
    owl_stage_open_ground(&scene.stage, svg);
    draw_way(&scene, svg);
    for (int i = 0; i < scene.stage.bodies; i++)
        owl_stage_draw_body(&scene.stage, svg, &scene.stage.body[i]);
    draw_nose(&scene, svg);
    owl_stage_close_ground(svg);
    owl_stage_draw_devices(&scene.stage, svg);
    owl_stage_labels(&scene.stage, svg);
    owl_stage_strip(&scene.stage, svg);
    owl_text_words(svg, "</svg>\n");
}
