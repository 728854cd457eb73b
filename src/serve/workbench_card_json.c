/* An open card as JSON: frames in the order of time, the ledger of its visits, and what that is beside the rehearsal. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "card/tree.h"
#include "card/verdict_words.h"
#include "image/jpeg_small.h"
#include "serve/workbench_room.h"

#define EXTRA_BYTES 16384
#define FRAME_BYTES 1536 /* of a frame without its name: eight boxes, remarks and all numbers */
#define REMARK_BYTES 256
#define NAME_BYTES 4096
#define TURNED_FROM 5    /* orientations from here on exchange width and height [exif] */

static void write_bool(struct owl_text *text, const char *name, bool value)
{
    owl_workbench_key(text, ",", name);
    owl_text_words(text, value ? "true" : "false");
}

/* ---- frames ---- */

/* Boxes of the picture as it is shown, upright. */
static void write_boxes(const struct owl_judged *judged, const struct owl_judged_frame *frame, struct owl_text *text)
{
    int boxes = owl_verdict_shows(&frame->verdict) ? frame->verdict.boxes : 0;
    owl_workbench_key(text, ",", "boxes");
    owl_text_char(text, '[');
    for (int i = 0; i < boxes; i++) {
        const struct owl_judge_box *box = &frame->verdict.box[i];
        const struct owl_jpeg_part part = {(double)box->left / judged->width, (double)box->top / judged->height,
                                           (double)box->right / judged->width, (double)box->bottom / judged->height};
        struct owl_jpeg_part upright = owl_jpeg_part_turned(&part, frame->orientation);
        const double side[] = {upright.left, upright.top, upright.right, upright.bottom};
        for (int k = 0; k < 4; k++) {
            owl_text_words(text, k > 0 ? "," : i > 0 ? ",[" : "[");
            owl_text_fixed(text, side[k], 4);
        }
        owl_text_char(text, ']');
    }
    owl_text_char(text, ']');
}

static void write_frame(const struct owl_open_card *card, int number, struct owl_text *text)
{
    const struct owl_judged *judged = &card->session.judged;
    const struct owl_judged_frame *frame = &judged->frame[number];
    const struct owl_card_place *place = &card->place[number];
    const struct owl_frame_verdict *verdict = &frame->verdict;
    char name[NAME_BYTES], words[REMARK_BYTES];
    struct owl_text shown = owl_text_over(name, sizeof name), remarks = owl_text_over(words, sizeof words);
    bool turned = frame->orientation >= TURNED_FROM;
    owl_tree_show(&shown, frame->name);
    owl_verdict_remarks(verdict, &remarks);
    owl_workbench_number(text, "{", "n", number);
    owl_workbench_text(text, ",", "name", name);
    owl_workbench_number(text, ",", "taken", frame->taken_s + judged->clock_shift_s);
    owl_workbench_text(text, ",", "verdict", owl_verdict_class_words(verdict->class));
    owl_workbench_text(text, ",", "row", place->booked ? owl_ledger_word(place->row) : NULL);
    owl_workbench_number(text, ",", "visit", place->visit > 0 ? (double)place->visit : NAN);
    write_bool(text, "best", place->best);
    owl_workbench_number(text, ",", "score", verdict->class >= OWL_JUDGE_EMPTY ? round(verdict->score) : NAN);
    owl_workbench_text(text, ",", "flash", owl_verdict_flash_words(verdict->flash));
    write_boxes(judged, frame, text);
    write_bool(text, "corrected", frame->corrected);
    owl_workbench_text(text, ",", "remarks", words);
    owl_workbench_number(text, ",", "width", turned ? frame->height : frame->width);
    owl_workbench_number(text, ",", "height", turned ? frame->width : frame->height);
    owl_text_char(text, '}');
}

static void write_frames(const struct owl_open_card *card, struct owl_text *text)
{
    owl_workbench_key(text, ",", "frames");
    owl_text_char(text, '[');
    for (int i = 0; i < card->session.judged.count; i++) {
        owl_workbench_next(text, i == 0);
        write_frame(card, card->visits.order[i], text);
    }
    owl_text_char(text, ']');
}

/* ---- visits and ledger ---- */

static void write_visits(const struct owl_open_card *card, struct owl_text *text)
{
    owl_workbench_key(text, ",", "visits");
    owl_text_char(text, '[');
    for (int i = 0; i < card->visits.count; i++) {
        const struct owl_visit *visit = &card->visits.visit[i];
        owl_workbench_next(text, i == 0);
        owl_workbench_number(text, "{", "visit", i + 1);
        owl_workbench_number(text, ",", "frames", visit->frames);
        owl_workbench_number(text, ",", "best", visit->best);
        owl_workbench_text(text, ",", "row", owl_ledger_word(visit->row));
        write_bool(text, "sure", visit->sure);
        owl_workbench_number(text, ",", "begin", visit->begin_s);
        owl_workbench_number(text, ",", "end", visit->end_s);
        owl_text_char(text, '}');
    }
    owl_text_char(text, ']');
}

/* The rows a card can show. */
static bool shown(int row)
{
    for (int place = 0; place < OWL_OBSERVED_LINKS; place++)
        if ((int)owl_observed_link(place) == row)
            return true;
    return row == OWL_LEDGER_KEEPER;
}

static void write_ledger(const struct owl_visits *visits, struct owl_text *text)
{
    owl_workbench_key(text, ",", "ledger");
    owl_workbench_key(text, "{", "rows");
    owl_text_char(text, '[');
    bool first = true;
    for (int row = 0; row < OWL_LEDGER_ROWS; row++) {
        if (!shown(row))
            continue;
        owl_workbench_next(text, first);
        first = false;
        owl_workbench_text(text, "{", "row", owl_ledger_word((enum owl_ledger_row)row));
        owl_workbench_text(text, ",", "means", owl_ledger_meaning((enum owl_ledger_row)row));
        owl_workbench_number(text, ",", "first", visits->sure.first[row]);
        owl_workbench_number(text, ",", "only", visits->sure.only[row]);
        owl_workbench_number(text, ",", "unsure", visits->unsure.first[row]);
        owl_text_char(text, '}');
    }
    int unsure = 0;
    for (int i = 0; i < visits->count; i++)
        unsure += !visits->visit[i].sure;
    owl_workbench_number(text, "],", "visits", visits->count);
    owl_workbench_number(text, ",", "unsure", unsure);
    owl_workbench_number(text, ",", "blind", visits->blind);
    owl_text_char(text, '}');
}

/* ---- beside the rehearsal ---- */

static void write_link(const struct owl_observed_failing *link, struct owl_text *text)
{
    owl_workbench_text(text, "{", "row", owl_ledger_word(link->row));
    owl_workbench_number(text, ",", "share", link->share);
    owl_workbench_number(text, ",", "reached", link->reached);
    owl_workbench_number(text, ",", "failed", link->failed);
    owl_workbench_number(text, ",", "low", link->interval.low);
    owl_workbench_number(text, ",", "high", link->interval.high);
    owl_workbench_number(text, ",", "p", link->p);
    owl_workbench_number(text, ",", "adjusted p", link->adjusted_p);
    owl_workbench_number(text, ",", "blame", link->blame);
    owl_text_char(text, '}');
}

static void write_count(const char *name, bool counted, const struct owl_observed_count *count, struct owl_text *text)
{
    owl_workbench_key(text, ",", name);
    if (!counted) {
        owl_text_words(text, "null");
        return;
    }
    owl_workbench_number(text, "{", "seen", count->seen);
    owl_workbench_number(text, ",", "expected", count->expected);
    owl_workbench_number(text, ",", "p", count->p);
    owl_text_char(text, '}');
}

static void write_observed(const struct owl_open_card *card, struct owl_text *text)
{
    const struct owl_visits_rehearsed *rehearsed = &card->rehearsed;
    owl_workbench_key(text, ",", "observed");
    if (!card->compared) {
        owl_text_words(text, "null");
        return;
    }
    owl_workbench_text(text, "{", "plan", rehearsed->plan);
    owl_workbench_number(text, ",", "seasons", rehearsed->seasons);
    owl_workbench_key(text, ",", "links");
    owl_text_char(text, '[');
    for (int i = 0; i < OWL_OBSERVED_LINKS; i++) {
        owl_workbench_next(text, i == 0);
        write_link(&rehearsed->links.link[i], text);
    }
    owl_workbench_number(text, "],", "p", rehearsed->links.p);
    write_bool(text, "exact", rehearsed->links.exact);
    owl_workbench_number(text, ",", "none", rehearsed->links.none);
    owl_workbench_text(text, ",", "blamed", owl_ledger_word(rehearsed->links.blamed));
    write_count("visits", rehearsed->counted, &rehearsed->visits, text);
    write_count("empties", rehearsed->counted, &rehearsed->empties, text);
    owl_text_char(text, '}');
}

/* ---- the whole ---- */

struct owl_text owl_open_card_json(const struct owl_open_card *card)
{
    const struct owl_judged *judged = &card->session.judged;
    char folder[NAME_BYTES];
    struct owl_text name = owl_text_over(folder, sizeof folder);
    size_t room = EXTRA_BYTES + (size_t)card->visits.count * FRAME_BYTES + 6 * strlen(card->session.folder);
    for (int i = 0; i < judged->count; i++)
        room += FRAME_BYTES + 12 * strlen(judged->frame[i].name); /* \xNN for a byte, its backslash doubled */
    char *buffer = malloc(room);
    if (!buffer)
        return (struct owl_text){0};
    struct owl_text text = owl_text_over(buffer, room);
    owl_tree_show(&name, card->session.folder);
    owl_workbench_text(&text, "{", "folder", folder);
    owl_workbench_text(&text, ",", "watch", card->session.watch);
    write_frames(card, &text);
    write_visits(card, &text);
    write_ledger(&card->visits, &text);
    write_observed(card, &text);
    owl_text_char(&text, '}');
    return text;
}
