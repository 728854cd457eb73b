/* Cards: where they lie, which watch they are of, and what is kept of them. */
#include "book/cards.h"

#include <stdlib.h>
#include <string.h>

#include "card/grow.h"

/* ---- by folder ---- */

void owl_book_put_folder(struct owl_book_query *query, const char *folder)
{
    size_t length = strlen(folder);
    while (length > 1 && folder[length - 1] == '/')
        length--;
    if (folder[0] == '/')
        owl_book_put_bytes(query, folder, length);
    else
        owl_book_run_fail(query->run, OWL_BAD_USE, "keeps cards by the whole path of their folder, which this is not: ", folder);
}

static int64_t number_for(struct owl_book_run *run, const char *sql, const char *folder)
{
    struct owl_book_query query = owl_book_ask(run, sql);
    owl_book_put_folder(&query, folder);
    int64_t card = owl_book_row(&query) ? owl_book_take_integer(&query) : 0;
    owl_book_ask_end(&query);
    return card;
}

int64_t owl_book_card_of(struct owl_book_run *run, const char *folder)
{
    return number_for(run, "SELECT id FROM card WHERE folder = ?", folder);
}

int64_t owl_book_enter_card(struct owl_book_run *run, const char *folder)
{
    int64_t card = owl_book_card_of(run, folder);
    return card != 0 ? card : number_for(run, "INSERT INTO card (folder) VALUES (?) RETURNING id", folder);
}

/* ---- noting ---- */

static void note_watch_of(struct owl_book_run *run, int64_t card, const char *watch)
{
    struct owl_book_query query = owl_book_ask(run, "UPDATE card SET watch = w.id FROM watch w WHERE w.name = ? AND card.id = ?");
    owl_book_put_words(&query, watch);
    owl_book_put_integer(&query, card);
    owl_book_do(&query);
    owl_book_ask_end(&query);
    if (sqlite3_changes(run->book->database) == 0)
        owl_book_run_fail(run, OWL_BAD_USE, "has no watch with the name ", watch);
}

static void note_pulled(struct owl_book_run *run, int64_t card, double pulled_s)
{
    struct owl_book_query query = owl_book_ask(run, "UPDATE card SET pulled_s = coalesce(?, pulled_s) WHERE id = ?");
    owl_book_put_real(&query, pulled_s);
    owl_book_put_integer(&query, card);
    owl_book_do(&query);
    owl_book_ask_end(&query);
}

enum owl_status owl_book_note_card(struct owl_book *book, const struct owl_book_card *card, struct owl_error *error)
{
    struct owl_book_run run = owl_book_run_begin(book, OWL_BOOK_WRITES, error);
    int64_t number = owl_book_enter_card(&run, card->folder);
    note_pulled(&run, number, card->pulled_s);
    if (card->watch)
        note_watch_of(&run, number, card->watch);
    return owl_book_run_end(&run);
}

/* ---- listing ---- */

static const char of_all[] =
    "SELECT CAST(c.folder AS TEXT), w.name, c.pulled_s, c.judged_s, (SELECT count(*) FROM frame f WHERE f.card = c.id)"
    " FROM card c LEFT JOIN watch w ON w.id = c.watch ORDER BY c.folder";
static const char of_watch[] =
    "SELECT CAST(c.folder AS TEXT), w.name, c.pulled_s, c.judged_s, (SELECT count(*) FROM frame f WHERE f.card = c.id)"
    " FROM card c JOIN watch w ON w.id = c.watch WHERE w.name = ? ORDER BY c.folder";

static void take_card(struct owl_book_query *query, struct owl_book_card *card)
{
    const char *folder = owl_book_take_words(query), *watch = owl_book_take_words(query);
    size_t bytes = owl_book_words_bytes(folder) + owl_book_words_bytes(watch);
    char *block = folder ? malloc(bytes) : NULL;
    *card = (struct owl_book_card){.owned = block};
    if (!block) {
        owl_book_run_no_memory(query->run);
        return;
    }
    card->folder = owl_book_words_into(&block, folder);
    card->watch = owl_book_words_into(&block, watch);
    card->pulled_s = owl_book_take_real(query);
    card->judged_s = owl_book_take_real(query);
    card->frames = owl_book_take_int(query);
}

enum owl_status owl_book_list_cards(struct owl_book *book, const char *watch, struct owl_book_cards *list,
                                    struct owl_error *error)
{
    struct owl_book_cards made = {NULL, 0};
    size_t room = 0;
    struct owl_book_run run = owl_book_run_begin(book, OWL_BOOK_READS, error);
    struct owl_book_query query = owl_book_ask(&run, watch ? of_watch : of_all);
    if (watch)
        owl_book_put_words(&query, watch);
    while (owl_book_row(&query)) {
        if (owl_grow(&made.card, &room, (size_t)made.count, sizeof *made.card))
            take_card(&query, &made.card[made.count++]);
        else
            owl_book_run_no_memory(&run);
    }
    owl_book_ask_end(&query);
    enum owl_status status = owl_book_run_end(&run);
    if (status == OWL_OK)
        *list = made;
    else
        owl_book_cards_clear(&made);
    return status;
}

void owl_book_cards_clear(struct owl_book_cards *list)
{
    for (int i = 0; i < list->count; i++)
        free(list->card[i].owned);
    free(list->card);
    *list = (struct owl_book_cards){NULL, 0};
}
