/* The drawings of a rehearsal: steps, bands and bars where the numbers say, and texts that keep apart. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/draw/boxes.h"

#include "core/draw/curves.h"
#include "core/plan/reader.h"

#define ROOM 24576

static char svg_bytes[ROOM + 1], plan_text[2048];
static struct owl_plan plan;
static struct owl_evaluation evaluation;
static struct owl_complaints complaints;
static struct owl_rehearsal rehearsal;

enum drawing { KEEPERS, CELLS, PLANNED, LEDGER, DRAWINGS };

static const size_t room_of[DRAWINGS] = {OWL_KEEPERS_BYTES, OWL_CELLS_BYTES, OWL_CELLS_BYTES, OWL_LEDGER_BYTES};

static void draw_into(enum drawing drawing, struct owl_text *svg)
{
    switch (drawing) {
    case KEEPERS: owl_draw_keepers(&plan, &rehearsal, svg); break;
    case CELLS: owl_draw_cells(&plan, &evaluation, &rehearsal, svg); break;
    case PLANNED: owl_draw_cells(&plan, &evaluation, NULL, svg); break;
    default: owl_draw_ledger(&plan, &rehearsal, svg); break;
    }
}

static const char *draw(enum drawing drawing)
{
    struct owl_text svg = owl_text_over(svg_bytes, room_of[drawing]);
    draw_into(drawing, &svg);
    assert_false(svg.cut);
    check_chart(svg_bytes);
    return svg_bytes;
}

static void says(const char *words)
{
    if (!strstr(svg_bytes, words))
        print_error("not said: %s\nbut: %.1200s\n", words, strstr(svg_bytes, "<desc"));
    assert_non_null(strstr(svg_bytes, words));
}

static void read_plan(int flashes, const char *name)
{
    strcpy(plan_text, "[site]\nlatitude = 57.1 N\nlongitude = 4.5 W\n[watch]\nstart = 2027-01-09\nnights = 10\n"
                      "[subject]\nkind = pine marten\n");
    for (int i = 0; i < flashes; i++)
        (void)snprintf(plan_text + strlen(plan_text), sizeof plan_text - strlen(plan_text),
                       "[flash %s%d]\nplace = %d.1 m left, 1 m before, 1 m up\n", name, i, i);
    enum owl_status status = owl_plan_read(plan_text, strlen(plan_text), &plan, &complaints);
    if (status != OWL_OK)
        print_error("%s\n", complaints.count ? complaints.list[0].words : "no complaint");
    assert_int_equal(status, OWL_OK);
}

static struct owl_spread spread(double mean, double low, double middle, double high)
{
    return (struct owl_spread){mean, low, middle, high};
}

/* A rehearsal in which night n gives a keeper with chance p, everything lasts, and the plan says 100 nights of all. */
static void rehearse(int nights, double p)
{
    memset(&rehearsal, 0, sizeof rehearsal);
    memset(&evaluation, 0, sizeof evaluation);
    rehearsal.nights = evaluation.nights = nights;
    rehearsal.seasons = 2000;
    for (int n = 0; n <= nights; n++)
        rehearsal.odds[n] = 1.0 - pow(1.0 - p, n);
    for (int store = 0; store <= OWL_RIG_CARD; store++) {
        rehearsal.lasts[store] = 1.0;
        rehearsal.out_nights[store] = spread(NAN, INFINITY, INFINITY, INFINITY);
        if (store < OWL_DEVICE_FLASH + plan.flashes)
            (void)owl_outcome_note(&evaluation.outcome, OWL_RESULT_CELLS_NIGHTS, store, 100.0, 1, (const double[]){0.0});
    }
    (void)owl_outcome_note(&evaluation.outcome, OWL_RESULT_CARD_NIGHTS, 0, 5000.0, 1, (const double[]){0.0});
}

static double after(const char *from, const char *words)
{
    const char *found = strstr(from, words);
    assert_non_null(found);
    return strtod(found + strlen(words), NULL);
}

/* identity: the nights told are the first at whose end the chance is reached: 1 - 0.9^n passes 0.5, 0.8, 0.95 at 7, 16, 29 */
static void test_curves_keepers_tell_the_nights(void **state)
{
    (void)state;
    read_plan(2, "f");
    rehearse(42, 0.1);
    draw(KEEPERS);
    says("At least one keeper: 50 % sure by the end of night 7; 80 % by that of night 16; 95 % by that of night 29.");
    says("By the end of the watch: 98.8 %. From 2000 rehearsed seasons.");
    says("role=\"img\" aria-labelledby=\"owl-keepers-title owl-keepers-desc\"");
    says(">7</text>");
    says(">16</text>");
    says(">29</text>");
    rehearse(10, 0.1);
    draw(KEEPERS);
    says("50 % sure by the end of night 7; 80 % not within this watch; 95 % not within this watch.");
}

/* identity: the curve steps up at the end of each night, evenly along, as high as the odds are */
static void test_curves_keepers_step(void **state)
{
    (void)state;
    read_plan(0, "");
    rehearse(20, 0.2);
    draw(KEEPERS);
    char *c = (char *)(uintptr_t)(strstr(strstr(svg_bytes, "line curve"), "d=\"M") + 4);
    double left = strtod(c, &c), bottom = strtod(c, &c), x = left, y = bottom, first = NAN, rise = NAN;
    for (int n = 1; n <= 20; n++) {
        assert_int_equal(*c, 'H');
        double to = strtod(c + 1, &c);
        assert_int_equal(*c, 'V');
        y = strtod(c + 1, &c);
        first = n == 1 ? to - left : first;
        rise = n == 1 ? (bottom - y) / rehearsal.odds[1] : rise;
        check_near("night", to - x, first, 0.21);
        check_near("odds", (bottom - y) / rise, rehearsal.odds[n], 0.004);
        x = to;
    }
    assert_int_equal(*c, '"');
    check_near("the mark of one half stands at night 4", after(svg_bytes, "cx=\"") - left, 4.0 * first, 0.41);
}

/* fault: odds of every kind and watches of every length, texts still apart, in the room promised */
static void test_curves_keepers_every_length(void **state)
{
    (void)state;
    static const int lengths[] = {1, 2, 7, 42, 90, 366};
    static const double chances[] = {0.0, 1e-3, 0.02, 0.4, 0.97, 1.0};
    read_plan(1, "f");
    for (size_t i = 0; i < sizeof lengths / sizeof *lengths; i++) {
        for (size_t k = 0; k < sizeof chances / sizeof *chances; k++) {
            rehearse(lengths[i], chances[k]);
            draw(KEEPERS);
            draw(CELLS);
            draw(LEDGER);
        }
    }
}

/* identity: what runs out is told and drawn: the band is full to the night 5 of 100 do not exceed and ends at that of 95 */
static void test_curves_cells_run_out(void **state)
{
    (void)state;
    read_plan(2, "f");
    rehearse(40, 0.1);
    rehearsal.lasts[0] = 0.0;
    rehearsal.out_nights[0] = spread(NAN, 10.0, 20.0, 30.0);
    rehearsal.lasts[1] = 0.93;
    rehearsal.out_nights[1] = spread(NAN, 38.0, INFINITY, INFINITY);
    rehearsal.lasts[2] = 0.0;
    rehearsal.out_nights[2] = spread(NAN, 36.9, 36.9, 36.9);
    draw(CELLS);
    says(">camera: out after 10 to 30 nights; by the plan 100 nights</text>");
    says(">f0: out after 36.9 nights; by the plan 100 nights</text>");
    says("sensor: lasts in 93 % of the seasons; in 5 of 100 out after 38 nights; by the plan 100 nights.");
    says(">f1: lasts in every season; by the plan 100 nights</text>");
    says("card: lasts in every season; by the plan more than ten years");
    const char *track = strstr(svg_bytes, "class=\"track\""), *band = strstr(svg_bytes, "class=\"lives\"");
    double left = after(track, " x=\""), width = after(track, "width=\""), height = after(track, " height=\"");
    double at[5], up[5];
    char *c = (char *)(uintptr_t)(strstr(band, "d=\"M") + 4);
    for (int i = 0; i < 5; i++, c++) {
        at[i] = (strtod(c, &c) - left) / width * 40.0;
        up[i] = strtod(c, &c);
    }
    static const double night[] = {0.0, 10.0, 10.0, 20.0, 30.0}, share[] = {1.0, 1.0, 0.95, 0.5, 0.05};
    double middle = after(track, " y=\"") + height / 2.0;
    for (int i = 0; i < 5; i++) {
        check_near("night", at[i], night[i], 0.02);
        check_near("share", (middle - up[i]) / height * 2.0, share[i], 0.02);
    }
}

/* identity: the plan's mark stands at its night, and only within the watch; without a rehearsal it is the band's end */
static void test_curves_cells_by_the_plan(void **state)
{
    (void)state;
    read_plan(1, "f");
    rehearse(200, 0.1);
    draw(CELLS);
    const char *track = strstr(svg_bytes, "class=\"track\"");
    double left = after(track, " x=\""), width = after(track, "width=\"");
    check_near("mark at night 100 of 200", after(strstr(svg_bytes, "class=\"plan\""), " x=\"") + 1.5 - left, width / 2.0, 0.11);
    draw(PLANNED);
    says(">camera: 100 nights</text>");
    says("Not rehearsed: by the plan, at average use.");
    double end = after(strstr(strstr(svg_bytes, "class=\"lives\""), "d=\"M"), "L");
    check_near("band to night 100 of 200", end - left, width / 2.0, 0.11);
    rehearse(20, 0.1);
    draw(CELLS);
    assert_null(strstr(svg_bytes, "class=\"plan\""));
}

/* fault: six flashes with the widest names, all running out at odd times, fit sheet and room */
static void test_curves_cells_extremes(void **state)
{
    (void)state;
    read_plan(OWL_FLASHES, "wwwwwwwwwwwwwwwwwwwwww");
    rehearse(366, 0.01);
    for (int store = 0; store <= OWL_RIG_CARD; store++) {
        rehearsal.lasts[store] = 0.123;
        rehearsal.out_nights[store] = spread(NAN, store * 40.123, 365.9, INFINITY);
    }
    draw(CELLS);
    assert_true(strlen(svg_bytes) < OWL_CELLS_BYTES / 2);
    memset(&evaluation.outcome, 0, sizeof evaluation.outcome);
    draw(CELLS);
    draw(PLANNED);
}

static double bar_width(const char *class)
{
    const char *bar = strstr(svg_bytes, class);
    assert_non_null(bar);
    return after(bar, "width=\"");
}

/* identity: bars are as long as their counts, the mark stands where its count is, and both are told */
static void test_curves_ledger_to_scale(void **state)
{
    (void)state;
    read_plan(1, "f");
    rehearse(30, 0.1);
    rehearsal.passes = spread(21.0, 10.0, 20.0, 30.0);
    rehearsal.first[OWL_LEDGER_KEEPER] = spread(12.0, 6.0, 12.0, 20.0);
    rehearsal.first[OWL_LEDGER_DIM] = spread(9.0, 4.0, 9.0, 14.0);
    rehearsal.only[OWL_LEDGER_DIM] = spread(6.0, 2.0, 6.0, 9.0);
    rehearsal.only[OWL_LEDGER_SOFT] = spread(0.001, 0.0, 0.0, 0.0);
    draw(LEDGER);
    double kept = bar_width("<rect class=\"kept\""), lost = bar_width("<rect class=\"lost\"");
    check_near("12 to 9", kept / lost, 12.0 / 9.0, 0.01);
    double left = after(strstr(svg_bytes, "<rect class=\"kept\""), " x=\"");
    const char *mark = strstr(strstr(svg_bytes, "class=\"wins\"") + 1, "class=\"wins\"");
    check_near("its mark", after(mark, "L") - left, kept / 2.0, 0.21);
    says(">12.0</text>");
    says(">9.00</text>");
    says(">6.00</text>");
    says("&lt;0.01</text>");
    says("dim: 9, in most seasons 4 to 14; mended alone, wins 6.");
    for (int row = 0; row < OWL_LEDGER_ROWS; row++)
        says(owl_ledger_word((enum owl_ledger_row)row));
}

/* fault: an empty ledger, and one with the most passes there can be */
static void test_curves_ledger_extremes(void **state)
{
    (void)state;
    read_plan(1, "f");
    rehearse(366, 0.0);
    draw(LEDGER);
    for (int row = 0; row < OWL_LEDGER_ROWS; row++) {
        rehearsal.first[row] = spread(49999.4, 123.0, 5000.0, 50000.0);
        rehearsal.only[row] = spread(49999.4, 123.0, 5000.0, 50000.0);
    }
    draw(LEDGER);
    assert_true(strlen(svg_bytes) < OWL_LEDGER_BYTES * 2 / 3);
}

/* fault: a buffer too small is noticed and never written past */
static void test_curves_buffer_too_small(void **state)
{
    (void)state;
    read_plan(2, "f");
    rehearse(42, 0.1);
    for (enum drawing drawing = KEEPERS; drawing < DRAWINGS; drawing++) {
        size_t whole = strlen(draw(drawing));
        for (size_t room = 1; room <= whole; room += room < 64 ? 1 : 97) {
            memset(svg_bytes, '#', sizeof svg_bytes);
            struct owl_text svg = owl_text_over(svg_bytes, room);
            draw_into(drawing, &svg);
            assert_true(svg.cut);
            assert_int_equal(svg_bytes[room - 1], '\0');
            assert_int_equal(svg_bytes[room], '#');
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_curves_keepers_tell_the_nights), cmocka_unit_test(test_curves_keepers_step),
        cmocka_unit_test(test_curves_keepers_every_length),    cmocka_unit_test(test_curves_cells_run_out),
        cmocka_unit_test(test_curves_cells_by_the_plan),       cmocka_unit_test(test_curves_cells_extremes),
        cmocka_unit_test(test_curves_ledger_to_scale),         cmocka_unit_test(test_curves_ledger_extremes),
        cmocka_unit_test(test_curves_buffer_too_small),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
