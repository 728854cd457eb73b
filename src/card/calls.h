/* The calls through which a card and its copy are touched, in one table, so that a test can let any of them fail.
   Every call answers as its POSIX namesake: -1 and errno on failure. */
#ifndef OWL_CARD_CALLS_H
#define OWL_CARD_CALLS_H

#include <stdbool.h>
#include <stdint.h>
#include <sys/types.h>

#include "core/text.h"

struct owl_calls {
    int (*open_at)(int directory, const char *name, int flags, mode_t mode);
    ssize_t (*read)(int file, void *bytes, size_t count);
    ssize_t (*write)(int file, const void *bytes, size_t count);
    int (*sync_data)(int file);
    int (*sync_folder)(int directory);
    int (*rename_new)(int from, const char *name, int to, const char *new_name); /* EEXIST where new_name is taken */
    int (*rename_over)(int directory, const char *name, const char *new_name);
    int (*remove)(int directory, const char *name);
    int (*free_bytes)(int directory, uint64_t *bytes); /* what this user may still write */
};

/* The system's own. */
extern const struct owl_calls owl_calls_system;

/* Opens a regular file for reading only, without following a link and, where the system lets us, without leaving a trace in
   its time of access. -1 and errno; EINVAL for what is not a regular file. */
int owl_calls_open_original(const struct owl_calls *calls, int directory, const char *name);

/* Reads until the buffer is full or the file ends: bytes read, or -1 and errno. */
ssize_t owl_calls_read_full(const struct owl_calls *calls, int file, void *bytes, size_t count);

/* Writes all of it: 0, or -1 and errno. */
int owl_calls_write_full(const struct owl_calls *calls, int file, const void *bytes, size_t count);

/* Asks the system to begin writing a part of a file to the device. */
void owl_calls_begin_writing(int file, uint64_t from, size_t count);

/* Forgets what memory holds of a file already synced, so that the next read asks the device. */
void owl_calls_forget(int file);

/* Keeps other pulls out of a folder while this process holds it open. False when one is at work there. */
bool owl_calls_lock(int directory);

/* Why a call failed, in plain words that continue a sentence: "no room is left". */
void owl_calls_reason(struct owl_text *text, int trouble);

#endif
