/* Chance that can be replayed: random numbers that follow from a seed and a stream number alone. Owns nothing; the
   stream is a plain value, and a copy of it draws the same numbers again.

   The generator is counter-based: draw number n of stream s under seed k is a fixed scramble of (k, s, n), so the
   streams of one seed never overlap and may be drawn in any order, or on any number of threads. Determinism: bits,
   uniforms and chances are whole-number and exact IEEE arithmetic, alike everywhere; the distributions use besides
   only exp, log, sqrt and pow of the maths library (floor and fabs are exact), so they are alike to the bit where
   that library is.

   Where a parameter lies outside its range or is NaN, a double is NaN, a count is -1, and nothing is drawn. */
#ifndef OWL_CORE_MODEL_RNG_H
#define OWL_CORE_MODEL_RNG_H

#include <stdbool.h>
#include <stdint.h>

#define OWL_RNG_POISSON_MEAN_MAX 1e6 /* above, the sum that accepts a count loses more than 1e-8 to rounding */

struct owl_rng {
    uint64_t key;     /* the seed */
    uint64_t stream;
    uint64_t counter; /* 64-bit draws made so far */
    uint64_t spare;   /* at an odd counter: the second half of the block begun */
};

struct owl_rng_block {
    uint64_t low, high;
};

/* The generator itself, Philox 4x32 of 10 rounds: 128 bits of counter to 128 bits of noise, one to one under each
   key. The four 32-bit words of the paper are low's lower and upper, then high's; so are the key's two. Published
   [random123]. */
struct owl_rng_block owl_rng_philox(struct owl_rng_block counter, uint64_t key);

/* A stream at its beginning. Any seed and stream; each pair is a stream of its own, 2^64 draws long. */
struct owl_rng owl_rng_start(uint64_t seed, uint64_t stream);

/* 64 fair bits. Every other function draws through this one. */
uint64_t owl_rng_bits(struct owl_rng *rng);

/* Even between 0 and 1, neither ever met: an odd multiple of 2^-53. One draw. */
double owl_rng_uniform(struct owl_rng *rng);

/* True with probability p, within 2^-53; never for p <= 0 or NaN, always for p >= 1. One draw, whatever p. */
bool owl_rng_chance(struct owl_rng *rng, double p);

/* z with P(Z <= z) = p for a standard normal Z. p in 0..1; 0 and 1 give -INFINITY and INFINITY. Within 1e-15 of
   |z|, near p = 1/2 too. Published [wichura1988], routine PPND16. */
double owl_rng_normal_quantile(double p);

/* Standard normal: the quantile of one uniform, so |z| stays below 8.3. One draw. */
double owl_rng_normal(struct owl_rng *rng);

/* Exponential of mean 1/rate: the wait for the next of events at `rate` > 0, finite. One draw. */
double owl_rng_exponential(struct owl_rng *rng, double rate);

/* median e^(sigma z): median > 0, finite; sigma >= 0, finite. One draw. */
double owl_rng_log_normal(struct owl_rng *rng, double median, double sigma);

/* Gamma of mean shape/rate and variance shape/rate^2; both > 0, finite. Shapes below 1/20 may give 0, the value
   being under the smallest double. Exact method by rejection, under 1.1 rounds of two draws on average. Published
   [marsaglia2000], with its step for shapes below 1. */
double owl_rng_gamma(struct owl_rng *rng, double shape, double rate);

/* Poisson count of mean 0..OWL_RNG_POISSON_MEAN_MAX, else -1. Exact but for rounding, a share of 1e-10 of a count's
   probability at a mean of 1e4. The time does not grow with the mean: below 10 inversion of one uniform, from there on
   rejection in under 1.4 rounds of two draws on average. Published [hormann1993], algorithm PTRS, whose hat is raised
   by a margin of our own, because the printed one is off by up to 3e-5 of a count's probability. */
int owl_rng_poisson(struct owl_rng *rng, double mean);

#endif
