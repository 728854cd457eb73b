/* Where sun and moon stand: from the time to rows of the sky table, by the IAU's published algorithms.
   Owns nothing.

   Times are UTC as in core/calendar.h, 1972-01-01 to 2100-01-01; outside, and for NaN, the functions return
   OWL_OUTSIDE_DOMAIN and leave their results untouched. UT1 is taken for UTC, wrong by less than 0.9 s; the
   motion of the pole, under 0.5", is left out. Positions are airless. Measured against outside libraries:
   altitudes within 0.002 deg, illuminated share within 4e-5, risings and settings within 1.5 s. */
#ifndef OWL_SKY_EPHEMERIS_H
#define OWL_SKY_EPHEMERIS_H

#include "core/model/sky_table.h"
#include "core/status.h"

struct owl_ephemeris_site {
    double latitude_rad;  /* geodetic, -pi/2..pi/2, north positive */
    double longitude_rad; /* -pi..pi, east positive */
    double height_m;      /* above the ellipsoid, -500..9000 */
};

/* Sun and moon as seen from the centre of the earth, light time and aberration in, m. Axes: the celestial
   intermediate system of the time (its pole, and its origin on the equator), so that turning by the earth
   rotation angle is all that lies between them and the ground. */
struct owl_ephemeris_bodies {
    double sun_m[3], moon_m[3];
};

/* Both bodies. Sun within 0.01", moon within 20" and 32 km of the best theories 1950-2100 [erfa]. */
enum owl_status owl_ephemeris_bodies(double unix_s, struct owl_ephemeris_bodies *bodies) OWL_MUST_USE;

/* Apparent geocentric place of a body, true equator and equinox of date. */
struct owl_ephemeris_place {
    double right_ascension_rad; /* 0..2 pi */
    double declination_rad;     /* -pi/2..pi/2 */
    double distance_m;
};

enum owl_status owl_ephemeris_places(double unix_s, struct owl_ephemeris_place *sun,
                                     struct owl_ephemeris_place *moon) OWL_MUST_USE;

/* One row for a site at a time. OWL_OUTSIDE_DOMAIN also for a site outside its ranges. */
enum owl_status owl_ephemeris_row(const struct owl_ephemeris_site *site, double unix_s,
                                  struct owl_sky_row *row) OWL_MUST_USE;

/* rows[count] at start_unix_s + i step_s, step_s > 0, count >= 0. The bodies are worked out every six hours and
   interpolated between, which moves them by at most 0.00001 deg; at steps of 600 s that makes a row twenty
   times cheaper than owl_ephemeris_row. The nodes reach 6 h before the first row and up to
   12 h behind the last, and must lie in the years of the theories too. On failure some rows may be written. */
enum owl_status owl_ephemeris_rows(const struct owl_ephemeris_site *site, double start_unix_s, double step_s,
                                   int count, struct owl_sky_row *rows) OWL_MUST_USE;

#endif
