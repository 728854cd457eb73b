/* The directories of a TIFF structure in memory [tiff6]: in a raw file, or in a marker segment of a JPEG file [exif] [dc007].
   Nothing is allocated and nothing read outside the span; offsets are checked one by one, and a value is whole or missing.
   Faults are noted in the reader. Bytes are borrowed as long as the reader is used. */
#ifndef OWL_CARD_TIFF_H
#define OWL_CARD_TIFF_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "card/metadata_fault.h"

#define OWL_TIFF_ENTRIES_MOST 512 /* of one directory; no camera writes a fifth of that; estimate */
#define OWL_TIFF_MAGIC 42         /* of the standard; raw files of some makes have another */

enum owl_tiff_type {
    OWL_TIFF_BYTE = 1,
    OWL_TIFF_WORDS,
    OWL_TIFF_SHORT,
    OWL_TIFF_LONG,
    OWL_TIFF_RATIO,
    OWL_TIFF_SIGNED_BYTE,
    OWL_TIFF_UNDEFINED,
    OWL_TIFF_SIGNED_SHORT,
    OWL_TIFF_SIGNED_LONG,
    OWL_TIFF_SIGNED_RATIO,
    OWL_TIFF_FLOAT,
    OWL_TIFF_DOUBLE,
    OWL_TIFF_DIRECTORY
};

struct owl_tiff {
    const uint8_t *bytes; /* from the byte order on: all offsets count from here */
    size_t length;        /* bytes at hand */
    uint64_t reach;       /* bytes there would be if nothing were cut; at least length */
    bool big_endian;
    unsigned magic;
    uint32_t first;       /* offset of the first directory */
    unsigned faults;      /* bits of enum owl_metadata_fault */
};

struct owl_tiff_directory {
    size_t offset;
    int entries; /* those that are at hand, at most OWL_TIFF_ENTRIES_MOST */
    uint32_t next; /* offset of the next directory; 0: none, or not at hand */
};

struct owl_tiff_entry {
    unsigned tag, type;
    uint32_t count;
    size_t field; /* where its four bytes for a short value or an offset are */
};

/* Reads the head: order of the bytes, magic, first directory. False, with a fault, where there is no such head. */
bool owl_tiff_open(const uint8_t *bytes, size_t length, uint64_t reach, struct owl_tiff *tiff);

/* The directory at an offset; false, with a fault, when not even the number of its entries can be read. */
bool owl_tiff_directory_at(struct owl_tiff *tiff, uint32_t offset, struct owl_tiff_directory *directory);

/* The entry of an index 0..entries-1. */
struct owl_tiff_entry owl_tiff_entry(const struct owl_tiff *tiff, const struct owl_tiff_directory *directory, int index);

/* The entry's value in bytes, all count of them, or NULL with a fault: it is cut or outside, or has a type unknown. */
const uint8_t *owl_tiff_value(struct owl_tiff *tiff, const struct owl_tiff_entry *entry);

/* One of the entry's numbers; NaN where it is missing or no number. A ratio over zero is NaN and a fault. */
double owl_tiff_number(struct owl_tiff *tiff, const struct owl_tiff_entry *entry, uint32_t index);

/* One of the entry's whole numbers, of the types byte, short, long and directory; false, and *value untouched, elsewhere. */
bool owl_tiff_whole(struct owl_tiff *tiff, const struct owl_tiff_entry *entry, uint32_t index, uint32_t *value);

/* Words up to their NUL or end, cut to room - 1 bytes, blanks at the end left off, what is no printable ASCII made '?'.
   False, words untouched, when the entry has no words. */
bool owl_tiff_words(struct owl_tiff *tiff, const struct owl_tiff_entry *entry, char *words, size_t room);

/* Numbers in the reader's order of bytes. */
uint32_t owl_tiff_short_at(const struct owl_tiff *tiff, const uint8_t *at);
uint32_t owl_tiff_long_at(const struct owl_tiff *tiff, const uint8_t *at);

#endif
