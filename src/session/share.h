/* Work shared among threads that live only for it. */
#ifndef OWL_SESSION_SHARE_H
#define OWL_SESSION_SHARE_H

#include <stdint.h>

#define OWL_THREADS_MOST 64

/* The threads to use: as asked, or for 0 as many as the machine has, within OWL_THREADS_MOST. */
int owl_thread_count(uint64_t asked);

/* Runs `own` on this thread and `work` on as many others as make up `threads`, all with the same argument, until all have
   ended. Fewer threads than wanted are no failure. */
void owl_share_work(int threads, void (*work)(void *shared), void (*own)(void *shared), void *shared);

#endif
