/* From the header to the answer. */
#include "serve/exchange.h"

#include <stdlib.h>
#include <string.h>

#include "core/text.h"
#include "serve/guard.h"
#include "serve/reply.h"

#define ENTER "/enter?"              /* where a ticket is exchanged */
#define FLOOD_BYTES (256 * 1024)     /* read and dropped beyond a route's limit, so that the refusal can still be read */
#define FIRST_BODY_BYTES (16 * 1024) /* of a body whose length was not told */

enum stage {
    STAGE_HEADER,  /* nothing looked at yet */
    STAGE_BODY,    /* let in, the body is coming */
    STAGE_WORK,    /* a hand has it; the connection is suspended */
    STAGE_ANSWERED /* the hand is done */
};

struct exchange {
    struct owl_job job; /* first: the hands know only this */
    struct owl_server *server;
    struct MHD_Connection *connection;
    char target[OWL_EXCHANGE_TARGET_MOST + 1]; /* cut when longer */
    bool target_long;
    enum stage stage;
    enum owl_method method;
    bool head;
    struct owl_fields fields;
    const struct owl_asset *asset; /* one of these three answers */
    bool stream;
    struct owl_match match;
    char *body;
    size_t length, room, dropped;
    struct owl_answer answer;
};

/* ---- beginning and end ---- */

void *owl_exchange_begin(void *cls, const char *target, struct MHD_Connection *connection)
{
    struct exchange *exchange = calloc(1, sizeof *exchange);
    if (exchange == NULL)
        return NULL;
    exchange->server = cls;
    exchange->connection = connection;
    exchange->answer = (struct owl_answer){.code = 204, .file = -1};
    struct owl_text text = owl_text_over(exchange->target, sizeof exchange->target);
    owl_text_words(&text, target);
    exchange->target_long = text.cut;
    return exchange;
}

static void allow(struct exchange *exchange, int most_ms)
{
    const union MHD_ConnectionInfo *info =
        MHD_get_connection_info(exchange->connection, MHD_CONNECTION_INFO_SOCKET_CONTEXT);
    if (info != NULL)
        owl_pulse_allow(&exchange->server->pulse, info->socket_context, most_ms);
}

void owl_exchange_end(void *cls, struct MHD_Connection *connection, void **context, enum MHD_RequestTerminationCode why)
{
    struct exchange *exchange = *context;
    (void)cls;
    (void)connection;
    (void)why;
    *context = NULL;
    if (exchange == NULL)
        return;
    allow(exchange, exchange->server->options.request_ms);
    owl_answer_clear(&exchange->answer);
    free(exchange->body);
    free(exchange);
}

void owl_exchange_visit(void *cls, struct MHD_Connection *connection, void **visit, enum MHD_ConnectionNotificationCode what)
{
    struct owl_server *server = cls;
    const union MHD_ConnectionInfo *info = MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CONNECTION_FD);
    if (what == MHD_CONNECTION_NOTIFY_STARTED && info != NULL) {
        *visit = owl_pulse_enter(&server->pulse, info->connect_fd, server->options.request_ms);
    } else if (what == MHD_CONNECTION_NOTIFY_CLOSED && *visit != NULL) {
        owl_pulse_leave(&server->pulse, *visit);
        *visit = NULL;
    }
}

/* ---- letting in ---- */

static enum MHD_Result refuse(struct exchange *exchange, unsigned code, const char *words)
{
    allow(exchange, exchange->server->options.answer_ms);
    return owl_reply_complaint(exchange->connection, code, words, NULL);
}

static enum MHD_Result refuse_method(struct exchange *exchange, const char *methods)
{
    allow(exchange, exchange->server->options.answer_ms);
    return owl_reply_complaint(exchange->connection, 405, "this address does not know that method", methods);
}

static bool has_key(const struct exchange *exchange)
{
    const struct owl_server *server = exchange->server;
    return owl_keys_fit(&server->keys, exchange->fields.value[OWL_FIELD_COOKIE], server->cookie);
}

/* Whether the body that was announced is larger than `most`. One of unknown length is let in when any is. */
static bool body_too_large(const struct exchange *exchange, size_t most)
{
    const char *told = exchange->fields.value[OWL_FIELD_LENGTH];
    if (told == NULL)
        return exchange->fields.value[OWL_FIELD_CODING] != NULL && most == 0;
    uint64_t length = 0;
    for (; *told >= '0' && *told <= '9' && length <= most; told++)
        length = length * 10 + (uint64_t)(*told - '0');
    return *told != '\0' || length > most;
}

static enum MHD_Result hand_key(struct exchange *exchange)
{
    char cookie[OWL_SERVER_COOKIE_BYTES + OWL_KEYS_DIGITS + 48];
    struct owl_text text = owl_text_over(cookie, sizeof cookie);
    owl_text_words(&text, exchange->server->cookie);
    owl_text_char(&text, '=');
    owl_text_words(&text, exchange->server->keys.session);
    owl_text_words(&text, "; Path=/; HttpOnly; SameSite=Strict");
    return owl_reply_redirect(exchange->connection, "/", cookie);
}

/* Swaps a ticket for the session's key. A browser that has the key may come back with the dead ticket: a restored
   window does. What a browser fetches before it is asked to would use the ticket up, so that is turned away. */
static enum MHD_Result enter(struct exchange *exchange)
{
    if (exchange->method != OWL_GET || exchange->head)
        return refuse_method(exchange, "GET");
    if (body_too_large(exchange, 0))
        return refuse(exchange, 413, "the request's body is too large");
    if (exchange->fields.value[OWL_FIELD_PURPOSE] != NULL)
        return refuse(exchange, 403, "this address is not to be fetched ahead");
    struct owl_server *server = exchange->server;
    bool fresh = owl_keys_spend(&server->keys, exchange->target + sizeof ENTER - 1);
    if (!fresh && !has_key(exchange))
        return refuse(exchange, 403, "this address was good for one use only; open the page from the program again");
    allow(exchange, server->options.answer_ms);
    return fresh ? hand_key(exchange) : owl_reply_redirect(exchange->connection, "/", NULL);
}

static enum MHD_Result let_in(struct exchange *exchange, size_t body_most)
{
    if (body_too_large(exchange, body_most))
        return refuse(exchange, 413, "the request's body is too large");
    exchange->stage = STAGE_BODY;
    return MHD_YES;
}

/* Addresses that only the key opens. */
static enum MHD_Result find_guarded(struct exchange *exchange)
{
    const struct owl_server_options *options = &exchange->server->options;
    bool stream = options->events != NULL && strcmp(exchange->target, options->events_path) == 0;
    exchange->match = owl_routes_find(options->routes, options->route_count, exchange->method, exchange->target);
    if (!stream && !exchange->match.known)
        return refuse(exchange, 404, "there is nothing at this address");
    if (!has_key(exchange))
        return refuse(exchange, 403, "this page has lost its key; open it from the program again");
    exchange->stream = stream && exchange->method == OWL_GET;
    if (exchange->stream)
        return let_in(exchange, 0);
    if (exchange->match.route == NULL)
        return refuse_method(exchange, stream ? "GET, HEAD" : exchange->match.allow);
    return let_in(exchange, exchange->match.route->body_most);
}

static enum MHD_Result find(struct exchange *exchange)
{
    if (strncmp(exchange->target, ENTER, sizeof ENTER - 1) == 0)
        return enter(exchange);
    exchange->asset = owl_assets_find(exchange->server->options.assets, exchange->target);
    if (exchange->asset == NULL)
        return find_guarded(exchange);
    if (exchange->method != OWL_GET)
        return refuse_method(exchange, "GET, HEAD");
    return let_in(exchange, 0);
}

static enum MHD_Result look_at_header(struct exchange *exchange, const char *method)
{
    exchange->method = owl_routes_method(method);
    exchange->head = strcmp(method, "HEAD") == 0;
    exchange->fields = owl_guard_fields(exchange->connection);
    struct owl_refusal refusal =
        owl_guard_check(&exchange->fields, exchange->server->port, exchange->method != OWL_GET);
    if (refusal.code != 0)
        return refuse(exchange, refusal.code, refusal.words);
    if (exchange->target_long)
        return refuse(exchange, 414, "the address is too long");
    if (exchange->target[0] != '/')
        return refuse(exchange, 400, "the address must begin with /");
    return find(exchange);
}

/* ---- the body ---- */

static bool make_room(struct exchange *exchange, size_t more)
{
    size_t wanted = exchange->length + more + 1;
    if (wanted <= exchange->room)
        return true;
    size_t room = exchange->room > 0 ? exchange->room : FIRST_BODY_BYTES;
    while (room < wanted)
        room *= 2;
    char *body = realloc(exchange->body, room);
    if (body == NULL)
        return false;
    exchange->body = body;
    exchange->room = room;
    return true;
}

/* MHD_NO gives the connection up: the sender goes on without end. */
static enum MHD_Result take_piece(struct exchange *exchange, const char *data, size_t size)
{
    size_t most = exchange->match.route != NULL ? exchange->match.route->body_most : 0;
    if (exchange->dropped > 0 || size > most - exchange->length) {
        exchange->dropped += size;
        return exchange->dropped > FLOOD_BYTES ? MHD_NO : MHD_YES;
    }
    if (!make_room(exchange, size))
        return MHD_NO;
    memcpy(exchange->body + exchange->length, data, size);
    exchange->length += size;
    exchange->body[exchange->length] = '\0';
    return MHD_YES;
}

/* ---- answering ---- */

void owl_exchange_work(struct owl_job *job)
{
    struct exchange *exchange = (struct exchange *)job;
    const struct owl_route *route = exchange->match.route;
    const char *type = exchange->fields.value[OWL_FIELD_TYPE];
    struct owl_request request = {
        .method = exchange->method,
        .index = exchange->match.index,
        .type = type != NULL ? type : "",
        .body = exchange->body != NULL ? exchange->body : "",
        .length = exchange->length,
    };
    owl_answer_complaint(&exchange->answer, 500, "the program made no answer");
    route->handle(route->room, &request, &exchange->answer);
    exchange->stage = STAGE_ANSWERED;
    MHD_resume_connection(exchange->connection);
}

/* The connection is suspended first: a hand may be done before this returns. */
static enum MHD_Result hand_over(struct exchange *exchange)
{
    exchange->stage = STAGE_WORK;
    allow(exchange, 0);
    MHD_suspend_connection(exchange->connection);
    if (!owl_hands_give(&exchange->server->hands, &exchange->job)) {
        owl_answer_complaint(&exchange->answer, 503, "the program is ending");
        exchange->stage = STAGE_ANSWERED;
        MHD_resume_connection(exchange->connection);
    }
    return MHD_YES;
}

/* Only the beats tell how long a stream lasts. For HEAD the library asks the stream for nothing and ends it. */
static enum MHD_Result open_stream(struct exchange *exchange)
{
    struct MHD_Response *stream = owl_events_listen(exchange->server->options.events, exchange->connection);
    if (stream == NULL)
        return refuse(exchange, 503, "too many pages are listening already");
    allow(exchange, 0);
    return owl_reply_stream(exchange->connection, stream);
}

static enum MHD_Result complete(struct exchange *exchange)
{
    if (exchange->dropped > 0)
        return refuse(exchange, 413, "the request's body is too large");
    if (exchange->stream)
        return open_stream(exchange);
    if (exchange->asset == NULL)
        return hand_over(exchange);
    allow(exchange, exchange->server->options.answer_ms);
    return owl_reply_asset(exchange->connection, &exchange->fields, exchange->asset);
}

enum MHD_Result owl_exchange_step(void *cls, struct MHD_Connection *connection, const char *url, const char *method,
                                  const char *version, const char *data, size_t *size, void **context)
{
    struct exchange *exchange = *context;
    (void)cls;
    (void)url;
    (void)version;
    if (exchange == NULL)
        return MHD_NO;
    if (exchange->stage == STAGE_HEADER)
        return look_at_header(exchange, method);
    if (exchange->stage == STAGE_BODY && *size > 0) {
        size_t piece = *size;
        *size = 0;
        return take_piece(exchange, data, piece);
    }
    if (exchange->stage == STAGE_BODY)
        return complete(exchange);
    allow(exchange, exchange->server->options.answer_ms);
    return owl_reply_answer(connection, &exchange->fields, &exchange->answer);
}
