/* The server under attack: guards, keys, addresses, bodies, slow and crooked requests. */
#include "serve/server.h"

#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

#include "serve/client.h"
#include "serve/range.h"
#include "support/check.h"

#define COUNT(list) (sizeof(list) / sizeof(list)[0])

static char answer[ROOM_ANSWER_BYTES];

static void check_status(const char *what, int actual, int wanted)
{
    if (actual != wanted)
        fail_msg("%s: %d, not %d: %.300s", what, actual, wanted, answer);
}

/* ---- assets and the fields of every answer ---- */

static void check_strict(const char *what)
{
    static const char *const lines[] = {
        "Content-Security-Policy: default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; "
        "img-src 'self' data: blob:; connect-src 'self'; worker-src 'self'; form-action 'none'; base-uri 'none'; "
        "frame-ancestors 'none'",
        "X-Content-Type-Options: nosniff",
        "Referrer-Policy: no-referrer",
        "Cross-Origin-Opener-Policy: same-origin",
        "Cross-Origin-Resource-Policy: same-origin",
    };
    for (size_t i = 0; i < COUNT(lines); i++)
        if (!answer_has(answer, lines[i]))
            fail_msg("%s lacks %s: %s", what, lines[i], answer);
}

/* identity: a page comes as it was put in, packed where that is understood, and not again when it is known */
static void test_server_assets(void **state)
{
    struct room *room = *state;
    check_status("page", client_ask(room, "GET", "/", "", "", answer), 200);
    check_strict("page");
    assert_true(answer_has(answer, "ETag: \"page-1\"") && answer_has(answer, "Cache-Control: no-cache"));
    assert_true(answer_has(answer, "Vary: Accept-Encoding"));
    assert_string_equal(answer_body(answer), "<!doctype html>abcdefghijk");
    check_status("packed", client_ask(room, "GET", "/", "Accept-Encoding: br, gzip, deflate\r\n", "", answer), 200);
    assert_true(answer_has(answer, "Content-Encoding: gzip") && answer_has(answer, "ETag: \"page-1-gzip\""));
    assert_string_equal(answer_body(answer), "PACKED");
    check_status("unwanted", client_ask(room, "GET", "/", "Accept-Encoding: gzip;q=0\r\n", "", answer), 200);
    assert_false(answer_has(answer, "Content-Encoding: gzip"));
    check_status("known", client_ask(room, "GET", "/", "If-None-Match: \"x\", \"page-1\"\r\n", "", answer), 304);
    assert_string_equal(answer_body(answer), "");
    check_status("head", client_ask(room, "HEAD", "/app.js", "", "", answer), 200);
    assert_true(answer_has(answer, "Content-Length: 4"));
    assert_string_equal(answer_body(answer), "");
    check_status("asset range", client_ask(room, "GET", "/", "Range: bytes=1-3\r\nIf-Range: \"page-1\"\r\n", "", answer), 206);
    assert_string_equal(answer_body(answer), "!do");
}

/* identity: refusals and data are as strict as pages, and never kept */
static void test_server_strict_everywhere(void **state)
{
    struct room *room = *state;
    static const struct { const char *method, *target; int status; } cases[] = {
        {"GET", "/data", 200}, {"GET", "/nowhere", 404}, {"PUT", "/data", 405}, {"GET", "/silent", 500},
        {"GET", "/enter?0", 303}, {"POST", "/slow", 202}, {"GET", "/items/8", 404}, {"HEAD", "/data", 200}};
    for (size_t i = 0; i < COUNT(cases); i++) {
        int status = client_ask_keyed(room, cases[i].method, cases[i].target, "", "", answer);
        check_status(cases[i].target, status, cases[i].status);
        check_strict(cases[i].target);
        assert_true(answer_has(answer, "Cache-Control: no-store"));
    }
    client_ask_keyed(room, "GET", "/items/8", "", "", answer);
    assert_string_equal(answer_body(answer), "{\"error\":\"there is no such \\\"item\\\"\"}");
}

/* ---- guards ---- */

static int ask_host(const struct room *room, const char *lines)
{
    char request[1024];
    int length = snprintf(request, sizeof request, "GET /data HTTP/1.1\r\nConnection: close\r\nCookie: %s\r\n%s\r\n",
                          room->cookie, lines);
    return client_raw(room->port, request, (size_t)length, answer);
}

/* fault: a name that was made to point here is not answered to */
static void test_server_host(void **state)
{
    struct room *room = *state;
    static const struct { const char *format; int status; } cases[] = {
        {"Host: 127.0.0.1:%d\r\n", 200}, {"Host: localhost:%d\r\n", 200}, {"Host: [::1]:%d\r\n", 200},
        {"HOST:127.0.0.1:%d\r\n", 200}, {"Host: evil.example:%d\r\n", 403}, {"Host: 127.0.0.1\r\n", 403},
        {"Host: 127.0.0.1:%d.evil.example\r\n", 403}, {"Host: 127.0.0.1:1\r\n", 403}, {"Host: 127.0.0.1:0%d\r\n", 403},
        {"Host: LOCALHOST:%d\r\n", 403}, {"Host: user@127.0.0.1:%d\r\n", 403}, {"Host: 127.1:%d\r\n", 403},
        {"Host: 0.0.0.0:%d\r\n", 403}, {"Host: \r\n", 403}, {"X-Host: 127.0.0.1:%d\r\n", 400},
        {"Host: 127.0.0.1:%d\r\nHost: evil.example\r\n", 400}};
    for (size_t i = 0; i < COUNT(cases); i++) {
        char lines[256];
        snprintf(lines, sizeof lines, cases[i].format, room->port);
        check_status(cases[i].format, ask_host(room, lines), cases[i].status);
    }
}

/* fault: pages of other origins reach nothing, with the right key even; a request that writes must tell its origin */
static void test_server_origin(void **state)
{
    struct room *room = *state;
    static const struct { const char *method, *format; int status; } cases[] = {
        {"GET", "Origin: http://127.0.0.1:%d\r\n", 200}, {"GET", "Origin: http://evil.example\r\n", 403},
        {"GET", "Origin: null\r\n", 403}, {"GET", "Origin: https://127.0.0.1:%d\r\n", 403},
        {"GET", "Origin: http://localhost:%d\r\n", 403}, {"GET", "Origin: http://127.0.0.1:%d/\r\n", 403},
        {"GET", "Origin: http://127.0.0.1:1\r\n", 403}, {"GET", "Origin:\r\n", 403},
        {"GET", "Sec-Fetch-Site: cross-site\r\n", 403}, {"GET", "Sec-Fetch-Site: same-site\r\n", 403},
        {"GET", "Sec-Fetch-Site: same-origin\r\n", 200}, {"GET", "Sec-Fetch-Site: none\r\n", 200},
        {"POST", "Sec-Fetch-Site: same-origin\r\n", 403}, {"POST", "Origin: http://127.0.0.1:%d\r\n", 413}};
    for (size_t i = 0; i < COUNT(cases); i++) {
        bool posts = cases[i].method[0] == 'P';
        char origin[128], fields[512];
        snprintf(origin, sizeof origin, cases[i].format, room->port);
        snprintf(fields, sizeof fields, "Cookie: %s\r\n%s%s", room->cookie, posts ? "Content-Length: 99999\r\n" : "", origin);
        check_status(cases[i].format, client_ask(room, cases[i].method, "/plan", fields, "", answer), cases[i].status);
    }
}

/* ---- keys ---- */

/* fault: no key, and nothing that is nearly one, opens data */
static void test_server_key(void **state)
{
    struct room *room = *state;
    const char *value = strchr(room->cookie, '=') + 1;
    char wrong[64], fields[512];
    strcpy(wrong, value);
    wrong[31] = wrong[31] == '0' ? '1' : '0';
    const struct { const char *format, *value; int status; } cases[] = {
        {"Cookie: page-key-%d=%s\r\n", value, 200}, {"Cookie: page-key-%d=%s\r\n", wrong, 403},
        {"Cookie: page-key-%d=%.31s\r\n", value, 403}, {"Cookie: page-key-%d=%s0\r\n", value, 403},
        {"Cookie: Page-key-%d=%s\r\n", value, 403}, {"Cookie: page-key-%d=\r\n", value, 403},
        {"Cookie: xpage-key-%d=%s\r\n", value, 403}, {"Cookie: page-key-%d = %s\r\n", value, 403},
        {"Cookie: page-key-1=0; a=b;page-key-%d=%s\r\n", value, 200}, {"X: %d\r\n", value, 403}};
    for (size_t i = 0; i < COUNT(cases); i++) {
        snprintf(fields, sizeof fields, cases[i].format, room->port, cases[i].value);
        check_status(fields, client_ask(room, "GET", "/data", fields, "", answer), cases[i].status);
        assert_true(cases[i].status == 200 || strstr(answer, "secret") == NULL);
    }
    snprintf(fields, sizeof fields, "Cookie: page-key-%d=%s; page-key-%d=%s\r\n", room->port, wrong, room->port, value);
    check_status("a neighbour's cookie first", client_ask(room, "GET", "/data", fields, "", answer), 200);
    check_status("events", client_ask(room, "GET", "/events", "", "", answer), 403);
    snprintf(fields, sizeof fields, "Origin: http://127.0.0.1:%d\r\nContent-Length: 0\r\n", room->port);
    check_status("write", client_ask(room, "POST", "/slow", fields, "", answer), 403);
    assert_int_equal(room->handled, 0);
}

/* fault: a ticket opens once, not by being fetched ahead, and four are alive at most */
static void test_server_ticket(void **state)
{
    struct room *room = *state;
    char address[6][OWL_SERVER_ADDRESS_BYTES];
    struct owl_error error = {""};
    for (int i = 0; i < 6; i++)
        assert_int_equal(owl_server_address(room->server, address[i], &error), OWL_OK);
    const char *target = strchr(address[5] + 7, '/');
    check_status("ahead", client_ask(room, "GET", target, "Sec-Purpose: prefetch\r\n", "", answer), 403);
    check_status("body", client_ask(room, "GET", target, "Content-Length: 3\r\n", "abc", answer), 413);
    check_status("head", client_ask(room, "HEAD", target, "", "", answer), 405);
    check_status("cross", client_ask(room, "GET", target, "Sec-Fetch-Site: cross-site\r\n", "", answer), 403);
    check_status("first", client_ask(room, "GET", target, "Sec-Fetch-Site: none\r\n", "", answer), 303);
    assert_non_null(strstr(answer, "; Path=/; HttpOnly; SameSite=Strict\r\n"));
    assert_true(answer_has(answer, "Location: /"));
    check_status("second", client_ask(room, "GET", target, "", "", answer), 403);
    assert_null(strstr(answer, "Set-Cookie"));
    check_status("a window restored", client_ask_keyed(room, "GET", target, "", "", answer), 303);
    check_status("fourth", client_ask(room, "GET", strchr(address[2] + 7, '/'), "", "", answer), 303);
    check_status("too old", client_ask(room, "GET", strchr(address[1] + 7, '/'), "", "", answer), 403);
    check_status("empty", client_ask(room, "GET", "/enter?", "", "", answer), 403);
    check_status("nought", client_ask(room, "GET", "/enter", "", "", answer), 404);
}

/* ---- addresses and methods ---- */

/* fault: no spelling of an address leads anywhere but to a route that is in the table */
static void test_server_targets(void **state)
{
    struct room *room = *state;
    static const char *const nothing[] = {
        "/../etc/passwd", "/%2e%2e/etc/passwd", "/..%2fetc/passwd", "/..\\etc\\passwd", "/%00", "/data%00", "/data/",
        "//data", "/./data", "/DATA", "/d%61ta", "/data?x=1", "/?x", "/app.js/../data", "/items/", "/items/007",
        "/items/-7", "/items/+7", "/items/7/", "/items/7/../7", "/items/1234567890", "/items/18446744073709551623",
        "/items/7%00", "/items/x", "/items/7;x", "/index.html", "/events/"};
    for (size_t i = 0; i < COUNT(nothing); i++)
        check_status(nothing[i], client_ask_keyed(room, "GET", nothing[i], "", "", answer), 404);
    static const char *const malformed[] = {"http://127.0.0.1/data", "http://evil.example/", "data", "*", "127.0.0.1:80"};
    for (size_t i = 0; i < COUNT(malformed); i++)
        check_status(malformed[i], client_ask_keyed(room, "GET", malformed[i], "", "", answer), 400);
    char longer[400];
    memset(longer, 'a', sizeof longer);
    longer[0] = '/';
    longer[sizeof longer - 1] = '\0';
    check_status("long", client_ask_keyed(room, "GET", longer, "", "", answer), 414);
    check_status("item", client_ask_keyed(room, "GET", "/items/7", "", "", answer), 200);
}

/* fault: methods no route has */
static void test_server_methods(void **state)
{
    struct room *room = *state;
    static const char *const methods[] = {"TRACE", "OPTIONS", "PUT", "DELETE", "PATCH", "BREW", "get", "CONNECT"};
    for (size_t i = 0; i < COUNT(methods); i++) {
        check_status(methods[i], client_ask_keyed(room, methods[i], "/plan", "", "", answer), 405);
        assert_true(answer_has(answer, "Allow: GET, HEAD, POST"));
        check_status(methods[i], client_ask_keyed(room, methods[i], "/", "", "", answer), 405);
        check_status(methods[i], client_ask_keyed(room, methods[i], "/events", "", "", answer), 405);
        assert_true(answer_has(answer, "Allow: GET, HEAD"));
        check_status(methods[i], client_ask(room, methods[i], "/plan", "", "", answer), 403);
    }
}

/* ---- bodies ---- */

static int post(const struct room *room, const char *fields, const char *body)
{
    return client_ask_keyed(room, "POST", "/plan", fields, body, answer);
}

/* Posts a body as JSON with its right length. */
static int post_json(const struct room *room, const char *body)
{
    char fields[128];
    snprintf(fields, sizeof fields, "Content-Type: application/json; charset=utf-8\r\nContent-Length: %zu\r\n", strlen(body));
    return post(room, fields, body);
}

/* fault: JSON that is crooked, deep or double is refused in one line */
static void test_server_json(void **state)
{
    struct room *room = *state;
    char deep[100] = "";
    assert_int_equal(post_json(room, "{\"a\":1,\"b\":[\"[[\\\"[\"]}"), 200);
    assert_string_equal(answer_body(answer), "2 members, 21 bytes");
    memset(deep, '[', 33);
    memset(deep + 33, ']', 33);
    assert_int_equal(post_json(room, deep), 400);
    assert_non_null(strstr(answer, "nested too deep"));
    static const char *const crooked[] = {"{\"a\":1,\"a\":2}", "{\"a\":1}x", "{\"a\":\"\\u0000\"}", "{\"a\":", "7", "",
        "{\"a\":\"\xff\"}", "{\"a\":1e999}", "{'a':1}"};
    for (size_t i = 0; i < COUNT(crooked); i++)
        check_status(crooked[i], post_json(room, crooked[i]), 400);
    check_status("type", post(room, "Content-Type: text/plain\r\nContent-Length: 2\r\n", "{}"), 400);
    assert_non_null(strstr(answer, "application/json"));
    check_status("no type", post(room, "Content-Length: 2\r\n", "{}"), 400);
    check_status("like type", post(room, "Content-Type: application/jsonx\r\nContent-Length: 2\r\n", "{}"), 400);
}

/* fault: no body grows beyond its route's limit, told or untold, and crooked lengths are malformed */
static void test_server_bodies(void **state)
{
    struct room *room = *state;
    static char large[ROOM_BODY_MOST + 200];
    memset(large, ' ', ROOM_BODY_MOST);
    memcpy(large, "{}", 2);
    check_status("just fits", post_json(room, large), 200);
    strcat(large, " ");
    check_status("one more", post_json(room, large), 413);
    check_status("untold", post(room, "Content-Length: 99999999999999\r\nExpect: 100-continue\r\n", ""), 413);
    assert_null(strstr(answer, "100 Continue"));
    check_status("get", client_ask_keyed(room, "GET", "/data", "Content-Length: 1\r\n", "x", answer), 413);
    check_status("get", client_ask_keyed(room, "GET", "/", "Transfer-Encoding: chunked\r\n", "1\r\nx\r\n0\r\n\r\n", answer), 413);
#define CHUNKED "Content-Type: application/json\r\nTransfer-Encoding: chunked\r\n"
    check_status("chunks", post(room, CHUNKED, "1\r\n{\r\n1;x=y\r\n}\r\n0\r\n\r\n"), 200);
    char chunks[ROOM_BODY_MOST + 400];
    snprintf(chunks, sizeof chunks, "%x\r\n%s\r\n0\r\n\r\n", (unsigned)strlen(large), large);
    check_status("large chunk", post(room, CHUNKED, chunks), 413);
    check_status("both", post(room, CHUNKED "Content-Length: 4\r\n", "0\r\n\r\n"), 400);
    check_status("two", post(room, "Content-Length: 2\r\nContent-Length: 3\r\n", "{}x"), 400);
    check_status("minus", post(room, "Content-Length: -1\r\n", ""), 400);
    check_status("word", post(room, "Content-Length: x\r\n", ""), 400);
    int status = post(room, CHUNKED, "zz\r\n{}\r\n0\r\n\r\n");
    assert_true(status == 400 || status == 0);
    status = post(room, CHUNKED, "ffffffffffffffffff\r\n{}\r\n0\r\n\r\n");
    assert_true(status >= 400 || status == 0);
}

/* fault: a body without end is cut off, though it is sent as fast as can be */
static void test_server_endless_body(void **state)
{
    struct room *room = *state;
    static char chunk[8192];
    char request[512];
    int socket = client_connect(room->port);
    int length = snprintf(request, sizeof request, "POST /plan HTTP/1.1\r\nHost: 127.0.0.1:%d\r\nCookie: %s\r\n"
        "Origin: http://127.0.0.1:%d\r\nTransfer-Encoding: chunked\r\n\r\n", room->port, room->cookie, room->port);
    assert_true(client_send(socket, request, (size_t)length));
    memset(chunk, 'x', sizeof chunk);
    memcpy(chunk, "1ff8\r\n", 6);
    memcpy(chunk + sizeof chunk - 2, "\r\n", 2);
    int sent = 0;
    while (sent < 10000 && client_send(socket, chunk, sizeof chunk))
        sent++;
    close(socket);
    assert_true(sent < 10000);
}

/* ---- crooked and slow requests ---- */

/* fault: huge and crooked headers get no data, and the server serves on */
static void test_server_crooked_headers(void **state)
{
    struct room *room = *state;
    static char huge[60000];
    memset(huge, 'a', sizeof huge - 1);
    memcpy(huge, "X: ", 3);
    memcpy(huge + sizeof huge - 3, "\r\n", 3);
    check_status("the library's own limit", client_ask_keyed(room, "GET", "/data", huge, "", answer), 431);
    memcpy(huge + 20000, "\r\n", 3);
    check_status("our limit", client_ask_keyed(room, "GET", "/data", huge, "", answer), 431);
    check_strict("our limit");
    static const char *const crooked[] = {
        "\r\n\r\n\r\n", "GET\r\n\r\n", "GET /data\r\n\r\n", "GET /data HTTP/9.9\r\n\r\n", "\x16\x03\x01\x02\x00\r\n\r\n",
        "GET /data HTTP/1.1\r\nHost 127.0.0.1\r\n\r\n", "GET  /data  HTTP/1.1\r\n\r\n", " / HTTP/1.1\r\n\r\n",
        "GET /data HTTP/1.1\r\n: x\r\n\r\n", "GET /data HTTP/1.1\r\nHost: a\r\n b\r\n\r\n"};
    for (size_t i = 0; i < COUNT(crooked); i++) {
        int status = client_raw(room->port, crooked[i], strlen(crooked[i]), answer);
        assert_true(status == 0 || status >= 400);
    }
    char request[256];
    int length = snprintf(request, sizeof request, "GET /data%c HTTP/1.1\r\nHost: 127.0.0.1:%d\r\nConnection: close\r\n"
        "Cookie: %.40s%c%s\r\n\r\n", 0, room->port, room->cookie, 0, room->cookie + 40);
    int status = client_raw(room->port, request, (size_t)length, answer);
    assert_true(status == 0 || status >= 400);
    check_status("serves on", client_ask_keyed(room, "GET", "/data", "", "", answer), 200);
}

/* identity: requests sent at one go are answered one after another, each on its own merits */
static void test_server_pipeline(void **state)
{
    struct room *room = *state;
    char request[1024];
    int length = snprintf(request, sizeof request,
        "GET /app.js HTTP/1.1\r\nHost: 127.0.0.1:%d\r\n\r\nGET /items/7 HTTP/1.1\r\nHost: 127.0.0.1:%d\r\nCookie: %s\r\n"
        "Range: bytes=0-2\r\n\r\nGET /data HTTP/1.1\r\nHost: 127.0.0.1:%d\r\nConnection: close\r\n\r\n",
        room->port, room->port, room->cookie, room->port);
    check_status("first", client_raw(room->port, request, (size_t)length, answer), 200);
    const char *second = strstr(answer, "HTTP/1.1 206"), *third = strstr(answer, "HTTP/1.1 403");
    assert_true(second != NULL && third != NULL && second < third);
}

/* identity: the old protocol is served and its connection closed */
static void test_server_old_protocol(void **state)
{
    struct room *room = *state;
    char request[256];
    int length = snprintf(request, sizeof request, "GET /app.js HTTP/1.0\r\nHost: 127.0.0.1:%d\r\n\r\n", room->port);
    check_status("old", client_raw(room->port, request, (size_t)length, answer), 200);
    length = snprintf(request, sizeof request, "GET /app.js HTTP/1.0\r\n\r\n");
    check_status("nameless", client_raw(room->port, request, (size_t)length, answer), 400);
}

/* fault: a request that hangs, one that dribbles and a connection that says nothing end in time */
static void test_server_slow_requests(void **state)
{
    struct room *room = *state;
    char request[512];
    int hanging = client_connect(room->port), dribbling = client_connect(room->port), silent = client_connect(room->port);
    int half = client_connect(room->port);
    assert_true(client_send(hanging, "GET / HT", 8));
    int length = snprintf(request, sizeof request, "POST /plan HTTP/1.1\r\nHost: 127.0.0.1:%d\r\nCookie: %s\r\n"
        "Origin: http://127.0.0.1:%d\r\nContent-Length: 100\r\n\r\n{", room->port, room->cookie, room->port);
    assert_true(client_send(half, request, (size_t)length));
    long long start = client_now_ms();
    while (client_now_ms() - start < 5000 && client_send(dribbling, "G", 1) && !client_sees_close(dribbling, 30))
        continue;
    assert_in_range(client_now_ms() - start, ROOM_REQUEST_MS / 2, ROOM_REQUEST_MS * 3);
    assert_true(client_sees_close(hanging, ROOM_REQUEST_MS) && client_sees_close(silent, ROOM_REQUEST_MS));
    assert_true(client_sees_close(half, ROOM_REQUEST_MS));
    close(hanging);
    close(dribbling);
    close(silent);
    close(half);
}

/* fault: an answer that nobody fetches ends in time, one that is fetched is whole */
static void test_server_unread_answer(void **state)
{
    struct room *room = *state;
    static char large[ROOM_LARGE_BYTES + 4096];
    char request[256];
    int length = snprintf(request, sizeof request, "GET /large HTTP/1.1\r\nHost: 127.0.0.1:%d\r\nConnection: close\r\n"
        "Cookie: %s\r\n\r\n", room->port, room->cookie);
    int reader = client_connect(room->port), idler = client_connect(room->port);
    assert_true(client_send(reader, request, (size_t)length) && client_send(idler, request, (size_t)length));
    assert_true(client_read(reader, large, sizeof large, NULL) > ROOM_LARGE_BYTES);
    client_pause(ROOM_ANSWER_MS + ROOM_REQUEST_MS);
    assert_true(client_read(idler, large, sizeof large, NULL) < ROOM_LARGE_BYTES);
    close(reader);
    close(idler);
}

/* fault: more connections than are allowed hold the others up only until they are cut off */
static void test_server_many_connections(void **state)
{
    (void)state;
    struct room room;
    int sockets[30];
    room_open(&room, 8);
    for (size_t i = 0; i < COUNT(sockets); i++)
        sockets[i] = client_connect(room.port);
    check_status("after the crowd", client_ask(&room, "GET", "/app.js", "", "", answer), 200);
    for (size_t i = 0; i < COUNT(sockets); i++)
        if (sockets[i] >= 0)
            close(sockets[i]);
    room_close(&room);
}

/* ---- ranges ---- */

/* identity: what a Range field means (RFC 9110, section 14) */
static void test_server_range_fields(void **state)
{
    static const struct {
        const char *field;
        uint64_t size;
        enum owl_range_kind kind;
        uint64_t first, length;
    } cases[] = {
        {NULL, 10, OWL_RANGE_WHOLE, 0, 0}, {"bytes=0-0", 10, OWL_RANGE_PART, 0, 1},
        {"bytes=2-", 10, OWL_RANGE_PART, 2, 8}, {"bytes=-3", 10, OWL_RANGE_PART, 7, 3},
        {"bytes=-30", 10, OWL_RANGE_PART, 0, 10}, {"Bytes=9-99", 10, OWL_RANGE_PART, 9, 1},
        {"bytes=10-", 10, OWL_RANGE_BEYOND, 0, 0}, {"bytes=-0", 10, OWL_RANGE_BEYOND, 0, 0},
        {"bytes=0-", 0, OWL_RANGE_BEYOND, 0, 0}, {"bytes=-5", 0, OWL_RANGE_BEYOND, 0, 0},
        {"bytes=5-2", 10, OWL_RANGE_WHOLE, 0, 0}, {"bytes=0-1,4-5", 10, OWL_RANGE_WHOLE, 0, 0},
        {"bytes=99999999999999999999999-", 10, OWL_RANGE_BEYOND, 0, 0},
        {"bytes=3-99999999999999999999999", 10, OWL_RANGE_PART, 3, 7},
        {"bytes=-99999999999999999999999", 10, OWL_RANGE_PART, 0, 10},
        {"bytes=18446744073709551615-18446744073709551615", 10, OWL_RANGE_BEYOND, 0, 0},
        {"bytes=-", 10, OWL_RANGE_WHOLE, 0, 0}, {"bytes=", 10, OWL_RANGE_WHOLE, 0, 0},
        {"bytes", 10, OWL_RANGE_WHOLE, 0, 0}, {"", 10, OWL_RANGE_WHOLE, 0, 0},
        {"lines=0-1", 10, OWL_RANGE_WHOLE, 0, 0}, {"bytes=0x1-2", 10, OWL_RANGE_WHOLE, 0, 0},
        {"bytes=--1", 10, OWL_RANGE_WHOLE, 0, 0}, {"bytes= 1-2", 10, OWL_RANGE_WHOLE, 0, 0}};
    (void)state;
    for (size_t i = 0; i < COUNT(cases); i++) {
        struct owl_range range = owl_range_read(cases[i].field, cases[i].size);
        if (range.kind != cases[i].kind || range.first != cases[i].first || range.length != cases[i].length)
            fail_msg("%s: %d, %llu + %llu", cases[i].field ? cases[i].field : "none", range.kind,
                     (unsigned long long)range.first, (unsigned long long)range.length);
    }
}

/* identity: parts of bytes and of files, and what is beyond; whatever was handed over is let go */
static void test_server_ranges(void **state)
{
    struct room *room = *state;
    static const char *const targets[] = {"/items/7", "/files/1"};
    for (size_t i = 0; i < COUNT(targets); i++) {
        check_status("whole", client_ask_keyed(room, "GET", targets[i], "", "", answer), 200);
        assert_true(answer_has(answer, "Accept-Ranges: bytes") && strlen(answer_body(answer)) == ROOM_ITEM_BYTES);
        check_status("part", client_ask_keyed(room, "GET", targets[i], "Range: bytes=26-30\r\n", "", answer), 206);
        assert_true(answer_has(answer, "Content-Range: bytes 26-30/1000") && answer_has(answer, "Content-Length: 5"));
        assert_string_equal(answer_body(answer), "abcde");
        check_status("beyond", client_ask_keyed(room, "GET", targets[i], "Range: bytes=1000-\r\n", "", answer), 416);
        assert_true(answer_has(answer, "Content-Range: bytes */1000"));
        check_strict("beyond");
        check_status("several", client_ask_keyed(room, "GET", targets[i], "Range: bytes=0-1,3-4\r\n", "", answer), 200);
        check_status("if", client_ask_keyed(room, "GET", targets[i], "Range: bytes=0-1\r\nIf-Range: \"x\"\r\n", "", answer), 200);
    }
    client_pause(50);
    assert_int_equal(__atomic_load_n(&room->released, __ATOMIC_SEQ_CST), 5);
}

/* ---- starting ---- */

/* fault: a port that is taken, or not for us, is told; a port that was left is free at once */
static void test_server_ports(void **state)
{
    struct room *room = *state;
    struct owl_server *second = NULL;
    struct owl_error error = {""};
    struct owl_server_options options = {.port = room->port};
    assert_int_equal(owl_server_start(&options, &second, &error), OWL_BAD_USE);
    assert_non_null(strstr(error.words, "already uses port"));
    options.port = 80;
    assert_int_equal(owl_server_start(&options, &second, &error), OWL_BAD_USE);
    assert_null(second);
    options.port = 0;
    assert_int_equal(owl_server_start(&options, &second, &error), OWL_OK);
    options.port = owl_server_port(second);
    int visitor = client_connect(options.port);
    assert_true(client_send(visitor, "GET", 3));
    client_pause(20);
    owl_server_stop(second);
    assert_int_equal(owl_server_start(&options, &second, &error), OWL_OK);
    owl_server_stop(second);
    owl_server_stop(NULL);
    close(visitor);
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
        ROOM_TEST(test_server_assets), ROOM_TEST(test_server_strict_everywhere), ROOM_TEST(test_server_host),
        ROOM_TEST(test_server_origin), ROOM_TEST(test_server_key), ROOM_TEST(test_server_ticket),
        ROOM_TEST(test_server_targets), ROOM_TEST(test_server_methods), ROOM_TEST(test_server_json),
        ROOM_TEST(test_server_bodies), ROOM_TEST(test_server_endless_body), ROOM_TEST(test_server_crooked_headers),
        ROOM_TEST(test_server_pipeline), ROOM_TEST(test_server_old_protocol), ROOM_TEST(test_server_slow_requests),
        ROOM_TEST(test_server_unread_answer), cmocka_unit_test(test_server_many_connections),
        cmocka_unit_test(test_server_range_fields),
        ROOM_TEST(test_server_ranges), ROOM_TEST(test_server_ports),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
