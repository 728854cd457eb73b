/* The server's clock: cuts off connections that outstay what they wait for, and lets the event streams beat.
   The library only counts silence; a request that comes a byte at a time is never silent and is ended here. */
#ifndef OWL_SERVE_PULSE_H
#define OWL_SERVE_PULSE_H

#include <pthread.h>
#include <stdbool.h>
#include <stdint.h>

#include "serve/events.h"

/* One open connection. */
struct owl_visit {
    int socket;
    int64_t until_ms; /* on the monotonic clock; 0: no end */
    struct owl_visit *before, *after;
};

struct owl_pulse {
    pthread_mutex_t lock;
    pthread_cond_t woken;
    pthread_t thread;
    struct owl_visit *visits;
    struct owl_events *events; /* may be NULL */
    int heartbeat_ms, tick_ms;
    bool closing;
};

/* Starts the clock; false when the system gives no thread. A heartbeat comes at the first tick after heartbeat_ms. */
bool owl_pulse_open(struct owl_pulse *pulse, struct owl_events *events, int heartbeat_ms, int tick_ms);
/* Ends the thread; visits may still come and go until owl_pulse_clear. */
void owl_pulse_close(struct owl_pulse *pulse);
void owl_pulse_clear(struct owl_pulse *pulse);

/* Follows a connection from now on; NULL when no memory is left. The socket must be open until owl_pulse_leave. */
struct owl_visit *owl_pulse_enter(struct owl_pulse *pulse, int socket, int most_ms);
/* Gives it `most_ms` more from now; 0: as long as it likes. NULL is passed over. */
void owl_pulse_allow(struct owl_pulse *pulse, struct owl_visit *visit, int most_ms);
void owl_pulse_leave(struct owl_pulse *pulse, struct owl_visit *visit);

#endif
