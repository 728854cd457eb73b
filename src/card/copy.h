/* One file copied and proved: what the device gives back is what was read from the card. */
#ifndef OWL_CARD_COPY_H
#define OWL_CARD_COPY_H

#include <sys/stat.h>

#include "card/digest.h"

enum owl_copy_end {
    OWL_COPY_DONE,
    OWL_COPY_UNREADABLE, /* the original; errno in trouble */
    OWL_COPY_CHANGED,    /* the original grew, shrank or was written while it was read */
    OWL_COPY_UNWRITABLE, /* the copy, or it cannot be read back; errno in trouble */
    OWL_COPY_DIFFERS,    /* the device gives back other bytes than it was given */
    OWL_COPY_STOPPED     /* as `going_on` wanted it */
};

struct owl_copy {
    const struct owl_calls *calls;
    struct owl_digester *digester;
    int original, copy;       /* open files; the copy empty, to be read and written */
    bool (*going_on)(void *context, size_t bytes); /* told of each chunk read; false stops */
    void *context;
    struct stat facts;        /* of the original as it was opened; filled by owl_copy_write */
    struct owl_digest digest; /* of what was read from the original; filled by owl_copy_write */
    int trouble;
};

/* Reads the original once and writes the copy. */
enum owl_copy_end owl_copy_write(struct owl_copy *copy) OWL_MUST_USE;

/* Gives the copy its original's time, brings it to the device, reads it back from there and compares. */
enum owl_copy_end owl_copy_prove(struct owl_copy *copy) OWL_MUST_USE;

#endif
