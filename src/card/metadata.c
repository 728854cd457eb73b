/* Which kind of file it is, where its notes are, and the index of further pictures. */
#include "card/metadata.h"

#include <math.h>
#include <string.h>

#include "card/jpeg_segments.h"
#include "card/metadata_reading.h"

#define NOTES_NAME "Exif"   /* and two bytes, the first of them NUL */
#define NOTES_NAME_BYTES 6
#define INDEX_NAME "MPF"
#define INDEX_NAME_BYTES 4
#define TAG_INDEX_ENTRIES 0xb002 /* [dc007] */
#define INDEX_ENTRY_BYTES 16
#define INDEX_ENTRIES_MOST 256
#define INDEX_FORMAT_MASK 0x07000000u /* of a picture's attribute: 0 is JPEG */
#define INDEX_TYPE_MASK 0x00ffffffu
#define ISO_SHORT_MOST 65535u
#define CR2_MARK_AT 8

enum { MAGIC_RW2 = 0x55, MAGIC_ORF = 0x4f52, MAGIC_ORF_LATER = 0x5352 };

/* ---- pictures in the file ---- */

void owl_metadata_note_size(struct owl_card_metadata *metadata, uint32_t width, uint32_t height)
{
    if (width == 0 || height == 0 || width > OWL_METADATA_SIDE_MOST || height > OWL_METADATA_SIDE_MOST)
        return;
    if ((int64_t)width * height <= (int64_t)metadata->width * metadata->height)
        return;
    metadata->width = (int)width;
    metadata->height = (int)height;
}

bool owl_metadata_settle(const struct owl_metadata_reading *reading, struct owl_metadata_span *span)
{
    struct owl_jpeg_segments segments;
    struct owl_jpeg_segment segment;
    if (span->offset >= reading->file_bytes || span->length > reading->file_bytes - span->offset) {
        reading->metadata->faults |= span->offset >= reading->file_bytes ? OWL_METADATA_OUTSIDE : OWL_METADATA_CUT;
        return false;
    }
    if (span->offset >= reading->length)
        return true;
    size_t left = reading->length - (size_t)span->offset;
    if (!owl_jpeg_segments_open(reading->bytes + span->offset, left < span->length ? left : span->length, &segments))
        return true;
    while (owl_jpeg_segments_next(&segments, &segment))
        if (owl_jpeg_segment_size(&segment, &span->width, &span->height))
            break;
    return true;
}

void owl_metadata_add_preview(const struct owl_metadata_reading *reading, const struct owl_metadata_span *span)
{
    struct owl_card_metadata *metadata = reading->metadata;
    struct owl_metadata_span settled = *span;
    if (metadata->previews == OWL_METADATA_PREVIEWS)
        metadata->faults |= OWL_METADATA_MANY;
    else if (owl_metadata_settle(reading, &settled))
        metadata->preview[metadata->previews++] = settled;
}

/* One picture of the index: attribute, size, offset. The first picture is the file itself and has the offset 0. */
static void index_entry(struct owl_metadata_reading *reading, const struct owl_tiff *tiff, uint64_t origin, const uint8_t *at)
{
    uint32_t attribute = owl_tiff_long_at(tiff, at), offset = owl_tiff_long_at(tiff, at + 8);
    struct owl_metadata_span span = {.offset = origin + offset, .length = owl_tiff_long_at(tiff, at + 4),
                                     .type = attribute & INDEX_TYPE_MASK};
    if (offset != 0 && span.length != 0 && (attribute & INDEX_FORMAT_MASK) == 0)
        owl_metadata_add_preview(reading, &span);
}

static void index_entries(struct owl_metadata_reading *reading, struct owl_tiff *tiff, uint64_t origin,
                          const struct owl_tiff_entry *entry)
{
    const uint8_t *value = owl_tiff_value(tiff, entry);
    size_t pictures = value && entry->type == OWL_TIFF_UNDEFINED ? entry->count / INDEX_ENTRY_BYTES : 0;
    if (pictures > INDEX_ENTRIES_MOST) {
        tiff->faults |= OWL_METADATA_MANY;
        pictures = INDEX_ENTRIES_MOST;
    }
    for (size_t i = 0; i < pictures; i++)
        index_entry(reading, tiff, origin, value + i * INDEX_ENTRY_BYTES);
}

void owl_metadata_index(struct owl_metadata_reading *reading, struct owl_tiff *tiff, uint64_t origin)
{
    struct owl_tiff_directory directory;
    if (!owl_tiff_directory_at(tiff, tiff->first, &directory))
        return;
    for (int i = 0; i < directory.entries; i++) {
        struct owl_tiff_entry entry = owl_tiff_entry(tiff, &directory, i);
        if (entry.tag == TAG_INDEX_ENTRIES)
            index_entries(reading, tiff, origin, &entry);
    }
}

/* ---- JPEG ---- */

/* The TIFF structure behind a segment's name; false when the segment has another. */
static bool open_segment(const struct owl_metadata_reading *reading, const struct owl_jpeg_segment *segment, const char *name,
                         size_t name_bytes, struct owl_tiff *tiff)
{
    size_t compared = strlen(name) + 1; /* with its NUL */
    if (segment->length < name_bytes || memcmp(segment->bytes, name, compared) != 0)
        return false;
    bool opened = owl_tiff_open(segment->bytes + name_bytes, segment->length - name_bytes, segment->whole - name_bytes, tiff);
    if (opened && tiff->magic != OWL_TIFF_MAGIC)
        tiff->faults |= OWL_METADATA_BROKEN;
    reading->metadata->faults |= tiff->faults;
    return opened && tiff->magic == OWL_TIFF_MAGIC;
}

/* What has two blocks of notes was changed by hand; the first block is the camera's. */
static void take_segment(struct owl_metadata_reading *reading, const struct owl_jpeg_segment *segment, bool has_block[2])
{
    struct owl_tiff tiff;
    if (segment->marker == OWL_JPEG_APP1 && !has_block[0] &&
        open_segment(reading, segment, NOTES_NAME, NOTES_NAME_BYTES, &tiff)) {
        has_block[0] = true;
        owl_metadata_directories(reading, &tiff, segment->offset + NOTES_NAME_BYTES);
    } else if (segment->marker == OWL_JPEG_APP2 && !has_block[1] &&
               open_segment(reading, segment, INDEX_NAME, INDEX_NAME_BYTES, &tiff)) {
        has_block[1] = true;
        owl_metadata_index(reading, &tiff, segment->offset + INDEX_NAME_BYTES);
    } else {
        return;
    }
    reading->metadata->faults |= tiff.faults;
}

static void read_jpeg(struct owl_metadata_reading *reading, struct owl_jpeg_segments *segments)
{
    struct owl_jpeg_segment segment;
    struct owl_card_metadata *metadata = reading->metadata;
    bool has_block[2] = {false, false}, has_size = false;
    metadata->kind = OWL_METADATA_JPEG;
    while (owl_jpeg_segments_next(segments, &segment)) {
        if (!has_size)
            has_size = owl_jpeg_segment_size(&segment, &metadata->width, &metadata->height);
        take_segment(reading, &segment, has_block);
    }
    if (!has_size)
        owl_metadata_note_size(metadata, reading->noted_width, reading->noted_height);
    metadata->faults |= segments->faults;
}

/* ---- TIFF ---- */

static enum owl_metadata_kind kind_by_magic(const struct owl_metadata_reading *reading, const struct owl_tiff *tiff)
{
    switch (tiff->magic) {
    case OWL_TIFF_MAGIC:
        return reading->length >= CR2_MARK_AT + 2 && memcmp(reading->bytes + CR2_MARK_AT, "CR", 2) == 0 ? OWL_METADATA_CR2
                                                                                                       : OWL_METADATA_TIFF;
    case MAGIC_RW2:
        return OWL_METADATA_RW2;
    case MAGIC_ORF:
    case MAGIC_ORF_LATER:
        return OWL_METADATA_ORF;
    default:
        return OWL_METADATA_UNKNOWN;
    }
}

static void read_tiff(struct owl_metadata_reading *reading)
{
    struct owl_tiff tiff;
    struct owl_card_metadata *metadata = reading->metadata;
    if (!owl_tiff_open(reading->bytes, reading->length, reading->file_bytes, &tiff))
        return;
    metadata->kind = kind_by_magic(reading, &tiff);
    if (metadata->kind == OWL_METADATA_UNKNOWN)
        return;
    owl_metadata_directories(reading, &tiff, 0);
    owl_metadata_note_size(metadata, reading->noted_width, reading->noted_height);
    metadata->faults |= tiff.faults;
    if (metadata->kind == OWL_METADATA_TIFF && reading->has_dng_mark)
        metadata->kind = OWL_METADATA_DNG;
    else if (metadata->kind == OWL_METADATA_TIFF && reading->has_sensor)
        metadata->kind = OWL_METADATA_RAW;
}

/* ---- all ---- */

static double iso_of(const struct owl_metadata_reading *reading)
{
    uint32_t base = reading->iso_base, exact = reading->iso_exact;
    uint32_t iso = (base == 0 || base >= ISO_SHORT_MOST) && exact > 0 ? exact : base;
    return iso > 0 ? (double)iso : NAN;
}

void owl_metadata_read(const uint8_t *bytes, size_t length, uint64_t file_bytes, struct owl_card_metadata *metadata)
{
    struct owl_jpeg_segments segments;
    struct owl_metadata_reading reading = {.bytes = bytes, .length = length,
                                           .file_bytes = file_bytes > length ? file_bytes : length, .metadata = metadata};
    *metadata = (struct owl_card_metadata){.taken_local_s = NAN, .subsecond_s = NAN, .exposure_s = NAN, .f_number = NAN,
                                           .iso = NAN, .focal_m = NAN};
    if (owl_jpeg_segments_open(bytes, length, &segments))
        read_jpeg(&reading, &segments);
    else
        read_tiff(&reading);
    metadata->iso = iso_of(&reading);
}

const char *owl_metadata_fault_words(unsigned fault)
{
    switch (fault) {
#define FAULT_WORDS(name, bit, words) \
    case name:                        \
        return words;
        OWL_METADATA_FAULT_LIST(FAULT_WORDS)
#undef FAULT_WORDS
    default:
        return "unknown fault";
    }
}
