/* What the page and the commands give to machines: sound JSON whatever the plan, the form of texts sound and unsound, and
   warnings whose changes do mend. */
#include "core/rehearse/long_watch.h"

#include <stdlib.h>

#include "core/plan/places.h"
#include "core/report/advice.h"
#include "core/report/figures.h"
#include "core/report/form.h"
#include "core/report/ledger.h"
#include "core/report/mend.h"

#define NIGHTS 6
#define SEASONS 20

static char page[1 << 20];
static struct owl_text text;
static struct owl_places places;

/* ---- JSON, read by the letter of RFC 8259 ---- */

static const char *json_value(const char *at, int depth);

static const char *json_blank(const char *at)
{
    return at + strspn(at, " \t\r\n");
}

static const char *json_string(const char *at)
{
    if (*at++ != '"')
        fail_msg("no string at '%.40s'", at - 1);
    for (; *at != '"'; at++) {
        if ((unsigned char)*at < 0x20)
            fail_msg("a bare control character before '%.40s'", at + 1);
        if (*at == '\\' && !strchr("\"\\/bfnrtu", *++at))
            fail_msg("no such escape at '%.40s'", at);
    }
    return at + 1;
}

/* The members of an object or array up to its end. */
static const char *json_members(const char *at, char end, bool named, int depth)
{
    at = json_blank(at);
    if (*at == end)
        return at + 1;
    for (;;) {
        if (named) {
            at = json_blank(json_string(json_blank(at)));
            if (*at++ != ':')
                fail_msg("no colon before '%.40s'", at);
        }
        at = json_blank(json_value(at, depth + 1));
        if (*at == end)
            return at + 1;
        if (*at++ != ',')
            fail_msg("no comma before '%.40s'", at - 1);
    }
}

static const char *json_number(const char *at)
{
    char *end;
    double value = strtod(at, &end);
    if (end == at || !isfinite(value) || !strchr("-0123456789", *at))
        fail_msg("no value at '%.40s'", at);
    return end;
}

static const char *json_value(const char *at, int depth)
{
    static const char *const words[] = {"true", "false", "null"};
    assert_true(depth < 20);
    at = json_blank(at);
    for (int i = 0; i < 3; i++)
        if (strncmp(at, words[i], strlen(words[i])) == 0)
            return at + strlen(words[i]);
    if (*at == '{')
        return json_members(at + 1, '}', true, depth);
    if (*at == '[')
        return json_members(at + 1, ']', false, depth);
    return *at == '"' ? json_string(at) : json_number(at);
}

/* The page as one JSON value, and room for the next. */
static const char *check_page(void)
{
    assert_false(text.cut);
    const char *end = json_blank(json_value(page, 0));
    if (*end)
        fail_msg("more behind the value: '%.40s'", end);
    return page;
}

static void begin_page(void)
{
    text = owl_text_over(page, sizeof page);
}

static void expect(const char *words)
{
    if (!strstr(page, words))
        fail_msg("%s is not in the report", words);
}

static void expect_none(const char *words)
{
    if (strstr(page, words))
        fail_msg("%s is in the report", words);
}

/* ---- reports ---- */

static const char least[] = "[site]\nlatitude = 50 N\nlongitude = 8 E\n[watch]\nstart = 2027-01-09\nnights = 6\n"
         "[subject]\nkind = badger\n";

static void evaluate_words(const char *words)
{
    read_words(words);
    fill_long_watch(NIGHTS, 2900.0, 0.001);
    assert_int_equal(owl_plan_evaluate(&plan, &watch, &evaluation), OWL_OK);
}

static struct owl_report_plan report_of(void)
{
    return (struct owl_report_plan){&plan, &watch, &evaluation};
}

static const char *form_of(const char *words, const struct owl_plan *sound)
{
    const struct owl_report_form form = {words, strlen(words), &places, sound};
    owl_places_find(words, strlen(words), &places);
    begin_page();
    owl_report_form(&form, &text);
    return check_page();
}

/* identity: every report of every example is one JSON value. */
static void test_report_is_json_for_all_examples(void **state)
{
    (void)state;
    static const char *const examples[] = {"marten", "lynx", "dipper", "polar", "first"};
    for (int i = 0; i < 5; i++) {
        read_example(examples[i], NIGHTS);
        assert_int_equal(owl_plan_evaluate(&plan, &watch, &evaluation), OWL_OK);
        const struct owl_report_plan report = report_of();
        void (*const writers[])(const struct owl_report_plan *, struct owl_text *) = {owl_report_plan, owl_report_results,
                                                                                      owl_report_nights, owl_report_warnings};
        for (size_t writer = 0; writer < sizeof writers / sizeof *writers; writer++) {
            begin_page();
            writers[writer](&report, &text);
            check_page();
        }
    }
    begin_page();
    owl_report_choices(&text);
    check_page();
    expect("\"name\": \"badger\"");
    expect("\"name\": \"lithium AA\"");
}

/* identity: groups follow the order of the result table, and each result has the one of its table's part. */
static void test_report_groups_follow_the_table(void **state)
{
    (void)state;
    static const struct {
        enum owl_result result;
        const char *group;
    } cases[] = {{OWL_RESULT_DISTANCE, "picture"},   {OWL_RESULT_BLUR_PRINT, "picture"},  {OWL_RESULT_FLASH_DISTANCE, "flashes"},
                 {OWL_RESULT_FLASH_MARGIN, "flashes"}, {OWL_RESULT_LIGHT_NEEDED, "light"}, {OWL_RESULT_WRONG_SHARE, "light"},
                 {OWL_RESULT_SENSOR_DISTANCE, "sensor"}, {OWL_RESULT_OFFSET_INSIDE, "sensor"}, {OWL_RESULT_ARMED, "watch"},
                 {OWL_RESULT_FRAMES, "watch"},         {OWL_RESULT_CARD_FRAMES, "supplies"}, {OWL_RESULT_OUTLAST, "supplies"},
                 {OWL_RESULT_EYE_MARGIN, "care"},      {OWL_RESULT_PORT_NEEDED, "care"}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        assert_string_equal(owl_report_group(cases[i].result), cases[i].group);
    evaluate_words(least);
    const struct owl_report_plan report = report_of();
    begin_page();
    owl_report_results(&report, &text);
    expect("\"key\": \"picture.distance\", \"label\": \"camera to the middle of the animal\"");
}

/* identity: the clock's offset is that by which the watch's rows run before UTC. */
static void test_report_nights_tell_the_clock(void **state)
{
    (void)state;
    static const double offsets_s[] = {0.0, 3600.0, -12600.0, 50400.0, -36000.0 + 900.0};
    evaluate_words(least);
    for (size_t i = 0; i < sizeof offsets_s / sizeof *offsets_s; i++) {
        char want[48];
        fill_long_watch(NIGHTS, 2900.0, 0.001);
        for (int n = 0; n <= NIGHTS * OWL_NIGHT_ROWS; n++)
            long_row[n].clock_s = fmod(long_row[n].clock_s + offsets_s[i] + OWL_SECONDS_PER_DAY, OWL_SECONDS_PER_DAY);
        const struct owl_report_plan report = report_of();
        begin_page();
        owl_report_nights(&report, &text);
        check_page();
        snprintf(want, sizeof want, "\"offset\": %.0f}", offsets_s[i]);
        expect(want);
    }
}

/* identity: complaints come with place and words, whatever stands in them. */
static void test_report_complaints_are_quoted(void **state)
{
    (void)state;
    static const char words[] = "[camera]\niso = \"many\\\t\"\n";
    struct owl_plan never;
    assert_int_equal(owl_plan_read(words, strlen(words), &never, &complaints), OWL_BAD_PLAN);
    begin_page();
    owl_report_complaints(&complaints, &text);
    check_page();
    expect("\"line\": 2");
    expect("\"left out\": 0}");
    begin_page();
    owl_report_complaints(&(struct owl_complaints){.count = 0}, &text);
    check_page();
}

/* ---- the form ---- */

/* identity: what is given is shown as written, with its line; the rest as it counts. */
static void test_report_form_shows_text_and_defaults(void **state)
{
    (void)state;
    static const char words[] = "\xEF\xBB\xBF[site]\r\nlatitude = 50.123456 N # here\r\nlongitude = 8 E\r\n"
         "[watch]\r\nstart = 2027-01-09\r\n"
                                "nights = 6\r\n[subject]\r\nkind = badger\r\n[Flash  Key]\r\nPlace =   1 m left\r\n";
    read_words(words);
    form_of(words, &plan);
    expect("\"name\": \"latitude\", \"unit\": \"latitude\", \"si\": \"rad\", \"words\": \"50.123456 N\"");
    expect("\"name\": \"flash\", \"nth\": 0, \"own\": \"key\", \"label\": \"flash key\"");
    expect("\"words\": \"1 m left\", \"value\": [-1, 0, 0], \"given\": true, \"line\": 10");
    expect("\"name\": \"aperture\", \"unit\": \"f-number\", \"si\": \"1\", \"words\": \"f/8\", \"value\": 8, "
           "\"given\": false, \"line\": 0");
    expect("\"name\": \"trigger voltage\", \"unit\": \"voltage\", \"si\": \"V\", \"words\": \"\", \"value\": null");
    expect("\"choices\": [\"night\", \"day\", \"always\"]");
    expect("{\"section\": \"bait\", \"named\": false");
    expect("{\"section\": \"flash\", \"named\": true");
    expect_none("\"name\": \"bait\"");
}

/* identity: an unsound text has a form, too: of its own words, with the last sound values. */
static void test_report_form_of_unsound_text(void **state)
{
    (void)state;
    read_words(least);
    form_of("[camera]\naperture = wide open\n[bait]\n[flash one]\n[flash two]\npower = 1/4\n[nothing]\niso = 5\n", &plan);
    expect("\"words\": \"wide open\", \"value\": 8, \"given\": true, \"line\": 2");
    expect("\"own\": \"two\"");
    expect("\"words\": \"1/4\", \"value\": null, \"given\": true, \"line\": 6");
    expect("\"name\": \"iso\", \"unit\": \"number\", \"si\": \"1\", \"words\": \"400\"");
    expect("\"name\": \"bait\"");
    form_of("", NULL);
    expect("\"name\": \"iso\", \"unit\": \"number\", \"si\": \"1\", \"words\": \"400\", \"value\": null");
}

/* fault: headings and names the reader would not take are passed over, and nothing is found beyond the tables. */
static void test_report_places_keep_the_readers_rules(void **state)
{
    (void)state;
    static const char words[] = "iso = 1\n[camera\niso = 2\n[camera two]\niso = 3\n[camera]\n iso = 4\niso = 5\n"
         "[camera]\niso = 6\n"
                                "[flash]\npower = 1/2\n[flash a]\npower = 1/4\n[flash a]\npower = 1/8\n= 3\n[]\n[flash b][\n";
    const struct owl_section *camera = owl_section_find("camera"), *flash = owl_section_find("flash");
    owl_places_find(words, strlen(words), &places);
    assert_int_equal(places.plan.line_of[owl_field_slot(camera, 0, owl_field_find(camera, "iso"))], 7);
    assert_int_equal(places.heading[camera - owl_section_at(0)], 6);
    assert_int_equal(owl_places_count(&places, flash), 1);
    assert_int_equal(places.plan.line_of[owl_field_slot(flash, 0, owl_field_find(flash, "power"))], 14);
    assert_string_equal(owl_places_name(&places, flash, 0), "a");
    assert_string_equal(owl_places_name(&places, camera, 0), "");
    char many[1024] = "";
    for (int i = 0; i < 12; i++)
        snprintf(many + strlen(many), sizeof many - strlen(many), "[flash f%d]\npower = 1/2\n", i);
    owl_places_find(many, strlen(many), &places);
    assert_int_equal(owl_places_count(&places, flash), OWL_FLASHES);
    assert_true(owl_section_count() <= OWL_HEADINGS_MOST);
}

/* ---- warnings that can be mended ---- */

#define CAMERA "[camera]\nplace = 3 m before, 30 cm up\nsleeps = no\n"
#define KEY                                                                           \
    "[flash key]\nplace = 1 m left, 1.5 m before, 1.5 m up\ntrigger voltage = 5 V\n" \
    "diffuser width = 30 cm\ndiffuser height = 30 cm\n"

static const struct owl_warning *warning_with(const char *words)
{
    for (int i = 0; i < evaluation.warnings; i++)
        if (strstr(evaluation.warning[i].words, words))
            return &evaluation.warning[i];
    return NULL;
}

/* The plan warns so, one change of that field mends it, and then the warning is gone or costs less. */
static void expect_mended(const char *more, const char *warns, const char *section, const char *field)
{
    static char words[8192];
    struct owl_change change[OWL_MEND_CHANGES];
    snprintf(words, sizeof words, "%s%s", least, more);
    evaluate_words(words);
    const struct owl_warning *warning = warning_with(warns);
    if (!warning)
        fail_msg("no warning that '%s'", warns);
    double cost = warning->cost;
    int changes = owl_mend_of(&plan, &evaluation, warning, change);
    if (changes < 1 || strcmp(change[0].section->name, section) != 0 ||
        strcmp(change[0].section->fields[change[0].field].name, field) != 0)
        fail_msg("'%s' does not change [%s] %s", warning->change, section, field);
    for (int i = 0; i < changes; i++)
        assert_int_equal(owl_plan_apply(&change[i], &plan), OWL_OK);
    fill_long_watch(NIGHTS, 2900.0, 0.001);
    assert_int_equal(owl_plan_evaluate(&plan, &watch, &evaluation), OWL_OK);
    warning = warning_with(warns);
    if (warning && warning->cost >= cost)
        fail_msg("'%s' still costs %g with %s", warns, warning->cost, change[0].words);
}

static void expect_words_only(const char *more, const char *warns)
{
    static char words[8192];
    struct owl_change change[OWL_MEND_CHANGES];
    snprintf(words, sizeof words, "%s%s", least, more);
    evaluate_words(words);
    const struct owl_warning *warning = warning_with(warns);
    if (!warning)
        fail_msg("no warning that '%s'", warns);
    assert_int_equal(owl_mend_of(&plan, &evaluation, warning, change), 0);
}

/* identity: planted faults are mended by the change that their warning names. */
static void test_report_warnings_can_be_done(void **state)
{
    (void)state;
    expect_mended(CAMERA "iso = 100\naperture = f/8\n" KEY, "too little light", "camera", "aperture");
    expect_mended(CAMERA "aperture = f/8\niso = 25\n[lens]\nwidest aperture = f/8\n" KEY "power = 1/32\n",
        "too little light", "camera", "iso");
    expect_mended(CAMERA KEY "[sensor]\npause = 10 s\n", "is flashed again after", "sensor", "pause");
    expect_mended(CAMERA KEY "[bait]\nfood = egg\namount = 5 kg\n", "it becomes a need", "bait", "amount");
    expect_mended(CAMERA "[housing]\ndesiccant = 0 g\n", "silica gel", "housing", "desiccant");
    expect_mended(CAMERA "frames = 4\ninterval = 50 ms\n" KEY "power = full\n", "not recharged", "camera", "interval");
    expect_mended(CAMERA "[lens]\nfocus distance = 5 m\n", "sharp from", "lens", "focus distance");
    expect_mended(CAMERA "aperture = f/2.8\n", "sharp from", "camera", "aperture");
    expect_mended(CAMERA "aim = 50 cm right\n", "even on the mark", "camera", "aim");
    expect_mended(CAMERA "[stage]\ntravel = left to right\n[sensor]\naim = 1.5 m right, 20 cm up\nzones = 1\n",
        "when the shutter opens",
                  "sensor", "aim");
    expect_mended(CAMERA "awake current = 300 mA\n", "the cells of camera", "camera", "cell sets");
    expect_mended(CAMERA "cell sets = 48\n[sensor]\ncell sets = 48\n" KEY "cell capacity = 0.5 Ah\n"
         "standby = 10 mA\n", "the cells of key", "flash", "cell sets");
    expect_mended(CAMERA KEY "[sensor]\ngate level = 2000 lx\n", "ghostly", "sensor", "gate level");
}

/* identity: two fields that are to be the same are changed together; of two ways the one that can be written is taken. */
static void test_report_warnings_change_two_fields(void **state)
{
    (void)state;
    struct owl_change change[OWL_MEND_CHANGES];
    struct owl_warning warning = {.change = "sensor: hold and hold by day = 1/60 s, or light gate = night"};
    evaluate_words(least);
    assert_int_equal(owl_mend_of(&plan, &evaluation, &warning, change), 2);
    assert_string_equal(change[0].section->fields[change[0].field].name, "hold");
    assert_string_equal(change[1].section->fields[change[1].field].name, "hold by day");
    assert_string_equal(change[1].words, "1/60 s");
    warning = (struct owl_warning){.change = "sensor: raise 'gate level', or light gate = always"};
    assert_int_equal(owl_mend_of(&plan, &evaluation, &warning, change), 1);
    assert_string_equal(change[0].words, "always");
    warning = (struct owl_warning){.change = "keep the camera awake (sleeps = no), or open more zones: it comes both ways"};
    assert_int_equal(owl_mend_of(&plan, &evaluation, &warning, change), 1);
    assert_string_equal(change[0].section->fields[change[0].field].name, "sleeps");
    assert_string_equal(change[0].words, "no");
    warning = (struct owl_warning){.change = "camera: aperture = f/1000, or camera: iso = 800"}; /* no such aperture */
    assert_int_equal(owl_mend_of(&plan, &evaluation, &warning, change), 1);
    assert_string_equal(change[0].section->fields[change[0].field].name, "iso");
}

/* fault: words without a value, a value that is there already, and names that several sections have change nothing. */
static void test_report_warnings_without_change(void **state)
{
    (void)state;
    static const char *const words[] = {"", " = ", "camera: iso = ", "camera: iso = 400", "place = 1 m left",
            "kind = heat", "iso = ",
                                        "nowhere: nothing = 3", "lens: widest aperture = f/16", "flash: power = 1/4",
                                                "a and b = 3",
                                        "a value that is longer than any field of a plan could ever hold, and goes on and on = 3"};
    struct owl_change change[OWL_MEND_CHANGES];
    evaluate_words(least);
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        struct owl_warning warning = {.danger = false};
        struct owl_text said = owl_text_over(warning.change, sizeof warning.change);
        owl_text_words(&said, words[i]);
        if (owl_mend_of(&plan, &evaluation, &warning, change) != 0)
            fail_msg("'%s' changes [%s] to %s", words[i], change[0].section->name, change[0].words);
    }
    expect_words_only(CAMERA "[flash key]\nplace = 1 m left, 1.5 m before, 1.5 m up\n", "trigger voltage not measured");
    expect_words_only(CAMERA KEY "sleeps after = 5 min\n", "switches itself off");
}

/* ---- rehearsal and advice ---- */

/* identity: the ledger of a rehearsal is JSON; what never happens is null. */
static void test_report_ledger(void **state)
{
    (void)state;
    static struct owl_season season[SEASONS];
    static double column[SEASONS];
    static struct owl_rehearsal rehearsal;
    const struct owl_habits habits = owl_setup_usual_habits();
    evaluate_words(least);
    prepare_plan(&habits);
    owl_rehearsal_run(&setup, 7, 0, SEASONS, season);
    owl_rehearsal_reduce(&setup, season, SEASONS, column, &rehearsal);
    rehearsal.nights_for[2] = INFINITY;
    begin_page();
    owl_report_ledger(&(struct owl_report_rehearsal){&plan, &rehearsal, 7, SEASONS + 1}, &text);
    check_page();
    expect("\"stopped\": true");
    expect("\"95\": null}");
    expect("\"seed\": 7");
}

/* identity: advice is JSON in both forms; only the page's carries what to do. */
static void test_report_advice(void **state)
{
    (void)state;
    static struct owl_advice advice;
    const struct owl_section *camera = owl_section_find("camera"), *flash = owl_section_find("flash");
    const struct owl_keep keep[] = {{camera, 0, owl_field_find(camera, "iso")}, {flash, -1, owl_field_find(flash, "place")}};
    struct owl_report_advised report = {.plan = &plan, .advice = &advice, .keep = keep, .keeps = 2, .seed = 3,
            .written = "a \"b\".plan"};
    evaluate_words("[site]\nlatitude = 50 N\nlongitude = 8 E\n[watch]\nstart = 2027-01-09\nnights = 6\n"
         "[subject]\nkind = badger\n" KEY);
    advice.singles = 1;
    advice.single[0] = (struct owl_advised){.changes = 1, .gain = {1.0, 0.5, INFINITY}};
    advice.single[0].change[0] = (struct owl_change){flash, 0, owl_field_find(flash, "power"), "1/4"};
    begin_page();
    owl_report_advice(&report, &text);
    check_page();
    expect("\"kept\": [\"camera.iso\", \"flash.place\"]");
    expect("{\"section\": \"flash key\", \"field\": \"power\", \"from\": \"1/8\", \"to\": \"1/4\"}");
    expect("\"together\": null");
    expect("\"high\": null");
    expect_none("\"do\"");
    report.doable = true;
    report.written = NULL;
    advice.changes = 1;
    advice.together[0] = advice.single[0].change[0];
    begin_page();
    owl_report_advice(&report, &text);
    check_page();
    expect("\"do\": [{\"section\": \"flash\", \"nth\": 0, \"field\": \"power\", \"words\": \"1/4\"}]");
    expect("\"written\": null");
}

static void write_key(const char *words, char key[192])
{
    struct owl_text shown = owl_text_over(key, 192);
    read_words(words);
    owl_report_sky_key(&plan, &shown);
    assert_false(shown.cut);
}

static void expect_key(const char *first, const char *words, bool same)
{
    char key[192];
    write_key(words, key);
    if ((strcmp(first, key) == 0) != same)
        fail_msg("the key of\n%sis %s", words, key);
}

/* identity: the key of a sky changes with place, zone and dates, and with nothing else. */
static void test_report_sky_key(void **state)
{
    (void)state;
#define PLACE(latitude, nights, more)                                                                            \
    "[subject]\nkind = badger\n[watch]\nstart = 2027-01-09\nnights = " nights "\n[site]\nlongitude = 8 E\nlatitude = " \
    latitude "\n" more
    char first[192];
    write_key(PLACE("50 N", "6", ""), first);
    expect_key(first, PLACE("50 N", "6", "open sky = 3 %\ncloud = dark\nname = a wood\n"), true);
    expect_key(first, PLACE("50.0001 N", "6", ""), false);
    expect_key(first, PLACE("50 N", "7", ""), false);
    expect_key(first, PLACE("50 N", "6", "zone = Europe/Oslo\n"), false);
    expect_key(first, PLACE("50 N", "6", "altitude = 10 m\n"), false);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_report_is_json_for_all_examples),   cmocka_unit_test(test_report_groups_follow_the_table),
        cmocka_unit_test(test_report_nights_tell_the_clock),      cmocka_unit_test(test_report_complaints_are_quoted),
        cmocka_unit_test(test_report_form_shows_text_and_defaults), cmocka_unit_test(test_report_form_of_unsound_text),
        cmocka_unit_test(test_report_places_keep_the_readers_rules), cmocka_unit_test(test_report_warnings_can_be_done),
        cmocka_unit_test(test_report_warnings_change_two_fields), cmocka_unit_test(test_report_warnings_without_change),
        cmocka_unit_test(test_report_ledger),                     cmocka_unit_test(test_report_advice),
        cmocka_unit_test(test_report_sky_key),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
