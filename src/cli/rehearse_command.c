/* The command `rehearse`: options, the threads that share the seasons, stopping on request, and one pass told or drawn. */
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "cli/command.h"
#include "cli/console.h"
#include "cli/rehearse_page.h"
#include "core/draw/pass.h"
#include "core/rehearse/story.h"

#define PAGE_BYTES ((size_t)1 << 18)
#define PASS_MOST 1000000
#define TRIAL_SEASONS 400          /* run first, to tell how many are wanted */
#define USUAL_SEASONS_MOST 20000
#define USUAL_ARRIVALS_MOST 2e6    /* in all seasons together, when their number is left to us: about a second */

/* ---- what was asked ---- */

struct asked {
    const char *file, *drawing, *curves; /* NULL: not given */
    uint64_t seasons, seed, threads, pass, season; /* 0: not given, but for the seed */
    bool json;
};

static int check_asked(const struct asked *asked)
{
    if (!asked->file)
        return owl_complain_usage("rehearse needs a file, such as examples/marten.plan", NULL);
    if ((asked->pass == 0) != (asked->season == 0))
        return owl_complain_usage("a pass is told by both --season and --pass", NULL);
    if (asked->pass != 0 && asked->json)
        return owl_complain_usage("a pass is told in words: leave out --json", NULL);
    if (asked->drawing && (*asked->drawing == '\0' || *asked->drawing == '-'))
        return owl_complain_usage("--draw needs the name of a new file, such as pass.svg", NULL);
    if (asked->drawing && asked->pass == 0)
        return owl_complain_usage("--draw draws one pass: say which by --season and --pass", NULL);
    if (asked->curves && (*asked->curves == '\0' || *asked->curves == '-'))
        return owl_complain_usage("--curves needs a directory for the drawings, such as drawings", NULL);
    if (asked->curves && (asked->pass != 0 || asked->json))
        return owl_complain_usage("--curves draws all seasons: leave out --pass and --json", NULL);
    return OWL_EXIT_WELL;
}

static int read_asked(int count, char **words, struct asked *asked)
{
    *asked = (struct asked){.seed = OWL_REHEARSE_SEED};
    const struct owl_number_option options[] = {{"--seasons", &asked->seasons, 1, OWL_REHEARSAL_SEASONS_MOST},
                                            {"--seed", &asked->seed, 0, OWL_SEED_MOST},
                                            {"--threads", &asked->threads, 1, OWL_THREADS_MOST},
                                            {"--season", &asked->season, 1, OWL_REHEARSAL_SEASONS_MOST},
                                            {"--pass", &asked->pass, 1, PASS_MOST}};
    const size_t option_count = sizeof options / sizeof *options;
    for (int i = 0; i < count; i++) {
        size_t option = 0;
        while (option < option_count && strcmp(words[i], options[option].name) != 0)
            option++;
        if (option < option_count) {
            const char *value = i + 1 < count ? words[++i] : NULL;
            if (owl_read_number(&options[option], value) != OWL_EXIT_WELL)
                return OWL_EXIT_WRONG;
        } else if (strcmp(words[i], "--json") == 0) {
            asked->json = true;
        } else if (strcmp(words[i], "--draw") == 0) {
            asked->drawing = i + 1 < count ? words[++i] : "";
        } else if (strcmp(words[i], "--curves") == 0) {
            asked->curves = i + 1 < count ? words[++i] : "";
        } else if (words[i][0] == '-' && words[i][1] != '\0') {
            return owl_complain_usage("rehearse takes --seasons, --seed, --threads, --json, --season, --pass, --draw and "
                                      "--curves, not",
                                      words[i]);
        } else if (asked->file) {
            return owl_complain_usage("rehearse takes one file; this is a second:", words[i]);
        } else {
            asked->file = words[i];
        }
    }
    return check_asked(asked);
}

/* ---- the seasons, shared among threads ---- */

/* Seasons are taken one at a time in order, and one that was begun is ended: what is done is always the first
   so many. */
struct crew {
    const struct owl_setup *setup;
    uint64_t seed;
    struct owl_season *season;
    int to, threads;
    atomic_int next;
};

static bool run_next(struct crew *crew)
{
    int season = owl_interrupted() ? crew->to : atomic_fetch_add(&crew->next, 1);
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
    struct owl_progress progress = owl_progress_begin();
    while (run_next(crew))
        if (owl_progress_due(&progress))
            fprintf(stderr, "\r%d of %d seasons ", atomic_load(&crew->next), crew->to);
    owl_progress_end(&progress);
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

/* Everything a rehearsal holds on to. */
struct stage {
    struct owl_session *session;
    struct owl_setup_row *row;
    struct owl_setup setup;
    struct owl_season *season;
    double *column;
    struct owl_rehearsal *rehearsal;
};

static int run_seasons(struct stage *stage, const struct asked *asked, int most, int *wanted)
{
    struct crew crew = {.setup = &stage->setup,
                        .seed = asked->seed,
                        .season = stage->season,
                        .threads = owl_thread_count(asked->threads)};
    owl_listen_for_interrupt();
    *wanted = most;
    if (asked->seasons == 0) {
        int trial = most < TRIAL_SEASONS ? most : TRIAL_SEASONS;
        int done = run_crew(&crew, trial);
        if (done < trial)
            return done;
        *wanted = owl_rehearsal_seasons_wanted(stage->season, trial, trial, most);
    }
    return run_crew(&crew, *wanted);
}

static int print_page(const struct owl_rehearse_page *page, bool json)
{
    struct owl_text text = owl_page_begin(PAGE_BYTES);
    if (!text.buffer)
        return OWL_EXIT_FAILED;
    if (json)
        owl_page_rehearsal_json(page, &text);
    else
        owl_page_rehearsal(page, &text);
    return owl_page_end(&text);
}

static int rehearse(struct stage *stage, const struct asked *asked)
{
    int most = asked->seasons ? (int)asked->seasons : usual_most(&stage->setup), wanted = 0;
    stage->season = malloc((size_t)most * sizeof *stage->season);
    stage->column = malloc((size_t)most * sizeof *stage->column);
    stage->rehearsal = malloc(sizeof *stage->rehearsal);
    if (!stage->season || !stage->column || !stage->rehearsal)
        return owl_complain_memory();
    int done = run_seasons(stage, asked, most, &wanted);
    if (done == 0) {
        fprintf(stderr, "owllight: stopped before the first season was done\n");
        return OWL_EXIT_FAILED;
    }
    owl_rehearsal_reduce(&stage->setup, stage->season, done, stage->column, stage->rehearsal);
    struct owl_rehearse_page page = {stage->session, stage->rehearsal, asked->file, asked->seed, wanted};
    return asked->curves ? owl_rehearse_curves(&page, asked->curves) : print_page(&page, asked->json);
}

/* ---- one pass ---- */

static int complain_pass(const struct asked *asked, int passes)
{
    fprintf(stderr, "owllight: --pass %d: season %d has %d %s of the subject\n", (int)asked->pass, (int)asked->season,
            passes, passes == 1 ? "pass" : "passes");
    return OWL_EXIT_WRONG;
}

static int tell_pass(struct stage *stage, const struct asked *asked)
{
    char buffer[OWL_STORY_BYTES];
    struct owl_text text = owl_text_over(buffer, sizeof buffer);
    int passes = 0;
    if (owl_rehearsal_story(&stage->setup, asked->seed, (int)asked->season - 1, (int)asked->pass - 1, &passes, &text) !=
        OWL_OK)
        return complain_pass(asked, passes);
    if (owl_print(&text))
        return OWL_EXIT_WELL;
    fprintf(stderr, "owllight: the output could not be written\n");
    return OWL_EXIT_FAILED;
}

static int draw_pass(struct stage *stage, const struct asked *asked)
{
    char buffer[OWL_PASS_BYTES];
    struct owl_text svg = owl_text_over(buffer, sizeof buffer);
    struct owl_trace trace;
    if (owl_season_trace(&stage->setup, asked->seed, (int)asked->season - 1, (int)asked->pass - 1, &trace) != OWL_OK)
        return complain_pass(asked, trace.passes);
    owl_draw_pass(&stage->session->plan, &stage->session->evaluation, &trace, &svg);
    if (svg.cut) {
        fprintf(stderr, "owllight: %s\n", owl_status_words(OWL_NO_ROOM));
        return OWL_EXIT_FAILED;
    }
    int exit_status = owl_write_picture(asked->drawing, "--draw", svg.buffer, svg.length);
    if (exit_status == OWL_EXIT_WELL)
        printf("%s\n", asked->drawing);
    return exit_status;
}

static int prepare(struct stage *stage, const struct asked *asked)
{
    const struct owl_session *session = stage->session;
    struct owl_habits habits = owl_setup_habits_of(&session->plan);
    stage->row = calloc((size_t)session->watch.nights * OWL_NIGHT_ROWS + 1, sizeof *stage->row);
    if (!stage->row)
        return owl_complain_memory();
    if (owl_setup_prepare(&session->plan, &session->watch, &session->evaluation, &habits, stage->row, &stage->setup) ==
        OWL_OK)
        return OWL_EXIT_WELL;
    fprintf(stderr, "owllight: %s: more passes, false triggers or frames in one watch than can be rehearsed\n", asked->file);
    return OWL_EXIT_WRONG;
}

int owl_command_rehearse(int count, char **words)
{
    struct asked asked;
    struct stage stage = {0};
    int exit_status = read_asked(count, words, &asked);
    if (exit_status != OWL_EXIT_WELL)
        return exit_status;
    enum owl_status status = owl_session_open(asked.file, &stage.session);
    if (status != OWL_OK)
        return owl_session_exit(status);
    exit_status = prepare(&stage, &asked);
    if (exit_status == OWL_EXIT_WELL)
        exit_status = asked.drawing ? draw_pass(&stage, &asked)
                      : asked.pass  ? tell_pass(&stage, &asked)
                                    : rehearse(&stage, &asked);
    free(stage.season);
    free(stage.column);
    free(stage.rehearsal);
    free(stage.row);
    owl_session_free(stage.session);
    return exit_status;
}
