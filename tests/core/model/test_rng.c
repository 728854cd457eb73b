/* The random stream against the paper's known answers, and every distribution against its moments and quantiles.

   Statistical checks draw DRAWS numbers from a fixed seed and allow FAR standard errors of the quantity compared: a
   right generator fails one such check in 1.7 million, and a fixed seed never fails twice. */
#include "core/model/rng.h"

#include <math.h>
#include <stdbool.h>

#include "support/check.h"

#define PI 3.14159265358979323846
#define COUNT(array) (sizeof(array) / sizeof((array)[0]))
#define DRAWS 100000
#define MANY 1000000 /* for the counts, each of which is to come in its share */
#define COUNTS 400
#define FAR 5.0
#define SEED 20240229u

static void expect_nan(double value)
{
    assert_true(isnan(value));
}

static void expect_share(const char *source, const char *what, int below, double p)
{
    double error = sqrt(p * (1.0 - p) / DRAWS), share = (double)below / DRAWS;
    if (source)
        check_cited(source, what, share, p, FAR * error);
    else
        check_near(what, share, p, FAR * error);
}

/* Sums of a sample's powers, about the mean that it should have. */
struct moments {
    double mean, first, second;
};

static void moments_add(struct moments *moments, double value)
{
    double off = value - moments->mean;
    moments->first += off;
    moments->second += off * off;
}

/* fourth: the distribution's fourth central moment, which gives the standard error of the variance. */
static void expect_moments(const char *what, const struct moments *moments, double variance, double fourth)
{
    check_near(what, moments->first / DRAWS, 0.0, FAR * sqrt(variance / DRAWS));
    check_near(what, moments->second / DRAWS, variance, FAR * sqrt((fourth - variance * variance) / DRAWS));
}

/* cited: the known answers published with the generator: counter, key, result as 32-bit words. Exact. */
static void test_rng_philox_known_answers(void **state)
{
    (void)state;
    static const uint32_t rows[][10] = {
        {0, 0, 0, 0, 0, 0, 0x6627e8d5, 0xe169c58d, 0xbc57ac4c, 0x9b00dbd8},
        {0xffffffff, 0xffffffff, 0xffffffff, 0xffffffff, 0xffffffff, 0xffffffff, 0x408f276d, 0x41c83b0e,
         0xa20bc7c6, 0x6d5451fd},
        {0x243f6a88, 0x85a308d3, 0x13198a2e, 0x03707344, 0xa4093822, 0x299f31d0, 0xd16cfe09, 0x94fdcceb,
         0x5001e420, 0x24126ea1}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        const uint32_t *row = rows[i];
        struct owl_rng_block counter = {(uint64_t)row[1] << 32 | row[0], (uint64_t)row[3] << 32 | row[2]};
        struct owl_rng_block block = owl_rng_philox(counter, (uint64_t)row[5] << 32 | row[4]);
        check_cited("random123", "word 0", (double)(block.low & 0xffffffffu), row[6], 0.0);
        check_cited("random123", "word 1", (double)(block.low >> 32), row[7], 0.0);
        check_cited("random123", "word 2", (double)(block.high & 0xffffffffu), row[8], 0.0);
        check_cited("random123", "word 3", (double)(block.high >> 32), row[9], 0.0);
    }
}

/* identity: a stream is its blocks in order, the first half first; a copy goes on alike. */
static void test_rng_stream_is_its_blocks(void **state)
{
    (void)state;
    struct owl_rng rng = owl_rng_start(UINT64_MAX, 7);
    for (uint64_t n = 0; n < 100; n++) {
        struct owl_rng_block block = owl_rng_philox((struct owl_rng_block){n, 7}, UINT64_MAX);
        assert_true(owl_rng_bits(&rng) == block.low);
        struct owl_rng copy = rng;
        assert_true(owl_rng_bits(&rng) == block.high);
        assert_true(owl_rng_bits(&copy) == block.high);
        assert_true(rng.counter == 2 * n + 2);
    }
}

/* identity: each seed and each stream is another sequence, in every bit of the two numbers. */
static void test_rng_streams_differ(void **state)
{
    (void)state;
    struct owl_rng base = owl_rng_start(1, 1);
    uint64_t first = owl_rng_bits(&base);
    for (int bit = 0; bit < 64; bit++) {
        struct owl_rng seed = owl_rng_start(1 ^ UINT64_C(1) << bit, 1);
        struct owl_rng stream = owl_rng_start(1, 1 ^ UINT64_C(1) << bit);
        assert_true(owl_rng_bits(&seed) != first);
        assert_true(owl_rng_bits(&stream) != first);
    }
}

/* identity: each of the 64 bits is set half the time. */
static void test_rng_bits_are_fair(void **state)
{
    (void)state;
    int set[64] = {0};
    struct owl_rng rng = owl_rng_start(SEED, 0);
    for (int i = 0; i < DRAWS; i++) {
        uint64_t bits = owl_rng_bits(&rng);
        for (int bit = 0; bit < 64; bit++)
            set[bit] += (int)(bits >> bit & 1);
    }
    for (int bit = 0; bit < 64; bit++)
        expect_share(NULL, "bit", set[bit], 0.5);
}

/* Chi-square statistic of counts that should be alike. */
static double unevenness(const int *count, int cells)
{
    double expected = (double)DRAWS / cells, sum = 0.0;
    for (int i = 0; i < cells; i++)
        sum += (count[i] - expected) * (count[i] - expected) / expected;
    return sum;
}

/* identity: uniforms fill 256 cells evenly, and the 16 by 16 cells of pairs, of neighbours in a stream and of the
 * same place in streams next to each other. Chi-square: 255 on average, standard deviation sqrt(2 255). */
static void test_rng_is_evenly_spread(void **state)
{
    (void)state;
    static int single[256], pair[256], across[256];
    struct owl_rng rng = owl_rng_start(SEED, 1);
    for (int i = 0; i < DRAWS; i++) {
        struct owl_rng one = owl_rng_start(SEED, 1000u + (unsigned)i), next = owl_rng_start(SEED, 1001u + (unsigned)i);
        double u = owl_rng_uniform(&rng), v = owl_rng_uniform(&rng);
        single[(int)(256.0 * u)]++;
        pair[16 * (int)(16.0 * u) + (int)(16.0 * v)]++;
        across[16 * (int)(16.0 * owl_rng_uniform(&one)) + (int)(16.0 * owl_rng_uniform(&next))]++;
    }
    check_near("single", unevenness(single, 256), 255.0, FAR * sqrt(510.0));
    check_near("pairs", unevenness(pair, 256), 255.0, FAR * sqrt(510.0));
    check_near("streams", unevenness(across, 256), 255.0, FAR * sqrt(510.0));
}

/* identity: uniforms keep inside 0..1 and have variance 1/12, fourth moment 1/80. */
static void test_rng_uniform(void **state)
{
    (void)state;
    struct moments moments = {.mean = 0.5};
    struct owl_rng rng = owl_rng_start(SEED, 2);
    for (int i = 0; i < DRAWS; i++) {
        double u = owl_rng_uniform(&rng);
        assert_true(u > 0.0 && u < 1.0);
        moments_add(&moments, u);
    }
    expect_moments("uniform", &moments, 1.0 / 12.0, 1.0 / 80.0);
}

/* identity: the extreme bits give the smallest and the largest uniform, neither 0 nor 1. An odd counter hands out
 * the spare, which here is set by hand. */
static void test_rng_uniform_stays_open(void **state)
{
    (void)state;
    struct owl_rng none = {.counter = 1, .spare = 0}, all = {.counter = 1, .spare = UINT64_MAX};
    struct owl_rng lowest = none, highest = all;
    check_near("lowest", owl_rng_uniform(&none), 0x1p-53, 0.0);
    check_near("highest", owl_rng_uniform(&all), 1.0 - 0x1p-53, 0.0);
    assert_true(isfinite(owl_rng_normal(&lowest)) && isfinite(owl_rng_normal(&highest)));
}

/* identity: a chance comes true in its share of draws, never at 0, always at 1, and costs one draw. */
static void test_rng_chance(void **state)
{
    (void)state;
    static const double shares[] = {0.01, 0.3, 0.5, 0.95};
    for (size_t i = 0; i < COUNT(shares); i++) {
        int times = 0;
        struct owl_rng rng = owl_rng_start(SEED, 10 + i);
        for (int j = 0; j < DRAWS; j++)
            times += owl_rng_chance(&rng, shares[i]);
        expect_share(NULL, "chance", times, shares[i]);
        assert_true(rng.counter == DRAWS);
    }
    struct owl_rng rng = owl_rng_start(SEED, 3);
    for (int i = 0; i < 1000; i++) {
        assert_true(owl_rng_chance(&rng, 1.0) && owl_rng_chance(&rng, 2.0));
        assert_false(owl_rng_chance(&rng, 0.0) || owl_rng_chance(&rng, -1.0) || owl_rng_chance(&rng, NAN));
    }
    assert_true(rng.counter == 5000);
}

/* cited: the check values of the algorithm, one for each of its three ranges; 1 part in 1e15, some units of the last
 * bit. */
static void test_rng_normal_quantile_values(void **state)
{
    (void)state;
    check_cited_relative("wichura1988", "z(0.25)", owl_rng_normal_quantile(0.25), -0.6744897501960817, 1e-15);
    check_cited_relative("wichura1988", "z(0.001)", owl_rng_normal_quantile(0.001), -3.090232306167814, 1e-15);
    check_cited_relative("wichura1988", "z(1e-20)", owl_rng_normal_quantile(1e-20), -9.262340089798408, 1e-15);
}

/* identity: the C library's error function gives the probability back, across both seams; odd about 1/2. */
static void test_rng_normal_quantile_is_the_inverse(void **state)
{
    (void)state;
    static const double places[] = {1e-300, 1e-16, 1.38e-11, 1.4e-11, 1e-6, 0.07499, 0.07501, 0.2, 0.5};
    for (size_t i = 0; i < COUNT(places); i++) {
        double p = places[i], z = owl_rng_normal_quantile(p);
        check_near("probability", 0.5 * erfc(-z / sqrt(2.0)) / p, 1.0, 1e-15 * fmax(10.0, 2.0 * z * z));
    }
    for (int i = 1; i < 1024; i++)
        check_near("odd", owl_rng_normal_quantile(i / 1024.0), -owl_rng_normal_quantile(1.0 - i / 1024.0), 0.0);
    assert_true(owl_rng_normal_quantile(0.0) == -INFINITY);
    assert_true(owl_rng_normal_quantile(1.0) == INFINITY);
    expect_nan(owl_rng_normal_quantile(-1e-9));
    expect_nan(owl_rng_normal_quantile(1.0 + 1e-9));
    expect_nan(owl_rng_normal_quantile(NAN));
}

/* identity: mean 0, variance 1, fourth moment 3, skewness within sqrt(15/n); shares below the 5, 50 and 95 %
 * quantiles; one draw each. */
static void test_rng_normal(void **state)
{
    (void)state;
    struct moments moments = {.mean = 0.0};
    int low = 0, middle = 0, high = 0;
    double third = 0.0;
    struct owl_rng rng = owl_rng_start(SEED, 20);
    for (int i = 0; i < DRAWS; i++) {
        double z = owl_rng_normal(&rng);
        moments_add(&moments, z);
        third += z * z * z;
        low += z < -1.6448536269514722;
        middle += z < 0.0;
        high += z < 1.6448536269514722;
    }
    expect_moments("normal", &moments, 1.0, 3.0);
    check_near("third moment", third / DRAWS, 0.0, FAR * sqrt(15.0 / DRAWS));
    expect_share(NULL, "5 %", low, 0.05);
    expect_share(NULL, "50 %", middle, 0.5);
    expect_share(NULL, "95 %", high, 0.95);
    assert_true(rng.counter == DRAWS);
}

/* identity: mean 1/r, variance 1/r^2, fourth moment 9/r^4; half below log 2/r. */
static void test_rng_exponential(void **state)
{
    (void)state;
    static const double rates[] = {1e-6, 0.4, 1.0, 250.0};
    for (size_t i = 0; i < COUNT(rates); i++) {
        double r = rates[i];
        struct moments moments = {.mean = 1.0 / r};
        int half = 0;
        struct owl_rng rng = owl_rng_start(SEED, 30 + i);
        for (int j = 0; j < DRAWS; j++) {
            double wait = owl_rng_exponential(&rng, r);
            assert_true(wait > 0.0);
            moments_add(&moments, wait);
            half += wait < 0.6931471805599453 / r;
        }
        expect_moments("exponential", &moments, 1.0 / (r * r), 9.0 / (r * r * r * r));
        expect_share(NULL, "half", half, 0.5);
    }
}

/* identity: half below the median, 95 % below median e^(1.645 sigma); the logarithm is normal; sigma 0 is the median
 * itself. */
static void test_rng_log_normal(void **state)
{
    (void)state;
    struct moments moments = {.mean = log(12.0)};
    int half = 0, high = 0;
    struct owl_rng rng = owl_rng_start(SEED, 40);
    for (int i = 0; i < DRAWS; i++) {
        double value = owl_rng_log_normal(&rng, 12.0, 0.5);
        moments_add(&moments, log(value));
        half += value < 12.0;
        high += value < 12.0 * exp(0.5 * 1.6448536269514722);
    }
    expect_moments("log-normal", &moments, 0.25, 3.0 * 0.0625);
    expect_share(NULL, "half", half, 0.5);
    expect_share(NULL, "95 %", high, 0.95);
    check_near("no spread", owl_rng_log_normal(&rng, 12.0, 0.0), 12.0, 0.0);
}

/* identity: mean a/r, variance a/r^2, fourth moment (3 a^2 + 6 a)/r^4, on both sides of the step at shape 1. */
static void test_rng_gamma_moments(void **state)
{
    (void)state;
    static const double shapes[] = {0.05, 0.5, 0.999, 1.0, 1.7, 10.0, 1000.0, 1e6};
    for (size_t i = 0; i < COUNT(shapes); i++) {
        double a = shapes[i], r = 3.0;
        struct moments moments = {.mean = a / r};
        struct owl_rng rng = owl_rng_start(SEED, 50 + i);
        for (int j = 0; j < DRAWS; j++) {
            double value = owl_rng_gamma(&rng, a, r);
            assert_true(value >= 0.0 && isfinite(value));
            moments_add(&moments, value);
        }
        expect_moments("gamma", &moments, a / (r * r), (3.0 * a * a + 6.0 * a) / (r * r * r * r));
        assert_true(rng.counter < 3 * DRAWS + DRAWS / 2);
    }
}

/* identity: the logarithm of a gamma of shape 1/2 has mean -gamma - 2 log 2 (Euler's constant), variance pi^2/2 and
 * fourth central moment pi^4 + 3 variance^2: the small values weigh as much as the large. */
static void test_rng_gamma_small_values(void **state)
{
    (void)state;
    double variance = 0.5 * PI * PI;
    struct moments moments = {.mean = -0.5772156649015329 - 2.0 * log(2.0)};
    struct owl_rng rng = owl_rng_start(SEED, 65);
    for (int i = 0; i < DRAWS; i++)
        moments_add(&moments, log(owl_rng_gamma(&rng, 0.5, 1.0)));
    expect_moments("logarithm", &moments, variance, PI * PI * PI * PI + 3.0 * variance * variance);
}

/* cited: quantiles of three gamma distributions computed elsewhere; the tolerance is the sample's. */
static void test_rng_gamma_quantiles(void **state)
{
    (void)state;
    static const double rows[][5] = {{4.5, 10.0, 0.166256, 0.417142, 0.845949},
                                     {0.5, 10.0, 0.000196607, 0.0227468, 0.192073},
                                     {8.0, 21.0, 0.189563, 0.365202, 0.626101}};
    static const double shares[] = {0.05, 0.5, 0.95};
    for (size_t i = 0; i < COUNT(rows); i++) {
        int below[3] = {0};
        struct owl_rng rng = owl_rng_start(SEED, 60 + i);
        for (int j = 0; j < DRAWS; j++) {
            double value = owl_rng_gamma(&rng, rows[i][0], rows[i][1]);
            for (int k = 0; k < 3; k++)
                below[k] += value <= rows[i][2 + k];
        }
        for (int k = 0; k < 3; k++)
            expect_share("r-stats", "share of gamma draws below", below[k], shares[k]);
    }
}

/* identity: mean and variance m, fourth moment m + 3 m^2, on both sides of the change of method at 10. */
static void test_rng_poisson_moments(void **state)
{
    (void)state;
    static const double means[] = {0.01, 0.4, 3.0, 9.99, 10.0, 10.01, 40.0, 1000.0, 1e4, 1e6};
    for (size_t i = 0; i < COUNT(means); i++) {
        double m = means[i];
        struct moments moments = {.mean = m};
        struct owl_rng rng = owl_rng_start(SEED, 70 + i);
        for (int j = 0; j < DRAWS; j++) {
            int count = owl_rng_poisson(&rng, m);
            assert_true(count >= 0);
            moments_add(&moments, count);
        }
        expect_moments("Poisson", &moments, m, m + 3.0 * m * m);
        assert_true(rng.counter < 3 * DRAWS);
    }
}

/* How many of MANY draws gave each count. */
static const int *poisson_counts(double mean, uint64_t stream)
{
    static int times[COUNTS];
    struct owl_rng rng = owl_rng_start(SEED, stream);
    for (int k = 0; k < COUNTS; k++)
        times[k] = 0;
    for (int i = 0; i < MANY; i++) {
        int count = owl_rng_poisson(&rng, mean);
        assert_in_range(count, 0, COUNTS - 1);
        times[count]++;
    }
    return times;
}

/* identity: each count comes as often as m^k e^-m/k!, by the C library's gamma function, and all counts together:
 * chi-square, as many as there are cells on average, standard deviation sqrt(2 cells). */
static void test_rng_poisson_shares(void **state)
{
    (void)state;
    static const double means[] = {0.5, 4.0, 9.9, 10.0, 12.0, 25.0, 100.0};
    for (size_t i = 0; i < COUNT(means); i++) {
        const int *times = poisson_counts(means[i], 80 + i);
        double chi_square = 0.0;
        int cells = 0;
        for (int k = 0; k < COUNTS; k++) {
            double expected = MANY * exp(k * log(means[i]) - means[i] - lgamma(k + 1.0)), off = times[k] - expected;
            if (expected < 25.0)
                continue;
            check_near("count", off, 0.0, FAR * sqrt(expected));
            chi_square += off * off / expected;
            cells++;
        }
        check_near("all counts", chi_square, cells, FAR * sqrt(2.0 * cells));
    }
}

/* identity: the edges of the count: no mean, no counts; the largest uniform ends the inversion. */
static void test_rng_poisson_edges(void **state)
{
    (void)state;
    struct owl_rng last = {.counter = 1, .spare = UINT64_MAX}, rng = owl_rng_start(SEED, 4);
    assert_in_range(owl_rng_poisson(&last, 9.999), 30, 128);
    for (int i = 0; i < 100; i++)
        assert_int_equal(owl_rng_poisson(&rng, 0.0), 0);
    assert_true(owl_rng_poisson(&rng, OWL_RNG_POISSON_MEAN_MAX) > 0);
}

/* fault: outside the ranges nothing is drawn, and the result says so. */
static void test_rng_outside(void **state)
{
    (void)state;
    struct owl_rng rng = owl_rng_start(SEED, 5);
    static const double bad[] = {0.0, -1.0, INFINITY, NAN};
    for (size_t i = 0; i < COUNT(bad); i++) {
        expect_nan(owl_rng_exponential(&rng, bad[i]));
        expect_nan(owl_rng_log_normal(&rng, bad[i], 1.0));
        expect_nan(owl_rng_gamma(&rng, bad[i], 1.0));
        expect_nan(owl_rng_gamma(&rng, 1.0, bad[i]));
        if (bad[i] != 0.0)
            expect_nan(owl_rng_log_normal(&rng, 1.0, bad[i]));
        if (bad[i] != 0.0)
            assert_int_equal(owl_rng_poisson(&rng, bad[i]), -1);
    }
    assert_int_equal(owl_rng_poisson(&rng, 1.01 * OWL_RNG_POISSON_MEAN_MAX), -1);
    assert_true(rng.counter == 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_rng_philox_known_answers),
        cmocka_unit_test(test_rng_stream_is_its_blocks),
        cmocka_unit_test(test_rng_streams_differ),
        cmocka_unit_test(test_rng_bits_are_fair),
        cmocka_unit_test(test_rng_is_evenly_spread),
        cmocka_unit_test(test_rng_uniform),
        cmocka_unit_test(test_rng_uniform_stays_open),
        cmocka_unit_test(test_rng_chance),
        cmocka_unit_test(test_rng_normal_quantile_values),
        cmocka_unit_test(test_rng_normal_quantile_is_the_inverse),
        cmocka_unit_test(test_rng_normal),
        cmocka_unit_test(test_rng_exponential),
        cmocka_unit_test(test_rng_log_normal),
        cmocka_unit_test(test_rng_gamma_moments),
        cmocka_unit_test(test_rng_gamma_small_values),
        cmocka_unit_test(test_rng_gamma_quantiles),
        cmocka_unit_test(test_rng_poisson_moments),
        cmocka_unit_test(test_rng_poisson_shares),
        cmocka_unit_test(test_rng_poisson_edges),
        cmocka_unit_test(test_rng_outside),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
