/* The list of a card, the kinds by their names, and names shown. */
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "card/lines.h"
#include "card/tree.h"
#include "support/card_room.h"
#include "support/check.h"

static struct owl_tree tree;

static enum owl_status list(const char *name)
{
    int folder = open(card_room_path(name), O_RDONLY | O_DIRECTORY);
    assert_true(folder >= 0);
    enum owl_status status = owl_tree_list(&tree, &owl_calls_system, folder);
    close(folder);
    return status;
}

/* identity: the order is that of the paths' bytes, whatever the folder's own is */
static void test_tree_order(void **state)
{
    static const char *const names[] = {"c/b.jpg", "c/a.JPG", "b", "a/z/y.mov", "a/z.nef", "c/\xff", "c/B.xmp"};
    static const char *const sorted[] = {"a/z.nef", "a/z/y.mov", "b", "c/B.xmp", "c/a.JPG", "c/b.jpg", "c/\xff"};
    (void)state;
    char name[64];
    for (size_t i = 0; i < 7; i++) {
        snprintf(name, sizeof name, "card/%s", names[i]);
        card_room_make(name, i, i);
    }
    assert_int_equal(list("card"), OWL_OK);
    assert_int_equal(tree.count, 7);
    for (size_t i = 0; i < 7; i++)
        assert_string_equal(tree.files[i].path, sorted[i]);
    assert_int_equal(tree.files[2].size_bytes, 2);
    assert_int_equal(tree.files[2].changed_s, CARD_ROOM_TIME_S + 120);
    assert_int_equal(tree.files[2].changed_ns, 120000000);
    owl_tree_clear(&tree);
}

/* identity: a card without files is a list without files */
static void test_tree_empty(void **state)
{
    (void)state;
    assert_int_equal(mkdir(card_room_path("empty"), 0700), 0);
    assert_int_equal(list("empty"), OWL_OK);
    assert_int_equal(tree.count + tree.oddity_count, 0);
    owl_tree_clear(&tree);
}

/* fault: folders deeper than 64 are told, and the path of what is above may be longer than any single call takes */
static void test_tree_deep(void **state)
{
    (void)state;
    char part[101];
    memset(part, 'd', 100);
    part[100] = '\0';
    assert_int_equal(mkdir(card_room_path("deep"), 0700), 0);
    int folder = open(card_room_path("deep"), O_RDONLY | O_DIRECTORY);
    for (int i = 0; i < 70; i++) {
        assert_int_equal(mkdirat(folder, part, 0700), 0);
        int inner = openat(folder, part, O_RDONLY | O_DIRECTORY);
        close(folder);
        folder = inner;
        int file = i == 63 ? openat(folder, "x.jpg", O_WRONLY | O_CREAT, 0600) : -1;
        if (file >= 0)
            close(file);
    }
    close(folder);
    assert_int_equal(list("deep"), OWL_OK);
    assert_int_equal(tree.count, 1);
    assert_int_equal(strlen(tree.files[0].path), 64 * 101 + 5);
    assert_int_equal(tree.oddity_count, 1);
    assert_int_equal(tree.oddities[0].trouble, ELOOP);
    owl_tree_clear(&tree);
}

static int refuse_folders(int directory, const char *name, int flags, mode_t mode)
{
    if (strcmp(name, "closed") != 0)
        return owl_calls_system.open_at(directory, name, flags, mode);
    errno = EACCES;
    return -1;
}

/* fault: a folder that cannot be opened is told, the rest is listed */
static void test_tree_closed_folder(void **state)
{
    (void)state;
    struct owl_calls calls = owl_calls_system;
    calls.open_at = refuse_folders;
    card_room_make("shut/closed/a.jpg", 1, 1);
    card_room_make("shut/open/b.jpg", 1, 1);
    int folder = open(card_room_path("shut"), O_RDONLY | O_DIRECTORY);
    assert_int_equal(owl_tree_list(&tree, &calls, folder), OWL_OK);
    close(folder);
    assert_int_equal(tree.count, 1);
    assert_int_equal(tree.oddity_count, 1);
    assert_string_equal(tree.oddities[0].path, "closed");
    assert_int_equal(tree.oddities[0].trouble, EACCES);
    owl_tree_clear(&tree);
}

/* identity: the kind goes by the ending alone */
static void test_tree_kinds(void **state)
{
    static const struct {
        const char *name;
        enum owl_card_kind kind;
    } kinds[] = {{"a.jpg", OWL_CARD_JPEG},      {"A.JPEG", OWL_CARD_JPEG},    {"x/y.Nef", OWL_CARD_RAW},
                 {"b.tar.cr3", OWL_CARD_RAW},   {"m.MOV", OWL_CARD_MOVIE},    {"m.mp4", OWL_CARD_MOVIE},
                 {"a.xmp", OWL_CARD_SIDECAR},   {"a.THM", OWL_CARD_SIDECAR},  {"jpg", OWL_CARD_OTHER},
                 {"a.jpg/b", OWL_CARD_OTHER},   {"a.jpg~", OWL_CARD_OTHER},   {"", OWL_CARD_OTHER},
                 {"a.", OWL_CARD_OTHER},        {"a.jpg.part", OWL_CARD_OTHER}};
    (void)state;
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++)
        assert_int_equal(owl_tree_kind(kinds[i].name), kinds[i].kind);
}

/* cited: which bytes are no UTF-8, RFC 3629 section 3 and 4 [rfc3629]; the rest our own choice */
static void test_tree_shows_names(void **state)
{
    static const char *const names[][2] = {
        {"IMG 1.JPG", "IMG 1.JPG"},          {"a\nb", "a\\x0ab"},
        {"a\\b", "a\\\\b"},                  {"\xc3\xa4", "\xc3\xa4"},
        {"\xe4", "\\xe4"},                   {"\xc0\x80", "\\xc0\\x80"},
        {"\xe0\x80\x80", "\\xe0\\x80\\x80"}, {"\xed\xa0\x80", "\\xed\\xa0\\x80"},
        {"\xf4\x90\x80\x80", "\\xf4\\x90\\x80\\x80"}, {"\xf0\x9f\xa6\x89", "\xf0\x9f\xa6\x89"},
        {"\xe2\x80\xae", "\\xe2\\x80\\xae"}, {"\xe2\x82", "\\xe2\\x82"},
        {"\x1b[2J", "\\x1b[2J"},             {"\x7f\xc2\x9b", "\\x7f\\xc2\\x9b"},
    };
    (void)state;
    char shown[64];
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        struct owl_text text = owl_text_over(shown, sizeof shown);
        owl_tree_show(&text, names[i][0]);
        assert_string_equal(shown, names[i][1]);
    }
}

/* identity: a name written for a line comes back; an escape that is none stays */
static void test_tree_escapes(void **state)
{
    static const char *const names[] = {"", "plain", "a\nb\r\tc", "\\", "\\n", "a\\\n", "\xff\\t"};
    (void)state;
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        char *escaped = owl_lines_escape(names[i]);
        assert_non_null(escaped);
        assert_null(strpbrk(escaped, "\n\r\t"));
        owl_lines_unescape(escaped);
        assert_string_equal(escaped, names[i]);
        free(escaped);
    }
    char odd[] = "a\\xb\\";
    owl_lines_unescape(odd);
    assert_string_equal(odd, "a\\xb\\");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_tree_order),   cmocka_unit_test(test_tree_empty),
        cmocka_unit_test(test_tree_deep),    cmocka_unit_test(test_tree_closed_folder),
        cmocka_unit_test(test_tree_kinds),   cmocka_unit_test(test_tree_shows_names),
        cmocka_unit_test(test_tree_escapes),
    };
    return cmocka_run_group_tests(tests, card_room_setup, card_room_teardown);
}
