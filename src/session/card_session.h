/* A card judged, with its book, its watch's plan and the user's word: out of the book where that knows it, else judged now and
   kept there. */
#ifndef OWL_SESSION_CARD_SESSION_H
#define OWL_SESSION_CARD_SESSION_H

#include "book/book.h"
#include "card/judged.h"
#include "card/visits.h"
#include "session/listener.h"
#include "session/plan_session.h"

/* How a card is wanted. Begins as {0}. */
struct owl_card_options {
    const char *folder;
    const char *book;           /* NULL: where it usually lies */
    bool no_book, again;
    bool flashes_given, subject_given, ignored_given, shift_given;
    uint64_t flashes, subject_from;
    int ignored;
    struct owl_judge_region ignore[OWL_JUDGE_IGNORED];
    double clock_shift_s;
};

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

/* On OWL_OK the session is the caller's, for owl_card_session_close; else trouble tells why and it is closed. It may go on to
   another thread than it was opened on, but only one at a time may use it. OWL_BAD_USE also where the listener stopped it. */
enum owl_status owl_card_session_open(const struct owl_card_options *options, const struct owl_listener *listener,
                                      struct owl_card_session *session, struct owl_trouble *trouble) OWL_MUST_USE;
void owl_card_session_close(struct owl_card_session *session);

/* Opens the book that options name. OWL_OK and NULL where none is wanted, or the usual one cannot be had: the listener's note
   tells that. */
enum owl_status owl_card_book_open(const char *directory, bool no_book, const struct owl_listener *listener,
                                   struct owl_book **book, struct owl_error *error) OWL_MUST_USE;

/* The number of a frame by its name, or by its number from 1; -1 where there is none. */
int owl_card_session_find(const struct owl_card_session *session, const char *words);

/* The user's word on a frame (from 0), kept in the session's book through every later judging. OWL_BAD_USE: it has no book. */
enum owl_status owl_card_session_correct(struct owl_card_session *session, int frame, enum owl_judge_class class,
                                         struct owl_error *error) OWL_MUST_USE;

/* Keeps the card's visits in the session's book, where it has one. */
enum owl_status owl_card_session_keep_visits(const struct owl_card_session *session, const struct owl_visits *visits,
                                             struct owl_error *error) OWL_MUST_USE;

#endif
