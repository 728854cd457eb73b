/* Reads `name = value` out of the words that tell how a fault is mended. */
#include "core/report/mend.h"

#include <string.h>

#include "core/plan/geometry.h"
#include "core/plan/reader.h"

#define NAME_BYTES 48
#define A_LITTLE_LESS 0.995 /* three digits may have been rounded up by half a percent */

/* What is being gathered. */
struct mending {
    const struct owl_plan *plan;
    const struct owl_evaluation *evaluation;
    const struct owl_section *section; /* the last one named before a colon, NULL: none */
    struct owl_change *change;
    int changes;
};

/* Ways of saying a value other than `name = value`. */
static const struct {
    const char *begins, *section, *field;
} spoken[] = {{"focus at ", "lens", "focus distance"}, {"a shutter of ", "camera", "shutter"}};

static bool begins(const char *words, const char *with)
{
    return strncmp(words, with, strlen(with)) == 0;
}

/* How many bytes of the words are a value: up to a comma, bracket, semicolon, colon or what is said about it. */
static size_t value_length(const char *words)
{
    static const char *const ends[] = {" or ", ", ", "; ", ": ", ") ", ")"};
    size_t length = strlen(words);
    for (size_t i = 0; i < sizeof ends / sizeof *ends; i++) {
        const char *end = strstr(words, ends[i]);
        if (end && (size_t)(end - words) < length)
            length = (size_t)(end - words);
    }
    return length;
}

/* A most that was rounded up would not mend: `92.8 g or less` becomes a little less. */
static void lessen(enum owl_unit unit, struct owl_change *change)
{
    double value;
    size_t at;
    if (unit == OWL_UNIT_TEXT || unit == OWL_UNIT_CHOICE || unit == OWL_UNIT_POINT ||
        owl_unit_read(unit, change->words, strlen(change->words), &value, &at) != OWL_READ_WELL)
        return;
    struct owl_text words = owl_text_over(change->words, sizeof change->words);
    owl_unit_show(unit, value * A_LITTLE_LESS, &words);
}

/* Notes a change to those words; whether they are a value of the field is seen when it is made. */
static void take(struct mending *mending, const struct owl_section *section, int nth, int field, const char *value, size_t length)
{
    if (mending->changes == OWL_MEND_CHANGES || field < 0 || length == 0 || length >= OWL_CHANGE_BYTES)
        return;
    struct owl_change *change = &mending->change[mending->changes++];
    *change = (struct owl_change){.section = section, .nth = nth, .field = field};
    memcpy(change->words, value, length);
    if (begins(value + length, " or less"))
        lessen(section->fields[field].unit, change);
}

/* The only section that has a field, NULL when several or none have it. */
static const struct owl_section *section_with(const char *field)
{
    const struct owl_section *found = NULL;
    for (int i = 0; i < owl_section_count(); i++) {
        if (owl_field_find(owl_section_at(i), field) < 0)
            continue;
        if (found)
            return NULL;
        found = owl_section_at(i);
    }
    return found;
}

/* The cells that give out first, for `cell sets` that are named without their device. */
static const struct owl_section *section_of_cells(const struct mending *mending, int *nth)
{
    int device = mending->evaluation->first_to_fail;
    if (device < 0 || device >= OWL_DEVICE_FLASH + mending->plan->flashes)
        return NULL;
    *nth = device < OWL_DEVICE_FLASH ? 0 : device - OWL_DEVICE_FLASH;
    return owl_section_find(device == OWL_DEVICE_CAMERA ? "camera" : device == OWL_DEVICE_SENSOR ? "sensor" : "flash");
}

static void take_named(struct mending *mending, const char *name, const char *value, size_t length)
{
    int nth = 0;
    const struct owl_section *section = mending->section;
    if (!section || owl_field_find(section, name) < 0)
        section = strcmp(name, "cell sets") == 0 ? section_of_cells(mending, &nth) : section_with(name);
    if (section && (section->most == 1 || strcmp(name, "cell sets") == 0))
        take(mending, section, nth, owl_field_find(section, name), value, length);
}

/* `gate level`, or `hold and hold by day`: each gets the value. */
static void take_names(struct mending *mending, const char *names, size_t length, const char *value)
{
    char room[2 * NAME_BYTES] = "";
    if (length >= sizeof room)
        return;
    memcpy(room, names, length);
    char *second = strstr(room, " and ");
    if (second) {
        *second = '\0';
        second += strlen(" and ");
    }
    take_named(mending, room, value, value_length(value));
    if (second && mending->changes > 0)
        take_named(mending, second, value, value_length(value));
}

/* The start of the name that stands before an equals sign, behind whatever is said before it. */
static const char *name_start(const char *words, const char *equals)
{
    static const char *const befores[] = {": ", ", ", "; ", " or ", " set ", "("};
    const char *start = words;
    for (size_t i = 0; i < sizeof befores / sizeof *befores; i++) {
        size_t length = strlen(befores[i]);
        for (const char *found = strstr(words, befores[i]); found && found < equals; found = strstr(found + 1, befores[i]))
            if (found + length > start)
                start = found + length;
    }
    return start;
}

static const struct owl_section *section_before(const char *words, const char *name)
{
    char room[NAME_BYTES] = "";
    const char *colon = name > words + 1 ? name - 2 : words;
    while (colon > words && *colon != ':')
        colon--;
    const char *start = colon;
    while (start > words && start[-1] != ' ')
        start--;
    if (*colon != ':' || (size_t)(colon - start) >= sizeof room)
        return NULL;
    memcpy(room, start, (size_t)(colon - start));
    return owl_section_find(room);
}

static bool stands(const struct mending *mending)
{
    struct owl_plan changed = *mending->plan;
    for (int i = 0; i < mending->changes; i++)
        if (owl_plan_apply(&mending->change[i], &changed) != OWL_OK)
            return false;
    return mending->changes > 0 && owl_plan_stands(&changed);
}

static bool alters(const struct mending *mending)
{
    for (int i = 0; i < mending->changes; i++) {
        const struct owl_change *change = &mending->change[i];
        char room[2 * OWL_CHANGE_BYTES];
        struct owl_text now = owl_text_over(room, sizeof room);
        owl_field_show(change->section, change->nth, change->field, mending->plan, &now);
        if (strcmp(room, change->words) != 0)
            return true;
    }
    return false;
}

static bool is_good(const struct mending *mending)
{
    return stands(mending) && alters(mending);
}

static void take_point(struct mending *mending, const char *section_name, const struct owl_point *point)
{
    char room[OWL_CHANGE_BYTES];
    struct owl_text words = owl_text_over(room, sizeof room);
    const struct owl_section *section = owl_section_find(section_name);
    owl_unit_show_point(point, &words);
    if (!words.cut)
        take(mending, section, 0, owl_field_find(section, "aim"), room, words.length);
}

/* What the words tell of a place only roughly. */
static void take_places(struct mending *mending, const char *words)
{
    const struct owl_plan *plan = mending->plan;
    if (begins(words, "aim the camera at the middle")) {
        struct owl_point middle = owl_stage_middle(plan);
        take_point(mending, "camera", &middle);
    } else if (begins(words, "move the sensor's aim ") && plan->sensor.kind == OWL_SENSOR_HEAT) {
        struct owl_path path = owl_stage_path(plan);
        struct owl_point aim = plan->sensor.aim;
        aim.x_m += mending->evaluation->aim_shift_m * path.cosine;
        aim.y_m += mending->evaluation->aim_shift_m * path.sine;
        take_point(mending, "sensor", &aim);
    }
}

static void take_spoken(struct mending *mending, const char *words)
{
    for (size_t i = 0; i < sizeof spoken / sizeof *spoken; i++) {
        if (!begins(words, spoken[i].begins))
            continue;
        const char *value = words + strlen(spoken[i].begins);
        const struct owl_section *section = owl_section_find(spoken[i].section);
        take(mending, section, 0, owl_field_find(section, spoken[i].field), value, value_length(value));
    }
}

int owl_mend_of(const struct owl_plan *plan, const struct owl_evaluation *evaluation, const struct owl_warning *warning,
                struct owl_change change[OWL_MEND_CHANGES])
{
    struct mending mending = {.plan = plan, .evaluation = evaluation, .change = change};
    const char *words = warning->change;
    take_places(&mending, words);
    take_spoken(&mending, words);
    if (is_good(&mending))
        return mending.changes;
    for (const char *equals = strstr(words, " = "); equals; equals = strstr(equals + 1, " = ")) {
        const char *name = name_start(words, equals);
        mending.changes = 0;
        mending.section = section_before(words, name);
        take_names(&mending, name, (size_t)(equals - name), equals + strlen(" = "));
        if (is_good(&mending))
            return mending.changes;
    }
    return 0;
}
