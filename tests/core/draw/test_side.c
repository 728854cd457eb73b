/* The side view: well formed, its labels apart and on the sheet, and its lines where geometry has them, for plans of
   every shape. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "support/check.h"
#include "support/markup.h"

#include "core/draw/label.h"
#include "core/draw/side.h"
#include "core/plan/reader.h"

#define ROUNDING 0.06 /* of coordinates to a decimal */

static char plan_text[8192], svg_bytes[OWL_SIDE_BYTES];
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
static void evaluate(double near_m, double far_m)
{
    memset(&evaluation, 0, sizeof evaluation);
    note(OWL_RESULT_NEAR, near_m);
    note(OWL_RESULT_FAR, far_m);
    note(OWL_RESULT_SENSOR_RANGE, 5.0);
}

static const char *draw(void)
{
    struct owl_text svg = owl_text_over(svg_bytes, sizeof svg_bytes);
    owl_draw_side(&plan, &evaluation, &svg);
    assert_false(svg.cut);
    return svg_bytes;
}

/* ---- reading the drawing back ---- */

/* Numbers in the path that begins at `from`, which points after its M; how many. */
static int read_path(const char *from, double *number, int most)
{
    int count = 0;
    while (*from != '"' && count < most) {
        char *end;
        double value = strtod(from, &end);
        if (end == from) {
            from++;
            continue;
        }
        number[count++] = value;
        from = end;
    }
    return count;
}

static int read_class(const char *class, double *number, int most)
{
    char opening[64];
    (void)snprintf(opening, sizeof opening, "<path class=\"%s\" d=\"M", class);
    const char *path = strstr(svg_bytes, opening);
    assert_non_null(path);
    return read_path(path + strlen(opening), number, most);
}

/* Metres in a drawing unit, by the scale bar and its words. */
static double metres_a_unit(void)
{
    const char *bar = strstr(svg_bytes, "v5h");
    assert_non_null(bar);
    double length = strtod(bar + 3, NULL);
    char *unit;
    double metres = strtod(strchr(strstr(bar, "<text"), '>') + 1, &unit);
    return metres / (strncmp(unit, " cm", 3) == 0 ? 100.0 : strncmp(unit, " mm", 3) == 0 ? 1000.0 : 1.0) / length;
}

/* Where the glyph with this shape stands, in metres from the mark along the ground and up. */
static void find_glyph(const char *shape, double *along_m, double *up_m)
{
    double ground[4], animal[2];
    const char *glyph = strstr(svg_bytes, shape);
    assert_non_null(glyph);
    while (strncmp(glyph, "translate(", 10) != 0)
        glyph--;
    char *end;
    double x = strtod(glyph + 10, &end), y = strtod(end, NULL), unit_m = metres_a_unit();
    assert_int_equal(read_class("path", ground, 4), 4);
    assert_int_equal(read_class("body", animal, 2), 2);
    double mark_x = animal[0] + plan.subject.width_m / 2.0 / unit_m; /* across the camera's sight: as wide as its body */
    *along_m = (x - mark_x) * unit_m;
    *up_m = (ground[1] - y) * unit_m;
}

/* ---- tests ---- */

/* identity: a drawing is well-formed XML whose labels keep apart, with its text for screen readers */
static void test_side_is_well_formed(void **state)
{
    (void)state;
    read_plan(three_flashes);
    evaluate(2.7, 3.4);
    check_drawing(draw());
    assert_non_null(strstr(svg_bytes, "role=\"img\" aria-labelledby=\"owl-side-title owl-side-desc\""));
    assert_non_null(strstr(svg_bytes, "<title id=\"owl-side-title\">The stage from the side</title>"));
    assert_non_null(strstr(svg_bytes, "prefers-color-scheme:dark"));
    assert_null(strstr(svg_bytes, "id=\"owl-stage"));
}

/* identity: nothing is fetched; the only address is the name of SVG itself */
static void test_side_asks_for_nothing(void **state)
{
    (void)state;
    read_plan(three_flashes);
    evaluate(2.7, 3.4);
    const char *address = strstr(draw(), "http");
    assert_non_null(address);
    assert_memory_equal(address, "http://www.w3.org/2000/svg\"", 27);
    assert_null(strstr(address + 1, "http"));
    assert_null(strstr(svg_bytes, "@import"));
}

/* identity: labels show heights, sides, power and depth of the plan, and the desc tells the same */
static void test_side_says_the_plan(void **state)
{
    (void)state;
    read_plan(three_flashes);
    evaluate(2.7, 3.4);
    draw();
    assert_non_null(strstr(svg_bytes, ">1.6 m up</text>"));
    assert_non_null(strstr(svg_bytes, ">1.2 m left</text>"));
    assert_non_null(strstr(svg_bytes, ">80 cm right</text>"));
    assert_non_null(strstr(svg_bytes, ">1/32 power</text>"));
    assert_non_null(strstr(svg_bytes, ">3 m</text>"));
    assert_non_null(strstr(svg_bytes, ">its middle 13 cm up</text>"));
    assert_non_null(strstr(svg_bytes, ">sharp from 2.7 m</text>"));
    assert_non_null(strstr(svg_bytes, ">to 3.4 m</text>"));
    assert_non_null(strstr(svg_bytes, "Flash fill: 90 cm up, 1.6 m before the mark, 1.5 m right, power 1/32."));
    assert_non_null(strstr(svg_bytes, "The pine marten on the mark stands on the ground; its middle is 13 cm up."));
    assert_non_null(strstr(svg_bytes, "Sharp from 2.7 m to 3.4 m before the camera. Backdrop 3 m behind the mark."));
}

/* identity: along the ground and upwards the scale bar holds, with the camera on the left */
static void test_side_is_to_scale(void **state)
{
    (void)state;
    double along_m, up_m;
    read_plan(three_flashes);
    evaluate(2.7, 3.4);
    draw();
    find_glyph("M-11-8H", &along_m, &up_m);
    check_near("camera before the mark", along_m, -3.0, 0.02);
    check_near("camera up", up_m, 0.7, 0.01);
    find_glyph("M-8-5H1L5-9V9L1 5H-8Z", &along_m, &up_m); /* the last flash is drawn first */
    check_near("flash behind the mark", along_m, 1.4, 0.02);
    check_near("flash up", up_m, 1.2, 0.01);
}

/* cited: the animal takes length |sin| + width |cos| of its path against the camera, the box of `picture.body across`
   turned a quarter */
static void test_side_shows_the_body_across(void **state)
{
    (void)state;
    static const struct {
        const char *words;
        double across_m;
    } path[] = {{"[stage]\npath angle = 0 deg\n", 0.12},
                {"[stage]\npath angle = 90 deg\n", 0.48},
                {"[stage]\npath angle = -30 deg\n", 0.24 + 0.12 * 0.8660254}};
    for (size_t i = 0; i < sizeof path / sizeof *path; i++) {
        double trunk[10];
        read_plan(path[i].words);
        evaluate(2.7, 3.4);
        draw();
        assert_int_equal(read_class("body", trunk, 10), 10); /* x y, v, a rx ry 0 0 1 x y */
        double round = trunk[8];
        const char *flat = strchr(strstr(svg_bytes, "\"body\" d="), 'h');
        assert_non_null(flat);
        double across_m = (2.0 * round + strtod(flat + 1, NULL)) * metres_a_unit();
        check_cited("box-body", "animal along the section", across_m, path[i].across_m, 4.0 * ROUNDING * metres_a_unit());
    }
}

/* cited: over the mark the frame of a level camera is h (s - f) / f high [ray2002], half of it on either side of its axis */
static void test_side_frame_at_the_mark(void **state)
{
    (void)state;
    /* 24 mm of frame at 3 m through 50 mm: 24 * 2950 / 50 = 1416 mm, the axis at 1 m: 0.292 m to 1.708 m */
    read_plan("[camera]\nplace = 3 m before, 1 m up\naim = 1 m up\nsensor width = 36 mm\nsensor height = 24 mm\n"
              "[lens]\nfocal length = 50 mm\nfocus distance = 3 m\n");
    evaluate(2.7, 3.4);
    draw();
    double frame[6], ground[4];
    assert_int_equal(read_class("frame", frame, 6), 6);
    assert_int_equal(read_class("path", ground, 4), 4);
    double rise = (frame[3] - frame[1]) / (frame[2] - frame[0]), unit_m = metres_a_unit();
    double high_m = (ground[1] - frame[1]) * unit_m - rise * 3.0;
    check_cited("ray2002", "upper edge over the mark", high_m, 1.708, 2.0 * ROUNDING * unit_m + 0.001);
    assert_non_null(strstr(svg_bytes, ">29 cm to 1.71 m up</text>"));
}

/* cited: the edges of a flash's beam open half its coverage up and down from its aim [beam-edge] */
static void test_side_beam_edges(void **state)
{
    (void)state;
    double edge[6];
    read_plan("[flash key]\nplace = 2 m before, 1 m up\naim = 1 m up\ncoverage = 50 deg\n");
    evaluate(2.7, 3.4);
    draw();
    assert_int_equal(read_class("edge", edge, 6), 6); /* low, flash, high */
    double low = atan2(edge[3] - edge[1], edge[0] - edge[2]), high = atan2(edge[3] - edge[5], edge[4] - edge[2]);
    check_cited("beam-edge", "lower edge", low, -25.0 * 0.017453293, 0.001);
    check_cited("beam-edge", "upper edge", high, 25.0 * 0.017453293, 0.001);
    assert_null(strstr(svg_bytes, "<g opacity"));
}

/* identity: a sideways flash opens to the same heights over the mark, and stands back by being faint */
static void test_side_beam_beside_the_section(void **state)
{
    (void)state;
    double edge[6], ground[4];
    read_plan("[flash key]\nplace = 2 m left, 2 m before, 1 m up\naim = 1 m up\ncoverage = 50 deg\n");
    evaluate(2.7, 3.4);
    draw();
    assert_int_equal(read_class("edge", edge, 6), 6);
    assert_int_equal(read_class("path", ground, 4), 4);
    double rise = (edge[3] - edge[5]) / (edge[4] - edge[2]), unit_m = metres_a_unit();
    double up_m = (ground[1] - edge[3]) * unit_m + rise * 2.0;
    check_near("upper edge over the mark", up_m, 1.0 + hypot(2.0, 2.0) * tan(25.0 * 0.017453293), 0.01);
    assert_non_null(strstr(svg_bytes, "<g opacity=\".5\"><path class=\"flash\""));
}

/* identity: what the animal stands on is drawn and named only when it stands above the ground */
static void test_side_perch(void **state)
{
    (void)state;
    read_plan("[stage]\nmark height = 70 cm\n");
    evaluate(2.7, INFINITY);
    check_drawing(draw());
    assert_non_null(strstr(svg_bytes, ">stands 70 cm up</text>"));
    assert_non_null(strstr(svg_bytes, ">to the horizon</text>"));
    assert_non_null(strstr(svg_bytes, "stands 70 cm up; its middle is"));
    read_plan("");
    draw();
    assert_null(strstr(svg_bytes, ">stands"));
}

/* identity: the section runs through camera and mark wherever the camera stands; sides count from it */
static void test_side_turns_with_the_camera(void **state)
{
    (void)state;
    read_plan("[camera]\nplace = 1.8 m left, 2.4 m before, 70 cm up\n[flash key]\nplace = 2.4 m before, 1.6 m up\n");
    evaluate(2.7, 3.4);
    check_drawing(draw());
    assert_non_null(strstr(svg_bytes, "The camera: 70 cm up, 3 m before the mark."));
    /* (0, -2.4) against the way (0.6, 0.8) from camera to mark: 1.92 m before, 1.44 m right of it */
    assert_non_null(strstr(svg_bytes, "Flash key: 1.6 m up, 1.92 m before the mark, 1.44 m right, power"));
}

/* identity: earth covers light that falls into it, but never a device that stands lower than the mark */
static void test_side_ground(void **state)
{
    (void)state;
    read_plan(three_flashes);
    evaluate(2.7, 3.4);
    draw();
    assert_true(strstr(svg_bytes, "class=\"frame\" d") < strstr(svg_bytes, "class=\"path\""));
    read_plan("[camera]\nplace = 2 m before, 1.2 m down\n");
    draw();
    assert_true(strstr(svg_bytes, "class=\"path\"") < strstr(svg_bytes, "class=\"frame\" d"));
    assert_non_null(strstr(svg_bytes, "1.2 m down"));
}

/* identity: a camera above the mark that leans away from it, and one without a view, show no frame over the mark */
static void test_side_without_frame(void **state)
{
    (void)state;
    read_plan("[camera]\nplace = 30 cm before, 3 m up\naim = 40 cm before\n");
    evaluate(2.7, 3.4);
    check_drawing(draw());
    assert_null(strstr(svg_bytes, "frame at the mark"));
    assert_null(strstr(svg_bytes, "Over the mark"));
    plan.camera.aim = plan.camera.place;
    draw();
    check_balance(svg_bytes);
    assert_null(strstr(svg_bytes, "class=\"frame\" d"));
}

/* fault: extreme stages; every label still has its own place */
static void test_side_extremes(void **state)
{
    (void)state;
    static const char *const plans[] = {
        "[camera]\nplace = 60 m before, 1 m up\n[lens]\nfocal length = 400 mm\n[flash key]\nplace = 1 m left, 1 m up\n",
        "[stage]\nmark height = 20 m\n[camera]\nplace = 2.5 m before, 20.5 m up\n"
        "[flash key]\nplace = 1 m left, 1 m before, 21 m up\n",
        "[stage]\nmark height = 4 m\n[camera]\nplace = 1 m before, 10 cm up\n"
        "[flash key]\nplace = 1 m left, 1 m before, 60 cm up\n",
        "[camera]\nplace = 20 cm before, 4 m up\n[flash above]\nplace = 2 m up\ncoverage = 180 deg\n",
        "[stage]\nbackdrop distance = 30 cm\npath angle = 90 deg\n[flash a]\nplace = 2 m behind, 1 m up\n"
        "[flash b]\nplace = 3 m behind, 1 m left, 1 m up\n",
        "[flash a]\nplace = 40 cm before, 1 m up\n[flash b]\nplace = 80 cm before, 1 m up\n"
        "[flash c]\nplace = 1.2 m before, 1 m up\n"
        "[flash d]\nplace = 1.6 m before, 1 m up\n[flash e]\nplace = 2 m before, 1 m up\n"
        "[flash f]\nplace = 2.4 m before, 1 m up\n",
        "[flash wwwwwwwwwwwwwwwwwwwwwww]\nplace = 3 cm left, 2.9 m before, 1 m up\n"
        "[flash wwwwwwwwwwwwwwwwwwwwwwb]\nplace = 2.9 m before, 1 m up\n"
        "[flash wwwwwwwwwwwwwwwwwwwwwwc]\nplace = 3 cm right, 2.9 m before, 1 m up\n"
        "[flash wwwwwwwwwwwwwwwwwwwwwwd]\nplace = 6 cm right, 2.9 m before, 1 m up\n"
        "[flash wwwwwwwwwwwwwwwwwwwwwwe]\nplace = 9 cm right, 2.9 m before, 1 m up\n"
        "[flash wwwwwwwwwwwwwwwwwwwwwwf]\nplace = 12 cm right, 2.9 m before, 1 m up\n",
        "[sensor]\nkind = beam\nplace = 50 cm left, 10 cm up\naim = 50 cm right, 10 cm up\n"
        "[stage]\npath angle = 90 deg\nbackdrop distance = 1000 m\n",
        "[sensor]\nkind = beam\nplace = 1 m before, 10 cm down\naim = 1 m behind, 20 cm up\n"
        "[camera]\nplace = 2 m before, 1.5 m down\n",
        "[sensor]\nplace = 1000 m right, 1 m up\nrange = 200 m\nfan height = 90 deg\n"
        "[flash far]\nplace = 1000 m left, 900 m behind, 1000 m up\n",
        "[camera]\nplace = 0.3 m before, 5 cm up\n[lens]\nfocal length = 10 mm\nclosest focus = 10 cm\n"
        "[flash key]\nplace = 10 cm left, 20 cm before, 20 cm up\n",
    };
    for (size_t i = 0; i < sizeof plans / sizeof *plans; i++) {
        read_plan(plans[i]);
        for (int far = 0; far < 2; far++) {
            evaluate(0.2, far ? INFINITY : 70.0);
            check_drawing(draw());
        }
        evaluation = (struct owl_evaluation){0}; /* nothing known of depth or reach */
        check_drawing(draw());
        assert_null(strstr(svg_bytes, "harp from"));
    }
}

/* fault: the smallest of animals is still seen */
static void test_side_smallest_animal(void **state)
{
    (void)state;
    double body[4];
    read_plan("[camera]\nplace = 60 m before, 1 m up\n");
    plan.subject.length_m = plan.subject.width_m = plan.subject.height_m = plan.subject.shoulder_m = 0.01;
    evaluate(50.0, 70.0);
    check_drawing(draw());
    assert_int_equal(read_class("body", body, 4), 4);
    assert_true(body[2] - body[3] / 2.0 < -2.0); /* upwards, in drawing units */
}

/* fault: a buffer too small is noticed at every length, and never written past */
static void test_side_buffer_too_small(void **state)
{
    (void)state;
    static char bytes[OWL_SIDE_BYTES];
    read_plan(three_flashes);
    evaluate(2.7, 3.4);
    size_t whole = strlen(draw());
    for (size_t room = 1; room <= whole; room += room < 64 ? 1 : 97) {
        memset(bytes, '#', sizeof bytes);
        struct owl_text svg = owl_text_over(bytes, room);
        owl_draw_side(&plan, &evaluation, &svg);
        assert_true(svg.cut);
        assert_int_equal(bytes[room - 1], '\0');
        assert_int_equal(bytes[room], '#');
    }
}

/* identity: six flashes with the longest names fit the room that side.h promises */
static void test_side_room_promised(void **state)
{
    (void)state;
    char text[4096] = "[camera]\nplace = 3 m before, 70 cm up\n";
    for (int i = 0; i < OWL_FLASHES; i++)
        (void)snprintf(text + strlen(text), sizeof text - strlen(text),
                       "[flash abcdefghijklmnopqrstuv%d]\nplace = %d.37 m left, 1.11 m before, 1.23 m up\n", i, i);
    read_plan(text);
    evaluate(2.7, 3.4);
    check_drawing(draw());
    assert_true(strlen(svg_bytes) < OWL_SIDE_BYTES * 3 / 4);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_side_is_well_formed),          cmocka_unit_test(test_side_asks_for_nothing),
        cmocka_unit_test(test_side_says_the_plan),           cmocka_unit_test(test_side_is_to_scale),
        cmocka_unit_test(test_side_shows_the_body_across),   cmocka_unit_test(test_side_frame_at_the_mark),
        cmocka_unit_test(test_side_beam_edges),              cmocka_unit_test(test_side_beam_beside_the_section),
        cmocka_unit_test(test_side_perch),                   cmocka_unit_test(test_side_turns_with_the_camera),
        cmocka_unit_test(test_side_ground),                  cmocka_unit_test(test_side_without_frame),
        cmocka_unit_test(test_side_extremes),                cmocka_unit_test(test_side_smallest_animal),
        cmocka_unit_test(test_side_buffer_too_small),        cmocka_unit_test(test_side_room_promised),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
