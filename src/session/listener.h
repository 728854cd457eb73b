/* Whoever hears how long work goes on. NULL, and every NULL member, hears nothing. */
#ifndef OWL_SESSION_LISTENER_H
#define OWL_SESSION_LISTENER_H

#include <stdbool.h>

struct owl_listener {
    void (*progress)(void *context, const char *doing, int done, int all);
    bool (*stopped)(void *context); /* whether the work is to end early; asked on several threads at once */
    void (*note)(void *context, const char *words); /* one line to be known, though all goes on */
    void *context;
};

void owl_listener_progress(const struct owl_listener *listener, const char *doing, int done, int all);
bool owl_listener_stopped(const struct owl_listener *listener);
void owl_listener_note(const struct owl_listener *listener, const char *words);

#endif
