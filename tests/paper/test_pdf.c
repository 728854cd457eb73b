/* The sheet on paper: a sound PDF that says what the plan says, the same every time, and loud when it cannot be made. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "support/check.h"
#include "support/made_watch.h"

#include "core/plan/reader.h"
#include "paper/pdf.h"

#define STAMP_UNIX_S 1799999999.0 /* 2027-01-15 07:59:59 UTC, by `date -u -d @1799999999` */
#define ROOM (4 << 20)

static const char usual[] =
    "[site]\nname = larch by the brook\nlatitude = 57.1 N\nlongitude = 4.5 W\nzone = UTC\n[watch]\nstart = 2027-01-09\n"
    "nights = 42\n[subject]\nkind = pine marten\n[stage]\nmark height = 60 cm\ntravel = left to right\n"
    "[camera]\nplace = 30 cm right, 3 m before, 70 cm up\n[sensor]\nplace = 55 cm right, 2.9 m before, 80 cm up\npause = 10 "
    "min\n"
    "[flash fill]\nplace = 1.5 m right, 1.6 m before, 90 cm up\npower = 1/32\ntrigger voltage = 180 V\n"
    "[flash key]\nplace = 1.2 m left, 1.1 m before, 1.6 m up\npower = 1/8\ntrigger voltage = 5 V\ndiffuser = 1.5 stops\n"
    "[bait]\nfood = egg\namount = 50 g\n";

static struct owl_plan plan;
static struct owl_evaluation evaluation;
static struct owl_complaints complaints;
static struct made_watch made;
static struct owl_sky sky;
static struct owl_error error;

struct page {
    char *bytes;
    size_t length, most; /* no more than most are taken */
};

static bool put(void *context, const char *bytes, size_t length)
{
    struct page *page = context;
    if (page->length + length > page->most)
        return false;
    memcpy(page->bytes + page->length, bytes, length);
    page->length += length;
    return true;
}

static void evaluate(void)
{
    made_watch_fill(&plan, &made);
    made.view.sky = &sky;
    assert_int_equal(owl_plan_evaluate(&plan, &made.view, &evaluation), OWL_OK);
}

static int set_up(void **state)
{
    struct page *page = calloc(1, sizeof *page);
    page->bytes = malloc(ROOM);
    page->most = ROOM;
    *state = page;
    assert_int_equal(owl_plan_read(usual, strlen(usual), &plan, &complaints), OWL_OK);
    evaluate();
    return 0;
}

static int tear_down(void **state)
{
    struct page *page = *state;
    free(page->bytes);
    free(page);
    return 0;
}

static enum owl_status write_to(struct page *page, double stamp_unix_s)
{
    page->length = 0;
    return owl_pdf_write(&plan, &evaluation, &made.view, stamp_unix_s, &(struct owl_leaf_way){put, page}, &error);
}

/* What `command FILE` answers about the PDF; false where there is no such program. */
static bool ask(const struct page *page, const char *program, const char *format, char answer[32768])
{
    char path[] = "/tmp/owl-pdf-XXXXXX", command[256];
    (void)snprintf(command, sizeof command, "command -v %s > /dev/null", program);
    if (system(command) != 0)
        return false;
    int file = mkstemp(path);
    assert_true(file >= 0);
    assert_int_equal(write(file, page->bytes, page->length), page->length);
    assert_int_equal(close(file), 0);
    (void)snprintf(command, sizeof command, format, path);
    FILE *from = popen(command, "r");
    assert_non_null(from);
    answer[fread(answer, 1, 32767, from)] = '\0';
    assert_int_equal(pclose(from), 0);
    (void)unlink(path);
    return true;
}

static char answer[32768];

/* identity: a PDF from its first bytes to its last */
static void test_pdf_is_whole(void **state)
{
    struct page *page = *state;
    assert_int_equal(write_to(page, STAMP_UNIX_S), OWL_OK);
    assert_string_equal(error.words, "");
    assert_memory_equal(page->bytes, "%PDF-1.", 7);
    assert_memory_equal(page->bytes + page->length - 6, "%%EOF\n", 6);
    if (!ask(page, "pdfinfo", "TZ=UTC pdfinfo %s", answer))
        skip();
    assert_non_null(strstr(answer, "Field sheet: larch by the brook"));
    assert_non_null(strstr(answer, "(A4)"));
    assert_non_null(strstr(answer, "Fri Jan 15 07:59:59 2027"));
    const char *count = strstr(answer, "Pages:");
    assert_non_null(count);
    int pages = atoi(count + strlen("Pages:")); /* how many depends on the font */
    assert_in_range(pages, 2, 5);
    char last[32];
    (void)snprintf(last, sizeof last, "page %d of %d", pages, pages);
    if (ask(page, "pdftotext", "pdftotext %s -", answer))
        assert_non_null(strstr(answer, last));
}

/* identity: what matters in the wood stands there, by the plan's own numbers */
static void test_pdf_says_what_the_plan_says(void **state)
{
    static const char *const words[] = {
        "Field sheet: larch by the brook", "pine marten, 2 nights", "Sat 9 Jan 2027", "57.1 N, 4.5 W", "Before leaving home",
        "Opto-isolated adapter for flash fill", "Placing, in order", "Camera, horizon level", "3.01 m from", "30 cm right",
        "3 m before it", "Flash key, the strongest", "Settings", "power 1/8", "Test in the light", "When leaving",
        "Warnings of the plan", "Care", "deadly charge", "Trigger voltage", "it gives", "nests and dens", "Sky of the watch",
        "Sun 10 Jan", "page 1 of ", "before packing."};
    struct page *page = *state;
    assert_int_equal(write_to(page, STAMP_UNIX_S), OWL_OK);
    if (!ask(page, "pdftotext", "pdftotext -raw %s - | tr '\\n' ' '", answer))
        skip();
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (!strstr(answer, words[i]))
            fail_msg("not on paper: %s", words[i]);
    assert_null(strstr(answer, "nan"));
    assert_null(strchr(answer, '*'));
}

/* identity: the key stands before the fill, which stands before it in the plan */
static void test_pdf_begins_with_the_key(void **state)
{
    struct page *page = *state;
    assert_int_equal(write_to(page, STAMP_UNIX_S), OWL_OK);
    if (!ask(page, "pdftotext", "pdftotext -raw %s -", answer)) /* in the order it was written */
        skip();
    assert_true(strstr(answer, "Flash key,") < strstr(answer, "Flash fill,"));
}

/* identity: the same plan and stamp give the same bytes; another stamp other ones */
static void test_pdf_is_the_same_twice(void **state)
{
    struct page *page = *state, again = {malloc(ROOM), 0, ROOM};
    assert_int_equal(write_to(page, STAMP_UNIX_S), OWL_OK);
    assert_int_equal(write_to(&again, STAMP_UNIX_S), OWL_OK);
    assert_int_equal(page->length, again.length);
    assert_memory_equal(page->bytes, again.bytes, again.length);
    assert_int_equal(write_to(&again, STAMP_UNIX_S + 1.0), OWL_OK);
    assert_true(page->length != again.length || memcmp(page->bytes, again.bytes, again.length) != 0);
    free(again.bytes);
}

/* fault: names that are no characters, marks of our own, and words without a blank wider than a column */
static void test_pdf_takes_any_name(void **state)
{
    static const char *const names[] = {"\x01\x02\x03*%*", "cut \xC3", "\xFF\xFE\xFD", "\xE9\xB9\xBF\xE3\x81\xAE", ""};
    struct page *page = *state;
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        strcpy(plan.site.name, names[i]);
        strcpy(plan.flash[0].name, i == 0 ? "*%*" : "b");
        assert_int_equal(write_to(page, STAMP_UNIX_S), OWL_OK);
    }
    memset(plan.site.zone, 'W', sizeof plan.site.zone - 1);
    memset(plan.site.name, 'W', sizeof plan.site.name - 1);
    assert_int_equal(write_to(page, STAMP_UNIX_S), OWL_OK);
}

/* identity: a plan with every kind of thing turned about, and more warnings than a page holds, goes over more pages */
static void test_pdf_goes_over_pages(void **state)
{
    struct page *page = *state;
    plan.camera.shutter_s = INFINITY;
    plan.sensor.kind = OWL_SENSOR_BEAM;
    plan.sensor.gate = OWL_GATE_DAY;
    plan.flash[1].link = OWL_LINK_RADIO;
    plan.flash[0].trigger_v = 2000.0;
    plan.watch.from_s = 75600.0;
    plan.watch.to_s = 14400.0;
    evaluation.warnings = OWL_WARNINGS;
    for (int i = 0; i < OWL_WARNINGS; i++) {
        struct owl_warning *warning = &evaluation.warning[i];
        warning->danger = i == 0;
        for (size_t w = 0; w < sizeof warning->words - 1; w++)
            warning->words[w] = w % 8 == 7 ? ' ' : 'w';
        strcpy(warning->change, "the last words of this");
    }
    assert_int_equal(write_to(page, STAMP_UNIX_S), OWL_OK);
    if (!ask(page, "pdftotext", "pdftotext -raw %s - | tr '\\n' ' '", answer))
        skip();
    assert_non_null(strstr(answer, "Danger:"));
    assert_non_null(strstr(answer, "Leave at home: flash fill"));
    assert_non_null(strstr(answer, "Radio link"));
    assert_non_null(strstr(answer, "21:00 to 04:00"));
    assert_non_null(strstr(answer, "bulb: the sensor holds it open"));
    assert_non_null(strstr(answer, "page 4 of "));
}

/* fault: bytes that are not taken, at whatever place */
static void test_pdf_says_when_it_cannot_write(void **state)
{
    struct page *page = *state;
    assert_int_equal(write_to(page, STAMP_UNIX_S), OWL_OK);
    size_t whole = page->length, least[] = {0, 100, whole / 2, whole - 1};
    for (size_t i = 0; i < sizeof least / sizeof *least; i++) {
        page->most = least[i];
        assert_int_equal(write_to(page, STAMP_UNIX_S), OWL_CANNOT_WRITE);
        assert_non_null(strstr(error.words, "cannot be written"));
        assert_null(strchr(error.words, '\n'));
    }
    page->most = ROOM;
    assert_int_equal(write_to(page, NAN), OWL_OUTSIDE_DOMAIN);
    assert_int_equal(write_to(page, 1e13), OWL_OUTSIDE_DOMAIN);
}

/* fault: without any font; in a process of its own, as fonts are looked for once */
static void test_pdf_without_fonts(void **state)
{
    struct page *page = *state;
    char path[] = "/tmp/owl-fonts-XXXXXX";
    static const char none[] = "<?xml version=\"1.0\"?><!DOCTYPE fontconfig SYSTEM \"fonts.dtd\"><fontconfig></fontconfig>";
    int file = mkstemp(path), status;
    assert_true(file >= 0);
    assert_int_equal(write(file, none, sizeof none - 1), sizeof none - 1);
    assert_int_equal(close(file), 0);
    pid_t child = fork();
    if (child == 0) {
        (void)setenv("FONTCONFIG_FILE", path, 1);
        bool told = write_to(page, STAMP_UNIX_S) == OWL_CANNOT_WRITE && strstr(error.words, "no font is installed") &&
                    page->length == 0;
        _exit(told ? 0 : 1);
    }
    assert_int_equal(waitpid(child, &status, 0), child);
    (void)unlink(path);
    assert_true(WIFEXITED(status) && WEXITSTATUS(status) == 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(test_pdf_without_fonts, set_up, tear_down), /* first: no font has been asked for */
        cmocka_unit_test_setup_teardown(test_pdf_is_whole, set_up, tear_down),
        cmocka_unit_test_setup_teardown(test_pdf_says_what_the_plan_says, set_up, tear_down),
        cmocka_unit_test_setup_teardown(test_pdf_begins_with_the_key, set_up, tear_down),
        cmocka_unit_test_setup_teardown(test_pdf_is_the_same_twice, set_up, tear_down),
        cmocka_unit_test_setup_teardown(test_pdf_takes_any_name, set_up, tear_down),
        cmocka_unit_test_setup_teardown(test_pdf_goes_over_pages, set_up, tear_down),
        cmocka_unit_test_setup_teardown(test_pdf_says_when_it_cannot_write, set_up, tear_down),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
