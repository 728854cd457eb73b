/* The manifest in memory, and its lines. */
#include "card/manifest.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>

#include "card/grow.h"

#define LINE_EXTRA 128 /* digits, numbers and marks of a line, without its names */

static uint64_t name_key(const char *name)
{
    return owl_digest_key(name, strlen(name), 0);
}

static uint64_t content_key(const struct owl_digest *digest)
{
    uint64_t key;
    memcpy(&key, digest->bytes, sizeof key);
    return key;
}

static uint64_t other_key(const char *path, uint64_t size_bytes, int64_t changed_s)
{
    return owl_digest_key(path, strlen(path), size_bytes ^ (uint64_t)changed_s << 32);
}

/* ---- finding ---- */

static size_t position_of_name(const struct owl_manifest *manifest, const char *name)
{
    struct owl_lookup_slot *slot = NULL;
    uint64_t key = name_key(name);
    while ((slot = owl_lookup_next(&manifest->by_name, key, slot)) != NULL)
        if (strcmp(manifest->copies[slot->after - 1].name, name) == 0)
            return slot->after - 1;
    return manifest->count;
}

static struct owl_lookup_slot *slot_of_content(const struct owl_manifest *manifest, const struct owl_digest *digest)
{
    struct owl_lookup_slot *slot = NULL;
    while ((slot = owl_lookup_next(&manifest->by_content, content_key(digest), slot)) != NULL)
        if (owl_digest_same(&manifest->copies[slot->after - 1].digest, digest))
            return slot;
    return NULL;
}

const struct owl_manifest_copy *owl_manifest_of_name(const struct owl_manifest *manifest, const char *name)
{
    size_t position = position_of_name(manifest, name);
    return position < manifest->count ? &manifest->copies[position] : NULL;
}

const struct owl_manifest_copy *owl_manifest_of_content(const struct owl_manifest *manifest, const struct owl_digest *digest)
{
    struct owl_lookup_slot *slot = slot_of_content(manifest, digest);
    return slot ? &manifest->copies[slot->after - 1] : NULL;
}

static bool is_still_kept(const struct owl_manifest *manifest, const struct owl_manifest_other *other)
{
    const struct owl_manifest_copy *copy = owl_manifest_of_name(manifest, other->kept);
    return copy && owl_digest_same(&copy->digest, &other->digest);
}

const char *owl_manifest_other_name(const struct owl_manifest *manifest, const struct owl_tree_file *file)
{
    struct owl_lookup_slot *slot = NULL;
    uint64_t key = other_key(file->path, file->size_bytes, file->changed_s);
    const char *kept = NULL;
    while ((slot = owl_lookup_next(&manifest->by_other, key, slot)) != NULL) {
        const struct owl_manifest_other *other = &manifest->others[slot->after - 1];
        if (other->size_bytes == file->size_bytes && other->changed_s == file->changed_s &&
            other->changed_ns == file->changed_ns && strcmp(other->path, file->path) == 0 && is_still_kept(manifest, other))
            kept = other->kept; /* the one noted last */
    }
    return kept;
}

/* ---- keeping in memory ---- */

/* One place a content, the newest copy's: a card may hold ten thousand files alike. */
static enum owl_status keep_content(struct owl_manifest *manifest, size_t position)
{
    struct owl_lookup_slot *slot = slot_of_content(manifest, &manifest->copies[position].digest);
    if (!slot)
        return owl_lookup_add(&manifest->by_content, content_key(&manifest->copies[position].digest), position);
    slot->after = position + 1;
    return OWL_OK;
}

static enum owl_status keep_copy(struct owl_manifest *manifest, const char *name, const struct owl_digest *digest)
{
    size_t position = position_of_name(manifest, name);
    if (position < manifest->count) {
        manifest->outdated |= !owl_digest_same(&manifest->copies[position].digest, digest);
        manifest->copies[position].digest = *digest;
        return keep_content(manifest, position);
    }
    char *own = strdup(name);
    if (!own || !owl_grow(&manifest->copies, &manifest->room, manifest->count, sizeof *manifest->copies)) {
        free(own);
        return OWL_NO_MEMORY;
    }
    manifest->copies[manifest->count++] = (struct owl_manifest_copy){own, *digest};
    enum owl_status status = owl_lookup_add(&manifest->by_name, name_key(name), position);
    return status == OWL_OK ? keep_content(manifest, position) : status;
}

static enum owl_status keep_other(struct owl_manifest *manifest, const struct owl_manifest_other *other)
{
    struct owl_manifest_other own = *other;
    own.path = strdup(other->path);
    own.kept = strdup(other->kept);
    if (!own.path || !own.kept ||
        !owl_grow(&manifest->others, &manifest->other_room, manifest->other_count, sizeof *manifest->others)) {
        free(own.path);
        free(own.kept);
        return OWL_NO_MEMORY;
    }
    manifest->others[manifest->other_count] = own;
    return owl_lookup_add(&manifest->by_other, other_key(own.path, own.size_bytes, own.changed_s), manifest->other_count++);
}

/* ---- lines ---- */

/* Names a tool would take for its standard input or an option get a "./" before them. */
static const char *before_name(const char *name)
{
    return name[0] == '-' || strcmp(name, "stdin") == 0 ? "./" : "";
}

/* A line of the manifest, from malloc. */
static char *copy_line(const char *name, const struct owl_digest *digest, size_t *length)
{
    bool escaped = strchr(name, '\n') != NULL;
    char *escape = escaped ? owl_lines_escape(name) : NULL, digits[OWL_DIGEST_DIGITS + 1];
    size_t room = (escape ? strlen(escape) : strlen(name)) + LINE_EXTRA;
    char *line = escaped && !escape ? NULL : malloc(room);
    if (line) {
        struct owl_text text = owl_text_over(line, room);
        owl_digest_write(digest, digits);
        owl_text_words(&text, escaped ? "\\" : "");
        owl_text_words(&text, digits);
        owl_text_words(&text, "  ");
        owl_text_words(&text, before_name(name));
        owl_text_words(&text, escape ? escape : name);
        owl_text_char(&text, '\n');
        *length = text.length;
    }
    free(escape);
    return line;
}

/* The name and the digest of such a line; false for a line of another form. The name lies in the line. */
static bool read_copy_line(char *line, char **name, struct owl_digest *digest)
{
    bool escaped = line[0] == '\\';
    char *digits = line + escaped, *rest = digits + OWL_DIGEST_DIGITS;
    if (!owl_digest_read(digits, digest) || rest[0] != ' ' || (rest[1] != ' ' && rest[1] != '*') || rest[2] == '\0')
        return false;
    *name = rest + 2;
    if (escaped)
        owl_lines_unescape(*name);
    if ((*name)[0] == '.' && (*name)[1] == '/' && *before_name(*name + 2))
        *name += 2;
    return true;
}

static char *other_line(const struct owl_manifest_other *other, size_t *length)
{
    char *path = owl_lines_escape(other->path), *kept = owl_lines_escape(other->kept), digits[OWL_DIGEST_DIGITS + 1];
    size_t room = path && kept ? strlen(path) + strlen(kept) + LINE_EXTRA : 0;
    char *line = room ? malloc(room) : NULL;
    if (line) {
        struct owl_text text = owl_text_over(line, room);
        owl_digest_write(&other->digest, digits);
        owl_text_words(&text, digits);
        owl_text_char(&text, '\t');
        owl_text_integer(&text, (int64_t)other->size_bytes);
        owl_text_char(&text, '\t');
        owl_text_integer(&text, other->changed_s);
        owl_text_char(&text, '.');
        for (int32_t place = 100000000; place > 0; place /= 10)
            owl_text_char(&text, (char)('0' + other->changed_ns / place % 10));
        owl_text_char(&text, '\t');
        owl_text_words(&text, kept);
        owl_text_char(&text, '\t');
        owl_text_words(&text, path);
        owl_text_char(&text, '\n');
        *length = text.length;
    }
    free(path);
    free(kept);
    return line;
}

static bool read_other_line(char *line, struct owl_manifest_other *other)
{
    char *column[5], *end;
    column[0] = line;
    for (int i = 1; i < 5; i++) {
        char *tab = strchr(column[i - 1], '\t');
        if (!tab)
            return false;
        *tab = '\0';
        column[i] = tab + 1;
    }
    if (strlen(column[0]) != OWL_DIGEST_DIGITS || !owl_digest_read(column[0], &other->digest))
        return false;
    other->size_bytes = strtoull(column[1], &end, 10);
    other->changed_s = strtoll(column[2], &end, 10);
    other->changed_ns = *end == '.' ? (int32_t)strtol(end + 1, NULL, 10) : 0;
    other->kept = column[3];
    other->path = column[4];
    owl_lines_unescape(other->kept);
    owl_lines_unescape(other->path);
    return true;
}

/* ---- the whole ---- */

static enum owl_status read_all(struct owl_manifest *manifest)
{
    enum owl_status status = OWL_OK;
    char *at = manifest->lines.old, *line, *name;
    struct owl_digest digest;
    while (status == OWL_OK && (line = owl_lines_next(&at)) != NULL)
        if (read_copy_line(line, &name, &digest))
            status = keep_copy(manifest, name, &digest);
    at = manifest->other_lines.old;
    struct owl_manifest_other other;
    while (status == OWL_OK && (line = owl_lines_next(&at)) != NULL)
        if (read_other_line(line, &other))
            status = keep_other(manifest, &other);
    free(manifest->lines.old);
    free(manifest->other_lines.old);
    manifest->lines.old = manifest->other_lines.old = NULL;
    return status;
}

enum owl_status owl_manifest_open(struct owl_manifest *manifest, const struct owl_calls *calls, int folder)
{
    *manifest = (struct owl_manifest){.lines.file = -1, .other_lines.file = -1};
    enum owl_status status = owl_lines_open(&manifest->lines, calls, folder, OWL_MANIFEST_NAME);
    if (status == OWL_OK)
        status = owl_lines_open(&manifest->other_lines, calls, folder, OWL_MANIFEST_OTHERS_NAME);
    if (status == OWL_OK)
        status = read_all(manifest);
    int trouble = errno;
    if (status != OWL_OK)
        owl_manifest_close(manifest);
    errno = trouble;
    return status;
}

/* Takes the line over. */
static enum owl_status add_line(struct owl_lines *lines, char *line, size_t length)
{
    if (!line)
        return OWL_NO_MEMORY;
    int added = owl_lines_add(lines, line, length);
    free(line);
    return added == 0 ? OWL_OK : OWL_CANNOT_WRITE;
}

enum owl_status owl_manifest_note(struct owl_manifest *manifest, const char *name, const struct owl_digest *digest)
{
    const struct owl_manifest_copy *known = owl_manifest_of_name(manifest, name);
    if (known && owl_digest_same(&known->digest, digest))
        return OWL_OK;
    size_t length = 0;
    char *line = copy_line(name, digest, &length);
    enum owl_status status = add_line(&manifest->lines, line, length);
    return status == OWL_OK ? keep_copy(manifest, name, digest) : status;
}

enum owl_status owl_manifest_note_other(struct owl_manifest *manifest, const struct owl_tree_file *file, const char *kept,
                                        const struct owl_digest *digest)
{
    const char *known = owl_manifest_other_name(manifest, file);
    if (known && strcmp(known, kept) == 0)
        return OWL_OK;
    char *own = strdup(kept); /* as it may lie in the list that grows now */
    if (!own)
        return OWL_NO_MEMORY;
    struct owl_manifest_other other = {file->path, own, *digest, file->size_bytes, file->changed_s, file->changed_ns};
    size_t length = 0;
    char *line = other_line(&other, &length);
    enum owl_status status = add_line(&manifest->other_lines, line, length);
    if (status == OWL_OK)
        status = keep_other(manifest, &other);
    free(own);
    return status;
}

enum owl_status owl_manifest_settle(struct owl_manifest *manifest)
{
    return owl_lines_settle(&manifest->lines) == 0 && owl_lines_settle(&manifest->other_lines) == 0 ? OWL_OK : OWL_CANNOT_WRITE;
}

static enum owl_status rewrite(struct owl_manifest *manifest)
{
    size_t room = 1, used = 0, length = 0;
    for (size_t i = 0; i < manifest->count; i++)
        room += 2 * strlen(manifest->copies[i].name) + LINE_EXTRA;
    char *whole = malloc(room);
    for (size_t i = 0; whole && i < manifest->count; i++) {
        char *line = copy_line(manifest->copies[i].name, &manifest->copies[i].digest, &length);
        if (line)
            memcpy(whole + used, line, length);
        used += line ? length : 0;
        free(line);
        if (!line) {
            free(whole);
            whole = NULL;
        }
    }
    if (!whole)
        return OWL_NO_MEMORY;
    int replaced = owl_lines_replace(&manifest->lines, whole, used);
    free(whole);
    return replaced == 0 ? OWL_OK : OWL_CANNOT_WRITE;
}

enum owl_status owl_manifest_tidy(struct owl_manifest *manifest)
{
    enum owl_status status = manifest->outdated ? rewrite(manifest) : OWL_OK;
    if (status == OWL_OK)
        manifest->outdated = false;
    return status == OWL_OK ? owl_manifest_settle(manifest) : status;
}

void owl_manifest_close(struct owl_manifest *manifest)
{
    owl_lines_close(&manifest->lines);
    owl_lines_close(&manifest->other_lines);
    for (size_t i = 0; i < manifest->count; i++)
        free(manifest->copies[i].name);
    for (size_t i = 0; i < manifest->other_count; i++) {
        free(manifest->others[i].path);
        free(manifest->others[i].kept);
    }
    free(manifest->copies);
    free(manifest->others);
    owl_lookup_clear(&manifest->by_name);
    owl_lookup_clear(&manifest->by_content);
    owl_lookup_clear(&manifest->by_other);
    *manifest = (struct owl_manifest){.lines.file = -1, .other_lines.file = -1};
}
