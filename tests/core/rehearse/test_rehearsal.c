/* Many seasons: the same bytes however they are shared out, a ledger that adds up, odds and quantiles. */
#include "core/rehearse/long_watch.h"

#include "core/model/odds.h"

#define SEASONS 400

static struct owl_season seasons[SEASONS], again[SEASONS];
static double column[20000];
static struct owl_rehearsal rehearsal, other;

static void run_example(const char *name, int nights, int count)
{
    const struct owl_habits habits = owl_setup_usual_habits();
    read_example(name, nights);
    prepare_plan(&habits);
    owl_rehearsal_run(&setup, 1, 0, count, seasons);
}

/* identity: seasons run in shares, backwards, or one by one are those run in a row, and so is their sum, byte for
   byte. */
static void test_rehearsal_shares_make_no_difference(void **state)
{
    (void)state;
    static const int cuts[] = {0, 1, 2, 7, 64, 65, 199, SEASONS};
    run_example("lynx", 20, SEASONS);
    memset(again, 0xAA, sizeof again);
    for (size_t i = sizeof cuts / sizeof *cuts - 1; i > 0; i--)
        owl_rehearsal_run(&setup, 1, cuts[i - 1], cuts[i], &again[cuts[i - 1]]);
    assert_memory_equal(seasons, again, sizeof seasons);
    memset(&rehearsal, 0, sizeof rehearsal);
    memset(&other, 0, sizeof other);
    owl_rehearsal_reduce(&setup, seasons, SEASONS, column, &rehearsal);
    owl_rehearsal_reduce(&setup, again, SEASONS, column, &other);
    assert_memory_equal(&rehearsal, &other, sizeof rehearsal);
    owl_rehearsal_run(&setup, 2, 0, SEASONS, again);
    assert_memory_not_equal(seasons, again, sizeof seasons);
}

static double within(struct owl_rng *rng, double least, double most)
{
    return least + (most - least) * owl_rng_uniform(rng);
}

/* Some plan: an example with much of it thrown about. */
static void throw_about(struct owl_rng *rng)
{
    static const char *const examples[] = {"marten", "lynx", "dipper"};
    read_example(examples[owl_rng_bits(rng) % 3], 1 + (int)(owl_rng_bits(rng) % 12));
    plan.subject.passes_per_night = within(rng, 0.0, 20.0);
    plan.subject.speed_m_s *= exp(within(rng, -2.0, 2.0));
    plan.stage.path_scatter_m = within(rng, 0.0, 2.0);
    plan.stage.path_angle_rad = within(rng, -1.5, 1.5);
    plan.stage.travel = (int)(owl_rng_bits(rng) % 3);
    plan.camera.lag_s = within(rng, 0.0, 1.0);
    plan.camera.sleeps = (int)(owl_rng_bits(rng) % 2);
    plan.camera.frames = 1.0 + (double)(owl_rng_bits(rng) % 5);
    plan.camera.interval_s = within(rng, 0.05, 5.0);
    plan.camera.card_bytes = plan.camera.frame_bytes * within(rng, 0.0, 400.0);
    plan.camera.supply.capacity_ah *= within(rng, 0.01, 1.0);
    plan.sensor.gate = (int)(owl_rng_bits(rng) % 3);
    plan.sensor.gate_lx = exp(within(rng, -7.0, 8.0));
    plan.sensor.pause_s = within(rng, 0.0, 3600.0);
    plan.sensor.pulses = 1.0 + (double)(owl_rng_bits(rng) % 3);
    plan.sensor.range_m = within(rng, 0.5, 12.0);
    plan.sensor.false_triggers = within(rng, 0.0, 50.0);
    for (int i = 0; i < plan.flashes; i++) {
        plan.flash[i].power = exp2(-within(rng, 0.0, 7.0));
        plan.flash[i].recycle_s = within(rng, 0.1, 30.0);
        plan.flash[i].supply.capacity_ah *= within(rng, 0.001, 1.0);
    }
}

static void check_season(const struct owl_season *season)
{
    uint32_t passes = owl_ledger_passes(&season->ledger), keepers = season->ledger.first[OWL_LEDGER_KEEPER];
    assert_int_equal(season->ledger.only[OWL_LEDGER_KEEPER], 0);
    for (int row = OWL_LEDGER_AWAY; row < OWL_LEDGER_ROWS; row++)
        assert_true(season->ledger.only[row] <= passes - keepers);
    assert_true((season->first_keeper >= 0) == (keepers > 0));
    assert_true(season->first_keeper < setup.nights);
    assert_true(keepers <= season->firings && season->firings <= season->frames);
    assert_true(season->frames <= setup.card_frames && season->false_frames <= season->frames);
    assert_true(season->flashes <= season->frames && season->unrested <= season->firings);
    for (int store = 0; store <= OWL_RIG_CARD; store++)
        assert_true(season->out_nights[store] >= 0.0);
}

/* identity: whatever the plan, every pass is booked once, the sums of all rows are the passes, and what cannot be
   more than another number is not. */
static void test_rehearsal_adds_up_for_any_plan(void **state)
{
    (void)state;
    struct owl_rng rng = owl_rng_start(20270109, 0);
    const struct owl_habits habits = owl_setup_usual_habits();
    double ends[OWL_LEDGER_ROWS] = {0.0};
    int plans = 0;
    for (int i = 0; i < 400; i++) {
        throw_about(&rng);
        if (owl_plan_evaluate(&plan, &watch, &evaluation) != OWL_OK)
            continue;
        assert_int_equal(owl_setup_prepare(&plan, &watch, &evaluation, &habits, setup_row, &setup), OWL_OK);
        owl_rehearsal_run(&setup, (uint64_t)i, 0, 8, seasons);
        owl_rehearsal_reduce(&setup, seasons, 8, column, &rehearsal);
        double sum = 0.0;
        for (int season = 0; season < 8; season++)
            check_season(&seasons[season]);
        for (int row = 0; row < OWL_LEDGER_ROWS; row++) {
            sum += rehearsal.first[row].mean;
            ends[row] += rehearsal.first[row].mean;
        }
        check_near("sum of the rows", sum, rehearsal.passes.mean, 1e-9);
        plans++;
    }
    assert_true(plans > 300);
    for (int row = 0; row < OWL_LEDGER_ROWS; row++)
        if (!(ends[row] > 0.0))
            fail_msg("no plan ends a pass as %s", owl_ledger_word((enum owl_ledger_row)row));
}

static void mend_dim(void)
{
    for (int i = 0; i < plan.flashes; i++)
        plan.flash[i].recycle_s = 1e-9;
}

static void mend_cut(void)
{
    plan.limits.inside = 1e-9;
}

static void mend_soft(void)
{
    plan.limits.blur_m = 1.0; /* nothing is smeared in this light */
}

static void mend_card(void)
{
    plan.camera.card_bytes *= 1e6;
}

static void leave(void)
{
}

/* A full card lets the flashes rest and ends the pauses, and a mended one does not: here neither matters. */
static void keep_quiet(void)
{
    mend_dim();
    plan.passers = 0;
    plan.sensor.false_triggers = 0.0;
    plan.sensor.pause_s = 0.0;
    plan.camera.card_bytes = 200.0 * plan.camera.frame_bytes;
}

/* A marten in the dark with a fault of each kind: flashes that recharge slowly, a path that strays out of the
   frame, focus before the mark, a card that fills. */
static void read_faulty(void)
{
    read_example("marten", 40);
    fill_long_watch(40, 1e-4, 1e-5);
    plan.subject.passes_per_night = 6.0;
    plan.stage.path_scatter_m = 0.2;
    plan.lens.focal_m = 0.08;
    plan.lens.focus_m *= 0.98;
    plan.camera.frames = 2.0;
    plan.camera.interval_s = 0.1;
    plan.sensor.pause_s = 30.0;
    plan.sensor.gate = OWL_GATE_ALWAYS;
    plan.sensor.false_triggers = 400.0;
    plan.camera.supply.capacity_ah = 1000.0;
    for (int i = 0; i < plan.flashes; i++) {
        plan.flash[i].recycle_s = 2000.0;
        plan.flash[i].supply.capacity_ah = 1000.0;
    }
    plan.camera.card_bytes = 20000.0 * plan.camera.frame_bytes;
}

/* identity: with the chances held, mending one cause and no other makes keepers of exactly the passes booked under it
   as their only cause, season by season; after mending, nobody is booked under it. */
static void test_rehearsal_mending_wins_the_only_causes(void **state)
{
    (void)state;
    static const struct {
        enum owl_ledger_row row;
        void (*mend)(void), (*before)(void);
    } cause[] = {{OWL_LEDGER_DIM, mend_dim, leave},
                 {OWL_LEDGER_CUT, mend_cut, leave},
                 {OWL_LEDGER_SOFT, mend_soft, leave},
                 {OWL_LEDGER_SPENT, mend_card, keep_quiet}};
    const struct owl_habits habits = owl_setup_usual_habits();
    for (size_t i = 0; i < sizeof cause / sizeof *cause; i++) {
        for (int mended = 0; mended < 2; mended++) {
            read_faulty();
            cause[i].before();
            (mended ? cause[i].mend : leave)();
            prepare_plan(&habits);
            owl_rehearsal_run(&setup, 3, 0, 20, mended ? again : seasons);
        }
        uint32_t won = 0;
        for (int season = 0; season < 20; season++) {
            const struct owl_ledger *before = &seasons[season].ledger, *after = &again[season].ledger;
            assert_int_equal(after->first[OWL_LEDGER_KEEPER], before->first[OWL_LEDGER_KEEPER] + before->only[cause[i].row]);
            assert_int_equal(after->first[cause[i].row], 0);
            assert_int_equal(owl_ledger_passes(after), owl_ledger_passes(before));
            won += before->only[cause[i].row];
        }
        if (won == 0)
            fail_msg("nothing to win under %s", owl_ledger_word(cause[i].row));
    }
}

/* Standard deviation of the mean of `size` seasons, from `groups` such groups. */
static double deviation_of_means(int groups, int size)
{
    double sum = 0.0, squares = 0.0;
    for (int g = 0; g < groups; g++) {
        double keepers = 0.0;
        for (int i = 0; i < size; i++) {
            struct owl_season season;
            owl_season_run(&setup, (uint64_t)(size * 1000), g * size + i, &season);
            keepers += season.ledger.first[OWL_LEDGER_KEEPER];
        }
        sum += keepers / size;
        squares += keepers / size * keepers / size;
    }
    return sqrt((squares - sum * sum / groups) / (groups - 1));
}

/* identity: the error falls as one over the root of the seasons: with 16 times as many it is a quarter. A standard
   deviation from k groups is itself off by 1/sqrt(2 k); five of those for both together. */
static void test_rehearsal_converges_as_the_root(void **state)
{
    (void)state;
    const struct owl_habits habits = owl_setup_usual_habits();
    const int groups = 300;
    read_example("marten", 10);
    plan.sensor.false_triggers = 0.0;
    prepare_plan(&habits);
    double few = deviation_of_means(groups, 4), many = deviation_of_means(groups, 64);
    check_near("log of the ratio", log(few / many), log(4.0), 5.0 * sqrt(2.0) / sqrt(2.0 * groups));
    owl_rehearsal_run(&setup, 4000, 0, SEASONS, seasons);
    owl_rehearsal_reduce(&setup, seasons, SEASONS, column, &rehearsal);
    check_near("log of the error told", log(rehearsal.keepers_error), log(few * sqrt(4.0 / SEASONS)),
               5.0 * sqrt(1.0 / (2.0 * groups) + 1.0 / (2.0 * SEASONS)));
}

/* identity: the odds are those of the first keeper: a Poisson stream of keepers at the rate of a perfect rig. */
static void test_rehearsal_odds_by_night(void **state)
{
    (void)state;
    static struct owl_season many[20000];
    const struct owl_habits habits = owl_setup_usual_habits();
    const int count = 20000;
    read_perfect_rig();
    plan.subject.passes_per_night = 0.06;
    prepare_plan(&habits);
    owl_rehearsal_run(&setup, 1, 0, count, many);
    owl_rehearsal_reduce(&setup, many, count, column, &rehearsal);
    check_near("before it begins", rehearsal.odds[0], 0.0, 0.0);
    for (int night = 1; night <= 40; night += 3)
        check_share("odds", rehearsal.odds[night] * count, count, 1.0 - exp(-0.06 * night));
    /* slope of the curve at the half: 0.06 * 0.5 a night; straight between nights it is off by 0.06^2 / 16 */
    double error = 5.0 * sqrt(0.25 / count) / 0.03 + 0.01;
    check_near("half", rehearsal.nights_for[0], owl_odds_nights_plug_in(0.06, 0.5), error);
    error = 5.0 * sqrt(0.16 / count) / 0.012 + 0.01;
    check_near("four in five", rehearsal.nights_for[1], owl_odds_nights_plug_in(0.06, 0.8), error);
    assert_true(isinf(rehearsal.nights_for[2])); /* 50 nights */
    check_near("mean", rehearsal.first[OWL_LEDGER_KEEPER].mean, 2.4, 5.0 * sqrt(2.4 / count));
    check_near("its error", rehearsal.keepers_error, sqrt(2.4 / count), 0.03 * sqrt(2.4 / count));
}

/* identity: 5, 50 and 95 of 100: the quantiles of the counts 0..99, in any order, of equal ones, and of one. */
static void test_rehearsal_quantiles(void **state)
{
    (void)state;
    read_perfect_rig();
    prepare_plan(&(struct owl_habits){.speed_spread = 0.0});
    owl_rehearsal_run(&setup, 1, 0, 100, seasons);
    for (uint32_t i = 0; i < 100; i++) {
        seasons[i].frames = (i * 37) % 100; /* every number once */
        seasons[i].flashes = 7;
        seasons[i].unrested = i % 2;
        seasons[i].out_nights[1] = i < 90 ? INFINITY : i / 10.0;
        seasons[i].shortest_gap_s = 1000.0 - i;
    }
    owl_rehearsal_reduce(&setup, seasons, 100, column, &rehearsal);
    check_near("mean", rehearsal.frames.mean, 49.5, 1e-12);
    check_near("5 %", rehearsal.frames.low, 4.0, 0.0);
    check_near("50 %", rehearsal.frames.middle, 49.0, 0.0);
    check_near("95 %", rehearsal.frames.high, 94.0, 0.0);
    check_near("equal", rehearsal.flashes.low, 7.0, 0.0);
    check_near("equal", rehearsal.flashes.high, 7.0, 0.0);
    check_near("two values", rehearsal.unrested.low, 0.0, 0.0);
    check_near("two values", rehearsal.unrested.high, 1.0, 0.0);
    check_near("lasting", rehearsal.lasts[1], 0.9, 1e-12);
    check_near("first to run out", rehearsal.out_nights[1].low, 9.4, 1e-12);
    assert_true(isinf(rehearsal.out_nights[1].middle) && isnan(rehearsal.out_nights[1].mean));
    check_near("shortest gap", rehearsal.shortest_gap_s, 901.0, 0.0);
    owl_rehearsal_reduce(&setup, seasons, 1, column, &rehearsal);
    check_near("of one", rehearsal.frames.low, rehearsal.frames.high, 0.0);
    assert_true(isinf(rehearsal.keepers_error));
}

/* identity: the seasons wanted are those that bring the error to a hundredth, held to the bounds. */
static void test_rehearsal_seasons_wanted(void **state)
{
    (void)state;
    memset(seasons, 0, sizeof seasons);
    for (int i = 0; i < 100; i++)
        seasons[i].ledger.first[OWL_LEDGER_KEEPER] = i % 2 ? 8 : 12;
    /* mean 10, standard deviation 2 sqrt(100 / 99): (0.2 / 0.01)^2 = 400, and a little */
    assert_in_range(owl_rehearsal_seasons_wanted(seasons, 100, 100, 20000), 404, 405);
    assert_int_equal(owl_rehearsal_seasons_wanted(seasons, 100, 1000, 20000), 1000);
    assert_int_equal(owl_rehearsal_seasons_wanted(seasons, 100, 100, 300), 300);
    memset(seasons, 0, sizeof seasons);
    assert_int_equal(owl_rehearsal_seasons_wanted(seasons, 100, 100, 20000), 20000); /* no keeper at all */
    assert_int_equal(owl_rehearsal_seasons_wanted(seasons, 1, 1, 20000), 20000);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_rehearsal_shares_make_no_difference),
        cmocka_unit_test(test_rehearsal_adds_up_for_any_plan),
        cmocka_unit_test(test_rehearsal_mending_wins_the_only_causes),
        cmocka_unit_test(test_rehearsal_converges_as_the_root),
        cmocka_unit_test(test_rehearsal_odds_by_night),
        cmocka_unit_test(test_rehearsal_quantiles),
        cmocka_unit_test(test_rehearsal_seasons_wanted),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
