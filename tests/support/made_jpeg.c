/* Compression, and the pieces of the file put together. */
#include "support/made_jpeg.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <jpeglib.h>

#include "support/made_segment.h"

#define SMALL_QUALITY 80 /* of thumbnail and preview */

static void *must(void *room)
{
    if (!room)
        abort();
    return room;
}

/* ---- other sizes ---- */

/* What a pixel at `to` of the new row takes from the old: pixels [first, last], weights by weight_at. */
struct reach {
    double from, until;
    int first, last;
    bool grows;
};

static struct reach reach_of(int to, int old, int new)
{
    double scale = (double)old / new;
    struct reach reach = {.grows = new > old};
    reach.from = reach.grows ? (to + 0.5) * scale - 0.5 : to * scale;
    reach.until = reach.from + (reach.grows ? 1.0 : scale);
    reach.first = (int)floor(reach.from + 1e-9);
    reach.last = (int)ceil(reach.until - 1e-9) - (reach.grows ? 0 : 1);
    return reach;
}

static double weight_at(const struct reach *reach, int i)
{
    if (reach->grows)
        return fmax(0.0, 1.0 - fabs(i - reach->from));
    return (fmin(i + 1, reach->until) - fmax(i, reach->from)) / (reach->until - reach->from);
}

static int clamped(int i, int count)
{
    return i < 0 ? 0 : i >= count ? count - 1 : i;
}

/* Scales one side: rows of `count` pixels, so many bytes apart from pixel to pixel and from row to row. */
struct side {
    int old, new, rows;
    size_t step, old_row, new_row;
};

static void scale_side(const uint8_t *from, uint8_t *to, const struct side *side)
{
    for (int i = 0; i < side->new; i++) {
        struct reach reach = reach_of(i, side->old, side->new);
        for (int row = 0; row < side->rows; row++)
            for (size_t c = 0; c < 3; c++) {
                double sum = 0.5;
                for (int k = reach.first; k <= reach.last; k++)
                    sum += weight_at(&reach, k) *
                           from[(size_t)row * side->old_row + (size_t)clamped(k, side->old) * side->step + c];
                to[(size_t)row * side->new_row + (size_t)i * side->step + c] = (uint8_t)sum;
            }
    }
}

struct made_picture made_picture_scaled(const struct made_picture *picture, int width, int height)
{
    struct made_picture scaled = {width, height, must(malloc(3 * (size_t)width * (size_t)height))};
    uint8_t *tall = must(malloc(3 * (size_t)picture->width * (size_t)height));
    size_t old_row = 3 * (size_t)picture->width, new_row = 3 * (size_t)width;
    scale_side(picture->rgb, tall, &(struct side){picture->height, height, picture->width, old_row, 3, 3});
    scale_side(tall, scaled.rgb, &(struct side){picture->width, width, height, 3, old_row, new_row});
    free(tall);
    return scaled;
}

/* The whole picture with black above and below, or at the sides, as cameras make their thumbnails. */
static struct made_picture thumbnail_of(const struct made_picture *picture)
{
    double scale = fmin((double)MADE_THUMBNAIL_WIDTH / picture->width, (double)MADE_THUMBNAIL_HEIGHT / picture->height);
    int width = (int)fmax(1.0, round(picture->width * scale)), height = (int)fmax(1.0, round(picture->height * scale));
    struct made_picture inner = made_picture_scaled(picture, width, height);
    struct made_picture outer = {MADE_THUMBNAIL_WIDTH, MADE_THUMBNAIL_HEIGHT, NULL};
    outer.rgb = must(calloc(3 * MADE_THUMBNAIL_WIDTH, MADE_THUMBNAIL_HEIGHT));
    int left = (outer.width - width) / 2, top = (outer.height - height) / 2;
    size_t row = 3 * (size_t)width;
    for (int y = 0; y < height; y++)
        memcpy(outer.rgb + 3 * ((top + y) * MADE_THUMBNAIL_WIDTH + left), inner.rgb + (size_t)y * row, row);
    free(inner.rgb);
    return outer;
}

/* ---- one compressed picture ---- */

static void set_up(struct jpeg_compress_struct *coder, const struct made_picture *picture, const struct made_jpeg_wish *wish)
{
    coder->image_width = (JDIMENSION)picture->width;
    coder->image_height = (JDIMENSION)picture->height;
    coder->input_components = 3;
    coder->in_color_space = JCS_RGB;
    jpeg_set_defaults(coder);
    jpeg_set_quality(coder, wish->quality, TRUE);
    coder->write_JFIF_header = wish->bare ? TRUE : FALSE;
    coder->dct_method = JDCT_ISLOW; /* alike on every machine */
    coder->restart_in_rows = wish->rows_between_restarts;
    if (wish->whole_colour)
        coder->comp_info[0].h_samp_factor = coder->comp_info[0].v_samp_factor = 1;
}

static void write_segment(struct jpeg_compress_struct *coder, int marker, const struct made_segment *segment)
{
    if (segment->length > MADE_SEGMENT_MOST)
        abort();
    if (segment->length > 0)
        jpeg_write_marker(coder, marker, segment->bytes, (unsigned)segment->length);
}

static uint8_t *compressed(const struct made_picture *picture, const struct made_jpeg_wish *wish,
                           const struct made_segment *notes, const struct made_segment *index, size_t *length)
{
    struct jpeg_error_mgr trouble;
    struct jpeg_compress_struct coder = {.err = jpeg_std_error(&trouble)};
    unsigned char *bytes = NULL;
    unsigned long count = 0;
    jpeg_create_compress(&coder);
    jpeg_mem_dest(&coder, &bytes, &count);
    set_up(&coder, picture, wish);
    jpeg_start_compress(&coder, TRUE);
    write_segment(&coder, JPEG_APP0 + 1, notes);
    write_segment(&coder, JPEG_APP0 + 2, index);
    while (coder.next_scanline < coder.image_height) {
        JSAMPROW row = picture->rgb + 3 * (size_t)coder.next_scanline * (size_t)picture->width;
        (void)jpeg_write_scanlines(&coder, &row, 1);
    }
    jpeg_finish_compress(&coder);
    jpeg_destroy_compress(&coder);
    *length = count;
    return bytes;
}

static uint8_t *compressed_bare(const struct made_picture *picture, size_t *length)
{
    static const struct made_segment none;
    struct made_jpeg_wish small = {.quality = SMALL_QUALITY};
    return compressed(picture, &small, &none, &none, length);
}

/* ---- the whole file ---- */

static void write_notes(struct made_segment *notes, const struct made_picture *picture, const struct made_jpeg_wish *wish)
{
    struct made_picture small = thumbnail_of(picture);
    size_t length;
    uint8_t *bytes = compressed_bare(&small, &length);
    made_segment_notes(notes, wish, picture->width, picture->height, bytes, length);
    free(bytes);
    free(small.rgb);
}

static uint8_t *preview_of(const struct made_picture *picture, int width, size_t *length)
{
    int height = (int)fmax(1.0, round((double)picture->height * width / picture->width));
    struct made_picture scaled = made_picture_scaled(picture, width, height);
    uint8_t *bytes = compressed_bare(&scaled, length);
    free(scaled.rgb);
    return bytes;
}

/* Puts the second picture behind the first and writes the index of both, now that their sizes are known, over the one that
   kept its place: behind the mark of the beginning and the segment of the notes, each segment with four bytes in front. */
static uint8_t *with_preview(uint8_t *first, size_t *length, const struct made_segment *notes, struct made_segment *index,
                             const struct made_picture *picture, const struct made_jpeg_wish *wish)
{
    size_t preview_bytes, index_at = 2 + 4 + notes->length + 4;
    uint8_t *preview = preview_of(picture, wish->preview_width, &preview_bytes);
    uint8_t *whole = must(realloc(first, *length + preview_bytes));
    made_segment_index(index, wish, *length, preview_bytes, *length - index_at - made_segment_index_origin());
    memcpy(whole + index_at, index->bytes, index->length);
    memcpy(whole + *length, preview, preview_bytes);
    *length += preview_bytes;
    free(preview);
    return whole;
}

uint8_t *made_jpeg(const struct made_picture *picture, const struct made_jpeg_wish *wish, size_t *length)
{
    struct made_segment *notes = must(calloc(2, sizeof *notes)), *index = notes + 1;
    bool preview = !wish->bare && wish->preview_width > 0;
    if (!wish->bare)
        write_notes(notes, picture, wish);
    if (preview)
        made_segment_index(index, wish, 0, 0, 0);
    uint8_t *bytes = compressed(picture, wish, notes, index, length);
    if (preview)
        bytes = with_preview(bytes, length, notes, index, picture, wish);
    free(notes);
    return bytes;
}
