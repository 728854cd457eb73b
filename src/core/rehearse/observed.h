/* What a card showed against what was rehearsed: which links of the chain failed more or less often than they should have, and
   which one is the likeliest to blame. Pure computation; arrays are read, never kept.

   A card only tells of passes that left a picture of the animal. So the rehearsed passes away, spent, unseen, blanked and late
   are left out; and since no pixel tells smeared or doubled for sure, those passes count as keepers. A smeared pass that was
   dim as well shows as dim on the card, so dim and burnt are expected a little too seldom.
   The rest is a chain: cut, soft, dim, burnt, in the order of the ledger. Of `reached` passes at which no earlier link failed,
   `failed` fail at this one, each with the link's rehearsed share. Passes are taken as independent of each other; animals that
   keep one habit for a whole watch scatter more than that, so a p just below a limit proves little.
   Outside the ranges given, and for NaN, functions that return double return NaN. */
#ifndef OWL_CORE_REHEARSE_OBSERVED_H
#define OWL_CORE_REHEARSE_OBSERVED_H

#include <stdbool.h>
#include <stdint.h>

#include "core/model/odds.h"
#include "core/rehearse/ledger.h"
#include "core/status.h"

#define OWL_OBSERVED_LINKS 4
#define OWL_OBSERVED_EXACT_MOST 100   /* visits: up to here every outcome is gone through, 4.6 million of them at most */
#define OWL_OBSERVED_VISITS_MOST 100000
#define OWL_OBSERVED_PASSES_MOST 1e6  /* rehearsed, per watch and row */

/* The links a card can show, by place 0..OWL_OBSERVED_LINKS-1: cut, soft, dim, burnt. */
enum owl_ledger_row owl_observed_link(int place);

/* Passes of a ledger that leave a picture of the animal: all but those away, spent, unseen, blanked or late. */
uint32_t owl_observed_visible(const struct owl_ledger *ledger);

/* Exact two-sided test of `failed` in `reached` tries against a share 0..1: the chance of all outcomes no likelier than this
   one. Likelihoods within a share of 1e-7 are equal. 1 where nothing was tried. failed <= reached <=
   OWL_OBSERVED_VISITS_MOST. Within 1e-10. Published [freeman1951]. */
double owl_observed_binomial_p(uint32_t failed, uint32_t reached, double share);

/* Exact interval of that share: it misses the true one at either end at most 25 times in 1000. 0..1 where nothing was tried;
   both NaN outside the same range. Within 1e-12. Published [clopper1934]. */
struct owl_odds_interval owl_observed_interval(uint32_t failed, uint32_t reached);

/* p values of count tests as a family: whoever heeds only those adjusted ones below a limit is misled by chance, by one or by
   more, no oftener than the limit says, however the tests hang together. Published [holm1979]. */
void owl_observed_holm(const double *p, int count, double *adjusted);

/* How much likelier `failed` in `reached` is when the share may be anything (Jeffreys's prior, Beta(1/2, 1/2)) than with the
   rehearsed share: the natural logarithm. share above 0 and below 1. Within 1e-10. Published [jeffreys1961]. */
double owl_observed_log_ratio(uint32_t failed, uint32_t reached, double share);

/* One number of the watch among that of the rehearsed seasons. */
struct owl_observed_count {
    double seen, expected; /* expected: mean of the seasons */
    double p;              /* two-sided: twice the smaller tail, the watch counted as one more season; at most 1 */
};

/* For visits, frames of false triggers and the like; the watch must be as long as the seasons. All finite. No seasons:
   expected is NaN, p is 1. The smallest p there can be is 2/(seasons + 1). Exact: under the rehearsed model p <= x comes up
   with a chance of at most x. Published [barnard1963], [davison1997] 4.11. */
struct owl_observed_count owl_observed_count_of(double seen, const double *rehearsed, int seasons);

/* What was rehearsed. */
struct owl_observed_rehearsed {
    double first[OWL_LEDGER_ROWS]; /* mean passes of a watch by first failing link, each 0..OWL_OBSERVED_PASSES_MOST */
    int seasons;                   /* that the means are of, from 1 */
};

struct owl_observed_failing {
    enum owl_ledger_row row;
    double share;    /* rehearsed, among the passes that reach this link: (failed + 1/2)/(reached + 1) over all seasons, the half
                        count of Jeffreys's prior, so that what never happened in the rehearsal is not taken as impossible */
    uint32_t reached, failed;
    double expected; /* reached times share */
    struct owl_odds_interval interval; /* of the share, by what was seen */
    double p, adjusted_p;
    double blame;    /* chance that this link alone differs from the rehearsal; see owl_observed.none */
};

struct owl_observed {
    uint32_t visits;
    struct owl_observed_failing link[OWL_OBSERVED_LINKS];
    double p;      /* of all links together */
    bool exact;    /* p is the exact multinomial test: chance of all outcomes of so many visits no likelier than what was seen
                      [freeman1951]. Else, above OWL_OBSERVED_EXACT_MOST visits, the smallest adjusted p, which errs to the
                      safe side */
    double none;   /* chance that all is as rehearsed. It and the links' blame add up to 1; before, the five were equally likely.
                      Two links that differ at once are not thought of: the one with more to show for it is named */
    enum owl_ledger_row blamed; /* the likeliest of the five; OWL_LEDGER_KEEPER: all is as rehearsed. Likeliest is not proven: of
                                   watches of 20 visits that went as rehearsed, about 22 in 100 have a link named. To be told with
                                   its blame and with p */
};

/* Holds the visits of a card, by their first failing link, against the rehearsal. Rows of `seen` that no card can show are passed
   over, but smeared and doubled count as keepers. The shares' own uncertainty from few seasons is not carried further.
   OWL_OUTSIDE_DOMAIN, and result untouched, where rehearsed or seen lies outside its range. */
enum owl_status owl_observed_compare(const struct owl_observed_rehearsed *rehearsed, const struct owl_ledger *seen,
                                     struct owl_observed *result) OWL_MUST_USE;

#endif
