/* Changes to a plan: what they do to its text, and that the text and the value stay the same plan. */
#include "support/check.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/model/rng.h"
#include "core/plan/reader.h"
#include "core/plan/rewrite.h"

static struct owl_plan plan, changed, read_back;
static struct owl_complaints complaints;
static char bytes[32768], buffer[65536];

static void read_words(const char *words)
{
    memcpy(bytes, words, strlen(words) + 1);
    if (owl_plan_read(bytes, strlen(bytes), &plan, &complaints) != OWL_OK)
        fail_msg("line %d: %s", complaints.list[0].line, complaints.list[0].words);
}

static struct owl_change change_to(const char *section, int nth, const char *field, const char *words)
{
    struct owl_change change = {.section = owl_section_find(section), .nth = nth};
    assert_non_null(change.section);
    change.field = owl_field_find(change.section, field);
    assert_true(change.field >= 0);
    memcpy(change.words, words, strlen(words) + 1);
    return change;
}

/* The text after the changes; the plan read from `words` stays in `plan`. */
static const char *rewritten(const char *words, const struct owl_change *change, int changes)
{
    read_words(words);
    struct owl_text text = owl_text_over(buffer, sizeof buffer);
    owl_plan_rewrite(bytes, strlen(bytes), &plan, change, changes, &text);
    assert_false(text.cut);
    return buffer;
}

static bool same_member(const struct owl_field *field, const void *one, const void *other)
{
    switch (field->unit) {
    case OWL_UNIT_TEXT: return strcmp(one, other) == 0;
    case OWL_UNIT_CHOICE: return *(const int *)one == *(const int *)other;
    case OWL_UNIT_POINT: return memcmp(one, other, sizeof(struct owl_point)) == 0;
    default: {
        double a = *(const double *)one, b = *(const double *)other;
        return a == b || (isnan(a) && isnan(b));
    }
    }
}

/* Every field of every section, and whether it was given. */
static void check_same_plan(const struct owl_plan *one, const struct owl_plan *other)
{
    assert_int_equal(one->flashes, other->flashes);
    assert_int_equal(one->passers, other->passers);
    for (int s = 0; s < owl_section_count(); s++) {
        const struct owl_section *section = owl_section_at(s);
        int times = section->most == 1 ? 1 : strcmp(section->name, "flash") == 0 ? one->flashes : one->passers;
        for (int nth = 0; nth < times; nth++)
            for (int field = 0; field < section->field_count; field++) {
                int slot = owl_field_slot(section, nth, field);
                if (!same_member(&section->fields[field], owl_field_value(section, nth, field, one),
                                 owl_field_value(section, nth, field, other)))
                    fail_msg("[%s %d] %s is not the same", section->name, nth, section->fields[field].name);
                if ((one->line_of[slot] != 0) != (other->line_of[slot] != 0))
                    fail_msg("[%s %d] %s: given in one only", section->name, nth, section->fields[field].name);
            }
    }
}

#define HEAD "[site]\nlatitude = 50 N\nlongitude = 8 E\n[watch]\nstart = 2027-01-09\nnights = 2\n[subject]\nkind = badger\n"

/* identity: a value goes, all else stays: remark, its column, blanks before and after, the order of the lines. */
static void test_rewrite_keeps_the_rest(void **state)
{
    (void)state;
    const struct owl_change change[] = {change_to("camera", 0, "aperture", "f/11"), change_to("camera", 0, "iso", "1600"),
                                        change_to("sensor", 0, "light gate", "always")};
    assert_string_equal(rewritten(HEAD "# the camera\n[Camera]\n  ISO =  800   # enough\nAperture=f/8 # sharp\n\n  # last\n"
                                       "[sensor]\nlight_gate = night\t# dark\n",
                                  change, 3),
                        HEAD "# the camera\n[Camera]\n  ISO =  1600  # enough\nAperture=f/11 # sharp\n\n  # last\n"
                             "[sensor]\nlight_gate = always\t# dark\n");
}

/* identity: a field that was not given comes behind the last entry of its section, before what leads to the next. */
static void test_rewrite_adds_to_the_section(void **state)
{
    (void)state;
    const struct owl_change change[] = {change_to("camera", 0, "aperture", "f/11"), change_to("flash", 1, "power", "1/4"),
                                        change_to("camera", 0, "iso", "1600"), change_to("housing", 0, "volume", "3 L")};
    assert_string_equal(rewritten(HEAD "[camera]\nsleeps = no # remark\n\n# flashes\n[flash one]\nplace = 1 m left, 1 m up\n"
                                       "[flash two]\nplace = 1 m right, 1 m up\n\n[ HOUSING_ ]\n# empty",
                                  change, 4),
                        HEAD "[camera]\nsleeps = no # remark\naperture = f/11\niso = 1600\n\n# flashes\n[flash one]\nplace = 1 m left, 1 m up\n"
                             "[flash two]\nplace = 1 m right, 1 m up\npower = 1/4\n\n[ HOUSING_ ]\nvolume = 3 L\n# empty");
}

/* identity: a section that was not there comes at the end, once, whether or not the last line has its end. */
static void test_rewrite_adds_sections(void **state)
{
    (void)state;
    const struct owl_change change[] = {change_to("lens", 0, "focal length", "35 mm"), change_to("camera", 0, "iso", "1600"),
                                        change_to("lens", 0, "closest focus", "50 cm")};
    const char *wanted = HEAD "# end\n\n[camera]\niso = 1600\n\n[lens]\nfocal length = 35 mm\nclosest focus = 50 cm\n";
    assert_string_equal(rewritten(HEAD "# end\n", change, 3), wanted);
    assert_string_equal(rewritten(HEAD "# end", change, 3), wanted);
}

/* identity: line ends stay as they are, new lines take that of the first; a byte-order mark stays. */
static void test_rewrite_keeps_line_ends(void **state)
{
    (void)state;
    const struct owl_change change[] = {change_to("camera", 0, "iso", "1600"), change_to("camera", 0, "aperture", "f/11"),
                                        change_to("lens", 0, "focal length", "35 mm")};
    assert_string_equal(rewritten("\xEF\xBB\xBF[camera]\r\niso = 800 # so\r\n" HEAD, change, 3),
                        "\xEF\xBB\xBF[camera]\r\niso = 1600 # so\r\naperture = f/11\r\n" HEAD "\r\n[lens]\r\nfocal length = 35 mm\r\n");
}

/* identity: no change, same bytes; the last of two changes to one field counts. */
static void test_rewrite_nothing_and_twice(void **state)
{
    (void)state;
    const struct owl_change change[] = {change_to("camera", 0, "iso", "800"), change_to("camera", 0, "iso", "1600")};
    assert_string_equal(rewritten(HEAD "[camera] \n\n", change, 0), HEAD "[camera] \n\n");
    assert_string_equal(rewritten(HEAD "[camera]\n", change, 2), HEAD "[camera]\niso = 1600\n");
    assert_string_equal(rewritten(HEAD "[camera]\niso = 200\n", change, 2), HEAD "[camera]\niso = 1600\n");
}

/* fault: too small a buffer is told; words that are no value, or that no line could hold, leave the plan alone. */
static void test_rewrite_faults(void **state)
{
    (void)state;
    static const char *const wrong[][2] = {{"iso", "fast"}, {"iso", "1"}, {"iso", ""}, {"iso", " 800"}, {"sleeps", "perhaps"},
                                           {"place", "2 m"}, {"place", "2000 m left"}, {"aperture", "f/8 # wide"}};
    read_words(HEAD);
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++) {
        struct owl_change change = change_to("camera", 0, wrong[i][0], wrong[i][1]);
        changed = plan;
        assert_int_equal(owl_plan_apply(&change, &changed), OWL_OUTSIDE_DOMAIN);
        check_same_plan(&changed, &plan);
    }
    struct owl_change name = change_to("site", 0, "name", "two\nlines");
    assert_int_equal(owl_plan_apply(&name, &changed), OWL_OUTSIDE_DOMAIN);
    char small[32];
    struct owl_text text = owl_text_over(small, sizeof small);
    owl_plan_rewrite(bytes, strlen(bytes), &plan, NULL, 0, &text);
    assert_true(text.cut);
}

/* identity: what a changed value decides elsewhere follows it: focus and sensor go with the camera, unless they were
   given. */
static void test_rewrite_derived_follows(void **state)
{
    (void)state;
    struct owl_change change = change_to("camera", 0, "place", "4 m before, 40 cm up");
    read_words(HEAD "[stage]\nmark height = 0 m\n");
    assert_int_equal(owl_plan_apply(&change, &plan), OWL_OK);
    check_near("sensor", plan.sensor.place.y_m, -4.0, 0.0);
    check_near("focus", plan.lens.focus_m, hypot(4.0, 0.4 - plan.subject.height_m / 2.0), 1e-12);
    assert_true(owl_plan_gave(&plan, "camera", 0, "place"));
    assert_false(owl_plan_gave(&plan, "sensor", 0, "place"));
    read_words(HEAD "[lens]\nfocus distance = 2 m\n[sensor]\nplace = 1 m before, 1 m up\n");
    assert_int_equal(owl_plan_apply(&change, &plan), OWL_OK);
    check_near("sensor given", plan.sensor.place.y_m, -1.0, 0.0);
    check_near("focus given", plan.lens.focus_m, 2.0, 0.0);
}

/* Some words of a unit; NULL for those that are left alone. */
static const char *some_words(enum owl_unit unit, int pick)
{
    static const char *const words[OWL_UNITS][4] = {
        [OWL_UNIT_COUNT] = {"1", "2", "4", "12"},
        [OWL_UNIT_NUMBER] = {"100", "640", "0.5", "3200"},
        [OWL_UNIT_LENGTH] = {"80 cm", "2.25 m", "15 mm", "12 m"},
        [OWL_UNIT_FOCAL] = {"24 mm", "36 mm", "85 mm", "16 mm"},
        [OWL_UNIT_POINT] = {"1.25 m left, 2 m before, 1.5 m up", "40 cm right, 3.1 m before, 60 cm up", "1 m right, 1 m behind, 2 m up", "10 cm right, 20 cm up"},
        [OWL_UNIT_MASS] = {"50 g", "8 kg", "1.4 kg", "20 kg"},
        [OWL_UNIT_TIME] = {"5 ms", "1/4 s", "10 min", "3 s"},
        [OWL_UNIT_SHUTTER] = {"1/125 s", "1/30 s", "1/250 s", "bulb"},
        [OWL_UNIT_SPEED] = {"0.8 m/s", "5 km/h", "2 m/s", "20 cm/s"},
        [OWL_UNIT_ANGLE] = {"5 deg", "25 deg", "12.5 deg", "60 deg"},
        [OWL_UNIT_PERCENT] = {"10 %", "85 %", "30 %", "60 %"},
        [OWL_UNIT_VOLTAGE] = {"5 V", "12 V", "24 V", "6 V"},
        [OWL_UNIT_CURRENT] = {"0.2 mA", "10 mA", "100 mA", "1 mA"},
        [OWL_UNIT_CHARGE] = {"2 Ah", "800 mAh", "14 Ah", "3.4 Ah"},
        [OWL_UNIT_ENERGY] = {"4 J", "60 J", "20 J", "100 J"},
        [OWL_UNIT_STOPS] = {"1 stop", "2 stops", "0.5 stops", "5 stops"},
        [OWL_UNIT_FNUMBER] = {"f/4", "f/8", "f/2.8", "f/22"},
        [OWL_UNIT_POWER] = {"1/4", "1/64", "full", "1/16"},
        [OWL_UNIT_LIGHT] = {"0.5 lx", "10 lx", "200 lx", "3 lx"},
        [OWL_UNIT_TEMPERATURE] = {"-6 C", "4 C", "12 C", "20 C"},
        [OWL_UNIT_TEXT] = {"Upper wood", "Alder Bend", "a = b", "x"},
    };
    return words[unit][pick];
}

static int below(struct owl_rng *rng, int count)
{
    return (int)(owl_rng_bits(rng) % (uint64_t)count);
}

/* A change to any field of the plan at hand, passers' kinds and required choices apart. */
static bool random_change(struct owl_rng *rng, struct owl_change *change)
{
    const struct owl_section *section = owl_section_at(below(rng, owl_section_count()));
    int times = section->most == 1 ? 1 : strcmp(section->name, "flash") == 0 ? plan.flashes : plan.passers;
    if (times == 0 || strcmp(section->name, "bait") == 0)
        return false;
    *change = (struct owl_change){.section = section, .nth = below(rng, times)};
    change->field = below(rng, section->field_count);
    const struct owl_field *field = &section->fields[change->field];
    const char *words = some_words(field->unit, below(rng, 4));
    if (field->unit == OWL_UNIT_CHOICE && strcmp(field->name, "kind") != 0)
        words = field->choice(below(rng, 2));
    if (!words)
        return false;
    memcpy(change->words, words, strlen(words) + 1);
    return true;
}

static void read_example(const char *name, bool crlf)
{
    char path[4096];
    snprintf(path, sizeof path, "%s/../../examples/%s.plan", OWL_TEST_DATA, name);
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    size_t length = 0;
    for (int c = getc(file); c != EOF && length + 3 < sizeof bytes; c = getc(file)) {
        if (c == '\n' && crlf)
            bytes[length++] = '\r';
        bytes[length++] = (char)c;
    }
    fclose(file);
    bytes[length] = '\0';
    assert_int_equal(owl_plan_read(bytes, length, &plan, &complaints), OWL_OK);
}

/* Lines of the new text that end otherwise than all should. */
static void check_line_ends(bool crlf)
{
    for (const char *feed = strchr(buffer, '\n'); feed; feed = strchr(feed + 1, '\n'))
        assert_int_equal(feed[-1] == '\r', crlf);
}

static int remarks(const char *text)
{
    int count = 0;
    for (; *text; text++)
        count += *text == '#';
    return count;
}

/* identity: for changes of any kind to any of the examples, the text written reads back as the plan changed, in every
   field; and a plan stands exactly when its text can be read. */
static void test_rewrite_reads_back(void **state)
{
    (void)state;
    static const char *const examples[] = {"marten", "lynx", "dipper", "polar", "first"};
    int stood = 0, fell = 0;
    for (uint64_t trial = 0; trial < 4000; trial++) {
        struct owl_rng rng = owl_rng_start(11, trial);
        struct owl_change change[4];
        int changes = 0, wanted = 1 + below(&rng, 4);
        bool crlf = trial % 2 == 1;
        read_example(examples[trial % 5], crlf);
        changed = plan;
        while (changes < wanted)
            if (random_change(&rng, &change[changes]) && owl_plan_apply(&change[changes], &changed) == OWL_OK)
                changes++;
        struct owl_text text = owl_text_over(buffer, sizeof buffer);
        owl_plan_rewrite(bytes, strlen(bytes), &plan, change, changes, &text);
        assert_false(text.cut);
        bool reads = owl_plan_read(buffer, text.length, &read_back, &complaints) == OWL_OK;
        if (reads != owl_plan_stands(&changed))
            fail_msg("trial %d: %s = %s: %s", (int)trial, change[0].section->fields[change[0].field].name, change[0].words,
                     reads ? "it reads" : complaints.list[0].words);
        (reads ? stood++ : fell++);
        check_line_ends(crlf);
        assert_int_equal(remarks(buffer), remarks(bytes));
        if (reads)
            check_same_plan(&read_back, &changed);
    }
    assert_true(stood > 400 && fell > 400);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_rewrite_keeps_the_rest),    cmocka_unit_test(test_rewrite_adds_to_the_section),
        cmocka_unit_test(test_rewrite_adds_sections),     cmocka_unit_test(test_rewrite_keeps_line_ends),
        cmocka_unit_test(test_rewrite_nothing_and_twice), cmocka_unit_test(test_rewrite_faults),
        cmocka_unit_test(test_rewrite_derived_follows),   cmocka_unit_test(test_rewrite_reads_back),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
