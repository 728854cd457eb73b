/* libpng at work. Its errors jump; they are caught here and go no further. */
#include "image/png.h"

#include <png.h>
#include <setjmp.h>
#include <stdlib.h>
#include <string.h>

struct heap {
    uint8_t *bytes;
    size_t length, room;
};

static void take_bytes(png_structp writer, png_bytep bytes, size_t count)
{
    struct heap *heap = png_get_io_ptr(writer);
    if (heap->length + count > heap->room) {
        size_t room = (heap->length + count) * 2;
        uint8_t *moved = realloc(heap->bytes, room);
        if (!moved)
            png_error(writer, "no memory");
        heap->bytes = moved;
        heap->room = room;
    }
    memcpy(heap->bytes + heap->length, bytes, count);
    heap->length += count;
}

static void flush_nothing(png_structp writer)
{
    (void)writer;
}

static void write_picture(png_structp writer, png_infop info, int width, int height, const uint8_t *rgb, const char *title)
{
    char key[] = "Title";
    png_text text = {.compression = PNG_TEXT_COMPRESSION_NONE, .key = key, .text = (char *)(uintptr_t)title};
    png_set_IHDR(writer, info, (png_uint_32)width, (png_uint_32)height, 8, PNG_COLOR_TYPE_RGB, PNG_INTERLACE_NONE,
                 PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
    png_set_sRGB(writer, info, PNG_sRGB_INTENT_PERCEPTUAL);
    png_set_text(writer, info, &text, 1);
    png_write_info(writer, info);
    for (int row = 0; row < height; row++)
        png_write_row(writer, (png_const_bytep)rgb + (size_t)row * (size_t)width * 3);
    png_write_end(writer, NULL);
}

enum owl_status owl_png_encode(int width, int height, const uint8_t *rgb, const char *title, struct owl_png *png)
{
    struct heap heap = {0};
    png_structp writer = png_create_write_struct(PNG_LIBPNG_VER_STRING, NULL, NULL, NULL);
    png_infop info = writer ? png_create_info_struct(writer) : NULL;
    if (!info || setjmp(png_jmpbuf(writer))) {
        png_destroy_write_struct(&writer, &info);
        free(heap.bytes);
        return OWL_NO_MEMORY;
    }
    png_set_write_fn(writer, &heap, take_bytes, flush_nothing);
    write_picture(writer, info, width, height, rgb, title);
    png_destroy_write_struct(&writer, &info);
    *png = (struct owl_png){heap.bytes, heap.length};
    return OWL_OK;
}
