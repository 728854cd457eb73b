/* Baseline JPEG by [t81], DC coefficients only: AC codes are passed over several at a time. */
#include "image/jpeg_coarse.h"

#include <stdbool.h>

#include "image/jpeg_coarse_head.h"

/* ---- bits ---- */

#define STEP_BITS 32 /* one code and its value have at most 31 bits */

/* The next bit is the highest of `word`. After the segment's last byte come zeros that are made up. */
struct bits {
    uint64_t word;
    unsigned int count, made_up; /* bits in `word`; zeros put there at any time */
    const uint8_t *next, *end;
};

static bool ran_out(const struct bits *bits)
{
    return bits->made_up > bits->count;
}

static uint64_t eight_bytes(const uint8_t *at)
{
    return (uint64_t)at[0] << 56 | (uint64_t)at[1] << 48 | (uint64_t)at[2] << 40 | (uint64_t)at[3] << 32 |
           (uint64_t)at[4] << 24 | (uint64_t)at[5] << 16 | (uint64_t)at[6] << 8 | (uint64_t)at[7];
}

/* A byte of all ones is followed by one of zeros, or is a marker's and ends the segment [t81 B.1.1.5]. Inline, as the whole
   structure then stays in registers. */
static inline struct bits fill_bytewise(struct bits bits)
{
    while (bits.count <= 56) {
        bool ones = bits.next < bits.end && *bits.next == 0xFF;
        bool ended = bits.next == bits.end || (ones && (bits.end - bits.next < 2 || bits.next[1] != 0));
        if (ended)
            bits.made_up += 8;
        else
            bits.word |= (uint64_t)*bits.next << (56 - bits.count);
        bits.next += ended ? 0 : ones ? 2 : 1;
        bits.count += 8;
    }
    return bits;
}

/* At least STEP_BITS. Eight bytes at once where none is all ones: such a byte, turned to zero, borrows from its highest bit when
   one is taken from it. What the word holds beyond `count` then is the same bits that the next filling puts there. */
static inline struct bits fill(struct bits bits)
{
    if (bits.count >= STEP_BITS)
        return bits;
    if (bits.end - bits.next >= 8) {
        uint64_t more = eight_bytes(bits.next);
        if (((~more - 0x0101010101010101u) & more & 0x8080808080808080u) == 0) {
            bits.word |= more >> bits.count;
            bits.next += (63 - bits.count) >> 3;
            bits.count |= 56;
            return bits;
        }
    }
    return fill_bytewise(bits);
}

static inline void drop(struct bits *bits, unsigned int count)
{
    bits->word <<= count;
    bits->count -= count;
}

static inline unsigned int first_bits(const struct bits *bits, unsigned int count)
{
    return (unsigned int)(bits->word >> (64 - count));
}

static unsigned int find_long_code(const struct owl_jpeg_codes *codes, unsigned int window)
{
    for (unsigned int length = OWL_JPEG_LOOK + 1; length <= OWL_JPEG_LENGTH_MOST; length++)
        if (window < codes->limit[length]) {
            int place = codes->first[length] + (int)(window >> (OWL_JPEG_LENGTH_MOST - length));
            return (unsigned int)codes->symbol[place] << 8 | length;
        }
    return 0;
}

/* symbol << 8 | length of the code that comes; 0: none does. */
static inline unsigned int find_code(const struct owl_jpeg_codes *codes, const struct bits *bits)
{
    unsigned int found = codes->short_code[first_bits(bits, OWL_JPEG_LOOK)];
    return found ? found : find_long_code(codes, first_bits(bits, OWL_JPEG_LENGTH_MOST));
}

/* ---- the scan ---- */

struct block {
    const struct owl_jpeg_codes *dc, *ac;
    const uint16_t *skip;
    int x, y; /* of luma, in the MCU; -1: chroma */
};

/* The top half of a size's values are themselves, the lower half stand for the negative ones [t81 F.2.2.1]. */
static inline int take_difference(struct bits *bits, unsigned int size)
{
    if (size == 0)
        return 0;
    int value = (int)first_bits(bits, size);
    drop(bits, size);
    return value >> (size - 1) ? value : value - (1 << size) + 1;
}

/* One code passed over, for what the skips do not hold: long codes, and the last ones of a block without an end code. */
static bool step(struct bits *bits, const struct owl_jpeg_codes *ac, unsigned int *coefficients)
{
    unsigned int found = find_code(ac, bits), size = found >> 8 & 15u, run = found >> 12;
    if (!found || (size == 0 && run > 0 && run != OWL_JPEG_RUN_OF_ZEROS))
        return false;
    drop(bits, (found & 255u) + size);
    *coefficients += size == 0 && run == 0 ? OWL_JPEG_BLOCK_ENDS : run + 1;
    return true;
}

/* Complete at 64 coefficients, or where a code ended the block before; a skip that leads anywhere else reaches into the next. */
static inline bool within_block(unsigned int coefficients)
{
    return coefficients <= OWL_JPEG_COEFFICIENTS ||
           (coefficients >= OWL_JPEG_BLOCK_ENDS && coefficients < OWL_JPEG_BLOCK_ENDS + OWL_JPEG_COEFFICIENTS);
}

/* One block: what its DC coefficient adds to the last one. */
static bool read_block(struct bits *stream, const struct block *block, int *difference)
{
    struct bits bits = fill(*stream);
    unsigned int found = find_code(block->dc, &bits), coefficients = 1;
    if (!found)
        return false;
    drop(&bits, found & 255u);
    *difference = take_difference(&bits, found >> 8);
    while (coefficients < OWL_JPEG_COEFFICIENTS) {
        bits = fill(bits);
        unsigned int skip = block->skip[first_bits(&bits, OWL_JPEG_LOOK)], then = coefficients + (skip >> OWL_JPEG_SKIP_SHIFT);
        if (within_block(then)) {
            drop(&bits, skip & OWL_JPEG_SKIP_BITS);
            coefficients = then;
        } else if (!step(&bits, block->ac, &coefficients)) {
            return false;
        }
    }
    *stream = bits;
    return within_block(coefficients);
}

struct scan {
    struct bits bits;
    struct block block[OWL_JPEG_BLOCKS_MOST];
    int blocks;
    int across, down;            /* luma blocks in an MCU */
    int dc, quantiser;           /* of luma */
    int to_restart, restarts;    /* MCUs until the next one; how many there were */
    const struct owl_jpeg_coarse *picture;
};

static void begin_scan(const struct owl_jpeg_coarse_head *head, const struct owl_jpeg_coarse *picture, struct scan *scan)
{
    const struct owl_jpeg_component *luma = &head->component[0];
    *scan = (struct scan){.bits = {.next = head->file.at, .end = head->file.end}, .across = luma->across,
        .down = luma->down, .quantiser = (int)head->quantiser[luma->quantiser], .to_restart = head->restart_interval,
        .picture = picture};
    for (int i = 0; i < head->components; i++) {
        const struct owl_jpeg_component *component = &head->component[i];
        for (int k = 0; k < component->across * component->down; k++)
            scan->block[scan->blocks++] = (struct block){&head->dc[component->dc], &head->ac[component->ac],
                head->skip[component->ac], i == 0 ? k % component->across : -1, k / component->across};
    }
}

/* The mean of a block is an eighth of its DC coefficient, less half the range [t81 A.3.3]. What lies further out than the whole
   range on either side is no picture. */
static bool level_of(int coefficient, uint8_t *level)
{
    const int half = 128, out = 512, scale = 8;
    int scaled = coefficient + scale / 2 + out * scale;
    if (scaled < 0 || scaled >= 2 * out * scale)
        return false;
    int mean = scaled / scale - out + half;
    *level = (uint8_t)(mean < 0 ? 0 : mean > 255 ? 255 : mean);
    return true;
}

/* Blocks that only fill the last MCU are read and dropped. */
static bool read_mcu(struct scan *scan, int left_block, int top_block)
{
    for (int i = 0; i < scan->blocks; i++) {
        const struct block *block = &scan->block[i];
        int difference, x = left_block + block->x, y = top_block + block->y;
        uint8_t level;
        if (!read_block(&scan->bits, block, &difference))
            return false;
        if (block->x < 0)
            continue;
        scan->dc += difference;
        if (!level_of(scan->dc * scan->quantiser, &level))
            return false;
        if (x < scan->picture->width && y < scan->picture->height)
            scan->picture->level[(size_t)y * (size_t)scan->picture->width + (size_t)x] = level;
    }
    return true;
}

/* A segment must have been used up to its last byte when its marker comes. */
static bool ends_with(struct bits *bits, unsigned int marker)
{
    struct owl_jpeg_span file = {bits->next, bits->end};
    bool used_up = !ran_out(bits) && bits->count - bits->made_up < 8 && owl_jpeg_take_marker(&file) == marker;
    *bits = (struct bits){.next = file.at, .end = file.end};
    return used_up;
}

static bool restart(struct scan *scan, int interval)
{
    if (!ends_with(&scan->bits, OWL_JPEG_RST0 + ((unsigned int)scan->restarts & 7u)))
        return false;
    scan->restarts++;
    scan->to_restart = interval;
    scan->dc = 0;
    return true;
}

static bool read_scan(const struct owl_jpeg_coarse_head *head, const struct owl_jpeg_coarse *picture)
{
    struct scan scan;
    begin_scan(head, picture, &scan);
    for (int y = 0; y < picture->height; y += scan.down) {
        for (int x = 0; x < picture->width; x += scan.across) {
            if (head->restart_interval > 0 && scan.to_restart == 0 && !restart(&scan, head->restart_interval))
                return false;
            if (!read_mcu(&scan, x, y))
                return false;
            scan.to_restart--;
        }
        if (ran_out(&scan.bits))
            return false;
    }
    return ends_with(&scan.bits, OWL_JPEG_EOI);
}

struct owl_jpeg_size owl_jpeg_coarse_size(const struct owl_jpeg_size *file)
{
    const int more = OWL_JPEG_COARSE_SCALE - 1;
    return (struct owl_jpeg_size){(file->width + more) / OWL_JPEG_COARSE_SCALE, (file->height + more) / OWL_JPEG_COARSE_SCALE};
}

enum owl_status owl_jpeg_coarse(const uint8_t *bytes, size_t length, const struct owl_jpeg_coarse *picture)
{
    struct owl_jpeg_coarse_head head = {.file = {bytes, bytes + length}};
    if (!owl_jpeg_coarse_head_read(&head))
        return OWL_CANNOT_READ;
    struct owl_jpeg_size size = owl_jpeg_coarse_size(&(struct owl_jpeg_size){head.width, head.height});
    if (size.width != picture->width || size.height != picture->height)
        return OWL_NO_ROOM;
    return read_scan(&head, picture) ? OWL_OK : OWL_CANNOT_READ;
}
