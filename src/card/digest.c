/* libxxhash at work: streaming, so that a file is read once for hashing and copying. */
#include "card/digest.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>
#include <xxhash.h>

#define CHUNK_BYTES ((size_t)1 << 20)
#define CHUNK_ALIGNMENT 4096

void owl_digest_write(const struct owl_digest *digest, char digits[OWL_DIGEST_DIGITS + 1])
{
    static const char digit[] = "0123456789abcdef";
    for (size_t i = 0; i < sizeof digest->bytes; i++) {
        digits[2 * i] = digit[digest->bytes[i] >> 4];
        digits[2 * i + 1] = digit[digest->bytes[i] & 15];
    }
    digits[OWL_DIGEST_DIGITS] = '\0';
}

static int digit_value(char c)
{
    if (c >= '0' && c <= '9')
        return c - '0';
    if (c >= 'a' && c <= 'f')
        return c - 'a' + 10;
    return c >= 'A' && c <= 'F' ? c - 'A' + 10 : -1;
}

bool owl_digest_read(const char *digits, struct owl_digest *digest)
{
    struct owl_digest read;
    for (size_t i = 0; i < sizeof read.bytes; i++) {
        int high = digit_value(digits[2 * i]), low = high < 0 ? -1 : digit_value(digits[2 * i + 1]);
        if (low < 0)
            return false;
        read.bytes[i] = (uint8_t)(high << 4 | low);
    }
    *digest = read;
    return true;
}

bool owl_digest_same(const struct owl_digest *one, const struct owl_digest *other)
{
    return memcmp(one->bytes, other->bytes, sizeof one->bytes) == 0;
}

enum owl_status owl_digester_init(struct owl_digester *digester)
{
    void *chunk = NULL;
    XXH3_state_t *state = XXH3_createState();
    if (!state || posix_memalign(&chunk, CHUNK_ALIGNMENT, CHUNK_BYTES) != 0) {
        XXH3_freeState(state);
        return OWL_NO_MEMORY;
    }
    *digester = (struct owl_digester){chunk, CHUNK_BYTES, state};
    return OWL_OK;
}

void owl_digester_clear(struct owl_digester *digester)
{
    if (digester->state)
        XXH3_freeState(digester->state);
    free(digester->chunk);
    *digester = (struct owl_digester){0};
}

void owl_digester_start(struct owl_digester *digester)
{
    (void)XXH3_128bits_reset(digester->state);
}

void owl_digester_feed(struct owl_digester *digester, const void *bytes, size_t count)
{
    (void)XXH3_128bits_update(digester->state, bytes, count);
}

struct owl_digest owl_digester_end(const struct owl_digester *digester)
{
    XXH128_canonical_t canonical;
    struct owl_digest digest;
    XXH128_canonicalFromHash(&canonical, XXH3_128bits_digest(digester->state));
    memcpy(digest.bytes, canonical.digest, sizeof digest.bytes);
    return digest;
}

int owl_digester_file(struct owl_digester *digester, const struct owl_calls *calls, int file, struct owl_digest *digest)
{
    if (lseek(file, 0, SEEK_SET) < 0)
        return -1;
    owl_digester_start(digester);
    for (;;) {
        ssize_t got = owl_calls_read_full(calls, file, digester->chunk, digester->chunk_bytes);
        if (got < 0)
            return -1;
        if (got == 0)
            break;
        owl_digester_feed(digester, digester->chunk, (size_t)got);
    }
    *digest = owl_digester_end(digester);
    return 0;
}

uint64_t owl_digest_key(const void *bytes, size_t count, uint64_t seed)
{
    return XXH3_64bits_withSeed(bytes, count, seed);
}
