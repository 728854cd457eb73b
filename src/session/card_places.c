/* Frames beside their visits, and the sidecars made of that. */
#include "session/card_places.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "card/manifest.h"
#include "card/verdict_words.h"
#include "core/constants.h"
#include "session/new_file.h"
#include "sheet/sidecar.h"


/* ---- places ---- */

static void place_visit(const struct owl_judged *judged, const struct owl_visits *visits, int number,
                        struct owl_card_place *place)
{
    const struct owl_visit *visit = &visits->visit[number];
    for (int i = visit->first; i < visit->past; i++) {
        int frame = visits->order[i];
        const struct owl_frame_verdict *verdict = &judged->frame[frame].verdict;
        place[frame].visit = number + 1;
        place[frame].best = frame == visit->best;
        if (!owl_verdict_shows(verdict))
            continue;
        place[frame].sharpness_rank = 1;
        for (int k = visit->first; k < visit->past; k++) {
            const struct owl_frame_verdict *other = &judged->frame[visits->order[k]].verdict;
            place[frame].sharpness_rank += owl_verdict_shows(other) && other->sharpness > verdict->sharpness;
        }
    }
}

struct owl_card_place *owl_card_places(const struct owl_judged *judged, const struct owl_visits *visits)
{
    struct owl_card_place *place = calloc((size_t)judged->count + 1, sizeof *place);
    if (!place)
        return NULL;
    for (int i = 0; i < judged->count; i++) {
        const struct owl_frame_verdict *verdict = &judged->frame[i].verdict;
        place[i].booked = owl_verdict_shows(verdict) || verdict->class == OWL_JUDGE_FLASH_FAILED;
        place[i].row = owl_ledger_first(owl_visits_failed(verdict));
    }
    for (int i = 0; i < visits->count; i++)
        place_visit(judged, visits, i, place);
    return place;
}

/* ---- sidecars ---- */

static enum owl_sidecar_rank rank_of(const struct owl_frame_verdict *verdict, const struct owl_card_place *place)
{
    if (verdict->class == OWL_JUDGE_EMPTY)
        return OWL_SIDECAR_EMPTY;
    if (verdict->class != OWL_JUDGE_SUBJECT)
        return OWL_SIDECAR_LOOK;
    if (place->row != OWL_LEDGER_KEEPER)
        return OWL_SIDECAR_FAILED;
    return place->best ? OWL_SIDECAR_BEST : OWL_SIDECAR_KEEPER;
}

static void write_sidecar(const struct owl_card_session *session, int number, const struct owl_card_place *place,
                          struct owl_text *text)
{
    const struct owl_judged *judged = &session->judged;
    const struct owl_judged_frame *frame = &judged->frame[number];
    const struct owl_frame_verdict *verdict = &frame->verdict;
    struct owl_sidecar_box box[OWL_JUDGE_BOXES];
    const char *words[OWL_LEDGER_ROWS];
    int count = 0, boxes = owl_verdict_shows(verdict) ? verdict->boxes : 0;
    for (int row = OWL_LEDGER_AWAY; row < OWL_LEDGER_ROWS; row++)
        if (owl_visits_failed(verdict) & OWL_FAILED(row))
            words[count++] = owl_ledger_word((enum owl_ledger_row)row);
    for (int i = 0; i < boxes; i++)
        box[i] = (struct owl_sidecar_box){(double)verdict->box[i].left / judged->width,
                                          (double)verdict->box[i].top / judged->height,
                                          (double)verdict->box[i].right / judged->width,
                                          (double)verdict->box[i].bottom / judged->height};
    double taken_s = frame->taken_s + judged->clock_shift_s;
    const struct owl_sidecar sidecar = {
        .rank = rank_of(verdict, place), .verdict = owl_verdict_class_words(verdict->class), .words = words, .word_count = count,
        .visit = place->visit, .best = place->best, .night_days = owl_moment_night(taken_s),
        .taken_s = fabs(judged->clock_shift_s) > 0.0 ? taken_s : NAN, .judged_unix_s = session->judging.judged_s,
        .score = verdict->class >= OWL_JUDGE_EMPTY ? verdict->score : NAN, .box = box, .boxes = boxes};
    owl_sidecar_write(&sidecar, text);
}

/* A folder without a manifest may be the card itself. */
static bool brought_home(const char *folder)
{
    char path[4096];
    FILE *file = snprintf(path, sizeof path, "%s/%s", folder, OWL_MANIFEST_NAME) < (int)sizeof path ? fopen(path, "rb") : NULL;
    if (file)
        fclose(file);
    return file != NULL;
}

/* Whether it was written; false with errno. */
static bool write_beside(const struct owl_card_session *session, int number, const struct owl_card_place *place)
{
    char name[4096], path[8192], buffer[OWL_SIDECAR_BYTES];
    struct owl_text named = owl_text_over(name, sizeof name), text = owl_text_over(buffer, sizeof buffer);
    owl_sidecar_name(session->judged.frame[number].name, &named);
    write_sidecar(session, number, place, &text);
    errno = ENAMETOOLONG;
    return !named.cut && !text.cut && snprintf(path, sizeof path, "%s/%s", session->folder, name) < (int)sizeof path &&
           owl_write_new(path, &text) == OWL_WRITTEN;
}

enum owl_status owl_card_sidecars(const struct owl_card_session *session, const struct owl_visits *visits,
                                  struct owl_card_sidecars *done, struct owl_error *error)
{
    *done = (struct owl_card_sidecars){0};
    if (!brought_home(session->folder)) {
        snprintf(error->words, sizeof error->words,
                 "%s was not brought home by owllight pull: sidecars are only written beside copies, never on a card",
                 session->folder);
        return OWL_BAD_USE;
    }
    struct owl_card_place *place = owl_card_places(&session->judged, visits);
    enum owl_status status = place ? OWL_OK : OWL_NO_MEMORY;
    for (int i = 0; i < session->judged.count && status == OWL_OK; i++) {
        if (write_beside(session, i, &place[i])) {
            done->written++;
        } else if (errno == EEXIST) {
            done->there++;
        } else {
            status = OWL_CANNOT_WRITE;
            snprintf(error->words, sizeof error->words, "the sidecar of %s: %s", session->judged.frame[i].name, strerror(errno));
        }
    }
    free(place);
    return status;
}

void owl_card_sidecars_tell(const struct owl_card_sidecars *done, struct owl_text *text)
{
    owl_text_integer(text, done->written);
    owl_text_words(text, done->written == 1 ? " sidecar written" : " sidecars written");
    if (done->there == 0)
        return;
    owl_text_words(text, "; ");
    owl_text_integer(text, done->there);
    owl_text_words(text, done->there == 1 ? " was there already and stays as it is" : " were there already and stay as they are");
}
