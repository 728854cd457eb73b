/* The drawing of a pass: well formed, its labels apart, everything where the trace has it, for passes and stages of
   every shape. */
#include <stdlib.h>

#include "support/markup.h"

#include "core/draw/pass.h"
#include "core/rehearse/long_watch.h"

static char svg_bytes[OWL_PASS_BYTES];
static struct owl_trace trace;

static const char *draw(void)
{
    struct owl_text svg = owl_text_over(svg_bytes, sizeof svg_bytes);
    owl_draw_pass(&plan, &evaluation, &trace, &svg);
    assert_false(svg.cut);
    check_drawing(svg_bytes);
    return svg_bytes;
}

static int count_of(const char *svg, const char *words)
{
    int count = 0;
    for (const char *c = strstr(svg, words); c; c = strstr(c + 1, words))
        count++;
    return count;
}

/* A beam 1.2 m to the left of the mark that releases three frames half a second apart; animals come from both sides. */
static void read_burst(void)
{
    read_perfect_rig();
    plan.stage.travel = OWL_TRAVEL_BOTH;
    plan.stage.path_angle_rad = 0.3;
    plan.stage.path_scatter_m = 0.2;
    plan.sensor.place.x_m = plan.sensor.aim.x_m = -1.2;
    plan.camera.frames = 3.0;
    plan.camera.interval_s = 0.5;
    const struct owl_habits habits = owl_setup_usual_habits();
    prepare_plan(&habits);
}

static void trace_pass(int pass)
{
    assert_int_equal(owl_season_trace(&setup, 3, 0, pass, &trace), OWL_OK);
}

/* ---- reading the drawing ---- */

static double read_scale(const char *svg)
{
    const char *bar = strstr(svg, "v5h");
    assert_non_null(bar);
    const char *words = strchr(strstr(bar, "<text"), '>') + 1;
    char *unit;
    double metres = strtod(words, &unit) / (strncmp(unit, " cm", 3) == 0 ? 100.0 : strncmp(unit, " mm", 3) == 0 ? 1000.0 : 1.0);
    return strtod(bar + 3, NULL) / metres;
}

struct found {
    double x, y, turned_deg;
};

/* The group around what stands at `inside`. */
static struct found read_group(const char *svg, const char *inside)
{
    struct found found;
    char *end;
    while (inside > svg && strncmp(inside, "<g transform", 12) != 0)
        inside--;
    assert_true(inside > svg);
    found.x = strtod(strstr(inside, "translate(") + 10, &end);
    found.y = strtod(end, NULL);
    found.turned_deg = strtod(strstr(inside, "rotate(") + 7, NULL);
    return found;
}

static const char *nth(const char *svg, const char *words, int n)
{
    const char *found = strstr(svg, words);
    while (found && n-- > 0)
        found = strstr(found + 1, words);
    assert_non_null(found);
    return found;
}

/* A point so far along the pass, from the mark's place on the sheet and the scale bar alone. Coordinates are rounded to a
   tenth of a unit, the bar's length too: it is at least 50 units long. */
static void check_place(const char *svg, double x, double y, double past_m)
{
    struct found mark = read_group(svg, strstr(svg, "<circle class=\"line\""));
    const struct owl_path *path = &trace.pass.path;
    double scale = read_scale(svg), along_m = trace.pass.sense * past_m;
    double x_m = along_m * cos(path->angle_rad) - path->aside_m * sin(path->angle_rad);
    double y_m = along_m * sin(path->angle_rad) + path->aside_m * cos(path->angle_rad);
    double tolerance = 0.11 + hypot(x_m, y_m) * scale * 0.05 / 50.0;
    check_near("across", x - mark.x, x_m * scale, tolerance);
    check_near("up the sheet", mark.y - y, y_m * scale, tolerance);
}

static void check_body(const char *svg, const char *rect, double past_m)
{
    struct found body = read_group(svg, rect);
    double heading_deg = (trace.pass.path.angle_rad + (trace.pass.sense < 0 ? OWL_PI : 0.0)) * 180.0 / OWL_PI;
    check_place(svg, body.x, body.y, past_m);
    check_near("heading", remainder(-body.turned_deg - heading_deg, 360.0), 0.0, 0.06);
}

/* identity: bodies and nose stand where the trace has them, each frame as much later as the camera's interval */
static void test_pass_places_are_the_traces(void **state)
{
    (void)state;
    read_burst();
    int senses = 0, decided = 0;
    for (int pass = 0; pass < 40; pass++) {
        trace_pass(pass);
        if (trace.failed)
            continue;
        const char *svg = draw(), *nose = strstr(svg, "<circle class=\"nose\"");
        assert_int_equal(count_of(svg, "<rect class=\"body counts\""), 1);
        assert_int_equal(count_of(svg, "<rect class=\"taken\""), 2);
        check_body(svg, strstr(svg, "<rect class=\"body counts\""), trace.frame.past_m);
        for (int i = 0, other = 0; i < 3; i++)
            if (i != trace.best)
                check_body(svg, nth(svg, "<rect class=\"taken\"", other++),
                           trace.pass.speed_m_s * (trace.frame.opens_s + 0.5 * (i - trace.best) - trace.pass.at_s));
        check_body(svg, strstr(svg, "<rect class=\"noticing\""), trace.notice.front_m - 0.5);
        check_place(svg, strtod(strstr(nose, "cx=\"") + 4, NULL), strtod(strstr(nose, "cy=\"") + 4, NULL), trace.notice.front_m);
        senses |= trace.pass.sense > 0 ? 1 : 2;
        decided |= 1 << trace.best;
    }
    assert_int_equal(senses, 3);
    assert_true(decided & ~1); /* not always the first */
}

/* identity: the pass's own line runs through its bodies, towards where it walks; the plan's path is drawn faint */
static void test_pass_line_is_its_own(void **state)
{
    (void)state;
    read_burst();
    for (int pass = 0; pass < 10; pass++) {
        trace_pass(pass);
        const char *svg = draw(), *line = strstr(svg, "<path class=\"path\" d=\"M");
        assert_non_null(line);
        assert_non_null(strstr(svg, "<path class=\"path faint\""));
        struct found mark = read_group(svg, strstr(svg, "<circle class=\"line\""));
        char *end = (char *)(uintptr_t)(line + strlen("<path class=\"path\" d=\"M"));
        double x1 = strtod(end, &end), y1 = strtod(end, &end), x2 = strtod(end + 1, &end), y2 = strtod(end, &end);
        double length = hypot(x2 - x1, y2 - y1), turn = (x2 - x1) * (mark.y - y1) - (y2 - y1) * (mark.x - x1);
        /* a walker to the left has what lies beyond the path on its right; y grows downwards */
        double aside_m = turn / length / read_scale(svg) * trace.pass.sense;
        check_near("aside", aside_m, trace.pass.path.aside_m, 0.2 / read_scale(svg) + 0.001);
        assert_true((x2 - x1) * trace.pass.sense > 0.0);
        double given_m = trace.pass.path.aside_m;
        assert_non_null(strstr(svg, fabs(given_m) < 0.005 ? ">on the line of the path</text>"
                                    : given_m < 0.0       ? " nearer than the path</text>"
                                                          : " beyond the path</text>"));
    }
}

/* identity: every row of the ledger is named, with what failed besides */
static void test_pass_names_the_loss(void **state)
{
    (void)state;
    read_burst();
    trace_pass(0);
    for (int row = OWL_LEDGER_AWAY; row < OWL_LEDGER_ROWS; row++) {
        char words[64] = ">lost as ";
        trace.verdict.failed = OWL_FAILED(row);
        strcat(strcat(words, owl_ledger_word((enum owl_ledger_row)row)), "</text>");
        assert_non_null(strstr(draw(), words));
        assert_null(strstr(svg_bytes, "also "));
        assert_non_null(strstr(svg_bytes, owl_ledger_meaning((enum owl_ledger_row)row)));
    }
    trace.verdict.failed = OWL_FAILED(OWL_LEDGER_CUT) | OWL_FAILED(OWL_LEDGER_SOFT) | OWL_FAILED(OWL_LEDGER_DIM);
    assert_non_null(strstr(draw(), "<title id=\"owl-pass-title\">One pass from above: lost as cut</title>"));
    assert_non_null(strstr(svg_bytes, ">also soft, dim</text>"));
    trace.verdict.failed = ~1u & (OWL_FAILED(OWL_LEDGER_ROWS) - 1u);
    assert_non_null(strstr(draw(), ">also spent, unseen, blanked and 7 more</text>"));
    assert_non_null(strstr(svg_bytes, "smeared, doubled, dim, burnt.</desc>"));
    trace.verdict.failed = 0;
    assert_non_null(strstr(draw(), ">keeper</text>"));
    assert_null(strstr(svg_bytes, "lost"));
}

/* identity: a pass that released nothing is drawn in dashes and says so; an unseen one has its reason */
static void test_pass_not_taken(void **state)
{
    (void)state;
    read_burst();
    trace_pass(0);
    trace.failed = trace.verdict.failed = OWL_FAILED(OWL_LEDGER_UNSEEN);
    trace.notice.noticed = false;
    draw();
    assert_int_equal(count_of(svg_bytes, "<rect class=\"imagined counts\""), 1);
    assert_int_equal(count_of(svg_bytes, "<rect class=\"imagined\""), 2);
    assert_null(strstr(svg_bytes, "<rect class=\"body counts\""));
    assert_non_null(strstr(svg_bytes, ", not taken:</text>"));
    assert_non_null(strstr(svg_bytes, ">not noticed: its nose</text>"));
    trace.notice.front_m = NAN;
    assert_non_null(strstr(draw(), ">misses the beam</text>"));
    assert_null(strstr(svg_bytes, "<circle class=\"nose\""));
    plan.sensor.kind = OWL_SENSOR_HEAT;
    plan.camera.frames = 1.0;
    assert_non_null(strstr(draw(), ">crosses too few zones</text>"));
    assert_non_null(strstr(svg_bytes, ">frame, not taken:</text>"));
    trace.failed = 0;
    assert_non_null(strstr(draw(), ">at the open shutter:</text>"));
}

/* identity: passes of the examples, whatever befalls them, are well-formed drawings that ask for nothing */
static void test_pass_examples(void **state)
{
    (void)state;
    static const char *const examples[] = {"first", "marten", "lynx", "dipper"};
    for (int i = 0; i < 4; i++) {
        read_example(examples[i], 10);
        const struct owl_habits habits = owl_setup_usual_habits();
        prepare_plan(&habits);
        for (int pass = 0; pass < 12; pass++) {
            if (owl_season_trace(&setup, 5, 0, pass, &trace) != OWL_OK)
                continue;
            draw();
            assert_int_equal(count_of(svg_bytes, "http"), 1);
            assert_non_null(strstr(svg_bytes, "role=\"img\" aria-labelledby=\"owl-pass-title owl-pass-desc\""));
            assert_null(strstr(svg_bytes, "owl-stage-"));
        }
    }
}

/* ---- stages and passes that no wood has seen ---- */

static void note(enum owl_result result, double value)
{
    (void)owl_outcome_note(&evaluation.outcome, result, 0, value, 1, (const double[]){0.0});
}

static void read_stage(const char *more)
{
    static char text[4096];
    text[0] = '\0';
    strcat(strcat(text, "[site]\nlatitude = 57.1 N\nlongitude = 4.5 W\n[watch]\nstart = 2027-01-09\nnights = 10\n"
                        "[subject]\nkind = pine marten\nlength = 48 cm\nheight = 25 cm\nwidth = 12 cm\nshoulder = 18 cm\n"),
           more);
    read_words(text);
    memset(&evaluation, 0, sizeof evaluation);
    note(OWL_RESULT_NEAR, 0.4);
    note(OWL_RESULT_FAR, INFINITY);
    note(OWL_RESULT_SENSOR_RANGE, 5.0);
}

static void make_trace(double past_m, double aside_m, double turn_rad, int sense)
{
    trace = (struct owl_trace){.passes = 1,
                               .pass = {.at_s = 40000.0, .speed_m_s = 0.7, .sense = sense},
                               .minute = {.clock_s = 3600.0, .shutter_s = 0.01},
                               .notice = {true, past_m - 0.1, 2.0},
                               .verdict = {.frames = (int)plan.camera.frames, .failed = OWL_FAILED(OWL_LEDGER_LATE)},
                               .best = (int)plan.camera.frames / 2,
                               .frame = {.opens_s = 40000.0 + past_m / 0.7, .past_m = past_m}};
    trace.pass.path = owl_path_of(plan.stage.path_angle_rad + turn_rad, aside_m);
}

static const char *const stages[] = {
    "[camera]\nplace = 0.5 m before, 12 cm up\nframes = 1000\ninterval = 20 ms\n[lens]\nfocal length = 10 mm\nclosest focus = 10 cm\n",
    "[camera]\nplace = 60 m before, 1 m up\nframes = 12\ninterval = 20 ms\n[lens]\nfocal length = 400 mm\n"
    "[flash a]\nplace = 1 m up, 3 cm left\n[flash b]\nplace = 1 m up\n[flash c]\nplace = 1 m up, 3 cm right\n"
    "[flash d]\nplace = 1 m up, 3 cm before\n[flash e]\nplace = 1 m up, 3 cm behind\n[flash f]\nplace = 1 m up, 6 cm behind\n",
    "[camera]\nframes = 13\ninterval = 3600 s\n[flash wwwwwwwwwwwwwwwwwwwwwww]\nplace = 3 cm left, 2.9 m before, 1 m up\n"
    "[flash wwwwwwwwwwwwwwwwwwwwwwb]\nplace = 2.9 m before, 1 m up\n[flash wwwwwwwwwwwwwwwwwwwwwwc]\nplace = 3 cm right, 2.9 m before, 1 m up\n",
    "[camera]\nframes = 2\n[sensor]\nkind = beam\nplace = 50 cm left, 10 cm up\naim = 50 cm right, 10 cm up\n"
    "[stage]\npath angle = 90 deg\npath scatter = 10 m\nbackdrop distance = 1000 m\n",
    "[camera]\nframes = 1\n[stage]\npath angle = -90 deg\nbackdrop distance = 5 cm\n[sensor]\nzones = 60\nzone pitch = 60 deg\nrange = 200 m\n",
    "[sensor]\nplace = 1000 m right, 1 m up\nrange = 200 m\n[flash far]\nplace = 1000 m left, 900 m behind, 1000 m up\n",
};

/* fault: stages and passes far out of any measure; every label still has its own place, and the loss is named */
static void test_pass_extremes(void **state)
{
    (void)state;
    static const double pasts[] = {0.0, -0.4, 1.3, 45.0, -3e5}, asides[] = {0.0, -0.05, 4.0, -60.0}, turns[] = {0.0, 0.5, -1.5707963};
    for (size_t i = 0; i < sizeof stages / sizeof *stages; i++) {
        read_stage(stages[i]);
        for (int k = 0; k < 60; k++) {
            make_trace(pasts[k % 5], asides[k % 4], turns[k % 3], k % 2 ? 1 : -1);
            trace.failed = k % 7 == 0 ? OWL_FAILED(OWL_LEDGER_AWAY) : 0;
            assert_non_null(strstr(draw(), ">lost as late</text>"));
            assert_int_equal(count_of(svg_bytes, " counts\""), trace.failed ? 2 : 1);
        }
    }
}

/* identity: of a long burst a dozen are drawn at most, with the one that counts among them */
static void test_pass_long_burst(void **state)
{
    (void)state;
    read_stage("[camera]\nplace = 3 m before, 70 cm up\nframes = 500\ninterval = 20 ms\n");
    for (int best = 0; best < 100; best += 7) {
        make_trace(0.1, 0.0, 0.0, 1);
        trace.best = best;
        trace.verdict.frames = 100;
        draw();
        assert_int_equal(count_of(svg_bytes, "<rect class=\"body counts\""), 1);
        assert_true(count_of(svg_bytes, "<rect class=\"taken\"") >= 10 && count_of(svg_bytes, "<rect class=\"taken\"") <= 11);
    }
}

/* fault: a buffer too small is noticed at every length, and never written past; the whole fits the room promised */
static void test_pass_room(void **state)
{
    (void)state;
    static char bytes[OWL_PASS_BYTES];
    char text[4096] = "[camera]\nframes = 12\ninterval = 200 ms\n[sensor]\nzones = 60\nzone pitch = 1 deg\n";
    for (int i = 0; i < OWL_FLASHES; i++)
        (void)snprintf(text + strlen(text), sizeof text - strlen(text),
                       "[flash abcdefghijklmnopqrstuv%d]\nplace = %d.37 m left, 1.11 m before, 1.23 m up\n", i, i);
    read_stage(text);
    make_trace(0.2, 0.1, 0.1, 1);
    size_t whole = strlen(draw());
    assert_true(whole < OWL_PASS_BYTES * 3 / 4);
    for (size_t room = 1; room <= whole; room += room < 64 ? 1 : 97) {
        memset(bytes, '#', sizeof bytes);
        struct owl_text svg = owl_text_over(bytes, room);
        owl_draw_pass(&plan, &evaluation, &trace, &svg);
        assert_true(svg.cut);
        assert_int_equal(bytes[room - 1], '\0');
        assert_int_equal(bytes[room], '#');
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_pass_places_are_the_traces), cmocka_unit_test(test_pass_line_is_its_own),
        cmocka_unit_test(test_pass_names_the_loss),        cmocka_unit_test(test_pass_not_taken),
        cmocka_unit_test(test_pass_examples),              cmocka_unit_test(test_pass_extremes),
        cmocka_unit_test(test_pass_long_burst),            cmocka_unit_test(test_pass_room),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
