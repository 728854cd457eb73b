/* A card judged, as every command about cards needs it: out of the book where that knows it, else judged now and kept there. */
#ifndef OWL_CLI_CARD_SESSION_H
#define OWL_CLI_CARD_SESSION_H

#include "book/book.h"
#include "card/judged.h"
#include "cli/session.h"

#define OWL_CARD_OPTIONS "--flashes, --ignore, --subject-from, --clock-shift, --book, --no-book, --again"

/* What those options said. Begins as {0}. */
struct owl_card_options {
    const char *folder;         /* the command's own word */
    const char *book;           /* NULL: where it usually lies */
    bool no_book, again;
    bool flashes_given, subject_given, ignored_given, shift_given;
    uint64_t flashes, subject_from;
    int ignored;
    struct owl_judge_region ignore[OWL_JUDGE_IGNORED];
    double clock_shift_s;
};

/* Takes words[at] and what belongs to it: how many words that were, 0 where it is none of OWL_CARD_OPTIONS, -1 where it is
   wrong and that has been told. */
int owl_card_option(struct owl_card_options *options, int count, char **words, int at);

/* Takes a lone word as the folder; the exit status, told where it is a second one or an unknown option. own: the command's
   name and its own options, for the message. */
int owl_card_folder(struct owl_card_options *options, const char *command, const char *own, const char *word);

struct owl_card_session {
    char *folder;               /* absolute */
    struct owl_book *book;      /* NULL: none */
    struct owl_judged judged;   /* corrections and the clock's shift are in it */
    struct owl_book_judging judging;
    bool kept;                  /* taken out of the book */
    int corrected;              /* frames the user gave another verdict */
    struct owl_session *plan;   /* of the card's watch; NULL: not known */
    char *watch;                /* its name; NULL: not known */
};

/* The exit status, told where it is not OWL_EXIT_WELL; session is then closed. */
int owl_card_session_open(const struct owl_card_options *options, struct owl_card_session *session);
void owl_card_session_close(struct owl_card_session *session);

/* Opens the book that options name; OWL_EXIT_WELL and NULL where none is wanted, or the usual one cannot be had, which is told. */
int owl_card_book_open(const char *directory, bool no_book, struct owl_book **book);

/* Tells an error's words, and the exit status that goes with it. */
int owl_complain_error(enum owl_status status, const struct owl_error *error);

/* A file's name fit for the eye, then blanks up to `columns`, two at the least. */
void owl_card_name(struct owl_text *text, const char *name, int columns);

/* The number of a frame by its name, or by its number from 1; -1 where there is none, which is told. */
int owl_card_session_frame(const struct owl_card_session *session, const char *words);

#endif
