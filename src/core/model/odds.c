/* Encounter odds: gamma beliefs about rates, and the random encounter model. */
#include "core/model/odds.h"

#include <math.h>
#include <stdbool.h>

#include "core/constants.h"

#define STIRLING_FROM 10.0    /* six terms leave 6e-16 here */
#define HALF_LOG_TAU 0.918938533204672742
#define TERMS_MAX 20000       /* both expansions need about 9 sqrt(shape) at worst */
#define TERM_SHARE 1e-17      /* a term below this share of the sum adds nothing */
#define NEWTON_ROUNDS 200
#define NEWTON_STEP 1e-15
#define RULE_OF_THREE 3.0     /* [hanley1983], for -log(0.05) = 2.9957 */

/* log Gamma(x) = (x - 1/2) log x - x + log(2 pi)/2 + 1/(12 x) - 1/(360 x^3) + ... */
static double stirling(double x)
{
    static const double coefficient[] = {1.0 / 12.0,    -1.0 / 360.0, 1.0 / 1260.0,
                                         -1.0 / 1680.0, 1.0 / 1188.0, -691.0 / 360360.0};
    double sum = 0.0;
    for (int i = (int)(sizeof coefficient / sizeof coefficient[0]) - 1; i >= 0; i--)
        sum = sum / (x * x) + coefficient[i];
    return (x - 0.5) * log(x) - x + HALF_LOG_TAU + sum / x;
}

/* Small x is moved up by Gamma(x) = Gamma(x + n)/(x (x + 1) ... (x + n - 1)). */
double owl_odds_log_gamma(double x)
{
    if (!(x > 0.0) || isinf(x))
        return x > 0.0 ? INFINITY : NAN;
    double product = 1.0;
    while (x < STIRLING_FROM)
        product *= x++;
    return stirling(x) - log(product);
}

/* 1/a + x/(a (a + 1)) + x^2/(a (a + 1) (a + 2)) + ...: what the factor x^a e^-x/Gamma(a) makes the lower part of. */
static double lower_series(double shape, double x)
{
    double term = 1.0 / shape, sum = term;
    for (int i = 1; i < TERMS_MAX && term > TERM_SHARE * sum; i++) {
        term *= x / (shape + i);
        sum += term;
    }
    return sum;
}

/* 1/(x + 1 - a - 1 (1 - a)/(x + 3 - a - 2 (2 - a)/(x + 5 - a - ...))), the same for the upper part, by products of
   the ratios of successive numerators and denominators, which stay positive for x >= a + 1. */
static double upper_fraction(double shape, double x)
{
    double b = x + 1.0 - shape, above = INFINITY, below = 1.0 / b, value = below, change = 0.0;
    for (int i = 1; i < TERMS_MAX && fabs(change - 1.0) > 1e-16; i++) {
        double a = -i * (i - shape);
        b += 2.0;
        below = 1.0 / (a * below + b);
        above = b + a / above;
        change = above * below;
        value *= change;
    }
    return value;
}

/* log of x^a e^-x/Gamma(a); the logarithm of x comes along because x itself may have run under. */
static double log_factor(double shape, double x, double log_x)
{
    return shape * log_x - x - owl_odds_log_gamma(shape);
}

static double log_below(double shape, double x, double log_x)
{
    double factor = log_factor(shape, x, log_x);
    if (x < shape + 1.0)
        return factor + log(lower_series(shape, x));
    return log1p(-exp(factor) * upper_fraction(shape, x));
}

static bool usable_shape(double shape)
{
    return shape > 0.0 && shape <= OWL_ODDS_SHAPE_MAX;
}

static bool is_share(double p)
{
    return p >= 0.0 && p <= 1.0;
}

/* 0 .. without end, but not infinity itself. */
static bool is_amount(double value)
{
    return value >= 0.0 && value < INFINITY;
}

double owl_odds_gamma_below(double shape, double x)
{
    if (!usable_shape(shape) || !(x >= 0.0))
        return NAN;
    return isinf(x) ? 1.0 : fmin(1.0, exp(log_below(shape, x, log(x))));
}

/* Newton's method on log P as a function of log x. That function rises and is concave, so from the left each step
   falls short of the root and the way there is monotonic; P < x^a/Gamma(a + 1) gives a start on the left. It ends when
   a step no longer leads upwards. */
double owl_odds_gamma_quantile(double shape, double p)
{
    if (!usable_shape(shape) || !is_share(p))
        return NAN;
    if (p == 0.0 || p == 1.0)
        return p == 0.0 ? 0.0 : INFINITY;
    double log_p = log(p), log_x = (log_p + owl_odds_log_gamma(shape + 1.0)) / shape;
    for (int i = 0; i < NEWTON_ROUNDS; i++) {
        double x = exp(log_x), reached = log_below(shape, x, log_x);
        double slope = exp(log_factor(shape, x, log_x) - reached);
        double step = (log_p - reached) / slope;
        if (!(step > NEWTON_STEP))
            break;
        log_x += step;
    }
    return exp(log_x);
}

struct owl_odds_gamma owl_odds_jeffreys(void)
{
    return (struct owl_odds_gamma){.shape = 0.5, .nights = 0.0};
}

struct owl_odds_gamma owl_odds_posterior(double count, double nights, struct owl_odds_gamma prior)
{
    if (!is_amount(count) || !is_amount(nights) || !is_amount(prior.shape) || !is_amount(prior.nights))
        return (struct owl_odds_gamma){NAN, NAN};
    return (struct owl_odds_gamma){prior.shape + count, prior.nights + nights};
}

static bool usable(struct owl_odds_gamma belief)
{
    return usable_shape(belief.shape) && belief.nights > 0.0 && belief.nights < INFINITY;
}

double owl_odds_rate_mean(struct owl_odds_gamma belief)
{
    return usable(belief) ? belief.shape / belief.nights : NAN;
}

double owl_odds_rate_quantile(struct owl_odds_gamma belief, double p)
{
    return usable(belief) ? owl_odds_gamma_quantile(belief.shape, p) / belief.nights : NAN;
}

/* P(X = j) = P(X = j - 1) (r + j - 1)/j s, s = N/(T + N); from P(X = 0) = (1 - s)^r. In logarithms, because the first
   may run under while those that matter do not. */
double owl_odds_at_least(struct owl_odds_gamma belief, int visits, double nights)
{
    if (!usable(belief) || !is_amount(nights) || visits > OWL_ODDS_VISITS_MAX)
        return NAN;
    double share = nights / (belief.nights + nights);
    double log_share = -belief.shape * log1p(nights / belief.nights), fewer = 0.0;
    for (int j = 1; j <= visits; j++) {
        fewer += exp(log_share);
        log_share += log((belief.shape + j - 1.0) / j * share);
    }
    return fmax(0.0, 1.0 - fewer);
}

double owl_odds_nights_for(struct owl_odds_gamma belief, double p)
{
    if (!usable(belief) || !is_share(p))
        return NAN;
    return belief.nights * expm1(-log1p(-p) / belief.shape);
}

double owl_odds_nights_plug_in(double rate_per_night, double p)
{
    if (!is_amount(rate_per_night) || !is_share(p))
        return NAN;
    return p == 0.0 ? 0.0 : -log1p(-p) / rate_per_night;
}

double owl_odds_none(double rate_per_night, double nights)
{
    return is_amount(rate_per_night) && is_amount(nights) ? exp(-rate_per_night * nights) : NAN;
}

double owl_odds_unseen_upper(double nights, double level)
{
    return nights > 0.0 && is_share(level) ? -log1p(-level) / nights : NAN;
}

double owl_odds_rule_of_three(double nights)
{
    return nights > 0.0 ? RULE_OF_THREE / nights : NAN;
}

/* The mean width of a convex figure is its perimeter over pi; a sector's is two radii and the arc. */
double owl_odds_profile_width_m(double radius_m, double angle_rad)
{
    if (!is_amount(radius_m) || !(angle_rad >= 0.0 && angle_rad <= OWL_PI))
        return NAN;
    return (2.0 + angle_rad) / OWL_PI * radius_m;
}

double owl_odds_encounters_per_s(double radius_m, double angle_rad, double speed_m_s, double density_per_m2)
{
    if (!is_amount(speed_m_s) || !is_amount(density_per_m2))
        return NAN;
    return owl_odds_profile_width_m(radius_m, angle_rad) * speed_m_s * density_per_m2;
}

double owl_odds_density_per_m2(double radius_m, double angle_rad, double speed_m_s, double encounters_per_s)
{
    double swept_m2_s = owl_odds_encounters_per_s(radius_m, angle_rad, speed_m_s, 1.0);
    return swept_m2_s > 0.0 && is_amount(encounters_per_s) ? encounters_per_s / swept_m2_s : NAN;
}

double owl_odds_quantile_sorted(const double *sorted, size_t count, double p)
{
    if (count == 0 || !is_share(p))
        return NAN;
    double place = p * (double)(count - 1);
    size_t at = (size_t)place;
    double low = sorted[at], high = at + 1 < count ? sorted[at + 1] : low, part = place - (double)at;
    return part == 0.0 || low == high ? low : low + part * (high - low);
}

struct owl_odds_interval owl_odds_wilson(double successes, double trials, double z)
{
    if (!is_amount(successes) || !is_amount(trials) || !(trials > 0.0) || successes > trials || !is_amount(z))
        return (struct owl_odds_interval){NAN, NAN};
    double seen = successes / trials, weight = z * z / trials;
    double centre = seen + 0.5 * weight;
    double reach = z * sqrt((seen * (1.0 - seen) + 0.25 * weight) / trials);
    return (struct owl_odds_interval){fmax(0.0, (centre - reach) / (1.0 + weight)),
                                      fmin(1.0, (centre + reach) / (1.0 + weight))};
}
