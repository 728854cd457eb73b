/* Small colour pictures out of JPEG files: against the pixels that went in, upright, bare, and whatever is wrong with the
   file. They are read again by libjpeg at full size, the plain way. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <jpeglib.h>

#include "support/check.h"
#include "support/made_jpeg.h"

#include "image/jpeg.h"
#include "image/jpeg_small.h"

#define WIDTH 600
#define HEIGHT 400
#define QUALITY 90

static uint8_t rgb[3 * WIDTH * HEIGHT], seen[3 * 2048 * 2048];
static int seen_width, seen_height;

static uint8_t *make_file(const struct made_jpeg_wish *wish, size_t *length)
{
    const struct made_picture picture = {WIDTH, HEIGHT, rgb};
    uint8_t *bytes = made_jpeg(&picture, wish, length);
    assert_non_null(bytes);
    return bytes;
}

/* Three corners of their own colours, the fourth grey: red first, then green along the first row, blue below the red. */
static uint8_t *make_corners(size_t *length)
{
    static const uint8_t colour[4][3] = {{200, 40, 40}, {40, 180, 40}, {50, 50, 210}, {128, 128, 128}};
    for (int y = 0; y < HEIGHT; y++)
        for (int x = 0; x < WIDTH; x++)
            memcpy(&rgb[3 * (y * WIDTH + x)], colour[(x >= WIDTH / 2) + 2 * (y >= HEIGHT / 2)], 3);
    const struct made_jpeg_wish wish = {.quality = 95, .shot = {.orientation = 6, .iso = 400}, .preview_width = 120};
    return make_file(&wish, length);
}

static void look(const uint8_t *bytes, size_t length)
{
    struct jpeg_decompress_struct jpeg;
    struct jpeg_error_mgr errors;
    jpeg.err = jpeg_std_error(&errors);
    jpeg_create_decompress(&jpeg);
    jpeg_mem_src(&jpeg, bytes, length);
    assert_int_equal(jpeg_read_header(&jpeg, TRUE), JPEG_HEADER_OK);
    assert_false(jpeg.progressive_mode);
    jpeg.out_color_space = JCS_RGB;
    jpeg_start_decompress(&jpeg);
    seen_width = (int)jpeg.output_width;
    seen_height = (int)jpeg.output_height;
    for (uint8_t *row = seen; jpeg.output_scanline < jpeg.output_height; row += 3 * seen_width)
        jpeg_read_scanlines(&jpeg, &row, 1);
    jpeg_finish_decompress(&jpeg);
    jpeg_destroy_decompress(&jpeg);
}

static void shrink(const uint8_t *bytes, size_t length, int long_side_px, int orientation)
{
    uint8_t *small = NULL;
    size_t small_length = 0;
    long warnings = -1;
    assert_int_equal(owl_jpeg_small(bytes, length, long_side_px, QUALITY, orientation, &small, &small_length, &warnings), OWL_OK);
    assert_int_equal(warnings, 0);
    look(small, small_length);
    free(small);
}

/* Which of the three colours a corner has: 'r', 'g', 'b', or '-'. */
static char colour_at(bool right, bool bottom)
{
    int x = right ? seen_width * 7 / 8 : seen_width / 8, y = bottom ? seen_height * 7 / 8 : seen_height / 8;
    const uint8_t *pixel = seen + 3 * (y * seen_width + x);
    return pixel[0] > 150 ? 'r' : pixel[1] > 150 ? 'g' : pixel[2] > 150 ? 'b' : '-';
}

/* cited: where the first row and the first column lie by each orientation [exif]: corners of the upright picture, read left
   to right and down, by the standard's words (5: "the 0th row is the visual left-hand side, the 0th column the visual top") */
static void test_jpeg_small_turns_upright(void **state)
{
    (void)state;
    static const char *const upright[9] = {"rgb-", "rgb-", "gr-b", "-bgr", "b-rg", "rbg-", "br-g", "-gbr", "g-rb"};
    size_t length = 0;
    uint8_t *bytes = make_corners(&length);
    for (int orientation = 0; orientation <= 8; orientation++) {
        shrink(bytes, length, 120, orientation);
        assert_int_equal(seen_width, orientation >= 5 ? 80 : 120);
        assert_int_equal(seen_height, orientation >= 5 ? 120 : 80);
        for (int corner = 0; corner < 4; corner++)
            assert_int_equal(colour_at(corner & 1, corner >> 1), upright[orientation][corner]);
    }
    shrink(bytes, length, 120, 9);
    assert_int_equal(colour_at(false, false), 'r');
    free(bytes);
}

/* identity: a part goes where its pixels go: the first corner as a part lies where the red is */
static void test_jpeg_small_part_goes_along(void **state)
{
    (void)state;
    size_t length = 0;
    uint8_t *bytes = make_corners(&length);
    for (int orientation = 0; orientation <= 9; orientation++) {
        const struct owl_jpeg_part red = {0.1, 0.05, 0.4, 0.3};
        struct owl_jpeg_part turned = owl_jpeg_part_turned(&red, orientation);
        shrink(bytes, length, 120, orientation);
        assert_int_equal(colour_at(turned.left + turned.right > 1.0, turned.top + turned.bottom > 1.0), 'r');
        bool swapped = orientation >= 5 && orientation <= 8;
        check_near("width", turned.right - turned.left, swapped ? 0.25 : 0.3, 1e-12);
        check_near("height", turned.bottom - turned.top, swapped ? 0.3 : 0.25, 1e-12);
    }
    free(bytes);
}

/* The mean of a colour over the part of the first picture that a pixel of the small one covers. */
static double mean_of(int x, int y, int colour)
{
    double across = (double)WIDTH / seen_width, down = (double)HEIGHT / seen_height, sum = 0.0;
    for (int row = (int)(y * down); row < HEIGHT && row < (y + 1) * down; row++)
        for (int column = (int)(x * across); column < WIDTH && column < (x + 1) * across; column++) {
            double wide = fmin(column + 1, (x + 1) * across) - fmax(column, x * across);
            double high = fmin(row + 1, (y + 1) * down) - fmax(row, y * down);
            sum += wide * high * rgb[3 * (row * WIDTH + column) + colour];
        }
    return sum / (across * down);
}

/* identity: at sizes that divide and that do not, each pixel of a smooth picture is the mean over its area, but for what two
   files' quantisation and colour at half the fineness take: six levels at most, one and a half in the mean */
static void test_jpeg_small_is_the_mean(void **state)
{
    (void)state;
    static const int sides[] = {1, 75, 150, 299, 301, 320, 599, 600};
    for (int y = 0; y < HEIGHT; y++)
        for (int x = 0; x < WIDTH; x++) {
            uint8_t *pixel = &rgb[3 * (y * WIDTH + x)];
            pixel[0] = (uint8_t)(30 + x / 3);
            pixel[1] = (uint8_t)(30 + y / 3);
            pixel[2] = (uint8_t)(200 - (x + y) / 8);
        }
    size_t length = 0;
    uint8_t *bytes = make_file(&(struct made_jpeg_wish){.quality = 95, .whole_colour = true}, &length);
    for (size_t i = 0; i < sizeof sides / sizeof *sides; i++) {
        shrink(bytes, length, sides[i], 1);
        assert_int_equal(seen_width, sides[i]);
        double sum = 0.0;
        for (int place = 0; place < seen_width * seen_height * 3; place++) {
            double off = seen[place] - mean_of(place / 3 % seen_width, place / 3 / seen_width, place % 3);
            check_near("pixel", off, 0.0, 6.0);
            sum += off;
        }
        check_near("mean", sum / (3.0 * seen_width * seen_height), 0.0, 1.5);
    }
    free(bytes);
}

/* identity: a smaller picture keeps its size; a long thin one keeps a pixel of its short side */
static void test_jpeg_small_never_enlarges(void **state)
{
    (void)state;
    size_t length = 0;
    uint8_t *bytes = make_corners(&length);
    shrink(bytes, length, 2048, 1);
    assert_true(seen_width == WIDTH && seen_height == HEIGHT);
    free(bytes);
    const struct made_picture thin = {600, 2, rgb};
    bytes = made_jpeg(&thin, &(struct made_jpeg_wish){.quality = 90, .bare = true}, &length);
    shrink(bytes, length, 50, 6);
    assert_true(seen_width == 1 && seen_height == 50);
    free(bytes);
}

/* identity: no marker segment of the first file is in the result, which is baseline */
static void test_jpeg_small_is_bare(void **state)
{
    (void)state;
    size_t length = 0, small_length = 0;
    long warnings = 0;
    uint8_t *bytes = make_corners(&length), *small = NULL;
    assert_int_equal(owl_jpeg_small(bytes, length, 100, 80, 1, &small, &small_length, &warnings), OWL_OK);
    bool baseline = false;
    for (size_t i = 2; i + 9 < small_length && small[i + 1] != 0xDA; i += 2 + (size_t)(small[i + 2] << 8 | small[i + 3])) {
        assert_int_equal(small[i], 0xFF);
        baseline |= small[i + 1] == 0xC0;
        assert_true(small[i + 1] == 0xE0 || small[i + 1] < 0xE0); /* JFIF's own, and no other application's */
        assert_true(small[i + 1] != 0xFE);
    }
    assert_true(baseline && small_length < 4000);
    free(small);
    free(bytes);
}

/* fault: files cut or flipped anywhere give a picture, with warnings, or a clear refusal that leaves the result untouched */
static void test_jpeg_small_survives(void **state)
{
    (void)state;
    size_t length = 0, small_length = 0;
    uint8_t *bytes = make_corners(&length);
    int refused = 0, warned = 0;
    uint32_t chance = 1;
    for (int i = 0; i < 300; i++) {
        uint8_t *small = NULL;
        long warnings = 0;
        chance = chance * 1664525u + 1013904223u;
        size_t at = (size_t)(chance >> 8) % length, kept = i & 1 ? at : length;
        bytes[at] ^= (uint8_t)(1u << (chance & 7u));
        enum owl_status status = owl_jpeg_small(bytes, kept, 100, 80, 6, &small, &small_length, &warnings);
        bytes[at] ^= (uint8_t)(1u << (chance & 7u));
        assert_true(status == OWL_OK || status == OWL_CANNOT_READ);
        assert_true((status == OWL_OK) == (small != NULL));
        refused += status == OWL_CANNOT_READ;
        warned += status == OWL_OK && warnings > 0;
        free(small);
    }
    assert_true(refused > 0 && warned > 0);
    free(bytes);
}

/* The picture in four inks, which no camera writes. */
static unsigned char *make_inks(unsigned long *length)
{
    struct jpeg_compress_struct jpeg;
    struct jpeg_error_mgr errors;
    unsigned char *bytes = NULL;
    jpeg.err = jpeg_std_error(&errors);
    jpeg_create_compress(&jpeg);
    jpeg_mem_dest(&jpeg, &bytes, length);
    jpeg.image_width = jpeg.image_height = 64;
    jpeg.input_components = 4;
    jpeg.in_color_space = JCS_CMYK;
    jpeg_set_defaults(&jpeg);
    jpeg_start_compress(&jpeg, TRUE);
    while (jpeg.next_scanline < jpeg.image_height) {
        JSAMPROW row = rgb;
        jpeg_write_scanlines(&jpeg, &row, 1);
    }
    jpeg_finish_compress(&jpeg);
    jpeg_destroy_compress(&jpeg);
    return bytes;
}

/* fault: wishes out of range, what is no picture, one in inks, one that claims to be enormous */
static void test_jpeg_small_refuses(void **state)
{
    (void)state;
    size_t length = 0, small_length = 0;
    unsigned long inks_length = 0;
    long warnings = 0;
    uint8_t *small = NULL, *bytes = make_corners(&length);
    assert_int_equal(owl_jpeg_small(bytes, length, 0, 80, 1, &small, &small_length, &warnings), OWL_OUTSIDE_DOMAIN);
    assert_int_equal(owl_jpeg_small(bytes, length, 2049, 80, 1, &small, &small_length, &warnings), OWL_OUTSIDE_DOMAIN);
    assert_int_equal(owl_jpeg_small(bytes, length, 64, 0, 1, &small, &small_length, &warnings), OWL_OUTSIDE_DOMAIN);
    assert_int_equal(owl_jpeg_small(bytes, length, 64, 101, 1, &small, &small_length, &warnings), OWL_OUTSIDE_DOMAIN);
    assert_int_equal(owl_jpeg_small((const uint8_t *)"none", 4, 64, 80, 1, &small, &small_length, &warnings), OWL_CANNOT_READ);
    unsigned char *inks = make_inks(&inks_length);
    assert_int_equal(owl_jpeg_small(inks, inks_length, 32, 80, 1, &small, &small_length, &warnings), OWL_CANNOT_READ);
    for (size_t i = 0; i + 9 < length; i++)
        if (bytes[i] == 0xFF && bytes[i + 1] == 0xC0) {
            bytes[i + 5] = bytes[i + 7] = 0xFF;
            bytes[i + 6] = bytes[i + 8] = 0xDC;
        }
    assert_int_equal(owl_jpeg_small(bytes, length, 64, 80, 1, &small, &small_length, &warnings), OWL_CANNOT_READ);
    assert_null(small);
    free(inks);
    free(bytes);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_jpeg_small_turns_upright), cmocka_unit_test(test_jpeg_small_part_goes_along),
        cmocka_unit_test(test_jpeg_small_is_the_mean), cmocka_unit_test(test_jpeg_small_never_enlarges),
        cmocka_unit_test(test_jpeg_small_is_bare), cmocka_unit_test(test_jpeg_small_survives),
        cmocka_unit_test(test_jpeg_small_refuses),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
