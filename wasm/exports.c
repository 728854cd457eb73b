/* The core as a WebAssembly module: this folder alone has export attributes. Here: the plan, its sky, what it comes to, its
   drawings, and changes to its text. The caller writes text, words and sky into the module's own buffers and calls; texts
   given back live until the next call. Nothing is allocated and nothing imported. */
#include <string.h>

#include "core/draw/curves.h"
#include "core/draw/ribbon.h"
#include "core/draw/side.h"
#include "core/draw/stage.h"
#include "core/plan/rewrite.h"
#include "core/plan/workings.h"
#include "core/report/advice.h"
#include "core/report/figures.h"
#include "core/report/form.h"
#include "core/report/ledger.h"
#include "room.h"

#define OUT_BYTES ((size_t)1 << 20) /* more than any report or drawing */
#define WHY_BYTES 256
#define NO_SKY (-2)

struct owl_wasm_room owl_wasm_room;
static struct owl_wasm_room *const room = &owl_wasm_room;

static char out[OUT_BYTES];
static char scratch[OWL_PLAN_BYTES + 1]; /* the text being changed */
static char why[WHY_BYTES];              /* a change was refused */
static double values[OWL_FIGURES];

static uint8_t sky_bytes[OWL_SKY_BLOB_BYTES];
static struct owl_sky_row sky_rows[OWL_SKY_BLOB_ROWS_MOST];
static struct owl_sky_blob sky;
static bool sky_there, by_hand; /* a sky was taken; nights and rows are written by the caller instead */

/* What nights and rows were made from besides the sky. */
static struct {
    bool whole;
    double open_sky;
    int cloud;
} filled;

EXPORT("text") char *owl_wasm_text(void);
EXPORT("words") char *owl_wasm_words(void);
EXPORT("sky") uint8_t *owl_wasm_sky(void);
EXPORT("sky_most") int owl_wasm_sky_most(void);
EXPORT("sky_key") const char *owl_wasm_sky_key(void);
EXPORT("take_sky") int owl_wasm_take_sky(int length);
EXPORT("nights") struct owl_night *owl_wasm_nights(void);
EXPORT("rows") struct owl_watch_row *owl_wasm_rows(void);
EXPORT("read") int owl_wasm_read(int length);
EXPORT("evaluate") int owl_wasm_evaluate(void);
EXPORT("values") const double *owl_wasm_values(void);
EXPORT("complaint") const char *owl_wasm_complaint(int place);
EXPORT("report") const char *owl_wasm_report(int kind);
EXPORT("working") const char *owl_wasm_working(int length);
EXPORT("draw") const char *owl_wasm_draw(int kind);
EXPORT("change") int owl_wasm_change(int section, int nth, int field, int length);
EXPORT("complain_change") const char *owl_wasm_complain_change(void);

/* ---- the plan ---- */

char *owl_wasm_text(void)
{
    return room->text;
}

char *owl_wasm_words(void)
{
    return room->words;
}

const char *owl_wasm_words_of(int length)
{
    if (length < 0 || length >= OWL_WASM_WORDS_BYTES)
        return NULL;
    room->words[length] = '\0';
    return room->words;
}

/* Reads `length` bytes of text; 0, or the number of complaints. */
int owl_wasm_read(int length)
{
    static struct owl_plan plan;
    room->length = length < 0 ? 0 : length > OWL_PLAN_BYTES ? OWL_PLAN_BYTES + 1 : (size_t)length;
    room->text[room->length] = '\0';
    owl_places_find(room->text, room->length, &room->places);
    if (owl_plan_read(room->text, room->length, &plan, &room->complaints) != OWL_OK)
        return room->complaints.count;
    room->plan = plan;
    room->sound = true;
    room->evaluated = false;
    return 0;
}

const char *owl_wasm_complaint(int place)
{
    return place >= 0 && place < room->complaints.count ? room->complaints.list[place].words : "";
}

/* ---- its sky ---- */

uint8_t *owl_wasm_sky(void)
{
    return sky_bytes;
}

int owl_wasm_sky_most(void)
{
    return (int)sizeof sky_bytes;
}

static const char *key_of_plan(void)
{
    static char key[OWL_SKY_KEY_BYTES];
    struct owl_text text = owl_text_over(key, sizeof key);
    owl_report_sky_key(&room->plan, &text);
    return key;
}

const char *owl_wasm_sky_key(void)
{
    return room->sound ? key_of_plan() : NULL;
}

static bool sky_fits(void)
{
    return sky_there && room->sound && strcmp(sky.key, key_of_plan()) == 0 && sky.sky.nights == (int)room->plan.watch.nights;
}

/* Takes the sky written into the room; 0 when it is the one the plan needs, else 1. */
int owl_wasm_take_sky(int length)
{
    filled.whole = false;
    by_hand = false;
    sky_there = length > 0 && (size_t)length <= sizeof sky_bytes &&
                owl_sky_blob_read(sky_bytes, (size_t)length, sky_rows, &sky) == OWL_OK;
    return sky_fits() ? 0 : 1;
}

/* For callers that write nights and rows themselves: from now on, until a sky is taken. */
struct owl_night *owl_wasm_nights(void)
{
    by_hand = true;
    return room->night;
}

/* Light, clock and animals' hour at every ten minutes of the watch. */
struct owl_watch_row *owl_wasm_rows(void)
{
    return room->row;
}

/* Nights and rows of the plan: the costly part of an evaluation, and the same unless site or sky change. */
static bool fill_view(void)
{
    const struct owl_plan_site *site = &room->plan.site;
    if (filled.whole && filled.cloud == site->cloud && !(filled.open_sky < site->open_sky) && !(filled.open_sky > site->open_sky))
        return true;
    filled.whole = owl_watch_view_fill(&room->plan, &sky.sky, room->night, room->row) == OWL_OK;
    filled.cloud = site->cloud;
    filled.open_sky = site->open_sky;
    return filled.whole;
}

/* Evaluates the plan read; the number of figures, -1 when a formula did not hold, -2 without a plan or its sky. */
int owl_wasm_evaluate(void)
{
    room->turn++;
    room->evaluated = false;
    if (!room->sound || (!by_hand && (!sky_fits() || !fill_view())))
        return NO_SKY;
    room->watch = (struct owl_watch_view){
        .nights = (int)room->plan.watch.nights, .night = room->night, .row = room->row, .sky = by_hand ? NULL : &sky.sky};
    owl_activity_fill(&room->watch.activity, &room->plan);
    if (owl_plan_evaluate(&room->plan, &room->watch, &room->evaluation) != OWL_OK)
        return -1;
    room->evaluated = true;
    for (int i = 0; i < room->evaluation.outcome.count; i++)
        values[i] = room->evaluation.outcome.figure[i].value;
    return room->evaluation.outcome.count;
}

/* The figures' values, in the order of the evaluation. */
const double *owl_wasm_values(void)
{
    return values;
}

/* ---- what it comes to ---- */

/* The text written into `out`; NULL when there is none or it did not fit. */
static const char *text_out(const struct owl_text *text)
{
    return text->length > 0 && !text->cut ? out : NULL;
}

static void report_form(struct owl_text *text)
{
    const struct owl_report_form form = {room->text, room->length, &room->places, room->sound ? &room->plan : NULL};
    owl_report_form(&form, text);
}

static void report_figures(int kind, struct owl_text *text)
{
    const struct owl_report_plan report = {&room->plan, &room->watch, &room->evaluation};
    if (kind == 2)
        owl_report_results(&report, text);
    else if (kind == 3)
        owl_report_nights(&report, text);
    else
        owl_report_warnings(&report, text);
}

static void report_seasons(int kind, struct owl_text *text)
{
    if (kind == 5 && owl_wasm_rehearsed())
        owl_report_ledger(owl_wasm_rehearsed(), text);
    else if (kind == 6 && owl_wasm_advised())
        owl_report_advice(owl_wasm_advised(), text);
}

/* JSON: 0 complaints, 1 form, 2 results, 3 nights, 4 warnings, 5 ledger, 6 advice, 7 what stands behind the choices. NULL when
   there is nothing. */
const char *owl_wasm_report(int kind)
{
    struct owl_text text = owl_text_over(out, sizeof out);
    switch (kind) {
    case 0: owl_report_complaints(&room->complaints, &text); break;
    case 1: report_form(&text); break;
    case 2:
    case 3:
    case 4:
        if (room->evaluated)
            report_figures(kind, &text);
        break;
    case 5:
    case 6: report_seasons(kind, &text); break;
    case 7: owl_report_choices(&text); break;
    default: break;
    }
    return text_out(&text);
}

/* The working of the result whose key lies in the words. */
const char *owl_wasm_working(int length)
{
    struct owl_text text = owl_text_over(out, sizeof out);
    const char *key = owl_wasm_words_of(length);
    const struct owl_figure *figure =
        key && room->evaluated ? owl_outcome_by_key(&room->plan, &room->evaluation.outcome, key) : NULL;
    if (figure)
        owl_working_show(&room->plan, &room->evaluation.outcome, figure, &text);
    return text_out(&text);
}

/* SVG: 0 the stage from above, 1 from the side, 2 the night ribbon, 3 keepers by night, 4 what runs out, 5 the ledger. 3 and 5
   need a rehearsal. */
const char *owl_wasm_draw(int kind)
{
    struct owl_text text = owl_text_over(out, sizeof out);
    const struct owl_report_rehearsal *rehearsed = owl_wasm_rehearsed();
    const struct owl_rehearsal *rehearsal = rehearsed ? rehearsed->rehearsal : NULL;
    if (!room->evaluated)
        return NULL;
    switch (kind) {
    case 0: owl_draw_stage(&room->plan, &room->evaluation, &text); break;
    case 1: owl_draw_side(&room->plan, &room->evaluation, &text); break;
    case 2: owl_draw_ribbon(&room->plan, &room->evaluation, &room->watch, &text); break;
    case 3:
        if (rehearsal)
            owl_draw_keepers(&room->plan, rehearsal, &text);
        break;
    case 4: owl_draw_cells(&room->plan, &room->evaluation, rehearsal, &text); break;
    case 5:
        if (rehearsal)
            owl_draw_ledger(&room->plan, rehearsal, &text);
        break;
    default: break;
    }
    return text_out(&text);
}

/* ---- changes to the text ---- */

static int refuse(const char *words)
{
    struct owl_text text = owl_text_over(why, sizeof why);
    owl_text_words(&text, words);
    return -1;
}

/* A text of two lines with that value alone shows what the reader itself has to say about it. */
static bool value_reads(const struct owl_change *change)
{
    static struct owl_plan plan;
    static struct owl_complaints complaints;
    char lines[2 * WHY_BYTES];
    struct owl_text text = owl_text_over(lines, sizeof lines);
    owl_text_char(&text, '[');
    owl_text_words(&text, change->section->name);
    owl_text_words(&text, change->section->most > 1 ? " one]\n" : "]\n");
    owl_text_words(&text, change->section->fields[change->field].name);
    owl_text_words(&text, " = ");
    owl_text_words(&text, change->words);
    owl_text_char(&text, '\n');
    if (owl_plan_read(lines, text.length, &plan, &complaints) == OWL_OK)
        return true;
    for (int i = 0; i < complaints.count; i++) {
        if (complaints.list[i].line == 2) {
            refuse(complaints.list[i].words);
            return false;
        }
    }
    return true;
}

static bool change_of(int section, int nth, int field, int length, struct owl_change *change)
{
    const char *words = owl_wasm_words_of(length);
    if (section < 0 || section >= owl_section_count())
        return false;
    *change = (struct owl_change){.section = owl_section_at(section), .nth = nth, .field = field};
    if (field < 0 || field >= change->section->field_count || nth < 0 || nth >= owl_places_count(&room->places, change->section))
        return false;
    if (!words || length == 0 || length >= OWL_CHANGE_BYTES || strpbrk(words, "#\r\n"))
        return false;
    memcpy(change->words, words, (size_t)length);
    return true;
}

/* Writes a value into the text in its place, all else left as it stands; the text's new length. -1, and complain_change tells
   why, when the words are no value of the field. */
int owl_wasm_change(int section, int nth, int field, int length)
{
    struct owl_change change;
    struct owl_text text = owl_text_over(scratch, sizeof scratch);
    if (!change_of(section, nth, field, length, &change))
        return refuse("a value is a few words on one line, without #, of a field that stands in the plan");
    if (!value_reads(&change))
        return -1;
    owl_plan_rewrite(room->text, room->length, &room->places.plan, &change, 1, &text);
    if (text.cut)
        return refuse("with this the text would be too long for a plan");
    memcpy(room->text, scratch, text.length + 1);
    room->length = text.length;
    owl_places_find(room->text, room->length, &room->places);
    return (int)text.length;
}

const char *owl_wasm_complain_change(void)
{
    return why;
}
