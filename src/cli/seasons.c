/* Seasons at the terminal. */
#include "cli/seasons.h"

#include <stdio.h>

#include "cli/command.h"
#include "cli/console.h"

static void tell_seasons(void *context, const char *doing, int done, int all)
{
    (void)doing;
    if (owl_progress_due(context))
        fprintf(stderr, "\r%d of %d seasons ", done, all);
}

static bool stopped(void *context)
{
    (void)context;
    return owl_interrupted();
}

int owl_seasons_prepare(const struct owl_session *session, const char *name, struct owl_seasons *seasons)
{
    struct owl_error error = {{0}};
    enum owl_status status = owl_seasons_set_up(session, name, seasons, &error);
    return status == OWL_OK ? OWL_EXIT_WELL : owl_complain_error(status, &error);
}

int owl_seasons_run(const struct owl_seasons_wish *wish, struct owl_seasons *seasons)
{
    struct owl_error error = {{0}};
    struct owl_progress progress = owl_progress_begin();
    const struct owl_listener listener = {.progress = tell_seasons, .stopped = stopped, .context = &progress};
    owl_listen_for_interrupt();
    enum owl_status status = owl_seasons_rehearse(wish, &listener, seasons, &error);
    owl_progress_end(&progress);
    if (status == OWL_OK)
        return OWL_EXIT_WELL;
    owl_complain_error(status, &error);
    return OWL_EXIT_FAILED;
}
