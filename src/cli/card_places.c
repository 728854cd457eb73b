/* Frames beside their visits, and the table and sidecars made of that. */
#include "cli/card_places.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "card/manifest.h"
#include "card/verdict_words.h"
#include "cli/command.h"
#include "cli/console.h"
#include "core/constants.h"
#include "sheet/frame_table.h"
#include "sheet/sidecar.h"

#define LINE_BYTES 1024
#define REMARK_BYTES 256
#define NIGHT_BEGINS_S (0.5 * OWL_SECONDS_PER_DAY) /* nights run from noon to noon */

/* ---- places ---- */

static void place_visit(const struct owl_judged *judged, const struct owl_visits *visits, int number, struct owl_card_place *place)
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

/* ---- the table ---- */

static int table_boxes(const struct owl_judged *judged, const struct owl_judged_frame *frame, struct owl_table_box *box)
{
    const struct owl_frame_verdict *verdict = &frame->verdict;
    double across = (double)frame->width / judged->width, down = (double)frame->height / judged->height;
    int boxes = owl_verdict_shows(verdict) ? verdict->boxes : 0;
    for (int i = 0; i < boxes; i++)
        box[i] = (struct owl_table_box){verdict->box[i].left * across, verdict->box[i].top * down, verdict->box[i].right * across,
                                        verdict->box[i].bottom * down};
    return boxes;
}

static void write_line(const struct owl_judged *judged, int number, const struct owl_card_place *place, struct owl_text *text)
{
    const struct owl_judged_frame *frame = &judged->frame[number];
    const struct owl_frame_verdict *verdict = &frame->verdict;
    struct owl_table_box box[OWL_JUDGE_BOXES];
    char words[REMARK_BYTES];
    struct owl_text remarks = owl_text_over(words, sizeof words);
    owl_verdict_remarks(verdict, &remarks);
    bool compared = verdict->class >= OWL_JUDGE_EMPTY;
    const struct owl_table_frame line = {
        .file = frame->name, .taken_s = frame->taken_s + judged->clock_shift_s,
        .verdict = owl_verdict_class_words(verdict->class), .row = place->booked ? owl_ledger_word(place->row) : "",
        .visit = place->visit, .best = place->best, .score = compared ? verdict->score : NAN,
        .flash = owl_verdict_flash_words(verdict->flash), .box = box, .boxes = table_boxes(judged, frame, box),
        .cut_off = verdict->cut_off && owl_verdict_shows(verdict), .clipped = verdict->clipped,
        .sharpness_rank = place->sharpness_rank, .remarks = words};
    owl_frame_table_line(&line, text);
}

int owl_card_table(const struct owl_card_session *session, const struct owl_visits *visits)
{
    const struct owl_judged *judged = &session->judged;
    struct owl_card_place *place = owl_card_places(judged, visits);
    size_t bytes = LINE_BYTES;
    for (int i = 0; i < judged->count; i++)
        bytes += LINE_BYTES + 2 * strlen(judged->frame[i].name);
    struct owl_text page = place ? owl_page_begin(bytes) : (struct owl_text){0};
    if (!page.buffer) {
        free(place);
        return place ? OWL_EXIT_FAILED : owl_complain_memory();
    }
    owl_frame_table_head(&page);
    for (int i = 0; i < judged->count; i++)
        write_line(judged, i, &place[i], &page);
    free(place);
    return owl_page_end(&page);
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

static int64_t night_of(double taken_s)
{
    return isnan(taken_s) ? OWL_SIDECAR_NO_NIGHT : (int64_t)floor((taken_s - NIGHT_BEGINS_S) / OWL_SECONDS_PER_DAY);
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
        box[i] = (struct owl_sidecar_box){(double)verdict->box[i].left / judged->width, (double)verdict->box[i].top / judged->height,
                                          (double)verdict->box[i].right / judged->width,
                                          (double)verdict->box[i].bottom / judged->height};
    double taken_s = frame->taken_s + judged->clock_shift_s;
    const struct owl_sidecar sidecar = {
        .rank = rank_of(verdict, place), .verdict = owl_verdict_class_words(verdict->class), .words = words, .word_count = count,
        .visit = place->visit, .best = place->best, .night_days = night_of(taken_s),
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

int owl_card_sidecars(const struct owl_card_session *session, const struct owl_visits *visits)
{
    if (!brought_home(session->folder)) {
        fprintf(stderr, "owllight: %s was not brought home by owllight pull: sidecars are only written beside copies, never on a "
                "card\n", session->folder);
        return OWL_EXIT_WRONG;
    }
    struct owl_card_place *place = owl_card_places(&session->judged, visits);
    if (!place)
        return owl_complain_memory();
    int written = 0, there = 0, exit_status = OWL_EXIT_WELL;
    for (int i = 0; i < session->judged.count && exit_status == OWL_EXIT_WELL; i++) {
        if (write_beside(session, i, &place[i])) {
            written++;
        } else if (errno == EEXIST) {
            there++;
        } else {
            fprintf(stderr, "owllight: the sidecar of %s: %s\n", session->judged.frame[i].name, strerror(errno));
            exit_status = OWL_EXIT_FAILED;
        }
    }
    free(place);
    printf("%d %s written", written, written == 1 ? "sidecar" : "sidecars");
    if (there > 0)
        printf("; %d %s there already and %s as %s", there, there == 1 ? "was" : "were", there == 1 ? "stays" : "stay",
               there == 1 ? "it is" : "they are");
    printf("\n");
    return exit_status;
}
