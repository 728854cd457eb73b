/* A frame's verdict as an XMP sidecar, the small file beside a picture that photo programs read [iso16684]. Pure text. */
#ifndef OWL_SHEET_SIDECAR_H
#define OWL_SHEET_SIDECAR_H

#include <stdbool.h>
#include <stdint.h>

#include "core/text.h"
#include "sheet/moment.h"

#define OWL_SIDECAR_NO_NIGHT OWL_MOMENT_NO_NIGHT
#define OWL_SIDECAR_BYTES 16384 /* holds one with words of up to a kilobyte together and 8 boxes */

/* Our own names in the file. A UUID may be made by anybody and names no host [rfc9562]; the # keeps the names that follow it
   apart from it, and makes a sound URI of both together [rfc8141]. */
#define OWL_SIDECAR_NAMES "urn:uuid:760ab3c9-e2e3-45cb-b472-0046e37799db#"

/* What the rating goes by; the numbers are the stars. 0 means unrated: nothing is said against the frame. 5 is left to the
   photographer, and -1, rejected, is never given: programs hide such frames, and a judge can be wrong. Our own rule. */
enum owl_sidecar_rank {
    OWL_SIDECAR_EMPTY,   /* nothing found */
    OWL_SIDECAR_LOOK,    /* not sure, or it could not be judged: look at it */
    OWL_SIDECAR_FAILED,  /* a subject, but no keeper */
    OWL_SIDECAR_KEEPER,
    OWL_SIDECAR_BEST     /* the best of a visit that has a keeper */
};

/* In shares of the picture's sides as stored, from the top left. */
struct owl_sidecar_box {
    double left, top, right, bottom;
};

struct owl_sidecar {
    enum owl_sidecar_rank rank;
    const char *verdict;       /* "subject" */
    const char *const *words;  /* more keywords, such as rows of the ledger: "cut", "soft" */
    int word_count;
    int visit;                 /* its number; 0: of none */
    bool best;                 /* of its visit, keeper or not */
    int64_t night_days;        /* days from 1970-01-01 to the evening; OWL_SIDECAR_NO_NIGHT: not known */
    double taken_s;            /* s since 1970 by the clock at the site. NaN: left to what the picture says itself, as is right
                                  unless the camera's clock was found wrong */
    double judged_unix_s;      /* when the verdict was given, UTC; NaN: not told */
    double score;              /* of the judge; NaN: none */
    const struct owl_sidecar_box *box;
    int boxes;
};

/* Adds the whole file: UTF-8, RDF in XML within the packet marks. Bytes in words that are no UTF-8 or may not stand in XML
   become U+FFFD. text->cut when it did not fit. */
void owl_sidecar_write(const struct owl_sidecar *sidecar, struct owl_text *text);

/* The name of the sidecar of a picture: its own with the ending replaced by .xmp, so that IMG_0001.JPG and IMG_0001.CR2, one
   release of the shutter, share IMG_0001.xmp. The folders before the name stay; a name without an ending gets one. The file
   may be there already and hold a photographer's work: who writes it must not write over it. */
void owl_sidecar_name(const char *picture, struct owl_text *name);

#endif
