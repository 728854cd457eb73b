/* Brings a card home: a verified copy of every regular file below a folder into another, which keeps its folders and names.

   Each file is read once, written to PULLING.part in the target's first folder, brought to the device, read back, compared,
   and only then given its name; so what bears a name in the target is whole. Nothing there is ever overwritten: where a name
   is taken by another content, the copy's name gets "~" and digits of its content before the ending. The originals are never
   written, renamed or deleted, and the target may not lie on the card. A run that was stopped or killed is taken up by the
   next: what is there with its size and time is not read again.

   A picture or movie whose content the target holds already, under whatever name, is not kept twice; manifest.h tells where its
   other name is noted. Empty files, sidecars and the rest are always kept, for they belong to the file beside them.

   One pull at a time writes into a target. Names and notes of a run are on the device when it ends, the run's files
   before that. */
#ifndef OWL_CARD_PULL_H
#define OWL_CARD_PULL_H

#include "card/calls.h"
#include "card/error.h"
#include "card/tree.h"

struct owl_pull_progress {
    const char *path;       /* the file at hand, as it is on the card; owl_tree_show makes it fit for the eye */
    size_t files, files_all;
    uint64_t bytes, bytes_all; /* read from the card, of those to be read */
    double bytes_per_s;        /* over the run; 0 at its beginning */
    double left_s;             /* NaN at its beginning */
};

struct owl_pull_wish {
    const char *card, *target; /* folders; the target is made if it is not there */
    bool thorough;             /* also reads again, on both sides, what looks as if it were there already */
    bool (*progress)(void *context, const struct owl_pull_progress *progress); /* false stops; NULL allowed */
    void *context;
    const struct owl_calls *calls; /* NULL: the system's */
};

enum owl_pull_note_kind {
    OWL_PULL_FAILED,    /* words: why */
    OWL_PULL_LEFT_OUT,  /* no regular file; words: what it is */
    OWL_PULL_DUPLICATE, /* words: the name it is kept as */
    OWL_PULL_RENAMED    /* copied; words: the name it is kept as */
};

struct owl_pull_note {
    enum owl_pull_note_kind kind;
    char *name, *words; /* fit for the eye */
};

/* files = copied + already + duplicates + files among the failed + not_reached. */
struct owl_pull_report {
    size_t files;
    size_t copied;      /* in this run, those with another name among them */
    size_t already;     /* in the target before it */
    size_t duplicates;  /* found in this run */
    size_t failed;      /* files and folders */
    size_t left_out;
    size_t not_reached; /* stopped, or ended by trouble, before these */
    size_t kinds[OWL_CARD_KINDS]; /* of `files` */
    uint64_t bytes_copied;
    double seconds;
    bool stopped;       /* as the wish's progress wanted it */
    bool card_gone;
    struct owl_pull_note *notes; /* in the order of the card; the report owns them */
    size_t note_count, note_room;
};

/* Fills the report in every case; clear it after use. OWL_OK also when single files failed or it was stopped: the report tells.
   OWL_BAD_USE: the target lies on the card, or another pull is at work in it; OWL_CANNOT_READ: the card cannot be listed, or
   it is gone; OWL_CANNOT_WRITE: the target cannot be made or written, or has no room: when known before, nothing is copied;
   OWL_NO_MEMORY.
   error: one line for each of these, else empty. */
enum owl_status owl_pull(const struct owl_pull_wish *wish, struct owl_pull_report *report, struct owl_error *error) OWL_MUST_USE;

void owl_pull_report_clear(struct owl_pull_report *report);

#endif
