/* Why there is no wiring: each link is asked alone, then again with one rule set aside at a time. The rule without which it
   holds is what stands in the way. */
#include <math.h>
#include <string.h>

#include "shelf/wiring.h"

/* From the mildest to mend to the hardest. */
static const enum owl_refusal asked[] = {OWL_REFUSED_SHORT,    OWL_REFUSED_RANGE,    OWL_REFUSED_CHANNEL,
                                         OWL_REFUSED_DAYLIGHT, OWL_REFUSED_PREFLASH, OWL_REFUSED_TIP,
                                         OWL_REFUSED_CONTACT,  OWL_REFUSED_POLARITY, OWL_REFUSED_VOLTAGE};

static void swap_sites(double length_m[OWL_WIRE_SITES][OWL_WIRE_SITES], int one, int other)
{
    for (int i = 0; i < OWL_WIRE_SITES; i++) {
        double kept = length_m[i][one];
        length_m[i][one] = length_m[i][other];
        length_m[i][other] = kept;
    }
    for (int i = 0; i < OWL_WIRE_SITES; i++) {
        double kept = length_m[one][i];
        length_m[one][i] = length_m[other][i];
        length_m[other][i] = kept;
    }
}

/* The request for one link: -1 from sensor to camera, else from the camera to that flash. */
static struct owl_wire_request one_link(const struct owl_wire_request *request, int flash)
{
    struct owl_wire_request link = *request;
    link.flashes = 0;
    if (flash < 0)
        return link;
    link.sensor = NULL;
    link.flashes = 1;
    link.flash[0] = request->flash[flash];
    swap_sites(link.apart_m, OWL_AT_FLASH, OWL_AT_FLASH + flash);
    swap_sites(link.along_m, OWL_AT_FLASH, OWL_AT_FLASH + flash);
    return link;
}

/* ---- where it fails ---- */

static void blame_joint(struct owl_wire_obstacle *obstacle, const struct owl_wire_answer *answer, int use)
{
    obstacle->giver = answer->use[answer->use[use].from].thing;
    obstacle->taker = answer->use[use].thing;
    obstacle->out = answer->use[use].out;
    obstacle->in = answer->use[use].in;
}

/* The largest voltage laid on the wires against the smallest borne: with one link there is no other between. */
static void blame_voltage(struct owl_wire_obstacle *obstacle, const struct owl_wire_answer *answer)
{
    obstacle->value = 0.0;
    obstacle->limit = INFINITY;
    for (int i = 0; i < answer->uses; i++) {
        const struct owl_wire_use *use = &answer->use[i];
        for (int end = 0; i > 0 && end < 2; end++) {
            const struct owl_thing *thing = end == 0 ? use->thing : answer->use[use->from].thing;
            int place = end == 0 ? use->in : use->out;
            struct owl_net net = owl_net_of(&thing->socket[place]);
            if (net.presents_v > obstacle->value) {
                obstacle->value = net.presents_v;
                obstacle->taker = thing;
                obstacle->in = place;
            }
            if (net.bears_v < obstacle->limit) {
                obstacle->limit = net.bears_v;
                obstacle->giver = thing;
                obstacle->out = place;
            }
        }
    }
}

static void blame_length(const struct owl_wire_request *link, struct owl_wire_obstacle *obstacle,
                         const struct owl_wire_answer *answer)
{
    bool air = obstacle->refusal == OWL_REFUSED_RANGE;
    for (int i = 1; i < answer->uses; i++) {
        const struct owl_wire_use *use = &answer->use[i], *from = &answer->use[use->from];
        if (!from->stands || owl_socket_is_air(&use->thing->socket[use->in]) != air)
            continue;
        double have_m = air ? fmin(use->thing->range_m, from->thing->range_m) : use->hang_m;
        double need_m = air ? link->apart_m[use->site][from->site] : link->along_m[use->site][from->site];
        if (need_m <= have_m)
            continue;
        blame_joint(obstacle, answer, i);
        obstacle->value = have_m;
        obstacle->limit = need_m;
        return;
    }
}

static void blame(const struct owl_wire_request *link, struct owl_wire_obstacle *obstacle, const struct owl_wire_answer *answer)
{
    if (obstacle->refusal == OWL_REFUSED_VOLTAGE)
        blame_voltage(obstacle, answer);
    else if (obstacle->refusal == OWL_REFUSED_SHORT || obstacle->refusal == OWL_REFUSED_RANGE)
        blame_length(link, obstacle, answer);
    else
        for (int i = 1; i < answer->uses; i++) {
            const struct owl_wire_use *use = &answer->use[i];
            const struct owl_thing *giver = answer->use[use->from].thing;
            if (owl_fit(giver, use->out, use->thing, use->in, 0, link->by_day, 0) == obstacle->refusal) {
                blame_joint(obstacle, answer, i);
                return;
            }
        }
}

/* ---- link by link ---- */

static enum owl_status explain_link(const struct owl_wire_request *request, int flash, struct owl_wire_room *room,
                                    struct owl_wire_why *why)
{
    struct owl_wire_request link = one_link(request, flash);
    struct owl_wire_answer answer;
    enum owl_status status = owl_wire_find(&link, room, &answer);
    if (status != OWL_OK || answer.found)
        return status;
    struct owl_wire_obstacle *obstacle = &why->obstacle[why->obstacles++];
    *obstacle = (struct owl_wire_obstacle){.flash = flash, .refusal = OWL_REFUSED_PLUG, .out = -1, .in = -1,
                                           .value = NAN, .limit = NAN,
                                           .giver = flash < 0 ? request->sensor : request->camera,
                                           .taker = flash < 0 ? request->camera : request->flash[flash]};
    for (size_t i = 0; i < sizeof asked / sizeof *asked; i++) {
        link.aside = request->aside | 1u << asked[i];
        status = owl_wire_find(&link, room, &answer);
        if (status != OWL_OK)
            return status;
        if (answer.found) {
            obstacle->refusal = asked[i];
            blame(&link, obstacle, &answer);
            return OWL_OK;
        }
    }
    return OWL_OK;
}

static enum owl_status mend(const struct owl_wire_request *request, const struct owl_shelf *mending, struct owl_wire_room *room,
                            struct owl_wire_why *why)
{
    struct owl_wire_request richer = *request;
    if (!mending || request->shelves == OWL_WIRE_SHELVES)
        return OWL_OK;
    richer.shelf[richer.shelves] = mending;
    richer.may_buy[richer.shelves++] = true;
    enum owl_status status = owl_wire_find(&richer, room, &why->mend);
    why->mended = status == OWL_OK && why->mend.found;
    return status;
}

enum owl_status owl_wire_explain(const struct owl_wire_request *request, const struct owl_shelf *mending,
                                 struct owl_wire_room *room, struct owl_wire_why *why)
{
    why->obstacles = 0;
    why->mended = false;
    enum owl_status status = request->sensor ? explain_link(request, -1, room, why) : OWL_OK;
    for (int i = 0; i < request->flashes && status == OWL_OK; i++)
        status = explain_link(request, i, room, why);
    return status == OWL_OK ? mend(request, mending, room, why) : status;
}
