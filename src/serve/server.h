/* A small guarded HTTP server on this machine's own address, for one local page.
   It knows embedded files, routes with handlers and one channel of events, and nothing of what they are for.
   Every request is held against Host, Origin and Sec-Fetch-Site; routes and events also want the session's key, which
   a browser gets by opening owl_server_address() and keeps as an HttpOnly, SameSite=Strict cookie. */
#ifndef OWL_SERVE_SERVER_H
#define OWL_SERVE_SERVER_H

#include <stddef.h>

#include "card/error.h"
#include "core/status.h"
#include "serve/assets.h"
#include "serve/events.h"
#include "serve/routes.h"

#define OWL_SERVER_ADDRESS_BYTES 96 /* holds every address, NUL included */

/* All pointers are borrowed until owl_server_stop has returned. */
struct owl_server_options {
    int port;                             /* 1024..65535, or 0 for any that is free */
    const struct owl_asset_table *assets; /* served to everyone who passes the guards: no user data */
    const struct owl_route *routes;
    size_t route_count;
    struct owl_events *events; /* NULL: none */
    const char *events_path;   /* such as "/events" */
    int hands;                 /* threads for handlers, 1..16; 0: one, so that handlers need no locks */
    int connections_most;      /* 0: 64 */
    int request_ms;            /* for a request to come in whole, and for a connection to wait for one; 0: 15 s */
    int answer_ms;             /* for an answer to be fetched; 0: 2 min */
    int heartbeat_ms;          /* between comment lines in event streams; 0: 15 s */
};

struct owl_server;

/* Binds 127.0.0.1 and serves from threads of its own, with every signal blocked in them. *server is set on OWL_OK only.
   Fails: OWL_BAD_USE (the port is taken or not allowed), OWL_CANNOT_READ (no random numbers), OWL_NO_MEMORY (memory,
   threads). */
OWL_MUST_USE enum owl_status owl_server_start(const struct owl_server_options *options, struct owl_server **server,
                                              struct owl_error *error);

int owl_server_port(const struct owl_server *server);

/* An address for the browser, with a ticket good for one use. Later tickets do not spoil the three before. Any thread. */
OWL_MUST_USE enum owl_status owl_server_address(struct owl_server *server, char address[OWL_SERVER_ADDRESS_BYTES],
                                                struct owl_error *error);

/* Ends every connection and stream, waits for handlers that are at work, and frees the server. Not from a handler.
   NULL is passed over. */
void owl_server_stop(struct owl_server *server);

#endif
