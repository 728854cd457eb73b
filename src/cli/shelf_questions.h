/* A thing described by answering questions from its manual. */
#ifndef OWL_CLI_SHELF_QUESTIONS_H
#define OWL_CLI_SHELF_QUESTIONS_H

#include "core/text.h"
#include "shelf/reader.h"

#define OWL_SHELF_TEXT_BYTES ((size_t)OWL_SHELF_BYTES + 16384)

/* Asks on the terminal, reads answers line by line, asks again where one is wrong, and adds the thing's lines to text. shelf: what
   is there already, so that no name is given twice. The exit status; wrong where the answers end too soon. */
int owl_shelf_ask(const struct owl_shelf *shelf, struct owl_text *text);

#endif
