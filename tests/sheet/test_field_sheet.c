/* The field sheet: one well-formed page that asks for nothing, says what the plan says, and has a line
   for every night. The sky is made by hand: a sun and a moon on circles. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "support/check.h"
#include "support/markup.h"

#include "core/constants.h"
#include "core/plan/geometry.h"
#include "core/plan/reader.h"
#include "sheet/field_sheet.h"

#define STEP_S 1800.0
#define SKY_ROWS (48 * 369)

static char page_bytes[OWL_SHEET_BYTES], plan_text[8192];
static struct owl_plan plan;
static struct owl_evaluation evaluation;
static struct owl_complaints complaints;
static struct owl_sky_row sky_rows[SKY_ROWS];
static struct owl_sky sky;
static struct owl_night nights[OWL_NIGHTS_MOST];
static struct owl_watch_row rows[OWL_NIGHTS_MOST * OWL_NIGHT_ROWS + 1];
static struct owl_watch_view watch;

static const char usual[] =
    "[site]\nname = larch by the brook\nlatitude = 57.1 N\nlongitude = 4.5 W\nzone = Europe/London\n[watch]\nstart = 2027-01-09\n"
    "nights = 42\n[subject]\nkind = pine marten\n[stage]\nmark height = 60 cm\ntravel = left to right\n"
    "[camera]\nplace = 30 cm right, 3 m before, 70 cm up\n[sensor]\nplace = 55 cm right, 2.9 m before, 80 cm up\npause = 10 min\n"
    "[flash fill]\nplace = 1.5 m right, 1.6 m before, 90 cm up\npower = 1/32\ntrigger voltage = 180 V\n"
    "[flash key]\nplace = 1.2 m left, 1.1 m before, 1.6 m up\npower = 1/8\ntrigger voltage = 5 V\ndiffuser = 1.5 stops\n";

/* A body on a circle: declination and hour angle to east, north, up. */
static void set_vector(double vector[3], double declination_rad, double hour_rad, double latitude_rad)
{
    vector[0] = -cos(declination_rad) * sin(hour_rad);
    vector[1] = sin(declination_rad) * cos(latitude_rad) - cos(declination_rad) * sin(latitude_rad) * cos(hour_rad);
    vector[2] = sin(declination_rad) * sin(latitude_rad) + cos(declination_rad) * cos(latitude_rad) * cos(hour_rad);
}

static void make_sky(void)
{
    int night_count = (int)plan.watch.nights;
    double first_noon_s = (plan.watch.start_days + 0.5 - plan.site.longitude_rad / OWL_TAU) * OWL_SECONDS_PER_DAY, season0 = fmod(plan.watch.start_days, 365.2425) + 10.0;
    sky = (struct owl_sky){.start_unix_s = first_noon_s - 48.0 * STEP_S, .step_s = STEP_S, .count = 48 * (night_count + 2) + 1,
                           .rows = sky_rows, .first_noon_unix_s = first_noon_s, .nights = night_count};
    for (int i = 0; i < sky.count; i++) {
        double days = (i * STEP_S - 48.0 * STEP_S) / OWL_SECONDS_PER_DAY;
        double declination = -0.409 * cos(OWL_TAU * (season0 + days) / 365.2425);
        set_vector(sky_rows[i].sun, declination, OWL_TAU * days, plan.site.latitude_rad);
        set_vector(sky_rows[i].moon, 0.4 * sin(OWL_TAU * days / 27.3), OWL_TAU * days * (1.0 - 1.0 / 29.5), plan.site.latitude_rad);
        sky_rows[i].moon_phase_rad = fabs(remainder(OWL_TAU * (days / 29.5 + 0.5), OWL_TAU));
        sky_rows[i].moon_parallax_rad = 0.0166;
        sky_rows[i].sun_radius_rad = 0.00465;
    }
}

static void set_zone(int count, const struct owl_zone_span *span)
{
    memcpy(sky.zone, span, (size_t)count * sizeof *span);
    sky.zone_count = count;
}

static void read_plan(const char *text)
{
    enum owl_status status = owl_plan_read(text, strlen(text), &plan, &complaints);
    if (status != OWL_OK)
        print_error("%s\n", complaints.count ? complaints.list[0].words : "no complaint");
    assert_int_equal(status, OWL_OK);
    make_sky();
    assert_int_equal(owl_watch_view_fill(&plan, &sky, nights, rows), OWL_OK);
    watch = (struct owl_watch_view){.nights = (int)plan.watch.nights, .night = nights, .row = rows, .sky = &sky};
    owl_activity_fill(&watch.activity, &plan);
    assert_int_equal(owl_plan_evaluate(&plan, &watch, &evaluation), OWL_OK);
}

static void read_usual(const char *more)
{
    plan_text[0] = '\0';
    strcat(strcat(plan_text, usual), more);
    read_plan(plan_text);
}

static const char *write_page(void)
{
    struct owl_text html = owl_text_over(page_bytes, sizeof page_bytes);
    assert_int_equal(owl_sheet_write(&plan, &evaluation, &watch, NULL, &html), OWL_OK);
    assert_false(html.cut);
    return page_bytes;
}

static int count_of(const char *text, const char *words)
{
    int count = 0;
    for (const char *c = strstr(text, words); c; c = strstr(c + 1, words))
        count++;
    return count;
}

static const char *section(const char *page, const char *id)
{
    char opening[64] = "<section id=\"";
    const char *start = strstr(page, strcat(strcat(opening, id), "\""));
    assert_non_null(start);
    return start;
}

static bool section_has(const char *page, const char *id, const char *words)
{
    const char *start = section(page, id), *found = strstr(start, words);
    return found && found < strstr(start, "</section>");
}

/* identity: one well-formed page with its sections in order */
static void test_field_sheet_is_one_page(void **state)
{
    (void)state;
    static const char *const order[] = {"packing", "placing", "stage", "settings", "test", "leaving", "care", "warnings", "sky"};
    read_usual("[bait]\nfood = egg\namount = 50 g\n");
    const char *page = write_page(), *last = page;
    check_balance(page);
    assert_memory_equal(page, "<!DOCTYPE html>\n<html lang=\"en\">", 32);
    assert_non_null(strstr(page, "<meta charset=\"utf-8\"/>"));
    assert_non_null(strstr(page, "name=\"viewport\""));
    for (size_t i = 0; i < sizeof order / sizeof *order; i++) {
        const char *here = section(page, order[i]);
        assert_true(here > last);
        last = here;
    }
    assert_non_null(strstr(page, "Sat 9 Jan 2027"));
    assert_non_null(strstr(page, "Fri 19 Feb 2027</b>, 42 nights")); /* the 42nd evening, counted by hand */
    assert_null(strstr(page, "nan"));
}

#define DRAWINGS 3 /* the stage twice, and the night ribbon */

/* identity: nothing is run and nothing is fetched */
static void test_field_sheet_asks_for_nothing(void **state)
{
    (void)state;
    read_usual("");
    const char *page = write_page();
    assert_int_equal(count_of(page, "<svg"), DRAWINGS);
    assert_int_equal(count_of(page, "http"), DRAWINGS);
    assert_int_equal(count_of(page, "http://www.w3.org/2000/svg\""), DRAWINGS);
    assert_null(strstr(page, "<script"));
    assert_null(strstr(page, "<link"));
    assert_null(strstr(page, "<img"));
    assert_null(strstr(page, "@import"));
    assert_int_equal(count_of(page, "url("), count_of(page, "url(#owl-")); /* the drawings' own clips */
}

/* fault: markup in the user's own words stays words */
static void test_field_sheet_escapes_names(void **state)
{
    (void)state;
    plan_text[0] = '\0';
    strcat(strcat(plan_text, "[site]\nname = <script>alert('\"&\")</script>\n"), strstr(usual, "latitude"));
    char *zone = strstr(plan_text, "Europe/London");
    memcpy(zone, "<b>&\"'</b>abc", 13);
    read_plan(plan_text);
    const char *page = write_page();
    check_balance(page);
    assert_null(strstr(page, "<script"));
    assert_non_null(strstr(page, "&lt;script&gt;alert(&#39;&quot;&amp;&quot;)&lt;/script&gt;</h1>"));
    assert_non_null(strstr(page, "&lt;b&gt;&amp;&quot;&#39;&lt;/b&gt;abc"));
}

/* fault: a buffer too small is said, at every length, and never written past */
static void test_field_sheet_no_room(void **state)
{
    (void)state;
    static char bytes[OWL_SHEET_BYTES];
    read_usual("");
    size_t whole = strlen(write_page());
    for (size_t room = 1; room <= whole; room += 1 + room / 5) {
        memset(bytes, '#', sizeof bytes);
        struct owl_text html = owl_text_over(bytes, room);
        assert_int_equal(owl_sheet_write(&plan, &evaluation, &watch, NULL, &html), OWL_NO_ROOM);
        assert_int_equal(bytes[room - 1], '\0');
        assert_int_equal(bytes[room], '#');
    }
}

static void check_distance_in_step(const char *page, const char *title, const struct owl_point *place)
{
    char wanted[64] = "<b>";
    struct owl_text text = {wanted, sizeof wanted, 3, false};
    owl_unit_show(OWL_UNIT_LENGTH, round(100.0 * hypot(place->x_m, place->y_m)) / 100.0, &text);
    owl_text_words(&text, "</b> from the mark (");
    const char *step = strstr(section(page, "placing"), title);
    assert_non_null(step);
    const char *end = strstr(step, "</li>"), *found = strstr(step, wanted);
    assert_true(found && found < end);
    text = owl_text_over(wanted, sizeof wanted);
    owl_text_words(&text, ", <b>");
    owl_unit_show(OWL_UNIT_LENGTH, place->z_m, &text);
    owl_text_words(&text, "</b> up");
    found = strstr(step, wanted);
    assert_true(found && found < end);
}

/* identity: each placing step's distance and height are those of the plan, key flash before fill */
static void test_field_sheet_distances(void **state)
{
    (void)state;
    read_usual("");
    const char *page = write_page();
    check_distance_in_step(page, "<strong>Camera.", &plan.camera.place);
    check_distance_in_step(page, "<strong>Sensor.", &plan.sensor.place);
    for (int i = 0; i < plan.flashes; i++) {
        char title[64] = "<strong>Flash ";
        check_distance_in_step(page, strcat(title, plan.flash[i].name), &plan.flash[i].place);
    }
    assert_true(section_has(page, "placing", "<b>3.01 m</b> from the mark (<b>30 cm</b> right, <b>3 m</b> before it)"));
    const char *placing = section(page, "placing");
    assert_string_equal(plan.flash[evaluation.key_flash].name, "key");
    assert_true(strstr(placing, "Flash key (the strongest)") < strstr(placing, "Flash fill."));
}

/* identity: when the plan says to move the aim, the step says how far and which way */
static void test_field_sheet_aim_shift(void **state)
{
    (void)state;
    read_usual("");
    evaluation.noticed = true;
    evaluation.aim_shift_m = -0.12;
    assert_true(section_has(write_page(), "placing", "move its aim <b>12 cm</b> to the left along the path"));
    evaluation.aim_shift_m = 0.3;
    assert_true(section_has(write_page(), "placing", "move its aim <b>30 cm</b> to the right along the path"));
    evaluation.both_ways = true;
    assert_false(section_has(write_page(), "placing", "move its aim"));
    evaluation.noticed = false;
    assert_true(section_has(write_page(), "placing", "does not notice this animal"));
}

/* identity: an adapter is packed for the voltage that asks for one, and only for that */
static void test_field_sheet_adapter(void **state)
{
    (void)state;
    read_usual("");
    assert_true(section_has(write_page(), "packing", "Opto-isolated adapter for fill"));
    assert_false(section_has(page_bytes, "packing", "adapter for key"));
    plan.flash[0].trigger_v = 400.0;
    assert_true(section_has(write_page(), "packing", "Leave flash fill at home"));
    plan.flash[0].trigger_v = NAN;
    assert_true(section_has(write_page(), "packing", "Opto-isolated adapter for fill: its trigger voltage has not been measured"));
    plan.flash[0].trigger_v = 5.0;
    assert_false(section_has(write_page(), "packing", "dapter for"));
    assert_false(section_has(page_bytes, "care", "Trigger voltage."));
}

/* identity: the stand-in has the animal's size; bait, bulb and radio bring their own lines */
static void test_field_sheet_follows_plan(void **state)
{
    (void)state;
    read_usual("link = radio\n[bait]\nfood = egg\namount = 50 g\n");
    plan.subject.length_m = 0.48;
    plan.subject.height_m = 0.25;
    plan.camera.shutter_s = INFINITY;
    const char *page = write_page();
    assert_true(section_has(page, "packing", "<b>48 cm</b> long and <b>25 cm</b> high"));
    assert_true(section_has(page, "packing", "Radio link: one sender, <b>1</b> receiver,"));
    assert_true(section_has(page, "packing", "Bait, egg: <b>50 g</b>"));
    assert_true(section_has(page, "settings", "<b>bulb</b>: the sensor holds it open"));
    assert_true(section_has(page, "settings", "Holds the shutter"));
    assert_true(section_has(page, "care", "<strong>Bait.</strong>"));
    plan.bait.food = -1;
    plan.camera.shutter_s = 1.0 / 160.0;
    page = write_page();
    assert_false(section_has(page, "care", "<strong>Bait.</strong>"));
    assert_false(section_has(page, "settings", "Holds the shutter"));
}

/* identity: without flashes nothing is said of them */
static void test_field_sheet_without_flashes(void **state)
{
    (void)state;
    strcpy(plan_text, usual);
    *strstr(plan_text, "[flash fill]") = '\0';
    read_plan(plan_text);
    const char *page = write_page();
    check_balance(page);
    assert_false(section_has(page, "packing", "lash "));
    assert_false(section_has(page, "care", "deadly charge"));
    assert_false(section_has(page, "test", "All flashes"));
    assert_true(section_has(page, "care", "Alone after dark."));
}

/* identity: warnings stand with their changes, dangers marked; without any the sheet says so */
static void test_field_sheet_warnings(void **state)
{
    (void)state;
    read_usual("");
    evaluation.warnings = 2;
    evaluation.warning[0] = (struct owl_warning){true, 1.0, "sharp <edge>", "file it"};
    evaluation.warning[1] = (struct owl_warning){false, 0.354, "too dim", "iso = 800"};
    const char *page = write_page();
    check_balance(page);
    assert_true(section_has(page, "warnings", "Danger:</strong> Sharp &lt;edge&gt;.<br/><strong>Change:</strong> File it."));
    assert_true(section_has(page, "warnings", "Too dim (costs about <b>35 %</b> of its passes).<br/>"));
    assert_non_null(strstr(page, ">2 warnings</a>"));
    evaluation.warnings = 0;
    assert_true(section_has(write_page(), "warnings", "<p>None"));
    assert_null(strstr(page_bytes, "href=\"#warnings\">0"));
}

/* identity: the clock of the site is used, and a change of it within the watch is named */
static void test_field_sheet_clock(void **state)
{
    (void)state;
    read_usual("");
    double noon_s = nights[9].noon_unix_s;
    set_zone(2, (const struct owl_zone_span[]){{sky.start_unix_s, 0, "AAA"}, {noon_s + 40000.0, 3600, "BBB"}});
    evaluation.night[0].test_unix_s = owl_sky_unix_s(&sky, (struct owl_date){2027, 1, 9}, 17 * 3600 + 12 * 60);
    const char *page = write_page();
    assert_true(section_has(page, "sky", "By the clock of Europe/London, <b>UTC</b>; <strong>the clock changes</strong> in the "
                                         "night of <b>Mon 18 Jan</b> to <b>UTC+1</b>."));
    assert_true(section_has(page, "test", "Come back tonight at <b>17:12</b> (Sat 9 Jan)"));
    set_zone(1, (const struct owl_zone_span[]){{sky.start_unix_s, -12600, "CCC"}});
    page = write_page();
    assert_true(section_has(page, "sky", "<b>UTC-3:30</b>."));
    assert_false(section_has(page, "sky", "the clock changes"));
    evaluation.night[0].test_unix_s = NAN;
    assert_true(section_has(write_page(), "test", "does not pass the level"));
}

/* identity: a sky event that does not happen is told in words */
static void test_field_sheet_no_event(void **state)
{
    (void)state;
    read_usual("");
    nights[0].event[OWL_MOONRISE] = (struct owl_sky_event){OWL_EVENT_ALWAYS_UP, NAN};
    nights[0].event[OWL_MOONSET] = (struct owl_sky_event){OWL_EVENT_NONE, NAN};
    nights[0].event[OWL_SUNSET] = (struct owl_sky_event){OWL_EVENT_ALWAYS_DOWN, NAN};
    nights[0].moon_lit = 0.534;
    evaluation.night[0].test_unix_s = NAN;
    assert_true(section_has(write_page(), "sky", "<th scope=\"row\"><span class=\"day\">Sat</span> 9 Jan</th><td>stays down</td><td>none</td><td>stays up</td>"
                                                 "<td>none</td><td>53</td>"));
}

/* identity: the longest watch is complete, and fits the room the header promises */
static void test_field_sheet_longest_watch(void **state)
{
    (void)state;
    strcpy(plan_text, usual);
    char *count = strstr(plan_text, "nights = 42");
    memmove(count + 12, count + 11, strlen(count + 11) + 1);
    memcpy(count, "nights = 366", 12);
    read_plan(plan_text);
    const char *page = write_page();
    check_balance(page);
    assert_int_equal(count_of(section(page, "sky"), "<th scope=\"row\">"), 366);
    assert_true(section_has(page, "sky", "Sun</span> 9 Jan</th>"));
    assert_true(strlen(page) < OWL_SHEET_BYTES / 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_field_sheet_is_one_page),     cmocka_unit_test(test_field_sheet_asks_for_nothing),
        cmocka_unit_test(test_field_sheet_escapes_names),   cmocka_unit_test(test_field_sheet_no_room),
        cmocka_unit_test(test_field_sheet_distances),       cmocka_unit_test(test_field_sheet_aim_shift),
        cmocka_unit_test(test_field_sheet_adapter),         cmocka_unit_test(test_field_sheet_follows_plan),
        cmocka_unit_test(test_field_sheet_without_flashes), cmocka_unit_test(test_field_sheet_warnings),
        cmocka_unit_test(test_field_sheet_clock),           cmocka_unit_test(test_field_sheet_no_event),
        cmocka_unit_test(test_field_sheet_longest_watch),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
