/* Watches and cards entered into the book. */
#define _XOPEN_SOURCE 700 /* for realpath */
#include "session/card_pull.h"

#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "core/constants.h"
#include "core/plan/units.h"

enum owl_status owl_card_note_watch(struct owl_book *book, const char *name, const struct owl_session *plan,
                                    struct owl_error *error)
{
    const struct owl_watch_view *view = &plan->watch;
    const struct owl_plan_site *site = &plan->plan.site;
    char *text = strndup(plan->bytes, plan->length);
    const struct owl_book_watch watch = {
        .name = name, .plan = text,
        .site = {*site->name ? site->name : NULL, site->latitude_rad, site->longitude_rad, site->altitude_m},
        .begins_s = view->night[0].noon_unix_s, .ends_s = view->night[view->nights - 1].noon_unix_s + OWL_SECONDS_PER_DAY};
    enum owl_status status = text ? owl_book_note_watch(book, &watch, error) : OWL_NO_MEMORY;
    free(text);
    return status;
}

enum owl_status owl_card_knows_watch(struct owl_book *book, const char *name, bool *known, struct owl_error *error)
{
    struct owl_book_watch watch = {0};
    enum owl_status status = owl_book_find_watch(book, name, &watch, error);
    *known = status == OWL_OK && watch.id != 0;
    owl_book_watch_clear(&watch);
    return status;
}

/* A card is found again by its folder at home. */
enum owl_status owl_card_note_pulled(struct owl_book *book, const char *target, const char *watch, struct owl_error *error)
{
    char *folder = realpath(target, NULL);
    const struct owl_book_card card = {.folder = folder, .watch = watch, .pulled_s = (double)time(NULL)};
    enum owl_status status = folder ? owl_book_note_card(book, &card, error) : OWL_NO_MEMORY;
    free(folder);
    return status;
}

void owl_card_pull_tell(const struct owl_pull_report *report, struct owl_text *text)
{
    size_t safe = report->copied + report->already + report->duplicates;
    owl_text_integer(text, (int64_t)safe);
    owl_text_words(text, " of ");
    owl_text_integer(text, (int64_t)report->files);
    owl_text_words(text, report->files == 1 ? " file is home" : " files are home");
    if (report->copied > 0) {
        owl_text_words(text, "; ");
        owl_unit_show(OWL_UNIT_BYTES, (double)report->bytes_copied, text);
        owl_text_words(text, " copied, read back and compared in ");
        owl_text_rounded(text, report->seconds, 2);
        owl_text_words(text, " s");
    }
}
