/* The shelf's text: what is read, and that each mistake is told once, where it stands. */
#include "support/check.h"

#include <math.h>
#include <string.h>

#include "shelf/generic.h"
#include "shelf/reader.h"

static struct owl_shelf shelf;
static struct owl_complaints complaints;

static enum owl_status read_text(const char *text)
{
    return owl_shelf_read(text, strlen(text), &shelf, &complaints);
}

/* One complaint exactly, on the line and column, with the words somewhere in it. */
static void expect_one(const char *text, int line, int column, const char *words)
{
    assert_int_equal(read_text(text), OWL_BAD_PLAN);
    if (complaints.count != 1)
        for (int i = 0; i < complaints.count; i++)
            print_message("%d:%d: %s\n", complaints.list[i].line, complaints.list[i].column, complaints.list[i].words);
    assert_int_equal(complaints.count, 1);
    if (!strstr(complaints.list[0].words, words))
        print_message("said: %s\n", complaints.list[0].words);
    assert_non_null(strstr(complaints.list[0].words, words));
    assert_int_equal(complaints.list[0].line, line);
    assert_int_equal(complaints.list[0].column, column);
    assert_int_equal(shelf.things, 0);
}

#define CABLE "[thing lead]\nis = cable\nlength = 5 m\n"
#define ENDS "socket one = PC sync plug, passes sync\nsocket other = PC sync plug, passes sync\n"

/* identity: what is written is what is read, in SI, whatever the line ends and the byte-order mark */
static void test_reader_reads_every_field(void **state)
{
    (void)state;
    assert_int_equal(read_text("\xEF\xBB\xBF# mine\r\n[thing Radio  Ear]\r\nis = receiver\r\nowned = 2\r\nprice = 12.50 EUR\r\n"
                               "weather = IPX4\r\nstandby = 12 mA\r\nvoltage = 3 V\r\nlatency = 0.5 ms\r\nmiss = 1 %\r\n"
                               "range = 30 m\r\nworks by day = yes\r\nignores pre-flash = yes\r\norigin = measured\r\n"
                               "source = my own garden\r\n"
                               "socket air = radio, takes sync, set Plain 2.4 GHz, 16 channels\r\n"
                               "socket jack = 2.5 mm stereo jack socket, gives focus and release, presents 3 V, bears 50 V, "
                               "centre plus, opto contact, tip focus\r\n"
                               "socket own = flat 5-contact port plug, passes sync and flash bus\r\n"),
                     OWL_OK);
    const struct owl_thing *thing = owl_shelf_find(&shelf, "RADIO EAR");
    assert_non_null(thing);
    assert_int_equal(thing->kind, OWL_THING_RECEIVER);
    assert_int_equal(thing->price, 1250);
    assert_string_equal(shelf.currency, "EUR");
    assert_int_equal(thing->solids, -1);
    assert_int_equal(thing->water, 4);
    check_near("owned", thing->owned, 2.0, 0.0);
    check_near("standby", thing->standby_a, 0.012, 1e-15);
    check_near("latency", thing->latency_s, 0.0005, 1e-15);
    check_near("miss", thing->miss, 0.01, 1e-15);
    assert_int_equal(thing->by_day, OWL_YES);
    assert_int_equal(thing->origin, OWL_MEASURED);
    assert_string_equal(thing->source, "my own garden");
    assert_int_equal(thing->sockets, 3);
    assert_string_equal(thing->socket[0].shape, "plain 2.4 ghz");
    assert_int_equal(thing->socket[0].channels, 16);
    assert_int_equal(thing->socket[0].side, OWL_SIDE_NONE);
    assert_int_equal(thing->socket[1].kind, OWL_SOCKET_JACK_25_STEREO);
    assert_int_equal(thing->socket[1].carries, OWL_FOCUS | OWL_RELEASE | OWL_WAKE);
    assert_int_equal(thing->socket[1].polarity, OWL_CENTRE_PLUS);
    assert_int_equal(thing->socket[1].contact, OWL_CONTACT_OPTO);
    assert_int_equal(thing->socket[1].tip, OWL_TIP_FOCUS);
    assert_int_equal(thing->socket[2].kind, OWL_SOCKET_PORT);
    assert_int_equal(thing->socket[2].way, OWL_WAY_BOTH);
    assert_string_equal(thing->socket[2].shape, "flat 5-contact");
    assert_int_equal(thing->feeds[0], 6);
    assert_int_equal(thing->feeds[1], 0);
    assert_int_equal(thing->feeds[2], 2);
}

/* identity: a socket shown is what one would write for it */
static void test_reader_shows_sockets(void **state)
{
    (void)state;
    char words[64];
    assert_int_equal(read_text("[thing foot]\nis = adapter\nsocket foot = hot shoe foot, takes sync\n"
                               "socket shoe = hot shoe, gives sync\nsocket own = Round 3-pin port socket, gives sync\n"),
                     OWL_OK);
    static const char *const expected[] = {"hot shoe foot", "hot shoe", "round 3-pin port socket"};
    for (int i = 0; i < 3; i++) {
        struct owl_text text = owl_text_over(words, sizeof words);
        owl_socket_show(&shelf.thing[0].socket[i], &text);
        assert_string_equal(words, expected[i]);
    }
}

/* identity: leads join only what they name; without them all that takes leads to all that gives */
static void test_reader_leads(void **state)
{
    (void)state;
    assert_int_equal(read_text("[thing box]\nis = other\nsocket a = PC sync plug, takes sync\n"
                               "socket b = PC sync socket, gives sync\nsocket c = RJ-45 socket, takes sync\n"
                               "socket d = RJ-45 socket, gives sync\nleads = a to b, c to d\n"),
                     OWL_OK);
    assert_int_equal(shelf.thing[0].feeds[0], 1 << 1);
    assert_int_equal(shelf.thing[0].feeds[2], 1 << 3);
    assert_int_equal(shelf.thing[0].isolates, OWL_YES);
}

/* fault: each slip of the pen gives one message, at its place, with what would be right */
static void test_reader_tells_one_mistake_once(void **state)
{
    (void)state;
    expect_one("[thing lead]\nis = cable\nlength = 0 m\n" ENDS, 3, 10, "a length of nothing");
    expect_one("[thing lead]\nis = cable\n" ENDS, 1, 1, "without a length");
    expect_one("[thing lead]\nis = cable\nlength = 5\n" ENDS, 3, 10, "needs a unit");
    expect_one("[thing lead]\nis = cable\nlength = 5 kg\n" ENDS, 3, 10, "a length such as");
    expect_one("[thing lead]\nis = cable\nlength = 5 parsec\n" ENDS, 3, 10, "a length such as");
    expect_one(CABLE ENDS "price = -3 EUR\n", 6, 9, "below zero");
    expect_one(CABLE ENDS "price = 3\n", 6, 9, "12.50 EUR");
    expect_one(CABLE ENDS "price = 3 euros\n", 6, 9, "12.50 EUR");
    expect_one(CABLE ENDS "weather = IP99X\n", 6, 11, "IP55");
    expect_one(CABLE ENDS "weather = IP75\n", 6, 11, "IP55");
    expect_one(CABLE ENDS "miss = 120 %\n", 6, 8, "between");
    expect_one(CABLE ENDS CABLE ENDS, 6, 1, "taken by the thing on line 1");
    expect_one(CABLE ENDS "length = 6 m\n", 6, 1, "already on line 3");
    expect_one(CABLE ENDS "lenght = 6 m\n", 6, 1, "did you mean 'length'?");
    expect_one("[thing lead]\nis = cabel\nlength = 5 m\n" ENDS, 2, 6, "did you mean 'cable'?");
    expect_one("[lead]\n" ENDS, 1, 1, "[thing lead] would be right");
    expect_one("[thing lead\n" ENDS, 1, 1, "']'");
    expect_one("is = cable\n" CABLE ENDS, 1, 1, "under no heading");
    expect_one(CABLE ENDS "waterproof\n", 6, 1, "neither a heading");
    expect_one(CABLE "socket one = PC sink plug, passes sync\n", 4, 14, "did you mean 'PC sync'?");
    expect_one(CABLE "socket one = PC sync, passes sync\n", 4, 14, "the plug or the socket?");
    expect_one(CABLE "socket one = PC sync plug, passes sink\n", 4, 35, "did you mean 'sync'?");
    expect_one(CABLE "socket one = PC sync plug\n", 4, 14, "carries nothing");
    expect_one(CABLE "socket one = PC sync plug, passes sync, presents 9 V, bears 5 V\n", 4, 14, "more than it bears");
    expect_one(CABLE "socket one = PC sync plug, passes sync, centre plsu\n", 4, 41, "did you mean 'centre plus'?");
    expect_one(CABLE "socket one = PC sync plug, passes sync, tip release\n", 4, 14, "only a stereo jack");
    expect_one(CABLE ENDS "socket one = PC sync plug, passes sync\n", 6, 8, "of that name on line 4");
    expect_one(CABLE "socket air = radio, passes sync, set x, 2 channels\n", 1, 1, "no range");
    expect_one("[thing x]\nis = receiver\nrange = 9 m\nsocket air = radio, takes sync\n", 4, 14, "only by its own set");
    expect_one(CABLE, 1, 1, "no socket");
    expect_one("[thing x]\nowned = 1\n" ENDS, 1, 1, "does not say what it is");
    expect_one("[thing a]\nis = other\nprice = 3 EUR\n" ENDS "[thing b]\nis = other\nprice = 3 NOK\n" ENDS,
               8, 11, "one currency");
}

/* fault: leads to sockets that do not exist, the wrong way, and round in a circle */
static void test_reader_refuses_circles(void **state)
{
    (void)state;
    expect_one(CABLE ENDS "leads = one to third\n", 6, 16, "no socket 'third'");
    expect_one("[thing x]\nis = other\nsocket in = PC sync plug, takes sync\nsocket out = PC sync socket, gives sync\n"
               "leads = out to in\n", 5, 9, "nothing enters by 'out'");
    expect_one(CABLE ENDS "leads = one to other, other to one\n", 6, 23, "round in a circle");
    expect_one(CABLE ENDS "socket third = PC sync plug, passes sync\nleads = one to other, other to third, third to one\n", 7, 39,
               "round in a circle");
    expect_one(CABLE ENDS "leads = one to one\n", 6, 9, "round in a circle");
}

/* fault: several mistakes are all told, in the order of their lines; a bad byte or a text too long is told alone */
static void test_reader_tells_all_at_once(void **state)
{
    (void)state;
    assert_int_equal(read_text("[thing a]\nis = cabel\nlength = x\nprice = -1 EUR\nsocket one = PC sync plug, passes snyc\n"),
                     OWL_BAD_PLAN);
    assert_int_equal(complaints.count, 4);
    for (int i = 1; i < complaints.count; i++)
        assert_true(complaints.list[i].line >= complaints.list[i - 1].line);
    assert_int_equal(owl_shelf_read("[thing\0]", 8, &shelf, &complaints), OWL_BAD_PLAN);
    assert_int_equal(complaints.count, 1);
    assert_non_null(strstr(complaints.list[0].words, "zero byte"));
    assert_int_equal(owl_shelf_read("", 0, &shelf, &complaints), OWL_OK);
    assert_int_equal(shelf.things, 0);
}

/* fault: no text, cut anywhere or with any one byte changed, makes the reader leave its bounds (run with sanitizers) */
static void test_reader_bears_broken_texts(void **state)
{
    (void)state;
    static char text[4096];
    const char *whole = owl_shelf_generic_text();
    size_t length = sizeof text;
    for (size_t cut = 0; cut < length; cut += 7) {
        memcpy(text, whole, cut);
        text[cut / 2] = (char)(cut * 31);
        enum owl_status status = owl_shelf_read(text, cut, &shelf, &complaints);
        assert_true(status == OWL_OK || complaints.count > 0);
    }
}

/* identity: the things everybody can have are read without a complaint, each with a price and an origin, none owned */
static void test_reader_generic_shelf_is_whole(void **state)
{
    (void)state;
    assert_int_equal(read_text(owl_shelf_generic_text()), OWL_OK);
    int count = shelf.things;
    owl_shelf_generic(&shelf);
    assert_int_equal(shelf.things, count);
    assert_in_range(count, 35, 60);
    assert_string_equal(shelf.currency, "EUR");
    for (int i = 0; i < count; i++) {
        const struct owl_thing *thing = &shelf.thing[i];
        assert_true(thing->price > 0);
        assert_true(thing->owned == 0.0);
        assert_true(thing->origin == OWL_COMMON_PRACTICE || thing->origin == OWL_ESTIMATE);
        for (int s = 0; s < thing->sockets; s++)
            assert_true((thing->socket[s].way & OWL_WAY_OUT) || thing->feeds[s] != 0 || thing->kind == OWL_THING_CAMERA ||
                        thing->kind == OWL_THING_FLASH);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_reader_reads_every_field),
        cmocka_unit_test(test_reader_shows_sockets),
        cmocka_unit_test(test_reader_leads),
        cmocka_unit_test(test_reader_tells_one_mistake_once),
        cmocka_unit_test(test_reader_refuses_circles),
        cmocka_unit_test(test_reader_tells_all_at_once),
        cmocka_unit_test(test_reader_bears_broken_texts),
        cmocka_unit_test(test_reader_generic_shelf_is_whole),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
