/* One character after the other, the unsound ones replaced. */
#include "sheet/clean.h"

#define REPLACEMENT "\xEF\xBF\xBD" /* U+FFFD */
#define DELETE 0x7Fu
#define LAST_OF_CONTROLS 0x9Fu /* the second set of them runs from DELETE to here */

struct owl_character owl_clean_character(const char *words)
{
    static const uint32_t least[5] = {0, 0, 0x80, 0x800, 0x10000};
    const unsigned char *at = (const unsigned char *)words;
    size_t bytes = at[0] < 0x80 ? 1 : at[0] >= 0xF0 ? 4 : at[0] >= 0xE0 ? 3 : at[0] >= 0xC0 ? 2 : 0;
    if (bytes < 2 || at[0] >= 0xF8)
        return (struct owl_character){bytes == 1, at[0]};
    uint32_t code = at[0] & (0xFFu >> (bytes + 1));
    for (size_t i = 1; i < bytes; i++) {
        if ((at[i] & 0xC0u) != 0x80u)
            return (struct owl_character){0, 0};
        code = code << 6 | (at[i] & 0x3Fu);
    }
    bool surrogate = code >= 0xD800 && code < 0xE000;
    return (struct owl_character){code < least[bytes] || surrogate || code > 0x10FFFF ? 0 : bytes, code};
}

void owl_clean_words(struct owl_text *text, const char *words)
{
    while (*words) {
        struct owl_character character = owl_clean_character(words);
        bool sound = character.bytes > 0 && character.code != 0xFFFE && character.code != 0xFFFF;
        if (!sound)
            owl_text_words(text, REPLACEMENT);
        else if (character.code < 0x20 || (character.code >= DELETE && character.code <= LAST_OF_CONTROLS))
            owl_text_char(text, ' ');
        else
            owl_text_bytes(text, words, character.bytes);
        words += sound ? character.bytes : 1;
    }
}
