/* The marker segments before the picture of a JPEG file in memory [t81]. Nothing is allocated; bytes are borrowed. */
#ifndef OWL_CARD_JPEG_SEGMENTS_H
#define OWL_CARD_JPEG_SEGMENTS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "card/metadata_fault.h"

#define OWL_JPEG_APP1 0xe1 /* Exif [exif] */
#define OWL_JPEG_APP2 0xe2 /* index of several pictures [dc007] */

struct owl_jpeg_segments {
    const uint8_t *bytes;
    size_t length, at;
    unsigned faults; /* bits of enum owl_metadata_fault */
};

struct owl_jpeg_segment {
    unsigned marker;
    const uint8_t *bytes; /* behind the length field */
    size_t offset;        /* of these bytes in the file */
    size_t length;        /* bytes at hand ... */
    size_t whole;         /* ... and bytes there would be if the file were not cut */
};

/* Whether the bytes begin as a JPEG file does. */
bool owl_jpeg_segments_open(const uint8_t *bytes, size_t length, struct owl_jpeg_segments *segments);

/* The next segment; a cut one is given with what there is of it. False at the picture itself, and with a fault where the
   bytes end or make no sense before. */
bool owl_jpeg_segments_next(struct owl_jpeg_segments *segments, struct owl_jpeg_segment *segment);

/* The size in pixels that a frame header tells; false, outputs untouched, for another segment, a cut one or no size. */
bool owl_jpeg_segment_size(const struct owl_jpeg_segment *segment, int *width, int *height);

#endif
