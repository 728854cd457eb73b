/* Frames of a folder as the judge gets them: in order, small, with their times; what is damaged is said, the rest goes on. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "card/frames.h"
#include "support/card_room.h"
#include "support/check.h"
#include "support/made_jpeg.h"
#include "support/made_tiff.h"

#define WIDTH 960
#define HEIGHT 640
#define TAKEN_S 1800000000

static uint8_t rgb[3 * WIDTH * HEIGHT];
static uint8_t level[OWL_FRAMES_WIDTH * 400], other[OWL_FRAMES_WIDTH * 400];
static struct owl_error error;

static int empty_room(void **state)
{
    (void)state;
    card_room_empty();
    return 0;
}

/* A slope across, brighter from frame to frame. cut: bytes left out at its end. */
static void write_frame(const char *name, int number, int preview_width, size_t cut)
{
    for (int y = 0; y < HEIGHT; y++)
        for (int x = 0; x < WIDTH; x++)
            memset(&rgb[3 * (y * WIDTH + x)], 20 + 10 * number + x / 8, 3);
    const struct made_picture picture = {WIDTH, HEIGHT, rgb};
    const struct made_jpeg_wish wish = {.shot = {.taken_unix_s = TAKEN_S + 60 * number, .exposure_s = 0.01, .aperture = 8.0,
                                                 .focal_m = 0.05, .iso = 400, .orientation = 1},
                                        .quality = 90, .preview_width = preview_width};
    size_t length = 0;
    uint8_t *bytes = made_jpeg(&picture, &wish, &length);
    FILE *file = fopen(card_room_path(name), "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(bytes, 1, length - cut, file), length - cut);
    assert_int_equal(fclose(file), 0);
    free(bytes);
}

static struct owl_frames *open_frames(void)
{
    struct owl_frames *frames = NULL;
    assert_int_equal(owl_frames_open(card_room_path("."), &frames, &error), OWL_OK);
    return frames;
}

/* identity: frames come in the order of their names, others than JPEG left out, each with its time and its light */
static void test_frames_come_in_order(void **state)
{
    (void)state;
    write_frame("B.JPG", 1, 0, 0);
    write_frame("A.JPG", 0, 0, 0);
    write_frame("C.jpeg", 2, 0, 0);
    card_room_make("D.MOV", 1000, 1);
    struct owl_frames *frames = open_frames();
    assert_int_equal(owl_frames_count(frames), 3);
    assert_int_equal(owl_frames_height(frames), OWL_FRAMES_WIDTH * HEIGHT / WIDTH);
    assert_true(isnan(owl_frames_at(frames, 0)->taken_s));
    for (int i = 0; i < 3; i++) {
        assert_int_equal(owl_frames_luma(frames, i, level), OWL_OK);
        check_near("level at the left", level[0], 20 + 10 * i, 3.0);
        check_near("taken", owl_frames_at(frames, i)->taken_s, TAKEN_S + 60.0 * i, 0.0);
    }
    assert_string_equal(owl_frames_at(frames, 0)->name, "A.JPG");
    assert_string_equal(owl_frames_at(frames, 2)->name, "C.jpeg");
    owl_frames_close(frames);
}

/* identity: the preview in a file tells the same as the whole of it, but for its quantisation */
static void test_frames_by_preview(void **state)
{
    (void)state;
    write_frame("A.JPG", 0, 0, 0);
    write_frame("B.JPG", 0, 480, 0);
    struct owl_frames *frames = open_frames();
    assert_int_equal(owl_frames_luma(frames, 0, level), OWL_OK);
    assert_int_equal(owl_frames_luma(frames, 1, other), OWL_OK);
    assert_int_equal(owl_frames_at(frames, 1)->width, WIDTH); /* of the whole */
    assert_int_equal(owl_frames_at(frames, 1)->height, HEIGHT);
    for (int i = 0; i < OWL_FRAMES_WIDTH * owl_frames_height(frames); i++)
        check_near("level", other[i], level[i], 4.0);
    owl_frames_close(frames);
}

/* fault: a cut file, an empty one, and one that is no picture are said to be unreadable; their neighbours are read */
static void test_frames_damaged(void **state)
{
    (void)state;
    card_room_make("A.JPG", 5000, 7);
    write_frame("B.JPG", 0, 0, 0);
    write_frame("C.JPG", 1, 0, 9000);
    card_room_make("D.JPG", 0, 8);
    struct owl_frames *frames = open_frames();
    assert_int_equal(owl_frames_count(frames), 4);
    assert_int_equal(owl_frames_luma(frames, 0, level), OWL_CANNOT_READ);
    assert_int_equal(owl_frames_luma(frames, 1, level), OWL_OK);
    assert_int_equal(owl_frames_luma(frames, 2, level), OWL_CANNOT_READ);
    assert_int_equal(owl_frames_luma(frames, 3, level), OWL_CANNOT_READ);
    owl_frames_close(frames);
}

/* A raw file as TIFF: sides of a large sensor, and a JPEG preview of 480 x 320 with a slope across. */
static void write_raw(const char *name, int number)
{
    static struct made_tiff tiff;
    for (int y = 0; y < 320; y++)
        for (int x = 0; x < 480; x++)
            memset(&rgb[3 * (y * 480 + x)], 20 + 10 * number + x / 4, 3);
    const struct made_picture picture = {480, 320, rgb};
    const struct made_jpeg_wish wish = {.shot = {.taken_unix_s = TAKEN_S, .exposure_s = 0.01, .aperture = 8.0, .focal_m = 0.05,
                                                 .iso = 400, .orientation = 1}, .quality = 80};
    size_t length = 0;
    uint8_t *bytes = made_jpeg(&picture, &wish, &length);
    made_tiff_open(&tiff, false, 42, NULL);
    uint32_t first = made_tiff_directory(&tiff, 2);
    size_t offset = made_tiff_entry(&tiff, 0x0201, MADE_LONG, 1, 0);
    made_tiff_entry(&tiff, 0x0202, MADE_LONG, 1, (uint32_t)length);
    made_tiff_put(&tiff, offset, made_tiff_bytes(&tiff, bytes, length), 4);
    made_tiff_link(&tiff, first, 2, made_tiff_directory(&tiff, 3));
    made_tiff_entry(&tiff, 0x0100, MADE_LONG, 1, 6000);
    made_tiff_entry(&tiff, 0x0101, MADE_LONG, 1, 4000);
    made_tiff_entry(&tiff, 0x0106, MADE_SHORT, 1, 32803); /* a sensor's picture */
    free(bytes);
    FILE *file = fopen(card_room_path(name), "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(tiff.bytes, 1, tiff.length, file), tiff.length);
    assert_int_equal(fclose(file), 0);
}

/* identity: a raw file is judged by the preview in it; beside a JPEG file of its name it is no frame of its own */
static void test_frames_of_raw_files(void **state)
{
    (void)state;
    write_raw("A.NEF", 1);
    write_raw("B.NEF", 2);
    write_frame("B.JPG", 0, 0, 0);
    write_raw("B2.NEF", 3);
    struct owl_frames *frames = open_frames();
    assert_int_equal(owl_frames_count(frames), 3);
    assert_string_equal(owl_frames_at(frames, 0)->name, "A.NEF");
    assert_string_equal(owl_frames_at(frames, 1)->name, "B.JPG");
    assert_string_equal(owl_frames_at(frames, 2)->name, "B2.NEF");
    assert_int_equal(owl_frames_height(frames), 256);
    for (int i = 0; i < 3; i += 2) {
        assert_int_equal(owl_frames_luma(frames, i, level), OWL_OK);
        check_near("level at the left", level[0], i == 0 ? 30.0 : 50.0, 3.0);
    }
    assert_int_equal(owl_frames_at(frames, 0)->width, 6000); /* of the whole */
    owl_frames_close(frames);
}

/* fault: nothing to judge is told in one line */
static void test_frames_of_nothing(void **state)
{
    (void)state;
    struct owl_frames *frames = NULL;
    card_room_make("A.MOV", 10, 7);
    assert_int_equal(owl_frames_open(card_room_path("."), &frames, &error), OWL_CANNOT_READ);
    assert_non_null(strstr(error.words, "holds no picture"));
    assert_int_equal(owl_frames_open(card_room_path("nowhere"), &frames, &error), OWL_CANNOT_READ);
    assert_null(frames);
    owl_frames_close(NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup(test_frames_come_in_order, empty_room),
        cmocka_unit_test_setup(test_frames_by_preview, empty_room),
        cmocka_unit_test_setup(test_frames_damaged, empty_room),
        cmocka_unit_test_setup(test_frames_of_raw_files, empty_room),
        cmocka_unit_test_setup(test_frames_of_nothing, empty_room),
    };
    return cmocka_run_group_tests(tests, card_room_setup, card_room_teardown);
}
