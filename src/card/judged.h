/* A card judged: every frame with what its camera noted and what the judge found, as visits, health, the book and all that
   leaves the program take it. Plain values; who fills them owns them. */
#ifndef OWL_CARD_JUDGED_H
#define OWL_CARD_JUDGED_H

#include <stdint.h>

#include "card/judge/judge.h"

struct owl_judged_frame {
    char *name;               /* path from the folder, parts joined by '/'; bytes as the file system has them */
    uint64_t size_bytes;      /* size and time of last change, since 1970 UTC, tell whether the file is still the same */
    int64_t changed_s;
    int32_t changed_ns;
    double taken_s;           /* by the camera's clock, s since 1970-01-01T00:00 of that clock, with subseconds; NaN: not told */
    double exposure_s, f_number, iso, focal_m; /* NaN: not told */
    bool flash_told, flash_fired; /* by the camera's notes: only of the flash on its own shoe or wire */
    int width, height;        /* of the whole picture, pixels as stored; 0: it could not be read */
    int orientation;          /* how it is to be turned, 1..8 of [exif]; 0: not told. Boxes are of the picture as stored */
    struct owl_frame_verdict verdict;
    bool corrected;           /* the verdict's class is the user's */
};

struct owl_judged {
    struct owl_judged_frame *frame; /* in the order they were judged: the order of their names */
    int count;
    int width, height;        /* of the small pictures that the verdicts' boxes are counted in */
    int flashes;              /* of the rig, as told to the judge */
    double subject_score;     /* from which a frame shows a subject, as told to the judge */
    double clock_shift_s;     /* to be added to every taken_s to put the camera's clock right */
};

/* Gives back the frames and their names, where those were allocated, and leaves nothing. */
void owl_judged_clear(struct owl_judged *judged);

#endif
