/* A wiring as a tree read from the sensor outwards: each line is a thing, behind it how it joins the one above. */
#include "cli/wire_page.h"

#include <math.h>

#include "core/plan/units.h"

#define THING_COLUMNS 34
#define MILLI 1000.0

static void show_site(const struct owl_plan *plan, int site, struct owl_text *text)
{
    if (site == OWL_AT_SENSOR)
        owl_text_words(text, "the sensor");
    else if (site == OWL_AT_CAMERA)
        owl_text_words(text, "the camera");
    else {
        owl_text_words(text, "flash ");
        owl_text_words(text, plan->flash[site - OWL_AT_FLASH].name);
    }
}

static void show_seconds(struct owl_text *text, double seconds)
{
    owl_unit_show(OWL_UNIT_TIME, seconds, text);
}

/* ---- the tree ---- */

static int depth_of(const struct owl_wire_answer *answer, int use)
{
    int depth = 0;
    for (; answer->use[use].from >= 0; use = answer->use[use].from)
        depth++;
    return depth;
}

static void write_use(const struct owl_wire_shown *shown, int number, struct owl_text *text)
{
    const struct owl_wire_answer *answer = shown->answer;
    const struct owl_wire_use *use = &answer->use[number];
    size_t before = text->length;
    owl_text_words(text, "  ");
    owl_text_repeat(text, ' ', 2 * depth_of(answer, number));
    owl_text_words(text, use->thing->name);
    if (use->flash >= 0) {
        owl_text_words(text, " (");
        owl_text_words(text, shown->plan->flash[use->flash].name);
        owl_text_char(text, ')');
    }
    if (use->from >= 0) {
        const struct owl_thing *giver = answer->use[use->from].thing;
        int columns = owl_text_columns(text->buffer + before);
        owl_text_repeat(text, ' ', columns < THING_COLUMNS + 10 ? THING_COLUMNS + 10 - columns : 1);
        owl_text_words(text, " ");
        owl_socket_show(&use->thing->socket[use->in], text);
        owl_text_words(text, owl_socket_is_air(&use->thing->socket[use->in]) ? " hears " : " into ");
        owl_socket_show(&giver->socket[use->out], text);
    }
    owl_text_char(text, '\n');
}

/* ---- lists ---- */

static void write_buys(const struct owl_wire_shown *shown, struct owl_text *text)
{
    const struct owl_wire_answer *answer = shown->answer;
    owl_text_words(text, "  To buy");
    if (answer->bought == 0) {
        owl_text_words(text, ": nothing\n");
        return;
    }
    owl_text_words(text, ", ");
    owl_money_show(answer->cost, shown->currency, text);
    owl_text_words(text, "\n");
    for (int i = 0; i < answer->buys; i++) {
        const struct owl_wire_buy *buy = &answer->buy[i];
        if (buy->count == 0)
            continue;
        owl_text_words(text, "    ");
        owl_text_integer(text, buy->count);
        owl_text_words(text, " x ");
        owl_text_padded(text, buy->thing->name, THING_COLUMNS);
        if (buy->each < 0)
            owl_text_words(text, " no price stated");
        else
            owl_money_show(buy->each, shown->currency, text);
        owl_text_words(text, buy->count > 1 && buy->each >= 0 ? " each\n" : "\n");
    }
}

void owl_page_wiring_pack(const struct owl_wire_shown *shown, struct owl_text *text)
{
    const struct owl_wire_answer *answer = shown->answer;
    owl_text_words(text, "  To pack:");
    for (int i = 0; i < answer->buys; i++) {
        owl_text_words(text, i ? ", " : " ");
        owl_text_integer(text, answer->buy[i].used);
        owl_text_words(text, " x ");
        owl_text_words(text, answer->buy[i].thing->name);
    }
    owl_text_char(text, '\n');
}

static void write_consequences(const struct owl_wire_shown *shown, struct owl_text *text)
{
    const struct owl_wire_answer *answer = shown->answer;
    owl_text_words(text, "  Time: ");
    if (shown->request->sensor) {
        show_seconds(text, answer->camera_s);
        owl_text_words(text, " from the sensor's notice to the release");
    }
    for (int i = 0; i < shown->request->flashes; i++) {
        owl_text_words(text, i || shown->request->sensor ? "; " : "");
        show_seconds(text, answer->flash_s[i]);
        owl_text_words(text, " on to flash ");
        owl_text_words(text, shown->plan->flash[i].name);
    }
    owl_text_words(text, "\n  Links draw ");
    owl_unit_show(OWL_UNIT_CURRENT, answer->parts_a, text);
    owl_text_words(text, " day and night");
    if (answer->heard < 1.0) {
        owl_text_words(text, "; all of them hear one signal in ");
        owl_text_fixed(text, 100.0 * answer->heard, 1);
        owl_text_words(text, " % of the cases");
    }
    owl_text_words(text, "\n");
}

static void write_cautions(const struct owl_wire_answer *answer, struct owl_text *text)
{
    for (int i = 0; i < answer->cautions; i++) {
        const struct owl_wire_caution *caution = &answer->caution[i];
        owl_text_words(text, "  Mind: ");
        owl_text_words(text, answer->use[caution->use].thing->name);
        if (caution->count > 1) {
            owl_text_words(text, " and ");
            owl_text_integer(text, caution->count - 1);
            owl_text_words(text, " more");
        }
        owl_text_words(text, ": ");
        owl_text_words(text, owl_wire_caution_words(caution->kind));
        owl_text_char(text, '\n');
    }
}

/* ---- why not ---- */

static void write_obstacle(const struct owl_wire_shown *shown, const struct owl_wire_obstacle *obstacle, struct owl_text *text)
{
    owl_text_words(text, "  from ");
    show_site(shown->plan, obstacle->flash < 0 ? OWL_AT_SENSOR : OWL_AT_CAMERA, text);
    owl_text_words(text, " to ");
    show_site(shown->plan, obstacle->flash < 0 ? OWL_AT_CAMERA : OWL_AT_FLASH + obstacle->flash, text);
    owl_text_words(text, ": ");
    if (obstacle->giver && obstacle->taker) {
        owl_text_words(text, obstacle->giver->name);
        owl_text_words(text, " and ");
        owl_text_words(text, obstacle->taker->name);
        owl_text_words(text, ": ");
    }
    owl_text_words(text, owl_refusal_words(obstacle->refusal));
    if (!isnan(obstacle->value)) {
        bool volts = obstacle->refusal == OWL_REFUSED_VOLTAGE;
        owl_text_words(text, " (");
        owl_unit_show(volts ? OWL_UNIT_VOLTAGE : OWL_UNIT_LENGTH, obstacle->value, text);
        if (!isnan(obstacle->limit)) {
            owl_text_words(text, volts ? ", it bears " : ", and may be ");
            owl_unit_show(volts ? OWL_UNIT_VOLTAGE : OWL_UNIT_LENGTH, obstacle->limit, text);
        }
        owl_text_char(text, ')');
    }
    owl_text_char(text, '\n');
}

static void write_why(const struct owl_wire_shown *shown, struct owl_text *text)
{
    const struct owl_wire_why *why = shown->why;
    owl_text_words(text, why->obstacles == 0 ? "  Each link can be made, but not all at once: there are too few sockets, things or channels.\n"
                                             : "  What stands in the way:\n");
    for (int i = 0; i < why->obstacles; i++)
        write_obstacle(shown, &why->obstacle[i], text);
    if (!why->mended)
        return;
    struct owl_wire_shown mend = *shown;
    mend.answer = &why->mend;
    owl_text_words(text, "  Cheapest things that would mend it, of those everybody can have:\n");
    write_buys(&mend, text);
}

void owl_page_wiring(const struct owl_wire_shown *shown, struct owl_text *text)
{
    owl_text_words(text, shown->heading);
    const struct owl_wire_answer *answer = shown->answer;
    if (!answer->found) {
        owl_text_words(text, ": there is no safe and complete way\n");
        write_why(shown, text);
        return;
    }
    owl_text_words(text, ": ");
    owl_text_integer(text, answer->joints);
    owl_text_words(text, answer->joints == 1 ? " joint" : " joints");
    owl_text_words(text, answer->proven ? ", proven the best\n" : "; the search had to stop before it could prove it the best\n");
    for (int i = 0; i < answer->uses; i++)
        write_use(shown, i, text);
    write_buys(shown, text);
    owl_page_wiring_pack(shown, text);
    write_consequences(shown, text);
    write_cautions(answer, text);
}
