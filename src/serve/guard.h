/* The header fields the server looks at, and whether a request with them may go on at all.
   What is guarded against: pages of other origins in the same browser, names that were made to point here (DNS
   rebinding), other programs of this machine. */
#ifndef OWL_SERVE_GUARD_H
#define OWL_SERVE_GUARD_H

#include <stdbool.h>
#include <stddef.h>

struct MHD_Connection;

/* Bytes of names and values a header may have; more is answered 431. */
#define OWL_GUARD_HEADER_MOST 16384

enum owl_field {
    OWL_FIELD_HOST,
    OWL_FIELD_ORIGIN,
    OWL_FIELD_FETCH_SITE,
    OWL_FIELD_PURPOSE,
    OWL_FIELD_COOKIE,
    OWL_FIELD_TYPE,
    OWL_FIELD_LENGTH,
    OWL_FIELD_CODING,
    OWL_FIELD_RANGE,
    OWL_FIELD_IF_RANGE,
    OWL_FIELD_IF_NONE_MATCH,
    OWL_FIELD_ACCEPT_CODING,
    OWL_FIELDS
};

struct owl_fields {
    const char *value[OWL_FIELDS]; /* NULL when not sent; the connection's, until the request is completed */
    bool broken;                   /* one came twice, or holds a NUL */
    size_t bytes;                  /* of the whole header */
};

struct owl_refusal {
    unsigned code;     /* HTTP status; 0: the request may go on */
    const char *words; /* a constant */
};

struct owl_fields owl_guard_fields(struct MHD_Connection *connection);

/* Host must be 127.0.0.1, localhost or [::1] with `port`; Origin, when sent, must be that same host over http, and
   must be sent when the request `writes`; a Sec-Fetch-Site must say same-origin or none. A page whose Referrer-Policy is
   no-referrer, as ours, sends a true Origin only in the mode "cors", which is that of a plain fetch(). */
struct owl_refusal owl_guard_check(const struct owl_fields *fields, int port, bool writes);

#endif
