/* A card brought home: all of it, once, under its names, and again. */
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "card/digest.h"
#include "card/manifest.h"
#include "card/pull.h"
#include "support/card_room.h"
#include "support/check.h"

static struct owl_pull_report report;
static struct owl_error error;

static int empty_room(void **state)
{
    (void)state;
    card_room_empty();
    return 0;
}

static int clear_report(void **state)
{
    (void)state;
    owl_pull_report_clear(&report);
    return 0;
}

static enum owl_status pull(void)
{
    owl_pull_report_clear(&report);
    return card_room_pull("card", "home", NULL, &report, &error);
}

static const struct owl_pull_note *note_of(enum owl_pull_note_kind kind, const char *name)
{
    for (size_t i = 0; i < report.note_count; i++)
        if (report.notes[i].kind == kind && strcmp(report.notes[i].name, name) == 0)
            return &report.notes[i];
    fail_msg("no note of that kind for %s", name);
    return NULL;
}

static struct stat facts_of(const char *name)
{
    struct stat facts;
    assert_int_equal(lstat(card_room_path(name), &facts), 0);
    return facts;
}

static void make_card(void)
{
    card_room_make("card/DCIM/100OWL/IMG_0001.JPG", 300000, 1);
    card_room_make("card/DCIM/100OWL/IMG_0001.CR2", 1500000, 2);
    card_room_make("card/DCIM/100OWL/IMG_0001.xmp", 700, 3);
    card_room_make("card/DCIM/101OWL/MVI_0002.MOV", (1 << 20) + 1, 4);
    card_room_make("card/DCIM/101OWL/IMG_0003.JPG", 1 << 20, 5);
    card_room_make("card/MISC/INDEX.DAT", 12, 6);
}

/* identity: every file comes home with its bytes, name and time, and the card stays as it was */
static void test_pull_brings_all_home(void **state)
{
    (void)state;
    make_card();
    struct stat before = facts_of("card/DCIM/100OWL/IMG_0001.CR2");
    assert_int_equal(pull(), OWL_OK);
    struct stat after = facts_of("card/DCIM/100OWL/IMG_0001.CR2"), copy = facts_of("home/DCIM/100OWL/IMG_0001.CR2");
    assert_int_equal(report.files, 6);
    assert_int_equal(report.copied, 6);
    assert_int_equal(report.already + report.duplicates + report.failed + report.left_out + report.not_reached, 0);
    assert_int_equal(report.bytes_copied, 300000 + 1500000 + 700 + 2 * (1 << 20) + 1 + 12);
    assert_int_equal(report.kinds[OWL_CARD_JPEG], 2);
    assert_int_equal(report.kinds[OWL_CARD_RAW], 1);
    assert_int_equal(report.kinds[OWL_CARD_MOVIE], 1);
    assert_int_equal(report.kinds[OWL_CARD_SIDECAR], 1);
    assert_int_equal(report.kinds[OWL_CARD_OTHER], 1);
    assert_string_equal(error.words, "");
    assert_true(card_room_all_home("card", "home"));
    assert_int_equal(card_room_count("home"), 7);
    assert_true(card_room_tool_agrees("home", true));
    assert_memory_equal(&before.st_mtim, &after.st_mtim, sizeof before.st_mtim);
    assert_memory_equal(&before.st_atim, &after.st_atim, sizeof before.st_atim);
    assert_memory_equal(&before.st_mtim, &copy.st_mtim, sizeof before.st_mtim);
}

/* identity: the same with everything brought to the device */
static void test_pull_through_the_device(void **state)
{
    (void)state;
    make_card();
    assert_int_equal(card_room_pull("card", "home", &owl_calls_system, &report, &error), OWL_OK);
    assert_int_equal(report.copied, 6);
    assert_true(card_room_all_home("card", "home"));
    assert_true(card_room_tool_agrees("home", true));
}

static size_t bytes_read;

static ssize_t counting_read(int file, void *bytes, size_t count)
{
    ssize_t got = read(file, bytes, count);
    bytes_read += got > 0 ? (size_t)got : 0;
    return got;
}

/* identity: a second run reads only the lists, and changes nothing */
static void test_pull_again_does_nothing(void **state)
{
    (void)state;
    make_card();
    assert_int_equal(pull(), OWL_OK);
    struct stat list = facts_of("home/MANIFEST.xxh128");
    struct owl_calls calls = card_room_quick_calls();
    calls.read = counting_read;
    bytes_read = 0;
    owl_pull_report_clear(&report);
    assert_int_equal(card_room_pull("card", "home", &calls, &report, &error), OWL_OK);
    assert_int_equal(report.already, 6);
    assert_int_equal(report.copied, 0);
    assert_int_equal(bytes_read, list.st_size);
    assert_int_equal(facts_of("home/MANIFEST.xxh128").st_size, list.st_size);
    assert_int_equal(card_room_count("home"), 7);
}

/* identity: names of any bytes survive, and are shown fit for the eye */
static void test_pull_odd_names(void **state)
{
    static const char *const names[] = {"a\nb.jpg", "bad\xff.jpg", "-", "stdin", "back\\n.jpg", " blank ", "tab\t.jpg", "cr\r",
                                        "\xe2\x80\xaegpj.exe", "D\xc3\xa4mmerung.jpg", "'quote\" $(x)", "folder\n/x.jpg", "\\"};
    (void)state;
    char name[300], longest[256];
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        snprintf(name, sizeof name, "card/%s", names[i]);
        card_room_make(name, 100 + i, i);
    }
    memset(longest, 'n', 255);
    longest[255] = '\0';
    snprintf(name, sizeof name, "card/%s", longest);
    card_room_make(name, 5, 99);
    assert_int_equal(pull(), OWL_OK);
    assert_int_equal(report.copied, sizeof names / sizeof names[0] + 1);
    assert_int_equal(report.failed, 0);
    assert_true(card_room_all_home("card", "home"));
    assert_true(card_room_tool_agrees("home", false));
    assert_non_null(strstr(card_room_text("home/MANIFEST.xxh128"), "  ./-\n"));
    assert_int_equal(pull(), OWL_OK);
    assert_int_equal(report.already, sizeof names / sizeof names[0] + 1);
}

/* identity: links are not followed, pipes not waited for, both are told; empty folders make none */
static void test_pull_leaves_out_what_is_no_file(void **state)
{
    (void)state;
    make_card();
    card_room_make("elsewhere/secret.jpg", 10, 7);
    assert_int_equal(symlink(card_room_path("elsewhere/secret.jpg"), card_room_path("card/link.jpg")), 0);
    assert_int_equal(symlink(card_room_path("elsewhere"), card_room_path("card/DCIM/folder")), 0);
    assert_int_equal(symlink("..", card_room_path("card/DCIM/round")), 0);
    assert_int_equal(mkfifo(card_room_path("card/pipe"), 0600), 0);
    assert_int_equal(mkdir(card_room_path("card/nothing"), 0700), 0);
    assert_int_equal(pull(), OWL_OK);
    assert_int_equal(report.copied, 6);
    assert_int_equal(report.left_out, 4);
    assert_string_equal(note_of(OWL_PULL_LEFT_OUT, "link.jpg")->words, "it is a link");
    assert_string_equal(note_of(OWL_PULL_LEFT_OUT, "pipe")->words, "it is no file but a device, pipe or socket");
    assert_false(card_room_has("home/link.jpg"));
    assert_false(card_room_has("home/nothing"));
}

/* identity: a picture that lies twice on the card is kept once and both names are known; sidecars and empty files are kept */
static void test_pull_duplicates(void **state)
{
    (void)state;
    card_room_make("card/A/IMG_1.JPG", 5000, 1);
    card_room_make("card/B/IMG_9.JPG", 5000, 1);
    card_room_make("card/A/IMG_1.xmp", 50, 2);
    card_room_make("card/A/IMG_2.xmp", 50, 2);
    card_room_make("card/A/IMG_3.JPG", 0, 3);
    card_room_make("card/A/IMG_4.JPG", 0, 4);
    assert_int_equal(pull(), OWL_OK);
    assert_int_equal(report.copied, 5);
    assert_int_equal(report.duplicates, 1);
    assert_string_equal(note_of(OWL_PULL_DUPLICATE, "B/IMG_9.JPG")->words, "A/IMG_1.JPG");
    assert_false(card_room_has("home/B/IMG_9.JPG"));
    assert_true(card_room_all_home("card", "home"));
    const char *line = strstr(card_room_text("home/OTHER-NAMES.tsv"), "\t");
    assert_string_equal(line, "\t5000\t1767225660.120000000\tA/IMG_1.JPG\tB/IMG_9.JPG\n");
    assert_true(card_room_tool_agrees("home", true));
    assert_int_equal(pull(), OWL_OK);
    assert_int_equal(report.already, 6);
    /* When the one that was kept is lost, the other is fetched. */
    assert_int_equal(unlink(card_room_path("card/A/IMG_1.JPG")), 0);
    assert_int_equal(unlink(card_room_path("home/A/IMG_1.JPG")), 0);
    assert_int_equal(pull(), OWL_OK);
    assert_int_equal(report.copied, 1);
    assert_true(card_room_same("card/B/IMG_9.JPG", "home/B/IMG_9.JPG"));
}

/* identity: a duplicate whose kept copy has been damaged since is kept itself */
static void test_pull_duplicate_of_a_damaged_copy(void **state)
{
    (void)state;
    card_room_make("card/A.JPG", 5000, 1);
    assert_int_equal(pull(), OWL_OK);
    card_room_make("home/A.JPG", 5000, 8);
    card_room_make("card/B.JPG", 5000, 1);
    assert_int_equal(unlink(card_room_path("card/A.JPG")), 0);
    assert_int_equal(pull(), OWL_OK);
    assert_int_equal(report.copied, 1);
    assert_true(card_room_same("card/B.JPG", "home/B.JPG"));
}

/* identity: another content under a name that is taken gets digits; nothing is overwritten, and the next run knows it */
static void test_pull_same_name_other_content(void **state)
{
    (void)state;
    card_room_make("home/IMG_0001.JPG", 4000, 50);
    card_room_make("before/IMG_0001.JPG", 4000, 50);
    card_room_make("card/IMG_0001.JPG", 4000, 1);
    assert_int_equal(pull(), OWL_OK);
    assert_int_equal(report.copied, 1);
    const struct owl_pull_note *note = note_of(OWL_PULL_RENAMED, "IMG_0001.JPG");
    assert_int_equal(strlen(note->words), strlen("IMG_0001~12345678.JPG"));
    assert_true(card_room_same("home/IMG_0001.JPG", "before/IMG_0001.JPG"));
    assert_true(card_room_all_home("card", "home"));
    assert_int_equal(pull(), OWL_OK);
    assert_int_equal(report.already, 1);
    /* The camera counts from the beginning again: the card's name, size and even time come back with another picture. */
    card_room_make("card/IMG_0001.JPG", 4001, 2);
    assert_int_equal(pull(), OWL_OK);
    assert_int_equal(report.copied, 1);
    assert_true(card_room_all_home("card", "home"));
    assert_int_equal(card_room_count("home"), 3 + 2);
    assert_true(card_room_same("home/IMG_0001.JPG", "before/IMG_0001.JPG"));
    assert_true(card_room_tool_agrees("home", true));
}

/* identity: a name on the card that we need ourselves is given digits */
static void test_pull_names_we_need(void **state)
{
    static const char *const names[] = {"PULLING.part", "pulling.PART", "MANIFEST.xxh128", "OTHER-NAMES.tsv", "REWRITING.part"};
    (void)state;
    char name[64];
    for (size_t i = 0; i < 5; i++) {
        snprintf(name, sizeof name, "card/%s", names[i]);
        card_room_make(name, 100 + i, i);
    }
    card_room_make("card/IMG_1.JPG.part", 100, 9);
    assert_int_equal(pull(), OWL_OK);
    assert_int_equal(report.copied, 6);
    assert_true(card_room_all_home("card", "home"));
    assert_true(card_room_has("home/IMG_1.JPG.part"));
    assert_false(card_room_has("home/PULLING.part"));
    assert_true(card_room_tool_agrees("home", true));
    assert_int_equal(pull(), OWL_OK);
    assert_int_equal(report.already, 6);
}

/* identity: a copy with another time or without a line is compared by content and then known */
static void test_pull_in_doubt(void **state)
{
    (void)state;
    make_card();
    assert_int_equal(pull(), OWL_OK);
    struct timespec now[2] = {{.tv_nsec = UTIME_NOW}, {.tv_nsec = UTIME_NOW}};
    assert_int_equal(utimensat(AT_FDCWD, card_room_path("home/MISC/INDEX.DAT"), now, 0), 0);
    assert_int_equal(pull(), OWL_OK);
    assert_int_equal(report.already, 6);
    assert_int_equal(unlink(card_room_path("home/MANIFEST.xxh128")), 0);
    assert_int_equal(pull(), OWL_OK);
    assert_int_equal(report.already, 6);
    assert_int_equal(report.copied, 0);
    assert_int_equal(card_room_count("home"), 7);
    assert_true(card_room_tool_agrees("home", true));
}

/* identity: what the user took away comes again; a line that no longer holds is taken out of the manifest */
static void test_pull_after_a_file_is_gone(void **state)
{
    (void)state;
    make_card();
    assert_int_equal(pull(), OWL_OK);
    assert_int_equal(unlink(card_room_path("home/DCIM/101OWL/IMG_0003.JPG")), 0);
    card_room_make("card/DCIM/101OWL/IMG_0003.JPG", 777, 33);
    assert_int_equal(pull(), OWL_OK);
    assert_int_equal(report.copied, 1);
    assert_int_equal(report.already, 5);
    assert_true(card_room_all_home("card", "home"));
    assert_true(card_room_tool_agrees("home", true));
}

/* identity: a thorough run finds a copy whose bytes have turned, and keeps the good one beside it */
static void test_pull_thorough(void **state)
{
    (void)state;
    make_card();
    assert_int_equal(pull(), OWL_OK);
    struct stat facts = facts_of("home/MISC/INDEX.DAT");
    card_room_make("home/MISC/INDEX.DAT", 12, 77);
    struct timespec times[2] = {{.tv_nsec = UTIME_OMIT}, facts.st_mtim};
    assert_int_equal(utimensat(AT_FDCWD, card_room_path("home/MISC/INDEX.DAT"), times, 0), 0);
    assert_int_equal(pull(), OWL_OK);
    assert_int_equal(report.already, 6);
    struct owl_pull_wish wish = {.card = card_room_path("card"), .target = card_room_path("home"), .thorough = true};
    owl_pull_report_clear(&report);
    assert_int_equal(owl_pull(&wish, &report, &error), OWL_OK);
    assert_int_equal(report.already, 5);
    assert_int_equal(report.copied, 1);
    assert_true(card_room_all_home("card", "home"));
}

/* identity: thousands of files alike in one folder take no more than their number */
static void test_pull_many_files(void **state)
{
    (void)state;
    char name[64];
    for (int i = 0; i < 3000; i++) {
        snprintf(name, sizeof name, "card/DCIM/IMG_%05d.%s", i, i % 3 == 0 ? "xmp" : "JPG");
        card_room_make(name, i % 3 == 0 ? 0 : 20, (uint64_t)i % 2);
    }
    assert_int_equal(pull(), OWL_OK);
    assert_int_equal(report.copied, 1000 + 2);
    assert_int_equal(report.duplicates, 2000 - 2);
    assert_int_equal(pull(), OWL_OK);
    assert_int_equal(report.already, 3000);
}

/* ---- progress ---- */

static struct owl_pull_progress last;
static int stop_after;

static bool watch(void *context, const struct owl_pull_progress *progress)
{
    (void)context;
    assert_true(progress->bytes >= last.bytes && progress->bytes <= progress->bytes_all);
    last = *progress;
    return stop_after-- != 0;
}

static enum owl_status pull_watched(int calls)
{
    struct owl_pull_wish wish = {.card = card_room_path("card"), .target = card_room_path("home"), .progress = watch};
    owl_pull_report_clear(&report);
    last = (struct owl_pull_progress){0};
    stop_after = calls;
    return owl_pull(&wish, &report, &error);
}

/* identity: progress grows to the whole; stopping at any call leaves nothing half made, and the next run ends it */
static void test_pull_stops_and_goes_on(void **state)
{
    (void)state;
    make_card();
    int runs = 0;
    do {
        assert_int_equal(pull_watched(runs++), OWL_OK);
        assert_true(report.stopped || report.not_reached == 0);
        assert_int_equal(report.files, report.copied + report.already + report.not_reached);
        assert_false(card_room_has("home/PULLING.part"));
        assert_true(card_room_none_torn("card", "home", NULL));
    } while (report.stopped);
    assert_true(runs > 4);
    assert_int_equal(last.bytes, last.bytes_all);
    assert_int_equal(last.files, 6);
    assert_true(card_room_all_home("card", "home"));
    assert_true(card_room_tool_agrees("home", true));
}

static enum owl_status second_status;
static struct owl_error second_error;

static bool pull_meanwhile(void *context, const struct owl_pull_progress *progress)
{
    (void)progress;
    struct owl_pull_report second;
    second_status = owl_pull(context, &second, &second_error);
    owl_pull_report_clear(&second);
    return false;
}

/* identity: only one pull at a time writes into a target */
static void test_pull_one_at_a_time(void **state)
{
    (void)state;
    make_card();
    struct owl_pull_wish second = {.card = card_room_path("card"), .target = card_room_path("home")};
    struct owl_pull_wish wish = second;
    wish.progress = pull_meanwhile;
    wish.context = &second;
    assert_int_equal(owl_pull(&wish, &report, &error), OWL_OK);
    assert_int_equal(second_status, OWL_BAD_USE);
    assert_non_null(strstr(second_error.words, "Another pull is at work in"));
}

/* cited: the digest of nothing and of three letters as the tool of another hand prints them */
static void test_pull_digests(void **state)
{
    (void)state;
    card_room_make("card/empty", 0, 0);
    FILE *file = fopen(card_room_path("card/abc"), "w");
    assert_true(file && fputs("abc", file) >= 0 && fclose(file) == 0);
    assert_int_equal(pull(), OWL_OK);
    /* xxHash's own test vectors: XXH3_128bits("") and ("abc"), seed 0 */
    assert_non_null(strstr(card_room_text("home/MANIFEST.xxh128"), "99aa06d3014798d86001c324468d497f  empty\n"));
    assert_non_null(strstr(card_room_text("home/MANIFEST.xxh128"), "06b05ab6733a618578af5f94892f3950  abc\n"));
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, empty_room, clear_report)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(test_pull_brings_all_home),
        IN_ROOM(test_pull_through_the_device),
        IN_ROOM(test_pull_again_does_nothing),
        IN_ROOM(test_pull_odd_names),
        IN_ROOM(test_pull_leaves_out_what_is_no_file),
        IN_ROOM(test_pull_duplicates),
        IN_ROOM(test_pull_duplicate_of_a_damaged_copy),
        IN_ROOM(test_pull_same_name_other_content),
        IN_ROOM(test_pull_names_we_need),
        IN_ROOM(test_pull_in_doubt),
        IN_ROOM(test_pull_after_a_file_is_gone),
        IN_ROOM(test_pull_thorough),
        IN_ROOM(test_pull_many_files),
        IN_ROOM(test_pull_stops_and_goes_on),
        IN_ROOM(test_pull_one_at_a_time),
        IN_ROOM(test_pull_digests),
    };
    return cmocka_run_group_tests(tests, card_room_setup, card_room_teardown);
}
