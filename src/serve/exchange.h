/* One request and its answer on their way through the server: the library's callbacks. */
#ifndef OWL_SERVE_EXCHANGE_H
#define OWL_SERVE_EXCHANGE_H

#include <microhttpd.h>

#include "serve/hands.h"
#include "serve/keys.h"
#include "serve/pulse.h"
#include "serve/server.h"

/* Bytes of an address that are looked at; longer ones are answered 414. */
#define OWL_EXCHANGE_TARGET_MOST 256

#define OWL_SERVER_COOKIE_BYTES 24

struct owl_server {
    struct owl_server_options options; /* with the defaults filled in */
    struct MHD_Daemon *daemon;
    int port;
    char cookie[OWL_SERVER_COOKIE_BYTES]; /* its name tells the port: cookies of one host are shared by its ports */
    struct owl_keys keys;
    struct owl_hands hands;
    struct owl_pulse pulse;
};

/* MHD_OPTION_URI_LOG_CALLBACK: begins an exchange with the address as it was sent. cls: the server. */
void *owl_exchange_begin(void *cls, const char *target, struct MHD_Connection *connection);

/* The access handler, called for the header, for each piece of the body, at its end, and after a hand's work. */
enum MHD_Result owl_exchange_step(void *cls, struct MHD_Connection *connection, const char *url, const char *method,
                                  const char *version, const char *data, size_t *size, void **exchange);

/* MHD_OPTION_NOTIFY_COMPLETED. */
void owl_exchange_end(void *cls, struct MHD_Connection *connection, void **exchange, enum MHD_RequestTerminationCode why);

/* MHD_OPTION_NOTIFY_CONNECTION: puts the connection under the clock. */
void owl_exchange_visit(void *cls, struct MHD_Connection *connection, void **visit, enum MHD_ConnectionNotificationCode what);

/* What a hand does: runs the route's handler. */
void owl_exchange_work(struct owl_job *job);

#endif
