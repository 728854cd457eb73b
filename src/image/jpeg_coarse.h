/* The luma of an ordinary camera JPEG at an eighth of its size, several times as fast as a decoder for everything does it.
   Owns nothing and allocates nothing. */
#ifndef OWL_IMAGE_JPEG_COARSE_H
#define OWL_IMAGE_JPEG_COARSE_H

#include <stddef.h>
#include <stdint.h>

#include "core/status.h"
#include "image/jpeg.h"

#define OWL_JPEG_COARSE_SCALE 8 /* pixels of the file along each side of one of ours */

/* The size of the coarse picture: an eighth of the file's, rounded up. */
struct owl_jpeg_size owl_jpeg_coarse_size(const struct owl_jpeg_size *file);

/* Where the coarse picture goes: rows from the top, width x height as owl_jpeg_coarse_size tells for the file. */
struct owl_jpeg_coarse {
    int width, height;
    uint8_t *level;
};

/* The mean of each block of 8 x 8 luma samples, which is its DC coefficient, rounded and limited to 0..255: the same bytes
   as libjpeg's at the scale 1/8 in grey.
   For files of sequential Huffman coding with 8 bits a sample, of luma alone or luma and two chroma components in one scan,
   where none is finer than luma [t81]. OWL_CANNOT_READ: not a file for this decoder, whether unusual, cut or damaged in any way
   that shows before its end marker; another decoder has to say which. OWL_NO_ROOM: width and height are not the file's.
   The picture is without meaning after either. Uses about 50 kB of stack. */
enum owl_status owl_jpeg_coarse(const uint8_t *bytes, size_t length, const struct owl_jpeg_coarse *picture) OWL_MUST_USE;

#endif
