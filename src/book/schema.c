/* The book's tables, and how a file is known as ours. */
#include "book/schema.h"

#include <string.h>

#define AS_WORDS(number) AS_WORDS_OF(number)
#define AS_WORDS_OF(number) #number

/* Numbers that must come back bit for bit are of type ANY: a column of type REAL would turn -0.0 into 0. A card's visits and
   corrections name its frames by number and by name, as the frames themselves are replaced by every judging. */
static const char form_1[] =
    "PRAGMA application_id = " AS_WORDS(OWL_BOOK_APPLICATION) ";"
    "CREATE TABLE site (id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE,"
    " latitude_rad ANY, longitude_rad ANY, elevation_m ANY) STRICT;"
    "CREATE TABLE plan (id INTEGER PRIMARY KEY, digest BLOB NOT NULL UNIQUE, text TEXT NOT NULL) STRICT;"
    "CREATE TABLE watch (id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE, site INTEGER REFERENCES site,"
    " plan INTEGER NOT NULL REFERENCES plan, begins_s ANY, ends_s ANY) STRICT;"
    "CREATE INDEX watch_plan ON watch (plan);"
    "CREATE TABLE card (id INTEGER PRIMARY KEY, folder BLOB NOT NULL UNIQUE,"
    " watch INTEGER REFERENCES watch ON DELETE SET NULL, pulled_s ANY, judged_s ANY,"
    " judged INTEGER NOT NULL DEFAULT 0, judge_version INTEGER, told_score ANY, subject_score ANY, flashes INTEGER,"
    " width_px INTEGER, height_px INTEGER, clock_shift_s ANY) STRICT;"
    "CREATE INDEX card_watch ON card (watch);"
    "CREATE TABLE ignored (card INTEGER NOT NULL REFERENCES card ON DELETE CASCADE, number INTEGER NOT NULL,"
    " left_share ANY, top_share ANY, right_share ANY, bottom_share ANY, PRIMARY KEY (card, number)) STRICT, WITHOUT ROWID;"
    "CREATE TABLE frame (id INTEGER PRIMARY KEY, card INTEGER NOT NULL REFERENCES card ON DELETE CASCADE,"
    " number INTEGER NOT NULL, name BLOB NOT NULL, size_bytes INTEGER NOT NULL, changed_s INTEGER NOT NULL,"
    " changed_ns INTEGER NOT NULL, taken_s ANY, exposure_s ANY, f_number ANY, iso ANY, focal_m ANY,"
    " flash_told INTEGER NOT NULL, flash_fired INTEGER NOT NULL, width_px INTEGER NOT NULL, height_px INTEGER NOT NULL,"
    " orientation INTEGER NOT NULL, corrected INTEGER NOT NULL, UNIQUE (card, number), UNIQUE (card, name)) STRICT;"
    "CREATE TABLE verdict (frame INTEGER PRIMARY KEY REFERENCES frame ON DELETE CASCADE,"
    " class TEXT NOT NULL, flash TEXT NOT NULL,"
    " lighting_group INTEGER NOT NULL, alike INTEGER NOT NULL, segment INTEGER NOT NULL, cut_off INTEGER NOT NULL,"
    " moved INTEGER NOT NULL, over_exposed INTEGER NOT NULL, fogged INTEGER NOT NULL, out_of_focus INTEGER NOT NULL,"
    " aligned INTEGER NOT NULL, score ANY, clipped ANY, dark ANY, mean ANY, sharpness ANY,"
    " look_mean ANY, look_clipped ANY, look_detail ANY, look_darkest ANY, look_light ANY, look_lopsided ANY,"
    " norm_clipped ANY, norm_detail ANY, norm_darkest ANY, norm_mean ANY,"
    " pose_right_px ANY, pose_down_px ANY, pose_turn_rad ANY,"
    " gain ANY, light_offset ANY, calm ANY, wind ANY, thin ANY, shadow ANY) STRICT;"
    "CREATE TABLE box (frame INTEGER NOT NULL REFERENCES frame ON DELETE CASCADE, number INTEGER NOT NULL,"
    " left_px INTEGER NOT NULL, top_px INTEGER NOT NULL, right_px INTEGER NOT NULL, bottom_px INTEGER NOT NULL,"
    " score ANY, PRIMARY KEY (frame, number)) STRICT, WITHOUT ROWID;"
    "CREATE TABLE visit (card INTEGER NOT NULL REFERENCES card ON DELETE CASCADE, number INTEGER NOT NULL,"
    " first_frame INTEGER NOT NULL, last_frame INTEGER NOT NULL, best_frame INTEGER NOT NULL,"
    " begins_s ANY, ends_s ANY, ledger_row TEXT NOT NULL, PRIMARY KEY (card, number),"
    " FOREIGN KEY (card, first_frame) REFERENCES frame (card, number),"
    " FOREIGN KEY (card, last_frame) REFERENCES frame (card, number),"
    " FOREIGN KEY (card, best_frame) REFERENCES frame (card, number)) STRICT, WITHOUT ROWID;"
    "CREATE TABLE correction (card INTEGER NOT NULL REFERENCES card ON DELETE CASCADE, name BLOB NOT NULL,"
    " class TEXT NOT NULL, corrected_s ANY, PRIMARY KEY (card, name)) STRICT, WITHOUT ROWID;";

static const struct owl_book_step steps[] = {
    {form_1},
};

struct owl_book_steps owl_book_steps(void)
{
    return (struct owl_book_steps){steps, (int)(sizeof steps / sizeof steps[0])};
}

/* ---- whose file it is ---- */

static int number_of(struct owl_book_run *run, const char *sql)
{
    struct owl_book_query query = owl_book_ask(run, sql);
    int number = owl_book_row(&query) ? owl_book_take_int(&query) : 0;
    owl_book_ask_end(&query);
    return number;
}

static void refuse_newer(struct owl_book_run *run, int form, int forms)
{
    char words[160];
    struct owl_text text = owl_text_over(words, sizeof words);
    owl_text_words(&text, "was written by a newer owllight (its form ");
    owl_text_integer(&text, form);
    owl_text_words(&text, "; this one knows up to ");
    owl_text_integer(&text, forms);
    owl_text_words(&text, "): use that one");
    owl_book_run_fail(run, OWL_CANNOT_READ, words, NULL);
}

/* The book's form; 0 for a file still to be made. `fresh`: a file without any content may become ours. */
static int form_of(struct owl_book_run *run, bool fresh, int forms)
{
    int application = number_of(run, "PRAGMA application_id");
    int form = number_of(run, "PRAGMA user_version");
    if (run->status != OWL_OK)
        return 0;
    bool ours = application == OWL_BOOK_APPLICATION;
    if (!ours && !(fresh && application == 0 && form == 0 && number_of(run, "SELECT count(*) FROM sqlite_schema") == 0))
        owl_book_run_fail(run, OWL_CANNOT_READ, "cannot be opened: the file " OWL_BOOK_FILE
                          " there belongs to another program; choose another folder", NULL);
    else if (form > forms)
        refuse_newer(run, form, forms);
    return form;
}

enum owl_status owl_book_look(const struct owl_book *book, const char *uri, int forms, struct owl_error *error)
{
    static const char untouched[] = "?immutable=1"; /* no locks, no journal, nothing written: only the header is of use */
    char *whole = sqlite3_mprintf("%s%s", uri, untouched);
    struct owl_book looked = {NULL, book->directory};
    struct owl_error silent;
    if (!whole)
        return owl_book_explain(book, SQLITE_NOMEM, error);
    struct owl_book_run run = {&looked, &silent, OWL_OK};
    bool ours_to_judge = sqlite3_open_v2(whole, &looked.database, SQLITE_OPEN_READONLY | SQLITE_OPEN_URI, NULL) == SQLITE_OK &&
                         number_of(&run, "PRAGMA page_count") > 0 && run.status == OWL_OK;
    if (ours_to_judge) {
        run.error = error;
        (void)form_of(&run, false, forms);
    }
    sqlite3_close(looked.database);
    sqlite3_free(whole);
    return ours_to_judge ? run.status : OWL_OK;
}

/* ---- steps ---- */

static int present_form(struct owl_book *book, int forms, struct owl_error *error, enum owl_status *status)
{
    struct owl_book_run run = owl_book_run_begin(book, OWL_BOOK_READS, error);
    int form = form_of(&run, true, forms);
    *status = owl_book_run_end(&run);
    return form;
}

/* The number goes into the statement itself: a pragma takes no values. */
static void set_form(struct owl_book_run *run, int form)
{
    char sql[48];
    struct owl_text text = owl_text_over(sql, sizeof sql);
    owl_text_words(&text, "PRAGMA user_version = ");
    owl_text_integer(&text, form);
    owl_book_run_do(run, sql);
}

/* Another program may have gone the same step while this one waited for its turn. */
static enum owl_status go_step(struct owl_book *book, struct owl_book_steps all, int from, struct owl_error *error)
{
    struct owl_book_run run = owl_book_run_begin(book, OWL_BOOK_WRITES, error);
    if (form_of(&run, true, all.count) == from) {
        owl_book_run_do(&run, all.step[from].sql);
        set_form(&run, from + 1);
    }
    return owl_book_run_end(&run);
}

enum owl_status owl_book_bring_up(struct owl_book *book, struct owl_book_steps all, struct owl_error *error)
{
    enum owl_status status;
    int form = present_form(book, all.count, error, &status);
    for (; status == OWL_OK && form < all.count; form++)
        status = go_step(book, all, form, error);
    return status;
}
