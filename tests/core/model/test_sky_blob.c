/* Sky tables as bytes: what is written reads back to the bit and gives the same evaluation; nothing else is taken. */
#include "support/check.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/model/rng.h"
#include "core/model/sky_blob.h"
#include "core/plan/evaluate.h"
#include "core/plan/reader.h"

#define NIGHTS 4
#define MARGIN 12 /* rows on both sides of the nights */
#define ROWS (NIGHTS * OWL_NIGHT_ROWS + 1 + 2 * MARGIN)
#define NOON_S 1799496000.0
#define KEY "made sky"

static struct owl_sky_row rows[ROWS], rows_read[OWL_SKY_BLOB_ROWS_MOST];
static uint8_t bytes[OWL_SKY_BLOB_BYTES + 8];
static size_t length;
static struct owl_sky_blob blob;

/* A body that turns round the north pole once in `turn_s`, seen from 50 degrees north. */
static void place_body(double unix_s, double turn_s, double declination, double vector[3])
{
    double angle = 6.283185307179586 * (unix_s - NOON_S) / turn_s, latitude = 0.8726646259971648;
    double east = -cos(declination) * sin(angle), meridian = cos(declination) * cos(angle), pole = sin(declination);
    vector[0] = east;
    vector[1] = pole * cos(latitude) - meridian * sin(latitude);
    vector[2] = pole * sin(latitude) + meridian * cos(latitude);
}

static struct owl_sky made_sky(void)
{
    struct owl_sky sky = {.start_unix_s = NOON_S - MARGIN * OWL_ROW_STEP_S,
                          .step_s = OWL_ROW_STEP_S,
                          .count = ROWS,
                          .rows = rows,
                          .first_noon_unix_s = NOON_S,
                          .nights = NIGHTS,
                          .zone = {{NOON_S - 86400.0, -3600, "XST"}, {NOON_S + 100000.0, 20700, "+0545"}},
                          .zone_count = 2};
    for (int i = 0; i < ROWS; i++) {
        double unix_s = sky.start_unix_s + i * sky.step_s;
        place_body(unix_s, 86400.0, -0.3, rows[i].sun);
        place_body(unix_s, 89428.0, 0.2, rows[i].moon);
        rows[i].moon_phase_rad = 0.001 * i;
        rows[i].moon_parallax_rad = 0.0166;
        rows[i].sun_radius_rad = 0.00465;
    }
    return sky;
}

static struct owl_sky write_made(void)
{
    struct owl_sky sky = made_sky();
    assert_int_equal(owl_sky_blob_write(&sky, KEY, bytes, sizeof bytes, &length), OWL_OK);
    return sky;
}

static enum owl_status read_it(void)
{
    return owl_sky_blob_read(bytes, length, rows_read, &blob);
}

/* identity: every number and word of a sky comes back as it was. */
static void test_sky_blob_reads_back_to_the_bit(void **state)
{
    (void)state;
    struct owl_sky sky = write_made();
    assert_int_equal(length, owl_sky_blob_bytes(&sky, KEY));
    assert_int_equal(length, OWL_SKY_BLOB_HEAD_BYTES + strlen(KEY) + 2 * OWL_SKY_BLOB_SPAN_BYTES + ROWS * OWL_SKY_BLOB_ROW_BYTES);
    assert_int_equal(read_it(), OWL_OK);
    assert_string_equal(blob.key, KEY);
    assert_ptr_equal(blob.sky.rows, rows_read);
    assert_memory_equal(rows_read, rows, sizeof rows);
    assert_memory_equal(&blob.sky.start_unix_s, &sky.start_unix_s, sizeof(double));
    assert_memory_equal(&blob.sky.step_s, &sky.step_s, sizeof(double));
    assert_memory_equal(&blob.sky.first_noon_unix_s, &sky.first_noon_unix_s, sizeof(double));
    assert_int_equal(blob.sky.count, sky.count);
    assert_int_equal(blob.sky.nights, sky.nights);
    assert_int_equal(blob.sky.zone_count, 2);
    for (int i = 0; i < 2; i++) {
        assert_memory_equal(&blob.sky.zone[i].from_unix_s, &sky.zone[i].from_unix_s, sizeof(double));
        assert_int_equal(blob.sky.zone[i].offset_s, sky.zone[i].offset_s);
        assert_string_equal(blob.sky.zone[i].name, sky.zone[i].name);
    }
}

/* pinned: the bytes are little endian whatever the machine: head, counts, the first number. */
static void test_sky_blob_layout_is_fixed(void **state)
{
    (void)state;
    static const uint8_t head[] = {'o', 'w', 'l', 's', 'k', 'y', 1, 0, 8, 0, 0, 0, ROWS & 0xff, ROWS >> 8, 0, 0,
            NIGHTS, 0, 0, 0, 2, 0, 0, 0};
    write_made();
    assert_memory_equal(bytes, head, sizeof head);
    static const uint8_t step[] = {0, 0, 0, 0, 0, 0xc0, 0x82, 0x40}; /* 600 */
    assert_memory_equal(bytes + 32, step, sizeof step);
}

static const char plan_words[] = "[site]\nlatitude = 50 N\nlongitude = 8 E\n[watch]\nstart = 2027-01-09\nnights = 4\n"
                                 "[subject]\nkind = badger\n[flash key]\nplace = 1 m left, 1.5 m before, 1.5 m up\n";

static void evaluate_under(const struct owl_sky *sky, struct owl_evaluation *evaluation)
{
    static struct owl_plan plan;
    static struct owl_complaints complaints;
    static struct owl_night night[NIGHTS];
    static struct owl_watch_row row[NIGHTS * OWL_NIGHT_ROWS + 1];
    assert_int_equal(owl_plan_read(plan_words, strlen(plan_words), &plan, &complaints), OWL_OK);
    assert_int_equal(owl_watch_view_fill(&plan, sky, night, row), OWL_OK);
    struct owl_watch_view watch = {.nights = NIGHTS, .night = night, .row = row, .sky = sky};
    owl_activity_fill(&watch.activity, &plan);
    memset(evaluation, 0, sizeof *evaluation);
    assert_int_equal(owl_plan_evaluate(&plan, &watch, evaluation), OWL_OK);
}

/* identity: a plan under the sky read back comes to the same figures, nights and warnings, to the bit. */
static void test_sky_blob_gives_the_same_evaluation(void **state)
{
    (void)state;
    static struct owl_evaluation before, after;
    struct owl_sky sky = write_made();
    assert_int_equal(read_it(), OWL_OK);
    evaluate_under(&sky, &before);
    evaluate_under(&blob.sky, &after);
    assert_int_equal(before.outcome.count, after.outcome.count);
    for (int i = 0; i < before.outcome.count; i++)
        assert_memory_equal(&before.outcome.figure[i].value, &after.outcome.figure[i].value, sizeof(double));
    assert_memory_equal(before.night, after.night, NIGHTS * sizeof *before.night);
    assert_int_equal(before.warnings, after.warnings);
    for (int i = 0; i < before.warnings; i++)
        assert_string_equal(before.warning[i].words, after.warning[i].words);
}

/* fault: cut short at any place, or with something behind, it is refused and nothing is touched. */
static void test_sky_blob_refuses_other_lengths(void **state)
{
    (void)state;
    write_made();
    memset(&blob, 7, sizeof blob);
    struct owl_sky_blob untouched = blob;
    size_t whole = length;
    for (length = 0; length < whole; length += length < 200 ? 1 : 997)
        assert_int_equal(read_it(), OWL_OUTSIDE_DOMAIN);
    length = whole + 1;
    assert_int_equal(read_it(), OWL_OUTSIDE_DOMAIN);
    assert_memory_equal(&blob, &untouched, sizeof blob);
}

static void refuse_with(size_t at, const void *changed, size_t count)
{
    write_made();
    memcpy(bytes + at, changed, count);
    if (read_it() != OWL_OUTSIDE_DOMAIN)
        fail_msg("bytes changed at %zu are taken", at);
}

/* fault: another version, counts beyond the room or below the least, numbers that no sky has. */
static void test_sky_blob_refuses_what_no_sky_has(void **state)
{
    (void)state;
    const double none = NAN, huge = INFINITY, far = 1e12, minus = -600.0, two = 2.0;
    static const uint8_t most[4] = {0xff, 0xff, 0xff, 0xff}, zero[8] = {0}, years[4] = {0, 0, 0, 1}, letters[8] = "EIGHTxyz";
    const size_t spans = OWL_SKY_BLOB_HEAD_BYTES + strlen(KEY), first_row = spans + 2 * OWL_SKY_BLOB_SPAN_BYTES;
    refuse_with(0, "Owl", 3);
    refuse_with(6, most, 1);
    for (size_t count = 8; count < 24; count += 4)
        refuse_with(count, most, 4);
    refuse_with(12, zero, 4);
    refuse_with(16, zero, 4);
    for (size_t number = 24; number < 48; number += 8) {
        refuse_with(number, &none, 8);
        refuse_with(number, &huge, 8);
        refuse_with(number, &far, 8);
    }
    refuse_with(32, &minus, 8);
    refuse_with(32, zero, 8);
    refuse_with(OWL_SKY_BLOB_HEAD_BYTES + 2, zero, 1);
    refuse_with(spans, &none, 8);
    refuse_with(spans + OWL_SKY_BLOB_SPAN_BYTES, &minus, 8); /* before the first span */
    refuse_with(spans + 8, years, 4);
    refuse_with(spans + 12, letters, 8);
    for (size_t number = 0; number < 9; number++)
        refuse_with(first_row + 8 * number, &none, 8);
    refuse_with(first_row, &two, 8);
    refuse_with(first_row + 24, &two, 8);
    refuse_with(first_row + 48, &minus, 8);
    refuse_with(first_row + 56, zero, 8);
    refuse_with(first_row + 64, &two, 8);
}

/* fault: nights that the rows do not cover. */
static void test_sky_blob_refuses_nights_uncovered(void **state)
{
    (void)state;
    const double late = NOON_S + (MARGIN + 1) * OWL_ROW_STEP_S, early = NOON_S - (MARGIN + 1) * OWL_ROW_STEP_S;
    static const uint8_t five[4] = {NIGHTS + 1, 0, 0, 0};
    refuse_with(40, &late, 8);
    refuse_with(40, &early, 8);
    refuse_with(16, five, 4);
}

/* fault: what could not be read back is not written, nor what has no room. */
static void test_sky_blob_writes_only_what_reads(void **state)
{
    (void)state;
    char long_key[OWL_SKY_KEY_BYTES + 1];
    struct owl_sky sky = made_sky();
    memset(long_key, 'k', sizeof long_key);
    long_key[OWL_SKY_KEY_BYTES] = '\0';
    assert_int_equal(owl_sky_blob_write(&sky, long_key, bytes, sizeof bytes, &length), OWL_OUTSIDE_DOMAIN);
    long_key[OWL_SKY_KEY_BYTES - 1] = '\0';
    assert_int_equal(owl_sky_blob_write(&sky, long_key, bytes, sizeof bytes, &length), OWL_OK);
    assert_int_equal(owl_sky_blob_write(&sky, KEY, bytes, owl_sky_blob_bytes(&sky, KEY) - 1, &length), OWL_NO_ROOM);
    rows[3].sun[0] += 0.5;
    assert_int_equal(owl_sky_blob_write(&sky, KEY, bytes, sizeof bytes, &length), OWL_OUTSIDE_DOMAIN);
    sky = made_sky();
    sky.nights = 0;
    assert_int_equal(owl_sky_blob_write(&sky, KEY, bytes, sizeof bytes, &length), OWL_OUTSIDE_DOMAIN);
    sky = made_sky();
    sky.zone_count = OWL_ZONE_SPANS + 1;
    assert_int_equal(owl_sky_blob_write(&sky, KEY, bytes, sizeof bytes, &length), OWL_OUTSIDE_DOMAIN);
}

/* fault: with any byte changed it is refused or read as a sky that writes back to the same bytes. */
static void test_sky_blob_takes_noise_calmly(void **state)
{
    (void)state;
    static uint8_t again[sizeof bytes];
    struct owl_rng rng = owl_rng_start(20, 1);
    int taken = 0;
    write_made();
    for (int i = 0; i < 2000; i++) {
        double place = owl_rng_uniform(&rng) * (i % 2 ? 160.0 : (double)length), value = owl_rng_uniform(&rng) * 256.0;
        uint8_t was = bytes[(size_t)place];
        size_t written;
        bytes[(size_t)place] = (uint8_t)value;
        if (read_it() == OWL_OK) {
            taken++;
            assert_int_equal(owl_sky_blob_write(&blob.sky, blob.key, again, sizeof again, &written), OWL_OK);
            assert_int_equal(written, length);
            assert_memory_equal(again, bytes, length);
        }
        bytes[(size_t)place] = was;
    }
    assert_true(taken > 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_sky_blob_reads_back_to_the_bit),     cmocka_unit_test(test_sky_blob_layout_is_fixed),
        cmocka_unit_test(test_sky_blob_gives_the_same_evaluation), cmocka_unit_test(test_sky_blob_refuses_other_lengths),
        cmocka_unit_test(test_sky_blob_refuses_what_no_sky_has),   cmocka_unit_test(test_sky_blob_refuses_nights_uncovered),
        cmocka_unit_test(test_sky_blob_writes_only_what_reads),    cmocka_unit_test(test_sky_blob_takes_noise_calmly),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
