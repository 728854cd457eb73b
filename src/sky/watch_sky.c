/* From a site and its nights to the sky table. */
#include "sky/watch_sky.h"

#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdlib.h>

#include "core/constants.h"
#include "sky/ephemeris.h"
#include "sky/zone.h"

static bool is_sound(const struct owl_watch_site *site)
{
    return owl_calendar_valid(site->start) && site->nights >= 1 && site->nights <= OWL_WATCH_MOST_NIGHTS &&
           fabs(site->longitude_rad) <= OWL_PI;
}

/* Mean noon of the longitude that falls on the date by UTC lies within a day of the one wanted; the clock decides. */
static enum owl_status find_first_noon(const struct owl_watch_site *site, struct owl_sky *sky)
{
    int64_t days = owl_calendar_days(site->start);
    double noon_s = ((double)days + 0.5 - site->longitude_rad / OWL_TAU) * OWL_SECONDS_PER_DAY;
    double end_s = noon_s + (site->nights + 1) * OWL_SECONDS_PER_DAY;
    enum owl_status status = owl_zone_spans(site->zone, noon_s - 2.0 * OWL_SECONDS_PER_DAY,
                                            end_s + OWL_SECONDS_PER_DAY, sky->zone, &sky->zone_count);
    if (status != OWL_OK)
        return status;
    double clock_days = floor(owl_sky_local_s(sky, noon_s) / OWL_SECONDS_PER_DAY);
    sky->first_noon_unix_s = noon_s + ((double)days - clock_days) * OWL_SECONDS_PER_DAY;
    return OWL_OK;
}

static enum owl_status fill(const struct owl_watch_site *site, struct owl_watch_sky *watch)
{
    struct owl_sky *sky = &watch->sky;
    struct owl_ephemeris_site place = {site->latitude_rad, site->longitude_rad, site->height_m};
    double length_s = site->nights * OWL_SECONDS_PER_DAY + 2.0 * OWL_WATCH_MARGIN_S;
    sky->nights = site->nights;
    sky->start_unix_s = sky->first_noon_unix_s - OWL_WATCH_MARGIN_S;
    sky->step_s = OWL_WATCH_STEP_S;
    sky->count = (int)ceil(length_s / OWL_WATCH_STEP_S) + 1;
    watch->rows = calloc((size_t)sky->count, sizeof *watch->rows);
    if (!watch->rows)
        return OWL_NO_MEMORY;
    sky->rows = watch->rows;
    return owl_ephemeris_rows(&place, sky->start_unix_s, sky->step_s, sky->count, watch->rows);
}

struct owl_watch_site owl_watch_site_of(const struct owl_plan *plan)
{
    return (struct owl_watch_site){.latitude_rad = plan->site.latitude_rad,
                                   .longitude_rad = plan->site.longitude_rad,
                                   .height_m = plan->site.altitude_m,
                                   .zone = plan->site.zone,
                                   .start = owl_calendar_date((int64_t)plan->watch.start_days),
                                   .nights = (int)plan->watch.nights};
}

enum owl_status owl_watch_sky_open(struct owl_watch_sky *watch, const struct owl_watch_site *site)
{
    *watch = (struct owl_watch_sky){.rows = NULL};
    if (!is_sound(site))
        return OWL_OUTSIDE_DOMAIN;
    enum owl_status status = find_first_noon(site, &watch->sky);
    if (status == OWL_OK)
        status = fill(site, watch);
    if (status != OWL_OK)
        owl_watch_sky_close(watch);
    return status;
}

void owl_watch_sky_close(struct owl_watch_sky *watch)
{
    if (!watch)
        return;
    free(watch->rows);
    *watch = (struct owl_watch_sky){.rows = NULL};
}
