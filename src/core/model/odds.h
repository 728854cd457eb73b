/* What counts of visits say about the nights to come, and how animals that wander meet a camera. Owns nothing; arrays
   are read, never kept.

   Visits are taken as a Poisson stream of unknown rate per night. Visits that come in clusters carry less: divide the
   count by their dispersion first; counts need not be whole. Outside the ranges given, and for NaN, every function
   returns NaN. */
#ifndef OWL_CORE_MODEL_ODDS_H
#define OWL_CORE_MODEL_ODDS_H

#include <stddef.h>

#define OWL_ODDS_Z_90 1.6448536269514722 /* standard normal quantile of 0.95: bounds of a 90 % interval */
#define OWL_ODDS_SHAPE_MAX 1e6           /* largest shape of a gamma distribution computed */
#define OWL_ODDS_VISITS_MAX 10000        /* most visits asked for at once */

/* Natural logarithm of the gamma function, x > 0; INFINITY at INFINITY. Within 1e-14, or 1e-15 of it where that is
   more. Touches no global, unlike the C library's. Published [abramowitz1964] 6.1.41. */
double owl_odds_log_gamma(double x);

/* P(X <= x) of a gamma distribution of rate 1, the regularised incomplete gamma function. 0 < shape <=
   OWL_ODDS_SHAPE_MAX, x >= 0; result 0..1, within 1e-14 up to a shape of 10, 1e-13 to 100, 1e-11 to 1e4, 1e-9 to the
   limit. Published [abramowitz1964] 6.5.29, 6.5.31. */
double owl_odds_gamma_below(double shape, double x);

/* The x at which that is p. 0 <= p <= 1, 1 giving INFINITY; 0 too where x is under the smallest double. Within 1e-12
   of x for p between 1e-12 and 1 - 1e-9 and shapes up to 1e4. */
double owl_odds_gamma_quantile(double shape, double p);

/* A gamma distribution for the rate per night: what is believed of it. */
struct owl_odds_gamma {
    double shape;  /* visits seen, and the prior's share */
    double nights; /* nights watched, and the prior's share: the rate parameter of the distribution */
};

/* Jeffreys's prior for a Poisson rate, shape 1/2 over no nights: the default. Published [jeffreys1946]. */
struct owl_odds_gamma owl_odds_jeffreys(void);

/* Belief after `count` >= 0 visits in `nights` >= 0; the prior's parts >= 0. Outside, both parts are NaN; everything
   below wants both > 0, so one night at least and one visit or a prior shape. Published [gelman2013]. */
struct owl_odds_gamma owl_odds_posterior(double count, double nights, struct owl_odds_gamma prior);

/* Mean rate, visits per night. */
double owl_odds_rate_mean(struct owl_odds_gamma belief);

/* The rate that is not exceeded with probability p, visits per night; p in 0..1. */
double owl_odds_rate_quantile(struct owl_odds_gamma belief, double p);

/* P(at least `visits` in `nights` to come), the rate's uncertainty included: a negative binomial tail. nights >= 0,
   finite; visits up to OWL_ODDS_VISITS_MAX, none or fewer giving 1. Within 1e-13 where shape and visits
   are up to 100, 1e-11 up to 1e4. Published [gelman2013]. */
double owl_odds_at_least(struct owl_odds_gamma belief, int visits, double nights);

/* Nights after which a visit has come with probability p in 0..1 (1: INFINITY), the rate's uncertainty included. */
double owl_odds_nights_for(struct owl_odds_gamma belief, double p);

/* The same as though the rate were known, >= 0 per night: optimistic when put in from a count. A rate of 0 gives
   INFINITY unless p is 0. */
double owl_odds_nights_plug_in(double rate_per_night, double p);

/* P(no visit in `nights`) at a known rate: e^(-rate nights), both >= 0. */
double owl_odds_none(double rate_per_night, double nights);

/* Nothing seen in `nights` > 0: the rate whose chance of that is 1 - level; level in 0..1 (1: INFINITY). Per night.
   Published [hanley1983]. */
double owl_odds_unseen_upper(double nights, double level);

/* The same for a level of 0.95 by the rule of three, 3/nights: 0.14 % too high. Published [hanley1983]. */
double owl_odds_rule_of_three(double nights);

/* Mean width that a detection sector shows to animals from all sides, (2 + angle) radius/pi: radius >= 0, whole
   angle 0..pi. Published [rowcliffe2008]. */
double owl_odds_profile_width_m(double radius_m, double angle_rad);

/* Random encounter model: how often animals that wander at `speed` (time at rest counted in) enter the sector,
   density and speed >= 0. For groups, density of groups; times their size for animals. Published [rowcliffe2008]. */
double owl_odds_encounters_per_s(double radius_m, double angle_rad, double speed_m_s, double density_per_m2);

/* The same solved for the density: radius and speed > 0, rate >= 0. */
double owl_odds_density_per_m2(double radius_m, double angle_rad, double speed_m_s, double encounters_per_s);

/* Quantile p in 0..1 of sorted[count], ascending, without NaN, count >= 1: straight between the values, which stand
   at p = i/(count - 1). Published [hyndman1996], type 7. */
double owl_odds_quantile_sorted(const double *sorted, size_t count, double p);

struct owl_odds_interval {
    double low, high;
};

/* Score interval of a proportion seen as 0 <= successes <= trials, trials > 0, with bounds z >= 0 standard errors
   off: OWL_ODDS_Z_90 for 90 %. Within 0..1. Outside, both are NaN. Published [wilson1927]. */
struct owl_odds_interval owl_odds_wilson(double successes, double trials, double z);

#endif
