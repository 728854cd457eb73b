/* Starting, telling the address, and stopping in the order that leaves nobody waiting. */
#include "serve/server.h"

#include <arpa/inet.h>
#include <errno.h>
#include <fcntl.h>
#include <netinet/in.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

#include "core/text.h"
#include "serve/exchange.h"
#include "serve/guard.h"

#define CONNECTION_BYTES (4 * OWL_GUARD_HEADER_MOST) /* the library's own refusal of larger headers is not as strict as ours */
#define SILENCE_S 60u            /* after which the library itself closes a connection that takes nothing */
#define BACKLOG 32

static enum owl_status fail(struct owl_error *error, enum owl_status status, const char *words, int port)
{
    struct owl_text text = owl_text_over(error->words, sizeof error->words);
    owl_text_words(&text, words);
    if (port > 0)
        owl_text_integer(&text, port);
    return status;
}

/* ---- the socket ---- */

/* SO_REUSEADDR lets a port be taken again at once after the server's end; it does not let another program share it,
   which on this system only SO_REUSEPORT on both sides would. */
static int listening_socket(int port, int *bound)
{
    int one = 1;
    struct sockaddr_in address = {.sin_family = AF_INET, .sin_port = htons((uint16_t)port)};
    socklen_t length = sizeof address;
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    int listening = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0);
    if (listening < 0)
        return -1;
    if (setsockopt(listening, SOL_SOCKET, SO_REUSEADDR, &one, sizeof one) != 0 ||
        bind(listening, (struct sockaddr *)&address, length) != 0 || listen(listening, BACKLOG) != 0 ||
        getsockname(listening, (struct sockaddr *)&address, &length) != 0) {
        close(listening);
        return -1;
    }
    *bound = ntohs(address.sin_port);
    return listening;
}

/* ---- starting ---- */

static int or_default(int given, int otherwise)
{
    return given > 0 ? given : otherwise;
}

static struct owl_server_options completed(const struct owl_server_options *given)
{
    struct owl_server_options options = *given;
    options.hands = or_default(given->hands, 1);
    options.connections_most = or_default(given->connections_most, 64);
    options.request_ms = or_default(given->request_ms, 15000);
    options.answer_ms = or_default(given->answer_ms, 120000);
    options.heartbeat_ms = or_default(given->heartbeat_ms, 15000);
    return options;
}

/* Often enough for the shortest of the times, and at most once a second. */
static int tick_ms(const struct owl_server_options *options)
{
    int shortest = options->request_ms < options->heartbeat_ms ? options->request_ms : options->heartbeat_ms;
    int tick = shortest / 4;
    return tick < 20 ? 20 : tick > 1000 ? 1000 : tick;
}

static struct MHD_Daemon *daemon_over(struct owl_server *server, int listening)
{
    unsigned flags = MHD_USE_INTERNAL_POLLING_THREAD | MHD_USE_POLL | MHD_ALLOW_SUSPEND_RESUME;
    return MHD_start_daemon(
        flags, 0, NULL, NULL, owl_exchange_step, server, MHD_OPTION_LISTEN_SOCKET, listening,
        MHD_OPTION_CONNECTION_LIMIT, (unsigned)server->options.connections_most,
        MHD_OPTION_CONNECTION_MEMORY_LIMIT, (size_t)CONNECTION_BYTES, MHD_OPTION_CONNECTION_TIMEOUT, SILENCE_S,
        MHD_OPTION_URI_LOG_CALLBACK, owl_exchange_begin, server, MHD_OPTION_NOTIFY_COMPLETED, owl_exchange_end, server,
        MHD_OPTION_NOTIFY_CONNECTION, owl_exchange_visit, server, MHD_OPTION_END);
}

/* Hands, clock and library; none of them is left running on failure. */
static bool start_threads(struct owl_server *server, int listening)
{
    const struct owl_server_options *options = &server->options;
    if (!owl_hands_open(&server->hands, options->hands, owl_exchange_work))
        return false;
    if (owl_pulse_open(&server->pulse, options->events, options->heartbeat_ms, tick_ms(options))) {
        server->daemon = daemon_over(server, listening);
        if (server->daemon != NULL)
            return true;
        owl_pulse_close(&server->pulse);
        owl_pulse_clear(&server->pulse);
    }
    owl_hands_close(&server->hands);
    owl_hands_clear(&server->hands);
    return false;
}

/* Threads inherit the mask: signals stay with the caller's. */
static bool start_deaf(struct owl_server *server, int listening)
{
    sigset_t all, before;
    sigfillset(&all);
    pthread_sigmask(SIG_SETMASK, &all, &before);
    bool started = start_threads(server, listening);
    pthread_sigmask(SIG_SETMASK, &before, NULL);
    return started;
}

static enum owl_status start_over(struct owl_server *server, int listening, struct owl_error *error)
{
    struct owl_text name = owl_text_over(server->cookie, sizeof server->cookie);
    owl_text_words(&name, "page-key-");
    owl_text_integer(&name, server->port);
    enum owl_status status = owl_keys_open(&server->keys, error);
    if (status != OWL_OK)
        return status;
    if (start_deaf(server, listening))
        return OWL_OK;
    owl_keys_close(&server->keys);
    return fail(error, OWL_NO_MEMORY, "the system gives no memory or thread for the server", 0);
}

enum owl_status owl_server_start(const struct owl_server_options *options, struct owl_server **server,
                                 struct owl_error *error)
{
    if (options->port != 0 && (options->port < 1024 || options->port > 65535))
        return fail(error, OWL_BAD_USE, "a port must be from 1024 to 65535, or 0 for any, not ", options->port);
    if (options->hands > OWL_HANDS_MOST)
        return fail(error, OWL_BAD_USE, "the server has at most 16 hands, not ", options->hands);
    struct owl_server *made = calloc(1, sizeof *made);
    if (made == NULL)
        return fail(error, OWL_NO_MEMORY, "no memory is left for the server", 0);
    made->options = completed(options);
    int listening = listening_socket(options->port, &made->port);
    enum owl_status status = OWL_OK;
    if (listening < 0 && errno == EADDRINUSE)
        status = fail(error, OWL_BAD_USE, "another program already uses port ", options->port);
    else if (listening < 0)
        status = fail(error, OWL_BAD_USE, "this machine does not let the program listen on its own address 127.0.0.1", 0);
    else
        status = start_over(made, listening, error);
    if (status == OWL_OK) {
        *server = made;
        return OWL_OK;
    }
    if (listening >= 0 && fcntl(listening, F_GETFD) != -1) /* the library closes it at some of its failures */
        close(listening);
    free(made);
    return status;
}

/* ---- serving and stopping ---- */

int owl_server_port(const struct owl_server *server)
{
    return server->port;
}

enum owl_status owl_server_address(struct owl_server *server, char address[OWL_SERVER_ADDRESS_BYTES],
                                   struct owl_error *error)
{
    char ticket[OWL_KEYS_DIGITS + 1];
    enum owl_status status = owl_keys_ticket(&server->keys, ticket, error);
    if (status != OWL_OK)
        return status;
    struct owl_text text = owl_text_over(address, OWL_SERVER_ADDRESS_BYTES);
    owl_text_words(&text, "http://127.0.0.1:");
    owl_text_integer(&text, server->port);
    owl_text_words(&text, "/enter?");
    owl_text_words(&text, ticket);
    return OWL_OK;
}

/* The library must not end with a suspended connection: first the hands give theirs back, then the streams. Requests
   that come in between find hands and channel closed and are answered at once. */
void owl_server_stop(struct owl_server *server)
{
    if (server == NULL)
        return;
    owl_hands_close(&server->hands);
    owl_pulse_close(&server->pulse);
    if (server->options.events != NULL)
        owl_events_close(server->options.events);
    MHD_stop_daemon(server->daemon);
    owl_pulse_clear(&server->pulse);
    owl_hands_clear(&server->hands);
    owl_keys_close(&server->keys);
    free(server);
}
