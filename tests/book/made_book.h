/* What the tests of the book keep in it: made cards whose every value tells where it belongs. */
#ifndef OWL_TESTS_MADE_BOOK_H
#define OWL_TESTS_MADE_BOOK_H

#include "book/book.h"

#define MADE_BOOK_FOLDER "/photos/2026/ford"

/* The book in a folder of the card room; the test fails where there is none. */
struct owl_book *made_book_open(const char *name);

/* A card of so many frames; `shift` tells one such card from another. For owl_judged_clear. */
struct owl_judged made_book_judged(int count, int shift);
extern const struct owl_book_judging made_book_how;

/* Keeps it in MADE_BOOK_FOLDER; checks that exactly it is kept there. */
enum owl_status made_book_keep(struct owl_book *book, int count, int shift, struct owl_error *error);
void made_book_check(struct owl_book *book, int count, int shift);

/* The number a statement gives for a file of the card room, by a connection of its own; -1 on failure. */
int made_book_ask(const char *file, const char *sql);

#endif
