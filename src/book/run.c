/* Transactions, questions, and SQLite's failures in words. */
#include "book/run.h"

#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "card/calls.h"
#include "card/tree.h"

#define PATH_SHOWN 240 /* bytes of a long path, so that what is said about it still has room */

/* ---- failures ---- */

void owl_book_show(const struct owl_book *book, struct owl_text *text)
{
    size_t length = strlen(book->directory);
    owl_text_words(text, "the book in ");
    if (length > PATH_SHOWN)
        owl_text_words(text, "...");
    owl_tree_show(text, book->directory + (length > PATH_SHOWN ? length - PATH_SHOWN : 0));
}

/* What went wrong below SQLite, where the system told. */
static void tell_reason(const struct owl_book *book, struct owl_text *text)
{
    int trouble = book->database ? sqlite3_system_errno(book->database) : 0;
    if (trouble == 0)
        return;
    owl_text_words(text, ": ");
    owl_calls_reason(text, trouble);
}

enum owl_status owl_book_explain(const struct owl_book *book, int code, struct owl_error *error)
{
    static const struct {
        int code;
        enum owl_status status;
        bool reason;
        const char *words;
    } meanings[] = {
        {SQLITE_BUSY, OWL_CANNOT_WRITE, false, " is in use by another program; try again when that has finished"},
        {SQLITE_LOCKED, OWL_CANNOT_WRITE, false, " is in use by another part of this program; try again"},
        {SQLITE_NOTADB, OWL_CANNOT_READ, false, " cannot be opened: its file " OWL_BOOK_FILE " is damaged, or something else"},
        {SQLITE_CORRUPT, OWL_CANNOT_READ, false, " is damaged: put a saved copy of its file " OWL_BOOK_FILE " in its place"},
        {SQLITE_FULL, OWL_CANNOT_WRITE, false, " cannot be written: no room is left"},
        {SQLITE_READONLY, OWL_CANNOT_WRITE, false, " can only be read, not written"},
        {SQLITE_PERM, OWL_CANNOT_WRITE, false, " cannot be used: you have no permission"},
        {SQLITE_CANTOPEN, OWL_CANNOT_WRITE, true, " cannot be opened"},
        {SQLITE_IOERR, OWL_CANNOT_WRITE, true, " cannot be read or written"},
        {SQLITE_NOMEM, OWL_NO_MEMORY, false, " cannot be used: no memory is left"},
        {SQLITE_CONSTRAINT, OWL_BAD_USE, false, " cannot keep this: it contradicts what is there"},
        {SQLITE_TOOBIG, OWL_BAD_USE, false, " cannot keep this: it is too long"},
    };
    struct owl_text text = owl_text_over(error->words, sizeof error->words);
    owl_book_show(book, &text);
    for (size_t i = 0; i < sizeof meanings / sizeof meanings[0]; i++)
        if (meanings[i].code == (code & 0xff)) {
            owl_text_words(&text, meanings[i].words);
            if (meanings[i].reason)
                tell_reason(book, &text);
            return meanings[i].status;
        }
    owl_text_words(&text, " cannot be used: ");
    owl_text_words(&text, sqlite3_errstr(code));
    return OWL_CANNOT_READ;
}

void owl_book_run_fail(struct owl_book_run *run, enum owl_status status, const char *words, const char *name)
{
    if (run->status != OWL_OK)
        return;
    run->status = status;
    struct owl_text text = owl_text_over(run->error->words, sizeof run->error->words);
    owl_book_show(run->book, &text);
    owl_text_char(&text, ' ');
    owl_text_words(&text, words);
    if (name)
        owl_tree_show(&text, name);
}

static void fail_with(struct owl_book_run *run, int code)
{
    if (run->status == OWL_OK)
        run->status = owl_book_explain(run->book, code, run->error);
}

void owl_book_run_no_memory(struct owl_book_run *run)
{
    fail_with(run, SQLITE_NOMEM);
}

void owl_book_run_damaged(struct owl_book_run *run)
{
    fail_with(run, SQLITE_CORRUPT);
}

/* ---- the transaction ---- */

void owl_book_run_do(struct owl_book_run *run, const char *sql)
{
    int code = run->status == OWL_OK ? sqlite3_exec(run->book->database, sql, NULL, NULL, NULL) : SQLITE_OK;
    if (code != SQLITE_OK)
        fail_with(run, code);
}

struct owl_book_run owl_book_run_begin(struct owl_book *book, enum owl_book_use use, struct owl_error *error)
{
    struct owl_book_run run = {book, error, OWL_OK};
    owl_book_run_do(&run, use == OWL_BOOK_WRITES ? "BEGIN IMMEDIATE" : "BEGIN");
    return run;
}

enum owl_status owl_book_run_end(struct owl_book_run *run)
{
    owl_book_run_do(run, "COMMIT");
    if (!sqlite3_get_autocommit(run->book->database))
        (void)sqlite3_exec(run->book->database, "ROLLBACK", NULL, NULL, NULL); /* the failure is told already */
    return run->status;
}

/* ---- questions ---- */

struct owl_book_query owl_book_ask(struct owl_book_run *run, const char *sql)
{
    struct owl_book_query query = {run, NULL, 0, 0};
    int code = run->status == OWL_OK ? sqlite3_prepare_v2(run->book->database, sql, -1, &query.statement, NULL) : SQLITE_OK;
    if (code != SQLITE_OK)
        fail_with(run, code);
    return query;
}

void owl_book_ask_end(struct owl_book_query *query)
{
    sqlite3_finalize(query->statement); /* its code is that of the last step, told already */
    query->statement = NULL;
}

static bool fine(const struct owl_book_query *query)
{
    return query->statement && query->run->status == OWL_OK;
}

static void check_put(struct owl_book_query *query, int code)
{
    if (code != SQLITE_OK)
        fail_with(query->run, code);
}

void owl_book_put_integer(struct owl_book_query *query, int64_t value)
{
    if (fine(query))
        check_put(query, sqlite3_bind_int64(query->statement, ++query->put, value));
}

void owl_book_put_real(struct owl_book_query *query, double value)
{
    if (fine(query))
        check_put(query, sqlite3_bind_double(query->statement, ++query->put, value)); /* takes NaN for NULL by itself */
}

void owl_book_put_words(struct owl_book_query *query, const char *words)
{
    if (fine(query))
        check_put(query, sqlite3_bind_text(query->statement, ++query->put, words, -1, SQLITE_STATIC));
}

void owl_book_put_bytes(struct owl_book_query *query, const void *bytes, size_t count)
{
    if (fine(query))
        check_put(query, sqlite3_bind_blob64(query->statement, ++query->put, bytes, count, SQLITE_STATIC));
}

void owl_book_put_name(struct owl_book_query *query, const char *name)
{
    owl_book_put_bytes(query, name, strlen(name));
}

bool owl_book_row(struct owl_book_query *query)
{
    if (!fine(query))
        return false;
    int code = sqlite3_step(query->statement);
    query->taken = 0;
    if (code == SQLITE_ROW)
        return true;
    if (code != SQLITE_DONE)
        fail_with(query->run, code);
    sqlite3_reset(query->statement);
    query->put = 0;
    return false;
}

void owl_book_do(struct owl_book_query *query)
{
    while (owl_book_row(query))
        ;
}

int64_t owl_book_take_integer(struct owl_book_query *query)
{
    return sqlite3_column_int64(query->statement, query->taken++);
}

int owl_book_take_int(struct owl_book_query *query)
{
    return sqlite3_column_int(query->statement, query->taken++);
}

double owl_book_take_real(struct owl_book_query *query)
{
    int column = query->taken++;
    return sqlite3_column_type(query->statement, column) == SQLITE_NULL ? NAN : sqlite3_column_double(query->statement, column);
}

const char *owl_book_take_words(struct owl_book_query *query)
{
    return (const char *)sqlite3_column_text(query->statement, query->taken++);
}

char *owl_book_take_name(struct owl_book_query *query)
{
    int column = query->taken++;
    const void *bytes = sqlite3_column_blob(query->statement, column); /* NULL for one of no bytes */
    char *name = strndup(bytes ? bytes : "", (size_t)sqlite3_column_bytes(query->statement, column));
    if (!name)
        owl_book_run_no_memory(query->run);
    return name;
}

/* ---- words kept together ---- */

size_t owl_book_words_bytes(const char *words)
{
    return words ? strlen(words) + 1 : 0;
}

const char *owl_book_words_into(char **block, const char *words)
{
    if (!words)
        return NULL;
    char *here = *block;
    memcpy(here, words, strlen(words) + 1);
    *block += strlen(words) + 1;
    return here;
}
