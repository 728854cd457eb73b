/* What a command about a card tells of its frames: their table, their visits' sidecars. */
#include "cli/card_table.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "card/verdict_words.h"
#include "cli/command.h"
#include "cli/console.h"
#include "session/card_places.h"
#include "sheet/frame_table.h"

#define LINE_BYTES 1024
#define REMARK_BYTES 256

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

int owl_card_tell_sidecars(const struct owl_card_session *session, const struct owl_visits *visits)
{
    struct owl_card_sidecars done;
    struct owl_error error = {{0}};
    char words[128];
    struct owl_text text = owl_text_over(words, sizeof words);
    enum owl_status status = owl_card_sidecars(session, visits, &done, &error);
    int exit_status = status == OWL_OK ? OWL_EXIT_WELL : owl_complain_error(status, &error);
    if (status == OWL_BAD_USE || status == OWL_NO_MEMORY)
        return exit_status;
    owl_card_sidecars_tell(&done, &text);
    printf("%s\n", words);
    return exit_status;
}
