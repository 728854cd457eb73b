/* What a pull does when the card, the target or the machine fails. */
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "card/pull.h"
#include "support/card_room.h"
#include "support/check.h"

#define MEGABYTE (1 << 20)

static struct owl_pull_report report;
static struct owl_error error;
static struct owl_calls calls;

/* What the failing calls below do: the call counted `fail_at` of its kind, from 1, fails with `trouble`. */
enum kind { OPEN, READ, WRITE, SYNC, SYNC_FOLDER, RENAME, REMOVE, KINDS };
static int count[KINDS], fail_at[KINDS], trouble;
static bool for_good;  /* and all after it */
static bool only_card; /* reads of the copy, the file open for reading and writing, are spared */

static bool fails(enum kind kind)
{
    count[kind]++;
    bool now = fail_at[kind] > 0 && (count[kind] == fail_at[kind] || (for_good && count[kind] > fail_at[kind]));
    if (now)
        errno = trouble;
    return now;
}

static int open_failing(int directory, const char *name, int flags, mode_t mode)
{
    return fails(OPEN) ? -1 : owl_calls_system.open_at(directory, name, flags, mode);
}

static ssize_t read_failing(int file, void *bytes, size_t most)
{
    bool spared = only_card && (fcntl(file, F_GETFL) & O_ACCMODE) == O_RDWR;
    return !spared && fails(READ) ? -1 : read(file, bytes, most);
}

/* Half of it arrives before the failure. */
static ssize_t write_failing(int file, const void *bytes, size_t most)
{
    if (!fails(WRITE))
        return write(file, bytes, most);
    ssize_t half = write(file, bytes, most / 2);
    errno = trouble;
    return half > 0 && most > 4000 ? half : -1;
}

static int sync_failing(int file)
{
    (void)file;
    return fails(SYNC) ? -1 : 0;
}

static int sync_folder_failing(int file)
{
    (void)file;
    return fails(SYNC_FOLDER) ? -1 : 0;
}

static int rename_failing(int from, const char *name, int to, const char *new_name)
{
    return fails(RENAME) ? -1 : owl_calls_system.rename_new(from, name, to, new_name);
}

static int remove_failing(int directory, const char *name)
{
    return fails(REMOVE) ? -1 : owl_calls_system.remove(directory, name);
}

static int begin(void **state)
{
    (void)state;
    card_room_empty();
    memset(count, 0, sizeof count);
    memset(fail_at, 0, sizeof fail_at);
    for_good = only_card = false;
    trouble = EIO;
    calls = card_room_quick_calls();
    calls.open_at = open_failing;
    calls.read = read_failing;
    calls.write = write_failing;
    calls.sync_data = sync_failing;
    calls.sync_folder = sync_folder_failing;
    calls.rename_new = rename_failing;
    calls.remove = remove_failing;
    return 0;
}

static int end(void **state)
{
    (void)state;
    owl_pull_report_clear(&report);
    return 0;
}

static enum owl_status pull(void)
{
    owl_pull_report_clear(&report);
    memset(count, 0, sizeof count);
    return card_room_pull("card", "home", &calls, &report, &error);
}

static void make_card(void)
{
    card_room_make("card/A/IMG_1.JPG", 30000, 1);
    card_room_make("card/A/IMG_2.JPG", MEGABYTE + 10, 2);
    card_room_make("card/A/IMG_2.xmp", 90, 3);
    card_room_make("card/B/IMG_3.JPG", 30000, 1);
    card_room_make("card/B/IMG_4.JPG", 0, 4);
    card_room_make("card/B/MVI_5.MOV", 5000, 5);
    card_room_make("home/B/MVI_5.MOV", 5000, 50);
    card_room_make("before/B/MVI_5.MOV", 5000, 50);
}

/* `doubled`: a duplicate more may be kept, as when the copy it repeats could not be read to be sure of it. */
static void check_home(bool doubled)
{
    assert_int_equal(pull(), OWL_OK);
    assert_int_equal(report.failed + report.not_reached, 0);
    assert_true(card_room_all_home("card", "home"));
    assert_true(card_room_none_torn("card", "home", "before"));
    assert_true(card_room_same("home/B/MVI_5.MOV", "before/B/MVI_5.MOV"));
    /* five of the card, for one is a duplicate, the file that was there, and the two lists */
    doubled = doubled && card_room_has("home/A/IMG_1.JPG") && card_room_has("home/B/IMG_3.JPG");
    assert_int_equal(card_room_count("home"), 5 + 1 + 2 + doubled);
}

static void check_all_home(void)
{
    check_home(false);
}

/* fault: any one call of any kind fails, with errors of card and target; nothing is torn, nothing lost, nothing doubled */
static void test_pull_any_call_fails(void **state)
{
    static const int troubles[] = {EIO, ENOSPC, EACCES, ENODEV};
    (void)state;
    for (int kind = 0; kind < KINDS; kind++)
        for (int at = 1, going = 1; going; at++) {
            card_room_empty();
            make_card();
            trouble = troubles[at % 4];
            for_good = at % 3 == 0;
            fail_at[kind] = at;
            enum owl_status status = pull();
            going = count[kind] >= at;
            if (status != OWL_OK)
                assert_int_not_equal(strlen(error.words), 0);
            else
                assert_int_equal(strlen(error.words), 0);
            assert_true(card_room_none_torn("card", "home", "before"));
            assert_true(report.files == 0 || report.files <= report.copied + report.already + report.duplicates +
                                                             report.failed + report.not_reached);
            fail_at[kind] = 0;
            for_good = false;
            check_home(kind == OPEN || kind == READ);
        }
    assert_true(card_room_tool_agrees("home", true));
}

static ssize_t read_little(int file, void *bytes, size_t most)
{
    static int turn;
    if (++turn % 5 == 0) {
        errno = EINTR;
        return -1;
    }
    return read(file, bytes, most > 700 ? 700 : most);
}

static ssize_t write_little(int file, const void *bytes, size_t most)
{
    static int turn;
    if (++turn % 7 == 0) {
        errno = EINTR;
        return -1;
    }
    return write(file, bytes, most > 333 ? 333 : most);
}

/* fault: calls that do less than they are asked, or are interrupted */
static void test_pull_short_calls(void **state)
{
    (void)state;
    make_card();
    calls.read = read_little;
    calls.write = write_little;
    check_all_home();
}

static ssize_t read_wrongly(int file, void *bytes, size_t most)
{
    ssize_t got = read(file, bytes, most);
    if (got > 1000 && (fcntl(file, F_GETFL) & O_ACCMODE) == O_RDWR)
        ((char *)bytes)[got / 2] ^= 4;
    return got;
}

/* fault: the target's device gives back one bit turned: no such copy gets a name */
static void test_pull_reads_back_differently(void **state)
{
    (void)state;
    make_card();
    calls.read = read_wrongly;
    assert_int_equal(pull(), OWL_OK);
    assert_int_equal(report.failed, 4);
    assert_int_equal(report.copied, 2);
    assert_non_null(strstr(report.notes[0].words, "reads back differently"));
    assert_false(card_room_has("home/A/IMG_1.JPG"));
    assert_false(card_room_has("home/PULLING.part"));
    calls.read = read_failing;
    check_all_home();
}

static ssize_t read_shrinking(int file, void *bytes, size_t most)
{
    ssize_t got = read(file, bytes, most);
    struct stat facts;
    if (fstat(file, &facts) == 0 && facts.st_size == MEGABYTE + 10)
        assert_int_equal(truncate(card_room_path("card/A/IMG_2.JPG"), MEGABYTE), 0);
    return got;
}

/* fault: an original shrinks while it is read: told, and the others come home */
static void test_pull_original_shrinks(void **state)
{
    (void)state;
    make_card();
    calls.read = read_shrinking;
    assert_int_equal(pull(), OWL_OK);
    assert_int_equal(report.failed, 1);
    assert_string_equal(report.notes[0].name, "A/IMG_2.JPG");
    assert_string_equal(report.notes[0].words, "it changed while it was read");
    assert_false(card_room_has("home/A/IMG_2.JPG"));
    assert_int_equal(report.copied + report.duplicates, 5);
}

/* fault: one file of the card cannot be read: told, and the others come home */
static void test_pull_bad_file(void **state)
{
    (void)state;
    make_card();
    fail_at[READ] = 1;
    assert_int_equal(pull(), OWL_OK);
    assert_int_equal(report.failed, 1);
    assert_string_equal(report.notes[0].words, "it cannot be read: the device gives errors");
    assert_int_equal(report.copied + report.duplicates, 5);
    assert_false(report.card_gone);
}

/* fault: the reader is pulled out: the run ends, what is home is safe, the next run does the rest */
static void test_pull_card_gone(void **state)
{
    (void)state;
    make_card();
    fail_at[READ] = 4;
    for_good = only_card = true;
    trouble = ENODEV;
    assert_int_equal(pull(), OWL_CANNOT_READ);
    assert_true(report.card_gone);
    assert_int_equal(report.failed, 1);
    assert_true(report.not_reached > 0);
    assert_non_null(strstr(error.words, "put the card in again"));
    assert_true(card_room_none_torn("card", "home", "before"));
    fail_at[READ] = 0;
    check_all_home();
}

static ssize_t read_after_removal(int file, void *bytes, size_t most)
{
    if ((fcntl(file, F_GETFL) & O_ACCMODE) == O_RDWR || count[READ]++ < 3)
        return read(file, bytes, most);
    (void)rename(card_room_path("card"), card_room_path("taken"));
    errno = EIO;
    return -1;
}

/* fault: the card's folder vanishes as its device goes */
static void test_pull_card_unmounted(void **state)
{
    (void)state;
    make_card();
    calls.read = read_after_removal;
    assert_int_equal(pull(), OWL_CANNOT_READ);
    assert_true(report.card_gone);
    assert_int_equal(rename(card_room_path("taken"), card_room_path("card")), 0);
    calls.read = read_failing;
    check_all_home();
}

static int little_room(int directory, uint64_t *bytes)
{
    (void)directory;
    *bytes = MEGABYTE;
    return 0;
}

/* fault: too little room is told before anything is copied */
static void test_pull_no_room_before(void **state)
{
    (void)state;
    make_card();
    calls.free_bytes = little_room;
    assert_int_equal(pull(), OWL_CANNOT_WRITE);
    assert_non_null(strstr(error.words, "MB are still to be copied, 1.0 MB are free. Nothing was copied."));
    assert_int_equal(report.copied, 0);
    assert_int_equal(report.not_reached, 6);
    calls.free_bytes = owl_calls_system.free_bytes;
    check_all_home();
    calls.free_bytes = little_room; /* nothing is left to copy, so nothing is needed */
    check_all_home();
}

/* fault: the room is used up while copying: one clear line, and the run goes on after it has been made */
static void test_pull_no_room_meanwhile(void **state)
{
    (void)state;
    make_card();
    fail_at[WRITE] = 3;
    for_good = true;
    trouble = ENOSPC;
    assert_int_equal(pull(), OWL_CANNOT_WRITE);
    assert_non_null(strstr(error.words, "The copy cannot be written to"));
    assert_non_null(strstr(error.words, "no room is left."));
    assert_false(card_room_has("home/PULLING.part"));
    fail_at[WRITE] = 0;
    check_all_home();
}

static int open_read_only(int directory, const char *name, int flags, mode_t mode)
{
    if ((flags & O_ACCMODE) == O_RDONLY)
        return owl_calls_system.open_at(directory, name, flags, mode);
    errno = EROFS;
    return -1;
}

/* fault: a target that can only be read: one clear line */
static void test_pull_read_only_target(void **state)
{
    (void)state;
    make_card();
    calls.open_at = open_read_only;
    assert_int_equal(pull(), OWL_CANNOT_WRITE);
    assert_non_null(strstr(error.words, "it can only be read, not written."));
    assert_int_equal(report.copied, 0);
}

/* fault: targets on the card, at no folder, below a file; a card that is not there or no folder */
static void test_pull_wrong_places(void **state)
{
    static const struct {
        const char *card, *target, *words;
        enum owl_status status;
    } places[] = {
        {"card", "card", "Nothing is ever written to a card", OWL_BAD_USE},
        {"card", "card/DCIM/new/home", "Nothing is ever written to a card", OWL_BAD_USE},
        {"card", "card/A", "Nothing is ever written to a card", OWL_BAD_USE},
        {"card", "link/home", "Nothing is ever written to a card", OWL_BAD_USE},
        {"card", "plain", "something that is no folder", OWL_CANNOT_WRITE},
        {"card", "plain/home", "something that is no folder", OWL_CANNOT_WRITE},
        {"nowhere", "home", "The card cannot be opened", OWL_CANNOT_READ},
        {"plain", "home", "The card cannot be opened", OWL_CANNOT_READ},
    };
    (void)state;
    make_card();
    card_room_make("plain", 3, 1);
    assert_int_equal(symlink(card_room_path("card"), card_room_path("link")), 0);
    for (size_t i = 0; i < sizeof places / sizeof places[0]; i++) {
        owl_pull_report_clear(&report);
        assert_int_equal(card_room_pull(places[i].card, places[i].target, &calls, &report, &error), places[i].status);
        assert_non_null(strstr(error.words, places[i].words));
        assert_null(strchr(error.words, '\n'));
    }
    assert_int_equal(card_room_count("card"), 6);
    assert_false(card_room_has("card/DCIM"));
    owl_pull_report_clear(&report);
    assert_int_equal(card_room_pull("card", "new/and/newer//", &calls, &report, &error), OWL_OK);
    assert_true(card_room_all_home("card", "new/and/newer"));
}

/* fault: a link or a file stands where the target needs a folder: nothing is written through it, the rest comes home */
static void test_pull_link_in_the_target(void **state)
{
    (void)state;
    make_card();
    assert_int_equal(mkdir(card_room_path("other"), 0777), 0);
    assert_int_equal(symlink(card_room_path("other"), card_room_path("home/A")), 0);
    assert_int_equal(pull(), OWL_OK);
    assert_int_equal(report.failed, 3);
    assert_int_equal(report.copied, 3);
    assert_int_equal(card_room_count("other"), 0);
}

/* fault: the lists are torn, or hold what nobody wrote */
static void test_pull_damaged_lists(void **state)
{
    static const char *const texts[] = {"", "\n", "\n\n\n", "x", "99aa06d3014798d86001c324468d497f", "\\", "\\\n",
                                        "99aa06d3014798d86001c324468d497f  \n", "99aa06d3014798d86001c324468d497f  A/IMG_1.JPG\n",
                                        "99aa06d3014798d86001c324468d497f *A/IMG_1.JPG",
                                        "99aa06d3014798d86001c324468d497f\t30000\t1767225660.12\tA/IMG_2.JPG\tA/IMG_1.JPG\n",
                                        "99aa06d3014798d86001c324468d497f\t30000\t1767225660.12\t\t\n\t\t\t\t\n\t",
                                        "99aa06d3014798d86001c324468d497f\t-1\tx\t../../etc\tB/IMG_3.JPG\n"};
    static const char *const lists[] = {"home/MANIFEST.xxh128", "home/OTHER-NAMES.tsv"};
    (void)state;
    for (size_t i = 0; i < 2 * sizeof texts / sizeof texts[0]; i++) {
        card_room_empty();
        make_card();
        FILE *file = fopen(card_room_path(lists[i % 2]), "w");
        assert_true(file && fputs(texts[i / 2], file) >= 0 && fclose(file) == 0);
        check_all_home();
    }
}

/* ---- kills ---- */

static int calls_left;

static void die_in_time(void)
{
    if (--calls_left == 0)
        raise(SIGKILL);
}

static ssize_t read_dying(int file, void *bytes, size_t most)
{
    die_in_time();
    return read(file, bytes, most);
}

static ssize_t write_dying(int file, const void *bytes, size_t most)
{
    if (calls_left == 1)
        (void)!write(file, bytes, most / 2);
    die_in_time();
    return write(file, bytes, most);
}

static int sync_dying(int file)
{
    (void)file;
    die_in_time();
    return 0;
}

static int rename_dying(int from, const char *name, int to, const char *new_name)
{
    die_in_time();
    int done = owl_calls_system.rename_new(from, name, to, new_name);
    die_in_time();
    return done;
}

static bool is_killed_after(int number)
{
    pid_t child = fork();
    if (child == 0) {
        calls.read = read_dying;
        calls.write = write_dying;
        calls.sync_data = calls.sync_folder = sync_dying;
        calls.rename_new = rename_dying;
        calls_left = number;
        _exit(card_room_pull("card", "home", &calls, &report, &error) != OWL_OK);
    }
    int status = 0;
    assert_int_equal(waitpid(child, &status, 0), child);
    return WIFSIGNALED(status);
}

/* fault: killed at every call in turn, then run to its end: nothing torn, lost or doubled */
static void test_pull_killed_anywhere(void **state)
{
    (void)state;
    int number = 1;
    make_card();
    while (is_killed_after(number)) {
        assert_true(card_room_none_torn("card", "home", "before"));
        check_all_home();
        assert_false(card_room_has("home/PULLING.part"));
        card_room_empty();
        make_card();
        number++;
    }
    assert_true(number > 30);
    /* And from one kill into the next. */
    card_room_empty();
    make_card();
    for (int i = 0; i < 40 && is_killed_after(3 + i); i++)
        assert_true(card_room_none_torn("card", "home", "before"));
    check_all_home();
    assert_true(card_room_tool_agrees("home", true));
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, begin, end)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(test_pull_any_call_fails),
        IN_ROOM(test_pull_short_calls),
        IN_ROOM(test_pull_reads_back_differently),
        IN_ROOM(test_pull_original_shrinks),
        IN_ROOM(test_pull_bad_file),
        IN_ROOM(test_pull_card_gone),
        IN_ROOM(test_pull_card_unmounted),
        IN_ROOM(test_pull_no_room_before),
        IN_ROOM(test_pull_no_room_meanwhile),
        IN_ROOM(test_pull_read_only_target),
        IN_ROOM(test_pull_wrong_places),
        IN_ROOM(test_pull_link_in_the_target),
        IN_ROOM(test_pull_damaged_lists),
        IN_ROOM(test_pull_killed_anywhere),
    };
    return cmocka_run_group_tests(tests, card_room_setup, card_room_teardown);
}
