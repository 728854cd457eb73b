/* The sentence of a socket, taken apart phrase by phrase, and the leads between sockets. */
#include <math.h>
#include <string.h>

#include "shelf/reading.h"

#define MOST_VOLTS 1000.0
#define MOST_CHANNELS 1000.0

/* The phrases that stand for one value each. */
static const struct phrase {
    const char *words;
    size_t offset;
    int value;
} phrases[] = {
    {"centre plus", offsetof(struct owl_socket, polarity), OWL_CENTRE_PLUS},
    {"centre minus", offsetof(struct owl_socket, polarity), OWL_CENTRE_MINUS},
    {"dry contact", offsetof(struct owl_socket, contact), OWL_CONTACT_DRY},
    {"opto contact", offsetof(struct owl_socket, contact), OWL_CONTACT_OPTO},
    {"live", offsetof(struct owl_socket, contact), OWL_CONTACT_LIVE},
    {"tip release", offsetof(struct owl_socket, tip), OWL_TIP_RELEASE},
    {"tip focus", offsetof(struct owl_socket, tip), OWL_TIP_FOCUS},
};
#define PHRASES ((int)(sizeof phrases / sizeof *phrases))

static const char *phrase_words(int place)
{
    static const char *const open[] = {"takes SIGNALS", "gives SIGNALS", "passes SIGNALS", "presents 5 V", "bears 24 V",
                                       "set WORDS",     "16 channels"};
    if (place < PHRASES)
        return phrases[place].words;
    return place - PHRASES < (int)(sizeof open / sizeof *open) ? open[place - PHRASES] : NULL;
}

/* Takes the first word off a span when it is the one asked for. */
static bool take_word(struct owl_span *span, const char *word)
{
    struct owl_span rest = *span, first = owl_shelf_take(&rest, ' ');
    if (!owl_shelf_span_is(first, word))
        return false;
    *span = owl_span_trimmed(rest);
    return true;
}

/* Takes the last word off a span when it is the one asked for. */
static bool take_last(struct owl_span *span, const char *word)
{
    size_t length = strlen(word);
    if ((size_t)(span->end - span->start) <= length || span->end[-(ptrdiff_t)length - 1] != ' ' ||
        !owl_shelf_span_is((struct owl_span){span->end - length, span->end}, word))
        return false;
    *span = owl_span_trimmed((struct owl_span){span->start, span->end - length});
    return true;
}

static bool copy_shape(struct owl_shelf_reading *reading, struct owl_span words, char shape[OWL_SHAPE_BYTES])
{
    char plain[OWL_READ_NAME_BYTES] = "";
    if (words.start < words.end && owl_span_name(words, plain) && strlen(plain) < OWL_SHAPE_BYTES) {
        memcpy(shape, plain, strlen(plain) + 1);
        return true;
    }
    struct owl_text text = owl_shelf_complain(reading, words);
    owl_text_words(&text, "this needs one to 31 letters, such as 'round 3-pin port' or 'set plain 2.4 GHz'");
    return false;
}

/* `hot shoe foot`, `2.5 mm mono jack plug`, `flat 5-contact port socket`, `radio`. */
static bool read_kind(struct owl_shelf_reading *reading, struct owl_span phrase, struct owl_socket *socket)
{
    struct owl_span words = phrase;
    bool plug = take_last(&words, "plug") || take_last(&words, "foot");
    bool hollow = !plug && take_last(&words, "socket");
    int kind = -1;
    for (int i = 0; i < OWL_SOCKET_KINDS; i++)
        if (owl_shelf_span_is(words, owl_socket_kind_words(i)))
            kind = i;
    struct owl_span shape = words;
    if (kind < 0 && take_last(&shape, "port"))
        kind = OWL_SOCKET_PORT;
    if (kind < 0 || (kind == OWL_SOCKET_PORT && shape.end == words.end)) {
        struct owl_text text = owl_shelf_complain(reading, phrase);
        owl_text_words(&text, "no socket is of the kind ");
        owl_span_quote(&text, words);
        owl_shelf_suggest(&text, words, owl_socket_kind_words);
        return false;
    }
    socket->kind = kind;
    if (kind == OWL_SOCKET_PORT && !copy_shape(reading, shape, socket->shape))
        return false;
    if (owl_socket_is_air(socket))
        return true;
    socket->side = plug ? OWL_SIDE_PLUG : hollow || kind == OWL_SOCKET_HOT_SHOE ? OWL_SIDE_SOCKET : OWL_SIDE_NONE;
    if (socket->side != OWL_SIDE_NONE)
        return true;
    struct owl_text text = owl_shelf_complain(reading, phrase);
    owl_text_words(&text, "is this the plug or the socket? '");
    owl_text_bytes(&text, words.start, (size_t)(words.end - words.start < 40 ? words.end - words.start : 40));
    owl_text_words(&text, " socket' would be right for one in a housing");
    return false;
}

/* Signals joined by `and`. */
static bool read_signals(struct owl_shelf_reading *reading, struct owl_span words, int way, struct owl_socket *socket)
{
    struct owl_span rest = words;
    while (rest.start < rest.end) {
        const char *stop = rest.end;
        for (const char *c = rest.start; rest.end - c >= 5 && stop == rest.end; c++)
            if (memcmp(c, " and ", 5) == 0)
                stop = c;
        struct owl_span one = owl_span_trimmed((struct owl_span){rest.start, stop});
        int found = -1;
        for (int i = 0; owl_signal_words(i); i++)
            if (owl_shelf_span_is(one, owl_signal_words(i)))
                found = i;
        if (found < 0) {
            struct owl_text text = owl_shelf_complain(reading, one);
            owl_text_words(&text, "no signal is called ");
            owl_span_quote(&text, one);
            owl_shelf_suggest(&text, one, owl_signal_words);
            return false;
        }
        socket->carries |= 1u << found;
        rest.start = stop == rest.end ? rest.end : stop + 5;
    }
    if (socket->carries & OWL_FOCUS)
        socket->carries |= OWL_WAKE;
    socket->way |= way;
    return true;
}

static bool read_phrase(struct owl_shelf_reading *reading, struct owl_span phrase, struct owl_socket *socket)
{
    struct owl_span words = phrase;
    double channels = 0.0;
    if (take_word(&words, "takes"))
        return read_signals(reading, words, OWL_WAY_IN, socket);
    if (take_word(&words, "gives"))
        return read_signals(reading, words, OWL_WAY_OUT, socket);
    if (take_word(&words, "passes"))
        return read_signals(reading, words, OWL_WAY_BOTH, socket);
    if (take_word(&words, "presents"))
        return owl_shelf_read_number(reading, words, "presents", OWL_UNIT_VOLTAGE, 0, MOST_VOLTS, &socket->presents_v);
    if (take_word(&words, "bears"))
        return owl_shelf_read_number(reading, words, "bears", OWL_UNIT_VOLTAGE, 0, MOST_VOLTS, &socket->bears_v);
    if (take_word(&words, "set"))
        return copy_shape(reading, words, socket->shape);
    if (take_last(&words, "channels") || take_last(&words, "channel")) {
        bool well = owl_shelf_read_number(reading, words, "channels", OWL_UNIT_COUNT, 1, MOST_CHANNELS, &channels);
        socket->channels = (int)channels;
        return well;
    }
    for (int i = 0; i < PHRASES; i++) {
        if (owl_shelf_span_is(phrase, phrases[i].words)) {
            *(int *)((char *)socket + phrases[i].offset) = phrases[i].value;
            return true;
        }
    }
    struct owl_text text = owl_shelf_complain(reading, phrase);
    owl_text_words(&text, "a socket is not told by ");
    owl_span_quote(&text, phrase);
    owl_shelf_suggest(&text, phrase, phrase_words);
    return false;
}

static bool check_socket(struct owl_shelf_reading *reading, struct owl_span sentence, struct owl_socket *socket)
{
    const char *wrong = NULL;
    if (socket->way == 0)
        wrong = "this socket carries nothing; a phrase such as 'takes sync', 'gives release' or 'passes sync' would be right";
    else if (socket->presents_v > socket->bears_v)
        wrong = "this socket presents more than it bears; bearing at least as much would be right";
    else if (socket->kind == OWL_SOCKET_RADIO && (socket->shape[0] == '\0' || socket->channels == 0))
        wrong = "a radio is heard only by its own set; phrases such as 'set plain 2.4 GHz, 16 channels' would be right";
    else if (socket->tip != OWL_TIP_OPEN && !owl_socket_is_stereo_jack(socket))
        wrong = "only a stereo jack has a tip beside a ring; without this phrase it would be right";
    if (wrong) {
        struct owl_text text = owl_shelf_complain(reading, sentence);
        owl_text_words(&text, wrong);
    }
    return wrong == NULL;
}

static bool name_free(struct owl_shelf_reading *reading, struct owl_span name, char plain[OWL_READ_NAME_BYTES])
{
    struct owl_thing *thing = reading->thing;
    struct owl_text text;
    if (name.start == name.end || !owl_span_name(name, plain) || strlen(plain) >= OWL_NAME_BYTES) {
        text = owl_shelf_complain(reading, name.start < name.end ? name : reading->line);
        owl_text_words(&text, "a socket needs a name of at most 23 letters, such as 'socket one = PC sync plug, passes sync'");
        return false;
    }
    for (int i = 0; i < thing->sockets; i++) {
        if (strcmp(thing->socket[i].name, plain) == 0) {
            text = owl_shelf_complain(reading, name);
            owl_text_words(&text, "this thing has a socket of that name on line ");
            owl_text_integer(&text, reading->socket_line[i]);
            owl_text_words(&text, "; another name would be right");
            return false;
        }
    }
    if (thing->sockets == OWL_THING_SOCKETS) {
        text = owl_shelf_complain(reading, name);
        owl_text_words(&text, "at most 6 sockets can be told of one thing; those not needed can go");
        return false;
    }
    return true;
}

void owl_shelf_read_socket(struct owl_shelf_reading *reading, struct owl_span name, struct owl_span sentence)
{
    struct owl_socket socket = {.presents_v = NAN, .bears_v = NAN};
    char plain[OWL_READ_NAME_BYTES] = "";
    struct owl_span rest = sentence;
    bool well = name_free(reading, name, plain);
    well = read_kind(reading, owl_shelf_take(&rest, ','), &socket) && well;
    while (rest.start < rest.end)
        well = read_phrase(reading, owl_shelf_take(&rest, ','), &socket) && well;
    if (!well || !check_socket(reading, sentence, &socket)) {
        reading->sockets_misread = true;
        return;
    }
    memcpy(socket.name, plain, strlen(plain) + 1);
    reading->socket_line[reading->thing->sockets] = reading->number;
    reading->thing->socket[reading->thing->sockets++] = socket;
}

/* ---- leads ---- */

static int socket_place(const struct owl_thing *thing, struct owl_span name)
{
    for (int i = 0; i < thing->sockets; i++)
        if (owl_shelf_span_is(name, thing->socket[i].name))
            return i;
    return -1;
}

static bool find_end(struct owl_shelf_reading *reading, struct owl_span name, int way, int *place)
{
    const struct owl_thing *thing = reading->thing;
    *place = socket_place(thing, name);
    if (*place >= 0 && (thing->socket[*place].way & way))
        return true;
    struct owl_text text = owl_shelf_complain(reading, name.start < name.end ? name : reading->leads);
    const char *wrong_way = way == OWL_WAY_IN ? "nothing enters by " : "nothing leaves by ";
    owl_text_words(&text, *place < 0 ? "this thing has no socket " : wrong_way);
    owl_span_quote(&text, name);
    owl_text_words(&text, "; 'leads = IN to OUT' with the names of two of its sockets would be right");
    return false;
}

/* Whether a signal that enters by `from` comes to leave by `to`, through any number of leads. */
static bool leads_on(const struct owl_thing *thing, int from, int to)
{
    unsigned reached = 1u << from;
    for (int round = 0; round < thing->sockets; round++)
        for (int i = 0; i < thing->sockets; i++)
            if (reached & 1u << i)
                reached |= thing->feeds[i];
    return (reached & 1u << to) != 0;
}

static void read_lead(struct owl_shelf_reading *reading, struct owl_span lead)
{
    struct owl_span from = lead, to = {lead.end, lead.end};
    for (const char *c = lead.start; lead.end - c >= 4 && to.start == to.end; c++) {
        if (memcmp(c, " to ", 4) == 0) {
            from = owl_span_trimmed((struct owl_span){lead.start, c});
            to = owl_span_trimmed((struct owl_span){c + 4, lead.end});
        }
    }
    int in = -1, out = -1;
    if (!find_end(reading, from, OWL_WAY_IN, &in) || !find_end(reading, to, OWL_WAY_OUT, &out))
        return;
    if (leads_on(reading->thing, out, in)) {
        struct owl_text text = owl_shelf_complain(reading, lead);
        owl_text_words(&text, "the signal would go round in a circle; one lead, from where it enters to where it leaves, "
                              "would be right");
        return;
    }
    reading->thing->feeds[in] |= 1u << out;
}

/* A cable's two ends both pass: each leads to the other, which is no circle, for it is laid one way. */
static void lead_everywhere(struct owl_thing *thing)
{
    for (int in = 0; in < thing->sockets; in++)
        for (int out = 0; out < thing->sockets; out++)
            if (in != out && (thing->socket[in].way & OWL_WAY_IN) && (thing->socket[out].way & OWL_WAY_OUT))
                thing->feeds[in] |= 1u << out;
}

static bool isolates_by_kind(int kind)
{
    return kind != OWL_THING_CABLE && kind != OWL_THING_ADAPTER && kind != OWL_THING_SPLITTER && kind != OWL_THING_FLASH;
}

void owl_shelf_read_leads(struct owl_shelf_reading *reading)
{
    struct owl_thing *thing = reading->thing;
    if (thing->isolates < 0)
        thing->isolates = isolates_by_kind(thing->kind);
    if (reading->leads_line == 0) {
        lead_everywhere(thing);
        return;
    }
    if (reading->sockets_misread)
        return; /* the wrong sentence is told already */
    int number = reading->number;
    struct owl_span line = reading->line, rest = reading->leads;
    reading->number = reading->leads_line;
    reading->line = reading->leads_in;
    while (rest.start < rest.end)
        read_lead(reading, owl_shelf_take(&rest, ','));
    reading->number = number;
    reading->line = line;
}
