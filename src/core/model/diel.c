/* Circular statistics of activity. */
#include "core/model/diel.h"

#include <math.h>
#include <stdbool.h>
#include <stddef.h>

#include "core/constants.h"

#define SERIES_LIMIT 30.0  /* above, the asymptotic series is exact to a double */
#define NO_DIRECTION 1e-12 /* resultant below which its direction is rounding */
#define INVERSE_ROUNDS 200 /* more than a double's bits: the bisection ends by itself */
#define MOMENTS 3          /* [ridout2009] */

/* Power series, all terms positive: (x/2)^n/n! sum (x^2/4)^j n!/(j! (n+j)!). */
static double series(int order, double x)
{
    double term = exp(-x), sum;
    for (int j = 1; j <= order; j++)
        term *= x / (2.0 * j);
    sum = term;
    for (int j = 1; term > 1e-18 * sum; j++) {
        term *= x * x / (4.0 * j * (j + order));
        sum += term;
    }
    return sum;
}

/* Asymptotic series for large x: 1/sqrt(2 pi x) sum (-1)^j prod (4 n^2 - (2 i - 1)^2)/(j! (8 x)^j). */
static double asymptotic(int order, double x)
{
    double term = 1.0, sum = 1.0;
    for (int j = 1; fabs(term) > 1e-18 && j < 2.0 * x; j++) {
        double odd = 2.0 * j - 1.0;
        term *= -(4.0 * order * order - odd * odd) / (8.0 * j * x);
        sum += term;
    }
    return sum / sqrt(OWL_TAU * x);
}

/* e^-x I_order(x), x >= 0. */
static double bessel(int order, double x)
{
    if (isnan(x))
        return NAN;
    return x <= SERIES_LIMIT ? series(order, x) : asymptotic(order, x);
}

double owl_diel_bessel_i0e(double x)
{
    return bessel(0, fabs(x));
}

double owl_diel_bessel_i1e(double x)
{
    return copysign(bessel(1, fabs(x)), x);
}

/* exp(nu (cos - 1)) with the scaled I0 stays finite however narrow the peak. */
static double peak(double cosine, double kappa, double i0e)
{
    return exp(kappa * (cosine - 1.0)) / (OWL_TAU * i0e);
}

static bool is_concentration(double kappa)
{
    return kappa >= 0.0 && isfinite(kappa);
}

double owl_diel_von_mises(double angle_rad, double mean_rad, double kappa)
{
    if (!is_concentration(kappa))
        return NAN;
    return peak(cos(angle_rad - mean_rad), kappa, owl_diel_bessel_i0e(kappa));
}

/* I_order(k)/I0(k). */
static double ratio(int order, double kappa)
{
    return bessel(order, kappa) / bessel(0, kappa);
}

double owl_diel_a1(double kappa)
{
    if (kappa == INFINITY)
        return 1.0;
    return kappa >= 0.0 ? ratio(1, kappa) : NAN;
}

/* The ratio rises with kappa from 0 to 1. It nears 1 as 1 - order^2/(2 k); an upper end that doubles until it is
   past the length is found soon, and bisection does the rest. */
static double ratio_inverse(int order, double length)
{
    double low = 0.0, high = 1.0;
    if (!(length >= 0.0 && length <= 1.0))
        return NAN;
    while (ratio(order, high) < length) {
        low = high;
        high *= 2.0;
    }
    if (length == 1.0)
        return INFINITY;
    for (int i = 0; i < INVERSE_ROUNDS; i++) {
        double middle = low + (high - low) / 2.0;
        if (ratio(order, middle) < length)
            low = middle;
        else
            high = middle;
    }
    return low + (high - low) / 2.0;
}

double owl_diel_a1_inverse(double length)
{
    return ratio_inverse(1, length);
}

static double wrapped(double angle_rad)
{
    double turned = angle_rad - OWL_TAU * floor(angle_rad / OWL_TAU);
    return turned >= OWL_TAU ? 0.0 : turned;
}

/* As fmin(value, 1), but NaN stays NaN. */
static double at_most_one(double value)
{
    return value > 1.0 ? 1.0 : value;
}

static bool is_sample(const struct owl_diel_sample *sample)
{
    return sample->count >= 1;
}

static bool is_kernel(const struct owl_diel_sample *sample)
{
    return is_sample(sample) && is_concentration(sample->nu);
}

struct owl_diel_mean owl_diel_moment(const struct owl_diel_sample *sample, int order)
{
    double sine = 0.0, cosine = 0.0;
    if (!is_sample(sample) || order < 1)
        return (struct owl_diel_mean){NAN, NAN};
    for (int i = 0; i < sample->count; i++) {
        sine += sin(order * sample->angle_rad[i]);
        cosine += cos(order * sample->angle_rad[i]);
    }
    double length = sqrt(sine * sine + cosine * cosine) / sample->count;
    double direction_rad = length < NO_DIRECTION ? NAN : wrapped(atan2(sine, cosine));
    return (struct owl_diel_mean){direction_rad, at_most_one(length)};
}

double owl_diel_rayleigh(const struct owl_diel_sample *sample)
{
    double length = owl_diel_moment(sample, 1).length;
    return sample->count * length * length;
}

double owl_diel_kappa(const struct owl_diel_sample *sample)
{
    double largest = 0.0;
    for (int order = 1; order <= MOMENTS; order++) {
        double kappa = ratio_inverse(order, owl_diel_moment(sample, order).length);
        if (!(kappa <= largest))
            largest = kappa;
    }
    return largest;
}

double owl_diel_taylor_nu(int count, double kappa)
{
    if (count < 1 || !is_concentration(kappa))
        return NAN;
    double i0e = bessel(0, kappa);
    double curvature = 3.0 * count * kappa * kappa * bessel(2, 2.0 * kappa) / (4.0 * sqrt(OWL_PI) * i0e * i0e);
    return pow(curvature, 0.4);
}

static double kernel_sum(const struct owl_diel_sample *sample, double angle_rad, double i0e)
{
    double sum = 0.0;
    for (int i = 0; i < sample->count; i++)
        sum += peak(cos(angle_rad - sample->angle_rad[i]), sample->nu, i0e);
    return sum / sample->count;
}

double owl_diel_kernel_density(const struct owl_diel_sample *sample, double angle_rad)
{
    if (!is_kernel(sample))
        return NAN;
    return kernel_sum(sample, angle_rad, bessel(0, sample->nu));
}

double owl_diel_overlap_grid(const struct owl_diel_sample *a, const struct owl_diel_sample *b)
{
    if (!is_kernel(a) || !is_kernel(b))
        return NAN;
    double a_i0e = bessel(0, a->nu), b_i0e = bessel(0, b->nu), sum = 0.0;
    for (int i = 0; i < OWL_DIEL_GRID; i++) {
        double angle_rad = i * OWL_TAU / OWL_DIEL_GRID;
        double by_a = kernel_sum(a, angle_rad, a_i0e), by_b = kernel_sum(b, angle_rad, b_i0e);
        sum += (by_a + by_b - fabs(by_a - by_b)) / 2.0; /* the lesser; NaN stays */
    }
    return at_most_one(sum * OWL_TAU / OWL_DIEL_GRID);
}

/* Mean over a's times of the lesser of 1 and b's density over a's own. */
static double mean_share(const struct owl_diel_sample *a, const struct owl_diel_sample *b)
{
    double a_i0e = bessel(0, a->nu), b_i0e = bessel(0, b->nu), sum = 0.0;
    for (int i = 0; i < a->count; i++) {
        sum += at_most_one(kernel_sum(b, a->angle_rad[i], b_i0e) / kernel_sum(a, a->angle_rad[i], a_i0e));
    }
    return sum / a->count;
}

double owl_diel_overlap_points(const struct owl_diel_sample *a, const struct owl_diel_sample *b)
{
    if (!is_kernel(a) || !is_kernel(b))
        return NAN;
    return (mean_share(a, b) + mean_share(b, a)) / 2.0;
}

double owl_diel_activity_level(const struct owl_diel_sample *sample)
{
    if (!is_kernel(sample))
        return NAN;
    double i0e = bessel(0, sample->nu), highest = 0.0;
    for (int i = 0; i < OWL_DIEL_GRID; i++) {
        double density = kernel_sum(sample, i * OWL_TAU / OWL_DIEL_GRID, i0e);
        if (!(density <= highest))
            highest = density;
    }
    return at_most_one(1.0 / (OWL_TAU * highest));
}

double owl_diel_anchor_rad(double angle_rad, double sunrise_rad, double sunset_rad, double anchor_sunrise_rad,
                           double anchor_sunset_rad)
{
    double day_rad = wrapped(sunset_rad - sunrise_rad);
    double anchor_day_rad = wrapped(anchor_sunset_rad - anchor_sunrise_rad);
    double since_rad = wrapped(angle_rad - sunrise_rad);
    if (!(day_rad > 0.0 && anchor_day_rad > 0.0))
        return NAN;
    if (since_rad < day_rad)
        return wrapped(anchor_sunrise_rad + since_rad * anchor_day_rad / day_rad);
    double night_share = (since_rad - day_rad) / (OWL_TAU - day_rad);
    return wrapped(anchor_sunset_rad + night_share * (OWL_TAU - anchor_day_rad));
}

double owl_diel_turn_rad(double angle_rad, double event_rad, double anchor_rad)
{
    return wrapped(angle_rad - event_rad + anchor_rad);
}

/* One peak of a pattern: its share of all activity, its hour on the anchored day and its concentration. */
struct hump {
    double share, hour, kappa;
};

#define HUMPS 3

/* Estimates. A kappa of 4 is 2 h wide either side, of 10 a little over 1 h; 0 is the even rest. */
static const struct hump night_humps[HUMPS] = {{0.45, 20.5, 4.0}, {0.20, 0.0, 2.0}, {0.35, 3.5, 4.0}};
static const struct hump day_humps[HUMPS] = {{0.45, 8.5, 4.0}, {0.20, 12.0, 2.0}, {0.35, 15.5, 4.0}};
static const struct hump twilight_humps[HUMPS] = {{0.40, 5.75, 10.0}, {0.45, 18.25, 10.0}, {0.15, 0.0, 0.0}};
static const struct hump always_humps[HUMPS] = {{1.0, 0.0, 0.0}, {0.0, 0.0, 0.0}, {0.0, 0.0, 0.0}};

static const struct hump *humps_of(enum owl_animal_pattern pattern)
{
    switch (pattern) {
    case OWL_ACTIVE_NIGHT:
        return night_humps;
    case OWL_ACTIVE_DAY:
        return day_humps;
    case OWL_ACTIVE_TWILIGHT:
        return twilight_humps;
    case OWL_ACTIVE_ALWAYS:
        return always_humps;
    }
    return NULL;
}

double owl_diel_density(enum owl_animal_pattern pattern, double anchored_hour_rad)
{
    const struct hump *hump = humps_of(pattern);
    double density = 0.0;
    if (!hump)
        return NAN;
    for (int i = 0; i < HUMPS; i++)
        density +=
            hump[i].share * owl_diel_von_mises(anchored_hour_rad, hump[i].hour * (OWL_TAU / 24.0), hump[i].kappa);
    return density;
}
