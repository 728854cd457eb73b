/* What the commands share at the terminal: pages, options with numbers, threads, progress, new files. */
#ifndef OWL_CLI_CONSOLE_H
#define OWL_CLI_CONSOLE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/text.h"

/* "no memory is left" on stderr, and the exit status that goes with it. */
int owl_complain_memory(void);

/* Room for a page of so many bytes; its buffer is NULL, and that has been told, when there is no memory. */
struct owl_text owl_page_begin(size_t bytes);

/* Prints the page and releases its room; the exit status. */
int owl_page_end(struct owl_text *page);

#define OWL_SEED_MOST 999999999999999u /* what JSON carries whole */
#define OWL_THREADS_MOST 64

/* An option with a whole number behind it. */
struct owl_number_option {
    const char *name;
    uint64_t *value, least, most;
};

/* Takes words, NULL when none stand behind the option, as its number; the exit status, told when wrong. */
int owl_read_number(const struct owl_number_option *option, const char *words);

/* The threads to use: as asked, or for 0 as many as the machine has, within OWL_THREADS_MOST. */
int owl_thread_count(uint64_t asked);

/* Runs `own` on this thread and `work` on as many others as make up `threads`, all with the same argument, until all have
   ended. Fewer threads than wanted are no failure. */
void owl_share_work(int threads, void (*work)(void *shared), void (*own)(void *shared), void *shared);

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

/* How the writing of a new file went; errno tells more about the last two. */
enum owl_written { OWL_WRITTEN, OWL_NOT_OPENED, OWL_NOT_WHOLE };

/* Writes a file that was not there before, whole or not at all. */
enum owl_written owl_write_new(const char *path, const struct owl_text *text);

/* The same for a picture or drawing that `option` named; what went wrong is told. The exit status. */
int owl_write_picture(const char *path, const char *option, const void *bytes, size_t length);

/* JSON (RFC 8259): `before`, the name in quotes and a colon; the same with a number. */
void owl_json_key(struct owl_text *text, const char *before, const char *name);
void owl_json_number(struct owl_text *text, const char *before, const char *name, double value);

#endif
