/* A picture shrunk while it is decoded, turned, and encoded again. No more than the small picture is ever held whole. */
#include "image/jpeg_small.h"

#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "image/jpeg_reading.h"

#define COLOURS 3
#define HEAD_BYTES 2048 /* more than all marker segments of a baseline file */
#define BLOCK 16        /* pixels a coded block of half as fine colour stands for */

struct shrinker {
    struct owl_jpeg_reading reading;
    struct jpeg_compress_struct writing;
    struct jpeg_error_mgr errors;
    struct jpeg_destination_mgr destination;
    int width, height;  /* of the small picture, before it is turned */
    uint8_t *row;       /* one decoded row */
    uint32_t *across;   /* shrunk along: means times the decoded width */
    uint64_t *sum;      /* of such rows, for one row of the small picture: means times decoded width times decoded height */
    uint8_t *small;     /* width x height, as stored */
    uint8_t *line;      /* one row of it, turned */
    uint8_t *file;
    size_t room, length;
};

/* ---- shrinking ----
   Both sides are counted in units that divide both grids: a decoded pixel is `small` units long, a pixel of the small picture
   `large`. As large >= small a decoded pixel lies in one small one or across the border of two. */

struct split {
    int first;                /* the small pixel it begins in; the next gets the rest */
    uint32_t units, rest;     /* how much of it lies in each */
};

static struct split split_of(uint32_t place, uint32_t small, uint32_t large)
{
    uint64_t from = (uint64_t)place * small, next = (from / large + 1) * large;
    uint32_t units = next - from < small ? (uint32_t)(next - from) : small;
    return (struct split){(int)(from / large), units, small - units};
}

static void shrink_along(struct shrinker *shrinker)
{
    uint32_t large = shrinker->reading.jpeg.output_width;
    memset(shrinker->across, 0, (size_t)shrinker->width * COLOURS * sizeof *shrinker->across);
    for (uint32_t x = 0; x < large; x++) {
        struct split split = split_of(x, (uint32_t)shrinker->width, large);
        const uint8_t *pixel = shrinker->row + (size_t)x * COLOURS;
        uint32_t *into = shrinker->across + (size_t)split.first * COLOURS;
        for (int i = 0; i < COLOURS; i++)
            into[i] += split.units * pixel[i];
        for (int i = 0; i < COLOURS && split.rest > 0; i++)
            into[COLOURS + i] += split.rest * pixel[i];
    }
}

static void add_across(struct shrinker *shrinker, uint32_t units)
{
    for (int i = 0; i < shrinker->width * COLOURS; i++)
        shrinker->sum[i] += (uint64_t)units * shrinker->across[i];
}

static void finish_row(struct shrinker *shrinker, int y)
{
    uint64_t whole = (uint64_t)shrinker->reading.jpeg.output_width * shrinker->reading.jpeg.output_height;
    uint8_t *into = shrinker->small + (size_t)y * (size_t)shrinker->width * COLOURS;
    for (int i = 0; i < shrinker->width * COLOURS; i++)
        into[i] = (uint8_t)((shrinker->sum[i] + whole / 2) / whole);
    memset(shrinker->sum, 0, (size_t)shrinker->width * COLOURS * sizeof *shrinker->sum);
}

static void shrink(struct shrinker *shrinker)
{
    struct jpeg_decompress_struct *jpeg = &shrinker->reading.jpeg;
    uint32_t small = (uint32_t)shrinker->height, large = jpeg->output_height;
    for (uint32_t y = 0; y < large; y++) {
        struct split split = split_of(y, small, large);
        JSAMPROW into = shrinker->row;
        (void)jpeg_read_scanlines(jpeg, &into, 1);
        shrink_along(shrinker);
        add_across(shrinker, split.units);
        if (((uint64_t)y + 1) * small >= ((uint64_t)split.first + 1) * large) {
            finish_row(shrinker, split.first);
            add_across(shrinker, split.rest);
        }
    }
}

/* ---- turning ----
   Orientations from 5 up swap the sides. In the tables, whether the stored place counts from the far end, for the upright
   place: orientation 6 has its first stored row at the right, its first stored column on top. */

static int known_orientation(int orientation)
{
    return orientation >= 1 && orientation <= 8 ? orientation : 1;
}

static bool swaps(int orientation)
{
    return orientation >= 5;
}

static const bool from_right[9] = {[2] = true, [3] = true, [7] = true, [8] = true};
static const bool from_bottom[9] = {[3] = true, [4] = true, [6] = true, [7] = true};

static void turn_row(struct shrinker *shrinker, int orientation, int upright_y, int upright_width)
{
    for (int upright_x = 0; upright_x < upright_width; upright_x++) {
        int x = swaps(orientation) ? upright_y : upright_x, y = swaps(orientation) ? upright_x : upright_y;
        x = from_right[orientation] ? shrinker->width - 1 - x : x;
        y = from_bottom[orientation] ? shrinker->height - 1 - y : y;
        memcpy(shrinker->line + (size_t)upright_x * COLOURS,
               shrinker->small + ((size_t)y * (size_t)shrinker->width + (size_t)x) * COLOURS, COLOURS);
    }
}

struct owl_jpeg_part owl_jpeg_part_turned(const struct owl_jpeg_part *part, int orientation)
{
    int known = known_orientation(orientation);
    struct owl_jpeg_part p = *part;
    if (from_right[known])
        p = (struct owl_jpeg_part){1.0 - p.right, p.top, 1.0 - p.left, p.bottom};
    if (from_bottom[known])
        p = (struct owl_jpeg_part){p.left, 1.0 - p.bottom, p.right, 1.0 - p.top};
    return swaps(known) ? (struct owl_jpeg_part){p.top, p.left, p.bottom, p.right} : p;
}

/* ---- writing ---- */

static void begin_file(j_compress_ptr jpeg)
{
    (void)jpeg;
}

/* The room is the most a file of this size can need; one that wants more is no picture. */
static boolean no_more_room(j_compress_ptr jpeg)
{
    jpeg->err->error_exit((j_common_ptr)jpeg);
    return FALSE;
}

static void finish_file(j_compress_ptr jpeg)
{
    (void)jpeg;
}

static void begin_writing(struct shrinker *shrinker, int orientation, int quality)
{
    struct jpeg_compress_struct *jpeg = &shrinker->writing;
    jpeg->err = owl_jpeg_reading_errors(&shrinker->errors);
    jpeg->client_data = &shrinker->reading;
    jpeg_create_compress(jpeg);
    jpeg->client_data = &shrinker->reading;
    jpeg->mem->max_memory_to_use = OWL_JPEG_MEMORY_MOST;
    shrinker->destination = (struct jpeg_destination_mgr){.next_output_byte = shrinker->file, .free_in_buffer = shrinker->room,
        .init_destination = begin_file, .empty_output_buffer = no_more_room, .term_destination = finish_file};
    jpeg->dest = &shrinker->destination;
    jpeg->image_width = (JDIMENSION)(swaps(orientation) ? shrinker->height : shrinker->width);
    jpeg->image_height = (JDIMENSION)(swaps(orientation) ? shrinker->width : shrinker->height);
    jpeg->input_components = COLOURS;
    jpeg->in_color_space = JCS_RGB;
    jpeg_set_defaults(jpeg);
    jpeg_set_quality(jpeg, quality, TRUE);
    jpeg->optimize_coding = TRUE;
}

static void write_file(struct shrinker *shrinker, int orientation, int quality)
{
    struct jpeg_compress_struct *jpeg = &shrinker->writing;
    begin_writing(shrinker, orientation, quality);
    jpeg_start_compress(jpeg, TRUE);
    for (int y = 0; y < (int)jpeg->image_height; y++) {
        JSAMPROW line = shrinker->line;
        turn_row(shrinker, orientation, y, (int)jpeg->image_width);
        (void)jpeg_write_scanlines(jpeg, &line, 1);
    }
    jpeg_finish_compress(jpeg);
    shrinker->length = shrinker->room - shrinker->destination.free_in_buffer;
}

/* ---- all of it ---- */

static int shorter_side(uint32_t other, uint32_t longest, int long_side_px)
{
    uint64_t side = ((uint64_t)other * (uint32_t)long_side_px + longest / 2) / longest;
    return side < 1 ? 1 : (int)side;
}

static void choose_size(struct shrinker *shrinker, int long_side_px)
{
    uint32_t width = shrinker->reading.jpeg.image_width, height = shrinker->reading.jpeg.image_height;
    uint32_t longest = width > height ? width : height;
    if (longest < (uint32_t)long_side_px)
        long_side_px = (int)longest;
    shrinker->width = shorter_side(width, longest, long_side_px);
    shrinker->height = shorter_side(height, longest, long_side_px);
}

static size_t whole_blocks(int side)
{
    return (size_t)((side + BLOCK - 1) / BLOCK * BLOCK);
}

static bool make_room(struct shrinker *shrinker)
{
    size_t width = (size_t)shrinker->width * COLOURS, height = (size_t)shrinker->height;
    size_t longest = width > height * COLOURS ? width : height * COLOURS;
    shrinker->room = whole_blocks(shrinker->width) * whole_blocks(shrinker->height) * COLOURS + HEAD_BYTES;
    shrinker->row = malloc((size_t)shrinker->reading.jpeg.output_width * COLOURS);
    shrinker->across = malloc(width * sizeof *shrinker->across);
    shrinker->sum = calloc(width, sizeof *shrinker->sum);
    shrinker->small = malloc(width * height);
    shrinker->line = malloc(longest);
    shrinker->file = malloc(shrinker->room);
    return shrinker->row && shrinker->across && shrinker->sum && shrinker->small && shrinker->line && shrinker->file;
}

/* The file leaves with the caller, the rest goes. */
static void end(struct shrinker *shrinker)
{
    owl_jpeg_reading_end(&shrinker->reading);
    jpeg_destroy_compress(&shrinker->writing);
    free(shrinker->row);
    free(shrinker->across);
    free(shrinker->sum);
    free(shrinker->small);
    free(shrinker->line);
    free(shrinker->file);
    free(shrinker);
}

static void hand_over(struct shrinker *shrinker, uint8_t **out, size_t *out_length, long *warnings)
{
    uint8_t *trimmed = realloc(shrinker->file, shrinker->length);
    *out = trimmed ? trimmed : shrinker->file;
    *out_length = shrinker->length;
    *warnings = shrinker->reading.errors.num_warnings;
    shrinker->file = NULL;
}

enum owl_status owl_jpeg_small(const uint8_t *bytes, size_t length, int long_side_px, int quality, int orientation,
                               uint8_t **out, size_t *out_length, long *warnings)
{
    if (long_side_px < 1 || long_side_px > OWL_JPEG_SMALL_SIDE_MOST || quality < 1 || quality > 100)
        return OWL_OUTSIDE_DOMAIN;
    struct shrinker *shrinker = calloc(1, sizeof *shrinker);
    if (!shrinker)
        return OWL_NO_MEMORY;
    volatile enum owl_status status = OWL_CANNOT_READ;
    if (setjmp(shrinker->reading.escape) == 0) {
        owl_jpeg_reading_begin(&shrinker->reading, bytes, length);
        if (owl_jpeg_reading_within_limits(&shrinker->reading)) {
            choose_size(shrinker, long_side_px);
            owl_jpeg_reading_start(&shrinker->reading, JCS_RGB, shrinker->width, shrinker->height);
            status = make_room(shrinker) ? OWL_OK : OWL_NO_MEMORY;
        }
        if (status == OWL_OK) {
            shrink(shrinker);
            write_file(shrinker, known_orientation(orientation), quality);
        }
    } else {
        status = OWL_CANNOT_READ;
    }
    if (status == OWL_OK)
        hand_over(shrinker, out, out_length, warnings);
    end(shrinker);
    return status;
}
