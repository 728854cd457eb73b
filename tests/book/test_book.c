/* The book: what is kept comes back. */
#include "support/check.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "book/book.h"
#include "book/made_book.h"
#include "support/card_room.h"

#define FRAMES 120

static struct owl_error error;

/* ---- watches and cards ---- */

static const struct owl_book_watch ford = {
    .name = "ford \xc3\xa9, \"1\"", .plan = "subject = fox\n# twice '; DROP TABLE plan\n",
    .site = {"The ford", 0.9, -0.1, NAN}, .begins_s = 1767225600.5, .ends_s = NAN};

/* identity: a watch is found as it was noted, also after closing; the same name is put right, not doubled */
static void test_book_watch_round_trip(void **state)
{
    (void)state;
    struct owl_book_watch found;
    struct owl_book *book = made_book_open("watches");
    assert_int_equal(owl_book_note_watch(book, &ford, &error), OWL_OK);
    assert_int_equal(owl_book_find_watch(book, "fords", &found, &error), OWL_OK);
    assert_int_equal(found.id, 0);
    owl_book_close(book);
    book = made_book_open("watches");
    assert_int_equal(owl_book_find_watch(book, ford.name, &found, &error), OWL_OK);
    int64_t id = found.id;
    assert_true(id > 0);
    assert_string_equal(found.name, ford.name);
    assert_string_equal(found.plan, ford.plan);
    assert_string_equal(found.site.name, ford.site.name);
    assert_true(found.site.latitude_rad == 0.9 && found.site.longitude_rad == -0.1 && isnan(found.site.elevation_m));
    assert_true(found.begins_s == ford.begins_s && isnan(found.ends_s));
    owl_book_watch_clear(&found);
    struct owl_book_watch later = ford;
    later.plan = "subject = badger\n";
    later.site.name = NULL;
    later.ends_s = 1768000000;
    assert_int_equal(owl_book_note_watch(book, &later, &error), OWL_OK);
    assert_int_equal(owl_book_find_watch(book, ford.name, &found, &error), OWL_OK);
    assert_int_equal(found.id, id);
    assert_string_equal(found.plan, later.plan);
    assert_null(found.site.name);
    assert_true(found.ends_s == later.ends_s);
    owl_book_watch_clear(&found);
    owl_book_watch_clear(&found);
    owl_book_close(book);
}

/* identity: watches of one plan share its text, which goes with the last of them; sites likewise are one by name */
static void test_book_plan_stored_once(void **state)
{
    (void)state;
    struct owl_book *book = made_book_open("plans");
    struct owl_book_watch watch = ford;
    struct owl_book_watches list;
    assert_int_equal(owl_book_note_watch(book, &watch, &error), OWL_OK);
    watch.name = "a second";
    watch.begins_s = NAN;
    assert_int_equal(owl_book_note_watch(book, &watch, &error), OWL_OK);
    watch.name = "an earlier";
    watch.begins_s = 5;
    watch.plan = "";
    assert_int_equal(owl_book_note_watch(book, &watch, &error), OWL_OK);
    assert_int_equal(made_book_ask("plans/" OWL_BOOK_FILE, "SELECT count(*) FROM plan"), 2);
    assert_int_equal(made_book_ask("plans/" OWL_BOOK_FILE, "SELECT count(*) FROM site"), 1);
    assert_int_equal(owl_book_list_watches(book, &list, &error), OWL_OK);
    assert_int_equal(list.count, 3);
    assert_string_equal(list.watch[0].name, "an earlier");
    assert_string_equal(list.watch[0].plan, "");
    assert_string_equal(list.watch[1].plan, ford.plan);
    assert_string_equal(list.watch[2].name, "a second");
    owl_book_watches_clear(&list);
    watch.plan = ford.plan;
    assert_int_equal(owl_book_note_watch(book, &watch, &error), OWL_OK);
    assert_int_equal(made_book_ask("plans/" OWL_BOOK_FILE, "SELECT count(*) FROM plan"), 1);
    watch.name = "";
    assert_int_equal(owl_book_note_watch(book, &watch, &error), OWL_BAD_USE);
    owl_book_close(book);
}

/* identity: what is noted of a card adds up; slashes at the end of a folder do not make another card */
static void test_book_cards(void **state)
{
    (void)state;
    struct owl_book *book = made_book_open("cards");
    struct owl_book_cards list;
    assert_int_equal(owl_book_note_watch(book, &ford, &error), OWL_OK);
    struct owl_book_card told = {.folder = MADE_BOOK_FOLDER "//", .pulled_s = 50.5};
    assert_int_equal(owl_book_note_card(book, &told, &error), OWL_OK);
    told = (struct owl_book_card){.folder = MADE_BOOK_FOLDER, .watch = ford.name, .pulled_s = NAN};
    assert_int_equal(owl_book_note_card(book, &told, &error), OWL_OK);
    told = (struct owl_book_card){.folder = "/odd\xff", .pulled_s = NAN};
    assert_int_equal(owl_book_note_card(book, &told, &error), OWL_OK);
    assert_int_equal(made_book_keep(book, 5, 0, &error), OWL_OK);
    assert_int_equal(owl_book_list_cards(book, NULL, &list, &error), OWL_OK);
    assert_int_equal(list.count, 2);
    assert_string_equal(list.card[0].folder, "/odd\xff");
    assert_null(list.card[0].watch);
    assert_true(isnan(list.card[0].pulled_s) && isnan(list.card[0].judged_s) && list.card[0].frames == 0);
    owl_book_cards_clear(&list);
    assert_int_equal(owl_book_list_cards(book, ford.name, &list, &error), OWL_OK);
    assert_int_equal(list.count, 1);
    assert_string_equal(list.card[0].folder, MADE_BOOK_FOLDER);
    assert_string_equal(list.card[0].watch, ford.name);
    assert_true(list.card[0].pulled_s == 50.5 && list.card[0].judged_s == made_book_how.judged_s && list.card[0].frames == 5);
    owl_book_cards_clear(&list);
    told = (struct owl_book_card){.folder = "/new", .watch = "none of ours", .pulled_s = NAN};
    assert_int_equal(owl_book_note_card(book, &told, &error), OWL_BAD_USE);
    assert_non_null(strstr(error.words, "has no watch with the name none of ours"));
    assert_int_equal(made_book_ask("cards/" OWL_BOOK_FILE, "SELECT count(*) FROM card"), 2);
    told = (struct owl_book_card){.folder = "photos", .pulled_s = NAN};
    assert_int_equal(owl_book_note_card(book, &told, &error), OWL_BAD_USE);
    owl_book_close(book);
}

/* ---- judged cards ---- */

/* identity: every field of every frame comes back bit for bit, names of any bytes, NaN, infinities and -0.0 among them */
static void test_book_judged_round_trip(void **state)
{
    (void)state;
    struct owl_book *book = made_book_open("judged");
    struct owl_judged nothing = {0};
    struct owl_book_judging told = {0};
    const char *orphans = "SELECT count(*) FROM box WHERE frame NOT IN (SELECT id FROM frame)";
    bool there = true;
    assert_int_equal(owl_book_find_judged(book, MADE_BOOK_FOLDER, &there, &told, &nothing, &error), OWL_OK);
    assert_false(there);
    assert_int_equal(made_book_keep(book, FRAMES, 0, &error), OWL_OK);
    made_book_check(book, FRAMES, 0);
    owl_book_close(book);
    book = made_book_open("judged");
    made_book_check(book, FRAMES, 0);
    assert_int_equal(made_book_keep(book, FRAMES / 2, 3, &error), OWL_OK);
    made_book_check(book, FRAMES / 2, 3);
    assert_int_equal(made_book_ask("judged/" OWL_BOOK_FILE, "SELECT count(*) FROM verdict"), FRAMES / 2);
    assert_int_equal(made_book_ask("judged/" OWL_BOOK_FILE, orphans), 0);
    assert_int_equal(made_book_keep(book, 0, 0, &error), OWL_OK);
    made_book_check(book, 0, 0);
    owl_book_close(book);
}

/* pinned: sizes on a machine of 64 bits. One that changes has a new field, which wants its column and its place in this test */
static void test_book_knows_all_fields(void **state)
{
    (void)state;
    if (sizeof(void *) != 8)
        skip();
    assert_int_equal(sizeof(struct owl_frame_verdict), 440);
    assert_int_equal(sizeof(struct owl_judged_frame), 536);
    assert_int_equal(sizeof(struct owl_judged), 40);
}

/* fault: contradictions within a card are refused, and what was there stays */
static void test_book_refuses_unsound_cards(void **state)
{
    (void)state;
    struct owl_book *book = made_book_open("unsound");
    assert_int_equal(made_book_keep(book, FRAMES, 0, &error), OWL_OK);
    struct owl_judged judged = made_book_judged(4, 1);
    judged.frame[3].verdict.boxes = OWL_JUDGE_BOXES + 1;
    assert_int_equal(owl_book_keep_judged(book, MADE_BOOK_FOLDER, &made_book_how, &judged, &error), OWL_BAD_USE);
    judged.frame[3].verdict.boxes = 1;
    judged.frame[3].verdict.class = (enum owl_judge_class)5;
    assert_int_equal(owl_book_keep_judged(book, MADE_BOOK_FOLDER, &made_book_how, &judged, &error), OWL_BAD_USE);
    judged.frame[3].verdict.class = OWL_JUDGE_LOOK;
    strcpy(judged.frame[3].name, judged.frame[2].name);
    assert_int_equal(owl_book_keep_judged(book, MADE_BOOK_FOLDER, &made_book_how, &judged, &error), OWL_BAD_USE);
    assert_non_null(strstr(error.words, "contradicts"));
    struct owl_book_judging many = made_book_how;
    many.ignored = OWL_JUDGE_IGNORED + 1;
    assert_int_equal(owl_book_keep_judged(book, MADE_BOOK_FOLDER, &many, &judged, &error), OWL_BAD_USE);
    made_book_check(book, FRAMES, 0);
    owl_judged_clear(&judged);
    owl_book_close(book);
}

/* identity: visits come back in order, go when the card is judged anew; fault: they need the card's frames */
static void test_book_visits(void **state)
{
    (void)state;
    struct owl_book_visit made[] = {
        {0, 3, 2, 10.25, 11.5, "keeper"}, {4, 4, 4, NAN, NAN, ""}, {9, 5, 7, 3, 4, "fifteen letters"}};
    struct owl_book_visit *found = NULL;
    int count = -1;
    struct owl_book *book = made_book_open("visits");
    assert_int_equal(owl_book_keep_visits(book, MADE_BOOK_FOLDER, made, 3, &error), OWL_BAD_USE);
    assert_non_null(strstr(error.words, "knows no card in " MADE_BOOK_FOLDER));
    assert_int_equal(made_book_keep(book, 10, 0, &error), OWL_OK);
    assert_int_equal(owl_book_keep_visits(book, MADE_BOOK_FOLDER, made, 1, &error), OWL_OK);
    assert_int_equal(owl_book_keep_visits(book, MADE_BOOK_FOLDER, made, 3, &error), OWL_OK);
    assert_int_equal(owl_book_find_visits(book, MADE_BOOK_FOLDER, &found, &count, &error), OWL_OK);
    assert_int_equal(count, 3);
    for (int i = 0; i < 3; i++) {
        assert_true(found[i].first == made[i].first && found[i].last == made[i].last && found[i].best == made[i].best);
        assert_memory_equal(&found[i].begins_s, &made[i].begins_s, sizeof made[i].begins_s);
        assert_memory_equal(&found[i].ends_s, &made[i].ends_s, sizeof made[i].ends_s);
        assert_string_equal(found[i].row, made[i].row);
    }
    free(found);
    made[1].last = 10;
    assert_int_equal(owl_book_keep_visits(book, MADE_BOOK_FOLDER, made, 3, &error), OWL_BAD_USE);
    memset(made[0].row, 'x', sizeof made[0].row);
    assert_int_equal(owl_book_keep_visits(book, MADE_BOOK_FOLDER, made, 1, &error), OWL_BAD_USE);
    assert_int_equal(made_book_ask("visits/" OWL_BOOK_FILE, "SELECT count(*) FROM visit"), 3);
    assert_int_equal(made_book_keep(book, 10, 0, &error), OWL_OK);
    assert_int_equal(owl_book_find_visits(book, MADE_BOOK_FOLDER, &found, &count, &error), OWL_OK);
    assert_int_equal(count, 0);
    assert_null(found);
    owl_book_close(book);
}

/* identity: a correction outlives every judging, also one without its frame, and the last word holds */
static void test_book_corrections(void **state)
{
    (void)state;
    struct owl_book *book = made_book_open("corrections");
    struct owl_book_corrections list;
    struct owl_judged judged = made_book_judged(10, 0);
    const char *name = judged.frame[6].name, *earlier = judged.frame[1].name;
    assert_int_equal(owl_book_correct(book, MADE_BOOK_FOLDER, name, OWL_JUDGE_EMPTY, 1, &error), OWL_BAD_USE);
    assert_non_null(strstr(error.words, "has no judged frame with the name 100A/\\x01\\xff"));
    assert_int_equal(made_book_keep(book, 10, 0, &error), OWL_OK);
    assert_int_equal(owl_book_correct(book, MADE_BOOK_FOLDER, name, OWL_JUDGE_EMPTY, 1.5, &error), OWL_OK);
    assert_int_equal(owl_book_correct(book, MADE_BOOK_FOLDER, earlier, OWL_JUDGE_LOOK, NAN, &error), OWL_OK);
    assert_int_equal(owl_book_correct(book, MADE_BOOK_FOLDER, name, OWL_JUDGE_SUBJECT, 2.5, &error), OWL_OK);
    assert_int_equal(owl_book_correct(book, MADE_BOOK_FOLDER, name, (enum owl_judge_class)77, 3, &error), OWL_BAD_USE);
    assert_int_equal(made_book_keep(book, 10, 2, &error), OWL_OK);
    assert_int_equal(made_book_keep(book, 3, 0, &error), OWL_OK);
    assert_int_equal(owl_book_find_corrections(book, MADE_BOOK_FOLDER "/", &list, &error), OWL_OK);
    assert_int_equal(list.count, 2);
    assert_string_equal(list.correction[0].name, earlier);
    assert_true(list.correction[0].class == OWL_JUDGE_LOOK && isnan(list.correction[0].corrected_s));
    assert_string_equal(list.correction[1].name, name);
    assert_true(list.correction[1].class == OWL_JUDGE_SUBJECT && list.correction[1].corrected_s == 2.5);
    owl_book_corrections_clear(&list);
    assert_int_equal(owl_book_find_corrections(book, "/elsewhere", &list, &error), OWL_OK);
    assert_int_equal(list.count, 0);
    owl_judged_clear(&judged);
    owl_book_close(book);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_book_watch_round_trip),
        cmocka_unit_test(test_book_plan_stored_once),
        cmocka_unit_test(test_book_cards),
        cmocka_unit_test(test_book_judged_round_trip),
        cmocka_unit_test(test_book_knows_all_fields),
        cmocka_unit_test(test_book_refuses_unsound_cards),
        cmocka_unit_test(test_book_visits),
        cmocka_unit_test(test_book_corrections),
    };
    return cmocka_run_group_tests(tests, card_room_setup, card_room_teardown);
}
