/* Work that may crash, hang or eat memory, done apart: in a child process behind limits, whose answer comes back as bytes.
   The child is a fork, not a new program: it needs no name on the disk, no hidden option and no hand-over of what it is to do.
   The price is that between fork and exit it may use only what is sound there. With one thread in the program at the time of
   the call that is everything. With several, a lock held by another thread stays shut in the child for ever; the time limit
   then ends it, and what is lost is the answer, never the caller. So: call it while the program has one thread. */
#ifndef OWL_CARD_FENCED_H
#define OWL_CARD_FENCED_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/status.h"

struct owl_fence {
    /* Runs in the child. `file` and `answer` are the only handles left open beside one to nowhere. What it writes to answer is
       the answer, if it returns true. */
    bool (*work)(void *context, int file, int answer);
    void *context;
    int file;               /* borrowed */
    uint64_t memory_bytes;  /* address space of the child, what the program holds already included; a build under the address
                               sanitizer, which reserves far more, runs without this limit */
    unsigned cpu_s;         /* at least 1 */
    double wall_s;          /* from the call on; the child is killed then */
    size_t answer_bytes_most;
};

/* Does the work and waits for it. The child writes no file, opens none, and starts with the handling of signals as a new
   program would; it dies with the caller. No child and no handle is left behind, whatever happens. *answer is the caller's to
   free, NULL where the answer is empty. OWL_CANNOT_READ: the work failed, crashed, met a limit or answered too much;
   OWL_NO_MEMORY: no memory or no process was to be had; *answer and *length are untouched then. */
enum owl_status owl_fenced(const struct owl_fence *fence, uint8_t **answer, size_t *length) OWL_MUST_USE;

#endif
