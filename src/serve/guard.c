/* Reading the header fields and holding them against the rules. */
#include "serve/guard.h"

#include <microhttpd.h>
#include <string.h>
#include <strings.h>

#include "core/text.h"

static const char *const names[OWL_FIELDS] = {
    [OWL_FIELD_HOST] = "Host",
    [OWL_FIELD_ORIGIN] = "Origin",
    [OWL_FIELD_FETCH_SITE] = "Sec-Fetch-Site",
    [OWL_FIELD_PURPOSE] = "Sec-Purpose",
    [OWL_FIELD_COOKIE] = "Cookie",
    [OWL_FIELD_TYPE] = "Content-Type",
    [OWL_FIELD_LENGTH] = "Content-Length",
    [OWL_FIELD_CODING] = "Transfer-Encoding",
    [OWL_FIELD_RANGE] = "Range",
    [OWL_FIELD_IF_RANGE] = "If-Range",
    [OWL_FIELD_IF_NONE_MATCH] = "If-None-Match",
    [OWL_FIELD_ACCEPT_CODING] = "Accept-Encoding",
};

static enum MHD_Result note(void *cls, enum MHD_ValueKind kind, const char *key, size_t key_size, const char *value,
                            size_t value_size)
{
    struct owl_fields *fields = cls;
    (void)kind;
    fields->bytes += key_size + value_size;
    for (int i = 0; i < OWL_FIELDS; i++) {
        if (strlen(names[i]) != key_size || strcasecmp(names[i], key) != 0)
            continue;
        if (fields->value[i] != NULL || value == NULL || strlen(value) != value_size)
            fields->broken = true;
        fields->value[i] = value != NULL ? value : "";
    }
    return MHD_YES;
}

struct owl_fields owl_guard_fields(struct MHD_Connection *connection)
{
    struct owl_fields fields = {0};
    MHD_get_connection_values_n(connection, MHD_HEADER_KIND, note, &fields);
    return fields;
}

static bool host_is_ours(const char *host, int port)
{
    static const char *const ours[] = {"127.0.0.1:", "localhost:", "[::1]:"};
    for (size_t i = 0; i < sizeof ours / sizeof ours[0]; i++) {
        char buffer[32];
        struct owl_text text = owl_text_over(buffer, sizeof buffer);
        owl_text_words(&text, ours[i]);
        owl_text_integer(&text, port);
        if (strcmp(host, buffer) == 0)
            return true;
    }
    return false;
}

/* Stricter than one of our names: a stranger may listen on the same port of another of them. */
static bool origin_is_host(const char *origin, const char *host)
{
    static const char scheme[] = "http://";
    return strncmp(origin, scheme, sizeof scheme - 1) == 0 && strcmp(origin + sizeof scheme - 1, host) == 0;
}

struct owl_refusal owl_guard_check(const struct owl_fields *fields, int port, bool writes)
{
    const char *host = fields->value[OWL_FIELD_HOST], *origin = fields->value[OWL_FIELD_ORIGIN];
    const char *site = fields->value[OWL_FIELD_FETCH_SITE];
    if (fields->bytes > OWL_GUARD_HEADER_MOST)
        return (struct owl_refusal){431, "the request's header is too large"};
    if (fields->broken || host == NULL)
        return (struct owl_refusal){400, "the request's header is malformed"};
    if (fields->value[OWL_FIELD_LENGTH] != NULL && fields->value[OWL_FIELD_CODING] != NULL)
        return (struct owl_refusal){400, "the request tells its length in two ways"};
    if (!host_is_ours(host, port))
        return (struct owl_refusal){403, "this server does not go by that name"};
    if (origin != NULL ? !origin_is_host(origin, host) : writes)
        return (struct owl_refusal){403, "the request does not come from a page of this server"};
    if (site != NULL && strcmp(site, "same-origin") != 0 && strcmp(site, "none") != 0)
        return (struct owl_refusal){403, "the request comes from a page of another site"};
    return (struct owl_refusal){0, NULL};
}
