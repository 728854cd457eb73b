/* Eye hazard margins of a flash, and how night vision comes back after it. */
#include "core/model/eye.h"

#include <math.h>
#include <stdbool.h>

#include "core/constants.h"

/* A black body of 6000 K weighted by each hazard's curve over the same light weighted by the eye's, W/lm;
   the weighting curves are those of the source named. */
#define BLUE_W_PER_LM 9.65e-4         /* [icnirp2013] */
#define THERMAL_W_PER_LM 5.41e-3      /* [icnirp2013]: weight capped at 1 */
#define THERMAL_2006_W_PER_LM 1.35e-2 /* [iec62471]: weight up to 10 in the blue */
#define SCOTOPIC_PER_PHOTOPIC 2.38    /* ratio of rod-weighted to ordinary light, same body */

#define BLUE_LIMIT 1e6 /* J m-2 sr-1 [icnirp2013] */

/* The 2013 limits [icnirp2013], from memory but for their large-source value below 1 us. */
#define SHORTEST_PULSE_S 1e-6
#define SMALL_SPOT_PULSE_S 0.625e-3  /* below it alpha_max is constant */
#define LONG_PULSE_S 0.25            /* from here on the limit is one of radiance */
#define PULSE_LIMIT 2.0e4            /* times t^0.75/alpha, J m-2 sr-1 */
#define LONG_LIMIT 2.8e4             /* over alpha, W m-2 sr-1 */
#define SMALLEST_ANGLE_RAD 1.5e-3
#define SMALL_SPOT_ANGLE_RAD 5e-3
#define SPOT_ANGLE_PER_ROOT_S 0.2    /* alpha_max over sqrt(t) */
#define LARGEST_ANGLE_RAD 0.1

/* The 2006 limits [iec62471], from memory; the largest angle is the same. */
#define SHORTEST_PULSE_2006_S 1e-5
#define PULSE_LIMIT_2006 5e4
#define SMALLEST_ANGLE_2006_RAD 1.7e-3

/* Retinal light goes as (pupil/focal length)^2: (13/12.5)^2 of a cat-like eye over (7/17)^2 of a human one
   is 6.4, the mirror adds up to 2: 13 at most, 10 as a round middle. Estimate. */
#define ANIMAL_FACTOR 10.0

#define BLEACH_TD_S 1e7                    /* scotopic, for a bleach of 1 - 1/e [lamb2004] */
#define REGENERATION_S 420.0               /* [rushton1972] */
#define ROD_DECADES_PER_S (0.24 / 60.0)    /* [lamb2004] */

static double held_between(double value, double low, double high)
{
    return fmin(fmax(value, low), high);
}

static double dose_of(double watts_per_lumen, double radiance_time_cds_m2)
{
    return radiance_time_cds_m2 >= 0.0 ? watts_per_lumen * radiance_time_cds_m2 : NAN;
}

/* No dose is infinitely within any limit, and has to be told from NaN. */
static double margin_of(double limit, double dose)
{
    if (dose == 0.0 && limit > 0.0)
        return INFINITY;
    return limit / dose;
}

double owl_eye_exposure_lxs(double intensity_time_cds, double distance_m)
{
    if (!(intensity_time_cds >= 0.0 && distance_m > 0.0))
        return NAN;
    return intensity_time_cds / (distance_m * distance_m);
}

double owl_eye_radiance_time_cds_m2(double intensity_time_cds, double window_area_m2)
{
    if (!(intensity_time_cds >= 0.0 && window_area_m2 > 0.0))
        return NAN;
    return intensity_time_cds / window_area_m2;
}

double owl_eye_source_angle_rad(double width_m, double height_m, double distance_m)
{
    if (!(width_m > 0.0 && height_m > 0.0 && distance_m > 0.0))
        return NAN;
    return (width_m + height_m) / (2.0 * distance_m);
}

double owl_eye_blue_dose(double radiance_time_cds_m2)
{
    return dose_of(BLUE_W_PER_LM, radiance_time_cds_m2);
}

double owl_eye_blue_margin(double radiance_time_cds_m2)
{
    return margin_of(BLUE_LIMIT, owl_eye_blue_dose(radiance_time_cds_m2));
}

double owl_eye_thermal_dose(double radiance_time_cds_m2)
{
    return dose_of(THERMAL_W_PER_LM, radiance_time_cds_m2);
}

/* The eye moves during a longer pulse and heat spreads, so a longer pulse counts a larger source as one. */
static double largest_angle_rad(double pulse_s)
{
    if (pulse_s < SMALL_SPOT_PULSE_S)
        return SMALL_SPOT_ANGLE_RAD;
    if (pulse_s < LONG_PULSE_S)
        return SPOT_ANGLE_PER_ROOT_S * sqrt(pulse_s);
    return LARGEST_ANGLE_RAD;
}

double owl_eye_thermal_limit(double pulse_s, double angle_rad)
{
    if (!(pulse_s >= SHORTEST_PULSE_S && angle_rad > 0.0))
        return NAN;
    double alpha = held_between(angle_rad, SMALLEST_ANGLE_RAD, largest_angle_rad(pulse_s));
    if (pulse_s < LONG_PULSE_S)
        return PULSE_LIMIT * pow(pulse_s, 0.75) / alpha;
    return LONG_LIMIT * pulse_s / alpha;
}

double owl_eye_thermal_margin(double radiance_time_cds_m2, double pulse_s, double angle_rad)
{
    return margin_of(owl_eye_thermal_limit(pulse_s, angle_rad), owl_eye_thermal_dose(radiance_time_cds_m2));
}

double owl_eye_thermal_margin_2006(double radiance_time_cds_m2, double pulse_s, double angle_rad)
{
    if (!(pulse_s >= SHORTEST_PULSE_2006_S && pulse_s < LONG_PULSE_S && angle_rad > 0.0))
        return NAN;
    double alpha = held_between(angle_rad, SMALLEST_ANGLE_2006_RAD, LARGEST_ANGLE_RAD);
    double limit = PULSE_LIMIT_2006 * pow(pulse_s, 0.75) / alpha;
    return margin_of(limit, dose_of(THERMAL_2006_W_PER_LM, radiance_time_cds_m2));
}

double owl_eye_animal_margin(double human_margin)
{
    return human_margin >= 0.0 ? human_margin / ANIMAL_FACTOR : NAN;
}

double owl_eye_retinal_exposure_td_s(double luminance_time_cds_m2, double pupil_m)
{
    if (!(luminance_time_cds_m2 >= 0.0 && pupil_m > 0.0))
        return NAN;
    double pupil_mm = 1e3 * pupil_m;
    return SCOTOPIC_PER_PHOTOPIC * luminance_time_cds_m2 * OWL_PI / 4.0 * pupil_mm * pupil_mm;
}

double owl_eye_bleached_share(double exposure_td_s)
{
    return exposure_td_s >= 0.0 ? -expm1(-exposure_td_s / BLEACH_TD_S) : NAN;
}

double owl_eye_bleach_left(double bleached_share, double waited_s)
{
    if (!(bleached_share >= 0.0 && bleached_share <= 1.0 && waited_s >= 0.0))
        return NAN;
    return bleached_share * exp(-waited_s / REGENERATION_S);
}

double owl_eye_rod_recovery_decades(double waited_s)
{
    return waited_s >= 0.0 ? waited_s * ROD_DECADES_PER_S : NAN;
}

double owl_eye_rest_s(double decades)
{
    return decades >= 0.0 ? decades / ROD_DECADES_PER_S : NAN;
}
