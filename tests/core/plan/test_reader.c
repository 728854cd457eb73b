/* The plan reader: what a photographer writes, and what he is told when it is wrong. */
#include "support/check.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/constants.h"
#include "core/plan/fields.h"
#include "core/plan/reader.h"

#define SITE "[site]\nlatitude = 57.1 N\nlongitude = 4.7 W\n"
#define WATCH "[watch]\nstart = 2027-01-09\nnights = 42\n"
#define SUBJECT "[subject]\nkind = pine marten\n"
#define FLASH "[flash key]\nplace = 1 m left, 1 m before, 1.5 m up\n"
#define SMALL SITE WATCH SUBJECT FLASH

static struct owl_plan plan;
static struct owl_complaints complaints;

static enum owl_status read_text(const char *words)
{
    return owl_plan_read(words, strlen(words), &plan, &complaints);
}

static void expect_well(const char *words)
{
    if (read_text(words) != OWL_OK)
        fail_msg("line %d: %s", complaints.list[0].line, complaints.list[0].words);
}

/* The first complaint stands at line and column and says all the words given. */
static void expect_complaint(const char *words, int line, int column, const char *said, const char *also)
{
    assert_int_equal(read_text(words), OWL_BAD_PLAN);
    const struct owl_complaint *first = &complaints.list[0];
    if (first->line != line || (line && first->column != column) || !strstr(first->words, said) || !strstr(first->words, also))
        fail_msg("%d:%d: %s\n(wanted %d:%d with '%s' and '%s')", first->line, first->column, first->words, line, column, said, also);
}

/* identity: a plan of ten lines is complete: bodies, places and limits come from elsewhere in it. */
static void test_reader_ten_lines(void **state)
{
    (void)state;
    expect_well(SMALL);
    check_near("latitude", plan.site.latitude_rad, 57.1 * OWL_RAD_PER_DEG, 1e-12);
    check_near("nights", plan.watch.nights, 42.0, 0.0);
    check_near("mass of a marten", plan.subject.mass_kg, 1.4, 1e-12);
    check_near("camera before the mark", plan.camera.place.y_m, -3.0, 1e-12);
    check_near("focus", plan.lens.focus_m, 3.0, 1e-12);
    check_near("blur limit", plan.limits.blur_m, hypot(0.0235, 0.0156) / 1500.0, 1e-12);
    assert_int_equal(plan.flashes, 1);
    assert_string_equal(plan.flash[0].name, "key");
    check_near("power", plan.flash[0].power, 0.125, 0.0);
    assert_true(owl_plan_gave(&plan, "subject", 0, "kind"));
    assert_false(owl_plan_gave(&plan, "subject", 0, "mass"));
}

/* identity: byte-order mark, line ends, remarks, blanks, capitals and underscores do not matter. */
static void test_reader_line_ends(void **state)
{
    (void)state;
    expect_well("\xEF\xBB\xBF# remark\r\n\r\n  [site]\r\nlatitude = 57.1 N\r\nlongitude = 4.7 W\r\n[watch]\r\nstart = 2027-01-09\r\nnights = 4\r\n"
                "[subject]\r\nkind = lynx\r\n[camera]\r\n  Sensor_Width  =  24 mm # long side");
    check_near("width", plan.camera.width_m, 0.024, 1e-12);
}

/* fault: each kind of mistake names its place and what would be right. */
static void test_reader_mistakes(void **state)
{
    (void)state;
    expect_complaint(SMALL "[camera]\niso = many\n", 12, 7, "iso", "a number such as 400");
    expect_complaint(SMALL "[lens]\nfocal length = 50\n", 12, 16, "needs a unit", "'50 mm'");
    expect_complaint(SMALL "[lens]\nfocal length = 50 kg\n", 12, 19, "cannot have this unit", "50 mm");
    expect_complaint(SMALL "[camera]\napperture = f/8\n", 12, 1, "did you mean", "'aperture'");
    expect_complaint(SMALL "[lens]\niso = 400\n", 12, 1, "belongs under", "[camera]");
    expect_complaint(SMALL "[camera]\niso = 400\niso = 200\n", 13, 1, "already on line 12", "must go");
    expect_complaint(SMALL "[camra]\n", 11, 1, "did you mean", "[camera]");
    expect_complaint(SMALL "[site]\n", 11, 1, "already on line 1", "must go");
    expect_complaint(SMALL "[flash]\n", 11, 1, "needs a name", "[flash key]");
    expect_complaint(SMALL FLASH, 11, 1, "taken by the section on line 9", "another name");
    expect_complaint(SMALL "[flash camera]\n", 11, 1, "needs a name", "");
    expect_complaint(SMALL "[camera\n", 11, 1, "not closed", "']'");
    expect_complaint(SMALL "[camera]\nwhat is this\n", 12, 1, "neither a heading", "#");
    expect_complaint(SMALL "[camera]\niso =\n", 12, 1, "has no value", "such as 400");
    expect_complaint("latitude = 3 N\n" SMALL, 1, 1, "no heading", "[site]");
    expect_complaint(SITE WATCH "[subject]\nkind = pine martin\n", 8, 8, "did you mean", "'pine marten'");
    expect_complaint(SMALL "[sensor]\nlight gate = moonlight\n", 12, 14, "cannot be", "night, day, always");
}

/* fault: values no field can hold. */
static void test_reader_ranges(void **state)
{
    (void)state;
    expect_complaint("[site]\nlatitude = 91 N\nlongitude = 4.7 W\n" WATCH SUBJECT, 2, 12, "between 90 S and 90 N", "");
    expect_complaint(SITE "[watch]\nstart = 2027-01-09\nnights = 0\n" SUBJECT, 6, 10, "between 1 and 366", "");
    expect_complaint(SITE "[watch]\nstart = 2027-01-09\nnights = 10000\n" SUBJECT, 6, 10, "between 1 and 366", "");
    expect_complaint(SMALL "[camera]\niso = -400\n", 12, 7, "must lie between", "25");
    expect_complaint(SMALL "[camera]\niso = nan\n", 12, 7, "iso", "400");
    expect_complaint(SMALL "[camera]\niso = 999999999999999999999999\n", 12, 22, "not understood", "");
    expect_complaint(SMALL "[camera]\nplace = 100000 m left\n", 12, 9, "must lie between", "1000 m");
    expect_complaint(SITE "[watch]\nstart = 2027-13-09\nnights = 3\n" SUBJECT, 5, 9, "no date", "2027-01-09");
}

/* fault: what is missing altogether is asked for. */
static void test_reader_missing(void **state)
{
    (void)state;
    expect_complaint(SITE WATCH, 0, 0, "[subject] lacks 'kind'", "would be right");
    expect_complaint(SITE SUBJECT "[watch]\nnights = 2\n", 6, 1, "lacks 'start'", "2027-01-09");
    expect_complaint("", 0, 0, "[site] lacks 'latitude'", "57.05 N");
    assert_int_equal(complaints.count, 5);
}

/* fault: values that are each possible but cannot stand together. */
static void test_reader_contradictions(void **state)
{
    (void)state;
    expect_complaint(SMALL "[camera]\naperture = f/1.2\n", 12, 12, "does not open so wide", "f/2.8");
    expect_complaint(SMALL "[camera]\naperture = f/45\n", 12, 12, "does not close so far", "f/22");
    expect_complaint(SMALL "[camera]\nshutter = 1/500 s\n", 12, 11, "too short", "1/200 s");
    expect_complaint(SMALL "[flash fill]\nplace = 1 m left, 1 m before, 1.5 m up\n", 12, 9, "same spot as flash key", "2 cm");
    expect_complaint(SMALL "[lens]\nfocal length = 800 mm\n", 12, 16, "larger than the frame", "or less");
    expect_complaint(SMALL "[lens]\nfocus distance = 20 cm\n", 12, 18, "nearer than the lens can focus", "40 cm");
    expect_complaint(SITE "[watch]\nstart = 2027-01-09\nnights = 2\nfrom = 20:00\n" SUBJECT, 7, 8, "both an end and a beginning", "");
    expect_complaint(SMALL "[camera]\naim = 3 m before, 2 m up\n", 12, 7, "straight up or down", "");
    expect_well(SITE WATCH SUBJECT "[camera]\nshutter = 1/500 s\n"); /* without flashes it is no mistake */
}

/* cited: the rate of passes: Jeffreys' mean (x + 1/2)/T from scouting, 0.375 for 7 in 20 nights; the random
   encounter model's y/t = (2 + theta)/pi r v D from a density. */
static void test_reader_rates(void **state)
{
    (void)state;
    expect_well(SITE WATCH SUBJECT "scouted passes = 7\nscouted nights = 20\n");
    check_cited("jeffreys1946", "7 in 20", plan.subject.passes_per_night, 0.375, 1e-12);
    expect_well(SITE WATCH SUBJECT "scouted passes = 0\nscouted nights = 10\n");
    check_cited("jeffreys1946", "none in 10", plan.subject.passes_per_night, 0.05, 1e-12);
    expect_well(SITE WATCH SUBJECT "density = 0.5 per km2\n[sensor]\nplace = 8 m before, 1 m up\nzones = 4\nzone pitch = 10 deg\n");
    double radius_m = hypot(8.0, 1.0 - plan.subject.height_m / 2.0), way_m = 3870.0 * pow(1.4, 0.22);
    check_cited("rowcliffe2008", "density", plan.subject.passes_per_night,
                (2.0 + 40.0 * OWL_RAD_PER_DEG) / OWL_PI * radius_m * way_m * 0.5e-6, 1e-9);
    expect_complaint(SITE WATCH SUBJECT "scouted passes = 7\n", 9, 18, "needs both", "scouted nights");
    expect_complaint(SITE WATCH SUBJECT "passes = 1 per night\ndensity = 2 per km2\n", 10, 11, "told twice", "would be right");
    expect_complaint(SITE WATCH SUBJECT "active = own hours\n", 9, 10, "all three", "active from");
    expect_well(SITE WATCH SUBJECT "active = own hours\nactive from = 19:00\nactive to = 01:30\n");
}

/* identity: a passer has the whole body of its kind, as a subject of that kind has. */
static void test_reader_passers_have_bodies(void **state)
{
    (void)state;
    expect_well(SITE WATCH "[subject]\nkind = red fox\n[passer fox]\nkind = red fox\npasses = 2 per night\n");
    const struct owl_plan_body *one = &plan.subject, *other = &plan.passer[0].body;
    check_near("rate", other->passes_per_night, 2.0, 0.0);
    check_near("mass", other->mass_kg, one->mass_kg, 0.0);
    check_near("length", other->length_m, one->length_m, 0.0);
    check_near("height", other->height_m, one->height_m, 0.0);
    check_near("shoulder", other->shoulder_m, one->shoulder_m, 0.0);
    check_near("width", other->width_m, one->width_m, 0.0);
    check_near("speed", other->speed_m_s, one->speed_m_s, 0.0);
    check_near("coat", other->coat, one->coat, 0.0);
    check_near("pupil", other->pupil_m, one->pupil_m, 0.0);
    assert_true(one->length_m > 0.3);
}

/* fault: bytes that are no text. */
static void test_reader_noise(void **state)
{
    (void)state;
    assert_int_equal(owl_plan_read("[site]\nlat\0tude", 15, &plan, &complaints), OWL_BAD_PLAN);
    assert_int_equal(complaints.count, 1);
    assert_int_equal(complaints.list[0].line, 2);
    assert_int_equal(complaints.list[0].column, 4);
    char *noise = malloc(OWL_PLAN_BYTES + 1);
    unsigned seed = 12345;
    for (size_t i = 0; i <= OWL_PLAN_BYTES; i++) {
        seed = seed * 1103515245u + 12345u;
        noise[i] = (char)(1 + (seed >> 16) % 255);
    }
    assert_int_equal(owl_plan_read(noise, OWL_PLAN_BYTES + 1, &plan, &complaints), OWL_BAD_PLAN);
    assert_int_equal(complaints.count, 1);
    assert_int_equal(owl_plan_read(noise, OWL_PLAN_BYTES, &plan, &complaints), OWL_BAD_PLAN);
    free(noise);
}

/* fault: everything wrong is told at once, in the order of the lines, and the list stays bounded. */
static void test_reader_all_at_once(void **state)
{
    (void)state;
    assert_int_equal(read_text(SMALL "[camera]\niso = x\naperture = 8\nshutter = fast\n"), OWL_BAD_PLAN);
    assert_int_equal(complaints.count, 3);
    for (int i = 0; i < 3; i++)
        assert_int_equal(complaints.list[i].line, 12 + i);
    char many[8192] = "[camera]\n";
    for (int i = 0; i < 300; i++)
        strcat(many, "iso\n");
    assert_int_equal(read_text(many), OWL_BAD_PLAN);
    assert_int_equal(complaints.count, OWL_COMPLAINTS);
    assert_true(complaints.left_out >= 260);
}

/* identity: on failure the plan given is left as it was. */
static void test_reader_failure_leaves_plan(void **state)
{
    (void)state;
    expect_well(SMALL);
    assert_int_equal(read_text("[site]\n"), OWL_BAD_PLAN);
    check_near("latitude kept", plan.site.latitude_rad, 57.1 * OWL_RAD_PER_DEG, 1e-12);
}

/* identity: a complaint is shown with its line and a mark under the very characters. */
static void test_reader_complaint_layout(void **state)
{
    (void)state;
    const char *words = SMALL "[lens]\nfocal length = 50\n";
    char buffer[1024];
    assert_int_equal(read_text(words), OWL_BAD_PLAN);
    struct owl_text text = owl_text_over(buffer, sizeof buffer);
    owl_complaint_show(&complaints.list[0], "my.plan", words, strlen(words), &text);
    const char *second = strchr(buffer, '\n') + 1;
    assert_int_equal(strncmp(buffer, "my.plan:12:16: focal length needs a unit", 40), 0);
    assert_string_equal(second, "  12 | focal length = 50\n     |                ^^\n");
}

/* identity: every default in the field table can itself be read and lies in its range. */
static void test_reader_defaults_are_sound(void **state)
{
    (void)state;
    for (int s = 0; s < owl_section_count(); s++) {
        const struct owl_section *section = owl_section_at(s);
        for (int f = 0; f < section->field_count; f++) {
            const struct owl_field *field = &section->fields[f];
            const char *standard = field->standard;
            assert_true(owl_field_slot(section, section->most - 1, f) < OWL_FIELD_SLOTS);
            if (strchr("!=", *standard) || field->unit == OWL_UNIT_TEXT || field->unit == OWL_UNIT_POINT)
                continue; /* none of its own ("" matches the closing NUL of the list) */
            if (field->unit == OWL_UNIT_CHOICE) {
                int place = 0;
                while (field->choice(place) && strcmp(field->choice(place), standard) != 0)
                    place++;
                assert_non_null(field->choice(place));
                continue;
            }
            double value = NAN;
            size_t at = 0;
            assert_int_equal(owl_unit_read(field->unit, standard, strlen(standard), &value, &at), OWL_READ_WELL);
            assert_true(value >= field->least && value <= field->most);
        }
    }
}

/* identity: no two fields share a slot. */
static void test_reader_slots_are_apart(void **state)
{
    (void)state;
    static bool taken[OWL_FIELD_SLOTS];
    for (int s = 0; s < owl_section_count(); s++) {
        const struct owl_section *section = owl_section_at(s);
        for (int nth = 0; nth < section->most; nth++) {
            for (int f = 0; f < section->field_count; f++) {
                int slot = owl_field_slot(section, nth, f);
                assert_false(taken[slot]);
                taken[slot] = true;
            }
        }
    }
}

/* identity: swaps, gaps and changes each cost one. */
static void test_reader_spelling(void **state)
{
    (void)state;
    assert_int_equal(owl_spelling_distance("aperture", "aperture"), 0);
    assert_int_equal(owl_spelling_distance("apretrue", "aperture"), 2);
    assert_int_equal(owl_spelling_distance("iso", ""), 3);
    assert_int_equal(owl_spelling_distance("", "iso"), 3);
    assert_int_equal(owl_spelling_distance("pine martin", "pine marten"), 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_reader_ten_lines),       cmocka_unit_test(test_reader_line_ends),
        cmocka_unit_test(test_reader_mistakes),        cmocka_unit_test(test_reader_ranges),
        cmocka_unit_test(test_reader_missing),         cmocka_unit_test(test_reader_contradictions),
        cmocka_unit_test(test_reader_rates), cmocka_unit_test(test_reader_passers_have_bodies), cmocka_unit_test(test_reader_noise),           cmocka_unit_test(test_reader_all_at_once),
        cmocka_unit_test(test_reader_failure_leaves_plan), cmocka_unit_test(test_reader_complaint_layout),
        cmocka_unit_test(test_reader_defaults_are_sound), cmocka_unit_test(test_reader_slots_are_apart),
        cmocka_unit_test(test_reader_spelling),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
