/* Rank and exact tests. */
#include "card/chance.h"

#include <math.h>
#include <stdlib.h>

#include "core/model/odds.h"

static double beyond(double z)
{
    return 0.5 * erfc(z / sqrt(2.0));
}

static int rising(const void *one, const void *other)
{
    double a = *(const double *)one, b = *(const double *)other;
    return (a > b) - (a < b);
}

/* ---- trend ---- */

/* Sums over groups of t equal values, of t(t-1)(2t+5), t(t-1) and t(t-1)(t-2): what ties take from the variance. */
struct ties {
    double whole, pairs, triples;
};

static void count_tie(struct ties *ties, double size)
{
    ties->whole += (size - 1.0) * (2.0 * size + 5.0);
    ties->pairs += size - 1.0;
    ties->triples += (size - 1.0) * (size - 2.0);
}

/* Variance of Kendall's score without a trend [kendall1975]. Each member of a group adds its share of the group's term. */
static double score_variance(const struct owl_chance_point *point, int count)
{
    struct ties across = {0}, up = {0};
    double n = count;
    for (int i = 0; i < count; i++) {
        int same_x = 0, same_y = 0;
        for (int k = 0; k < count; k++) {
            same_x += point[k].x == point[i].x;
            same_y += point[k].y == point[i].y;
        }
        count_tie(&across, same_x);
        count_tie(&up, same_y);
    }
    return (n * (n - 1.0) * (2.0 * n + 5.0) - across.whole - up.whole) / 18.0
           + across.pairs * up.pairs / (2.0 * n * (n - 1.0))
           + across.triples * up.triples / (9.0 * n * (n - 1.0) * (n - 2.0));
}

static double middle_of_sorted(const double *sorted, int count)
{
    return 0.5 * (sorted[(count - 1) / 2] + sorted[count / 2]);
}

struct owl_chance_trend owl_chance_trend_of(const struct owl_chance_point *point, int count, double *slopes)
{
    struct owl_chance_trend trend = {NAN, NAN, NAN, NAN};
    int pairs = 0, score = 0;
    if (count < 3 || count > OWL_CHANCE_POINTS)
        return trend;
    for (int i = 0; i < count; i++)
        for (int k = 0; k < i; k++) {
            double along = point[i].x - point[k].x, up = point[i].y - point[k].y;
            if (along == 0.0)
                continue;
            slopes[pairs] = up / along;
            score += (slopes[pairs] > 0.0) - (slopes[pairs] < 0.0);
            pairs++;
        }
    if (pairs == 0)
        return trend;
    qsort(slopes, (size_t)pairs, sizeof *slopes, rising);
    double error = sqrt(fmax(score_variance(point, count), 0.0)), reach = OWL_CHANCE_Z_95 * error;
    int low = (int)floor((pairs - reach) / 2.0), high = (int)ceil((pairs + reach) / 2.0); /* counted from 1; high is one more */
    trend.slope = middle_of_sorted(slopes, pairs);
    trend.low = low >= 1 ? slopes[low - 1] : -INFINITY;
    trend.high = high < pairs ? slopes[high] : INFINITY;
    trend.p = error > 0.0 ? fmin(2.0 * beyond(fmax(abs(score) - 1.0, 0.0) / error), 1.0) : 1.0;
    return trend;
}

/* ---- shares ---- */

static double log_choose(int of, int some)
{
    return owl_odds_log_gamma(of + 1.0) - owl_odds_log_gamma(some + 1.0) - owl_odds_log_gamma(of - some + 1.0);
}

static bool possible(struct owl_chance_share share)
{
    return share.hits >= 0 && share.of >= share.hits;
}

double owl_chance_more(struct owl_chance_share first, struct owl_chance_share second)
{
    if (!possible(first) || !possible(second))
        return NAN;
    int hits = first.hits + second.hits, most = hits < first.of ? hits : first.of;
    int least = hits > second.of ? hits - second.of : 0;
    if (first.hits <= least)
        return 1.0;
    double all = log_choose(first.of + second.of, hits), sum = 0.0;
    for (int k = most; k >= first.hits; k--)
        sum += exp(log_choose(first.of, k) + log_choose(second.of, hits - k) - all);
    return fmin(sum, 1.0);
}

double owl_chance_at_least(struct owl_chance_share seen, double each)
{
    if (!possible(seen) || !(each >= 0.0 && each <= 1.0))
        return NAN;
    if (seen.hits == 0 || each == 1.0)
        return 1.0;
    if (each == 0.0)
        return 0.0;
    double sum = 0.0;
    for (int k = seen.of; k >= seen.hits; k--)
        sum += exp(log_choose(seen.of, k) + k * log(each) + (seen.of - k) * log1p(-each));
    return fmin(sum, 1.0);
}

/* ---- waits ---- */

double owl_chance_wait(double times, int others, bool any)
{
    if (!(times >= 0.0) || others < 1)
        return NAN;
    if (isinf(times))
        return 0.0;
    double log_p = owl_odds_log_gamma(others + 1.0) + owl_odds_log_gamma(1.0 + times) - owl_odds_log_gamma(others + 1.0 + times);
    return fmin(exp(log_p) * (any ? others + 1.0 : 1.0), 1.0);
}

/* ---- ranks ---- */

static int by_value(const void *one, const void *other)
{
    const struct owl_chance_ranked *a = one, *b = other;
    return (a->value > b->value) - (a->value < b->value);
}

/* Standard error of the share of pairs, its own value given, by the exponential model of [hanley1982]. */
static double share_error(double share, double first, double second)
{
    double two_first = share / (2.0 - share), two_second = 2.0 * share * share / (1.0 + share), square = share * share;
    double sum = share * (1.0 - share) + (first - 1.0) * (two_first - square) + (second - 1.0) * (two_second - square);
    return sqrt(fmax(sum, 0.0) / (first * second));
}

struct owl_chance_ranks owl_chance_larger(struct owl_chance_ranked *value, int count)
{
    struct owl_chance_ranks ranks = {NAN, NAN, NAN, NAN};
    double first = 0.0, rank_sum = 0.0, tied = 0.0, n = count;
    if (count < 2)
        return ranks;
    qsort(value, (size_t)count, sizeof *value, by_value);
    for (int i = 0, past; i < count; i = past) {
        double firsts = 0.0;
        for (past = i; past < count && (past == i || value[past].value == value[i].value); past++)
            firsts += value[past].first;
        double size = past - i;
        first += firsts;
        rank_sum += firsts * (i + 0.5 * (size + 1.0));
        tied += size * (size * size - 1.0);
    }
    double pairs = first * (n - first), variance = pairs / 12.0 * (n + 1.0 - tied / (n * (n - 1.0)));
    if (!(pairs > 0.0 && variance > 0.0))
        return ranks;
    double wins = rank_sum - first * (first + 1.0) / 2.0;
    ranks.share = wins / pairs;
    double reach = OWL_CHANCE_Z_95 * share_error(ranks.share, first, n - first);
    ranks.low = fmax(ranks.share - reach, 0.0);
    ranks.high = fmin(ranks.share + reach, 1.0);
    ranks.p = beyond((wins - pairs / 2.0 - 0.5) / sqrt(variance));
    return ranks;
}
