/* A thread that wakes every tick. */
#include "serve/pulse.h"

#include <stdlib.h>
#include <sys/socket.h>
#include <time.h>

static int64_t now_ms(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (int64_t)now.tv_sec * 1000 + now.tv_nsec / 1000000;
}

/* The lock is held. Shutting down wakes the library's thread, which then closes the socket itself. */
static void cut_off(struct owl_pulse *pulse)
{
    int64_t now = now_ms();
    for (struct owl_visit *visit = pulse->visits; visit != NULL; visit = visit->after) {
        if (visit->until_ms == 0 || visit->until_ms > now)
            continue;
        shutdown(visit->socket, SHUT_RDWR);
        visit->until_ms = 0;
    }
}

/* The lock is held, and let go while waiting. */
static void wait_tick(struct owl_pulse *pulse)
{
    int64_t until_ms = now_ms() + pulse->tick_ms;
    struct timespec until = {.tv_sec = (time_t)(until_ms / 1000), .tv_nsec = (long)(until_ms % 1000) * 1000000};
    pthread_cond_timedwait(&pulse->woken, &pulse->lock, &until);
}

static void *run(void *argument)
{
    struct owl_pulse *pulse = argument;
    int64_t beat_ms = now_ms() + pulse->heartbeat_ms;
    pthread_mutex_lock(&pulse->lock);
    while (!pulse->closing) {
        wait_tick(pulse);
        cut_off(pulse);
        if (pulse->events == NULL || now_ms() < beat_ms)
            continue;
        beat_ms = now_ms() + pulse->heartbeat_ms;
        pthread_mutex_unlock(&pulse->lock);
        owl_events_beat(pulse->events);
        pthread_mutex_lock(&pulse->lock);
    }
    pthread_mutex_unlock(&pulse->lock);
    return NULL;
}

bool owl_pulse_open(struct owl_pulse *pulse, struct owl_events *events, int heartbeat_ms, int tick_ms)
{
    *pulse = (struct owl_pulse){.events = events, .heartbeat_ms = heartbeat_ms, .tick_ms = tick_ms};
    pthread_condattr_t monotonic;
    pthread_condattr_init(&monotonic);
    pthread_condattr_setclock(&monotonic, CLOCK_MONOTONIC);
    pthread_cond_init(&pulse->woken, &monotonic);
    pthread_condattr_destroy(&monotonic);
    pthread_mutex_init(&pulse->lock, NULL);
    if (pthread_create(&pulse->thread, NULL, run, pulse) == 0)
        return true;
    owl_pulse_clear(pulse);
    return false;
}

void owl_pulse_close(struct owl_pulse *pulse)
{
    pthread_mutex_lock(&pulse->lock);
    pulse->closing = true;
    pthread_cond_signal(&pulse->woken);
    pthread_mutex_unlock(&pulse->lock);
    pthread_join(pulse->thread, NULL);
}

void owl_pulse_clear(struct owl_pulse *pulse)
{
    pthread_cond_destroy(&pulse->woken);
    pthread_mutex_destroy(&pulse->lock);
}

struct owl_visit *owl_pulse_enter(struct owl_pulse *pulse, int socket, int most_ms)
{
    struct owl_visit *visit = calloc(1, sizeof *visit);
    if (visit == NULL)
        return NULL;
    visit->socket = socket;
    visit->until_ms = now_ms() + most_ms;
    pthread_mutex_lock(&pulse->lock);
    visit->after = pulse->visits;
    if (visit->after != NULL)
        visit->after->before = visit;
    pulse->visits = visit;
    pthread_mutex_unlock(&pulse->lock);
    return visit;
}

void owl_pulse_allow(struct owl_pulse *pulse, struct owl_visit *visit, int most_ms)
{
    if (visit == NULL)
        return;
    pthread_mutex_lock(&pulse->lock);
    visit->until_ms = most_ms > 0 ? now_ms() + most_ms : 0;
    pthread_mutex_unlock(&pulse->lock);
}

void owl_pulse_leave(struct owl_pulse *pulse, struct owl_visit *visit)
{
    pthread_mutex_lock(&pulse->lock);
    if (visit->before != NULL)
        visit->before->after = visit->after;
    else
        pulse->visits = visit->after;
    if (visit->after != NULL)
        visit->after->before = visit->before;
    pthread_mutex_unlock(&pulse->lock);
    free(visit);
}
