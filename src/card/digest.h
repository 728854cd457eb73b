/* The content of a file as 128 bits, XXH3 [xxhash-spec], and its way through a file.
   It finds every accident; it is no proof against somebody who forges files. */
#ifndef OWL_CARD_DIGEST_H
#define OWL_CARD_DIGEST_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "card/calls.h"
#include "core/status.h"

#define OWL_DIGEST_DIGITS 32

struct owl_digest {
    uint8_t bytes[16]; /* most significant first, as it is printed */
};

/* 32 lower-case hexadecimal digits and NUL. */
void owl_digest_write(const struct owl_digest *digest, char digits[OWL_DIGEST_DIGITS + 1]);

/* Reads 32 hexadecimal digits; false, and digest untouched, where they are none. Stops at the first that is none. */
bool owl_digest_read(const char *digits, struct owl_digest *digest);

bool owl_digest_same(const struct owl_digest *one, const struct owl_digest *other);

/* Reads files in chunks and sums them up. */
struct owl_digester {
    uint8_t *chunk;
    size_t chunk_bytes;
    void *state;
};

/* OWL_NO_MEMORY, nothing held. */
enum owl_status owl_digester_init(struct owl_digester *digester) OWL_MUST_USE;
void owl_digester_clear(struct owl_digester *digester);

void owl_digester_start(struct owl_digester *digester);
void owl_digester_feed(struct owl_digester *digester, const void *bytes, size_t count);
struct owl_digest owl_digester_end(const struct owl_digester *digester);

/* The digest of a whole file from its beginning: 0, or -1 and errno. Leaves the file at its end. */
int owl_digester_file(struct owl_digester *digester, const struct owl_calls *calls, int file, struct owl_digest *digest);

/* 64 bits of some bytes, for tables. */
uint64_t owl_digest_key(const void *bytes, size_t count, uint64_t seed);

#endif
