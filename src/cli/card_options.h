/* What all commands about cards share: their options, and opening a card with everything told on the terminal. */
#ifndef OWL_CLI_CARD_OPTIONS_H
#define OWL_CLI_CARD_OPTIONS_H

#include "cli/session.h"
#include "session/card_session.h"

#define OWL_CARD_OPTIONS "--flashes, --ignore, --subject-from, --clock-shift, --book, --no-book, --again"

/* Takes words[at] and what belongs to it: how many words that were, 0 where it is none of OWL_CARD_OPTIONS, -1 where it is
   wrong and that has been told. */
int owl_card_option(struct owl_card_options *options, int count, char **words, int at);

/* Takes a lone word as the folder; the exit status, told where it is a second one or an unknown option. own: the command's
   name and its own options, for the message. */
int owl_card_folder(struct owl_card_options *options, const char *command, const char *own, const char *word);

/* owl_card_session_open with progress and troubles told; the exit status, session closed where it is not OWL_EXIT_WELL. */
int owl_card_told_open(const struct owl_card_options *options, struct owl_card_session *session);

/* owl_card_book_open, told; the exit status. */
int owl_card_told_book(const char *directory, bool no_book, struct owl_book **book);

/* A file's name fit for the eye, then blanks up to `columns`, two at the least. */
void owl_card_name(struct owl_text *text, const char *name, int columns);

/* The number of a frame by its name, or by its number from 1; -1 where there is none, which is told. */
int owl_card_told_frame(const struct owl_card_session *session, const char *words);

#endif
