/* The site's place for maps: one waypoint, the caution before it, and nothing else. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "support/check.h"
#include "support/markup.h"

#include "core/constants.h"
#include "sheet/gpx.h"

static char bytes[OWL_GPX_BYTES];

static struct owl_plan plan_at(double latitude_deg, double longitude_deg, const char *name)
{
    struct owl_plan plan = {.site = {.latitude_rad = latitude_deg / OWL_DEG_PER_RAD,
                                     .longitude_rad = longitude_deg / OWL_DEG_PER_RAD}};
    strcpy(plan.site.name, name);
    return plan;
}

static const char *write_place(double latitude_deg, double longitude_deg, const char *name)
{
    struct owl_plan plan = plan_at(latitude_deg, longitude_deg, name);
    struct owl_text text = owl_text_over(bytes, sizeof bytes);
    assert_int_equal(owl_gpx_write(&plan, &text), OWL_OK);
    return bytes;
}

/* identity: one waypoint with its name, and no time, height, track or route */
static void test_gpx_is_one_place(void **state)
{
    (void)state;
    const char *text = write_place(57.12, -4.71, "Fallen Larch");
    assert_non_null(strstr(text, "<wpt lat=\"57.120000\" lon=\"-4.710000\">\n    <name>Fallen Larch</name>\n  </wpt>"));
    assert_non_null(strstr(text, "<gpx version=\"1.1\" creator=\"owllight\" xmlns=\"http://www.topografix.com/GPX/1/1\">"));
    assert_null(strstr(text, "<time"));
    assert_null(strstr(text, "<ele"));
    assert_null(strstr(strstr(text, "<wpt") + 1, "<wpt"));
    assert_non_null(strstr(text, "give away a nest or a den"));
    assert_true(strstr(text, "<!--") < strstr(text, "<gpx"));
    assert_null(strstr(write_place(57.12, -4.71, ""), "<name>"));
}

/* cited: longitudes run from -180 up to but not with 180 [gpx11] */
static void test_gpx_at_the_ends(void **state)
{
    (void)state;
    assert_non_null(strstr(write_place(-90.0, 180.0, ""), "lat=\"-90.000000\" lon=\"-180.000000\""));
    assert_non_null(strstr(write_place(0.5, 179.9999999, ""), "lon=\"-180.000000\""));
    assert_non_null(strstr(write_place(0.5, 179.999999, ""), "lon=\"179.999999\""));
    assert_non_null(strstr(write_place(0.5, -180.0, ""), "lon=\"-180.000000\""));
}

/* fault: no place on the globe, and too small a room */
static void test_gpx_refuses(void **state)
{
    (void)state;
    static const double places[][2] = {{91.0, 0.0}, {NAN, 0.0}, {0.0, 181.0}, {0.0, NAN}, {-INFINITY, 0.0}};
    struct owl_text text = owl_text_over(bytes, sizeof bytes);
    for (size_t i = 0; i < sizeof places / sizeof *places; i++) {
        struct owl_plan plan = plan_at(places[i][0], places[i][1], "");
        assert_int_equal(owl_gpx_write(&plan, &text), OWL_OUTSIDE_DOMAIN);
    }
    assert_int_equal(text.length, 0);
    struct owl_plan plan = plan_at(1.0, 1.0, "");
    text = owl_text_over(bytes, 40);
    assert_int_equal(owl_gpx_write(&plan, &text), OWL_NO_ROOM);
}

/* Whether xmllint takes the file; true when it is not installed. */
static bool sound_xml(const char *text)
{
    if (system("command -v xmllint >/dev/null 2>&1") != 0)
        return true;
    FILE *to = popen("xmllint --noout - 2>&1", "w");
    assert_non_null(to);
    fputs(text, to);
    return pclose(to) == 0;
}

/* identity: names of any bytes leave a sound file in its room */
static void test_gpx_takes_any_name(void **state)
{
    (void)state;
    static const char *const names[] = {"a<b>&\"'", "\xC3\xB6 \xE9\xB9\xBF", "cut \xC3", "\x01\x7F tab\t", "-->"};
    char long_name[OWL_WORDS_BYTES];
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        const char *text = write_place(1.0, 2.0, names[i]);
        check_balance(strstr(text, "<gpx"));
        assert_true(sound_xml(text));
    }
    assert_non_null(strstr(write_place(1.0, 2.0, "cut \xC3"), "<name>cut \xEF\xBF\xBD</name>"));
    memset(long_name, '"', sizeof long_name - 1);
    long_name[sizeof long_name - 1] = '\0';
    assert_true(sound_xml(write_place(1.0, 2.0, long_name)));
    memset(long_name, 0xFF, sizeof long_name - 1);
    assert_true(sound_xml(write_place(1.0, 2.0, long_name)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_gpx_is_one_place),
        cmocka_unit_test(test_gpx_at_the_ends),
        cmocka_unit_test(test_gpx_refuses),
        cmocka_unit_test(test_gpx_takes_any_name),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
