/* The contact sheet of a card: its visits night by night, printed from small pictures on one page that stands alone.
   Takes plain values; words are ready for people's eyes (UTF-8) and are escaped here. Owns nothing. */
#ifndef OWL_SHEET_CONTACT_SHEET_H
#define OWL_SHEET_CONTACT_SHEET_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/status.h"
#include "sheet/moment.h"

#define OWL_CONTACT_BEST_PX 640  /* longer side of the best frame of a visit ... */
#define OWL_CONTACT_OTHER_PX 320 /* ... and of the others */
#define OWL_CONTACT_NO_NIGHT OWL_MOMENT_NO_NIGHT

/* A small picture as a JPEG file, upright; borrowed until the next is asked for. */
struct owl_contact_picture {
    const uint8_t *jpeg;
    size_t length;
    int width, height;
};

/* In shares of the upright picture's sides from the top left, the heaviest box of a frame first. */
struct owl_contact_box {
    double left, top, right, bottom;
};

struct owl_contact_frame {
    int number;          /* the caller's own: by it the picture is asked for */
    const char *name;
    double taken_s;      /* s since 1970 by the clock at the site; NaN: not known */
    const char *verdict; /* "subject" */
    const char *row;     /* of the ledger; "": none */
    const char *remarks; /* "": none */
    const struct owl_contact_box *box;
    int boxes;
};

struct owl_contact_visit {
    int number;
    int64_t night_days;  /* days from 1970-01-01 to the evening; OWL_CONTACT_NO_NIGHT: not known */
    const char *row;     /* of the ledger; "": none */
    const char *remarks; /* "": none */
    const struct owl_contact_frame *frame; /* in the order they were taken, at least one */
    int frames, best;    /* best: place in frame, 0..frames - 1 */
};

/* A frame that could not be judged, and why. */
struct owl_contact_failure {
    const char *name;
    double taken_s;
    const char *why;
};

/* frames = shown + failed + empty: each frame of the night once. */
struct owl_contact_night {
    int64_t night_days;  /* or OWL_CONTACT_NO_NIGHT */
    int visits, frames, shown, failed, empty;
};

struct owl_contact_sheet {
    const char *title;   /* the site, or the folder */
    const char *note;    /* a sentence below the counts, such as by how much the clock was put right; "": none */
    const struct owl_contact_visit *visit; /* those of a night together, nights in the order to be shown */
    int visits;
    const struct owl_contact_failure *failure;
    int failures;
    const struct owl_contact_night *night; /* all nights of the watch, also those without a frame */
    int nights;
    /* The picture of a frame, its longer side brought to long_side_px. false: there is none. Asked once for each frame, in the
       order of the page. */
    bool (*picture)(void *context, int number, int long_side_px, struct owl_contact_picture *picture);
    void *picture_context;
};

/* Writes one whole HTML5 page and hands it on in pieces of a few kilobytes; no more than one picture and one piece is needed
   at a time. The page asks for nothing from outside and runs no script; it follows the reader's choice of light or dark and
   prints on A4. OWL_CANNOT_WRITE: put returned false; it is then not called again. */
enum owl_status owl_contact_sheet_write(const struct owl_contact_sheet *sheet,
                                        bool (*put)(void *context, const char *bytes, size_t length),
                                        void *put_context) OWL_MUST_USE;

#endif
