/* Light of sun, twilight, moon and night sky by fits in lg lx, and refraction. */
#include "core/model/twilight.h"

#include <math.h>
#include <stdbool.h>
#include <stddef.h>

#include "core/constants.h"

#define ARCMIN_PER_DEG 60.0
#define HORIZON_TRUE_DEG (-0.575) /* true altitude whose apparent one is 0 [saemundsson1986] */
#define FADE_DEG 2.0              /* estimate */
#define STANDARD_PRESSURE_PA 101000.0
#define STANDARD_TEMPERATURE_K 283.15

#define LOWEST_SUN_DEG (-18.0)  /* end of the fit for the sun [seidelmann1992] */
#define MEAN_PARALLAX_DEG 0.951 /* of the fit for the moon [seidelmann1992] */
#define PHASE_LINEAR (-8.68e-3) /* lg lx per degree of phase angle [seidelmann1992] */
#define PHASE_QUARTIC (-2.2e-9) /* lg lx per degree^4 */

#define CLEAR_FLOOR_LX 8e-4
#define DARK_FLOOR_LX 1e-4
#define LG_OF_2 0.30102999566398120
#define LG_OF_3 0.47712125471966244

/* One part of a fit: lg E = l0 + l1 x + l2 x^2 + l3 x^3, x = altitude/90 deg, from its lowest altitude up. */
struct part {
    double from_deg;
    double l[4];
};

/* Both tables [seidelmann1992], highest part first. */
static const struct part sun_parts[] = {
    {20.0, {3.74, 3.97, -4.07, 1.47}},
    {5.0, {3.05, 13.28, -45.98, 64.33}},
    {-0.8, {2.88, 22.26, -207.64, 1034.30}},
    {-5.0, {2.88, 21.81, -258.11, -858.36}},
    {-12.0, {2.70, 12.17, -431.69, -1899.83}},
    {LOWEST_SUN_DEG, {13.84, 262.72, 1447.42, 2797.93}},
};
static const struct part moon_parts[] = {
    {20.0, {-1.95, 4.06, -4.24, 1.56}},
    {5.0, {-2.58, 12.58, -42.58, 59.06}},
    {-0.8, {-2.79, 24.27, -252.95, 1321.29}},
};
#define SUN_PARTS (sizeof sun_parts / sizeof sun_parts[0])
#define MOON_PARTS (sizeof moon_parts / sizeof moon_parts[0])

static bool is_altitude(double altitude_rad)
{
    return fabs(altitude_rad) <= OWL_PI / 2.0;
}

/* scale/tan(altitude + a/(altitude + b)), all in degrees, the result in minutes of arc: the form both
   authors use. Just below the zenith it turns negative by 0.002'. */
static double refraction_rad(double altitude_deg, double scale, double a, double b)
{
    double argument_rad = (altitude_deg + a / (altitude_deg + b)) * OWL_RAD_PER_DEG;
    return fmax(scale / tan(argument_rad), 0.0) / ARCMIN_PER_DEG * OWL_RAD_PER_DEG;
}

static double saemundsson_rad(double altitude_deg)
{
    return refraction_rad(altitude_deg, 1.02, 10.3, 5.11);
}

/* Below the horizon the published form swells to 45' and collapses at -5 deg. A fade by 1/e in FADE_DEG keeps
   the order of altitudes and leaves 2' at the end of civil twilight, whose levels are told by true altitude. */
double owl_twilight_refract_rad(double true_altitude_rad)
{
    if (!is_altitude(true_altitude_rad))
        return NAN;
    double altitude_deg = true_altitude_rad * OWL_DEG_PER_RAD;
    if (altitude_deg >= HORIZON_TRUE_DEG)
        return saemundsson_rad(altitude_deg);
    return saemundsson_rad(HORIZON_TRUE_DEG) * exp((altitude_deg - HORIZON_TRUE_DEG) / FADE_DEG);
}

double owl_twilight_unrefract_rad(double apparent_altitude_rad)
{
    if (!is_altitude(apparent_altitude_rad) || apparent_altitude_rad < 0.0)
        return NAN;
    return refraction_rad(apparent_altitude_rad * OWL_DEG_PER_RAD, 1.0, 7.31, 4.4);
}

double owl_twilight_refract_factor(double pressure_pa, double temperature_k)
{
    if (!(pressure_pa >= 0.0 && temperature_k > 0.0))
        return NAN;
    return pressure_pa / STANDARD_PRESSURE_PA * (STANDARD_TEMPERATURE_K / temperature_k);
}

static double fitted_lg_lx(const struct part *parts, size_t count, double altitude_deg)
{
    size_t i = 0;
    while (i + 1 < count && altitude_deg < parts[i].from_deg)
        i++;
    const double *l = parts[i].l;
    double x = altitude_deg / 90.0;
    return l[0] + x * (l[1] + x * (l[2] + x * l[3]));
}

double owl_twilight_sun_lx(double apparent_altitude_rad)
{
    if (!is_altitude(apparent_altitude_rad))
        return NAN;
    double altitude_deg = fmax(apparent_altitude_rad * OWL_DEG_PER_RAD, LOWEST_SUN_DEG);
    return pow(10.0, fitted_lg_lx(sun_parts, SUN_PARTS, altitude_deg));
}

double owl_twilight_moon_lx(double apparent_altitude_rad, double phase_angle_rad, double horizontal_parallax_rad)
{
    bool phase_known = phase_angle_rad >= 0.0 && phase_angle_rad <= OWL_PI;
    if (!is_altitude(apparent_altitude_rad) || !phase_known || !(horizontal_parallax_rad > 0.0))
        return NAN;
    double altitude_deg = apparent_altitude_rad * OWL_DEG_PER_RAD;
    if (altitude_deg < moon_parts[MOON_PARTS - 1].from_deg)
        return 0.0;
    double phase_deg = phase_angle_rad * OWL_DEG_PER_RAD;
    double square = phase_deg * phase_deg;
    double nearness = horizontal_parallax_rad * OWL_DEG_PER_RAD / MEAN_PARALLAX_DEG;
    double lg_lx = fitted_lg_lx(moon_parts, MOON_PARTS, altitude_deg) + PHASE_LINEAR * phase_deg +
                   PHASE_QUARTIC * square * square;
    return pow(10.0, lg_lx) * nearness * nearness;
}

double owl_twilight_cloud_divisor(double cloud)
{
    static const double lg_divisor[] = {0.0, LG_OF_2, LG_OF_3, 1.0};
    if (!(cloud >= OWL_CLOUD_CLEAR && cloud <= OWL_CLOUD_DARK))
        return NAN;
    int class = cloud < OWL_CLOUD_DARK ? (int)cloud : (int)OWL_CLOUD_DARK - 1;
    double part = cloud - class;
    return pow(10.0, lg_divisor[class] * (1.0 - part) + lg_divisor[class + 1] * part);
}

double owl_twilight_floor_lx(double cloud)
{
    if (!(cloud >= OWL_CLOUD_CLEAR && cloud <= OWL_CLOUD_DARK))
        return NAN;
    return CLEAR_FLOOR_LX * pow(DARK_FLOOR_LX / CLEAR_FLOOR_LX, cloud / OWL_CLOUD_DARK);
}

static double apparent_rad(double true_altitude_rad)
{
    return fmin(true_altitude_rad + owl_twilight_refract_rad(true_altitude_rad), OWL_PI / 2.0);
}

/* The night sky has its own dependence on cloud, so only sun and moon are divided. fmax would drop a NaN
   of the sun, hence the test before. */
double owl_twilight_horizontal_lx(const struct owl_twilight_sky *sky)
{
    if (!is_altitude(sky->sun_altitude_rad) || !is_altitude(sky->moon_altitude_rad) ||
        !(sky->open_sky >= 0.0 && sky->open_sky <= 1.0))
        return NAN;
    double divisor = owl_twilight_cloud_divisor(sky->cloud);
    double sun_lx = owl_twilight_sun_lx(apparent_rad(sky->sun_altitude_rad)) / divisor;
    double moon_rad = apparent_rad(sky->moon_altitude_rad);
    double moon_lx = owl_twilight_moon_lx(moon_rad, sky->moon_phase_rad, sky->moon_parallax_rad) / divisor;
    return sky->open_sky * (fmax(sun_lx, owl_twilight_floor_lx(sky->cloud)) + moon_lx);
}
