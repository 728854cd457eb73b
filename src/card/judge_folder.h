/* Judges all frames of a folder: reads each file once, whatever is wrong with single ones. Files are only read. */
#ifndef OWL_CARD_JUDGE_FOLDER_H
#define OWL_CARD_JUDGE_FOLDER_H

#include "card/error.h"
#include "card/judged.h"
#include "core/status.h"

struct owl_judge_wish {
    const char *folder;
    int flashes;                  /* of the rig; 0: none is expected to fire */
    double subject_score;         /* 0: OWL_JUDGE_SUBJECT_SCORE */
    int ignored;
    struct owl_judge_region ignore[OWL_JUDGE_IGNORED];
    void (*progress)(void *context, const char *doing, int done, int all); /* NULL: not told */
    bool (*stopped)(void *context); /* whether to end early, asked before each frame; NULL: never */
    void *context;
};

/* *judged is the caller's, for owl_judged_clear; untouched on failure. A frame that cannot be read is OWL_JUDGE_CANNOT.
   OWL_CANNOT_READ: the folder, or no picture in it can be read; OWL_NO_MEMORY; OWL_BAD_USE: the wish is out of range, or it was stopped; all
   told in error. */
enum owl_status owl_judge_folder(const struct owl_judge_wish *wish, struct owl_judged *judged, struct owl_error *error) OWL_MUST_USE;

/* Whether the folder's frames are still those that were judged: the same names, sizes and times of last change. */
bool owl_judged_still_there(const struct owl_judged *judged, const char *folder);

#endif
