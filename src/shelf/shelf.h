/* The shelf: the gear one owns or may buy, each thing with its sockets. Plain values: they own nothing and may be copied;
   a whole shelf is large, so keep it off the stack. owl_shelf_read (reader.h) fills it from a text. */
#ifndef OWL_SHELF_SHELF_H
#define OWL_SHELF_SHELF_H

#include <stdbool.h>
#include <stdint.h>

#include "core/plan/fields.h"

#define OWL_SHELF_THINGS 96
#define OWL_THING_SOCKETS 6
#define OWL_THING_NAME_BYTES 48
#define OWL_SHAPE_BYTES 32
#define OWL_SOURCE_BYTES 96

enum owl_thing_kind {
    OWL_THING_CAMERA,
    OWL_THING_SENSOR,
    OWL_THING_FLASH,
    OWL_THING_CABLE,
    OWL_THING_ADAPTER,
    OWL_THING_SPLITTER,
    OWL_THING_TRANSMITTER,
    OWL_THING_RECEIVER,
    OWL_THING_TRAIL_LIGHT,
    OWL_THING_OTHER,
    OWL_THING_KINDS
};

/* The names are those of trade and standards. */
enum owl_socket_kind {
    OWL_SOCKET_HOT_SHOE,  /* ISO 518 */
    OWL_SOCKET_PC_SYNC,   /* ISO 519 */
    OWL_SOCKET_JACK_25_MONO,
    OWL_SOCKET_JACK_25_STEREO,
    OWL_SOCKET_JACK_35_MONO,
    OWL_SOCKET_JACK_35_STEREO,
    OWL_SOCKET_JACK_635,
    OWL_SOCKET_FLASH_BUS, /* a multi-pin socket that carries sync and a maker's talk */
    OWL_SOCKET_RJ11,
    OWL_SOCKET_RJ12,
    OWL_SOCKET_RJ45,
    OWL_SOCKET_TERMINALS, /* two screws or bare wire ends */
    OWL_SOCKET_PORT,      /* a maker's own, known by its shape */
    OWL_SOCKET_RADIO,
    OWL_SOCKET_LIGHT,     /* one flash's light, seen by another's eye */
    OWL_SOCKET_KINDS
};

enum owl_socket_side { OWL_SIDE_NONE, OWL_SIDE_PLUG, OWL_SIDE_SOCKET };
enum owl_socket_way { OWL_WAY_IN = 1, OWL_WAY_OUT = 2, OWL_WAY_BOTH = 3 };

/* What a socket carries, as bits. Closing the focus contact also wakes a camera [common practice]. */
enum owl_signal { OWL_FOCUS = 1, OWL_RELEASE = 2, OWL_WAKE = 4, OWL_SYNC = 8, OWL_BUS = 16 };

enum owl_polarity { OWL_POLARITY_OPEN, OWL_CENTRE_PLUS, OWL_CENTRE_MINUS };
enum owl_contact { OWL_CONTACT_OPEN, OWL_CONTACT_DRY, OWL_CONTACT_OPTO, OWL_CONTACT_LIVE };
/* What lies on the tip of a stereo jack; the other of the two lies on the ring, the sleeve is common. */
enum owl_tip { OWL_TIP_OPEN, OWL_TIP_RELEASE, OWL_TIP_FOCUS };

struct owl_socket {
    char name[OWL_NAME_BYTES];
    int kind, side, way;
    unsigned carries;             /* of enum owl_signal */
    double presents_v, bears_v;   /* NaN: not stated */
    int polarity, contact, tip;
    char shape[OWL_SHAPE_BYTES];  /* of a port: `round 3-pin`; of a radio: its channel set */
    int channels;                 /* of a radio's channel set, 0 elsewhere */
};

struct owl_thing {
    char name[OWL_THING_NAME_BYTES], source[OWL_SOURCE_BYTES];
    int kind, origin;             /* enum owl_thing_kind, enum owl_origin */
    double owned;
    int64_t price;                /* hundredths of the shelf's currency; -1: not stated, cannot be bought */
    int solids, water;            /* IEC 60529 digits; -1: X or no code */
    double length_m, standby_a, supply_v, latency_s, miss, range_m; /* NaN: not stated */
    int by_day, ignores_preflash, preflash, isolates;               /* enum owl_yes_no */
    struct owl_socket socket[OWL_THING_SOCKETS];
    int sockets;
    unsigned feeds[OWL_THING_SOCKETS]; /* for each socket a signal may enter by, the sockets it leaves by, as bits */
    int line;
};

struct owl_shelf {
    struct owl_thing thing[OWL_SHELF_THINGS];
    int things;
    char currency[4]; /* ISO 4217; "" when nothing has a price */
};

/* The words a shelf file uses; NULL past the last. */
const char *owl_thing_kind_words(int kind);
const char *owl_socket_kind_words(int kind);
const char *owl_signal_words(int place); /* of the bit 1 << place */

/* A socket's kind and form as one says it: `2.5 mm stereo jack plug`, `hot shoe foot`, `round 3-pin port socket`. */
void owl_socket_show(const struct owl_socket *socket, struct owl_text *text);

bool owl_socket_is_air(const struct owl_socket *socket); /* radio and light: no wire, any number of listeners */
bool owl_socket_is_stereo_jack(const struct owl_socket *socket);

/* NULL when the shelf has no thing of the name (capitals do not matter). */
const struct owl_thing *owl_shelf_find(const struct owl_shelf *shelf, const char *name);

/* An amount of money: `12.50 EUR`. */
void owl_money_show(int64_t hundredths, const char *currency, struct owl_text *text);

#endif
