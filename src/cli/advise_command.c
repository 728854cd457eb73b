/* The command `advise`: options, the threads that share each candidate's seasons, and the changed plan. */
#include <errno.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "cli/advise_page.h"
#include "cli/command.h"
#include "cli/console.h"
#include "cli/seasons.h"
#include "cli/seasons.h"
#include "core/plan/reader.h"

#define PAGE_BYTES ((size_t)1 << 16)
#define NEW_PLAN_BYTES (OWL_PLAN_BYTES + 8192) /* the changes add little */
#define SEASONS_MOST 20000
#define SHARE_LEAST 8              /* seasons that are worth a thread */
#define KEEP_BYTES 64

/* ---- what was asked ---- */

struct asked {
    const char *file, *keep, *write;
    uint64_t seasons, seed, threads; /* 0: not given, but for the seed */
    bool json;
};

/* An option with a value: a number when `number` is not NULL, else words. */
struct option {
    const char *name, **words;
    uint64_t *number, least, most;
};

static int read_option(const struct option *option, const char *words)
{
    const struct owl_number_option number = {option->name, option->number, option->least, option->most};
    if (option->number)
        return owl_read_number(&number, words ? words : "");
    if (!words || !*words)
        return owl_complain_usage("this option needs a value behind it:", option->name);
    *option->words = words;
    return OWL_EXIT_WELL;
}

static int read_asked(int count, char **words, struct asked *asked)
{
    *asked = (struct asked){.seed = OWL_SEASONS_SEED};
    const struct option options[] = {{"--keep", &asked->keep, NULL, 0, 0},
                                     {"--write", &asked->write, NULL, 0, 0},
                                     {"--seasons", NULL, &asked->seasons, 2, SEASONS_MOST},
                                     {"--seed", NULL, &asked->seed, 0, OWL_SEED_MOST},
                                     {"--threads", NULL, &asked->threads, 1, OWL_THREADS_MOST}};
    const size_t option_count = sizeof options / sizeof *options;
    for (int i = 0; i < count; i++) {
        size_t option = 0;
        while (option < option_count && strcmp(words[i], options[option].name) != 0)
            option++;
        if (option < option_count) {
            const char *value = i + 1 < count ? words[++i] : NULL;
            if (read_option(&options[option], value) != OWL_EXIT_WELL)
                return OWL_EXIT_WRONG;
        } else if (strcmp(words[i], "--json") == 0) {
            asked->json = true;
        } else if (words[i][0] == '-' && words[i][1] != '\0') {
            return owl_complain_usage("advise takes --keep, --write, --seasons, --seed, --threads and --json, not", words[i]);
        } else if (asked->file) {
            return owl_complain_usage("advise takes one file; this is a second:", words[i]);
        } else {
            asked->file = words[i];
        }
    }
    return asked->file ? OWL_EXIT_WELL : owl_complain_usage("advise needs a file, such as examples/marten.plan", NULL);
}

static int complain_existing(const char *path)
{
    fprintf(stderr, "owllight: %s: this file is there already and is left as it is; a new name would be right\n", path);
    return OWL_EXIT_WRONG;
}

/* Everything an advice holds on to. */
struct stage {
    struct owl_session *session;
    struct owl_keep keep[OWL_KEEPS_MOST];
    int keeps, threads;
    struct owl_advise_room room;
    struct owl_advise *advise;
};

static int complain_keep(const char *words, enum owl_kept kept)
{
    if (kept == OWL_KEPT_AMBIGUOUS)
        fprintf(stderr, "owllight: --keep %s: more than one section has that; camera.%s for one would be right\n", words, words);
    else
        fprintf(stderr, "owllight: --keep %s: a plan has no such field; camera.iso or flash.place for one would be right\n", words);
    return OWL_EXIT_WRONG;
}

/* `camera.iso,flash.place` */
static int read_keeps(struct stage *stage, const char *list)
{
    while (list && *list) {
        char words[KEEP_BYTES];
        size_t length = strcspn(list, ",");
        if (stage->keeps == OWL_KEEPS_MOST)
            return owl_complain_usage("--keep takes no more fields than a plan has settings, not", list);
        snprintf(words, sizeof words, "%.*s", (int)(length < sizeof words ? length : sizeof words - 1), list);
        enum owl_kept kept = owl_keep_find(words, &stage->session->plan, &stage->keep[stage->keeps]);
        if (kept != OWL_KEPT)
            return complain_keep(words, kept);
        stage->keeps++;
        list += length + (list[length] == ',');
    }
    return OWL_EXIT_WELL;
}

/* ---- the seasons, shared among threads ---- */

static void *run_share(void *share)
{
    const struct owl_advise_task *task = share;
    owl_rehearsal_run(task->setup, task->seed, task->from, task->to, task->season);
    return NULL;
}

/* What no thread is to be had for is run here. */
static void run_task(const struct owl_advise_task *task, int threads)
{
    pthread_t helper[OWL_THREADS_MOST];
    struct owl_advise_task share[OWL_THREADS_MOST];
    bool helped[OWL_THREADS_MOST];
    int seasons = task->to - task->from, shares = seasons / SHARE_LEAST < threads ? seasons / SHARE_LEAST : threads;
    shares = shares < 1 ? 1 : shares;
    for (int i = 0; i < shares; i++) {
        share[i] = *task;
        share[i].from = task->from + (int)((long long)seasons * i / shares);
        share[i].to = task->from + (int)((long long)seasons * (i + 1) / shares);
        share[i].season = task->season + (share[i].from - task->from);
        helped[i] = i + 1 < shares && pthread_create(&helper[i], NULL, run_share, &share[i]) == 0;
        if (!helped[i])
            run_share(&share[i]);
    }
    for (int i = 0; i < shares; i++)
        if (helped[i])
            pthread_join(helper[i], NULL);
}

static void search(struct stage *stage)
{
    struct owl_advise_task task;
    struct owl_progress progress = owl_progress_begin();
    while (owl_advise_next(stage->advise, &task)) {
        run_task(&task, stage->threads);
        if (owl_progress_due(&progress))
            fprintf(stderr, "\r%d candidates rehearsed ", stage->advise->advice.trials);
    }
    owl_progress_end(&progress);
}

static int take_room(struct stage *stage, const struct asked *asked)
{
    size_t seasons = OWL_ADVISE_FRESH * (size_t)(asked->seasons ? asked->seasons : OWL_ADVISE_SEASONS);
    struct owl_advise_room *room = &stage->room;
    room->row = calloc((size_t)stage->session->watch.nights * OWL_NIGHT_ROWS + 1, sizeof *room->row);
    room->season = malloc(seasons * sizeof *room->season);
    stage->advise = malloc(sizeof *stage->advise);
    bool whole = room->row && room->season && stage->advise;
    for (int i = 0; i < OWL_ADVISE_COLUMNS; i++) {
        room->column[i] = malloc(seasons * sizeof *room->column[i]);
        whole = whole && room->column[i];
    }
    return whole ? OWL_EXIT_WELL : owl_complain_memory();
}

static void free_stage(struct stage *stage)
{
    for (int i = 0; i < OWL_ADVISE_COLUMNS; i++)
        free(stage->room.column[i]);
    free(stage->room.row);
    free(stage->room.season);
    free(stage->advise);
    owl_session_free(stage->session);
}

static int advise(struct stage *stage, const struct asked *asked)
{
    struct owl_habits habits = owl_setup_habits_of(&stage->session->plan);
    struct owl_advise_wish wish = {stage->keep, stage->keeps, asked->seed, (int)asked->seasons};
    stage->threads = owl_thread_count(asked->threads);
    if (owl_advise_begin(stage->advise, &stage->session->plan, &stage->session->watch, &habits, &wish, &stage->room) != OWL_OK) {
        fprintf(stderr, "owllight: %s: more passes, false triggers or frames in one watch than can be rehearsed\n", asked->file);
        return OWL_EXIT_WRONG;
    }
    search(stage);
    return OWL_EXIT_WELL;
}

/* ---- the changed plan ---- */

static int complain_plan(const char *path, const char *words)
{
    fprintf(stderr, "owllight: %s: %s\n", path, words);
    return OWL_EXIT_WRONG;
}

static int write_new(const char *path, const struct owl_text *text)
{
    enum owl_written written = owl_write_new(path, text);
    if (written == OWL_NOT_OPENED)
        return errno == EEXIST ? complain_existing(path) : complain_plan(path, strerror(errno));
    return written == OWL_WRITTEN ? OWL_EXIT_WELL : complain_plan(path, "the plan could not be written whole");
}

/* Writes what reads back as a plan only. */
static int rewrite(const struct stage *stage, const struct asked *asked, const struct owl_change *change, int changes)
{
    char *room = malloc(NEW_PLAN_BYTES);
    struct owl_plan *plan = malloc(sizeof *plan);
    struct owl_complaints *complaints = malloc(sizeof *complaints);
    int status = OWL_EXIT_FAILED;
    if (room && plan && complaints) {
        struct owl_text text = owl_text_over(room, NEW_PLAN_BYTES);
        const struct owl_session *session = stage->session;
        owl_plan_rewrite(session->bytes, session->length, &session->plan, change, changes, &text);
        status = text.cut || owl_plan_read(text.buffer, text.length, plan, complaints) != OWL_OK
                     ? complain_plan(asked->file, "the changed plan does not read back; nothing was written")
                     : write_new(asked->write, &text);
    } else {
        owl_complain_memory();
    }
    free(room);
    free(plan);
    free(complaints);
    return status;
}

static int write_plan(const struct stage *stage, const struct asked *asked, struct owl_advise_page *page)
{
    const struct owl_advice *advice = &stage->advise->advice;
    page->asked_to_write = asked->write != NULL;
    if (!asked->write || (advice->changes == 0 && advice->singles == 0))
        return OWL_EXIT_WELL;
    int status = advice->changes ? rewrite(stage, asked, advice->together, advice->changes)
                                 : rewrite(stage, asked, advice->single[0].change, advice->single[0].changes);
    if (status == OWL_EXIT_WELL)
        page->written = asked->write;
    return status;
}

static int print_page(const struct owl_advise_page *page, bool json)
{
    struct owl_text text = owl_page_begin(PAGE_BYTES);
    if (!text.buffer)
        return OWL_EXIT_FAILED;
    if (json)
        owl_page_advice_json(page, &text);
    else
        owl_page_advice(page, &text);
    return owl_page_end(&text);
}

static int tell(const struct stage *stage, const struct asked *asked)
{
    struct owl_advise_page page = {.session = stage->session, .advice = &stage->advise->advice, .keep = stage->keep,
                                   .keeps = stage->keeps, .seed = asked->seed};
    int written = write_plan(stage, asked, &page), printed = print_page(&page, asked->json);
    return written != OWL_EXIT_WELL ? written : printed;
}

int owl_command_advise(int count, char **words)
{
    struct asked asked;
    struct stage stage = {.keeps = 0};
    int exit_status = read_asked(count, words, &asked);
    if (exit_status != OWL_EXIT_WELL)
        return exit_status;
    if (asked.write && access(asked.write, F_OK) == 0)
        return complain_existing(asked.write);
    enum owl_status status = owl_session_open(asked.file, &stage.session);
    if (status != OWL_OK)
        return owl_session_exit(status);
    exit_status = read_keeps(&stage, asked.keep);
    if (exit_status == OWL_EXIT_WELL)
        exit_status = take_room(&stage, &asked);
    if (exit_status == OWL_EXIT_WELL)
        exit_status = advise(&stage, &asked);
    if (exit_status == OWL_EXIT_WELL)
        exit_status = tell(&stage, &asked);
    free_stage(&stage);
    return exit_status;
}
