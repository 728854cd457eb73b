/* Directories of tags, their values behind them. */
#include "support/made_segment.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/calendar.h"
#include "core/constants.h"

enum { TYPE_WORDS = 2, TYPE_SHORT = 3, TYPE_LONG = 4, TYPE_RATIO = 5, TYPE_BYTES = 7 };

#define ENTRY_BYTES 12
#define NOTES_NAME "Exif\0"  /* and the NUL that closes it */
#define INDEX_NAME "MPF"
#define FULL_HD_PREVIEW 0x00010002u /* class of a picture, [dc007] */
#define MAIN_PICTURE 0x00030000u
#define PARENT 0x80000000u
#define CHILD 0x40000000u
#define SHOWN_FIRST 0x20000000u

/* A directory under way: its place, and how many of its entries are written. Offsets count from `origin`. */
struct directory {
    struct made_segment *segment;
    size_t origin, place, written;
};

static void put(struct made_segment *segment, size_t at, const void *bytes, size_t count)
{
    if (at < MADE_SEGMENT_MOST && count <= MADE_SEGMENT_MOST - at)
        memcpy(segment->bytes + at, bytes, count);
}

static void put_number(struct made_segment *segment, size_t at, uint32_t value, int bytes)
{
    for (int i = 0; i < bytes; i++) {
        int shift = 8 * (segment->big_endian ? bytes - 1 - i : i);
        put(segment, at + (size_t)i, &(uint8_t){(uint8_t)(value >> shift)}, 1);
    }
}

static size_t open_tiff(struct made_segment *segment, const void *name, size_t name_bytes)
{
    put(segment, 0, name, name_bytes);
    put(segment, name_bytes, segment->big_endian ? "MM" : "II", 2);
    put_number(segment, name_bytes + 2, 42, 2);
    put_number(segment, name_bytes + 4, 8, 4);
    segment->length = name_bytes + 8;
    return name_bytes;
}

static struct directory open_directory(struct made_segment *segment, size_t origin, int entries)
{
    struct directory directory = {.segment = segment, .origin = origin, .place = segment->length};
    put_number(segment, directory.place, (uint32_t)entries, 2);
    segment->length += 2 + (size_t)entries * ENTRY_BYTES + 4;
    put_number(segment, segment->length - 4, 0, 4);
    return directory;
}

/* Begins an entry; returns where its value goes: into the entry if it fits, else to the end. */
static size_t enter(struct directory *directory, int tag, int type, size_t count, size_t bytes)
{
    struct made_segment *segment = directory->segment;
    size_t at = directory->place + 2 + directory->written++ * ENTRY_BYTES;
    put_number(segment, at, (uint32_t)tag, 2);
    put_number(segment, at + 2, (uint32_t)type, 2);
    put_number(segment, at + 4, (uint32_t)count, 4);
    put_number(segment, at + 8, 0, 4);
    if (bytes <= 4)
        return at + 8;
    size_t value_at = segment->length;
    put_number(segment, at + 8, (uint32_t)(value_at - directory->origin), 4);
    put(segment, value_at + bytes, "", 1);
    segment->length = value_at + bytes + bytes % 2; /* values begin at even offsets */
    return value_at;
}

static void add_bytes(struct directory *directory, int tag, const void *bytes, size_t count)
{
    put(directory->segment, enter(directory, tag, TYPE_BYTES, count, count), bytes, count);
}

static void add_words(struct directory *directory, int tag, const char *words)
{
    size_t count = strlen(words) + 1;
    put(directory->segment, enter(directory, tag, TYPE_WORDS, count, count), words, count);
}

static void add_short(struct directory *directory, int tag, int value)
{
    put_number(directory->segment, enter(directory, tag, TYPE_SHORT, 1, 2), (uint32_t)value, 2);
}

static size_t add_long(struct directory *directory, int tag, size_t value)
{
    size_t at = enter(directory, tag, TYPE_LONG, 1, 4);
    put_number(directory->segment, at, (uint32_t)value, 4);
    return at;
}

static void add_ratio(struct directory *directory, int tag, double above, double below)
{
    size_t at = enter(directory, tag, TYPE_RATIO, 1, 8);
    put_number(directory->segment, at, (uint32_t)lround(above), 4);
    put_number(directory->segment, at + 4, (uint32_t)lround(below), 4);
}

/* Short times as cameras write them, 1/n; long ones in tenths. */
static void add_exposure(struct directory *directory, double exposure_s)
{
    if (exposure_s < 0.3)
        add_ratio(directory, 0x829a, 1.0, 1.0 / exposure_s);
    else
        add_ratio(directory, 0x829a, exposure_s * 10.0, 10.0);
}

static void say_time(const struct made_shot *shot, char words[32])
{
    int64_t day_s = (int64_t)OWL_SECONDS_PER_DAY, clock_s = shot->taken_unix_s + 60 * (int64_t)shot->clock_minutes;
    int64_t days = clock_s / day_s - (clock_s % day_s < 0 ? 1 : 0);
    struct owl_date date = owl_calendar_date(days);
    int second = (int)(clock_s - days * day_s);
    snprintf(words, 32, "%04d:%02d:%02d %02d:%02d:%02d", date.year % 10000, date.month, date.day, second / 3600 % 24,
             second / 60 % 60, second % 60);
}

static void say_zone(int minutes, char words[16])
{
    unsigned size = (unsigned)(minutes < 0 ? -minutes : minutes);
    snprintf(words, 16, "%c%02u:%02u", minutes < 0 ? '-' : '+', size / 60 % 100, size % 60);
}

/* Returns where the offset of the shot's own directory is to be written. */
static size_t add_camera(struct made_segment *segment, size_t origin, const struct made_shot *shot)
{
    char taken[32];
    say_time(shot, taken);
    struct directory camera = open_directory(segment, origin, 10);
    add_words(&camera, 0x010f, MADE_MAKE);
    add_words(&camera, 0x0110, MADE_MODEL);
    add_short(&camera, 0x0112, shot->orientation);
    add_ratio(&camera, 0x011a, 300.0, 1.0);
    add_ratio(&camera, 0x011b, 300.0, 1.0);
    add_short(&camera, 0x0128, 2); /* the resolution is for an inch */
    add_words(&camera, 0x0131, MADE_SOFTWARE);
    add_words(&camera, 0x0132, taken);
    add_short(&camera, 0x0213, 2); /* colour samples lie on the first pixel of each group */
    return add_long(&camera, 0x8769, 0);
}

static void add_settings(struct made_segment *segment, size_t origin, const struct made_shot *shot, int width, int height)
{
    char taken[32], hundredths[8], zone[16];
    say_time(shot, taken);
    say_zone(shot->clock_minutes, zone);
    snprintf(hundredths, sizeof hundredths, "%02u", (unsigned)shot->hundredths % 100);
    struct directory settings = open_directory(segment, origin, 15);
    add_exposure(&settings, shot->exposure_s);
    add_ratio(&settings, 0x829d, shot->aperture * 10.0, 10.0);
    add_short(&settings, 0x8827, shot->iso);
    add_bytes(&settings, 0x9000, "0231", 4);
    add_words(&settings, 0x9003, taken);
    add_words(&settings, 0x9011, zone);
    add_bytes(&settings, 0x9101, "\1\2\3", 4); /* Y, Cb, Cr */
    add_short(&settings, 0x9209, shot->flash_fired ? 1 : 0);
    add_ratio(&settings, 0x920a, shot->focal_m * 1e4, 10.0);
    add_words(&settings, 0x9291, hundredths);
    add_bytes(&settings, 0xa000, "0100", 4);
    add_short(&settings, 0xa001, 1); /* sRGB */
    add_long(&settings, 0xa002, (size_t)width);
    add_long(&settings, 0xa003, (size_t)height);
    add_short(&settings, 0xa402, 1); /* exposure set by hand */
}

static void add_thumbnail(struct made_segment *segment, size_t origin, const uint8_t *thumbnail, size_t thumbnail_bytes)
{
    struct directory small = open_directory(segment, origin, 6);
    add_short(&small, 0x0103, 6); /* JPEG */
    add_ratio(&small, 0x011a, 72.0, 1.0);
    add_ratio(&small, 0x011b, 72.0, 1.0);
    add_short(&small, 0x0128, 2);
    add_long(&small, 0x0201, segment->length - origin);
    add_long(&small, 0x0202, thumbnail_bytes);
    put(segment, segment->length, thumbnail, thumbnail_bytes);
    segment->length += thumbnail_bytes;
}

/* The link from the end of a directory to the next. */
static void link_next(struct made_segment *segment, size_t origin, int entries)
{
    put_number(segment, origin + 8 + 2 + (size_t)entries * ENTRY_BYTES, (uint32_t)(segment->length - origin), 4);
}

void made_segment_notes(struct made_segment *segment, const struct made_jpeg_wish *wish, int width, int height,
                        const uint8_t *thumbnail, size_t thumbnail_bytes)
{
    segment->big_endian = wish->big_endian;
    size_t origin = open_tiff(segment, NOTES_NAME, sizeof NOTES_NAME);
    size_t settings_at = add_camera(segment, origin, &wish->shot);
    put_number(segment, settings_at, (uint32_t)(segment->length - origin), 4);
    add_settings(segment, origin, &wish->shot, width, height);
    link_next(segment, origin, 10);
    add_thumbnail(segment, origin, thumbnail, thumbnail_bytes);
}

static void put_picture(struct made_segment *segment, size_t at, uint32_t class, const size_t where[2], uint32_t depends_on)
{
    put_number(segment, at, class, 4);
    put_number(segment, at + 4, (uint32_t)where[0], 4);
    put_number(segment, at + 8, (uint32_t)where[1], 4);
    put_number(segment, at + 12, depends_on, 2);
    put_number(segment, at + 14, 0, 2);
}

size_t made_segment_index_origin(void)
{
    return sizeof INDEX_NAME;
}

void made_segment_index(struct made_segment *segment, const struct made_jpeg_wish *wish, size_t first_bytes,
                        size_t second_bytes, size_t second_from)
{
    segment->big_endian = wish->big_endian;
    size_t origin = open_tiff(segment, INDEX_NAME, sizeof INDEX_NAME);
    struct directory index = open_directory(segment, origin, 3);
    add_bytes(&index, 0xb000, "0100", 4);
    add_long(&index, 0xb001, 2);
    size_t at = enter(&index, 0xb002, TYPE_BYTES, 32, 32);
    put_picture(segment, at, PARENT | SHOWN_FIRST | MAIN_PICTURE, (const size_t[]){first_bytes, 0}, 2);
    put_picture(segment, at + 16, CHILD | FULL_HD_PREVIEW, (const size_t[]){second_bytes, second_from}, 0);
}
