/* Time to fill the sky table of 120 nights, against the same positions from a general astronomy library asked row by
   row: sun and moon, seen from the site, altitude and azimuth. The library takes milliseconds a row, so it is given
   every LEAP-th of them and its time told by the row. Prints both and their ratio, best of several rounds. */
#include <libnova/libnova.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "core/constants.h"
#include "sky/ephemeris.h"
#include "sky/watch_sky.h"

#define NIGHTS 120
#define ROUNDS 5
#define LEAP 64
#define LATITUDE_DEG 57.0
#define LONGITUDE_DEG (-4.5)
#define HEIGHT_M 300.0
#define KM_PER_AU 149597870.7

static double now_s(void)
{
    struct timespec time;
    clock_gettime(CLOCK_MONOTONIC, &time);
    return (double)time.tv_sec + 1e-9 * (double)time.tv_nsec;
}

static double fill_ours(double start_unix_s, int count, struct owl_sky_row *rows)
{
    struct owl_ephemeris_site site = {LATITUDE_DEG * OWL_RAD_PER_DEG, LONGITUDE_DEG * OWL_RAD_PER_DEG, HEIGHT_M};
    double begin_s = now_s();
    if (owl_ephemeris_rows(&site, start_unix_s, OWL_WATCH_STEP_S, count, rows) != OWL_OK)
        exit(EXIT_FAILURE);
    return now_s() - begin_s;
}

/* Two altitudes and azimuths, degrees. */
struct sight {
    struct ln_hrz_posn sun, moon;
};

/* The library's places are of the year 2000's equator: turned to the day's, moved to the site, then to the horizon.
 */
static void seen_from_site(struct ln_equ_posn *place_2000, double distance_au, struct ln_lnlat_posn *observer,
                           double julian_day, struct ln_hrz_posn *seen)
{
    struct ln_equ_posn place, shift;
    ln_get_equ_prec(place_2000, julian_day, &place);
    ln_get_parallax(&place, distance_au, observer, HEIGHT_M, julian_day, &shift);
    place.ra += shift.ra;
    place.dec += shift.dec;
    ln_get_hrz_from_equ(&place, observer, julian_day, seen);
}

/* Every LEAP-th row only. */
static double fill_theirs(double start_unix_s, int count, struct sight *sights)
{
    struct ln_lnlat_posn observer = {.lng = LONGITUDE_DEG, .lat = LATITUDE_DEG};
    double begin_s = now_s();
    for (int i = 0; i < count; i += LEAP) {
        double julian_day = owl_calendar_julian_day(start_unix_s + i * OWL_WATCH_STEP_S);
        double dynamical_day = ln_get_jde(julian_day);
        struct ln_equ_posn sun, moon;
        ln_get_solar_equ_coords(dynamical_day, &sun);
        ln_get_lunar_equ_coords(dynamical_day, &moon);
        seen_from_site(&sun, ln_get_earth_solar_dist(dynamical_day), &observer, julian_day, &sights[i].sun);
        seen_from_site(&moon, ln_get_lunar_earth_dist(dynamical_day) / KM_PER_AU, &observer, julian_day,
                       &sights[i].moon);
    }
    return now_s() - begin_s;
}

/* Proof that both did the same work: the largest difference in altitude, degrees. */
static double largest_difference(int count, const struct owl_sky_row *rows, const struct sight *sights)
{
    double largest = 0.0;
    for (int i = 0; i < count; i += LEAP) {
        largest = fmax(largest, fabs(asin(rows[i].sun[2]) * OWL_DEG_PER_RAD - sights[i].sun.alt));
        largest = fmax(largest, fabs(asin(rows[i].moon[2]) * OWL_DEG_PER_RAD - sights[i].moon.alt));
    }
    return largest;
}

int main(void)
{
    int count = (int)((NIGHTS * OWL_SECONDS_PER_DAY + 2.0 * OWL_WATCH_MARGIN_S) / OWL_WATCH_STEP_S) + 1;
    double start_unix_s = (double)owl_calendar_days((struct owl_date){2026, 9, 1}) * OWL_SECONDS_PER_DAY + 36000.0;
    struct owl_sky_row *rows = calloc((size_t)count, sizeof *rows);
    struct sight *sights = calloc((size_t)count, sizeof *sights);
    double ours_s = INFINITY, theirs_s = INFINITY;
    if (!rows || !sights)
        return EXIT_FAILURE;
    for (int round = 0; round < ROUNDS; round++) {
        ours_s = fmin(ours_s, fill_ours(start_unix_s, count, rows));
        theirs_s = fmin(theirs_s, fill_theirs(start_unix_s, count, sights));
    }
    double our_row_us = ours_s * 1e6 / count, their_row_us = theirs_s * 1e6 / ((count + LEAP - 1) / LEAP);
    printf("sky table, %d nights, %d rows: %.1f ms, %.2f us a row; libnova %.0f us a row; ratio %.5f\n", NIGHTS,
           count, ours_s * 1e3, our_row_us, their_row_us, our_row_us / their_row_us);
    printf("largest difference in altitude: %.3f deg\n", largest_difference(count, rows, sights));
    free(rows);
    free(sights);
    return EXIT_SUCCESS;
}
