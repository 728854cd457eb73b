/* The book: the store of sites, plans as they were used, watches, judged cards, visits and corrections, in one SQLite file
   `book.sqlite` in the book's folder. A book is closed by who opened it; one thread at a time may use it. Any number of
   programs may have the same book open: who writes waits up to OWL_BOOK_WAIT_S for the other.

   Every function but the clearing ones fails with one line in `error` and leaves the book as it was before the call:
   OWL_CANNOT_READ: damaged; OWL_CANNOT_WRITE: in use for too long, no room, no permission; OWL_NO_MEMORY; OWL_BAD_USE: what
   is given contradicts the book or itself. Results are untouched on failure. Nothing asks a clock: dates are the caller's,
   in seconds since 1970 UTC, NaN where one is not known. Folders are absolute paths, a slash at the end or not; folders and
   frame names are bytes, all other words UTF-8. */
#ifndef OWL_BOOK_BOOK_H
#define OWL_BOOK_BOOK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "card/error.h"
#include "card/judged.h"
#include "core/status.h"

#define OWL_BOOK_FILE "book.sqlite"
#define OWL_BOOK_WAIT_S 5 /* estimate: longer than keeping the largest card takes */

struct owl_book;

/* Opens the book in a folder; makes both where there is none, folders with mode 0700, and brings a book of an older form up to
   the present one. A file that belongs to another program, or to a newer owllight, is refused and not altered:
   OWL_CANNOT_READ. */
enum owl_status owl_book_open(const char *directory, struct owl_book **book, struct owl_error *error) OWL_MUST_USE;
void owl_book_close(struct owl_book *book);

/* Where the book lies when nobody says otherwise: `owllight` in $XDG_DATA_HOME, or in .local/share of $HOME [xdg-basedir].
   OWL_CANNOT_READ: neither is an absolute path; OWL_NO_ROOM: longer than `bytes`. */
enum owl_status owl_book_usual_directory(char *directory, size_t bytes) OWL_MUST_USE;

/* ---- sites and watches ---- */

struct owl_book_site {
    const char *name; /* NULL: none told */
    double latitude_rad, longitude_rad, elevation_m;
};

struct owl_book_watch {
    int64_t id;       /* of the book: not asked for when noting */
    const char *name; /* not empty; what it is found by */
    const char *plan; /* the plan's whole text as it was used */
    struct owl_book_site site;
    double begins_s, ends_s;
    void *owned;      /* the words, when found */
};

/* Enters a watch, or puts the one of that name right, and its site likewise. A plan's text is stored once, and dropped when no
   watch has it any more. OWL_BAD_USE: no name. */
enum owl_status owl_book_note_watch(struct owl_book *book, const struct owl_book_watch *watch,
                                    struct owl_error *error) OWL_MUST_USE;

/* id 0 and nothing else where there is none of that name. */
enum owl_status owl_book_find_watch(struct owl_book *book, const char *name, struct owl_book_watch *watch,
                                    struct owl_error *error) OWL_MUST_USE;
void owl_book_watch_clear(struct owl_book_watch *watch);

/* By their begin, those without one last, then by name. */
struct owl_book_watches {
    struct owl_book_watch *watch;
    int count;
};

enum owl_status owl_book_list_watches(struct owl_book *book, struct owl_book_watches *list, struct owl_error *error) OWL_MUST_USE;
void owl_book_watches_clear(struct owl_book_watches *list);

/* ---- cards ---- */

struct owl_book_card {
    const char *folder;
    const char *watch;          /* its name; NULL: not told */
    double pulled_s, judged_s;
    int frames;                 /* of the book: not asked for when noting, as judged_s */
    void *owned;                /* the words, when found */
};

/* Enters a card by its folder, or adds to what is known of it: a watch of NULL and a pulled_s of NaN leave what is there.
   OWL_BAD_USE: no such watch. */
enum owl_status owl_book_note_card(struct owl_book *book, const struct owl_book_card *card, struct owl_error *error) OWL_MUST_USE;

/* Of one watch, or with NULL all, by their folders. */
struct owl_book_cards {
    struct owl_book_card *card;
    int count;
};

enum owl_status owl_book_list_cards(struct owl_book *book, const char *watch, struct owl_book_cards *list,
                                    struct owl_error *error) OWL_MUST_USE;
void owl_book_cards_clear(struct owl_book_cards *list);

/* What the judge was told beside the frames, and when. */
struct owl_book_judging {
    double judged_s;
    int version;          /* of the judge */
    double subject_score; /* as it was wished for: 0 for one learned from the card */
    int ignored;
    struct owl_judge_region ignore[OWL_JUDGE_IGNORED];
};

/* Keeps a judged card whole, or not at all; enters the card where it is new. Frames, verdicts and visits kept of it before
   are gone then, corrections stay. */
enum owl_status owl_book_keep_judged(struct owl_book *book, const char *folder, const struct owl_book_judging *judging,
                                     const struct owl_judged *judged, struct owl_error *error) OWL_MUST_USE;

/* Gives it back bit for bit, but for NaN, of which there is one kind, and boxes beyond their count, which are 0. *found
   false: not judged, nothing else touched. judged is for owl_judged_clear. */
enum owl_status owl_book_find_judged(struct owl_book *book, const char *folder, bool *found, struct owl_book_judging *judging,
                                     struct owl_judged *judged, struct owl_error *error) OWL_MUST_USE;

/* Of a judged card; frames count as they were judged, from 0. */
struct owl_book_visit {
    int first, last, best;
    double begins_s, ends_s;
    char row[16]; /* the ledger's word for how it ended; may be empty */
};

/* Replaces the card's visits. OWL_BAD_USE: the card was not judged, or a visit has frames it has not. */
enum owl_status owl_book_keep_visits(struct owl_book *book, const char *folder, const struct owl_book_visit *visit, int count,
                                     struct owl_error *error) OWL_MUST_USE;

/* In their order; none where none are kept. *visit is from malloc, for free; NULL for none. */
enum owl_status owl_book_find_visits(struct owl_book *book, const char *folder, struct owl_book_visit **visit, int *count,
                                     struct owl_error *error) OWL_MUST_USE;

struct owl_book_correction {
    char *name; /* of the frame */
    enum owl_judge_class class;
    double corrected_s;
};

struct owl_book_corrections {
    struct owl_book_correction *correction;
    int count;
};

/* Keeps what the user found a frame to show; the last word on a frame holds, through every later judging of the card.
   OWL_BAD_USE: the card has no frame of that name. */
enum owl_status owl_book_correct(struct owl_book *book, const char *folder, const char *name, enum owl_judge_class class,
                                 double corrected_s, struct owl_error *error) OWL_MUST_USE;

/* By name; also those of frames that are gone since. */
enum owl_status owl_book_find_corrections(struct owl_book *book, const char *folder, struct owl_book_corrections *list,
                                          struct owl_error *error) OWL_MUST_USE;
void owl_book_corrections_clear(struct owl_book_corrections *list);

#endif
