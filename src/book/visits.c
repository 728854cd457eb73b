/* Visits of a judged card, and what the user said of its frames. */
#include <stdlib.h>
#include <string.h>

#include "book/cards.h"
#include "book/verdicts.h"
#include "card/grow.h"

/* ---- visits ---- */

/* A card that is unknown has no frames, so that whatever names one contradicts it. */
static void keep_visit(struct owl_book_query *query, int64_t card, int number, const struct owl_book_visit *visit)
{
    if (!memchr(visit->row, '\0', sizeof visit->row))
        owl_book_run_fail(query->run, OWL_BAD_USE, "cannot keep a visit: its word has no end", NULL);
    owl_book_put_integer(query, card);
    owl_book_put_integer(query, number);
    owl_book_put_integer(query, visit->first);
    owl_book_put_integer(query, visit->last);
    owl_book_put_integer(query, visit->best);
    owl_book_put_real(query, visit->begins_s);
    owl_book_put_real(query, visit->ends_s);
    owl_book_put_words(query, visit->row);
    owl_book_do(query);
}

static void forget_visits(struct owl_book_run *run, int64_t card)
{
    struct owl_book_query query = owl_book_ask(run, "DELETE FROM visit WHERE card = ?");
    owl_book_put_integer(&query, card);
    owl_book_do(&query);
    owl_book_ask_end(&query);
}

enum owl_status owl_book_keep_visits(struct owl_book *book, const char *folder, const struct owl_book_visit *visit, int count,
                                     struct owl_error *error)
{
    struct owl_book_run run = owl_book_run_begin(book, OWL_BOOK_WRITES, error);
    int64_t card = owl_book_card_of(&run, folder);
    if (card == 0)
        owl_book_run_fail(&run, OWL_BAD_USE, "knows no card in ", folder);
    forget_visits(&run, card);
    struct owl_book_query query = owl_book_ask(&run,
        "INSERT INTO visit (card, number, first_frame, last_frame, best_frame, begins_s, ends_s, ledger_row)"
        " VALUES (?, ?, ?, ?, ?, ?, ?, ?)");
    for (int i = 0; i < count && run.status == OWL_OK; i++)
        keep_visit(&query, card, i, &visit[i]);
    owl_book_ask_end(&query);
    return owl_book_run_end(&run);
}

static void take_visit(struct owl_book_query *query, struct owl_book_visit *visit)
{
    *visit = (struct owl_book_visit){0};
    visit->first = owl_book_take_int(query);
    visit->last = owl_book_take_int(query);
    visit->best = owl_book_take_int(query);
    visit->begins_s = owl_book_take_real(query);
    visit->ends_s = owl_book_take_real(query);
    struct owl_text row = owl_text_over(visit->row, sizeof visit->row);
    const char *word = owl_book_take_words(query);
    owl_text_words(&row, word ? word : "");
}

enum owl_status owl_book_find_visits(struct owl_book *book, const char *folder, struct owl_book_visit **visit, int *count,
                                     struct owl_error *error)
{
    struct owl_book_visit *made = NULL;
    size_t found = 0, room = 0;
    struct owl_book_run run = owl_book_run_begin(book, OWL_BOOK_READS, error);
    struct owl_book_query query = owl_book_ask(&run,
        "SELECT first_frame, last_frame, best_frame, begins_s, ends_s, ledger_row"
        " FROM visit JOIN card ON card.id = visit.card WHERE folder = ? ORDER BY number");
    owl_book_put_folder(&query, folder);
    while (owl_book_row(&query)) {
        if (owl_grow(&made, &room, found, sizeof *made))
            take_visit(&query, &made[found++]);
        else
            owl_book_run_no_memory(&run);
    }
    owl_book_ask_end(&query);
    enum owl_status status = owl_book_run_end(&run);
    if (status != OWL_OK) {
        free(made);
        return status;
    }
    *visit = made;
    *count = (int)found;
    return OWL_OK;
}

/* ---- corrections ---- */

enum owl_status owl_book_correct(struct owl_book *book, const char *folder, const char *name, enum owl_judge_class class,
                                 double corrected_s, struct owl_error *error)
{
    struct owl_book_run run = owl_book_run_begin(book, OWL_BOOK_WRITES, error);
    struct owl_book_query query = owl_book_ask(&run,
        "INSERT INTO correction (class, corrected_s, card, name)"
        " SELECT ?, ?, card.id, frame.name FROM card JOIN frame ON frame.card = card.id WHERE folder = ? AND frame.name = ?"
        " ON CONFLICT (card, name) DO UPDATE SET class = excluded.class, corrected_s = excluded.corrected_s");
    owl_book_put_words(&query, owl_book_class_word(class));
    owl_book_put_real(&query, corrected_s);
    owl_book_put_folder(&query, folder);
    owl_book_put_name(&query, name);
    owl_book_do(&query);
    owl_book_ask_end(&query);
    if (sqlite3_changes(book->database) == 0)
        owl_book_run_fail(&run, OWL_BAD_USE, "has no judged frame with the name ", name);
    return owl_book_run_end(&run);
}

static void take_correction(struct owl_book_query *query, struct owl_book_correction *correction)
{
    *correction = (struct owl_book_correction){.name = owl_book_take_name(query)};
    if (!owl_book_class_of(owl_book_take_words(query), &correction->class))
        owl_book_run_damaged(query->run);
    correction->corrected_s = owl_book_take_real(query);
}

enum owl_status owl_book_find_corrections(struct owl_book *book, const char *folder, struct owl_book_corrections *list,
                                          struct owl_error *error)
{
    struct owl_book_corrections made = {NULL, 0};
    size_t room = 0;
    struct owl_book_run run = owl_book_run_begin(book, OWL_BOOK_READS, error);
    struct owl_book_query query = owl_book_ask(&run,
        "SELECT name, class, corrected_s FROM correction JOIN card ON card.id = correction.card WHERE folder = ? ORDER BY name");
    owl_book_put_folder(&query, folder);
    while (owl_book_row(&query)) {
        if (owl_grow(&made.correction, &room, (size_t)made.count, sizeof *made.correction))
            take_correction(&query, &made.correction[made.count++]);
        else
            owl_book_run_no_memory(&run);
    }
    owl_book_ask_end(&query);
    enum owl_status status = owl_book_run_end(&run);
    if (status == OWL_OK)
        *list = made;
    else
        owl_book_corrections_clear(&made);
    return status;
}

void owl_book_corrections_clear(struct owl_book_corrections *list)
{
    for (int i = 0; i < list->count; i++)
        free(list->correction[i].name);
    free(list->correction);
    *list = (struct owl_book_corrections){NULL, 0};
}
