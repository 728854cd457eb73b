/* The series of every lever, and the words of their values. */
#include "core/rehearse/advise_levers.h"

#include <math.h>
#include <string.h>

#include "core/plan/dials.h"
#include "core/plan/geometry.h"

#define COUNT(list) ((int)(sizeof list / sizeof *list))

#define AIM_STEP_M 0.05
#define PLACE_STEP_M 0.1
#define FOCUS_STEP_M 0.05
#define GRAIN_M 0.01          /* places are written to the centimetre */
#define FOCAL_STEP_M 0.001
#define REFRAMING_MOST 0.3    /* share of distance or focal length: beyond, it is another picture; our choice */
#define NEAREST_M 0.3         /* no nearer to the animal; our choice */
#define ISO_UP_MOST 6         /* thirds: noise is not rehearsed, so it must not pay to raise ISO without end; our choice */
#define ISO_MOST 6400.0       /* the same */
#define SLOWEST_S (1.0 / 30.0) /* end of the dial's series */
#define DIAL_STEPS 18         /* thirds to either side */

static const double pauses_s[] = {5, 10, 20, 30, 60, 120, 300, 600, 900, 1200, 1800, 3600};
static const double intervals_s[] = {0.1, 0.2, 0.3, 0.5, 1, 2, 3, 4, 5, 8, 10};
static const double frame_counts[] = {1, 2, 3, 4, 5, 6, 8, 10};
static const double levels_lx[] = {0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1,    2,    5,
                                   10,    20,    50,    100,  200,  500,  1000, 2000, 5000, 10000};

/* What the plan has of each kind of lever. */
static const struct {
    const char *section, *field;
    int least, most;
} rows[] = {
    [OWL_LEVER_GATE] = {"sensor", "light gate", 1, 2},
    [OWL_LEVER_GATE_LEVEL] = {"sensor", "gate level", -12, 12},
    [OWL_LEVER_APERTURE] = {"camera", "aperture", -DIAL_STEPS, DIAL_STEPS},
    [OWL_LEVER_ISO] = {"camera", "iso", -DIAL_STEPS, ISO_UP_MOST},
    [OWL_LEVER_SHUTTER] = {"camera", "shutter", -DIAL_STEPS, DIAL_STEPS},
    [OWL_LEVER_HOLD] = {"sensor", "hold", -DIAL_STEPS, DIAL_STEPS},
    [OWL_LEVER_DAY_HOLD] = {"sensor", "hold by day", -DIAL_STEPS, DIAL_STEPS},
    [OWL_LEVER_POWER] = {"flash", "power", -7, 7},
    [OWL_LEVER_FRAMES] = {"camera", "frames", -8, 8},
    [OWL_LEVER_INTERVAL] = {"camera", "interval", -10, 10},
    [OWL_LEVER_PAUSE] = {"sensor", "pause", -12, 12},
    [OWL_LEVER_SLEEPS] = {"camera", "sleeps", 1, 1},
    [OWL_LEVER_FOCUS] = {"lens", "focus distance", -32, 32},
    [OWL_LEVER_AIM] = {"sensor", "aim", -32, 32},
    [OWL_LEVER_PULSES] = {"sensor", "pulses", -3, 3},
    [OWL_LEVER_ZONES] = {"sensor", "zones", -4, 2},
    [OWL_LEVER_BEAM] = {"sensor", "place", -32, 32},
    [OWL_LEVER_SENSOR] = {"sensor", "place", -32, 32},
    [OWL_LEVER_FLASH] = {"flash", "place", -16, 32},
    [OWL_LEVER_CAMERA] = {"camera", "place", -16, 16},
    [OWL_LEVER_FOCAL] = {"lens", "focal length", -16, 16},
};

/* ---- which levers there are ---- */

static bool has_lever(enum owl_lever_kind kind, const struct owl_plan *plan)
{
    bool beam = plan->sensor.kind == OWL_SENSOR_BEAM, bulb = isinf(plan->camera.shutter_s);
    switch (kind) {
    case OWL_LEVER_SHUTTER: return !bulb;
    case OWL_LEVER_HOLD:
    case OWL_LEVER_DAY_HOLD: return bulb;
    case OWL_LEVER_BEAM: return beam;
    case OWL_LEVER_PULSES:
    case OWL_LEVER_ZONES:
    case OWL_LEVER_AIM:
    case OWL_LEVER_SENSOR: return !beam;
    case OWL_LEVER_FOCUS: return owl_plan_gave(plan, "lens", 0, "focus distance");
    case OWL_LEVER_FOCAL: return !owl_plan_gave(plan, "lens", 0, "focal length");
    default: return true;
    }
}

int owl_levers_of(const struct owl_plan *plan, struct owl_lever lever[OWL_LEVERS_MOST])
{
    int count = 0;
    for (int kind = 0; kind < COUNT(rows); kind++) {
        const struct owl_section *section = owl_section_find(rows[kind].section);
        int times = section->most == 1 ? 1 : plan->flashes;
        if (!has_lever((enum owl_lever_kind)kind, plan))
            continue;
        for (int nth = 0; nth < times; nth++)
            lever[count++] = (struct owl_lever){(enum owl_lever_kind)kind, section,         nth, owl_field_find(section, rows[kind].field),
                                                rows[kind].least,          rows[kind].most};
    }
    return count;
}

/* ---- values ---- */

/* The step-th member of a rising series above the value, or below it for a negative step; NaN past its ends. */
static double along_series(const double *series, int count, double value, int step)
{
    const double slack = 1e-9;
    int above = 0, below = count - 1;
    while (above < count && series[above] <= value * (1.0 + slack))
        above++;
    while (below >= 0 && series[below] >= value * (1.0 - slack))
        below--;
    int place = step > 0 ? above + step - 1 : below + step + 1;
    return place >= 0 && place < count ? series[place] : NAN;
}

/* Whole thirds away and back onto the series; halfway to the next third the rounding of the series does not matter. */
static double third(double value, double stops_per_factor, int step)
{
    return value * exp2(step / stops_per_factor);
}

static double aperture_at(double fnumber, int step)
{
    return owl_dial_aperture_near(third(fnumber, 6.0, step));
}

static double iso_at(double iso, int step)
{
    double wanted = third(iso, 3.0, step), value = owl_dial_iso_up(wanted * exp2(-1.0 / 6.0));
    return step > 0 && value > ISO_MOST ? NAN : value;
}

static double shutter_at_s(double time_s, int step)
{
    double wanted_s = third(time_s, 3.0, step);
    return wanted_s > SLOWEST_S * exp2(1.0 / 6.0) ? NAN : owl_dial_shutter_down_s(wanted_s * exp2(1.0 / 6.0));
}

static double power_at(double power, int step)
{
    double wanted = power * exp2(step);
    return wanted > 1.01 ? NAN : owl_dial_power_down(wanted * 1.01);
}

static double whole_at(double value, int step)
{
    return floor(value + 0.5) + step;
}

static double focal_at_m(double focal_m, int step)
{
    double wanted_m = (floor(focal_m / FOCAL_STEP_M + 0.5) + step) * FOCAL_STEP_M;
    return fabs(wanted_m / focal_m - 1.0) <= REFRAMING_MOST ? wanted_m : NAN;
}

static double number_at(enum owl_lever_kind kind, double value, int step)
{
    switch (kind) {
    case OWL_LEVER_GATE_LEVEL: return along_series(levels_lx, COUNT(levels_lx), value, step);
    case OWL_LEVER_APERTURE: return aperture_at(value, step);
    case OWL_LEVER_ISO: return iso_at(value, step);
    case OWL_LEVER_SHUTTER:
    case OWL_LEVER_HOLD:
    case OWL_LEVER_DAY_HOLD: return shutter_at_s(value, step);
    case OWL_LEVER_POWER: return power_at(value, step);
    case OWL_LEVER_FRAMES: return along_series(frame_counts, COUNT(frame_counts), value, step);
    case OWL_LEVER_INTERVAL: return along_series(intervals_s, COUNT(intervals_s), value, step);
    case OWL_LEVER_PAUSE: return along_series(pauses_s, COUNT(pauses_s), value, step);
    case OWL_LEVER_PULSES:
    case OWL_LEVER_ZONES: return whole_at(value, step);
    case OWL_LEVER_FOCUS: return (floor(value / FOCUS_STEP_M + 0.5) + step) * FOCUS_STEP_M;
    case OWL_LEVER_FOCAL: return focal_at_m(value, step);
    default: return NAN;
    }
}

/* ---- places ---- */

static double to_grain_m(double value_m)
{
    return floor(value_m / GRAIN_M + 0.5) * GRAIN_M;
}

static struct owl_point point_to_grain(double x_m, double y_m, double z_m)
{
    return (struct owl_point){to_grain_m(x_m), to_grain_m(y_m), to_grain_m(z_m)};
}

/* On the line from the middle of the animal; farther for a positive step. False when it would come too near. */
static bool shift_away(const struct owl_plan *plan, const struct owl_point *place, int step, struct owl_point *shifted)
{
    struct owl_point middle = owl_stage_middle(plan);
    double distance_m = owl_point_distance_m(&middle, place), wanted_m = distance_m + step * PLACE_STEP_M;
    double factor = wanted_m / distance_m;
    if (!(wanted_m >= NEAREST_M) || !isfinite(factor))
        return false;
    *shifted = point_to_grain(middle.x_m + factor * (place->x_m - middle.x_m), middle.y_m + factor * (place->y_m - middle.y_m),
                              middle.z_m + factor * (place->z_m - middle.z_m));
    return true;
}

static struct owl_point shift_along(const struct owl_plan *plan, const struct owl_point *place, int step)
{
    double angle = plan->stage.path_angle_rad;
    return point_to_grain(place->x_m + step * AIM_STEP_M * cos(angle), place->y_m + step * AIM_STEP_M * sin(angle), place->z_m);
}

static bool reframes_little(const struct owl_plan *plan, int step)
{
    struct owl_point middle = owl_stage_middle(plan);
    return fabs(step * PLACE_STEP_M) <= REFRAMING_MOST * owl_point_distance_m(&middle, &plan->camera.place);
}

static bool place_at(const struct owl_lever *lever, const struct owl_plan *plan, int step, struct owl_point *place)
{
    const struct owl_point *from = owl_field_value(lever->section, lever->nth, lever->field, plan);
    switch (lever->kind) {
    case OWL_LEVER_AIM:
    case OWL_LEVER_BEAM: *place = shift_along(plan, from, step); return true;
    case OWL_LEVER_CAMERA: return reframes_little(plan, step) && shift_away(plan, from, step, place);
    default: return shift_away(plan, from, step, place);
    }
}

/* ---- changes ---- */

static struct owl_text begin_change(const struct owl_lever *lever, int field, struct owl_change *change)
{
    *change = (struct owl_change){.section = lever->section, .nth = lever->nth, .field = field};
    return owl_text_over(change->words, sizeof change->words);
}

static int change_number(const struct owl_lever *lever, const struct owl_plan *plan, int step, struct owl_change *change)
{
    const struct owl_field *field = &lever->section->fields[lever->field];
    double own = *(const double *)owl_field_value(lever->section, lever->nth, lever->field, plan);
    double value = number_at(lever->kind, own, step);
    bool repeated = value == number_at(lever->kind, own, step > 0 ? step - 1 : step + 1) && step * step > 1;
    if (!(value >= field->least && value <= field->most) || value == own || repeated)
        return 0;
    bool as_fraction = lever->kind == OWL_LEVER_HOLD || lever->kind == OWL_LEVER_DAY_HOLD;
    struct owl_text text = begin_change(lever, lever->field, change);
    owl_unit_show(as_fraction ? OWL_UNIT_SHUTTER : field->unit, value, &text);
    return 1;
}

static int change_choice(const struct owl_lever *lever, const struct owl_plan *plan, int step, struct owl_change *change)
{
    const struct owl_field *field = &lever->section->fields[lever->field];
    int own = *(const int *)owl_field_value(lever->section, lever->nth, lever->field, plan), choices = 0;
    while (field->choice(choices))
        choices++;
    struct owl_text text = begin_change(lever, lever->field, change);
    owl_text_words(&text, field->choice((own + step) % choices));
    return 1;
}

static int change_place(const struct owl_lever *lever, const struct owl_plan *plan, int step, struct owl_change *change)
{
    struct owl_point place;
    if (!place_at(lever, plan, step, &place))
        return 0;
    struct owl_text text = begin_change(lever, lever->field, change);
    owl_unit_show_point(&place, &text);
    if (lever->kind != OWL_LEVER_BEAM)
        return 1;
    struct owl_point end = shift_along(plan, &plan->sensor.aim, step);
    text = begin_change(lever, owl_field_find(lever->section, "aim"), change + 1);
    owl_unit_show_point(&end, &text);
    return 2;
}

int owl_lever_changes(const struct owl_lever *lever, const struct owl_plan *plan, int step,
                      struct owl_change change[OWL_LEVER_CHANGES])
{
    if (step == 0 || step < lever->least || step > lever->most)
        return 0;
    switch (lever->section->fields[lever->field].unit) {
    case OWL_UNIT_CHOICE: return change_choice(lever, plan, step, change);
    case OWL_UNIT_POINT: return change_place(lever, plan, step, change);
    default: return change_number(lever, plan, step, change);
    }
}

/* ---- what is to stay ---- */

#define NAME_BYTES 64

/* Small letters, `_` as a blank; false when it does not fit. */
static bool plain_name(const char *start, const char *end, char name[NAME_BYTES])
{
    size_t length = 0;
    for (; start < end; start++) {
        if (length + 1 >= NAME_BYTES)
            return false;
        name[length++] = *start == '_' ? ' ' : *start >= 'A' && *start <= 'Z' ? (char)(*start - 'A' + 'a') : *start;
    }
    name[length] = '\0';
    return true;
}

/* `flash` or `flash key`: all of a kind, or the one. */
static bool find_section(char *words, const struct owl_plan *plan, struct owl_keep *keep)
{
    char *name = strchr(words, ' ');
    if (name)
        *name++ = '\0';
    keep->section = owl_section_find(words);
    keep->nth = -1;
    if (!keep->section || !name)
        return keep->section != NULL;
    bool flash = strcmp(words, "flash") == 0;
    for (int i = 0; keep->section->most > 1 && i < (flash ? plan->flashes : plan->passers); i++)
        if (strcmp(flash ? plan->flash[i].name : plan->passer[i].name, name) == 0)
            keep->nth = i;
    return keep->nth >= 0;
}

static enum owl_kept find_bare(const char *name, struct owl_keep *keep)
{
    struct owl_keep found = {NULL, -1, -1};
    for (int s = 0; s < owl_section_count(); s++) {
        int field = owl_field_find(owl_section_at(s), name);
        if (field >= 0 && found.section)
            return OWL_KEPT_AMBIGUOUS;
        if (field >= 0)
            found = (struct owl_keep){owl_section_at(s), -1, field};
    }
    if (!found.section)
        return OWL_KEPT_UNKNOWN;
    *keep = found;
    return OWL_KEPT;
}

enum owl_kept owl_keep_find(const char *words, const struct owl_plan *plan, struct owl_keep *keep)
{
    char section[NAME_BYTES], field[NAME_BYTES];
    const char *point = strchr(words, '.'), *end = words + strlen(words);
    struct owl_keep found;
    if (!plain_name(point ? point + 1 : words, end, field))
        return OWL_KEPT_UNKNOWN;
    if (!point)
        return find_bare(field, keep);
    if (!plain_name(words, point, section) || !find_section(section, plan, &found))
        return OWL_KEPT_UNKNOWN;
    found.field = owl_field_find(found.section, field);
    if (found.field < 0)
        return OWL_KEPT_UNKNOWN;
    *keep = found;
    return OWL_KEPT;
}

static bool same_value(const struct owl_keep *keep, int nth, const struct owl_plan *plan, const struct owl_plan *changed)
{
    const void *own = owl_field_value(keep->section, nth, keep->field, plan);
    const void *other = owl_field_value(keep->section, nth, keep->field, changed);
    switch (keep->section->fields[keep->field].unit) {
    case OWL_UNIT_TEXT: return strcmp(own, other) == 0;
    case OWL_UNIT_CHOICE: return *(const int *)own == *(const int *)other;
    case OWL_UNIT_POINT: return memcmp(own, other, sizeof(struct owl_point)) == 0;
    default: return memcmp(own, other, sizeof(double)) == 0;
    }
}

bool owl_keeps_hold(const struct owl_keep *keep, int keeps, const struct owl_plan *plan, const struct owl_plan *changed)
{
    for (int i = 0; i < keeps; i++) {
        int last = keep[i].nth >= 0 ? keep[i].nth : keep[i].section->most - 1;
        for (int nth = keep[i].nth >= 0 ? keep[i].nth : 0; nth <= last; nth++)
            if (!same_value(&keep[i], nth, plan, changed))
                return false;
    }
    return true;
}
