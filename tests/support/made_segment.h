/* The marker segments of a camera's JPEG file, built byte by byte: the notes of the shot [exif] and the index of the
   pictures in the file [dc007]. Both are a small TIFF file behind a name. Nothing is allocated. */
#ifndef OWL_TESTS_MADE_SEGMENT_H
#define OWL_TESTS_MADE_SEGMENT_H

#include "support/made_jpeg.h"

#define MADE_SEGMENT_MOST 65533 /* a segment counts its own two bytes of length */

struct made_segment {
    uint8_t bytes[MADE_SEGMENT_MOST];
    size_t length; /* past the end: it did not fit */
    bool big_endian;
};

/* The notes of a shot and its thumbnail's JPEG bytes. width, height: of the picture itself. */
void made_segment_notes(struct made_segment *segment, const struct made_jpeg_wish *wish, int width, int height,
                        const uint8_t *thumbnail, size_t thumbnail_bytes);

/* The index of two pictures in one file. second_from: bytes from made_segment_index_origin of this segment to the second
   picture. Its length is always the same, so that it can be written again when the sizes are known. */
void made_segment_index(struct made_segment *segment, const struct made_jpeg_wish *wish, size_t first_bytes,
                        size_t second_bytes, size_t second_from);

/* Where offsets count from, bytes from the segment's beginning. */
size_t made_segment_index_origin(void);

#endif
