/* Human notation: every kind read, misread and shown again. */
#include "support/check.h"

#include <math.h>
#include <string.h>

#include "core/constants.h"
#include "core/plan/units.h"

static double value_of(enum owl_unit unit, const char *words)
{
    double value = NAN;
    size_t at = 0;
    enum owl_misread misread = owl_unit_read(unit, words, strlen(words), &value, &at);
    if (misread != OWL_READ_WELL)
        fail_msg("'%s' was not read (%d at %zu)", words, (int)misread, at);
    return value;
}

static enum owl_misread misread_of(enum owl_unit unit, const char *words)
{
    double value = 12345.0;
    size_t at = 0;
    enum owl_misread misread = owl_unit_read(unit, words, strlen(words), &value, &at);
    if (misread != OWL_READ_WELL)
        assert_true(value == 12345.0); /* untouched on failure */
    return misread;
}

/* cited: SI prefixes and the exact definitions of foot, degree and kelvin (SI brochure, 9th ed.). */
static void test_units_read_each_kind(void **state)
{
    (void)state;
    const struct {
        enum owl_unit unit;
        const char *words;
        double want;
    } cases[] = {
        {OWL_UNIT_LENGTH, "2.5 m", 2.5},        {OWL_UNIT_LENGTH, "80cm", 0.8},
        {OWL_UNIT_LENGTH, "50 mm", 0.05},       {OWL_UNIT_LENGTH, "10 ft", 3.048},
        {OWL_UNIT_LENGTH, "18.8 \xC2\xB5m", 18.8e-6}, {OWL_UNIT_MASS, "50 g", 0.05},
        {OWL_UNIT_TIME, "1/4 s", 0.25},         {OWL_UNIT_TIME, "80 ms", 0.08},
        {OWL_UNIT_TIME, "5 min", 300.0},        {OWL_UNIT_SHUTTER, "1/160 s", 1.0 / 160.0},
        {OWL_UNIT_SHUTTER, "bulb", INFINITY},   {OWL_UNIT_SPEED, "3.6 km/h", 1.0},
        {OWL_UNIT_ANGLE, "180 deg", OWL_PI},    {OWL_UNIT_LATITUDE, "45 S", -OWL_PI / 4.0},
        {OWL_UNIT_LONGITUDE, "4.5 W", -4.5 * OWL_RAD_PER_DEG}, {OWL_UNIT_TEMPERATURE, "-6 C", 267.15},
        {OWL_UNIT_PERCENT, "85 %", 0.85},       {OWL_UNIT_CURRENT, "0.4 mA", 0.0004},
        {OWL_UNIT_CHARGE, "2000 mAh", 2.0},     {OWL_UNIT_VOLUME, "6 L", 0.006},
        {OWL_UNIT_ENERGY, "2 Wh", 7200.0},      {OWL_UNIT_STOPS, "1 stop", 1.0},
        {OWL_UNIT_FNUMBER, "f/5.6", 5.6},       {OWL_UNIT_POWER, "1/16", 0.0625},
        {OWL_UNIT_POWER, "full", 1.0},          {OWL_UNIT_LIGHT, "10 lx", 10.0},
        {OWL_UNIT_RATE, "0.4 per night", 0.4},  {OWL_UNIT_BYTES, "64 GB", 64e9},
        {OWL_UNIT_CLOCK, "21:30", 77400.0},     {OWL_UNIT_DATE, "1970-01-02", 1.0},
        {OWL_UNIT_DATE, "2000-02-29", 11016.0}, {OWL_UNIT_COUNT, "42", 42.0},
        {OWL_UNIT_NUMBER, "  0.35  ", 0.35},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        double got = value_of(cases[i].unit, cases[i].words);
        if (isinf(cases[i].want))
            assert_true(isinf(got));
        else
            check_cited("si-brochure", cases[i].words, got, cases[i].want, 1e-12 * fabs(cases[i].want));
    }
}

/* fault: what cannot be read says in which way, and leaves the value alone. */
static void test_units_misreadings(void **state)
{
    (void)state;
    assert_int_equal(misread_of(OWL_UNIT_LENGTH, "2.5"), OWL_READ_NO_UNIT);
    assert_int_equal(misread_of(OWL_UNIT_LENGTH, "2.5 kg"), OWL_READ_WRONG_UNIT);
    assert_int_equal(misread_of(OWL_UNIT_LENGTH, "2.5 metres"), OWL_READ_LEFT_OVER);
    assert_int_equal(misread_of(OWL_UNIT_LENGTH, "far"), OWL_READ_NO_NUMBER);
    assert_int_equal(misread_of(OWL_UNIT_LENGTH, "nan m"), OWL_READ_NO_NUMBER);
    assert_int_equal(misread_of(OWL_UNIT_LENGTH, "infinity"), OWL_READ_NO_NUMBER);
    assert_int_equal(misread_of(OWL_UNIT_LENGTH, "1e9 m"), OWL_READ_LEFT_OVER);
    assert_int_equal(misread_of(OWL_UNIT_LENGTH, ""), OWL_READ_NO_NUMBER);
    assert_int_equal(misread_of(OWL_UNIT_LENGTH, "1.2.3 m"), OWL_READ_LEFT_OVER);
    assert_int_equal(misread_of(OWL_UNIT_TIME, "1/0 s"), OWL_READ_LEFT_OVER);
    assert_int_equal(misread_of(OWL_UNIT_COUNT, "2.5"), OWL_READ_NOT_WHOLE);
    assert_int_equal(misread_of(OWL_UNIT_COUNT, "2 m"), OWL_READ_LEFT_OVER);
    assert_int_equal(misread_of(OWL_UNIT_FNUMBER, "8"), OWL_READ_NO_UNIT);
    assert_int_equal(misread_of(OWL_UNIT_DATE, "2027-02-30"), OWL_READ_NO_SUCH_DATE);
    assert_int_equal(misread_of(OWL_UNIT_DATE, "9.1.2027"), OWL_READ_NO_NUMBER);
    assert_int_equal(misread_of(OWL_UNIT_CLOCK, "24:00"), OWL_READ_NO_SUCH_DATE);
    assert_int_equal(misread_of(OWL_UNIT_LATITUDE, "57.1"), OWL_READ_NO_UNIT);
}

static struct owl_point point_of(const char *words)
{
    struct owl_point point = {9.0, 9.0, 9.0};
    size_t at = 0;
    assert_int_equal(owl_unit_read_point(words, strlen(words), &point, &at), OWL_READ_WELL);
    return point;
}

/* identity: left is minus right, before is minus behind; parts may come in any order and add up. */
static void test_units_points(void **state)
{
    (void)state;
    struct owl_point point = point_of("1.2 m left, 2 m before, 80 cm up");
    check_near("x", point.x_m, -1.2, 1e-12);
    check_near("y", point.y_m, -2.0, 1e-12);
    check_near("z", point.z_m, 0.8, 1e-12);
    point = point_of("30 cm up, 1 m behind");
    check_near("x", point.x_m, 0.0, 1e-12);
    check_near("y", point.y_m, 1.0, 1e-12);
    point = point_of("mark");
    check_near("mark", fabs(point.x_m) + fabs(point.y_m) + fabs(point.z_m), 0.0, 0.0);
    size_t at = 0;
    assert_int_equal(owl_unit_read_point("1.2 left", 8, &point, &at), OWL_READ_LEFT_OVER);
    assert_int_equal(owl_unit_read_point("1 m inwards", 11, &point, &at), OWL_READ_NO_SUCH_WORD);
}

static void check_shown(enum owl_unit unit, double value, const char *want)
{
    char buffer[64];
    struct owl_text text = owl_text_over(buffer, sizeof buffer);
    owl_unit_show(unit, value, &text);
    assert_string_equal(buffer, want);
}

/* identity: values are shown as the trade writes them. */
static void test_units_show(void **state)
{
    (void)state;
    check_shown(OWL_UNIT_LENGTH, 2.5, "2.5 m");
    check_shown(OWL_UNIT_LENGTH, 0.8, "80 cm");
    check_shown(OWL_UNIT_LENGTH, 18.8e-6, "18.8 um");
    check_shown(OWL_UNIT_LENGTH, INFINITY, "infinity");
    check_shown(OWL_UNIT_SHUTTER, 1.0 / 160.0, "1/160 s");
    check_shown(OWL_UNIT_SHUTTER, INFINITY, "bulb");
    check_shown(OWL_UNIT_SHUTTER, 2.0, "2 s");
    check_shown(OWL_UNIT_FNUMBER, 5.6, "f/5.6");
    check_shown(OWL_UNIT_FNUMBER, 11.0, "f/11");
    check_shown(OWL_UNIT_POWER, 1.0 / 16.0, "1/16");
    check_shown(OWL_UNIT_POWER, 1.0, "full");
    check_shown(OWL_UNIT_LATITUDE, -34.0 * OWL_RAD_PER_DEG, "34 S");
    check_shown(OWL_UNIT_TEMPERATURE, 267.15, "-6 C");
    check_shown(OWL_UNIT_CLOCK, 77400.0, "21:30");
    check_shown(OWL_UNIT_CLOCK, 86399.9, "00:00");
    check_shown(OWL_UNIT_DATE, 20833.0, "2027-01-15");
    check_shown(OWL_UNIT_NIGHTS, INFINITY, "no end");
    check_shown(OWL_UNIT_VOLTAGE, NAN, "not given");
}

/* identity: what is shown reads back as the same value, for every readable kind. */
static void test_units_show_reads_back(void **state)
{
    (void)state;
    const struct {
        enum owl_unit unit;
        double value;
    } cases[] = {{OWL_UNIT_LENGTH, 0.0123}, {OWL_UNIT_MASS, 1.4}, {OWL_UNIT_MASS, 0.06}, {OWL_UNIT_TIME, 0.08},
                 {OWL_UNIT_TIME, 7200.0}, {OWL_UNIT_SHUTTER, 1.0 / 250.0}, {OWL_UNIT_SPEED, 1.3}, {OWL_UNIT_ANGLE, OWL_PI / 30.0},
                 {OWL_UNIT_PERCENT, 0.85}, {OWL_UNIT_CURRENT, 0.2}, {OWL_UNIT_STOPS, 1.5}, {OWL_UNIT_FNUMBER, 8.0},
                 {OWL_UNIT_POWER, 0.125}, {OWL_UNIT_LIGHT, 3.0}, {OWL_UNIT_RATE, 0.35}, {OWL_UNIT_BYTES, 3.5e7},
                 {OWL_UNIT_VOLUME, 0.004}, {OWL_UNIT_ENERGY, 60.0}, {OWL_UNIT_CHARGE, 3.0}, {OWL_UNIT_VOLTAGE, 24.0}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char buffer[64];
        struct owl_text text = owl_text_over(buffer, sizeof buffer);
        owl_unit_show(cases[i].unit, cases[i].value, &text);
        check_near(buffer, value_of(cases[i].unit, buffer), cases[i].value, 1e-9 * cases[i].value);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_units_read_each_kind), cmocka_unit_test(test_units_misreadings),
        cmocka_unit_test(test_units_points),         cmocka_unit_test(test_units_show),
        cmocka_unit_test(test_units_show_reads_back),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
