/* Laws of pace by mass. */
#include "core/model/gait.h"

#include <math.h>

#include "core/constants.h"

#define KM_H (1.0 / 3.6) /* in m/s */

double owl_gait_top_speed_m_s(double mass_kg)
{
    if (!(mass_kg > 0.0))
        return NAN;
    double m = log10(mass_kg);
    return pow(10.0, 1.47832 + 0.25892 * m - 0.06237 * m * m) * KM_H;
}

static double power_law(double factor, double mass_kg, double exponent)
{
    return mass_kg > 0.0 ? factor * pow(mass_kg, exponent) : NAN;
}

double owl_gait_top_speed_straight_m_s(double mass_kg)
{
    return power_law(23.6 * KM_H, mass_kg, 0.165);
}

double owl_gait_top_speed_saturating_m_s(double mass_kg)
{
    return power_law(25.5 * KM_H, mass_kg, 0.26) * (1.0 - exp(-power_law(22.0, mass_kg, -0.6)));
}

double owl_gait_gallop_speed_m_s(double mass_kg)
{
    return power_law(5.5 * KM_H, mass_kg, 0.24);
}

double owl_gait_trot_speed_m_s(double mass_kg)
{
    return power_law(1.09, mass_kg, 0.222);
}

double owl_gait_walk_speed_m_s(double hip_height_m, double froude)
{
    return hip_height_m >= 0.0 && froude >= 0.0 ? sqrt(froude * OWL_GRAVITY_M_S2 * hip_height_m) : NAN;
}

double owl_gait_shoulder_height_m(double mass_kg)
{
    return power_law(0.20, mass_kg, 0.36);
}

double owl_gait_day_range_m(double mass_kg, bool hunter)
{
    return power_law(hunter ? 3870.0 : 875.0, mass_kg, 0.22);
}

double owl_gait_mean_speed_m_s(const double *speed_m_s, size_t count)
{
    double sum = 0.0;
    for (size_t i = 0; i < count; i++) {
        if (!(speed_m_s[i] > 0.0))
            return NAN;
        sum += 1.0 / speed_m_s[i];
    }
    return count > 0 ? (double)count / sum : NAN;
}
