/* The meter equations and the guide number. */
#include "core/model/metering.h"

#include <math.h>
#include <stdbool.h>

#include "core/constants.h"

/* All [iso12232], from memory, unverified. */
#define LENS_FACTOR 0.65         /* q in H = q L t/N^2 */
#define MID_TONE_LXS 10.0        /* mid-tone exposure at speed 1 */
#define SATURATION_LXS 78.0      /* clipping exposure at speed 1 */

/* Whether all are above zero; NaN is not. */
static bool positive(double a, double b, double c)
{
    return a > 0.0 && b > 0.0 && c > 0.0;
}

static bool is_power(double power)
{
    return power > 0.0 && power <= 1.0;
}

double owl_metering_exposure_value(double fnumber, double time_s)
{
    if (!positive(fnumber, time_s, 1.0))
        return NAN;
    return log2(fnumber * fnumber / time_s);
}

double owl_metering_luminance_cd_m2(double fnumber, double time_s, double iso)
{
    if (!positive(fnumber, time_s, iso))
        return NAN;
    return OWL_METER_REFLECTED * fnumber * fnumber / (time_s * iso);
}

double owl_metering_illuminance_lx(double fnumber, double time_s, double iso)
{
    if (!positive(fnumber, time_s, iso))
        return NAN;
    return owl_metering_ambient_exposure_needed_lxs(fnumber, iso) / time_s;
}

double owl_metering_ambient_exposure_needed_lxs(double fnumber, double iso)
{
    if (!positive(fnumber, iso, 1.0))
        return NAN;
    return OWL_METER_INCIDENT * fnumber * fnumber / iso;
}

double owl_metering_flash_exposure_needed_lxs(double fnumber, double iso)
{
    if (!positive(fnumber, iso, 1.0))
        return NAN;
    return OWL_FLASH_CONSTANT_LXS * fnumber * fnumber / iso;
}

double owl_metering_fnumber_for(double exposure_lxs, double iso)
{
    if (!(exposure_lxs >= 0.0 && iso > 0.0))
        return NAN;
    return sqrt(exposure_lxs * iso / OWL_FLASH_CONSTANT_LXS);
}

/* GN = N d, so what a subject one metre away needs at f/GN is I itself. */
double owl_metering_intensity_time_cds(double guide_number_m, double power)
{
    if (!is_power(power))
        return NAN;
    return power * owl_metering_flash_exposure_needed_lxs(guide_number_m, OWL_METERING_BASE_ISO);
}

double owl_metering_guide_number_m(double intensity_time_cds, double iso)
{
    if (!positive(intensity_time_cds, iso, 1.0))
        return NAN;
    return owl_metering_fnumber_for(intensity_time_cds, iso);
}

double owl_metering_guide_number_at_m(double guide_number_m, double iso, double power, double loss_stops)
{
    if (!(positive(guide_number_m, iso, 1.0) && is_power(power) && isfinite(loss_stops)))
        return NAN;
    return guide_number_m * sqrt(power * iso / OWL_METERING_BASE_ISO * exp2(-loss_stops));
}

double owl_metering_flash_exposure_lxs(double intensity_time_cds, double distance_m, double cos_incidence)
{
    if (!(intensity_time_cds >= 0.0 && distance_m > 0.0 && fabs(cos_incidence) <= 1.0))
        return NAN;
    return intensity_time_cds * fmax(cos_incidence, 0.0) / (distance_m * distance_m);
}

double owl_metering_beam_share(double off_axis_rad, double half_coverage_rad)
{
    if (!(half_coverage_rad > 0.0))
        return NAN;
    double edges = off_axis_rad / half_coverage_rad;
    return exp2(-edges * edges);
}

double owl_metering_beam_solid_angle_sr(double width_rad, double height_rad)
{
    if (!(positive(width_rad, height_rad, 1.0) && width_rad <= OWL_PI && height_rad <= OWL_PI))
        return NAN;
    return 4.0 * asin(sin(width_rad / 2.0) * sin(height_rad / 2.0));
}

double owl_metering_zoom_ratio(double solid_angle_from_sr, double solid_angle_to_sr, double share_reached)
{
    if (!(positive(solid_angle_from_sr, solid_angle_to_sr, 1.0) && share_reached >= 0.0 &&
          share_reached <= 1.0))
        return NAN;
    return pow(solid_angle_from_sr / solid_angle_to_sr, share_reached / 2.0);
}

double owl_metering_stops(double ratio)
{
    if (!(ratio >= 0.0))
        return NAN;
    return ratio > 0.0 ? log2(ratio) : -INFINITY;
}

double owl_metering_stops_factor(double stops)
{
    return exp2(stops);
}

double owl_metering_guide_number_from_feet_m(double guide_number_ft)
{
    if (!(guide_number_ft > 0.0))
        return NAN;
    return guide_number_ft * OWL_METRES_PER_FOOT;
}

double owl_metering_focal_plane_exposure_lxs(double luminance_cd_m2, double time_s, double fnumber)
{
    if (!(luminance_cd_m2 >= 0.0 && positive(time_s, fnumber, 1.0)))
        return NAN;
    return LENS_FACTOR * luminance_cd_m2 * time_s / (fnumber * fnumber);
}

double owl_metering_speed_output(double exposure_lxs)
{
    if (!(exposure_lxs > 0.0))
        return NAN;
    return MID_TONE_LXS / exposure_lxs;
}

double owl_metering_speed_saturation(double exposure_lxs)
{
    if (!(exposure_lxs > 0.0))
        return NAN;
    return SATURATION_LXS / exposure_lxs;
}

/* H_sat/H_m = (78/S_sat)/(10/S_sos). */
double owl_metering_headroom_stops(double speed_output, double speed_saturation)
{
    if (!positive(speed_output, speed_saturation, 1.0))
        return NAN;
    return log2(SATURATION_LXS / MID_TONE_LXS * speed_output / speed_saturation);
}
