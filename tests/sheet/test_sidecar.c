/* Sidecars: well-formed XML that a general metadata tool reads back, whatever the words are; and their names. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "support/check.h"

#include "sheet/sidecar.h"

#define NIGHT 20862 /* 2027-02-13 */

static char bytes[OWL_SIDECAR_BYTES], answer[4096];
static const char *const rows[] = {"cut", "soft & <dim>\x01"};
static const struct owl_sidecar_box boxes[] = {{0.25, 0.125, 0.5, 0.75}, {-0.1, NAN, 1.5, 1.0}};
static const struct owl_sidecar usual = {.rank = OWL_SIDECAR_BEST, .verdict = "subject", .words = rows, .word_count = 2,
    .visit = 12, .best = true, .night_days = NIGHT, .taken_s = NIGHT * 86400.0 + 79200.25,
    .judged_unix_s = NIGHT * 86400.0 + 3e6, .score = 17647.4, .box = boxes, .boxes = 2};
static const struct owl_sidecar bare = {.rank = OWL_SIDECAR_EMPTY, .verdict = "empty", .night_days = OWL_SIDECAR_NO_NIGHT,
    .taken_s = NAN, .judged_unix_s = NAN, .score = NAN};

static void write_sidecar(const struct owl_sidecar *sidecar)
{
    struct owl_text text = owl_text_over(bytes, sizeof bytes);
    owl_sidecar_write(sidecar, &text);
    assert_false(text.cut);
}

static void check_has(const char *words)
{
    if (!strstr(bytes, words))
        fail_msg("the sidecar lacks: %s", words);
}

/* What `command FILE` answers about the sidecar as a file; false where there is no such program. */
static bool ask(const char *program, const char *options)
{
    char path[] = "/tmp/owl-sidecar-XXXXXX", command[256];
    (void)snprintf(command, sizeof command, "command -v %s > /dev/null", program);
    if (system(command) != 0)
        return false;
    int file = mkstemp(path);
    assert_true(file >= 0);
    assert_int_equal(write(file, bytes, strlen(bytes)), strlen(bytes));
    assert_int_equal(close(file), 0);
    (void)snprintf(command, sizeof command, "%s %s %s 2>&1", program, options, path);
    FILE *from = popen(command, "r");
    assert_non_null(from);
    answer[fread(answer, 1, sizeof answer - 1, from)] = '\0';
    int status = pclose(from);
    (void)unlink(path);
    if (status != 0)
        fail_msg("%s: %s", program, answer);
    return true;
}

/* identity: the packet and what it says of a frame */
static void test_sidecar_says(void **state)
{
    (void)state;
    write_sidecar(&usual);
    assert_memory_equal(bytes, "<?xpacket begin=\"\xEF\xBB\xBF\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n", 53);
    check_has("<?xpacket end=\"w\"?>\n");
    check_has("<xmp:Rating>4</xmp:Rating>");
    check_has("<rdf:li>night 2027-02-13</rdf:li>");
    check_has("<rdf:li>soft &amp; &lt;dim&gt;\xEF\xBF\xBD</rdf:li>");
    check_has("<photoshop:DateCreated>2027-02-13T22:00:00.25</photoshop:DateCreated>");
    check_has("<rdf:Description owl:left=\"0.0000\" owl:top=\"0.0000\" owl:right=\"1.0000\" owl:bottom=\"1.0000\"/>");
    assert_null(strstr(bytes, "nan"));
}

/* identity: what is not known is left out */
static void test_sidecar_leaves_out(void **state)
{
    (void)state;
    static const char *const absent[] = {"DateCreated", "MetadataDate", "owl:score", "owl:boxes", "visit", "night"};
    write_sidecar(&bare);
    check_has("<xmp:Rating>0</xmp:Rating>");
    for (size_t i = 0; i < sizeof absent / sizeof *absent; i++)
        assert_null(strstr(bytes, absent[i]));
}

/* cited: the general metadata tool [exiftool] reads rating, keywords, tool, date and our own names */
static void test_sidecar_reads_back(void **state)
{
    (void)state;
    write_sidecar(&usual);
    if (!ask("exiftool", "-s3 -sep '|' -XMP-xmp:Rating -XMP-dc:Subject -XMP-xmp:CreatorTool -XMP-xmp:MetadataDate "
                         "-XMP-photoshop:DateCreated -Score -Verdict -a -BoxesLeft"))
        skip();
    assert_string_equal(answer, "4\nowllight|subject|cut|soft & <dim>\xEF\xBF\xBD|visit 12|best of visit|night 2027-02-13\n"
                                "owllight\n2027:03:19 17:20:00Z\n2027:02:13 22:00:00.25\n17647\nsubject\n0.2500\n0.0000\n");
}

/* cited: well formed by a general XML reader [libxml2], with words of every byte there is */
static void test_sidecar_is_well_formed(void **state)
{
    (void)state;
    static const char *const odd[] = {"\xC0\xAF \xED\xA0\x80 \xF5\x80\x80\x80 \xE2\x82", "\xEF\xBF\xBE \xF0\x9F\xA6\x89 \x7F",
                                      "]]> <!-- ?> \r\n\t\"'&amp;"};
    char all[256];
    for (int i = 0; i < 255; i++)
        all[i] = (char)(i + 1);
    all[255] = '\0';
    struct owl_sidecar sidecar = usual;
    sidecar.words = odd;
    sidecar.word_count = 3;
    sidecar.verdict = all;
    write_sidecar(&sidecar);
    check_has("\xF0\x9F\xA6\x89");
    assert_null(strstr(bytes, "\xED\xA0"));
    if (!ask("xmllint", "--noout"))
        skip();
    assert_string_equal(answer, "");
}

/* fault: a small room is told of */
static void test_sidecar_cut(void **state)
{
    (void)state;
    struct owl_text text = owl_text_over(bytes, 500);
    owl_sidecar_write(&usual, &text);
    assert_true(text.cut);
}

/* identity: one release, one sidecar */
static void test_sidecar_names(void **state)
{
    (void)state;
    static const char *const names[][2] = {
        {"IMG_0001.JPG", "IMG_0001.xmp"}, {"IMG_0001.CR2", "IMG_0001.xmp"}, {"DCIM/100.A/IMG_0001", "DCIM/100.A/IMG_0001.xmp"},
        {"a.b.jpg", "a.b.xmp"}, {"d/.jpg", "d/.jpg.xmp"}, {"d/\xFF.jpg", "d/\xFF.xmp"}, {"a.", "a.xmp"}, {"", ".xmp"}};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        struct owl_text text = owl_text_over(bytes, sizeof bytes);
        owl_sidecar_name(names[i][0], &text);
        assert_string_equal(bytes, names[i][1]);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_sidecar_says), cmocka_unit_test(test_sidecar_leaves_out),
        cmocka_unit_test(test_sidecar_reads_back), cmocka_unit_test(test_sidecar_is_well_formed),
        cmocka_unit_test(test_sidecar_cut), cmocka_unit_test(test_sidecar_names),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
