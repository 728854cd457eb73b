/* libjpeg held within limits: what all readers of JPEG files in this room share. Private to src/image. */
#ifndef OWL_IMAGE_JPEG_READING_H
#define OWL_IMAGE_JPEG_READING_H

#include <setjmp.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <jpeglib.h>

#define OWL_JPEG_MEMORY_MOST (256L << 20) /* bytes libjpeg may hold for one picture */

/* Part of what a reader holds, all zero at first. libjpeg's errors jump to `escape`, which the reader sets by setjmp before
   it calls anything here; what it looks at after such a jump must not live in its own registers. */
struct owl_jpeg_reading {
    struct jpeg_decompress_struct jpeg;
    struct jpeg_error_mgr errors; /* num_warnings: what was wrong and gone on from */
    struct jpeg_progress_mgr progress;
    jmp_buf escape;
};

/* Errors that jump and messages that only count, for a structure whose client_data is an owl_jpeg_reading. */
struct jpeg_error_mgr *owl_jpeg_reading_errors(struct jpeg_error_mgr *errors);

/* Reads the header; bytes must stay. The caller then asks owl_jpeg_reading_within_limits, before anything is decoded. */
void owl_jpeg_reading_begin(struct owl_jpeg_reading *reading, const uint8_t *bytes, size_t length);
bool owl_jpeg_reading_within_limits(const struct owl_jpeg_reading *reading);

/* Starts decoding at the smallest scale that still gives width x height, or all there is; the size it comes at is in
   jpeg.output_width and jpeg.output_height. */
void owl_jpeg_reading_start(struct owl_jpeg_reading *reading, J_COLOR_SPACE colours, int width, int height);

/* At any point, also before it began. */
void owl_jpeg_reading_end(struct owl_jpeg_reading *reading);

#endif
