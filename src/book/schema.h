/* The forms the book's file has had, and the steps from each to the next. For the book's own files. */
#ifndef OWL_BOOK_SCHEMA_H
#define OWL_BOOK_SCHEMA_H

#include "book/run.h"

/* Our application_id in the file's header: a file with another is not ours [sqlite-format]. */
#define OWL_BOOK_APPLICATION 1331121250 /* "OWLb" */

/* Statements that bring a book of one form to the next; run in one transaction. */
struct owl_book_step {
    const char *sql;
};

/* From an empty file up: after step[n] the book has form n + 1, the file's user_version. */
struct owl_book_steps {
    const struct owl_book_step *step;
    int count;
};

struct owl_book_steps owl_book_steps(void);

/* Refuses a file of another program or of a newer form by a look that leaves no trace: OWL_CANNOT_READ. OWL_OK for all else, a
   damaged file too: opening will tell. uri: of the file, without parameters. */
enum owl_status owl_book_look(const struct owl_book *book, const char *uri, int forms, struct owl_error *error) OWL_MUST_USE;

/* Brings an open book to the last form. Each step is kept whole or not at all. */
enum owl_status owl_book_bring_up(struct owl_book *book, struct owl_book_steps steps, struct owl_error *error) OWL_MUST_USE;

#endif
