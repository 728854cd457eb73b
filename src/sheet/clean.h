/* Words of the user's own made fit to leave the program. Pure text. */
#ifndef OWL_SHEET_CLEAN_H
#define OWL_SHEET_CLEAN_H

#include "core/text.h"

/* Adds the words as sound UTF-8 [rfc3629] on one line: control characters become blanks, bytes that are no character, and the
   two characters XML does not allow, become U+FFFD. */
void owl_clean_words(struct owl_text *text, const char *words);

#endif
