/* Exact tests of seen counts against rehearsed shares. */
#include "core/rehearse/observed.h"

#include <math.h>

#define ALIKE 1e-7            /* relative, below which two likelihoods differ only by rounding; common practice */
#define TAIL 0.025            /* at either end of a 95 % interval */
#define HALVINGS_MOST 200     /* 60 reach the last bit of all but the smallest shares */
#define NO_MORE 1e-17         /* a term below this share of the sum adds nothing */
#define HALF 0.5              /* Jeffreys's count before any */
#define CELLS (OWL_OBSERVED_LINKS + 1) /* outcomes of a visit: each link, and none */

static const enum owl_ledger_row links[OWL_OBSERVED_LINKS] = {OWL_LEDGER_CUT, OWL_LEDGER_SOFT, OWL_LEDGER_DIM, OWL_LEDGER_BURNT};
static const enum owl_ledger_row like_keepers[] = {OWL_LEDGER_KEEPER, OWL_LEDGER_SMEARED, OWL_LEDGER_DOUBLED};
#define LIKE_KEEPERS (sizeof like_keepers / sizeof like_keepers[0])

enum owl_ledger_row owl_observed_link(int place)
{
    return links[place];
}

static uint32_t seen_keepers(const struct owl_ledger *ledger)
{
    uint32_t count = 0;
    for (size_t i = 0; i < LIKE_KEEPERS; i++)
        count += ledger->first[like_keepers[i]];
    return count;
}

uint32_t owl_observed_visible(const struct owl_ledger *ledger)
{
    uint32_t count = seen_keepers(ledger);
    for (int i = 0; i < OWL_OBSERVED_LINKS; i++)
        count += ledger->first[links[i]];
    return count;
}

/* ---- one link ---- */

static bool sound(uint32_t failed, uint32_t reached)
{
    return failed <= reached && reached <= OWL_OBSERVED_VISITS_MOST;
}

static double log_factorial(double count)
{
    return owl_odds_log_gamma(count + 1.0);
}

/* log of share^count, 0 for 0^0. */
static double log_power(double log_share, double count)
{
    return count > 0.0 ? count * log_share : 0.0;
}

static double log_chance(double failed, double reached, double share)
{
    double ways = log_factorial(reached) - log_factorial(failed) - log_factorial(reached - failed);
    return ways + log_power(log(share), failed) + log_power(log1p(-share), reached - failed);
}

double owl_observed_binomial_p(uint32_t failed, uint32_t reached, double share)
{
    if (!sound(failed, reached) || !(share >= 0.0 && share <= 1.0))
        return NAN;
    if (reached == 0)
        return 1.0;
    double limit = log_chance(failed, reached, share) + log1p(ALIKE), sum = 0.0;
    for (uint32_t i = 0; i <= reached; i++) {
        double chance = log_chance(i, reached, share);
        if (chance <= limit)
            sum += exp(chance);
    }
    return fmin(1.0, sum);
}

/* Chance of `failed` or more, for shares up to failed/reached: there the terms only fall. */
static double upper_tail(double failed, double reached, double share)
{
    double term = exp(log_chance(failed, reached, share)), sum = term;
    for (double i = failed; i < reached && term > NO_MORE * sum; i++) {
        term *= (reached - i) / (i + 1.0) * share / (1.0 - share);
        sum += term;
    }
    return sum;
}

/* The share at which so many or more have a chance of TAIL. It lies below failed/reached, where that chance is near a half. */
static double lower_bound(double failed, double reached)
{
    if (failed == 0.0)
        return 0.0;
    double low = 0.0, high = failed / reached;
    for (int i = 0; i < HALVINGS_MOST; i++) {
        double middle = 0.5 * (low + high);
        if (middle <= low || middle >= high)
            break;
        if (upper_tail(failed, reached, middle) < TAIL)
            low = middle;
        else
            high = middle;
    }
    return low;
}

struct owl_odds_interval owl_observed_interval(uint32_t failed, uint32_t reached)
{
    if (!sound(failed, reached))
        return (struct owl_odds_interval){NAN, NAN};
    return (struct owl_odds_interval){lower_bound(failed, reached), 1.0 - lower_bound(reached - failed, reached)};
}

/* B(k + 1/2, n - k + 1/2)/B(1/2, 1/2) over h^k (1 - h)^(n - k), with B(a, b) = Gamma(a) Gamma(b)/Gamma(a + b). */
double owl_observed_log_ratio(uint32_t failed, uint32_t reached, double share)
{
    if (!sound(failed, reached) || !(share > 0.0 && share < 1.0))
        return NAN;
    double k = failed, held = reached - failed;
    double any = owl_odds_log_gamma(k + HALF) + owl_odds_log_gamma(held + HALF) - owl_odds_log_gamma(k + held + 2.0 * HALF) -
                 2.0 * owl_odds_log_gamma(HALF);
    return any - k * log(share) - held * log1p(-share);
}

/* ---- all links ---- */

/* The i-th smallest p is taken times the number of those not smaller, and is never below the one before it: the same as the
   largest such product among all that come no later. Of equals the first comes first. */
void owl_observed_holm(const double *p, int count, double *adjusted)
{
    for (int i = 0; i < count; i++) {
        adjusted[i] = 0.0;
        for (int k = 0; k < count; k++) {
            int before = 0;
            for (int j = 0; j < count; j++)
                before += p[j] < p[k] || (p[j] == p[k] && j < k);
            if (p[k] <= p[i])
                adjusted[i] = fmax(adjusted[i], fmin(1.0, (count - before) * p[k]));
        }
    }
}

/* Goes through all outcomes of so many visits. The logarithm of an outcome's chance is a sum over the cells, so the terms are
   made beforehand. */
struct outcomes {
    double term[CELLS][OWL_OBSERVED_EXACT_MOST + 1];
    double limit, sum;
};

static void add_up(struct outcomes *outcomes, int cell, uint32_t left, double so_far)
{
    if (cell == CELLS - 1) {
        double chance = so_far + outcomes->term[cell][left];
        if (chance <= outcomes->limit)
            outcomes->sum += exp(chance);
        return;
    }
    for (uint32_t i = 0; i <= left; i++)
        add_up(outcomes, cell + 1, left - i, so_far + outcomes->term[cell][i]);
}

static double multinomial_p(const uint32_t seen[CELLS], const double share[CELLS], uint32_t visits)
{
    struct outcomes outcomes = {.sum = 0.0};
    double ways = log_factorial(visits), chance = ways;
    for (int cell = 0; cell < CELLS; cell++) {
        for (uint32_t i = 0; i <= visits; i++)
            outcomes.term[cell][i] = log_power(log(share[cell]), i) - log_factorial(i);
        chance += outcomes.term[cell][seen[cell]];
    }
    outcomes.limit = chance + log1p(ALIKE);
    add_up(&outcomes, 0, visits, ways);
    return fmin(1.0, outcomes.sum);
}

static void judge_all(struct owl_observed *result)
{
    double p[OWL_OBSERVED_LINKS], adjusted[OWL_OBSERVED_LINKS], share[CELLS], left = 1.0;
    uint32_t seen[CELLS] = {0}, held = result->visits;
    for (int i = 0; i < OWL_OBSERVED_LINKS; i++) {
        p[i] = result->link[i].p;
        seen[i] = result->link[i].failed;
        share[i] = left * result->link[i].share;
        left *= 1.0 - result->link[i].share;
        held -= seen[i];
    }
    share[CELLS - 1] = left;
    seen[CELLS - 1] = held;
    owl_observed_holm(p, OWL_OBSERVED_LINKS, adjusted);
    result->p = 1.0;
    for (int i = 0; i < OWL_OBSERVED_LINKS; i++) {
        result->link[i].adjusted_p = adjusted[i];
        result->p = fmin(result->p, adjusted[i]);
    }
    result->exact = result->visits <= OWL_OBSERVED_EXACT_MOST;
    if (result->exact)
        result->p = multinomial_p(seen, share, result->visits);
}

/* That only link i differs is ratio_i times as likely as that none does. Against the largest, so that nothing overflows. */
static void blame(struct owl_observed *result)
{
    double ratio[OWL_OBSERVED_LINKS], most = 0.0;
    result->blamed = OWL_LEDGER_KEEPER;
    for (int i = 0; i < OWL_OBSERVED_LINKS; i++) {
        const struct owl_observed_failing *link = &result->link[i];
        ratio[i] = owl_observed_log_ratio(link->failed, link->reached, link->share);
        if (ratio[i] > most) {
            most = ratio[i];
            result->blamed = link->row;
        }
    }
    double sum = exp(-most);
    for (int i = 0; i < OWL_OBSERVED_LINKS; i++)
        sum += exp(ratio[i] - most);
    result->none = exp(-most) / sum;
    for (int i = 0; i < OWL_OBSERVED_LINKS; i++)
        result->link[i].blame = exp(ratio[i] - most) / sum;
}

static bool sound_rehearsal(const struct owl_observed_rehearsed *rehearsed)
{
    for (int row = 0; row < OWL_LEDGER_ROWS; row++)
        if (!(rehearsed->first[row] >= 0.0 && rehearsed->first[row] <= OWL_OBSERVED_PASSES_MOST))
            return false;
    return rehearsed->seasons >= 1;
}

/* The ledger's counts as they stand could overflow when added. */
static bool sound_ledger(const struct owl_ledger *seen)
{
    uint64_t visits = 0;
    for (int row = 0; row < OWL_LEDGER_ROWS; row++)
        visits += seen->first[row];
    return visits <= OWL_OBSERVED_VISITS_MOST;
}

/* From the last link backwards, what reached a link is what failed there and all that went further. */
static void rehearsed_shares(const struct owl_observed_rehearsed *rehearsed, struct owl_observed *result)
{
    double passes = 0.0;
    for (size_t i = 0; i < LIKE_KEEPERS; i++)
        passes += rehearsed->first[like_keepers[i]] * rehearsed->seasons;
    for (int i = OWL_OBSERVED_LINKS - 1; i >= 0; i--) {
        double failing = rehearsed->first[links[i]] * rehearsed->seasons;
        passes += failing;
        result->link[i].share = (failing + HALF) / (passes + 2.0 * HALF);
    }
}

enum owl_status owl_observed_compare(const struct owl_observed_rehearsed *rehearsed, const struct owl_ledger *seen,
                                     struct owl_observed *result)
{
    if (!sound_rehearsal(rehearsed) || !sound_ledger(seen))
        return OWL_OUTSIDE_DOMAIN;
    *result = (struct owl_observed){.visits = owl_observed_visible(seen)};
    rehearsed_shares(rehearsed, result);
    uint32_t reached = result->visits;
    for (int i = 0; i < OWL_OBSERVED_LINKS; i++) {
        struct owl_observed_failing *link = &result->link[i];
        link->row = links[i];
        link->reached = reached;
        link->failed = seen->first[links[i]];
        link->expected = reached * link->share;
        link->interval = owl_observed_interval(link->failed, reached);
        link->p = owl_observed_binomial_p(link->failed, reached, link->share);
        reached -= link->failed;
    }
    judge_all(result);
    blame(result);
    return OWL_OK;
}

/* ---- counts ---- */

struct owl_observed_count owl_observed_count_of(double seen, const double *rehearsed, int seasons)
{
    double sum = 0.0;
    int below = 0, above = 0; /* as far out as what was seen, or farther */
    for (int i = 0; i < seasons; i++) {
        sum += rehearsed[i];
        below += rehearsed[i] <= seen;
        above += rehearsed[i] >= seen;
    }
    double tail = (1.0 + (below < above ? below : above)) / (1.0 + seasons);
    return (struct owl_observed_count){seen, seasons > 0 ? sum / seasons : NAN, fmin(1.0, 2.0 * tail)};
}
