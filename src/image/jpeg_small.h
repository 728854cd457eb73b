/* Small colour pictures out of JPEG files, as JPEG files again, for pages and contact prints. */
#ifndef OWL_IMAGE_JPEG_SMALL_H
#define OWL_IMAGE_JPEG_SMALL_H

#include <stddef.h>
#include <stdint.h>

#include "core/status.h"

#define OWL_JPEG_SMALL_SIDE_MOST 2048

/* The picture with its longer side brought to long_side_px (1..OWL_JPEG_SMALL_SIDE_MOST), never enlarged, by means over areas,
   and turned upright by its orientation (1..8 as [exif] counts; any other number counts as 1). The result is a baseline file
   of YCbCr at `quality` (1..100) without any of the first one's metadata: its colours are taken for those of [iec61966],
   which a picture in a wider space leaves a little pale. *out is a block of malloc and the caller's, *out_length its bytes.
   *warnings counts what the decoder found wrong and went on from; with any, part of the picture may be grey.
   The limits are those of image/jpeg.h. OWL_OUTSIDE_DOMAIN: side or quality out of range; OWL_CANNOT_READ: no JPEG, one
   beyond the limits, or in inks (CMYK); OWL_NO_MEMORY; *out is then untouched. */
enum owl_status owl_jpeg_small(const uint8_t *bytes, size_t length, int long_side_px, int quality, int orientation,
                               uint8_t **out, size_t *out_length, long *warnings) OWL_MUST_USE;

/* A part of a picture, in shares of its sides from the top left. */
struct owl_jpeg_part {
    double left, top, right, bottom;
};

/* Where a part of the picture as stored lies when it is turned upright. */
struct owl_jpeg_part owl_jpeg_part_turned(const struct owl_jpeg_part *part, int orientation);

#endif
