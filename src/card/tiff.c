/* Entries of directories and their values. */
#include "card/tiff.h"

#include <math.h>
#include <string.h>

#define HEAD_BYTES 8
#define COUNT_BYTES 2
#define ENTRY_BYTES 12
#define FIELD_BYTES 4
#define NEXT_BYTES 4

uint32_t owl_tiff_short_at(const struct owl_tiff *tiff, const uint8_t *at)
{
    return tiff->big_endian ? (uint32_t)at[0] << 8 | at[1] : (uint32_t)at[1] << 8 | at[0];
}

uint32_t owl_tiff_long_at(const struct owl_tiff *tiff, const uint8_t *at)
{
    uint32_t one = owl_tiff_short_at(tiff, at), other = owl_tiff_short_at(tiff, at + 2);
    return tiff->big_endian ? one << 16 | other : other << 16 | one;
}

/* Whether bytes from..from+count are at hand; if not, whether they are cut off or never were. */
static bool at_hand(struct owl_tiff *tiff, uint64_t from, uint64_t count)
{
    if (from + count <= tiff->length)
        return true;
    tiff->faults |= from + count <= tiff->reach ? OWL_METADATA_CUT : OWL_METADATA_OUTSIDE;
    return false;
}

bool owl_tiff_open(const uint8_t *bytes, size_t length, uint64_t reach, struct owl_tiff *tiff)
{
    *tiff = (struct owl_tiff){.bytes = bytes, .length = length, .reach = reach > length ? reach : length};
    if (length < HEAD_BYTES) {
        tiff->faults |= OWL_METADATA_CUT;
        return false;
    }
    if (bytes[0] != bytes[1] || (bytes[0] != 'I' && bytes[0] != 'M')) {
        tiff->faults |= OWL_METADATA_BROKEN;
        return false;
    }
    tiff->big_endian = bytes[0] == 'M';
    tiff->magic = owl_tiff_short_at(tiff, bytes + 2);
    tiff->first = owl_tiff_long_at(tiff, bytes + 4);
    return true;
}

bool owl_tiff_directory_at(struct owl_tiff *tiff, uint32_t offset, struct owl_tiff_directory *directory)
{
    if (!at_hand(tiff, offset, COUNT_BYTES))
        return false;
    size_t after = (size_t)offset + COUNT_BYTES, room = (tiff->length - after) / ENTRY_BYTES;
    size_t wanted = owl_tiff_short_at(tiff, tiff->bytes + offset);
    size_t taken = wanted < OWL_TIFF_ENTRIES_MOST ? wanted : OWL_TIFF_ENTRIES_MOST;
    if (taken < wanted)
        tiff->faults |= OWL_METADATA_MANY;
    *directory = (struct owl_tiff_directory){.offset = offset, .entries = (int)(taken < room ? taken : room)};
    /* Some writers leave the last four bytes out; with so many entries the count itself is not to be trusted. */
    size_t next = after + wanted * ENTRY_BYTES;
    if (at_hand(tiff, after, taken * ENTRY_BYTES) && taken == wanted && next + NEXT_BYTES <= tiff->length)
        directory->next = owl_tiff_long_at(tiff, tiff->bytes + next);
    return true;
}

struct owl_tiff_entry owl_tiff_entry(const struct owl_tiff *tiff, const struct owl_tiff_directory *directory, int index)
{
    size_t at = directory->offset + COUNT_BYTES + (size_t)index * ENTRY_BYTES;
    const uint8_t *bytes = tiff->bytes + at;
    return (struct owl_tiff_entry){owl_tiff_short_at(tiff, bytes), owl_tiff_short_at(tiff, bytes + 2),
                                   owl_tiff_long_at(tiff, bytes + 4), at + ENTRY_BYTES - FIELD_BYTES};
}

static unsigned bytes_of(unsigned type)
{
    static const uint8_t bytes[] = {0, 1, 1, 2, 4, 8, 1, 1, 2, 4, 8, 4, 8, 4};
    return type < sizeof bytes ? bytes[type] : 0;
}

const uint8_t *owl_tiff_value(struct owl_tiff *tiff, const struct owl_tiff_entry *entry)
{
    uint64_t size = (uint64_t)entry->count * bytes_of(entry->type);
    if (size == 0) {
        tiff->faults |= OWL_METADATA_BROKEN;
        return NULL;
    }
    const uint8_t *field = tiff->bytes + entry->field;
    if (size <= FIELD_BYTES)
        return field;
    uint32_t offset = owl_tiff_long_at(tiff, field);
    return at_hand(tiff, offset, size) ? tiff->bytes + offset : NULL;
}

bool owl_tiff_whole(struct owl_tiff *tiff, const struct owl_tiff_entry *entry, uint32_t index, uint32_t *value)
{
    const uint8_t *at = index < entry->count ? owl_tiff_value(tiff, entry) : NULL;
    if (!at)
        return false;
    switch (entry->type) {
    case OWL_TIFF_BYTE:
        *value = at[index];
        return true;
    case OWL_TIFF_SHORT:
        *value = owl_tiff_short_at(tiff, at + 2 * (size_t)index);
        return true;
    case OWL_TIFF_LONG:
    case OWL_TIFF_DIRECTORY:
        *value = owl_tiff_long_at(tiff, at + 4 * (size_t)index);
        return true;
    default:
        tiff->faults |= OWL_METADATA_BROKEN;
        return false;
    }
}

/* Two's complement by hand: a conversion of what does not fit would be the compiler's choice. */
static double signed_long(uint32_t value)
{
    return value < 0x80000000u ? (double)value : (double)value - 4294967296.0;
}

static double ratio_at(struct owl_tiff *tiff, const uint8_t *at, bool is_signed)
{
    uint32_t above = owl_tiff_long_at(tiff, at), below = owl_tiff_long_at(tiff, at + 4);
    if (below == 0) {
        tiff->faults |= OWL_METADATA_ZERO;
        return NAN;
    }
    return is_signed ? signed_long(above) / signed_long(below) : (double)above / (double)below;
}

double owl_tiff_number(struct owl_tiff *tiff, const struct owl_tiff_entry *entry, uint32_t index)
{
    uint32_t whole;
    if (entry->type != OWL_TIFF_RATIO && entry->type != OWL_TIFF_SIGNED_RATIO)
        return owl_tiff_whole(tiff, entry, index, &whole) ? (double)whole : NAN;
    const uint8_t *at = index < entry->count ? owl_tiff_value(tiff, entry) : NULL;
    return at ? ratio_at(tiff, at + 8 * (size_t)index, entry->type == OWL_TIFF_SIGNED_RATIO) : NAN;
}

bool owl_tiff_words(struct owl_tiff *tiff, const struct owl_tiff_entry *entry, char *words, size_t room)
{
    if (entry->type != OWL_TIFF_WORDS) {
        tiff->faults |= OWL_METADATA_BROKEN;
        return false;
    }
    const uint8_t *at = owl_tiff_value(tiff, entry);
    if (!at)
        return false;
    size_t length = entry->count < room ? entry->count : room - 1;
    const uint8_t *end = memchr(at, '\0', length);
    length = end ? (size_t)(end - at) : length;
    while (length > 0 && at[length - 1] == ' ')
        length--;
    for (size_t i = 0; i < length; i++)
        words[i] = at[i] >= ' ' && at[i] <= '~' ? (char)at[i] : '?';
    words[length] = '\0';
    return true;
}
