/* Opening and closing: the folder, the file, and what holds for every use of it. */
#include "book/book.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "book/run.h"
#include "book/schema.h"
#include "card/calls.h"

#define ONLY_MINE 0700

/* ---- the folder ---- */

/* Makes what is missing of a path: 0, or what was in the way. The first trouble counts: the others follow from it. */
static int make_folders(char *path)
{
    struct stat facts;
    int trouble = 0;
    for (char *slash = strchr(path + 1, '/'); slash; slash = strchr(slash + 1, '/')) {
        *slash = '\0';
        if (mkdir(path, ONLY_MINE) != 0 && errno != EEXIST && trouble == 0)
            trouble = errno;
        *slash = '/';
    }
    if (mkdir(path, ONLY_MINE) != 0 && errno != EEXIST && trouble == 0)
        trouble = errno;
    if (stat(path, &facts) == 0)
        return S_ISDIR(facts.st_mode) ? 0 : ENOTDIR;
    return trouble != 0 ? trouble : errno;
}

static enum owl_status make_directory(struct owl_book *book, struct owl_error *error)
{
    int trouble = book->directory[0] ? make_folders(book->directory) : ENOENT;
    if (trouble == 0)
        return OWL_OK;
    struct owl_text text = owl_text_over(error->words, sizeof error->words);
    owl_book_show(book, &text);
    owl_text_words(&text, " cannot be opened: ");
    owl_calls_reason(&text, trouble);
    return OWL_CANNOT_WRITE;
}

/* The file as SQLite takes it with parameters: all that could mean something else is written by its number. */
static char *uri_of(const char *directory)
{
    static const char digit[] = "0123456789abcdef";
    char *uri = malloc(3 * strlen(directory) + sizeof "file://" + sizeof OWL_BOOK_FILE + 1), *at = uri;
    if (!uri)
        return NULL;
    strcpy(at, directory[0] == '/' ? "file://" : "file:");
    at += strlen(at);
    for (; *directory; directory++) {
        if (strchr("%?#", *directory)) {
            *at++ = '%';
            *at++ = digit[(unsigned char)*directory >> 4];
            *at++ = digit[(unsigned char)*directory & 15];
        } else {
            *at++ = *directory;
        }
    }
    strcpy(at, "/" OWL_BOOK_FILE);
    return uri;
}

/* ---- the file ---- */

/* Until the file is known as ours, not even closing may tidy it up. */
static int leave_untidied(struct owl_book *book, bool so)
{
    return sqlite3_db_config(book->database, SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, so, NULL);
}

static enum owl_status open_file(struct owl_book *book, const char *uri, struct owl_error *error)
{
    enum owl_status status = owl_book_look(book, uri, owl_book_steps().count, error);
    if (status != OWL_OK)
        return status;
    int code = sqlite3_open_v2(uri, &book->database, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE | SQLITE_OPEN_URI, NULL);
    if (code == SQLITE_OK && sqlite3_db_readonly(book->database, "main") == 1)
        code = SQLITE_READONLY;
    if (code == SQLITE_OK)
        code = sqlite3_busy_timeout(book->database, OWL_BOOK_WAIT_S * 1000);
    if (code == SQLITE_OK)
        code = leave_untidied(book, true);
    return code == SQLITE_OK ? OWL_OK : owl_book_explain(book, code, error);
}

/* Steps come first: they may have to rebuild tables that others refer to, which foreign keys would hinder. Writing ahead is a
   convenience, so that readers need not wait: where it cannot be had now, the book is as sound without. */
static enum owl_status settle_in(struct owl_book *book, struct owl_error *error)
{
    enum owl_status status = owl_book_bring_up(book, owl_book_steps(), error);
    if (status != OWL_OK)
        return status;
    int code = sqlite3_exec(book->database, "PRAGMA foreign_keys = ON", NULL, NULL, NULL);
    if (code == SQLITE_OK)
        code = sqlite3_exec(book->database, "PRAGMA journal_mode = WAL", NULL, NULL, NULL);
    if ((code & 0xff) == SQLITE_BUSY)
        code = SQLITE_OK;
    if (code == SQLITE_OK)
        code = leave_untidied(book, false);
    return code == SQLITE_OK ? OWL_OK : owl_book_explain(book, code, error);
}

enum owl_status owl_book_open(const char *directory, struct owl_book **book, struct owl_error *error)
{
    struct owl_book made = {NULL, strdup(directory)};
    struct owl_book *own = malloc(sizeof *own);
    char *uri = uri_of(directory);
    enum owl_status status = OWL_NO_MEMORY;
    if (own && uri && made.directory)
        status = make_directory(&made, error);
    else
        (void)owl_book_explain(&(struct owl_book){NULL, (char[]){"its folder"}}, SQLITE_NOMEM, error);
    if (status == OWL_OK)
        status = open_file(&made, uri, error);
    if (status == OWL_OK)
        status = settle_in(&made, error);
    free(uri);
    if (status == OWL_OK) {
        *own = made;
        *book = own;
        return OWL_OK;
    }
    sqlite3_close(made.database);
    free(made.directory);
    free(own);
    return status;
}

void owl_book_close(struct owl_book *book)
{
    if (!book)
        return;
    sqlite3_close(book->database);
    free(book->directory);
    free(book);
}

/* ---- where it lies ---- */

enum owl_status owl_book_usual_directory(char *directory, size_t bytes)
{
    const char *data = getenv("XDG_DATA_HOME"), *home = getenv("HOME");
    bool told = data && data[0] == '/';
    if (!told && !(home && home[0] == '/'))
        return OWL_CANNOT_READ;
    if (bytes == 0)
        return OWL_NO_ROOM;
    struct owl_text text = owl_text_over(directory, bytes);
    owl_text_words(&text, told ? data : home);
    owl_text_words(&text, told ? "/owllight" : "/.local/share/owllight");
    return text.cut ? OWL_NO_ROOM : OWL_OK;
}
