/* Watches, with the plan each was armed by and the site it stands at. */
#include "book/run.h"

#include <stdlib.h>
#include <string.h>

#include "card/digest.h"
#include "card/grow.h"

/* ---- noting ---- */

static int64_t number_from(struct owl_book_query *query)
{
    int64_t number = owl_book_row(query) ? owl_book_take_integer(query) : 0;
    owl_book_ask_end(query);
    return number;
}

static int64_t note_site(struct owl_book_run *run, const struct owl_book_site *site)
{
    struct owl_book_query query = owl_book_ask(run,
        "INSERT INTO site (name, latitude_rad, longitude_rad, elevation_m) VALUES (?, ?, ?, ?)"
        " ON CONFLICT (name) DO UPDATE SET latitude_rad = excluded.latitude_rad, longitude_rad = excluded.longitude_rad,"
        " elevation_m = excluded.elevation_m RETURNING id");
    owl_book_put_words(&query, site->name);
    owl_book_put_real(&query, site->latitude_rad);
    owl_book_put_real(&query, site->longitude_rad);
    owl_book_put_real(&query, site->elevation_m);
    return number_from(&query);
}

static bool sum_up(struct owl_book_run *run, const char *plan, struct owl_digest *digest)
{
    struct owl_digester digester;
    if (owl_digester_init(&digester) != OWL_OK) {
        owl_book_run_no_memory(run);
        return false;
    }
    owl_digester_start(&digester);
    owl_digester_feed(&digester, plan, strlen(plan));
    *digest = owl_digester_end(&digester);
    owl_digester_clear(&digester);
    return true;
}

/* The update changes nothing: without one, a plan that is there would not tell its number. */
static int64_t note_plan(struct owl_book_run *run, const char *plan)
{
    struct owl_digest digest;
    if (!sum_up(run, plan, &digest))
        return 0;
    struct owl_book_query query = owl_book_ask(run,
        "INSERT INTO plan (digest, text) VALUES (?, ?) ON CONFLICT (digest) DO UPDATE SET digest = excluded.digest RETURNING id");
    owl_book_put_bytes(&query, digest.bytes, sizeof digest.bytes);
    owl_book_put_words(&query, plan);
    return number_from(&query);
}

static void note(struct owl_book_run *run, const struct owl_book_watch *watch, int64_t plan, int64_t site)
{
    struct owl_book_query query = owl_book_ask(run,
        "INSERT INTO watch (name, plan, site, begins_s, ends_s) VALUES (?, ?, nullif(?, 0), ?, ?)"
        " ON CONFLICT (name) DO UPDATE SET plan = excluded.plan, site = excluded.site, begins_s = excluded.begins_s,"
        " ends_s = excluded.ends_s");
    owl_book_put_words(&query, watch->name);
    owl_book_put_integer(&query, plan);
    owl_book_put_integer(&query, site);
    owl_book_put_real(&query, watch->begins_s);
    owl_book_put_real(&query, watch->ends_s);
    owl_book_do(&query);
    owl_book_ask_end(&query);
    owl_book_run_do(run, "DELETE FROM plan WHERE NOT EXISTS (SELECT 1 FROM watch WHERE watch.plan = plan.id)");
}

enum owl_status owl_book_note_watch(struct owl_book *book, const struct owl_book_watch *watch, struct owl_error *error)
{
    struct owl_book_run run = owl_book_run_begin(book, OWL_BOOK_WRITES, error);
    if (!watch->name || !watch->name[0] || (watch->site.name && !watch->site.name[0]))
        owl_book_run_fail(&run, OWL_BAD_USE, "keeps watches and sites by their names, and none is given", NULL);
    int64_t plan = note_plan(&run, watch->plan);
    int64_t site = watch->site.name ? note_site(&run, &watch->site) : 0;
    note(&run, watch, plan, site);
    return owl_book_run_end(&run);
}

/* ---- finding ---- */

#define WATCH_COLUMNS                                                                                          \
    "SELECT w.id, w.name, p.text, s.name, s.latitude_rad, s.longitude_rad, s.elevation_m, w.begins_s, w.ends_s" \
    " FROM watch w JOIN plan p ON p.id = w.plan LEFT JOIN site s ON s.id = w.site"

static void take_watch(struct owl_book_query *query, struct owl_book_watch *watch)
{
    int64_t id = owl_book_take_integer(query);
    const char *name = owl_book_take_words(query), *plan = owl_book_take_words(query), *site = owl_book_take_words(query);
    size_t bytes = owl_book_words_bytes(name) + owl_book_words_bytes(plan) + owl_book_words_bytes(site);
    char *block = name && plan ? malloc(bytes) : NULL;
    *watch = (struct owl_book_watch){.id = id, .owned = block};
    if (!block) {
        owl_book_run_no_memory(query->run);
        return;
    }
    watch->name = owl_book_words_into(&block, name);
    watch->plan = owl_book_words_into(&block, plan);
    watch->site.name = owl_book_words_into(&block, site);
    watch->site.latitude_rad = owl_book_take_real(query);
    watch->site.longitude_rad = owl_book_take_real(query);
    watch->site.elevation_m = owl_book_take_real(query);
    watch->begins_s = owl_book_take_real(query);
    watch->ends_s = owl_book_take_real(query);
}

/* All the answers of a question about watches. */
static enum owl_status take_all(struct owl_book_run *run, struct owl_book_query *query, struct owl_book_watches *list)
{
    struct owl_book_watches made = {NULL, 0};
    size_t room = 0;
    while (owl_book_row(query)) {
        if (owl_grow(&made.watch, &room, (size_t)made.count, sizeof *made.watch))
            take_watch(query, &made.watch[made.count++]);
        else
            owl_book_run_no_memory(run);
    }
    owl_book_ask_end(query);
    enum owl_status status = owl_book_run_end(run);
    if (status == OWL_OK)
        *list = made;
    else
        owl_book_watches_clear(&made);
    return status;
}

enum owl_status owl_book_find_watch(struct owl_book *book, const char *name, struct owl_book_watch *watch,
                                    struct owl_error *error)
{
    struct owl_book_watches list;
    struct owl_book_run run = owl_book_run_begin(book, OWL_BOOK_READS, error);
    struct owl_book_query query = owl_book_ask(&run, WATCH_COLUMNS " WHERE w.name = ?");
    owl_book_put_words(&query, name);
    enum owl_status status = take_all(&run, &query, &list);
    if (status != OWL_OK)
        return status;
    *watch = list.count > 0 ? list.watch[0] : (struct owl_book_watch){0};
    free(list.watch);
    return OWL_OK;
}

enum owl_status owl_book_list_watches(struct owl_book *book, struct owl_book_watches *list, struct owl_error *error)
{
    struct owl_book_run run = owl_book_run_begin(book, OWL_BOOK_READS, error);
    struct owl_book_query query = owl_book_ask(&run, WATCH_COLUMNS " ORDER BY w.begins_s NULLS LAST, w.name");
    return take_all(&run, &query, list);
}

void owl_book_watch_clear(struct owl_book_watch *watch)
{
    free(watch->owned);
    *watch = (struct owl_book_watch){0};
}

void owl_book_watches_clear(struct owl_book_watches *list)
{
    for (int i = 0; i < list->count; i++)
        free(list->watch[i].owned);
    free(list->watch);
    *list = (struct owl_book_watches){NULL, 0};
}
