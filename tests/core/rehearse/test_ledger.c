/* The ledger's booking: first causes add up, only causes are what mending one link wins. */
#include "support/check.h"

#include <string.h>

#include "core/rehearse/ledger.h"

/* identity: twelve rows in the order of the chain, each with its own word and meaning. */
static void test_ledger_words(void **state)
{
    (void)state;
    static const char *const words[OWL_LEDGER_ROWS] = {"keeper", "away", "spent",   "unseen",  "blanked", "late",
                                                       "cut",    "soft", "smeared", "doubled", "dim",     "burnt"};
    for (int row = 0; row < OWL_LEDGER_ROWS; row++) {
        assert_string_equal(owl_ledger_word((enum owl_ledger_row)row), words[row]);
        assert_true(strlen(owl_ledger_meaning((enum owl_ledger_row)row)) > 10);
    }
}

/* identity: the first cause is the earliest link of the chain in the set. */
static void test_ledger_first_cause(void **state)
{
    (void)state;
    assert_int_equal(owl_ledger_first(0), OWL_LEDGER_KEEPER);
    for (int row = OWL_LEDGER_AWAY; row < OWL_LEDGER_ROWS; row++) {
        assert_int_equal(owl_ledger_first(OWL_FAILED(row)), row);
        assert_int_equal(owl_ledger_first(OWL_FAILED(row) | OWL_FAILED(OWL_LEDGER_BURNT)), row);
        assert_int_equal(owl_ledger_first(OWL_FAILED(row) | OWL_FAILED(OWL_LEDGER_AWAY)), OWL_LEDGER_AWAY);
    }
}

/* identity: the frame with the fewest failed links counts, the earliest of equals; one keeper settles the pass. */
static void test_ledger_best_frame(void **state)
{
    (void)state;
    const unsigned cut = OWL_FAILED(OWL_LEDGER_CUT), soft = OWL_FAILED(OWL_LEDGER_SOFT), dim = OWL_FAILED(OWL_LEDGER_DIM);
    struct owl_verdict verdict = {0};
    owl_ledger_take(&verdict, cut | soft);
    assert_int_equal(verdict.failed, cut | soft);
    assert_int_equal(verdict.alone, 0);
    owl_ledger_take(&verdict, dim);
    owl_ledger_take(&verdict, soft);
    assert_int_equal(verdict.failed, dim);
    assert_int_equal(verdict.alone, dim | soft);
    owl_ledger_take(&verdict, 0);
    owl_ledger_take(&verdict, cut);
    assert_int_equal(verdict.frames, 5);
    assert_int_equal(verdict.failed, 0);
    assert_int_equal(verdict.alone, 0);
}

/* identity: every pass is booked once under first; under only, once for each link that alone would win it. */
static void test_ledger_books(void **state)
{
    (void)state;
    struct owl_ledger ledger = {{0}, {0}};
    const struct owl_verdict keeper = {1, 0, 0};
    const struct owl_verdict away = {1, OWL_FAILED(OWL_LEDGER_AWAY), OWL_FAILED(OWL_LEDGER_AWAY)};
    const struct owl_verdict both = {1, OWL_FAILED(OWL_LEDGER_AWAY) | OWL_FAILED(OWL_LEDGER_DIM), 0};
    const struct owl_verdict either = {2, OWL_FAILED(OWL_LEDGER_CUT),
                                       OWL_FAILED(OWL_LEDGER_CUT) | OWL_FAILED(OWL_LEDGER_SOFT)};
    owl_ledger_book(&ledger, &keeper);
    owl_ledger_book(&ledger, &away);
    owl_ledger_book(&ledger, &both);
    owl_ledger_book(&ledger, &either);
    assert_int_equal(owl_ledger_passes(&ledger), 4);
    assert_int_equal(ledger.first[OWL_LEDGER_KEEPER], 1);
    assert_int_equal(ledger.first[OWL_LEDGER_AWAY], 2);
    assert_int_equal(ledger.first[OWL_LEDGER_CUT], 1);
    assert_int_equal(ledger.only[OWL_LEDGER_AWAY], 1);
    assert_int_equal(ledger.only[OWL_LEDGER_CUT], 1);
    assert_int_equal(ledger.only[OWL_LEDGER_SOFT], 1);
    assert_int_equal(ledger.only[OWL_LEDGER_DIM], 0);
    assert_int_equal(ledger.only[OWL_LEDGER_KEEPER], 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_ledger_words),
        cmocka_unit_test(test_ledger_first_cause),
        cmocka_unit_test(test_ledger_best_frame),
        cmocka_unit_test(test_ledger_books),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
