/* Grey pictures out of JPEG files: against the pixels that went in, and whatever is wrong with the file. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "support/check.h"
#include "support/made_jpeg.h"

#include "image/jpeg.h"

#define WIDTH 640
#define HEIGHT 424
#define SMALL_WIDTH 80
#define SMALL_HEIGHT 53

static uint8_t rgb[3 * WIDTH * HEIGHT], level[SMALL_WIDTH * SMALL_HEIGHT], other[SMALL_WIDTH * SMALL_HEIGHT];

/* A slope across with a bright block. */
static uint8_t *make_file(size_t *length)
{
    for (int y = 0; y < HEIGHT; y++)
        for (int x = 0; x < WIDTH; x++) {
            bool block = x >= 320 && x < 400 && y >= 160 && y < 240;
            memset(&rgb[3 * (y * WIDTH + x)], block ? 240 : 20 + x / 8, 3);
        }
    const struct made_picture picture = {WIDTH, HEIGHT, rgb};
    const struct made_jpeg_wish wish = {.quality = 92, .bare = true};
    uint8_t *bytes = made_jpeg(&picture, &wish, length);
    assert_non_null(bytes);
    return bytes;
}

/* identity: the small picture is the mean of what went in, but for the file's quantisation: three levels */
static void test_jpeg_luma_is_the_mean(void **state)
{
    (void)state;
    size_t length = 0;
    long warnings = 0;
    struct owl_jpeg_size size;
    uint8_t *bytes = make_file(&length);
    assert_int_equal(owl_jpeg_size_of(bytes, length, &size), OWL_OK);
    assert_true(size.width == WIDTH && size.height == HEIGHT);
    assert_int_equal(owl_jpeg_luma(bytes, length, SMALL_WIDTH, SMALL_HEIGHT, level, &warnings), OWL_OK);
    assert_int_equal(warnings, 0);
    for (int y = 0; y < SMALL_HEIGHT; y++)
        for (int x = 0; x < SMALL_WIDTH; x++) {
            bool block = x >= 40 && x < 50 && y >= 20 && y < 30;
            check_near("level", level[y * SMALL_WIDTH + x], block ? 240 : 20 + x, 3.0);
        }
    free(bytes);
}

/* identity: sizes that do not divide, larger than the file too */
static void test_jpeg_luma_of_any_size(void **state)
{
    (void)state;
    static uint8_t large[1000 * 700];
    const int sizes[][2] = {{1, 1}, {7, 5}, {384, 254}, {641, 425}, {1000, 700}};
    size_t length = 0;
    long warnings = 0;
    uint8_t *bytes = make_file(&length);
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
        int width = sizes[i][0], height = sizes[i][1];
        assert_int_equal(owl_jpeg_luma(bytes, length, width, height, large, &warnings), OWL_OK);
        check_near("last pixel", large[width * height - 1], width == 1 ? 61 : 98 - 40.0 / width, width < 10 ? 8.0 : 3.0);
    }
    free(bytes);
}

/* fault: files cut anywhere give a picture with warnings or a clear refusal; nothing else happens */
static void test_jpeg_survives_cuts_and_flips(void **state)
{
    (void)state;
    size_t length = 0;
    long warnings = 0;
    uint8_t *bytes = make_file(&length);
    int refused = 0, warned = 0;
    for (size_t cut = 0; cut < length; cut += 97) {
        enum owl_status status = owl_jpeg_luma(bytes, cut, SMALL_WIDTH, SMALL_HEIGHT, level, &warnings);
        refused += status == OWL_CANNOT_READ;
        warned += status == OWL_OK && warnings > 0;
        assert_true(status == OWL_CANNOT_READ || status == OWL_OK);
    }
    assert_true(refused > 0 && warned > 0);
    uint32_t chance = 1;
    for (int i = 0; i < 400; i++) {
        chance = chance * 1664525u + 1013904223u;
        size_t at = (size_t)(chance >> 8) % length;
        bytes[at] ^= (uint8_t)(1u << (chance & 7u));
        (void)!owl_jpeg_luma(bytes, length, SMALL_WIDTH, SMALL_HEIGHT, other, &warnings);
        bytes[at] ^= (uint8_t)(1u << (chance & 7u));
    }
    free(bytes);
}

/* fault: what is no picture is refused, and so is one that claims to be enormous */
static void test_jpeg_refuses(void **state)
{
    (void)state;
    struct owl_jpeg_size size;
    long warnings = 0;
    assert_int_equal(owl_jpeg_size_of((const uint8_t *)"", 0, &size), OWL_CANNOT_READ);
    assert_int_equal(owl_jpeg_size_of((const uint8_t *)"no picture at all", 17, &size), OWL_CANNOT_READ);
    size_t length = 0;
    uint8_t *bytes = make_file(&length);
    for (size_t i = 0; i + 9 < length; i++)
        if (bytes[i] == 0xFF && bytes[i + 1] == 0xC0) { /* its last frame header is the picture's own */
            bytes[i + 5] = bytes[i + 7] = 0xFF;
            bytes[i + 6] = bytes[i + 8] = 0xDC;
        }
    assert_int_equal(owl_jpeg_size_of(bytes, length, &size), OWL_CANNOT_READ);
    assert_int_equal(owl_jpeg_luma(bytes, length, SMALL_WIDTH, SMALL_HEIGHT, level, &warnings), OWL_CANNOT_READ);
    free(bytes);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_jpeg_luma_is_the_mean), cmocka_unit_test(test_jpeg_luma_of_any_size),
        cmocka_unit_test(test_jpeg_survives_cuts_and_flips), cmocka_unit_test(test_jpeg_refuses),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
