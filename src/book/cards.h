/* Cards by their folders. For the book's own files. */
#ifndef OWL_BOOK_CARDS_H
#define OWL_BOOK_CARDS_H

#include "book/run.h"

/* A folder's name as the book has it: slashes at the end do not count. OWL_BAD_USE is noted for one that is not absolute. */
void owl_book_put_folder(struct owl_book_query *query, const char *folder);

/* The card's number in the book; 0: there is none, or a failure, which is noted. */
int64_t owl_book_card_of(struct owl_book_run *run, const char *folder);

/* Enters the card where it is new; its number, 0 after a failure, which is noted. */
int64_t owl_book_enter_card(struct owl_book_run *run, const char *folder);

#endif
