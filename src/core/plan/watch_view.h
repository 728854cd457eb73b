/* The sky as one plan sees it: light at the mark, clock time and the animals' hour at every ten
   minutes of every night, made once per site and watch and then read by every evaluation.
   Buffers are the caller's. A night belongs to the date of its evening and runs from local mean
   noon to local mean noon. */
#ifndef OWL_CORE_PLAN_WATCH_VIEW_H
#define OWL_CORE_PLAN_WATCH_VIEW_H

#include "core/model/diel.h"
#include "core/model/sky_table.h"
#include "core/plan/plan.h"
#include "core/status.h"

#define OWL_ROW_STEP_S 600.0
#define OWL_NIGHT_ROWS 144 /* of OWL_ROW_STEP_S each: 24 hours */

struct owl_watch_row {
    double light_lx;     /* at the mark, after cloud and canopy */
    double clock_s;      /* by the clock of the site's zone, s after midnight */
    double anchored_rad; /* hour of the animals' day: sunrise at pi/2, sunset at 3 pi/2 */
};

struct owl_night {
    double noon_unix_s; /* start of the night's 24 hours */
    struct owl_sky_event event[OWL_SKY_EVENTS];
    double moon_lit; /* illuminated share at its middle */
};

#define OWL_PATTERN_OWN (OWL_ACTIVE_ALWAYS + 1) /* the hours the plan gives for its subject */
#define OWL_PATTERNS (OWL_PATTERN_OWN + 1)
#define OWL_ACTIVITY_BINS 96 /* of the animals' day */

/* Density of each activity pattern over the animals' day, 1/rad, tabulated: it is asked for at every
   row. */
struct owl_activity {
    double density[OWL_PATTERNS][OWL_ACTIVITY_BINS + 1];
};

void owl_activity_fill(struct owl_activity *activity, const struct owl_plan *plan);

/* Between the bins by a straight line; anchored_rad 0..2 pi. */
double owl_activity_at(const struct owl_activity *activity, int pattern, double anchored_rad);

struct owl_watch_view {
    int nights;
    const struct owl_night *night;   /* nights */
    const struct owl_watch_row *row; /* nights * OWL_NIGHT_ROWS + 1 */
    const struct owl_sky *sky;
    struct owl_activity activity;
};

/* Fills night[plan's nights] and row[nights * OWL_NIGHT_ROWS + 1] from a sky table that covers the
   watch. OWL_OUTSIDE_DOMAIN when it does not. */
enum owl_status owl_watch_view_fill(const struct owl_plan *plan, const struct owl_sky *sky,
                                    struct owl_night *night, struct owl_watch_row *row) OWL_MUST_USE;

#endif
