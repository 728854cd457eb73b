/* The camera-like files of the tests, read back by other programs' code: tags by an EXIF library, pixels by the JPEG library. */
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <jpeglib.h>
#include <libexif/exif-data.h>

#include "support/check.h"
#include "support/made_jpeg.h"

#define WIDTH 96
#define HEIGHT 64

static uint8_t pixels[3 * WIDTH * HEIGHT];
static const struct made_picture picture = {WIDTH, HEIGHT, pixels};

static const struct made_jpeg_wish usual = {
    .shot = {.taken_unix_s = 1799535909, .clock_minutes = 60, .hundredths = 7, .exposure_s = 1.0 / 160.0, .aperture = 8.0,
             .focal_m = 0.05, .iso = 800, .flash_fired = true, .orientation = 1},
    .quality = 92,
};

/* Soft waves of colour, well inside black and white, so that nothing is clipped on the way. */
static int paint(void **state)
{
    (void)state;
    for (int y = 0; y < HEIGHT; y++)
        for (int x = 0; x < WIDTH; x++) {
            uint8_t *rgb = pixels + 3 * (y * WIDTH + x);
            rgb[0] = (uint8_t)(128.0 + 60.0 * sin(x / 9.0));
            rgb[1] = (uint8_t)(120.0 + 60.0 * cos(y / 7.0));
            rgb[2] = (uint8_t)(110.0 + 50.0 * sin((x + y) / 11.0));
        }
    return 0;
}

/* ---- tags ---- */

static ExifData *notes_of(const struct made_jpeg_wish *wish)
{
    size_t length;
    uint8_t *bytes = made_jpeg(&picture, wish, &length);
    ExifData *notes = exif_data_new_from_data(bytes, (unsigned)length);
    free(bytes);
    assert_non_null(notes);
    return notes;
}

static ExifEntry *entry_of(ExifData *notes, ExifIfd directory, int tag)
{
    ExifEntry *entry = exif_content_get_entry(notes->ifd[directory], (ExifTag)tag);
    assert_non_null(entry);
    return entry;
}

static void check_words(ExifData *notes, ExifIfd directory, int tag, const char *words)
{
    ExifEntry *entry = entry_of(notes, directory, tag);
    assert_int_equal(entry->format, EXIF_FORMAT_ASCII);
    assert_int_equal(entry->components, strlen(words) + 1);
    assert_memory_equal(entry->data, words, strlen(words) + 1);
}

static void check_number(ExifData *notes, ExifIfd directory, int tag, unsigned wanted)
{
    ExifEntry *entry = entry_of(notes, directory, tag);
    ExifByteOrder order = exif_data_get_byte_order(notes);
    assert_int_equal(entry->components, 1);
    if (entry->format == EXIF_FORMAT_SHORT)
        assert_int_equal(exif_get_short(entry->data, order), wanted);
    else
        assert_int_equal(exif_get_long(entry->data, order), wanted);
}

static void check_ratio(ExifData *notes, ExifIfd directory, int tag, unsigned above, unsigned below)
{
    ExifEntry *entry = entry_of(notes, directory, tag);
    assert_int_equal(entry->format, EXIF_FORMAT_RATIONAL);
    ExifRational ratio = exif_get_rational(entry->data, exif_data_get_byte_order(notes));
    assert_int_equal(ratio.numerator, above);
    assert_int_equal(ratio.denominator, below);
}

static void check_every_tag(const struct made_jpeg_wish *wish)
{
    ExifData *notes = notes_of(wish);
    assert_int_equal(exif_data_get_byte_order(notes), wish->big_endian ? EXIF_BYTE_ORDER_MOTOROLA : EXIF_BYTE_ORDER_INTEL);
    check_words(notes, EXIF_IFD_0, EXIF_TAG_MAKE, "owllight tests");
    check_words(notes, EXIF_IFD_0, EXIF_TAG_MODEL, "rendered");
    check_number(notes, EXIF_IFD_0, EXIF_TAG_ORIENTATION, 1);
    check_ratio(notes, EXIF_IFD_0, EXIF_TAG_X_RESOLUTION, 300, 1);
    check_ratio(notes, EXIF_IFD_0, EXIF_TAG_Y_RESOLUTION, 300, 1);
    check_number(notes, EXIF_IFD_0, EXIF_TAG_RESOLUTION_UNIT, 2);
    check_words(notes, EXIF_IFD_0, EXIF_TAG_SOFTWARE, MADE_SOFTWARE);
    check_words(notes, EXIF_IFD_0, EXIF_TAG_DATE_TIME, "2027:01:10 00:05:09");
    check_ratio(notes, EXIF_IFD_EXIF, EXIF_TAG_EXPOSURE_TIME, 1, 160);
    check_ratio(notes, EXIF_IFD_EXIF, EXIF_TAG_FNUMBER, 80, 10);
    check_number(notes, EXIF_IFD_EXIF, EXIF_TAG_ISO_SPEED_RATINGS, 800);
    check_words(notes, EXIF_IFD_EXIF, EXIF_TAG_DATE_TIME_ORIGINAL, "2027:01:10 00:05:09");
    check_words(notes, EXIF_IFD_EXIF, EXIF_TAG_SUB_SEC_TIME_ORIGINAL, "07");
    check_words(notes, EXIF_IFD_EXIF, EXIF_TAG_OFFSET_TIME_ORIGINAL, "+01:00");
    check_number(notes, EXIF_IFD_EXIF, EXIF_TAG_FLASH, 1);
    check_ratio(notes, EXIF_IFD_EXIF, EXIF_TAG_FOCAL_LENGTH, 500, 10);
    check_number(notes, EXIF_IFD_EXIF, EXIF_TAG_PIXEL_X_DIMENSION, WIDTH);
    check_number(notes, EXIF_IFD_EXIF, EXIF_TAG_PIXEL_Y_DIMENSION, HEIGHT);
    exif_data_unref(notes);
}

/* identity: an EXIF library, whose code is not ours, reads back every tag, in either order of bytes */
static void test_made_jpeg_tags_read_back(void **state)
{
    (void)state;
    struct made_jpeg_wish wish = usual;
    check_every_tag(&wish);
    wish.big_endian = true;
    check_every_tag(&wish);
}

/* identity: a clock behind UTC across a year's end, long exposures, a camera on its side, no flash */
static void test_made_jpeg_unusual_shots(void **state)
{
    (void)state;
    struct made_jpeg_wish wish = usual;
    wish.shot = (struct made_shot){.taken_unix_s = 1798761600, .clock_minutes = -210, .hundredths = 99, .exposure_s = 2.5,
                                   .aperture = 5.6, .focal_m = 0.1055, .iso = 51200, .orientation = 8};
    ExifData *notes = notes_of(&wish);
    check_words(notes, EXIF_IFD_EXIF, EXIF_TAG_DATE_TIME_ORIGINAL, "2026:12:31 20:30:00");
    check_words(notes, EXIF_IFD_EXIF, EXIF_TAG_OFFSET_TIME_ORIGINAL, "-03:30");
    check_words(notes, EXIF_IFD_EXIF, EXIF_TAG_SUB_SEC_TIME_ORIGINAL, "99");
    check_ratio(notes, EXIF_IFD_EXIF, EXIF_TAG_EXPOSURE_TIME, 25, 10);
    check_ratio(notes, EXIF_IFD_EXIF, EXIF_TAG_FNUMBER, 56, 10);
    check_ratio(notes, EXIF_IFD_EXIF, EXIF_TAG_FOCAL_LENGTH, 1055, 10);
    check_number(notes, EXIF_IFD_EXIF, EXIF_TAG_ISO_SPEED_RATINGS, 51200);
    check_number(notes, EXIF_IFD_EXIF, EXIF_TAG_FLASH, 0);
    check_number(notes, EXIF_IFD_0, EXIF_TAG_ORIENTATION, 8);
    exif_data_unref(notes);
}

/* ---- pixels ---- */

struct decoded {
    int width, height, levels;  /* levels: bytes a pixel */
    uint16_t steps[2][64];      /* of brightness and colour */
    uint8_t *bytes;
};

/* As brightness and colour (Y, Cb, Cr), the form in which the file stores it, so that nothing is clipped or rounded again. */
static struct decoded decode(const uint8_t *bytes, size_t length)
{
    struct jpeg_error_mgr trouble;
    struct jpeg_decompress_struct coder = {.err = jpeg_std_error(&trouble)};
    struct decoded decoded = {.levels = 3};
    jpeg_create_decompress(&coder);
    jpeg_mem_src(&coder, bytes, (unsigned long)length);
    assert_int_equal(jpeg_read_header(&coder, TRUE), JPEG_HEADER_OK);
    coder.out_color_space = JCS_YCbCr;
    assert_true(jpeg_start_decompress(&coder));
    decoded.width = (int)coder.output_width;
    decoded.height = (int)coder.output_height;
    for (int i = 0; i < 2; i++)
        memcpy(decoded.steps[i], coder.quant_tbl_ptrs[i]->quantval, sizeof decoded.steps[i]);
    decoded.bytes = malloc(3 * (size_t)decoded.width * (size_t)decoded.height);
    assert_non_null(decoded.bytes);
    while (coder.output_scanline < coder.output_height) {
        JSAMPROW row = decoded.bytes + 3 * (size_t)coder.output_scanline * (size_t)decoded.width;
        (void)jpeg_read_scanlines(&coder, &row, 1);
    }
    assert_true(jpeg_finish_decompress(&coder));
    assert_int_equal(trouble.num_warnings, 0);
    jpeg_destroy_decompress(&coder);
    return decoded;
}

/* Y, Cb, Cr of a pixel as JFIF defines them. */
static double level_of(const uint8_t *rgb, int level)
{
    static const double shares[3][3] = {{0.299, 0.587, 0.114}, {-0.168736, -0.331264, 0.5}, {0.5, -0.418688, -0.081312}};
    double sum = level ? 128.0 : 0.0;
    for (int c = 0; c < 3; c++)
        sum += shares[level][c] * rgb[c];
    return sum;
}

/* The largest root of the mean square error that rounding coefficients to the steps can make: half a step each; the
   transform keeps the sum of squares. One more for the rounding of levels before and after it. */
static double rounding_most(const uint16_t steps[64])
{
    double sum = 0.0;
    for (int i = 0; i < 64; i++)
        sum += steps[i] * steps[i] / 4.0;
    return sqrt(sum / 64.0) + 1.0;
}

static void check_pixels(const struct decoded *decoded)
{
    assert_int_equal(decoded->width, WIDTH);
    assert_int_equal(decoded->height, HEIGHT);
    for (int level = 0; level < 3; level++) {
        double sum = 0.0;
        for (int i = 0; i < WIDTH * HEIGHT; i++)
            sum += pow(decoded->bytes[3 * i + level] - level_of(pixels + 3 * i, level), 2.0);
        double most = rounding_most(decoded->steps[level > 0]);
        check_near("error of a level", sqrt(sum / (WIDTH * HEIGHT)) / most, 0.5, 0.5);
    }
}

/* identity: the picture comes back as near as the steps of its own tables allow */
static void test_made_jpeg_pixels_read_back(void **state)
{
    (void)state;
    struct made_jpeg_wish wish = usual;
    wish.whole_colour = true;
    for (int quality = 50; quality <= 100; quality += 25) {
        size_t length;
        wish.quality = quality;
        uint8_t *bytes = made_jpeg(&picture, &wish, &length);
        struct decoded decoded = decode(bytes, length);
        check_pixels(&decoded);
        free(decoded.bytes);
        free(bytes);
    }
}

/* identity: marks to restart at and the lack of all notes change no pixel */
static void test_made_jpeg_pixels_alike_however_wrapped(void **state)
{
    (void)state;
    struct made_jpeg_wish wish = usual;
    size_t length;
    uint8_t *plain = made_jpeg(&picture, &wish, &length);
    struct decoded first = decode(plain, length);
    wish.bare = true;
    wish.rows_between_restarts = 1;
    uint8_t *marked = made_jpeg(&picture, &wish, &length);
    struct decoded second = decode(marked, length);
    assert_memory_equal(first.bytes, second.bytes, 3 * WIDTH * HEIGHT);
    ExifData *notes = exif_data_new_from_data(marked, (unsigned)length);
    assert_int_equal(notes->ifd[EXIF_IFD_0]->count, 0);
    exif_data_unref(notes);
    free(first.bytes);
    free(second.bytes);
    free(plain);
    free(marked);
}

/* identity: the thumbnail is a picture of its own, 3:2 between bars of black */
static void test_made_jpeg_thumbnail(void **state)
{
    (void)state;
    ExifData *notes = notes_of(&usual);
    assert_non_null(notes->data);
    struct decoded small = decode(notes->data, notes->size);
    assert_int_equal(small.width, 160);
    assert_int_equal(small.height, 120);
    const uint8_t *middle = small.bytes + 3 * (60 * 160 + 80);
    assert_in_range(small.bytes[3 * (2 * 160 + 80)], 0, 4);
    assert_in_range(small.bytes[3 * (117 * 160 + 80)], 0, 4);
    check_near("brightness in the middle", middle[0], level_of(pixels + 3 * (32 * WIDTH + 48), 0), 12.0);
    free(small.bytes);
    exif_data_unref(notes);
}

/* ---- the second picture ---- */

/* Found without the index: the end mark of the first picture is followed by the beginning of the second. */
static size_t second_at(const uint8_t *bytes, size_t length)
{
    for (size_t i = length - 4; i > 0; i--)
        if (memcmp(bytes + i, "\xff\xd9\xff\xd8", 4) == 0)
            return i + 2;
    return 0;
}

static uint32_t number_at(const uint8_t *bytes, bool big_endian)
{
    uint32_t value = 0;
    for (int i = 0; i < 4; i++)
        value |= (uint32_t)bytes[i] << 8 * (big_endian ? 3 - i : i);
    return value;
}

/* Walks the segments to the index; returns where its offsets count from. */
static size_t index_origin(const uint8_t *bytes)
{
    size_t at = 2;
    while (bytes[at + 1] != 0xe2) {
        assert_int_equal(bytes[at], 0xff);
        at += 2 + (size_t)(bytes[at + 2] << 8 | bytes[at + 3]);
    }
    assert_memory_equal(bytes + at + 4, "MPF\0", 4);
    return at + 8;
}

/* identity: the index leads to the second picture, which is the first at another size */
static void test_made_jpeg_index_leads_to_preview(void **state)
{
    (void)state;
    for (int big = 0; big < 2; big++) {
        struct made_jpeg_wish wish = usual;
        size_t length;
        wish.preview_width = 48;
        wish.big_endian = big;
        uint8_t *bytes = made_jpeg(&picture, &wish, &length);
        size_t origin = index_origin(bytes), second = second_at(bytes, length);
        const uint8_t *entries = bytes + origin + 8 + 2 + 3 * 12 + 4; /* behind header and directory */
        assert_int_equal(number_at(entries, big), 0xa0030000u);
        assert_int_equal(number_at(entries + 4, big), second);
        assert_int_equal(number_at(entries + 8, big), 0);
        assert_int_equal(number_at(entries + 16, big), 0x40010002u);
        assert_int_equal(number_at(entries + 20, big), length - second);
        assert_int_equal(number_at(entries + 24, big) + origin, second);
        struct decoded preview = decode(bytes + second, length - second);
        assert_int_equal(preview.width, 48);
        assert_int_equal(preview.height, 32);
        free(preview.bytes);
        struct decoded whole = decode(bytes, length);
        assert_int_equal(whole.width, WIDTH);
        free(whole.bytes);
        free(bytes);
    }
}

/* ---- sizes ---- */

/* identity: one colour stays itself at every size, a half keeps means, a slope stays a slope */
static void test_made_picture_scaled(void **state)
{
    (void)state;
    uint8_t slope[3 * 8 * 2], even[3 * 5 * 3];
    memset(even, 77, sizeof even);
    for (int i = 0; i < 3 * 8 * 2; i++)
        slope[i] = (uint8_t)(10 + 20 * (i / 3 % 8));
    struct made_picture flat = made_picture_scaled(&(struct made_picture){5, 3, even}, 13, 2);
    for (int i = 0; i < 3 * 13 * 2; i++)
        assert_int_equal(flat.rgb[i], 77);
    struct made_picture half = made_picture_scaled(&(struct made_picture){8, 2, slope}, 4, 1);
    for (int i = 0; i < 4; i++)
        assert_int_equal(half.rgb[3 * i], 20 + 40 * i);
    struct made_picture twice = made_picture_scaled(&(struct made_picture){8, 2, slope}, 16, 4);
    for (int i = 1; i < 15; i++)
        assert_int_equal(twice.rgb[3 * i], 5 + 10 * i);
    assert_int_equal(twice.rgb[0], 10); /* beyond the outermost middles the edge goes on */
    free(flat.rgb);
    free(half.rgb);
    free(twice.rgb);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_made_jpeg_tags_read_back),
        cmocka_unit_test(test_made_jpeg_unusual_shots),
        cmocka_unit_test(test_made_jpeg_pixels_read_back),
        cmocka_unit_test(test_made_jpeg_pixels_alike_however_wrapped),
        cmocka_unit_test(test_made_jpeg_thumbnail),
        cmocka_unit_test(test_made_jpeg_index_leads_to_preview),
        cmocka_unit_test(test_made_picture_scaled),
    };
    return cmocka_run_group_tests(tests, paint, NULL);
}
