/* The preview of raw files that only the library knows, and garbage of many kinds: always an answer, never a child or handle
   left behind. */
#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "card/calls.h"
#include "card/metadata.h"
#include "card/raw_preview.h"
#include "support/check.h"
#include "support/handles.h"
#include "support/made_jpeg.h"
#include "support/made_tiff.h"

#define GARBAGE_BYTES 5000

/* ---- asking ---- */

static int open_with(const uint8_t *bytes, size_t length)
{
    char name[] = "/tmp/owllight-raw-XXXXXX";
    int file = mkstemp(name);
    assert_true(file >= 0);
    unlink(name);
    assert_int_equal(owl_calls_write_full(&owl_calls_system, file, bytes, length), 0);
    return file;
}

/* Asks for the preview of a file said to be so long; nothing may be left behind, and on failure nothing be touched. */
static enum owl_status ask_of(int file, uint64_t size, struct owl_raw_preview *preview)
{
    struct owl_raw_preview untouched = *preview;
    int before = handles_open();
    off_t place = lseek(file, 0, SEEK_CUR);
    enum owl_status status = owl_raw_preview(file, size, preview);
    assert_int_equal(handles_open(), before);
    assert_int_equal(waitpid(-1, NULL, WNOHANG), -1);
    assert_int_equal(errno, ECHILD);
    assert_int_equal(lseek(file, 0, SEEK_CUR), place);
    if (status != OWL_OK)
        assert_memory_equal(preview, &untouched, sizeof untouched);
    return status;
}

static enum owl_status ask(const uint8_t *bytes, size_t length, struct owl_raw_preview *preview)
{
    int file = open_with(bytes, length);
    enum owl_status status = ask_of(file, length, preview);
    close(file);
    return status;
}

/* Whatever comes of it; true when there was a preview. */
static bool survives(const uint8_t *bytes, size_t length)
{
    struct owl_raw_preview preview = {.orientation = 77};
    if (ask(bytes, length, &preview) != OWL_OK)
        return false;
    assert_true(preview.length > 0 && preview.bytes);
    free(preview.bytes);
    return true;
}

#if defined(OWL_HAVE_LIBRAW)

/* ---- a file of the kind, and what becomes of it ---- */

#define WIDTH 320
#define HEIGHT 240
#define PREVIEW_AT 148 /* where such files have it */
#define NOTES_BYTES 64
#define MADE_MOST 262144

static const struct made_shot shot = {.taken_unix_s = 1767312245, .clock_minutes = 60, .exposure_s = 1.0 / 125.0,
                                      .aperture = 8.0, .focal_m = 0.05, .iso = 400, .orientation = 6};

static uint8_t *make_jpeg(size_t *length)
{
    static uint8_t rgb[3 * WIDTH * HEIGHT];
    for (size_t i = 0; i < sizeof rgb; i++)
        rgb[i] = (uint8_t)(i / 3 % WIDTH / 2 + i % 3 * 20);
    struct made_picture picture = {WIDTH, HEIGHT, rgb};
    struct made_jpeg_wish wish = {.shot = shot, .quality = 80, .big_endian = true};
    return made_jpeg(&picture, &wish, length);
}

static void put(uint8_t *at, uint32_t value, int bytes)
{
    for (int i = 0; i < bytes; i++)
        at[i] = (uint8_t)(value >> 8 * (bytes - 1 - i));
}

/* A head with the places of the preview and of a list of sizes, big-endian; as the library reads such files. */
static size_t make_raw(uint8_t *raw, const uint8_t *jpeg, size_t jpeg_length)
{
    static const uint8_t mark[16] = {0x46, 0x55, 0x4a, 0x49, 0x46, 0x49, 0x4c, 0x4d,
                                     0x43, 0x43, 0x44, 0x2d, 0x52, 0x41, 0x57, 0x20};
    uint32_t notes = PREVIEW_AT + (uint32_t)jpeg_length, picture = notes + NOTES_BYTES;
    memset(raw, 0, MADE_MOST);
    memcpy(raw, mark, sizeof mark);
    put(raw + 84, PREVIEW_AT, 4);
    put(raw + 88, (uint32_t)jpeg_length, 4);
    put(raw + 92, notes, 4);
    put(raw + 100, picture, 4);
    memcpy(raw + PREVIEW_AT, jpeg, jpeg_length);
    put(raw + notes, 2, 4);
    for (int i = 0; i < 2; i++) { /* rows and columns: in all, and of the picture */
        uint8_t *entry = raw + notes + 4 + 8 * i;
        put(entry, i ? 0x111 : 0x100, 2);
        put(entry + 2, 4, 2);
        put(entry + 4, HEIGHT, 2);
        put(entry + 6, WIDTH, 2);
    }
    return picture + 2 * WIDTH * HEIGHT;
}

static void check_preview(const struct owl_raw_preview *preview, const uint8_t *jpeg, size_t length)
{
    assert_int_equal(preview->length, length);
    assert_memory_equal(preview->bytes, jpeg, length);
    check_near("taken by the camera's clock, s", preview->taken_local_s,
               (double)(shot.taken_unix_s + 60 * shot.clock_minutes), 0.0);
    check_near("exposure, s", preview->exposure_s, shot.exposure_s, 1e-4 * shot.exposure_s);
    check_near("f-number", preview->f_number, shot.aperture, 1e-3);
    check_near("iso", preview->iso, shot.iso, 0.0);
    check_near("focal length, m", preview->focal_m, shot.focal_m, 1e-6);
}

/* identity: the preview of a made file is the JPEG that was put in, and its time the camera's, in whatever zone we are. */
static void test_raw_preview_made(void **state)
{
    (void)state;
    static uint8_t raw[MADE_MOST];
    const char *zones[] = {"UTC", "Asia/Tokyo", "America/New_York"};
    size_t length = 0;
    uint8_t *jpeg = make_jpeg(&length);
    assert_true(PREVIEW_AT + length + NOTES_BYTES + 2 * WIDTH * HEIGHT < MADE_MOST);
    size_t raw_length = make_raw(raw, jpeg, length);
    struct owl_card_metadata notes;
    owl_metadata_read(raw, raw_length, raw_length, &notes);
    assert_int_equal(notes.kind, OWL_METADATA_UNKNOWN);
    for (size_t i = 0; i < 3; i++) {
        setenv("TZ", zones[i], 1);
        struct owl_raw_preview preview = {0};
        assert_int_equal(ask(raw, raw_length, &preview), OWL_OK);
        check_preview(&preview, jpeg, length);
        free(preview.bytes);
    }
    unsetenv("TZ");
    free(jpeg);
}

/* fault: the same file cut anywhere, said to be longer than it is, and with its preview told to lie elsewhere. */
static void test_raw_preview_broken(void **state)
{
    (void)state;
    static uint8_t raw[MADE_MOST];
    size_t length = 0;
    uint8_t *jpeg = make_jpeg(&length);
    size_t raw_length = make_raw(raw, jpeg, length);
    for (size_t i = 0; i < 60; i++)
        (void)survives(raw, i < 40 ? 1 + i * 8 : raw_length * (i - 39) / 21);
    int file = open_with(raw, raw_length);
    struct owl_raw_preview preview = {.orientation = 77};
    enum owl_status status = ask_of(file, 100 * (uint64_t)raw_length, &preview);
    if (status == OWL_OK)
        free(preview.bytes);
    close(file);
    const uint32_t odd[] = {0, 1, 0x7fffffff, 0x80000000, 0xffffffff, (uint32_t)raw_length - 1, (uint32_t)raw_length};
    for (size_t i = 0; i < sizeof odd / sizeof *odd; i++)
        for (size_t place = 84; place <= 100; place += 4) {
            make_raw(raw, jpeg, length);
            put(raw + place, odd[i], 4);
            (void)survives(raw, raw_length);
        }
    free(jpeg);
}

#endif

/* ---- what is none ---- */

/* fault: random bytes, behind nothing or behind the first bytes that raw files of many kinds begin with. */
static void test_raw_preview_garbage(void **state)
{
    (void)state;
    static const char *const heads[] = {
        "", "II*\0\10\0\0\0", "MM\0*\0\0\0\10", "IIRO\10\0\0\0", "IIU\0\30\0\0\0", "II\32\0\0\0HEAPCCDR",
        "\0\0\0\30ftypcrx \0\0\0\1crx isom", "\0MRM\0\0\10\0\0PRD", "FOVb\0\0\2\0", "\377\330\377\341\20\20Exif\0\0II*\0"};
    static const size_t lengths[] = {0, 8, 8, 8, 8, 14, 24, 12, 8, 16};
    uint8_t bytes[GARBAGE_BYTES];
    uint64_t seed = 88172645463325252u;
    for (size_t i = 0; i < 60; i++) {
        for (size_t k = 0; k < sizeof bytes; k++) {
            seed ^= seed << 13;
            seed ^= seed >> 7;
            seed ^= seed << 17;
            bytes[k] = (uint8_t)(i % 2 ? seed >> 24 : seed >> 24 & seed >> 32 & seed >> 40); /* also with many zeros */
        }
        memcpy(bytes, heads[i % 10], lengths[i % 10]);
        (void)survives(bytes, i % 7 == 6 ? 1 + i : sizeof bytes);
    }
}

/* fault: a directory of pictures that points to itself, and one that claims a preview of 4 GB. */
static void test_raw_preview_directories(void **state)
{
    (void)state;
    struct made_tiff tiff;
    made_tiff_open(&tiff, false, 42, NULL);
    uint32_t first = made_tiff_directory(&tiff, 6);
    made_tiff_entry(&tiff, 0x0100, MADE_LONG, 1, 60000);
    made_tiff_entry(&tiff, 0x0101, MADE_LONG, 1, 60000);
    made_tiff_words(&tiff, 0x010f, MADE_MAKE);
    made_tiff_entry(&tiff, 0x014a, MADE_LONG, 1, first);
    made_tiff_entry(&tiff, 0x0201, MADE_LONG, 1, first);
    made_tiff_entry(&tiff, 0x0202, MADE_LONG, 1, 0xffffffff);
    made_tiff_link(&tiff, first, 6, first);
    assert_false(survives(tiff.bytes, tiff.length));
}

/* fault: what is no file of a size that makes sense. */
static void test_raw_preview_no_file(void **state)
{
    (void)state;
    struct owl_raw_preview preview = {.orientation = 77};
    assert_int_equal(owl_raw_preview(-1, 100, &preview), OWL_CANNOT_READ);
    int file = open("/", O_RDONLY | O_CLOEXEC);
    assert_int_equal(ask_of(file, 100, &preview), OWL_CANNOT_READ);
    assert_int_equal(ask_of(file, 0, &preview), OWL_CANNOT_READ);
    assert_int_equal(ask_of(file, UINT64_MAX, &preview), OWL_CANNOT_READ);
    close(file);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
#if defined(OWL_HAVE_LIBRAW)
        cmocka_unit_test(test_raw_preview_made),        cmocka_unit_test(test_raw_preview_broken),
#endif
        cmocka_unit_test(test_raw_preview_garbage),     cmocka_unit_test(test_raw_preview_directories),
        cmocka_unit_test(test_raw_preview_no_file),
    };
    return cmocka_run_group_tests_name("raw preview", tests, NULL, NULL);
}
