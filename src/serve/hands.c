/* A queue and its workers. */
#include "serve/hands.h"

#include <stddef.h>

/* The next job, waiting for it; NULL when closing and nothing is left. */
static struct owl_job *take(struct owl_hands *hands)
{
    pthread_mutex_lock(&hands->lock);
    while (hands->first == NULL && !hands->closing)
        pthread_cond_wait(&hands->given, &hands->lock);
    struct owl_job *job = hands->first;
    if (job != NULL)
        hands->first = job->next;
    pthread_mutex_unlock(&hands->lock);
    return job;
}

static void *run(void *argument)
{
    struct owl_hands *hands = argument;
    for (struct owl_job *job = take(hands); job != NULL; job = take(hands))
        hands->work(job);
    return NULL;
}

bool owl_hands_open(struct owl_hands *hands, int count, void (*work)(struct owl_job *job))
{
    *hands = (struct owl_hands){.work = work};
    pthread_mutex_init(&hands->lock, NULL);
    pthread_cond_init(&hands->given, NULL);
    while (hands->count < count && pthread_create(&hands->threads[hands->count], NULL, run, hands) == 0)
        hands->count++;
    if (hands->count == count)
        return true;
    owl_hands_close(hands);
    owl_hands_clear(hands);
    return false;
}

bool owl_hands_give(struct owl_hands *hands, struct owl_job *job)
{
    job->next = NULL;
    pthread_mutex_lock(&hands->lock);
    bool taken = !hands->closing;
    if (taken) {
        if (hands->first != NULL)
            hands->last->next = job;
        else
            hands->first = job;
        hands->last = job;
        pthread_cond_signal(&hands->given);
    }
    pthread_mutex_unlock(&hands->lock);
    return taken;
}

void owl_hands_close(struct owl_hands *hands)
{
    pthread_mutex_lock(&hands->lock);
    hands->closing = true;
    pthread_cond_broadcast(&hands->given);
    pthread_mutex_unlock(&hands->lock);
    for (int i = 0; i < hands->count; i++)
        pthread_join(hands->threads[i], NULL);
    hands->count = 0;
}

void owl_hands_clear(struct owl_hands *hands)
{
    pthread_cond_destroy(&hands->given);
    pthread_mutex_destroy(&hands->lock);
}
