/* The night ribbon: what it says and where it draws it, for skies and watches of every shape. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/draw/boxes.h"

#include "core/constants.h"
#include "core/draw/ribbon.h"
#include "core/draw/ribbon_scene.h"
#include "core/plan/reader.h"

#define ROWS (OWL_NIGHTS_MOST * OWL_NIGHT_ROWS + 1)
#define MIDDAY_EXPONENT 8.0 /* light runs as exp of a cosine, from e^8 to e^-7 lx */
#define MIDNIGHT_EXPONENT (-7.0)

static char svg_bytes[OWL_RIBBON_BYTES + 1];
static struct owl_plan plan;
static struct owl_evaluation evaluation;
static struct owl_complaints complaints;
static struct owl_night night[OWL_NIGHTS_MOST];
static struct owl_watch_row row[ROWS];
static struct owl_watch_view watch;

static const char usual[] =
    "[site]\nname = by the brook\nlatitude = 57.1 N\nlongitude = 4.5 W\n[watch]\nstart = 2027-01-09\nnights = 10\n"
    "[subject]\nkind = pine marten\n[sensor]\ngate level = 1 lx\n";

static void read_plan(void)
{
    enum owl_status status = owl_plan_read(usual, strlen(usual), &plan, &complaints);
    if (status != OWL_OK)
        print_error("%s\n", complaints.count ? complaints.list[0].words : "no complaint");
    assert_int_equal(status, OWL_OK);
}

/* A made sky: every night alike, local mean noon at noon_s by the clock, which goes forward by change_s at the row
   change_row of the watch. */
struct made {
    double most, least; /* exponents of the light at noon and midnight */
    double noon_s, change_s;
    int change_row;
};

static const struct made plain = {MIDDAY_EXPONENT, MIDNIGHT_EXPONENT, 43200.0, 0.0, ROWS};

static void fill(const struct made *made, int nights)
{
    plan.watch.nights = nights;
    memset(&evaluation, 0, sizeof evaluation);
    evaluation.nights = nights;
    for (int i = 0; i <= nights * OWL_NIGHT_ROWS; i++) {
        double day = i / (double)OWL_NIGHT_ROWS;
        double change_s = i >= made->change_row ? made->change_s : 0.0;
        double clock_s = made->noon_s + fmod(day, 1.0) * OWL_SECONDS_PER_DAY + change_s;
        row[i].light_lx = exp((made->most + made->least) / 2.0 + (made->most - made->least) / 2.0 * cos(OWL_TAU * day));
        row[i].clock_s = clock_s - floor(clock_s / OWL_SECONDS_PER_DAY) * OWL_SECONDS_PER_DAY;
        row[i].anchored_rad = fmod(OWL_PI + OWL_TAU * day, OWL_TAU);
    }
    for (int n = 0; n < nights; n++) {
        night[n] = (struct owl_night){.noon_unix_s = n * OWL_SECONDS_PER_DAY, .moon_lit = 0.5 + 0.5 * cos(n / 4.7)};
        for (int event = 0; event < OWL_SKY_EVENTS; event++)
            night[n].event[event] = (struct owl_sky_event){OWL_EVENT_AT, night[n].noon_unix_s + 20000.0 + 4000.0 * event};
        night[n].event[OWL_MOONRISE].unix_s = night[n].noon_unix_s + fmod(n * 3000.0, 86400.0);
        night[n].event[OWL_MOONSET].unix_s = night[n].noon_unix_s + fmod(n * 3000.0 + 43000.0, 86400.0);
        evaluation.night[n] = (struct owl_night_result){.share = 0.87, .test_unix_s = night[n].noon_unix_s + 22000.0};
    }
    watch = (struct owl_watch_view){.nights = nights, .night = night, .row = row};
    owl_activity_fill(&watch.activity, &plan);
}

static const char *draw(void)
{
    struct owl_text svg = owl_text_over(svg_bytes, OWL_RIBBON_BYTES);
    owl_draw_ribbon(&plan, &evaluation, &watch, &svg);
    assert_false(svg.cut);
    return svg_bytes;
}

static struct owl_ribbon survey(void)
{
    struct owl_ribbon ribbon = {.plan = &plan, .evaluation = &evaluation, .watch = &watch};
    owl_ribbon_survey(&ribbon);
    return ribbon;
}

static void says(const char *words)
{
    if (!strstr(svg_bytes, words))
        print_error("not said: %s\nbut: %.900s\n", words, strstr(svg_bytes, "<desc"));
    assert_non_null(strstr(svg_bytes, words));
}

/* identity: a drawing is well-formed XML whose texts keep apart, with its text for screen readers */
static void test_ribbon_is_well_formed(void **state)
{
    (void)state;
    read_plan();
    fill(&plain, 10);
    assert_true(check_chart(draw()) > 40);
    says("role=\"img\" aria-labelledby=\"owl-ribbon-title owl-ribbon-desc\"");
    says("<title id=\"owl-ribbon-title\">The night ribbon: 10 nights from 2027-01-09</title>");
    says("prefers-color-scheme:dark");
    says(">9 Jan</text>");
    says(">18 Jan</text>");
    says(">87</text>");
    says(">gate at 1 lx</text>");
    says(">come back and test</text>");
}

/* When the made light passes a level, s after noon: solved by hand from the exponential of a cosine. */
static double passes_s(double level_lx)
{
    double middle = (MIDDAY_EXPONENT + MIDNIGHT_EXPONENT) / 2.0, half = (MIDDAY_EXPONENT - MIDNIGHT_EXPONENT) / 2.0;
    return acos((log(level_lx) - middle) / half) / OWL_TAU * OWL_SECONDS_PER_DAY;
}

/* identity: the armed stretch is where the light, known in closed form, is below the gate */
static void test_ribbon_armed_by_the_light(void **state)
{
    (void)state;
    struct owl_ribbon_span span;
    struct owl_ribbon_armed at = {.night = 2};
    read_plan();
    fill(&plain, 5);
    struct owl_ribbon ribbon = survey();
    assert_true(owl_ribbon_next_armed(&ribbon, &at, &span));
    check_near("armed from", span.from * OWL_ROW_STEP_S, passes_s(1.0), 5.0);
    check_near("armed to", span.to * OWL_ROW_STEP_S, OWL_SECONDS_PER_DAY - passes_s(1.0), 5.0);
    assert_false(owl_ribbon_next_armed(&ribbon, &at, &span));
    assert_int_equal(ribbon.armed_nights, 5);
    check_near("earliest by the clock", ribbon.armed_s.from, 43200.0 + passes_s(1.0), 5.0);
    plan.sensor.gate = OWL_GATE_DAY;
    at = (struct owl_ribbon_armed){.night = 0};
    assert_true(owl_ribbon_next_armed(&ribbon, &at, &span));
    check_near("day gate from noon", span.from, 0.0, 0.0);
    check_near("day gate to dusk", span.to * OWL_ROW_STEP_S, passes_s(1.0), 5.0);
    assert_true(owl_ribbon_next_armed(&ribbon, &at, &span));
    check_near("day gate to noon", span.to, OWL_NIGHT_ROWS, 0.0);
}

/* identity: armed hours by the clock cut the light gate's, to the minute, over midnight too */
static void test_ribbon_armed_by_the_clock(void **state)
{
    (void)state;
    read_plan();
    plan.watch.from_s = 21.0 * 3600.0 + 180.0;
    plan.watch.to_s = 2.0 * 3600.0 + 420.0;
    fill(&(struct made){MIDDAY_EXPONENT, MIDNIGHT_EXPONENT, 44700.0, 0.0, ROWS}, 3);
    draw();
    says("Evening of 2027-01-09: armed from 21:03 to 02:07, come back");
    plan.sensor.gate = OWL_GATE_ALWAYS;
    plan.watch.from_s = 20.0 * OWL_SECONDS_PER_HOUR;
    plan.watch.to_s = 19.0 * OWL_SECONDS_PER_HOUR;
    draw();
    says("armed from 12:25 to 19:00, and from 20:00 to 12:25");
}

/* identity: the line under a row begins at the armed minute on the axis that the hours' labels tell */
static void test_ribbon_line_stands_at_its_hour(void **state)
{
    (void)state;
    read_plan();
    plan.watch.from_s = 21.0 * 3600.0;
    plan.watch.to_s = 3.0 * 3600.0;
    fill(&plain, 8);
    draw();
    char *end;
    double from = strtod(strstr(strstr(svg_bytes, "class=\"armed\""), "d=\"M") + 4, &end);
    double to = strtod(strchr(end, 'H') + 1, NULL);
    const char *evening = strstr(svg_bytes, ">21:00</text>"), *morning = strstr(svg_bytes, ">03:00</text>");
    assert_non_null(evening);
    assert_non_null(morning);
    while (memcmp(evening, " x=\"", 4) != 0)
        evening--;
    while (memcmp(morning, " x=\"", 4) != 0)
        morning--;
    check_near("armed at 21:00", from, strtod(evening + 4, NULL), 0.11);
    check_near("disarmed at 03:00", to, strtod(morning + 4, NULL), 0.11);
}

/* identity: the axis holds the whole dark and all armed time, or the whole day where they need it */
static void test_ribbon_axis_holds_dark_and_armed(void **state)
{
    (void)state;
    read_plan();
    fill(&plain, 4);
    struct owl_ribbon ribbon = survey();
    double dark_s = 43200.0 + passes_s(10.0);
    assert_true(ribbon.from_s <= dark_s && ribbon.from_s > dark_s - 2.0 * OWL_SECONDS_PER_HOUR);
    check_near("as far from midnight", ribbon.to_s - 86400.0, 86400.0 - ribbon.from_s, 3600.0);
    plan.sensor.gate = OWL_GATE_DAY;
    ribbon = survey();
    check_near("from noon", ribbon.from_s, 43200.0, 0.0);
    check_near("to noon", ribbon.to_s, 43200.0 + 86400.0, 0.0);
    fill(&(struct made){9.0, 7.0, 46000.0, 0.0, ROWS}, 4);
    plan.sensor.gate = OWL_GATE_NIGHT;
    ribbon = survey();
    assert_int_equal(ribbon.armed_nights, 0);
    check_near("midnight sun from the hour of noon", ribbon.from_s, 43200.0, 0.0);
    check_near("midnight sun to the next", ribbon.to_s, 43200.0 + 90000.0, 0.0);
}

/* identity: nights after a change of the clock stand an hour on, and its own row has the gap */
static void test_ribbon_clock_changes(void **state)
{
    (void)state;
    read_plan();
    fill(&(struct made){MIDDAY_EXPONENT, MIDNIGHT_EXPONENT, 43200.0, 3600.0, 3 * OWL_NIGHT_ROWS + 84}, 6);
    struct owl_ribbon ribbon = survey();
    for (int n = 0; n < 6; n++)
        check_near("change of the night", owl_ribbon_clock_change_s(&ribbon, n), n == 3 ? 3600.0 : 0.0, 0.0);
    check_near("before", owl_ribbon_clock_s(&ribbon, 3, 83.5), 43200.0 + 83.5 * 600.0, 1e-6);
    check_near("after", owl_ribbon_clock_s(&ribbon, 3, 84.0), 43200.0 + 84.0 * 600.0 + 3600.0, 1e-6);
    check_chart(draw());
    says("In the night from 12 Jan the clock goes forward by 1 h.");
    fill(&(struct made){MIDDAY_EXPONENT, MIDNIGHT_EXPONENT, 46800.0, -1800.0, 90}, 1);
    check_chart(draw());
    says("In the night from 9 Jan the clock goes back by 30 min.");
    fill(&(struct made){MIDDAY_EXPONENT, MIDNIGHT_EXPONENT, 600.0, -3600.0, 2 * OWL_NIGHT_ROWS}, 5);
    ribbon = survey();
    check_near("noon by the clock moves over midnight", owl_ribbon_clock_s(&ribbon, 4, 0.0), -3000.0, 1e-6);
    check_chart(draw());
}

static void sun_stays(enum owl_sky_event_what what)
{
    for (int n = 0; n < watch.nights; n++)
        night[n].event[OWL_SUNSET].what = night[n].event[OWL_SUNRISE].what = what;
}

/* identity: polar night, midnight sun, never armed, always armed are said */
static void test_ribbon_says_what_is_odd(void **state)
{
    (void)state;
    read_plan();
    fill(&(struct made){2.0, -7.0, 43200.0, 0.0, ROWS}, 9);
    sun_stays(OWL_EVENT_ALWAYS_DOWN);
    check_chart(draw());
    says("The sun stays down all the time.");
    fill(&(struct made){9.0, 6.0, 43200.0, 0.0, ROWS}, 9);
    sun_stays(OWL_EVENT_ALWAYS_UP);
    for (int n = 0; n < 9; n++)
        evaluation.night[n] = (struct owl_night_result){.share = 0.0, .test_unix_s = NAN};
    check_chart(draw());
    says("The sun stays up all the time.");
    says("Never armed: no minute of this watch is within the hours set and passes the light gate.");
    says("Evening of 2027-01-09: not armed, moon lit");
    night[0].event[OWL_SUNSET].what = OWL_EVENT_AT;
    for (int i = 0; i < OWL_NIGHT_ROWS; i++)
        row[i].light_lx = 1e-3;
    check_chart(draw());
    says("Not armed at all in 8 nights. The sun stays up for 8 nights.");
    plan.sensor.gate = OWL_GATE_ALWAYS;
    check_chart(draw());
    says("Armed at every minute.");
    assert_null(strstr(svg_bytes, "gate at"));
}

/* identity: shades are two thirds of a power of ten wide, in order, and hold every light */
static void test_ribbon_shades(void **state)
{
    (void)state;
    for (int shade = 0; shade < OWL_RIBBON_SHADES; shade++) {
        double edge_lx = pow(10.0, -4.0 + 2.0 * shade / 3.0);
        check_near("its dark edge", owl_ribbon_shade_lx(shade) / edge_lx, 1.0, 1e-12);
        assert_int_equal(owl_ribbon_shade(edge_lx * 1.01), shade);
        assert_int_equal(owl_ribbon_shade(edge_lx * 0.99), shade > 0 ? shade - 1 : 0);
    }
    assert_int_equal(owl_ribbon_shade(0.0), 0);
    assert_int_equal(owl_ribbon_shade(1.2e5), OWL_RIBBON_SHADES - 1);
}

static int moon_spans(const struct owl_ribbon *ribbon, enum owl_sky_event_what rise, double rise_s, enum owl_sky_event_what set,
                      double set_s, struct owl_ribbon_span span[2])
{
    night[0].event[OWL_MOONRISE] = (struct owl_sky_event){rise, night[0].noon_unix_s + rise_s};
    night[0].event[OWL_MOONSET] = (struct owl_sky_event){set, night[0].noon_unix_s + set_s};
    return owl_ribbon_moon(ribbon, 0, span);
}

/* identity: the moon is up from rising to setting, whichever comes first, and shown between sunset and sunrise */
static void test_ribbon_moon(void **state)
{
    (void)state;
    struct owl_ribbon_span span[2];
    const enum owl_sky_event_what at = OWL_EVENT_AT, none = OWL_EVENT_NONE;
    const enum owl_sky_event_what up = OWL_EVENT_ALWAYS_UP, down = OWL_EVENT_ALWAYS_DOWN;
    read_plan();
    fill(&plain, 1);
    night[0].event[OWL_SUNSET] = (struct owl_sky_event){at, night[0].noon_unix_s + 18000.0};
    night[0].event[OWL_SUNRISE] = (struct owl_sky_event){at, night[0].noon_unix_s + 66000.0};
    struct owl_ribbon ribbon = survey();
    assert_int_equal(moon_spans(&ribbon, at, 30000.0, at, 60000.0, span), 1);
    check_near("rises", span[0].from, 50.0, 1e-9);
    check_near("sets", span[0].to, 100.0, 1e-9);
    assert_int_equal(moon_spans(&ribbon, at, 60000.0, at, 30000.0, span), 2);
    check_near("up at sunset", span[0].from, 30.0, 1e-9);
    check_near("sets before", span[0].to, 50.0, 1e-9);
    check_near("rises again", span[1].from, 100.0, 1e-9);
    check_near("up at sunrise", span[1].to, 110.0, 1e-9);
    assert_int_equal(moon_spans(&ribbon, at, 3000.0, at, 12000.0, span), 0);
    assert_int_equal(moon_spans(&ribbon, at, 30000.0, none, NAN, span), 1);
    check_near("does not set", span[0].to, 110.0, 1e-9);
    assert_int_equal(moon_spans(&ribbon, none, NAN, at, 30000.0, span), 1);
    check_near("does not rise", span[0].from, 30.0, 1e-9);
    assert_int_equal(moon_spans(&ribbon, up, NAN, up, NAN, span), 1);
    assert_int_equal(moon_spans(&ribbon, down, NAN, down, NAN, span), 0);
    sun_stays(down);
    assert_int_equal(moon_spans(&ribbon, up, NAN, up, NAN, span), 1);
    check_near("all of a polar night", span[0].to - span[0].from, OWL_NIGHT_ROWS, 1e-9);
    sun_stays(up);
    assert_int_equal(moon_spans(&ribbon, up, NAN, up, NAN, span), 0);
}

/* identity: the profile has the shape of the animal's activity: its peak is 1, at the hour of the pattern's peak */
static void test_ribbon_activity(void **state)
{
    (void)state;
    double share[OWL_RIBBON_BINS], most = 0.0, at_rad = 0.0;
    read_plan();
    fill(&plain, 3);
    struct owl_ribbon ribbon = survey();
    int bins = owl_ribbon_activity(&ribbon, share), peak = 0;
    assert_int_equal(bins, (int)((ribbon.to_s - ribbon.from_s) / 600.0));
    for (int i = 0; i < bins; i++)
        peak = share[i] > share[peak] ? i : peak;
    check_near("peak", share[peak], 1.0, 1e-12);
    for (double rad = 0.0; rad < OWL_TAU; rad += 0.001) {
        double density = owl_activity_at(&watch.activity, plan.subject.pattern, rad);
        at_rad = density > most ? rad : at_rad;
        most = fmax(most, density);
    }
    double peak_s = fmod(ribbon.from_s + peak * 600.0, OWL_SECONDS_PER_DAY);
    check_near("hour of the peak", peak_s, at_rad / OWL_TAU * OWL_SECONDS_PER_DAY, 1200.0);
}

/* fault: watches of every length, thin rows and full ones; every text has its own place */
static void test_ribbon_every_length(void **state)
{
    (void)state;
    static const int lengths[] = {1, 2, 3, 14, 27, 42, 60, 61, 75, 180, 181, 366};
    read_plan();
    for (size_t i = 0; i < sizeof lengths / sizeof *lengths; i++) {
        fill(&(struct made){MIDDAY_EXPONENT, MIDNIGHT_EXPONENT, 45000.0, 3600.0, 100}, lengths[i]);
        check_chart(draw());
        says(">9 Jan</text>");
        assert_true(strlen(svg_bytes) < 180000);
    }
    says(">1 Jul</text>");
    says("edge of armed time");
    says("The night ribbon: 366 nights");
    fill(&plain, 42);
    draw();
    says(">17 Jan</text>");
    says(">19 Feb</text>");
    assert_true(strlen(svg_bytes) < 60000);
}

/* A light that jumps over the gate every so many rows: two and four give every cell of full and of thin rows another
   shade than its neighbours. */
static void flicker(int nights, int period)
{
    fill(&(struct made){MIDDAY_EXPONENT, MIDNIGHT_EXPONENT, 43200.0, 0.0, ROWS}, nights);
    for (int i = 0; i <= nights * OWL_NIGHT_ROWS; i++)
        row[i].light_lx = i / period % 2 ? 1e-4 : 3000.0 + i % 7;
}

/* fault: the room promised holds what no sky does */
static void test_ribbon_room_promised(void **state)
{
    (void)state;
    static const enum owl_gate gates[] = {OWL_GATE_NIGHT, OWL_GATE_DAY};
    size_t most = 0;
    read_plan();
    for (int i = 0; i < 2; i++) {
        for (int period = 1; period <= 4; period++) {
            flicker(366, period);
            plan.sensor.gate = (int)gates[i];
            check_chart(draw());
            most = strlen(svg_bytes) > most ? strlen(svg_bytes) : most;
            flicker(60, period);
            check_chart(draw());
        }
    }
    assert_true(most > OWL_RIBBON_BYTES / 2); /* or this sky is no trial */
}

/* fault: a buffer too small is noticed and never written past */
static void test_ribbon_buffer_too_small(void **state)
{
    (void)state;
    read_plan();
    fill(&plain, 4);
    size_t whole = strlen(draw());
    for (size_t room = 1; room <= whole; room += room < 64 ? 1 : 97) {
        memset(svg_bytes, '#', sizeof svg_bytes);
        struct owl_text svg = owl_text_over(svg_bytes, room);
        owl_draw_ribbon(&plan, &evaluation, &watch, &svg);
        assert_true(svg.cut);
        assert_int_equal(svg_bytes[room - 1], '\0');
        assert_int_equal(svg_bytes[room], '#');
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_ribbon_is_well_formed),           cmocka_unit_test(test_ribbon_armed_by_the_light),
        cmocka_unit_test(test_ribbon_armed_by_the_clock),       cmocka_unit_test(test_ribbon_line_stands_at_its_hour),
        cmocka_unit_test(test_ribbon_axis_holds_dark_and_armed), cmocka_unit_test(test_ribbon_clock_changes),
        cmocka_unit_test(test_ribbon_says_what_is_odd),         cmocka_unit_test(test_ribbon_shades),
        cmocka_unit_test(test_ribbon_moon),                     cmocka_unit_test(test_ribbon_activity),
        cmocka_unit_test(test_ribbon_every_length),             cmocka_unit_test(test_ribbon_room_promised),
        cmocka_unit_test(test_ribbon_buffer_too_small),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
