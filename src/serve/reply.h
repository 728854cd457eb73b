/* Sending: every answer leaves through here and gets the fields that keep a browser strict. */
#ifndef OWL_SERVE_REPLY_H
#define OWL_SERVE_REPLY_H

#include <microhttpd.h>

#include "serve/assets.h"
#include "serve/guard.h"
#include "serve/request.h"

/* All give what the library's callback must return; MHD_NO closes the connection. */

/* {"error": words}; the connection is closed after it. allow: the Allow field of a 405, or NULL. */
enum MHD_Result owl_reply_complaint(struct MHD_Connection *connection, unsigned code, const char *words, const char *allow);

/* What a handler answered; takes over what the answer owns. */
enum MHD_Result owl_reply_answer(struct MHD_Connection *connection, const struct owl_fields *fields,
                                 struct owl_answer *answer);

/* An embedded file: whole, packed, in part or "not modified". */
enum MHD_Result owl_reply_asset(struct MHD_Connection *connection, const struct owl_fields *fields,
                                const struct owl_asset *asset);

/* 303 to `location`, setting a cookie when that is not NULL. */
enum MHD_Result owl_reply_redirect(struct MHD_Connection *connection, const char *location, const char *cookie);

/* A text/event-stream, which is taken over. */
enum MHD_Result owl_reply_stream(struct MHD_Connection *connection, struct MHD_Response *stream);

#endif
