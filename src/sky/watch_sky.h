/* The sky over a whole watch: the table of core/model/sky_table.h filled for a site, its nights and its clock.
   Owns the rows until closed. */
#ifndef OWL_SKY_WATCH_SKY_H
#define OWL_SKY_WATCH_SKY_H

#include "core/calendar.h"
#include "core/model/sky_table.h"
#include "core/plan/plan.h"
#include "core/status.h"

#define OWL_WATCH_STEP_S 600.0
#define OWL_WATCH_MARGIN_S 7200.0 /* of table before the first noon and after the last */
#define OWL_WATCH_MOST_NIGHTS 366

struct owl_watch_site {
    double latitude_rad, longitude_rad; /* north and east positive */
    double height_m;                    /* above the sea, -500..9000 */
    const char *zone;                   /* as in "Europe/London"; read during open only */
    struct owl_date start;              /* of the first evening, by the site's clock */
    int nights;                         /* 1..OWL_WATCH_MOST_NIGHTS */
};

/* The site and nights of a plan; the zone's name is borrowed from it. */
struct owl_watch_site owl_watch_site_of(const struct owl_plan *plan);

struct owl_watch_sky {
    struct owl_sky sky;
    struct owl_sky_row *rows; /* those of sky */
};

/* Fills the table from the first night's noon less OWL_WATCH_MARGIN_S to the last morning's noon and as much
   more. Noon is local mean noon; a night belongs to the date its evening has by the site's clock, which beyond
   the date line is not that of the longitude. The clock's spans reach a day further on both sides.
   OWL_UNKNOWN_ZONE as owl_zone_spans; OWL_OUTSIDE_DOMAIN for values outside their ranges or the years 1972 to
   2099; OWL_NO_MEMORY. After a failure the sky is empty and may be closed. */
enum owl_status owl_watch_sky_open(struct owl_watch_sky *sky, const struct owl_watch_site *site) OWL_MUST_USE;

/* Frees the rows and leaves the sky empty; doing it twice, or with NULL, is harmless. */
void owl_watch_sky_close(struct owl_watch_sky *sky);

#endif
