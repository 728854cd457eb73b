/* libjpeg at work, held within limits. Its errors jump; they are caught here and go no further. */
#include "image/jpeg.h"

#include <setjmp.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <jpeglib.h>

#define SCANS_MOST 60
#define MEMORY_MOST (256L << 20)
#define EIGHTHS 8

/* libjpeg finds this through its own structures, which must come first. */
struct decoder {
    struct jpeg_decompress_struct jpeg;
    struct jpeg_error_mgr errors;
    struct jpeg_progress_mgr progress;
    jmp_buf escape;
    uint8_t *row;  /* one decoded row */
    uint32_t *sum; /* of the rows that fall on one row of the result */
};

static void jump_out(j_common_ptr common)
{
    struct decoder *decoder = common->client_data;
    longjmp(decoder->escape, 1);
}

/* Nothing is printed; warnings are counted by libjpeg's own rule. */
static void note_message(j_common_ptr common, int level)
{
    if (level < 0)
        common->err->num_warnings++;
}

/* A file of a few kilobytes can ask for thousands of passes over a huge picture. */
static void watch_scans(j_common_ptr common)
{
    struct decoder *decoder = common->client_data;
    if (decoder->jpeg.input_scan_number > SCANS_MOST)
        longjmp(decoder->escape, 1);
}

static void begin(struct decoder *decoder, const uint8_t *bytes, size_t length)
{
    decoder->jpeg.err = jpeg_std_error(&decoder->errors);
    decoder->errors.error_exit = jump_out;
    decoder->errors.emit_message = note_message;
    decoder->jpeg.client_data = decoder;
    jpeg_create_decompress(&decoder->jpeg);
    decoder->jpeg.client_data = decoder;
    decoder->jpeg.mem->max_memory_to_use = MEMORY_MOST;
    decoder->progress.progress_monitor = watch_scans;
    decoder->jpeg.progress = &decoder->progress;
    jpeg_mem_src(&decoder->jpeg, bytes, length);
    (void)jpeg_read_header(&decoder->jpeg, TRUE);
}

static bool within_limits(const struct decoder *decoder)
{
    const struct jpeg_decompress_struct *jpeg = &decoder->jpeg;
    return jpeg->image_width >= 1 && jpeg->image_height >= 1 && jpeg->image_width <= OWL_JPEG_SIDE_MOST &&
           jpeg->image_height <= OWL_JPEG_SIDE_MOST &&
           (double)jpeg->image_width * (double)jpeg->image_height <= OWL_JPEG_PIXELS_MOST;
}

static void end(struct decoder *decoder)
{
    jpeg_destroy_decompress(&decoder->jpeg);
    free(decoder->row);
    free(decoder->sum);
    free(decoder);
}

enum owl_status owl_jpeg_size_of(const uint8_t *bytes, size_t length, struct owl_jpeg_size *size)
{
    struct decoder *decoder = calloc(1, sizeof *decoder);
    if (!decoder)
        return OWL_NO_MEMORY;
    volatile enum owl_status status = OWL_CANNOT_READ;
    if (setjmp(decoder->escape) == 0) {
        begin(decoder, bytes, length);
        if (within_limits(decoder)) {
            *size = (struct owl_jpeg_size){(int)decoder->jpeg.image_width, (int)decoder->jpeg.image_height};
            status = OWL_OK;
        }
    }
    end(decoder);
    return status;
}

/* The smallest scale that still gives all pixels wanted: at an eighth only the mean of each block is computed. */
static void choose_scale(struct jpeg_decompress_struct *jpeg, int width, int height)
{
    unsigned int eighths = 1;
    while (eighths < EIGHTHS && (jpeg->image_width * eighths / EIGHTHS < (unsigned int)width ||
                                 jpeg->image_height * eighths / EIGHTHS < (unsigned int)height))
        eighths *= 2;
    jpeg->scale_num = eighths;
    jpeg->scale_denom = EIGHTHS;
    jpeg->out_color_space = JCS_GRAYSCALE;
    jpeg->dct_method = JDCT_ISLOW;
    jpeg->do_fancy_upsampling = FALSE;
}

/* The decoded pixels [from, to) that one of `count` stands for, of `all`; at least one. */
static void range_of(unsigned int all, int count, int place, unsigned int *from, unsigned int *to)
{
    *from = (unsigned int)((uint64_t)all * (unsigned int)place / (unsigned int)count);
    *to = (unsigned int)((uint64_t)all * ((unsigned int)place + 1u) / (unsigned int)count);
    if (*to <= *from)
        *to = *from + 1;
}

static void add_row(struct decoder *decoder, int width)
{
    for (int x = 0; x < width; x++) {
        unsigned int from, to;
        range_of(decoder->jpeg.output_width, width, x, &from, &to);
        for (unsigned int i = from; i < to; i++)
            decoder->sum[x] += decoder->row[i];
    }
}

static void write_row(const struct decoder *decoder, int width, unsigned int rows, uint8_t *level)
{
    for (int x = 0; x < width; x++) {
        unsigned int from, to;
        range_of(decoder->jpeg.output_width, width, x, &from, &to);
        uint32_t pixels = (to - from) * rows;
        level[x] = (uint8_t)((decoder->sum[x] + pixels / 2) / pixels);
    }
}

/* Rows come once and in order; where the picture is smaller than asked for, the last one serves again. */
static void read_rows(struct decoder *decoder, int width, int height, uint8_t *level)
{
    struct jpeg_decompress_struct *jpeg = &decoder->jpeg;
    unsigned int read = 0;
    for (int y = 0; y < height; y++) {
        unsigned int from, to;
        range_of(jpeg->output_height, height, y, &from, &to);
        memset(decoder->sum, 0, (size_t)width * sizeof *decoder->sum);
        for (unsigned int row = from; row < to; row++) {
            JSAMPROW into = decoder->row;
            for (; read <= row && read < jpeg->output_height; read++)
                (void)jpeg_read_scanlines(jpeg, &into, 1);
            add_row(decoder, width);
        }
        write_row(decoder, width, to - from, level + (size_t)y * (size_t)width);
    }
}

enum owl_status owl_jpeg_luma(const uint8_t *bytes, size_t length, int width, int height, uint8_t *level, long *warnings)
{
    struct decoder *decoder = calloc(1, sizeof *decoder);
    if (!decoder)
        return OWL_NO_MEMORY;
    volatile enum owl_status status = OWL_CANNOT_READ;
    if (setjmp(decoder->escape) == 0) {
        begin(decoder, bytes, length);
        if (within_limits(decoder)) {
            choose_scale(&decoder->jpeg, width, height);
            (void)jpeg_start_decompress(&decoder->jpeg);
            decoder->row = malloc(decoder->jpeg.output_width);
            decoder->sum = malloc((size_t)width * sizeof *decoder->sum);
            status = decoder->row && decoder->sum ? OWL_OK : OWL_NO_MEMORY;
            if (status == OWL_OK)
                read_rows(decoder, width, height, level);
            *warnings = decoder->errors.num_warnings;
        }
    } else {
        status = OWL_CANNOT_READ;
    }
    end(decoder);
    return status;
}
