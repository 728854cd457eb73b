/* Seasons are shared among threads; the summing up goes through them in order, so the outcome is the same on any number. */
#include "session/seasons.h"

#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>

#include "core/rehearse/setup.h"
#include "session/share.h"

#define TRIAL_SEASONS 400          /* run first, to tell how many are wanted */
#define USUAL_SEASONS_MOST 20000
#define USUAL_ARRIVALS_MOST 2e6    /* in all seasons together, when their number is left to us: about a second */

/* Seasons are taken one at a time in order, and one that was begun is ended: what is done is always the first
   so many. */
struct crew {
    const struct owl_setup *setup;
    uint64_t seed;
    struct owl_season *season;
    const struct owl_listener *listener;
    int to, threads;
    atomic_int next;
};

static bool run_next(struct crew *crew)
{
    int season = owl_listener_stopped(crew->listener) ? crew->to : atomic_fetch_add(&crew->next, 1);
    if (season >= crew->to)
        return false;
    owl_rehearsal_run(crew->setup, crew->seed, season, season + 1, &crew->season[season]);
    return true;
}

static void work(void *crew)
{
    while (run_next(crew)) {
    }
}

/* The first thread works too, and tells how far it is. */
static void work_and_tell(void *shared)
{
    struct crew *crew = shared;
    while (run_next(crew))
        owl_listener_progress(crew->listener, "rehearsing", atomic_load(&crew->next), crew->to);
}

/* Runs seasons up to `to`; how many are done then is returned. */
static int run_crew(struct crew *crew, int to)
{
    if (atomic_load(&crew->next) > crew->to)
        atomic_store(&crew->next, crew->to);
    crew->to = to;
    owl_share_work(crew->threads, work, work_and_tell, crew);
    int next = atomic_load(&crew->next);
    return next < to ? next : to;
}

/* How many seasons at most when the user leaves it to us: by what they cost, never by the clock, so that the
   answer is the same on every machine. */
static int usual_most(const struct owl_setup *setup)
{
    double frames = 1.0 + 0.2 * (setup->frames_per_firing - 1.0);
    double most = USUAL_ARRIVALS_MOST / (1.0 + setup->arrivals * frames);
    if (most >= USUAL_SEASONS_MOST)
        return USUAL_SEASONS_MOST;
    return most > 1.0 ? (int)most : 1;
}

static int run_wanted(const struct owl_seasons_wish *wish, const struct owl_listener *listener, struct owl_seasons *seasons,
                      int most)
{
    struct crew crew = {.setup = &seasons->setup,
                        .seed = wish->seed,
                        .season = seasons->season,
                        .listener = listener,
                        .threads = owl_thread_count(wish->threads)};
    seasons->wanted = most;
    if (wish->seasons == 0) {
        int trial = most < TRIAL_SEASONS ? most : TRIAL_SEASONS;
        int done = run_crew(&crew, trial);
        if (done < trial)
            return done;
        seasons->wanted = owl_rehearsal_seasons_wanted(seasons->season, trial, trial, most);
    }
    return run_crew(&crew, seasons->wanted);
}

enum owl_status owl_seasons_set_up(const struct owl_session *session, const char *name, struct owl_seasons *seasons,
                                   struct owl_error *error)
{
    struct owl_habits habits = owl_setup_habits_of(&session->plan);
    seasons->row = calloc((size_t)session->watch.nights * OWL_NIGHT_ROWS + 1, sizeof *seasons->row);
    if (!seasons->row)
        return OWL_NO_MEMORY;
    if (owl_setup_prepare(&session->plan, &session->watch, &session->evaluation, &habits, seasons->row, &seasons->setup) ==
        OWL_OK)
        return OWL_OK;
    return owl_trouble_say(error, OWL_OUTSIDE_DOMAIN, name,
                           "more passes, false triggers or frames in one watch than can be rehearsed");
}

enum owl_status owl_seasons_rehearse(const struct owl_seasons_wish *wish, const struct owl_listener *listener,
                                     struct owl_seasons *seasons, struct owl_error *error)
{
    int most = wish->seasons ? wish->seasons : usual_most(&seasons->setup);
    seasons->season = malloc((size_t)most * sizeof *seasons->season);
    seasons->column = malloc((size_t)most * sizeof *seasons->column);
    seasons->rehearsal = malloc(sizeof *seasons->rehearsal);
    if (!seasons->season || !seasons->column || !seasons->rehearsal)
        return OWL_NO_MEMORY;
    seasons->done = run_wanted(wish, listener, seasons, most);
    if (seasons->done == 0) {
        snprintf(error->words, sizeof error->words, "stopped before the first season was done");
        return OWL_BAD_USE;
    }
    owl_rehearsal_reduce(&seasons->setup, seasons->season, seasons->done, seasons->column, seasons->rehearsal);
    return OWL_OK;
}

void owl_seasons_clear(struct owl_seasons *seasons)
{
    free(seasons->season);
    free(seasons->column);
    free(seasons->rehearsal);
    free(seasons->row);
    *seasons = (struct owl_seasons){0};
}
