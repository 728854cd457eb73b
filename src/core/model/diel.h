/* When animals are about: circular statistics of times of day, densities of activity and their overlap, and the day
   that is stretched so that sunrise and sunset keep their hours. Owns nothing; samples are read, never kept.

   A time of day is an angle, 2 pi to 24 h, 0 at midnight; any multiple of 2 pi may be added to an input, results lie
   in 0..2 pi. Densities are per rad and sum to 1 over the circle. Outside the ranges given, and for NaN, every
   function returns NaN. */
#ifndef OWL_CORE_MODEL_DIEL_H
#define OWL_CORE_MODEL_DIEL_H

#include "core/model/animal.h"

#define OWL_DIEL_GRID 512 /* points at which densities are compared or searched */

/* Modified Bessel functions of the first kind, times e^-|x|. Any x; infinity gives 0. Within 1e-14 of the greatest
   value. Published [abramowitz1964]. */
double owl_diel_bessel_i0e(double x);
double owl_diel_bessel_i1e(double x);

/* The von Mises density exp(k cos(t - mean))/(2 pi I0(k)). kappa >= 0, 0 being uniform; result 1/rad. Published
   [fisher1993]. */
double owl_diel_von_mises(double angle_rad, double mean_rad, double kappa);

/* A(k) = I1(k)/I0(k): the mean resultant length of a von Mises of concentration kappa >= 0. Result 0..1. */
double owl_diel_a1(double kappa);

/* The kappa whose A is `length`, exact to 1e-12 (not the piecewise fit often used, which is 0.7 % off). length
   0..1; 1 gives INFINITY. */
double owl_diel_a1_inverse(double length);

/* Times of day: angle_rad[count], count >= 1. nu: concentration of the kernel, >= 0; large is narrow, its width
   in hours about 24/(2 pi sqrt(nu)). */
struct owl_diel_sample {
    const double *angle_rad;
    int count;
    double nu;
};

struct owl_diel_mean {
    double direction_rad; /* NaN when the resultant is shorter than 1e-12: no direction */
    double length;        /* 0 (evenly spread) .. 1 (all at one time) */
};

/* Trigonometric moment of an order >= 1 about zero: direction and length of the mean of e^(i order t). Order 1 is the
   mean direction and its resultant length; nu is not read. Published [fisher1993]. */
struct owl_diel_mean owl_diel_moment(const struct owl_diel_sample *sample, int order);

/* Rayleigh's z = n R^2 against an even spread. */
double owl_diel_rayleigh(const struct owl_diel_sample *sample);

/* Largest of the kappas that give the first three moments, I_j(k)/I0(k) = |moment j|: follows a sample of two peaks
   where the first alone would smooth them away. Published [ridout2009]. */
double owl_diel_kappa(const struct owl_diel_sample *sample);

/* Plug-in nu of the kernel for a sample of `count` >= 1 from a von Mises of kappa >= 0:
   (3 n k^2 I2(2 k)/(4 sqrt(pi) I0(k)^2))^(2/5). Published [taylor2008]. */
double owl_diel_taylor_nu(int count, double kappa);

/* Kernel density of the sample at a time, 1/rad. Published [ridout2009]. */
double owl_diel_kernel_density(const struct owl_diel_sample *sample, double angle_rad);

/* Overlap of two samples' kernel densities, 0 (never about together) .. 1. Grid: the integral of the lesser,
   "Dhat1", for samples under 50; points: from each at the other's times, "Dhat4", for more than 75. Published
   [ridout2009]. */
double owl_diel_overlap_grid(const struct owl_diel_sample *a, const struct owl_diel_sample *b);
double owl_diel_overlap_points(const struct owl_diel_sample *a, const struct owl_diel_sample *b);

/* Share of the day spent active, 1/(2 pi max density), if every animal is active at the peak; 0..1. Published
   [rowcliffe2014]. */
double owl_diel_activity_level(const struct owl_diel_sample *sample);

/* The time on an anchored day: day and night are each stretched so that this day's sunrise and sunset fall on
   those given. All are times of day; sunrise and sunset must differ, as must the anchors. Published
   [nouvellet2012], [vazquez2019]. Where the sun does not rise or set there are no anchors: use solar time. */
double owl_diel_anchor_rad(double angle_rad, double sunrise_rad, double sunset_rad, double anchor_sunrise_rad,
                           double anchor_sunset_rad);

/* The same with one anchor: the day is turned, not stretched, so that its event falls on the anchor. */
double owl_diel_turn_rad(double angle_rad, double event_rad, double anchor_rad);

/* How an animal of a pattern spreads its activity over the anchored day (sunrise at pi/2, sunset at 3 pi/2), 1/rad.
   Estimate throughout: mixtures of von Mises with a peak after dusk and a lesser before dawn (night), the same
   in the morning and afternoon (day), narrow peaks at both twilights, or even. The share of activity between sunset
   and sunrise is 0.90, 0.10, 0.57 and 0.50. Unknown patterns give NaN. */
double owl_diel_density(enum owl_animal_pattern pattern, double anchored_hour_rad);

#endif
