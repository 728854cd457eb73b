/* One use of the book: a transaction and the questions in it. The first thing that fails is told in words at once; whatever is
   asked after it does nothing, so that only the end has to look. For the book's own files. */
#ifndef OWL_BOOK_RUN_H
#define OWL_BOOK_RUN_H

#include <sqlite3.h>

#include "book/book.h"
#include "core/text.h"

struct owl_book {
    sqlite3 *database;
    char *directory;
};

struct owl_book_run {
    struct owl_book *book;    /* borrowed, as the error */
    struct owl_error *error;
    enum owl_status status;   /* of the first failure */
};

enum owl_book_use { OWL_BOOK_READS, OWL_BOOK_WRITES };

/* Who writes says so at the beginning: turning from reading to writing later could fail without waiting. */
struct owl_book_run owl_book_run_begin(struct owl_book *book, enum owl_book_use use, struct owl_error *error);

/* All of it is kept when nothing failed, else none. */
enum owl_status owl_book_run_end(struct owl_book_run *run) OWL_MUST_USE;

/* Statements without values. */
void owl_book_run_do(struct owl_book_run *run, const char *sql);

/* Failures that are not SQLite's: "the book in DIR ..." and the words, then the name, where there is one, as it can be shown. */
void owl_book_run_fail(struct owl_book_run *run, enum owl_status status, const char *words, const char *name);
void owl_book_run_no_memory(struct owl_book_run *run);
void owl_book_run_damaged(struct owl_book_run *run);

/* "the book in DIR", and what SQLite's code means; gives the status for it. */
void owl_book_show(const struct owl_book *book, struct owl_text *text);
enum owl_status owl_book_explain(const struct owl_book *book, int code, struct owl_error *error);

/* A question, asked once or many times. Values are put, and answers taken, from the first to the last. */
struct owl_book_query {
    struct owl_book_run *run; /* borrowed */
    sqlite3_stmt *statement;  /* NULL after a failure */
    int put, taken;
};

struct owl_book_query owl_book_ask(struct owl_book_run *run, const char *sql);
void owl_book_ask_end(struct owl_book_query *query);

/* NaN and NULL are put as nothing. Bytes and words must live until the question is done. */
void owl_book_put_integer(struct owl_book_query *query, int64_t value);
void owl_book_put_real(struct owl_book_query *query, double value);
void owl_book_put_words(struct owl_book_query *query, const char *words);
void owl_book_put_bytes(struct owl_book_query *query, const void *bytes, size_t count);
void owl_book_put_name(struct owl_book_query *query, const char *name); /* its bytes, without the NUL */

/* Whether there is a next answer; after the last the question can be put again. */
bool owl_book_row(struct owl_book_query *query);

/* For what has no answers. */
void owl_book_do(struct owl_book_query *query);

/* The next value of the answer; words live until the next one, NULL where nothing is. */
int64_t owl_book_take_integer(struct owl_book_query *query);
int owl_book_take_int(struct owl_book_query *query);
double owl_book_take_real(struct owl_book_query *query);
const char *owl_book_take_words(struct owl_book_query *query);
char *owl_book_take_name(struct owl_book_query *query); /* from malloc; NULL after a failure, which is noted */

/* Puts several words into one block: room for them all, then one after the other. */
size_t owl_book_words_bytes(const char *words);
const char *owl_book_words_into(char **block, const char *words);

#endif
