/* Server-sent events: what any thread posts, every listening page gets.
   The channel is the caller's: opened before the server it is given to, closed by that server's end, and freed by the
   caller once no thread of its own posts any more. */
#ifndef OWL_SERVE_EVENTS_H
#define OWL_SERVE_EVENTS_H

#include "core/status.h"

/* Events a listener may be behind; then its oldest are dropped and it is told by an event "lost" with their number,
   {"events": N}, upon which a page should ask for everything anew. */
#define OWL_EVENTS_QUEUE 64

struct owl_events;

/* A channel for up to `listeners_most` pages. NULL when no memory is left. */
struct owl_events *owl_events_open(int listeners_most);

/* Queues an event for whoever listens now and never waits. name: 1 to 32 of a-z, 0-9 and '-'. json: any text; its
   line ends are kept. Any thread. Fails: OWL_BAD_USE for such a name, OWL_NO_MEMORY. Closed channels take and drop. */
OWL_MUST_USE enum owl_status owl_events_post(struct owl_events *events, const char *name, const char *json);

/* Pages listening now. */
int owl_events_listeners(struct owl_events *events);

/* After the server has stopped. NULL is passed over. */
void owl_events_free(struct owl_events *events);

/* ---- for the server ---- */

struct MHD_Connection;
struct MHD_Response;

/* The stream of a new listener on this connection; NULL when there are too many, the channel is closed or no memory
   is left. */
struct MHD_Response *owl_events_listen(struct owl_events *events, struct MHD_Connection *connection);

/* A comment line to every listener: keeps the connection, and finds the ones that are gone. */
void owl_events_beat(struct owl_events *events);

/* Ends every stream after what is queued; later listeners and events are refused. */
void owl_events_close(struct owl_events *events);

#endif
