/* The made-up sky. */
#include "support/made_watch.h"

#include <math.h>

#include "core/constants.h"

void made_watch_fill(struct owl_plan *plan, struct made_watch *made)
{
    plan->watch.nights = MADE_NIGHTS;
    for (int n = 0; n < MADE_NIGHTS; n++)
        made->night[n].noon_unix_s = (plan->watch.start_days + n + 0.5) * OWL_SECONDS_PER_DAY;
    for (int i = 0; i <= MADE_NIGHTS * OWL_NIGHT_ROWS; i++) {
        double day = i / (double)OWL_NIGHT_ROWS;
        made->row[i].light_lx = exp(0.5 + 7.5 * cos(OWL_TAU * day));
        made->row[i].clock_s = fmod(day + 0.5, 1.0) * OWL_SECONDS_PER_DAY;
        made->row[i].anchored_rad = fmod(OWL_PI + OWL_TAU * day, OWL_TAU);
    }
    made->view = (struct owl_watch_view){.nights = MADE_NIGHTS, .night = made->night, .row = made->row};
    owl_activity_fill(&made->view.activity, plan);
}
