/* What lies on a card: every regular file below a folder, in a fixed order. Links are never followed. The tree owns its names;
   names are bytes as the file system has them, in no promised encoding. */
#ifndef OWL_CARD_TREE_H
#define OWL_CARD_TREE_H

#include <stddef.h>
#include <stdint.h>

#include "card/calls.h"
#include "core/status.h"
#include "core/text.h"

enum owl_card_kind {
    OWL_CARD_JPEG,
    OWL_CARD_RAW,     /* the sensor's own picture, of whatever make, by the ending of its name */
    OWL_CARD_MOVIE,
    OWL_CARD_SIDECAR, /* belongs to the picture of the same name */
    OWL_CARD_OTHER,
    OWL_CARD_KINDS
};

struct owl_tree_file {
    char *path; /* from the card's folder, parts joined by '/' */
    uint64_t size_bytes;
    int64_t changed_s; /* time of last change, since 1970 UTC */
    int32_t changed_ns;
    enum owl_card_kind kind;
};

/* Something that is no file to copy. */
struct owl_tree_oddity {
    char *path;
    const char *words; /* why: "it is a link" */
    int trouble;       /* errno where it could not be read; 0 where it is only left out */
};

struct owl_tree {
    struct owl_tree_file *files; /* in the order of the bytes of their paths */
    size_t count, room;
    struct owl_tree_oddity *oddities; /* in the same order */
    size_t oddity_count, oddity_room;
};

/* Lists everything below an open folder. A folder that cannot be read, or lies deeper than 64 folders, becomes an oddity and
   the rest is listed. OWL_NO_MEMORY, and OWL_CANNOT_READ with errno when the first folder itself cannot be listed; the tree
   is then empty. */
enum owl_status owl_tree_list(struct owl_tree *tree, const struct owl_calls *calls, int folder) OWL_MUST_USE;
void owl_tree_clear(struct owl_tree *tree);

/* The kind by the ending of a name, capitals or not. */
enum owl_card_kind owl_tree_kind(const char *name);

/* A name for people's eyes: what is no letter, sign or blank in UTF-8 is shown as \xNN, a backslash doubled. */
void owl_tree_show(struct owl_text *text, const char *name);

#endif
