/* The sky over one site as a plain table of sun and moon at even steps, filled elsewhere, and what is read
   from it: positions, risings and settings, light, and the site's clock.

   The caller owns the rows and keeps them as long as the table is read. Between rows the vectors are
   interpolated by a cubic through the four nearest: for steps of 600, 1200 and 1800 s that moves
   positions by at most 0.00001, 0.00004 and 0.0002 deg. Times are `_unix_s` as in core/calendar.h. */
#ifndef OWL_CORE_MODEL_SKY_TABLE_H
#define OWL_CORE_MODEL_SKY_TABLE_H

#include "core/calendar.h"
#include "core/status.h"

#define OWL_MOON_RADIUS_M 1737400.0  /* mean [iau2015] */
#define OWL_EARTH_RADIUS_M 6378137.0 /* equatorial, of the parallax [wgs84] */

#define OWL_SKY_LEAST_ROWS 4
#define OWL_ZONE_SPANS 16

/* Unit vectors are east, north, up: airless, seen from the site. */
struct owl_sky_row {
    double sun[3], moon[3];
    double moon_phase_rad;    /* angle sun-moon-earth: 0 full .. pi new */
    double moon_parallax_rad; /* equatorial horizontal parallax */
    double sun_radius_rad;    /* semi-diameter */
};

/* A stretch of time with one offset of the clock, lasting until the next span begins. */
struct owl_zone_span {
    double from_unix_s;
    int offset_s; /* clock minus UTC: east positive */
    char name[8]; /* "CET", "+0545": closed with NUL, cut if longer */
};

struct owl_sky {
    double start_unix_s, step_s; /* row i is at start_unix_s + i step_s; step_s > 0 */
    int count;                   /* rows, at least OWL_SKY_LEAST_ROWS */
    const struct owl_sky_row *rows;
    double first_noon_unix_s; /* local mean noon that begins the first night */
    int nights;
    struct owl_zone_span zone[OWL_ZONE_SPANS]; /* in order of time */
    int zone_count;                            /* 0: the clock shows UTC */
};

/* Airless altitudes, -pi/2..pi/2; azimuths from north through east, 0..2 pi. */
struct owl_sky_moment {
    double sun_altitude_rad, sun_azimuth_rad;
    double moon_altitude_rad, moon_azimuth_rad;
    double moon_phase_rad;
    double moon_lit; /* illuminated share of the disc, 0..1 [meeus1998] */
    double moon_parallax_rad;
};

/* Sun and moon at a time. OWL_OUTSIDE_DOMAIN before the first row, after the last, and for NaN; *moment is
   then untouched. */
enum owl_status owl_sky_at(const struct owl_sky *sky, double unix_s, struct owl_sky_moment *moment) OWL_MUST_USE;

enum owl_sky_event_kind {
    OWL_SUNSET,
    OWL_CIVIL_DUSK,        /* sun 6 deg below the horizon, sinking */
    OWL_NAUTICAL_DUSK,     /* 12 deg */
    OWL_ASTRONOMICAL_DUSK, /* 18 deg */
    OWL_ASTRONOMICAL_DAWN,
    OWL_NAUTICAL_DAWN,
    OWL_CIVIL_DAWN,
    OWL_SUNRISE,
    OWL_MOONRISE,
    OWL_MOONSET,
    OWL_SKY_EVENTS
};

enum owl_sky_event_what {
    OWL_EVENT_AT,         /* at unix_s */
    OWL_EVENT_NONE,       /* the altitude is crossed in the window, but only the other way */
    OWL_EVENT_ALWAYS_UP,  /* the body stays above the event's altitude */
    OWL_EVENT_ALWAYS_DOWN /* it stays below */
};

struct owl_sky_event {
    enum owl_sky_event_what what;
    double unix_s; /* NaN unless OWL_EVENT_AT */
};

/* The first event of each kind in [from, from + 24 h); from is local mean noon as a rule. Rising and setting
   are of the upper limb with 34' of refraction. However short, none is missed: the window is cut where a body
   culminates, so that between cuts a crossing shows in the ends. Times are within 1.5 s of outside libraries
   at steps of 600 s; the weather's refraction moves the real ones by a minute and more.
   OWL_OUTSIDE_DOMAIN when the table does not hold the whole window; the events are then untouched. */
enum owl_status owl_sky_events(const struct owl_sky *sky, double from_unix_s,
                               struct owl_sky_event events[OWL_SKY_EVENTS]) OWL_MUST_USE;

/* The light under this sky at every row: lg_lx[count] takes the logarithm to base 10 of
   owl_twilight_horizontal_lx. cloud 0..3, open_sky above 0 up to 1, else OWL_OUTSIDE_DOMAIN. */
enum owl_status owl_sky_fill_light(const struct owl_sky *sky, double cloud, double open_sky,
                                   double *lg_lx) OWL_MUST_USE;

/* Light between rows from what owl_sky_fill_light made, lx: a cubic in lg lx that stays between its rows. NaN
   outside the table. Off by at most 18 % at steps of 600 s (0.7 % in the mean), at 1800 s by a factor of 2.4
   (6 %); more only in the step in which a bright moon rises or sets in the dark, where the light itself
   jumps: a factor of 2 at 600 s. */
double owl_sky_light_lx(const struct owl_sky *sky, const double *lg_lx, double unix_s);

/* Clock minus UTC at a time, s. Before the first span its offset holds; without spans it is 0. */
int owl_sky_offset_s(const struct owl_sky *sky, double unix_s);

/* The zone's short name at a time, "UTC" without spans; lives as long as the table. */
const char *owl_sky_zone_name(const struct owl_sky *sky, double unix_s);

/* What the clock shows, as seconds since 1970-01-01T00:00 by that clock. */
double owl_sky_local_s(const struct owl_sky *sky, double unix_s);

/* The time at which the clock shows second_of_day of a date; seconds below 0 or from 86400 on count into
   the neighbouring days. When the clock is put back and shows it twice, the first. When it is put forward
   over it, the time as far beyond the change as the wish was: 02:30 becomes 03:30. NaN for a date that does
   not exist. */
double owl_sky_unix_s(const struct owl_sky *sky, struct owl_date date, int second_of_day);

#endif
