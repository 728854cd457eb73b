/* Sun and moon through ERFA, and from the centre of the earth to the eye at the site. */
#include "sky/ephemeris.h"

#include <erfa.h>
#include <erfam.h>
#include <math.h>
#include <stdbool.h>

#include "core/constants.h"

#define FIRST_UNIX_S 63072000.0  /* 1972-01-01: UTC in whole leap seconds */
#define LAST_UNIX_S 4102444800.0 /* 2100-01-01: end of the theory of the earth [erfa] */
#define LOWEST_SITE_M (-500.0)
#define HIGHEST_SITE_M 9000.0

#define SUN_RADIUS_M 6.96e8 /* of rising and setting: 15.99' at 1 au [seidelmann1992] */
#define ASTRONOMICAL_UNIT_M ERFA_DAU
#define LIGHT_TIME_DAY_AU (ERFA_AULT / ERFA_DAYSEC)
#define MOON_LIGHT_TIME_DAY (1.282 / ERFA_DAYSEC) /* at its mean distance */

#define NODE_STEP_S 21600.0

struct instant {
    double utc[2], tt[2]; /* Julian dates in two parts */
};

static bool instant_of(double unix_s, struct instant *instant)
{
    double tai[2];
    if (!(unix_s >= FIRST_UNIX_S && unix_s < LAST_UNIX_S))
        return false;
    double days = floor(unix_s / ERFA_DAYSEC);
    instant->utc[0] = OWL_EPOCH_JULIAN_DAY + days;
    instant->utc[1] = (unix_s - days * ERFA_DAYSEC) / ERFA_DAYSEC;
    /* +1, "dubious year", comes with every date after the library's last leap second: the value is good. */
    if (eraUtctai(instant->utc[0], instant->utc[1], &tai[0], &tai[1]) < 0)
        return false;
    return eraTaitt(tai[0], tai[1], &instant->tt[0], &instant->tt[1]) == 0;
}

/* Apparent geocentric sun in the GCRS, m. The sun's own motion about the barycentre, 16 m/s, takes it back to where
   the light left it; what the light time changes meanwhile is 1e-8 of it. */
static void find_sun(const double tt[2], double sun_m[3])
{
    double helio[2][3], bary[2][3], sun[2][3], then[3], towards[3], velocity[3], seen[3], distance_au;
    eraEpv00(tt[0], tt[1], helio, bary);
    double light_time_day = eraPm(helio[0]) * LIGHT_TIME_DAY_AU;
    eraPvmpv(bary, helio, sun);
    eraPpsp(sun[0], -light_time_day, sun[1], then);
    eraPmp(then, bary[0], towards);
    eraPn(towards, &distance_au, towards);
    eraSxp(LIGHT_TIME_DAY_AU, bary[1], velocity); /* in units of that of light */
    eraAb(towards, velocity, eraPm(helio[0]), sqrt(1.0 - eraPdp(velocity, velocity)), seen);
    eraSxp(distance_au * ASTRONOMICAL_UNIT_M, seen, sun_m);
}

/* Apparent geocentric moon in the GCRS, m. Seen from an earth that shares its way round the sun, light time and
   annual aberration cancel but for the moon's own motion about the earth. */
static void find_moon(const double tt[2], double moon_m[3])
{
    double moon[2][3];
    eraMoon98(tt[0], tt[1] - MOON_LIGHT_TIME_DAY, moon);
    eraSxp(ASTRONOMICAL_UNIT_M, moon[0], moon_m);
}

/* The 2000B nutation differs from the full one by less than 0.001" and costs a tenth. */
static void turn_to_intermediate(const double tt[2], struct owl_ephemeris_bodies *bodies)
{
    double x, y, s, matrix[3][3];
    eraXys00b(tt[0], tt[1], &x, &y, &s);
    eraC2ixys(x, y, s, matrix);
    eraRxp(matrix, bodies->sun_m, bodies->sun_m);
    eraRxp(matrix, bodies->moon_m, bodies->moon_m);
}

enum owl_status owl_ephemeris_bodies(double unix_s, struct owl_ephemeris_bodies *bodies)
{
    struct instant instant;
    if (!instant_of(unix_s, &instant))
        return OWL_OUTSIDE_DOMAIN;
    find_sun(instant.tt, bodies->sun_m);
    find_moon(instant.tt, bodies->moon_m);
    turn_to_intermediate(instant.tt, bodies);
    return OWL_OK;
}

/* Right ascension runs from the equinox, the intermediate one from its own origin: the equation of the
   origins lies between. */
static struct owl_ephemeris_place place_of(double body_m[3], double origins_rad)
{
    double longitude, latitude;
    eraC2s(body_m, &longitude, &latitude);
    return (struct owl_ephemeris_place){eraAnp(longitude - origins_rad), latitude, eraPm(body_m)};
}

enum owl_status owl_ephemeris_places(double unix_s, struct owl_ephemeris_place *sun, struct owl_ephemeris_place *moon)
{
    struct instant instant;
    struct owl_ephemeris_bodies bodies;
    enum owl_status status = owl_ephemeris_bodies(unix_s, &bodies);
    if (status != OWL_OK || !instant_of(unix_s, &instant))
        return OWL_OUTSIDE_DOMAIN;
    double origins_rad = eraEo06a(instant.tt[0], instant.tt[1]);
    *sun = place_of(bodies.sun_m, origins_rad);
    *moon = place_of(bodies.moon_m, origins_rad);
    return OWL_OK;
}

/* A site made ready: its place, and the directions of its axes, in the rotating frame of the earth. */
struct station {
    double place_m[3], axis[3][3]; /* east, north, up */
};

static bool station_of(const struct owl_ephemeris_site *site, struct station *station)
{
    if (!(fabs(site->latitude_rad) <= OWL_PI / 2.0 && fabs(site->longitude_rad) <= OWL_PI &&
          site->height_m >= LOWEST_SITE_M && site->height_m <= HIGHEST_SITE_M))
        return false;
    double sl = sin(site->longitude_rad), cl = cos(site->longitude_rad);
    double sp = sin(site->latitude_rad), cp = cos(site->latitude_rad);
    *station = (struct station){.axis = {{-sl, cl, 0.0}, {-sp * cl, -sp * sl, cp}, {cp * cl, cp * sl, sp}}};
    return eraGd2gc(ERFA_WGS84, site->longitude_rad, site->latitude_rad, site->height_m, station->place_m) == 0;
}

/* The direction of a body by the site's axes. */
static void sight(struct station *station, double turned[3][3], double body_m[3], double seen[3])
{
    double v[3], distance;
    eraRxp(turned, body_m, v);
    eraPmp(v, station->place_m, v);
    eraRxp(station->axis, v, v);
    eraPn(v, &distance, seen);
}

static double phase_angle_rad(struct owl_ephemeris_bodies *bodies)
{
    double to_earth[3], to_sun[3];
    eraSxp(-1.0, bodies->moon_m, to_earth);
    eraPmp(bodies->sun_m, bodies->moon_m, to_sun);
    return eraSepp(to_earth, to_sun);
}

/* The earth rotation angle takes UT1; its date in two parts keeps the fraction of a second. */
static struct owl_sky_row row_of(struct station *station, struct owl_ephemeris_bodies *bodies, double unix_s)
{
    struct owl_sky_row row;
    double turned[3][3];
    double days = floor(unix_s / ERFA_DAYSEC);
    eraIr(turned);
    eraRz(eraEra00(OWL_EPOCH_JULIAN_DAY + days, unix_s / ERFA_DAYSEC - days), turned);
    sight(station, turned, bodies->sun_m, row.sun);
    sight(station, turned, bodies->moon_m, row.moon);
    row.moon_phase_rad = phase_angle_rad(bodies);
    row.moon_parallax_rad = asin(OWL_EARTH_RADIUS_M / eraPm(bodies->moon_m));
    row.sun_radius_rad = atan(SUN_RADIUS_M / eraPm(bodies->sun_m));
    return row;
}

enum owl_status owl_ephemeris_row(const struct owl_ephemeris_site *site, double unix_s, struct owl_sky_row *row)
{
    struct station station;
    struct owl_ephemeris_bodies bodies;
    if (!station_of(site, &station))
        return OWL_OUTSIDE_DOMAIN;
    enum owl_status status = owl_ephemeris_bodies(unix_s, &bodies);
    if (status == OWL_OK)
        *row = row_of(&station, &bodies, unix_s);
    return status;
}

/* Four nodes in a row, the time wanted lying between the second and the third. */
struct track {
    double first_unix_s;
    struct owl_ephemeris_bodies node[4];
};

/* Moves the track on so that unix_s lies in its middle, working out only the nodes not yet held. */
static enum owl_status follow(struct track *track, double unix_s)
{
    while (unix_s >= track->first_unix_s + 2.0 * NODE_STEP_S) {
        for (int i = 0; i < 3; i++)
            track->node[i] = track->node[i + 1];
        track->first_unix_s += NODE_STEP_S;
        enum owl_status status = owl_ephemeris_bodies(track->first_unix_s + 3.0 * NODE_STEP_S, &track->node[3]);
        if (status != OWL_OK)
            return status;
    }
    return OWL_OK;
}

static enum owl_status begin(struct track *track, double unix_s)
{
    track->first_unix_s = unix_s - NODE_STEP_S;
    for (int i = 0; i < 4; i++) {
        enum owl_status status = owl_ephemeris_bodies(track->first_unix_s + i * NODE_STEP_S, &track->node[i]);
        if (status != OWL_OK)
            return status;
    }
    return OWL_OK;
}

/* The cubic through the four nodes. */
static struct owl_ephemeris_bodies bodies_between(const struct track *track, double unix_s)
{
    double u = (unix_s - track->first_unix_s) / NODE_STEP_S - 1.0;
    const double weight[4] = {-u * (u - 1.0) * (u - 2.0) / 6.0, (u + 1.0) * (u - 1.0) * (u - 2.0) / 2.0,
                              -(u + 1.0) * u * (u - 2.0) / 2.0, (u + 1.0) * u * (u - 1.0) / 6.0};
    struct owl_ephemeris_bodies bodies = {{0.0, 0.0, 0.0}, {0.0, 0.0, 0.0}};
    for (int i = 0; i < 4; i++)
        for (int axis = 0; axis < 3; axis++) {
            bodies.sun_m[axis] += weight[i] * track->node[i].sun_m[axis];
            bodies.moon_m[axis] += weight[i] * track->node[i].moon_m[axis];
        }
    return bodies;
}

enum owl_status owl_ephemeris_rows(const struct owl_ephemeris_site *site, double start_unix_s, double step_s,
                                   int count, struct owl_sky_row *rows)
{
    struct station station;
    struct track track;
    if (!station_of(site, &station) || !(step_s > 0.0))
        return OWL_OUTSIDE_DOMAIN;
    enum owl_status status = begin(&track, start_unix_s);
    for (int i = 0; i < count && status == OWL_OK; i++) {
        double unix_s = start_unix_s + i * step_s;
        status = follow(&track, unix_s);
        if (status == OWL_OK) {
            struct owl_ephemeris_bodies bodies = bodies_between(&track, unix_s);
            rows[i] = row_of(&station, &bodies, unix_s);
        }
    }
    return status;
}
