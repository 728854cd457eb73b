/* The evaluation as a whole: laws it must keep, and the faults it must find. */
#include "support/check.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/constants.h"
#include "core/plan/evaluate.h"
#include "core/plan/geometry.h"
#include "core/plan/reader.h"
#include "support/made_watch.h"

/* A rig that has nothing wrong under the made-up sky. */
#define BASE                                                                                          \
    "[site]\nlatitude = 50 N\nlongitude = 8 E\nopen sky = 10 %\n[watch]\nstart = 2027-01-09\nnights = 2\n" \
    "[subject]\nkind = badger\nactive = all hours\n[stage]\ntravel = left to right\n"                 \
    "[camera]\nplace = 3 m before, 30 cm up\niso = 800\naperture = f/8\nsleeps = no\nawake current = 10 mA\n" \
    "[sensor]\nplace = 2 m before, 50 cm up\nzone pitch = 12 deg\nzones = 1\naim = 40 cm right, 20 cm up\npause = 10 min\n" \
    "[flash key]\nplace = 1 m left, 1.5 m before, 1.5 m up\ntrigger voltage = 5 V\nguide number = 28 m\n"

static struct owl_plan plan;
static struct owl_complaints complaints;
static struct owl_evaluation evaluation;
static struct made_watch watch;

static void evaluate(const char *more)
{
    char words[4096];
    snprintf(words, sizeof words, "%s%s", BASE, more);
    if (owl_plan_read(words, strlen(words), &plan, &complaints) != OWL_OK)
        fail_msg("line %d: %s", complaints.list[0].line, complaints.list[0].words);
    made_watch_fill(&plan, &watch);
    assert_int_equal(owl_plan_evaluate(&plan, &watch.view, &evaluation), OWL_OK);
}

static void evaluate_again(void)
{
    assert_int_equal(owl_plan_evaluate(&plan, &watch.view, &evaluation), OWL_OK);
}

static double value_of(enum owl_result result)
{
    return owl_outcome_value(&evaluation.outcome, result, 0);
}

static const struct owl_warning *warning_about(const char *words)
{
    for (int i = 0; i < evaluation.warnings; i++)
        if (strstr(evaluation.warning[i].words, words))
            return &evaluation.warning[i];
    return NULL;
}

static void expect_warning(const char *words, const char *change)
{
    const struct owl_warning *warning = warning_about(words);
    if (!warning)
        fail_msg("no warning about '%s'", words);
    else if (!strstr(warning->change, change))
        fail_msg("'%s' is to be mended by '%s', wanted '%s'", warning->words, warning->change, change);
}

/* identity: light falls with the square of the distance, adds up over flashes, doubles with ISO and
   quarters at twice the f-number. */
static void test_evaluate_flash_laws(void **state)
{
    (void)state;
    evaluate("");
    double one = value_of(OWL_RESULT_LIGHT_EXPOSURE), error = value_of(OWL_RESULT_LIGHT_ERROR);
    struct owl_point middle = owl_stage_middle(&plan), *place = &plan.flash[0].place;
    place->x_m = middle.x_m + 2.0 * (place->x_m - middle.x_m);
    place->y_m = middle.y_m + 2.0 * (place->y_m - middle.y_m);
    place->z_m = middle.z_m + 2.0 * (place->z_m - middle.z_m);
    evaluate_again();
    check_near("twice as far", value_of(OWL_RESULT_LIGHT_EXPOSURE), one / 4.0, 1e-9);
    evaluate("[flash twin]\nplace = 1 m right, 1.5 m before, 1.5 m up\ntrigger voltage = 5 V\nguide number = 28 m\n");
    check_near("two alike", value_of(OWL_RESULT_LIGHT_EXPOSURE), 2.0 * one, 1e-9);
    check_near("equally strong", value_of(OWL_RESULT_LIGHT_RATIO), 0.0, 1e-9);
    plan.camera.iso *= 2.0;
    plan.camera.aperture *= 2.0;
    evaluate_again();
    check_near("ISO up one, aperture down two, flash up one", value_of(OWL_RESULT_LIGHT_ERROR), error, 1e-9);
}

/* identity: a flash behind the animal gives the camera's side nothing. */
static void test_evaluate_flash_behind(void **state)
{
    (void)state;
    evaluate("[flash back]\nplace = 2 m behind, 1 m up\ntrigger voltage = 5 V\n");
    check_near("from behind", owl_outcome_value(&evaluation.outcome, OWL_RESULT_FLASH_EXPOSURE, 1), 0.0, 0.0);
    assert_int_equal(evaluation.key_flash, 0);
}

/* Light of the made-up sky is exp(0.5 + 7.5 cos(day)): below a level L while cos(day) < (ln L - 0.5)/7.5. */
static double made_dark_share(double level_lx)
{
    return 1.0 - acos((log(level_lx) - 0.5) / 7.5) / OWL_PI;
}

/* identity: armed hours are those in which the made-up light lies below the gate, to a minute. */
static void test_evaluate_armed_hours(void **state)
{
    (void)state;
    evaluate("");
    double dark = made_dark_share(plan.sensor.gate_lx);
    check_near("night", value_of(OWL_RESULT_ARMED), dark * OWL_SECONDS_PER_DAY, 60.0);
    check_near("share of one about at all hours", value_of(OWL_RESULT_ARMED_SHARE), dark, 0.002);
    check_near("lightest is the gate level", value_of(OWL_RESULT_LIGHT_LIGHTEST), plan.sensor.gate_lx, 0.3);
    check_near("darkest", value_of(OWL_RESULT_LIGHT_DARKEST), exp(-7.0), 1e-9);
    plan.sensor.gate = OWL_GATE_DAY;
    evaluate_again();
    check_near("day", value_of(OWL_RESULT_ARMED), (1.0 - dark) * OWL_SECONDS_PER_DAY, 60.0);
    plan.sensor.gate = OWL_GATE_ALWAYS;
    evaluate_again();
    check_near("always", value_of(OWL_RESULT_ARMED), OWL_SECONDS_PER_DAY, 1e-6);
    plan.watch.from_s = 20.0 * OWL_SECONDS_PER_HOUR;
    plan.watch.to_s = 4.0 * OWL_SECONDS_PER_HOUR;
    evaluate_again();
    check_near("20:00 to 04:00", value_of(OWL_RESULT_ARMED), 8.0 * OWL_SECONDS_PER_HOUR, 1e-6);
}

/* identity: an animal about from 19:00 to 01:00 of its day, a quarter of it, is met in that part of the armed hours;
   the made-up sky has sunrise at 6 and sunset at 18. */
static void test_evaluate_own_hours(void **state)
{
    (void)state;
    evaluate("");
    plan.subject.pattern = OWL_PATTERN_OWN;
    plan.subject.active_from_s = 19.0 * OWL_SECONDS_PER_HOUR;
    plan.subject.active_to_s = 1.0 * OWL_SECONDS_PER_HOUR;
    owl_activity_fill(&watch.view.activity, &plan);
    plan.sensor.gate = OWL_GATE_ALWAYS;
    plan.watch.from_s = 22.0 * OWL_SECONDS_PER_HOUR;
    plan.watch.to_s = 12.0 * OWL_SECONDS_PER_HOUR;
    evaluate_again();
    check_near("three of six hours", value_of(OWL_RESULT_ARMED_SHARE), 0.5, 0.02);
}

/* identity: the test is due when the made-up light falls through the gate level, to a minute. */
static void test_evaluate_test_minute(void **state)
{
    (void)state;
    evaluate("");
    double dusk_s = acos((log(plan.sensor.gate_lx) - 0.5) / 7.5) / OWL_TAU * OWL_SECONDS_PER_DAY;
    for (int n = 0; n < 2; n++)
        check_near("minute", evaluation.night[n].test_unix_s, watch.night[n].noon_unix_s + dusk_s, 60.0);
}

/* identity: a ghost is drawn between the levels where the flashes outshine ambient light by five stops
   and where they are outshone by as much; its share is that stretch of the armed time. */
static void test_evaluate_ghost_share(void **state)
{
    (void)state;
    evaluate("");
    plan.sensor.gate = OWL_GATE_ALWAYS;
    plan.camera.shutter_s = 0.25;
    evaluate_again();
    double low = value_of(OWL_RESULT_GHOST_LEVEL), high = low * exp2(2.0 * plan.limits.ghost_stops);
    double want = made_dark_share(fmin(high, exp(8.0))) - made_dark_share(low);
    check_near("share", value_of(OWL_RESULT_GHOST_SHARE), want, 2.0 / OWL_NIGHT_ROWS);
    assert_non_null(warning_about("ghostly"));
    plan.subject.speed_m_s = 0.0001;
    evaluate_again();
    check_near("one that stands draws none", value_of(OWL_RESULT_GHOST_SHARE), 0.0, 0.0);
}

/* identity: the aim moved as advised brings the animal onto the mark. */
static void test_evaluate_aim_advice(void **state)
{
    (void)state;
    for (int travel = OWL_TRAVEL_RIGHT; travel <= OWL_TRAVEL_LEFT; travel++) {
        evaluate("");
        plan.stage.travel = travel;
        plan.sensor.aim.x_m = 0.8;
        evaluate_again();
        for (int i = 0; i < 6; i++) { /* the edge moves a little less than the aim */
            plan.sensor.aim.x_m += evaluation.aim_shift_m;
            evaluate_again();
        }
        check_near("on the mark", value_of(OWL_RESULT_OFFSET), 0.0, 0.01);
    }
}

/* identity: nothing wrong, nothing said. */
static void test_evaluate_sound_plan_is_silent(void **state)
{
    (void)state;
    evaluate("");
    plan.subject.pattern = OWL_ACTIVE_NIGHT;
    plan.climate.humidity = 0.5;
    evaluate_again();
    if (evaluation.warnings > 0)
        fail_msg("%s", evaluation.warning[0].words);
}

/* identity: each fault is found and the change named mends it. */
static void test_evaluate_finds_faults(void **state)
{
    (void)state;
    evaluate("");
    plan.flash[0].trigger_v = 220.0;
    evaluate_again();
    expect_warning("trigger voltage 220 V", "opto-isolated");
    plan.flash[0].trigger_v = 300.0;
    evaluate_again();
    expect_warning("trigger voltage 300 V", "do not join");
    evaluate("[bait]\nfood = peanut\namount = 1 kg\n");
    expect_warning("the bait gives", "or less");
    evaluate("");
    plan.flash[0].sleeps_after_s = 600.0;
    evaluate_again();
    expect_warning("switches itself off", "auto-off");
    plan.camera.card_bytes = 10.0 * plan.camera.frame_bytes;
    plan.sensor.false_triggers = 100.0;
    evaluate_again();
    expect_warning("the card is full", "larger card");
    evaluate("");
    plan.camera.aperture = 2.8;
    evaluate_again();
    expect_warning("sharp from", "aperture = f/");
    expect_warning("too much light", "aperture = f/");
    evaluate("");
    plan.sensor.range_m = 1.0;
    evaluate_again();
    expect_warning("the sensor notices this animal up to", "beam");
    evaluate("");
    plan.sensor.place.y_m = -0.4;
    plan.subject.speed_m_s = 4.0;
    plan.sensor.range_m = 100.0;
    evaluate_again();
    expect_warning("when the shutter opens", "move the sensor's aim");
}

/* identity: cautions come first, then the dearest. */
static void test_evaluate_warnings_are_ordered(void **state)
{
    (void)state;
    evaluate("[bait]\nfood = peanut\namount = 1 kg\n");
    plan.flash[0].trigger_v = NAN;
    plan.camera.aperture = 2.8;
    plan.sensor.range_m = 1.0;
    plan.climate.humidity = 1.0;
    evaluate_again();
    assert_true(evaluation.warnings >= 5);
    for (int i = 1; i < evaluation.warnings; i++) {
        const struct owl_warning *before = &evaluation.warning[i - 1], *here = &evaluation.warning[i];
        assert_true(before->danger || !here->danger);
        assert_true(before->danger != here->danger || before->danger || before->cost >= here->cost);
        assert_true(here->cost >= 0.0 && here->cost <= 1.0 && here->words[0] && here->change[0]);
    }
}

/* identity: the first to fail is the one with the fewest nights, and the watch lasts as long. */
static void test_evaluate_first_to_fail(void **state)
{
    (void)state;
    evaluate("");
    double least = value_of(OWL_RESULT_CARD_NIGHTS);
    int first = OWL_DEVICES;
    for (int device = 0; device < OWL_DEVICE_FLASH + plan.flashes; device++) {
        double nights = owl_outcome_value(&evaluation.outcome, OWL_RESULT_CELLS_NIGHTS, device);
        if (nights < least) {
            least = nights;
            first = device;
        }
    }
    assert_int_equal(evaluation.first_to_fail, first);
    check_near("lasts", value_of(OWL_RESULT_OUTLAST), least, 0.0);
}

/* identity: on bulb the sensor sets the time, below and above its gate level. */
static void test_evaluate_bulb(void **state)
{
    (void)state;
    evaluate("");
    plan.camera.shutter_s = INFINITY;
    plan.sensor.gate = OWL_GATE_ALWAYS;
    evaluate_again();
    check_near("by night", value_of(OWL_RESULT_SHUTTER_DARKEST), plan.sensor.hold_s, 0.0);
    check_near("by day", value_of(OWL_RESULT_SHUTTER_LIGHTEST), plan.sensor.day_hold_s, 0.0);
    plan.sensor.day_hold_s = plan.camera.xsync_s / 2.0;
    evaluate_again();
    expect_warning("less than the x-sync time", "hold by day = 1/200 s");
}

/* identity: a metered camera exposes right between its limits and keeps to them beyond. */
static void test_evaluate_metered(void **state)
{
    (void)state;
    evaluate("");
    plan.flashes = 0;
    plan.sensor.gate = OWL_GATE_ALWAYS;
    plan.camera.exposure = OWL_EXPOSURE_METERED;
    plan.camera.aperture = 4.0;
    evaluate_again();
    check_near("by day right", value_of(OWL_RESULT_AMBIENT_LIGHTEST), 0.0, 1e-9);
    check_near("by night no slower than set", value_of(OWL_RESULT_SHUTTER_DARKEST), plan.camera.shutter_s, 0.0);
    assert_null(owl_outcome_find(&evaluation.outcome, OWL_RESULT_LIGHT_EXPOSURE, 0));
    assert_int_equal(evaluation.key_flash, -1);
}

/* identity: a rig that is never armed says so and nothing about light it never meets. */
static void test_evaluate_never_armed(void **state)
{
    (void)state;
    evaluate("");
    plan.sensor.gate_lx = 1e-4;
    evaluate_again();
    check_near("armed", value_of(OWL_RESULT_ARMED), 0.0, 0.0);
    assert_null(owl_outcome_find(&evaluation.outcome, OWL_RESULT_LIGHT_DARKEST, 0));
    expect_warning("never armed", "gate level");
    assert_true(isnan(evaluation.night[0].darkest_lx));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_evaluate_flash_laws),       cmocka_unit_test(test_evaluate_flash_behind),
        cmocka_unit_test(test_evaluate_armed_hours),      cmocka_unit_test(test_evaluate_test_minute), cmocka_unit_test(test_evaluate_own_hours),
        cmocka_unit_test(test_evaluate_ghost_share),      cmocka_unit_test(test_evaluate_aim_advice),
        cmocka_unit_test(test_evaluate_sound_plan_is_silent), cmocka_unit_test(test_evaluate_finds_faults),
        cmocka_unit_test(test_evaluate_warnings_are_ordered), cmocka_unit_test(test_evaluate_first_to_fail),
        cmocka_unit_test(test_evaluate_bulb),             cmocka_unit_test(test_evaluate_metered),
        cmocka_unit_test(test_evaluate_never_armed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
