/* What a camera noted down about a picture, out of the bytes of its file: JPEG with its notes [exif] and its index of further
   pictures [dc007], and raw files that are built as TIFF [tiff6]. A pure computation on a span in memory, the file's head or
   the whole: nothing is allocated, nothing kept. What the file does not tell stays missing and is never guessed. */
#ifndef OWL_CARD_METADATA_H
#define OWL_CARD_METADATA_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "card/metadata_fault.h"

#define OWL_METADATA_PREVIEWS 8
#define OWL_METADATA_WORDS 64
#define OWL_METADATA_HEAD_BYTES 262144 /* of a JPEG file: two segments of notes and the index fit four times; estimate */

enum owl_metadata_kind {
    OWL_METADATA_UNKNOWN,
    OWL_METADATA_JPEG,
    OWL_METADATA_TIFF, /* without a sensor's picture in it */
    OWL_METADATA_RAW,  /* a TIFF with a sensor's picture, of any make */
    OWL_METADATA_DNG,
    OWL_METADATA_CR2,
    OWL_METADATA_ORF,
    OWL_METADATA_RW2
};

/* A JPEG picture inside the file, as stored; whether it can be decoded is for the decoder to say. */
struct owl_metadata_span {
    uint64_t offset;   /* from the file's first byte */
    uint32_t length;   /* 0: there is none */
    int width, height; /* its own frame header's where that is at hand, else as the file says; 0: not told */
    uint32_t type;     /* what it is for: the type code of [dc007], 24 bits; 0: not told */
};

/* Missing: NaN, false, 0 or no words, as said. A value that makes no sense, such as a shutter time of 0, is missing too. */
struct owl_card_metadata {
    enum owl_metadata_kind kind;
    char make[OWL_METADATA_WORDS], model[OWL_METADATA_WORDS]; /* printable ASCII, for people's eyes; empty: missing */
    bool has_taken;
    double taken_local_s; /* when it was taken by the camera's clock, as seconds since 1970-01-01T00:00 of that clock; NaN */
    double subsecond_s;   /* to be added, 0..1; NaN */
    bool has_zone;
    int zone_s;           /* that clock ahead of UTC */
    double exposure_s, f_number, iso, focal_m; /* above 0; NaN */
    bool has_flash;
    unsigned flash;       /* the Flash word of [exif]: bit 0 fired */
    int orientation;      /* 1..8 of [exif]; 0 */
    int width, height;    /* pixels as stored, before any turning; of a raw file the largest it tells of, of a JPEG file without
                             its frame header what the notes say; 0 */
    struct owl_metadata_span thumbnail;
    int previews;
    struct owl_metadata_span preview[OWL_METADATA_PREVIEWS]; /* in the order of the file; also what else is in it as JPEG */
    unsigned faults;      /* bits of enum owl_metadata_fault, of the parts that are read here */
};

/* Reads bytes[length], the head of a file of file_bytes (at least length) or all of it. *metadata is filled in any case; its
   kind is OWL_METADATA_UNKNOWN, and all else missing, when the file is none of these. Spans may lie behind the bytes given but
   never behind the file's end. The time taken is DateTimeOriginal with its own subsecond and offset, never those of a later
   change. Maker's notes are not read: previews that only they tell of stay unknown. Time is bounded: at most 32 directories of
   at most 512 entries, none twice, at most two below the first. */
void owl_metadata_read(const uint8_t *bytes, size_t length, uint64_t file_bytes, struct owl_card_metadata *metadata);

/* The words for one fault; never NULL, "unknown fault" for bits that are none or several. */
const char *owl_metadata_fault_words(unsigned fault);

#endif
