/* The rules two sockets must keep, asked in the order one would in the field: does it fit, does it work, is it safe. */
#include "shelf/fit.h"

#include <math.h>
#include <string.h>

static const char *const refusal_words[OWL_REFUSALS] = {
    [OWL_JOINS] = "it joins",
    [OWL_REFUSED_PLUG] = "the plug does not fit the socket",
    [OWL_REFUSED_SET] = "the two radios are not of one set",
    [OWL_REFUSED_WAY] = "both ends give the signal, or both take it",
    [OWL_REFUSED_SIGNAL] = "the signal needed is not carried",
    [OWL_REFUSED_TIP] = "tip and ring are the other way round",
    [OWL_REFUSED_VOLTAGE] = "the voltage is more than the other end bears",
    [OWL_REFUSED_POLARITY] = "plus and minus are the other way round",
    [OWL_REFUSED_CONTACT] = "one end closes a contact, the other wants a voltage",
    [OWL_REFUSED_DAYLIGHT] = "daylight fools or blinds the eye that should see the flash",
    [OWL_REFUSED_PREFLASH] = "a pre-flash would set it off too early",
    [OWL_REFUSED_SHORT] = "the cable is too short",
    [OWL_REFUSED_RANGE] = "it is too far through the air",
    [OWL_REFUSED_CHANNEL] = "there are too few channels to keep the senders apart",
};

const char *owl_refusal_words(enum owl_refusal refusal)
{
    return refusal_words[refusal];
}

struct owl_net owl_net_of(const struct owl_socket *socket)
{
    struct owl_net net = {.presents_v = isnan(socket->presents_v) ? 0.0 : socket->presents_v,
                          .bears_v = isnan(socket->bears_v) ? (double)INFINITY : socket->bears_v,
                          .polarity = socket->polarity,
                          .contact = socket->contact == OWL_CONTACT_OPTO ? OWL_CONTACT_DRY : socket->contact};
    if (owl_socket_is_air(socket))
        return (struct owl_net){.bears_v = (double)INFINITY};
    return net;
}

static bool clash(int one, int other)
{
    return one != 0 && other != 0 && one != other;
}

/* Every socket bears what it presents itself (the reader sees to that), so the most presented against the least borne
   over a whole wire says the same as each end against each other. */
enum owl_refusal owl_net_join(struct owl_net *net, const struct owl_net *other, unsigned aside)
{
    struct owl_net sum = {fmax(net->presents_v, other->presents_v), fmin(net->bears_v, other->bears_v),
                          net->polarity ? net->polarity : other->polarity, net->contact ? net->contact : other->contact};
    if (sum.presents_v > sum.bears_v && !(aside & 1u << OWL_REFUSED_VOLTAGE))
        return OWL_REFUSED_VOLTAGE;
    if (clash(net->polarity, other->polarity) && !(aside & 1u << OWL_REFUSED_POLARITY))
        return OWL_REFUSED_POLARITY;
    if (clash(net->contact, other->contact) && !(aside & 1u << OWL_REFUSED_CONTACT))
        return OWL_REFUSED_CONTACT;
    *net = sum;
    return OWL_JOINS;
}

/* A mono and a stereo jack of one size go into each other; ring and sleeve are then one, which holds focus closed: only
   harmless where sync is all there is. */
static bool kinds_mate(const struct owl_socket *one, const struct owl_socket *other)
{
    if (one->kind == other->kind)
        return one->kind != OWL_SOCKET_PORT || strcmp(one->shape, other->shape) == 0;
    int low = one->kind < other->kind ? one->kind : other->kind, high = one->kind + other->kind - low;
    bool one_size = high == low + 1 && (low == OWL_SOCKET_JACK_25_MONO || low == OWL_SOCKET_JACK_35_MONO);
    return one_size && one->carries == OWL_SYNC && other->carries == OWL_SYNC;
}

static enum owl_refusal fit_air(const struct owl_thing *giver, const struct owl_socket *out, const struct owl_thing *taker,
                                const struct owl_socket *in, bool by_day, unsigned aside)
{
    if (out->kind == OWL_SOCKET_RADIO)
        return strcmp(out->shape, in->shape) == 0 ? OWL_JOINS : OWL_REFUSED_SET;
    if (by_day && taker->by_day == OWL_NO && !(aside & 1u << OWL_REFUSED_DAYLIGHT))
        return OWL_REFUSED_DAYLIGHT;
    if (giver->preflash == OWL_YES && taker->ignores_preflash == OWL_NO && !(aside & 1u << OWL_REFUSED_PREFLASH))
        return OWL_REFUSED_PREFLASH;
    return OWL_JOINS;
}

enum owl_refusal owl_fit(const struct owl_thing *giver, int out, const struct owl_thing *taker, int in, unsigned signals,
                         bool by_day, unsigned aside)
{
    const struct owl_socket *from = &giver->socket[out], *to = &taker->socket[in];
    struct owl_net net = owl_net_of(from), other = owl_net_of(to);
    if (!kinds_mate(from, to) || (!owl_socket_is_air(from) && from->side == to->side))
        return OWL_REFUSED_PLUG;
    if (!(from->way & OWL_WAY_OUT) || !(to->way & OWL_WAY_IN))
        return OWL_REFUSED_WAY;
    if ((from->carries & signals) != signals || (to->carries & signals) != signals)
        return OWL_REFUSED_SIGNAL;
    if (owl_socket_is_air(from))
        return fit_air(giver, from, taker, to, by_day, aside);
    if (clash(from->tip, to->tip) && !(aside & 1u << OWL_REFUSED_TIP))
        return OWL_REFUSED_TIP;
    return owl_net_join(&net, &other, aside);
}
