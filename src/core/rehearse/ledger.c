/* Words of the ledger, and booking into it. */
#include "core/rehearse/ledger.h"

static const struct {
    const char *word, *meaning;
} rows[OWL_LEDGER_ROWS] = {
    [OWL_LEDGER_KEEPER] = {"keeper", "in frame, sharp, rightly lit, single"},
    [OWL_LEDGER_AWAY] = {"away", "the subject passed while the light gate or the schedule had the rig disarmed"},
    [OWL_LEDGER_SPENT] = {"spent", "a cell or the card had run out"},
    [OWL_LEDGER_UNSEEN] = {"unseen", "the sensor did not notice it"},
    [OWL_LEDGER_BLANKED] = {"blanked", "the sensor or camera was still in its pause after an earlier frame"},
    [OWL_LEDGER_LATE] = {"late", "it had left the frame, or not yet come into it, when the shutter opened"},
    [OWL_LEDGER_CUT] = {"cut", "part of it lies outside the frame"},
    [OWL_LEDGER_SOFT] = {"soft", "outside the depth that is sharp"},
    [OWL_LEDGER_SMEARED] = {"smeared", "motion blur beyond the limit"},
    [OWL_LEDGER_DOUBLED] = {"doubled", "the ambient light drew a second, ghostly image"},
    [OWL_LEDGER_DIM] = {"dim", "under-exposed beyond the limit, or a flash was not ready or did not fire"},
    [OWL_LEDGER_BURNT] = {"burnt", "over-exposed beyond the limit"},
};

const char *owl_ledger_word(enum owl_ledger_row row)
{
    return rows[row].word;
}

const char *owl_ledger_meaning(enum owl_ledger_row row)
{
    return rows[row].meaning;
}

enum owl_ledger_row owl_ledger_first(unsigned failed)
{
    for (int row = OWL_LEDGER_AWAY; row < OWL_LEDGER_ROWS; row++)
        if (failed & OWL_FAILED(row))
            return (enum owl_ledger_row)row;
    return OWL_LEDGER_KEEPER;
}

static int links(unsigned failed)
{
    int count = 0;
    for (; failed; failed &= failed - 1)
        count++;
    return count;
}

void owl_ledger_take(struct owl_verdict *verdict, unsigned failed)
{
    int count = links(failed);
    if (verdict->frames == 0 || count < links(verdict->failed))
        verdict->failed = failed;
    verdict->frames++;
    if (count == 1)
        verdict->alone |= failed;
    if (verdict->failed == 0)
        verdict->alone = 0;
}

void owl_ledger_book(struct owl_ledger *ledger, const struct owl_verdict *verdict)
{
    ledger->first[owl_ledger_first(verdict->failed)]++;
    for (int row = OWL_LEDGER_AWAY; row < OWL_LEDGER_ROWS; row++)
        ledger->only[row] += (verdict->alone & OWL_FAILED(row)) != 0;
}

uint32_t owl_ledger_passes(const struct owl_ledger *ledger)
{
    uint32_t passes = 0;
    for (int row = 0; row < OWL_LEDGER_ROWS; row++)
        passes += ledger->first[row];
    return passes;
}
