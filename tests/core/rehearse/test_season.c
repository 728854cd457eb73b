/* One season against closed forms: arrivals, geometry, flashes, cells, and the plan's own figures. */
#include "core/model/heat.h"
#include "core/rehearse/story.h"
#include "core/rehearse/long_watch.h"

static const struct owl_habits steady = {.speed_spread = 0.0}; /* every pass alike */

static double figure(enum owl_result result, int which)
{
    return owl_outcome_value(&evaluation.outcome, result, which);
}

/* identity: without a loss in sensor, time, frame or light every pass is a keeper. */
static void test_season_perfect_rig_keeps_every_pass(void **state)
{
    (void)state;
    read_perfect_rig();
    const struct owl_habits habits = owl_setup_usual_habits();
    prepare_plan(&habits);
    struct long_run run = run_long(1, 300);
    assert_true(run.passes > 20000.0);
    check_near("keepers", run.keepers, run.passes, 0.0);
    check_near("frames", run.frames, run.passes, 0.0);
    /* the number of passes is a Poisson sum of mean 2 * 40 * 300 */
    check_near("passes", run.passes, 24000.0, 5.0 * sqrt(24000.0));
}

/* identity: an animal that stops on the mark for hours is caught by the slowest camera, and stands still. */
static void test_season_stay_waits_for_the_shutter(void **state)
{
    (void)state;
    read_perfect_rig();
    plan.camera.lag_s = 10.0; /* walking on, it would be gone */
    plan.sensor.place.x_m = plan.sensor.aim.x_m -= 0.1; /* noticed before it stops */
    struct owl_habits habits = owl_setup_usual_habits();
    habits.stays = 1.0;
    habits.stay_s = 1e6;
    prepare_plan(&habits);
    struct owl_trace trace;
    assert_int_equal(owl_season_trace(&setup, 3, 0, 0, &trace), OWL_OK);
    check_near("on the mark", trace.frame.past_m, 0.0, 1e-9);
    check_near("still", trace.frame.travel_m, 0.0, 0.0);
    assert_int_equal(trace.verdict.failed, 0);
    habits.stays = 0.0;
    prepare_plan(&habits);
    assert_int_equal(owl_season_trace(&setup, 3, 0, 0, &trace), OWL_OK);
    assert_true(trace.verdict.failed & OWL_FAILED(OWL_LEDGER_LATE));
}

/* identity: one that every flash drives off for good fires the rig once in a season; one that comes back at once
   fires it as often as one that is not shy. */
static void test_season_shy_one_is_flashed_once(void **state)
{
    (void)state;
    static const int seasons = 50;
    unsigned once = 0, often = 0, never_minds = 0;
    read_example("marten", 40);
    plan.passers = 0;
    plan.sensor.false_triggers = 0.0;
    struct owl_habits habits = owl_setup_usual_habits();
    for (int i = 0; i < seasons; i++) {
        struct owl_season season;
        habits.shy = 1.0;
        habits.shy_nights = 1e6;
        prepare_plan(&habits);
        owl_season_run(&setup, 11, i, &season);
        assert_true(season.firings <= 1);
        once += season.firings;
        habits.shy_nights = 0.0;
        prepare_plan(&habits);
        owl_season_run(&setup, 11, i, &season);
        often += season.firings;
        habits.shy = 0.0;
        prepare_plan(&habits);
        owl_season_run(&setup, 11, i, &season);
        never_minds += season.firings;
    }
    assert_true(once >= 45); /* a season without one has probability under e^-9 */
    assert_true(never_minds > 5 * once);
    assert_int_equal(often, never_minds);
}

/* identity: animals in groups of four on average pass as often as single ones, but more unevenly: the number of a season
   is a compound Poisson sum of groups of 1 + Poisson(3), with variance rate (mean^2 + 3) / 4 instead of rate. */
static void test_season_groups(void **state)
{
    (void)state;
    static const int seasons = 4000;
    read_perfect_rig();
    struct owl_habits habits = owl_setup_usual_habits();
    habits.group = 4.0;
    prepare_plan(&habits);
    double mean = plan.subject.passes_per_night * setup.nights, sum = 0.0, squares = 0.0;
    for (int i = 0; i < seasons; i++) {
        struct owl_season season;
        owl_season_run(&setup, 12, i, &season);
        double passes = owl_ledger_passes(&season.ledger);
        sum += passes;
        squares += (passes - mean) * (passes - mean);
    }
    double variance = mean * (16.0 + 3.0) / 4.0;
    check_near("mean", sum / seasons, mean, 5.0 * sqrt(variance / seasons));
    /* the variance of a variance: about twice its square over the number, for counts of this size */
    check_near("variance", squares / seasons, variance, 5.0 * variance * sqrt(2.2 / seasons));
}

/* identity: at constant speed the middle is at the exposure where the nose was, plus v t, less half a body; exactly
   but for the grain of times of 1e6 s. */
static void test_season_offset_is_speed_times_delay(void **state)
{
    (void)state;
    read_perfect_rig();
    plan.camera.lag_s = 0.13;
    plan.sensor.delay_s = 0.05;
    const struct owl_habits habits = owl_setup_usual_habits();
    prepare_plan(&habits);
    for (int pass = 0; pass < 20; pass++) {
        struct owl_trace trace;
        assert_int_equal(owl_season_trace(&setup, 3, 0, pass, &trace), OWL_OK);
        check_near("nose", trace.notice.front_m, 0.5, 1e-12);
        check_near("offset", trace.frame.past_m, 0.5 - 0.5 + trace.pass.speed_m_s * 0.18, 1e-8);
    }
}

/* identity: the share of late passes is the log-normal tail of speeds that carry the whole body out of the frame:
   its rear far corner, (x - L/2) / (s + w/2) = W / 2 v'. The normal tail is by the C library's erfc. */
static void test_season_late_share_is_the_speed_tail(void **state)
{
    (void)state;
    read_perfect_rig();
    plan.camera.lag_s = 3.0;
    const struct owl_habits habits = owl_setup_usual_habits();
    prepare_plan(&habits);
    double image_m = 1.0 / (1.0 / 0.024 - 1.0 / 5.0);
    double leaves_m = 0.5 + (0.0235 / 2.0) * 5.15 / image_m; /* of the middle */
    double speed = (leaves_m - 0.0) / 3.0;                   /* the middle starts on the mark, at the nose's 0.5 m */
    double tail = 0.5 * erfc(log(speed / 1.0) / 0.3 / sqrt(2.0));
    struct long_run run = run_long(5, 300);
    assert_true(tail > 0.1 && tail < 0.9);
    double answered = run.passes - run.first[OWL_LEDGER_BLANKED]; /* two within three seconds are very rare */
    check_share("late", run.first[OWL_LEDGER_LATE], answered, tail);
    check_near("cut or late or kept", run.first[OWL_LEDGER_LATE] + run.first[OWL_LEDGER_CUT] + run.keepers, answered, 0.0);
}

/* identity: arrivals at a rate known, and at one believed after scouting: no pass in n nights with e^(-rate n), and
   with (b/(b + n))^a. */
static void test_season_no_pass_in_n_nights(void **state)
{
    (void)state;
    static const int seasons = 20000;
    read_perfect_rig();
    plan.subject.passes_per_night = 0.05;
    struct owl_habits habits = owl_setup_usual_habits();
    for (int scouted = 0; scouted < 2; scouted++) {
        habits.scouted_passes = 3.0;
        habits.scouted_nights = scouted ? 30.0 : 0.0;
        prepare_plan(&habits);
        int none = 0;
        for (int i = 0; i < seasons; i++) {
            struct owl_season season;
            owl_season_run(&setup, 7, i, &season);
            none += owl_ledger_passes(&season.ledger) == 0;
            assert_true((season.first_keeper < 0) == (owl_ledger_passes(&season.ledger) == 0));
        }
        check_share(scouted ? "scouted" : "known", none, seasons, scouted ? pow(30.0 / 70.0, 3.5) : exp(-0.05 * 40.0));
    }
}

/* identity: each night holds the same number of passes, and within it they lie as the activity does: the share of
   passes outside the armed hours is the plan's own figure, in the daily light of the made-up watch. */
static void test_season_away_share_is_the_plans(void **state)
{
    (void)state;
    static const char *const examples[] = {"marten", "dipper"};
    for (int i = 0; i < 2; i++) {
        read_example(examples[i], 10);
        const struct owl_habits habits = owl_setup_usual_habits();
        prepare_plan(&habits);
        struct long_run run = run_long(11, 3000);
        check_share(examples[i], run.first[OWL_LEDGER_AWAY], run.passes, 1.0 - figure(OWL_RESULT_ARMED_SHARE, 0));
        double mean = plan.subject.passes_per_night * 10.0 * 3000.0;
        check_near("passes", run.passes, mean, 5.0 * sqrt(mean));
    }
}

/* identity: time by activity is the inverse of the row sums: its ends, its middle, and never backwards. */
static void test_season_time_follows_the_activity(void **state)
{
    (void)state;
    read_example("marten", 3);
    prepare_plan(&steady);
    int pattern = plan.subject.pattern;
    double before = -1.0, shares[OWL_NIGHT_ROWS] = {0.0};
    for (int i = 0; i < 300000; i++) {
        double at_s = owl_setup_time_s(&setup, pattern, i / 100000.0);
        assert_true(at_s > before && at_s < 3.0 * OWL_SECONDS_PER_DAY);
        before = at_s;
        if (i < 100000)
            shares[(int)(at_s / OWL_ROW_STEP_S)] += 1e-5;
    }
    double sum = 0.0;
    for (int row = 0; row < OWL_NIGHT_ROWS; row++)
        sum += owl_activity_at(&watch.activity, pattern, long_row[row].anchored_rad);
    for (int row = 0; row < OWL_NIGHT_ROWS; row++) {
        double active = owl_activity_at(&watch.activity, pattern, long_row[row].anchored_rad);
        check_near("share of a row", shares[row], active / sum, 2e-5);
    }
    check_near("a night begins at noon", owl_setup_time_s(&setup, pattern, 1.0), OWL_SECONDS_PER_DAY, 0.0);
}

/* identity: armed time found minute by minute is the plan's, which reckons it row by row. */
static void test_season_minutes_are_armed_as_planned(void **state)
{
    (void)state;
    read_example("dipper", 4);
    prepare_plan(&steady);
    double armed_s = 0.0, end_s = 4.0 * OWL_SECONDS_PER_DAY;
    for (double at_s = 0.5; at_s < end_s; at_s += 1.0)
        armed_s += owl_setup_minute(&setup, at_s).armed;
    check_near("armed", armed_s / 4.0, figure(OWL_RESULT_ARMED, 0), 4.0);
    check_near("noon", owl_setup_minute(&setup, -5.0).light_lx, 2900.0, 1e-9);
    check_near("the end", owl_setup_minute(&setup, end_s + 5.0).light_lx, 2900.0, 1e-9);
    check_near("clock", owl_setup_minute(&setup, 13.0 * 3600.0 + 90.0).clock_s, 3600.0 + 90.0, 1e-6);
}

/* identity: the reach worked out ahead is the model's own law, bound and all, and the plan's figure for the pass the
   plan describes. */
static void test_season_reach_is_the_models(void **state)
{
    (void)state;
    read_example("marten", 2);
    plan.stage.path_scatter_m = 0.0;
    prepare_plan(&steady);
    struct owl_rng rng = owl_rng_start(1, 1);
    struct owl_pass pass = owl_passage_draw(&setup, &setup.walker[0], 0.0, &rng);
    check_near("as planned", owl_passage_reach_m(&setup, &pass, false), figure(OWL_RESULT_SENSOR_RANGE, 0), 1e-9);
    for (int i = 0; i < 200; i++) {
        struct owl_heat_target target = {exp(owl_rng_normal(&rng) - 2.0), 0.0, exp(owl_rng_normal(&rng))};
        bool day = owl_rng_chance(&rng, 0.5);
        double air_k = day ? plan.climate.day_k : plan.climate.night_k;
        target.contrast_w_m2 = owl_heat_contrast_w_m2(air_k + owl_heat_coat_excess_k(air_k, OWL_HEAT_BODY_K), air_k);
        double free = setup.reach_scale[day] * sqrt(target.area_m2 * owl_heat_response(target.crossing_hz));
        check_near("reach", 12.0 * fmin(free, setup.reach_most), owl_heat_range_m(12.0, &target), 1e-9);
    }
}

/* identity: the pass the plan describes, in the dark, comes out as the plan says. */
static void test_season_agrees_with_the_plan(void **state)
{
    (void)state;
    read_example("marten", 30);
    plan.stage.path_scatter_m = 0.0;
    prepare_plan(&steady);
    struct owl_trace trace;
    int pass = 0;
    do
        assert_int_equal(owl_season_trace(&setup, 2, 0, pass++, &trace), OWL_OK);
    while (trace.failed != 0 || trace.minute.light_lx > 0.01);
    check_near("notice", trace.notice.front_m, figure(OWL_RESULT_NOTICE, 0), 1e-9);
    check_near("offset", trace.frame.past_m, figure(OWL_RESULT_OFFSET, 0), 1e-8);
    check_near("inside", trace.frame.inside, figure(OWL_RESULT_OFFSET_INSIDE, 0), 1e-8);
    /* the plan lights the animal on the mark, the rehearsal where it is: 16 cm off it */
    check_near("exposure", trace.frame.stops, figure(OWL_RESULT_LIGHT_ERROR, 0), 0.15);
    struct owl_frame frame = trace.frame;
    frame.opens_s = trace.pass.at_s;
    owl_passage_judge(&setup, &trace.pass, &trace.minute, &frame);
    double ambient = trace.minute.ambient_lxs / setup.light.ambient_needed_lxs;
    check_near("exposure on the mark", exp2(frame.stops) - ambient, exp2(figure(OWL_RESULT_LIGHT_ERROR, 0)), 1e-9);
    check_near("motion on the mark", frame.travel_m, figure(OWL_RESULT_MOTION_BLUR, 0), 1e-12);
}

/* identity: frames faster than the recharging find less and less: before frame k the store holds 1 - (k-1)(p - i/T)
   of its charge until less than p is left, from then on what came in since the last. */
static void test_season_flash_follows_its_charging_curve(void **state)
{
    (void)state;
    read_example("marten", 2);
    plan.flash[0].power = 0.25;
    plan.flash[0].recycle_s = 8.0;
    plan.camera.frames = 4.0;
    plan.camera.interval_s = 0.5;
    prepare_plan(&steady);
    const double p = 0.25, in = 0.5 / 8.0;
    struct owl_rig rig;
    owl_rig_begin(&setup, &rig);
    for (int k = 1; k <= 12; k++) {
        double store = 1.0 - (k - 1) * (p - in), given = store >= p ? 1.0 : k == 5 ? store / p : in / p;
        struct owl_rig_light light = owl_rig_frame(&setup, &rig, 100.0 + (k - 1) * 0.5, 0);
        check_near("share", light.share[0], given, 1e-12);
        if (k == 4)
            check_near("the plan's last frame", light.share[0], figure(OWL_RESULT_FLASH_LAST, 0), 1e-12);
    }
    check_near("rested", owl_rig_frame(&setup, &rig, 200.0, 0).share[0], 1.0, 0.0);
    assert_true(owl_rig_frame(&setup, &rig, 200.0, 0).share[0] == 1.0); /* the second of two at one time: 3/4 are left */
}

/* identity: a flash whose link misses keeps its charge and gives nothing; with a miss of 1 nothing ever flashes, with 0.3 on the only
   flash 3 of 10 frames stay dark, and the arrivals are the same whatever is missed. */
static void test_season_links_miss(void **state)
{
    (void)state;
    struct owl_season heard, missed;
    read_example("marten", 20);
    prepare_plan(&steady);
    struct owl_rig rig;
    owl_rig_begin(&setup, &rig);
    assert_true(owl_rig_frame(&setup, &rig, 100.0, 1u).share[0] == 0.0);
    check_near("kept its charge", owl_rig_frame(&setup, &rig, 100.0, 0).share[0], 1.0, 0.0);
    uint32_t flashes = 0, frames = 0;
    for (int season = 0; season < 40; season++) {
        plan.flashes = 1;
        plan.flash[0].link_miss = 0.0;
        owl_season_run(&setup, 7, season, &heard);
        plan.flash[0].link_miss = 0.3;
        owl_season_run(&setup, 7, season, &missed);
        assert_int_equal(owl_ledger_passes(&missed.ledger), owl_ledger_passes(&heard.ledger));
        assert_int_equal(missed.frames, heard.frames);
        flashes += missed.flashes;
        frames += heard.flashes;
        plan.flash[0].link_miss = 1.0;
        owl_season_run(&setup, 7, season, &missed);
        assert_int_equal(missed.flashes, 0);
        assert_int_equal(missed.ledger.first[OWL_LEDGER_KEEPER], 0);
    }
    double share = (double)flashes / frames; /* 4 standard errors */
    assert_true(frames > 1000);
    check_near("heard", share, 0.7, 4.0 * sqrt(0.21 / frames));
}

/* identity: a flash that switches itself off stays dark from its first idle span of that length on. */
static void test_season_flash_falls_asleep(void **state)
{
    (void)state;
    read_example("marten", 2);
    plan.flash[1].sleeps_after_s = 1800.0;
    prepare_plan(&steady);
    struct owl_rig rig;
    owl_rig_begin(&setup, &rig);
    check_near("awake", owl_rig_frame(&setup, &rig, 1700.0, 0).share[1], 1.0, 0.0);
    check_near("kept awake", owl_rig_frame(&setup, &rig, 3400.0, 0).share[1], 1.0, 0.0);
    check_near("asleep", owl_rig_frame(&setup, &rig, 5300.0, 0).share[1], 0.0, 0.0);
    check_near("for good", owl_rig_frame(&setup, &rig, 5310.0, 0).share[1], 0.0, 0.0);
    check_near("the other not", owl_rig_frame(&setup, &rig, 5400.0, 0).share[0], 1.0, 0.0);
}

/* identity: a rig with no events runs for as long as the plan's own sum says, capacity over drain under
   self-discharge; a night's grain of 1e-6. */
static void test_season_idle_cells(void **state)
{
    (void)state;
    read_perfect_rig();
    plan.subject.passes_per_night = 0.0;
    plan.camera.awake_a = 0.012;
    plan.sensor.supply.standby_a = 0.02;
    prepare_plan(&steady);
    struct owl_season season;
    owl_season_run(&setup, 1, 0, &season);
    assert_true(figure(OWL_RESULT_CELLS_NIGHTS, OWL_DEVICE_CAMERA) < 40.0);
    check_near("camera", season.out_nights[OWL_DEVICE_CAMERA], figure(OWL_RESULT_CELLS_NIGHTS, OWL_DEVICE_CAMERA), 1e-6);
    check_near("sensor", season.out_nights[OWL_DEVICE_SENSOR], figure(OWL_RESULT_CELLS_NIGHTS, OWL_DEVICE_SENSOR), 1e-6);
    assert_true(isinf(season.out_nights[OWL_RIG_CARD]));
}

/* identity: each frame takes exactly its own energy: at the moment the cells give out, standing by and the frames
   taken up to then account for all that self-discharge has left, to within the frames of one firing. */
static void test_season_frames_cost_their_energy(void **state)
{
    (void)state;
    read_perfect_rig();
    plan.subject.passes_per_night = 20.0;
    plan.camera.frames = 3.0;
    plan.camera.frame_energy_j = 20.0;
    plan.camera.awake_a = 0.005;
    prepare_plan(&steady);
    const struct owl_setup_cells *cells = &setup.cells[OWL_DEVICE_CAMERA];
    for (int i = 0; i < 50; i++) {
        struct owl_season season;
        owl_season_run(&setup, 9, i, &season);
        double nights = season.out_nights[OWL_DEVICE_CAMERA];
        assert_true(nights < 40.0);
        double months = nights * OWL_SECONDS_PER_DAY / OWL_CELLS_MONTH_S;
        double left_j = cells->store_j * owl_cells_left_share(cells->kind, plan.climate.night_k, months);
        double used_j = cells->standby_w * nights * OWL_SECONDS_PER_DAY + season.frames * 20.0;
        assert_true(used_j >= left_j - 1e-3 && used_j < left_j + 3.0 * 20.0);
        assert_true(season.ledger.first[OWL_LEDGER_SPENT] > 0);
    }
}

/* identity: a card of k frames ends the keepers after k passes of one frame each; the rest is spent. */
static void test_season_card_fills_up(void **state)
{
    (void)state;
    read_perfect_rig();
    plan.camera.card_bytes = 21.0 * plan.camera.frame_bytes;
    prepare_plan(&steady);
    struct owl_season season;
    owl_season_run(&setup, 4, 0, &season);
    assert_int_equal(season.frames, 21);
    assert_int_equal(season.ledger.first[OWL_LEDGER_KEEPER], 21);
    assert_int_equal(season.ledger.first[OWL_LEDGER_SPENT] + 21, owl_ledger_passes(&season.ledger));
    assert_int_equal(season.ledger.only[OWL_LEDGER_SPENT], season.ledger.first[OWL_LEDGER_SPENT]);
    assert_true(season.out_nights[OWL_RIG_CARD] < 40.0);
}

/* identity: a dead sensor of two kinds: with a pause longer than the watch the first pass alone is seen. */
static void test_season_pause_blanks(void **state)
{
    (void)state;
    read_perfect_rig();
    plan.sensor.pause_s = 1e9;
    prepare_plan(&steady);
    struct owl_season season;
    owl_season_run(&setup, 4, 0, &season);
    assert_int_equal(season.ledger.first[OWL_LEDGER_KEEPER], 1);
    assert_int_equal(season.ledger.only[OWL_LEDGER_BLANKED] + 1, owl_ledger_passes(&season.ledger));
    assert_int_equal(season.firings, 1);
}

/* identity: a counter with a dead time: with a pause of t after every firing, arrivals at rate r are noticed in the
   share 1/(1 + r t); so they are when the camera is busy for t with its frames. Within five standard errors
   of a count whose variance the pause only lessens. */
static void test_season_dead_time(void **state)
{
    (void)state;
    const double events = 48.0 * 1800.0 / OWL_SECONDS_PER_DAY;
    for (int busy = 0; busy < 2; busy++) {
        read_perfect_rig();
        plan.subject.passes_per_night = 48.0;
        plan.sensor.pause_s = busy ? 0.0 : 1800.0;
        plan.camera.frames = busy ? 4.0 : 1.0;
        plan.camera.interval_s = 600.0;
        plan.camera.card_bytes *= 1000.0;
        prepare_plan(&steady);
        struct long_run run = run_long(8, 20);
        check_share(busy ? "busy" : "deaf", run.keepers, run.passes, 1.0 / (1.0 + events));
        check_near("or blanked", run.keepers + run.first[OWL_LEDGER_BLANKED], run.passes, 0.0);
    }
}

/* identity: a sensor that fires into a busy camera begins its pause anew: replayed from the times of the passes alone,
   the rig fires as often. */
static void test_season_busy_camera_restarts_the_pause(void **state)
{
    (void)state;
    read_perfect_rig();
    plan.watch.nights = 4.0;
    fill_long_watch(4, PERFECT_LX, PERFECT_LX);
    plan.subject.passes_per_night = 60.0;
    plan.sensor.pause_s = 900.0;
    plan.camera.frames = 4.0;
    plan.camera.interval_s = 600.0;
    prepare_plan(&steady);
    struct owl_season season;
    owl_season_run(&setup, 1, 0, &season);
    double deaf_until_s = -1.0, busy_until_s = -1.0;
    uint32_t fired = 0;
    for (uint32_t pass = 0; pass < owl_ledger_passes(&season.ledger); pass++) {
        struct owl_trace trace;
        assert_int_equal(owl_season_trace(&setup, 1, 0, (int)pass, &trace), OWL_OK);
        if (trace.noticed_s < deaf_until_s)
            continue;
        deaf_until_s = trace.noticed_s + 900.0;
        if (trace.noticed_s < busy_until_s)
            continue;
        busy_until_s = trace.noticed_s + 3.0 * 600.0 + 1.0 / 4000.0;
        fired++;
    }
    assert_true(fired > 50);
    assert_int_equal(season.firings, fired);
    assert_int_equal(season.ledger.first[OWL_LEDGER_KEEPER], fired);
}

/* identity: passes stray as the plan says, the offset by half the scatter either way, the speed about the kind's,
   both ways as often. */
static void test_season_passes_stray(void **state)
{
    (void)state;
    const int count = 40000;
    const struct owl_habits habits = owl_setup_usual_habits();
    double offset = 0.0, turn = 0.0, log_speed = 0.0, square = 0.0, right = 0.0;
    read_perfect_rig();
    plan.stage.path_scatter_m = 0.2;
    plan.stage.path_angle_rad = 0.3;
    plan.stage.travel = OWL_TRAVEL_BOTH;
    prepare_plan(&habits);
    struct owl_rng rng = owl_rng_start(4, 4);
    for (int i = 0; i < count; i++) {
        struct owl_pass pass = owl_passage_draw(&setup, &setup.walker[0], 0.0, &rng);
        offset += pass.path.aside_m * pass.path.aside_m;
        turn += (pass.path.angle_rad - 0.3) * (pass.path.angle_rad - 0.3);
        log_speed += log(pass.speed_m_s / plan.subject.speed_m_s);
        square += log(pass.speed_m_s / plan.subject.speed_m_s) * log(pass.speed_m_s / plan.subject.speed_m_s);
        right += pass.sense > 0;
    }
    double error = 5.0 / sqrt(2.0 * count); /* of a standard deviation, relative */
    check_near("offset", sqrt(offset / count), 0.1, 0.1 * error);
    check_near("turn", sqrt(turn / count), atan(0.1), atan(0.1) * error);
    check_near("spread of speed", sqrt(square / count), 0.3, 0.3 * error);
    check_near("median speed", log_speed / count, 0.0, 5.0 * 0.3 / sqrt(count));
    check_share("to the right", right, count, 0.5);
}

/* identity: a flash whose cells are empty spoils the picture under `spent`, not under `dim`; one that is not ready
   under `dim`. */
static void test_season_dead_flash_is_spent(void **state)
{
    (void)state;
    read_example("marten", 30);
    plan.stage.path_scatter_m = 0.0;
    prepare_plan(&steady);
    struct owl_trace trace;
    int pass = 0;
    do
        assert_int_equal(owl_season_trace(&setup, 2, 0, pass++, &trace), OWL_OK);
    while (trace.verdict.failed != 0 || trace.minute.light_lx > 0.01);
    struct owl_frame frame = trace.frame;
    frame.light.dead[0] = true;
    owl_passage_judge(&setup, &trace.pass, &trace.minute, &frame);
    assert_int_equal(frame.failed, OWL_FAILED(OWL_LEDGER_SPENT));
    frame.light.dead[0] = false;
    frame.light.share[0] = 0.0;
    owl_passage_judge(&setup, &trace.pass, &trace.minute, &frame);
    assert_int_equal(frame.failed, OWL_FAILED(OWL_LEDGER_DIM));
    frame.light.share[0] = 9.0;
    owl_passage_judge(&setup, &trace.pass, &trace.minute, &frame);
    assert_int_equal(frame.failed, OWL_FAILED(OWL_LEDGER_BURNT));
}

/* identity: the ways a sensor misses: a beam above the animal's head, one broken too briefly, a heat sensor whose
   reach ends before the path; without scatter every pass is unseen, and all else about it is told. */
static void test_season_unseen(void **state)
{
    (void)state;
    for (int i = 0; i < 3; i++) {
        read_perfect_rig();
        if (i == 0)
            plan.sensor.place.z_m = plan.sensor.aim.z_m = 0.7;
        else if (i == 1)
            plan.sensor.debounce_s = 2.0;
        else {
            plan.sensor.kind = OWL_SENSOR_HEAT;
            plan.sensor.range_m = 0.3;
        }
        prepare_plan(&steady);
        struct long_run run = run_long(1, 2);
        check_near("unseen", run.first[OWL_LEDGER_UNSEEN], run.passes, 0.0);
        check_near("alone", run.only[OWL_LEDGER_UNSEEN], run.passes, 0.0);
    }
}

/* identity: a camera asleep opens later by its waking, one still awake from the firing before does not. */
static void test_season_camera_wakes(void **state)
{
    (void)state;
    read_perfect_rig();
    plan.camera.sleeps = OWL_YES;
    plan.camera.lag_s = 0.1;
    prepare_plan(&steady);
    struct owl_rig rig;
    owl_rig_begin(&setup, &rig);
    check_near("asleep", owl_rig_opens_s(&setup, &rig, 50.0), 50.0 + plan.camera.wake_s + 0.1, 1e-12);
    owl_rig_pause(&setup, &rig, 50.0, 51.0);
    check_near("awake", owl_rig_opens_s(&setup, &rig, 52.0), 52.1, 1e-12);
    double later_s = 51.0 + plan.camera.awake_s;
    check_near("asleep again", owl_rig_opens_s(&setup, &rig, later_s), later_s + plan.camera.wake_s + 0.1, 1e-12);
}

/* identity: who else passes, and what the sensor is disturbed by, leaves the subject's passes as they are. */
static void test_season_passes_stay_in_other_company(void **state)
{
    (void)state;
    struct owl_trace with, without;
    const struct owl_habits habits = owl_setup_usual_habits();
    for (int pass = 0; pass < 3; pass++) {
        read_example("marten", 20);
        prepare_plan(&habits);
        assert_int_equal(owl_season_trace(&setup, 6, 2, pass, &with), OWL_OK);
        plan.passers = 0;
        plan.sensor.false_triggers = 100.0;
        plan.sensor.pause_s = 0.0;
        prepare_plan(&habits);
        assert_int_equal(owl_season_trace(&setup, 6, 2, pass, &without), OWL_OK);
        check_near("time", without.pass.at_s, with.pass.at_s, 0.0);
        check_near("speed", without.pass.speed_m_s, with.pass.speed_m_s, 0.0);
        check_near("offset", without.pass.path.aside_m, with.pass.path.aside_m, 0.0);
        check_near("angle", without.pass.path.angle_rad, with.pass.path.angle_rad, 0.0);
    }
}

/* identity: too many arrivals, too many frames, and numbers that are none are refused. */
static void test_season_bounds(void **state)
{
    (void)state;
    struct owl_habits habits = owl_setup_usual_habits();
    read_perfect_rig();
    plan.subject.passes_per_night = 1000.0;
    plan.sensor.false_triggers = 300.0;
    assert_int_equal(make_ready(&habits), OWL_OUTSIDE_DOMAIN);
    plan.sensor.false_triggers = 250.0;
    assert_int_equal(make_ready(&habits), OWL_OK);
    plan.camera.frames = 21.0;
    assert_int_equal(make_ready(&habits), OWL_OUTSIDE_DOMAIN);
    read_perfect_rig();
    habits.scouted_passes = 5000.0;
    habits.scouted_nights = 1.0;
    assert_int_equal(make_ready(&habits), OWL_OUTSIDE_DOMAIN);
    habits.scouted_nights = NAN;
    assert_int_equal(make_ready(&habits), OWL_OUTSIDE_DOMAIN);
    habits = (struct owl_habits){.speed_spread = -0.1};
    assert_int_equal(make_ready(&habits), OWL_OUTSIDE_DOMAIN);
}

/* identity: a story ends with the row its pass is booked under, for every way of ending; a pass that is not there has
   none. */
static void test_season_story(void **state)
{
    (void)state;
    static const char *const examples[] = {"marten", "lynx", "dipper"};
    const struct owl_habits habits = owl_setup_usual_habits();
    for (int i = 0; i < 3; i++) {
        read_example(examples[i], 30);
        plan.camera.card_bytes = 40.0 * plan.camera.frame_bytes;
        prepare_plan(&habits);
        struct owl_season season;
        struct owl_ledger told = {{0}, {0}};
        int passes = 0;
        owl_season_run(&setup, 1, 0, &season);
        for (uint32_t pass = 0; pass < owl_ledger_passes(&season.ledger); pass++) {
            char buffer[OWL_STORY_BYTES];
            struct owl_text text = owl_text_over(buffer, sizeof buffer);
            assert_int_equal(owl_rehearsal_story(&setup, 1, 0, (int)pass, &passes, &text), OWL_OK);
            assert_false(text.cut);
            assert_null(strstr(buffer, "nan"));
            for (int row = 0; row < OWL_LEDGER_ROWS; row++) {
                char ending[64] = "It ends as ";
                strcat(ending, owl_ledger_word((enum owl_ledger_row)row));
                strcat(ending, ":");
                told.first[row] += strstr(buffer, ending) != NULL;
            }
        }
        assert_memory_equal(told.first, season.ledger.first, sizeof told.first);
        char buffer[64];
        struct owl_text text = owl_text_over(buffer, sizeof buffer);
        assert_int_equal(owl_rehearsal_story(&setup, 1, 0, passes, &passes, &text), OWL_OUTSIDE_DOMAIN);
        assert_int_equal(text.length, 0);
        assert_int_equal(passes, owl_ledger_passes(&season.ledger));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_season_perfect_rig_keeps_every_pass),
        cmocka_unit_test(test_season_stay_waits_for_the_shutter),
        cmocka_unit_test(test_season_shy_one_is_flashed_once),
        cmocka_unit_test(test_season_groups),
        cmocka_unit_test(test_season_offset_is_speed_times_delay),
        cmocka_unit_test(test_season_late_share_is_the_speed_tail),
        cmocka_unit_test(test_season_no_pass_in_n_nights),
        cmocka_unit_test(test_season_away_share_is_the_plans),
        cmocka_unit_test(test_season_time_follows_the_activity),
        cmocka_unit_test(test_season_minutes_are_armed_as_planned),
        cmocka_unit_test(test_season_reach_is_the_models),
        cmocka_unit_test(test_season_agrees_with_the_plan),
        cmocka_unit_test(test_season_flash_follows_its_charging_curve),
        cmocka_unit_test(test_season_links_miss),
        cmocka_unit_test(test_season_flash_falls_asleep),
        cmocka_unit_test(test_season_idle_cells),
        cmocka_unit_test(test_season_frames_cost_their_energy),
        cmocka_unit_test(test_season_card_fills_up),
        cmocka_unit_test(test_season_pause_blanks),
        cmocka_unit_test(test_season_dead_time),
        cmocka_unit_test(test_season_busy_camera_restarts_the_pause),
        cmocka_unit_test(test_season_passes_stray),
        cmocka_unit_test(test_season_dead_flash_is_spent),
        cmocka_unit_test(test_season_unseen),
        cmocka_unit_test(test_season_camera_wakes),
        cmocka_unit_test(test_season_passes_stay_in_other_company),
        cmocka_unit_test(test_season_bounds),
        cmocka_unit_test(test_season_story),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
