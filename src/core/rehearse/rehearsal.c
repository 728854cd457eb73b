/* Summing up seasons. */
#include "core/rehearse/rehearsal.h"

#include <math.h>

#include "core/constants.h"

#define ERROR_WANTED 0.01 /* of the mean of keepers */

void owl_rehearsal_run(const struct owl_setup *setup, uint64_t seed, int from, int to, struct owl_season *season)
{
    for (int i = from; i < to; i++)
        owl_season_run(setup, seed, i, &season[i - from]);
}

double owl_rehearsal_chance(int i)
{
    static const double chance[OWL_REHEARSAL_CHANCES] = {0.5, 0.8, 0.95};
    return chance[i];
}

static void swap(double *one, double *other)
{
    double kept = *one;
    *one = *other;
    *other = kept;
}

static double middle_of(double a, double b, double c)
{
    return fmax(fmin(a, b), fmin(fmax(a, b), c));
}

/* The value that `rank` others precede. Parts into less, equal and more than a middle value, so that columns of a few
   equal counts are as quick as any. */
static double ranked(double *value, int count, int rank)
{
    int from = 0, to = count; /* the answer lies in from..to-1 */
    while (to - from > 1) {
        double pivot = middle_of(value[from], value[from + (to - from) / 2], value[to - 1]);
        int less = from, more = to;
        for (int i = from; i < more;) {
            if (value[i] < pivot)
                swap(&value[i++], &value[less++]);
            else if (value[i] > pivot)
                swap(&value[i], &value[--more]);
            else
                i++;
        }
        if (rank < less)
            to = less;
        else if (rank >= more)
            from = more;
        else
            return pivot;
    }
    return value[from];
}

/* A value that occurred, not one between two. */
static double quantile(double *value, int count, double p)
{
    int rank = (int)ceil(p * count) - 1;
    return ranked(value, count, rank < 0 ? 0 : rank);
}

/* Reorders the column. */
static struct owl_spread spread_of(double *column, int count)
{
    struct owl_spread spread = {.mean = 0.0};
    for (int i = 0; i < count; i++)
        spread.mean += column[i];
    spread.mean = isfinite(spread.mean) ? spread.mean / count : NAN;
    spread.low = quantile(column, count, 0.05);
    spread.middle = quantile(column, count, 0.5);
    spread.high = quantile(column, count, 0.95);
    return spread;
}

/* The spread of one member of the seasons. */
#define SPREAD(into, member)                                      \
    do {                                                          \
        for (int i_ = 0; i_ < seasons; i_++)                      \
            column[i_] = (double)season[i_].member;               \
        (into) = spread_of(column, seasons);                      \
    } while (0)

static void reduce_ledger(const struct owl_season *season, int seasons, double *column, struct owl_rehearsal *rehearsal)
{
    for (int i = 0; i < seasons; i++)
        column[i] = owl_ledger_passes(&season[i].ledger);
    rehearsal->passes = spread_of(column, seasons);
    for (int row = 0; row < OWL_LEDGER_ROWS; row++) {
        SPREAD(rehearsal->first[row], ledger.first[row]);
        SPREAD(rehearsal->only[row], ledger.only[row]);
    }
}

struct moments {
    double mean, error; /* of the mean */
};

static struct moments keepers_of(const struct owl_season *season, int seasons)
{
    double sum = 0.0, squares = 0.0;
    for (int i = 0; i < seasons; i++)
        sum += season[i].ledger.first[OWL_LEDGER_KEEPER];
    double mean = sum / seasons;
    for (int i = 0; i < seasons; i++) {
        double off = season[i].ledger.first[OWL_LEDGER_KEEPER] - mean;
        squares += off * off;
    }
    return (struct moments){mean, seasons > 1 ? sqrt(squares / (seasons - 1) / seasons) : INFINITY};
}

/* The night at which a curve passes a chance, straight between nights. */
static double night_of(const double *odds, int nights, double chance)
{
    for (int n = 1; n <= nights; n++)
        if (odds[n] >= chance)
            return n - 1 + (chance - odds[n - 1]) / (odds[n] - odds[n - 1]);
    return INFINITY;
}

static void reduce_odds(const struct owl_season *season, int seasons, struct owl_rehearsal *rehearsal)
{
    int nights = rehearsal->nights;
    for (int n = 0; n <= nights; n++)
        rehearsal->odds[n] = 0.0;
    for (int i = 0; i < seasons; i++)
        if (season[i].first_keeper >= 0)
            rehearsal->odds[season[i].first_keeper + 1] += 1.0;
    for (int n = 1; n <= nights; n++)
        rehearsal->odds[n] += rehearsal->odds[n - 1];
    for (int n = 1; n <= nights; n++)
        rehearsal->odds[n] /= seasons;
    for (int i = 0; i < OWL_REHEARSAL_CHANCES; i++)
        rehearsal->nights_for[i] = night_of(rehearsal->odds, nights, owl_rehearsal_chance(i));
}

static void reduce_stores(const struct owl_season *season, int seasons, double *column, struct owl_rehearsal *rehearsal)
{
    for (int store = 0; store <= OWL_RIG_CARD; store++) {
        int lasting = 0;
        for (int i = 0; i < seasons; i++)
            lasting += isinf(season[i].out_nights[store]) != 0;
        SPREAD(rehearsal->out_nights[store], out_nights[store]);
        rehearsal->out_nights[store].mean = NAN;
        rehearsal->lasts[store] = (double)lasting / seasons;
    }
}

void owl_rehearsal_reduce(const struct owl_setup *setup, const struct owl_season *season, int seasons, double *column,
                          struct owl_rehearsal *rehearsal)
{
    rehearsal->seasons = seasons;
    rehearsal->nights = setup->nights;
    rehearsal->keepers_error = keepers_of(season, seasons).error;
    reduce_ledger(season, seasons, column, rehearsal);
    reduce_odds(season, seasons, rehearsal);
    reduce_stores(season, seasons, column, rehearsal);
    SPREAD(rehearsal->frames, frames);
    SPREAD(rehearsal->false_frames, false_frames);
    SPREAD(rehearsal->firings, firings);
    SPREAD(rehearsal->flashes, flashes);
    SPREAD(rehearsal->unrested, unrested);
    SPREAD(rehearsal->gap_s, shortest_gap_s);
    rehearsal->gap_s.mean = NAN;
    rehearsal->shortest_gap_s = INFINITY;
    for (int i = 0; i < seasons; i++)
        rehearsal->shortest_gap_s = fmin(rehearsal->shortest_gap_s, season[i].shortest_gap_s);
}

/* The error falls as the root of the number. */
int owl_rehearsal_seasons_wanted(const struct owl_season *season, int seasons, int least, int most)
{
    struct moments keepers = keepers_of(season, seasons);
    double times = keepers.error / (ERROR_WANTED * keepers.mean);
    double wanted = ceil(seasons * times * times); /* without a keeper, or without two seasons, NaN or infinite */
    if (!(wanted < most))
        return most;
    return wanted > least ? (int)wanted : least;
}
