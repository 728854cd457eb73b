/* The command `pull`: brings a card home, verified, and tells what became of every file that needs telling. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "card/manifest.h"
#include "card/tree.h"
#include "cli/card_options.h"
#include "cli/command.h"
#include "cli/console.h"
#include "session/card_pull.h"

#define PAGE_BYTES ((size_t)1 << 16)
#define NOTES_TOLD 20 /* of each kind; all of them are in the manifest's own files */

struct asked {
    const char *card, *target, *watch, *plan, *book; /* NULL: not given */
    bool thorough, no_book;
};

static int read_asked(int count, char **words, struct asked *asked)
{
    *asked = (struct asked){0};
    for (int i = 0; i < count; i++) {
        if (strcmp(words[i], "--thorough") == 0)
            asked->thorough = true;
        else if (strcmp(words[i], "--no-book") == 0)
            asked->no_book = true;
        else if (strcmp(words[i], "--to") == 0)
            asked->target = i + 1 < count ? words[++i] : "";
        else if (strcmp(words[i], "--watch") == 0)
            asked->watch = i + 1 < count ? words[++i] : "";
        else if (strcmp(words[i], "--plan") == 0)
            asked->plan = i + 1 < count ? words[++i] : "";
        else if (strcmp(words[i], "--book") == 0)
            asked->book = i + 1 < count ? words[++i] : "";
        else if (words[i][0] == '-' && words[i][1] != '\0')
            return owl_complain_usage("pull takes --to, --watch, --plan, --book, --no-book and --thorough, not", words[i]);
        else if (asked->card)
            return owl_complain_usage("pull takes one card; this is a second:", words[i]);
        else
            asked->card = words[i];
    }
    if (!asked->card)
        return owl_complain_usage("pull needs the card's folder, such as: pull /media/card --to larch-january", NULL);
    if (!asked->target || *asked->target == '\0')
        return owl_complain_usage("pull needs --to and the folder to copy into, such as: --to larch-january", NULL);
    if ((asked->watch && *asked->watch == '\0') || (asked->plan && *asked->plan == '\0') || (asked->book && *asked->book == '\0'))
        return owl_complain_usage("--watch needs a name behind it, --plan a file, --book a folder", NULL);
    if (asked->plan && !asked->watch)
        return owl_complain_usage("--plan tells a watch's plan: name the watch, too, such as: --watch larch-january", NULL);
    if (asked->watch && asked->no_book)
        return owl_complain_usage("--watch is kept in the book: leave out --no-book", NULL);
    return OWL_EXIT_WELL;
}

/* ---- the book ---- */

static int note_watch(struct owl_book *book, const struct asked *asked)
{
    struct owl_session *session = NULL;
    struct owl_error error = {{0}};
    enum owl_status status = owl_session_open(asked->plan, &session);
    if (status != OWL_OK)
        return owl_session_exit(status);
    status = owl_card_note_watch(book, asked->watch, session, &error);
    owl_session_free(session);
    return status == OWL_OK ? OWL_EXIT_WELL : owl_complain_error(status, &error);
}

static int find_watch(struct owl_book *book, const struct asked *asked)
{
    struct owl_error error = {{0}};
    bool known = false;
    enum owl_status status = owl_card_knows_watch(book, asked->watch, &known, &error);
    if (status != OWL_OK)
        return owl_complain_error(status, &error);
    if (known)
        return OWL_EXIT_WELL;
    fprintf(stderr, "owllight: the book knows no watch '%s'; its plan as it was used would be right beside it: --plan FILE\n",
            asked->watch);
    return OWL_EXIT_WRONG;
}

/* Before anything is copied: what is wrong with the watch is told at once. */
static int open_book(const struct asked *asked, struct owl_book **book)
{
    int exit_status = owl_card_told_book(asked->book, asked->no_book, book);
    if (exit_status != OWL_EXIT_WELL || !asked->watch)
        return exit_status;
    if (!*book)
        return owl_complain_usage("--watch needs a book to keep it in: --book DIR", NULL);
    return asked->plan ? note_watch(*book, asked) : find_watch(*book, asked);
}

static int note_card(struct owl_book *book, const struct asked *asked)
{
    struct owl_error error = {{0}};
    enum owl_status status = owl_card_note_pulled(book, asked->target, asked->watch, &error);
    return status == OWL_OK ? OWL_EXIT_WELL : owl_complain_error(status, &error);
}

/* ---- while it runs ---- */

static bool tell_progress(void *context, const struct owl_pull_progress *now)
{
    struct owl_progress *progress = context;
    if (owl_progress_due(progress)) {
        double share = now->bytes_all ? (double)now->bytes / (double)now->bytes_all : 1.0;
        fprintf(stderr, "\r%3.0f %%, %zu of %zu files, %.0f MB/s", share * 100.0, now->files, now->files_all, now->bytes_per_s * 1e-6);
        if (!isnan(now->left_s))
            fprintf(stderr, ", %.0f s left ", now->left_s);
    }
    return !owl_interrupted();
}

/* ---- what is told at the end ---- */

static void tell_count(struct owl_text *page, const char *label, size_t count, const char *words)
{
    if (count == 0)
        return;
    owl_text_words(page, "  ");
    owl_text_padded(page, label, 14);
    owl_text_integer(page, (int64_t)count);
    owl_text_words(page, words);
    owl_text_char(page, '\n');
}

static void tell_notes(struct owl_text *page, const struct owl_pull_report *report, enum owl_pull_note_kind kind, const char *between)
{
    size_t told = 0, all = 0;
    for (size_t i = 0; i < report->note_count; i++) {
        const struct owl_pull_note *note = &report->notes[i];
        if (note->kind != kind || ++all > NOTES_TOLD)
            continue;
        told++;
        owl_text_words(page, "    ");
        owl_text_words(page, note->name);
        owl_text_words(page, between);
        owl_text_words(page, note->words);
        owl_text_char(page, '\n');
    }
    if (all > told) {
        owl_text_words(page, "    and ");
        owl_text_integer(page, (int64_t)(all - told));
        owl_text_words(page, " more\n");
    }
}

static int tell(const struct asked *asked, const struct owl_pull_report *report)
{
    struct owl_text page = owl_page_begin(PAGE_BYTES);
    if (!page.buffer)
        return OWL_EXIT_FAILED;
    owl_card_pull_tell(report, &page);
    owl_text_char(&page, '\n');
    tell_count(&page, "copied", report->copied, "");
    tell_notes(&page, report, OWL_PULL_RENAMED, " is kept as ");
    tell_count(&page, "there before", report->already, "");
    tell_count(&page, "kept once", report->duplicates, ", the same content as another file:");
    tell_notes(&page, report, OWL_PULL_DUPLICATE, " is kept as ");
    tell_count(&page, "left out", report->left_out, ", no files:");
    tell_notes(&page, report, OWL_PULL_LEFT_OUT, ": ");
    tell_count(&page, "FAILED", report->failed, ":");
    tell_notes(&page, report, OWL_PULL_FAILED, ": ");
    tell_count(&page, "NOT REACHED", report->not_reached, "; the same command goes on from here");
    owl_text_words(&page, "The card was only read. To check the copies at any time, in the folder ");
    owl_tree_show(&page, asked->target);
    owl_text_words(&page, ": xxh128sum -c " OWL_MANIFEST_NAME "\n");
    int exit_status = owl_page_end(&page);
    bool whole = report->failed == 0 && report->not_reached == 0;
    return exit_status == OWL_EXIT_WELL && !whole ? OWL_EXIT_FAILED : exit_status;
}

static int exit_of(enum owl_status status)
{
    return status == OWL_NO_MEMORY ? OWL_EXIT_FAILED : OWL_EXIT_WRONG;
}

int owl_command_pull(int count, char **words)
{
    struct asked asked;
    struct owl_book *book = NULL;
    int exit_status = read_asked(count, words, &asked);
    if (exit_status == OWL_EXIT_WELL)
        exit_status = open_book(&asked, &book);
    if (exit_status != OWL_EXIT_WELL) {
        owl_book_close(book);
        return exit_status;
    }
    struct owl_progress progress = owl_progress_begin();
    struct owl_pull_wish wish = {.card = asked.card, .target = asked.target, .thorough = asked.thorough,
                                 .progress = tell_progress, .context = &progress};
    struct owl_pull_report report = {0};
    struct owl_error error = {{0}};
    owl_listen_for_interrupt(); /* even a second one leaves nothing torn under a final name */
    enum owl_status status = owl_pull(&wish, &report, &error);
    owl_progress_end(&progress);
    if (status == OWL_OK || report.copied + report.already > 0)
        exit_status = tell(&asked, &report);
    if (status != OWL_OK) {
        fprintf(stderr, "owllight: %s\n", error.words);
        exit_status = exit_of(status);
    }
    if (book && report.copied + report.already + report.duplicates > 0) {
        int noted = note_card(book, &asked);
        exit_status = exit_status == OWL_EXIT_WELL ? noted : exit_status;
    }
    owl_book_close(book);
    owl_pull_report_clear(&report);
    return exit_status;
}
