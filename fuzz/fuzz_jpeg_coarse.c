/* Any bytes through the coarse JPEG decoder, against libjpeg: what the one accepts the other must read without a warning, and
   the pictures must be the same. */
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "support/eighth.h"

#include "image/jpeg_coarse.h"

#define PIXELS_MOST 4e6 /* larger pictures out of a few bytes only cost time */

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void demand(int holds)
{
    if (!holds)
        abort();
}

/* The size the first frame header claims, taken without the code under test; 0 x 0: none found. */
static struct owl_jpeg_size claimed_size(const uint8_t *data, size_t size)
{
    size_t at = 2;
    while (at + 9 <= size) {
        if (data[at] != 0xFF) {
            at++;
        } else if (data[at + 1] == 0xC0 || data[at + 1] == 0xC1) {
            return (struct owl_jpeg_size){data[at + 7] << 8 | data[at + 8], data[at + 5] << 8 | data[at + 6]};
        } else if (data[at + 1] == 0xFF) {
            at++;
        } else {
            at += 2 + (size_t)(data[at + 2] << 8 | data[at + 3]);
        }
    }
    return (struct owl_jpeg_size){0, 0};
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct owl_jpeg_size claimed = claimed_size(data, size), coarse = owl_jpeg_coarse_size(&claimed);
    if ((double)claimed.width * claimed.height > PIXELS_MOST)
        return 0;
    size_t pixels = (size_t)coarse.width * (size_t)coarse.height;
    uint8_t *level = malloc(pixels + 1);
    demand(level != NULL);
    const struct owl_jpeg_coarse picture = {coarse.width, coarse.height, level};
    if (owl_jpeg_coarse(data, size, &picture) == OWL_OK) {
        struct eighth eighth;
        demand(eighth_read(data, size, PIXELS_MOST, &eighth) == 0);
        demand(eighth.width == coarse.width && eighth.height == coarse.height);
        demand(memcmp(eighth.level, level, pixels) == 0);
        free(eighth.level);
    }
    free(level);
    return 0;
}
