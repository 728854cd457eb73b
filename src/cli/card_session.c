/* The book first, then the files; what the book knows of a card is used only where its files are still the same. */
#define _XOPEN_SOURCE 700 /* for realpath */
#include "cli/card_session.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "card/judge_folder.h"
#include "card/tree.h"
#include "cli/command.h"
#include "cli/console.h"

int owl_complain_error(enum owl_status status, const struct owl_error *error)
{
    fprintf(stderr, "owllight: %s\n", error->words[0] ? error->words : owl_status_words(status));
    return status == OWL_NO_MEMORY || status == OWL_CANNOT_WRITE ? OWL_EXIT_FAILED : OWL_EXIT_WRONG;
}

/* ---- the book ---- */

/* Without a folder named the book is a convenience: work goes on without it. */
int owl_card_book_open(const char *directory, bool no_book, struct owl_book **book)
{
    char usual[4096];
    struct owl_error error = {{0}};
    *book = NULL;
    if (no_book)
        return OWL_EXIT_WELL;
    enum owl_status status = directory ? OWL_OK : owl_book_usual_directory(usual, sizeof usual);
    if (status == OWL_OK)
        status = owl_book_open(directory ? directory : usual, book, &error);
    else
        snprintf(error.words, sizeof error.words, "no home folder is known to keep the book in");
    if (status == OWL_OK)
        return OWL_EXIT_WELL;
    if (directory)
        return owl_complain_error(status, &error);
    fprintf(stderr, "owllight: going on without a book: %s\n", error.words);
    return OWL_EXIT_WELL;
}

/* The watch the card belongs to, and its plan as it was used. */
static int find_watch(struct owl_card_session *session)
{
    struct owl_book_cards cards = {0};
    struct owl_book_watch watch = {0};
    struct owl_error error = {{0}};
    enum owl_status status = owl_book_list_cards(session->book, NULL, &cards, &error);
    for (int i = 0; status == OWL_OK && i < cards.count; i++)
        if (strcmp(cards.card[i].folder, session->folder) == 0 && cards.card[i].watch) {
            session->watch = strdup(cards.card[i].watch);
            status = session->watch ? owl_book_find_watch(session->book, session->watch, &watch, &error) : OWL_NO_MEMORY;
        }
    if (status == OWL_OK && watch.plan && *watch.plan) {
        char name[160];
        snprintf(name, sizeof name, "the plan of watch %s", session->watch);
        status = owl_session_open_words(name, watch.plan, &session->plan);
        if (status != OWL_OK)
            snprintf(error.words, sizeof error.words, "%s, as the book keeps it, is no longer a sound plan", name);
    }
    owl_book_watch_clear(&watch);
    owl_book_cards_clear(&cards);
    return status == OWL_OK ? OWL_EXIT_WELL : owl_complain_error(status, &error);
}

static int keep(struct owl_card_session *session)
{
    struct owl_error error = {{0}};
    if (!session->book)
        return OWL_EXIT_WELL;
    session->judging.judged_s = (double)time(NULL);
    session->judging.version = OWL_JUDGE_VERSION;
    enum owl_status status = owl_book_keep_judged(session->book, session->folder, &session->judging, &session->judged, &error);
    return status == OWL_OK ? OWL_EXIT_WELL : owl_complain_error(status, &error);
}

static int correct(struct owl_card_session *session)
{
    struct owl_book_corrections list = {0};
    struct owl_error error = {{0}};
    enum owl_status status = session->book ? owl_book_find_corrections(session->book, session->folder, &list, &error) : OWL_OK;
    int frame = 0; /* both lists are in the order of names */
    for (int i = 0; status == OWL_OK && i < list.count; i++) {
        while (frame < session->judged.count && strcmp(session->judged.frame[frame].name, list.correction[i].name) < 0)
            frame++;
        if (frame == session->judged.count || strcmp(session->judged.frame[frame].name, list.correction[i].name) != 0)
            continue;
        session->judged.frame[frame].verdict.class = list.correction[i].class;
        session->judged.frame[frame].corrected = true;
        session->corrected++;
    }
    owl_book_corrections_clear(&list);
    return status == OWL_OK ? OWL_EXIT_WELL : owl_complain_error(status, &error);
}

/* ---- judging ---- */

/* What was not asked for now stays as it was when the card was judged. */
static void settle_settings(const struct owl_card_options *options, const struct owl_card_session *session, bool found,
                            const struct owl_judged *kept, struct owl_judge_wish *wish)
{
    int planned = session->plan ? session->plan->plan.flashes : 1;
    *wish = (struct owl_judge_wish){.folder = session->folder,
                                    .flashes = options->flashes_given ? (int)options->flashes : found ? kept->flashes : planned,
                                    .subject_score = options->subject_given ? (double)options->subject_from
                                                                            : found ? session->judging.subject_score : 0.0,
                                    .ignored = options->ignored_given ? options->ignored : found ? session->judging.ignored : 0};
    memcpy(wish->ignore, options->ignored_given ? options->ignore : session->judging.ignore, sizeof wish->ignore);
}

static bool same_settings(const struct owl_judge_wish *wish, const struct owl_book_judging *judging, const struct owl_judged *kept)
{
    bool same = judging->version == OWL_JUDGE_VERSION && wish->flashes == kept->flashes && wish->ignored == judging->ignored &&
                fabs(wish->subject_score - judging->subject_score) < 0.5;
    for (int i = 0; same && i < wish->ignored; i++)
        same = fabs(wish->ignore[i].left - judging->ignore[i].left) + fabs(wish->ignore[i].top - judging->ignore[i].top) +
               fabs(wish->ignore[i].right - judging->ignore[i].right) + fabs(wish->ignore[i].bottom - judging->ignore[i].bottom) <
               1e-9;
    return same;
}

static void tell_progress(void *context, const char *doing, int done, int all)
{
    if (owl_progress_due(context))
        fprintf(stderr, "\r%s %d of %d frames ", doing, done, all);
}

static int judge(struct owl_card_session *session, struct owl_judge_wish *wish)
{
    struct owl_error error = {{0}};
    struct owl_progress progress = owl_progress_begin();
    double shift_s = session->judged.clock_shift_s;
    owl_judged_clear(&session->judged);
    wish->progress = tell_progress;
    wish->context = &progress;
    enum owl_status status = owl_judge_folder(wish, &session->judged, &error);
    owl_progress_end(&progress);
    if (status != OWL_OK)
        return owl_complain_error(status, &error);
    session->judged.clock_shift_s = shift_s;
    session->judging.subject_score = wish->subject_score;
    session->judging.ignored = wish->ignored;
    memcpy(session->judging.ignore, wish->ignore, sizeof wish->ignore);
    return OWL_EXIT_WELL;
}

static int find_or_judge(const struct owl_card_options *options, struct owl_card_session *session)
{
    struct owl_error error = {{0}};
    struct owl_judge_wish wish;
    bool found = false;
    enum owl_status status = OWL_OK;
    if (session->book)
        status = owl_book_find_judged(session->book, session->folder, &found, &session->judging, &session->judged, &error);
    if (status != OWL_OK)
        return owl_complain_error(status, &error);
    settle_settings(options, session, found, &session->judged, &wish);
    session->kept = found && !options->again && same_settings(&wish, &session->judging, &session->judged) &&
                    owl_judged_still_there(&session->judged, session->folder);
    int exit_status = session->kept ? OWL_EXIT_WELL : judge(session, &wish);
    bool moved = options->shift_given && fabs(options->clock_shift_s - session->judged.clock_shift_s) > 1e-9;
    if (options->shift_given)
        session->judged.clock_shift_s = options->clock_shift_s;
    if (exit_status == OWL_EXIT_WELL && (!session->kept || moved))
        exit_status = keep(session);
    return exit_status == OWL_EXIT_WELL ? correct(session) : exit_status;
}

/* ---- the session ---- */

int owl_card_session_open(const struct owl_card_options *options, struct owl_card_session *session)
{
    *session = (struct owl_card_session){.folder = realpath(options->folder, NULL)};
    if (!session->folder) {
        int trouble = errno;
        char shown[512];
        struct owl_text text = owl_text_over(shown, sizeof shown);
        owl_tree_show(&text, options->folder);
        fprintf(stderr, "owllight: %s cannot be read: %s\n", shown,
                trouble == ENOENT ? "there is no such folder" : strerror(trouble));
        return OWL_EXIT_WRONG;
    }
    int exit_status = owl_card_book_open(options->book, options->no_book, &session->book);
    if (exit_status == OWL_EXIT_WELL && session->book)
        exit_status = find_watch(session);
    if (exit_status == OWL_EXIT_WELL)
        exit_status = find_or_judge(options, session);
    if (exit_status != OWL_EXIT_WELL)
        owl_card_session_close(session);
    return exit_status;
}

void owl_card_session_close(struct owl_card_session *session)
{
    owl_judged_clear(&session->judged);
    owl_session_free(session->plan);
    owl_book_close(session->book);
    free(session->watch);
    free(session->folder);
    *session = (struct owl_card_session){0};
}

void owl_card_name(struct owl_text *text, const char *name, int columns)
{
    size_t before = text->length;
    owl_tree_show(text, name);
    int left = columns - owl_text_columns(text->buffer + before);
    owl_text_repeat(text, ' ', left > 2 ? left : 2);
}

int owl_card_session_frame(const struct owl_card_session *session, const char *words)
{
    const struct owl_judged *judged = &session->judged;
    for (int i = 0; i < judged->count; i++)
        if (strcmp(judged->frame[i].name, words) == 0)
            return i;
    char *end = NULL;
    long number = strtol(words, &end, 10);
    if (end != words && *end == '\0' && number >= 1 && number <= judged->count)
        return (int)number - 1;
    fprintf(stderr, "owllight: no frame is called '%s'; a name as judge lists it, or a number from 1 to %d, would be right\n", words,
            judged->count);
    return -1;
}
