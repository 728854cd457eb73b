/* The wiring drawn: a box a thing, a line a joint, the same in words, and never more than its room. */
#include "support/check.h"

#include <string.h>

#include "shelf/wiring_drawing.h"

static struct owl_wire_answer answer;
static char drawn[OWL_WIRING_BYTES];

static int count_of(const char *words)
{
    int count = 0;
    for (const char *at = strstr(drawn, words); at; at = strstr(at + 1, words))
        count++;
    return count;
}

/* A chain of things with the longest names there are, forked at the first. */
static void fill(struct owl_thing *thing, int uses)
{
    memset(thing, 0, sizeof *thing);
    memset(thing->name, '&', sizeof thing->name - 1);
    thing->kind = OWL_THING_CABLE;
    thing->sockets = 2;
    for (int i = 0; i < 2; i++) {
        thing->socket[i] = (struct owl_socket){.kind = OWL_SOCKET_PORT, .side = 1 + i, .way = OWL_WAY_BOTH, .carries = OWL_SYNC};
        memset(thing->socket[i].name, '<', sizeof thing->socket[i].name - 1);
        memset(thing->socket[i].shape, '"', sizeof thing->socket[i].shape - 1);
    }
    answer = (struct owl_wire_answer){.found = true, .uses = uses};
    for (int i = 0; i < uses; i++)
        answer.use[i] = (struct owl_wire_use){.thing = thing, .from = i == 2 ? 0 : i - 1, .out = 1, .in = 0,
                                              .flash = -1};
}

/* identity: one box and one joint for each, markup escaped, and the largest wiring of the longest names fits */
static void test_wiring_drawing_holds_the_largest(void **state)
{
    (void)state;
    static struct owl_thing thing;
    fill(&thing, OWL_WIRE_USES);
    struct owl_text svg = owl_text_over(drawn, sizeof drawn);
    owl_draw_wiring(&answer, NULL, &svg);
    assert_false(svg.cut);
    assert_int_equal(count_of("<rect"), OWL_WIRE_USES + 1);
    assert_int_equal(count_of("<path"), OWL_WIRE_USES - 1);
    assert_int_equal(count_of("<title"), 1);
    assert_int_equal(count_of("<desc"), 1);
    assert_int_equal(count_of("&&"), 0);
    assert_int_equal(count_of("<<"), 0);
    assert_non_null(strstr(drawn, "</svg>"));
}

/* identity: what hangs on a fork stands further in; the flash has the rig's name, and what is to be bought is marked */
static void test_wiring_drawing_tells_forks_and_names(void **state)
{
    (void)state;
    static struct owl_thing thing;
    static const char *const names[OWL_FLASHES] = {"key"};
    fill(&thing, 3);
    strcpy(thing.name, "lead");
    answer.use[2].flash = 0;
    answer.buys = 1;
    answer.buy[0] = (struct owl_wire_buy){.thing = &thing, .count = 1, .used = 3};
    struct owl_text svg = owl_text_over(drawn, sizeof drawn);
    owl_draw_wiring(&answer, names, &svg);
    assert_non_null(strstr(drawn, "key: lead"));
    assert_int_equal(count_of("x=\"24\""), 2);
    assert_int_equal(count_of("part buy"), 1);
    assert_int_equal(count_of("(to buy)"), 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_wiring_drawing_holds_the_largest),
        cmocka_unit_test(test_wiring_drawing_tells_forks_and_names),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
