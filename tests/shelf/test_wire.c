/* The wiring: hundreds of small random shelves against trying everything, and each refusal in a case of its own. */
#include "support/check.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "shelf/generic.h"
#include "shelf/reader.h"
#include "shelf/wire.h"

#define LABELS 120000

static struct owl_wire_room room;
static struct owl_shelf own, generic;
static struct owl_wire_answer answer, second;
static struct owl_wire_why why;
static struct owl_complaints complaints;

static int make_room(void **state)
{
    (void)state;
    room.label = malloc(LABELS * sizeof *room.label);
    room.most = LABELS;
    owl_shelf_generic(&generic);
    return room.label ? 0 : -1;
}

static int leave_room(void **state)
{
    (void)state;
    free(room.label);
    return 0;
}

/* ---- trying everything: from the root down, one exit after another, with rules of its own ---- */

#define TRIED_USES 12
#define TRIED_PARTS 6
#define TRIED_STEPS 100000

struct tried {
    const struct owl_thing *thing;
    int pool, from, out, in, children, flash;
    bool stands, past_camera, air_above;
    int site;        /* where it stands */
    int run_from;    /* hanging: the site its run started at */
    double run_m;    /* cable in the run so far, its own included */
    double air_m;    /* reach of the air above it in this run; infinite without */
};

struct trial {
    const struct owl_wire_request *request;
    struct tried use[TRIED_USES];
    int uses, parts, placed; /* placed: bits, camera 1, flashes on */
    int used[OWL_SHELF_THINGS];
    int64_t best[3];
    bool found;
    long steps;
};

static void key_of(const struct trial *trial, int64_t key[3])
{
    const struct owl_shelf *shelf = trial->request->shelf[0];
    int64_t cost = 0, bought = 0, joints = trial->uses - 1;
    for (int i = 0; i < shelf->things; i++) {
        int64_t more = trial->used[i] - (int64_t)shelf->thing[i].owned;
        if (more <= 0)
            continue;
        bought += more;
        cost += shelf->thing[i].price > 0 ? more * shelf->thing[i].price : 0;
    }
    int64_t all[3][3] = {{cost, joints, bought}, {joints, cost, bought}, {bought, cost, joints}};
    memcpy(key, all[trial->request->aim], sizeof all[0]);
}

static bool below(const int64_t one[3], const int64_t other[3])
{
    for (int i = 0; i < 3; i++)
        if (one[i] != other[i])
            return one[i] < other[i];
    return false;
}

static bool air(const struct owl_socket *socket)
{
    return socket->kind == OWL_SOCKET_RADIO || socket->kind == OWL_SOCKET_LIGHT;
}

/* Which uses' sockets lie on one wire: spread from one end over joints and through what does not isolate. */
struct end {
    int use, socket;
};

static int wire_ends(const struct trial *trial, int use, int out, struct end ends[2 * TRIED_USES])
{
    int count = 0;
    ends[count++] = (struct end){use, out};
    for (int i = 1; i < trial->uses; i++) {
        const struct tried *child = &trial->use[i];
        bool on = false;
        for (int e = 0; e < count; e++) {
            const struct tried *holder = &trial->use[ends[e].use];
            bool entrance = ends[e].use != use && ends[e].socket == holder->in;
            if (child->from == ends[e].use && entrance && holder->thing->isolates == OWL_NO &&
                !air(&holder->thing->socket[child->out]))
                on = true;
            if (child->from == use && child->out == out)
                on = true;
        }
        if (!on)
            continue;
        if (child->from != use || child->out != out)
            ends[count++] = (struct end){child->from, child->out};
        ends[count++] = (struct end){i, child->in};
    }
    return count;
}

static bool wire_safe(const struct trial *trial, int use, int out)
{
    struct end ends[2 * TRIED_USES];
    int count = wire_ends(trial, use, out, ends), polarity = 0, live = 0, closing = 0;
    for (int a = 0; a < count; a++) {
        const struct owl_socket *one = &trial->use[ends[a].use].thing->socket[ends[a].socket];
        for (int b = 0; b < count; b++) {
            const struct owl_socket *other = &trial->use[ends[b].use].thing->socket[ends[b].socket];
            if (one->presents_v > other->bears_v)
                return false;
        }
        if (one->polarity && polarity && one->polarity != polarity)
            return false;
        polarity = one->polarity ? one->polarity : polarity;
        live += one->contact == OWL_CONTACT_LIVE;
        closing += one->contact == OWL_CONTACT_DRY || one->contact == OWL_CONTACT_OPTO;
    }
    return live == 0 || closing == 0;
}

static bool whole_tree_safe(const struct trial *trial)
{
    for (int i = 0; i < trial->uses; i++)
        if (trial->use[i].thing->kind != OWL_THING_FLASH && trial->use[i].thing->kind != OWL_THING_CAMERA &&
            trial->use[i].thing->kind != OWL_THING_SENSOR && trial->use[i].children == 0)
            return false;
    for (int i = 1; i < trial->uses; i++) {
        const struct tried *use = &trial->use[i];
        const struct tried *from = &trial->use[use->from];
        bool starts = use->from == 0 || from->thing->isolates == OWL_YES || air(&from->thing->socket[from->in]);
        if (!air(&use->thing->socket[use->in]) && starts && !wire_safe(trial, use->from, use->out))
            return false;
    }
    for (int i = 0; i < trial->uses; i++) { /* senders of one set against its channels */
        int senders = 0, channels = 99, counted = 0;
        for (int j = 1; j < trial->uses; j++) {
            const struct tried *ear = &trial->use[j];
            const struct owl_socket *set = &ear->thing->socket[ear->in];
            if (set->kind != OWL_SOCKET_RADIO || set->shape[0] != 'a' + i % 2)
                continue;
            channels = set->channels;
            senders += !(counted & 1 << ear->from);
            counted |= 1 << ear->from;
        }
        if (senders > channels)
            return false;
    }
    return true;
}

static void open_exits(struct trial *trial, int use, int out);

/* All exits of all things looked at: is everything placed? */
static void finish(struct trial *trial)
{
    int all = (2 << trial->request->flashes) - (trial->request->sensor ? 1 : 2);
    int64_t key[3];
    key_of(trial, key);
    if (trial->placed != all || !whole_tree_safe(trial) || (trial->found && !below(key, trial->best)))
        return;
    trial->found = true;
    memcpy(trial->best, key, sizeof key);
}

static bool plug_fits(const struct trial *trial, const struct tried *giver, int out, const struct owl_thing *taker, int in)
{
    const struct owl_socket *a = &giver->thing->socket[out], *b = &taker->socket[in];
    unsigned need = giver->past_camera ? OWL_SYNC : OWL_RELEASE | (trial->request->camera_sleeps ? OWL_WAKE : 0u);
    if (a->kind != b->kind || strcmp(a->shape, b->shape) != 0 || (!air(a) && a->side == b->side))
        return false;
    if (!(a->way & OWL_WAY_OUT) || !(b->way & OWL_WAY_IN) || (need & ~a->carries) || (need & ~b->carries))
        return false;
    if (air(a) && !trial->request->through_air)
        return false;
    if (a->kind == OWL_SOCKET_LIGHT && trial->request->by_day && !taker->by_day)
        return false;
    return a->kind != OWL_SOCKET_LIGHT || !giver->thing->preflash || taker->ignores_preflash;
}

/* Whether a run ends well at a thing that stands at the site. */
static bool run_ends(const struct trial *trial, const struct tried *above, const struct owl_socket *out, double own_m,
                     const struct owl_thing *thing, int site)
{
    const struct owl_wire_request *request = trial->request;
    if (air(out))
        return request->apart_m[site][above->site] <= fmin(above->thing->range_m, thing->range_m);
    if (above->stands)
        return request->along_m[site][above->site] <= own_m;
    if (isfinite(above->air_m))
        return request->apart_m[site][above->run_from] <= above->air_m;
    return request->along_m[site][above->run_from] <= above->run_m + own_m;
}

static void try_use(struct trial *trial, struct tried next)
{
    int64_t key[3];
    if (trial->uses == TRIED_USES)
        return;
    int holder = next.from, out = next.out, placed = trial->placed;
    trial->use[trial->uses++] = next;
    trial->use[holder].children++;
    trial->used[next.pool]++;
    key_of(trial, key);
    const struct owl_thing *thing = next.thing;
    bool device = next.flash >= 0 || thing->kind == OWL_THING_CAMERA;
    bool to_be_had = device || thing->price >= 0 || trial->used[next.pool] <= (int)thing->owned;
    if (next.flash >= 0)
        trial->placed |= 2 << next.flash;
    else if (device)
        trial->placed |= 1;
    trial->parts += !device;
    if (to_be_had && trial->parts <= TRIED_PARTS && !(trial->found && below(trial->best, key)))
        open_exits(trial, holder, air(&trial->use[holder].thing->socket[out]) ? out : out + 1);
    trial->parts -= !device;
    trial->placed = placed;
    trial->used[next.pool]--;
    trial->use[holder].children--;
    trial->uses--;
}

static int pool_of(const struct trial *trial, const struct owl_thing *thing)
{
    return (int)(thing - trial->request->shelf[0]->thing);
}

static void try_device(struct trial *trial, int holder, int out, const struct owl_thing *thing, int flash)
{
    struct tried *above = &trial->use[holder];
    int site = flash < 0 ? OWL_AT_CAMERA : OWL_AT_FLASH + flash;
    for (int in = 0; in < thing->sockets; in++) {
        if (!plug_fits(trial, above, out, thing, in) || !run_ends(trial, above, &above->thing->socket[out], 0.0, thing, site))
            continue;
        try_use(trial, (struct tried){.thing = thing, .pool = pool_of(trial, thing), .from = holder, .out = out, .in = in,
                                      .flash = flash, .stands = true, .past_camera = true, .site = site, .air_m = INFINITY});
    }
}

static void try_part(struct trial *trial, int holder, int out, const struct owl_thing *thing, int in)
{
    struct tried *above = &trial->use[holder];
    const struct owl_socket *from = &above->thing->socket[out];
    double own_m = isnan(thing->length_m) ? 0.0 : thing->length_m;
    struct tried next = {.thing = thing, .pool = pool_of(trial, thing), .from = holder, .out = out, .in = in, .flash = -1,
                         .past_camera = above->past_camera, .air_m = INFINITY};
    struct tried hanging = next;
    hanging.run_from = above->stands ? above->site : above->run_from;
    hanging.run_m = (above->stands ? 0.0 : above->run_m) + own_m;
    hanging.air_m = air(from) ? fmin(above->thing->range_m, thing->range_m) : above->stands ? (double)INFINITY : above->air_m;
    try_use(trial, hanging);
    unsigned exits = thing->feeds[in];
    bool one_wire = (exits & (exits - 1)) == 0;
    for (int i = 0; i < thing->sockets; i++)
        one_wire = one_wire && !((exits >> i & 1u) && air(&thing->socket[i]));
    for (int site = one_wire ? OWL_WIRE_SITES : 0; site < OWL_AT_FLASH + trial->request->flashes; site++) {
        bool before = site == OWL_AT_SENSOR && trial->request->sensor && !above->past_camera;
        bool after = site >= OWL_AT_FLASH && above->past_camera;
        if ((!before && !after && site != OWL_AT_CAMERA) || !run_ends(trial, above, from, own_m, thing, site))
            continue;
        next.stands = true;
        next.site = site;
        try_use(trial, next);
    }
}

/* Goes on at the exit `out` of a use: leaves it empty, or hangs each thing there in turn. */
static void open_exits(struct trial *trial, int use, int out)
{
    struct tried *holder = &trial->use[use];
    const struct owl_shelf *shelf = trial->request->shelf[0];
    if (++trial->steps > TRIED_STEPS)
        return;
    if (out == holder->thing->sockets) {
        if (use + 1 == trial->uses)
            finish(trial);
        else
            open_exits(trial, use + 1, 0);
        return;
    }
    open_exits(trial, use, out + 1);
    holder = &trial->use[use];
    const struct owl_socket *exit = &holder->thing->socket[out];
    bool lead = use == 0 || (holder->thing->feeds[holder->in] >> out & 1u);
    unsigned need = holder->past_camera ? OWL_SYNC : OWL_RELEASE | (trial->request->camera_sleeps ? OWL_WAKE : 0u);
    bool part = use > 0 && holder->flash < 0 && holder->thing->kind != OWL_THING_CAMERA;
    if (!lead || !(exit->way & OWL_WAY_OUT) || (part && (need & ~holder->thing->socket[holder->in].carries)))
        return;
    if (part && !holder->stands && (air(exit) || holder->children > 0))
        return; /* what hangs goes on by one wire */
    if (part && holder->stands && air(exit) && holder->site >= OWL_AT_FLASH)
        return; /* senders stand with the sensor or the camera */
    if (!holder->past_camera && !(trial->placed & 1))
        try_device(trial, use, out, trial->request->camera, -1);
    for (int i = 0; holder->past_camera && i < trial->request->flashes; i++)
        if (!(trial->placed & 2 << i))
            try_device(trial, use, out, trial->request->flash[i], i);
    for (int i = 0; i < shelf->things; i++)
        for (int in = 0; shelf->thing[i].kind == OWL_THING_OTHER && in < shelf->thing[i].sockets; in++)
            if (plug_fits(trial, &trial->use[use], out, &shelf->thing[i], in))
                try_part(trial, use, out, &shelf->thing[i], in);
}

/* ---- random shelves ---- */

static uint32_t seed;

static int any(int below_this)
{
    seed = seed * 1664525u + 1013904223u;
    return (int)((seed >> 10) % (uint32_t)below_this);
}

static struct owl_socket any_socket(int way)
{
    static const int kinds[] = {OWL_SOCKET_PC_SYNC, OWL_SOCKET_PC_SYNC, OWL_SOCKET_PC_SYNC, OWL_SOCKET_PC_SYNC,
                                OWL_SOCKET_PC_SYNC, OWL_SOCKET_HOT_SHOE, OWL_SOCKET_RADIO,   OWL_SOCKET_LIGHT};
    static const double volts[] = {NAN, NAN, NAN, NAN, NAN, NAN, 5.0, 12.0};
    struct owl_socket socket = {.way = way, .bears_v = NAN, .carries = OWL_RELEASE | OWL_WAKE | OWL_SYNC};
    socket.kind = kinds[any(8)]; /* one by one: an initializer may be evaluated in any order */
    socket.side = 1 + any(2);
    socket.presents_v = volts[any(8)];
    if (any(12) == 0)
        socket.carries = OWL_SYNC;
    if (any(6) == 0)
        socket.bears_v = isnan(socket.presents_v) ? 6.0 : socket.presents_v + any(2) * 10.0;
    else if (!isnan(socket.presents_v))
        socket.bears_v = 24.0;
    socket.polarity = any(12) ? 0 : 1 + any(2);
    socket.contact = any(12) ? 0 : 1 + any(3);
    if (socket.kind == OWL_SOCKET_RADIO) {
        socket.shape[0] = (char)('a' + any(2));
        socket.channels = 1;
    }
    if (air(&socket))
        socket.side = OWL_SIDE_NONE;
    return socket;
}

static void lead_all(struct owl_thing *thing)
{
    for (int in = 0; in < thing->sockets; in++)
        for (int out = 0; out < thing->sockets; out++)
            if (in != out && (thing->socket[in].way & OWL_WAY_IN) && (thing->socket[out].way & OWL_WAY_OUT))
                thing->feeds[in] |= 1u << out;
}

static struct owl_thing *any_thing(struct owl_shelf *shelf, int kind, int ins, int outs)
{
    struct owl_thing *thing = &shelf->thing[shelf->things++];
    *thing = (struct owl_thing){.kind = kind, .price = -1, .length_m = NAN, .standby_a = NAN, .supply_v = NAN, .latency_s = NAN,
                                .miss = NAN};
    thing->owned = any(3);
    if (any(4))
        thing->price = any(9);
    if (any(2))
        thing->length_m = 1.0 + any(6);
    thing->range_m = 3.0 + any(8);
    thing->by_day = any(2);
    thing->ignores_preflash = any(2);
    thing->preflash = any(2);
    thing->isolates = any(3) == 0;
    snprintf(thing->name, sizeof thing->name, "thing %d", shelf->things);
    for (int i = 0; i < ins + outs; i++)
        thing->socket[thing->sockets++] = any_socket(i < ins ? OWL_WAY_IN : OWL_WAY_OUT);
    if (kind == OWL_THING_OTHER && any(3) == 0)
        thing->socket[0].way = thing->socket[thing->sockets - 1].way = OWL_WAY_BOTH;
    lead_all(thing);
    return thing;
}

static void any_request(struct owl_wire_request *request, struct owl_shelf *shelf)
{
    *request = (struct owl_wire_request){.shelf = {shelf}, .may_buy = {true}, .shelves = 1};
    shelf->things = 0;
    request->camera = any_thing(shelf, OWL_THING_CAMERA, 1, 1 + any(2));
    request->sensor = any(2) ? any_thing(shelf, OWL_THING_SENSOR, 0, 1) : NULL;
    request->flashes = 1 + any(3);
    for (int i = 0; i < request->flashes; i++) {
        int ins = 1 + any(2), outs = any(2);
        request->flash[i] = i > 0 && any(2) ? request->flash[0] : any_thing(shelf, OWL_THING_FLASH, ins, outs);
    }
    for (int i = 2 + any(4); i > 0; i--) {
        struct owl_thing *thing = any_thing(shelf, OWL_THING_OTHER, 1, 1 + (any(3) == 0));
        if (i > 1 && any(4) == 0) { /* the same again, had in another way */
            shelf->thing[shelf->things] = *thing;
            shelf->thing[shelf->things].owned = any(2);
            shelf->thing[shelf->things++].price = any(4) ? any(9) : -1;
            i--;
        }
    }
    for (int i = 0; i < OWL_WIRE_SITES; i++)
        for (int j = 0; j < i; j++) {
            request->apart_m[i][j] = request->apart_m[j][i] = 1.0 + any(6);
            request->along_m[i][j] = request->along_m[j][i] = any(2) ? 0.0 : request->apart_m[i][j] + any(2);
        }
    request->camera_sleeps = any(2);
    request->by_day = any(2);
    request->through_air = any(4) != 0;
    request->aim = (enum owl_wire_aim)any(3);
}

static void answer_key(const struct owl_wire_request *request, int64_t key[3])
{
    int64_t all[3][3] = {{answer.cost, answer.joints, answer.bought}, {answer.joints, answer.cost, answer.bought},
                         {answer.bought, answer.cost, answer.joints}};
    memcpy(key, all[request->aim], sizeof all[0]);
}

static int parts_used(void)
{
    int parts = 0;
    for (int i = 0; i < answer.uses; i++)
        parts += answer.use[i].thing->kind == OWL_THING_OTHER;
    return parts;
}

/* identity: on small random shelves the wiring found is as good as the best of all there are, and none is found only where
   there is none; the trial stops at six parts, and a wiring with more must then be better than any with fewer */
static void test_wire_is_as_good_as_trying_everything(void **state)
{
    (void)state;
    static struct trial trial;
    static struct owl_wire_request request;
    int found = 0, none = 0, given_up = 0, with_parts = 0;
    for (int round = 0; round < 2500; round++) {
        seed = 77u + (uint32_t)round * 2654435761u;
        any_request(&request, &own);
        assert_int_equal(owl_wire_find(&request, &room, &answer), OWL_OK);
        assert_true(answer.proven);
        trial = (struct trial){.request = &request, .uses = 1};
        const struct owl_thing *root = request.sensor ? request.sensor : request.camera;
        trial.use[0] = (struct tried){.thing = root, .from = -1, .in = -1, .stands = true, .past_camera = !request.sensor,
                                      .flash = -1,
                                      .pool = pool_of(&trial, root), .site = request.sensor ? OWL_AT_SENSOR : OWL_AT_CAMERA,
                                      .air_m = INFINITY};
        trial.used[trial.use[0].pool] = 1;
        open_exits(&trial, 0, 0);
        if (trial.steps > TRIED_STEPS) {
            given_up++;
            continue;
        }
        int64_t key[3];
        answer_key(&request, key);
        bool beyond = answer.found && (parts_used() > TRIED_PARTS || answer.uses > TRIED_USES);
        bool same = answer.found == trial.found && (!trial.found || memcmp(key, trial.best, sizeof key) == 0);
        if (beyond)
            same = !trial.found || below(key, trial.best);
        if (!same)
            print_message("round %d: found %d %lld %lld %lld, tried %d %lld %lld %lld\n", round, answer.found, (long long)key[0],
                          (long long)key[1], (long long)key[2], trial.found, (long long)trial.best[0], (long long)trial.best[1],
                          (long long)trial.best[2]);
        assert_true(same);
        found += answer.found;
        none += !answer.found;
        with_parts += answer.found && parts_used() > 0;
    }
    print_message("%d wirings proven best, %d of them with parts, %d proven impossible, %d too many to try\n", found, with_parts,
                  none, given_up);
    assert_true(found > 200);
    assert_true(with_parts > 100);
}

/* ---- one case for each rule ---- */

#define CAMERA "[thing camera]\nis = camera\nowned = 1\nlatency = 70 ms\n" \
               "socket remote = 2.5 mm stereo jack socket, takes focus and release, presents 3 V, bears 6 V, tip release\n" \
               "socket sync = PC sync socket, gives sync, bears 24 V, centre plus\n"
#define SENSOR "[thing sensor]\nis = sensor\nowned = 1\nlatency = 100 ms\nstandby = 1 mA\nvoltage = 6 V\n" \
               "socket lead = 2.5 mm stereo jack plug, gives focus and release, bears 12 V, opto contact, tip release\n"
#define FLASH "[thing flash]\nis = flash\nowned = 2\n" \
              "socket sync = PC sync socket, takes sync, presents 5 V, bears 24 V, centre plus\n"
#define CABLE "[thing cable]\nis = cable\nowned = 1\nprice = 10 EUR\nlength = 5 m\n" \
              "socket one = PC sync plug, passes sync\nsocket other = PC sync plug, passes sync\n"

/* The rig of `sensor`, `camera` and `flashes` times `flash` on the shelf of this text, everything two metres apart. */
static struct owl_wire_request rig_of(const char *text, int flashes)
{
    if (owl_shelf_read(text, strlen(text), &own, &complaints) != OWL_OK)
        print_message("%d: %s\n", complaints.list[0].line, complaints.list[0].words);
    assert_int_equal(complaints.count, 0);
    struct owl_wire_request request = {.shelf = {&own}, .may_buy = {true}, .shelves = 1, .flashes = flashes, .through_air = true};
    request.sensor = owl_shelf_find(&own, "sensor");
    request.camera = owl_shelf_find(&own, "camera");
    for (int i = 0; i < flashes; i++)
        request.flash[i] = owl_shelf_find(&own, "flash");
    for (int i = 0; i < OWL_WIRE_SITES; i++)
        for (int j = 0; j < OWL_WIRE_SITES; j++)
            request.apart_m[i][j] = request.along_m[i][j] = i == j ? 0.0 : 2.0;
    request.along_m[OWL_AT_SENSOR][OWL_AT_CAMERA] = request.along_m[OWL_AT_CAMERA][OWL_AT_SENSOR] = 0.0;
    return request;
}

static void expect_obstacle(const struct owl_wire_request *request, int flash, enum owl_refusal refusal)
{
    assert_int_equal(owl_wire_find(request, &room, &answer), OWL_OK);
    assert_false(answer.found);
    assert_true(answer.proven);
    assert_int_equal(owl_wire_explain(request, &generic, &room, &why), OWL_OK);
    assert_int_equal(why.obstacles, 1);
    if (why.obstacle[0].refusal != refusal)
        print_message("said: %s\n", owl_refusal_words(why.obstacle[0].refusal));
    assert_int_equal(why.obstacle[0].refusal, refusal);
    assert_int_equal(why.obstacle[0].flash, flash);
}

/* identity: a wiring by hand: what is joined, what it costs, how late it is, what it draws */
static void test_wire_tells_the_whole_wiring(void **state)
{
    (void)state;
    struct owl_wire_request request = rig_of(SENSOR CAMERA FLASH CABLE, 1);
    request.camera_sleeps = true;
    assert_int_equal(owl_wire_find(&request, &room, &answer), OWL_OK);
    assert_true(answer.found && answer.proven);
    assert_int_equal(answer.uses, 4);
    assert_int_equal(answer.joints, 3);
    assert_int_equal(answer.bought, 0);
    assert_int_equal(answer.cost, 0);
    assert_string_equal(answer.use[0].thing->name, "sensor");
    assert_string_equal(answer.use[1].thing->name, "camera");
    assert_int_equal(answer.use[1].out, 0);
    assert_int_equal(answer.use[1].in, 0);
    assert_string_equal(answer.use[2].thing->name, "cable");
    assert_int_equal(answer.use[2].at, OWL_AT_CAMERA);
    assert_int_equal(answer.use[2].site, OWL_AT_FLASH);
    assert_int_equal(answer.use[3].flash, 0);
    check_near("to the camera", answer.camera_s, 0.1, 1e-12);
    check_near("to the flash", answer.flash_s[0], 0.0, 1e-12);
    check_near("standby", answer.standby_a, 0.001, 1e-12);
    check_near("watts", answer.standby_w, 0.006, 1e-12);
    check_near("heard", answer.heard, 1.0, 0.0);
}

/* identity: one cable owned of two needed: the second is bought, at its price in the money of the answer */
static void test_wire_buys_what_is_not_owned(void **state)
{
    (void)state;
    struct owl_wire_request request = rig_of(SENSOR CAMERA FLASH CABLE
        "[thing three-way]\nis = splitter\nprice = 7 EUR\nsocket plug = PC sync plug, takes sync\n"
        "socket one = PC sync socket, gives sync\nsocket two = PC sync socket, gives sync\n", 2);
    request.money[0] = 2.0;
    assert_int_equal(owl_wire_find(&request, &room, &answer), OWL_OK);
    assert_true(answer.found);
    assert_int_equal(answer.bought, 2);
    assert_int_equal(answer.cost, 2 * (1000 + 700));
    request.may_buy[0] = false;
    assert_int_equal(owl_wire_find(&request, &room, &answer), OWL_OK);
    assert_false(answer.found);
    assert_true(answer.proven);
}

/* identity: the three aims differ where they should */
static void test_wire_keeps_its_aim(void **state)
{
    (void)state;
    struct owl_wire_request request = rig_of(SENSOR CAMERA FLASH
        "[thing short]\nis = cable\nowned = 2\nlength = 1 m\nsocket one = PC sync plug, passes sync\n"
        "socket other = PC sync plug, passes sync\n"
        "[thing sleeve]\nis = adapter\nprice = 1 EUR\nsocket one = PC sync socket, passes sync\n"
        "socket other = PC sync socket, passes sync\n"
        "[thing long]\nis = cable\nprice = 9 EUR\nlength = 3 m\nsocket one = PC sync plug, passes sync\n"
        "socket other = PC sync plug, passes sync\n", 1);
    request.aim = OWL_WIRE_CHEAPEST;
    assert_int_equal(owl_wire_find(&request, &room, &answer), OWL_OK);
    assert_int_equal(answer.cost, 100);
    assert_int_equal(answer.joints, 5);
    request.aim = OWL_WIRE_FEWEST_JOINTS;
    assert_int_equal(owl_wire_find(&request, &room, &answer), OWL_OK);
    assert_int_equal(answer.cost, 900);
    assert_int_equal(answer.joints, 3);
    request.aim = OWL_WIRE_OWNED_FIRST;
    assert_int_equal(owl_wire_find(&request, &room, &answer), OWL_OK);
    assert_int_equal(answer.bought, 1);
    assert_int_equal(answer.cost, 100);
}

/* identity: a cable too short is told with what it has and what it needs, and the mending shelf mends it */
static void test_wire_says_how_much_too_short(void **state)
{
    (void)state;
    struct owl_wire_request request = rig_of(SENSOR CAMERA FLASH CABLE, 1);
    request.may_buy[0] = false;
    request.along_m[OWL_AT_CAMERA][OWL_AT_FLASH] = request.along_m[OWL_AT_FLASH][OWL_AT_CAMERA] = 6.5;
    expect_obstacle(&request, 0, OWL_REFUSED_SHORT);
    check_near("has", why.obstacle[0].value, 5.0, 1e-9);
    check_near("needs", why.obstacle[0].limit, 6.5, 1e-9);
    assert_true(why.mended);
    assert_true(why.mend.bought > 0);
    assert_true(why.mend.cost > 0);
}

/* fault: 250 V on an old flash never reach a camera that bears 24 V; through a guard they may */
static void test_wire_keeps_old_flashes_off_the_camera(void **state)
{
    (void)state;
    static const char text[] = SENSOR CAMERA CABLE "[thing flash]\nis = flash\nowned = 1\n"
                               "socket sync = PC sync socket, takes sync, presents 250 V, bears 400 V\n";
    struct owl_wire_request request = rig_of(text, 1);
    assert_int_equal(owl_wire_find(&request, &room, &answer), OWL_OK);
    assert_false(answer.found);
    assert_int_equal(owl_wire_explain(&request, NULL, &room, &why), OWL_OK);
    assert_int_equal(why.obstacle[0].refusal, OWL_REFUSED_VOLTAGE);
    check_near("laid on", why.obstacle[0].value, 250.0, 0.0);
    check_near("borne", why.obstacle[0].limit, 24.0, 0.0);
    assert_string_equal(why.obstacle[0].taker->name, "flash");
    assert_string_equal(why.obstacle[0].giver->name, "camera");
    assert_int_equal(owl_wire_explain(&request, &generic, &room, &why), OWL_OK);
    assert_true(why.mended);
    bool guarded = false, warned = false;
    for (int i = 0; i < why.mend.uses; i++)
        guarded = guarded || why.mend.use[i].thing->isolates == OWL_YES;
    for (int i = 0; i < why.mend.cautions; i++)
        warned = warned || why.mend.caution[i].kind == OWL_CAUTION_TRIGGER_HIGH || why.mend.caution[i].kind == OWL_CAUTION_LIGHT;
    assert_true(guarded && warned);
}

/* fault: plus to minus, a live output on a closing contact, tip on ring, and a signal not carried */
static void test_wire_refuses_what_would_not_work(void **state)
{
    (void)state;
    struct owl_wire_request request = rig_of(SENSOR CAMERA CABLE "[thing flash]\nis = flash\nowned = 1\n"
        "socket sync = PC sync socket, takes sync, presents 5 V, bears 24 V, centre minus\n", 1);
    expect_obstacle(&request, 0, OWL_REFUSED_POLARITY);
    request = rig_of(CAMERA "[thing sensor]\nis = sensor\nowned = 1\n"
        "socket lead = 2.5 mm stereo jack plug, gives focus and release, tip focus\n", 0);
    expect_obstacle(&request, -1, OWL_REFUSED_TIP);
    request = rig_of("[thing camera]\nis = camera\nowned = 1\n"
        "socket remote = RJ-11 socket, takes focus and release, dry contact\n"
        "[thing sensor]\nis = sensor\nowned = 1\nsocket lead = RJ-11 plug, gives focus and release, live\n", 0);
    expect_obstacle(&request, -1, OWL_REFUSED_CONTACT);
    request = rig_of(CAMERA "[thing sensor]\nis = sensor\nowned = 1\n"
        "socket lead = 2.5 mm stereo jack plug, gives release, tip release\n", 0);
    assert_int_equal(owl_wire_find(&request, &room, &answer), OWL_OK);
    assert_true(answer.found);
    request.camera_sleeps = true; /* now it must be woken too */
    expect_obstacle(&request, -1, OWL_REFUSED_PLUG);
}

#define EYES "[thing key]\nis = flash\nowned = 1\nrange = 8 m\npre-flash = yes\nsocket sync = PC sync plug, takes sync\n" \
             "socket light = light, gives sync\n" \
             "[thing fill]\nis = flash\nowned = 1\nrange = 8 m\nsocket eye = light, takes sync\n"

/* fault: an eye for light by day, before a pre-flash, out of reach; radios with too few channels */
static void test_wire_refuses_what_the_air_would_not_carry(void **state)
{
    (void)state;
    struct owl_wire_request request = rig_of(SENSOR CAMERA EYES "ignores pre-flash = yes\n", 0);
    request.sensor = NULL;
    request.flashes = 2;
    request.flash[0] = owl_shelf_find(&own, "key");
    request.flash[1] = owl_shelf_find(&own, "fill");
    request.along_m[OWL_AT_CAMERA][OWL_AT_FLASH] = request.along_m[OWL_AT_FLASH][OWL_AT_CAMERA] = 0.0;
    assert_int_equal(owl_wire_find(&request, &room, &answer), OWL_OK);
    assert_true(answer.found);
    request.by_day = true;
    assert_int_equal(owl_wire_find(&request, &room, &answer), OWL_OK);
    assert_false(answer.found);
    request.aside = 1u << OWL_REFUSED_DAYLIGHT;
    assert_int_equal(owl_wire_find(&request, &room, &answer), OWL_OK);
    assert_true(answer.found);
    request.aside = 0;
    request.by_day = false;
    request.apart_m[OWL_AT_FLASH][OWL_AT_FLASH + 1] = request.apart_m[OWL_AT_FLASH + 1][OWL_AT_FLASH] = 9.0;
    assert_int_equal(owl_wire_find(&request, &room, &answer), OWL_OK);
    assert_false(answer.found);
    request.through_air = false;
    assert_int_equal(owl_wire_find(&request, &room, &answer), OWL_OK);
    assert_false(answer.found);
    const struct owl_thing *key = owl_shelf_find(&own, "key"), *fill = owl_shelf_find(&own, "fill");
    assert_int_equal(owl_fit(key, 1, fill, 0, OWL_SYNC, true, 0), OWL_REFUSED_DAYLIGHT);
    struct owl_thing fooled = *fill;
    fooled.ignores_preflash = OWL_NO;
    assert_int_equal(owl_fit(key, 1, &fooled, 0, OWL_SYNC, false, 0), OWL_REFUSED_PREFLASH);
}

/* fault: the trigger's radio and the flashes' radio on one channel set off each other */
static void test_wire_keeps_senders_apart(void **state)
{
    (void)state;
    for (int channels = 1; channels <= 2; channels++) {
        char text[2048];
        snprintf(text, sizeof text,
                 "[thing sensor]\nis = sensor\nowned = 1\nrange = 9 m\nsocket air = radio, gives release, set x, %d channels\n"
                 "[thing camera]\nis = camera\nowned = 1\nrange = 9 m\nsocket air = radio, takes release, set x, %d channels\n"
                 "socket out = radio, gives sync, set x, %d channels\n"
                 "[thing flash]\nis = flash\nowned = 2\nrange = 9 m\nmiss = 10 %%\nstandby = 15 mA\n"
                 "socket air = radio, takes sync, set x, %d channels\n", channels, channels, channels, channels);
        struct owl_wire_request request = rig_of(text, 2);
        assert_int_equal(owl_wire_find(&request, &room, &answer), OWL_OK);
        assert_int_equal(answer.found, channels == 2);
        if (answer.found)
            check_near("heard", answer.heard, 0.81, 1e-12);
    }
}

/* identity: the only lead that reaches the camera is kept for it, though the flash would have it for nothing; and the only
   channel is kept for the trigger, though the flash's radio is cheaper than its cable */
static void test_wire_keeps_the_scarce_for_where_it_counts(void **state)
{
    (void)state;
    struct owl_wire_request request = rig_of(
        "[thing sensor]\nis = sensor\nowned = 1\nsocket out = RJ-11 socket, gives release\n"
        "[thing camera]\nis = camera\nowned = 1\nsocket in = RJ-11 socket, takes release\nsocket out = RJ-11 socket, gives sync\n"
        "[thing flash]\nis = flash\nowned = 1\nsocket in = RJ-11 socket, takes sync\n"
        "[thing lead]\nis = cable\nowned = 1\nlength = 9 m\nsocket one = RJ-11 plug, passes release and sync\n"
        "socket other = RJ-11 plug, passes release and sync\n"
        "[thing sync lead]\nis = cable\nprice = 5 EUR\nlength = 9 m\nsocket one = RJ-11 plug, passes sync\n"
        "socket other = RJ-11 plug, passes sync\n", 1);
    assert_int_equal(owl_wire_find(&request, &room, &answer), OWL_OK);
    assert_true(answer.found);
    assert_int_equal(answer.cost, 500);
    request = rig_of(
        "[thing sensor]\nis = sensor\nowned = 1\nrange = 9 m\nsocket air = radio, gives release, set x, 1 channel\n"
        "[thing camera]\nis = camera\nowned = 1\nrange = 9 m\nsocket air = radio, takes release, set x, 1 channel\n"
        "socket out = RJ-11 socket, gives sync\n"
        "[thing flash]\nis = flash\nowned = 1\nrange = 9 m\nsocket in = RJ-11 socket, takes sync\n"
        "socket air = radio, takes sync, set x, 1 channel\n"
        "[thing sender]\nis = transmitter\nprice = 1 EUR\nrange = 9 m\nsocket in = RJ-11 plug, takes sync\n"
        "socket air = radio, gives sync, set x, 1 channel\n"
        "[thing near]\nis = adapter\nprice = 2 EUR\nsocket in = RJ-11 plug, takes sync\nsocket out = RJ-12 plug, gives sync\n"
        "[thing far]\nis = cable\nprice = 3 EUR\nlength = 9 m\nsocket in = RJ-12 socket, takes sync\n"
        "socket out = RJ-11 plug, gives sync\n", 1);
    assert_int_equal(owl_wire_find(&request, &room, &answer), OWL_OK);
    assert_true(answer.found);
    assert_int_equal(answer.cost, 500);
}

/* identity: the same request gives the same wiring, use for use */
static void test_wire_is_the_same_each_time(void **state)
{
    (void)state;
    struct owl_wire_request request = {.shelf = {&generic}, .may_buy = {true}, .shelves = 1, .flashes = 3, .through_air = true,
                                       .camera_sleeps = true};
    request.sensor = owl_shelf_find(&generic, "heat sensor");
    request.camera = owl_shelf_find(&generic, "camera with round port");
    for (int i = 0; i < 3; i++)
        request.flash[i] = owl_shelf_find(&generic, "shoe flash with eye");
    for (int i = 0; i < OWL_WIRE_SITES; i++)
        for (int j = 0; j < OWL_WIRE_SITES; j++)
            request.apart_m[i][j] = i == j ? 0.0 : 2.0 + (i + j) % 3;
    static const double climb_m[OWL_WIRE_SITES] = {1, 1, 2, 2, 2};
    owl_wire_lay(&request, climb_m, 0.2);
    check_near("along", request.along_m[OWL_AT_CAMERA][OWL_AT_FLASH], 1.0 + 2.0 * 1.2 + 2.0, 1e-12);
    for (int air_too = 0; air_too < 2; air_too++) {
        request.through_air = air_too == 1;
        assert_int_equal(owl_wire_find(&request, &room, &answer), OWL_OK);
        assert_int_equal(owl_wire_find(&request, &room, &second), OWL_OK);
        assert_true(answer.found && answer.proven);
        assert_memory_equal(answer.use, second.use, sizeof answer.use);
        assert_int_equal(answer.cost, second.cost);
    }
}

/* fault: too little room is said; a device from nowhere is bad use */
static void test_wire_says_when_it_has_no_room(void **state)
{
    (void)state;
    struct owl_wire_request request = rig_of(SENSOR CAMERA FLASH CABLE, 1);
    int most = room.most;
    room.most = 6;
    assert_int_equal(owl_wire_find(&request, &room, &answer), OWL_NO_ROOM);
    assert_false(answer.proven);
    room.most = most;
    request.flash[0] = NULL;
    assert_int_equal(owl_wire_find(&request, &room, &answer), OWL_BAD_USE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_wire_is_as_good_as_trying_everything),
        cmocka_unit_test(test_wire_tells_the_whole_wiring),
        cmocka_unit_test(test_wire_buys_what_is_not_owned),
        cmocka_unit_test(test_wire_keeps_its_aim),
        cmocka_unit_test(test_wire_says_how_much_too_short),
        cmocka_unit_test(test_wire_keeps_old_flashes_off_the_camera),
        cmocka_unit_test(test_wire_refuses_what_would_not_work),
        cmocka_unit_test(test_wire_refuses_what_the_air_would_not_carry),
        cmocka_unit_test(test_wire_keeps_senders_apart),
        cmocka_unit_test(test_wire_keeps_the_scarce_for_where_it_counts),
        cmocka_unit_test(test_wire_is_the_same_each_time),
        cmocka_unit_test(test_wire_says_when_it_has_no_room),
    };
    return cmocka_run_group_tests(tests, make_room, leave_room);
}
