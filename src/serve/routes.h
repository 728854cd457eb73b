/* Which handler a path and a method belong to. Paths are compared byte for byte as they were sent: nothing is
   decoded, so that no two spellings mean one thing. Pure. */
#ifndef OWL_SERVE_ROUTES_H
#define OWL_SERVE_ROUTES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "serve/request.h"

struct owl_route {
    enum owl_method method; /* OWL_GET answers HEAD too */
    const char *path;       /* such as "/plan" or "/frames/#/small"; one '#' stands for a number 0..999999999 */
    size_t body_most;       /* bytes; 0: a body is refused */
    /* Runs on a thread of the server, one call at a time when it has one hand. */
    void (*handle)(void *room, const struct owl_request *request, struct owl_answer *answer);
    void *room; /* handed to `handle`; must outlive the server */
};

struct owl_match {
    const struct owl_route *route; /* NULL when nothing fits */
    int64_t index;                 /* -1 without one */
    bool known;                    /* the path is known, if not with this method */
    char allow[48];                /* methods the path knows, as in the Allow field */
};

/* "GET" and so on; HEAD counts as OWL_GET. */
enum owl_method owl_routes_method(const char *name);

struct owl_match owl_routes_find(const struct owl_route *routes, size_t count, enum owl_method method, const char *path);

#endif
