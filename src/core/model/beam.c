/* Breaks, height and losses of a light beam. */
#include "core/model/beam.h"

#include <math.h>

#define CONTRAST_EXTINCTION 3.91 /* ln 50: two per cent contrast at the visibility [koschmieder1924] */
#define DECIBEL_PER_OPTICAL_DEPTH 4.342944819032518 /* 10 / ln 10: light falls by exp(-1), a power ratio */

double owl_beam_break_s(double body_length_m, double speed_m_s)
{
    return body_length_m >= 0.0 && speed_m_s > 0.0 ? body_length_m / speed_m_s : NAN;
}

bool owl_beam_breaks(double body_length_m, double speed_m_s, double debounce_s)
{
    return owl_beam_break_s(body_length_m, speed_m_s) > debounce_s;
}

double owl_beam_height_m(double shoulder_height_m)
{
    return shoulder_height_m >= 0.0 ? OWL_BEAM_SHOULDER_SHARE * shoulder_height_m : NAN;
}

double owl_beam_fog_loss_db(double visibility_m, double distance_m)
{
    if (!(visibility_m > 0.0 && distance_m >= 0.0))
        return NAN;
    return DECIBEL_PER_OPTICAL_DEPTH * CONTRAST_EXTINCTION / visibility_m * distance_m;
}

double owl_beam_drift_m(double angle_rad, double distance_m)
{
    return angle_rad * distance_m;
}
