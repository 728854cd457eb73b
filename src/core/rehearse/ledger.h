/* The loss ledger: where the passes of the subject end, in the words that rehearsal, card and workbench share.
   A link of the chain from the passing animal to the keeper fails or holds; what failed is a set of bits. */
#ifndef OWL_CORE_REHEARSE_LEDGER_H
#define OWL_CORE_REHEARSE_LEDGER_H

#include <stdint.h>

/* In the order of the chain: the first failing link of a pass is the first in this order. */
enum owl_ledger_row {
    OWL_LEDGER_KEEPER,
    OWL_LEDGER_AWAY,
    OWL_LEDGER_SPENT,
    OWL_LEDGER_UNSEEN,
    OWL_LEDGER_BLANKED,
    OWL_LEDGER_LATE,
    OWL_LEDGER_CUT,
    OWL_LEDGER_SOFT,
    OWL_LEDGER_SMEARED,
    OWL_LEDGER_DOUBLED,
    OWL_LEDGER_DIM,
    OWL_LEDGER_BURNT,
    OWL_LEDGER_ROWS
};

/* The row's word, `blanked`, and what it means, one sentence without capital and stop. */
const char *owl_ledger_word(enum owl_ledger_row row);
const char *owl_ledger_meaning(enum owl_ledger_row row);

/* The bit of a failed link; never of OWL_LEDGER_KEEPER, which is no link. */
#define OWL_FAILED(row) (1u << (row))

/* The first failing link of a set, OWL_LEDGER_KEEPER for none. */
enum owl_ledger_row owl_ledger_first(unsigned failed);

/* How a pass ends. Its best frame, the earliest of those with fewest failed links, counts for it. */
struct owl_verdict {
    int frames;      /* taken in so far */
    unsigned failed; /* of the best frame */
    unsigned alone;  /* each link that is the only one to fail in some frame: mending it wins the pass. Two bits
                        when two frames fail by one link each; none for a keeper */
};

/* Takes in the failed links of the next frame. A verdict begins as {0}. */
void owl_ledger_take(struct owl_verdict *verdict, unsigned failed);

/* Passes of one season. `first`: by first failing link, so that its rows add up to all passes. `only`: passes
   that mending the row alone would win. */
struct owl_ledger {
    uint32_t first[OWL_LEDGER_ROWS], only[OWL_LEDGER_ROWS];
};

/* Books a pass of at least one frame. */
void owl_ledger_book(struct owl_ledger *ledger, const struct owl_verdict *verdict);

/* All passes booked. */
uint32_t owl_ledger_passes(const struct owl_ledger *ledger);

#endif
