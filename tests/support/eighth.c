/* libjpeg the plain way, with errors that jump and warnings that count. */
#include "support/eighth.h"

#include <setjmp.h>
#include <stdio.h>
#include <stdlib.h>

#include <jpeglib.h>

struct reading {
    struct jpeg_decompress_struct jpeg;
    struct jpeg_error_mgr errors;
    jmp_buf escape;
    struct eighth *eighth;
};

static void jump_out(j_common_ptr common)
{
    struct reading *reading = common->client_data;
    longjmp(reading->escape, 1);
}

static void count_warnings(j_common_ptr common, int level)
{
    if (level < 0)
        common->err->num_warnings++;
}

static void read_all(struct reading *reading, double pixels_most)
{
    struct jpeg_decompress_struct *jpeg = &reading->jpeg;
    (void)jpeg_read_header(jpeg, TRUE);
    if ((double)jpeg->image_width * jpeg->image_height > pixels_most)
        longjmp(reading->escape, 1);
    jpeg->scale_num = 1;
    jpeg->scale_denom = 8;
    jpeg->out_color_space = JCS_GRAYSCALE;
    jpeg->dct_method = JDCT_ISLOW;
    (void)jpeg_start_decompress(jpeg);
    reading->eighth->width = (int)jpeg->output_width;
    reading->eighth->height = (int)jpeg->output_height;
    reading->eighth->level = malloc((size_t)jpeg->output_width * jpeg->output_height);
    if (!reading->eighth->level)
        abort();
    while (jpeg->output_scanline < jpeg->output_height) {
        JSAMPROW row = reading->eighth->level + (size_t)jpeg->output_scanline * jpeg->output_width;
        (void)jpeg_read_scanlines(jpeg, &row, 1);
    }
    (void)jpeg_finish_decompress(jpeg);
}

long eighth_read(const uint8_t *bytes, size_t length, double pixels_most, struct eighth *eighth)
{
    struct reading *reading = calloc(1, sizeof *reading);
    volatile long warnings = EIGHTH_REFUSED;
    if (!reading)
        abort();
    *eighth = (struct eighth){0};
    reading->eighth = eighth;
    reading->jpeg.err = jpeg_std_error(&reading->errors);
    reading->errors.error_exit = jump_out;
    reading->errors.emit_message = count_warnings;
    if (setjmp(reading->escape) == 0) {
        jpeg_create_decompress(&reading->jpeg);
        reading->jpeg.client_data = reading;
        jpeg_mem_src(&reading->jpeg, bytes, length);
        read_all(reading, pixels_most);
        warnings = reading->errors.num_warnings;
    } else {
        free(eighth->level);
        eighth->level = NULL;
    }
    jpeg_destroy_decompress(&reading->jpeg);
    free(reading);
    return warnings;
}
