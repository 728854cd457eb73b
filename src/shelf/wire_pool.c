/* Who takes part in a search: the things, the entrances they offer, the radio sets, and which socket fits which. */
#include <math.h>
#include <string.h>

#include "shelf/wiring.h"

#define MOST_PIECES 200 /* of one kind owned: more than a wiring can hold */

unsigned owl_wire_signals(const struct owl_wire_request *request, unsigned targets)
{
    if (!(targets & OWL_CAMERA_TARGET))
        return OWL_SYNC;
    return OWL_RELEASE | (request->camera_sleeps ? (unsigned)OWL_WAKE : 0u);
}

bool owl_wire_fits(const struct owl_wire_room *room, unsigned targets, int member, int out, int group)
{
    const uint8_t *row = room->fits[targets & OWL_CAMERA_TARGET ? 0 : 1][member][out];
    return (row[group / 8] >> (group % 8) & 1) != 0;
}

static int find_member(const struct owl_wire_room *room, const struct owl_thing *thing)
{
    for (int i = 0; i < room->members; i++)
        if (room->member[i].thing == thing)
            return i;
    return -1;
}

static int64_t price_of(const struct owl_wire_request *request, int shelf, const struct owl_thing *thing)
{
    double money = request->money[shelf] == 0.0 ? 1.0 : request->money[shelf];
    return thing->price < 0 || !request->may_buy[shelf] ? -1 : (int64_t)floor((double)thing->price * money + 0.5);
}

static bool add_member(struct owl_wire_search *search, int shelf, const struct owl_thing *thing, bool rig)
{
    struct owl_wire_room *room = search->room;
    int owned = (int)fmin(thing->owned, MOST_PIECES);
    int64_t price = price_of(search->request, shelf, thing);
    if (!rig && owned == 0 && price < 0)
        return true; /* neither owned nor to be had */
    if (room->members == OWL_WIRE_POOL)
        return false;
    room->member[room->members++] = (struct owl_wire_member){thing, shelf, owned, price, rig, false};
    return true;
}

static bool add_device(struct owl_wire_search *search, const struct owl_thing *device)
{
    const struct owl_wire_request *request = search->request;
    if (find_member(search->room, device) >= 0)
        return true; /* the second of its kind */
    for (int s = 0; s < request->shelves; s++)
        if (device >= request->shelf[s]->thing && device < request->shelf[s]->thing + request->shelf[s]->things)
            return add_member(search, s, device, true);
    return false;
}

static bool is_part(const struct owl_thing *thing)
{
    return thing->kind != OWL_THING_CAMERA && thing->kind != OWL_THING_SENSOR && thing->kind != OWL_THING_FLASH;
}

static bool add_members(struct owl_wire_search *search)
{
    const struct owl_wire_request *request = search->request;
    bool room = add_device(search, request->camera) && (!request->sensor || add_device(search, request->sensor));
    for (int i = 0; i < request->flashes; i++)
        room = room && add_device(search, request->flash[i]);
    for (int s = 0; s < request->shelves; s++)
        for (int i = 0; i < request->shelf[s]->things; i++)
            if (is_part(&request->shelf[s]->thing[i]))
                room = room && add_member(search, s, &request->shelf[s]->thing[i], false);
    return room;
}

/* ---- groups ---- */

static bool usable(const struct owl_wire_request *request, const struct owl_socket *socket)
{
    return request->through_air || !owl_socket_is_air(socket);
}

static bool add_group(struct owl_wire_room *room, struct owl_wire_group group)
{
    if (room->groups == OWL_WIRE_GROUPS)
        return false;
    room->group[room->groups++] = group;
    return true;
}

/* One group an entrance by which the thing can take all the signals. */
static bool add_entrances(struct owl_wire_search *search, struct owl_wire_group group, unsigned signals)
{
    const struct owl_thing *thing = search->room->member[group.member].thing;
    for (int in = 0; in < thing->sockets; in++) {
        const struct owl_socket *socket = &thing->socket[in];
        if (!(socket->way & OWL_WAY_IN) || !usable(search->request, socket) || (socket->carries & signals) != signals)
            continue;
        group.in = (int16_t)in;
        if (!add_group(search->room, group))
            return false;
    }
    return true;
}

static bool add_groups(struct owl_wire_search *search)
{
    const struct owl_wire_request *request = search->request;
    struct owl_wire_room *room = search->room;
    int camera = find_member(room, request->camera), root = request->sensor ? find_member(room, request->sensor) : camera;
    struct owl_wire_group group = {.member = (int16_t)root, .in = -1, .flash = -1,
                                   .site = request->sensor ? OWL_AT_SENSOR : OWL_AT_CAMERA};
    bool well = add_group(room, group);
    if (request->sensor) {
        group = (struct owl_wire_group){.member = (int16_t)camera, .flash = -1, .site = OWL_AT_CAMERA,
                                        .target = OWL_CAMERA_TARGET};
        well = well && add_entrances(search, group, owl_wire_signals(request, OWL_CAMERA_TARGET));
    }
    for (int i = 0; i < request->flashes; i++) {
        group = (struct owl_wire_group){.member = (int16_t)find_member(room, request->flash[i]), .flash = (int16_t)i,
                                        .site = (int8_t)(OWL_AT_FLASH + i), .target = (uint8_t)(2u << i)};
        well = well && add_entrances(search, group, OWL_SYNC);
    }
    for (int m = 0; m < room->members; m++) {
        group = (struct owl_wire_group){.member = (int16_t)m, .flash = -1, .site = -1};
        if (is_part(room->member[m].thing))
            well = well && add_entrances(search, group, 0);
    }
    return well;
}

/* ---- radio sets and fits ---- */

static bool add_sets(struct owl_wire_room *room)
{
    for (int m = 0; m < room->members; m++) {
        const struct owl_thing *thing = room->member[m].thing;
        for (int i = 0; i < thing->sockets; i++) {
            const struct owl_socket *socket = &thing->socket[i];
            if (socket->kind != OWL_SOCKET_RADIO)
                continue;
            int set = 0;
            while (set < room->sets && strcmp(room->set[set], socket->shape) != 0)
                set++;
            if (set == OWL_WIRE_SETS)
                return false;
            if (set == room->sets) {
                memcpy(room->set[set], socket->shape, sizeof socket->shape);
                room->set_channels[room->sets++] = socket->channels;
            }
            if (socket->channels < room->set_channels[set])
                room->set_channels[set] = socket->channels;
        }
    }
    return true;
}

static void try_fits(struct owl_wire_search *search, int kind, int member, int out)
{
    const struct owl_wire_request *request = search->request;
    struct owl_wire_room *room = search->room;
    unsigned signals = owl_wire_signals(request, kind == 0 ? OWL_CAMERA_TARGET : 0);
    const struct owl_thing *giver = room->member[member].thing;
    if (!usable(request, &giver->socket[out]))
        return;
    for (int g = 0; g < room->groups; g++) {
        const struct owl_wire_group *group = &room->group[g];
        if (group->in >= 0 && owl_fit(giver, out, room->member[group->member].thing, group->in, signals, request->by_day,
                                      request->aside) == OWL_JOINS)
            room->fits[kind][member][out][g / 8] |= (uint8_t)(1u << (g % 8));
    }
}

static void find_fits(struct owl_wire_search *search)
{
    struct owl_wire_room *room = search->room;
    memset(room->fits, 0, sizeof room->fits);
    for (int kind = 0; kind < 2; kind++)
        for (int m = 0; m < room->members; m++)
            for (int out = 0; out < room->member[m].thing->sockets; out++)
                try_fits(search, kind, m, out);
}

enum owl_status owl_wire_gather(struct owl_wire_search *search)
{
    const struct owl_wire_request *request = search->request;
    struct owl_wire_room *room = search->room;
    room->members = room->groups = room->sets = room->counts = 0;
    if (!request->camera || request->flashes < 0 || request->flashes > OWL_FLASHES || !add_members(search) ||
        !add_groups(search) || !add_sets(room))
        return OWL_BAD_USE;
    find_fits(search);
    search->full = request->sensor ? OWL_CAMERA_TARGET : 0;
    for (int i = 0; i < request->flashes; i++)
        search->full |= 2u << i;
    search->most_m = 0.0;
    for (int i = 0; i < OWL_WIRE_SITES; i++)
        for (int j = 0; j < OWL_WIRE_SITES; j++)
            search->most_m = fmax(search->most_m, request->along_m[i][j]);
    return OWL_OK;
}
