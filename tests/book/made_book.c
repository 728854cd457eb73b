/* Made cards for the book, and the comparison with what comes out of it. */
#include "book/made_book.h"

#include "support/check.h"

#include <math.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "support/card_room.h"

struct owl_book *made_book_open(const char *name)
{
    struct owl_book *book = NULL;
    struct owl_error error;
    if (owl_book_open(card_room_path(name), &book, &error) != OWL_OK)
        fail_msg("%s", error.words);
    return book;
}

/* Each number of its own, none of them zero, so that no two can be taken for each other and none for what was never kept. */
static void make_verdict(struct owl_frame_verdict *verdict, int number)
{
    double *real[] = {&verdict->score, &verdict->clipped, &verdict->dark, &verdict->mean, &verdict->sharpness,
                      &verdict->look.mean, &verdict->look.clipped, &verdict->look.detail, &verdict->look.darkest,
                      &verdict->look.light, &verdict->look.lopsided, &verdict->norm.clipped, &verdict->norm.detail,
                      &verdict->norm.darkest, &verdict->norm.mean, &verdict->pose.right_px, &verdict->pose.down_px,
                      &verdict->pose.turn_rad,
                      &verdict->gain, &verdict->offset, &verdict->calm, &verdict->wind, &verdict->thin, &verdict->shadow};
    bool *truth[] = {&verdict->cut_off, &verdict->moved, &verdict->over_exposed, &verdict->fogged, &verdict->out_of_focus,
                     &verdict->aligned};
    for (int i = 0; i < (int)(sizeof real / sizeof real[0]); i++)
        *real[i] = (i % 2 ? -1.0 : 1.0) * (number + 1) / (i + 3.0);
    for (int i = 0; i < 6; i++)
        *truth[i] = (number >> i) % 2 == 0;
    verdict->class = (enum owl_judge_class)(number % 5);
    verdict->flash = (enum owl_flash_state)(number % 4);
    verdict->group = number + 1;
    verdict->alike = number + 2;
    verdict->segment = number + 3;
    verdict->boxes = number % (OWL_JUDGE_BOXES + 1);
    for (int i = 0; i < verdict->boxes; i++)
        verdict->box[i] = (struct owl_judge_box){number + i, number + 2 * i, -number - 3 * i, 4 * i + 1, 600.5 / (i + 1.0)};
}

/* Values at the edge of what a number can be. */
static void make_odd(struct owl_judged_frame *frame)
{
    frame[0].verdict.pose.right_px = -0.0;
    frame[0].verdict.score = NAN;
    frame[0].taken_s = NAN;
    frame[0].exposure_s = INFINITY;
    frame[1].verdict.offset = -INFINITY;
    frame[1].verdict.gain = 4.9e-324;
    frame[1].size_bytes = UINT64_MAX;
    frame[1].changed_s = INT64_MIN;
    frame[2].verdict.mean = 9007199254740993.0;
    frame[2].verdict.box[0].score = NAN;
}

struct owl_judged made_book_judged(int count, int shift)
{
    struct owl_judged judged = {.frame = calloc((size_t)count + 1, sizeof *judged.frame), .count = count, .width = 384,
                                .height = 256, .flashes = 3, .subject_score = 1234.5, .clock_shift_s = -3600.25};
    assert_non_null(judged.frame);
    for (int i = 0; i < count; i++) {
        struct owl_judged_frame *frame = &judged.frame[i];
        char name[64];
        snprintf(name, sizeof name, "100%c/\x01\xff\xc3 '\"%%_%05d.jpg", 'A' + shift % 26, i);
        frame->name = strdup(name);
        frame->size_bytes = 5000000u + (uint64_t)i;
        frame->changed_s = 1767225600 + i + shift;
        frame->changed_ns = 999999999 - i;
        frame->taken_s = 1767225600.01 + i;
        frame->exposure_s = 1.0 / (i + 60);
        frame->f_number = 8.0 + i;
        frame->iso = 400.0 + i;
        frame->focal_m = 0.024 + i;
        frame->flash_told = i % 3 != 0;
        frame->flash_fired = i % 3 == 1;
        frame->width = 6000 + i;
        frame->height = 4000 + i;
        frame->orientation = i % 9;
        frame->corrected = i % 7 == 3;
        make_verdict(&frame->verdict, i + shift);
    }
    if (count > 2)
        make_odd(judged.frame);
    return judged;
}

const struct owl_book_judging made_book_how = {
    .judged_s = 1767300000.5, .version = 7, .subject_score = 612.5, .ignored = 2,
    .ignore = {{0, 0.1, 0.2, 0.3}, {0.5, -0.0, 1, NAN}}};

enum owl_status made_book_keep(struct owl_book *book, int count, int shift, struct owl_error *error)
{
    struct owl_judged judged = made_book_judged(count, shift);
    enum owl_status status = owl_book_keep_judged(book, MADE_BOOK_FOLDER, &made_book_how, &judged, error);
    owl_judged_clear(&judged);
    return status;
}

/* Every byte, padding too: both sides begin as zeros. */
static void check_same(const struct owl_judged *found, const struct owl_judged *made)
{
    assert_int_equal(found->count, made->count);
    assert_int_equal(found->width, made->width);
    assert_int_equal(found->height, made->height);
    assert_int_equal(found->flashes, made->flashes);
    assert_true(found->subject_score == made->subject_score);
    assert_memory_equal(&found->clock_shift_s, &made->clock_shift_s, sizeof made->clock_shift_s);
    for (int i = 0; i < made->count; i++) {
        struct owl_judged_frame frame;
        assert_string_equal(found->frame[i].name, made->frame[i].name);
        memcpy(&frame, &found->frame[i], sizeof frame);
        frame.name = made->frame[i].name;
        assert_memory_equal(&frame, &made->frame[i], sizeof frame);
    }
}

void made_book_check(struct owl_book *book, int count, int shift)
{
    struct owl_judged made = made_book_judged(count, shift), found;
    struct owl_book_judging told;
    struct owl_error error;
    bool there = false;
    memset(&told, 0, sizeof told);
    if (owl_book_find_judged(book, MADE_BOOK_FOLDER, &there, &told, &found, &error) != OWL_OK)
        fail_msg("%s", error.words);
    assert_true(there);
    check_same(&found, &made);
    assert_memory_equal(&told.judged_s, &made_book_how.judged_s, sizeof made_book_how.judged_s);
    assert_memory_equal(&told.subject_score, &made_book_how.subject_score, sizeof made_book_how.subject_score);
    assert_int_equal(told.version, made_book_how.version);
    assert_int_equal(told.ignored, made_book_how.ignored);
    assert_memory_equal(told.ignore, made_book_how.ignore, sizeof made_book_how.ignore);
    owl_judged_clear(&found);
    owl_judged_clear(&made);
}

int made_book_ask(const char *file, const char *sql)
{
    sqlite3 *database;
    sqlite3_stmt *statement;
    int number = -1;
    if (sqlite3_open(card_room_path(file), &database) == SQLITE_OK &&
        sqlite3_prepare_v2(database, sql, -1, &statement, NULL) == SQLITE_OK) {
        if (sqlite3_step(statement) == SQLITE_ROW)
            number = sqlite3_column_int(statement, 0);
        sqlite3_finalize(statement);
    }
    sqlite3_close(database);
    return number;
}
