/* The picture that a raw file carries with it, for the makes whose files owl_metadata_read does not know. A library that knows
   them reads the file apart, in a child process behind limits: such files are many, old and odd, and it has crashed on some. */
#ifndef OWL_CARD_RAW_PREVIEW_H
#define OWL_CARD_RAW_PREVIEW_H

#include <stddef.h>
#include <stdint.h>

#include "core/status.h"

struct owl_raw_preview {
    uint8_t *bytes; /* a JPEG file, as stored; from malloc, the caller's; whether it can be decoded is for the decoder to say */
    size_t length;  /* never 0 */
    double taken_local_s; /* when it was taken by the camera's clock, as seconds since 1970-01-01T00:00 of that clock; NaN */
    double exposure_s, f_number, iso, focal_m; /* above 0; NaN: not told */
    int orientation;      /* 3, 6 or 8 of [exif]; 0: not told, or upright */
};

/* Reads the preview of an open file of so many bytes; the place it is read at is not moved. Call it while the program has one
   thread (card/fenced.h says why); a few hundredths of a second each. OWL_CANNOT_READ: the file has none that is JPEG, its
   make is unknown, it is above 512 MB, it cost the reader more than 1 GB, 5 s of work or 20 s in all, the reader crashed on
   it, or owllight was built without a reader; OWL_NO_MEMORY. *preview is untouched on failure. */
enum owl_status owl_raw_preview(int file, uint64_t size, struct owl_raw_preview *preview) OWL_MUST_USE;

#endif
