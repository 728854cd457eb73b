/* The open card: told, corrected, looked through, written out. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "card/tree.h"
#include "card/verdict_words.h"
#include "serve/workbench_room.h"
#include "session/card_contact.h"
#include "session/card_health.h"

#define WORDS_BYTES 8192
#define FINDING_BYTES 2048
#define NIGHT_BYTES 256
#define HOURS 24

/* ---- what belongs to a card ---- */

enum owl_status owl_open_card_group(struct owl_open_card *card, struct owl_error *error)
{
    const struct owl_judged *judged = &card->session.judged;
    struct owl_visits visits;
    enum owl_status status = owl_visits_find(judged, OWL_VISITS_GAP_S, &visits);
    if (status != OWL_OK)
        return status;
    struct owl_card_place *place = owl_card_places(judged, &visits);
    if (!place) {
        owl_visits_free(&visits);
        return OWL_NO_MEMORY;
    }
    owl_visits_free(&card->visits);
    free(card->place);
    card->visits = visits;
    card->place = place;
    if (card->seasons.done > 0)
        card->compared = owl_card_compare(&card->seasons, judged, &visits, &card->rehearsed, error) == OWL_OK;
    return owl_card_session_keep_visits(&card->session, &visits, error);
}

void owl_open_card_close(struct owl_open_card *card)
{
    if (!card)
        return;
    owl_frames_close(card->files);
    owl_seasons_clear(&card->seasons);
    owl_visits_free(&card->visits);
    free(card->place);
    owl_card_session_close(&card->session);
    free(card);
}

/* The open card with the lock held, for leave_card; NULL, answered and without the lock, where none is open. */
static struct owl_open_card *enter_card(struct owl_workbench *workbench, struct owl_answer *answer)
{
    pthread_mutex_lock(&workbench->lock);
    if (workbench->card)
        return workbench->card;
    pthread_mutex_unlock(&workbench->lock);
    owl_answer_complaint(answer, 404, "no card is open");
    return NULL;
}

static void leave_card(struct owl_workbench *workbench)
{
    pthread_mutex_unlock(&workbench->lock);
}

static bool has_frame(const struct owl_open_card *card, int64_t number, struct owl_answer *answer)
{
    if (number >= 0 && number < card->session.judged.count)
        return true;
    owl_answer_complaint(answer, 404, "the card has no such frame");
    return false;
}

/* ---- told ---- */

void owl_workbench_get_card(void *room, const struct owl_request *request, struct owl_answer *answer)
{
    struct owl_open_card *card = enter_card(room, answer);
    (void)request;
    if (!card)
        return;
    struct owl_text text = owl_open_card_json(card);
    owl_workbench_json(answer, &text);
    leave_card(room);
}

void owl_workbench_get_working(void *room, const struct owl_request *request, struct owl_answer *answer)
{
    struct owl_open_card *card = enter_card(room, answer);
    if (!card)
        return;
    if (has_frame(card, request->index, answer)) {
        const struct owl_judged *judged = &card->session.judged;
        char words[WORDS_BYTES];
        struct owl_text text = owl_text_over(words, sizeof words);
        owl_tree_show(&text, judged->frame[request->index].name);
        owl_text_words(&text, judged->frame[request->index].corrected ? ", by your word: " : ": ");
        owl_verdict_working(judged, (int)request->index, &text);
        owl_answer_text(answer, 200, "text/plain; charset=utf-8", words, text.length);
    }
    leave_card(room);
}

static void write_card(const struct owl_book_card *card, struct owl_text *text)
{
    char folder[4096];
    struct owl_text shown = owl_text_over(folder, sizeof folder);
    owl_tree_show(&shown, card->folder);
    owl_workbench_text(text, "{", "folder", folder);
    owl_workbench_text(text, ",", "watch", card->watch);
    owl_workbench_number(text, ",", "frames", card->frames);
    owl_workbench_key(text, ",", "pulled");
    owl_text_words(text, isnan(card->pulled_s) ? "false" : "true");
    owl_workbench_key(text, ",", "judged");
    owl_text_words(text, isnan(card->judged_s) ? "false}" : "true}");
}

static struct owl_text list_json(const struct owl_book_cards *cards, const struct owl_book_watches *watches)
{
    size_t room = 64;
    for (int i = 0; i < cards->count; i++)
        room += 128 + 12 * strlen(cards->card[i].folder) + 6 * (cards->card[i].watch ? strlen(cards->card[i].watch) : 0);
    for (int i = 0; i < watches->count; i++)
        room += 8 + 6 * strlen(watches->watch[i].name);
    char *buffer = malloc(room);
    if (!buffer)
        return (struct owl_text){0};
    struct owl_text text = owl_text_over(buffer, room);
    owl_text_words(&text, "{\"cards\":[");
    for (int i = 0; i < cards->count; i++) {
        owl_workbench_next(&text, i == 0);
        write_card(&cards->card[i], &text);
    }
    owl_text_words(&text, "],\"watches\":[");
    for (int i = 0; i < watches->count; i++) {
        owl_workbench_next(&text, i == 0);
        owl_text_json(&text, watches->watch[i].name);
    }
    owl_text_words(&text, "]}");
    return text;
}

void owl_workbench_get_cards(void *room, const struct owl_request *request, struct owl_answer *answer)
{
    struct owl_workbench *workbench = room;
    struct owl_book_cards cards = {0};
    struct owl_book_watches watches = {0};
    struct owl_error error = {{0}};
    (void)request;
    enum owl_status status = workbench->book ? owl_book_list_cards(workbench->book, NULL, &cards, &error) : OWL_OK;
    if (status == OWL_OK && workbench->book)
        status = owl_book_list_watches(workbench->book, &watches, &error);
    if (status == OWL_OK) {
        struct owl_text text = list_json(&cards, &watches);
        owl_workbench_json(answer, &text);
    } else {
        owl_workbench_fail(answer, status, &error);
    }
    owl_book_cards_clear(&cards);
    owl_book_watches_clear(&watches);
}

/* ---- corrected ---- */

static void correct(struct owl_open_card *card, int frame, enum owl_judge_class class, struct owl_answer *answer)
{
    struct owl_error error = {{0}};
    enum owl_status status = owl_card_session_correct(&card->session, frame, class, &error);
    if (status == OWL_OK)
        status = owl_open_card_group(card, &error);
    if (status != OWL_OK) {
        owl_workbench_fail(answer, status, &error);
        return;
    }
    struct owl_text text = owl_open_card_json(card);
    owl_workbench_json(answer, &text);
}

void owl_workbench_post_correct(void *room, const struct owl_request *request, struct owl_answer *answer)
{
    json_t *root = NULL;
    enum owl_judge_class class;
    if (!owl_workbench_body(request, answer, &root))
        return;
    const json_t *frame = json_object_get(root, "frame");
    const char *verdict = owl_workbench_words(root, "verdict");
    if (!json_is_integer(frame) || !verdict || !owl_verdict_class_of(verdict, &class)) {
        owl_answer_complaint(answer, 400, "frame, its number, and verdict are needed, such as 42 and empty");
    } else {
        struct owl_open_card *card = enter_card(room, answer);
        if (card) {
            if (has_frame(card, json_integer_value(frame), answer))
                correct(card, (int)json_integer_value(frame), class, answer);
            leave_card(room);
        }
    }
    json_decref(root);
}

/* ---- the rig's health ---- */

static void write_finding(const struct owl_health_finding *finding, struct owl_text *text)
{
    char words[FINDING_BYTES];
    struct owl_text told = owl_text_over(words, sizeof words);
    owl_workbench_text(text, "{", "severity", owl_card_severity_words(finding->severity));
    owl_health_tell(finding, &told);
    owl_workbench_text(text, ",", "words", words);
    told = owl_text_over(words, sizeof words);
    owl_health_advise(finding, &told);
    owl_workbench_text(text, ",", "advice", words);
    told = owl_text_over(words, sizeof words);
    owl_health_working(finding, &told);
    owl_workbench_text(text, ",", "working", words);
    owl_workbench_number(text, ",", "from", finding->from_s);
    owl_workbench_number(text, ",", "to", finding->to_s);
    owl_text_char(text, '}');
}

static void write_nights(const struct owl_health *health, struct owl_text *text)
{
    owl_text_words(text, "],\"nights\":[");
    for (int i = 0; i < health->nights; i++) {
        const struct owl_health_night *night = &health->night[i];
        owl_workbench_next(text, i == 0);
        owl_workbench_number(text, "{", "noon", night->noon_s);
        owl_workbench_number(text, ",", "frames", night->frames);
        owl_workbench_number(text, ",", "subjects", night->subjects);
        owl_workbench_number(text, ",", "empties", night->empties);
        owl_workbench_number(text, ",", "fogged", night->fogged);
        owl_workbench_number(text, ",", "misfires", night->misfires);
        owl_text_char(text, '}');
    }
}

static void write_hours(const struct owl_health *health, struct owl_text *text)
{
    owl_text_words(text, "],\"hours\":[");
    for (int i = 0; i < HOURS; i++) {
        owl_workbench_next(text, i == 0);
        owl_workbench_number(text, "{", "hour", i);
        owl_workbench_number(text, ",", "frames", health->hour[i].frames);
        owl_workbench_number(text, ",", "subjects", health->hour[i].subjects);
        owl_workbench_number(text, ",", "empties", health->hour[i].empties);
        owl_text_char(text, '}');
    }
}

static struct owl_text health_json(const struct owl_health *health)
{
    size_t room = WORDS_BYTES + (size_t)health->findings * 3 * 2 * FINDING_BYTES + (size_t)health->nights * NIGHT_BYTES;
    char *buffer = malloc(room);
    if (!buffer)
        return (struct owl_text){0};
    struct owl_text text = owl_text_over(buffer, room);
    owl_text_words(&text, "{\"findings\":[");
    for (int i = 0; i < health->findings; i++) {
        owl_workbench_next(&text, i == 0);
        write_finding(&health->finding[i], &text);
    }
    write_nights(health, &text);
    write_hours(health, &text);
    owl_text_words(&text, "]}");
    return text;
}

void owl_workbench_get_health(void *room, const struct owl_request *request, struct owl_answer *answer)
{
    struct owl_open_card *card = enter_card(room, answer);
    struct owl_health health;
    (void)request;
    if (!card)
        return;
    enum owl_status status = owl_card_health(&card->session, &health);
    leave_card(room);
    if (status == OWL_OK) {
        struct owl_text text = health_json(&health);
        owl_workbench_json(answer, &text);
    } else {
        owl_workbench_fail(answer, status, &(struct owl_error){{0}});
    }
    owl_health_clear(&health);
}

/* ---- written out ---- */

void owl_workbench_post_sidecars(void *room, const struct owl_request *request, struct owl_answer *answer)
{
    struct owl_card_sidecars done;
    struct owl_error error = {{0}};
    char words[128];
    struct owl_text text = owl_text_over(words, sizeof words);
    (void)request;
    struct owl_open_card *card = enter_card(room, answer);
    if (!card)
        return;
    enum owl_status status = owl_card_sidecars(&card->session, &card->visits, &done, &error);
    leave_card(room);
    owl_card_sidecars_tell(&done, &text);
    if (status == OWL_OK)
        owl_workbench_tell(answer, "words", words);
    else
        owl_workbench_fail(answer, status, &error);
}

static bool stopping(void *context)
{
    struct owl_workbench *workbench = context;
    return atomic_load(&workbench->stop);
}

static void write_contact(struct owl_workbench *workbench, struct owl_open_card *card, const char *path,
                          struct owl_answer *answer)
{
    char words[4200];
    struct owl_text text = owl_text_over(words, sizeof words);
    struct owl_error error = {{0}};
    const struct owl_listener listener = {.stopped = stopping, .context = workbench};
    const struct owl_contact_wish wish = {path, "the workbench", &listener};
    if (workbench->judging && card->has_raw) {
        owl_answer_complaint(answer, 503, "raw files are looked at when the judging at work has ended");
        return;
    }
    enum owl_status status = owl_card_contact(&card->session, &card->visits, &wish, &error);
    owl_tree_show(&text, path);
    owl_text_words(&text, " is written");
    if (status == OWL_OK)
        owl_workbench_tell(answer, "words", words);
    else
        owl_workbench_fail(answer, status, &error);
}

void owl_workbench_post_contact(void *room, const struct owl_request *request, struct owl_answer *answer)
{
    json_t *root = NULL;
    if (!owl_workbench_body(request, answer, &root))
        return;
    const char *path = owl_workbench_words(root, "file");
    if (!path) {
        owl_answer_complaint(answer, 400, "file is needed, the name of a new page");
    } else {
        struct owl_open_card *card = enter_card(room, answer);
        if (card) {
            write_contact(room, card, path, answer);
            leave_card(room);
        }
    }
    json_decref(root);
}
