/* The served room and the raw client. */
#include "serve/client.h"

#include <arpa/inet.h>
#include <errno.h>
#include <fcntl.h>
#include <netinet/in.h>
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/time.h>
#include <time.h>
#include <unistd.h>

#include "support/check.h"

/* ---- the room ---- */

static const unsigned char page[] = "<!doctype html>abcdefghijk";
static const unsigned char packed[] = "PACKED";
static const struct owl_asset assets[] = {
    {"/", "text/html; charset=utf-8", "\"page-1\"", page, sizeof page - 1, "\"page-1-gzip\"", packed, sizeof packed - 1},
    {"/app.js", "text/javascript; charset=utf-8", "\"app-1\"", page, 4, NULL, NULL, 0},
};
static const struct owl_asset_table table = {assets, 2};

static void count_release(void *owner)
{
    struct room *room = owner;
    __atomic_add_fetch(&room->released, 1, __ATOMIC_SEQ_CST);
}

static void give_data(void *cls, const struct owl_request *request, struct owl_answer *answer)
{
    (void)cls;
    (void)request;
    owl_answer_text(answer, 200, "application/json", "{\"secret\":1}", 12);
}

static void give_item(void *cls, const struct owl_request *request, struct owl_answer *answer)
{
    struct room *room = cls;
    if (request->index != 7)
        owl_answer_complaint(answer, 404, "there is no such \"item\"");
    else
        owl_answer_bytes(answer, "image/jpeg", room->item, ROOM_ITEM_BYTES, count_release, room);
}

static void give_file(void *cls, const struct owl_request *request, struct owl_answer *answer)
{
    struct room *room = cls;
    (void)request;
    owl_answer_file(answer, "image/jpeg", open(room->file, O_RDONLY | O_CLOEXEC), ROOM_ITEM_BYTES);
}

static void take_plan(void *cls, const struct owl_request *request, struct owl_answer *answer)
{
    struct owl_error error = {""};
    json_t *root = NULL;
    char text[64];
    (void)cls;
    if (owl_request_json(request, &root, &error) != OWL_OK) {
        owl_answer_complaint(answer, 400, error.words);
        return;
    }
    int length = snprintf(text, sizeof text, "%zu members, %zu bytes", json_object_size(root), request->length);
    json_decref(root);
    owl_answer_text(answer, 200, "text/plain", text, (size_t)length);
}

static void be_slow(void *cls, const struct owl_request *request, struct owl_answer *answer)
{
    struct room *room = cls;
    (void)request;
    client_pause(room->slow_ms);
    __atomic_add_fetch(&room->handled, 1, __ATOMIC_SEQ_CST);
    (void)!owl_events_post(room->events, "slow", "{\"done\":true}");
    owl_answer_done(answer, 202);
}

static void say_nothing(void *cls, const struct owl_request *request, struct owl_answer *answer)
{
    (void)cls;
    (void)request;
    (void)answer;
}

static void make_file(struct room *room)
{
    for (int i = 0; i < ROOM_ITEM_BYTES; i++)
        room->item[i] = (unsigned char)('a' + i % 26);
    strcpy(room->file, "/tmp/serve-test-XXXXXX");
    int file = mkstemp(room->file);
    assert_true(file >= 0);
    assert_int_equal(write(file, room->item, ROOM_ITEM_BYTES), ROOM_ITEM_BYTES);
    close(file);
}

static void give_large(void *cls, const struct owl_request *request, struct owl_answer *answer)
{
    static const unsigned char large[ROOM_LARGE_BYTES];
    (void)cls;
    (void)request;
    owl_answer_bytes(answer, "image/jpeg", large, sizeof large, NULL, NULL);
}

static struct owl_route routes[8];

void room_open(struct room *room, int connections_most)
{
    memset(room, 0, sizeof *room);
    make_file(room);
    struct owl_route made[] = {
        {OWL_GET, "/data", 0, give_data, room},   {OWL_GET, "/items/#", 0, give_item, room},
        {OWL_GET, "/files/#", 0, give_file, room}, {OWL_GET, "/plan", 0, give_data, room},
        {OWL_POST, "/plan", ROOM_BODY_MOST, take_plan, room}, {OWL_POST, "/slow", 0, be_slow, room},
        {OWL_GET, "/silent", 0, say_nothing, room}, {OWL_GET, "/large", 0, give_large, room},
    };
    memcpy(routes, made, sizeof made);
    room->events = owl_events_open(3);
    struct owl_server_options options = {.assets = &table, .routes = routes, .route_count = 8, .events = room->events,
        .events_path = "/events", .connections_most = connections_most, .hands = 2,
        .request_ms = ROOM_REQUEST_MS, .answer_ms = ROOM_ANSWER_MS,
        .heartbeat_ms = 300};
    struct owl_error error = {""};
    assert_int_equal(owl_server_start(&options, &room->server, &error), OWL_OK);
    room->port = owl_server_port(room->server);
}

void room_enter(struct room *room)
{
    char address[OWL_SERVER_ADDRESS_BYTES], answer[ROOM_ANSWER_BYTES];
    struct owl_error error = {""};
    room_open(room, 0);
    assert_int_equal(owl_server_address(room->server, address, &error), OWL_OK);
    assert_int_equal(client_ask(room, "GET", strchr(address + 7, '/'), "", "", answer), 303);
    const char *cookie = strstr(answer, "Set-Cookie: ");
    assert_non_null(cookie);
    cookie += strlen("Set-Cookie: ");
    memcpy(room->cookie, cookie, strcspn(cookie, ";"));
}

void room_close(struct room *room)
{
    owl_server_stop(room->server);
    owl_events_free(room->events);
    unlink(room->file);
}

/* ---- sockets ---- */

int client_connect(int port)
{
    struct sockaddr_in address = {.sin_family = AF_INET, .sin_port = htons((uint16_t)port)};
    struct timeval most = {.tv_sec = 5};
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    int made = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    setsockopt(made, SOL_SOCKET, SO_RCVTIMEO, &most, sizeof most);
    setsockopt(made, SOL_SOCKET, SO_SNDTIMEO, &most, sizeof most);
    if (made >= 0 && connect(made, (struct sockaddr *)&address, sizeof address) == 0)
        return made;
    if (made >= 0)
        close(made);
    return -1;
}

bool client_send(int socket, const char *bytes, size_t length)
{
    while (length > 0) {
        ssize_t sent = send(socket, bytes, length, MSG_NOSIGNAL);
        if (sent <= 0)
            return false;
        bytes += sent;
        length -= (size_t)sent;
    }
    return true;
}

size_t client_read(int socket, char *answer, size_t room, const char *until)
{
    size_t length = 0;
    answer[0] = '\0';
    while (length + 1 < room && (until == NULL || strstr(answer, until) == NULL)) {
        ssize_t got = recv(socket, answer + length, room - 1 - length, 0);
        if (got <= 0)
            break;
        length += (size_t)got;
        answer[length] = '\0';
    }
    return length;
}

bool client_sees_close(int socket, int most_ms)
{
    long long until = client_now_ms() + most_ms;
    char bytes[256];
    for (long long left = most_ms; left > 0; left = until - client_now_ms()) {
        struct pollfd one = {.fd = socket, .events = POLLIN};
        if (poll(&one, 1, (int)left) > 0 && recv(socket, bytes, sizeof bytes, 0) <= 0)
            return true;
    }
    return false;
}

void client_pause(int ms)
{
    struct timespec time = {.tv_sec = ms / 1000, .tv_nsec = (long)(ms % 1000) * 1000000};
    nanosleep(&time, NULL);
}

long long client_now_ms(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (long long)now.tv_sec * 1000 + now.tv_nsec / 1000000;
}

/* ---- requests ---- */

int client_raw(int port, const char *bytes, size_t length, char *answer)
{
    int socket = client_connect(port);
    assert_true(socket >= 0);
    (void)client_send(socket, bytes, length);
    client_read(socket, answer, ROOM_ANSWER_BYTES, NULL);
    close(socket);
    return strncmp(answer, "HTTP/1.", 7) == 0 ? atoi(answer + 9) : 0;
}

int client_ask(const struct room *room, const char *method, const char *target, const char *fields, const char *body,
               char *answer)
{
    static char request[ROOM_ANSWER_BYTES];
    int length = snprintf(request, sizeof request, "%s %s HTTP/1.1\r\nHost: 127.0.0.1:%d\r\nConnection: close\r\n%s\r\n%s",
                          method, target, room->port, fields, body);
    assert_true(length > 0 && (size_t)length < sizeof request);
    return client_raw(room->port, request, (size_t)length, answer);
}

int client_ask_keyed(const struct room *room, const char *method, const char *target, const char *fields,
                     const char *body, char *answer)
{
    static char all[ROOM_ANSWER_BYTES];
    snprintf(all, sizeof all, "Cookie: other=1; %s\r\nOrigin: http://127.0.0.1:%d\r\n%s", room->cookie, room->port, fields);
    return client_ask(room, method, target, all, body, answer);
}

bool answer_has(const char *answer, const char *line)
{
    const char *found = strstr(answer, line);
    return found != NULL && found[-1] == '\n' && strncmp(found + strlen(line), "\r\n", 2) == 0 &&
           found < answer_body(answer);
}

const char *answer_body(const char *answer)
{
    const char *end = strstr(answer, "\r\n\r\n");
    return end != NULL ? end + 4 : answer + strlen(answer);
}
