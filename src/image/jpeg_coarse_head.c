/* Marker segments by [t81 B], and the tables they carry turned into ones for looking up. */
#include "image/jpeg_coarse_head.h"

#include <string.h>

#include "image/jpeg.h"

#define DC_SIZE_MOST 11 /* bits of a DC difference of 8-bit samples [t81 F.1.2.1] */

static size_t left(const struct owl_jpeg_span *span)
{
    return (size_t)(span->end - span->at);
}

static unsigned int take_byte(struct owl_jpeg_span *span)
{
    return span->at < span->end ? *span->at++ : 0u;
}

static unsigned int take_two(struct owl_jpeg_span *span)
{
    unsigned int high = take_byte(span);
    return high << 8 | take_byte(span);
}

unsigned int owl_jpeg_take_marker(struct owl_jpeg_span *file)
{
    if (take_byte(file) != 0xFF)
        return 0;
    unsigned int code = 0xFF;
    while (code == 0xFF && left(file) > 0)
        code = take_byte(file);
    return code == 0xFF ? 0 : code;
}

static bool take_segment(struct owl_jpeg_span *file, struct owl_jpeg_span *segment)
{
    if (left(file) < 2)
        return false;
    size_t length = take_two(file);
    if (length < 2 || length - 2 > left(file))
        return false;
    *segment = (struct owl_jpeg_span){file->at, file->at + (length - 2)};
    file->at = segment->end;
    return true;
}

/* Of each table the first value is that of DC. */
static bool read_quantisers(struct owl_jpeg_coarse_head *head, struct owl_jpeg_span segment)
{
    while (left(&segment) > 0) {
        unsigned int what = take_byte(&segment), bytes = what >> 4 ? 2 : 1, which = what & 15u;
        if (what >> 4 > 1 || which >= OWL_JPEG_QUANTISERS || left(&segment) < (size_t)bytes * OWL_JPEG_COEFFICIENTS)
            return false;
        struct owl_jpeg_span first = segment;
        head->quantiser[which] = bytes == 2 ? take_two(&first) : take_byte(&first);
        segment.at += bytes * OWL_JPEG_COEFFICIENTS;
    }
    return true;
}

static void enter_short_code(struct owl_jpeg_codes *codes, unsigned int code, unsigned int length, unsigned int symbol)
{
    unsigned int alike = 1u << (OWL_JPEG_LOOK - length);
    for (unsigned int i = 0; i < alike; i++)
        codes->short_code[(code << (OWL_JPEG_LOOK - length)) + i] = (uint16_t)(symbol << 8 | length);
}

/* Codes count up within a length and double to the next [t81 C.2]; none may be all ones. */
static bool make_codes(struct owl_jpeg_codes *codes, const uint8_t *count)
{
    unsigned int code = 0;
    int place = 0;
    memset(codes->short_code, 0, sizeof codes->short_code);
    for (unsigned int length = 1; length <= OWL_JPEG_LENGTH_MOST; length++) {
        codes->first[length] = place - (int)code;
        for (int i = 0; i < count[length - 1]; i++, code++, place++)
            if (length <= OWL_JPEG_LOOK && code < 1u << length)
                enter_short_code(codes, code, length, codes->symbol[place]);
        if (code >= 1u << length)
            return false;
        codes->limit[length] = code << (OWL_JPEG_LENGTH_MOST - length);
        code <<= 1;
    }
    codes->defined = true;
    return true;
}

/* The skip for one window of bits to come: as many codes as are whole in it. The values' bits may lie beyond. */
static uint16_t skip_for(const struct owl_jpeg_codes *codes, unsigned int window)
{
    unsigned int bits = 0, coefficients = 0;
    while (bits < OWL_JPEG_LOOK && coefficients < OWL_JPEG_BLOCK_ENDS) {
        unsigned int found = codes->short_code[window << bits & (OWL_JPEG_WINDOWS - 1)];
        unsigned int length = found & 255u, size = found >> 8 & 15u, run = found >> 12;
        bool ends = size == 0 && run == 0, known = size > 0 || ends || run == OWL_JPEG_RUN_OF_ZEROS;
        if (!found || bits + length > OWL_JPEG_LOOK || !known || (!ends && coefficients + run + 1 >= OWL_JPEG_COEFFICIENTS))
            break;
        bits += length + size;
        coefficients += ends ? OWL_JPEG_BLOCK_ENDS : run + 1;
    }
    return (uint16_t)((bits > 0 ? coefficients : OWL_JPEG_NO_SKIP) << OWL_JPEG_SKIP_SHIFT | bits);
}

/* Whether all symbols are sizes DC differences can have. */
static bool all_differences(const uint8_t *symbol, unsigned int count)
{
    for (unsigned int i = 0; i < count; i++)
        if (symbol[i] > DC_SIZE_MOST)
            return false;
    return true;
}

static bool read_codes(struct owl_jpeg_coarse_head *head, struct owl_jpeg_span segment)
{
    while (left(&segment) > 0) {
        unsigned int what = take_byte(&segment), which = what & 15u, symbols = 0;
        bool for_ac = what >> 4 == 1;
        if (what >> 4 > 1 || which >= OWL_JPEG_TABLES || left(&segment) < OWL_JPEG_LENGTH_MOST)
            return false;
        const uint8_t *count = segment.at;
        for (int i = 0; i < OWL_JPEG_LENGTH_MOST; i++)
            symbols += count[i];
        segment.at += OWL_JPEG_LENGTH_MOST;
        struct owl_jpeg_codes *codes = for_ac ? &head->ac[which] : &head->dc[which];
        if (symbols > sizeof codes->symbol || symbols > left(&segment))
            return false;
        memcpy(codes->symbol, segment.at, symbols);
        segment.at += symbols;
        if (!make_codes(codes, count) || (!for_ac && !all_differences(codes->symbol, symbols)))
            return false;
        for (unsigned int i = 0; for_ac && i < OWL_JPEG_WINDOWS; i++)
            head->skip[which][i] = skip_for(codes, i);
    }
    return true;
}

static bool read_restart_interval(struct owl_jpeg_coarse_head *head, struct owl_jpeg_span segment)
{
    bool whole = left(&segment) == 2;
    head->restart_interval = (int)take_two(&segment);
    return whole;
}

/* A segment that names the format of its file tells its version; versions to come may mean anything [t871]. */
static bool known_version(struct owl_jpeg_span segment)
{
    static const uint8_t name[5] = "JFIF";
    return left(&segment) < sizeof name + 1 || memcmp(segment.at, name, sizeof name) != 0 || segment.at[sizeof name] == 1;
}

static bool component_fits(const struct owl_jpeg_coarse_head *head, const struct owl_jpeg_component *component)
{
    const struct owl_jpeg_component *luma = &head->component[0];
    return component->across >= 1 && component->down >= 1 && component->across <= luma->across && component->down <= luma->down &&
           luma->across <= 4 && luma->down <= 4 && component->quantiser < OWL_JPEG_QUANTISERS;
}

/* A lone component has one block in its MCU, whatever its factors say [t81 A.2.2]. A first component by the name of R is no
   luma. */
static bool read_frame(struct owl_jpeg_coarse_head *head, struct owl_jpeg_span segment)
{
    if (head->width > 0 || left(&segment) < 6 || take_byte(&segment) != 8)
        return false;
    head->height = (int)take_two(&segment);
    head->width = (int)take_two(&segment);
    head->components = (int)take_byte(&segment);
    bool size_known = head->width >= 1 && head->height >= 1 && head->width <= OWL_JPEG_SIDE_MOST &&
                      head->height <= OWL_JPEG_SIDE_MOST && (double)head->width * head->height <= OWL_JPEG_PIXELS_MOST;
    bool components_known = head->components == 1 || head->components == OWL_JPEG_COMPONENTS_MOST;
    if (!size_known || !components_known || left(&segment) != 3 * (size_t)head->components)
        return false;
    for (int i = 0; i < head->components; i++) {
        struct owl_jpeg_component *component = &head->component[i];
        component->id = (int)take_byte(&segment);
        unsigned int factors = take_byte(&segment);
        component->across = (int)(factors >> 4);
        component->down = (int)(factors & 15u);
        component->quantiser = (int)take_byte(&segment);
        if (!component_fits(head, component))
            return false;
    }
    if (head->components == 1)
        head->component[0].across = head->component[0].down = 1;
    return head->component[0].id != 'R';
}

/* A scan's component must be the frame's, not one of a name seen before, and its tables there. */
static bool read_scan_component(struct owl_jpeg_coarse_head *head, int which, struct owl_jpeg_span *segment)
{
    struct owl_jpeg_component *component = &head->component[which];
    bool same = (int)take_byte(segment) == component->id;
    unsigned int tables = take_byte(segment);
    component->dc = (int)(tables >> 4);
    component->ac = (int)(tables & 15u);
    for (int before = 0; before < which; before++)
        same = same && head->component[before].id != component->id;
    return same && component->dc < OWL_JPEG_TABLES && component->ac < OWL_JPEG_TABLES && head->dc[component->dc].defined &&
           head->ac[component->ac].defined && head->quantiser[component->quantiser] > 0;
}

/* All components of the frame, all their coefficients, at full precision. */
static bool read_scan_header(struct owl_jpeg_coarse_head *head, struct owl_jpeg_span segment)
{
    if (head->width == 0 || left(&segment) != 4 + 2 * (size_t)head->components)
        return false;
    bool fits = (int)take_byte(&segment) == head->components;
    int blocks = 0;
    for (int i = 0; i < head->components && fits; i++) {
        fits = read_scan_component(head, i, &segment);
        blocks += head->component[i].across * head->component[i].down;
    }
    fits = fits && take_byte(&segment) == 0 && take_byte(&segment) == OWL_JPEG_COEFFICIENTS - 1 && take_byte(&segment) == 0;
    return fits && blocks <= OWL_JPEG_BLOCKS_MOST;
}

/* Application segment 14 may say that the components are no luma and chroma [t872]: a file with one is none of ours. */
static bool read_segment(struct owl_jpeg_coarse_head *head, unsigned int marker, struct owl_jpeg_span segment)
{
    switch (marker) {
    case OWL_JPEG_SOF0:
    case OWL_JPEG_SOF1:
        return read_frame(head, segment);
    case OWL_JPEG_DHT:
        return read_codes(head, segment);
    case OWL_JPEG_DQT:
        return read_quantisers(head, segment);
    case OWL_JPEG_DRI:
        return read_restart_interval(head, segment);
    case OWL_JPEG_SOS:
        return read_scan_header(head, segment);
    case OWL_JPEG_APP0:
        return known_version(segment);
    default:
        return marker == OWL_JPEG_COM || (marker > OWL_JPEG_APP0 && marker <= OWL_JPEG_APP15 && marker != OWL_JPEG_APP14);
    }
}

/* The file begins with the start marker itself; fill bytes before it make it no JPEG to other decoders. */
bool owl_jpeg_coarse_head_read(struct owl_jpeg_coarse_head *head)
{
    unsigned int marker = 0;
    bool known = take_two(&head->file) == (0xFF00u | OWL_JPEG_SOI);
    while (known && marker != OWL_JPEG_SOS) {
        struct owl_jpeg_span segment;
        marker = owl_jpeg_take_marker(&head->file);
        known = take_segment(&head->file, &segment) && read_segment(head, marker, segment);
    }
    return known;
}
