/* Words of the user's own made fit to leave the program. Pure text. */
#ifndef OWL_SHEET_CLEAN_H
#define OWL_SHEET_CLEAN_H

#include "core/text.h"

struct owl_character {
    size_t bytes; /* 0: none begins here */
    uint32_t code;
};

/* The character of UTF-8 that words begin with, shortest form only [rfc3629]; stops at the end of the words by itself, as NUL
   continues nothing. */
struct owl_character owl_clean_character(const char *words);

/* Adds the words as sound UTF-8 [rfc3629] on one line: control characters become blanks, bytes that are no character, and the
   two characters XML does not allow, become U+FFFD. */
void owl_clean_words(struct owl_text *text, const char *words);

#endif
