/* The book's file: forms, strangers, damage, company and sudden ends. What was kept before any of them is kept after. */
#include "support/check.h"

#include <dirent.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "book/book.h"
#include "book/made_book.h"
#include "book/run.h"
#include "book/schema.h"
#include "support/card_room.h"

#define FRAMES 200

static struct owl_error error;

/* ---- files ---- */

static char *bytes_of(const char *name, size_t *count)
{
    FILE *file = fopen(card_room_path(name), "rb");
    char *bytes = malloc(1 << 22);
    assert_true(file && bytes);
    *count = fread(bytes, 1, 1 << 22, file);
    fclose(file);
    return bytes;
}

static void write_at(const char *name, long at, int byte, size_t count)
{
    FILE *file = fopen(card_room_path(name), "r+b");
    assert_non_null(file);
    assert_int_equal(fseek(file, at, SEEK_SET), 0);
    while (count-- > 0)
        putc(byte, file);
    assert_int_equal(fclose(file), 0);
}

static int names_in(const char *folder)
{
    DIR *directory = opendir(card_room_path(folder));
    int count = 0;
    assert_non_null(directory);
    while (readdir(directory))
        count++;
    closedir(directory);
    return count;
}

/* Statements by a connection of its own; makes the file where there is none. */
static void run_sql(const char *folder, const char *sql)
{
    sqlite3 *database;
    char name[64];
    snprintf(name, sizeof name, "%s/" OWL_BOOK_FILE, folder);
    mkdir(card_room_path(folder), 0700);
    assert_int_equal(sqlite3_open(card_room_path(name), &database), SQLITE_OK);
    assert_int_equal(sqlite3_exec(database, sql, NULL, NULL, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_close(database), SQLITE_OK);
}

/* Opening fails with such words and leaves every byte, and no file beside. */
static void check_refused(const char *folder, const char *words)
{
    struct owl_book *book = NULL;
    char name[64];
    size_t before, after;
    snprintf(name, sizeof name, "%s/" OWL_BOOK_FILE, folder);
    char *old = bytes_of(name, &before);
    int names = names_in(folder);
    assert_int_equal(owl_book_open(card_room_path(folder), &book, &error), OWL_CANNOT_READ);
    assert_null(book);
    if (!strstr(error.words, words) || strchr(error.words, '\n'))
        fail_msg("'%s' does not say '%s'", error.words, words);
    char *now = bytes_of(name, &after);
    assert_int_equal(after, before);
    assert_memory_equal(now, old, before);
    assert_int_equal(names_in(folder), names);
    free(old);
    free(now);
}

static void make_kept(const char *name)
{
    struct owl_book *book = made_book_open(name);
    assert_int_equal(made_book_keep(book, FRAMES, 0, &error), OWL_OK);
    owl_book_close(book);
}

static void check_still_kept(const char *name)
{
    struct owl_book *book = made_book_open(name);
    made_book_check(book, FRAMES, 0);
    owl_book_close(book);
}

/* ---- children ---- */

static bool all_went_well(int children)
{
    bool well = true;
    for (int i = 0, status; i < children; i++)
        well = wait(&status) > 0 && WIFEXITED(status) && WEXITSTATUS(status) == 0 && well;
    return well;
}

/* ---- opening ---- */

/* identity: folders are made with their parents, closed to others; the file says whose it is and waits for nobody's readers */
static void test_book_file_made(void **state)
{
    (void)state;
    struct stat facts;
    owl_book_close(made_book_open("new/a b/c%20?#d/"));
    assert_int_equal(stat(card_room_path("new/a b"), &facts), 0);
    assert_int_equal(facts.st_mode & 0777, 0700);
    assert_true(card_room_has("new/a b/c%20?#d/" OWL_BOOK_FILE));
    assert_int_equal(made_book_ask("new/a b/c%20?#d/" OWL_BOOK_FILE, "PRAGMA application_id"), OWL_BOOK_APPLICATION);
    assert_int_equal(made_book_ask("new/a b/c%20?#d/" OWL_BOOK_FILE, "PRAGMA user_version"), owl_book_steps().count);
    assert_int_equal(made_book_ask("new/a b/c%20?#d/" OWL_BOOK_FILE, "SELECT journal_mode = 'wal' FROM pragma_journal_mode"), 1);
    assert_int_equal(made_book_ask("new/a b/c%20?#d/" OWL_BOOK_FILE,
                                   "SELECT count(*) FROM pragma_table_list WHERE schema = 'main' AND NOT strict"
                                   " AND name NOT LIKE 'sqlite%'"), 0);
    struct owl_book *book = made_book_open("new/a b/c%20?#d");
    struct owl_book_run run = owl_book_run_begin(book, OWL_BOOK_READS, &error);
    struct owl_book_query query = owl_book_ask(&run, "PRAGMA foreign_keys");
    assert_true(owl_book_row(&query) && owl_book_take_int(&query) == 1);
    owl_book_ask_end(&query);
    assert_int_equal(owl_book_run_end(&run), OWL_OK);
    owl_book_close(book);
    owl_book_close(NULL);
}

/* identity: the usual folder, by what [xdg-basedir] says; a path that is not absolute counts as none */
static void test_book_file_usual_directory(void **state)
{
    (void)state;
    char directory[64];
    setenv("XDG_DATA_HOME", "/data", 1);
    setenv("HOME", "/home/o", 1);
    assert_int_equal(owl_book_usual_directory(directory, sizeof directory), OWL_OK);
    assert_string_equal(directory, "/data/owllight");
    assert_int_equal(owl_book_usual_directory(directory, 14), OWL_NO_ROOM);
    assert_int_equal(owl_book_usual_directory(directory, 15), OWL_OK);
    assert_int_equal(owl_book_usual_directory(directory, 0), OWL_NO_ROOM);
    setenv("XDG_DATA_HOME", "data", 1);
    assert_int_equal(owl_book_usual_directory(directory, sizeof directory), OWL_OK);
    assert_string_equal(directory, "/home/o/.local/share/owllight");
    unsetenv("XDG_DATA_HOME");
    assert_int_equal(owl_book_usual_directory(directory, sizeof directory), OWL_OK);
    assert_string_equal(directory, "/home/o/.local/share/owllight");
    setenv("HOME", "", 1);
    assert_int_equal(owl_book_usual_directory(directory, sizeof directory), OWL_CANNOT_READ);
    unsetenv("HOME");
    assert_int_equal(owl_book_usual_directory(directory, sizeof directory), OWL_CANNOT_READ);
}

/* fault: folders that cannot be */
static void test_book_file_no_folder(void **state)
{
    (void)state;
    struct owl_book *book = NULL;
    card_room_make("a-file", 10, 1);
    assert_int_equal(owl_book_open(card_room_path("a-file/book"), &book, &error), OWL_CANNOT_WRITE);
    assert_non_null(strstr(error.words, "something that is no folder stands in the way"));
    assert_int_equal(owl_book_open(card_room_path("a-file"), &book, &error), OWL_CANNOT_WRITE);
    assert_int_equal(owl_book_open("/proc/none/book", &book, &error), OWL_CANNOT_WRITE);
    assert_int_equal(owl_book_open("", &book, &error), OWL_CANNOT_WRITE);
    mkdir(card_room_path("taken"), 0700);
    mkdir(card_room_path("taken/" OWL_BOOK_FILE), 0700);
    assert_int_equal(owl_book_open(card_room_path("taken"), &book, &error), OWL_CANNOT_WRITE);
    assert_non_null(strstr(error.words, "cannot be opened"));
    if (geteuid() != 0) { /* nothing is forbidden to root */
        make_kept("closed");
        chmod(card_room_path("closed/" OWL_BOOK_FILE), 0400);
        assert_int_equal(owl_book_open(card_room_path("closed"), &book, &error), OWL_CANNOT_WRITE);
        assert_non_null(strstr(error.words, "can only be read"));
    }
    assert_null(book);
}

/* fault: a path too long to be shown does not push out what is said about it */
static void test_book_file_long_path(void **state)
{
    (void)state;
    struct owl_book *book = NULL;
    char name[700] = {0};
    memset(name, 'x', sizeof name - 1);
    assert_int_equal(owl_book_open(card_room_path(name), &book, &error), OWL_CANNOT_WRITE);
    assert_non_null(strstr(error.words, "the name is too long"));
}

/* ---- strangers and damage ---- */

/* fault: files of other programs are refused and keep every byte */
static void test_book_file_strangers(void **state)
{
    (void)state;
    run_sql("other", "PRAGMA journal_mode = WAL; PRAGMA application_id = 77; CREATE TABLE frame (x)");
    check_refused("other", "belongs to another program");
    run_sql("plain", "CREATE TABLE card (x)");
    check_refused("plain", "belongs to another program");
    run_sql("bare", "CREATE TABLE x (x); DROP TABLE x");
    check_refused("bare", "belongs to another program");
    card_room_make("words/" OWL_BOOK_FILE, 5000, 3);
    check_refused("words", "is damaged, or something else");
    card_room_make("short/" OWL_BOOK_FILE, 7, 3);
    check_refused("short", "is damaged, or something else");
}

/* fault: a newer form is refused untouched */
static void test_book_file_newer(void **state)
{
    (void)state;
    make_kept("newer");
    run_sql("newer", "PRAGMA user_version = 7; CREATE TABLE unheard_of (x)");
    check_refused("newer", "was written by a newer owllight (its form 7; this one knows up to 1): use that one");
    run_sql("newer", "PRAGMA user_version = 1");
    check_still_kept("newer");
}

/* fault: the same where the newer form is only in the log of changes yet, as after a sudden end */
static void test_book_file_newer_in_log(void **state)
{
    (void)state;
    size_t before, after;
    make_kept("log");
    if (fork() == 0) {
        struct owl_book *book = made_book_open("log");
        _exit(sqlite3_exec(book->database, "PRAGMA user_version = 7", NULL, NULL, NULL) == SQLITE_OK ? 0 : 1);
    }
    assert_true(all_went_well(1));
    char *log = bytes_of("log/" OWL_BOOK_FILE "-wal", &before);
    assert_true(before > 0);
    check_refused("log", "was written by a newer owllight");
    char *now = bytes_of("log/" OWL_BOOK_FILE "-wal", &after);
    assert_int_equal(after, before);
    assert_memory_equal(now, log, before);
    free(log);
    free(now);
}

/* fault: damage at the head shows at once, damage elsewhere when it is met; both in clear words */
static void test_book_file_damaged(void **state)
{
    (void)state;
    struct owl_book_judging told;
    struct owl_judged judged;
    bool there = false;
    make_kept("head");
    write_at("head/" OWL_BOOK_FILE, 100, 0xff, 3900);
    struct owl_book *book = NULL;
    assert_int_equal(owl_book_open(card_room_path("head"), &book, &error), OWL_CANNOT_READ);
    assert_non_null(strstr(error.words, "is damaged: put a saved copy"));
    make_kept("middle");
    write_at("middle/" OWL_BOOK_FILE, 40 * 4096, 0xff, 200 * 1024);
    book = made_book_open("middle");
    assert_int_equal(owl_book_find_judged(book, MADE_BOOK_FOLDER, &there, &told, &judged, &error), OWL_CANNOT_READ);
    assert_non_null(strstr(error.words, "is damaged"));
    assert_false(there);
    owl_book_close(book);
}

/* fault: a file whose rows were tampered with: what does not add up is damage, not a wrong answer */
static void test_book_file_tampered(void **state)
{
    (void)state;
    static const char *const harm[] = {
        "UPDATE frame SET number = 1000 WHERE number = 3", "DELETE FROM verdict WHERE frame IN (SELECT id FROM frame LIMIT 1)",
        "UPDATE verdict SET class = 'cat'", "UPDATE verdict SET flash = ''", "UPDATE box SET number = 9 WHERE number = 1",
        "INSERT INTO ignored SELECT card.id, 5 + frame.number, 0, 0, 0, 0 FROM card, frame WHERE number < 40"};
    for (size_t i = 0; i < sizeof harm / sizeof harm[0]; i++) {
        struct owl_book_judging told;
        struct owl_judged judged;
        bool there;
        make_kept("tampered");
        run_sql("tampered", harm[i]);
        struct owl_book *book = made_book_open("tampered");
        assert_int_equal(owl_book_find_judged(book, MADE_BOOK_FOLDER, &there, &told, &judged, &error), OWL_CANNOT_READ);
        owl_book_close(book);
    }
}

/* ---- forms ---- */

/* identity: a book of an older form is brought up step by step with all it holds; fault: a step that fails leaves the form
   before it. The later steps are made up here: the book has had one form so far. */
static void test_book_file_older_form(void **state)
{
    (void)state;
    const struct owl_book_step steps[] = {
        owl_book_steps().step[0],
        {"ALTER TABLE card ADD COLUMN owner TEXT; UPDATE card SET owner = 'me'"},
        {"UPDATE card SET owner = 'you'; CREATE TABLE card (x)"},
    };
    make_kept("older");
    struct owl_book *book = made_book_open("older");
    assert_int_equal(owl_book_bring_up(book, (struct owl_book_steps){steps, 2}, &error), OWL_OK);
    made_book_check(book, FRAMES, 0);
    assert_int_equal(made_book_ask("older/" OWL_BOOK_FILE, "PRAGMA user_version"), 2);
    assert_int_equal(owl_book_bring_up(book, (struct owl_book_steps){steps, 3}, &error), OWL_CANNOT_READ);
    assert_int_equal(made_book_ask("older/" OWL_BOOK_FILE, "PRAGMA user_version"), 2);
    assert_int_equal(made_book_ask("older/" OWL_BOOK_FILE, "SELECT count(*) FROM card WHERE owner = 'me'"), 1);
    assert_int_equal(owl_book_bring_up(book, (struct owl_book_steps){steps, 1}, &error), OWL_CANNOT_READ);
    assert_non_null(strstr(error.words, "(its form 2; this one knows up to 1)"));
    owl_book_close(book);
}

/* ---- company ---- */

/* identity: programs that open the same new book at once, and write to it, all come through */
static void test_book_file_many_at_once(void **state)
{
    (void)state;
    enum { CHILDREN = 6 };
    for (int i = 0; i < CHILDREN; i++)
        if (fork() == 0) {
            char folder[32];
            struct owl_book *own = NULL;
            snprintf(folder, sizeof folder, "/card-%d", i);
            struct owl_book_card card = {.folder = folder, .pulled_s = i};
            bool well = owl_book_open(card_room_path("many"), &own, &error) == OWL_OK &&
                        owl_book_note_card(own, &card, &error) == OWL_OK;
            if (!well)
                fprintf(stderr, "%s\n", error.words);
            owl_book_close(own);
            _exit(well ? 0 : 1);
        }
    assert_true(all_went_well(CHILDREN));
    assert_int_equal(made_book_ask("many/" OWL_BOOK_FILE, "SELECT count(*) FROM card"), CHILDREN);
}

/* identity: two books open at once in one program see each other's work. fault: while another writes without end, one can
   still read, and writing says after a wait why it cannot */
static void test_book_file_locked(void **state)
{
    (void)state;
    struct owl_book *one = made_book_open("company"), *other = made_book_open("company");
    assert_int_equal(made_book_keep(one, FRAMES, 0, &error), OWL_OK);
    made_book_check(other, FRAMES, 0);
    struct owl_book_run run = owl_book_run_begin(one, OWL_BOOK_WRITES, &error);
    time_t before = time(NULL);
    assert_int_equal(made_book_keep(other, 3, 1, &error), OWL_CANNOT_WRITE);
    assert_true(time(NULL) - before >= OWL_BOOK_WAIT_S - 1);
    assert_non_null(strstr(error.words, "is in use by another program; try again"));
    made_book_check(other, FRAMES, 0);
    assert_int_equal(owl_book_run_end(&run), OWL_OK);
    assert_int_equal(made_book_keep(other, 3, 1, &error), OWL_OK);
    made_book_check(one, 3, 1);
    owl_book_close(one);
    owl_book_close(other);
}

/* ---- sudden ends ---- */

static int leave(void *unused)
{
    (void)unused;
    _exit(0);
}

/* A child that keeps another card in the same place and is gone at once: after so many steps of the machine, or (0) when all
   is written and only the commit is missing. */
static void die_keeping(const char *name, int steps)
{
    if (fork() == 0) {
        struct owl_book *book = made_book_open(name);
        if (steps > 0)
            sqlite3_progress_handler(book->database, steps, leave, NULL);
        else
            sqlite3_commit_hook(book->database, leave, NULL);
        (void)made_book_keep(book, 4 * FRAMES, 5, &error);
        _exit(1);
    }
    assert_true(all_went_well(1));
}

/* fault: killed anywhere while keeping, the old content is whole; and so it is after the next start */
static void test_book_file_killed(void **state)
{
    (void)state;
    make_kept("killed");
    static const int steps[] = {50, 1500, 9000, 40000, 0};
    for (size_t i = 0; i < sizeof steps / sizeof steps[0]; i++) {
        die_keeping("killed", steps[i]);
        check_still_kept("killed");
    }
    assert_int_equal(made_book_ask("killed/" OWL_BOOK_FILE, "SELECT integrity_check = 'ok' FROM pragma_integrity_check"), 1);
    assert_int_equal(made_book_ask("killed/" OWL_BOOK_FILE, "SELECT count(*) FROM pragma_foreign_key_check"), 0);
}

/* fault: no room is left */
static void test_book_file_full(void **state)
{
    (void)state;
    make_kept("full");
    struct owl_book *book = made_book_open("full");
    assert_int_equal(sqlite3_exec(book->database, "PRAGMA max_page_count = 1", NULL, NULL, NULL), SQLITE_OK);
    assert_int_equal(made_book_keep(book, 4 * FRAMES, 5, &error), OWL_CANNOT_WRITE);
    assert_non_null(strstr(error.words, "no room is left"));
    made_book_check(book, FRAMES, 0);
    owl_book_close(book);
}

/* ---- memory ---- */

static sqlite3_mem_methods plain;
static int until_failure; /* allocations of SQLite's; below 0: none fails */

static void *allocate(int bytes)
{
    return until_failure >= 0 && until_failure-- == 0 ? NULL : plain.xMalloc(bytes);
}

static void *reallocate(void *old, int bytes)
{
    return until_failure >= 0 && until_failure-- == 0 ? NULL : plain.xRealloc(old, bytes);
}

static int fail_on_demand(void **state)
{
    until_failure = -1;
    assert_int_equal(sqlite3_config(SQLITE_CONFIG_GETMALLOC, &plain), SQLITE_OK);
    sqlite3_mem_methods ours = plain;
    ours.xMalloc = allocate;
    ours.xRealloc = reallocate;
    assert_int_equal(sqlite3_config(SQLITE_CONFIG_MALLOC, &ours), SQLITE_OK);
    return card_room_setup(state);
}

/* fault: allocations of SQLite's fail, in opening, keeping and finding, the early ones each, of the later ones some: clear
   words, nothing lost, nothing held */
static void test_book_file_no_memory(void **state)
{
    (void)state;
    make_kept("memory");
    bool kept = false, failed = true;
    for (int nth = 0; failed; nth += 1 + nth / 16) {
        struct owl_book *book = NULL;
        struct owl_book_judging told;
        struct owl_judged judged = {0};
        bool there = false;
        error.words[0] = '\0';
        until_failure = nth;
        enum owl_status status = owl_book_open(card_room_path("memory"), &book, &error);
        if (status == OWL_OK)
            status = made_book_keep(book, 3, 1, &error);
        if (status == OWL_OK)
            status = owl_book_find_judged(book, MADE_BOOK_FOLDER, &there, &told, &judged, &error);
        failed = until_failure < 0;
        until_failure = -1;
        assert_true(status == OWL_OK || status == OWL_NO_MEMORY);
        assert_true((status == OWL_OK) == (error.words[0] == '\0'));
        kept = kept || made_book_ask("memory/" OWL_BOOK_FILE, "SELECT count(*) FROM frame") == 3;
        if (book)
            made_book_check(book, kept ? 3 : FRAMES, kept ? 1 : 0);
        owl_judged_clear(&judged);
        owl_book_close(book);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_book_file_made),
        cmocka_unit_test(test_book_file_usual_directory),
        cmocka_unit_test(test_book_file_no_folder),
        cmocka_unit_test(test_book_file_long_path),
        cmocka_unit_test(test_book_file_strangers),
        cmocka_unit_test(test_book_file_newer),
        cmocka_unit_test(test_book_file_newer_in_log),
        cmocka_unit_test(test_book_file_damaged),
        cmocka_unit_test(test_book_file_tampered),
        cmocka_unit_test(test_book_file_older_form),
        cmocka_unit_test(test_book_file_many_at_once),
        cmocka_unit_test(test_book_file_locked),
        cmocka_unit_test(test_book_file_killed),
        cmocka_unit_test(test_book_file_full),
        cmocka_unit_test(test_book_file_no_memory),
    };
    return cmocka_run_group_tests(tests, fail_on_demand, card_room_teardown);
}
