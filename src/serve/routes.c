/* Matching paths with routes. */
#include "serve/routes.h"

#include <string.h>

#include "core/text.h"

#define INDEX_DIGITS_MOST 9

static const char *const names[] = {"GET, HEAD", "POST", "PUT", "DELETE"};

enum owl_method owl_routes_method(const char *name)
{
    if (strcmp(name, "GET") == 0 || strcmp(name, "HEAD") == 0)
        return OWL_GET;
    for (int method = OWL_POST; method < OWL_METHOD_OTHER; method++)
        if (strcmp(name, names[method]) == 0)
            return (enum owl_method)method;
    return OWL_METHOD_OTHER;
}

/* Digits without a leading zero, so that each number has one spelling. NULL when there are none or too many. */
static const char *read_index(const char *path, int64_t *index)
{
    int digits = 0;
    int64_t sum = 0;
    for (; path[digits] >= '0' && path[digits] <= '9'; digits++) {
        if (digits == INDEX_DIGITS_MOST || (digits == 1 && path[0] == '0'))
            return NULL;
        sum = sum * 10 + (path[digits] - '0');
    }
    *index = sum;
    return digits > 0 ? path + digits : NULL;
}

static bool path_fits(const char *pattern, const char *path, int64_t *index)
{
    *index = -1;
    for (; *pattern != '\0'; pattern++) {
        if (*pattern == '#') {
            path = read_index(path, index);
            if (path == NULL)
                return false;
        } else if (*pattern != *path++) {
            return false;
        }
    }
    return *path == '\0';
}

struct owl_match owl_routes_find(const struct owl_route *routes, size_t count, enum owl_method method, const char *path)
{
    struct owl_match match = {.index = -1};
    struct owl_text allow = owl_text_over(match.allow, sizeof match.allow);
    for (size_t i = 0; i < count; i++) {
        int64_t index;
        if (!path_fits(routes[i].path, path, &index))
            continue;
        owl_text_words(&allow, match.known ? ", " : "");
        owl_text_words(&allow, names[routes[i].method]);
        match.known = true;
        if (routes[i].method == method) {
            match.route = &routes[i];
            match.index = index;
        }
    }
    return match;
}
