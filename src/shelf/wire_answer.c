/* From the finished piece to the answer: the tree told from its root, what it costs, how fast it is, what it draws. */
#include <math.h>
#include <string.h>

#include "shelf/wiring.h"

struct telling {
    const struct owl_wire_search *search;
    struct owl_wire_answer *answer;
};

static double or_nothing(double value)
{
    return isnan(value) ? 0.0 : value;
}

/* A wire that only runs through a thing does not wait for it. */
static double before_s(const struct owl_wire_answer *answer, int from, int out)
{
    if (from < 0)
        return 0.0;
    const struct owl_wire_use *giver = &answer->use[from];
    bool wired = giver->in >= 0 && !owl_socket_is_air(&giver->thing->socket[giver->in]) &&
                 !owl_socket_is_air(&giver->thing->socket[out]);
    return giver->latency_s - (wired && giver->thing->isolates == OWL_NO ? or_nothing(giver->thing->latency_s) : 0.0);
}

static int add_use(struct telling *telling, int label_number, int from, int out)
{
    const struct owl_wire_room *room = telling->search->room;
    const struct owl_wire_label *label = &room->label[label_number];
    const struct owl_wire_group *group = &room->group[label->group];
    const struct owl_wire_member *member = &room->member[group->member];
    struct owl_wire_answer *answer = telling->answer;
    answer->use[answer->uses] = (struct owl_wire_use){
        .thing = member->thing, .shelf = member->shelf, .pool = group->member, .from = from, .out = out, .in = group->in,
        .at = label->pinned || from < 0 ? label->site : answer->use[from].site,
        .site = label->site, .stands = label->pinned, .hang_m = label->hang_m, .flash = group->flash,
        .latency_s = before_s(answer, from, out) + or_nothing(member->thing->latency_s)};
    return answer->uses++;
}

/* The thing of a label and all below it, exits in the order of their sockets. */
static void tell_piece(struct telling *telling, int label_number, int from, int out)
{
    const struct owl_wire_label *labels = telling->search->room->label;
    int self = add_use(telling, label_number, from, out);
    int step[OWL_WIRE_USES], steps = 0;
    for (int i = label_number; labels[i].child != OWL_NO_LABEL; i = labels[i].base)
        step[steps++] = i;
    while (steps-- > 0)
        tell_piece(telling, labels[step[steps]].child, self, labels[step[steps]].out);
}

static int count_used(const struct owl_wire_answer *answer, int pool, int before)
{
    int count = 0;
    for (int i = 0; i < before; i++)
        count += answer->use[i].pool == pool;
    return count;
}

static void tell_money(struct telling *telling)
{
    struct owl_wire_answer *answer = telling->answer;
    for (int i = 0; i < answer->uses; i++) {
        int pool = answer->use[i].pool, used = count_used(answer, pool, answer->uses);
        const struct owl_wire_member *member = &telling->search->room->member[pool];
        if (count_used(answer, pool, i) > 0)
            continue; /* told at its first */
        int more = used > member->owned ? used - member->owned : 0;
        struct owl_wire_buy buy = {member->thing, more, used, member->shelf, member->price};
        answer->buy[answer->buys++] = buy;
        answer->bought += buy.count;
        answer->cost += buy.each > 0 ? buy.count * buy.each : 0;
    }
}

static bool is_device(int kind)
{
    return kind == OWL_THING_CAMERA || kind == OWL_THING_SENSOR || kind == OWL_THING_FLASH;
}

static void tell_figures(struct owl_wire_answer *answer)
{
    double camera_s = 0.0;
    answer->heard = 1.0;
    for (int i = 0; i < answer->uses; i++) {
        const struct owl_wire_use *use = &answer->use[i];
        const struct owl_thing *thing = use->thing;
        double drain_a = or_nothing(thing->standby_a);
        answer->standby_a += drain_a;
        answer->standby_w += drain_a * or_nothing(thing->supply_v);
        answer->parts_a += is_device(thing->kind) ? 0.0 : drain_a;
        if (use->in >= 0 && thing->socket[use->in].kind == OWL_SOCKET_RADIO)
            answer->heard *= 1.0 - or_nothing(thing->miss);
        if (thing->kind == OWL_THING_CAMERA) {
            camera_s = use->latency_s;
            answer->camera_s = use->from < 0 ? 0.0 : answer->use[use->from].latency_s;
        }
        if (use->flash >= 0)
            answer->flash_s[use->flash] = use->latency_s - camera_s;
    }
}

void owl_wire_tell(const struct owl_wire_search *search, int label, struct owl_wire_answer *answer)
{
    struct telling telling = {search, answer};
    answer->found = true;
    tell_piece(&telling, label, -1, -1);
    answer->joints = answer->uses - 1;
    tell_money(&telling);
    tell_figures(answer);
    owl_wire_caution(answer);
}

enum owl_status owl_wire_find(const struct owl_wire_request *request, struct owl_wire_room *room, struct owl_wire_answer *answer)
{
    struct owl_wire_search search = {.request = request, .room = room};
    *answer = (struct owl_wire_answer){.heard = 1.0};
    enum owl_status status = owl_wire_gather(&search);
    if (status != OWL_OK)
        return status;
    int label = owl_wire_run(&search);
    answer->labels = room->labels;
    answer->proven = !search.crowded;
    if (label != OWL_NO_LABEL)
        owl_wire_tell(&search, label, answer);
    return search.crowded ? OWL_NO_ROOM : OWL_OK;
}

void owl_wire_lay(struct owl_wire_request *request, const double climb_m[OWL_WIRE_SITES], double slack)
{
    for (int i = 0; i < OWL_WIRE_SITES; i++)
        for (int j = 0; j < OWL_WIRE_SITES; j++)
            request->along_m[i][j] = i == j ? 0.0 : climb_m[i] + request->apart_m[i][j] * (1.0 + slack) + climb_m[j];
}
