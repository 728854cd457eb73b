/* What the commands share at the terminal: pages, options with numbers, threads, progress, new files. */
#ifndef OWL_CLI_CONSOLE_H
#define OWL_CLI_CONSOLE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/text.h"
#include "session/new_file.h"
#include "session/share.h"

/* "no memory is left" on stderr, and the exit status that goes with it. */
int owl_complain_memory(void);

/* Room for a page of so many bytes; its buffer is NULL, and that has been told, when there is no memory. */
struct owl_text owl_page_begin(size_t bytes);

/* Prints the page and releases its room; the exit status. */
int owl_page_end(struct owl_text *page);

#define OWL_SEED_MOST 999999999999999u /* what JSON carries whole */

/* An option with a whole number behind it. */
struct owl_number_option {
    const char *name;
    uint64_t *value, least, most;
};

/* Takes words, NULL when none stand behind the option, as its number; the exit status, told when wrong. */
int owl_read_number(const struct owl_number_option *option, const char *words);

/* From now on a first interrupt is only noted; a second ends the program at once. */
void owl_listen_for_interrupt(void);
bool owl_interrupted(void);

/* Progress on a terminal, once a command takes longer than a second. */
struct owl_progress {
    bool telling, told;
    double next_s;
};

struct owl_progress owl_progress_begin(void);
/* Whether it is time for another word; the caller then writes one line, begun by a carriage return. */
bool owl_progress_due(struct owl_progress *progress);
/* Wipes the line. */
void owl_progress_end(const struct owl_progress *progress);

/* Writes a picture or drawing that `option` named as a new file; what went wrong is told. The exit status. */
int owl_write_picture(const char *path, const char *option, const void *bytes, size_t length);

/* A whole number set to the right of so many columns; one that is wider is written whole. */
void owl_page_integer(struct owl_text *text, int value, int columns);

#endif
