/* Seen against rehearsed: exact fractions worked out elsewhere, printed values of others, and draws from the rehearsed model. */
#include <math.h>
#include <string.h>

#include "core/model/rng.h"
#include "core/rehearse/observed.h"
#include "support/check.h"

#define DRAWS 2000

/* ---- single functions ---- */

/* cited: one printed to four digits by a statistics environment with the same rule, the rest by exact fractions. */
static void test_observed_binomial(void **state)
{
    (void)state;
    check_cited("freeman1951", "2 of 12 against 1/2, printed", owl_observed_binomial_p(2, 12, 0.5), 0.03857, 5e-6);
    static const struct {
        uint32_t failed, reached;
        double share, p;
    } exact[] = {
        {682, 925, 0.75, 0.382491559574851681}, {0, 10, 0.25, 0.0760412216186523438},
        {7, 20, 0.15, 0.0219351008568451376},   {9, 12, 1.0 / 3.0, 0.00385555499105262861},
        {1, 1, 0.1, 0.1},                       {2, 2, 0.5, 0.5},
        {10, 10, 0.9, 0.612579511},             {0, 30, 0.1, 0.0682179469371260776},
        {5, 10, 0.5, 1.0},                      {4, 10, 0.5, 0.75390625},
    };
    for (size_t i = 0; i < sizeof exact / sizeof exact[0]; i++)
        check_cited("freeman1951", "sum of what is no likelier, exact fractions",
                    owl_observed_binomial_p(exact[i].failed, exact[i].reached, exact[i].share), exact[i].p, 1e-12);
}

/* identity: nothing tried, shares of 0 and 1, the likeliest count, both ends alike, and the edges of the range. */
static void test_observed_binomial_edges(void **state)
{
    (void)state;
    check_near("none tried", owl_observed_binomial_p(0, 0, 0.3), 1.0, 0.0);
    check_near("never, and none", owl_observed_binomial_p(0, 7, 0.0), 1.0, 1e-13);
    check_near("never, and one", owl_observed_binomial_p(1, 7, 0.0), 0.0, 0.0);
    check_near("always, and all", owl_observed_binomial_p(7, 7, 1.0), 1.0, 1e-13);
    check_near("always, and one not", owl_observed_binomial_p(6, 7, 1.0), 0.0, 0.0);
    for (uint32_t reached = 1; reached < 60; reached++)
        for (int tenth = 1; tenth < 10; tenth++) {
            double share = tenth / 10.0;
            uint32_t mode = (uint32_t)floor((reached + 1.0) * share);
            check_near("p of the mode", owl_observed_binomial_p(mode, reached, share), 1.0, 1e-12);
            check_near("turned about", owl_observed_binomial_p(mode / 2, reached, share),
                       owl_observed_binomial_p(reached - mode / 2, reached, 1.0 - share), 1e-11);
        }
    check_near("large", owl_observed_binomial_p(25000, OWL_OBSERVED_VISITS_MOST, 0.25), 1.0, 1e-9);
    assert_true(isnan(owl_observed_binomial_p(0, OWL_OBSERVED_VISITS_MOST + 1, 0.25)));
    assert_true(isnan(owl_observed_binomial_p(3, 2, 0.25)));
    assert_true(isnan(owl_observed_binomial_p(1, 2, -0.1)));
    assert_true(isnan(owl_observed_binomial_p(1, 2, 1.1)));
    assert_true(isnan(owl_observed_binomial_p(1, 2, NAN)));
}

/* cited: one printed to eight digits by a statistics environment, the rest by bisection in exact tails with 40 digits. */
static void test_observed_interval(void **state)
{
    (void)state;
    struct owl_odds_interval interval = owl_observed_interval(2, 12);
    check_cited("clopper1934", "2 of 12, low, printed", interval.low, 0.02086253, 5e-9);
    check_cited("clopper1934", "2 of 12, high, printed", interval.high, 0.48413775, 5e-9);
    static const struct {
        uint32_t failed, reached;
        double low, high;
    } exact[] = {
        {682, 925, 0.707668264079039023, 0.765406558241525247}, {0, 10, 0.0, 0.308497107818760824},
        {10, 10, 0.691502892181239176, 1.0},                    {1, 10, 0.0025285785444617845, 0.44501611702819542},
        {7, 20, 0.15390920478454116, 0.592188534532828118},     {5, 10, 0.187086028447398532, 0.812913971552601468},
        {1, 200, 0.000126581027867018252, 0.0275418984572056243},
    };
    for (size_t i = 0; i < sizeof exact / sizeof exact[0]; i++) {
        interval = owl_observed_interval(exact[i].failed, exact[i].reached);
        check_cited("clopper1934", "low, exact tails", interval.low, exact[i].low, 1e-13);
        check_cited("clopper1934", "high, exact tails", interval.high, exact[i].high, 1e-13);
    }
    interval = owl_observed_interval(0, 0);
    check_near("none tried, low", interval.low, 0.0, 0.0);
    check_near("none tried, high", interval.high, 1.0, 0.0);
    interval = owl_observed_interval(OWL_OBSERVED_VISITS_MOST, OWL_OBSERVED_VISITS_MOST);
    check_near("all of many: TAIL^(1/n)", interval.low, pow(0.025, 1.0 / OWL_OBSERVED_VISITS_MOST), 1e-12);
    assert_true(isnan(owl_observed_interval(3, 2).low) && isnan(owl_observed_interval(3, 2).high));
}

/* cited: which of seven hypotheses a printed example rejects at 5 in 100; the products themselves by hand. */
static void test_observed_holm(void **state)
{
    (void)state;
    static const double p[] = {0.50, 0.01, 0.001, 0.69, 0.02, 0.05, 0.0025};
    static const double expected[] = {1.0, 0.05, 0.007, 1.0, 0.08, 0.15, 0.015};
    double adjusted[7];
    owl_observed_holm(p, 7, adjusted);
    for (int i = 0; i < 7; i++) {
        check_cited("holm1979", "seven p values", adjusted[i], expected[i], 1e-15);
        assert_true((adjusted[i] < 0.05 - 1e-12) == (i == 2 || i == 6));
    }
    static const double alike[] = {0.02, 0.02, 0.025, 0.9};
    owl_observed_holm(alike, 4, adjusted);
    check_near("equals", adjusted[0], 0.08, 1e-15);
    check_near("equals", adjusted[1], 0.08, 1e-15);
    check_near("never below a smaller one's", adjusted[2], 0.08, 1e-15);
    check_near("the last", adjusted[3], 0.9, 1e-15);
}

/* cited: B at half-integers is a fraction of factorials, (2k)!(2m)!/(4^n k! m! n!); the ratio by exact fractions. */
static void test_observed_ratio(void **state)
{
    (void)state;
    static const struct {
        uint32_t failed, reached;
        double share, log_ratio;
    } exact[] = {
        {7, 20, 0.15, 0.706680024072791878},      {0, 10, 0.25, 1.14066842792135753},   {3, 6, 0.5, -1.16315080980568086},
        {9, 12, 1.0 / 3.0, 2.86226856397053675}, {40, 50, 0.1, 65.9482123271868058}, {0, 0, 0.5, 0.0},
    };
    for (size_t i = 0; i < sizeof exact / sizeof exact[0]; i++)
        check_cited("jeffreys1961", "log ratio, exact fractions",
                    owl_observed_log_ratio(exact[i].failed, exact[i].reached, exact[i].share), exact[i].log_ratio, 1e-12);
    assert_true(isnan(owl_observed_log_ratio(1, 2, 0.0)));
    assert_true(isnan(owl_observed_log_ratio(1, 2, 1.0)));
    assert_true(isnan(owl_observed_log_ratio(2, 1, 0.5)));
    assert_true(isnan(owl_observed_log_ratio(1, 2, NAN)));
}

/* identity: a place in a list counted by hand, ties to both sides, and nothing to compare with. */
static void test_observed_count(void **state)
{
    (void)state;
    static const double seasons[] = {5, 1, 2, 2, 3, 4, 9, 7, 8}; /* nine */
    struct owl_observed_count count = owl_observed_count_of(9.0, seasons, 9);
    check_near("expected", count.expected, 41.0 / 9.0, 1e-15);
    check_near("as many as the most", count.p, 2.0 * 2.0 / 10.0, 1e-15);
    check_near("more than all", owl_observed_count_of(10.0, seasons, 9).p, 2.0 * 1.0 / 10.0, 1e-15);
    check_near("fewer than all", owl_observed_count_of(0.0, seasons, 9).p, 2.0 * 1.0 / 10.0, 1e-15);
    check_near("a tie", owl_observed_count_of(2.0, seasons, 9).p, 2.0 * 4.0 / 10.0, 1e-15);
    check_near("in the middle", owl_observed_count_of(4.0, seasons, 9).p, 1.0, 0.0);
    count = owl_observed_count_of(4.0, NULL, 0);
    check_near("no seasons", count.p, 1.0, 0.0);
    assert_true(isnan(count.expected));
}

/* ---- all together ---- */

static struct owl_observed_rehearsed made_rehearsal(void)
{
    struct owl_observed_rehearsed rehearsed = {.seasons = 20};
    rehearsed.first[OWL_LEDGER_KEEPER] = 6.0;
    rehearsed.first[OWL_LEDGER_CUT] = 2.0;
    rehearsed.first[OWL_LEDGER_SOFT] = 1.0;
    rehearsed.first[OWL_LEDGER_SMEARED] = 0.5;
    rehearsed.first[OWL_LEDGER_DOUBLED] = 0.5;
    rehearsed.first[OWL_LEDGER_DIM] = 1.0;
    rehearsed.first[OWL_LEDGER_BURNT] = 0.5;
    rehearsed.first[OWL_LEDGER_AWAY] = 30.0; /* leave no picture: no part of it */
    rehearsed.first[OWL_LEDGER_LATE] = 4.0;
    return rehearsed;
}

static struct owl_ledger made_ledger(uint32_t keepers, const uint32_t failed[OWL_OBSERVED_LINKS])
{
    struct owl_ledger ledger = {{0}, {0}};
    ledger.first[OWL_LEDGER_KEEPER] = keepers;
    for (int i = 0; i < OWL_OBSERVED_LINKS; i++)
        ledger.first[owl_observed_link(i)] = failed[i];
    return ledger;
}

static struct owl_observed compare(const struct owl_observed_rehearsed *rehearsed, const struct owl_ledger *ledger)
{
    struct owl_observed result;
    assert_int_equal(owl_observed_compare(rehearsed, ledger, &result), OWL_OK);
    double sum = result.none;
    uint32_t seen = result.link[OWL_OBSERVED_LINKS - 1].reached - result.link[OWL_OBSERVED_LINKS - 1].failed;
    for (int i = 0; i < OWL_OBSERVED_LINKS; i++) {
        sum += result.link[i].blame;
        seen += result.link[i].failed;
        assert_true(result.link[i].adjusted_p >= result.link[i].p);
    }
    check_near("chances add up", sum, 1.0, 1e-14);
    assert_int_equal(seen, result.visits);
    return result;
}

/* cited: a whole comparison by exact fractions: shares with the half count, tests, the multinomial sum over all outcomes of 18
   visits, and who is to blame. */
static void test_observed_whole(void **state)
{
    (void)state;
    struct owl_observed_rehearsed rehearsed = made_rehearsal();
    struct owl_ledger ledger = made_ledger(8, (const uint32_t[]){3, 1, 6, 0});
    struct owl_observed result = compare(&rehearsed, &ledger);
    static const double share[] = {27.0 / 154.0, 41.0 / 382.0, 41.0 / 342.0, 21.0 / 302.0};
    static const double p[] = {1.0, 1.0, 0.003774363258657613, 1.0};
    static const double blame[] = {0.0118846389647763, 0.01461529363375106, 0.8867985335171884, 0.02245654190871819};
    static const uint32_t reached[] = {18, 15, 14, 8};
    for (int i = 0; i < OWL_OBSERVED_LINKS; i++) {
        assert_int_equal(result.link[i].row, owl_observed_link(i));
        assert_int_equal(result.link[i].reached, reached[i]);
        check_cited("jeffreys1961", "share with the half count", result.link[i].share, share[i], 1e-15);
        check_near("expected", result.link[i].expected, reached[i] * share[i], 1e-13);
        check_cited("freeman1951", "p of a link", result.link[i].p, p[i], 1e-12);
        check_cited("jeffreys1961", "blame", result.link[i].blame, blame[i], 1e-12);
    }
    check_cited("holm1979", "adjusted", result.link[2].adjusted_p, 4.0 * p[2], 1e-12);
    check_cited("freeman1951", "exact multinomial p", result.p, 0.03463187026207149, 1e-12);
    check_cited("jeffreys1961", "as rehearsed", result.none, 0.06424499197556606, 1e-12);
    assert_true(result.exact);
    assert_int_equal(result.blamed, OWL_LEDGER_DIM);
    ledger = made_ledger(8, (const uint32_t[]){2, 1, 1, 0});
    result = compare(&rehearsed, &ledger);
    check_cited("freeman1951", "exact multinomial p of the mode", result.p, 1.0, 1e-12);
    check_cited("jeffreys1961", "as rehearsed", result.none, 0.4839719358534862, 1e-12);
    assert_int_equal(result.blamed, OWL_LEDGER_KEEPER);
}

/* identity: no visits say nothing; smeared and doubled count as keepers; what leaves no picture is passed over. */
static void test_observed_rows(void **state)
{
    (void)state;
    struct owl_observed_rehearsed rehearsed = made_rehearsal();
    struct owl_ledger ledger = {{0}, {0}};
    struct owl_observed result = compare(&rehearsed, &ledger);
    check_near("no visits", result.p, 1.0, 1e-12);
    check_near("no visits: none", result.none, 0.2, 1e-14);
    assert_int_equal(result.blamed, OWL_LEDGER_KEEPER);
    ledger = made_ledger(5, (const uint32_t[]){1, 0, 2, 0});
    result = compare(&rehearsed, &ledger);
    ledger.first[OWL_LEDGER_KEEPER] = 2;
    ledger.first[OWL_LEDGER_SMEARED] = 2;
    ledger.first[OWL_LEDGER_DOUBLED] = 1;
    ledger.first[OWL_LEDGER_AWAY] = 9;
    ledger.first[OWL_LEDGER_LATE] = 3;
    assert_int_equal(owl_observed_visible(&ledger), 8);
    struct owl_observed other = compare(&rehearsed, &ledger);
    check_near("the same", other.p, result.p, 0.0);
    check_near("the same", other.none, result.none, 0.0);
}

/* identity: a rehearsal of no visible passes, or in which a link never failed, makes nothing impossible. */
static void test_observed_never(void **state)
{
    (void)state;
    struct owl_observed_rehearsed rehearsed = {.seasons = 1};
    struct owl_ledger ledger = made_ledger(3, (const uint32_t[]){0, 0, 0, 2});
    struct owl_observed result = compare(&rehearsed, &ledger);
    check_near("half of one", result.link[0].share, 0.5, 0.0);
    rehearsed.first[OWL_LEDGER_KEEPER] = 10.0;
    rehearsed.seasons = 10000;
    result = compare(&rehearsed, &ledger);
    assert_true(result.p > 0.0 && result.p < 1e-6);
    assert_int_equal(result.blamed, OWL_LEDGER_BURNT);
}

/* identity: above the limit of the exact test the smallest adjusted p stands; huge differences stay finite. */
static void test_observed_many(void **state)
{
    (void)state;
    struct owl_observed_rehearsed rehearsed = made_rehearsal();
    struct owl_ledger ledger = made_ledger(60, (const uint32_t[]){18, 9, 9, 4});
    struct owl_observed result = compare(&rehearsed, &ledger);
    assert_int_equal(result.visits, OWL_OBSERVED_EXACT_MOST);
    assert_true(result.exact && result.p > 0.9);
    ledger.first[OWL_LEDGER_KEEPER]++;
    result = compare(&rehearsed, &ledger);
    assert_false(result.exact);
    assert_true(result.p > 0.9);
    ledger = made_ledger(0, (const uint32_t[]){0, 0, 0, OWL_OBSERVED_VISITS_MOST});
    result = compare(&rehearsed, &ledger);
    assert_int_equal(result.blamed, OWL_LEDGER_BURNT);
    check_near("certain", result.link[3].blame, 1.0, 1e-12);
}

/* fault: what lies outside the range leaves the result as it was. */
static void test_observed_outside(void **state)
{
    (void)state;
    struct owl_observed_rehearsed rehearsed = made_rehearsal();
    struct owl_ledger ledger = made_ledger(1, (const uint32_t[]){0, 0, 0, 0});
    struct owl_observed result = {.visits = 77};
    rehearsed.seasons = 0;
    assert_int_equal(owl_observed_compare(&rehearsed, &ledger, &result), OWL_OUTSIDE_DOMAIN);
    static const double bad[] = {-1.0, NAN, INFINITY, 2.0 * OWL_OBSERVED_PASSES_MOST};
    for (int i = 0; i < 4; i++) {
        rehearsed = made_rehearsal();
        rehearsed.first[OWL_LEDGER_DIM] = bad[i];
        assert_int_equal(owl_observed_compare(&rehearsed, &ledger, &result), OWL_OUTSIDE_DOMAIN);
    }
    rehearsed = made_rehearsal();
    ledger.first[OWL_LEDGER_CUT] = UINT32_MAX;
    assert_int_equal(owl_observed_compare(&rehearsed, &ledger, &result), OWL_OUTSIDE_DOMAIN);
    assert_int_equal(result.visits, 77);
}

/* ---- draws ---- */

/* Visits through a chain of these shares. */
static struct owl_ledger draw(struct owl_rng *rng, const double share[OWL_OBSERVED_LINKS], int visits)
{
    struct owl_ledger ledger = {{0}, {0}};
    for (int i = 0; i < visits; i++) {
        enum owl_ledger_row row = OWL_LEDGER_KEEPER;
        for (int k = OWL_OBSERVED_LINKS - 1; k >= 0; k--)
            if (owl_rng_chance(rng, share[k]))
                row = owl_observed_link(k);
        ledger.first[row]++;
    }
    return ledger;
}

/* A long rehearsal, so that its shares are known, and those shares. */
static struct owl_observed_rehearsed long_rehearsal(double share[OWL_OBSERVED_LINKS])
{
    struct owl_observed_rehearsed rehearsed = made_rehearsal();
    rehearsed.seasons = 5000;
    struct owl_ledger none = {{0}, {0}};
    struct owl_observed result = compare(&rehearsed, &none);
    for (int i = 0; i < OWL_OBSERVED_LINKS; i++)
        share[i] = result.link[i].share;
    return rehearsed;
}

/* identity: seasons drawn as rehearsed are called different no oftener than the test says, four standard errors allowed. */
static void test_observed_size(void **state)
{
    (void)state;
    double share[OWL_OBSERVED_LINKS];
    struct owl_observed_rehearsed rehearsed = long_rehearsal(share);
    struct owl_rng rng = owl_rng_start(1963, 0);
    int low = 0, low_link = 0, blamed = 0;
    for (int i = 0; i < DRAWS; i++) {
        struct owl_ledger ledger = draw(&rng, share, 20);
        struct owl_observed result = compare(&rehearsed, &ledger);
        low += result.p <= 0.05;
        bool any = false;
        for (int k = 0; k < OWL_OBSERVED_LINKS; k++)
            any = any || result.link[k].adjusted_p <= 0.05;
        low_link += any;
        blamed += result.blamed != OWL_LEDGER_KEEPER;
    }
    double allowed = (0.05 + 4.0 * sqrt(0.05 * 0.95 / DRAWS)) * DRAWS;
    print_message("of %d: all together %d, some link %d, somebody blamed %d\n", DRAWS, low, low_link, blamed);
    assert_true(low <= allowed && low_link <= allowed);
    assert_true(low > 0.03 * DRAWS); /* it does not err to the safe side for nothing */
}

/* identity: with one link failing three times as often, that link is named. */
static void test_observed_names_the_link(void **state)
{
    (void)state;
    double share[OWL_OBSERVED_LINKS];
    struct owl_observed_rehearsed rehearsed = long_rehearsal(share);
    struct owl_rng rng = owl_rng_start(1934, 0);
    for (int wrong = 0; wrong < OWL_OBSERVED_LINKS; wrong++) {
        double changed[OWL_OBSERVED_LINKS];
        memcpy(changed, share, sizeof changed);
        changed[wrong] *= 3.0;
        int named = 0, another = 0;
        for (int i = 0; i < 300; i++) {
            struct owl_ledger ledger = draw(&rng, changed, 120);
            struct owl_observed result = compare(&rehearsed, &ledger);
            named += result.blamed == owl_observed_link(wrong);
            another += result.blamed != owl_observed_link(wrong) && result.blamed != OWL_LEDGER_KEEPER;
        }
        print_message("%s: named %d of 300, another %d\n", owl_ledger_word(owl_observed_link(wrong)), named, another);
        assert_true(named >= 240 && another <= 15);
    }
}

/* identity: a count drawn like the seasons has p <= 1/20 no oftener than that. */
static void test_observed_count_size(void **state)
{
    (void)state;
    struct owl_rng rng = owl_rng_start(1997, 0);
    int low = 0;
    for (int i = 0; i < DRAWS; i++) {
        double seasons[199];
        for (int k = 0; k < 199; k++)
            seasons[k] = owl_rng_normal(&rng);
        low += owl_observed_count_of(owl_rng_normal(&rng), seasons, 199).p <= 0.05 + 1e-12;
    }
    check_near("exact without ties", (double)low / DRAWS, 0.05, 4.0 * sqrt(0.05 * 0.95 / DRAWS));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_observed_binomial),   cmocka_unit_test(test_observed_binomial_edges),
        cmocka_unit_test(test_observed_interval),   cmocka_unit_test(test_observed_holm),
        cmocka_unit_test(test_observed_ratio),      cmocka_unit_test(test_observed_count),
        cmocka_unit_test(test_observed_whole),      cmocka_unit_test(test_observed_rows),
        cmocka_unit_test(test_observed_never),      cmocka_unit_test(test_observed_many),
        cmocka_unit_test(test_observed_outside),    cmocka_unit_test(test_observed_size),
        cmocka_unit_test(test_observed_names_the_link), cmocka_unit_test(test_observed_count_size),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
