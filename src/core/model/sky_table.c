/* Reading the sky table: interpolation, events, light and clock. */
#include "core/model/sky_table.h"

#include <math.h>
#include <stdbool.h>
#include <stddef.h>

#include "core/constants.h"
#include "core/model/twilight.h"

#define HORIZON_REFRACTION_RAD (34.0 / 60.0 * OWL_RAD_PER_DEG) /* common practice of almanacs [meeus1998] */
#define CIVIL_RAD (-6.0 * OWL_RAD_PER_DEG)
#define NAUTICAL_RAD (-12.0 * OWL_RAD_PER_DEG)
#define ASTRONOMICAL_RAD (-18.0 * OWL_RAD_PER_DEG)

#define SCAN_STEPS 48 /* of a day; culminations lie half a day apart, so a step holds one at most */
#define SCAN_STEP_S (OWL_SECONDS_PER_DAY / SCAN_STEPS)
#define MOST_KNOTS (2 * SCAN_STEPS + 1)
#define SLOPE_SPAN_S 1.0
#define TIME_GRAIN_S 1e-3

/* Four rows and their weights: the Lagrange cubic through them at one time. */
struct place {
    const struct owl_sky_row *row;
    double weight[4];
};

static double end_unix_s(const struct owl_sky *sky)
{
    return sky->start_unix_s + (sky->count - 1) * sky->step_s;
}

static bool covers(const struct owl_sky *sky, double unix_s)
{
    return sky->count >= OWL_SKY_LEAST_ROWS && unix_s >= sky->start_unix_s && unix_s <= end_unix_s(sky);
}

/* The row at or before a time counted in steps, from the first to `last`. */
static int row_before(double steps, int last)
{
    int row = (int)steps;
    if (row > last)
        row = last;
    return row < 0 ? 0 : row;
}

/* u counts steps from the second of the four rows: 0..1 but at the table's ends. */
static struct place place_of(const struct owl_sky *sky, double unix_s)
{
    double steps = (unix_s - sky->start_unix_s) / sky->step_s;
    int first = row_before(steps - 1.0, sky->count - OWL_SKY_LEAST_ROWS);
    double u = steps - first - 1.0;
    return (struct place){
        .row = sky->rows + first,
        .weight = {-u * (u - 1.0) * (u - 2.0) / 6.0, (u + 1.0) * (u - 1.0) * (u - 2.0) / 2.0,
                   -(u + 1.0) * u * (u - 2.0) / 2.0, (u + 1.0) * u * (u - 1.0) / 6.0},
    };
}

static double blend(const struct place *place, double a, double b, double c, double d)
{
    return place->weight[0] * a + place->weight[1] * b + place->weight[2] * c + place->weight[3] * d;
}

#define BLENDED(place, member)                                                                                       \
    blend(place, (place)->row[0].member, (place)->row[1].member, (place)->row[2].member, (place)->row[3].member)

struct vector {
    double east, north, up;
};

static struct vector sun_vector(const struct place *place)
{
    return (struct vector){BLENDED(place, sun[0]), BLENDED(place, sun[1]), BLENDED(place, sun[2])};
}

static struct vector moon_vector(const struct place *place)
{
    return (struct vector){BLENDED(place, moon[0]), BLENDED(place, moon[1]), BLENDED(place, moon[2])};
}

/* Taking the angle from both legs makes renormalising needless and keeps the zenith sharp. */
static double altitude_of(struct vector v)
{
    return atan2(v.up, sqrt(v.east * v.east + v.north * v.north));
}

static double azimuth_of(struct vector v)
{
    double azimuth_rad = atan2(v.east, v.north);
    return azimuth_rad < 0.0 ? azimuth_rad + OWL_TAU : azimuth_rad;
}

enum owl_status owl_sky_at(const struct owl_sky *sky, double unix_s, struct owl_sky_moment *moment)
{
    if (!covers(sky, unix_s))
        return OWL_OUTSIDE_DOMAIN;
    struct place place = place_of(sky, unix_s);
    struct vector sun = sun_vector(&place), moon = moon_vector(&place);
    double phase_rad = fmin(fmax(BLENDED(&place, moon_phase_rad), 0.0), OWL_PI);
    *moment = (struct owl_sky_moment){
        .sun_altitude_rad = altitude_of(sun),
        .sun_azimuth_rad = azimuth_of(sun),
        .moon_altitude_rad = altitude_of(moon),
        .moon_azimuth_rad = azimuth_of(moon),
        .moon_phase_rad = phase_rad,
        .moon_lit = (1.0 + cos(phase_rad)) / 2.0,
        .moon_parallax_rad = BLENDED(&place, moon_parallax_rad),
    };
    return OWL_OK;
}

enum body { SUN, MOON };

struct event_rule {
    enum body body;
    bool rising;
    bool limb; /* upper limb at the refracted horizon; else the centre at altitude_rad */
    double altitude_rad;
};

static const struct event_rule event_rules[OWL_SKY_EVENTS] = {
    [OWL_SUNSET] = {SUN, false, true, 0.0},
    [OWL_CIVIL_DUSK] = {SUN, false, false, CIVIL_RAD},
    [OWL_NAUTICAL_DUSK] = {SUN, false, false, NAUTICAL_RAD},
    [OWL_ASTRONOMICAL_DUSK] = {SUN, false, false, ASTRONOMICAL_RAD},
    [OWL_ASTRONOMICAL_DAWN] = {SUN, true, false, ASTRONOMICAL_RAD},
    [OWL_NAUTICAL_DAWN] = {SUN, true, false, NAUTICAL_RAD},
    [OWL_CIVIL_DAWN] = {SUN, true, false, CIVIL_RAD},
    [OWL_SUNRISE] = {SUN, true, true, 0.0},
    [OWL_MOONRISE] = {MOON, true, true, 0.0},
    [OWL_MOONSET] = {MOON, false, true, 0.0},
};

/* Altitude and apparent radius of one body. */
struct disc {
    double altitude_rad, radius_rad;
};

/* The moon's own distance from the site follows from parallax and altitude in the triangle earth's centre,
   site, moon: d = sqrt(D^2 - (r cos h)^2) - r sin h. The flattening of the earth costs 1e-4 of the radius. */
static double moon_radius_rad(double parallax_rad, double altitude_rad)
{
    double centre_m = OWL_EARTH_RADIUS_M / sin(parallax_rad);
    double across_m = OWL_EARTH_RADIUS_M * cos(altitude_rad);
    double site_m = sqrt(centre_m * centre_m - across_m * across_m) - OWL_EARTH_RADIUS_M * sin(altitude_rad);
    return asin(OWL_MOON_RADIUS_M / site_m);
}

static struct disc disc_at(const struct owl_sky *sky, enum body body, double unix_s)
{
    struct place place = place_of(sky, unix_s);
    struct disc disc;
    if (body == SUN) {
        disc.altitude_rad = altitude_of(sun_vector(&place));
        disc.radius_rad = BLENDED(&place, sun_radius_rad);
    } else {
        disc.altitude_rad = altitude_of(moon_vector(&place));
        disc.radius_rad = moon_radius_rad(BLENDED(&place, moon_parallax_rad), disc.altitude_rad);
    }
    return disc;
}

/* How far the body stands above the event's altitude. */
static double above_rad(const struct event_rule *rule, struct disc disc)
{
    double wanted_rad = rule->limb ? -(HORIZON_REFRACTION_RAD + disc.radius_rad) : rule->altitude_rad;
    return disc.altitude_rad - wanted_rad;
}

/* Times that cut the window so that the body only rises or only sinks between two of them. */
struct knots {
    int count;
    double unix_s[MOST_KNOTS];
    struct disc disc[MOST_KNOTS];
};

/* Sine of the altitude: rises and falls with it, without its arc functions. */
static double altitude_sine(const struct owl_sky *sky, enum body body, double unix_s)
{
    struct place place = place_of(sky, unix_s);
    struct vector v = body == SUN ? sun_vector(&place) : moon_vector(&place);
    return v.up / sqrt(v.east * v.east + v.north * v.north + v.up * v.up);
}

static bool is_rising(const struct owl_sky *sky, enum body body, double unix_s)
{
    double before = altitude_sine(sky, body, unix_s - SLOPE_SPAN_S);
    return altitude_sine(sky, body, unix_s + SLOPE_SPAN_S) > before;
}

static double culmination_unix_s(const struct owl_sky *sky, enum body body, double from_s, double to_s)
{
    bool rising = is_rising(sky, body, from_s);
    while (to_s - from_s > TIME_GRAIN_S) {
        double middle_s = from_s + (to_s - from_s) / 2.0;
        if (is_rising(sky, body, middle_s) == rising)
            from_s = middle_s;
        else
            to_s = middle_s;
    }
    return from_s;
}

static void add_knot(const struct owl_sky *sky, enum body body, double unix_s, struct knots *knots)
{
    knots->unix_s[knots->count] = unix_s;
    knots->disc[knots->count] = disc_at(sky, body, unix_s);
    knots->count++;
}

static void cut_window(const struct owl_sky *sky, enum body body, double from_s, struct knots *knots)
{
    bool rising = is_rising(sky, body, from_s);
    knots->count = 0;
    add_knot(sky, body, from_s, knots);
    for (int i = 1; i <= SCAN_STEPS; i++) {
        double here_s = from_s + i * SCAN_STEP_S;
        bool rising_here = is_rising(sky, body, here_s);
        if (rising_here != rising)
            add_knot(sky, body, culmination_unix_s(sky, body, here_s - SCAN_STEP_S, here_s), knots);
        add_knot(sky, body, here_s, knots);
        rising = rising_here;
    }
}

static double crossing_unix_s(const struct owl_sky *sky, const struct event_rule *rule, double from_s, double to_s)
{
    while (to_s - from_s > TIME_GRAIN_S) {
        double middle_s = from_s + (to_s - from_s) / 2.0;
        bool up = above_rad(rule, disc_at(sky, rule->body, middle_s)) >= 0.0;
        if (up == rule->rising)
            to_s = middle_s;
        else
            from_s = middle_s;
    }
    return from_s + (to_s - from_s) / 2.0;
}

static struct owl_sky_event event_of(const struct owl_sky *sky, const struct event_rule *rule,
                                     const struct knots *knots)
{
    bool up = above_rad(rule, knots->disc[0]) >= 0.0;
    bool crossed = false;
    for (int i = 1; i < knots->count; i++) {
        bool up_here = above_rad(rule, knots->disc[i]) >= 0.0;
        if (up_here != up && up_here == rule->rising)
            return (struct owl_sky_event){OWL_EVENT_AT,
                                          crossing_unix_s(sky, rule, knots->unix_s[i - 1], knots->unix_s[i])};
        crossed = crossed || up_here != up;
        up = up_here;
    }
    if (crossed)
        return (struct owl_sky_event){OWL_EVENT_NONE, NAN};
    return (struct owl_sky_event){up ? OWL_EVENT_ALWAYS_UP : OWL_EVENT_ALWAYS_DOWN, NAN};
}

enum owl_status owl_sky_events(const struct owl_sky *sky, double from_unix_s,
                               struct owl_sky_event events[OWL_SKY_EVENTS])
{
    struct knots knots;
    if (!covers(sky, from_unix_s) || !covers(sky, from_unix_s + OWL_SECONDS_PER_DAY))
        return OWL_OUTSIDE_DOMAIN;
    cut_window(sky, SUN, from_unix_s, &knots);
    for (int kind = OWL_SUNSET; kind <= OWL_SUNRISE; kind++)
        events[kind] = event_of(sky, &event_rules[kind], &knots);
    cut_window(sky, MOON, from_unix_s, &knots);
    for (int kind = OWL_MOONRISE; kind <= OWL_MOONSET; kind++)
        events[kind] = event_of(sky, &event_rules[kind], &knots);
    return OWL_OK;
}

enum owl_status owl_sky_fill_light(const struct owl_sky *sky, double cloud, double open_sky, double *lg_lx)
{
    if (!(cloud >= OWL_CLOUD_CLEAR && cloud <= OWL_CLOUD_DARK && open_sky > 0.0 && open_sky <= 1.0))
        return OWL_OUTSIDE_DOMAIN;
    for (int i = 0; i < sky->count; i++) {
        const struct owl_sky_row *row = &sky->rows[i];
        struct owl_twilight_sky above = {
            .sun_altitude_rad = altitude_of((struct vector){row->sun[0], row->sun[1], row->sun[2]}),
            .moon_altitude_rad = altitude_of((struct vector){row->moon[0], row->moon[1], row->moon[2]}),
            .moon_phase_rad = row->moon_phase_rad,
            .moon_parallax_rad = row->moon_parallax_rad,
            .cloud = cloud,
            .open_sky = open_sky,
        };
        lg_lx[i] = log10(owl_twilight_horizontal_lx(&above));
    }
    return OWL_OK;
}

/* Slope at a row from those of the steps beside it: their harmonic mean, 0 where they differ in sign. A
   cubic with such slopes runs monotonically from row to row. */
static double slope_between(double before, double after)
{
    return before * after > 0.0 ? 2.0 * before * after / (before + after) : 0.0;
}

double owl_sky_light_lx(const struct owl_sky *sky, const double *lg_lx, double unix_s)
{
    if (!covers(sky, unix_s))
        return NAN;
    double steps = (unix_s - sky->start_unix_s) / sky->step_s;
    int row = row_before(steps, sky->count - 2);
    double u = steps - row;
    double rise = lg_lx[row + 1] - lg_lx[row];
    double before = row > 0 ? slope_between(lg_lx[row] - lg_lx[row - 1], rise) : rise;
    double after = row + 2 < sky->count ? slope_between(rise, lg_lx[row + 2] - lg_lx[row + 1]) : rise;
    double cubic = before + after - 2.0 * rise;
    double square = 3.0 * rise - 2.0 * before - after;
    return pow(10.0, lg_lx[row] + u * (before + u * (square + u * cubic)));
}

/* The span a time falls in; NULL without spans. */
static const struct owl_zone_span *span_at(const struct owl_sky *sky, double unix_s)
{
    int i = sky->zone_count - 1;
    if (i < 0)
        return NULL;
    while (i > 0 && unix_s < sky->zone[i].from_unix_s)
        i--;
    return &sky->zone[i];
}

int owl_sky_offset_s(const struct owl_sky *sky, double unix_s)
{
    const struct owl_zone_span *span = span_at(sky, unix_s);
    return span ? span->offset_s : 0;
}

const char *owl_sky_zone_name(const struct owl_sky *sky, double unix_s)
{
    const struct owl_zone_span *span = span_at(sky, unix_s);
    return span ? span->name : "UTC";
}

double owl_sky_local_s(const struct owl_sky *sky, double unix_s)
{
    return unix_s + owl_sky_offset_s(sky, unix_s);
}

/* The first span that has not ended by the wished time under its own offset is the one; if it has not
   even begun, the wish fell into the gap before it, and the offset of the span before carries it over. */
double owl_sky_unix_s(const struct owl_sky *sky, struct owl_date date, int second_of_day)
{
    if (!owl_calendar_valid(date))
        return NAN;
    double local_s = (double)owl_calendar_days(date) * OWL_SECONDS_PER_DAY + second_of_day;
    if (sky->zone_count == 0)
        return local_s;
    int i = 0;
    while (i + 1 < sky->zone_count && local_s - sky->zone[i].offset_s >= sky->zone[i + 1].from_unix_s)
        i++;
    if (i > 0 && local_s - sky->zone[i].offset_s < sky->zone[i].from_unix_s)
        i--;
    return local_s - sky->zone[i].offset_s;
}
