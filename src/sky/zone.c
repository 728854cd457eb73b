/* Offsets of a time zone, asked of the C library and searched for their changes. */
#ifndef _DEFAULT_SOURCE
#define _DEFAULT_SOURCE /* tm_gmtoff, tm_zone */
#endif

#include "sky/zone.h"

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "core/constants.h"

#define ZONE_FOLDER "/usr/share/zoneinfo" /* where the C library looks unless TZDIR says otherwise */
#define LONGEST_NAME 63
#define LONGEST_PATH 1024
#define LEAP_SECOND_ZONES "right/"   /* their clocks count leap seconds, ours does not */
#define FIRST_UNIX_S (-2208988800.0) /* 1900-01-01 */
#define LAST_UNIX_S 7258118400.0     /* 2200-01-01 */

static const char name_characters[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789_+-/";

static bool could_be_zone(const char *name)
{
    size_t length = name ? strlen(name) : 0;
    return length > 0 && length <= LONGEST_NAME && name[0] != '/' && strspn(name, name_characters) == length &&
           strncmp(name, LEAP_SECOND_ZONES, strlen(LEAP_SECOND_ZONES)) != 0;
}

/* A name the C library does not find silently means UTC to it, so the file is looked at first. */
static bool is_installed(const char *name)
{
    char path[LONGEST_PATH], magic[4];
    const char *folder = getenv("TZDIR");
    int length = snprintf(path, sizeof path, "%s/%s", folder && folder[0] ? folder : ZONE_FOLDER, name);
    if (length < 0 || (size_t)length >= sizeof path)
        return false;
    FILE *file = fopen(path, "rb");
    if (!file)
        return false;
    bool good = fread(magic, 1, sizeof magic, file) == sizeof magic && memcmp(magic, "TZif", sizeof magic) == 0;
    fclose(file);
    return good;
}

static struct owl_zone_span span_at(int64_t unix_s)
{
    struct tm clock = {.tm_isdst = -1};
    time_t seconds = (time_t)unix_s;
    struct owl_zone_span span = {.from_unix_s = (double)unix_s};
    localtime_r(&seconds, &clock);
    span.offset_s = (int)clock.tm_gmtoff;
    if (clock.tm_zone)
        snprintf(span.name, sizeof span.name, "%.7s", clock.tm_zone);
    return span;
}

static bool is_same(const struct owl_zone_span *a, const struct owl_zone_span *b)
{
    return a->offset_s == b->offset_s && strcmp(a->name, b->name) == 0;
}

/* The first second that differs from `before`, given that `after` does. */
static struct owl_zone_span change_between(const struct owl_zone_span *before, int64_t low_s, int64_t high_s)
{
    while (high_s - low_s > 1) {
        int64_t middle_s = low_s + (high_s - low_s) / 2;
        struct owl_zone_span middle = span_at(middle_s);
        if (is_same(&middle, before))
            low_s = middle_s;
        else
            high_s = middle_s;
    }
    return span_at(high_s);
}

/* Day by day, under the TZ of the moment. */
static enum owl_status collect(double from_unix_s, double to_unix_s, struct owl_zone_span *spans, int *count)
{
    int64_t here_s = (int64_t)floor(from_unix_s), last_s = (int64_t)ceil(to_unix_s);
    spans[0] = span_at(here_s);
    spans[0].from_unix_s = from_unix_s;
    *count = 1;
    while (here_s < last_s) {
        int64_t next_s = here_s + (int64_t)OWL_SECONDS_PER_DAY;
        if (next_s > last_s)
            next_s = last_s;
        struct owl_zone_span next = span_at(next_s);
        if (!is_same(&next, &spans[*count - 1])) {
            if (*count == OWL_ZONE_SPANS)
                return OWL_NO_ROOM;
            next = change_between(&spans[*count - 1], here_s, next_s);
            next_s = (int64_t)next.from_unix_s;
            spans[(*count)++] = next;
        }
        here_s = next_s;
    }
    return OWL_OK;
}

static char *copied(const char *words)
{
    size_t size = strlen(words) + 1;
    char *copy = malloc(size);
    return copy ? memcpy(copy, words, size) : NULL;
}

/* The C library knows one zone at a time, the one TZ names; the one before is put back. */
static enum owl_status collect_under(const char *name, double from_unix_s, double to_unix_s,
                                     struct owl_zone_span *spans, int *count)
{
    const char *before = getenv("TZ");
    char *kept = before ? copied(before) : NULL;
    if ((before && !kept) || setenv("TZ", name, 1) != 0) {
        free(kept);
        return OWL_NO_MEMORY;
    }
    tzset();
    enum owl_status status = collect(from_unix_s, to_unix_s, spans, count);
    int restored = kept ? setenv("TZ", kept, 1) : unsetenv("TZ");
    tzset();
    free(kept);
    return restored == 0 ? status : OWL_NO_MEMORY;
}

enum owl_status owl_zone_spans(const char *name, double from_unix_s, double to_unix_s,
                               struct owl_zone_span spans[OWL_ZONE_SPANS], int *count)
{
    if (!could_be_zone(name) || !is_installed(name))
        return OWL_UNKNOWN_ZONE;
    if (!(from_unix_s >= FIRST_UNIX_S && to_unix_s >= from_unix_s && to_unix_s <= LAST_UNIX_S))
        return OWL_OUTSIDE_DOMAIN;
    return collect_under(name, from_unix_s, to_unix_s, spans, count);
}
