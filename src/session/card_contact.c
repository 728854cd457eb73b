/* The contact sheet of a card: its visits and nights in the sheet's own terms, small pictures made as the page asks for them. */
#include "session/card_contact.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "card/frames.h"
#include "card/tree.h"
#include "card/verdict_words.h"
#include "core/calendar.h"
#include "core/plan/units.h"
#include "image/jpeg.h"
#include "image/jpeg_small.h"
#include "session/card_places.h"
#include "sheet/contact_sheet.h"

#define NAME_BYTES 512
#define REMARK_BYTES 256
#define QUALITY 82 /* of small pictures: half of what 95 takes, and no blocks to be seen; estimate */

/* Words of one frame, kept as long as the sheet is written. */
struct words {
    char name[NAME_BYTES], remarks[REMARK_BYTES];
    struct owl_contact_box box[OWL_JUDGE_BOXES];
};

struct work {
    const struct owl_judged *judged;
    const struct owl_visits *visits;
    struct owl_card_place *place;
    struct words *words;               /* one a frame on the page */
    struct owl_contact_frame *frame;   /* in the order of visits, those of one visit together */
    struct owl_contact_visit *visit;
    struct owl_contact_failure *failure;
    struct owl_contact_night *night;
    int frames, failures;
    struct owl_frames *files;
    uint8_t *picture;                  /* the last one made */
    FILE *page;
    const struct owl_listener *listener;
    int pictures;
};

/* ---- pictures and pages ---- */

static bool make_picture(void *context, int number, int long_side_px, struct owl_contact_picture *picture)
{
    struct work *work = context;
    struct owl_frames_picture file;
    struct owl_jpeg_size size;
    long warnings = 0;
    owl_listener_progress(work->listener, "picture", work->pictures++, work->frames);
    free(work->picture);
    work->picture = NULL;
    if (owl_frames_picture(work->files, number, long_side_px, &file) != OWL_OK ||
        owl_jpeg_small(file.bytes, file.length, long_side_px, QUALITY, file.orientation, &work->picture, &picture->length,
                       &warnings) != OWL_OK ||
        owl_jpeg_size_of(work->picture, picture->length, &size) != OWL_OK)
        return false;
    picture->jpeg = work->picture;
    picture->width = size.width;
    picture->height = size.height;
    return true;
}

static bool put(void *context, const char *bytes, size_t length)
{
    struct work *work = context;
    return !owl_listener_stopped(work->listener) && fwrite(bytes, 1, length, work->page) == length;
}

/* ---- frames, visits, nights ---- */

static void show_name(const char *name, char shown[NAME_BYTES])
{
    struct owl_text text = owl_text_over(shown, NAME_BYTES);
    owl_tree_show(&text, name);
}

static void fill_frame(struct work *work, int number)
{
    const struct owl_judged_frame *from = &work->judged->frame[number];
    const struct owl_card_place *place = &work->place[number];
    struct words *words = &work->words[work->frames];
    struct owl_text remarks = owl_text_over(words->remarks, sizeof words->remarks);
    show_name(from->name, words->name);
    owl_verdict_remarks(&from->verdict, &remarks);
    int boxes = owl_verdict_shows(&from->verdict) ? from->verdict.boxes : 0;
    for (int i = 0; i < boxes; i++) {
        const struct owl_judge_box *box = &from->verdict.box[i];
        const struct owl_jpeg_part part = {(double)box->left / work->judged->width, (double)box->top / work->judged->height,
                                           (double)box->right / work->judged->width, (double)box->bottom / work->judged->height};
        struct owl_jpeg_part upright = owl_jpeg_part_turned(&part, from->orientation);
        words->box[i] = (struct owl_contact_box){upright.left, upright.top, upright.right, upright.bottom};
    }
    work->frame[work->frames++] = (struct owl_contact_frame){
        .number = number, .name = words->name, .taken_s = from->taken_s + work->judged->clock_shift_s,
        .verdict = owl_verdict_class_words(from->verdict.class), .row = place->booked ? owl_ledger_word(place->row) : "",
        .remarks = words->remarks, .box = words->box, .boxes = boxes};
}

static int64_t night_days(const struct owl_visits_night *night)
{
    return night->dated ? owl_calendar_days(night->date) : OWL_CONTACT_NO_NIGHT;
}

static void fill_visit(struct work *work, int number)
{
    const struct owl_visit *from = &work->visits->visit[number];
    int first = work->frames, best = 0;
    for (int i = from->first; i < from->past; i++) {
        int frame = work->visits->order[i];
        if (work->judged->frame[frame].verdict.class == OWL_JUDGE_EMPTY)
            continue;
        if (frame == from->best)
            best = work->frames - first;
        fill_frame(work, frame);
    }
    work->visit[number] = (struct owl_contact_visit){
        .number = number + 1, .night_days = owl_moment_night(from->begin_s), .row = owl_ledger_word(from->row),
        .remarks = from->sure ? "" : "not sure", .frame = &work->frame[first], .frames = work->frames - first, .best = best};
}

/* Frames outside of any visit that could not be judged, or that no flash lit. */
static void fill_failures(struct work *work)
{
    for (int i = 0; i < work->judged->count; i++) {
        const struct owl_judged_frame *frame = &work->judged->frame[i];
        bool failed = frame->verdict.class == OWL_JUDGE_CANNOT || frame->verdict.class == OWL_JUDGE_FLASH_FAILED;
        if (!failed || work->place[i].visit > 0)
            continue;
        struct words *words = &work->words[work->frames + work->failures];
        struct owl_text why = owl_text_over(words->remarks, sizeof words->remarks);
        show_name(frame->name, words->name);
        owl_text_words(&why, owl_verdict_class_words(frame->verdict.class));
        if (frame->verdict.class == OWL_JUDGE_CANNOT) {
            owl_text_words(&why, ": ");
            owl_verdict_remarks(&frame->verdict, &why);
        }
        work->failure[work->failures++] =
            (struct owl_contact_failure){words->name, frame->taken_s + work->judged->clock_shift_s, words->remarks};
    }
}

static void count_night(const struct work *work, int64_t days, struct owl_contact_night *night)
{
    for (int i = 0; i < work->judged->count; i++) {
        const struct owl_judged_frame *frame = &work->judged->frame[i];
        bool empty = frame->verdict.class == OWL_JUDGE_EMPTY;
        if (owl_moment_night(frame->taken_s + work->judged->clock_shift_s) != days)
            continue;
        night->frames++;
        night->empty += empty;
        night->shown += !empty && work->place[i].visit > 0;
        night->failed += !empty && work->place[i].visit == 0;
    }
}

static void fill_nights(struct work *work)
{
    for (int i = 0; i < work->visits->nights; i++) {
        const struct owl_visits_night *from = &work->visits->night[i];
        struct owl_contact_night *night = &work->night[i];
        *night = (struct owl_contact_night){.night_days = night_days(from), .visits = from->visits};
        count_night(work, night->night_days, night);
    }
}

static bool prepare(struct work *work)
{
    size_t frames = (size_t)work->judged->count + 1;
    work->place = owl_card_places(work->judged, work->visits);
    work->words = calloc(frames, sizeof *work->words);
    work->frame = calloc(frames, sizeof *work->frame);
    work->visit = calloc((size_t)work->visits->count + 1, sizeof *work->visit);
    work->failure = calloc(frames, sizeof *work->failure);
    work->night = calloc((size_t)work->visits->nights + 1, sizeof *work->night);
    if (!work->place || !work->words || !work->frame || !work->visit || !work->failure || !work->night)
        return false;
    for (int i = 0; i < work->visits->count; i++)
        fill_visit(work, i);
    fill_failures(work);
    fill_nights(work);
    return true;
}

/* ---- the page ---- */

static enum owl_status write_page(struct work *work, const char *title, const char *note)
{
    const struct owl_contact_sheet sheet = {
        .title = title, .note = note, .visit = work->visit, .visits = work->visits->count, .failure = work->failure,
        .failures = work->failures, .night = work->night, .nights = work->visits->nights, .picture = make_picture,
        .picture_context = work};
    return owl_contact_sheet_write(&sheet, put, work);
}

static void write_note(const struct owl_card_session *session, struct owl_text *note)
{
    double shift_s = session->judged.clock_shift_s;
    if (fabs(shift_s) > 0.0) {
        owl_text_words(note, "The camera's clock is put right by ");
        owl_text_char(note, shift_s < 0.0 ? '-' : '+');
        owl_unit_show(OWL_UNIT_TIME, fabs(shift_s), note);
        owl_text_char(note, '.');
    }
}

static enum owl_status write_file(struct work *work, const struct owl_card_session *session, const struct owl_contact_wish *wish,
                                  struct owl_error *error)
{
    char title[NAME_BYTES], note[128], there[128];
    struct owl_text text = owl_text_over(note, sizeof note);
    show_name(session->watch ? session->watch : strrchr(session->folder, '/') + 1, title);
    write_note(session, &text);
    work->page = fopen(wish->path, "wbx");
    if (!work->page) {
        snprintf(there, sizeof there, "is there already; %s writes new files only", wish->writer);
        return owl_trouble_say(error, OWL_BAD_USE, wish->path, errno == EEXIST ? there : strerror(errno));
    }
    enum owl_status status = write_page(work, title, note);
    if (fclose(work->page) != 0 && status == OWL_OK)
        status = OWL_CANNOT_WRITE;
    if (status == OWL_OK)
        return OWL_OK;
    remove(wish->path);
    return owl_trouble_say(error, OWL_CANNOT_WRITE, wish->path, owl_status_words(status));
}

enum owl_status owl_card_contact(const struct owl_card_session *session, const struct owl_visits *visits,
                                 const struct owl_contact_wish *wish, struct owl_error *error)
{
    struct work work = {.judged = &session->judged, .visits = visits, .listener = wish->listener};
    enum owl_status status = owl_frames_open(session->folder, &work.files, error);
    if (status == OWL_OK)
        status = prepare(&work) ? write_file(&work, session, wish, error) : OWL_NO_MEMORY;
    owl_frames_close(work.files);
    free(work.picture);
    free(work.place);
    free(work.words);
    free(work.frame);
    free(work.visit);
    free(work.failure);
    free(work.night);
    return status;
}
