/* Whether two sockets join, and if not, why. Pure look-ups over two things; nothing is owned. */
#ifndef OWL_SHELF_FIT_H
#define OWL_SHELF_FIT_H

#include "shelf/shelf.h"

/* In the order they are asked; each can be set aside as a bit 1 << refusal. */
enum owl_refusal {
    OWL_JOINS,
    OWL_REFUSED_PLUG,     /* it does not fit */
    OWL_REFUSED_SET,      /* a radio of another set */
    OWL_REFUSED_WAY,      /* two ends that both give, or both take */
    OWL_REFUSED_SIGNAL,   /* the signal is not carried */
    OWL_REFUSED_TIP,      /* tip and ring the other way round */
    OWL_REFUSED_VOLTAGE,  /* more volts than the other end bears */
    OWL_REFUSED_POLARITY,
    OWL_REFUSED_CONTACT,  /* a closing contact where a voltage is wanted, or the other way */
    OWL_REFUSED_DAYLIGHT, /* an eye for light that daylight blinds or fools */
    OWL_REFUSED_PREFLASH, /* an eye for light that a pre-flash fools */
    OWL_REFUSED_SHORT,    /* the cable does not reach */
    OWL_REFUSED_RANGE,    /* too far through the air */
    OWL_REFUSED_CHANNEL,  /* more senders than channels: each would set off the other's receivers */
    OWL_REFUSALS
};

/* As an end of a sentence: `the plug does not fit the socket`. */
const char *owl_refusal_words(enum owl_refusal refusal);

/* What a wire carries between the two ends that are not mere wire: volts laid on it and borne, and what is asked of it. */
struct owl_net {
    double presents_v, bears_v; /* 0 and infinity when nothing is stated */
    int polarity, contact;      /* enum owl_polarity, enum owl_contact; opto counts as dry */
};

struct owl_net owl_net_of(const struct owl_socket *socket);

/* Adds what one wire end brings to a net; what is wrong then, rules set aside not asked. */
enum owl_refusal owl_net_join(struct owl_net *net, const struct owl_net *other, unsigned aside);

/* Whether socket `out` of the giver joins socket `in` of the taker and both carry all the signals (bits). Looks at the
   two alone: length, range, channels and what hangs on the wire further on are the search's to see. */
enum owl_refusal owl_fit(const struct owl_thing *giver, int out, const struct owl_thing *taker, int in, unsigned signals,
                         bool by_day, unsigned aside);

#endif
