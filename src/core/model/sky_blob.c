/* Sky tables packed and unpacked. The reader trusts no byte: they come over a wire. */
#include "core/model/sky_blob.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

#include "core/constants.h"

#define MAGIC "owlsky\1" /* its NUL is the version's upper byte */
#define MAGIC_BYTES 8
#define NAME_BYTES 8
#define TIME_MOST_S 1e11    /* three thousand years: far beyond any watch */
#define LENGTH_SLACK 1e-6   /* of unit vectors */
#define PARALLAX_MOST_RAD 0.1
#define SUN_RADIUS_MOST_RAD 0.01

/* ---- numbers ---- */

static uint8_t *put_word(uint8_t *at, uint64_t word, int bytes)
{
    for (int i = 0; i < bytes; i++)
        *at++ = (uint8_t)(word >> (8 * i));
    return at;
}

static uint8_t *put_number(uint8_t *at, double number)
{
    uint64_t word;
    memcpy(&word, &number, sizeof word);
    return put_word(at, word, 8);
}

/* What is being read; whoever takes has made sure that enough is left. */
struct taking {
    const uint8_t *at;
};

static uint64_t take_word(struct taking *taking, int bytes)
{
    uint64_t word = 0;
    for (int i = 0; i < bytes; i++)
        word |= (uint64_t)*taking->at++ << (8 * i);
    return word;
}

static double take_number(struct taking *taking)
{
    uint64_t word = take_word(taking, 8);
    double number;
    memcpy(&number, &word, sizeof number);
    return number;
}

/* ---- what a sky may hold ---- */

static bool is_time(double unix_s)
{
    return fabs(unix_s) <= TIME_MOST_S; /* false for NaN */
}

static bool is_unit(const double vector[3])
{
    double square = vector[0] * vector[0] + vector[1] * vector[1] + vector[2] * vector[2];
    return fabs(square - 1.0) <= LENGTH_SLACK;
}

static bool row_holds(const struct owl_sky_row *row)
{
    return is_unit(row->sun) && is_unit(row->moon) && row->moon_phase_rad >= 0.0 && row->moon_phase_rad <= OWL_PI &&
           row->moon_parallax_rad > 0.0 && row->moon_parallax_rad <= PARALLAX_MOST_RAD && row->sun_radius_rad > 0.0 &&
           row->sun_radius_rad <= SUN_RADIUS_MOST_RAD;
}

static bool span_holds(const struct owl_zone_span *span, const struct owl_zone_span *before)
{
    return is_time(span->from_unix_s) && (!before || span->from_unix_s > before->from_unix_s) &&
           span->offset_s >= -OWL_SECONDS_PER_DAY && span->offset_s <= OWL_SECONDS_PER_DAY &&
           memchr(span->name, '\0', NAME_BYTES) != NULL;
}

/* All but the rows and the spans. */
static bool frame_holds(const struct owl_sky *sky)
{
    if (sky->count < OWL_SKY_LEAST_ROWS || sky->count > OWL_SKY_BLOB_ROWS_MOST || sky->nights < 1 ||
        sky->nights > OWL_SKY_BLOB_NIGHTS_MOST || sky->zone_count < 0 || sky->zone_count > OWL_ZONE_SPANS)
        return false;
    if (!is_time(sky->start_unix_s) || !is_time(sky->first_noon_unix_s) || !(sky->step_s > 0.0) ||
        !(sky->step_s <= OWL_SECONDS_PER_DAY))
        return false;
    return sky->start_unix_s <= sky->first_noon_unix_s &&
           sky->start_unix_s + (sky->count - 1) * sky->step_s >= sky->first_noon_unix_s + sky->nights * OWL_SECONDS_PER_DAY;
}

static bool sky_holds(const struct owl_sky *sky)
{
    if (!frame_holds(sky))
        return false;
    for (int i = 0; i < sky->zone_count; i++)
        if (!span_holds(&sky->zone[i], i > 0 ? &sky->zone[i - 1] : NULL))
            return false;
    for (int i = 0; i < sky->count; i++)
        if (!row_holds(&sky->rows[i]))
            return false;
    return true;
}

/* ---- packing ---- */

static size_t bytes_of(size_t key_bytes, int spans, int rows)
{
    return OWL_SKY_BLOB_HEAD_BYTES + key_bytes + (size_t)spans * OWL_SKY_BLOB_SPAN_BYTES + (size_t)rows * OWL_SKY_BLOB_ROW_BYTES;
}

size_t owl_sky_blob_bytes(const struct owl_sky *sky, const char *key)
{
    return bytes_of(strlen(key), sky->zone_count, sky->count);
}

static uint8_t *put_head(uint8_t *at, const struct owl_sky *sky, size_t key_bytes)
{
    memcpy(at, MAGIC, MAGIC_BYTES);
    at = put_word(at + MAGIC_BYTES, key_bytes, 4);
    at = put_word(at, (uint64_t)sky->count, 4);
    at = put_word(at, (uint64_t)sky->nights, 4);
    at = put_word(at, (uint64_t)sky->zone_count, 4);
    at = put_number(at, sky->start_unix_s);
    at = put_number(at, sky->step_s);
    return put_number(at, sky->first_noon_unix_s);
}

static uint8_t *put_span(uint8_t *at, const struct owl_zone_span *span)
{
    at = put_number(at, span->from_unix_s);
    at = put_word(at, (uint32_t)span->offset_s, 4);
    memcpy(at, span->name, NAME_BYTES);
    return at + NAME_BYTES;
}

static uint8_t *put_row(uint8_t *at, const struct owl_sky_row *row)
{
    for (int i = 0; i < 3; i++)
        at = put_number(at, row->sun[i]);
    for (int i = 0; i < 3; i++)
        at = put_number(at, row->moon[i]);
    at = put_number(at, row->moon_phase_rad);
    at = put_number(at, row->moon_parallax_rad);
    return put_number(at, row->sun_radius_rad);
}

enum owl_status owl_sky_blob_write(const struct owl_sky *sky, const char *key, uint8_t *bytes, size_t room, size_t *length)
{
    size_t key_bytes = strlen(key);
    if (key_bytes >= OWL_SKY_KEY_BYTES || !sky_holds(sky))
        return OWL_OUTSIDE_DOMAIN;
    if (owl_sky_blob_bytes(sky, key) > room)
        return OWL_NO_ROOM;
    uint8_t *at = put_head(bytes, sky, key_bytes);
    memcpy(at, key, key_bytes);
    at += key_bytes;
    for (int i = 0; i < sky->zone_count; i++)
        at = put_span(at, &sky->zone[i]);
    for (int i = 0; i < sky->count; i++)
        at = put_row(at, &sky->rows[i]);
    *length = (size_t)(at - bytes);
    return OWL_OK;
}

/* ---- unpacking ---- */

/* A count of 32 bits, -1 when it is more than `most`. */
static int take_count(struct taking *taking, int most)
{
    uint64_t word = take_word(taking, 4);
    return word <= (uint64_t)most ? (int)word : -1;
}

static struct owl_zone_span take_span(struct taking *taking)
{
    struct owl_zone_span span = {.from_unix_s = take_number(taking)};
    uint32_t offset = (uint32_t)take_word(taking, 4);
    span.offset_s = offset <= INT32_MAX ? (int)offset : -(int)(UINT32_MAX - offset) - 1;
    memcpy(span.name, taking->at, NAME_BYTES);
    taking->at += NAME_BYTES;
    return span;
}

static struct owl_sky_row take_row(struct taking *taking)
{
    struct owl_sky_row row;
    for (int i = 0; i < 3; i++)
        row.sun[i] = take_number(taking);
    for (int i = 0; i < 3; i++)
        row.moon[i] = take_number(taking);
    row.moon_phase_rad = take_number(taking);
    row.moon_parallax_rad = take_number(taking);
    row.sun_radius_rad = take_number(taking);
    return row;
}

/* The head, with how long the key is; false unless all of it fits the length. */
static bool take_head(struct taking *taking, size_t length, struct owl_sky *sky, int *key_bytes)
{
    if (length < OWL_SKY_BLOB_HEAD_BYTES || memcmp(taking->at, MAGIC, MAGIC_BYTES) != 0)
        return false;
    taking->at += MAGIC_BYTES;
    *key_bytes = take_count(taking, OWL_SKY_KEY_BYTES - 1);
    sky->count = take_count(taking, OWL_SKY_BLOB_ROWS_MOST);
    sky->nights = take_count(taking, OWL_SKY_BLOB_NIGHTS_MOST);
    sky->zone_count = take_count(taking, OWL_ZONE_SPANS);
    sky->start_unix_s = take_number(taking);
    sky->step_s = take_number(taking);
    sky->first_noon_unix_s = take_number(taking);
    return *key_bytes >= 0 && frame_holds(sky) && bytes_of((size_t)*key_bytes, sky->zone_count, sky->count) == length;
}

enum owl_status owl_sky_blob_read(const uint8_t *bytes, size_t length, struct owl_sky_row *rows, struct owl_sky_blob *blob)
{
    struct owl_sky_blob read = {.sky.rows = rows};
    struct taking taking = {bytes};
    int key_bytes;
    if (!take_head(&taking, length, &read.sky, &key_bytes) || memchr(taking.at, '\0', (size_t)key_bytes))
        return OWL_OUTSIDE_DOMAIN;
    memcpy(read.key, taking.at, (size_t)key_bytes);
    taking.at += key_bytes;
    for (int i = 0; i < read.sky.zone_count; i++)
        read.sky.zone[i] = take_span(&taking);
    for (int i = 0; i < read.sky.count; i++)
        rows[i] = take_row(&taking);
    if (!sky_holds(&read.sky))
        return OWL_OUTSIDE_DOMAIN;
    *blob = read;
    return OWL_OK;
}
