/* What a handler sees of a request and what it answers with.
   The request is the server's and lives until the handler returns; what an answer was given to own, the
   server releases after sending, however the connection ends. */
#ifndef OWL_SERVE_REQUEST_H
#define OWL_SERVE_REQUEST_H

#include <jansson.h>
#include <stddef.h>
#include <stdint.h>

#include "card/error.h"
#include "core/status.h"

/* Nesting a body may have: far above any form, far below what a parser's stack bears. */
#define OWL_REQUEST_DEPTH_MOST 32

enum owl_method { OWL_GET, OWL_POST, OWL_PUT, OWL_DELETE, OWL_METHOD_OTHER };

struct owl_request {
    enum owl_method method; /* HEAD counts as GET */
    int64_t index;          /* the number that stood for '#' in the route's path; -1 without one */
    const char *type;       /* Content-Type; "" when none was sent */
    const char *body;       /* closed by NUL; "" when none was sent */
    size_t length;          /* bytes in body, at most the route's body_most */
};

struct owl_answer {
    int code;         /* HTTP status */
    const char *type; /* media type, a constant; NULL without a body */
    const void *bytes;
    size_t length;
    int file; /* sent instead of bytes when not -1 */
    void (*release)(void *owner);
    void *owner;
};

/* `text` copied. type: a constant, such as "application/json". */
void owl_answer_text(struct owl_answer *answer, int code, const char *type, const char *text, size_t length);

/* No body: 202 when the work goes on elsewhere and reports by events, 204 when it is done. */
void owl_answer_done(struct owl_answer *answer, int code);

/* {"error": words} with a code from 400 up. */
void owl_answer_complaint(struct owl_answer *answer, int code, const char *words);

/* 200, or 206 and 416 where a range was asked, over bytes that stay until `release(owner)` is called, on any
   thread. release may be NULL. */
void owl_answer_bytes(struct owl_answer *answer, const char *type, const void *bytes, size_t length,
                      void (*release)(void *owner), void *owner);

/* The same from an open file of `length` bytes, which becomes the server's to close; -1, a file that could not
   be opened, is answered 404. */
void owl_answer_file(struct owl_answer *answer, const char *type, int file, size_t length);

/* Lets go of what an answer owns and makes it empty; for the server. */
void owl_answer_clear(struct owl_answer *answer);

/* The body as JSON (RFC 8259, an object or an array), refused when the Content-Type is not application/json,
   when it is nested deeper than OWL_REQUEST_DEPTH_MOST, when a name comes twice in one object or when it is
   malformed. On OWL_OK *root is the caller's (json_decref). Fails: OWL_BAD_USE and one line of words. */
OWL_MUST_USE enum owl_status owl_request_json(const struct owl_request *request, json_t **root, struct owl_error *error);

#endif
