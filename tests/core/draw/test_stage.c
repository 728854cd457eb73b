/* The stage drawing: well formed, and no label on another or off the sheet, for plans of every shape. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "support/check.h"
#include "support/markup.h"

#include "core/draw/label.h"
#include "core/draw/stage.h"
#include "core/plan/geometry.h"
#include "core/plan/reader.h"

#define FAR_UP_THE_PAGE "\n[camera]\nplace = 60 m before, 1 m up\n[lens]\nfocal length = 400 mm\n"

static char plan_text[8192], svg_bytes[OWL_STAGE_BYTES];
static struct owl_plan plan;
static struct owl_evaluation evaluation;
static struct owl_complaints complaints;

static const char usual[] =
    "[site]\nname = by the brook\nlatitude = 57.1 N\nlongitude = 4.5 W\n[watch]\nstart = 2027-01-09\nnights = 10\n"
    "[subject]\nkind = pine marten\nlength = 48 cm\nheight = 25 cm\nwidth = 12 cm\nshoulder = 18 cm\n";

static const char three_flashes[] =
    "[camera]\nplace = 3 m before, 70 cm up\n"
    "[flash key]\nplace = 1.2 m left, 1.1 m before, 1.6 m up\npower = 1/8\n"
    "[flash fill]\nplace = 1.5 m right, 1.6 m before, 90 cm up\npower = 1/32\n"
    "[flash rim]\nplace = 80 cm right, 1.4 m behind, 1.2 m up\npower = 1/16\n";

static void read_plan(const char *more)
{
    plan_text[0] = '\0';
    strcat(strcat(plan_text, usual), more);
    enum owl_status status = owl_plan_read(plan_text, strlen(plan_text), &plan, &complaints);
    if (status != OWL_OK)
        print_error("%s\n", complaints.count ? complaints.list[0].words : "no complaint");
    assert_int_equal(status, OWL_OK);
}

static void note(enum owl_result result, double value)
{
    (void)owl_outcome_note(&evaluation.outcome, result, 0, value, 1, (const double[]){0.0});
}

/* The figures the drawing reads, as the evaluation would note them. */
static void evaluate(double near_m, double far_m, double offset_m, int sense)
{
    memset(&evaluation, 0, sizeof evaluation);
    note(OWL_RESULT_NEAR, near_m);
    note(OWL_RESULT_FAR, far_m);
    note(OWL_RESULT_SENSOR_RANGE, 5.0);
    if (!isnan(offset_m))
        note(OWL_RESULT_OFFSET, offset_m);
    evaluation.noticed = !isnan(offset_m);
    evaluation.worse_sense = sense;
}

static const char *draw(void)
{
    struct owl_text svg = owl_text_over(svg_bytes, sizeof svg_bytes);
    owl_draw_stage(&plan, &evaluation, &svg);
    assert_false(svg.cut);
    return svg_bytes;
}

/* identity: a drawing is well-formed XML whose labels keep apart, with its text for screen readers */
static void test_stage_is_well_formed(void **state)
{
    (void)state;
    read_plan(three_flashes);
    evaluate(2.7, 3.4, 0.12, -1);
    check_drawing(draw());
    assert_non_null(strstr(svg_bytes, "role=\"img\" aria-labelledby=\"owl-stage-title owl-stage-desc\""));
    assert_non_null(strstr(svg_bytes, "<title id=\"owl-stage-title\">"));
    assert_non_null(strstr(svg_bytes, "12 cm past the mark when the shutter opens"));
    assert_non_null(strstr(svg_bytes, "prefers-color-scheme:dark"));
}

/* identity: nothing is fetched; the only address is the name of SVG itself */
static void test_stage_asks_for_nothing(void **state)
{
    (void)state;
    read_plan(three_flashes);
    evaluate(2.7, 3.4, 0.12, 1);
    const char *address = strstr(draw(), "http");
    assert_non_null(address);
    assert_memory_equal(address, "http://www.w3.org/2000/svg\"", 27);
    assert_null(strstr(address + 1, "http"));
    assert_null(strstr(svg_bytes, "@import"));
}

/* identity: labels show what geometry says: ground distance, height, power */
static void test_stage_says_the_plan(void **state)
{
    (void)state;
    read_plan(three_flashes);
    evaluate(2.7, 3.4, 0.12, 1);
    draw();
    assert_non_null(strstr(svg_bytes, ">1.63 m</text>")); /* hypot(1.2, 1.1) = 1.6279 */
    assert_non_null(strstr(svg_bytes, ">2.19 m</text>")); /* hypot(1.5, 1.6) = 2.1932 */
    assert_non_null(strstr(svg_bytes, ">1.61 m</text>")); /* hypot(0.8, 1.4) = 1.6125 */
    assert_non_null(strstr(svg_bytes, ">1.6 m up</text>"));
    assert_non_null(strstr(svg_bytes, ">1/32 power</text>"));
    assert_non_null(strstr(svg_bytes, ">sharp from 2.7 m</text>"));
    assert_non_null(strstr(svg_bytes, ">to 3.4 m</text>"));
}

static void read_scale(const char *svg, double *length, double *metres)
{
    const char *bar = strstr(svg, "v5h");
    assert_non_null(bar);
    *length = strtod(bar + 3, NULL);
    const char *words = strchr(strstr(bar, "<text"), '>') + 1;
    char *unit;
    *metres = strtod(words, &unit) / (strncmp(unit, " cm", 3) == 0 ? 100.0 : 1.0);
}

static void first_turned(const char *from, double *x, double *y)
{
    char *end;
    *x = strtod(strstr(from, "translate(") + 10, &end);
    *y = strtod(end, NULL);
}

/* identity: camera and mark stand as far apart on the sheet as the scale bar says, camera below */
static void test_stage_is_to_scale(void **state)
{
    (void)state;
    double length, metres, camera_x, camera_y, mark_x, mark_y;
    read_plan(three_flashes);
    evaluate(2.7, 3.4, 0.12, 1);
    const char *svg = draw(), *mark = strstr(svg, "<circle"), *camera = strstr(svg, "M-11-8H");
    while (strncmp(mark, "<g transform", 12) != 0)
        mark--;
    while (strncmp(camera, "<g transform", 12) != 0)
        camera--;
    read_scale(svg, &length, &metres);
    first_turned(mark, &mark_x, &mark_y);
    first_turned(camera, &camera_x, &camera_y);
    check_near("camera below the mark", (camera_y - mark_y) * metres / length, 3.0, 0.02);
    check_near("camera straight below it", camera_x, mark_x, 0.11);
}

/* fault: extreme stages; every label still has its own place */
static void test_stage_extremes(void **state)
{
    (void)state;
    static const char *const plans[] = {
        "[camera]\nplace = 0.5 m before, 12 cm up\n[lens]\nfocal length = 10 mm\nclosest focus = 10 cm\n",
        FAR_UP_THE_PAGE "[flash key]\nplace = 1 m left, 1 m up\n[flash fill]\nplace = 1 m right, 1 m before, 1 m up\n",
        "[flash a]\nplace = 40 cm before, 1 m up\n[flash b]\nplace = 80 cm before, 1 m up\n[flash c]\nplace = 1.2 m before, 1 m up\n"
        "[flash d]\nplace = 1.6 m before, 1 m up\n[flash e]\nplace = 2 m before, 1 m up\n[flash f]\nplace = 2.4 m before, 1 m up\n",
        "[flash wwwwwwwwwwwwwwwwwwwwwww]\nplace = 3 cm left, 2.9 m before, 1 m up\n[flash wwwwwwwwwwwwwwwwwwwwwwb]\nplace = 2.9 m before, 1 m up\n"
        "[flash wwwwwwwwwwwwwwwwwwwwwwc]\nplace = 3 cm right, 2.9 m before, 1 m up\n[flash wwwwwwwwwwwwwwwwwwwwwwd]\nplace = 6 cm right, 2.9 m before, 1 m up\n"
        "[flash wwwwwwwwwwwwwwwwwwwwwwe]\nplace = 9 cm right, 2.9 m before, 1 m up\n[flash wwwwwwwwwwwwwwwwwwwwwwf]\nplace = 12 cm right, 2.9 m before, 1 m up\n",
        FAR_UP_THE_PAGE "[flash a]\nplace = 1 m up, 3 cm left\n[flash b]\nplace = 1 m up\n[flash c]\nplace = 1 m up, 3 cm right\n[flash d]\nplace = 1 m up, 3 cm before\n"
        "[flash e]\nplace = 1 m up, 3 cm behind\n[flash f]\nplace = 1 m up, 6 cm behind\n",
        "[sensor]\nkind = beam\nplace = 50 cm left, 10 cm up\naim = 50 cm right, 10 cm up\n[stage]\npath angle = 90 deg\npath scatter = 10 m\nbackdrop distance = 1000 m\n",
        "[stage]\npath angle = -90 deg\nbackdrop distance = 5 cm\n[sensor]\nzones = 60\nzone pitch = 60 deg\nrange = 200 m\n"
        "[flash wide]\nplace = 1 m left, 1 m up\ncoverage = 180 deg\n[flash above]\nplace = 2 m up\ncoverage = 180 deg\n",
        "[sensor]\nplace = 1000 m right, 1 m up\nrange = 200 m\n[flash far]\nplace = 1000 m left, 900 m behind, 1000 m up\n",
    };
    static const double offsets[] = {0.0, 0.3, -0.3, 40.0, -4000.0, NAN};
    for (size_t i = 0; i < sizeof plans / sizeof *plans; i++) {
        read_plan(plans[i]);
        for (size_t k = 0; k < sizeof offsets / sizeof *offsets; k++) {
            evaluate(0.4, k % 2 ? INFINITY : 70.0, offsets[k], k % 3 ? 1 : -1);
            check_drawing(draw());
        }
    }
}

/* identity: an animal the sensor misses is said to be missed */
static void test_stage_not_noticed(void **state)
{
    (void)state;
    read_plan(three_flashes);
    evaluate(2.7, INFINITY, NAN, 1);
    check_drawing(draw());
    assert_non_null(strstr(svg_bytes, ">not noticed</text>"));
    assert_non_null(strstr(svg_bytes, ">to the horizon</text>"));
    assert_null(strstr(svg_bytes, "at the open shutter"));
}

/* fault: a buffer too small is noticed at every length, and never written past */
static void test_stage_buffer_too_small(void **state)
{
    (void)state;
    static char bytes[OWL_STAGE_BYTES];
    read_plan(three_flashes);
    evaluate(2.7, 3.4, 0.12, 1);
    size_t whole = strlen(draw());
    for (size_t room = 1; room <= whole; room += room < 64 ? 1 : 97) {
        memset(bytes, '#', sizeof bytes);
        struct owl_text svg = owl_text_over(bytes, room);
        owl_draw_stage(&plan, &evaluation, &svg);
        assert_true(svg.cut);
        assert_int_equal(bytes[room - 1], '\0');
        assert_int_equal(bytes[room], '#');
    }
}

/* identity: six flashes with the longest names fit the room that stage.h promises */
static void test_stage_room_promised(void **state)
{
    (void)state;
    char text[4096] = "[camera]\nplace = 3 m before, 70 cm up\n[sensor]\nzones = 60\nzone pitch = 1 deg\n";
    for (int i = 0; i < OWL_FLASHES; i++)
        (void)snprintf(text + strlen(text), sizeof text - strlen(text),
                       "[flash abcdefghijklmnopqrstuv%d]\nplace = %d.37 m left, 1.11 m before, 1.23 m up\n", i, i);
    read_plan(text);
    evaluate(2.7, 3.4, 0.12, 1);
    check_drawing(draw());
    assert_true(strlen(svg_bytes) < OWL_STAGE_BYTES * 3 / 4);
}

/* identity: a label with no free place makes the board grow and stands below everything */
static void test_label_board_grows(void **state)
{
    (void)state;
    struct owl_label_board board = {.width = 100.0, .height = 60.0, .font = 10.0};
    struct owl_label label = {.line = {"words"}, .at_x = 50.0, .at_y = 30.0, .gap = 4.0};
    owl_label_take(&board, 0.0, 0.0, 100.0, 60.0);
    owl_label_near(&board, &label);
    assert_true(label.box.top >= 60.0);
    assert_true(board.height >= label.box.bottom);
}

/* identity: a measure stands on its line, and is refused where the line is taken */
static void test_label_on_line(void **state)
{
    (void)state;
    struct owl_label_board board = {.width = 200.0, .height = 200.0, .font = 10.0};
    struct owl_label_stroke line = {20.0, 20.0, 180.0, 180.0};
    struct owl_label label = {.line = {"2 m"}};
    assert_true(owl_label_on_line(&board, &label, &line));
    check_near("on the line", label.at_x, label.at_y, 1e-9);
    owl_label_take(&board, 0.0, 0.0, 200.0, 200.0);
    assert_false(owl_label_on_line(&board, &label, &line));
}

/* identity: the width of a text grows with it, and wide letters are counted wide */
static void test_label_width(void **state)
{
    (void)state;
    check_near("nothing", owl_label_width("", 10.0), 0.0, 0.0);
    assert_true(owl_label_width("mmm", 10.0) > owl_label_width("nnn", 10.0));
    assert_true(owl_label_width("nnn", 10.0) > owl_label_width("iii", 10.0));
    check_near("two bytes, one letter", owl_label_width("\xC3\xA5", 10.0), 10.0, 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_stage_is_well_formed),  cmocka_unit_test(test_stage_asks_for_nothing),
        cmocka_unit_test(test_stage_says_the_plan),   cmocka_unit_test(test_stage_is_to_scale),
        cmocka_unit_test(test_stage_extremes),        cmocka_unit_test(test_stage_not_noticed),
        cmocka_unit_test(test_stage_buffer_too_small), cmocka_unit_test(test_stage_room_promised),
        cmocka_unit_test(test_label_board_grows),     cmocka_unit_test(test_label_on_line),
        cmocka_unit_test(test_label_width),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
