/* Metadata that is cut, bent or made to mislead: no byte outside the span is read, and what is told is whole or missing.
   Every input lies in a block of just its length, so that a sanitizer sees any step beyond. */
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "card/metadata.h"
#include "support/check.h"
#include "support/made_jpeg.h"
#include "support/made_tiff.h"

#define WIDTH 32
#define HEIGHT 24
#define FLIP_RUNS 4000

static struct owl_card_metadata read_copy(const uint8_t *bytes, size_t length, uint64_t file_bytes)
{
    struct owl_card_metadata metadata;
    uint8_t *copy = malloc(length > 0 ? length : 1);
    assert_non_null(copy);
    memcpy(copy, bytes, length);
    owl_metadata_read(copy, length, file_bytes, &metadata);
    free(copy);
    return metadata;
}

static struct owl_card_metadata read_tiff(const struct made_tiff *tiff)
{
    return read_copy(tiff->bytes, tiff->length, tiff->length);
}

static uint8_t *small_jpeg(bool big_endian, size_t *length)
{
    static uint8_t pixels[3 * WIDTH * HEIGHT];
    static const struct made_picture picture = {WIDTH, HEIGHT, pixels};
    struct made_jpeg_wish wish = {
        .shot = {.taken_unix_s = 1799535909, .clock_minutes = 60, .hundredths = 7, .exposure_s = 0.01, .aperture = 8.0,
                 .focal_m = 0.05, .iso = 800, .flash_fired = true, .orientation = 6},
        .quality = 30, .preview_width = 16, .big_endian = big_endian,
    };
    return made_jpeg(&picture, &wish, length);
}

/* A raw file with all there is: a chain of two, two below, the shot's notes. */
static void small_raw(struct made_tiff *tiff)
{
    made_tiff_open(tiff, true, 42, NULL);
    uint32_t first = made_tiff_directory(tiff, 5);
    made_tiff_words(tiff, 0x010f, "maker");
    made_tiff_entry(tiff, 0x0112, MADE_SHORT, 1, 6);
    size_t subs = made_tiff_entry(tiff, 0x014a, MADE_LONG, 2, 0), shot = made_tiff_entry(tiff, 0x8769, MADE_LONG, 1, 0);
    made_tiff_entry(tiff, 0x0106, MADE_SHORT, 1, 2);
    uint32_t list = made_tiff_bytes(tiff, "\0\0\0\0\0\0\0", 8), jpeg = made_tiff_jpeg(tiff, 160, 120, 64);
    made_tiff_put(tiff, subs, list, 4);
    for (uint32_t i = 0; i < 2; i++) {
        made_tiff_put(tiff, list + 4 * i, made_tiff_directory(tiff, 4), 4);
        made_tiff_entry(tiff, 0x0100, MADE_SHORT, 1, 6000);
        made_tiff_entry(tiff, 0x0101, MADE_SHORT, 1, 4000);
        made_tiff_entry(tiff, 0x0201, MADE_LONG, 1, jpeg);
        made_tiff_entry(tiff, 0x0202, MADE_LONG, 1, 64);
    }
    made_tiff_put(tiff, shot, made_tiff_directory(tiff, 3), 4);
    made_tiff_words(tiff, 0x9003, "2027:01:09 21:45:09");
    made_tiff_ratio(tiff, 0x829a, 1, 160);
    made_tiff_entry(tiff, 0x8827, MADE_SHORT, 1, 800);
    uint32_t second = made_tiff_directory(tiff, 2);
    made_tiff_entry(tiff, 0x0201, MADE_LONG, 1, jpeg);
    made_tiff_entry(tiff, 0x0202, MADE_LONG, 1, 64);
    made_tiff_link(tiff, first, 5, second);
}

/* The shot's notes with one entry more to try; returns nothing but what is read. */
static struct owl_card_metadata read_words(unsigned tag, const char *words)
{
    struct made_tiff tiff;
    made_tiff_open(&tiff, false, 42, NULL);
    made_tiff_directory(&tiff, 1);
    size_t shot = made_tiff_entry(&tiff, 0x8769, MADE_LONG, 1, 0);
    made_tiff_put(&tiff, shot, made_tiff_directory(&tiff, 1), 4);
    made_tiff_words(&tiff, tag, words);
    return read_tiff(&tiff);
}

static struct owl_card_metadata read_ratio(unsigned tag, uint32_t above, uint32_t below)
{
    struct made_tiff tiff;
    made_tiff_open(&tiff, true, 42, NULL);
    made_tiff_directory(&tiff, 1);
    made_tiff_ratio(&tiff, tag, above, below);
    return read_tiff(&tiff);
}

/* ---- what must hold for any bytes ---- */

static void check_span(const struct owl_metadata_span *span, uint64_t file_bytes)
{
    assert_true(span->offset <= file_bytes && span->length <= file_bytes - span->offset);
    assert_true(span->width >= 0 && span->height >= 0);
}

static void check_sane(const struct owl_card_metadata *metadata, uint64_t file_bytes)
{
    const double above_zero[] = {metadata->exposure_s, metadata->f_number, metadata->iso, metadata->focal_m};
    for (size_t i = 0; i < 4; i++)
        assert_true(isnan(above_zero[i]) || (above_zero[i] > 0.0 && isfinite(above_zero[i])));
    assert_int_equal(metadata->has_taken, !isnan(metadata->taken_local_s));
    assert_true(isnan(metadata->subsecond_s) || (metadata->subsecond_s >= 0.0 && metadata->subsecond_s < 1.0));
    assert_true(abs(metadata->zone_s) < 15 * 3600);
    assert_true(metadata->orientation >= 0 && metadata->orientation <= 8 && metadata->width >= 0 && metadata->height >= 0);
    assert_non_null(memchr(metadata->make, '\0', sizeof metadata->make));
    assert_non_null(memchr(metadata->model, '\0', sizeof metadata->model));
    check_span(&metadata->thumbnail, file_bytes);
    assert_true(metadata->previews >= 0 && metadata->previews <= OWL_METADATA_PREVIEWS);
    for (int i = 0; i < metadata->previews; i++)
        check_span(&metadata->preview[i], file_bytes);
}

static void check_same_or_missing(double part, double whole)
{
    assert_true(isnan(part) || part == whole);
}

/* A cut file tells nothing that the whole one does not. */
static void check_part(const struct owl_card_metadata *part, const struct owl_card_metadata *whole)
{
    check_same_or_missing(part->taken_local_s, whole->taken_local_s);
    check_same_or_missing(part->subsecond_s, whole->subsecond_s);
    check_same_or_missing(part->exposure_s, whole->exposure_s);
    check_same_or_missing(part->f_number, whole->f_number);
    check_same_or_missing(part->iso, whole->iso);
    check_same_or_missing(part->focal_m, whole->focal_m);
    assert_true(!part->has_zone || part->zone_s == whole->zone_s);
    assert_true(!part->has_flash || part->flash == whole->flash);
    assert_true(part->orientation == 0 || part->orientation == whole->orientation);
    assert_true(part->width == 0 || part->width == whole->width);
    assert_true(part->previews <= whole->previews);
    assert_true(part->thumbnail.length == 0 || part->thumbnail.offset == whole->thumbnail.offset);
}

/* ---- cuts ---- */

static void cut_everywhere(const uint8_t *bytes, size_t length)
{
    struct owl_card_metadata whole = read_copy(bytes, length, length);
    size_t dated = 0;
    assert_int_equal(whole.faults, 0);
    for (size_t cut = 0; cut < length; cut++) {
        struct owl_card_metadata file = read_copy(bytes, cut, cut), head = read_copy(bytes, cut, length);
        check_sane(&file, cut);
        check_sane(&head, length);
        check_part(&file, &whole);
        check_part(&head, &whole);
        assert_int_equal(file.has_taken, head.has_taken);
        dated += file.has_taken;
        assert_true(file.kind != OWL_METADATA_JPEG || file.faults != 0);
    }
    assert_true(dated > 0);
}

/* fault: JPEG files cut at every byte, as files and as heads of longer ones; a cut one never looks whole */
static void test_metadata_faults_cut_jpeg(void **state)
{
    (void)state;
    for (int big = 0; big < 2; big++) {
        size_t length;
        uint8_t *bytes = small_jpeg(big, &length);
        struct owl_card_metadata whole = read_copy(bytes, length, length);
        assert_int_equal(whole.previews, 1);
        cut_everywhere(bytes, length);
        free(bytes);
    }
}

/* fault: a raw file cut at every byte */
static void test_metadata_faults_cut_raw(void **state)
{
    (void)state;
    struct made_tiff tiff;
    small_raw(&tiff);
    assert_int_equal(read_tiff(&tiff).previews, 2);
    assert_int_equal(read_tiff(&tiff).thumbnail.length, 64);
    cut_everywhere(tiff.bytes, tiff.length);
}

/* fault: nothing, and next to nothing */
static void test_metadata_faults_empty(void **state)
{
    (void)state;
    struct owl_card_metadata metadata;
    owl_metadata_read(NULL, 0, 0, &metadata);
    assert_int_equal(metadata.kind, OWL_METADATA_UNKNOWN);
    check_sane(&metadata, 0);
    metadata = read_copy((const uint8_t *)"\xff\xd8", 2, 2);
    assert_int_equal(metadata.kind, OWL_METADATA_JPEG);
    assert_int_equal(metadata.faults, OWL_METADATA_CUT);
    assert_int_equal(read_copy((const uint8_t *)"II*\0", 4, 4).kind, OWL_METADATA_UNKNOWN);
    assert_int_equal(read_copy((const uint8_t *)"IM*\0\0\0\0\10", 8, 8).kind, OWL_METADATA_UNKNOWN);
}

/* ---- random bits ---- */

/* Three shifts, each mixed in: enough to spread the damage. */
static uint32_t next_random(uint32_t *seed)
{
    *seed ^= *seed << 13;
    *seed ^= *seed >> 17;
    *seed ^= *seed << 5;
    return *seed;
}

static void flip_bits(const uint8_t *bytes, size_t length, size_t within, uint32_t seed)
{
    uint8_t *bent = malloc(length);
    assert_non_null(bent);
    for (int run = 0; run < FLIP_RUNS; run++) {
        memcpy(bent, bytes, length);
        for (uint32_t flips = 1 + next_random(&seed) % 16; flips > 0; flips--)
            bent[next_random(&seed) % within] ^= (uint8_t)(1u << next_random(&seed) % 8);
        struct owl_card_metadata metadata;
        owl_metadata_read(bent, length, length, &metadata);
        check_sane(&metadata, length);
    }
    free(bent);
}

/* fault: some thousand files with random bits turned over, where the notes are */
static void test_metadata_faults_flips(void **state)
{
    (void)state;
    struct made_tiff tiff;
    size_t length;
    uint8_t *bytes = small_jpeg(false, &length);
    flip_bits(bytes, length, length < 700 ? length : 700, 2463534242u);
    flip_bits(bytes, length, length, 88675123u);
    free(bytes);
    small_raw(&tiff);
    uint8_t *exact = malloc(tiff.length);
    assert_non_null(exact);
    memcpy(exact, tiff.bytes, tiff.length);
    flip_bits(exact, tiff.length, tiff.length, 521288629u);
    free(exact);
}

/* ---- directories that mislead ---- */

/* fault: links and pointers that lead back are followed once */
static void test_metadata_faults_loops(void **state)
{
    (void)state;
    static const unsigned pointers[] = {0x014a, 0x8769};
    struct made_tiff tiff;
    for (int i = 0; i < 2; i++) {
        made_tiff_open(&tiff, false, 42, NULL);
        uint32_t first = made_tiff_directory(&tiff, 1);
        made_tiff_entry(&tiff, pointers[i], MADE_LONG, 1, first);
        assert_int_equal(read_tiff(&tiff).faults, OWL_METADATA_LOOP);
    }
    made_tiff_open(&tiff, false, 42, NULL);
    uint32_t first = made_tiff_directory(&tiff, 1), second = made_tiff_directory(&tiff, 1);
    made_tiff_link(&tiff, first, 1, second);
    made_tiff_link(&tiff, second, 1, first);
    assert_int_equal(read_tiff(&tiff).faults, OWL_METADATA_LOOP);
    made_tiff_link(&tiff, first, 1, first);
    assert_int_equal(read_tiff(&tiff).faults, OWL_METADATA_LOOP);
}

/* fault: too deep, too many directories, too many entries, too many previews: what is read is bounded, and told */
static void test_metadata_faults_many(void **state)
{
    (void)state;
    struct made_tiff tiff;
    made_tiff_open(&tiff, false, 42, NULL);
    for (int depth = 0; depth < 5; depth++) {
        uint32_t here = made_tiff_directory(&tiff, 2);
        made_tiff_entry(&tiff, 0x0100, MADE_LONG, 1, 100 + (uint32_t)depth);
        made_tiff_put(&tiff, here + 2 + 12, 0x014a, 2);
        made_tiff_put(&tiff, here + 16, MADE_LONG, 2);
        made_tiff_put(&tiff, here + 18, 1, 4);
        made_tiff_put(&tiff, here + 22, (uint32_t)tiff.length, 4);
    }
    assert_int_equal(read_tiff(&tiff).faults, OWL_METADATA_MANY);

    made_tiff_open(&tiff, false, 42, NULL);
    for (int i = 0; i < 40; i++) {
        uint32_t here = made_tiff_directory(&tiff, 0);
        made_tiff_link(&tiff, here, 0, (uint32_t)tiff.length);
    }
    assert_int_equal(read_tiff(&tiff).faults, OWL_METADATA_MANY);

    made_tiff_open(&tiff, false, 42, NULL);
    made_tiff_directory(&tiff, 600);
    for (unsigned i = 0; i < 600; i++)
        made_tiff_entry(&tiff, i == 599 ? 0x0112 : 0x9999, MADE_SHORT, 1, 6);
    assert_int_equal(read_tiff(&tiff).faults, OWL_METADATA_MANY);
    assert_int_equal(read_tiff(&tiff).orientation, 0);

    made_tiff_open(&tiff, false, 42, NULL);
    uint32_t here = 0;
    for (int i = 0; i < 10; i++) {
        here = made_tiff_directory(&tiff, 2);
        made_tiff_entry(&tiff, 0x0201, MADE_LONG, 1, 16);
        made_tiff_entry(&tiff, 0x0202, MADE_LONG, 1, 70000);
        made_tiff_link(&tiff, here, 2, (uint32_t)tiff.length);
    }
    made_tiff_link(&tiff, here, 2, 0);
    struct owl_card_metadata metadata = read_copy(tiff.bytes, tiff.length, 100000);
    assert_int_equal(metadata.previews, OWL_METADATA_PREVIEWS);
    assert_int_equal(metadata.faults, OWL_METADATA_MANY);
}

/* fault: counts near 2^32, where count times size would come round to something small */
static void test_metadata_faults_counts(void **state)
{
    (void)state;
    static const unsigned tags[] = {0x010f, 0x0112, 0x8769, 0x014a, 0x829a, 0x9003, 0x8827, 0x0111, 0x0102};
    static const uint32_t counts[] = {0xfffffff0u, 0xffffffffu, 0x80000000u, 0x20000001u, 0x40000001u};
    for (size_t tag = 0; tag < sizeof tags / sizeof *tags; tag++)
        for (size_t count = 0; count < sizeof counts / sizeof *counts; count++)
            for (unsigned type = 0; type < 20; type++) {
                struct made_tiff tiff;
                made_tiff_open(&tiff, false, 42, NULL);
                made_tiff_directory(&tiff, 1);
                made_tiff_entry(&tiff, tags[tag], type, counts[count], 8);
                struct owl_card_metadata metadata = read_tiff(&tiff);
                check_sane(&metadata, tiff.length);
                assert_true((metadata.faults & (OWL_METADATA_OUTSIDE | OWL_METADATA_BROKEN)) != 0);
                assert_false(metadata.has_taken);
                assert_true(isnan(metadata.exposure_s) && isnan(metadata.iso) && metadata.orientation == 0);
            }
}

/* fault: pointers and spans outside, one of them by so much that 32 bits come round */
static void test_metadata_faults_outside(void **state)
{
    (void)state;
    struct made_tiff tiff;
    made_tiff_open(&tiff, false, 42, NULL);
    made_tiff_directory(&tiff, 1);
    made_tiff_entry(&tiff, 0x8769, MADE_LONG, 1, 0xfffffff0u);
    assert_int_equal(read_tiff(&tiff).faults, OWL_METADATA_OUTSIDE);
    made_tiff_open(&tiff, false, 42, NULL);
    made_tiff_directory(&tiff, 2);
    made_tiff_entry(&tiff, 0x0201, MADE_LONG, 1, 0xffffff00u);
    made_tiff_entry(&tiff, 0x0202, MADE_LONG, 1, 0x200u);
    struct owl_card_metadata metadata = read_tiff(&tiff);
    assert_int_equal(metadata.faults, OWL_METADATA_OUTSIDE);
    assert_int_equal(metadata.previews, 0);
    made_tiff_put(&tiff, 4, 0x7fffffffu, 4);
    assert_int_equal(read_tiff(&tiff).faults, OWL_METADATA_OUTSIDE);
}

/* ---- segments ---- */

/* fault: segments of no length, of less than their own length field, behind fill bytes, and bytes that are no marker */
static void test_metadata_faults_segments(void **state)
{
    (void)state;
    static const struct {
        const char *bytes;
        size_t length;
        unsigned faults;
        int width;
    } cases[] = {
        {"\xff\xd8\xff\xe1\0\2\xff\xc0\0\x0b\10\0\30\0\40\1\1\x11\0\xff\xda", 21, 0, 32},
        {"\xff\xd8\xff\xff\xff\xff\xe1\0\2\xff\xc0\0\x0b\10\0\30\0\40\1\1\x11\0\xff\xd9", 24, 0, 32},
        {"\xff\xd8\xff\x01\xff\xd0\xff\xc2\0\x0b\10\0\30\0\40\1\1\x11\0\xff\xda", 21, 0, 32},
        {"\xff\xd8\xff\xe1\0\1\xff\xda", 8, OWL_METADATA_BROKEN, 0},
        {"\xff\xd8\xff\xe1\0\0\xff\xda", 8, OWL_METADATA_BROKEN, 0},
        {"\xff\xd8\x12\xff\xda", 5, OWL_METADATA_BROKEN, 0},
        {"\xff\xd8\xff\0\0\2\xff\xda", 8, OWL_METADATA_BROKEN, 0},
        {"\xff\xd8\xff\xe1\0", 5, OWL_METADATA_CUT, 0},
        {"\xff\xd8\xff\xe1\0\10Exif\0\0\xff\xda", 14, OWL_METADATA_CUT, 0},
        {"\xff\xd8\xff\xe1\0\20Exif\0\0XX*\0\0\0\0\10\xff\xda", 22, OWL_METADATA_BROKEN, 0},
        {"\xff\xd8\xff\xe1\0\20Exif\0\0II+\0\0\0\0\10\xff\xda", 22, OWL_METADATA_BROKEN, 0},
        {"\xff\xd8\xff\xc0\0\4\10\0\xff\xda", 10, 0, 0},
        {"\xff\xd8\xff\xc4\0\x0b\10\0\30\0\40\1\1\x11\0\xff\xda", 17, 0, 0},
        {"\xff\xd8\xff\xc0\0\x0b\10\0\0\0\40\1\1\x11\0\xff\xda", 17, 0, 0},
        {"\xff\xd8\xff\xda\xff\xc0\0\x0b\10\0\30\0\40\1\1\x11\0", 17, 0, 0},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct owl_card_metadata metadata = read_copy((const uint8_t *)cases[i].bytes, cases[i].length, cases[i].length);
        assert_int_equal(metadata.kind, OWL_METADATA_JPEG);
        if (metadata.faults != cases[i].faults || metadata.width != cases[i].width)
            fail_msg("case %zu: faults %x, width %d", i, metadata.faults, metadata.width);
    }
}

/* ---- values that are none ---- */

/* fault: denominators of zero are a fault, values of zero only missing; long numbers keep their size */
static void test_metadata_faults_ratios(void **state)
{
    (void)state;
    static const unsigned tags[] = {0x829a, 0x829d, 0x920a};
    for (size_t i = 0; i < 3; i++) {
        for (uint32_t above = 0; above < 2; above++) {
            struct owl_card_metadata metadata = read_ratio(tags[i], above, 0);
            assert_int_equal(metadata.faults, OWL_METADATA_ZERO);
            assert_true(isnan(metadata.exposure_s) && isnan(metadata.f_number) && isnan(metadata.focal_m));
        }
        struct owl_card_metadata metadata = read_ratio(tags[i], 0, 10);
        assert_int_equal(metadata.faults, 0);
        assert_true(isnan(metadata.exposure_s) && isnan(metadata.f_number) && isnan(metadata.focal_m));
    }
    check_near("longest", read_ratio(0x829a, 0xffffffffu, 1).exposure_s, 4294967295.0, 0.0);
}

/* fault: dates that are none; blanks and colons alone are how a camera says that it does not know */
static void test_metadata_faults_dates(void **state)
{
    (void)state;
    static const struct {
        const char *words;
        double taken_s;
        unsigned faults;
    } cases[] = {
        {"1970:01:01 00:00:00", 0.0, 0},
        {"2000:02:29 23:59:59", 951868799.0, 0},
        {"2000-02-29T23:59:59", 951868799.0, 0},
        {"2000:02:29 23:59:59 and more", 951868799.0, 0},
        {"1900:02:29 12:00:00", NAN, OWL_METADATA_BAD_DATE},
        {"2027:00:10 12:00:00", NAN, OWL_METADATA_BAD_DATE},
        {"2027:13:10 12:00:00", NAN, OWL_METADATA_BAD_DATE},
        {"2027:01:32 12:00:00", NAN, OWL_METADATA_BAD_DATE},
        {"2027:01:10 24:00:00", NAN, OWL_METADATA_BAD_DATE},
        {"2027:01:10 12:60:00", NAN, OWL_METADATA_BAD_DATE},
        {"2027:01:10 12:00:60", NAN, OWL_METADATA_BAD_DATE},
        {"2027:01:10 12:00:-1", NAN, OWL_METADATA_BAD_DATE},
        {"2027:01:1012:00:00:", NAN, OWL_METADATA_BAD_DATE},
        {"20270101 1201:00:00", NAN, OWL_METADATA_BAD_DATE},
        {"2027:01:10 12:00", NAN, OWL_METADATA_BAD_DATE},
        {"0000:00:00 00:00:00", NAN, OWL_METADATA_BAD_DATE},
        {"    :  :     :  :  ", NAN, 0},
        {"", NAN, 0},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct owl_card_metadata metadata = read_words(0x9003, cases[i].words);
        bool same = metadata.taken_local_s == cases[i].taken_s || (isnan(metadata.taken_local_s) && isnan(cases[i].taken_s));
        if (!same || metadata.has_taken == isnan(cases[i].taken_s) || metadata.faults != cases[i].faults)
            fail_msg("\"%s\": %.0f, faults %x", cases[i].words, metadata.taken_local_s, metadata.faults);
    }
}

/* fault: offsets from UTC that are none */
static void test_metadata_faults_offsets(void **state)
{
    (void)state;
    static const struct {
        const char *words;
        int zone_s;
        unsigned faults;
    } cases[] = {
        {"+00:00", 0, 0},
        {"+14:00", 50400, 0},
        {"-03:30", -12600, 0},
        {"   :  ", -1, 0},
        {"+15:00", -1, OWL_METADATA_BAD_DATE},
        {"+01:60", -1, OWL_METADATA_BAD_DATE},
        {"01:00", -1, OWL_METADATA_BAD_DATE},
        {"+1:00", -1, OWL_METADATA_BAD_DATE},
        {"+01:00x", -1, OWL_METADATA_BAD_DATE},
        {"+0100", -1, OWL_METADATA_BAD_DATE},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct owl_card_metadata metadata = read_words(0x9011, cases[i].words);
        if (metadata.has_zone != (cases[i].zone_s != -1) || metadata.faults != cases[i].faults ||
            (metadata.has_zone && metadata.zone_s != cases[i].zone_s))
            fail_msg("\"%s\": %d, faults %x", cases[i].words, metadata.zone_s, metadata.faults);
    }
}

/* fault: parts of a second of any number of digits, and such as are none */
static void test_metadata_faults_subseconds(void **state)
{
    (void)state;
    check_near("tenths", read_words(0x9291, "5").subsecond_s, 0.5, 0.0);
    check_near("hundredths", read_words(0x9291, "07 ").subsecond_s, 0.07, 1e-16);
    check_near("ten digits", read_words(0x9291, "1234567890").subsecond_s, 0.123456789, 1e-15);
    assert_true(read_words(0x9291, "9999999999999999999999999").subsecond_s < 1.0);
    assert_true(isnan(read_words(0x9291, "  ").subsecond_s));
    assert_int_equal(read_words(0x9291, "  ").faults, 0);
    assert_true(isnan(read_words(0x9291, "5x").subsecond_s));
    assert_int_equal(read_words(0x9291, "5x").faults, OWL_METADATA_BAD_DATE);
}

/* fault: a maker's name without end, too long, or not of letters */
static void test_metadata_faults_names(void **state)
{
    (void)state;
    struct made_tiff tiff;
    made_tiff_open(&tiff, false, 42, NULL);
    made_tiff_directory(&tiff, 2);
    char longest[200];
    memset(longest, 'm', sizeof longest);
    made_tiff_entry(&tiff, 0x010f, MADE_WORDS, sizeof longest, made_tiff_bytes(&tiff, longest, sizeof longest));
    made_tiff_words(&tiff, 0x0110, "a\x1b[31m\xc3\xa9  ");
    struct owl_card_metadata metadata = read_tiff(&tiff);
    assert_int_equal(strlen(metadata.make), OWL_METADATA_WORDS - 1);
    assert_string_equal(metadata.model, "a?[31m??");
}

/* identity: every fault has words of its own */
static void test_metadata_faults_words(void **state)
{
    (void)state;
    assert_string_equal(owl_metadata_fault_words(OWL_METADATA_LOOP), "a list of entries leads back to itself");
    assert_string_equal(owl_metadata_fault_words(0), "unknown fault");
    assert_string_equal(owl_metadata_fault_words(OWL_METADATA_CUT | OWL_METADATA_LOOP), "unknown fault");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_metadata_faults_cut_jpeg),
        cmocka_unit_test(test_metadata_faults_cut_raw),
        cmocka_unit_test(test_metadata_faults_empty),
        cmocka_unit_test(test_metadata_faults_flips),
        cmocka_unit_test(test_metadata_faults_loops),
        cmocka_unit_test(test_metadata_faults_many),
        cmocka_unit_test(test_metadata_faults_counts),
        cmocka_unit_test(test_metadata_faults_outside),
        cmocka_unit_test(test_metadata_faults_segments),
        cmocka_unit_test(test_metadata_faults_ratios),
        cmocka_unit_test(test_metadata_faults_dates),
        cmocka_unit_test(test_metadata_faults_offsets),
        cmocka_unit_test(test_metadata_faults_subseconds),
        cmocka_unit_test(test_metadata_faults_names),
        cmocka_unit_test(test_metadata_faults_words),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
