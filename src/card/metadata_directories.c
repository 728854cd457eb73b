/* The directories of a file, one after the other, and the pictures they tell of. */
#include "card/metadata_reading.h"

#define DIRECTORIES_MOST 32
#define DEPTH_MOST 2
#define SUB_DIRECTORIES_MOST 16 /* pointers taken from one entry */
#define JPEG_CHAIN_MOST 2       /* [exif]: the camera's directory and the thumbnail's; what follows in practice is waste */
#define THUMBNAIL_WIDTH_MOST 320
#define THUMBNAIL_BYTES_MOST 65536 /* of one whose width is not told */
#define NOT_TOLD UINT32_MAX

/* [tiff6] but for the last three: the standard raw file's version mark, and where one raw kind keeps its sides and previews. */
enum {
    TAG_WIDTH = 0x0100,
    TAG_HEIGHT = 0x0101,
    TAG_BITS = 0x0102,
    TAG_COMPRESSION = 0x0103,
    TAG_COLOURS = 0x0106,
    TAG_STRIPS = 0x0111,
    TAG_STRIP_BYTES = 0x0117,
    TAG_SUB_DIRECTORIES = 0x014a,
    TAG_JPEG = 0x0201,
    TAG_JPEG_BYTES = 0x0202,
    TAG_SHOT = 0x8769, /* [exif] */
    TAG_DNG_VERSION = 0xc612,
    TAG_RW2_FIRST_BORDER = 0x0004, /* top, left, bottom, right */
    TAG_RW2_PREVIEW = 0x002e,
    TAG_RW2_LARGE_PREVIEW = 0x0127
};

enum { COMPRESSION_OLD_JPEG = 6, COMPRESSION_JPEG = 7 };
enum { COLOURS_RED_GREEN_BLUE = 2, COLOURS_LUMA_CHROMA = 6, COLOURS_SENSOR = 32803, COLOURS_SENSOR_LINEAR = 34892 };
enum role { ROLE_CHAIN, ROLE_SUB, ROLE_SHOT };

struct place {
    uint32_t offset;
    enum role role;
    int depth, index; /* index: in the chain from the first directory on */
};

/* Directories found so far; those before `next` are read. An offset gets in only once. */
struct places {
    int count, next;
    struct place list[DIRECTORIES_MOST];
};

/* What one directory tells of its picture; 0 where nothing, NOT_TOLD for what may be 0. */
struct picture {
    uint32_t width, height, bits, compression, colours;
    uint32_t strips, strip, strip_bytes, jpeg, jpeg_bytes;
    uint32_t border[4];
};

/* The walk through one TIFF structure. */
struct walk {
    struct owl_metadata_reading *reading;
    struct owl_tiff *tiff;
    uint64_t origin;
    struct places places;
    const struct place *place; /* of the directory being read, and ... */
    struct picture picture;    /* ... its picture */
};

static void add_place(struct walk *walk, const struct place *place)
{
    struct places *places = &walk->places;
    for (int i = 0; i < places->count; i++)
        if (places->list[i].offset == place->offset) {
            walk->tiff->faults |= OWL_METADATA_LOOP;
            return;
        }
    if (places->count == DIRECTORIES_MOST || place->depth > DEPTH_MOST)
        walk->tiff->faults |= OWL_METADATA_MANY;
    else
        places->list[places->count++] = *place;
}

static bool in_jpeg(const struct walk *walk)
{
    return walk->reading->metadata->kind == OWL_METADATA_JPEG;
}

/* ---- pointers to further directories ---- */

static void add_sub_directories(struct walk *walk, const struct owl_tiff_entry *entry)
{
    uint32_t offset;
    for (uint32_t i = 0; i < entry->count && owl_tiff_whole(walk->tiff, entry, i, &offset); i++) {
        if (i == SUB_DIRECTORIES_MOST) {
            walk->tiff->faults |= OWL_METADATA_MANY;
            return;
        }
        add_place(walk, &(struct place){offset, ROLE_SUB, walk->place->depth + 1, 0});
    }
}

static void add_shot_directory(struct walk *walk, const struct owl_tiff_entry *entry)
{
    uint32_t offset;
    if (owl_tiff_whole(walk->tiff, entry, 0, &offset))
        add_place(walk, &(struct place){offset, ROLE_SHOT, walk->place->depth + 1, 0});
}

static void add_next(struct walk *walk, uint32_t next)
{
    int index = walk->place->index + 1;
    if (next != 0 && !(in_jpeg(walk) && index >= JPEG_CHAIN_MOST))
        add_place(walk, &(struct place){next, ROLE_CHAIN, walk->place->depth, index});
}

/* ---- the picture of a directory ---- */

static int side_of(uint32_t told)
{
    return told <= OWL_METADATA_SIDE_MOST ? (int)told : 0;
}

static bool is_small(const struct owl_metadata_span *span)
{
    return span->width > 0 ? span->width <= THUMBNAIL_WIDTH_MOST : span->length < THUMBNAIL_BYTES_MOST;
}

static void add_span(struct walk *walk, uint32_t offset, uint32_t length)
{
    bool in_second = walk->place->role == ROLE_CHAIN && walk->place->index == 1;
    struct owl_metadata_span span = {.offset = walk->origin + offset, .length = length,
                                     .width = side_of(walk->picture.width), .height = side_of(walk->picture.height)};
    if (offset == 0 || (uint64_t)offset + length > walk->tiff->reach)
        walk->tiff->faults |= OWL_METADATA_OUTSIDE;
    else if (!in_second)
        owl_metadata_add_preview(walk->reading, &span);
    else if (owl_metadata_settle(walk->reading, &span) && (in_jpeg(walk) || is_small(&span)))
        walk->reading->metadata->thumbnail = span;
    else
        owl_metadata_add_preview(walk->reading, &span);
}

static void rw2_entry(struct walk *walk, const struct owl_tiff_entry *entry)
{
    if (entry->tag >= TAG_RW2_FIRST_BORDER && entry->tag < TAG_RW2_FIRST_BORDER + 4)
        (void)owl_tiff_whole(walk->tiff, entry, 0, &walk->picture.border[entry->tag - TAG_RW2_FIRST_BORDER]);
    if ((entry->tag == TAG_RW2_PREVIEW || entry->tag == TAG_RW2_LARGE_PREVIEW) && entry->type == OWL_TIFF_UNDEFINED &&
        entry->count > 4)
        add_span(walk, owl_tiff_long_at(walk->tiff, walk->tiff->bytes + entry->field), entry->count);
}

static void picture_entry(struct walk *walk, const struct owl_tiff_entry *entry)
{
    struct picture *picture = &walk->picture;
    const struct {
        unsigned tag;
        uint32_t *value;
    } fields[] = {{TAG_WIDTH, &picture->width},           {TAG_HEIGHT, &picture->height},
                  {TAG_BITS, &picture->bits},             {TAG_COMPRESSION, &picture->compression},
                  {TAG_COLOURS, &picture->colours},       {TAG_STRIPS, &picture->strip},
                  {TAG_STRIP_BYTES, &picture->strip_bytes}, {TAG_JPEG, &picture->jpeg},
                  {TAG_JPEG_BYTES, &picture->jpeg_bytes}};
    for (size_t i = 0; i < sizeof fields / sizeof *fields; i++)
        if (fields[i].tag == entry->tag)
            (void)owl_tiff_whole(walk->tiff, entry, 0, fields[i].value);
    if (entry->tag == TAG_STRIPS)
        picture->strips = entry->count;
}

static bool is_sensor(const struct picture *picture)
{
    return picture->colours == COLOURS_SENSOR || picture->colours == COLOURS_SENSOR_LINEAR;
}

/* A picture for the eye, in one strip that is a JPEG file by itself. The sensor's own data is packed as a JPEG of another
   kind under the same numbers; it has more bits or does not tell its colours. */
static bool is_jpeg_strip(const struct picture *picture)
{
    if (picture->strips != 1 || picture->strip_bytes == 0 || picture->bits != 8)
        return false;
    if (picture->compression == COMPRESSION_JPEG)
        return picture->colours == COLOURS_LUMA_CHROMA || picture->colours == COLOURS_RED_GREEN_BLUE;
    return picture->compression == COMPRESSION_OLD_JPEG &&
           (picture->colours == COLOURS_LUMA_CHROMA || picture->colours == NOT_TOLD);
}

/* Sizes in the notes of a JPEG file are the camera's; they do not follow when somebody crops. Its frame header is right. */
static void take_picture(struct walk *walk)
{
    const struct picture *picture = &walk->picture;
    const uint32_t *border = picture->border;
    if (!in_jpeg(walk)) {
        owl_metadata_note_size(walk->reading->metadata, picture->width, picture->height);
        if (border[2] > border[0] && border[3] > border[1])
            owl_metadata_note_size(walk->reading->metadata, border[3] - border[1], border[2] - border[0]);
    }
    if (is_sensor(picture))
        walk->reading->has_sensor = true;
    else if (picture->jpeg_bytes > 0)
        add_span(walk, picture->jpeg, picture->jpeg_bytes);
    else if (is_jpeg_strip(picture))
        add_span(walk, picture->strip, picture->strip_bytes);
}

/* ---- the walk ---- */

static void take_entry(struct walk *walk, const struct owl_tiff_entry *entry)
{
    bool first = walk->place->role == ROLE_CHAIN && walk->place->index == 0;
    if (first && entry->tag == TAG_SHOT)
        add_shot_directory(walk, entry);
    if (first && entry->tag == TAG_DNG_VERSION)
        walk->reading->has_dng_mark = true;
    if (first && walk->reading->metadata->kind == OWL_METADATA_RW2)
        rw2_entry(walk, entry);
    if (first || walk->place->role == ROLE_SHOT)
        owl_metadata_shot_entry(walk->reading, walk->tiff, entry);
    if (walk->place->role == ROLE_SHOT)
        return;
    if (entry->tag == TAG_SUB_DIRECTORIES && !in_jpeg(walk))
        add_sub_directories(walk, entry);
    else
        picture_entry(walk, entry);
}

static void take_directory(struct walk *walk)
{
    struct owl_tiff_directory directory;
    if (!owl_tiff_directory_at(walk->tiff, walk->place->offset, &directory))
        return;
    walk->picture = (struct picture){.colours = NOT_TOLD};
    for (int i = 0; i < directory.entries; i++) {
        struct owl_tiff_entry entry = owl_tiff_entry(walk->tiff, &directory, i);
        take_entry(walk, &entry);
    }
    if (walk->place->role != ROLE_SHOT)
        take_picture(walk);
    if (walk->place->role == ROLE_CHAIN)
        add_next(walk, directory.next);
}

void owl_metadata_directories(struct owl_metadata_reading *reading, struct owl_tiff *tiff, uint64_t origin)
{
    struct walk walk = {.reading = reading, .tiff = tiff, .origin = origin};
    add_place(&walk, &(struct place){tiff->first, ROLE_CHAIN, 0, 0});
    while (walk.places.next < walk.places.count) {
        walk.place = &walk.places.list[walk.places.next++];
        take_directory(&walk);
    }
}
