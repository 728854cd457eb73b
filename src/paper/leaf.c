/* Pages by cairo, filled from above. */
#include "paper/leaf.h"

#include <cairo-pdf.h>
#include <librsvg/rsvg.h>
#include <math.h>
#include <string.h>

#include "core/calendar.h"
#include "core/constants.h"
#include "core/text.h"
#include "paper/words.h"
#include "sheet/moment.h"

#define SIDE_PT 42.5       /* 15 mm */
#define TOP_PT 40.0
#define BOTTOM_PT 48.0     /* with the foot in it */
#define FOOT_PT 26.0       /* its line above the paper's edge */
#define GUTTER_PT 20.0
#define BODY_PT 9.2
#define NOTE_PT 8.0
#define TABLE_PT 8.0
#define TABLE_HEAD_PT 7.2
#define SMALL_HEADING_PT 9.8
#define HEADING_PT 12.5
#define TITLE_PT 19.0
#define KEEP_PT 40.0       /* a heading keeps so much below it */
#define BOX_PT 8.0
#define INDENT_PT 14.0     /* of words beside a box */
#define LABEL_SHARE 0.36   /* of a setting's line */
#define FIRST_CELL_SHARE 1.9 /* of the others' width */
#define RULE_PT 0.5
#define GAP_PT 4.0         /* under a drawing */
#define LEAST_SHRUNK 0.75  /* so small a drawing may become to stay on its page */
#define FAINT 0.35

/* ---- trouble ---- */

static void complain(struct owl_leaf *leaf, const char *what, const char *why)
{
    struct owl_text words = owl_text_over(leaf->error->words, sizeof leaf->error->words);
    if (leaf->error->words[0])
        return;
    owl_text_words(&words, what);
    if (*why) {
        owl_text_words(&words, ": ");
        owl_text_words(&words, why);
    }
}

/* ---- pages and columns ---- */

static double column_width_pt(const struct owl_leaf *leaf)
{
    return (OWL_LEAF_WIDTH_PT - 2.0 * SIDE_PT - (leaf->columns - 1) * GUTTER_PT) / leaf->columns;
}

static double column_left_pt(const struct owl_leaf *leaf)
{
    return SIDE_PT + leaf->column * (column_width_pt(leaf) + GUTTER_PT);
}

static void grey(struct owl_leaf *leaf, double level)
{
    cairo_set_source_rgb(leaf->ink, level, level, level);
}

static void draw_foot(struct owl_leaf *leaf)
{
    char buffer[64];
    struct owl_text number = owl_text_over(buffer, sizeof buffer);
    struct owl_words_setting setting = {NOTE_PT, false};
    double y_pt = OWL_LEAF_HEIGHT_PT - FOOT_PT;
    owl_text_words(&number, "page ");
    owl_text_integer(&number, leaf->page);
    if (leaf->head->pages > 0) {
        owl_text_words(&number, " of ");
        owl_text_integer(&number, leaf->head->pages);
    }
    grey(leaf, FAINT);
    double right_pt = OWL_LEAF_WIDTH_PT - SIDE_PT - owl_words_width_pt(leaf->ink, setting, buffer, number.length);
    (void)owl_words_set(leaf->ink, &setting, buffer, number.length, (const double[]){right_pt, y_pt});
    size_t length = owl_words_line(leaf->ink, setting, leaf->head->title, right_pt - SIDE_PT - GUTTER_PT);
    (void)owl_words_set(leaf->ink, &setting, leaf->head->title, length, (const double[]){SIDE_PT, y_pt});
    grey(leaf, 0.0);
}

static void begin_page(struct owl_leaf *leaf)
{
    leaf->page++;
    leaf->column = 0;
    leaf->top_pt = leaf->y_pt = TOP_PT;
    leaf->fresh = true;
    draw_foot(leaf);
}

void owl_leaf_next_page(struct owl_leaf *leaf)
{
    if (leaf->fresh && leaf->column == 0 && leaf->top_pt == TOP_PT)
        return;
    cairo_show_page(leaf->ink);
    begin_page(leaf);
}

void owl_leaf_columns(struct owl_leaf *leaf, int columns)
{
    if (leaf->column > 0)
        owl_leaf_next_page(leaf);
    leaf->columns = columns;
    leaf->column = 0;
    leaf->top_pt = leaf->y_pt;
    leaf->fresh = true;
}

/* Makes room of this height; what is higher than a page runs over its edge. */
static void make_room(struct owl_leaf *leaf, double height_pt)
{
    if (leaf->y_pt + height_pt <= OWL_LEAF_HEIGHT_PT - BOTTOM_PT || (leaf->fresh && leaf->top_pt == TOP_PT))
        return;
    if (leaf->column + 1 < leaf->columns) {
        leaf->column++;
        leaf->y_pt = leaf->top_pt;
        leaf->fresh = true;
        make_room(leaf, height_pt);
    } else {
        cairo_show_page(leaf->ink);
        begin_page(leaf);
    }
}

static void use_room(struct owl_leaf *leaf, double height_pt)
{
    leaf->y_pt += height_pt;
    leaf->fresh = false;
}

/* ---- what stands on them ---- */

/* How words stand in their column. */
struct block {
    struct owl_words_setting setting;
    double before_pt, after_pt; /* kept free above, but not at the top of a column, and below */
    double indent_pt, keep_pt;  /* room that must be left below */
    double level;               /* of grey */
    bool box, rule;             /* to tick beside it; above it */
};

static void draw_box(struct owl_leaf *leaf, double y_pt)
{
    cairo_set_line_width(leaf->ink, 0.8);
    cairo_rectangle(leaf->ink, column_left_pt(leaf) + 0.4, y_pt + 1.5, BOX_PT, BOX_PT);
    cairo_stroke(leaf->ink);
}

static void draw_rule(struct owl_leaf *leaf, double y_pt, double level)
{
    grey(leaf, level);
    cairo_set_line_width(leaf->ink, RULE_PT);
    cairo_move_to(leaf->ink, column_left_pt(leaf), y_pt);
    cairo_rel_line_to(leaf->ink, column_width_pt(leaf), 0.0);
    cairo_stroke(leaf->ink);
    grey(leaf, 0.0);
}

static void set_block(struct owl_leaf *leaf, const struct block *block, const char *words)
{
    double box[3] = {0.0, 0.0, column_width_pt(leaf) - block->indent_pt};
    double height_pt = owl_words_lines(leaf->ink, block->setting, words, box, false) + block->after_pt;
    make_room(leaf, (leaf->fresh ? 0.0 : block->before_pt) + height_pt + block->keep_pt);
    if (!leaf->fresh)
        leaf->y_pt += block->before_pt;
    if (block->rule && !leaf->fresh)
        draw_rule(leaf, leaf->y_pt - 3.0, 0.0);
    if (block->box)
        draw_box(leaf, leaf->y_pt);
    box[0] = column_left_pt(leaf) + block->indent_pt;
    box[1] = leaf->y_pt;
    grey(leaf, block->level);
    (void)owl_words_lines(leaf->ink, block->setting, words, box, true);
    grey(leaf, 0.0);
    use_room(leaf, height_pt);
}

void owl_leaf_title(struct owl_leaf *leaf, const char *words)
{
    set_block(leaf, &(struct block){.setting = {TITLE_PT, true}, .after_pt = 2.0}, words);
}

void owl_leaf_heading(struct owl_leaf *leaf, const char *words)
{
    set_block(leaf, &(struct block){.setting = {HEADING_PT, true}, .before_pt = 13.0, .after_pt = 3.0, .keep_pt = KEEP_PT,
                                    .rule = true}, words);
}

void owl_leaf_small_heading(struct owl_leaf *leaf, const char *words)
{
    set_block(leaf, &(struct block){.setting = {SMALL_HEADING_PT, true}, .before_pt = 5.0, .after_pt = 1.0, .keep_pt = KEEP_PT},
              words);
}

void owl_leaf_paragraph(struct owl_leaf *leaf, const char *words)
{
    set_block(leaf, &(struct block){.setting = {BODY_PT, false}, .after_pt = 3.5}, words);
}

void owl_leaf_note(struct owl_leaf *leaf, const char *words)
{
    set_block(leaf, &(struct block){.setting = {NOTE_PT, false}, .after_pt = 3.5, .level = FAINT}, words);
}

void owl_leaf_tick(struct owl_leaf *leaf, const char *words)
{
    set_block(leaf, &(struct block){.setting = {BODY_PT, false}, .after_pt = 3.5, .indent_pt = INDENT_PT, .box = true}, words);
}

void owl_leaf_setting(struct owl_leaf *leaf, const char *label, const char *words)
{
    struct owl_words_setting setting = {BODY_PT, false};
    double label_pt = column_width_pt(leaf) * LABEL_SHARE, box[3] = {0.0, 0.0, label_pt - 6.0};
    double height_pt = owl_words_lines(leaf->ink, setting, label, box, false);
    box[2] = column_width_pt(leaf) - label_pt;
    height_pt = fmax(height_pt, owl_words_lines(leaf->ink, setting, words, box, false)) + 1.5;
    make_room(leaf, height_pt);
    box[0] = column_left_pt(leaf) + label_pt;
    box[1] = leaf->y_pt;
    (void)owl_words_lines(leaf->ink, setting, words, box, true);
    grey(leaf, FAINT);
    (void)owl_words_lines(leaf->ink, setting, label, (const double[]){column_left_pt(leaf), leaf->y_pt, label_pt - 6.0}, true);
    grey(leaf, 0.0);
    use_room(leaf, height_pt);
}

static double table_line_pt(void)
{
    return TABLE_PT * OWL_WORDS_LINE_HEIGHT + 1.2;
}

bool owl_leaf_begins_column(struct owl_leaf *leaf)
{
    make_room(leaf, table_line_pt());
    return leaf->fresh;
}

void owl_leaf_cells(struct owl_leaf *leaf, const char *const *words, int count, enum owl_leaf_line line)
{
    struct owl_words_setting setting = {line == OWL_LEAF_LINE ? TABLE_PT : TABLE_HEAD_PT, false};
    double cell_pt = column_width_pt(leaf) / (count - 1 + FIRST_CELL_SHARE), height_pt = table_line_pt();
    make_room(leaf, height_pt + (line != OWL_LEAF_LINE ? KEEP_PT : 0.0));
    double right_pt = column_left_pt(leaf), y_pt = leaf->y_pt + TABLE_PT * OWL_WORDS_BASELINE;
    for (int i = 0; i < count; i++) {
        double width_pt = owl_words_width_pt(leaf->ink, setting, words[i], strlen(words[i]));
        right_pt += i == 0 ? FIRST_CELL_SHARE * cell_pt : cell_pt;
        double left_pt = i == 0 ? column_left_pt(leaf) : right_pt - width_pt;
        (void)owl_words_set(leaf->ink, &setting, words[i], strlen(words[i]), (const double[]){left_pt, y_pt});
    }
    if (line != OWL_LEAF_HEAD)
        draw_rule(leaf, leaf->y_pt + height_pt - 0.4, line == OWL_LEAF_HEAD_END ? 0.0 : 0.75);
    use_room(leaf, height_pt);
}

/* ---- drawings ---- */

/* The paper is white by itself. */
static const char paper_style[] = ".paper{fill:#fff !important}";

static void render(struct owl_leaf *leaf, RsvgHandle *drawing, double most_height_pt)
{
    gboolean has_width, has_height, has_box;
    RsvgLength width, height;
    RsvgRectangle box;
    double width_pt = column_width_pt(leaf);
    GError *trouble = NULL;
    /* Width and height may be in shares of a page; the box is always in the drawing's own units. */
    rsvg_handle_get_intrinsic_dimensions(drawing, &has_width, &width, &has_height, &height, &has_box, &box);
    if (!has_box || !(box.width > 0.0 && box.height > 0.0)) {
        complain(leaf, "a drawing has no size", "");
        return;
    }
    double across = box.width, down = box.height;
    double scale = fmin(width_pt / across, most_height_pt / down);
    double left_pt = OWL_LEAF_HEIGHT_PT - BOTTOM_PT - leaf->y_pt - GAP_PT;
    if (left_pt >= LEAST_SHRUNK * down * scale)
        scale = fmin(scale, left_pt / down);
    make_room(leaf, down * scale + GAP_PT);
    double x_pt = column_left_pt(leaf) + (width_pt - across * scale) / 2.0;
    const RsvgRectangle place = {x_pt, leaf->y_pt, across * scale, down * scale};
    if (!rsvg_handle_render_document(drawing, leaf->ink, &place, &trouble)) {
        complain(leaf, "a drawing cannot be set on the page", trouble->message);
        g_error_free(trouble);
    }
    use_room(leaf, down * scale + GAP_PT);
}

void owl_leaf_drawing(struct owl_leaf *leaf, const char *svg, size_t length, double most_height_pt)
{
    GError *trouble = NULL;
    if (leaf->error->words[0] || cairo_status(leaf->ink) != CAIRO_STATUS_SUCCESS)
        return; /* librsvg would complain aloud */
    RsvgHandle *drawing = rsvg_handle_new_from_data((const guint8 *)svg, length, &trouble);
    if (!drawing) {
        complain(leaf, "a drawing cannot be read", trouble->message);
        g_error_free(trouble);
        return;
    }
    (void)rsvg_handle_set_stylesheet(drawing, (const guint8 *)paper_style, sizeof paper_style - 1, NULL);
    render(leaf, drawing, most_height_pt);
    g_object_unref(drawing);
}

/* ---- the whole ---- */

static cairo_status_t pass_on(void *closure, const unsigned char *bytes, unsigned int length)
{
    struct owl_leaf *leaf = closure;
    if (leaf->way.put(leaf->way.context, (const char *)bytes, length))
        return CAIRO_STATUS_SUCCESS;
    complain(leaf, "the PDF cannot be written", ""); /* of the last bytes cairo itself says nothing */
    return CAIRO_STATUS_WRITE_ERROR;
}

static void describe(struct owl_leaf *leaf)
{
    char buffer[64];
    struct owl_text stamp = owl_text_over(buffer, sizeof buffer);
    owl_moment_iso(floor(leaf->head->stamp_unix_s), &stamp);
    owl_text_char(&stamp, 'Z');
    cairo_pdf_surface_set_metadata(leaf->surface, CAIRO_PDF_METADATA_TITLE, leaf->head->title);
    cairo_pdf_surface_set_metadata(leaf->surface, CAIRO_PDF_METADATA_CREATOR, "owllight");
    /* Else cairo would write the hour it runs at. */
    cairo_pdf_surface_set_metadata(leaf->surface, CAIRO_PDF_METADATA_CREATE_DATE, buffer);
}

enum owl_status owl_leaf_open(struct owl_leaf *leaf, const struct owl_leaf_head *head, const struct owl_leaf_way *way,
                              struct owl_error *error)
{
    *leaf = (struct owl_leaf){.head = head, .error = error, .way = *way, .columns = 1};
    error->words[0] = '\0';
    if (!owl_moment_known(head->stamp_unix_s))
        return OWL_OUTSIDE_DOMAIN;
    if (!owl_words_font_installed()) {
        complain(leaf, "no font is installed, and a PDF cannot be written without one; any font for the screen will do", "");
        return OWL_CANNOT_WRITE;
    }
    leaf->surface = cairo_pdf_surface_create_for_stream(pass_on, leaf, OWL_LEAF_WIDTH_PT, OWL_LEAF_HEIGHT_PT);
    leaf->ink = cairo_create(leaf->surface);
    if (cairo_status(leaf->ink) != CAIRO_STATUS_SUCCESS) {
        complain(leaf, "no page can be made", cairo_status_to_string(cairo_status(leaf->ink)));
        return OWL_CANNOT_WRITE;
    }
    cairo_pdf_surface_restrict_to_version(leaf->surface, CAIRO_PDF_VERSION_1_5);
    describe(leaf);
    begin_page(leaf);
    return OWL_OK;
}

enum owl_status owl_leaf_close(struct owl_leaf *leaf)
{
    if (leaf->ink) {
        cairo_status_t status = cairo_status(leaf->ink);
        cairo_show_page(leaf->ink);
        cairo_destroy(leaf->ink);
        cairo_surface_finish(leaf->surface);
        if (status == CAIRO_STATUS_SUCCESS)
            status = cairo_surface_status(leaf->surface);
        cairo_surface_destroy(leaf->surface);
        if (status != CAIRO_STATUS_SUCCESS)
            complain(leaf, "the PDF cannot be written", cairo_status_to_string(status));
    }
    leaf->ink = NULL;
    leaf->surface = NULL;
    return leaf->error->words[0] ? OWL_CANNOT_WRITE : OWL_OK;
}
