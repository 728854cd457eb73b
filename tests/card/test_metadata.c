/* What cameras noted down, against files made here, against an EXIF library, and against another reader's table on files of
   many makers. Those files are not ours: the tests that want them are skipped where their packages are not installed. */
#include <glob.h>
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <libexif/exif-data.h>

#include "card/digest.h"
#include "card/metadata.h"
#include "support/check.h"
#include "support/made_jpeg.h"
#include "support/made_tiff.h"

#define WIDTH 96
#define HEIGHT 64
#define SAMPLES_LEAST 20 /* files, for a comparison to say something */
#define FILE_MOST ((size_t)1 << 22)

static const struct made_jpeg_wish usual = {
    .shot = {.taken_unix_s = 1799535909, .clock_minutes = 60, .hundredths = 7, .exposure_s = 1.0 / 160.0, .aperture = 8.0,
             .focal_m = 0.05, .iso = 800, .flash_fired = true, .orientation = 6},
    .quality = 90,
    .preview_width = 48,
};

static uint8_t *made(const struct made_jpeg_wish *wish, size_t *length)
{
    static uint8_t pixels[3 * WIDTH * HEIGHT];
    static const struct made_picture picture = {WIDTH, HEIGHT, pixels};
    for (size_t i = 0; i < sizeof pixels; i++)
        pixels[i] = (uint8_t)(i * 7 + i / 300);
    return made_jpeg(&picture, wish, length);
}

static struct owl_card_metadata read_tiff(const struct made_tiff *tiff)
{
    struct owl_card_metadata metadata;
    owl_metadata_read(tiff->bytes, tiff->length, tiff->length, &metadata);
    return metadata;
}

static void check_span(const struct owl_metadata_span *span, uint64_t offset, uint32_t length, int width, int height)
{
    assert_int_equal(span->offset, offset);
    assert_int_equal(span->length, length);
    assert_int_equal(span->width, width);
    assert_int_equal(span->height, height);
}

/* ---- JPEG files made here ---- */

static void check_shot(const struct owl_card_metadata *metadata, const struct made_shot *shot)
{
    assert_string_equal(metadata->make, MADE_MAKE);
    assert_string_equal(metadata->model, MADE_MODEL);
    assert_true(metadata->has_taken && metadata->has_zone && metadata->has_flash);
    check_near("taken", metadata->taken_local_s, (double)(shot->taken_unix_s + 60 * shot->clock_minutes), 0.0);
    check_near("subsecond", metadata->subsecond_s, shot->hundredths / 100.0, 1e-15);
    assert_int_equal(metadata->zone_s, 60 * shot->clock_minutes);
    check_near("exposure", metadata->exposure_s, shot->exposure_s, 1e-15);
    check_near("f-number", metadata->f_number, shot->aperture, 1e-12);
    check_near("iso", metadata->iso, shot->iso, 0.0);
    check_near("focal length", metadata->focal_m, shot->focal_m, 1e-15);
    assert_int_equal(metadata->flash, shot->flash_fired);
    assert_int_equal(metadata->orientation, shot->orientation);
}

/* identity: what was written into a JPEG file is read from it, in both orders of bytes and on both sides of UTC */
static void test_metadata_made_jpeg(void **state)
{
    (void)state;
    for (int turn = 0; turn < 4; turn++) {
        struct made_jpeg_wish wish = usual;
        struct owl_card_metadata metadata;
        size_t length;
        wish.big_endian = turn % 2 == 1;
        wish.shot.clock_minutes = turn < 2 ? 60 : -210;
        uint8_t *bytes = made(&wish, &length);
        owl_metadata_read(bytes, length, length, &metadata);
        assert_int_equal(metadata.kind, OWL_METADATA_JPEG);
        assert_int_equal(metadata.faults, 0);
        check_shot(&metadata, &wish.shot);
        assert_int_equal(metadata.width, WIDTH);
        assert_int_equal(metadata.height, HEIGHT);
        assert_int_equal(metadata.thumbnail.width, MADE_THUMBNAIL_WIDTH);
        assert_int_equal(metadata.thumbnail.height, MADE_THUMBNAIL_HEIGHT);
        assert_memory_equal(bytes + metadata.thumbnail.offset, "\xff\xd8\xff", 3);
        assert_memory_equal(bytes + metadata.thumbnail.offset + metadata.thumbnail.length - 2, "\xff\xd9", 2);
        free(bytes);
    }
}

/* identity: the index leads to the second picture, whose size is known only where its bytes are at hand */
static void test_metadata_made_index(void **state)
{
    (void)state;
    struct owl_card_metadata whole, head;
    size_t length;
    uint8_t *bytes = made(&usual, &length);
    owl_metadata_read(bytes, length, length, &whole);
    assert_int_equal(whole.previews, 1);
    assert_int_equal(whole.preview[0].offset + whole.preview[0].length, length);
    assert_memory_equal(bytes + whole.preview[0].offset, "\xff\xd8\xff", 3);
    assert_int_equal(whole.preview[0].width, 48);
    assert_int_equal(whole.preview[0].height, 32);
    assert_int_equal(whole.preview[0].type, 0x010002);
    owl_metadata_read(bytes, (size_t)whole.preview[0].offset, length, &head);
    assert_int_equal(head.previews, 1);
    check_span(&head.preview[0], whole.preview[0].offset, whole.preview[0].length, 0, 0);
    assert_int_equal(head.faults, 0);
    free(bytes);
}

/* identity: without notes all is missing but the size */
static void test_metadata_bare_jpeg(void **state)
{
    (void)state;
    struct made_jpeg_wish wish = usual;
    struct owl_card_metadata metadata;
    size_t length;
    wish.bare = true;
    uint8_t *bytes = made(&wish, &length);
    owl_metadata_read(bytes, length, length, &metadata);
    assert_int_equal(metadata.width, WIDTH);
    assert_true(isnan(metadata.taken_local_s) && isnan(metadata.subsecond_s) && isnan(metadata.exposure_s));
    assert_true(isnan(metadata.iso) && isnan(metadata.f_number) && isnan(metadata.focal_m));
    assert_false(metadata.has_taken || metadata.has_zone || metadata.has_flash);
    assert_int_equal(metadata.orientation + (int)metadata.thumbnail.length + metadata.previews + (int)metadata.faults, 0);
    assert_int_equal(metadata.make[0], 0);
    free(bytes);
}

/* ---- raw files made here ---- */

static void add_size(struct made_tiff *tiff, uint32_t width, uint32_t height)
{
    made_tiff_entry(tiff, 0x0100, MADE_LONG, 1, width);
    made_tiff_entry(tiff, 0x0101, MADE_SHORT, 1, height);
}

static void add_jpeg(struct made_tiff *tiff, uint32_t offset, uint32_t length)
{
    made_tiff_entry(tiff, 0x0201, MADE_LONG, 1, offset);
    made_tiff_entry(tiff, 0x0202, MADE_LONG, 1, length);
}

/* Compression, bits, colours, one strip. */
static void add_strip(struct made_tiff *tiff, const uint32_t kind[3], uint32_t offset, uint32_t length)
{
    made_tiff_entry(tiff, 0x0103, MADE_SHORT, 1, kind[0]);
    made_tiff_entry(tiff, 0x0102, MADE_SHORT, 1, kind[1]);
    made_tiff_entry(tiff, 0x0106, MADE_SHORT, 1, kind[2]);
    made_tiff_entry(tiff, 0x0111, MADE_LONG, 1, offset);
    made_tiff_entry(tiff, 0x0117, MADE_LONG, 1, length);
}

/* identity: sensor and preview below the first directory, which itself holds a small plain picture */
static void test_metadata_raw_below(void **state)
{
    (void)state;
    for (int big = 0; big < 2; big++) {
        struct made_tiff tiff;
        made_tiff_open(&tiff, big, 42, NULL);
        made_tiff_directory(&tiff, 8);
        add_size(&tiff, 160, 120);
        add_strip(&tiff, (const uint32_t[]){1, 8, 2}, 16, 40);
        size_t subs = made_tiff_entry(&tiff, 0x014a, MADE_LONG, 2, 0);
        uint32_t list = made_tiff_bytes(&tiff, "\0\0\0\0\0\0\0", 8), jpeg = made_tiff_jpeg(&tiff, 6000, 4000, 900);
        made_tiff_put(&tiff, subs, list, 4);
        made_tiff_put(&tiff, list, made_tiff_directory(&tiff, 2), 4);
        add_jpeg(&tiff, jpeg, 900);
        made_tiff_put(&tiff, list + 4, made_tiff_directory(&tiff, 7), 4);
        add_size(&tiff, 6016, 4016);
        add_strip(&tiff, (const uint32_t[]){34713, 14, 32803}, 16, 40);
        struct owl_card_metadata metadata = read_tiff(&tiff);
        assert_int_equal(metadata.kind, OWL_METADATA_RAW);
        assert_int_equal(metadata.width, 6016);
        assert_int_equal(metadata.height, 4016);
        assert_int_equal(metadata.previews, 1);
        check_span(&metadata.preview[0], jpeg, 900, 6000, 4000);
        assert_int_equal(metadata.thumbnail.length, 0);
        assert_int_equal(metadata.faults, 0);
    }
}

/* identity: sensor, thumbnail and preview in a chain; told sizes give way to those of the frame headers */
static void test_metadata_raw_chain(void **state)
{
    (void)state;
    struct made_tiff tiff;
    made_tiff_open(&tiff, true, 42, NULL);
    uint32_t small = 0, large = 0, first = made_tiff_directory(&tiff, 7);
    add_size(&tiff, 6080, 4044);
    add_strip(&tiff, (const uint32_t[]){65535, 14, 32803}, 16, 40);
    small = made_tiff_jpeg(&tiff, 160, 120, 300);
    large = made_tiff_bytes(&tiff, "not looked into", 16);
    uint32_t second = made_tiff_directory(&tiff, 2);
    add_jpeg(&tiff, small, 300);
    made_tiff_link(&tiff, first, 7, second);
    uint32_t third = made_tiff_directory(&tiff, 4);
    add_size(&tiff, 6016, 4000);
    add_jpeg(&tiff, large, 16);
    made_tiff_link(&tiff, second, 2, third);
    struct owl_card_metadata metadata = read_tiff(&tiff);
    assert_int_equal(metadata.kind, OWL_METADATA_RAW);
    check_span(&metadata.thumbnail, small, 300, 160, 120);
    assert_int_equal(metadata.previews, 1);
    check_span(&metadata.preview[0], large, 16, 6016, 4000);
    assert_int_equal(metadata.width, 6080);
    assert_int_equal(metadata.faults, 0);
}

/* identity: the strip that is a picture for the eye is a preview, the packed sensor and the plain small picture are none */
static void test_metadata_cr2(void **state)
{
    (void)state;
    struct made_tiff tiff;
    made_tiff_open(&tiff, false, 42, "CR\2");
    uint32_t first = made_tiff_directory(&tiff, 6);
    uint32_t jpeg = (uint32_t)tiff.length;
    add_size(&tiff, 2048, 1360);
    made_tiff_entry(&tiff, 0x0102, MADE_SHORT, 3, made_tiff_bytes(&tiff, "\10\0\10\0\10", 6));
    jpeg = made_tiff_jpeg(&tiff, 2048, 1360, 500);
    made_tiff_entry(&tiff, 0x0103, MADE_SHORT, 1, 6);
    made_tiff_entry(&tiff, 0x0111, MADE_LONG, 1, jpeg);
    made_tiff_entry(&tiff, 0x0117, MADE_LONG, 1, 500);
    uint32_t plain = made_tiff_directory(&tiff, 7);
    add_size(&tiff, 592, 395);
    add_strip(&tiff, (const uint32_t[]){6, 16, 2}, 16, 40);
    made_tiff_link(&tiff, first, 6, plain);
    uint32_t sensor = made_tiff_directory(&tiff, 3);
    made_tiff_entry(&tiff, 0x0103, MADE_SHORT, 1, 6);
    made_tiff_entry(&tiff, 0x0111, MADE_LONG, 1, 16);
    made_tiff_entry(&tiff, 0x0117, MADE_LONG, 1, 60);
    made_tiff_link(&tiff, plain, 7, sensor);
    struct owl_card_metadata metadata = read_tiff(&tiff);
    assert_int_equal(metadata.kind, OWL_METADATA_CR2);
    assert_int_equal(metadata.previews, 1);
    check_span(&metadata.preview[0], jpeg, 500, 2048, 1360);
    assert_int_equal(metadata.faults, 0);
}

/* identity: the standard raw file by its version mark; of packed pictures only the one with the eye's colours counts */
static void test_metadata_dng(void **state)
{
    (void)state;
    struct made_tiff tiff;
    made_tiff_open(&tiff, false, 42, NULL);
    made_tiff_directory(&tiff, 2);
    made_tiff_entry(&tiff, 0xc612, MADE_BYTE, 4, 0x0401);
    uint32_t list = made_tiff_bytes(&tiff, "\0\0\0\0\0\0\0", 8);
    made_tiff_entry(&tiff, 0x014a, MADE_LONG, 2, list);
    made_tiff_put(&tiff, list, made_tiff_directory(&tiff, 7), 4);
    add_size(&tiff, 5000, 3000);
    add_strip(&tiff, (const uint32_t[]){7, 8, 34892}, 16, 40);
    made_tiff_put(&tiff, list + 4, made_tiff_directory(&tiff, 7), 4);
    add_size(&tiff, 1024, 683);
    add_strip(&tiff, (const uint32_t[]){7, 8, 6}, 20, 40);
    struct owl_card_metadata metadata = read_tiff(&tiff);
    assert_int_equal(metadata.kind, OWL_METADATA_DNG);
    assert_int_equal(metadata.width, 5000);
    assert_int_equal(metadata.previews, 1);
    check_span(&metadata.preview[0], 20, 40, 1024, 683);
}

/* identity: raw files with a magic of their own; one keeps the sides and the preview under its own tags */
static void test_metadata_own_magic(void **state)
{
    (void)state;
    static const unsigned magic[] = {0x4f52, 0x5352};
    struct made_tiff tiff;
    for (int i = 0; i < 2; i++) {
        made_tiff_open(&tiff, i == 1, magic[i], NULL);
        made_tiff_directory(&tiff, 2);
        add_size(&tiff, 4640, 3472);
        struct owl_card_metadata metadata = read_tiff(&tiff);
        assert_int_equal(metadata.kind, OWL_METADATA_ORF);
        assert_int_equal(metadata.width, 4640);
    }
    made_tiff_open(&tiff, false, 0x55, NULL);
    made_tiff_directory(&tiff, 6);
    for (unsigned side = 0; side < 4; side++)
        made_tiff_entry(&tiff, 4 + side, MADE_SHORT, 1, (const uint32_t[]){6, 8, 2742, 3656}[side]);
    made_tiff_entry(&tiff, 0x0017, MADE_SHORT, 1, 80);
    uint32_t jpeg = made_tiff_jpeg(&tiff, 1920, 1440, 700);
    made_tiff_entry(&tiff, 0x002e, MADE_UNDEFINED, 700, jpeg);
    struct owl_card_metadata metadata = read_tiff(&tiff);
    assert_int_equal(metadata.kind, OWL_METADATA_RW2);
    assert_int_equal(metadata.width, 3648);
    assert_int_equal(metadata.height, 2736);
    check_near("iso", metadata.iso, 80.0, 0.0);
    assert_int_equal(metadata.previews, 1);
    check_span(&metadata.preview[0], jpeg, 700, 1920, 1440);
    made_tiff_open(&tiff, false, 43, NULL);
    made_tiff_directory(&tiff, 1);
    assert_int_equal(read_tiff(&tiff).kind, OWL_METADATA_UNKNOWN);
}

/* identity: speeds above what the short word can hold come from the long ones, and only then */
static void test_metadata_high_iso(void **state)
{
    (void)state;
    static const uint32_t cases[][3] = {{65535, 102400, 102400}, {65535, 0, 65535}, {800, 102400, 800}, {0, 500, 500}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct made_tiff tiff;
        made_tiff_open(&tiff, true, 42, NULL);
        made_tiff_directory(&tiff, 1);
        size_t shot = made_tiff_entry(&tiff, 0x8769, MADE_LONG, 1, 0);
        made_tiff_put(&tiff, shot, made_tiff_directory(&tiff, 2), 4);
        made_tiff_entry(&tiff, 0x8827, MADE_SHORT, 1, cases[i][0]);
        made_tiff_entry(&tiff, 0x8832, MADE_LONG, 1, cases[i][1]);
        check_near("iso", read_tiff(&tiff).iso, cases[i][2], 0.0);
    }
}

/* ---- files of others ---- */

/* All files of a pattern, one after the other, until context wants no more. */
static int for_each_file(const char *pattern, void (*visit)(const uint8_t *bytes, size_t length, void *context), void *context)
{
    static uint8_t bytes[FILE_MOST];
    glob_t found;
    int files = 0;
    if (glob(pattern, 0, NULL, &found) != 0)
        return 0;
    for (size_t i = 0; i < found.gl_pathc; i++) {
        FILE *file = fopen(found.gl_pathv[i], "rb");
        if (!file)
            continue;
        visit(bytes, fread(bytes, 1, sizeof bytes, file), context);
        fclose(file);
        files++;
    }
    globfree(&found);
    return files;
}

/* The samples of an installed package and, where OWL_EXIF_SAMPLES names the folder, those of an unpacked source package. */
static int for_each_sample(void (*visit)(const uint8_t *bytes, size_t length, void *context), void *context)
{
    char pattern[4096];
    const char *folder = getenv("OWL_EXIF_SAMPLES");
    int files = for_each_file("/usr/share/gocode/src/*/*/goexif/exif/samples/*", visit, context) +
                for_each_file("/usr/share/gocode/src/*/*/goexif/*/sample1.*", visit, context);
    if (folder && snprintf(pattern, sizeof pattern, "%s/*.*", folder) < (int)sizeof pattern)
        files += for_each_file(pattern, visit, context);
    return files;
}

/* ---- against an EXIF library ---- */

static ExifEntry *entry_of(ExifData *notes, int tag)
{
    ExifEntry *entry = exif_content_get_entry(notes->ifd[EXIF_IFD_EXIF], (ExifTag)tag);
    return entry ? entry : exif_content_get_entry(notes->ifd[EXIF_IFD_0], (ExifTag)tag);
}

/* Returns 1 when the library has a value to compare with. */
static int against_ratio(ExifData *notes, int tag, const char *what, double value)
{
    ExifEntry *entry = entry_of(notes, tag);
    if (!entry || entry->format != EXIF_FORMAT_RATIONAL || entry->size < 8)
        return 0;
    ExifRational ratio = exif_get_rational(entry->data, exif_data_get_byte_order(notes));
    if (ratio.denominator == 0 || ratio.numerator == 0)
        assert_true(isnan(value));
    else
        check_cited("libexif", what, value, (double)ratio.numerator / ratio.denominator, 1e-12 * fabs(value));
    return 1;
}

static int against_short(ExifData *notes, int tag, const char *what, double value)
{
    ExifEntry *entry = entry_of(notes, tag);
    if (!entry || entry->format != EXIF_FORMAT_SHORT || entry->size < 2)
        return 0;
    unsigned wanted = exif_get_short(entry->data, exif_data_get_byte_order(notes));
    if (wanted == 0 && tag != EXIF_TAG_FLASH)
        return 0;
    check_cited("libexif", what, value, wanted, 0.0);
    return 1;
}

static int against_date(ExifData *notes, const struct owl_card_metadata *metadata)
{
    ExifEntry *entry = entry_of(notes, EXIF_TAG_DATE_TIME_ORIGINAL);
    if (!entry || entry->size < 19 || !metadata->has_taken)
        return 0;
    /* Counted back from the days of the year 2000 by hand, so that the calendar is not tried by itself. */
    int field[6];
    const char *words = (const char *)entry->data;
    if (sscanf(words, "%4d%*c%2d%*c%2d %2d%*c%2d%*c%2d", field, field + 1, field + 2, field + 3, field + 4, field + 5) != 6)
        return 0;
    static const int before[] = {0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334};
    bool leap = field[0] % 4 == 0 && (field[0] % 100 != 0 || field[0] % 400 == 0);
    int days = before[(field[1] + 11) % 12] + field[2] - 1 + (leap && field[1] > 2);
    for (int year = 1970; year < field[0]; year++)
        days += year % 4 == 0 && (year % 100 != 0 || year % 400 == 0) ? 366 : 365;
    check_cited("libexif", "taken", metadata->taken_local_s, 86400.0 * days + 3600 * field[3] + 60 * field[4] + field[5], 0.0);
    return 1;
}

static void compare_with_library(const uint8_t *bytes, size_t length, void *context)
{
    int *compared = context;
    struct owl_card_metadata metadata;
    owl_metadata_read(bytes, length, length, &metadata);
    ExifData *notes = exif_data_new();
    assert_non_null(notes);
    exif_data_unset_option(notes, EXIF_DATA_OPTION_FOLLOW_SPECIFICATION);
    exif_data_unset_option(notes, EXIF_DATA_OPTION_IGNORE_UNKNOWN_TAGS);
    if (metadata.kind == OWL_METADATA_JPEG)
        exif_data_load_data(notes, bytes, (unsigned)length);
    *compared += against_ratio(notes, EXIF_TAG_EXPOSURE_TIME, "exposure", metadata.exposure_s) +
                 against_ratio(notes, EXIF_TAG_FNUMBER, "f-number", metadata.f_number) +
                 against_ratio(notes, EXIF_TAG_FOCAL_LENGTH, "focal length, mm", metadata.focal_m * 1e3) +
                 against_short(notes, EXIF_TAG_ISO_SPEED_RATINGS, "iso", metadata.iso) +
                 against_short(notes, EXIF_TAG_FLASH, "flash", metadata.flash) +
                 against_short(notes, EXIF_TAG_ORIENTATION, "orientation", metadata.orientation) + against_date(notes, &metadata);
    exif_data_unref(notes);
}

/* cited: libexif finds the same in a file made here */
static void test_metadata_library_made(void **state)
{
    (void)state;
    int compared = 0;
    size_t length;
    uint8_t *bytes = made(&usual, &length);
    compare_with_library(bytes, length, &compared);
    assert_int_equal(compared, 7);
    free(bytes);
}

/* cited: libexif finds the same in files of many makers */
static void test_metadata_library_samples(void **state)
{
    (void)state;
    int compared = 0;
    if (for_each_sample(compare_with_library, &compared) < SAMPLES_LEAST) {
        print_message("skipped: the package with the samples is not installed\n");
        skip();
    }
    assert_true(compared > 5 * SAMPLES_LEAST);
}

/* ---- against another reader's table ---- */

enum { COLUMNS = 13, ROWS_MOST = 256, ROW_BYTES = 256 };
enum { COLUMN_TAKEN = 1, COLUMN_SUBSECOND, COLUMN_ZONE, COLUMN_EXPOSURE, COLUMN_F_NUMBER, COLUMN_ISO, COLUMN_FOCAL, COLUMN_FLASH,
       COLUMN_ORIENTATION, COLUMN_SIZE, COLUMN_THUMBNAIL, COLUMN_PREVIEWS };

struct table {
    int rows, met;
    char text[ROWS_MOST][ROW_BYTES];
    char *cell[ROWS_MOST][COLUMNS];
};

static void split(struct table *table, int row)
{
    char *at = table->text[row];
    at[strcspn(at, "\r\n")] = '\0';
    for (int column = 0; column < COLUMNS; column++) {
        table->cell[row][column] = at;
        at += strcspn(at, ",");
        if (*at == ',')
            *at++ = '\0';
    }
}

static void load_table(struct table *table)
{
    FILE *file = fopen(check_data_path("card_metadata.csv"), "r");
    char line[1024];
    assert_non_null(file);
    table->rows = table->met = 0;
    while (fgets(line, sizeof line, file)) {
        if (line[0] == '#' || strncmp(line, "xxh3_128", 8) == 0)
            continue;
        assert_true(table->rows < ROWS_MOST && strlen(line) < ROW_BYTES);
        strcpy(table->text[table->rows], line);
        split(table, table->rows++);
    }
    fclose(file);
}

/* The table has ten figures of each number, its last one rounded. */
static void against_cell(const char *what, double value, const char *cell)
{
    if (*cell == '\0')
        assert_true(isnan(value));
    else
        check_cited("exiftool", what, value, strtod(cell, NULL), 1e-9 * fabs(value));
}

static void against_words(const char *what, const char *words, const char *cell)
{
    if (strcmp(words, cell) != 0)
        fail_msg("%s: got %s, want %s", what, words, cell);
}

static double or_missing(bool has, double value)
{
    return has ? value : NAN;
}

static void against_spans(const struct owl_card_metadata *metadata, char *const *cell)
{
    char words[ROW_BYTES] = "";
    if (metadata->thumbnail.length > 0)
        snprintf(words, sizeof words, "%ju+%u", (uintmax_t)metadata->thumbnail.offset, metadata->thumbnail.length);
    against_words("thumbnail", words, cell[COLUMN_THUMBNAIL]);
    words[0] = '\0';
    for (int i = 0; i < metadata->previews; i++)
        snprintf(words + strlen(words), sizeof words - strlen(words), "%s%ju+%u", i > 0 ? " " : "",
                 (uintmax_t)metadata->preview[i].offset, metadata->preview[i].length);
    if (strcmp(cell[COLUMN_PREVIEWS], "not compared") != 0)
        against_words("previews", words, cell[COLUMN_PREVIEWS]);
}

static void against_row(const struct owl_card_metadata *metadata, char *const *cell)
{
    char size[32] = "";
    against_cell("taken", metadata->taken_local_s, cell[COLUMN_TAKEN]);
    against_cell("subsecond", metadata->subsecond_s, cell[COLUMN_SUBSECOND]);
    against_cell("zone", or_missing(metadata->has_zone, metadata->zone_s), cell[COLUMN_ZONE]);
    against_cell("exposure", metadata->exposure_s, cell[COLUMN_EXPOSURE]);
    against_cell("f-number", metadata->f_number, cell[COLUMN_F_NUMBER]);
    against_cell("iso", metadata->iso, cell[COLUMN_ISO]);
    against_cell("focal length, mm", metadata->focal_m * 1e3, cell[COLUMN_FOCAL]);
    against_cell("flash", or_missing(metadata->has_flash, metadata->flash), cell[COLUMN_FLASH]);
    against_cell("orientation", or_missing(metadata->orientation > 0, metadata->orientation), cell[COLUMN_ORIENTATION]);
    if (metadata->width > 0)
        snprintf(size, sizeof size, "%dx%d", metadata->width, metadata->height);
    against_words("size", size, cell[COLUMN_SIZE]);
    against_spans(metadata, cell);
}

static void compare_with_table(const uint8_t *bytes, size_t length, void *context)
{
    struct table *table = context;
    struct owl_digester digester;
    struct owl_card_metadata metadata;
    char digits[OWL_DIGEST_DIGITS + 1];
    assert_int_equal(owl_digester_init(&digester), OWL_OK);
    owl_digester_start(&digester);
    owl_digester_feed(&digester, bytes, length);
    struct owl_digest digest = owl_digester_end(&digester);
    owl_digester_clear(&digester);
    owl_digest_write(&digest, digits);
    for (int row = 0; row < table->rows; row++)
        if (strcmp(table->cell[row][0], digits) == 0) {
            owl_metadata_read(bytes, length, length, &metadata);
            against_row(&metadata, table->cell[row]);
            table->met++;
        }
}

/* cited: exiftool found the same in files of 32 makers; the spans of thumbnails and previews too */
static void test_metadata_table(void **state)
{
    (void)state;
    static struct table table;
    load_table(&table);
    for_each_sample(compare_with_table, &table);
    print_message("%d of %d files of the table are here\n", table.met, table.rows);
    if (table.met < SAMPLES_LEAST) {
        print_message("skipped: the package with the samples is not installed, or of another version\n");
        skip();
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_metadata_made_jpeg),
        cmocka_unit_test(test_metadata_made_index),
        cmocka_unit_test(test_metadata_bare_jpeg),
        cmocka_unit_test(test_metadata_raw_below),
        cmocka_unit_test(test_metadata_raw_chain),
        cmocka_unit_test(test_metadata_cr2),
        cmocka_unit_test(test_metadata_dng),
        cmocka_unit_test(test_metadata_own_magic),
        cmocka_unit_test(test_metadata_high_iso),
        cmocka_unit_test(test_metadata_library_made),
        cmocka_unit_test(test_metadata_library_samples),
        cmocka_unit_test(test_metadata_table),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
