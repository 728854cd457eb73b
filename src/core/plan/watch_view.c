/* From the sky table to light, clock and animals' hour at the mark. */
#include "core/plan/watch_view.h"

#include <math.h>

#include "core/constants.h"
#include "core/model/diel.h"
#include "core/model/twilight.h"

/* Evenly over the hours given of the animals' day, none outside. */
static double own_density(const struct owl_plan_body *subject, double anchored_rad)
{
    if (isnan(subject->active_from_s) || isnan(subject->active_to_s))
        return 1.0 / OWL_TAU;
    double day_s = OWL_SECONDS_PER_DAY, hour_s = anchored_rad / OWL_TAU * day_s;
    double window_s = subject->active_to_s - subject->active_from_s + (subject->active_to_s <= subject->active_from_s ? day_s : 0.0);
    double since_s = hour_s - subject->active_from_s + (hour_s < subject->active_from_s ? day_s : 0.0);
    return since_s <= window_s ? day_s / window_s / OWL_TAU : 0.0;
}

void owl_activity_fill(struct owl_activity *activity, const struct owl_plan *plan)
{
    for (int i = 0; i <= OWL_ACTIVITY_BINS; i++) {
        double anchored_rad = i * OWL_TAU / OWL_ACTIVITY_BINS;
        for (int pattern = 0; pattern < OWL_PATTERN_OWN; pattern++)
            activity->density[pattern][i] = owl_diel_density((enum owl_animal_pattern)pattern, anchored_rad);
        activity->density[OWL_PATTERN_OWN][i] = own_density(&plan->subject, fmod(anchored_rad, OWL_TAU));
    }
}

double owl_activity_at(const struct owl_activity *activity, int pattern, double anchored_rad)
{
    double place = anchored_rad * (OWL_ACTIVITY_BINS / OWL_TAU);
    int bin = (int)place;
    if (bin < 0 || bin >= OWL_ACTIVITY_BINS)
        bin = 0; /* 2 pi itself is 0 again */
    const double *density = &activity->density[pattern][bin];
    return density[0] + (place - bin) * (density[1] - density[0]);
}

static double wrapped_day(double seconds)
{
    return seconds - floor(seconds / OWL_SECONDS_PER_DAY) * OWL_SECONDS_PER_DAY;
}

/* Light at the mark: interpolating the sky is the costly part, so it is done once for each row. */
static enum owl_status fill_row(const struct owl_plan *plan, const struct owl_sky *sky, double unix_s,
                                struct owl_watch_row *row)
{
    struct owl_sky_moment moment;
    enum owl_status status = owl_sky_at(sky, unix_s, &moment);
    if (status != OWL_OK)
        return status;
    struct owl_twilight_sky above = {
        .sun_altitude_rad = moment.sun_altitude_rad,
        .moon_altitude_rad = moment.moon_altitude_rad,
        .moon_phase_rad = moment.moon_phase_rad,
        .moon_parallax_rad = moment.moon_parallax_rad,
        .cloud = plan->site.cloud,
        .open_sky = plan->site.open_sky,
    };
    row->light_lx = owl_twilight_horizontal_lx(&above);
    row->clock_s = wrapped_day(owl_sky_local_s(sky, unix_s));
    return OWL_OK;
}

/* The animals' hour of each row of one night: day and night stretched between the sun's events. */
static void anchor_rows(const struct owl_night *night, struct owl_watch_row *row, int count)
{
    const struct owl_sky_event *set = &night->event[OWL_SUNSET], *rise = &night->event[OWL_SUNRISE];
    bool anchored = set->what == OWL_EVENT_AT && rise->what == OWL_EVENT_AT && rise->unix_s > set->unix_s;
    double set_rad = 0.0, rise_rad = 0.0;
    if (anchored) {
        set_rad = OWL_PI + (set->unix_s - night->noon_unix_s) / OWL_SECONDS_PER_DAY * OWL_TAU;
        rise_rad = OWL_PI + (rise->unix_s - night->noon_unix_s) / OWL_SECONDS_PER_DAY * OWL_TAU - OWL_TAU;
    }
    for (int i = 0; i < count; i++) {
        double solar_rad = OWL_PI + i * OWL_ROW_STEP_S / OWL_SECONDS_PER_DAY * OWL_TAU;
        row[i].anchored_rad = anchored ? owl_diel_anchor_rad(solar_rad, rise_rad, set_rad, OWL_PI / 2.0, 1.5 * OWL_PI)
                                       : fmod(solar_rad, OWL_TAU);
    }
}

enum owl_status owl_watch_view_fill(const struct owl_plan *plan, const struct owl_sky *sky,
                                    struct owl_night *night, struct owl_watch_row *row)
{
    int nights = (int)plan->watch.nights;
    double first_s = sky->first_noon_unix_s;
    for (int i = 0; i <= nights * OWL_NIGHT_ROWS; i++) {
        enum owl_status status = fill_row(plan, sky, first_s + i * OWL_ROW_STEP_S, &row[i]);
        if (status != OWL_OK)
            return status;
    }
    for (int n = 0; n < nights; n++) {
        struct owl_sky_moment middle;
        night[n].noon_unix_s = first_s + n * OWL_SECONDS_PER_DAY;
        enum owl_status status = owl_sky_events(sky, night[n].noon_unix_s, night[n].event);
        if (status == OWL_OK)
            status = owl_sky_at(sky, night[n].noon_unix_s + OWL_SECONDS_PER_DAY / 2.0, &middle);
        if (status != OWL_OK)
            return status;
        night[n].moon_lit = middle.moon_lit;
        anchor_rows(&night[n], &row[n * OWL_NIGHT_ROWS], OWL_NIGHT_ROWS + (n == nights - 1));
    }
    return OWL_OK;
}
