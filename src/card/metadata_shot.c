/* The entries about the shot: when, with which settings, by which camera. */
#include <math.h>
#include <string.h>

#include "card/metadata_reading.h"
#include "core/calendar.h"
#include "core/constants.h"

/* [exif], the name of each tag in lower case; ISO_RW2 is the one that raw kind keeps beside its sizes. */
enum {
    TAG_ISO_RW2 = 0x0017,
    TAG_MAKE = 0x010f,
    TAG_MODEL = 0x0110,
    TAG_ORIENTATION = 0x0112,
    TAG_EXPOSURE_TIME = 0x829a,
    TAG_F_NUMBER = 0x829d,
    TAG_ISO = 0x8827,
    TAG_STANDARD_SENSITIVITY = 0x8831,
    TAG_RECOMMENDED_INDEX = 0x8832,
    TAG_ISO_SPEED = 0x8833,
    TAG_TAKEN = 0x9003,
    TAG_TAKEN_OFFSET = 0x9011,
    TAG_FLASH = 0x9209,
    TAG_FOCAL_LENGTH = 0x920a,
    TAG_TAKEN_SUBSECOND = 0x9291,
    TAG_PIXELS_ACROSS = 0xa002,
    TAG_PIXELS_DOWN = 0xa003
};

#define TAKEN_COLUMNS 19 /* "2026:01:31 23:59:59" */
#define OFFSET_COLUMNS 6 /* "+01:00" */
#define OFFSET_HOURS_MOST 14 /* the largest any country's clock is ahead of UTC */
#define METRES_PER_MM 1e-3
#define MINUTE_S 60

/* ---- words into numbers ---- */

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* The number in `digits` columns from `at`; -1 when one of them is no digit. */
static int number_in(const char *at, int digits)
{
    int value = 0;
    for (int i = 0; i < digits; i++) {
        if (!is_digit(at[i]))
            return -1;
        value = 10 * value + (at[i] - '0');
    }
    return value;
}

/* Cameras whose clock was never set fill the places of the digits with blanks, as [exif] tells them to. */
static bool says_nothing(const char *words)
{
    return strspn(words, " :-/") == strlen(words);
}

static double time_of_day_s(const char *words)
{
    int hour = number_in(words, 2), minute = number_in(words + 3, 2), second = number_in(words + 6, 2);
    if (hour < 0 || hour > 23 || minute < 0 || minute > 59 || second < 0 || second > 59)
        return NAN;
    if (is_digit(words[2]) || is_digit(words[5]))
        return NAN;
    return hour * OWL_SECONDS_PER_HOUR + minute * MINUTE_S + second;
}

static double date_time_s(const char *words)
{
    if (strlen(words) < TAKEN_COLUMNS || is_digit(words[4]) || is_digit(words[7]) || is_digit(words[10]))
        return NAN;
    struct owl_date date = {number_in(words, 4), number_in(words + 5, 2), number_in(words + 8, 2)};
    return owl_calendar_valid(date) ? (double)owl_calendar_days(date) * OWL_SECONDS_PER_DAY + time_of_day_s(words + 11) : NAN;
}

/* ---- entries with words ---- */

static bool words_of(struct owl_tiff *tiff, const struct owl_tiff_entry *entry, char words[OWL_METADATA_WORDS])
{
    return owl_tiff_words(tiff, entry, words, OWL_METADATA_WORDS) && !says_nothing(words);
}

static void read_taken(struct owl_metadata_reading *reading, struct owl_tiff *tiff, const struct owl_tiff_entry *entry)
{
    char words[OWL_METADATA_WORDS];
    struct owl_card_metadata *metadata = reading->metadata;
    if (!words_of(tiff, entry, words))
        return;
    double taken_s = date_time_s(words);
    if (isnan(taken_s)) {
        tiff->faults |= OWL_METADATA_BAD_DATE;
        return;
    }
    metadata->has_taken = true;
    metadata->taken_local_s = taken_s;
}

/* Digits behind the point of a second, as many as the camera likes. */
static void read_subsecond(struct owl_metadata_reading *reading, struct owl_tiff *tiff, const struct owl_tiff_entry *entry)
{
    char words[OWL_METADATA_WORDS];
    if (!words_of(tiff, entry, words))
        return;
    double part_s = 0.0;
    size_t digits = strspn(words, "0123456789");
    for (size_t i = digits; i-- > 0;)
        part_s = (part_s + (words[i] - '0')) / 10.0;
    if (words[digits] != '\0')
        tiff->faults |= OWL_METADATA_BAD_DATE;
    else
        reading->metadata->subsecond_s = fmin(part_s, nextafter(1.0, 0.0));
}

static void read_offset(struct owl_metadata_reading *reading, struct owl_tiff *tiff, const struct owl_tiff_entry *entry)
{
    char words[OWL_METADATA_WORDS];
    if (!words_of(tiff, entry, words))
        return;
    bool has_form = strlen(words) == OFFSET_COLUMNS && (words[0] == '+' || words[0] == '-') && words[3] == ':';
    int hours = has_form ? number_in(words + 1, 2) : -1, minutes = has_form ? number_in(words + 4, 2) : -1;
    if (hours < 0 || hours > OFFSET_HOURS_MOST || minutes < 0 || minutes > 59) {
        tiff->faults |= OWL_METADATA_BAD_DATE;
        return;
    }
    int size_s = hours * (int)OWL_SECONDS_PER_HOUR + minutes * MINUTE_S;
    reading->metadata->has_zone = true;
    reading->metadata->zone_s = words[0] == '-' ? -size_s : size_s;
}

/* ---- entries with numbers ---- */

/* Zero and less are what cameras write when they do not know: a lens without contacts, a shutter held open by hand. */
static double above_zero(struct owl_tiff *tiff, const struct owl_tiff_entry *entry)
{
    double value = owl_tiff_number(tiff, entry, 0);
    return value > 0.0 ? value : NAN;
}

static void read_orientation(struct owl_metadata_reading *reading, struct owl_tiff *tiff, const struct owl_tiff_entry *entry)
{
    uint32_t value;
    if (owl_tiff_whole(tiff, entry, 0, &value) && value >= 1 && value <= 8)
        reading->metadata->orientation = (int)value;
}

static void read_flash(struct owl_metadata_reading *reading, struct owl_tiff *tiff, const struct owl_tiff_entry *entry)
{
    uint32_t value;
    if (!owl_tiff_whole(tiff, entry, 0, &value))
        return;
    reading->metadata->has_flash = true;
    reading->metadata->flash = value;
}

/* Of three tags for speeds that a short number cannot hold a camera may write any; where several are there they agree. */
static void read_exact_iso(struct owl_metadata_reading *reading, struct owl_tiff *tiff, const struct owl_tiff_entry *entry)
{
    uint32_t value;
    if (owl_tiff_whole(tiff, entry, 0, &value) && value > reading->iso_exact)
        reading->iso_exact = value;
}

static void shot_number(struct owl_metadata_reading *reading, struct owl_tiff *tiff, const struct owl_tiff_entry *entry)
{
    struct owl_card_metadata *metadata = reading->metadata;
    switch (entry->tag) {
    case TAG_EXPOSURE_TIME:
        metadata->exposure_s = above_zero(tiff, entry);
        break;
    case TAG_F_NUMBER:
        metadata->f_number = above_zero(tiff, entry);
        break;
    case TAG_FOCAL_LENGTH:
        metadata->focal_m = above_zero(tiff, entry) * METRES_PER_MM;
        break;
    case TAG_ISO_RW2:
        if (metadata->kind != OWL_METADATA_RW2 || reading->iso_base > 0)
            break;
        /* fall through */
    case TAG_ISO:
        (void)owl_tiff_whole(tiff, entry, 0, &reading->iso_base);
        break;
    case TAG_STANDARD_SENSITIVITY:
    case TAG_RECOMMENDED_INDEX:
    case TAG_ISO_SPEED:
        read_exact_iso(reading, tiff, entry);
        break;
    case TAG_PIXELS_ACROSS:
        (void)owl_tiff_whole(tiff, entry, 0, &reading->noted_width);
        break;
    case TAG_PIXELS_DOWN:
        (void)owl_tiff_whole(tiff, entry, 0, &reading->noted_height);
        break;
    default:
        break;
    }
}

void owl_metadata_shot_entry(struct owl_metadata_reading *reading, struct owl_tiff *tiff, const struct owl_tiff_entry *entry)
{
    switch (entry->tag) {
    case TAG_MAKE:
        (void)owl_tiff_words(tiff, entry, reading->metadata->make, OWL_METADATA_WORDS);
        break;
    case TAG_MODEL:
        (void)owl_tiff_words(tiff, entry, reading->metadata->model, OWL_METADATA_WORDS);
        break;
    case TAG_TAKEN:
        read_taken(reading, tiff, entry);
        break;
    case TAG_TAKEN_OFFSET:
        read_offset(reading, tiff, entry);
        break;
    case TAG_TAKEN_SUBSECOND:
        read_subsecond(reading, tiff, entry);
        break;
    case TAG_ORIENTATION:
        read_orientation(reading, tiff, entry);
        break;
    case TAG_FLASH:
        read_flash(reading, tiff, entry);
        break;
    default:
        shot_number(reading, tiff, entry);
        break;
    }
}
