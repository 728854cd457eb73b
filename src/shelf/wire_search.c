/* The search itself: pieces taken cheapest first, joined to each other, kept when nothing known is better in every way. */
#include <math.h>
#include <string.h>

#include "shelf/wiring.h"

#define LENGTH_SLIP_M 1e-9 /* sums of lengths that should be equal */

static const struct owl_thing *thing_of(const struct owl_wire_room *room, const struct owl_wire_label *label)
{
    return room->member[room->group[label->group].member].thing;
}

/* ---- the order of pieces ---- */

static bool sooner(const struct owl_wire_room *room, int one, int other)
{
    const int64_t *a = room->label[one].key, *b = room->label[other].key;
    for (int i = 0; i < 3; i++)
        if (a[i] != b[i])
            return a[i] < b[i];
    return one < other;
}

static void push(struct owl_wire_room *room, int label)
{
    int at = room->heaped++;
    struct owl_wire_label *slot = room->label;
    for (; at > 0 && sooner(room, label, slot[(at - 1) / 2].heap); at = (at - 1) / 2)
        slot[at].heap = slot[(at - 1) / 2].heap;
    slot[at].heap = label;
}

static int pop(struct owl_wire_room *room)
{
    struct owl_wire_label *slot = room->label;
    int best = slot[0].heap, last = slot[--room->heaped].heap, at = 0;
    for (int below = 1; below < room->heaped; below = 2 * at + 1) {
        if (below + 1 < room->heaped && sooner(room, slot[below + 1].heap, slot[below].heap))
            below++;
        if (!sooner(room, slot[below].heap, last))
            break;
        slot[at].heap = slot[below].heap;
        at = below;
    }
    slot[at].heap = last;
    return best;
}

/* Money, joints and things bought, in the order asked for. Each can only grow as a piece does. As long as the number owned
   of a part is not minded, one owned stands for as many as one likes: never more than it will cost in truth. */
static void weigh(const struct owl_wire_search *search, struct owl_wire_label *label, int64_t joints)
{
    int64_t cost = 0, bought = 0;
    for (int m = 0; m < search->room->members; m++) {
        const struct owl_wire_member *member = &search->room->member[m];
        int64_t more = label->used[m] - member->owned;
        bool minded = member->owned == 0 || member->rig || member->counted;
        if (minded && more > 0) {
            bought += more;
            cost += member->price > 0 ? more * member->price : 0;
        }
    }
    int64_t orders[OWL_WIRE_AIMS][3] = {{cost, joints, bought}, {joints, cost, bought}, {bought, cost, joints}};
    memcpy(label->key, orders[search->request->aim], sizeof label->key);
}

static int64_t joints_of(const struct owl_wire_search *search, const struct owl_wire_label *label)
{
    static const int place[OWL_WIRE_AIMS] = {1, 0, 2};
    return label->key[place[search->request->aim]];
}

/* ---- what is better in every way ---- */

static int chain_of(const struct owl_wire_label *label)
{
    unsigned mixed = (unsigned)label->group * 2654435761u ^ (unsigned)label->targets * 40503u;
    mixed ^= (unsigned)(label->site + 1) * 977u;
    return (int)((mixed ^ mixed >> 15) % OWL_WIRE_CHAINS);
}

static int key_order(const struct owl_wire_label *one, const struct owl_wire_label *other)
{
    for (int i = 0; i < 3; i++)
        if (one->key[i] != other->key[i])
            return one->key[i] < other->key[i] ? -1 : 1;
    return 0;
}

static bool same_place(const struct owl_wire_label *one, const struct owl_wire_label *other)
{
    return one->group == other->group && one->targets == other->targets && one->site == other->site &&
           one->pinned == other->pinned && one->out == other->out;
}

/* Whatever completes `other` completes `one`, at no more cost: what is owned and used up by it is used up by the other
   as well, so each further thing costs the same or less. */
static bool outdoes(const struct owl_wire_room *room, const struct owl_wire_label *one, const struct owl_wire_label *other)
{
    if (!same_place(one, other) || key_order(one, other) > 0 || one->hang_m < other->hang_m ||
        one->net.presents_v > other->net.presents_v || one->net.bears_v < other->net.bears_v ||
        (one->net.polarity && one->net.polarity != other->net.polarity) ||
        (one->net.contact && one->net.contact != other->net.contact) || (one->tip && one->tip != other->tip))
        return false;
    for (int i = 0; i < room->sets; i++)
        if (one->sends[i] > other->sends[i])
            return false;
    for (int i = 0; i < room->counts; i++) {
        int m = room->counted[i], owned = room->member[m].owned;
        int mine = one->used[m] < owned ? one->used[m] : owned, others = other->used[m] < owned ? other->used[m] : owned;
        if (mine > others)
            return false;
    }
    return true;
}

static bool outdone(const struct owl_wire_room *room, const struct owl_wire_label *label, int self)
{
    for (int i = room->chain[chain_of(label)]; i != OWL_NO_LABEL; i = room->label[i].chain)
        if (i != self && (self == OWL_NO_LABEL || room->label[i].settled) && outdoes(room, &room->label[i], label))
            return true;
    return false;
}

static void keep(struct owl_wire_search *search, const struct owl_wire_label *label)
{
    struct owl_wire_room *room = search->room;
    if (outdone(room, label, OWL_NO_LABEL))
        return;
    if (room->labels == room->most) {
        search->crowded = true;
        return;
    }
    int number = room->labels++, *head = &room->chain[chain_of(label)];
    int heap = room->label[number].heap; /* the slot belongs to the queue */
    room->label[number] = *label;
    room->label[number].heap = heap;
    room->label[number].chain = *head;
    *head = number;
    push(room, number);
}

/* ---- joining two pieces ---- */

/* What the joint brings to the holder's wire, in *label; false when it may not be. */
static bool join_wire(const struct owl_wire_search *search, struct owl_wire_label *label,
                      const struct owl_wire_label *child, int out)
{
    const struct owl_wire_room *room = search->room;
    const struct owl_wire_group *group = &room->group[label->group];
    const struct owl_thing *thing = thing_of(room, label);
    const struct owl_socket *from = &thing->socket[out];
    struct owl_net wire = child->net, end = owl_net_of(from);
    unsigned aside = search->request->aside;
    int tip = child->tip ? child->tip : from->tip;
    if (owl_socket_is_air(from))
        return true;
    if (owl_net_join(&wire, &end, aside) != OWL_JOINS)
        return false;
    if (child->tip && from->tip && child->tip != from->tip && !(aside & 1u << OWL_REFUSED_TIP))
        return false;
    if (group->in < 0 || thing->isolates == OWL_YES || owl_socket_is_air(&thing->socket[group->in]))
        return true;
    if (owl_net_join(&label->net, &wire, aside) != OWL_JOINS)
        return false;
    if (!owl_socket_is_stereo_jack(&thing->socket[group->in]) || !owl_socket_is_stereo_jack(from) || tip == OWL_TIP_OPEN)
        return true; /* only from jack to jack does a plain wire keep tip on tip */
    if (label->tip && label->tip != tip && !(aside & 1u << OWL_REFUSED_TIP))
        return false;
    label->tip = (int8_t)(label->tip ? label->tip : tip);
    return true;
}

/* Counts the sender when `out` is a radio not yet used, and checks that there are channels for all. */
static bool join_channels(const struct owl_wire_search *search, struct owl_wire_label *label,
                          const struct owl_wire_label *child, int out)
{
    const struct owl_wire_room *room = search->room;
    const struct owl_socket *from = &thing_of(room, label)->socket[out];
    bool fresh = from->kind == OWL_SOCKET_RADIO && label->out != out;
    for (int i = 0; i < room->sets; i++) {
        int sends = label->sends[i] + child->sends[i] + (fresh && strcmp(room->set[i], from->shape) == 0);
        if (sends > room->set_channels[i] && !(search->request->aside & 1u << OWL_REFUSED_CHANNEL))
            return false;
        label->sends[i] = (uint8_t)sends;
    }
    return true;
}

static bool join_used(const struct owl_wire_search *search, struct owl_wire_label *label, const struct owl_wire_label *child)
{
    const struct owl_wire_room *room = search->room;
    for (int m = 0; m < room->members; m++) {
        const struct owl_wire_member *member = &room->member[m];
        int used = label->used[m] + child->used[m];
        bool ended = used > member->owned && member->price < 0 && !member->rig && member->counted;
        if (used > UINT8_MAX || ended)
            return false;
        label->used[m] = (uint8_t)used;
    }
    return true;
}

static double reach_m(const struct owl_thing *one, const struct owl_thing *other)
{
    return fmin(one->range_m, other->range_m);
}

/* Whether the child's entrance can come to the exit of a thing at the site. */
static bool reaches(const struct owl_wire_search *search, const struct owl_wire_label *label, const struct owl_wire_label *child,
                    int out, int site)
{
    const struct owl_wire_request *request = search->request;
    const struct owl_thing *thing = thing_of(search->room, label);
    if (!owl_socket_is_air(&thing->socket[out]))
        return request->along_m[child->site][site] <= child->hang_m + LENGTH_SLIP_M || (request->aside & 1u << OWL_REFUSED_SHORT);
    return request->apart_m[child->site][site] <= reach_m(thing, thing_of(search->room, child)) + LENGTH_SLIP_M ||
           (request->aside & 1u << OWL_REFUSED_RANGE);
}

static double hang_with(const struct owl_wire_search *search, const struct owl_wire_label *label, double below_m)
{
    const struct owl_thing *thing = thing_of(search->room, label);
    int in = search->room->group[label->group].in;
    if (in < 0 || owl_socket_is_air(&thing->socket[in]))
        return 0.0;
    return fmin(below_m + (isnan(thing->length_m) ? 0.0 : thing->length_m), search->most_m);
}

/* Where a part that stands may stand, by what hangs on it: on the way from sensor to camera at one of the two; after it
   senders stand at the camera, splitters there or at a flash. */
static bool may_stand(const struct owl_wire_search *search, const struct owl_wire_label *child, int site, bool air)
{
    if (child->targets & OWL_CAMERA_TARGET)
        return site == OWL_AT_CAMERA || site == OWL_AT_SENSOR;
    return site == OWL_AT_CAMERA || (!air && site >= OWL_AT_FLASH && site < OWL_AT_FLASH + search->request->flashes);
}

/* An empty part with several exits, or a sender, stands at a site; a single wire may hang between sites. */
static void place_part(struct owl_wire_search *search, struct owl_wire_label *label, const struct owl_wire_label *child, int out)
{
    const struct owl_thing *thing = thing_of(search->room, label);
    unsigned exits = thing->feeds[search->room->group[label->group].in];
    bool air = owl_socket_is_air(&thing->socket[out]), many = (exits & (exits - 1)) != 0;
    if (!air) {
        label->site = child->site;
        label->pinned = false;
        label->hang_m = hang_with(search, label, child->hang_m);
        keep(search, label);
    }
    for (int site = 0; (air || many) && site < OWL_WIRE_SITES; site++) {
        if (!may_stand(search, child, site, air) || !reaches(search, label, child, out, site))
            continue;
        label->site = (int8_t)site;
        label->pinned = true;
        label->hang_m = hang_with(search, label, 0.0);
        keep(search, label);
    }
}

/* Whether what a holder has so far and what comes to it can share it. */
static bool agree(const struct owl_wire_group *group, const struct owl_wire_label *holder, const struct owl_wire_label *child)
{
    bool camera = (child->targets & OWL_CAMERA_TARGET) != 0;
    if (group->in < 0)
        return group->site == OWL_AT_CAMERA || camera; /* a sensor gives to the camera alone */
    if (group->site >= 0)
        return !camera; /* camera and flashes give sync */
    return holder->targets == 0 || (!camera && !(holder->targets & OWL_CAMERA_TARGET));
}

static void join(struct owl_wire_search *search, int holder_number, int child_number, int out)
{
    const struct owl_wire_room *room = search->room;
    const struct owl_wire_label *holder = &room->label[holder_number], *child = &room->label[child_number];
    const struct owl_wire_group *group = &room->group[holder->group];
    const struct owl_thing *thing = thing_of(room, holder);
    bool air = owl_socket_is_air(&thing->socket[out]);
    if (child->targets == 0 || (holder->targets & child->targets) != 0 || out < holder->out || (out == holder->out && !air) ||
        !agree(group, holder, child))
        return;
    unsigned signals = owl_wire_signals(search->request, child->targets);
    if (group->in >= 0 && (!(thing->feeds[group->in] >> out & 1u) ||
                           (group->site < 0 && (thing->socket[group->in].carries & signals) != signals)))
        return;
    bool part = group->site < 0, empty = holder->out < 0;
    if (part && !empty && (!holder->pinned || !may_stand(search, child, holder->site, air)))
        return; /* a wire that hangs has one end to each side */
    if ((!part || !empty) && !reaches(search, holder, child, out, holder->site))
        return;
    struct owl_wire_label label = *holder;
    int64_t joints = joints_of(search, holder) + joints_of(search, child) + 1;
    if (joints >= OWL_WIRE_USES || !join_wire(search, &label, child, out) || !join_channels(search, &label, child, out) ||
        !join_used(search, &label, child))
        return;
    label.base = holder_number;
    label.child = child_number;
    label.out = (int8_t)out;
    label.targets |= child->targets;
    label.settled = false;
    weigh(search, &label, joints);
    if (part && empty)
        place_part(search, &label, child, out);
    else
        keep(search, &label);
}

/* ---- the run ---- */

static void start(struct owl_wire_search *search, int group_number)
{
    const struct owl_wire_room *room = search->room;
    const struct owl_wire_group *group = &room->group[group_number];
    const struct owl_wire_member *member = &room->member[group->member];
    struct owl_wire_label label = {.group = (int16_t)group_number, .targets = group->target, .site = group->site,
                                   .pinned = group->site >= 0, .base = OWL_NO_LABEL, .child = OWL_NO_LABEL, .out = -1,
                                   .net.bears_v = (double)INFINITY};
    if (group->in >= 0) {
        label.net = owl_net_of(&member->thing->socket[group->in]);
        label.tip = (int8_t)member->thing->socket[group->in].tip;
    }
    label.used[group->member] = 1;
    weigh(search, &label, 0);
    keep(search, &label);
}

/* The settled pieces of one group that hold nothing the new one holds. */
static void hang_on_group(struct owl_wire_search *search, int group, int number, int out)
{
    struct owl_wire_room *room = search->room;
    for (unsigned with = 0; with < OWL_WIRE_TARGETS; with++) {
        if (with & room->label[number].targets)
            continue;
        for (int i = room->settled[group][with]; i != OWL_NO_LABEL; i = room->label[i].next)
            join(search, i, number, out);
    }
}

/* A settled piece as what is hung on others. */
static void hang_on_others(struct owl_wire_search *search, int number)
{
    struct owl_wire_room *room = search->room;
    int group = room->label[number].group;
    unsigned targets = room->label[number].targets;
    for (int g = 0; targets != 0 && room->group[group].in >= 0 && g < room->groups; g++) {
        int member = room->group[g].member;
        for (int out = 0; out < room->member[member].thing->sockets; out++)
            if (owl_wire_fits(room, targets, member, out, group))
                hang_on_group(search, g, number, out);
    }
}

/* A settled piece as what others are hung on. */
static void hang_others_on(struct owl_wire_search *search, int number)
{
    struct owl_wire_room *room = search->room;
    int member = room->group[room->label[number].group].member;
    for (int out = 0; out < room->member[member].thing->sockets; out++)
        for (int g = 0; g < room->groups; g++) {
            for (unsigned with = 1; with < OWL_WIRE_TARGETS; with++) {
                if (with & room->label[number].targets || !owl_wire_fits(room, with, member, out, g))
                    continue;
                for (int i = room->settled[g][with]; i != OWL_NO_LABEL; i = room->label[i].next)
                    join(search, number, i, out);
            }
        }
}

static int run_once(struct owl_wire_search *search)
{
    struct owl_wire_room *room = search->room;
    room->labels = room->heaped = 0;
    for (int i = 0; i < OWL_WIRE_CHAINS; i++)
        room->chain[i] = OWL_NO_LABEL;
    for (int g = 0; g < room->groups; g++)
        for (int i = 0; i < OWL_WIRE_TARGETS; i++)
            room->settled[g][i] = OWL_NO_LABEL;
    for (int g = 0; g < room->groups; g++)
        start(search, g);
    while (room->heaped > 0 && !search->crowded) {
        int number = pop(room);
        struct owl_wire_label *label = &room->label[number];
        if (room->group[label->group].in < 0 && label->targets == search->full)
            return number;
        if (outdone(room, label, number))
            continue;
        label->settled = true;
        label->next = room->settled[label->group][label->targets];
        room->settled[label->group][label->targets] = number;
        hang_on_others(search, number);
        hang_others_on(search, number);
    }
    return OWL_NO_LABEL;
}

/* The parts of which a finished wiring uses more than are owned are minded from now on; whether there were any. */
static bool mind_used_up(struct owl_wire_room *room, const struct owl_wire_label *label)
{
    bool any = false;
    for (int m = 0; m < room->members; m++) {
        struct owl_wire_member *member = &room->member[m];
        if (member->rig || member->counted || member->owned == 0 || label->used[m] <= member->owned)
            continue;
        member->counted = any = true;
        room->counted[room->counts++] = m;
    }
    return any;
}

/* A best wiring that minds too little but breaks nothing is the best of all: what was not minded could only have made
   it dearer. Minding all from the start would keep apart pieces by the thousand that differ in nothing that matters. */
int owl_wire_run(struct owl_wire_search *search)
{
    int label;
    do
        label = run_once(search);
    while (label != OWL_NO_LABEL && mind_used_up(search->room, &search->room->label[label]));
    return label;
}
