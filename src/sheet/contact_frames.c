/* The visits on the contact sheet: strips of frames with their edge print, and the cropping lines over them. */
#include "sheet/contact_parts.h"

#include <math.h>

#define OVERSHOOT 0.03 /* of the longer side: a ruler's line runs on beyond the corner */
#define SHAPE_WIDTH 3  /* of the empty frame where a picture is missing */
#define SHAPE_HEIGHT 2
#define FEW 2          /* other frames of a visit that there is room to show at their full size */

/* ---- the cropping lines ---- */

static double within(double share)
{
    return share > 0.0 ? fmin(share, 1.0) : 0.0;
}

static void write_line(struct owl_pieces *page, const double from_to[3], char direction)
{
    const char command[2] = {direction, '\0'};
    owl_pieces_raw(page, "M");
    owl_pieces_fixed(page, from_to[0], 1);
    owl_pieces_raw(page, " ");
    owl_pieces_fixed(page, from_to[1], 1);
    owl_pieces_raw(page, command);
    owl_pieces_fixed(page, from_to[2], 1);
}

static void write_box(struct owl_pieces *page, const struct owl_contact_box *box, const struct owl_contact_picture *picture)
{
    double over = OVERSHOOT * (picture->width > picture->height ? picture->width : picture->height);
    double left = within(box->left) * picture->width, right = within(box->right) * picture->width;
    double top = within(box->top) * picture->height, bottom = within(box->bottom) * picture->height;
    write_line(page, (const double[]){left - over, top, right + over}, 'H');
    write_line(page, (const double[]){left - over, bottom, right + over}, 'H');
    write_line(page, (const double[]){left, top - over, bottom + over}, 'V');
    write_line(page, (const double[]){right, top - over, bottom + over}, 'V');
}

/* The same lines twice, the wider dark one below, so that they show on any picture. */
static void write_lines(struct owl_pieces *page, const struct owl_contact_frame *frame, const struct owl_contact_picture *picture)
{
    if (frame->boxes <= 0)
        return;
    owl_pieces_raw(page, "<svg viewBox=\"0 0 ");
    owl_pieces_integer(page, picture->width);
    owl_pieces_raw(page, " ");
    owl_pieces_integer(page, picture->height);
    owl_pieces_raw(page, "\" aria-hidden=\"true\">");
    static const char *const layer[] = {"<path class=\"under\" d=\"", "<path d=\""};
    for (int i = 0; i < 2; i++) {
        owl_pieces_raw(page, layer[i]);
        for (int box = 0; box < frame->boxes; box++)
            write_box(page, &frame->box[box], picture);
        owl_pieces_raw(page, "\"/>");
    }
    owl_pieces_raw(page, "</svg>");
}

/* ---- a frame ---- */

/* Where the heaviest box lies, for who cannot see the picture. */
static const char *side_words(const struct owl_contact_frame *frame)
{
    if (frame->boxes <= 0)
        return "";
    double middle = (within(frame->box->left) + within(frame->box->right)) / 2.0;
    return middle < 1.0 / 3.0 ? ", on the left" : middle > 2.0 / 3.0 ? ", on the right" : ", in the middle";
}

static void write_image(struct owl_pieces *page, const struct owl_contact_frame *frame, const struct owl_contact_picture *picture)
{
    owl_pieces_raw(page, "<div class=\"print\"><img width=\"");
    owl_pieces_integer(page, picture->width);
    owl_pieces_raw(page, "\" height=\"");
    owl_pieces_integer(page, picture->height);
    owl_pieces_raw(page, "\" alt=\"");
    owl_pieces_words(page, frame->name);
    owl_pieces_raw(page, ": ");
    owl_pieces_words(page, frame->verdict);
    owl_pieces_raw(page, side_words(frame));
    owl_pieces_raw(page, "\" src=\"data:image/jpeg;base64,");
    owl_pieces_base64(page, picture->jpeg, picture->length);
    owl_pieces_raw(page, "\"/>");
    write_lines(page, frame, picture);
    owl_pieces_raw(page, "</div>");
}

static void write_picture(struct owl_pieces *page, const struct owl_contact_sheet *sheet, const struct owl_contact_frame *frame,
                          int long_side_px)
{
    struct owl_contact_picture picture = {NULL, 0, SHAPE_WIDTH, SHAPE_HEIGHT};
    bool there = sheet->picture && sheet->picture(sheet->picture_context, frame->number, long_side_px, &picture);
    if (there && picture.length > 0 && picture.width > 0 && picture.height > 0)
        write_image(page, frame, &picture);
    else
        owl_pieces_raw(page, "<div class=\"print blank\"><p>No picture: the file cannot be read.</p></div>");
}

static void write_remark(struct owl_pieces *page, const char *words, const char *before)
{
    if (!words[0])
        return;
    owl_pieces_raw(page, before);
    owl_pieces_words(page, words);
}

static void write_frame(struct owl_pieces *page, const struct owl_contact_sheet *sheet, const struct owl_contact_visit *visit,
                        int place)
{
    const struct owl_contact_frame *frame = &visit->frame[place];
    bool best = place == visit->best;
    owl_pieces_raw(page, best ? "<figure class=\"best\">" : "<figure>");
    write_picture(page, sheet, frame, best ? OWL_CONTACT_BEST_PX : OWL_CONTACT_OTHER_PX);
    owl_pieces_raw(page, "<figcaption><span class=\"edge\"><span>");
    owl_pieces_words(page, frame->name);
    owl_pieces_raw(page, "</span> <span>");
    owl_contact_time(page, frame->taken_s, false);
    owl_pieces_raw(page, "</span></span> ");
    owl_pieces_raw(page, best && visit->frames > 1 ? "<b>best of the visit</b>: " : "");
    owl_pieces_words(page, frame->verdict);
    write_remark(page, frame->row, "; <em>");
    owl_pieces_raw(page, frame->row[0] ? "</em>" : "");
    write_remark(page, frame->remarks, "; ");
    owl_pieces_raw(page, "</figcaption></figure>\n");
}

/* ---- a visit ---- */

/* Frames without a time are passed over. */
static void write_span(struct owl_pieces *page, const struct owl_contact_visit *visit)
{
    double first_s = NAN, last_s = NAN;
    for (int i = 0; i < visit->frames; i++) {
        first_s = fmin(first_s, visit->frame[i].taken_s);
        last_s = fmax(last_s, visit->frame[i].taken_s);
    }
    if (isnan(first_s))
        return;
    owl_contact_time(page, first_s, true);
    if (floor(first_s) < floor(last_s)) {
        owl_pieces_raw(page, " to ");
        owl_contact_time(page, last_s, false);
    }
    owl_pieces_raw(page, ", ");
}

void owl_contact_visit(struct owl_pieces *page, const struct owl_contact_sheet *sheet, const struct owl_contact_visit *visit)
{
    owl_pieces_raw(page, "<article>\n<header><h3>Visit ");
    owl_pieces_integer(page, visit->number);
    owl_pieces_raw(page, "</h3><p>");
    write_span(page, visit);
    owl_contact_count(page, visit->frames, "frame", "frames");
    write_remark(page, visit->row, "; <strong>");
    owl_pieces_raw(page, visit->row[0] ? "</strong>" : "");
    write_remark(page, visit->remarks, "; ");
    owl_pieces_raw(page, "</p></header>\n");
    owl_pieces_raw(page, visit->frames > 1 ? "<div class=\"strip\">\n" : "<div class=\"strip lone\">\n");
    write_frame(page, sheet, visit, visit->best);
    if (visit->frames > 1)
        owl_pieces_raw(page, visit->frames - 1 <= FEW ? "<div class=\"others few\">\n" : "<div class=\"others\">\n");
    for (int i = 0; i < visit->frames; i++)
        if (i != visit->best)
            write_frame(page, sheet, visit, i);
    owl_pieces_raw(page, visit->frames > 1 ? "</div>\n</div>\n</article>\n" : "</div>\n</article>\n");
}
