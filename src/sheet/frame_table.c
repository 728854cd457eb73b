/* Cells, and lines of them. */
#include "sheet/frame_table.h"

#include <math.h>
#include <string.h>

#include "sheet/moment.h"

#define CLIPPED_DECIMALS 4

static bool runs_as_formula(const char *words)
{
    static const char *const starts[] = {"=", "+", "-", "@", "\t", "\r", "\n",
                                         "\xEF\xBC\x9D", "\xEF\xBC\x8B", "\xEF\xBC\x8D", "\xEF\xBC\xA0"};
    for (size_t i = 0; i < sizeof starts / sizeof *starts; i++)
        if (strncmp(words, starts[i], strlen(starts[i])) == 0)
            return true;
    return false;
}

static void write_quoted(struct owl_text *text, const char *before, const char *words)
{
    owl_text_char(text, '"');
    owl_text_words(text, before);
    for (const char *c = words; *c; c++)
        owl_text_bytes(text, *c == '"' ? "\"\"" : c, *c == '"' ? 2 : 1);
    owl_text_char(text, '"');
}

static void write_file(struct owl_text *text, const char *file)
{
    write_quoted(text, runs_as_formula(file) ? "./" : "", file);
}

/* The next cell, of words: quoted unless it is empty. */
static void write_cell(struct owl_text *text, const char *words)
{
    owl_text_char(text, ',');
    if (words[0])
        write_quoted(text, runs_as_formula(words) ? "'" : "", words);
}

static void write_yes(struct owl_text *text, bool known, bool yes)
{
    owl_text_words(text, !known ? "," : yes ? ",yes" : ",no");
}

static void write_count(struct owl_text *text, int count)
{
    owl_text_char(text, ',');
    if (count > 0)
        owl_text_integer(text, count);
}

static void write_number(struct owl_text *text, double value, int decimals)
{
    owl_text_char(text, ',');
    if (isfinite(value))
        owl_text_fixed(text, fmax(value, 0.0), decimals);
}

static void write_side(struct owl_text *text, double side_px)
{
    owl_text_fixed(text, side_px > 0.0 ? side_px : 0.0, 0);
}

static void write_boxes(const struct owl_table_frame *frame, struct owl_text *text)
{
    for (int i = 0; i < frame->boxes; i++) {
        const struct owl_table_box *box = &frame->box[i];
        const double side_px[] = {box->left, box->top, box->right, box->bottom};
        owl_text_char(text, i < 2 ? ',' : ' ');
        for (int side = 0; side < 4; side++) {
            owl_text_words(text, side == 0 ? "" : i == 0 ? "," : "/");
            write_side(text, side_px[side]);
        }
    }
    owl_text_words(text, frame->boxes <= 0 ? ",,,,," : frame->boxes == 1 ? "," : "");
}

void owl_frame_table_head(struct owl_text *text)
{
    owl_text_words(text, "file,taken,verdict,row,visit,best,score,flash,left,top,right,bottom,other_boxes,cut_off,clipped,"
                         "sharpness_rank,remarks\r\n");
}

void owl_frame_table_line(const struct owl_table_frame *frame, struct owl_text *text)
{
    write_file(text, frame->file);
    owl_text_char(text, ',');
    owl_moment_iso(frame->taken_s, text);
    write_cell(text, frame->verdict);
    write_cell(text, frame->row);
    write_count(text, frame->visit);
    write_yes(text, frame->visit > 0, frame->best);
    write_number(text, frame->score, 0);
    write_cell(text, frame->flash);
    write_boxes(frame, text);
    write_yes(text, frame->boxes > 0, frame->cut_off);
    write_number(text, frame->clipped, CLIPPED_DECIMALS);
    write_count(text, frame->sharpness_rank);
    write_cell(text, frame->remarks);
    owl_text_words(text, "\r\n");
}
