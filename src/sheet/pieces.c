/* A small room filled and emptied. */
#include "sheet/pieces.h"

#include <string.h>

#include "core/text.h"

#define NUMBER_BYTES 32

struct owl_pieces owl_pieces_to(bool (*put)(void *context, const char *bytes, size_t length), void *context)
{
    return (struct owl_pieces){.put = put, .context = context};
}

static void hand_on(struct owl_pieces *pieces)
{
    if (pieces->length > 0 && !pieces->failed)
        pieces->failed = !pieces->put(pieces->context, pieces->bytes, pieces->length);
    pieces->length = 0;
}

static void add(struct owl_pieces *pieces, const char *bytes, size_t length)
{
    while (length > 0 && !pieces->failed) {
        size_t room = sizeof pieces->bytes - pieces->length, count = length < room ? length : room;
        memcpy(pieces->bytes + pieces->length, bytes, count);
        pieces->length += count;
        bytes += count;
        length -= count;
        if (pieces->length == sizeof pieces->bytes)
            hand_on(pieces);
    }
}

void owl_pieces_raw(struct owl_pieces *pieces, const char *markup)
{
    add(pieces, markup, strlen(markup));
}

void owl_pieces_words(struct owl_pieces *pieces, const char *words)
{
    for (; *words; words++) {
        const char one[2] = {*words, '\0'};
        char escaped[8];
        struct owl_text text = owl_text_over(escaped, sizeof escaped);
        owl_text_markup(&text, one);
        add(pieces, text.buffer, text.length);
    }
}

void owl_pieces_integer(struct owl_pieces *pieces, int64_t value)
{
    char digits[NUMBER_BYTES];
    struct owl_text text = owl_text_over(digits, sizeof digits);
    owl_text_integer(&text, value);
    add(pieces, text.buffer, text.length);
}

void owl_pieces_fixed(struct owl_pieces *pieces, double value, int decimals)
{
    char digits[NUMBER_BYTES];
    struct owl_text text = owl_text_over(digits, sizeof digits);
    owl_text_fixed(&text, value, decimals);
    add(pieces, text.buffer, text.length);
}

/* Three bytes are four figures of six bits; of a last group too short, the figures without any bit of it are =. */
void owl_pieces_base64(struct owl_pieces *pieces, const uint8_t *bytes, size_t length)
{
    static const char figures[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    for (size_t at = 0; at < length; at += 3) {
        size_t left = length - at;
        uint32_t second = left > 1 ? bytes[at + 1] : 0, third = left > 2 ? bytes[at + 2] : 0;
        uint32_t group = (uint32_t)bytes[at] << 16 | second << 8 | third;
        const char four[4] = {figures[group >> 18], figures[group >> 12 & 63], left > 1 ? figures[group >> 6 & 63] : '=',
                              left > 2 ? figures[group & 63] : '='};
        add(pieces, four, sizeof four);
    }
}

bool owl_pieces_end(struct owl_pieces *pieces)
{
    hand_on(pieces);
    return !pieces->failed;
}
