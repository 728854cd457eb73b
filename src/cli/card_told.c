/* Cards and books opened, and what that meets told on the terminal. */
#include <stdio.h>

#include "card/tree.h"
#include "cli/card_options.h"
#include "cli/command.h"
#include "cli/console.h"

static void tell_frames(void *context, const char *doing, int done, int all)
{
    if (owl_progress_due(context))
        fprintf(stderr, "\r%s %d of %d frames ", doing, done, all);
}

static void tell_note(void *context, const char *words)
{
    (void)context;
    fprintf(stderr, "owllight: %s\n", words);
}

int owl_card_told_open(const struct owl_card_options *options, struct owl_card_session *session)
{
    struct owl_trouble trouble = {0};
    struct owl_progress progress = owl_progress_begin();
    const struct owl_listener listener = {.progress = tell_frames, .note = tell_note, .context = &progress};
    enum owl_status status = owl_card_session_open(options, &listener, session, &trouble);
    owl_progress_end(&progress);
    return owl_complain_trouble(status, &trouble);
}

int owl_card_told_book(const char *directory, bool no_book, struct owl_book **book)
{
    struct owl_error error = {{0}};
    const struct owl_listener listener = {.note = tell_note};
    enum owl_status status = owl_card_book_open(directory, no_book, &listener, book, &error);
    return status == OWL_OK ? OWL_EXIT_WELL : owl_complain_error(status, &error);
}

void owl_card_name(struct owl_text *text, const char *name, int columns)
{
    size_t before = text->length;
    owl_tree_show(text, name);
    int left = columns - owl_text_columns(text->buffer + before);
    owl_text_repeat(text, ' ', left > 2 ? left : 2);
}

int owl_card_told_frame(const struct owl_card_session *session, const char *words)
{
    int frame = owl_card_session_find(session, words);
    if (frame < 0)
        fprintf(stderr, "owllight: no frame is called '%s'; a name as judge lists it, or a number from 1 to %d, would be right\n",
                words, session->judged.count);
    return frame;
}
