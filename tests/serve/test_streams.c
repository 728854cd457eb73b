/* Event streams, work that lasts, and stopping in the midst of both. */
#include "serve/server.h"

#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

#include "serve/client.h"
#include "support/check.h"

#define POSTERS 4
#define POSTS 10 /* of each: together they fit a listener's queue */

static char answer[ROOM_ANSWER_BYTES];

/* Opens the stream and reads up to its first beat. */
static int listen_to(const struct room *room)
{
    char request[512];
    int socket = client_connect(room->port);
    int length = snprintf(request, sizeof request, "GET /events HTTP/1.1\r\nHost: 127.0.0.1:%d\r\nCookie: %s\r\n\r\n",
                          room->port, room->cookie);
    assert_true(client_send(socket, request, (size_t)length));
    client_read(socket, answer, sizeof answer, ":\n\n");
    assert_true(answer_has(answer, "Content-Type: text/event-stream"));
    return socket;
}

static void wait_for_listeners(const struct room *room, int count)
{
    for (int i = 0; i < 300 && owl_events_listeners(room->events) != count; i++)
        client_pause(10);
    assert_int_equal(owl_events_listeners(room->events), count);
}

static void post(struct room *room, const char *name, const char *json)
{
    assert_int_equal(owl_events_post(room->events, name, json), OWL_OK);
}

static void *post_many(void *cls)
{
    struct room *room = cls;
    for (int i = 0; i < POSTS; i++) {
        post(room, "step", "{\"n\":1}");
        client_pause(1);
    }
    return NULL;
}

static int count_of(const char *text, const char *part)
{
    int count = 0;
    for (const char *at = strstr(text, part); at != NULL; at = strstr(at + 1, part))
        count++;
    return count;
}

/* identity: every listener gets every event of every thread, in whole frames */
static void test_streams_reach_all(void **state)
{
    struct room *room = *state;
    pthread_t posters[POSTERS];
    int sockets[3];
    for (int i = 0; i < 3; i++)
        sockets[i] = listen_to(room);
    assert_int_equal(owl_events_listeners(room->events), 3);
    for (int i = 0; i < POSTERS; i++)
        pthread_create(&posters[i], NULL, post_many, room);
    for (int i = 0; i < POSTERS; i++)
        pthread_join(posters[i], NULL);
    post(room, "end", "{}");
    for (int i = 0; i < 3; i++) {
        client_read(sockets[i], answer, sizeof answer, "event: end\ndata: {}\n\n");
        assert_int_equal(count_of(answer, "event: step\ndata: {\"n\":1}\n\n"), POSTERS * POSTS);
        close(sockets[i]);
    }
}

/* identity: text of several lines stays inside its event; names that would break a frame are refused */
static void test_streams_frames(void **state)
{
    struct room *room = *state;
    int socket = listen_to(room);
    static const char *const names[] = {"", "a b", "a\nb", "Ab", "123456789012345678901234567890123", "\xc3\xa4"};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++)
        assert_int_equal(owl_events_post(room->events, names[i], "{}"), OWL_BAD_USE);
    post(room, "lines", "{\"a\":\n1,\r\n\"b\":\r2}\n\nevent: forged");
    post(room, "end", "{}");
    client_read(socket, answer, sizeof answer, "event: end\ndata: {}\n\n");
    assert_non_null(strstr(answer, "event: lines\n"
                                   "data: {\"a\":\ndata: 1,\r\ndata: \"b\":\rdata: 2}\ndata: \ndata: event: forged\n\n"));
    static char large[30000];
    memset(large, 'x', sizeof large - 1);
    post(room, "large", large);
    post(room, "end", "{}");
    client_read(socket, answer, sizeof answer, "event: end\ndata: {}\n\n");
    assert_int_equal(count_of(answer, "x"), strlen(large)); /* the chunks of the transfer cut it into pieces */
    close(socket);
}

/* identity: an idle stream beats, though the times for requests and answers are over */
static void test_streams_beat(void **state)
{
    struct room *room = *state;
    int socket = listen_to(room);
    client_pause(ROOM_REQUEST_MS * 2);
    post(room, "end", "{}");
    client_read(socket, answer, sizeof answer, "event: end\ndata: {}\n\n");
    assert_in_range(count_of(answer, ":\n\n"), 2, 8);
    close(socket);
}

/* fault: listeners that are gone are noticed without an event; one too many is refused until then */
static void test_streams_gone(void **state)
{
    struct room *room = *state;
    int sockets[3];
    for (int i = 0; i < 3; i++)
        sockets[i] = listen_to(room);
    assert_int_equal(client_ask_keyed(room, "GET", "/events", "", "", answer), 503);
    for (int i = 0; i < 3; i++)
        close(sockets[i]);
    wait_for_listeners(room, 0);
    assert_int_equal(client_ask_keyed(room, "HEAD", "/events", "", "", answer), 200);
    sockets[0] = listen_to(room);
    wait_for_listeners(room, 1);
    close(sockets[0]);
}

/* fault: a listener that does not read holds no memory without end, and is told what it missed */
static void test_streams_lost(void **state)
{
    struct room *room = *state;
    static char large[100000];
    int socket = listen_to(room);
    memset(large, 'x', sizeof large - 1);
    for (int i = 0; i < 400; i++)
        post(room, "large", large);
    post(room, "end", "{}");
    static char all[64 * 1024 * 1024]; /* more than 400 of them */
    size_t length = 0;
    while (length + 1 < sizeof all && strstr(all + (length > 200 ? length - 200 : 0), "event: end") == NULL) {
        ssize_t got = recv(socket, all + length, sizeof all - 1 - length, 0);
        assert_true(got > 0);
        length += (size_t)got;
        all[length] = '\0';
    }
    static const char lost[] = "event: lost\ndata: {\"events\":";
    int told = 0;
    for (const char *at = strstr(all, lost); at != NULL; at = strstr(at + 1, lost))
        told += atoi(at + sizeof lost - 1);
    assert_in_range(told, 1, 400);
    assert_int_equal(count_of(all, "event: large") + told, 400);
    close(socket);
}

static const char slow_format[] = "POST /slow HTTP/1.1\r\nHost: 127.0.0.1:%d\r\nOrigin: http://127.0.0.1:%d\r\n"
                                  "Cookie: %s\r\nContent-Length: 0\r\nConnection: close\r\n\r\n";

static int ask_slow(const struct room *room)
{
    char request[512];
    int socket = client_connect(room->port);
    int length = snprintf(request, sizeof request, slow_format, room->port, room->port, room->cookie);
    assert_true(client_send(socket, request, (size_t)length));
    return socket;
}

/* identity: pages and events are served while a handler works, longer even than a request may take */
static void test_streams_while_working(void **state)
{
    struct room *room = *state;
    room->slow_ms = ROOM_REQUEST_MS * 2;
    int stream = listen_to(room), slow = ask_slow(room);
    long long start = client_now_ms();
    assert_int_equal(client_ask(room, "GET", "/app.js", "", "", answer), 200);
    assert_true(client_now_ms() - start < ROOM_REQUEST_MS);
    client_read(slow, answer, sizeof answer, NULL);
    assert_non_null(strstr(answer, "HTTP/1.1 202"));
    client_read(stream, answer, sizeof answer, "event: slow\ndata: {\"done\":true}\n\n");
    assert_non_null(strstr(answer, "event: slow"));
    close(stream);
    close(slow);
}

static void *ask_on(void *cls)
{
    struct room *room = cls;
    char request[512], bytes[1024];
    int length = snprintf(request, sizeof request, slow_format, room->port, room->port, room->cookie);
    for (int i = 0; i < 1000; i++) {
        int socket = client_connect(room->port);
        if (socket < 0)
            break;
        (void)client_send(socket, request, (size_t)length);
        client_read(socket, bytes, sizeof bytes, NULL);
        close(socket);
    }
    return NULL;
}

static void *post_on(void *cls)
{
    struct room *room = cls;
    for (int i = 0; i < 60; i++) {
        post(room, "step", "{}");
        client_pause(1);
    }
    return NULL;
}

/* fault: stopping with handlers at work, requests coming in, listeners and posters: everything ends, nothing stays */
static void test_streams_stop_while_busy(void **state)
{
    (void)state;
    for (int round = 0; round < 15; round++) {
        struct room room;
        pthread_t askers[3], poster;
        room_enter(&room);
        room.slow_ms = round % 4;
        int stream = listen_to(&room), other = listen_to(&room), half = client_connect(room.port);
        (void)client_send(half, "POST /plan HTT", 14);
        for (int i = 0; i < 3; i++)
            pthread_create(&askers[i], NULL, ask_on, &room);
        pthread_create(&poster, NULL, post_on, &room);
        client_pause(5 + 3 * round);
        long long start = client_now_ms();
        owl_server_stop(room.server);
        assert_true(client_now_ms() - start < 2000);
        assert_int_equal(owl_events_listeners(room.events), 0);
        for (int i = 0; i < 3; i++)
            pthread_join(askers[i], NULL);
        pthread_join(poster, NULL);
        assert_true(client_sees_close(stream, 1000) && client_sees_close(other, 1000) && client_sees_close(half, 1000));
        room.server = NULL;
        room_close(&room);
        close(stream);
        close(other);
        close(half);
    }
}

/* fault: a client that leaves while its handler works harms nothing */
static void test_streams_leave_while_working(void **state)
{
    struct room *room = *state;
    room->slow_ms = 20;
    for (int i = 0; i < 10; i++)
        close(ask_slow(room));
    for (int i = 0; i < 300 && __atomic_load_n(&room->handled, __ATOMIC_SEQ_CST) < 10; i++)
        client_pause(10);
    assert_in_range(room->handled, 1, 10);
    assert_int_equal(client_ask_keyed(room, "GET", "/data", "", "", answer), 200);
}

static int set_up(void **state)
{
    static struct room room;
    room_enter(&room);
    *state = &room;
    return 0;
}

static int tear_down(void **state)
{
    room_close(*state);
    return 0;
}

#define ROOM_TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        ROOM_TEST(test_streams_reach_all), ROOM_TEST(test_streams_frames), ROOM_TEST(test_streams_beat),
        ROOM_TEST(test_streams_gone), ROOM_TEST(test_streams_lost), ROOM_TEST(test_streams_while_working),
        cmocka_unit_test(test_streams_stop_while_busy), ROOM_TEST(test_streams_leave_while_working),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
