/* The book first, then the files; what the book knows of a card is used only where its files are still the same. */
#define _XOPEN_SOURCE 700 /* for realpath */
#include "session/card_session.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "card/judge_folder.h"
#include "card/tree.h"

/* ---- the book ---- */

/* Without a folder named the book is a convenience: work goes on without it. */
enum owl_status owl_card_book_open(const char *directory, bool no_book, const struct owl_listener *listener,
                                   struct owl_book **book, struct owl_error *error)
{
    char usual[4096], words[600];
    *book = NULL;
    if (no_book)
        return OWL_OK;
    enum owl_status status = directory ? OWL_OK : owl_book_usual_directory(usual, sizeof usual);
    if (status == OWL_OK)
        status = owl_book_open(directory ? directory : usual, book, error);
    else
        snprintf(error->words, sizeof error->words, "no home folder is known to keep the book in");
    if (status == OWL_OK || directory)
        return status;
    snprintf(words, sizeof words, "going on without a book: %s", error->words);
    owl_listener_note(listener, words);
    *error = (struct owl_error){{0}};
    return OWL_OK;
}

/* The watch's plan as it was used. */
static enum owl_status open_plan(struct owl_card_session *session, const char *plan, struct owl_trouble *trouble)
{
    char name[160];
    snprintf(name, sizeof name, "the plan of watch %s", session->watch);
    enum owl_status status = owl_session_read_words(name, plan, &session->plan, trouble);
    if (status != OWL_OK)
        snprintf(trouble->error.words, sizeof trouble->error.words, "%s, as the book keeps it, is no longer a sound plan", name);
    return status;
}

/* The watch the card belongs to, and its plan. */
static enum owl_status find_watch(struct owl_card_session *session, struct owl_trouble *trouble)
{
    struct owl_book_cards cards = {0};
    struct owl_book_watch watch = {0};
    enum owl_status status = owl_book_list_cards(session->book, NULL, &cards, &trouble->error);
    for (int i = 0; status == OWL_OK && i < cards.count; i++)
        if (strcmp(cards.card[i].folder, session->folder) == 0 && cards.card[i].watch) {
            session->watch = strdup(cards.card[i].watch);
            status = session->watch ? owl_book_find_watch(session->book, session->watch, &watch, &trouble->error) : OWL_NO_MEMORY;
        }
    if (status == OWL_OK && watch.plan && *watch.plan)
        status = open_plan(session, watch.plan, trouble);
    owl_book_watch_clear(&watch);
    owl_book_cards_clear(&cards);
    return status;
}

static enum owl_status keep(struct owl_card_session *session, struct owl_error *error)
{
    if (!session->book)
        return OWL_OK;
    session->judging.judged_s = (double)time(NULL);
    session->judging.version = OWL_JUDGE_VERSION;
    return owl_book_keep_judged(session->book, session->folder, &session->judging, &session->judged, error);
}

static enum owl_status take_corrections(struct owl_card_session *session, struct owl_error *error)
{
    struct owl_book_corrections list = {0};
    enum owl_status status = session->book ? owl_book_find_corrections(session->book, session->folder, &list, error) : OWL_OK;
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
    return status;
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

static bool same_settings(const struct owl_judge_wish *wish, const struct owl_book_judging *judging,
                          const struct owl_judged *kept)
{
    bool same = judging->version == OWL_JUDGE_VERSION && wish->flashes == kept->flashes && wish->ignored == judging->ignored &&
                fabs(wish->subject_score - judging->subject_score) < 0.5;
    for (int i = 0; same && i < wish->ignored; i++)
        same = fabs(wish->ignore[i].left - judging->ignore[i].left) + fabs(wish->ignore[i].top - judging->ignore[i].top) +
               fabs(wish->ignore[i].right - judging->ignore[i].right) + fabs(wish->ignore[i].bottom - judging->ignore[i].bottom) <
               1e-9;
    return same;
}

static enum owl_status judge(struct owl_card_session *session, struct owl_judge_wish *wish, const struct owl_listener *listener,
                             struct owl_error *error)
{
    double shift_s = session->judged.clock_shift_s;
    owl_judged_clear(&session->judged);
    if (listener) {
        wish->progress = listener->progress;
        wish->stopped = listener->stopped;
        wish->context = listener->context;
    }
    enum owl_status status = owl_judge_folder(wish, &session->judged, error);
    if (status != OWL_OK)
        return status;
    session->judged.clock_shift_s = shift_s;
    session->judging.subject_score = wish->subject_score;
    session->judging.ignored = wish->ignored;
    memcpy(session->judging.ignore, wish->ignore, sizeof wish->ignore);
    return OWL_OK;
}

static enum owl_status find_or_judge(const struct owl_card_options *options, const struct owl_listener *listener,
                                     struct owl_card_session *session, struct owl_error *error)
{
    struct owl_judge_wish wish;
    bool found = false;
    enum owl_status status = OWL_OK;
    if (session->book)
        status = owl_book_find_judged(session->book, session->folder, &found, &session->judging, &session->judged, error);
    if (status != OWL_OK)
        return status;
    settle_settings(options, session, found, &session->judged, &wish);
    session->kept = found && !options->again && same_settings(&wish, &session->judging, &session->judged) &&
                    owl_judged_still_there(&session->judged, session->folder);
    if (!session->kept)
        status = judge(session, &wish, listener, error);
    bool moved = options->shift_given && fabs(options->clock_shift_s - session->judged.clock_shift_s) > 1e-9;
    if (options->shift_given)
        session->judged.clock_shift_s = options->clock_shift_s;
    if (status == OWL_OK && (!session->kept || moved))
        status = keep(session, error);
    return status == OWL_OK ? take_corrections(session, error) : status;
}

/* ---- the session ---- */

static enum owl_status fail_folder(const char *folder, int trouble, struct owl_error *error)
{
    struct owl_text text = owl_text_over(error->words, sizeof error->words);
    owl_tree_show(&text, folder);
    owl_text_words(&text, " cannot be read: ");
    owl_text_words(&text, trouble == ENOENT ? "there is no such folder" : strerror(trouble));
    return OWL_CANNOT_READ;
}

enum owl_status owl_card_session_open(const struct owl_card_options *options, const struct owl_listener *listener,
                                      struct owl_card_session *session, struct owl_trouble *trouble)
{
    *session = (struct owl_card_session){.folder = realpath(options->folder, NULL)};
    if (!session->folder)
        return fail_folder(options->folder, errno, &trouble->error);
    enum owl_status status = owl_card_book_open(options->book, options->no_book, listener, &session->book, &trouble->error);
    if (status == OWL_OK && session->book)
        status = find_watch(session, trouble);
    if (status == OWL_OK)
        status = find_or_judge(options, listener, session, &trouble->error);
    if (status != OWL_OK)
        owl_card_session_close(session);
    return status;
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

int owl_card_session_find(const struct owl_card_session *session, const char *words)
{
    const struct owl_judged *judged = &session->judged;
    for (int i = 0; i < judged->count; i++)
        if (strcmp(judged->frame[i].name, words) == 0)
            return i;
    char *end = NULL;
    long number = strtol(words, &end, 10);
    return end != words && *end == '\0' && number >= 1 && number <= judged->count ? (int)number - 1 : -1;
}

enum owl_status owl_card_session_correct(struct owl_card_session *session, int frame, enum owl_judge_class class,
                                         struct owl_error *error)
{
    struct owl_judged_frame *corrected = &session->judged.frame[frame];
    if (!session->book) {
        snprintf(error->words, sizeof error->words, "a correction needs a book to keep it in");
        return OWL_BAD_USE;
    }
    enum owl_status status = owl_book_correct(session->book, session->folder, corrected->name, class, (double)time(NULL), error);
    if (status != OWL_OK)
        return status;
    session->corrected += !corrected->corrected;
    corrected->verdict.class = class;
    corrected->corrected = true;
    return OWL_OK;
}

enum owl_status owl_card_session_keep_visits(const struct owl_card_session *session, const struct owl_visits *visits,
                                             struct owl_error *error)
{
    if (!session->book)
        return OWL_OK;
    struct owl_book_visit *kept = calloc((size_t)visits->count + 1, sizeof *kept);
    if (!kept)
        return OWL_NO_MEMORY;
    for (int i = 0; i < visits->count; i++) {
        const struct owl_visit *visit = &visits->visit[i];
        kept[i] = (struct owl_book_visit){.first = visits->order[visit->first], .last = visits->order[visit->past - 1],
                                          .best = visit->best, .begins_s = visit->begin_s, .ends_s = visit->end_s};
        snprintf(kept[i].row, sizeof kept[i].row, "%s", owl_ledger_word(visit->row));
    }
    enum owl_status status = owl_book_keep_visits(session->book, session->folder, kept, visits->count, error);
    free(kept);
    return status;
}
