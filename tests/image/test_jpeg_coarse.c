/* The coarse decoder against libjpeg's own reading at an eighth: the same bytes wherever it accepts a file, and never a file
   accepted that libjpeg has a warning about. */
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <jpeglib.h>

#include "support/check.h"
#include "support/eighth.h"
#include "support/made_jpeg.h"

#include "image/jpeg_coarse.h"

#define SIDE_MOST 700
#define PIXELS_MOST 200e6

/* ---- made files ---- */

enum content { FLAT, SLOPE, EDGES, NOISE, BLACK_AND_WHITE, CONTENTS };

struct wish {
    int width, height, quality;
    enum content content;
    int across, down; /* luma samples to one of chroma, along each side; 0: grey */
    int restart_mcus;
    bool optimised, progressive, with_colours_of_red_green_blue, arithmetic;
};

static uint8_t pixels[3 * SIDE_MOST * SIDE_MOST], coarse_level[SIDE_MOST * SIDE_MOST];
static uint32_t chance;

static unsigned int random_below(unsigned int limit)
{
    chance = chance * 1664525u + 1013904223u;
    return (chance >> 8) % limit;
}

static int pixel_at(enum content content, int x, int y, int colour)
{
    switch (content) {
    case SLOPE:
        return (x * 3 + y * 2 + colour * 40) % 256;
    case EDGES:
        return (x / 5 + y / 9 + colour) % 2 ? 235 : 12;
    case NOISE:
        return (int)random_below(256);
    case BLACK_AND_WHITE:
        return random_below(2) ? 255 : 0;
    default:
        return 77 + 30 * colour;
    }
}

static void set_up(struct jpeg_compress_struct *coder, const struct wish *wish)
{
    coder->image_width = (JDIMENSION)wish->width;
    coder->image_height = (JDIMENSION)wish->height;
    coder->input_components = wish->across == 0 ? 1 : 3;
    coder->in_color_space = wish->across == 0 ? JCS_GRAYSCALE : JCS_RGB;
    jpeg_set_defaults(coder);
    if (wish->with_colours_of_red_green_blue)
        jpeg_set_colorspace(coder, JCS_RGB);
    jpeg_set_quality(coder, wish->quality, FALSE);
    coder->optimize_coding = wish->optimised;
    coder->arith_code = wish->arithmetic;
    coder->restart_interval = (unsigned int)wish->restart_mcus;
    if (wish->progressive)
        jpeg_simple_progression(coder);
    if (wish->across > 0) {
        coder->comp_info[0].h_samp_factor = wish->across;
        coder->comp_info[0].v_samp_factor = wish->down;
    }
}

/* Quality 5 is coarser than baseline allows: such a file says so by another frame header. */
static void say_nothing(j_common_ptr common, int level)
{
    (void)common;
    (void)level;
}

static uint8_t *make_file(const struct wish *wish, unsigned long *length)
{
    struct jpeg_compress_struct coder;
    struct jpeg_error_mgr errors;
    uint8_t *bytes = NULL;
    coder.err = jpeg_std_error(&errors);
    errors.emit_message = say_nothing;
    jpeg_create_compress(&coder);
    jpeg_mem_dest(&coder, &bytes, length);
    set_up(&coder, wish);
    int colours = coder.input_components;
    for (int i = 0; i < wish->width * wish->height * colours; i++)
        pixels[i] = (uint8_t)pixel_at(wish->content, i / colours % wish->width, i / colours / wish->width, i % colours);
    jpeg_start_compress(&coder, TRUE);
    for (int y = 0; y < wish->height; y++) {
        JSAMPROW row = pixels + y * wish->width * colours;
        (void)jpeg_write_scanlines(&coder, &row, 1);
    }
    jpeg_finish_compress(&coder);
    jpeg_destroy_compress(&coder);
    return bytes;
}

static enum owl_status read_coarse(const uint8_t *bytes, size_t length, int width, int height)
{
    const struct owl_jpeg_coarse picture = {(width + 7) / 8, (height + 7) / 8, coarse_level};
    return owl_jpeg_coarse(bytes, length, &picture);
}

/* ---- the checks ---- */

/* Accepted, and as libjpeg has it. */
static void check_same(const struct wish *wish)
{
    unsigned long length = 0;
    uint8_t *bytes = make_file(wish, &length);
    struct eighth eighth;
    assert_int_equal(eighth_read(bytes, length, PIXELS_MOST, &eighth), 0);
    enum owl_status status = read_coarse(bytes, length, wish->width, wish->height);
    if (status != OWL_OK || memcmp(eighth.level, coarse_level, (size_t)eighth.width * (size_t)eighth.height) != 0)
        fail_msg("%d x %d, quality %d, content %d, chroma 1 in %d x %d, restarts every %d: %s", wish->width, wish->height,
                 wish->quality, (int)wish->content, wish->across, wish->down, wish->restart_mcus, owl_status_words(status));
    free(eighth.level);
    free(bytes);
}

/* Whether it was accepted; then libjpeg must have no warning and the same picture. A copy just as long as the file lets a
   sanitizer see what is read beyond. */
static bool accepted_alike(const uint8_t *bytes, size_t length, int width, int height)
{
    struct eighth eighth;
    uint8_t *copy = malloc(length + 1), *just = copy + 1;
    assert_non_null(copy);
    memcpy(just, bytes, length);
    bool accepted = read_coarse(just, length, width, height) == OWL_OK;
    if (accepted) {
        assert_int_equal(eighth_read(just, length, PIXELS_MOST, &eighth), 0);
        assert_memory_equal(eighth.level, coarse_level, (size_t)eighth.width * (size_t)eighth.height);
        free(eighth.level);
    }
    free(copy);
    return accepted;
}

static const int chroma[][2] = {{1, 1}, {2, 1}, {2, 2}, {1, 2}, {4, 1}, {4, 2}, {0, 0}};
#define CHROMAS (sizeof chroma / sizeof *chroma)

/* identity: any size, with the blocks that only fill the last row and column, in all kinds of chroma */
static void test_jpeg_coarse_of_small_sizes(void **state)
{
    (void)state;
    chance = 1;
    for (int i = 0; i < 40 * 40; i += 3)
        for (size_t c = 0; c < CHROMAS; c++)
            check_same(&(struct wish){.width = 1 + i % 40, .height = 1 + i / 40, .quality = 85,
                .content = (enum content)(i % CONTENTS), .across = chroma[c][0], .down = chroma[c][1]});
}

/* identity: qualities 5 to 100, all contents, standard code tables and ones made for the file, restarts or not */
static void test_jpeg_coarse_of_qualities_and_tables(void **state)
{
    (void)state;
    static const int restarts[] = {0, 1, 2, 7, 100};
    chance = 2;
    for (int quality = 5, turn = 0; quality <= 100; quality += 5)
        for (size_t c = 0; c < CHROMAS; c++)
            for (int content = 0; content < CONTENTS; content++, turn++)
                check_same(&(struct wish){.width = 97 + turn % 31, .height = 83 + turn % 17, .quality = quality,
                    .content = (enum content)content, .across = chroma[c][0], .down = chroma[c][1],
                    .restart_mcus = restarts[turn % 5], .optimised = turn % 2});
}

/* identity: larger ones */
static void test_jpeg_coarse_of_larger_sizes(void **state)
{
    (void)state;
    chance = 3;
    for (size_t c = 0; c < CHROMAS; c++)
        for (int content = 0; content < CONTENTS; content++)
            check_same(&(struct wish){.width = 641 + (int)c, .height = 477 - content, .quality = content == NOISE ? 98 : 90,
                .content = (enum content)content, .across = chroma[c][0], .down = chroma[c][1], .restart_mcus = 9 * content});
}

/* identity: the size is an eighth rounded up, and a room of another size is not written to */
static void test_jpeg_coarse_room(void **state)
{
    (void)state;
    struct owl_jpeg_size size = owl_jpeg_coarse_size(&(struct owl_jpeg_size){17, 8});
    assert_true(size.width == 3 && size.height == 1);
    unsigned long length = 0;
    uint8_t *bytes = make_file(&(struct wish){.width = 33, .height = 24, .quality = 80, .across = 2, .down = 2}, &length);
    coarse_level[0] = 201;
    assert_int_equal(read_coarse(bytes, length, 32, 24), OWL_NO_ROOM);
    assert_int_equal(read_coarse(bytes, length, 33, 25), OWL_NO_ROOM);
    assert_int_equal(coarse_level[0], 201);
    assert_int_equal(read_coarse(bytes, length, 33, 24), OWL_OK);
    free(bytes);
}

/* fault: cut anywhere, no file is accepted but one that lacks nothing */
static void test_jpeg_coarse_refuses_cut_files(void **state)
{
    (void)state;
    static const struct wish wishes[] = {
        {.width = 61, .height = 40, .quality = 75, .content = SLOPE, .across = 2, .down = 2},
        {.width = 61, .height = 40, .quality = 75, .content = NOISE, .across = 2, .down = 1, .restart_mcus = 3},
        {.width = 50, .height = 30, .quality = 95, .content = EDGES},
    };
    chance = 4;
    for (size_t i = 0; i < sizeof wishes / sizeof *wishes; i++) {
        unsigned long length = 0;
        uint8_t *bytes = make_file(&wishes[i], &length);
        for (size_t cut = 0; cut < length; cut++)
            assert_false(accepted_alike(bytes, cut, wishes[i].width, wishes[i].height));
        assert_true(accepted_alike(bytes, length, wishes[i].width, wishes[i].height));
        free(bytes);
    }
}

/* fault: whatever bit is wrong, what is accepted is what libjpeg reads without a warning */
static void test_jpeg_coarse_survives_flips(void **state)
{
    (void)state;
    static const struct wish wishes[] = {
        {.width = 90, .height = 70, .quality = 60, .content = SLOPE, .across = 2, .down = 2},
        {.width = 40, .height = 50, .quality = 90, .content = NOISE, .across = 1, .down = 1, .restart_mcus = 5},
        {.width = 64, .height = 64, .quality = 80, .content = EDGES, .optimised = true},
    };
    int accepted = 0;
    chance = 5;
    for (int i = 0; i < 3000; i++) {
        const struct wish *wish = &wishes[i / 1000];
        static uint8_t *bytes;
        static unsigned long length;
        if (i % 1000 == 0)
            bytes = make_file(wish, &length);
        size_t at = random_below((unsigned int)length);
        uint8_t bit = (uint8_t)(1u << random_below(8));
        bytes[at] ^= bit;
        accepted += accepted_alike(bytes, length, wish->width, wish->height);
        bytes[at] ^= bit;
        if (i % 1000 == 999)
            free(bytes);
    }
    assert_true(accepted > 100 && accepted < 2900);
}

static void check_refused(const struct wish *wish)
{
    unsigned long length = 0;
    uint8_t *bytes = make_file(wish, &length);
    assert_int_equal(read_coarse(bytes, length, wish->width, wish->height), OWL_CANNOT_READ);
    free(bytes);
}

/* fault: other kinds of JPEG are left to others */
static void test_jpeg_coarse_refuses_other_kinds(void **state)
{
    (void)state;
    const struct wish plain = {.width = 64, .height = 48, .quality = 80, .content = EDGES, .across = 2, .down = 2};
    struct wish wish = plain;
    check_same(&plain);
    wish.progressive = true;
    check_refused(&wish);
    wish = plain;
    wish.with_colours_of_red_green_blue = true;
    check_refused(&wish);
    wish = plain;
    wish.arithmetic = true;
    check_refused(&wish);
    wish = plain;
    wish.across = 1, wish.down = 3; /* T.81 allows it; it is no reason to refuse */
    check_same(&wish);
    assert_int_equal(read_coarse((const uint8_t *)"", 0, 64, 48), OWL_CANNOT_READ);
    assert_int_equal(read_coarse((const uint8_t *)"no picture at all", 17, 64, 48), OWL_CANNOT_READ);
}

/* The file with some bytes put in before place `at`. */
static uint8_t *with_bytes(const uint8_t *bytes, size_t length, size_t at, const char *more, size_t count)
{
    uint8_t *longer = malloc(length + count);
    assert_non_null(longer);
    memcpy(longer, bytes, at);
    memcpy(longer + at, more, count);
    memcpy(longer + at + count, bytes + at, length - at);
    return longer;
}

/* fault: bytes where none belong are refused, fill bytes before markers and anything after the end marker are not */
static void test_jpeg_coarse_of_odd_bytes(void **state)
{
    (void)state;
    static const struct {
        const char *bytes;
        size_t count;
        int from_end; /* where: 0 behind the end marker, 2 before it, -2 behind the start marker, -1 before it */
        bool accepted;
    } odd[] = {
        {"\xFF\xFF\xFF", 3, 2, true}, {"\x00", 1, 2, false}, {"ab", 2, 2, false}, {"\xFF\x00", 2, 2, false},
        {"\xFF\xD0", 2, 2, false}, {"more pictures", 13, 0, true}, {"\xFF\xFF", 2, -2, true}, {"x", 1, -2, false},
        {"\xFF\xFE\x00\x04hi", 6, -2, true}, {"\xFF\xFE\x00\x01hi", 6, -2, false}, {"\xFF\xD8", 2, -2, false},
        {"\xFF\xE1\x00\x05" "any", 7, -2, true}, {"\xFF\xEE\x00\x05" "any", 7, -2, false},
        {"\xFF\xCC\x00\x04\x00\x10", 6, -2, false},
        {"\xFF\xE0\x00\x10JFIF\x00\x02\x01\x00\x00\x01\x00\x01\x00\x00", 18, -2, false},
        {"\xFF\xDD\x00\x05\x00\x00\x00", 7, -2, false}, {"\xFF\xDD\x00\x04\x00\x00", 6, -2, true},
        {"\xFF\xDB\x00\x03\x04", 5, -2, false}, {"\xFF\xC4\x00\x03\x00", 5, -2, false}, {"\xFF", 1, -1, false},
    };
    unsigned long length = 0;
    uint8_t *bytes = make_file(&(struct wish){.width = 40, .height = 40, .quality = 80, .content = SLOPE, .across = 2, .down = 2},
                               &length);
    for (size_t i = 0; i < sizeof odd / sizeof *odd; i++) {
        size_t at = odd[i].from_end < 0 ? (odd[i].from_end == -1 ? 0 : 2) : length - (size_t)odd[i].from_end;
        uint8_t *longer = with_bytes(bytes, length, at, odd[i].bytes, odd[i].count);
        bool accepted = accepted_alike(longer, length + odd[i].count, 40, 40);
        if (accepted != odd[i].accepted)
            fail_msg("odd bytes %zu: %s", i, accepted ? "accepted" : "refused");
        free(longer);
    }
    free(bytes);
}

/* identity: files as a camera writes them, with its notes, a thumbnail, and a second picture behind the first */
static void test_jpeg_coarse_of_camera_files(void **state)
{
    (void)state;
    static const struct made_jpeg_wish wishes[] = {
        {.quality = 90, .shot = {.orientation = 1, .iso = 800}},
        {.quality = 97, .shot = {.orientation = 6, .iso = 100}, .whole_colour = true, .rows_between_restarts = 1},
        {.quality = 70, .shot = {.orientation = 1, .iso = 100}, .preview_width = 160, .big_endian = true},
        {.quality = 85, .bare = true},
    };
    const struct made_picture picture = {601, 402, pixels};
    chance = 6;
    for (int i = 0; i < 3 * picture.width * picture.height; i++)
        pixels[i] = (uint8_t)(pixel_at(SLOPE, i / 30, i / 30 / picture.width, 0) / 2 + pixel_at(NOISE, 0, 0, 0) / 4);
    for (size_t i = 0; i < sizeof wishes / sizeof *wishes; i++) {
        size_t length = 0;
        uint8_t *bytes = made_jpeg(&picture, &wishes[i], &length);
        assert_true(accepted_alike(bytes, length, picture.width, picture.height));
        free(bytes);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_jpeg_coarse_of_small_sizes),
        cmocka_unit_test(test_jpeg_coarse_of_qualities_and_tables),
        cmocka_unit_test(test_jpeg_coarse_of_larger_sizes),
        cmocka_unit_test(test_jpeg_coarse_room),
        cmocka_unit_test(test_jpeg_coarse_refuses_cut_files),
        cmocka_unit_test(test_jpeg_coarse_survives_flips),
        cmocka_unit_test(test_jpeg_coarse_refuses_other_kinds),
        cmocka_unit_test(test_jpeg_coarse_of_odd_bytes),
        cmocka_unit_test(test_jpeg_coarse_of_camera_files),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
