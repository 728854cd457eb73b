/* Luma out of JPEG files, row by row. */
#include "image/jpeg.h"

#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "image/jpeg_coarse.h"
#include "image/jpeg_reading.h"

struct decoder {
    struct owl_jpeg_reading reading;
    unsigned int width, height; /* of the decoded picture */
    uint8_t *eighth;            /* all of it, where the coarse decoder read it; else NULL, and rows come from libjpeg */
    uint8_t *row;               /* one decoded row */
    uint32_t *sum;              /* of the rows that fall on one row of the result */
    struct columns *column;     /* what each pixel of the result stands for */
};

struct columns {
    unsigned int from, to;
};

static void end(struct decoder *decoder)
{
    owl_jpeg_reading_end(&decoder->reading);
    free(decoder->eighth);
    free(decoder->row);
    free(decoder->sum);
    free(decoder->column);
    free(decoder);
}

enum owl_status owl_jpeg_size_of(const uint8_t *bytes, size_t length, struct owl_jpeg_size *size)
{
    struct decoder *decoder = calloc(1, sizeof *decoder);
    if (!decoder)
        return OWL_NO_MEMORY;
    volatile enum owl_status status = OWL_CANNOT_READ;
    if (setjmp(decoder->reading.escape) == 0) {
        owl_jpeg_reading_begin(&decoder->reading, bytes, length);
        if (owl_jpeg_reading_within_limits(&decoder->reading)) {
            *size = (struct owl_jpeg_size){(int)decoder->reading.jpeg.image_width, (int)decoder->reading.jpeg.image_height};
            status = OWL_OK;
        }
    }
    end(decoder);
    return status;
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
        uint32_t sum = 0;
        for (unsigned int i = decoder->column[x].from; i < decoder->column[x].to; i++)
            sum += decoder->row[i];
        decoder->sum[x] += sum;
    }
}

static void write_row(const struct decoder *decoder, int width, unsigned int rows, uint8_t *level)
{
    for (int x = 0; x < width; x++) {
        uint32_t pixels = (decoder->column[x].to - decoder->column[x].from) * rows;
        level[x] = (uint8_t)((decoder->sum[x] + pixels / 2) / pixels);
    }
}

static void next_row(struct decoder *decoder, unsigned int y)
{
    JSAMPROW into = decoder->row;
    if (decoder->eighth)
        memcpy(into, decoder->eighth + (size_t)y * decoder->width, decoder->width);
    else
        (void)jpeg_read_scanlines(&decoder->reading.jpeg, &into, 1);
}

/* Rows come once and in order; where the picture is smaller than asked for, the last one serves again. */
static void read_rows(struct decoder *decoder, int width, int height, uint8_t *level)
{
    unsigned int read = 0;
    for (int x = 0; x < width; x++)
        range_of(decoder->width, width, x, &decoder->column[x].from, &decoder->column[x].to);
    for (int y = 0; y < height; y++) {
        unsigned int from, to;
        range_of(decoder->height, height, y, &from, &to);
        memset(decoder->sum, 0, (size_t)width * sizeof *decoder->sum);
        for (unsigned int row = from; row < to; row++) {
            for (; read <= row && read < decoder->height; read++)
                next_row(decoder, read);
            add_row(decoder, width);
        }
        write_row(decoder, width, to - from, level + (size_t)y * (size_t)width);
    }
}

/* Whether an eighth of the file's size is enough and the coarse decoder could read it; it leaves all that is unusual. */
static bool read_eighth(struct decoder *decoder, const uint8_t *bytes, size_t length, int width, int height)
{
    const struct jpeg_decompress_struct *jpeg = &decoder->reading.jpeg;
    const struct owl_jpeg_size file = {(int)jpeg->image_width, (int)jpeg->image_height}, size = owl_jpeg_coarse_size(&file);
    if (file.width / OWL_JPEG_COARSE_SCALE < width || file.height / OWL_JPEG_COARSE_SCALE < height)
        return false;
    decoder->width = (unsigned int)size.width;
    decoder->height = (unsigned int)size.height;
    decoder->eighth = malloc((size_t)size.width * (size_t)size.height);
    const struct owl_jpeg_coarse picture = {size.width, size.height, decoder->eighth};
    if (decoder->eighth && owl_jpeg_coarse(bytes, length, &picture) == OWL_OK)
        return true;
    free(decoder->eighth);
    decoder->eighth = NULL;
    return false;
}

static void start(struct decoder *decoder, const uint8_t *bytes, size_t length, int width, int height)
{
    if (read_eighth(decoder, bytes, length, width, height))
        return;
    owl_jpeg_reading_start(&decoder->reading, JCS_GRAYSCALE, width, height);
    decoder->width = decoder->reading.jpeg.output_width;
    decoder->height = decoder->reading.jpeg.output_height;
}

enum owl_status owl_jpeg_luma(const uint8_t *bytes, size_t length, int width, int height, uint8_t *level, long *warnings)
{
    struct decoder *decoder = calloc(1, sizeof *decoder);
    if (!decoder)
        return OWL_NO_MEMORY;
    volatile enum owl_status status = OWL_CANNOT_READ;
    if (setjmp(decoder->reading.escape) == 0) {
        owl_jpeg_reading_begin(&decoder->reading, bytes, length);
        if (owl_jpeg_reading_within_limits(&decoder->reading)) {
            start(decoder, bytes, length, width, height);
            decoder->row = malloc(decoder->width);
            decoder->sum = malloc((size_t)width * sizeof *decoder->sum);
            decoder->column = malloc((size_t)width * sizeof *decoder->column);
            status = decoder->row && decoder->sum && decoder->column ? OWL_OK : OWL_NO_MEMORY;
            if (status == OWL_OK)
                read_rows(decoder, width, height, level);
            *warnings = decoder->reading.errors.num_warnings;
        }
    } else {
        status = OWL_CANNOT_READ;
    }
    end(decoder);
    return status;
}
