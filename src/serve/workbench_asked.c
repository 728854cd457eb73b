/* Pulls and judgings as they are asked for: what is wrong with them is told before they begin. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "card/tree.h"
#include "serve/workbench_room.h"
#include "session/card_pull.h"

#define FLASHES_MOST 99

static bool is_folder(const char *path)
{
    struct stat about;
    return stat(path, &about) == 0 && S_ISDIR(about.st_mode);
}

static void complain_folder(struct owl_answer *answer, const char *path)
{
    char words[400];
    struct owl_text text = owl_text_over(words, sizeof words);
    owl_tree_show(&text, path);
    owl_text_words(&text, ": there is no such folder");
    owl_answer_complaint(answer, 422, words);
}

static void begin(struct owl_workbench *workbench, struct owl_work *work, struct owl_answer *answer)
{
    struct owl_error error = {{0}};
    enum owl_status status = owl_workbench_begin(workbench, work, &error);
    if (status == OWL_OK)
        owl_answer_done(answer, 202);
    else if (status == OWL_BAD_USE)
        owl_answer_complaint(answer, 409, error.words);
    else
        owl_workbench_fail(answer, status, &error);
}

/* A watch the book does not know is entered with the plan file, as it is saved: that is the plan as it was used. */
static bool settle_watch(struct owl_workbench *workbench, struct owl_work *work, struct owl_answer *answer)
{
    struct owl_trouble trouble = {0};
    struct owl_session *plan = NULL;
    bool known = false;
    if (!work->watch)
        return true;
    if (!workbench->book) {
        owl_answer_complaint(answer, 422, "a watch is kept in the book, and there is none");
        return false;
    }
    enum owl_status status = owl_card_knows_watch(workbench->book, work->watch, &known, &trouble.error);
    if (status == OWL_OK && !known && !workbench->plan) {
        snprintf(trouble.error.words, sizeof trouble.error.words,
                 "the book knows no watch '%.80s', and no plan file is open for it", work->watch);
        status = OWL_BAD_USE;
    }
    if (status == OWL_OK && !known)
        status = owl_session_read_file(workbench->plan, &plan, &trouble);
    if (status == OWL_OK && !known)
        status = owl_card_note_watch(workbench->book, work->watch, plan, &trouble.error);
    if (status != OWL_OK && trouble.complaints && !trouble.error.words[0])
        snprintf(trouble.error.words, sizeof trouble.error.words,
                 "the plan file is not sound as it is saved, so it can be no watch's");
    if (status != OWL_OK)
        owl_workbench_fail(answer, status, &trouble.error);
    work->new_watch = status == OWL_OK && !known;
    owl_session_free(plan);
    owl_trouble_clear(&trouble);
    return status == OWL_OK;
}

static bool is_busy(struct owl_workbench *workbench)
{
    pthread_mutex_lock(&workbench->lock);
    bool busy = workbench->busy;
    pthread_mutex_unlock(&workbench->lock);
    return busy;
}

static char *copy(const char *words)
{
    return words ? strdup(words) : NULL;
}

void owl_workbench_post_pull(void *room, const struct owl_request *request, struct owl_answer *answer)
{
    struct owl_workbench *workbench = room;
    json_t *root = NULL;
    if (!owl_workbench_body(request, answer, &root))
        return;
    const char *card = owl_workbench_words(root, "card"), *to = owl_workbench_words(root, "to");
    struct owl_work work = {.kind = OWL_JOB_PULL, .from = copy(card), .to = copy(to),
                            .watch = copy(owl_workbench_words(root, "watch"))};
    bool taken = false;
    if (!card || !to)
        owl_answer_complaint(answer, 400, "card and to are needed, two folders");
    else if (!work.from || !work.to)
        owl_answer_complaint(answer, 500, owl_status_words(OWL_NO_MEMORY));
    else if (!is_folder(card))
        complain_folder(answer, card);
    else if (is_busy(workbench))
        owl_answer_complaint(answer, 409, "another pull or judging is at work; it must end first");
    else
        taken = settle_watch(workbench, &work, answer);
    if (taken)
        begin(workbench, &work, answer);
    else
        owl_work_clear(&work);
    json_decref(root);
}

void owl_workbench_post_judge(void *room, const struct owl_request *request, struct owl_answer *answer)
{
    json_t *root = NULL;
    if (!owl_workbench_body(request, answer, &root))
        return;
    const char *folder = owl_workbench_words(root, "folder");
    const json_t *flashes = json_object_get(root, "flashes");
    bool given = json_is_integer(flashes);
    long long count_of = given ? json_integer_value(flashes) : -1;
    struct owl_work work = {.kind = OWL_JOB_JUDGE, .from = copy(folder), .again = json_is_true(json_object_get(root, "again"))};
    work.flashes = given && count_of >= 0 && count_of <= FLASHES_MOST ? (int)count_of : -1;
    if (!folder || (flashes && !given && !json_is_null(flashes)) || (given && work.flashes < 0)) {
        owl_answer_complaint(answer, 400, "folder is needed; flashes, where it is told, is a number from 0 to 99");
        owl_work_clear(&work);
    } else if (!work.from) {
        owl_answer_complaint(answer, 500, owl_status_words(OWL_NO_MEMORY));
    } else if (!is_folder(folder)) {
        complain_folder(answer, folder);
        owl_work_clear(&work);
    } else {
        begin(room, &work, answer);
    }
    json_decref(root);
}

void owl_workbench_post_stop(void *room, const struct owl_request *request, struct owl_answer *answer)
{
    struct owl_workbench *workbench = room;
    (void)request;
    atomic_store(&workbench->stop, true);
    owl_answer_done(answer, 202);
}
