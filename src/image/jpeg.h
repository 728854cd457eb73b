/* Small grey pictures out of JPEG files, whatever is wrong with the file. */
#ifndef OWL_IMAGE_JPEG_H
#define OWL_IMAGE_JPEG_H

#include <stddef.h>
#include <stdint.h>

#include "core/status.h"

#define OWL_JPEG_SIDE_MOST 65500
#define OWL_JPEG_PIXELS_MOST 200e6 /* no camera of this trade makes larger ones; a bomb may claim them */

struct owl_jpeg_size {
    int width, height; /* as stored, before any turning */
};

/* The size a JPEG file claims. OWL_CANNOT_READ: it is none, or claims more than the limits; OWL_NO_MEMORY. */
enum owl_status owl_jpeg_size_of(const uint8_t *bytes, size_t length, struct owl_jpeg_size *size) OWL_MUST_USE;

/* Its luma, brought to width x height by mean over areas: level[width height], rows from the top. *warnings counts what the
   decoder found wrong and went on from; with any, part of the picture may be grey. Sides 1 and up; where the file is smaller
   its pixels are repeated. Progressive files of more than 60 scans are refused. OWL_CANNOT_READ, OWL_NO_MEMORY; level is
   then without meaning. */
enum owl_status owl_jpeg_luma(const uint8_t *bytes, size_t length, int width, int height, uint8_t *level,
                              long *warnings) OWL_MUST_USE;

#endif
