/* Text that leaves in pieces: pages of any length through a small room. The caller owns it; nothing is allocated. */
#ifndef OWL_SHEET_PIECES_H
#define OWL_SHEET_PIECES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define OWL_PIECE_BYTES 4096

struct owl_pieces {
    bool (*put)(void *context, const char *bytes, size_t length); /* false: it cannot be written, and is not called again */
    void *context;
    bool failed;
    size_t length;
    char bytes[OWL_PIECE_BYTES];
};

struct owl_pieces owl_pieces_to(bool (*put)(void *context, const char *bytes, size_t length), void *context);

/* Markup as it stands. */
void owl_pieces_raw(struct owl_pieces *pieces, const char *markup);

/* Words with & < > " ' written as entities. */
void owl_pieces_words(struct owl_pieces *pieces, const char *words);

void owl_pieces_integer(struct owl_pieces *pieces, int64_t value);
void owl_pieces_fixed(struct owl_pieces *pieces, double value, int decimals);

/* Bytes in base 64 with the usual alphabet, filled up by = [rfc4648]. */
void owl_pieces_base64(struct owl_pieces *pieces, const uint8_t *bytes, size_t length);

/* Hands on what is left; whether all could be written. */
bool owl_pieces_end(struct owl_pieces *pieces);

#endif
