/* JPEG files as a camera writes them, for tests and benches: the picture by the system's JPEG library, the marker segments
   by code of our own, so that what reads them is tried against bytes it had no part in. */
#ifndef OWL_TESTS_MADE_JPEG_H
#define OWL_TESTS_MADE_JPEG_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define MADE_MAKE "owllight tests"
#define MADE_MODEL "rendered"
#define MADE_SOFTWARE "owllight made_jpeg"
#define MADE_THUMBNAIL_WIDTH 160
#define MADE_THUMBNAIL_HEIGHT 120

/* Red, green, blue bytes, rows from the top. */
struct made_picture {
    int width, height;
    uint8_t *rgb;
};

/* What the camera notes down about a frame. */
struct made_shot {
    int64_t taken_unix_s;      /* whole seconds; written by a clock so far ahead of UTC: */
    int clock_minutes;
    int hundredths;            /* of the second, 0..99 */
    double exposure_s, aperture, focal_m;
    int iso;                   /* 1..65535 */
    bool flash_fired;
    int orientation;           /* 1..8 as [exif] counts, 1: upright */
};

struct made_jpeg_wish {
    struct made_shot shot;
    int quality;               /* 1..100 */
    bool whole_colour;         /* 4:4:4, not the cameras' usual 4:2:0 */
    bool big_endian;           /* order of the numbers in the marker segments */
    bool bare;                 /* no marker segments at all */
    int preview_width;         /* of a second picture after the first, found by a multi-picture index [dc007]; 0: none */
    int rows_between_restarts; /* in rows of coding blocks; 0: none */
};

/* The whole file in a block of malloc, its length in *length. The program stops when there is no memory. */
uint8_t *made_jpeg(const struct made_picture *picture, const struct made_jpeg_wish *wish, size_t *length);

/* The picture at another size: the mean of what falls into a pixel when it shrinks, straight lines between pixels when it
   grows. rgb in a block of malloc. */
struct made_picture made_picture_scaled(const struct made_picture *picture, int width, int height);

#endif
