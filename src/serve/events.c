/* One list of listeners, each with its short queue; the library's thread sleeps on an empty one.
   A listener's connection is suspended while it has nothing to send. The channel's lock is held over "is there
   something? no: suspend" and over "add; resume", so that no wake-up is lost between them. */
#include "serve/events.h"

#include <microhttpd.h>
#include <pthread.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "core/text.h"

#define NAME_MOST 32
#define BLOCK_BYTES 4096 /* the library's buffer for one piece of a stream */

struct message {
    int uses; /* queues it stands in, and listeners that are sending it */
    size_t length;
    char bytes[];
};

struct listener {
    struct owl_events *events;
    struct MHD_Connection *connection;
    struct listener *before, *after;
    struct message *queue[OWL_EVENTS_QUEUE]; /* a ring */
    int first, waiting;
    int lost;
    struct message *sending;
    size_t sent;
    bool beat, asleep;
};

struct owl_events {
    pthread_mutex_t lock;
    struct listener *listeners;
    int count, most;
    bool closed;
};

/* ---- messages ---- */

static struct message *message_of(const char *bytes, size_t length)
{
    struct message *message = malloc(sizeof *message + length);
    if (message == NULL)
        return NULL;
    *message = (struct message){.uses = 1, .length = length};
    if (bytes != NULL)
        memcpy(message->bytes, bytes, length);
    return message;
}

static void let_go(struct message *message)
{
    if (message != NULL && --message->uses == 0)
        free(message);
}

static bool name_is_plain(const char *name)
{
    size_t length = strlen(name);
    return length >= 1 && length <= NAME_MOST && strspn(name, "abcdefghijklmnopqrstuvwxyz0123456789-") == length;
}

/* A text of several lines takes "data: " before each, or its tail would be read as fields of the stream. */
static struct message *framed(const char *name, const char *json)
{
    size_t room = strlen(name) + strlen(json) + 32;
    for (const char *at = json; *at != '\0'; at++)
        room += *at == '\n' || *at == '\r' ? sizeof "data: " : 0;
    struct message *message = message_of(NULL, room);
    if (message == NULL)
        return NULL;
    struct owl_text text = owl_text_over(message->bytes, room);
    owl_text_words(&text, "event: ");
    owl_text_words(&text, name);
    owl_text_words(&text, "\ndata: ");
    for (const char *at = json; *at != '\0'; at++) {
        owl_text_char(&text, *at);
        if (*at == '\n' || (*at == '\r' && at[1] != '\n'))
            owl_text_words(&text, "data: ");
    }
    owl_text_words(&text, "\n\n");
    message->length = text.length;
    return message;
}

static struct message *lost_message(int lost)
{
    char buffer[32];
    struct owl_text text = owl_text_over(buffer, sizeof buffer);
    owl_text_words(&text, "{\"events\":");
    owl_text_integer(&text, lost);
    owl_text_char(&text, '}');
    return framed("lost", buffer);
}

/* ---- one listener; the lock is held ---- */

static struct message *dequeue(struct listener *listener)
{
    if (listener->waiting == 0)
        return NULL;
    struct message *message = listener->queue[listener->first];
    listener->first = (listener->first + 1) % OWL_EVENTS_QUEUE;
    listener->waiting--;
    return message;
}

static void enqueue(struct listener *listener, struct message *message)
{
    if (listener->waiting == OWL_EVENTS_QUEUE) {
        let_go(dequeue(listener));
        listener->lost++;
    }
    listener->queue[(listener->first + listener->waiting) % OWL_EVENTS_QUEUE] = message;
    listener->waiting++;
    message->uses++;
}

/* What to send next; NULL when there is nothing, or no memory for it. */
static struct message *next_message(struct listener *listener)
{
    static const char beat[] = ":\n\n";
    struct message *message = NULL;
    if (listener->lost > 0) {
        message = lost_message(listener->lost);
        listener->lost = message != NULL ? 0 : listener->lost;
    }
    if (message == NULL)
        message = dequeue(listener);
    if (message == NULL && listener->beat)
        message = message_of(beat, sizeof beat - 1);
    listener->beat = false;
    return message;
}

static void wake(struct listener *listener)
{
    if (listener->asleep)
        MHD_resume_connection(listener->connection);
    listener->asleep = false;
}

static ssize_t nothing_to_send(struct listener *listener)
{
    if (listener->events->closed)
        return MHD_CONTENT_READER_END_OF_STREAM;
    MHD_suspend_connection(listener->connection);
    listener->asleep = true;
    return 0;
}

static ssize_t send_some(struct listener *listener, char *buffer, size_t most)
{
    if (listener->sending == NULL) {
        listener->sending = next_message(listener);
        listener->sent = 0;
    }
    if (listener->sending == NULL)
        return nothing_to_send(listener);
    size_t left = listener->sending->length - listener->sent, count = left < most ? left : most;
    memcpy(buffer, listener->sending->bytes + listener->sent, count);
    listener->sent += count;
    if (count == left) {
        let_go(listener->sending);
        listener->sending = NULL;
    }
    return (ssize_t)count;
}

/* ---- the library's callbacks ---- */

static ssize_t read_stream(void *cls, uint64_t position, char *buffer, size_t most)
{
    struct listener *listener = cls;
    (void)position;
    pthread_mutex_lock(&listener->events->lock);
    ssize_t count = send_some(listener, buffer, most);
    pthread_mutex_unlock(&listener->events->lock);
    return count;
}

static void end_stream(void *cls)
{
    struct listener *listener = cls;
    struct owl_events *events = listener->events;
    pthread_mutex_lock(&events->lock);
    if (listener->before != NULL)
        listener->before->after = listener->after;
    else
        events->listeners = listener->after;
    if (listener->after != NULL)
        listener->after->before = listener->before;
    events->count--;
    let_go(listener->sending);
    while (listener->waiting > 0)
        let_go(dequeue(listener));
    pthread_mutex_unlock(&events->lock);
    free(listener);
}

/* ---- the channel ---- */

static void join(struct owl_events *events, struct listener *listener)
{
    listener->after = events->listeners;
    if (listener->after != NULL)
        listener->after->before = listener;
    events->listeners = listener;
    events->count++;
}

struct MHD_Response *owl_events_listen(struct owl_events *events, struct MHD_Connection *connection)
{
    struct listener *listener = calloc(1, sizeof *listener);
    if (listener == NULL)
        return NULL;
    *listener = (struct listener){.events = events, .connection = connection, .beat = true};
    pthread_mutex_lock(&events->lock);
    bool welcome = !events->closed && events->count < events->most;
    if (welcome)
        join(events, listener);
    pthread_mutex_unlock(&events->lock);
    if (!welcome) {
        free(listener);
        return NULL;
    }
    struct MHD_Response *stream =
        MHD_create_response_from_callback(MHD_SIZE_UNKNOWN, BLOCK_BYTES, read_stream, listener, end_stream);
    if (stream == NULL)
        end_stream(listener);
    return stream;
}

struct owl_events *owl_events_open(int listeners_most)
{
    struct owl_events *events = calloc(1, sizeof *events);
    if (events == NULL)
        return NULL;
    events->most = listeners_most;
    pthread_mutex_init(&events->lock, NULL);
    return events;
}

enum owl_status owl_events_post(struct owl_events *events, const char *name, const char *json)
{
    if (!name_is_plain(name))
        return OWL_BAD_USE;
    struct message *message = framed(name, json);
    if (message == NULL)
        return OWL_NO_MEMORY;
    pthread_mutex_lock(&events->lock);
    for (struct listener *listener = events->listeners; listener != NULL && !events->closed; listener = listener->after) {
        enqueue(listener, message);
        wake(listener);
    }
    let_go(message);
    pthread_mutex_unlock(&events->lock);
    return OWL_OK;
}

int owl_events_listeners(struct owl_events *events)
{
    pthread_mutex_lock(&events->lock);
    int count = events->count;
    pthread_mutex_unlock(&events->lock);
    return count;
}

void owl_events_beat(struct owl_events *events)
{
    pthread_mutex_lock(&events->lock);
    for (struct listener *listener = events->listeners; listener != NULL; listener = listener->after) {
        listener->beat = true;
        wake(listener);
    }
    pthread_mutex_unlock(&events->lock);
}

void owl_events_close(struct owl_events *events)
{
    pthread_mutex_lock(&events->lock);
    events->closed = true;
    for (struct listener *listener = events->listeners; listener != NULL; listener = listener->after)
        wake(listener);
    pthread_mutex_unlock(&events->lock);
}

void owl_events_free(struct owl_events *events)
{
    if (events == NULL)
        return;
    pthread_mutex_destroy(&events->lock);
    free(events);
}
