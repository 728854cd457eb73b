/* The threads that do the handlers' work, so that the thread which holds the connections never waits. */
#ifndef OWL_SERVE_HANDS_H
#define OWL_SERVE_HANDS_H

#include <pthread.h>
#include <stdbool.h>

#define OWL_HANDS_MOST 16

/* First member of what the work is done on. */
struct owl_job {
    struct owl_job *next;
};

struct owl_hands {
    pthread_mutex_t lock;
    pthread_cond_t given;
    struct owl_job *first, *last;
    void (*work)(struct owl_job *job);
    pthread_t threads[OWL_HANDS_MOST];
    int count;
    bool closing;
};

/* Starts 1..OWL_HANDS_MOST hands; false, with none left running, when the system gives no thread. */
bool owl_hands_open(struct owl_hands *hands, int count, void (*work)(struct owl_job *job));

/* Queues a job. False when the hands are closing: the job stays the caller's. */
bool owl_hands_give(struct owl_hands *hands, struct owl_job *job);

/* Takes no more, does what is queued and ends the threads. owl_hands_give stays allowed (and says false) until
   owl_hands_clear. */
void owl_hands_close(struct owl_hands *hands);
void owl_hands_clear(struct owl_hands *hands);

#endif
