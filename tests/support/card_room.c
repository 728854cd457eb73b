/* Folders with made files, and what a pull left of them. */
#include "support/card_room.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "card/tree.h"
#include "core/text.h"

#define LONGEST 2048
#define TEXT_BYTES 65536

static char room[512];

static void stop(const char *what, const char *name)
{
    fprintf(stderr, "card room: %s %s: %s\n", what, name, strerror(errno));
    exit(EXIT_FAILURE);
}

static void join(char path[LONGEST], const char *folder, const char *name)
{
    struct owl_text text = owl_text_over(path, LONGEST);
    owl_text_words(&text, folder);
    owl_text_char(&text, '/');
    owl_text_words(&text, name);
    if (text.cut)
        stop("too long", name);
}

const char *card_room_path(const char *name)
{
    static char paths[8][LONGEST];
    static int turn;
    char *path = paths[turn++ % 8];
    join(path, room, name);
    return path;
}

void card_room_empty(void)
{
    char command[LONGEST];
    snprintf(command, sizeof command, "rm -rf -- '%s' && mkdir '%s'", room, room);
    if (system(command) != 0)
        stop("cannot empty", room);
}

void card_room_open(void)
{
    const char *temporary = getenv("TMPDIR");
    snprintf(room, sizeof room, "%s/card-room-XXXXXX", temporary ? temporary : "/tmp");
    if (!mkdtemp(room))
        stop("cannot make", room);
}

void card_room_close(void)
{
    card_room_empty();
    rmdir(room);
}

int card_room_setup(void **state)
{
    (void)state;
    card_room_open();
    return 0;
}

int card_room_teardown(void **state)
{
    (void)state;
    card_room_close();
    return 0;
}

static void make_folders(const char *name)
{
    char path[LONGEST];
    snprintf(path, sizeof path, "%s", name);
    for (char *slash = strchr(path, '/'); slash; slash = strchr(slash + 1, '/')) {
        *slash = '\0';
        mkdir(card_room_path(path), 0777);
        *slash = '/';
    }
}

void card_room_make(const char *name, size_t bytes, uint64_t seed)
{
    make_folders(name);
    FILE *file = fopen(card_room_path(name), "w");
    uint64_t state = seed * 0x9e3779b97f4a7c15u + 1;
    for (size_t i = 0; file && i < bytes; i++) {
        state = state * 6364136223846793005u + 1442695040888963407u;
        putc((int)(state >> 56), file);
    }
    struct timespec times[2] = {{.tv_nsec = UTIME_OMIT}, {CARD_ROOM_TIME_S + 60 * (time_t)seed, 120000000}};
    if (!file || fflush(file) != 0 || futimens(fileno(file), times) != 0 || fclose(file) != 0)
        stop("cannot write", name);
}

bool card_room_has(const char *name)
{
    struct stat facts;
    return lstat(card_room_path(name), &facts) == 0;
}

static FILE *open_regular(const char *name)
{
    struct stat facts;
    return lstat(card_room_path(name), &facts) == 0 && S_ISREG(facts.st_mode) ? fopen(card_room_path(name), "r") : NULL;
}

bool card_room_same(const char *one, const char *other)
{
    FILE *left = open_regular(one), *right = open_regular(other);
    bool same = left && right;
    for (int a = 0; same && a != EOF;) {
        a = getc(left);
        same = a == getc(right);
    }
    if (left)
        fclose(left);
    if (right)
        fclose(right);
    return same;
}

const char *card_room_text(const char *name)
{
    static char text[TEXT_BYTES];
    FILE *file = open_regular(name);
    size_t got = file ? fread(text, 1, sizeof text - 1, file) : 0;
    text[got] = '\0';
    if (file)
        fclose(file);
    return text;
}

static struct owl_tree list(const char *folder)
{
    struct owl_tree tree = {0};
    int handle = open(card_room_path(folder), O_RDONLY | O_DIRECTORY);
    if (handle >= 0 && owl_tree_list(&tree, &owl_calls_system, handle) != OWL_OK)
        stop("cannot list", folder);
    if (handle >= 0)
        close(handle);
    return tree;
}

size_t card_room_count(const char *folder)
{
    struct owl_tree tree = list(folder);
    size_t count = tree.count;
    owl_tree_clear(&tree);
    return count;
}

/* ---- what a pull left ---- */

static bool is_digit(char c)
{
    return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'f');
}

/* The name on the card that a name with digits comes from: the "~" and eight digits taken out. */
static bool without_digits(const char *name, char *own)
{
    const char *mark = strrchr(name, '~');
    size_t digits = 0;
    while (mark && is_digit(mark[1 + digits]))
        digits++;
    if (digits != 8)
        return false;
    sprintf(own, "%.*s%s", (int)(mark - name), name, mark + 1 + digits);
    return true;
}

static bool same_in(const char *one, const char *name, const char *other, const char *other_name)
{
    char left[LONGEST], right[LONGEST];
    join(left, one, name);
    join(right, other, other_name);
    return card_room_same(left, right);
}

/* Whether some line of OTHER-NAMES.tsv tells a kept name with this file's content. Names without escapes only. */
static bool noted_elsewhere(const char *card, const char *target, const char *name)
{
    char path[LONGEST], *kept[5];
    join(path, target, "OTHER-NAMES.tsv");
    char *line = strdup(card_room_text(path)), *all = line;
    bool found = false;
    while (line && *line && !found) {
        char *end = strchr(line, '\n'), *column = line;
        int i = 0;
        if (end)
            *end = '\0';
        for (; column && i < 5; i++) {
            kept[i] = column;
            column = strchr(column, '\t');
            if (column)
                *column++ = '\0';
        }
        found = i == 5 && strcmp(kept[4], name) == 0 && same_in(card, name, target, kept[3]);
        line = end ? end + 1 : NULL;
    }
    free(all);
    return found;
}

static bool is_home(const char *card, const char *target, const struct owl_tree *there, const char *name)
{
    char own[LONGEST];
    if (same_in(card, name, target, name) || noted_elsewhere(card, target, name))
        return true;
    for (size_t i = 0; i < there->count; i++)
        if (without_digits(there->files[i].path, own) && strcmp(own, name) == 0 &&
            same_in(card, name, target, there->files[i].path))
            return true;
    return false;
}

bool card_room_all_home(const char *card, const char *target)
{
    struct owl_tree files = list(card), there = list(target);
    bool home = files.count > 0;
    for (size_t i = 0; i < files.count && home; i++) {
        home = is_home(card, target, &there, files.files[i].path);
        if (!home)
            fprintf(stderr, "%s is not home\n", files.files[i].path);
    }
    owl_tree_clear(&files);
    owl_tree_clear(&there);
    return home;
}

static bool is_whole(const char *card, const char *target, const char *before, const char *name)
{
    static const char *const ours[] = {"PULLING.part", "REWRITING.part", "MANIFEST.xxh128", "OTHER-NAMES.tsv"};
    char own[LONGEST];
    for (size_t i = 0; i < sizeof ours / sizeof ours[0]; i++)
        if (strcmp(name, ours[i]) == 0)
            return true;
    if (same_in(target, name, card, name) || (before && same_in(target, name, before, name)))
        return true;
    return without_digits(name, own) && same_in(target, name, card, own);
}

bool card_room_none_torn(const char *card, const char *target, const char *before)
{
    struct owl_tree there = list(target);
    bool whole = true;
    for (size_t i = 0; i < there.count && whole; i++) {
        whole = is_whole(card, target, before, there.files[i].path);
        if (!whole)
            fprintf(stderr, "%s is torn\n", there.files[i].path);
    }
    owl_tree_clear(&there);
    return whole;
}

bool card_room_tool_agrees(const char *target, bool strict)
{
    char command[LONGEST];
    snprintf(command, sizeof command,
             "command -v xxh128sum >/dev/null || exit 0; cd '%s' && xxh128sum %s -c MANIFEST.xxh128 </dev/null >check.out 2>&1;"
             "found=$?; test $found = 0 || cat check.out >&2; rm -f check.out; exit $found",
             card_room_path(target), strict ? "--strict" : "");
    return system(command) == 0;
}

static int no_sync(int file)
{
    (void)file;
    return 0;
}

struct owl_calls card_room_quick_calls(void)
{
    struct owl_calls calls = owl_calls_system;
    calls.sync_data = no_sync;
    calls.sync_folder = no_sync;
    return calls;
}

enum owl_status card_room_pull(const char *card, const char *target, const struct owl_calls *calls,
                               struct owl_pull_report *report, struct owl_error *error)
{
    struct owl_calls quick = card_room_quick_calls();
    struct owl_pull_wish wish = {.card = card_room_path(card), .target = card_room_path(target), .calls = calls ? calls : &quick};
    return owl_pull(&wish, report, error);
}
