/* What pictures tell of the gear: notes put in come out, and the installed lens database knows its own bodies. */
#include <math.h>
#include <stdio.h>
#include <string.h>
#ifdef OWL_HAVE_LENSFUN
#include <lensfun/lensfun.h>
#endif

#include "gear/from_photos.h"
#include "support/card_room.h"
#include "support/check.h"
#include "support/made_tiff.h"

static struct owl_error error;

static int empty_room(void **state)
{
    (void)state;
    card_room_empty();
    return 0;
}

/* A raw file as TIFF of a camera's usual notes; focal_mm and tenths of the f-number. */
static const char *write_photo(const char *name, const char *make, const char *model, uint32_t focal_mm, uint32_t tenths)
{
    static struct made_tiff tiff;
    made_tiff_open(&tiff, false, 42, NULL);
    made_tiff_directory(&tiff, 6);
    made_tiff_entry(&tiff, 0x0100, MADE_LONG, 1, 6000);
    made_tiff_entry(&tiff, 0x0101, MADE_LONG, 1, 4000);
    made_tiff_entry(&tiff, 0x0106, MADE_SHORT, 1, 32803); /* a sensor's picture */
    made_tiff_words(&tiff, 0x010f, make);
    made_tiff_words(&tiff, 0x0110, model);
    size_t at = made_tiff_entry(&tiff, 0x8769, MADE_LONG, 1, 0);
    made_tiff_put(&tiff, at, made_tiff_directory(&tiff, 2), 4);
    made_tiff_ratio(&tiff, 0x829d, tenths, 10);
    made_tiff_ratio(&tiff, 0x920a, focal_mm, 1);
    FILE *file = fopen(card_room_path(name), "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(tiff.bytes, 1, tiff.length, file), tiff.length);
    assert_int_equal(fclose(file), 0);
    return card_room_path(name);
}

/* identity: the range of focal lengths and apertures of several pictures, the pixels, the names */
static void test_from_photos_ranges(void **state)
{
    (void)state;
    struct owl_gear_seen seen = {0};
    assert_int_equal(owl_gear_take_photo(&seen, write_photo("A.DNG", "Maker", "Body 1", 35, 80), &error), OWL_OK);
    assert_int_equal(owl_gear_take_photo(&seen, write_photo("B.DNG", "Maker", "Body 1", 18, 35), &error), OWL_OK);
    assert_int_equal(owl_gear_take_photo(&seen, write_photo("C.DNG", "Maker", "Body 1", 55, 160), &error), OWL_OK);
    assert_int_equal(seen.photos, 3);
    check_near("focal least", seen.focal_least_m, 0.018, 1e-12);
    check_near("focal most", seen.focal_most_m, 0.055, 1e-12);
    check_near("widest", seen.widest, 3.5, 1e-12);
    check_near("narrowest", seen.narrowest, 16.0, 1e-12);
    assert_int_equal(seen.pixels_across, 6000);
    double width_m, height_m;
    assert_false(owl_gear_sensor_m(&seen, &width_m, &height_m));
    char words[2048];
    struct owl_text text = owl_text_over(words, sizeof words);
    owl_gear_write(&seen, &text);
    assert_non_null(strstr(words, "# by its own notes: Maker Body 1\n"));
    assert_non_null(strstr(words, "pixels across = 6000\n"));
    assert_non_null(strstr(words, "focal length = 55 mm"));
    assert_non_null(strstr(words, "widest aperture = f/3.5"));
    assert_null(strstr(words, "sensor width = "));
}

/* identity: sides of the sensor by crop factor 1.5 and 3:2: diagonal 43.2666 mm / 1.5 = 28.844 mm, so 24 mm x 16 mm */
static void test_from_photos_sensor(void **state)
{
    (void)state;
    struct owl_gear_seen seen = {.photos = 1, .pixels_across = 6000, .pixels_down = 4000, .crop = 1.5};
    double width_m = 0.0, height_m = 0.0;
    assert_true(owl_gear_sensor_m(&seen, &width_m, &height_m));
    check_near("width", width_m, 0.024, 1e-9);
    check_near("height", height_m, 0.016, 1e-9);
}

/* cited: a body of the installed database, whichever comes first, is found by its own names with its own crop factor */
static void test_from_photos_database(void **state)
{
    (void)state;
#ifdef OWL_HAVE_LENSFUN
    lfDatabase *base = lf_db_new();
    if (lf_db_load(base) != LF_NO_ERROR || !lf_db_get_cameras(base) || !lf_db_get_cameras(base)[0]) {
        lf_db_destroy(base);
        skip();
    }
    const lfCamera *first = lf_db_get_cameras(base)[0];
    struct owl_gear_seen seen = {.photos = 1, .pixels_across = 6000, .pixels_down = 4000};
    snprintf(seen.make, sizeof seen.make, "%s", first->Maker);
    snprintf(seen.model, sizeof seen.model, "%s", first->Model);
    owl_gear_find_sensor(&seen);
    check_cited("lensfun", "crop factor", seen.crop, (double)first->CropFactor, 0.0);
    lf_db_destroy(base);
    struct owl_gear_seen nobody = {.make = "No such maker", .model = "no such body"};
    owl_gear_find_sensor(&nobody);
    check_near("unknown", nobody.crop, 0.0, 0.0);
#else
    skip();
#endif
}

/* fault: no picture, one that does not tell its camera, one of another camera, none at all: said, and nothing is taken in */
static void test_from_photos_refuses(void **state)
{
    (void)state;
    struct owl_gear_seen seen = {0};
    card_room_make("noise.JPG", 5000, 3);
    assert_int_equal(owl_gear_take_photo(&seen, card_room_path("noise.JPG"), &error), OWL_CANNOT_READ);
    assert_non_null(strstr(error.words, "no picture whose notes can be read"));
    assert_int_equal(owl_gear_take_photo(&seen, card_room_path("nothing.JPG"), &error), OWL_CANNOT_READ);
    assert_int_equal(owl_gear_take_photo(&seen, write_photo("A.DNG", "", "", 35, 80), &error), OWL_CANNOT_READ);
    assert_int_equal(seen.photos, 0);
    assert_int_equal(owl_gear_take_photo(&seen, write_photo("B.DNG", "Maker", "Body 1", 35, 80), &error), OWL_OK);
    assert_int_equal(owl_gear_take_photo(&seen, write_photo("C.DNG", "Maker", "Body 2", 35, 80), &error), OWL_BAD_USE);
    assert_int_equal(seen.photos, 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup(test_from_photos_ranges, empty_room),
        cmocka_unit_test(test_from_photos_sensor),
        cmocka_unit_test(test_from_photos_database),
        cmocka_unit_test_setup(test_from_photos_refuses, empty_room),
    };
    return cmocka_run_group_tests(tests, card_room_setup, card_room_teardown);
}
