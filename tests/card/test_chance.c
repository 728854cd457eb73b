/* Rank and exact tests against values from enumeration: whole permutations and exact fractions, computed apart. */
#include <math.h>

#include "card/chance.h"
#include "support/check.h"

static double slopes[OWL_CHANCE_SLOPES];

/* ---- trends ---- */

/* cited: slopes sorted by hand; variance of the score over all 5040 orders of the heights; rank of the bounds by [sen1968] */
static void test_chance_trend_with_ties(void **state)
{
    (void)state;
    static const struct owl_chance_point point[] = {{0, 5}, {1, 4}, {2, 4}, {3, 4.5}, {4, 3}, {5, 3}, {6, 2}};
    struct owl_chance_trend trend = owl_chance_trend_of(point, 7, slopes);
    check_cited("sen1968", "slope of 7 points", trend.slope, -0.5, 1e-15);
    check_cited("sen1968", "low of 7 points", trend.low, -5.0 / 6.0, 1e-15);
    check_cited("sen1968", "high of 7 points", trend.high, 0.0, 1e-15);
    check_cited("kendall1975", "p of 7 points, ties one way", trend.p, 0.0314190055577459, 1e-14);
}

/* cited: the same with ties both ways, variance 56.58 over all 40320 orders */
static void test_chance_trend_with_ties_both_ways(void **state)
{
    (void)state;
    static const struct owl_chance_point point[] = {{0, 1}, {0, 2}, {1, 2}, {2, 3}, {2, 2.5}, {2, 2}, {5, 4}, {6, 4}};
    struct owl_chance_trend trend = owl_chance_trend_of(point, 8, slopes);
    check_cited("sen1968", "slope of 8 points", trend.slope, 0.5, 1e-15);
    check_cited("sen1968", "low of 8 points", trend.low, 0.0, 1e-15);
    check_cited("sen1968", "high of 8 points", trend.high, 0.75, 1e-15);
    check_cited("kendall1975", "p of 8 points, ties both ways", trend.p, 0.011541534700533585, 1e-14);
}

/* identity: a straight line, one wild point in it, the other way round */
static void test_chance_trend_is_robust(void **state)
{
    (void)state;
    struct owl_chance_point point[21];
    for (int i = 0; i < 21; i++)
        point[i] = (struct owl_chance_point){i, 3.0 - 0.25 * i};
    point[10].y = 1e6;
    struct owl_chance_trend down = owl_chance_trend_of(point, 21, slopes);
    for (int i = 0; i < 21; i++)
        point[i].y = -point[i].y;
    struct owl_chance_trend up = owl_chance_trend_of(point, 21, slopes);
    check_near("slope", down.slope, -0.25, 1e-12);
    check_near("mirrored slope", up.slope, -down.slope, 1e-15);
    check_near("mirrored bound", up.low, -down.high, 1e-15);
    check_near("mirrored p", up.p, down.p, 0.0);
    assert_true(down.p < 1e-6);
}

/* fault: too few, all at one place, all of one height, too many */
static void test_chance_trend_edges(void **state)
{
    (void)state;
    static struct owl_chance_point point[OWL_CHANCE_POINTS + 1];
    assert_true(isnan(owl_chance_trend_of(point, 0, slopes).slope));
    assert_true(isnan(owl_chance_trend_of(point, 2, slopes).slope));
    assert_true(isnan(owl_chance_trend_of(point, 50, slopes).slope));
    assert_true(isnan(owl_chance_trend_of(point, OWL_CHANCE_POINTS + 1, slopes).slope));
    for (int i = 0; i < 3; i++)
        point[i].x = i;
    struct owl_chance_trend flat = owl_chance_trend_of(point, 3, slopes);
    check_near("flat slope", flat.slope, 0.0, 0.0);
    check_near("flat p", flat.p, 1.0, 0.0);
    point[1].y = point[2].y = 1.0;
    assert_true(isinf(owl_chance_trend_of(point, 3, slopes).low));
    assert_true(isinf(owl_chance_trend_of(point, 3, slopes).high));
}

/* ---- shares ---- */

static double more(int hits, int of, int other_hits, int other_of)
{
    return owl_chance_more((struct owl_chance_share){hits, of}, (struct owl_chance_share){other_hits, other_of});
}

/* cited: sums of exact fractions; 3 of 4 against 1 of 4 is 17/70, the tasting of eight cups */
static void test_chance_more(void **state)
{
    (void)state;
    check_cited("fisher1922", "3/4 against 1/4", more(3, 4, 1, 4), 17.0 / 70.0, 1e-14);
    check_cited_relative("fisher1922", "9/14 against 1/120", more(9, 14, 1, 120), 6.615842770584151e-10, 1e-11);
    check_cited("fisher1922", "5/10 against 5/10", more(5, 10, 5, 10), 0.6718591006516703, 1e-13);
    check_cited("fisher1922", "1/1 against 0/1000", more(1, 1, 0, 1000), 1.0 / 1001.0, 1e-14);
    check_cited_relative("fisher1922", "40/90 against 200/900", more(40, 90, 200, 900), 7.992337735637804e-06, 1e-11);
}

/* fault: no hits, none at all, impossible counts */
static void test_chance_more_edges(void **state)
{
    (void)state;
    check_near("no hit in the first", more(0, 5, 3, 5), 1.0, 0.0);
    check_near("as few as can be", more(2, 5, 3, 3), 1.0, 0.0);
    check_near("first empty", more(0, 0, 3, 5), 1.0, 0.0);
    check_near("second empty", more(3, 5, 0, 0), 1.0, 0.0);
    check_near("both empty", more(0, 0, 0, 0), 1.0, 0.0);
    assert_true(isnan(more(6, 5, 0, 5)));
    assert_true(isnan(more(1, 5, -1, 5)));
}

static double at_least(int hits, int of, double each)
{
    return owl_chance_at_least((struct owl_chance_share){hits, of}, each);
}

/* cited: sums of exact fractions */
static void test_chance_at_least(void **state)
{
    (void)state;
    check_cited("exact-fractions", "14 of 15 at 1/2", at_least(14, 15, 0.5), 0.00048828125, 1e-16);
    check_cited("exact-fractions", "12 of 30 at 1/6", at_least(12, 30, 1.0 / 6.0), 0.0020323357122174427, 1e-15);
    check_cited("exact-fractions", "200 of 1000 at 1/6", at_least(200, 1000, 1.0 / 6.0), 0.0031880755543325684, 1e-14);
    check_near("none", at_least(0, 7, 0.3), 1.0, 0.0);
    check_near("never", at_least(1, 7, 0.0), 0.0, 0.0);
    check_near("always", at_least(7, 7, 1.0), 1.0, 0.0);
    assert_true(isnan(at_least(8, 7, 0.5)));
    assert_true(isnan(at_least(1, 7, NAN)));
    assert_true(isnan(at_least(1, 7, 1.5)));
}

/* ---- waits ---- */

/* cited: products of exact fractions. 10 waits, the longest twice the next: 40 000 draws apart gave 0.1826, it being 0.1818 */
static void test_chance_wait(void **state)
{
    (void)state;
    check_cited("renyi1953", "twice the longest of 9", owl_chance_wait(2.0, 9, false), 1.0 / 55.0, 1e-15);
    check_cited("renyi1953", "the longest of 10 twice the next", owl_chance_wait(2.0, 9, true), 10.0 / 55.0, 1e-14);
    check_cited("renyi1953", "three times the longest of 20", owl_chance_wait(3.0, 20, false), 0.000564652738565782, 1e-16);
    check_cited("renyi1953", "2.5 times the longest of 50", owl_chance_wait(2.5, 50, false), 0.00017253969187260406, 1e-16);
    check_near("as long as the only other", owl_chance_wait(1.0, 1, false), 0.5, 1e-15);
    check_near("the longest is the longest", owl_chance_wait(1.0, 9, true), 1.0, 1e-13);
    check_near("for ever", owl_chance_wait(INFINITY, 3, true), 0.0, 0.0);
    assert_true(isnan(owl_chance_wait(2.0, 0, false)));
    assert_true(isnan(owl_chance_wait(NAN, 3, false)));
}

/* ---- ranks ---- */

/* cited: pairs counted; variance 29.18 over all 462 ways to choose six of eleven */
static void test_chance_larger(void **state)
{
    (void)state;
    struct owl_chance_ranked value[] = {{1.1, true}, {1.2, true}, {1.2, true}, {1.4, true}, {1.9, true}, {0.9, true},
                                        {0.8, false}, {0.9, false}, {1.1, false}, {1.1, false}, {1.0, false}};
    struct owl_chance_ranks ranks = owl_chance_larger(value, 11);
    check_cited("mann1947", "share of pairs", ranks.share, 0.85, 1e-15);
    check_cited("mann1947", "p with ties", ranks.p, 0.032073309367202214, 1e-15);
    assert_true(ranks.low > 0.5 && ranks.low < 0.85 && ranks.high == 1.0);
}

/* fault: one kind only, all alike, nothing, values that are no numbers */
static void test_chance_larger_edges(void **state)
{
    (void)state;
    struct owl_chance_ranked value[] = {{1.0, true}, {2.0, true}, {3.0, true}}, alike[] = {{1.0, true}, {1.0, false}},
                             none[] = {{NAN, true}, {NAN, false}, {NAN, true}};
    assert_true(isnan(owl_chance_larger(value, 3).p));
    assert_true(isnan(owl_chance_larger(alike, 2).p));
    assert_true(isnan(owl_chance_larger(value, 0).p));
    (void)owl_chance_larger(none, 3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_chance_trend_with_ties), cmocka_unit_test(test_chance_trend_with_ties_both_ways),
        cmocka_unit_test(test_chance_trend_is_robust), cmocka_unit_test(test_chance_trend_edges),
        cmocka_unit_test(test_chance_more),            cmocka_unit_test(test_chance_more_edges),
        cmocka_unit_test(test_chance_at_least),        cmocka_unit_test(test_chance_wait),
        cmocka_unit_test(test_chance_larger),          cmocka_unit_test(test_chance_larger_edges),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
