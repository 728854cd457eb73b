/* Pulls and judgings, one at a time, on a thread beside the server; how it goes is told to every page by events. */
#include <math.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "card/tree.h"
#include "serve/workbench_room.h"
#include "session/card_pull.h"

#define TELL_EVERY_S 0.2
#define GUESS_AFTER_S 2.0 /* a rest of time is guessed from so much of it on */
#define WORDS_BYTES 1024

static double now_s(void)
{
    struct timespec time;
    clock_gettime(CLOCK_MONOTONIC, &time);
    return (double)time.tv_sec + 1e-9 * (double)time.tv_nsec;
}

static const char *kind_words(enum owl_job_kind kind)
{
    return kind == OWL_JOB_PULL ? "pull" : "judge";
}

void owl_work_clear(struct owl_work *work)
{
    free(work->from);
    free(work->to);
    free(work->watch);
    *work = (struct owl_work){.flashes = -1};
}

/* ---- events ---- */

/* A lost event is no harm: the next one tells all. */
static void post(struct owl_workbench *workbench, const char *name, const char *json)
{
    if (owl_events_post(workbench->events, name, json) != OWL_OK)
        return;
}

static void post_progress(struct owl_workbench *workbench, const char *doing, double done, double all, double left_s)
{
    char json[512];
    struct owl_text text = owl_text_over(json, sizeof json);
    owl_workbench_text(&text, "{", "job", kind_words(workbench->work.kind));
    owl_workbench_text(&text, ",", "doing", doing);
    owl_workbench_number(&text, ",", "done", done);
    owl_workbench_number(&text, ",", "all", all);
    owl_workbench_number(&text, ",", "left_s", left_s);
    owl_text_char(&text, '}');
    post(workbench, "progress", json);
}

/* Whether it is time for another word; the first of each kind goes out at once. */
static bool due(struct owl_work *work, const char *doing)
{
    double now = now_s();
    bool other = strcmp(work->doing, doing) != 0;
    if (other) {
        snprintf(work->doing, sizeof work->doing, "%s", doing);
        work->began_s = now;
    }
    if (!other && now - work->told_s < TELL_EVERY_S)
        return false;
    work->told_s = now;
    return true;
}

static void tell_progress(void *context, const char *doing, int done, int all)
{
    struct owl_workbench *workbench = context;
    struct owl_work *work = &workbench->work;
    if (!due(work, doing))
        return;
    double spent_s = work->told_s - work->began_s;
    post_progress(workbench, doing, done, all,
                  spent_s > GUESS_AFTER_S && done > 0 ? ceil(spent_s / done * (all - done)) : NAN);
}

static bool stopped(void *context)
{
    struct owl_workbench *workbench = context;
    return atomic_load(&workbench->stop);
}

static void post_done(struct owl_workbench *workbench, enum owl_job_kind kind, int exit, const char *words)
{
    char json[6 * WORDS_BYTES + 128];
    struct owl_text text = owl_text_over(json, sizeof json);
    owl_workbench_text(&text, "{", "job", kind_words(kind));
    owl_workbench_number(&text, ",", "exit", exit);
    owl_workbench_text(&text, ",", "words", words);
    owl_text_char(&text, '}');
    post(workbench, "done", json);
}

static int exit_of(enum owl_status status)
{
    return status == OWL_NO_MEMORY || status == OWL_CANNOT_WRITE ? OWL_EXIT_OF_FAILURE : OWL_EXIT_OF_WRONG;
}

/* ---- judging ---- */

/* Seasons of the plan of the card's watch, to hold the visits against. Where they cannot be had the card is told without, and
   `why` says so. */
static void rehearse(struct owl_workbench *workbench, struct owl_open_card *card, struct owl_error *why)
{
    const struct owl_listener listener = {.progress = tell_progress, .stopped = stopped, .context = workbench};
    const struct owl_seasons_wish wish = {.seed = OWL_SEASONS_SEED};
    if (!card->session.plan)
        return;
    card->rehearsed.plan = card->session.watch;
    enum owl_status status = owl_seasons_set_up(card->session.plan, card->session.watch, &card->seasons, why);
    if (status == OWL_OK)
        status = owl_seasons_rehearse(&wish, &listener, &card->seasons, why);
    if (status == OWL_OK)
        return;
    owl_seasons_clear(&card->seasons);
    if (!why->words[0])
        snprintf(why->words, sizeof why->words, "%s", owl_status_words(status));
}

static void count(struct owl_text *words, int number, const char *one, const char *many)
{
    owl_text_integer(words, number);
    owl_text_words(words, number == 1 ? one : many);
}

static void tell_card(const struct owl_open_card *card, const struct owl_error *why, struct owl_text *words)
{
    count(words, card->session.judged.count, " frame", " frames");
    owl_text_words(words, card->session.kept ? " as the book keeps them, " : " judged, ");
    count(words, card->visits.count, " visit", " visits");
    if (why->words[0]) {
        owl_text_words(words, "; not held against the rehearsal: ");
        owl_text_words(words, why->words);
    }
}

static enum owl_status make_card(struct owl_workbench *workbench, struct owl_open_card *card, struct owl_text *words,
                                 struct owl_trouble *trouble)
{
    const struct owl_work *work = &workbench->work;
    const struct owl_listener listener = {.progress = tell_progress, .stopped = stopped, .context = workbench};
    const struct owl_card_options options = {
        .folder = work->from, .book = workbench->book_directory, .no_book = workbench->no_book || !workbench->book,
        .again = work->again, .flashes_given = work->flashes >= 0, .flashes = work->flashes >= 0 ? (uint64_t)work->flashes : 0};
    struct owl_error why = {{0}};
    enum owl_status status = owl_card_session_open(&options, &listener, &card->session, trouble);
    if (status != OWL_OK)
        return status;
    rehearse(workbench, card, &why);
    status = owl_open_card_group(card, &trouble->error);
    for (int i = 0; i < card->session.judged.count; i++)
        card->has_raw = card->has_raw || owl_tree_kind(card->session.judged.frame[i].name) == OWL_CARD_RAW;
    tell_card(card, &why, words);
    return status;
}

static int judge(struct owl_workbench *workbench, struct owl_text *words)
{
    struct owl_trouble trouble = {0};
    struct owl_open_card *card = calloc(1, sizeof *card), *before = card;
    enum owl_status status = card ? make_card(workbench, card, words, &trouble) : OWL_NO_MEMORY;
    if (status == OWL_OK) {
        pthread_mutex_lock(&workbench->lock);
        before = workbench->card;
        workbench->card = card;
        pthread_mutex_unlock(&workbench->lock);
    } else {
        *words = owl_text_over(words->buffer, words->capacity);
        owl_trouble_show(&trouble, status, words);
    }
    owl_open_card_close(before);
    owl_trouble_clear(&trouble);
    return status == OWL_OK ? OWL_EXIT_OF_DONE : exit_of(status);
}

/* ---- pulling ---- */

static bool tell_pull(void *context, const struct owl_pull_progress *now)
{
    struct owl_workbench *workbench = context;
    if (due(&workbench->work, "pulling"))
        post_progress(workbench, "pulling", (double)now->files, (double)now->files_all, now->left_s);
    return !stopped(workbench);
}

static void tell_report(const struct owl_work *work, const struct owl_pull_report *report, struct owl_text *words)
{
    owl_card_pull_tell(report, words);
    for (size_t i = 0, told = 0; i < report->note_count && told == 0; i++) {
        if (report->notes[i].kind != OWL_PULL_FAILED)
            continue;
        owl_text_words(words, "; FAILED: ");
        owl_text_integer(words, (int64_t)report->failed);
        owl_text_words(words, ", the first is ");
        owl_text_words(words, report->notes[i].name);
        owl_text_words(words, ": ");
        owl_text_words(words, report->notes[i].words);
        told++;
    }
    if (report->not_reached > 0)
        owl_text_words(words, "; the same pull goes on from there");
    if (work->new_watch) {
        owl_text_words(words, "; the watch ");
        owl_text_words(words, work->watch);
        owl_text_words(words, " is new in the book, with the plan as it is saved");
    }
}

/* In a book connection of the job's own thread. */
static enum owl_status note_pulled(struct owl_workbench *workbench, struct owl_error *error)
{
    const struct owl_work *work = &workbench->work;
    struct owl_book *book = NULL;
    if (!workbench->book)
        return OWL_OK;
    enum owl_status status = owl_card_book_open(workbench->book_directory, workbench->no_book, NULL, &book, error);
    if (status == OWL_OK && book)
        status = owl_card_note_pulled(book, work->to, work->watch, error);
    owl_book_close(book);
    return status;
}

static int pull(struct owl_workbench *workbench, struct owl_text *words)
{
    const struct owl_pull_wish wish = {.card = workbench->work.from, .target = workbench->work.to, .progress = tell_pull,
                                       .context = workbench};
    struct owl_pull_report report = {0};
    struct owl_error error = {{0}};
    enum owl_status status = owl_pull(&wish, &report, &error);
    size_t home = report.copied + report.already + report.duplicates;
    if (status == OWL_OK || home > 0)
        tell_report(&workbench->work, &report, words);
    bool whole = report.failed == 0 && report.not_reached == 0;
    if (status == OWL_OK && home > 0)
        status = note_pulled(workbench, &error);
    if (status != OWL_OK) {
        owl_text_words(words, words->length > 0 ? "; " : "");
        owl_text_words(words, error.words[0] ? error.words : owl_status_words(status));
    }
    owl_pull_report_clear(&report);
    return status != OWL_OK ? exit_of(status) : whole ? OWL_EXIT_OF_DONE : OWL_EXIT_OF_FAILURE;
}

/* ---- the thread ---- */

static void *run(void *room)
{
    struct owl_workbench *workbench = room;
    char words[WORDS_BYTES];
    struct owl_text text = owl_text_over(words, sizeof words);
    enum owl_job_kind kind = workbench->work.kind;
    int exit = kind == OWL_JOB_PULL ? pull(workbench, &text) : judge(workbench, &text);
    owl_work_clear(&workbench->work);
    pthread_mutex_lock(&workbench->lock);
    workbench->busy = false;
    workbench->judging = false;
    pthread_mutex_unlock(&workbench->lock);
    post_done(workbench, kind, exit, words);
    return NULL;
}

/* With every signal blocked in it: they are for whoever started the workbench. */
static bool start_thread(struct owl_workbench *workbench)
{
    sigset_t all, before;
    sigfillset(&all);
    pthread_sigmask(SIG_SETMASK, &all, &before);
    bool started = pthread_create(&workbench->thread, NULL, run, workbench) == 0;
    pthread_sigmask(SIG_SETMASK, &before, NULL);
    return started;
}

enum owl_status owl_workbench_begin(struct owl_workbench *workbench, struct owl_work *work, struct owl_error *error)
{
    pthread_mutex_lock(&workbench->lock);
    bool busy = workbench->busy;
    pthread_mutex_unlock(&workbench->lock);
    if (busy) {
        owl_work_clear(work);
        snprintf(error->words, sizeof error->words, "another pull or judging is at work; it must end first");
        return OWL_BAD_USE;
    }
    if (workbench->joinable)
        pthread_join(workbench->thread, NULL);
    atomic_store(&workbench->stop, false);
    workbench->work = *work;
    workbench->busy = true;
    workbench->judging = work->kind == OWL_JOB_JUDGE;
    workbench->joinable = start_thread(workbench);
    if (workbench->joinable)
        return OWL_OK;
    workbench->busy = workbench->judging = false;
    owl_work_clear(&workbench->work);
    return OWL_NO_MEMORY;
}

bool owl_workbench_end_job(struct owl_workbench *workbench)
{
    pthread_mutex_lock(&workbench->lock);
    bool busy = workbench->busy;
    pthread_mutex_unlock(&workbench->lock);
    atomic_store(&workbench->stop, true);
    if (workbench->joinable)
        pthread_join(workbench->thread, NULL);
    workbench->joinable = false;
    return busy;
}
