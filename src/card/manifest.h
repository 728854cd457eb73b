/* What a folder holds of cards brought home. Two files of lines in its first folder:

   MANIFEST.xxh128   a line for each copy, as `xxh128sum -c` checks it from within that folder: 32 digits, two blanks, the
                     name. A name with a line end in it is written escaped, with a backslash before the digits; tools that do
                     not know that form pass over the line.
   OTHER-NAMES.tsv   a line for each file of a card that is kept under another name than its own: digits, size in bytes, time
                     of last change, the name it is kept as, its name on the card; tabs between, names escaped.
                     So a picture that lay twice on a card is kept once, and both its names are known. */
#ifndef OWL_CARD_MANIFEST_H
#define OWL_CARD_MANIFEST_H

#include "card/digest.h"
#include "card/lines.h"
#include "card/lookup.h"
#include "card/tree.h"

#define OWL_MANIFEST_NAME "MANIFEST.xxh128"
#define OWL_MANIFEST_OTHERS_NAME "OTHER-NAMES.tsv"

struct owl_manifest_copy {
    char *name; /* in the target */
    struct owl_digest digest;
};

struct owl_manifest_other {
    char *path; /* on the card */
    char *kept;
    struct owl_digest digest;
    uint64_t size_bytes;
    int64_t changed_s;
    int32_t changed_ns;
};

struct owl_manifest {
    struct owl_lines lines, other_lines;
    struct owl_manifest_copy *copies;
    size_t count, room;
    struct owl_manifest_other *others;
    size_t other_count, other_room;
    struct owl_lookup by_name, by_content, by_other;
    bool outdated; /* the file has lines that later ones take back */
};

/* Reads what is there; lines of another form are passed over. OWL_CANNOT_READ and OWL_CANNOT_WRITE with errno;
   OWL_NO_MEMORY; nothing held then. */
enum owl_status owl_manifest_open(struct owl_manifest *manifest, const struct owl_calls *calls, int folder) OWL_MUST_USE;

/* NULL where there is none; valid until the next line is added. */
const struct owl_manifest_copy *owl_manifest_of_name(const struct owl_manifest *manifest, const char *name);

/* The copy noted last with this content. */
const struct owl_manifest_copy *owl_manifest_of_content(const struct owl_manifest *manifest, const struct owl_digest *digest);

/* What a file of a card, by its path, size and time of change, is kept as; NULL where it has no other name or the
   copy under that name is noted with another content by now. */
const char *owl_manifest_other_name(const struct owl_manifest *manifest, const struct owl_tree_file *file);

/* Notes that a name in the target holds a content; nothing is written when that is known.
   OWL_CANNOT_WRITE with errno, OWL_NO_MEMORY. */
enum owl_status owl_manifest_note(struct owl_manifest *manifest, const char *name, const struct owl_digest *digest) OWL_MUST_USE;

/* Notes that a file of a card is kept under another name. The same failures. */
enum owl_status owl_manifest_note_other(struct owl_manifest *manifest, const struct owl_tree_file *file, const char *kept,
                                        const struct owl_digest *digest) OWL_MUST_USE;

/* Brings both files to the device. OWL_CANNOT_WRITE with errno. */
enum owl_status owl_manifest_settle(struct owl_manifest *manifest) OWL_MUST_USE;

/* Writes the manifest anew where later lines take back earlier ones, and lines of another form with them; then settles. The
   same failures, OWL_NO_MEMORY. */
enum owl_status owl_manifest_tidy(struct owl_manifest *manifest) OWL_MUST_USE;

/* Without settling. */
void owl_manifest_close(struct owl_manifest *manifest);

#endif
