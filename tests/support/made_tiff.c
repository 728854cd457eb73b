/* Heads, directories, entries. */
#include "support/made_tiff.h"

#include <assert.h>
#include <string.h>

#define ENTRY_BYTES 12

void made_tiff_put(struct made_tiff *tiff, size_t at, uint32_t value, int bytes)
{
    assert(at + (size_t)bytes <= MADE_TIFF_MOST);
    for (int i = 0; i < bytes; i++)
        tiff->bytes[at + (size_t)i] = (uint8_t)(value >> 8 * (tiff->big_endian ? bytes - 1 - i : i));
}

uint32_t made_tiff_bytes(struct made_tiff *tiff, const void *bytes, size_t count)
{
    assert(tiff->length + count + 1 <= MADE_TIFF_MOST);
    uint32_t at = (uint32_t)tiff->length;
    memcpy(tiff->bytes + at, bytes, count);
    tiff->bytes[at + count] = 0;
    tiff->length += count + count % 2;
    return at;
}

void made_tiff_open(struct made_tiff *tiff, bool big_endian, unsigned magic, const char *mark)
{
    *tiff = (struct made_tiff){.big_endian = big_endian, .length = 8};
    memcpy(tiff->bytes, big_endian ? "MM" : "II", 2);
    made_tiff_put(tiff, 2, magic, 2);
    if (mark)
        made_tiff_bytes(tiff, mark, strlen(mark));
    made_tiff_put(tiff, 4, (uint32_t)tiff->length, 4);
}

uint32_t made_tiff_directory(struct made_tiff *tiff, int entries)
{
    uint32_t at = (uint32_t)tiff->length;
    size_t bytes = 2 + (size_t)entries * ENTRY_BYTES + 4;
    assert(at + bytes <= MADE_TIFF_MOST);
    memset(tiff->bytes + at, 0, bytes);
    made_tiff_put(tiff, at, (uint32_t)entries, 2);
    tiff->entry = at + 2;
    tiff->length += bytes;
    return at;
}

size_t made_tiff_entry(struct made_tiff *tiff, unsigned tag, unsigned type, uint32_t count, uint32_t value)
{
    size_t at = tiff->entry;
    tiff->entry += ENTRY_BYTES;
    made_tiff_put(tiff, at, tag, 2);
    made_tiff_put(tiff, at + 2, type, 2);
    made_tiff_put(tiff, at + 4, count, 4);
    made_tiff_put(tiff, at + 8, value, type == MADE_SHORT && count == 1 ? 2 : 4);
    return at + 8;
}

void made_tiff_words(struct made_tiff *tiff, unsigned tag, const char *words)
{
    size_t count = strlen(words) + 1;
    if (count <= 4) {
        size_t field = made_tiff_entry(tiff, tag, MADE_WORDS, (uint32_t)count, 0);
        memcpy(tiff->bytes + field, words, count);
    } else {
        made_tiff_entry(tiff, tag, MADE_WORDS, (uint32_t)count, made_tiff_bytes(tiff, words, count));
    }
}

void made_tiff_ratio(struct made_tiff *tiff, unsigned tag, uint32_t above, uint32_t below)
{
    uint32_t at = made_tiff_bytes(tiff, "\0\0\0\0\0\0\0", 8);
    made_tiff_put(tiff, at, above, 4);
    made_tiff_put(tiff, at + 4, below, 4);
    made_tiff_entry(tiff, tag, MADE_RATIO, 1, at);
}

uint32_t made_tiff_jpeg(struct made_tiff *tiff, int width, int height, size_t count)
{
    static const uint8_t head[] = {0xff, 0xd8, 0xff, 0xc0, 0, 11, 8, 0, 0, 0, 0, 1, 1, 0x11, 0};
    uint8_t bytes[1024] = {0};
    assert(count >= sizeof head && count <= sizeof bytes);
    memcpy(bytes, head, sizeof head);
    bytes[7] = (uint8_t)(height >> 8);
    bytes[8] = (uint8_t)height;
    bytes[9] = (uint8_t)(width >> 8);
    bytes[10] = (uint8_t)width;
    return made_tiff_bytes(tiff, bytes, count);
}

void made_tiff_link(struct made_tiff *tiff, uint32_t directory, int entries, uint32_t next)
{
    made_tiff_put(tiff, directory + 2 + (size_t)entries * ENTRY_BYTES, next, 4);
}
