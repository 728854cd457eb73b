/* The layout: one row a thing, in the order of the tree; a step to the right only where a thing has several hanging on it. */
#include "shelf/wiring_drawing.h"

#include <string.h>

#include "core/draw/colours.h"

#define WIDTH 360
#define MARGIN 8
#define STEP 16       /* to the right, at a fork */
#define BOX 30        /* height of a box */
#define JOINT 30      /* height between boxes: room for the joint's words */
#define ROW (BOX + JOINT)
#define TEXT_IN 9
#define LINE_IN 13    /* from a box's left edge to the line that leaves it below */
#define WORDS 64

struct row {
    int left, top;
    bool forked; /* hangs on a fork: its line comes from the left */
    bool bought;
};

struct drawing {
    const struct owl_wire_answer *answer;
    const char *const *flash_name;
    struct owl_text *svg;
    struct row row[OWL_WIRE_USES];
};

static const char style[] =
    "svg.owl-wiring{" OWL_COLOURS_LIGHT("wiring") OWL_COLOUR("wiring", "flash", OWL_FLASH) ";"
    "font-family:system-ui,sans-serif;max-width:100%;height:auto}"
    "@media screen and (prefers-color-scheme:dark){svg.owl-wiring{" OWL_COLOURS_DARK("wiring")
    OWL_COLOUR("wiring", "flash", OWL_FLASH_DARK) "}}"
    ".owl-wiring text{font-size:12.5px;" OWL_PAINT("wiring", "fill", OWL_INK, "ink") "}"
    ".owl-wiring text.joint{font-size:11.5px;" OWL_PAINT("wiring", "fill", OWL_FAINT, "faint") "}"
    ".owl-wiring .paper{" OWL_PAINT("wiring", "fill", OWL_PAPER, "paper") "}"
    ".owl-wiring rect,.owl-wiring path{fill:none;" OWL_PAINT("wiring", "stroke", OWL_FAINT, "faint") "}"
    ".owl-wiring rect.paper{stroke:none}"
    ".owl-wiring rect.sensor{" OWL_PAINT("wiring", "stroke", OWL_SENSOR, "sensor") "}"
    ".owl-wiring rect.camera{" OWL_PAINT("wiring", "stroke", OWL_FRAME, "frame") "}"
    ".owl-wiring rect.flash{" OWL_PAINT("wiring", "stroke", OWL_FLASH, "flash") "}"
    ".owl-wiring rect.buy{stroke-width:3}"
    ".owl-wiring path{" OWL_PAINT("wiring", "stroke", OWL_INK, "ink") "stroke-width:1.5}"
    ".owl-wiring path.air{stroke-dasharray:4 4}";

static void attribute(struct owl_text *svg, const char *name, int value)
{
    owl_text_char(svg, ' ');
    owl_text_words(svg, name);
    owl_text_words(svg, "=\"");
    owl_text_integer(svg, value);
    owl_text_char(svg, '"');
}

static int hanging_on(const struct owl_wire_answer *answer, int use)
{
    int count = 0;
    for (int i = 1; i < answer->uses; i++)
        count += answer->use[i].from == use;
    return count;
}

/* Which pieces of a kind are the ones to buy does not matter; the last ones told are. */
static bool is_bought(const struct owl_wire_answer *answer, int use)
{
    int after = 0;
    for (int i = use; i < answer->uses; i++)
        after += answer->use[i].pool == answer->use[use].pool;
    for (int i = 0; i < answer->buys; i++)
        if (answer->buy[i].thing == answer->use[use].thing)
            return after <= answer->buy[i].count;
    return false;
}

static void lay_out(struct drawing *drawing)
{
    const struct owl_wire_answer *answer = drawing->answer;
    for (int i = 0; i < answer->uses; i++) {
        int from = answer->use[i].from;
        struct row *row = &drawing->row[i];
        row->top = MARGIN + i * ROW;
        row->forked = from >= 0 && hanging_on(answer, from) > 1;
        row->left = from < 0 ? MARGIN : drawing->row[from].left + (row->forked ? STEP : 0);
        row->bought = is_bought(answer, i);
    }
}

static void show_name(const struct drawing *drawing, int use, struct owl_text *words)
{
    const struct owl_wire_use *told = &drawing->answer->use[use];
    if (told->flash >= 0 && drawing->flash_name && drawing->flash_name[told->flash]) {
        owl_text_words(words, drawing->flash_name[told->flash]);
        owl_text_words(words, ": ");
    }
    owl_text_words(words, told->thing->name);
}

/* `sync (PC sync socket) to one (PC sync plug)`; through the air only by what. */
static void show_joint(const struct drawing *drawing, int use, struct owl_text *words)
{
    const struct owl_wire_use *told = &drawing->answer->use[use];
    const struct owl_socket *out = &drawing->answer->use[told->from].thing->socket[told->out];
    const struct owl_socket *in = &told->thing->socket[told->in];
    if (owl_socket_is_air(in)) {
        owl_text_words(words, in->kind == OWL_SOCKET_RADIO ? "by radio, set " : "by the light of the flash it hangs on");
        owl_text_words(words, in->shape);
        return;
    }
    owl_socket_show(in, words);
    owl_text_words(words, in->side == OWL_SIDE_PLUG ? " into '" : " onto '");
    owl_text_words(words, out->name);
    owl_text_char(words, '\'');
}

static void draw_text(struct drawing *drawing, int x, int y, const char *class, const struct owl_text *words)
{
    struct owl_text *svg = drawing->svg;
    owl_text_words(svg, "<text");
    attribute(svg, "x", x);
    attribute(svg, "y", y);
    owl_text_words(svg, class);
    owl_text_char(svg, '>');
    owl_text_markup(svg, words->buffer);
    owl_text_words(svg, "</text>\n");
}

/* From the box above, or from the fork's line at the left. */
static void draw_joint(struct drawing *drawing, int use)
{
    const struct owl_wire_use *told = &drawing->answer->use[use];
    const struct row *row = &drawing->row[use], *above = &drawing->row[told->from];
    struct owl_text *svg = drawing->svg;
    char words[2 * WORDS];
    struct owl_text joint = owl_text_over(words, sizeof words);
    owl_text_words(svg, owl_socket_is_air(&told->thing->socket[told->in]) ? "<path class=\"air\" d=\"M" : "<path d=\"M");
    owl_text_integer(svg, above->left + (row->forked ? STEP / 2 : LINE_IN));
    owl_text_char(svg, ' ');
    owl_text_integer(svg, above->top + BOX);
    owl_text_char(svg, 'V');
    owl_text_integer(svg, row->forked ? row->top + BOX / 2 : row->top);
    if (row->forked) {
        owl_text_char(svg, 'H');
        owl_text_integer(svg, row->left);
    }
    owl_text_words(svg, "\"/>\n");
    show_joint(drawing, use, &joint);
    draw_text(drawing, row->left + LINE_IN + TEXT_IN, row->top - JOINT / 2 + 4, " class=\"joint\"", &joint);
}

static void draw_box(struct drawing *drawing, int use)
{
    const struct owl_thing *thing = drawing->answer->use[use].thing;
    const struct row *row = &drawing->row[use];
    struct owl_text *svg = drawing->svg;
    char words[2 * WORDS];
    struct owl_text name = owl_text_over(words, sizeof words);
    owl_text_words(svg, "<rect rx=\"5\" class=\"");
    owl_text_words(svg, thing->kind <= OWL_THING_FLASH ? owl_thing_kind_words(thing->kind) : "part");
    owl_text_words(svg, row->bought ? " buy\"" : "\"");
    attribute(svg, "x", row->left);
    attribute(svg, "y", row->top);
    attribute(svg, "width", WIDTH - MARGIN - row->left);
    attribute(svg, "height", BOX);
    owl_text_words(svg, "/>\n");
    show_name(drawing, use, &name);
    draw_text(drawing, row->left + TEXT_IN, row->top + BOX / 2 + 4, "", &name);
}

/* The same in words, a sentence a joint. */
static void describe(struct drawing *drawing)
{
    char words[2 * WORDS];
    for (int i = 0; i < drawing->answer->uses; i++) {
        struct owl_text name = owl_text_over(words, sizeof words);
        show_name(drawing, i, &name);
        owl_text_markup(drawing->svg, words);
        if (i > 0) {
            name = owl_text_over(words, sizeof words);
            owl_text_words(&name, " hangs on ");
            show_name(drawing, drawing->answer->use[i].from, &name);
            owl_text_words(&name, ", ");
            owl_text_markup(drawing->svg, words);
            name = owl_text_over(words, sizeof words);
            show_joint(drawing, i, &name);
            owl_text_markup(drawing->svg, words);
        }
        owl_text_words(drawing->svg, drawing->row[i].bought ? " (to buy). " : ". ");
    }
}

void owl_draw_wiring(const struct owl_wire_answer *answer, const char *const flash_name[OWL_FLASHES], struct owl_text *svg)
{
    struct drawing drawing = {.answer = answer, .flash_name = flash_name, .svg = svg};
    int height = 2 * MARGIN + answer->uses * ROW - JOINT;
    lay_out(&drawing);
    owl_text_words(svg, "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"owl-wiring\" role=\"img\" "
                        "aria-labelledby=\"owl-wiring-title owl-wiring-desc\" viewBox=\"0 0 360 ");
    owl_text_integer(svg, height);
    owl_text_char(svg, '"');
    attribute(svg, "width", WIDTH);
    attribute(svg, "height", height);
    owl_text_words(svg, ">\n<title id=\"owl-wiring-title\">What joins what</title>\n<desc id=\"owl-wiring-desc\">");
    describe(&drawing);
    owl_text_words(svg, "</desc>\n<style>");
    owl_text_words(svg, style);
    owl_text_words(svg, "</style>\n<rect class=\"paper\"");
    attribute(svg, "width", WIDTH);
    attribute(svg, "height", height);
    owl_text_words(svg, "/>\n");
    for (int i = 1; i < answer->uses; i++)
        draw_joint(&drawing, i);
    for (int i = 0; i < answer->uses; i++)
        draw_box(&drawing, i);
    owl_text_words(svg, "</svg>\n");
}
