/* Pictures as PNG files, in memory. */
#ifndef OWL_IMAGE_PNG_H
#define OWL_IMAGE_PNG_H

#include <stddef.h>
#include <stdint.h>

#include "core/status.h"

struct owl_png {
    uint8_t *bytes; /* from malloc; the caller frees it */
    size_t length;
};

/* Encodes rows of red, green, blue as sRGB with a title in it. OWL_NO_MEMORY when there is none; png is then untouched. */
enum owl_status owl_png_encode(int width, int height, const uint8_t *rgb, const char *title, struct owl_png *png) OWL_MUST_USE;

#endif
