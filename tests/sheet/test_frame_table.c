/* The table of frames, read again by a reader of comma separated values written after the standard's grammar. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "support/check.h"

#include "sheet/frame_table.h"

#define COLUMNS 17

static char bytes[8192], cells[COLUMNS][512];

static const struct owl_table_box boxes[] = {{183.2, 93.0, 310.6, 211.0}, {0.0, -1.0, NAN, 20.0}, {5.0, 6.0, 7.0, 8.0}};
static const struct owl_table_frame usual = {.file = "DCIM/IMG_0002.JPG", .taken_s = 20862 * 86400.0 + 44040.5,
    .verdict = "subject", .row = "cut", .visit = 1, .best = true, .score = 17647.4, .flash = "fired", .box = boxes, .boxes = 3,
    .cut_off = true, .clipped = 0.012, .sharpness_rank = 2, .remarks = "over-exposed, cut off"};
static const struct owl_table_frame bare = {.file = "b.JPG", .taken_s = NAN, .verdict = "empty", .row = "", .score = NAN,
    .flash = "", .clipped = NAN, .remarks = ""};

/* One cell by the grammar of [rfc4180]: escaped or plain. The place after it. */
static const char *read_cell(const char *from, char *cell)
{
    if (*from != '"') {
        size_t length = strcspn(from, ",\r\n\"");
        memcpy(cell, from, length);
        cell[length] = '\0';
        return from + length;
    }
    for (from++; *from != '"' || from[1] == '"'; from++) {
        assert_true(*from != '\0');
        *cell++ = *from;
        from += *from == '"';
    }
    *cell = '\0';
    return from + 1;
}

static void read_line(void)
{
    const char *from = bytes;
    for (int i = 0; i < COLUMNS; i++) {
        from = read_cell(from, cells[i]);
        assert_string_equal(i < COLUMNS - 1 && *from == ',' ? "," : from, i < COLUMNS - 1 ? "," : "\r\n");
        from++;
    }
}

static void write_line(const struct owl_table_frame *frame)
{
    struct owl_text text = owl_text_over(bytes, sizeof bytes);
    owl_frame_table_line(frame, &text);
    assert_false(text.cut);
    read_line();
}

static void check_cells(const char *const want[COLUMNS])
{
    for (int i = 0; i < COLUMNS; i++)
        assert_string_equal(cells[i], want[i]);
}

/* identity: head and lines have the same columns; every value in its own */
static void test_frame_table_columns(void **state)
{
    (void)state;
    static const char *const head[COLUMNS] = {"file", "taken", "verdict", "row", "visit", "best", "score", "flash", "left", "top",
        "right", "bottom", "other_boxes", "cut_off", "clipped", "sharpness_rank", "remarks"};
    static const char *const full[COLUMNS] = {"DCIM/IMG_0002.JPG", "2027-02-13T12:14:00.50", "subject", "cut", "1", "yes",
        "17647", "fired", "183", "93", "311", "211", "0/0/0/20 5/6/7/8", "yes", "0.0120", "2", "over-exposed, cut off"};
    static const char *const little[COLUMNS] = {"b.JPG", "", "empty", "", "", "", "", "", "", "", "", "", "", "", "", "", ""};
    struct owl_text text = owl_text_over(bytes, sizeof bytes);
    owl_frame_table_head(&text);
    read_line();
    check_cells(head);
    write_line(&usual);
    check_cells(full);
    write_line(&bare);
    check_cells(little);
}

/* identity: one box only, and a frame of a visit that is not its best */
static void test_frame_table_one_box(void **state)
{
    (void)state;
    struct owl_table_frame frame = usual;
    frame.boxes = 1;
    frame.best = frame.cut_off = false;
    write_line(&frame);
    assert_string_equal(cells[11], "211");
    assert_string_equal(cells[12], "");
    assert_string_equal(cells[5], "no");
    assert_string_equal(cells[13], "no");
}

/* identity: names of any bytes come back as they were */
static void test_frame_table_names(void **state)
{
    (void)state;
    static const char *const names[] = {"a,b.JPG", "a\"b\".JPG", "\"", "a\r\nb.JPG", "\xFF\xFE.JPG", "a;b=c.JPG", " =1.JPG", ""};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        struct owl_table_frame frame = usual;
        frame.file = names[i];
        write_line(&frame);
        assert_string_equal(cells[0], names[i]);
    }
}

/* identity: no cell begins as a formula does; a file's name still names it */
static void test_frame_table_guards(void **state)
{
    (void)state;
    static const char *const starts[] = {"=", "+", "-", "@", "\t", "\r", "\n",
                                         "\xEF\xBC\x9D", "\xEF\xBC\x8B", "\xEF\xBC\x8D", "\xEF\xBC\xA0"};
    for (size_t i = 0; i < sizeof starts / sizeof *starts; i++) {
        char words[32] = "", guarded[40];
        strcat(strcpy(words, starts[i]), "cmd|'/c x'!A1");
        struct owl_table_frame frame = usual;
        frame.file = frame.remarks = words;
        write_line(&frame);
        assert_string_equal(cells[0], strcat(strcpy(guarded, "./"), words));
        assert_string_equal(cells[16], strcat(strcpy(guarded, "'"), words));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_frame_table_columns), cmocka_unit_test(test_frame_table_one_box),
        cmocka_unit_test(test_frame_table_names), cmocka_unit_test(test_frame_table_guards),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
