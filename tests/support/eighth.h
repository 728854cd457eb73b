/* A JPEG's luma at an eighth of its size as libjpeg reads it, up to the end marker: what the coarse decoder is held against. */
#ifndef OWL_TESTS_EIGHTH_H
#define OWL_TESTS_EIGHTH_H

#include <stddef.h>
#include <stdint.h>

#define EIGHTH_REFUSED (-1L)

struct eighth {
    int width, height;
    uint8_t *level; /* a block of malloc and the caller's; NULL when refused */
};

/* The warnings libjpeg gave, or EIGHTH_REFUSED: an error, or more pixels than that. */
long eighth_read(const uint8_t *bytes, size_t length, double pixels_most, struct eighth *eighth);

#endif
