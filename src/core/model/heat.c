/* Radiation, response and range of the passive heat sensor. */
#include "core/model/heat.h"

#include <math.h>

#include "core/constants.h"

#define BAND_FROM_M 8e-6
#define BAND_TO_M 14e-6
#define BAND_STEPS 48          /* Simpson, even: within 1e-6 of the value between 200 and 340 K */
#define THERMAL_TIME_S 0.15    /* [porter1981], from memory */
#define ELECTRICAL_TIME_S 1.0
#define REFERENCE_AREA_M2 0.7  /* the walking person of the walk test, from memory */
#define REFERENCE_WARMTH_K 3.5
#define REFERENCE_AIR_K (OWL_ZERO_CELSIUS_K + 20.0)
#define REFERENCE_SPEED_M_S 1.0
#define REFERENCE_PITCH_RAD (6.0 * OWL_RAD_PER_DEG)
#define REFERENCE_DISTANCE_M 12.0
#define RANGE_CAP 1.5          /* our estimate: nearer than this the zone is filled */
#define COAT_EXCESS_K 4.0      /* in air of COAT_AIR_K; our estimate */
#define COAT_AIR_K (OWL_ZERO_CELSIUS_K + 10.0)
#define COAT_EXCESS_MOST_K 10.0

double owl_heat_exitance_w_m2(double temperature_k)
{
    if (!(temperature_k >= 0.0))
        return NAN;
    return OWL_STEFAN_BOLTZMANN * temperature_k * temperature_k * temperature_k * temperature_k;
}

/* Planck's law as exitance per metre of wavelength. */
static double spectral_exitance(double wavelength_m, double temperature_k)
{
    double c = OWL_LIGHT_SPEED_M_S, h = OWL_PLANCK_J_S;
    double l5 = wavelength_m * wavelength_m * wavelength_m * wavelength_m * wavelength_m;
    return OWL_TAU * h * c * c / l5 / expm1(h * c / (wavelength_m * OWL_BOLTZMANN_J_K * temperature_k));
}

double owl_heat_band_exitance_w_m2(double temperature_k)
{
    if (!(temperature_k >= 0.0))
        return NAN;
    if (temperature_k == 0.0)
        return 0.0;
    double step = (BAND_TO_M - BAND_FROM_M) / BAND_STEPS;
    double sum = spectral_exitance(BAND_FROM_M, temperature_k) + spectral_exitance(BAND_TO_M, temperature_k);
    for (int i = 1; i < BAND_STEPS; i++)
        sum += (i % 2 ? 4.0 : 2.0) * spectral_exitance(BAND_FROM_M + i * step, temperature_k);
    return sum * step / 3.0;
}

double owl_heat_contrast_w_m2(double surface_k, double background_k)
{
    return owl_heat_band_exitance_w_m2(surface_k) - owl_heat_band_exitance_w_m2(background_k);
}

double owl_heat_coat_excess_k(double air_k, double body_k)
{
    if (!(air_k > 0.0 && body_k > COAT_AIR_K))
        return NAN;
    double excess = COAT_EXCESS_K * (body_k - air_k) / (body_k - COAT_AIR_K);
    return fmin(fmax(excess, 0.0), COAT_EXCESS_MOST_K);
}

double owl_heat_crossing_hz(double speed_across_m_s, double zone_pitch_rad, double distance_m)
{
    if (!(speed_across_m_s >= 0.0 && zone_pitch_rad > 0.0 && distance_m > 0.0))
        return NAN;
    return speed_across_m_s / (zone_pitch_rad * distance_m);
}

/* w / (sqrt(1 + w^2 tT^2) sqrt(1 + w^2 tE^2)) has its peak 1 / (tT + tE) at w^2 = 1 / (tT tE). */
double owl_heat_response(double crossing_hz)
{
    if (!(crossing_hz >= 0.0))
        return NAN;
    double w = OWL_TAU * crossing_hz;
    if (isinf(w))
        return 0.0;
    double thermal = hypot(1.0, w * THERMAL_TIME_S), electrical = hypot(1.0, w * ELECTRICAL_TIME_S);
    return w * (THERMAL_TIME_S + ELECTRICAL_TIME_S) / thermal / electrical;
}

double owl_heat_visible_area_m2(double body_length_m, double body_height_m, double zone_pitch_rad,
                                double fan_height_rad, double distance_m)
{
    if (!(body_length_m >= 0.0 && body_height_m >= 0.0 && zone_pitch_rad >= 0.0 && fan_height_rad >= 0.0 &&
          distance_m >= 0.0))
        return NAN;
    return fmin(body_length_m, zone_pitch_rad * distance_m) * fmin(body_height_m, fan_height_rad * distance_m);
}

double owl_heat_range_m(double rated_range_m, const struct owl_heat_target *target)
{
    if (!(rated_range_m >= 0.0 && target->area_m2 >= 0.0 && target->crossing_hz >= 0.0) ||
        isnan(target->contrast_w_m2))
        return NAN;
    double contrast = owl_heat_contrast_w_m2(REFERENCE_AIR_K + REFERENCE_WARMTH_K, REFERENCE_AIR_K);
    double reference_hz = owl_heat_crossing_hz(REFERENCE_SPEED_M_S, REFERENCE_PITCH_RAD, REFERENCE_DISTANCE_M);
    double signal = target->area_m2 * fabs(target->contrast_w_m2) / (REFERENCE_AREA_M2 * contrast);
    double answer = owl_heat_response(target->crossing_hz) / owl_heat_response(reference_hz);
    double share = sqrt(signal * answer);
    return rated_range_m * (share > RANGE_CAP ? RANGE_CAP : share); /* fmin would hide a NaN */
}

double owl_heat_latency_s(double pulses, double crossing_hz, double electronics_s)
{
    if (!(pulses >= 0.0 && crossing_hz >= 0.0 && electronics_s >= 0.0))
        return NAN;
    return crossing_hz > 0.0 ? 0.5 * pulses / crossing_hz + electronics_s : INFINITY;
}
