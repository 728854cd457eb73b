/* Advice: planted faults are found, what must not be traded away is not, and only what gear can be set to is told. */
#include "core/rehearse/long_watch.h"

#include <stdlib.h>

#include "core/rehearse/advise.h"

#define NIGHTS 20
#define SEASONS 60
#define ROOM (OWL_ADVISE_FRESH * SEASONS)

static struct owl_advise advise;
static struct owl_season season[ROOM];
static struct owl_setup_row row[LONG_ROWS];
static double column[OWL_ADVISE_COLUMNS][ROOM];
static struct owl_keep keep[OWL_KEEPS_MOST];
static int keeps;

/* A rig that loses little under the made-up sky, its numbers all given, so that a fault is one number changed. */
#define PLACE "place = 3 m before, 30 cm up\n"
#define RIG "sleeps = no\nawake current = 10 mA\nframes = 1\ncell sets = 20\n"
#define EXPOSURE "iso = 800\naperture = f/8\n"
#define LENS "[lens]\nfocal length = 35 mm\nwidest aperture = f/1.8\n"
#define SENSOR "[sensor]\nplace = 2 m before, 50 cm up\nzone pitch = 12 deg\nzones = 1\npause = 10 min\nfalse triggers = 0.1 per night\n"
#define AIM "aim = 40 cm right, 20 cm up\n"
#define FLASH "[flash key]\nplace = 1 m left, 1.5 m before, 1.5 m up\ntrigger voltage = 5 V\nguide number = 28 m\npower = 1/8\ncell sets = 10\n"
#define STAGE "[site]\nlatitude = 50 N\nlongitude = 8 E\nopen sky = 10 %\n[watch]\nstart = 2027-01-09\nnights = 20\n"    \
    "[subject]\nkind = badger\nactive = night\npasses = 1 per night\n[stage]\ntravel = left to right\n[camera]\n"
#define SOUND STAGE PLACE RIG EXPOSURE LENS SENSOR AIM FLASH

static void begin(const char *words)
{
    read_words(words);
    fill_long_watch(NIGHTS, 2900.0, 0.001);
    keeps = 0;
}

static void keep_it(const char *words)
{
    if (owl_keep_find(words, &plan, &keep[keeps]) != OWL_KEPT)
        fail_msg("%s is not to be found", words);
    keeps++;
}

static enum owl_status start_search(uint64_t seed)
{
    const struct owl_habits habits = owl_setup_usual_habits();
    const struct owl_advise_wish wish = {keep, keeps, seed, SEASONS};
    const struct owl_advise_room room = {row, season, {column[0], column[1], column[2]}};
    return owl_advise_begin(&advise, &plan, &watch, &habits, &wish, &room);
}

static void run_task(const struct owl_advise_task *task)
{
    owl_rehearsal_run(task->setup, task->seed, task->from, task->to, task->season);
}

static const struct owl_advice *advice_for(const char *words)
{
    struct owl_advise_task task;
    begin(words);
    assert_int_equal(start_search(1), OWL_OK);
    while (owl_advise_next(&advise, &task))
        run_task(&task);
    return &advise.advice;
}

static void tell(const struct owl_advice *advice)
{
    print_message("%.2f keepers of %.2f\n", advice->keepers, advice->passes);
    for (int i = 0; i < advice->singles; i++)
        print_message("  %s = %s: %.3f (%.3f to %.3f)\n", advice->single[i].change->section->fields[advice->single[i].change->field].name,
                      advice->single[i].change->words, advice->single[i].gain.mean, advice->single[i].gain.low, advice->single[i].gain.high);
    for (int i = 0; i < advice->changes; i++)
        print_message("  together %s = %s\n", advice->together[i].section->fields[advice->together[i].field].name, advice->together[i].words);
}

/* The first advice, which must be about this field. */
static const struct owl_change *first_about(const struct owl_advice *advice, const char *section, const char *field)
{
    const struct owl_change *first = advice->single[0].change;
    if (advice->singles == 0 || strcmp(first->section->name, section) != 0 ||
        strcmp(first->section->fields[first->field].name, field) != 0) {
        tell(advice);
        fail_msg("the first advice is not about [%s] %s", section, field);
    }
    return first;
}

/* The number a change sets. */
static double number_of(const struct owl_change *change)
{
    static struct owl_plan after;
    after = plan;
    assert_int_equal(owl_plan_apply(change, &after), OWL_OK);
    return *(const double *)owl_field_value(change->section, change->nth, change->field, &after);
}

/* identity: an aperture far too wide, for depth and for the flash, is closed first. */
static void test_advise_mends_the_aperture(void **state)
{
    (void)state;
    const struct owl_advice *advice = advice_for(STAGE PLACE RIG "iso = 800\naperture = f/1.8\n" LENS SENSOR AIM FLASH);
    assert_true(advice->keepers < 0.1 * advice->passes);
    double fnumber = number_of(first_about(advice, "camera", "aperture"));
    assert_true(fnumber >= 5.6 && fnumber <= 11.0);
    assert_true(advice->keepers + advice->single[0].gain.mean > 0.8 * advice->passes);
}

/* identity: a sensor aimed a metre aside is brought back. */
static void test_advise_mends_the_aim(void **state)
{
    (void)state;
    const struct owl_advice *advice = advice_for(STAGE PLACE RIG EXPOSURE LENS SENSOR "aim = 1.4 m right, 20 cm up\n" FLASH);
    assert_true(advice->keepers < 0.2 * advice->passes);
    struct owl_change change = *first_about(advice, "sensor", "aim");
    assert_int_equal(owl_plan_apply(&change, &plan), OWL_OK);
    assert_true(plan.sensor.aim.x_m < 1.2);
    assert_true(advice->single[0].gain.mean > 0.8 * advice->passes);
    check_near("height stays", plan.sensor.aim.z_m, 0.2, 1e-12);
}

/* identity: a gate level too low by night, and one too high by day, keep the rig disarmed; the gate is mended. */
static void test_advise_mends_the_gate(void **state)
{
    (void)state;
    keeps = 0;
    const struct owl_advice *advice = advice_for(STAGE PLACE RIG EXPOSURE LENS SENSOR AIM "gate level = 0.0012 lx\n" FLASH);
    assert_true(advice->keepers < 0.5 * advice->passes);
    assert_true(advice->singles >= 2);
    /* that it be armed always mends it as well, and is the handier change */
    const char *first = advice->single[0].change->section->fields[advice->single[0].change->field].name;
    assert_true(strcmp(first, "light gate") == 0 || strcmp(first, "gate level") == 0);
    begin(STAGE PLACE RIG EXPOSURE LENS SENSOR AIM "gate level = 0.0012 lx\n" FLASH);
    keep_it("light_gate");
    struct owl_advise_task task;
    assert_int_equal(start_search(1), OWL_OK);
    while (owl_advise_next(&advise, &task))
        run_task(&task);
    assert_true(number_of(first_about(advice, "sensor", "gate level")) >= 0.05);
}

/* identity: a focus set a metre too near, and a pause of an hour where an animal passes every few minutes. */
static void test_advise_mends_focus_and_pause(void **state)
{
    (void)state;
    const struct owl_advice *advice = advice_for(STAGE PLACE RIG "iso = 800\naperture = f/8\n" LENS "focus distance = 1.2 m\n" SENSOR AIM FLASH);
    assert_true(advice->keepers < 0.2 * advice->passes);
    check_near("focus", number_of(first_about(advice, "lens", "focus distance")), 2.9, 1.0);
    read_perfect_rig();
    fill_long_watch(NIGHTS, PERFECT_LX, PERFECT_LX);
    keeps = 0;
    plan.sensor.pause_s = 7200.0;
    plan.subject.passes_per_night = 30.0;
    struct owl_advise_task task;
    assert_int_equal(start_search(1), OWL_OK);
    while (owl_advise_next(&advise, &task))
        run_task(&task);
    assert_true(number_of(first_about(advice, "sensor", "pause")) <= 60.0);
}

/* identity: two faults that leave no keeper whichever is mended alone, a sensor that never fires and a flash far too
   strong, are found together. */
static void test_advise_mends_two_faults(void **state)
{
    (void)state;
    const struct owl_advice *advice = advice_for(STAGE PLACE RIG "iso = 6400\naperture = f/5.6\n" LENS SENSOR "pulses = 3\n" AIM FLASH);
    assert_true(advice->keepers == 0.0);
    assert_int_equal(advice->singles, 0);
    if (advice->changes < 2 || advice->gain.mean < 0.8 * advice->passes) {
        tell(advice);
        fail_msg("not found: %d changes win %g of %g", advice->changes, advice->gain.mean, advice->passes);
    }
}

/* identity: where nothing is lost, no change is worth making. */
static void test_advise_leaves_the_perfect_rig_alone(void **state)
{
    (void)state;
    struct owl_advise_task task;
    read_perfect_rig();
    fill_long_watch(NIGHTS, PERFECT_LX, PERFECT_LX);
    keeps = 0;
    assert_int_equal(start_search(3), OWL_OK);
    while (owl_advise_next(&advise, &task))
        run_task(&task);
    check_near("keepers", advise.advice.keepers, advise.advice.passes, 0.0);
    assert_int_equal(advise.advice.singles, 0);
    assert_int_equal(advise.advice.changes, 0);
    assert_false(owl_advise_next(&advise, &task));
}

/* Keepers per watch of the plan with some changes, in seasons of yet another seed. */
static double keepers_with(const struct owl_change *change, int changes, double *each, int seasons)
{
    static struct owl_plan after;
    const struct owl_habits habits = owl_setup_usual_habits();
    double sum = 0.0;
    after = plan;
    for (int i = 0; i < changes; i++)
        assert_int_equal(owl_plan_apply(&change[i], &after), OWL_OK);
    assert_int_equal(owl_plan_evaluate(&after, &watch, &evaluation), OWL_OK);
    assert_int_equal(owl_setup_prepare(&after, &watch, &evaluation, &habits, setup_row, &setup), OWL_OK);
    for (int i = 0; i < seasons; i++) {
        struct owl_season one;
        owl_season_run(&setup, 77, i, &one);
        sum += each[i] = one.ledger.first[OWL_LEDGER_KEEPER];
    }
    return sum / seasons;
}

#define CHECKS 1000

static void check_gain(const struct owl_change *change, int changes, const struct owl_gain *gain)
{
    static double before[CHECKS], after[CHECKS];
    double mean = -keepers_with(NULL, 0, before, CHECKS) + keepers_with(change, changes, after, CHECKS), squares = 0.0;
    for (int i = 0; i < CHECKS; i++)
        squares += (after[i] - before[i] - mean) * (after[i] - before[i] - mean);
    double told_error = (gain->high - gain->low) / 2.0 / 1.645, own_error = sqrt(squares) / CHECKS;
    assert_true(gain->low > 0.0 && gain->mean > gain->low);
    check_near("gain", gain->mean, mean, 4.5 * hypot(told_error, own_error));
}

/* identity: what an advice says it wins is won in other seasons, within what chance allows: for a sound plan, one with
   a fault, and the examples. */
static void test_advise_gains_are_real(void **state)
{
    (void)state;
    static const char *const plans[] = {SOUND, STAGE PLACE RIG EXPOSURE LENS SENSOR "aim = 1.2 m right, 20 cm up\n" FLASH};
    for (int p = 0; p < 2; p++) {
        const struct owl_advice *advice = advice_for(plans[p]);
        for (int i = 0; i < advice->singles; i++)
            check_gain(advice->single[i].change, advice->single[i].changes, &advice->single[i].gain);
        if (advice->changes)
            check_gain(advice->together, advice->changes, &advice->gain);
    }
}

/* ---- every candidate ---- */

static bool is_member(double value, const double *list, int count)
{
    for (int i = 0; i < count; i++)
        if (fabs(value / list[i] - 1.0) < 1e-9)
            return true;
    return false;
}
#define MEMBER(value, ...) is_member(value, (const double[]){__VA_ARGS__}, (int)(sizeof((const double[]){__VA_ARGS__}) / sizeof(double)))

static bool is_grain(double value, double grain)
{
    return fabs(value / grain - floor(value / grain + 0.5)) < 1e-6;
}

/* What is engraved on gear; for places whole centimetres. */
static bool on_the_dial(const char *field, const struct owl_field *row_of, const void *value)
{
    double number = row_of->unit == OWL_UNIT_CHOICE || row_of->unit == OWL_UNIT_POINT ? 0.0 : *(const double *)value;
    const struct owl_point *point = value;
    if (strcmp(field, "aperture") == 0)
        return MEMBER(number, 1, 1.1, 1.2, 1.4, 1.6, 1.8, 2, 2.2, 2.5, 2.8, 3.2, 3.5, 4, 4.5, 5, 5.6, 6.3, 7.1, 8, 9, 10, 11, 13, 14, 16, 18, 20, 22);
    if (strcmp(field, "iso") == 0)
        return MEMBER(number, 100, 125, 160, 200, 250, 320, 400, 500, 640, 800, 1000, 1250, 1600, 2000, 2500, 3200, 4000, 5000, 6400);
    if (strcmp(field, "shutter") == 0 || strcmp(field, "hold") == 0 || strcmp(field, "hold by day") == 0)
        return MEMBER(1.0 / number, 30, 40, 50, 60, 80, 100, 125, 160, 200, 250, 320, 400, 500, 640, 800, 1000, 1250, 1600, 2000, 2500, 3200, 4000, 5000, 6400, 8000);
    if (strcmp(field, "power") == 0)
        return MEMBER(1.0 / number, 1, 2, 4, 8, 16, 32, 64, 128);
    if (strcmp(field, "place") == 0 || strcmp(field, "aim") == 0)
        return is_grain(point->x_m, 0.01) && is_grain(point->y_m, 0.01) && is_grain(point->z_m, 0.01);
    if (strcmp(field, "focal length") == 0)
        return is_grain(number, 0.001);
    if (strcmp(field, "zones") == 0 || strcmp(field, "pulses") == 0 || strcmp(field, "frames") == 0)
        return is_grain(number, 1.0) && number >= 1.0;
    return strcmp(field, "pause") == 0 || strcmp(field, "interval") == 0 || strcmp(field, "gate level") == 0 ||
           strcmp(field, "light gate") == 0 || strcmp(field, "sleeps") == 0 || strcmp(field, "focus distance") == 0;
}

static bool same_value(const struct owl_section *section, int nth, int field, const struct owl_plan *other)
{
    const void *own = owl_field_value(section, nth, field, &plan), *changed = owl_field_value(section, nth, field, other);
    switch (section->fields[field].unit) {
    case OWL_UNIT_TEXT: return strcmp(own, changed) == 0;
    case OWL_UNIT_CHOICE: return *(const int *)own == *(const int *)changed;
    case OWL_UNIT_POINT: return memcmp(own, changed, sizeof(struct owl_point)) == 0;
    default: return memcmp(own, changed, sizeof(double)) == 0;
    }
}

/* A field not given follows others without being set to anything. */
static void check_values(const struct owl_plan *candidate)
{
    for (int s = 0; s < owl_section_count(); s++) {
        const struct owl_section *section = owl_section_at(s);
        for (int nth = 0; nth < (section->most == 1 ? 1 : section->most); nth++)
            for (int field = 0; field < section->field_count; field++) {
                bool given = candidate->line_of[owl_field_slot(section, nth, field)] != 0;
                bool same = same_value(section, nth, field, candidate);
                if (!same && given && !on_the_dial(section->fields[field].name, &section->fields[field], owl_field_value(section, nth, field, candidate)))
                    fail_msg("[%s] %s is set to what no gear has", section->name, section->fields[field].name);
                if (!same && !given && section->fields[field].standard[0] != '=')
                    fail_msg("[%s] %s changed by itself", section->name, section->fields[field].name);
            }
    }
}

static double eye_margin(const struct owl_plan *of)
{
    static struct owl_evaluation light;
    assert_int_equal(owl_plan_evaluate(of, &watch, &light), OWL_OK);
    return owl_outcome_value(&light.outcome, OWL_RESULT_EYE_MARGIN, 0);
}

static void check_bounds(const struct owl_plan *candidate)
{
    assert_true(owl_plan_stands(candidate));
    if (candidate->flashes == 0)
        return;
    double shutter_s = isinf(candidate->camera.shutter_s) ? candidate->sensor.hold_s : candidate->camera.shutter_s;
    assert_true(shutter_s >= candidate->camera.xsync_s * (1.0 - 1e-9));
    if (isinf(candidate->camera.shutter_s) && candidate->sensor.gate != OWL_GATE_NIGHT)
        assert_true(candidate->sensor.day_hold_s >= fmin(candidate->camera.xsync_s, plan.sensor.day_hold_s) * (1.0 - 1e-9));
    if (candidate->sensor.gate != OWL_GATE_DAY) {
        assert_true(candidate->sensor.pause_s >= fmin(600.0, plan.sensor.pause_s));
        assert_true(candidate->camera.frames <= plan.camera.frames);
    }
    assert_true(eye_margin(candidate) >= fmin(5.0, eye_margin(&plan)) * (1.0 - 1e-9));
    for (int i = 0; i < plan.flashes; i++)
        assert_true(memcmp(&candidate->flash[i].trigger_v, &plan.flash[i].trigger_v, sizeof(double)) == 0);
    assert_true(owl_point_distance_m(&candidate->camera.place, &plan.camera.place) < 0.31 * owl_point_length_m(&plan.camera.place));
}

/* Every candidate that is rehearsed. */
static void check_search(void)
{
    struct owl_advise_task task;
    assert_int_equal(start_search(5), OWL_OK);
    while (owl_advise_next(&advise, &task)) {
        if (task.from == 0) {
            check_bounds(task.setup->plan);
            check_values(task.setup->plan);
            assert_true(owl_keeps_hold(keep, keeps, &plan, task.setup->plan));
        }
        run_task(&task);
    }
    assert_true(advise.advice.trials <= OWL_ADVISE_TRIALS_MOST);
    assert_true(advise.advice.singles <= OWL_ADVICE_SINGLES);
}

/* identity: no candidate, advised or not, breaks a bound or sets what no dial has; in all examples. */
static void test_advise_stays_in_bounds(void **state)
{
    (void)state;
    static const char *const examples[] = {"marten", "lynx", "dipper", "polar", "first"};
    for (int i = 0; i < 5; i++) {
        read_example(examples[i], 10);
        keeps = 0;
        check_search();
    }
}

/* identity: settings to be kept stay, also where the plan leaves them to others: a sensor beside the camera. */
static void test_advise_respects_keeps(void **state)
{
    (void)state;
    static const char *const kept[] = {"sensor.place", "iso", "flash.power", "aperture", "flash key.place", "Light_Gate"};
    begin(STAGE PLACE RIG "iso = 800\naperture = f/2\n" LENS "[sensor]\nzones = 1\n" FLASH "[flash fill]\nplace = 1 m right, 1 m before, 1 m up\n");
    for (size_t i = 0; i < sizeof kept / sizeof *kept; i++)
        keep_it(kept[i]);
    check_search();
    const struct owl_advice *advice = &advise.advice;
    for (int i = 0; i < advice->singles; i++) {
        const char *field = advice->single[i].change->section->fields[advice->single[i].change->field].name;
        assert_true(strcmp(field, "iso") != 0 && strcmp(field, "aperture") != 0 && strcmp(field, "power") != 0);
        assert_false(strcmp(advice->single[i].change->section->name, "camera") == 0 && strcmp(field, "place") == 0); /* the sensor would go along */
    }
}

/* fault: what is to be kept must be told so that it can mean one thing only. */
static void test_advise_keep_names(void **state)
{
    (void)state;
    begin(SOUND);
    struct owl_keep found;
    assert_int_equal(owl_keep_find("place", &plan, &found), OWL_KEPT_AMBIGUOUS);
    assert_int_equal(owl_keep_find("colour", &plan, &found), OWL_KEPT_UNKNOWN);
    assert_int_equal(owl_keep_find("camera.zones", &plan, &found), OWL_KEPT_UNKNOWN);
    assert_int_equal(owl_keep_find("flash fill.power", &plan, &found), OWL_KEPT_UNKNOWN);
    assert_int_equal(owl_keep_find("camera key.iso", &plan, &found), OWL_KEPT_UNKNOWN);
    assert_int_equal(owl_keep_find("", &plan, &found), OWL_KEPT_UNKNOWN);
    assert_int_equal(owl_keep_find("flash key.power", &plan, &found), OWL_KEPT);
    assert_int_equal(found.nth, 0);
    assert_int_equal(owl_keep_find("GATE_LEVEL", &plan, &found), OWL_KEPT);
    assert_string_equal(found.section->name, "sensor");
}

/* identity: a camera kept awake would lose no time and win nearly all, but its cells would not last; with cells that
   last it is advised. */
static void test_advise_lets_no_cells_run_out(void **state)
{
    (void)state;
    static const char *const sets[] = {"cell sets = 2\n", "cell sets = 40\n"};
    for (int i = 0; i < 2; i++) {
        char words[2048];
        snprintf(words, sizeof words, "%ssleeps = yes\nwake = 2 s\nawake current = 30 mA\nframes = 1\n%s%s", STAGE PLACE, sets[i], EXPOSURE LENS SENSOR AIM FLASH);
        begin(words);
        check_search();
        bool awake = false;
        for (int j = 0; j < advise.advice.singles; j++)
            awake = awake || strcmp(advise.advice.single[j].change->words, "no") == 0;
        for (int j = 0; j < advise.advice.changes; j++)
            awake = awake || strcmp(advise.advice.together[j].words, "no") == 0;
        assert_int_equal(awake, i == 1);
    }
}

static void check_same_advice(const struct owl_advice *one, const struct owl_advice *other)
{
    assert_int_equal(one->singles, other->singles);
    assert_int_equal(one->changes, other->changes);
    assert_true(one->keepers == other->keepers && one->gain.mean == other->gain.mean && one->gain.low == other->gain.low);
    for (int i = 0; i < one->singles; i++) {
        assert_string_equal(one->single[i].change->words, other->single[i].change->words);
        assert_true(one->single[i].gain.mean == other->single[i].gain.mean && one->single[i].gain.high == other->single[i].gain.high);
    }
    for (int i = 0; i < one->changes; i++)
        assert_string_equal(one->together[i].words, other->together[i].words);
}

/* identity: the same seed gives the same advice, to the bit, in whatever shares the seasons are run. */
static void test_advise_is_the_same_again(void **state)
{
    (void)state;
    static struct owl_advice first;
    struct owl_advise_task task;
    first = *advice_for(STAGE PLACE RIG EXPOSURE LENS SENSOR "aim = 1 m right, 20 cm up\n" FLASH);
    assert_true(first.singles > 0);
    assert_int_equal(start_search(1), OWL_OK);
    while (owl_advise_next(&advise, &task))
        for (int i = task.to - 1; i >= task.from; i--)
            owl_rehearsal_run(task.setup, task.seed, i, i + 1, &task.season[i - task.from]);
    check_same_advice(&advise.advice, &first);
}

/* identity: along a line with one best place that place is found, however far, and each is tried once. */
static void test_advise_line_finds_the_best(void **state)
{
    (void)state;
    for (int best = -40; best <= 40; best++) {
        struct owl_line line = owl_line_of(0, 0, 32);
        int tried = 0;
        bool seen[256] = {false};
        while (owl_line_next(&line)) {
            struct owl_difference gain = {1000.0 / (1.0 + abs(line.place - best)), 0.0};
            if (abs(line.place - best) > abs(best))
                gain.mean = -1.0; /* worse than where it began */
            assert_false(seen[line.place + 128]);
            seen[line.place + 128] = true;
            owl_line_take(&line, &gain);
            tried++;
        }
        if (best != 0 && abs(line.best - best) > 1)
            fail_msg("best %d, found %d", best, line.best);
        assert_true(tried <= 24);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_advise_mends_the_aperture),
        cmocka_unit_test(test_advise_mends_the_aim),
        cmocka_unit_test(test_advise_mends_the_gate),
        cmocka_unit_test(test_advise_mends_focus_and_pause),
        cmocka_unit_test(test_advise_mends_two_faults),
        cmocka_unit_test(test_advise_leaves_the_perfect_rig_alone),
        cmocka_unit_test(test_advise_gains_are_real),
        cmocka_unit_test(test_advise_stays_in_bounds),
        cmocka_unit_test(test_advise_respects_keeps),
        cmocka_unit_test(test_advise_keep_names),
        cmocka_unit_test(test_advise_lets_no_cells_run_out),
        cmocka_unit_test(test_advise_is_the_same_again),
        cmocka_unit_test(test_advise_line_finds_the_best),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
