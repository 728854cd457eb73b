/* A pull at work: what its parts share. Not for others. */
#ifndef OWL_CARD_PULL_RUN_H
#define OWL_CARD_PULL_RUN_H

#include <sys/stat.h>
#include <time.h>

#include "card/digest.h"
#include "card/folder.h"
#include "card/manifest.h"
#include "card/pull.h"

#define OWL_PULL_PART "PULLING.part"
/* Names and notes go to the device after so many files. Losing the last of them in a crash loses nothing: a name not noted is
   compared by the next run, a note without its name is copied again. */
#define OWL_PULL_SETTLE_FILES 32

enum owl_pull_state {
    OWL_PULL_TO_COPY,
    OWL_PULL_THERE,
    OWL_PULL_IN_DOUBT /* a file of its size is there, but its time or its line says nothing sure */
};

struct owl_pull_run {
    const struct owl_pull_wish *wish;
    const struct owl_calls *calls;
    struct owl_pull_report *report;
    struct owl_error *error;
    int card, target; /* handles of the first folders; -1 */
    struct stat card_facts;
    struct owl_tree tree;
    unsigned char *states; /* enum owl_pull_state of each file of the tree */
    struct owl_folder from, to;
    struct owl_manifest manifest;
    struct owl_digester digester;
    struct owl_pull_progress progress;
    struct timespec start;
    size_t unsettled;      /* files since names and notes were brought to the device */
    int troubled_in_a_row; /* files the card gave errors for */
};

/* Whether a file is in the target already, by what costs no reading. */
enum owl_pull_state owl_pull_state_of(struct owl_pull_run *run, const struct owl_tree_file *file);

/* Brings one file home, unless it is there. Anything but OWL_OK ends the run, its words are then written. */
enum owl_status owl_pull_file(struct owl_pull_run *run, const struct owl_tree_file *file, enum owl_pull_state state) OWL_MUST_USE;

/* Brings names and notes to the device. */
enum owl_status owl_pull_settle(struct owl_pull_run *run) OWL_MUST_USE;

/* Takes the seconds gone into the report. */
void owl_pull_clock(struct owl_pull_run *run);

/* Tells the caller of so many bytes more; false when it wants to stop. */
bool owl_pull_tell(struct owl_pull_run *run, size_t bytes);

/* Adds a note and counts it. `name` as on the card; `words` fit for the eye. */
enum owl_status owl_pull_note(struct owl_pull_run *run, enum owl_pull_note_kind kind, const char *name,
                              const char *words) OWL_MUST_USE;

/* The same, the words being a name as in the target. */
enum owl_status owl_pull_note_kept(struct owl_pull_run *run, enum owl_pull_note_kind kind, const char *name,
                                   const char *kept) OWL_MUST_USE;

/* Writes the run's last words, "what name: why" with the reason of errno unless 0, and gives the status back. */
enum owl_status owl_pull_end(struct owl_pull_run *run, enum owl_status status, const char *what, const char *name, int trouble);

#endif
