/* The calendar of a watch: sound lines, the right days and times, and names that stay. Outcomes are made by hand, so that the
   days can be counted by hand. */
#include <math.h>
#include <string.h>

#include "support/check.h"

#include "core/plan/reader.h"
#include "sheet/calendar.h"

#define STAMP_UNIX_S 1799999999.0 /* 2027-01-15 07:59:59 UTC, by `date -u -d @1799999999` */

static char bytes[OWL_CALENDAR_BYTES], flat[OWL_CALENDAR_BYTES];
static struct owl_plan plan;
static struct owl_evaluation evaluation;
static struct owl_complaints complaints;
static struct owl_sky sky;
static struct owl_watch_view watch;

static const char usual[] =
    "[site]\nname = larch; by, the \\ br\xC3\xB6" "ok\nlatitude = 57.12 N\nlongitude = 4.71 W\nzone = Europe/Berlin\n"
    "[watch]\nstart = 2027-01-09\nnights = 42\n[subject]\nkind = pine marten\n[camera]\nplace = 3 m before, 70 cm up\n"
    "[sensor]\nplace = 2.9 m before, 80 cm up\n"
    "[flash key]\nplace = 1.2 m left, 1.1 m before, 1.6 m up\n";

/* A plan whose sensor is the first to run out. */
static void set_lasting(double sensor_nights)
{
    evaluation.outcome.count = 0;
    OWL_NOTE(&evaluation.outcome, CELLS_NIGHTS, OWL_DEVICE_CAMERA, 90.7, 0.0);
    OWL_NOTE(&evaluation.outcome, CELLS_NIGHTS, OWL_DEVICE_SENSOR, sensor_nights, 0.0);
    OWL_NOTE(&evaluation.outcome, CELLS_NIGHTS, OWL_DEVICE_FLASH, INFINITY, 0.0);
    OWL_NOTE(&evaluation.outcome, CARD_NIGHTS, 0, 61.0, 0.0);
    OWL_NOTE(&evaluation.outcome, OUTLAST, 0, sensor_nights, 0.0);
    evaluation.first_to_fail = OWL_DEVICE_SENSOR;
}

static int set_up(void **state)
{
    (void)state;
    memset(&evaluation, 0, sizeof evaluation);
    assert_int_equal(owl_plan_read(usual, strlen(usual), &plan, &complaints), OWL_OK);
    sky = (struct owl_sky){.zone_count = 1, .zone = {{.offset_s = 3600, .name = "CET"}}};
    watch = (struct owl_watch_view){.nights = 42, .sky = &sky};
    evaluation.nights = 42;
    for (int n = 0; n < 42; n++)
        evaluation.night[n].test_unix_s = NAN;
    set_lasting(50.0);
    return 0;
}

static const char *write_calendar(void)
{
    struct owl_text text = owl_text_over(bytes, sizeof bytes);
    assert_int_equal(owl_calendar_write(&plan, &evaluation, &watch, STAMP_UNIX_S, &text), OWL_OK);
    return bytes;
}

/* The calendar with its folded lines joined, line ends as they were. */
static const char *unfolded(void)
{
    char *to = flat;
    for (const char *from = write_calendar(); *from;)
        if (strncmp(from, "\r\n ", 3) == 0)
            from += 3;
        else
            *to++ = *from++;
    *to = '\0';
    return flat;
}

static int count_of(const char *text, const char *words)
{
    int count = 0;
    for (const char *c = strstr(text, words); c; c = strstr(c + 1, words))
        count++;
    return count;
}

static void check_lines(const char *text)
{
    for (const char *line = text; *line;) {
        const char *end = strstr(line, "\r\n");
        assert_non_null(end);
        assert_true(end - line <= 75 && end > line);
        assert_null(memchr(line, '\n', (size_t)(end - line)));
        const char *first = *line == ' ' ? line + 1 : line;
        assert_int_not_equal((unsigned char)*first & 0xC0, 0x80); /* no line begins within a character */
        line = end + 2;
    }
}

/* cited: lines end by CR LF, have 75 octets at the most, and are cut between characters only [rfc5545 3.1] */
static void test_calendar_folds_lines(void **state)
{
    (void)state;
    set_lasting(3.0);
    check_lines(write_calendar());
    /* A name of two-octet letters, and moved by one letter: some fold falls within one of them. */
    for (int shift = 0; shift < 2; shift++) {
        memset(plan.site.name, 0, sizeof plan.site.name);
        for (size_t i = 0; i < 31; i++)
            strcat(plan.site.name, i == 0 && shift ? "x" : "\xC3\xB6");
        check_lines(write_calendar());
        assert_non_null(strstr(unfolded(), plan.site.name));
    }
}

/* cited: backslash, semicolon and comma are escaped in texts, a line end becomes \n [rfc5545 3.3.11] */
static void test_calendar_escapes_words(void **state)
{
    (void)state;
    set_lasting(20.0);
    const char *text = unfolded();
    assert_non_null(strstr(text, "\r\nSUMMARY:Place the rig: larch\\; by\\, the \\\\ br\xC3\xB6" "ok\r\n"));
    assert_non_null(strstr(text, "sensor. How long each lasts:\\ncamera: 90 nights\\nsensor: 20 nights\\ncard: 61 nights\r\n"));
    assert_null(strstr(text, "inf"));
    strcpy(plan.site.name, "bad \xC3 and\nline");
    assert_non_null(strstr(unfolded(), "Place the rig: bad \xEF\xBF\xBD and line\r\n"));
}

/* identity: one calendar around whole events, each with what the standard asks for */
static void test_calendar_is_whole(void **state)
{
    (void)state;
    set_lasting(20.0);
    const char *text = unfolded();
    assert_memory_equal(text, "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:", 37);
    assert_string_equal(text + strlen(text) - 15, "END:VCALENDAR\r\n");
    int events = count_of(text, "BEGIN:VEVENT\r\n");
    assert_int_equal(events, 2 + 2);
    assert_int_equal(count_of(text, "END:VEVENT\r\n"), events);
    assert_int_equal(count_of(text, "\r\nUID:"), events);
    assert_int_equal(count_of(text, "\r\nDTSTAMP:20270115T075959Z\r\n"), events);
    assert_int_equal(count_of(text, "\r\nDTSTART"), events);
    assert_int_equal(count_of(text, "\r\nSUMMARY:"), events);
}

/* identity: placing on the first evening's day, the end on the morning after the last of 42 nights; counted by hand */
static void test_calendar_begins_and_ends(void **state)
{
    (void)state;
    const char *text = unfolded();
    assert_non_null(strstr(text, "-placing\r\nDTSTAMP:20270115T075959Z\r\nCLASS:PRIVATE\r\nDTSTART;VALUE=DATE:20270109\r\n"
                                 "DTEND;VALUE=DATE:20270110\r\n"));
    assert_non_null(strstr(text, "-end\r\nDTSTAMP:20270115T075959Z\r\nCLASS:PRIVATE\r\nDTSTART;VALUE=DATE:20270220\r\n"));
    assert_int_equal(count_of(text, "BEGIN:VEVENT"), 2);
}

/* identity: the test in UTC to the nearest minute, its words by the clock of the site; only of the first two nights */
static void test_calendar_tells_the_test(void **state)
{
    (void)state;
    evaluation.night[0].test_unix_s = 1799512440.0 + 29.0; /* 2027-01-09 16:34:29 UTC */
    evaluation.night[2].test_unix_s = 1799512440.0 + 2 * 86400.0;
    const char *text = unfolded();
    assert_int_equal(count_of(text, "BEGIN:VEVENT"), 3);
    assert_non_null(strstr(text, "-test-1\r\nDTSTAMP:20270115T075959Z\r\nCLASS:PRIVATE\r\nDTSTART:20270109T163400Z\r\n"));
    assert_non_null(strstr(text, "From 17:34 by the clock of Europe/Berlin on\\,"));
    evaluation.night[0].test_unix_s = NAN;
    evaluation.night[1].test_unix_s = 1799512440.0 + 86400.0 + 31.0;
    text = unfolded();
    assert_non_null(strstr(text, "-test-2\r\nDTSTAMP:20270115T075959Z\r\nCLASS:PRIVATE\r\nDTSTART:20270110T163500Z\r\n"));
    assert_non_null(strstr(text, "Only if the first night's test was missed."));
}

struct service {
    double lasts, nights;
    int visits;
    const char *first, *last; /* NULL: none */
};

/* identity: a visit on the day of the night before the one it would fail in, and again while it would not see the watch out */
static void test_calendar_visits_in_time(void **state)
{
    (void)state;
    static const struct service service[] = {
        {50.0, 42.0, 0, NULL, NULL},
        {42.0, 42.0, 0, NULL, NULL},
        {36.9, 42.0, 1, "20270213", "20270213"}, /* fails in the 37th night, 14 Feb */
        {20.0, 42.0, 2, "20270128", "20270216"}, /* new on day 19 and 38: sees out 58 */
        {21.5, 42.0, 2, "20270129", "20270218"}, /* 20 + 21.5 is half a night short: it fails in the last */
        {22.0, 43.0, 1, "20270130", "20270130"}, /* 21 + 22 is just enough */
        {2.0, 4.0, 2, "20270110", "20270111"},
        {0.4, 3.0, 2, "20270110", "20270111"},   /* every day, as often as anybody can come */
        {INFINITY, 42.0, 0, NULL, NULL},
    };
    for (size_t i = 0; i < sizeof service / sizeof *service; i++) {
        char day[64];
        plan.watch.nights = service[i].nights;
        set_lasting(service[i].lasts);
        const char *text = unfolded();
        assert_int_equal(count_of(text, "SUMMARY:Service the rig"), service[i].visits);
        assert_int_equal(count_of(text, "BEGIN:VALARM\r\nACTION:DISPLAY\r\nTRIGGER:-PT15H\r\nDESCRIPTION:"), service[i].visits);
        for (int last = 0; last < 2 && service[i].first; last++) {
            const char *words = last ? service[i].last : service[i].first;
            strcat(strcpy(day, "CLASS:PRIVATE\r\nDTSTART;VALUE=DATE:"), words);
            assert_non_null(strstr(text, day));
        }
    }
}

/* identity: nothing is known of how long it lasts, so nothing is said */
static void test_calendar_without_figures(void **state)
{
    (void)state;
    evaluation.outcome.count = 0;
    assert_int_equal(count_of(unfolded(), "BEGIN:VEVENT"), 2);
}

static void copy_name(char name[64], const char *text, const char *what)
{
    const char *line = strstr(text, what);
    assert_non_null(line);
    while (line[-1] != '\n')
        line--;
    size_t length = strcspn(line, "\r");
    assert_true(length < 64);
    memcpy(name, line, length);
    name[length] = '\0';
}

/* identity: names stay over another stamp and other gear, change with site and date, name no host and not the place */
static void test_calendar_names_stay(void **state)
{
    (void)state;
    char one[64], other[64];
    copy_name(one, unfolded(), "-placing\r\n");
    assert_null(strchr(one, '@'));
    plan.watch.nights = 40.0;
    plan.camera.iso = 1600.0;
    copy_name(other, unfolded(), "-placing\r\n");
    assert_string_equal(one, other);
    plan.watch.start_days += 1.0;
    copy_name(other, unfolded(), "-placing\r\n");
    assert_string_not_equal(one, other);
    plan.watch.start_days -= 1.0;
    strcpy(plan.site.name, "elsewhere");
    copy_name(other, unfolded(), "-placing\r\n");
    assert_string_not_equal(one, other);
    assert_null(strstr(flat, "57.1"));
    assert_null(strstr(flat, "GEO"));
}

/* fault: a stamp or watch no date is known of, and too small a room */
static void test_calendar_refuses(void **state)
{
    (void)state;
    static const double stamps[] = {NAN, INFINITY, -1e12, 1e12};
    char small[200];
    struct owl_text text = owl_text_over(bytes, sizeof bytes);
    for (size_t i = 0; i < 4; i++)
        assert_int_equal(owl_calendar_write(&plan, &evaluation, &watch, stamps[i], &text), OWL_OUTSIDE_DOMAIN);
    plan.watch.start_days = 2932896.0; /* 9999-12-31 */
    assert_int_equal(owl_calendar_write(&plan, &evaluation, &watch, STAMP_UNIX_S, &text), OWL_OUTSIDE_DOMAIN);
    assert_int_equal(text.length, 0);
    plan.watch.start_days = 20000.0;
    text = owl_text_over(small, sizeof small);
    assert_int_equal(owl_calendar_write(&plan, &evaluation, &watch, STAMP_UNIX_S, &text), OWL_NO_ROOM);
}

/* identity: the longest watch with a visit every day and the longest names fits the room promised */
static void test_calendar_fits_its_room(void **state)
{
    (void)state;
    plan.watch.nights = OWL_NIGHTS_MOST;
    plan.flashes = OWL_FLASHES;
    memset(plan.site.name, ';', sizeof plan.site.name - 1);
    plan.site.name[sizeof plan.site.name - 1] = '\0';
    set_lasting(1.0);
    for (int i = 0; i < OWL_FLASHES; i++) {
        memset(plan.flash[i].name, ',', OWL_NAME_BYTES - 1);
        plan.flash[i].name[OWL_NAME_BYTES - 1] = '\0';
        OWL_NOTE(&evaluation.outcome, CELLS_NIGHTS, OWL_DEVICE_FLASH + i, 1234567.0, 0.0);
    }
    evaluation.night[0].test_unix_s = evaluation.night[1].test_unix_s = STAMP_UNIX_S;
    assert_int_equal(count_of(unfolded(), "SUMMARY:Service"), OWL_NIGHTS_MOST - 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup(test_calendar_folds_lines, set_up),
        cmocka_unit_test_setup(test_calendar_escapes_words, set_up),
        cmocka_unit_test_setup(test_calendar_is_whole, set_up),
        cmocka_unit_test_setup(test_calendar_begins_and_ends, set_up),
        cmocka_unit_test_setup(test_calendar_tells_the_test, set_up),
        cmocka_unit_test_setup(test_calendar_visits_in_time, set_up),
        cmocka_unit_test_setup(test_calendar_without_figures, set_up),
        cmocka_unit_test_setup(test_calendar_names_stay, set_up),
        cmocka_unit_test_setup(test_calendar_refuses, set_up),
        cmocka_unit_test_setup(test_calendar_fits_its_room, set_up),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
