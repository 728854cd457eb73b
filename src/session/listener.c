/* Calls that may be to nobody. */
#include "session/listener.h"

#include <stddef.h>

void owl_listener_progress(const struct owl_listener *listener, const char *doing, int done, int all)
{
    if (listener && listener->progress)
        listener->progress(listener->context, doing, done, all);
}

bool owl_listener_stopped(const struct owl_listener *listener)
{
    return listener && listener->stopped && listener->stopped(listener->context);
}

void owl_listener_note(const struct owl_listener *listener, const char *words)
{
    if (listener && listener->note)
        listener->note(listener->context, words);
}
