/* Building the library's responses. */
#include "serve/reply.h"

#include <string.h>

#include "core/text.h"
#include "serve/range.h"

#define POLICY                                                                                                      \
    "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self' data: blob:; "      \
    "connect-src 'self'; worker-src 'self'; form-action 'none'; base-uri 'none'; frame-ancestors 'none'"

/* ---- the last step of each ---- */

static void add(struct MHD_Response *response, const char *name, const char *value)
{
    if (value != NULL)
        (void)MHD_add_response_header(response, name, value);
}

/* Takes the response over; NULL for want of memory. */
static enum MHD_Result dispatch(struct MHD_Connection *connection, unsigned code, struct MHD_Response *response,
                                const char *caching)
{
    if (response == NULL)
        return MHD_NO;
    add(response, "Content-Security-Policy", POLICY);
    add(response, "X-Content-Type-Options", "nosniff");
    add(response, "Referrer-Policy", "no-referrer");
    add(response, "Cross-Origin-Opener-Policy", "same-origin");
    add(response, "Cross-Origin-Resource-Policy", "same-origin");
    add(response, "Cache-Control", caching);
    enum MHD_Result result = MHD_queue_response(connection, code, response);
    MHD_destroy_response(response);
    return result;
}

static struct MHD_Response *empty_response(void)
{
    return MHD_create_response_from_buffer(0, NULL, MHD_RESPMEM_PERSISTENT);
}

/* ---- complaints and redirects ---- */

enum MHD_Result owl_reply_complaint(struct MHD_Connection *connection, unsigned code, const char *words, const char *allow)
{
    char buffer[256];
    struct owl_text text = owl_text_over(buffer, sizeof buffer);
    owl_text_words(&text, "{\"error\":");
    owl_text_json(&text, words);
    owl_text_char(&text, '}');
    struct MHD_Response *response = MHD_create_response_from_buffer(text.length, buffer, MHD_RESPMEM_MUST_COPY);
    if (response == NULL)
        return MHD_NO;
    add(response, "Content-Type", "application/json");
    add(response, "Allow", allow);
    add(response, "Connection", "close");
    return dispatch(connection, code, response, "no-store");
}

enum MHD_Result owl_reply_redirect(struct MHD_Connection *connection, const char *location, const char *cookie)
{
    struct MHD_Response *response = empty_response();
    if (response == NULL)
        return MHD_NO;
    add(response, "Location", location);
    add(response, "Set-Cookie", cookie);
    return dispatch(connection, 303, response, "no-store");
}

enum MHD_Result owl_reply_stream(struct MHD_Connection *connection, struct MHD_Response *stream)
{
    add(stream, "Content-Type", "text/event-stream");
    return dispatch(connection, 200, stream, "no-store");
}

/* ---- bytes, whole or in part ---- */

static struct MHD_Response *response_of(struct owl_answer *answer, uint64_t first, size_t length)
{
    struct owl_answer taken = *answer;
    *answer = (struct owl_answer){.code = 204, .file = -1};
    struct MHD_Response *response;
    if (taken.file >= 0) {
        response = MHD_create_response_from_fd_at_offset64(length, taken.file, first);
    } else if (taken.release != NULL) {
        const char *from = (const char *)taken.bytes + first;
        response = MHD_create_response_from_buffer_with_free_callback_cls(length, (void *)(uintptr_t)from, taken.release,
                                                                          taken.owner);
    } else {
        const char *from = length > 0 ? (const char *)taken.bytes + first : NULL;
        response = MHD_create_response_from_buffer(length, (void *)(uintptr_t)from, MHD_RESPMEM_PERSISTENT);
    }
    if (response == NULL)
        owl_answer_clear(&taken);
    return response;
}

static void add_content_range(struct MHD_Response *response, const struct owl_range *range, size_t size)
{
    char buffer[80];
    struct owl_text text = owl_text_over(buffer, sizeof buffer);
    owl_text_words(&text, "bytes ");
    if (range->kind == OWL_RANGE_PART) {
        owl_text_integer(&text, (int64_t)range->first);
        owl_text_char(&text, '-');
        owl_text_integer(&text, (int64_t)(range->first + range->length - 1));
    } else {
        owl_text_char(&text, '*');
    }
    owl_text_char(&text, '/');
    owl_text_integer(&text, (int64_t)size);
    add(response, "Content-Range", buffer);
}

/* If-Range holds a range back unless the etag is the same; an answer without one is never known to be the same. */
static const char *range_asked(const struct owl_fields *fields, const char *etag)
{
    const char *condition = fields->value[OWL_FIELD_IF_RANGE];
    if (condition != NULL && (etag == NULL || strcmp(condition, etag) != 0))
        return NULL;
    return fields->value[OWL_FIELD_RANGE];
}

/* Answers 200 with the span that was asked for. *code becomes the status to send. NULL for want of memory. */
static struct MHD_Response *spanned(const struct owl_fields *fields, struct owl_answer *answer, const char *etag, unsigned *code)
{
    size_t size = answer->length;
    struct owl_range range = owl_range_read(range_asked(fields, etag), size);
    struct MHD_Response *response;
    if (range.kind == OWL_RANGE_BEYOND) {
        owl_answer_clear(answer);
        response = empty_response();
    } else {
        bool part = range.kind == OWL_RANGE_PART;
        response = response_of(answer, part ? range.first : 0, part ? (size_t)range.length : size);
    }
    *code = range.kind == OWL_RANGE_WHOLE ? 200 : range.kind == OWL_RANGE_PART ? 206 : 416;
    if (response == NULL)
        return NULL;
    if (range.kind != OWL_RANGE_WHOLE)
        add_content_range(response, &range, size);
    add(response, "Accept-Ranges", "bytes");
    return response;
}

enum MHD_Result owl_reply_answer(struct MHD_Connection *connection, const struct owl_fields *fields,
                                 struct owl_answer *answer)
{
    unsigned code = (unsigned)answer->code;
    const char *type = answer->type;
    struct MHD_Response *response =
        code == 200 ? spanned(fields, answer, NULL, &code) : response_of(answer, 0, answer->length);
    if (response == NULL)
        return MHD_NO;
    add(response, "Content-Type", type);
    return dispatch(connection, code, response, "no-store");
}

/* ---- assets ---- */

/* Whether a field holds this word as one of its list. One with a weight behind it does not count: the plain copy is
   always welcome. */
static bool lists(const char *field, const char *word)
{
    size_t length = strlen(word);
    for (const char *at = field; at != NULL && *at != '\0';) {
        at += strspn(at, " ,\t");
        size_t item = strcspn(at, " ,\t");
        if (item == length && memcmp(at, word, length) == 0)
            return true;
        at += item;
    }
    return false;
}

static enum MHD_Result send_asset(struct MHD_Connection *connection, unsigned code, struct MHD_Response *response,
                                  const struct owl_asset *asset, bool packed)
{
    if (response == NULL)
        return MHD_NO;
    add(response, "ETag", packed ? asset->packed_etag : asset->etag);
    add(response, "Content-Encoding", packed && code == 200 ? "gzip" : NULL);
    add(response, "Vary", asset->packed != NULL ? "Accept-Encoding" : NULL);
    return dispatch(connection, code, response, "no-cache");
}

enum MHD_Result owl_reply_asset(struct MHD_Connection *connection, const struct owl_fields *fields,
                                const struct owl_asset *asset)
{
    bool packed = asset->packed != NULL && fields->value[OWL_FIELD_RANGE] == NULL &&
                  lists(fields->value[OWL_FIELD_ACCEPT_CODING], "gzip");
    if (lists(fields->value[OWL_FIELD_IF_NONE_MATCH], packed ? asset->packed_etag : asset->etag))
        return send_asset(connection, 304, empty_response(), asset, packed);
    struct owl_answer answer = {200, asset->type, asset->bytes, asset->length, -1, NULL, NULL};
    if (packed) {
        answer.bytes = asset->packed;
        answer.length = asset->packed_length;
    }
    unsigned code = 200;
    struct MHD_Response *response = spanned(fields, &answer, asset->etag, &code);
    if (response != NULL)
        add(response, "Content-Type", asset->type);
    return send_asset(connection, code, response, asset, packed);
}
