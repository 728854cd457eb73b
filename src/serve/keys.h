/* The secrets that let a page in: tickets good for one use, which the opened address carries, and the session's
   key, which the browser gets for a ticket and keeps as a cookie. The ticket may stand in a process list or in a
   history, since it is dead once used; the key never stands in an address. */
#ifndef OWL_SERVE_KEYS_H
#define OWL_SERVE_KEYS_H

#include <pthread.h>
#include <stdbool.h>

#include "card/error.h"
#include "core/status.h"

#define OWL_KEYS_DIGITS 32 /* 128 bits in hexadecimal */
#define OWL_KEYS_TICKETS 4 /* alive at a time; a fifth replaces the oldest */

struct owl_keys {
    char session[OWL_KEYS_DIGITS + 1];
    char tickets[OWL_KEYS_TICKETS][OWL_KEYS_DIGITS + 1]; /* empty once used */
    int next;
    pthread_mutex_t lock; /* over the tickets */
};

/* Draws the session's key from the system's random source. Fails: OWL_CANNOT_READ when that gives none. */
OWL_MUST_USE enum owl_status owl_keys_open(struct owl_keys *keys, struct owl_error *error);
/* Wipes them. */
void owl_keys_close(struct owl_keys *keys);

/* A new ticket into `ticket`. Any thread. */
OWL_MUST_USE enum owl_status owl_keys_ticket(struct owl_keys *keys, char ticket[OWL_KEYS_DIGITS + 1],
                                             struct owl_error *error);

/* Whether the ticket is alive; it is dead afterwards. Any thread. */
bool owl_keys_spend(struct owl_keys *keys, const char *ticket);

/* Whether a Cookie field (NULL when none) holds the session's key under this name. The time taken does not
   depend on how much of a wrong key is right. */
bool owl_keys_fit(const struct owl_keys *keys, const char *cookie, const char *name);

#endif
