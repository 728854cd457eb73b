/* The contact sheet: one well-formed page that asks for nothing, whatever the names on the card are; its pictures are the
   bytes that were given, and it leaves in small pieces. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "support/check.h"
#include "support/markup.h"

#include "sheet/contact_sheet.h"
#include "sheet/moment.h"
#include "sheet/pieces.h"

#define PAGE_BYTES (1 << 20)
#define NIGHT 20862 /* 2027-02-13 */
#define DAY_S 86400.0

/* Where a page arrives. */
struct tray {
    size_t length, longest, room;
    int pieces;
};

static char page[PAGE_BYTES];
static int asked[8], asked_px[8], asked_count;

static bool collect(void *context, const char *bytes, size_t length)
{
    struct tray *tray = context;
    tray->pieces++;
    if (length > tray->longest)
        tray->longest = length;
    if (tray->length + length >= tray->room)
        return false;
    memcpy(page + tray->length, bytes, length);
    tray->length += length;
    page[tray->length] = '\0';
    return true;
}

static const uint8_t picture_bytes[] = {0xFF, 0xD8, 0xFF, 0x00, 0x3E, 0x3F, 0xFF, 0xD9};

static bool give_picture(void *context, int number, int long_side_px, struct owl_contact_picture *picture)
{
    (void)context;
    assert_true(asked_count < 8);
    asked[asked_count] = number;
    asked_px[asked_count++] = long_side_px;
    *picture = (struct owl_contact_picture){picture_bytes, sizeof picture_bytes - (size_t)(number % 3), 600, 400};
    return number != 14;
}

static const struct owl_contact_box boxes[] = {{0.5, 0.25, 0.75, 0.5}, {-1.0, 0.0, 0.1, 2.0}, {NAN, 0.0, NAN, 0.1}};
static const struct owl_contact_frame first[] = {
    {11, "DCIM/IMG_0011.JPG", NIGHT * DAY_S + 22.0 * 3600.0 + 59.996, "subject", "cut", "cut off", boxes, 1},
    {12, "<script>alert(\"1\")</script>&'.JPG", NIGHT * DAY_S + 22.0 * 3600.0 + 72.0, "subject", "keeper", "", boxes, 3},
    {13, "IMG_0013.JPG", NAN, "look", "", "", NULL, 0},
};
static const struct owl_contact_frame second[] = {{14, "IMG_0014.JPG", NAN, "subject", "", "", boxes + 1, 1}};
static const struct owl_contact_visit visits[] = {{1, NIGHT, "keeper", "a <fine> one", first, 3, 1},
                                                  {2, OWL_CONTACT_NO_NIGHT, "cut", "", second, 1, 0},
                                                  {3, OWL_CONTACT_NO_NIGHT, "keeper", "", second, 1, 0}};
static const struct owl_contact_failure failures[] = {{"a&b.JPG", NIGHT * DAY_S, "flash failed"}};
static const struct owl_contact_night nights[] = {
    {NIGHT, 1, 7, 3, 1, 3}, {NIGHT + 1, 0, 0, 0, 0, 0}, {OWL_CONTACT_NO_NIGHT, 2, 2, 2, 0, 0}};
static const struct owl_contact_sheet usual = {.title = "ridge & <spring>", .note = "", .visit = visits, .visits = 3,
    .failure = failures, .failures = 1, .night = nights, .nights = 3, .picture = give_picture};

static void write_page(const struct owl_contact_sheet *sheet)
{
    struct tray tray = {.room = sizeof page};
    asked_count = 0;
    assert_int_equal(owl_contact_sheet_write(sheet, collect, &tray), OWL_OK);
    assert_true(tray.longest <= OWL_PIECE_BYTES && tray.pieces >= 2);
}

static int count_of(const char *words)
{
    int count = 0;
    for (const char *c = strstr(page, words); c; c = strstr(c + 1, words))
        count++;
    return count;
}

static void check_has(const char *words)
{
    if (!strstr(page, words))
        fail_msg("the page lacks: %s", words);
}

/* No heading is more than one deeper than the one before. */
static void check_headings(void)
{
    char before = '0';
    for (const char *c = strstr(page, "<h"); c; c = strstr(c + 1, "<h"))
        if (c[2] >= '1' && c[2] <= '6') {
            assert_true(c[2] <= before + 1);
            before = c[2];
        }
    assert_true(before > '0');
}

/* identity: well formed, self-contained, every picture with its words, headings in order */
static void test_contact_sheet_stands_alone(void **state)
{
    (void)state;
    write_page(&usual);
    check_balance(page);
    check_headings();
    check_has("<html lang=\"en\">");
    assert_null(strstr(page, "<script"));
    assert_null(strstr(page, "http:"));
    assert_null(strstr(page, "https:"));
    assert_null(strstr(page, "url("));
    assert_null(strstr(page, "nan"));
    assert_int_equal(count_of("<img "), 3);
    assert_int_equal(count_of("src="), count_of("src=\"data:image/jpeg;base64,"));
    assert_int_equal(count_of(" alt=\""), 3);
    assert_int_equal(count_of("<figure"), count_of("<figcaption"));
    assert_int_equal(count_of("No picture"), 2);
}

/* identity: what came from names and words is text, never markup */
static void test_contact_sheet_escapes(void **state)
{
    (void)state;
    write_page(&usual);
    assert_int_equal(count_of("&lt;script&gt;alert(&quot;1&quot;)&lt;/script&gt;&amp;&#39;.JPG"), 2);
    check_has("a &lt;fine&gt; one");
    check_has("a&amp;b.JPG");
    assert_int_equal(count_of("ridge &amp; &lt;spring&gt;"), 2);
}

/* identity: times, counts, links to nights, rows of the ledger, the side the subject is on */
static void test_contact_sheet_tells(void **state)
{
    (void)state;
    write_page(&usual);
    check_has("3 visits in 3 nights; 9 frames: 5 shown, 3 empty, 1 failed.");
    check_has("Where the visits ended: keeper 2, cut 1.");
    check_has("<a href=\"#night-2027-02-13\">");
    check_has("<h2 id=\"night-2027-02-13\">Night of <span class=\"whole\">Sat 13 Feb<span class=\"year\"> 2027</span>");
    check_has("<h2 id=\"night-unknown\">Night: not known</h2>");
    assert_int_equal(count_of("<h2 id=\"night-unknown\""), 1);
    check_has("</span>, 22:01:00 to 22:01:12, 3 frames; <strong>keeper</strong>; a &lt;fine&gt; one");
    check_has("<h3>Visit 2</h3><p>1 frame; <strong>cut</strong></p>");
    check_has("alt=\"DCIM/IMG_0011.JPG: subject, in the middle\"");
    check_has("alt=\"IMG_0013.JPG: look\"");
    check_has("<b>best of the visit</b>: subject; <em>keeper</em></figcaption>");
    assert_int_equal(count_of("best of the visit"), 1);
    check_has("<th scope=\"row\">Together</th><td>3</td><td>5</td><td>1</td><td>3</td><td>9</td>");
}

/* identity: cropping lines run over the corners by 3 % of 600 pixels; shares outside the picture are brought to its border */
static void test_contact_sheet_draws_boxes(void **state)
{
    (void)state;
    write_page(&usual);
    check_has("<svg viewBox=\"0 0 600 400\" aria-hidden=\"true\">");
    assert_int_equal(count_of("M282.0 100.0H468.0M282.0 200.0H468.0M300.0 82.0V218.0M450.0 82.0V218.0"), 4);
    assert_int_equal(count_of("M-18.0 0.0H78.0M-18.0 400.0H78.0M0.0 -18.0V418.0M60.0 -18.0V418.0"), 2);
}

/* identity: each picture is asked for once, the best of a visit first and large */
static void test_contact_sheet_asks_once(void **state)
{
    (void)state;
    static const int want[] = {12, 11, 13, 14, 14}, want_px[] = {640, 320, 320, 640, 640};
    write_page(&usual);
    assert_int_equal(asked_count, 5);
    assert_memory_equal(asked, want, sizeof want);
    assert_memory_equal(asked_px, want_px, sizeof want_px);
}

/* identity: a card without any visit, and a caller without pictures */
static void test_contact_sheet_of_nothing(void **state)
{
    (void)state;
    write_page(&(struct owl_contact_sheet){.title = "", .note = "the clock was right"});
    check_balance(page);
    check_has("0 visits in 0 nights; 0 frames");
    check_has("the clock was right");
    assert_null(strstr(page, "Frames that failed"));
    assert_null(strstr(page, "Where the visits ended"));
    struct owl_contact_sheet blind = usual;
    blind.picture = NULL;
    write_page(&blind);
    check_balance(page);
    assert_int_equal(count_of("No picture"), 5);
}

/* fault: wherever writing stops, that is told, and nothing more is handed on */
static void test_contact_sheet_tells_failed_writing(void **state)
{
    (void)state;
    for (size_t room = 1; room < 3 * OWL_PIECE_BYTES; room += OWL_PIECE_BYTES) {
        struct tray tray = {.room = room};
        asked_count = 0;
        assert_int_equal(owl_contact_sheet_write(&usual, collect, &tray), OWL_CANNOT_WRITE);
        assert_int_equal(tray.pieces, room / OWL_PIECE_BYTES + 1);
    }
}

/* cited: the standard's own vectors [rfc4648] section 10, and its last two figures */
static void test_contact_sheet_base64(void **state)
{
    (void)state;
    static const char *const plain[] = {"", "f", "fo", "foo", "foob", "fooba", "foobar", "\xFB\xFF\xBF"};
    static const char *const coded[] = {"", "Zg==", "Zm8=", "Zm9v", "Zm9vYg==", "Zm9vYmE=", "Zm9vYmFy", "+/+/"};
    for (size_t i = 0; i < sizeof plain / sizeof *plain; i++) {
        struct tray tray = {.room = sizeof page};
        page[0] = '\0';
        struct owl_pieces pieces = owl_pieces_to(collect, &tray);
        owl_pieces_base64(&pieces, (const uint8_t *)plain[i], strlen(plain[i]));
        assert_true(owl_pieces_end(&pieces));
        assert_string_equal(page, coded[i]);
    }
}

/* identity: hundredths round into the next second and day; nothing for times there are none of */
static void test_contact_sheet_moments(void **state)
{
    (void)state;
    static const double local_s[] = {0.0, -0.01, 86399.996, NIGHT * DAY_S + 3723.25, 1.07, NAN, INFINITY, 1e13, -1e11};
    static const char *const iso[] = {"1970-01-01T00:00:00", "1969-12-31T23:59:59.99", "1970-01-02T00:00:00",
                                      "2027-02-13T01:02:03.25", "1970-01-01T00:00:01.07", "", "", "", ""};
    for (size_t i = 0; i < sizeof iso / sizeof *iso; i++) {
        char words[64];
        struct owl_text text = owl_text_over(words, sizeof words);
        owl_moment_iso(local_s[i], &text);
        assert_string_equal(words, iso[i]);
        text = owl_text_over(words, sizeof words);
        owl_moment_clock(local_s[i], &text);
        assert_true(strncmp(words, iso[i][0] ? iso[i] + 11 : "", 8) == 0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_contact_sheet_stands_alone), cmocka_unit_test(test_contact_sheet_escapes),
        cmocka_unit_test(test_contact_sheet_tells), cmocka_unit_test(test_contact_sheet_draws_boxes),
        cmocka_unit_test(test_contact_sheet_asks_once), cmocka_unit_test(test_contact_sheet_of_nothing),
        cmocka_unit_test(test_contact_sheet_tells_failed_writing), cmocka_unit_test(test_contact_sheet_base64),
        cmocka_unit_test(test_contact_sheet_moments),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
