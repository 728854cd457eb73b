/* The workbench: the routes behind the page of `owllight open`, over the local server.
   It keeps one plan file, at most one open card, the book, and one job at a time (a pull or a judging) on a thread of its own,
   which tells how it goes by the events "progress" and "done". No address names a file; folders and files stand in bodies. */
#ifndef OWL_SERVE_WORKBENCH_H
#define OWL_SERVE_WORKBENCH_H

#include <stdbool.h>

#include "card/error.h"
#include "core/status.h"
#include "serve/assets.h"
#include "serve/server.h"

struct owl_workbench_options {
    const char *plan; /* its file, which need not be there yet; NULL: none. Copied, as are the next two */
    const char *card; /* a folder to judge, or take out of the book, at once; NULL: none */
    const char *book; /* the book's folder; NULL: where it usually lies */
    bool no_book;
    int port;                             /* as owl_server_options */
    const struct owl_asset_table *assets; /* borrowed until owl_workbench_stop has returned */
};

struct owl_workbench;

/* *workbench is set on OWL_OK only. note, never NULL, takes a line to be known though all goes on, such as that there is no book.
   Fails as owl_server_start, and as owl_book_open for a book that was named. */
OWL_MUST_USE enum owl_status owl_workbench_start(const struct owl_workbench_options *options, struct owl_workbench **workbench,
                                                 struct owl_error *note, struct owl_error *error);

int owl_workbench_port(const struct owl_workbench *workbench);

/* An address for the browser, good for one use. Any thread. */
OWL_MUST_USE enum owl_status owl_workbench_address(struct owl_workbench *workbench, char address[OWL_SERVER_ADDRESS_BYTES],
                                                   struct owl_error *error);

/* Stops a job that is at work, ends every connection and frees all. True where a job was stopped before its end. NULL is passed
   over. */
bool owl_workbench_stop(struct owl_workbench *workbench);

#endif
