/* A text file of lines that only grows, in the target's first folder: lines are added whole, and one torn by a crash is
   taken off when the file is opened again. */
#ifndef OWL_CARD_LINES_H
#define OWL_CARD_LINES_H

#include <stdbool.h>
#include <stddef.h>

#include "card/calls.h"
#include "core/status.h"

#define OWL_LINES_PART "REWRITING.part" /* a text on its way into the file's place */

struct owl_lines {
    const struct owl_calls *calls;
    int folder; /* borrowed */
    int file;   /* -1 until the first line is added to a file that is not there yet */
    const char *name; /* borrowed */
    off_t length;
    bool unsettled;
    char *old; /* what the file held when it was opened, closed with NUL; NULL for nothing */
};

/* Opens the file, if it is there, and reads it. OWL_CANNOT_READ, OWL_CANNOT_WRITE with errno; OWL_NO_MEMORY. A file of more
   than 1 GB is refused as OWL_CANNOT_READ, EFBIG. */
enum owl_status owl_lines_open(struct owl_lines *lines, const struct owl_calls *calls, int folder, const char *name) OWL_MUST_USE;

/* The next line of `old` from *at, its end turned into NUL; NULL at the end. */
char *owl_lines_next(char **at);

/* Adds a line, its line end included: 0, or -1 and errno with the file as it was. */
int owl_lines_add(struct owl_lines *lines, const char *line, size_t length);

/* Puts another text in the file's place, at once and whole: 0, or -1 and errno with the old file in its place. */
int owl_lines_replace(struct owl_lines *lines, const char *text, size_t length);

/* Brings what was added to the device: 0, or -1 and errno. */
int owl_lines_settle(struct owl_lines *lines);

/* Without settling. */
void owl_lines_close(struct owl_lines *lines);

/* A name written so that it fits in a line or a column: backslash, line end, return and tab as \\ \n \r \t. From malloc,
   NULL when no memory is left. */
char *owl_lines_escape(const char *name);

/* Undoes that in place; an escape it does not know is kept as it is. */
void owl_lines_unescape(char *name);

#endif
