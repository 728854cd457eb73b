/* Vapour, silica gel, sky cooling, window. */
#include "core/model/moisture.h"

#include <math.h>

#include "core/constants.h"

#define GAS_CONSTANT_SHARE 2.1668e-3 /* molar mass of water over the gas constant, kg K / J */
#define BOX_HUMIDITY 0.40            /* kept below this, no rust and no fungus; common practice */
#define WORKING_UPTAKE 0.20          /* of the gel's mass, so that it holds BOX_HUMIDITY; from memory */

/* Magnus form a exp(b t / (t + c)), t in C [alduchov1996]. */
#define WATER_A_PA 610.94
#define WATER_B 17.625
#define WATER_C 243.04
#define ICE_A_PA 611.21
#define ICE_B 22.587
#define ICE_C 273.86

double owl_moisture_saturation_pa(double temperature_k)
{
    double t = temperature_k - OWL_ZERO_CELSIUS_K;
    return WATER_A_PA * exp(WATER_B * t / (t + WATER_C));
}

double owl_moisture_saturation_ice_pa(double temperature_k)
{
    double t = temperature_k - OWL_ZERO_CELSIUS_K;
    return ICE_A_PA * exp(ICE_B * t / (t + ICE_C));
}

double owl_moisture_dew_point_k(double temperature_k, double humidity)
{
    if (!(humidity > 0.0 && humidity <= 1.0))
        return NAN;
    double t = temperature_k - OWL_ZERO_CELSIUS_K;
    double g = log(humidity) + WATER_B * t / (WATER_C + t);
    return WATER_C * g / (WATER_B - g) + OWL_ZERO_CELSIUS_K;
}

double owl_moisture_density_kg_m3(double vapour_pa, double temperature_k)
{
    return GAS_CONSTANT_SHARE * vapour_pa / temperature_k;
}

double owl_moisture_desiccant_share(double humidity)
{
    static const double uptake[] = {0.0, 0.12, 0.23, 0.32, 0.36, 0.38}; /* every 20 % */
    if (!(humidity >= 0.0 && humidity <= 1.0))
        return NAN;
    double place = humidity * 5.0;
    int i = place >= 5.0 ? 4 : (int)place;
    return uptake[i] + (uptake[i + 1] - uptake[i]) * (place - i);
}

double owl_moisture_intake_kg(const struct owl_moisture_box *box, double seconds)
{
    if (!(seconds >= 0.0))
        return NAN;
    double full = owl_moisture_density_kg_m3(owl_moisture_saturation_pa(box->temperature_k), box->temperature_k);
    double days = seconds / OWL_SECONDS_PER_DAY;
    double breathed = box->volume_m3 * box->day_swing_k / box->temperature_k * full * box->humidity * days;
    double leaked = box->volume_m3 * full * (box->humidity - BOX_HUMIDITY) * seconds / box->leak_time_s;
    return fmax(0.0, breathed + leaked);
}

double owl_moisture_desiccant_kg(double intake_kg)
{
    return intake_kg / WORKING_UPTAKE;
}

double owl_moisture_sky_emissivity(double dew_point_k)
{
    return 0.741 + 0.0062 * (dew_point_k - OWL_ZERO_CELSIUS_K);
}

static double fourth_power(double x)
{
    return x * x * x * x;
}

/* sigma (T^4 - eps Ta^4) F = h (Ta - T): Newton from the air's temperature; the left side rises with
   T, so it converges from above. */
double owl_moisture_sky_cooling_k(double air_k, double dew_point_k, double heat_w_m2_k, double sky_view)
{
    if (!(heat_w_m2_k > 0.0 && sky_view >= 0.0 && sky_view <= 1.0))
        return NAN;
    double sky = fmin(1.0, owl_moisture_sky_emissivity(dew_point_k)) * fourth_power(air_k), surface_k = air_k;
    for (int i = 0; i < 20; i++) {
        double balance = OWL_STEFAN_BOLTZMANN * sky_view * (fourth_power(surface_k) - sky) + heat_w_m2_k * (surface_k - air_k);
        double slope = 4.0 * OWL_STEFAN_BOLTZMANN * sky_view * surface_k * surface_k * surface_k + heat_w_m2_k;
        surface_k -= balance / slope;
    }
    return fmin(0.0, surface_k - air_k);
}

bool owl_moisture_condenses(double surface_k, double dew_point_k)
{
    return surface_k < dew_point_k;
}

double owl_moisture_port_diameter_m(double focal_m, double fnumber, double field_angle_rad, double pupil_to_port_m)
{
    if (!(fnumber > 0.0 && field_angle_rad >= 0.0 && field_angle_rad < OWL_PI))
        return NAN;
    return focal_m / fnumber + 2.0 * pupil_to_port_m * tan(field_angle_rad / 2.0);
}
