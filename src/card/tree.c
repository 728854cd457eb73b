/* Walks a card by folder handles, so that no path can be too long and no link put in the way is followed. */
#include "card/tree.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "card/grow.h"

#define DEEPEST 64

struct walk {
    struct owl_tree *tree;
    const struct owl_calls *calls;
    char *path; /* of the entry at hand */
    size_t length, room;
};

/* ---- the list ---- */

static enum owl_status add_oddity(struct walk *walk, const char *words, int trouble)
{
    struct owl_tree *tree = walk->tree;
    char *path = strdup(walk->path);
    if (!path || !owl_grow(&tree->oddities, &tree->oddity_room, tree->oddity_count, sizeof *tree->oddities)) {
        free(path);
        return OWL_NO_MEMORY;
    }
    tree->oddities[tree->oddity_count++] = (struct owl_tree_oddity){path, words, trouble};
    return OWL_OK;
}

static enum owl_status add_file(struct walk *walk, const struct stat *facts)
{
    struct owl_tree *tree = walk->tree;
    char *path = strdup(walk->path);
    if (!path || !owl_grow(&tree->files, &tree->room, tree->count, sizeof *tree->files)) {
        free(path);
        return OWL_NO_MEMORY;
    }
    tree->files[tree->count++] =
        (struct owl_tree_file){path, (uint64_t)facts->st_size, (int64_t)facts->st_mtim.tv_sec,
                               (int32_t)facts->st_mtim.tv_nsec, owl_tree_kind(walk->path)};
    return OWL_OK;
}

static int file_order(const void *one, const void *other)
{
    return strcmp(((const struct owl_tree_file *)one)->path, ((const struct owl_tree_file *)other)->path);
}

static int oddity_order(const void *one, const void *other)
{
    return strcmp(((const struct owl_tree_oddity *)one)->path, ((const struct owl_tree_oddity *)other)->path);
}

/* ---- the walk ---- */

/* Appends a part to the path at hand. */
static enum owl_status lengthen(struct walk *walk, const char *name)
{
    size_t count = strlen(name), needed = walk->length + count + 2;
    if (needed > walk->room) {
        char *longer = realloc(walk->path, 2 * needed);
        if (!longer)
            return OWL_NO_MEMORY;
        walk->path = longer;
        walk->room = 2 * needed;
    }
    if (walk->length > 0)
        walk->path[walk->length++] = '/';
    memcpy(walk->path + walk->length, name, count + 1);
    walk->length += count;
    return OWL_OK;
}

static const char *other_thing(mode_t mode)
{
    return S_ISLNK(mode) ? "it is a link" : "it is no file but a device, pipe or socket";
}

static enum owl_status walk_folder(struct walk *walk, int folder, int depth);

static enum owl_status walk_entry(struct walk *walk, int folder, const char *name, int depth)
{
    struct stat facts;
    if (fstatat(folder, name, &facts, AT_SYMLINK_NOFOLLOW) != 0)
        return add_oddity(walk, "it cannot be looked at", errno);
    if (S_ISREG(facts.st_mode))
        return add_file(walk, &facts);
    if (!S_ISDIR(facts.st_mode))
        return add_oddity(walk, other_thing(facts.st_mode), 0);
    if (depth == DEEPEST)
        return add_oddity(walk, "it lies too deep in folders", ELOOP);
    int inner = walk->calls->open_at(folder, name, O_RDONLY | O_DIRECTORY | O_NOFOLLOW, 0);
    if (inner < 0)
        return add_oddity(walk, "the folder cannot be opened", errno);
    return walk_folder(walk, inner, depth + 1);
}

/* Takes the handle over and closes it. What fails below the first folder is noted, and the walk goes on. */
static enum owl_status walk_folder(struct walk *walk, int folder, int depth)
{
    DIR *entries = fdopendir(folder);
    if (!entries) {
        close(folder);
        return OWL_NO_MEMORY;
    }
    size_t length = walk->length;
    enum owl_status status = OWL_OK;
    struct dirent *entry;
    while (status == OWL_OK && (errno = 0, entry = readdir(entries)) != NULL) {
        if (strcmp(entry->d_name, ".") == 0 || strcmp(entry->d_name, "..") == 0)
            continue;
        status = lengthen(walk, entry->d_name);
        if (status == OWL_OK)
            status = walk_entry(walk, folder, entry->d_name, depth);
        walk->length = length;
        walk->path[length] = '\0';
    }
    int trouble = errno;
    closedir(entries);
    if (status == OWL_OK && trouble != 0 && depth == 0) {
        errno = trouble;
        return OWL_CANNOT_READ;
    }
    return status == OWL_OK && trouble != 0 ? add_oddity(walk, "the folder cannot be listed to its end", trouble) : status;
}

enum owl_status owl_tree_list(struct owl_tree *tree, const struct owl_calls *calls, int folder)
{
    *tree = (struct owl_tree){0};
    struct walk walk = {tree, calls, NULL, 0, 0};
    enum owl_status status = lengthen(&walk, "");
    int first = status == OWL_OK ? calls->open_at(folder, ".", O_RDONLY | O_DIRECTORY, 0) : -1;
    if (status == OWL_OK)
        status = first < 0 ? OWL_CANNOT_READ : walk_folder(&walk, first, 0);
    int trouble = errno;
    free(walk.path);
    if (status != OWL_OK) {
        owl_tree_clear(tree);
        errno = trouble;
        return status;
    }
    if (tree->count > 0)
        qsort(tree->files, tree->count, sizeof *tree->files, file_order);
    if (tree->oddity_count > 0)
        qsort(tree->oddities, tree->oddity_count, sizeof *tree->oddities, oddity_order);
    return OWL_OK;
}

void owl_tree_clear(struct owl_tree *tree)
{
    for (size_t i = 0; i < tree->count; i++)
        free(tree->files[i].path);
    for (size_t i = 0; i < tree->oddity_count; i++)
        free(tree->oddities[i].path);
    free(tree->files);
    free(tree->oddities);
    *tree = (struct owl_tree){0};
}

/* ---- names ---- */

static const struct {
    const char *ending;
    enum owl_card_kind kind;
} endings[] = {
    {"jpg", OWL_CARD_JPEG},    {"jpeg", OWL_CARD_JPEG},   {"jpe", OWL_CARD_JPEG},    {"mpo", OWL_CARD_JPEG},
    {"3fr", OWL_CARD_RAW},     {"arw", OWL_CARD_RAW},     {"cr2", OWL_CARD_RAW},     {"cr3", OWL_CARD_RAW},
    {"crw", OWL_CARD_RAW},     {"dcr", OWL_CARD_RAW},     {"dng", OWL_CARD_RAW},     {"erf", OWL_CARD_RAW},
    {"fff", OWL_CARD_RAW},     {"gpr", OWL_CARD_RAW},     {"iiq", OWL_CARD_RAW},     {"kdc", OWL_CARD_RAW},
    {"mef", OWL_CARD_RAW},     {"mos", OWL_CARD_RAW},     {"mrw", OWL_CARD_RAW},     {"nef", OWL_CARD_RAW},
    {"nrw", OWL_CARD_RAW},     {"orf", OWL_CARD_RAW},     {"pef", OWL_CARD_RAW},     {"raf", OWL_CARD_RAW},
    {"raw", OWL_CARD_RAW},     {"rw2", OWL_CARD_RAW},     {"rwl", OWL_CARD_RAW},     {"sr2", OWL_CARD_RAW},
    {"srf", OWL_CARD_RAW},     {"srw", OWL_CARD_RAW},     {"x3f", OWL_CARD_RAW},     {"3gp", OWL_CARD_MOVIE},
    {"avi", OWL_CARD_MOVIE},   {"m2ts", OWL_CARD_MOVIE},  {"m4v", OWL_CARD_MOVIE},   {"mkv", OWL_CARD_MOVIE},
    {"mov", OWL_CARD_MOVIE},   {"mp4", OWL_CARD_MOVIE},   {"mpeg", OWL_CARD_MOVIE},  {"mpg", OWL_CARD_MOVIE},
    {"mts", OWL_CARD_MOVIE},   {"wmv", OWL_CARD_MOVIE},   {"lrv", OWL_CARD_SIDECAR}, {"srt", OWL_CARD_SIDECAR},
    {"thm", OWL_CARD_SIDECAR}, {"wav", OWL_CARD_SIDECAR}, {"xmp", OWL_CARD_SIDECAR},
};

enum owl_card_kind owl_tree_kind(const char *name)
{
    const char *slash = strrchr(name, '/'), *own = slash ? slash + 1 : name, *dot = strrchr(own, '.');
    for (size_t i = 0; dot && i < sizeof endings / sizeof endings[0]; i++)
        if (owl_text_same_name(dot + 1, endings[i].ending))
            return endings[i].kind;
    return OWL_CARD_OTHER;
}

/* Bytes of the UTF-8 character that begins here and the character itself; 0 where none does (RFC 3629). */
static size_t character_at(const unsigned char *bytes, uint32_t *character)
{
    static const uint32_t least[] = {0, 0, 0x80, 0x800, 0x10000};
    size_t count = bytes[0] < 0x80 ? 1 : bytes[0] >= 0xc2 && bytes[0] < 0xe0 ? 2 : (bytes[0] & 0xf0) == 0xe0 ? 3
                 : bytes[0] >= 0xf0 && bytes[0] < 0xf5 ? 4 : 0;
    if (count == 0)
        return 0;
    *character = count == 1 ? bytes[0] : (uint32_t)bytes[0] & (0x7fu >> count);
    for (size_t i = 1; i < count; i++) {
        if ((bytes[i] & 0xc0) != 0x80)
            return 0;
        *character = *character << 6 | (bytes[i] & 0x3fu);
    }
    bool surrogate = *character >= 0xd800 && *character < 0xe000;
    return *character < least[count] || *character > 0x10ffff || surrogate ? 0 : count;
}

/* Controls, and the signs that turn the direction of writing or make a name look like another. */
static bool misleads(uint32_t character)
{
    return character < 0x20 || (character >= 0x7f && character < 0xa0) || (character >= 0x200b && character <= 0x200f) ||
           (character >= 0x2028 && character <= 0x202e) || (character >= 0x2060 && character <= 0x206f) ||
           character == 0xfeff;
}

void owl_tree_show(struct owl_text *text, const char *name)
{
    static const char digit[] = "0123456789abcdef";
    const unsigned char *bytes = (const unsigned char *)name;
    while (*bytes) {
        uint32_t character = 0;
        size_t count = character_at(bytes, &character);
        bool plain = count > 0 && !misleads(character);
        for (size_t i = 0; i < (count > 0 ? count : 1); i++, bytes++) {
            if (plain) {
                owl_text_words(text, *bytes == '\\' ? "\\" : "");
                owl_text_char(text, (char)*bytes);
                continue;
            }
            owl_text_words(text, "\\x");
            owl_text_char(text, digit[*bytes >> 4]);
            owl_text_char(text, digit[*bytes & 15]);
        }
    }
}
