/* A served room for the tests and raw sockets to attack it with. */
#ifndef OWL_TESTS_SERVE_CLIENT_H
#define OWL_TESTS_SERVE_CLIENT_H

#include <stdbool.h>
#include <stddef.h>

#include "serve/server.h"

#define ROOM_REQUEST_MS 600 /* what the tests wait for */
#define ROOM_ANSWER_MS 1500
#define ROOM_ITEM_BYTES 1000
#define ROOM_LARGE_BYTES (32 * 1024 * 1024) /* more than sockets hold */
#define ROOM_BODY_MOST 4096
#define ROOM_ANSWER_BYTES 65536

struct room {
    struct owl_server *server;
    struct owl_events *events;
    int port;
    char cookie[128]; /* "name=value" */
    unsigned char item[ROOM_ITEM_BYTES];
    char file[64]; /* a file with the same bytes */
    int released;  /* answers that were let go */
    int handled;   /* times the slow handler ran */
    int slow_ms;
};

/* GET / (an asset of 26 bytes), GET /data, GET /items/#, GET /files/#, GET /large, GET+POST /plan (JSON: answers its number of
   members), POST /slow, GET /events for three listeners. */
void room_open(struct room *room, int connections_most);
/* Opens and gets the key. */
void room_enter(struct room *room);
void room_close(struct room *room);

/* Sockets time out after five seconds; -1 when there is no connection. */
int client_connect(int port);
/* False when the other side has closed. */
bool client_send(int socket, const char *bytes, size_t length);
/* Reads until the other side closes, `until` has come (if not NULL) or the time is over. The answer is closed by NUL. */
size_t client_read(int socket, char *answer, size_t room, const char *until);
/* Whether the other side closes within `most_ms`. */
bool client_sees_close(int socket, int most_ms);
void client_pause(int ms);
long long client_now_ms(void);

/* Sends bytes as they are on a new connection and reads the answer to its end. Returns the status, 0 without answer. */
int client_raw(int port, const char *bytes, size_t length, char *answer);
/* A whole request with the right Host and "Connection: close". fields: more header lines, each with its \r\n. */
int client_ask(const struct room *room, const char *method, const char *target, const char *fields, const char *body,
               char *answer);
/* The same with key and Origin. */
int client_ask_keyed(const struct room *room, const char *method, const char *target, const char *fields,
                     const char *body, char *answer);

/* Whether the header has exactly this line. */
bool answer_has(const char *answer, const char *line);
const char *answer_body(const char *answer);

#endif
