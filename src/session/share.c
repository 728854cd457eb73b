/* Helpers begun and ended around one piece of work. */
#include "session/share.h"

#include <pthread.h>
#include <stddef.h>
#include <unistd.h>

int owl_thread_count(uint64_t asked)
{
    long processors = sysconf(_SC_NPROCESSORS_ONLN);
    if (asked)
        return (int)asked;
    return processors < 1 ? 1 : processors > OWL_THREADS_MOST ? OWL_THREADS_MOST : (int)processors;
}

struct share {
    void (*work)(void *shared);
    void *shared;
};

static void *run_share(void *share)
{
    const struct share *mine = share;
    mine->work(mine->shared);
    return NULL;
}

void owl_share_work(int threads, void (*work)(void *shared), void (*own)(void *shared), void *shared)
{
    struct share share = {work, shared};
    pthread_t helper[OWL_THREADS_MOST];
    int helpers = 0;
    while (helpers < threads - 1 && helpers < OWL_THREADS_MOST &&
           pthread_create(&helper[helpers], NULL, run_share, &share) == 0)
        helpers++;
    own(shared);
    for (int i = 0; i < helpers; i++)
        pthread_join(helper[i], NULL);
}
