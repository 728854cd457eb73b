/* Small TIFF structures built entry by entry [tiff6], right or wrong, for what reads them. Nothing is allocated. */
#ifndef OWL_TESTS_MADE_TIFF_H
#define OWL_TESTS_MADE_TIFF_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define MADE_TIFF_MOST 16384

enum { MADE_BYTE = 1, MADE_WORDS, MADE_SHORT, MADE_LONG, MADE_RATIO, MADE_UNDEFINED = 7, MADE_SIGNED_RATIO = 10 };

struct made_tiff {
    uint8_t bytes[MADE_TIFF_MOST];
    size_t length;
    bool big_endian;
    size_t entry; /* where the next entry of the directory goes */
};

/* The head; the first directory follows at once, behind `mark` if that is not NULL. */
void made_tiff_open(struct made_tiff *tiff, bool big_endian, unsigned magic, const char *mark);

/* A new directory at the end; returns its offset. Its link to a next one is 0. */
uint32_t made_tiff_directory(struct made_tiff *tiff, int entries);

/* Fills the next entry; value goes into its field as it is, shorts to the left. Returns the field's offset. */
size_t made_tiff_entry(struct made_tiff *tiff, unsigned tag, unsigned type, uint32_t count, uint32_t value);

void made_tiff_words(struct made_tiff *tiff, unsigned tag, const char *words);
void made_tiff_ratio(struct made_tiff *tiff, unsigned tag, uint32_t above, uint32_t below);

/* Bytes at the end; returns their offset. */
uint32_t made_tiff_bytes(struct made_tiff *tiff, const void *bytes, size_t count);

/* A JPEG file that has nothing but a frame header, made as long as wished; returns its offset. */
uint32_t made_tiff_jpeg(struct made_tiff *tiff, int width, int height, size_t count);

void made_tiff_put(struct made_tiff *tiff, size_t at, uint32_t value, int bytes);

/* Writes the link to the next directory into the one at `directory`. */
void made_tiff_link(struct made_tiff *tiff, uint32_t directory, int entries, uint32_t next);

#endif
