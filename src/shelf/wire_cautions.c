/* What to mind about a wiring that holds: hazards and doubts, each kind once, with the first thing it is about. */
#include <math.h>

#include "shelf/wiring.h"

static const char *const caution_words[OWL_CAUTION_KINDS] = {
    [OWL_CAUTION_CAPACITOR] = "A flash holds a charge that can kill, for days after it is switched off. Never open one; join and "
                              "part its cables only with the flash switched off.",
    [OWL_CAUTION_TRIGGER_HIGH] = "This flash lays a high voltage on its contacts, as old flashes do. The chain given bears "
                                 "it, but never put the flash on the camera itself, and keep fingers and wet hands off "
                                 "the contact.",
    [OWL_CAUTION_TRIGGER_UNKNOWN] = "What voltage this flash lays on its contacts is not known. Measure it with a voltmeter, the "
                                    "flash charged, before it is joined to anything: old ones show 200 V and more.",
    [OWL_CAUTION_BEARS_UNKNOWN] = "What voltage this socket bears is not stated. Look it up in its manual, or keep to 5 V.",
    [OWL_CAUTION_POLARITY] = "This contact works one way round only, and plus and minus are not stated at both ends. Test it at "
                             "home; if nothing fires, turn the two wires.",
    [OWL_CAUTION_TIP] = "Whether tip or ring fires is not stated for this jack. Test it at home: the wrong one only focuses.",
    [OWL_CAUTION_RADIO_MISS] = "Radio is not heard every time, and less in wet leaves and hard frost. Where a wire will do, a "
                               "wire is surer.",
    [OWL_CAUTION_RADIO_DRAIN] = "Radio parts must be awake all the time, and their cells run out long before the rest. See that "
                                "theirs are as large, and that they do not switch themselves off.",
    [OWL_CAUTION_LIGHT] = "An eye for light must see the other flash, itself or off a leaf near by, and any other flash will set "
                          "it off. Test it in the light it will work in.",
    [OWL_CAUTION_WEATHER] = "Not made for rain. Give it a bag or a box with the opening down, and a loop in the cable for the "
                            "water to drip from.",
    [OWL_CAUTION_PRICE] = "This has no price and is not on the shelf yet, so the sum leaves it out.",
};

const char *owl_wire_caution_words(enum owl_wire_caution_kind kind)
{
    return caution_words[kind];
}

static void caution(struct owl_wire_answer *answer, enum owl_wire_caution_kind kind, int use, double value)
{
    for (int i = 0; i < answer->cautions; i++) {
        struct owl_wire_caution *told = &answer->caution[i];
        if (told->kind == kind) {
            told->count++;
            told->value = value > told->value ? value : told->value;
            return;
        }
    }
    answer->caution[answer->cautions++] = (struct owl_wire_caution){kind, use, 1, value};
}

static bool is_wire(const struct owl_socket *socket)
{
    return socket && !owl_socket_is_air(socket);
}

/* A socket with works behind it, not the mere end of a wire. */
static bool has_works(const struct owl_thing *thing)
{
    return thing->isolates == OWL_YES || thing->kind == OWL_THING_FLASH;
}

static void mind_flash(struct owl_wire_answer *answer, int use, const struct owl_socket *in)
{
    caution(answer, OWL_CAUTION_CAPACITOR, use, NAN);
    if (!is_wire(in))
        return;
    if (isnan(in->presents_v))
        caution(answer, OWL_CAUTION_TRIGGER_UNKNOWN, use, NAN);
    else if (in->presents_v > OWL_SAFE_TRIGGER_V)
        caution(answer, OWL_CAUTION_TRIGGER_HIGH, use, in->presents_v);
}

static void mind_joint(struct owl_wire_answer *answer, int use, const struct owl_socket *in)
{
    const struct owl_thing *thing = answer->use[use].thing, *giver = answer->use[answer->use[use].from].thing;
    const struct owl_socket *out = &giver->socket[answer->use[use].out];
    if (!is_wire(in)) {
        if (in->kind == OWL_SOCKET_RADIO) {
            caution(answer, OWL_CAUTION_RADIO_MISS, use, thing->miss);
            caution(answer, OWL_CAUTION_RADIO_DRAIN, use, thing->standby_a);
        } else {
            caution(answer, OWL_CAUTION_LIGHT, use, NAN);
        }
        return;
    }
    if (has_works(giver) && isnan(out->bears_v))
        caution(answer, OWL_CAUTION_BEARS_UNKNOWN, answer->use[use].from, NAN);
    if (has_works(giver) && out->contact == OWL_CONTACT_OPTO && (out->polarity == 0 || in->polarity == 0))
        caution(answer, OWL_CAUTION_POLARITY, answer->use[use].from, NAN);
    if (has_works(thing) && owl_socket_is_stereo_jack(in) && (in->carries & OWL_RELEASE) && in->tip == OWL_TIP_OPEN)
        caution(answer, OWL_CAUTION_TIP, use, NAN);
}

void owl_wire_caution(struct owl_wire_answer *answer)
{
    for (int i = 0; i < answer->uses; i++) {
        const struct owl_wire_use *use = &answer->use[i];
        const struct owl_socket *in = use->in >= 0 ? &use->thing->socket[use->in] : NULL;
        if (use->thing->kind == OWL_THING_FLASH)
            mind_flash(answer, i, in);
        if (in)
            mind_joint(answer, i, in);
        if (use->thing->water < OWL_RAIN_WATER)
            caution(answer, OWL_CAUTION_WEATHER, i, NAN);
    }
    for (int i = 0; i < answer->buys; i++)
        for (int use = 0; answer->buy[i].count > 0 && answer->buy[i].each < 0 && use < answer->uses; use++)
            if (answer->use[use].thing == answer->buy[i].thing) {
                caution(answer, OWL_CAUTION_PRICE, use, NAN);
                break;
            }
}
