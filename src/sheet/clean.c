/* One character after the other, the unsound ones replaced. */
#include "sheet/clean.h"

#define REPLACEMENT "\xEF\xBF\xBD" /* U+FFFD */
#define DELETE 0x7Fu
#define LAST_OF_CONTROLS 0x9Fu /* the second set of them runs from DELETE to here */

struct character {
    size_t bytes; /* 0: none begins here */
    uint32_t code;
};

/* Shortest form only; stops at the end of the words by itself, as NUL continues nothing. */
static struct character character_at(const unsigned char *words)
{
    static const uint32_t least[5] = {0, 0, 0x80, 0x800, 0x10000};
    size_t bytes = words[0] < 0x80 ? 1 : words[0] >= 0xF0 ? 4 : words[0] >= 0xE0 ? 3 : words[0] >= 0xC0 ? 2 : 0;
    if (bytes < 2 || words[0] >= 0xF8)
        return (struct character){bytes == 1, words[0]};
    uint32_t code = words[0] & (0xFFu >> (bytes + 1));
    for (size_t i = 1; i < bytes; i++) {
        if ((words[i] & 0xC0u) != 0x80u)
            return (struct character){0, 0};
        code = code << 6 | (words[i] & 0x3Fu);
    }
    bool surrogate = code >= 0xD800 && code < 0xE000, no_xml = code == 0xFFFE || code == 0xFFFF;
    return (struct character){code < least[bytes] || surrogate || no_xml || code > 0x10FFFF ? 0 : bytes, code};
}

void owl_clean_words(struct owl_text *text, const char *words)
{
    const unsigned char *at = (const unsigned char *)words;
    while (*at) {
        struct character character = character_at(at);
        if (character.bytes == 0)
            owl_text_words(text, REPLACEMENT);
        else if (character.code < 0x20 || (character.code >= DELETE && character.code <= LAST_OF_CONTROLS))
            owl_text_char(text, ' ');
        else
            owl_text_bytes(text, (const char *)at, character.bytes);
        at += character.bytes > 0 ? character.bytes : 1;
    }
}
