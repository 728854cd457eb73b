/* The stage's words as SVG: its head with title, description and colours, its labels, scale and key. */
#include <math.h>

#include "core/draw/colours.h"
#include "core/draw/stage_scene.h"

#define LEADER_FROM 28.0    /* shorter ones tell nothing */
#define STRIP_HEIGHT 58.0
#define STRIP_INSET 12.0
#define SCALE_WIDEST 130.0
#define KEY_ROW 46.0        /* baseline of the key in the strip */
#define KEY_GAP 9.0
#define SWATCH_WIDTH 14.0

#define PAINT(property, light, name) OWL_PAINT("stage", property, light, name)

static const char style[] =
    ".owl-stage{" OWL_COLOURS_LIGHT("stage") OWL_COLOUR("stage", "flash", OWL_FLASH) ";"
    OWL_COLOUR("stage", "path", OWL_PATH) ";" OWL_COLOUR("stage", "spread", OWL_SPREAD) ";"
    "font-family:system-ui,sans-serif;max-width:100%;height:auto}"
    "@media screen and (prefers-color-scheme:dark){.owl-stage{" OWL_COLOURS_DARK("stage")
    OWL_COLOUR("stage", "flash", OWL_FLASH_DARK) ";" OWL_COLOUR("stage", "path", OWL_PATH_DARK) ";"
    OWL_COLOUR("stage", "spread", OWL_SPREAD_DARK) "}}"
    ".owl-stage .paper{" PAINT("fill", OWL_PAPER, "paper") "}"
    ".owl-stage .ink{" PAINT("fill", OWL_INK, "ink") "}"
    ".owl-stage .line{fill:none;" PAINT("stroke", OWL_INK, "ink") "}"
    ".owl-stage .measure{fill:none;" PAINT("stroke", OWL_FAINT, "faint") "stroke-width:.8;stroke-dasharray:5 3}"
    ".owl-stage .leader{fill:none;" PAINT("stroke", OWL_FAINT, "faint") "stroke-width:.7}"
    ".owl-stage .frame{" PAINT("fill", OWL_FRAME, "frame") PAINT("stroke", OWL_FRAME, "frame") "fill-opacity:.08;stroke-width:1}"
    ".owl-stage .sharp{" PAINT("fill", OWL_SHARP, "sharp") PAINT("stroke", OWL_SHARP, "sharp") "fill-opacity:.2;stroke-width:.8}"
    ".owl-stage .sensor{" PAINT("fill", OWL_SENSOR, "sensor") PAINT("stroke", OWL_SENSOR, "sensor") "fill-opacity:.1;stroke-width:.8;stroke-dasharray:2 2}"
    ".owl-stage .odd{fill-opacity:.2}"
    ".owl-stage .flash{" PAINT("fill", OWL_FLASH, "flash") "fill-opacity:.09}"
    ".owl-stage .edge{fill:none;" PAINT("stroke", OWL_FLASH, "flash") "stroke-width:1}"
    ".owl-stage .stray{" PAINT("fill", OWL_PATH, "path") "fill-opacity:.18}"
    ".owl-stage .path{fill:none;" PAINT("stroke", OWL_PATH, "path") "stroke-width:1.4}"
    ".owl-stage .arrow{" PAINT("fill", OWL_PATH, "path") "}"
    ".owl-stage .backdrop{fill:none;" PAINT("stroke", OWL_FAINT, "faint") "stroke-width:6;stroke-opacity:.45}"
    ".owl-stage .device{" PAINT("fill", OWL_PAPER, "paper") PAINT("stroke", OWL_INK, "ink") "stroke-width:1.3;stroke-linejoin:round}"
    ".owl-stage .key{stroke-width:2.4}"
    ".owl-stage .body{" PAINT("fill", OWL_INK, "ink") "fill-opacity:.78}"
    ".owl-stage .waiting{fill:none;" PAINT("stroke", OWL_INK, "ink") "stroke-width:.9;stroke-dasharray:3 2}"
    ".owl-stage .spread{fill:none;" PAINT("stroke", OWL_SPREAD, "spread") "stroke-width:1.8}"
    ".owl-stage .faint{stroke-opacity:.45}"
    ".owl-stage .taken{" PAINT("fill", OWL_INK, "ink") PAINT("stroke", OWL_INK, "ink") "fill-opacity:.16;stroke-width:.9}"
    ".owl-stage .imagined{" PAINT("fill", OWL_INK, "ink") PAINT("stroke", OWL_INK, "ink") "fill-opacity:0;stroke-width:.9;stroke-dasharray:3 2}"
    ".owl-stage .counts{" PAINT("stroke", OWL_INK, "ink") "stroke-width:2}"
    ".owl-stage .imagined.counts{fill-opacity:.3}"
    ".owl-stage .noticing{" PAINT("fill", OWL_SENSOR, "sensor") PAINT("stroke", OWL_SENSOR, "sensor") "fill-opacity:.14;stroke-width:.9}"
    ".owl-stage .nose{" PAINT("fill", OWL_SENSOR, "sensor") "}"
    ".owl-stage text{font-size:13.5px;" PAINT("fill", OWL_INK, "ink") PAINT("stroke", OWL_PAPER, "paper")
    "stroke-width:3px;stroke-linejoin:round;paint-order:stroke}"
    ".owl-stage .strong text:first-child{font-weight:600}"
    ".owl-stage .swatch{fill-opacity:.4;stroke-dasharray:none}"
    ".owl-stage .quiet{" PAINT("fill", OWL_FAINT, "faint") "}";

void owl_stage_attribute(struct owl_text *svg, const char *name, double value)
{
    owl_text_char(svg, ' ');
    owl_text_words(svg, name);
    owl_text_words(svg, "=\"");
    owl_text_fixed(svg, value, 1);
    owl_text_char(svg, '"');
}

void owl_stage_pair(struct owl_text *svg, double x, double y)
{
    owl_text_fixed(svg, x, 1);
    owl_text_char(svg, ' ');
    owl_text_fixed(svg, y, 1);
}

void owl_stage_open(struct owl_text *svg, const char *class)
{
    owl_text_words(svg, "<path class=\"");
    owl_text_words(svg, class);
    owl_text_words(svg, "\" d=\"M");
}

void owl_stage_close(struct owl_text *svg)
{
    owl_text_words(svg, "\"/>");
}

void owl_stage_stroke(struct owl_text *svg, const char *class, const struct owl_label_stroke *stroke)
{
    owl_stage_open(svg, class);
    owl_stage_pair(svg, stroke->x1, stroke->y1);
    owl_text_char(svg, 'L');
    owl_stage_pair(svg, stroke->x2, stroke->y2);
    owl_stage_close(svg);
}

/* ---- head ---- */

static void describe_device(const struct owl_plan *plan, int device, struct owl_text *svg)
{
    owl_text_words(svg, device >= OWL_DEVICE_FLASH ? " Flash " : " The ");
    owl_text_markup(svg, owl_device_name(plan, device));
    owl_text_words(svg, ": ");
    owl_unit_show_point(owl_stage_place(plan, device), svg);
    if (device >= OWL_DEVICE_FLASH) {
        owl_text_words(svg, ", power ");
        owl_unit_show(OWL_UNIT_POWER, plan->flash[device - OWL_DEVICE_FLASH].power, svg);
    }
    owl_text_char(svg, '.');
}

static void describe(const struct owl_stage_scene *scene, struct owl_text *svg)
{
    const struct owl_plan *plan = scene->plan;
    const struct owl_outcome *outcome = &scene->evaluation->outcome;
    double offset_m = owl_outcome_value(outcome, OWL_RESULT_OFFSET, 0);
    static const char *const travel[] = {"left to right", "right to left", "both ways"};
    owl_text_words(svg, "Plan view, to scale; the camera looks up the page. Places as seen from the camera, "
                        "counted from the mark on the ground.");
    for (int device = 0; device < OWL_DEVICE_FLASH + plan->flashes; device++)
        describe_device(plan, device, svg);
    owl_text_words(svg, " The animal walks ");
    owl_text_words(svg, travel[plan->stage.travel]);
    owl_text_words(svg, isnan(offset_m) ? "; the sensor does not notice it." : "; its middle is ");
    if (!isnan(offset_m)) {
        owl_unit_show(OWL_UNIT_LENGTH, fabs(offset_m), svg);
        owl_text_words(svg, offset_m < 0.0 ? " before the mark" : " past the mark");
        owl_text_words(svg, " when the shutter opens");
        struct owl_stage_spread spread = owl_stage_spread_of(scene);
        if (spread.high_m > spread.low_m) {
            owl_text_words(svg, ", by its pace nine passes in ten within ");
            owl_unit_show(OWL_UNIT_LENGTH, spread.high_m - spread.low_m, svg);
        }
        owl_text_char(svg, '.');
    }
    owl_text_words(svg, " Sharp from ");
    owl_unit_show(OWL_UNIT_LENGTH, owl_outcome_value(outcome, OWL_RESULT_NEAR, 0), svg);
    owl_text_words(svg, " to ");
    if (isinf(owl_outcome_value(outcome, OWL_RESULT_FAR, 0)))
        owl_text_words(svg, "the horizon");
    else
        owl_unit_show(OWL_UNIT_LENGTH, owl_outcome_value(outcome, OWL_RESULT_FAR, 0), svg);
    owl_text_words(svg, " before the camera. Backdrop ");
    owl_unit_show(OWL_UNIT_LENGTH, plan->stage.backdrop_distance_m, svg);
    owl_text_words(svg, " behind the mark.");
}

static void write_rectangle(struct owl_text *svg, const char *class, double width, double height)
{
    owl_text_words(svg, "<rect");
    owl_text_words(svg, class);
    owl_stage_attribute(svg, "width", width);
    owl_stage_attribute(svg, "height", height);
    owl_text_words(svg, "/>");
}

static void write_id(struct owl_text *svg, const struct owl_stage_scene *scene, const char *part)
{
    owl_text_words(svg, scene->name);
    owl_text_words(svg, part);
}

void owl_stage_open_head(const struct owl_stage_scene *scene, const char *title, struct owl_text *svg)
{
    double height = scene->ground_height + STRIP_HEIGHT;
    owl_text_words(svg, "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"owl-stage\" role=\"img\" aria-labelledby=\"");
    write_id(svg, scene, "-title ");
    write_id(svg, scene, "-desc\" viewBox=\"0 0 ");
    owl_stage_pair(svg, OWL_STAGE_WIDTH, height);
    owl_text_char(svg, '"');
    owl_stage_attribute(svg, "width", OWL_STAGE_WIDTH);
    owl_stage_attribute(svg, "height", height);
    owl_text_words(svg, ">\n<title id=\"");
    write_id(svg, scene, "-title\">");
    owl_text_markup(svg, title);
    owl_text_words(svg, "</title>\n<desc id=\"");
    write_id(svg, scene, "-desc\">");
}

void owl_stage_close_head(const struct owl_stage_scene *scene, struct owl_text *svg)
{
    owl_text_words(svg, "</desc>\n<style>");
    owl_text_words(svg, style);
    owl_text_words(svg, "</style>\n<defs><clipPath id=\"");
    write_id(svg, scene, "-ground\">");
    write_rectangle(svg, "", OWL_STAGE_WIDTH, scene->ground_height);
    owl_text_words(svg, "</clipPath></defs>\n");
    write_rectangle(svg, " class=\"paper\"", OWL_STAGE_WIDTH, scene->ground_height + STRIP_HEIGHT);
}

void owl_stage_head(const struct owl_stage_scene *scene, struct owl_text *svg)
{
    owl_stage_open_head(scene, "The stage from above", svg);
    describe(scene, svg);
    owl_stage_close_head(scene, svg);
}

/* ---- labels ---- */

static void write_text(struct owl_text *svg, double x, double y, const char *more, const char *words)
{
    owl_text_words(svg, "<text");
    owl_stage_attribute(svg, "x", x);
    owl_stage_attribute(svg, "y", y);
    owl_text_words(svg, more);
    owl_text_char(svg, '>');
    owl_text_markup(svg, words);
    owl_text_words(svg, "</text>");
}

/* The room kept for a text, left top right bottom: what the tests hold against each other. */
static void open_label(struct owl_text *svg, const struct owl_label_box *box, bool strong)
{
    owl_text_words(svg, "\n<g data-box=\"");
    owl_stage_pair(svg, box->left, box->top);
    owl_text_char(svg, ' ');
    owl_stage_pair(svg, box->right, box->bottom);
    owl_text_words(svg, strong ? "\" class=\"strong\">" : "\">");
}

/* Text leans towards what it names. */
static void write_label(struct owl_text *svg, const struct owl_label *label)
{
    const struct owl_label_box *box = &label->box;
    double leading = owl_label_leading(OWL_STAGE_FONT), middle = (box->left + box->right) / 2.0;
    bool right_of = label->at_x < box->left + 1.0, left_of = label->at_x > box->right - 1.0;
    double x = right_of ? box->left : left_of ? box->right : middle;
    const char *anchor = right_of ? "" : left_of ? " text-anchor=\"end\"" : " text-anchor=\"middle\"";
    open_label(svg, box, label->strong);
    for (int i = 0; i < owl_label_lines(label); i++)
        write_text(svg, x, box->top + (i + 0.78) * leading, anchor, label->line[i]);
    owl_text_words(svg, "</g>");
}

void owl_stage_labels(const struct owl_stage_scene *scene, struct owl_text *svg)
{
    for (int i = 0; i < scene->labels; i++) {
        const struct owl_label *label = &scene->label[i];
        struct owl_label_stroke leader = {label->at_x, label->at_y, 0.0, 0.0};
        if (owl_label_leader(label, &leader.x2, &leader.y2) > LEADER_FROM)
            owl_stage_stroke(svg, "leader", &leader);
    }
    for (int i = 0; i < scene->labels; i++)
        write_label(svg, &scene->label[i]);
    owl_text_char(svg, '\n');
}

/* ---- scale and key ---- */

/* The longest of 1, 2, 5 times a power of ten metres that is not wider than it may be. */
static double scale_length_m(double scale)
{
    static const double steps[] = {5.0, 2.0, 1.0};
    double most_m = SCALE_WIDEST / scale, unit_m = 1000.0;
    while (unit_m > most_m)
        unit_m /= 10.0;
    for (int i = 0; i < 3; i++)
        if (steps[i] * unit_m <= most_m)
            return steps[i] * unit_m;
    return unit_m;
}

static void write_strip_text(struct owl_text *svg, double x, double baseline, const char *more, const char *words)
{
    double top = baseline - 0.78 * owl_label_leading(OWL_STAGE_FONT);
    struct owl_label_box box = {x, top, x + owl_label_width(words, OWL_STAGE_FONT), top + owl_label_height(1, OWL_STAGE_FONT)};
    open_label(svg, &box, false);
    write_text(svg, x, baseline, more, words);
    owl_text_words(svg, "</g>");
}

static void draw_scale(const struct owl_stage_scene *scene, struct owl_text *svg)
{
    char words[32];
    struct owl_text text = owl_text_over(words, sizeof words);
    double length_m = scale_length_m(scene->scale), length = length_m * scene->scale, y = scene->ground_height + 18.0;
    owl_text_words(svg, "<path class=\"line\" d=\"M");
    owl_stage_pair(svg, STRIP_INSET, y - 5.0);
    owl_text_words(svg, "v5h");
    owl_text_fixed(svg, length, 1);
    owl_text_words(svg, "v-5M");
    owl_stage_pair(svg, STRIP_INSET + length / 2.0, y - 3.0);
    owl_text_words(svg, "v3\"/>");
    owl_unit_show(OWL_UNIT_LENGTH, length_m, &text);
    write_strip_text(svg, STRIP_INSET + length + 8.0, y, "", words);
    write_strip_text(svg, STRIP_INSET + SCALE_WIDEST + 90.0, y, " class=\"quiet\"", scene->note);
}

void owl_stage_strip(const struct owl_stage_scene *scene, struct owl_text *svg)
{
    static const struct {
        const char *class, *words;
    } key[] = {{"frame swatch", "frame"}, {"sharp swatch", "sharp"}, {"sensor swatch", "sensor"},
             {"flash swatch", "flash"}, {"body", "animal"}};
    double x = STRIP_INSET, y = scene->ground_height + KEY_ROW;
    draw_scale(scene, svg);
    for (size_t i = 0; i < sizeof key / sizeof *key; i++) {
        owl_text_words(svg, "\n<rect class=\"");
        owl_text_words(svg, key[i].class);
        owl_text_char(svg, '"');
        owl_stage_attribute(svg, "x", x);
        owl_stage_attribute(svg, "y", y - 9.0);
        owl_stage_attribute(svg, "width", SWATCH_WIDTH);
        owl_stage_attribute(svg, "height", 10.0);
        owl_text_words(svg, "/>");
        write_strip_text(svg, x + SWATCH_WIDTH + 4.0, y, "", key[i].words);
        x += SWATCH_WIDTH + 4.0 + owl_label_width(key[i].words, OWL_STAGE_FONT) + KEY_GAP;
    }
}
