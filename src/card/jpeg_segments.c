/* From marker to marker. */
#include "card/jpeg_segments.h"

#define LENGTH_BYTES 2
#define MARKER_START_OF_PICTURE 0xd8
#define MARKER_END_OF_PICTURE 0xd9
#define MARKER_SCAN 0xda
#define MARKER_FIRST_RESTART 0xd0
#define MARKER_TEMPORARY 0x01
#define FRAME_SIZE_BYTES 5 /* bits of a sample, lines, samples of a line */

static size_t short_at(const uint8_t *at)
{
    return (size_t)at[0] << 8 | at[1];
}

bool owl_jpeg_segments_open(const uint8_t *bytes, size_t length, struct owl_jpeg_segments *segments)
{
    *segments = (struct owl_jpeg_segments){.bytes = bytes, .length = length, .at = 2};
    return length >= 2 && bytes[0] == 0xff && bytes[1] == MARKER_START_OF_PICTURE;
}

static bool stands_alone(unsigned marker)
{
    return marker == MARKER_TEMPORARY || (marker >= MARKER_FIRST_RESTART && marker <= MARKER_START_OF_PICTURE);
}

/* Moves behind the next marker that has a segment. Any number of bytes 0xff may stand before a marker's own. */
static bool find_marker(struct owl_jpeg_segments *segments, unsigned *marker)
{
    do {
        size_t at = segments->at;
        if (at < segments->length && segments->bytes[at] != 0xff) {
            segments->faults |= OWL_METADATA_BROKEN;
            return false;
        }
        while (at < segments->length && segments->bytes[at] == 0xff)
            at++;
        if (at >= segments->length) {
            segments->faults |= OWL_METADATA_CUT;
            return false;
        }
        *marker = segments->bytes[at];
        segments->at = at + 1;
    } while (stands_alone(*marker));
    if (*marker == 0) /* what 0xff in coded data is followed by */
        segments->faults |= OWL_METADATA_BROKEN;
    return *marker != 0 && *marker != MARKER_SCAN && *marker != MARKER_END_OF_PICTURE;
}

bool owl_jpeg_segments_next(struct owl_jpeg_segments *segments, struct owl_jpeg_segment *segment)
{
    unsigned marker;
    if (!find_marker(segments, &marker))
        return false;
    size_t left = segments->length - segments->at;
    size_t claimed = left >= LENGTH_BYTES ? short_at(segments->bytes + segments->at) : 0;
    if (claimed < LENGTH_BYTES) {
        segments->faults |= left >= LENGTH_BYTES ? OWL_METADATA_BROKEN : OWL_METADATA_CUT;
        return false;
    }
    size_t taken = claimed <= left ? claimed : left;
    *segment = (struct owl_jpeg_segment){
        .marker = marker,
        .bytes = segments->bytes + segments->at + LENGTH_BYTES,
        .offset = segments->at + LENGTH_BYTES,
        .length = taken - LENGTH_BYTES,
        .whole = claimed - LENGTH_BYTES,
    };
    segments->at += taken;
    return true;
}

/* 0xc0..0xcf but for the tables of codes (4), what is kept free (8) and conditions of arithmetic coding (12). */
static bool is_frame(unsigned marker)
{
    return (marker & 0xf0) == 0xc0 && marker != 0xc4 && marker != 0xc8 && marker != 0xcc;
}

bool owl_jpeg_segment_size(const struct owl_jpeg_segment *segment, int *width, int *height)
{
    if (!is_frame(segment->marker) || segment->length < FRAME_SIZE_BYTES)
        return false;
    int lines = (int)short_at(segment->bytes + 1), across = (int)short_at(segment->bytes + 3);
    if (lines == 0 || across == 0)
        return false;
    *width = across;
    *height = lines;
    return true;
}
