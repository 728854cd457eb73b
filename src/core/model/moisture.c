/* Vapour, silica gel, sky cooling, window. */
#include "core/model/moisture.h"

#include <math.h>

#include "core/constants.h"

#define GAS_CONSTANT_SHARE 2.1668e-3 /* molar mass of water over the gas constant, kg K / J */
#define BOX_HUMIDITY 0.40            /* kept below this, no rust and no fungus; common practice */
#define SURFACE_EMISSIVITY 0.95      /* window glass and most paints in the far infrared; common practice */
#define NEWTON_STEPS 40              /* past the last digit even where the air gives next to no heat */
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
    if (!(t > -WATER_C))
        return NAN;
    return WATER_A_PA * exp(WATER_B * t / (t + WATER_C));
}

double owl_moisture_saturation_ice_pa(double temperature_k)
{
    double t = temperature_k - OWL_ZERO_CELSIUS_K;
    if (!(temperature_k > 0.0 && t <= 0.0))
        return NAN;
    return ICE_A_PA * exp(ICE_B * t / (t + ICE_C));
}

double owl_moisture_dew_point_k(double temperature_k, double humidity)
{
    double t = temperature_k - OWL_ZERO_CELSIUS_K;
    if (!(humidity > 0.0 && humidity <= 1.0 && t > -WATER_C))
        return NAN;
    double g = log(humidity) + WATER_B * t / (WATER_C + t);
    return fmin(temperature_k, WATER_C * g / (WATER_B - g) + OWL_ZERO_CELSIUS_K); /* rounding lifts saturated air */
}

double owl_moisture_density_kg_m3(double vapour_pa, double temperature_k)
{
    return vapour_pa >= 0.0 && temperature_k > 0.0 ? GAS_CONSTANT_SHARE * vapour_pa / temperature_k : NAN;
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
    bool stated = box->volume_m3 >= 0.0 && box->day_swing_k >= 0.0 && box->leak_time_s > 0.0 &&
                  box->humidity >= 0.0 && box->humidity <= 1.0 && seconds >= 0.0;
    double full = owl_moisture_density_kg_m3(owl_moisture_saturation_pa(box->temperature_k), box->temperature_k);
    if (!stated || isnan(full))
        return NAN;
    double days = seconds / OWL_SECONDS_PER_DAY;
    double breathed = box->volume_m3 * box->day_swing_k / box->temperature_k * full * box->humidity * days;
    double leaked = box->volume_m3 * full * (box->humidity - BOX_HUMIDITY) * seconds / box->leak_time_s;
    return fmax(0.0, breathed + leaked);
}

double owl_moisture_desiccant_kg(double intake_kg)
{
    return intake_kg >= 0.0 ? intake_kg / WORKING_UPTAKE : NAN;
}

double owl_moisture_sky_emissivity(double dew_point_k)
{
    double emissivity = 0.741 + 0.0062 * (dew_point_k - OWL_ZERO_CELSIUS_K);
    return isnan(emissivity) ? NAN : fmin(1.0, fmax(0.0, emissivity));
}

static double fourth_power(double x)
{
    return x * x * x * x;
}

/* eps sigma (T^4 - (F eps_sky + 1 - F) Ta^4) = h (Ta - T): what is not sky radiates as the air would.
   Newton from the air's temperature, never below the root; the balance rises with T and is curved
   upwards, so it converges from above. */
double owl_moisture_sky_cooling_k(double air_k, double dew_point_k, double heat_w_m2_k, double sky_view)
{
    double sky = owl_moisture_sky_emissivity(dew_point_k);
    if (!(air_k > 0.0 && heat_w_m2_k > 0.0 && sky_view >= 0.0 && sky_view <= 1.0) || isnan(sky))
        return NAN;
    double grey = SURFACE_EMISSIVITY * OWL_STEFAN_BOLTZMANN;
    double seen = (1.0 - sky_view * (1.0 - sky)) * fourth_power(air_k), surface_k = air_k;
    for (int i = 0; i < NEWTON_STEPS; i++) {
        double balance = grey * (fourth_power(surface_k) - seen) + heat_w_m2_k * (surface_k - air_k);
        double slope = 4.0 * grey * surface_k * surface_k * surface_k + heat_w_m2_k;
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
    if (!(focal_m > 0.0 && fnumber > 0.0 && pupil_to_port_m >= 0.0 && field_angle_rad >= 0.0 &&
          field_angle_rad < OWL_PI))
        return NAN;
    return focal_m / fnumber + 2.0 * pupil_to_port_m * tan(field_angle_rad / 2.0);
}
