/* A sky table as bytes, to be carried from where it was filled to where it is read, and back to the bit.

   The bytes: "owlsky" and the version, 1, as 16 bits; the length of the key, the rows, the nights and the zone's spans,
   each 32 bits; start, step and first noon; the key; each span as its beginning, its offset in 32 bits and 8 bytes of name;
   each row as the nine numbers of struct owl_sky_row. Numbers are IEEE doubles; all is little endian, nothing is padded. */
#ifndef OWL_CORE_MODEL_SKY_BLOB_H
#define OWL_CORE_MODEL_SKY_BLOB_H

#include <stddef.h>
#include <stdint.h>

#include "core/model/sky_table.h"

#define OWL_SKY_BLOB_NIGHTS_MOST 366
#define OWL_SKY_BLOB_ROWS_MOST 52768 /* ten minutes each: the nights and some hours on both sides */
#define OWL_SKY_KEY_BYTES 192        /* NUL included */
#define OWL_SKY_BLOB_HEAD_BYTES 48
#define OWL_SKY_BLOB_SPAN_BYTES 20
#define OWL_SKY_BLOB_ROW_BYTES 72

/* Room that always holds one. */
#define OWL_SKY_BLOB_BYTES                                                                         \
    ((size_t)OWL_SKY_BLOB_HEAD_BYTES + OWL_SKY_KEY_BYTES + OWL_ZONE_SPANS * OWL_SKY_BLOB_SPAN_BYTES + \
     (size_t)OWL_SKY_BLOB_ROWS_MOST * OWL_SKY_BLOB_ROW_BYTES)

/* The bytes a sky and its key take. */
size_t owl_sky_blob_bytes(const struct owl_sky *sky, const char *key);

/* Writes them; *length tells how many. key: what the sky is of, in words of the caller's choosing.
   OWL_NO_ROOM when they do not fit into room; OWL_OUTSIDE_DOMAIN for what owl_sky_blob_read would refuse. */
enum owl_status owl_sky_blob_write(const struct owl_sky *sky, const char *key, uint8_t *bytes, size_t room,
                                   size_t *length) OWL_MUST_USE;

/* A sky read back. The rows are those of the reader. */
struct owl_sky_blob {
    struct owl_sky sky;
    char key[OWL_SKY_KEY_BYTES];
};

/* Reads bytes from anywhere into *blob and rows[OWL_SKY_BLOB_ROWS_MOST], which blob->sky then reads.
   OWL_OUTSIDE_DOMAIN when they are of another version, of another length than they tell, hold a number that no sky has, or do
   not cover their own nights; *blob is then untouched, the rows are not to be used. */
enum owl_status owl_sky_blob_read(const uint8_t *bytes, size_t length, struct owl_sky_row *rows,
                                  struct owl_sky_blob *blob) OWL_MUST_USE;

#endif
