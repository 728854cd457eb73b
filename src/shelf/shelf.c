/* The words of the shelf, and looking things up on it. */
#include "shelf/shelf.h"

static const char *const thing_words[] = {"camera",      "sensor",   "flash",       "cable", "adapter", "splitter",
                                          "transmitter", "receiver", "trail light", "other"};
static const char *const socket_words[] = {
    "hot shoe", "PC sync",   "2.5 mm mono jack", "2.5 mm stereo jack", "3.5 mm mono jack", "3.5 mm stereo jack", "6.35 mm jack",
    "flash bus", "RJ-11",    "RJ-12",            "RJ-45",              "terminals",        "port",               "radio",
    "light"};
static const char *const signal_words[] = {"focus", "release", "wake", "sync", "flash bus"};

#define WORD_AT(words, place) \
    ((place) >= 0 && (size_t)(place) < sizeof(words) / sizeof *(words) ? (words)[place] : NULL)

const char *owl_thing_kind_words(int kind)
{
    return WORD_AT(thing_words, kind);
}

const char *owl_socket_kind_words(int kind)
{
    return WORD_AT(socket_words, kind);
}

const char *owl_signal_words(int place)
{
    return WORD_AT(signal_words, place);
}

void owl_socket_show(const struct owl_socket *socket, struct owl_text *text)
{
    if (socket->kind == OWL_SOCKET_PORT) {
        owl_text_words(text, socket->shape);
        owl_text_char(text, ' ');
    }
    owl_text_words(text, owl_socket_kind_words(socket->kind));
    if (socket->side == OWL_SIDE_PLUG)
        owl_text_words(text, socket->kind == OWL_SOCKET_HOT_SHOE ? " foot" : " plug");
    if (socket->side == OWL_SIDE_SOCKET && socket->kind != OWL_SOCKET_HOT_SHOE)
        owl_text_words(text, " socket");
}

bool owl_socket_is_air(const struct owl_socket *socket)
{
    return socket->kind == OWL_SOCKET_RADIO || socket->kind == OWL_SOCKET_LIGHT;
}

bool owl_socket_is_stereo_jack(const struct owl_socket *socket)
{
    return socket->kind == OWL_SOCKET_JACK_25_STEREO || socket->kind == OWL_SOCKET_JACK_35_STEREO;
}

const struct owl_thing *owl_shelf_find(const struct owl_shelf *shelf, const char *name)
{
    for (int i = 0; i < shelf->things; i++)
        if (owl_text_same_name(shelf->thing[i].name, name))
            return &shelf->thing[i];
    return NULL;
}

void owl_money_show(int64_t hundredths, const char *currency, struct owl_text *text)
{
    owl_text_fixed(text, (double)hundredths / 100.0, hundredths % 100 ? 2 : 0);
    owl_text_char(text, ' ');
    owl_text_words(text, currency);
}
