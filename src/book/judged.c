/* Judged cards, kept and found whole. */
#include <stdlib.h>

#include "book/cards.h"
#include "book/verdicts.h"

/* ---- keeping ---- */

static bool sound(const struct owl_book_judging *judging, const struct owl_judged *judged)
{
    bool so = judging->ignored >= 0 && judging->ignored <= OWL_JUDGE_IGNORED && judged->count >= 0;
    for (int i = 0; i < judged->count && so; i++)
        so = judged->frame[i].name && judged->frame[i].verdict.boxes >= 0 && judged->frame[i].verdict.boxes <= OWL_JUDGE_BOXES;
    return so;
}

static void forget(struct owl_book_run *run, const char *sql, int64_t card)
{
    struct owl_book_query query = owl_book_ask(run, sql);
    owl_book_put_integer(&query, card);
    owl_book_do(&query);
    owl_book_ask_end(&query);
}

static void keep_head(struct owl_book_run *run, int64_t card, const struct owl_book_judging *judging,
                      const struct owl_judged *judged)
{
    struct owl_book_query query = owl_book_ask(run,
        "UPDATE card SET judged = 1, judged_s = ?, judge_version = ?, told_score = ?, subject_score = ?, flashes = ?,"
        " width_px = ?, height_px = ?, clock_shift_s = ? WHERE id = ?");
    owl_book_put_real(&query, judging->judged_s);
    owl_book_put_integer(&query, judging->version);
    owl_book_put_real(&query, judging->subject_score);
    owl_book_put_real(&query, judged->subject_score);
    owl_book_put_integer(&query, judged->flashes);
    owl_book_put_integer(&query, judged->width);
    owl_book_put_integer(&query, judged->height);
    owl_book_put_real(&query, judged->clock_shift_s);
    owl_book_put_integer(&query, card);
    owl_book_do(&query);
    owl_book_ask_end(&query);
}

static void keep_ignored(struct owl_book_run *run, int64_t card, const struct owl_book_judging *judging)
{
    struct owl_book_query query = owl_book_ask(run,
        "INSERT INTO ignored (card, number, left_share, top_share, right_share, bottom_share) VALUES (?, ?, ?, ?, ?, ?)");
    for (int i = 0; i < judging->ignored && run->status == OWL_OK; i++) {
        owl_book_put_integer(&query, card);
        owl_book_put_integer(&query, i);
        owl_book_put_real(&query, judging->ignore[i].left);
        owl_book_put_real(&query, judging->ignore[i].top);
        owl_book_put_real(&query, judging->ignore[i].right);
        owl_book_put_real(&query, judging->ignore[i].bottom);
        owl_book_do(&query);
    }
    owl_book_ask_end(&query);
}

/* Visits go first: they name frames. */
enum owl_status owl_book_keep_judged(struct owl_book *book, const char *folder, const struct owl_book_judging *judging,
                                     const struct owl_judged *judged, struct owl_error *error)
{
    struct owl_book_run run = owl_book_run_begin(book, OWL_BOOK_WRITES, error);
    if (!sound(judging, judged))
        owl_book_run_fail(&run, OWL_BAD_USE, "cannot keep this: its counts are out of range, in ", folder);
    int64_t card = owl_book_enter_card(&run, folder);
    forget(&run, "DELETE FROM visit WHERE card = ?", card);
    forget(&run, "DELETE FROM frame WHERE card = ?", card);
    forget(&run, "DELETE FROM ignored WHERE card = ?", card);
    keep_head(&run, card, judging, judged);
    keep_ignored(&run, card, judging);
    struct owl_book_pen pen = owl_book_pen_take(&run);
    for (int i = 0; i < judged->count && run.status == OWL_OK; i++)
        owl_book_pen_write(&pen, card, i, &judged->frame[i]);
    owl_book_pen_lay_down(&pen);
    return owl_book_run_end(&run);
}

/* ---- finding ---- */

/* The card's number where it was judged, else 0. */
static int64_t find_head(struct owl_book_run *run, const char *folder, struct owl_book_judging *judging,
                         struct owl_judged *judged)
{
    int64_t card = 0;
    struct owl_book_query query = owl_book_ask(run,
        "SELECT id, judged_s, judge_version, told_score, subject_score, flashes, width_px, height_px,"
        " clock_shift_s, (SELECT count(*) FROM frame WHERE card = card.id) FROM card WHERE folder = ? AND judged");
    owl_book_put_folder(&query, folder);
    if (owl_book_row(&query)) {
        card = owl_book_take_integer(&query);
        judging->judged_s = owl_book_take_real(&query);
        judging->version = owl_book_take_int(&query);
        judging->subject_score = owl_book_take_real(&query);
        judged->subject_score = owl_book_take_real(&query);
        judged->flashes = owl_book_take_int(&query);
        judged->width = owl_book_take_int(&query);
        judged->height = owl_book_take_int(&query);
        judged->clock_shift_s = owl_book_take_real(&query);
        judged->count = owl_book_take_int(&query);
    }
    owl_book_ask_end(&query);
    return card;
}

static void find_ignored(struct owl_book_run *run, int64_t card, struct owl_book_judging *judging)
{
    struct owl_book_query query = owl_book_ask(run,
        "SELECT left_share, top_share, right_share, bottom_share FROM ignored WHERE card = ? ORDER BY number");
    owl_book_put_integer(&query, card);
    while (owl_book_row(&query)) {
        if (judging->ignored == OWL_JUDGE_IGNORED) {
            owl_book_run_damaged(run);
            break;
        }
        struct owl_judge_region *region = &judging->ignore[judging->ignored++];
        region->left = owl_book_take_real(&query);
        region->top = owl_book_take_real(&query);
        region->right = owl_book_take_real(&query);
        region->bottom = owl_book_take_real(&query);
    }
    owl_book_ask_end(&query);
}

enum owl_status owl_book_find_judged(struct owl_book *book, const char *folder, bool *found, struct owl_book_judging *judging,
                                     struct owl_judged *judged, struct owl_error *error)
{
    struct owl_book_judging how = {0};
    struct owl_judged made = {0};
    struct owl_book_run run = owl_book_run_begin(book, OWL_BOOK_READS, error);
    int64_t card = find_head(&run, folder, &how, &made);
    made.frame = card != 0 ? calloc((size_t)made.count + 1, sizeof *made.frame) : NULL;
    if (made.frame) {
        find_ignored(&run, card, &how);
        owl_book_read_frames(&run, card, made.frame, made.count);
    } else if (card != 0) {
        made.count = 0;
        owl_book_run_no_memory(&run);
    }
    enum owl_status status = owl_book_run_end(&run);
    if (status != OWL_OK || card == 0) {
        owl_judged_clear(&made);
    } else {
        *judging = how;
        *judged = made;
    }
    if (status == OWL_OK)
        *found = card != 0;
    return status;
}
