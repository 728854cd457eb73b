/* Frames, verdicts and boxes, written and read by one list of columns. */
#include "book/verdicts.h"

#include <string.h>

/* ---- words ---- */

static const char *const class_word[] = {
    [OWL_JUDGE_CANNOT] = "cannot",
    [OWL_JUDGE_FLASH_FAILED] = "flash failed",
    [OWL_JUDGE_EMPTY] = "empty",
    [OWL_JUDGE_LOOK] = "look",
    [OWL_JUDGE_SUBJECT] = "subject",
};
static const char *const flash_word[] = {
    [OWL_FLASH_NOT_USED] = "not used",
    [OWL_FLASH_FULL] = "full",
    [OWL_FLASH_ONE_MISSING] = "one missing",
    [OWL_FLASH_NONE] = "none",
};

#define COUNT(list) (sizeof(list) / sizeof(list)[0])

static const char *word_at(const char *const *words, size_t count, unsigned position)
{
    return position < count ? words[position] : NULL;
}

/* Its position; count for none. */
static unsigned position_of(const char *const *words, size_t count, const char *word)
{
    unsigned i = 0;
    while (i < count && !(word && strcmp(words[i], word) == 0))
        i++;
    return i;
}

const char *owl_book_class_word(enum owl_judge_class class)
{
    return word_at(class_word, COUNT(class_word), (unsigned)class);
}

bool owl_book_class_of(const char *word, enum owl_judge_class *class)
{
    unsigned position = position_of(class_word, COUNT(class_word), word);
    if (position < COUNT(class_word))
        *class = (enum owl_judge_class)position;
    return position < COUNT(class_word);
}

static bool flash_of(const char *word, enum owl_flash_state *flash)
{
    unsigned position = position_of(flash_word, COUNT(flash_word), word);
    if (position < COUNT(flash_word))
        *flash = (enum owl_flash_state)position;
    return position < COUNT(flash_word);
}

/* ---- columns, each with its part of struct owl_frame_verdict ---- */

#define INTEGERS(X) X(lighting_group, group) X(alike, alike) X(segment, segment)

#define TRUTHS(X)                                                                                        \
    X(cut_off, cut_off) X(moved, moved) X(over_exposed, over_exposed) X(fogged, fogged) X(out_of_focus, out_of_focus) \
    X(aligned, aligned)

#define REALS(X)                                                                                                     \
    X(score, score) X(clipped, clipped) X(dark, dark) X(mean, mean) X(sharpness, sharpness)                          \
    X(look_mean, look.mean) X(look_clipped, look.clipped) X(look_detail, look.detail) X(look_darkest, look.darkest) \
    X(look_light, look.light) X(look_lopsided, look.lopsided)                                                       \
    X(norm_clipped, norm.clipped) X(norm_detail, norm.detail) X(norm_darkest, norm.darkest) X(norm_mean, norm.mean)  \
    X(pose_right_px, pose.right_px) X(pose_down_px, pose.down_px) X(pose_turn_rad, pose.turn_rad)                    \
    X(gain, gain) X(light_offset, offset) X(calm, calm) X(wind, wind) X(thin, thin) X(shadow, shadow)

#define NAME(column, part) ", " #column
#define PLACE(column, part) ", ?"
#define VERDICT_NAMES "class, flash" INTEGERS(NAME) TRUTHS(NAME) REALS(NAME)
#define VERDICT_PLACES "?, ?" INTEGERS(PLACE) TRUTHS(PLACE) REALS(PLACE)

#define FRAME_NAMES                                                                                       \
    "number, name, size_bytes, changed_s, changed_ns, taken_s, exposure_s, f_number, iso, focal_m, flash_told, " \
    "flash_fired, width_px, height_px, orientation, corrected"

/* ---- writing ---- */

static const char enter_frame[] =
    "INSERT INTO frame (card, " FRAME_NAMES ") VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)";
static const char enter_verdict[] = "INSERT INTO verdict (frame, " VERDICT_NAMES ") VALUES (?, " VERDICT_PLACES ")";
static const char enter_box[] =
    "INSERT INTO box (frame, number, left_px, top_px, right_px, bottom_px, score) VALUES (?, ?, ?, ?, ?, ?, ?)";

static void write_frame(struct owl_book_query *query, int64_t card, int number, const struct owl_judged_frame *frame)
{
    owl_book_put_integer(query, card);
    owl_book_put_integer(query, number);
    owl_book_put_name(query, frame->name);
    owl_book_put_integer(query, (int64_t)frame->size_bytes);
    owl_book_put_integer(query, frame->changed_s);
    owl_book_put_integer(query, frame->changed_ns);
    owl_book_put_real(query, frame->taken_s);
    owl_book_put_real(query, frame->exposure_s);
    owl_book_put_real(query, frame->f_number);
    owl_book_put_real(query, frame->iso);
    owl_book_put_real(query, frame->focal_m);
    owl_book_put_integer(query, frame->flash_told);
    owl_book_put_integer(query, frame->flash_fired);
    owl_book_put_integer(query, frame->width);
    owl_book_put_integer(query, frame->height);
    owl_book_put_integer(query, frame->orientation);
    owl_book_put_integer(query, frame->corrected);
    owl_book_do(query);
}

static void write_verdict(struct owl_book_query *query, int64_t frame, const struct owl_frame_verdict *verdict)
{
    owl_book_put_integer(query, frame);
    owl_book_put_words(query, owl_book_class_word(verdict->class));
    owl_book_put_words(query, word_at(flash_word, COUNT(flash_word), (unsigned)verdict->flash));
#define PUT(column, part) owl_book_put_integer(query, verdict->part);
    INTEGERS(PUT)
    TRUTHS(PUT)
#undef PUT
#define PUT(column, part) owl_book_put_real(query, verdict->part);
    REALS(PUT)
#undef PUT
    owl_book_do(query);
}

static void write_box(struct owl_book_query *query, int64_t frame, int number, const struct owl_judge_box *box)
{
    owl_book_put_integer(query, frame);
    owl_book_put_integer(query, number);
    owl_book_put_integer(query, box->left);
    owl_book_put_integer(query, box->top);
    owl_book_put_integer(query, box->right);
    owl_book_put_integer(query, box->bottom);
    owl_book_put_real(query, box->score);
    owl_book_do(query);
}

struct owl_book_pen owl_book_pen_take(struct owl_book_run *run)
{
    return (struct owl_book_pen){owl_book_ask(run, enter_frame), owl_book_ask(run, enter_verdict), owl_book_ask(run, enter_box)};
}

void owl_book_pen_write(struct owl_book_pen *pen, int64_t card, int number, const struct owl_judged_frame *frame)
{
    write_frame(&pen->frame, card, number, frame);
    int64_t id = sqlite3_last_insert_rowid(pen->frame.run->book->database);
    write_verdict(&pen->verdict, id, &frame->verdict);
    for (int i = 0; i < frame->verdict.boxes; i++)
        write_box(&pen->box, id, i, &frame->verdict.box[i]);
}

void owl_book_pen_lay_down(struct owl_book_pen *pen)
{
    owl_book_ask_end(&pen->frame);
    owl_book_ask_end(&pen->verdict);
    owl_book_ask_end(&pen->box);
}

/* ---- reading ---- */

static const char read_frames[] =
    "SELECT " FRAME_NAMES ", " VERDICT_NAMES
    " FROM frame JOIN verdict ON verdict.frame = frame.id WHERE card = ? ORDER BY number";
static const char read_boxes[] =
    "SELECT frame.number, box.number, left_px, top_px, right_px, bottom_px, score"
    " FROM frame JOIN box ON box.frame = frame.id WHERE card = ? ORDER BY frame.number, box.number";

static void read_frame(struct owl_book_query *query, struct owl_judged_frame *frame)
{
    frame->name = owl_book_take_name(query);
    frame->size_bytes = (uint64_t)owl_book_take_integer(query);
    frame->changed_s = owl_book_take_integer(query);
    frame->changed_ns = owl_book_take_int(query);
    frame->taken_s = owl_book_take_real(query);
    frame->exposure_s = owl_book_take_real(query);
    frame->f_number = owl_book_take_real(query);
    frame->iso = owl_book_take_real(query);
    frame->focal_m = owl_book_take_real(query);
    frame->flash_told = owl_book_take_int(query) != 0;
    frame->flash_fired = owl_book_take_int(query) != 0;
    frame->width = owl_book_take_int(query);
    frame->height = owl_book_take_int(query);
    frame->orientation = owl_book_take_int(query);
    frame->corrected = owl_book_take_int(query) != 0;
}

static bool read_verdict(struct owl_book_query *query, struct owl_frame_verdict *verdict)
{
    bool known = owl_book_class_of(owl_book_take_words(query), &verdict->class);
    known = flash_of(owl_book_take_words(query), &verdict->flash) && known;
#define TAKE(column, part) verdict->part = owl_book_take_int(query);
    INTEGERS(TAKE)
#undef TAKE
#define TAKE(column, part) verdict->part = owl_book_take_int(query) != 0;
    TRUTHS(TAKE)
#undef TAKE
#define TAKE(column, part) verdict->part = owl_book_take_real(query);
    REALS(TAKE)
#undef TAKE
    return known;
}

static void read_box(struct owl_book_query *query, struct owl_judged_frame *frame, int count)
{
    int at = owl_book_take_int(query), number = owl_book_take_int(query);
    if (at < 0 || at >= count || number != frame[at].verdict.boxes || number >= OWL_JUDGE_BOXES) {
        owl_book_run_damaged(query->run);
        return;
    }
    struct owl_judge_box *box = &frame[at].verdict.box[frame[at].verdict.boxes++];
    box->left = owl_book_take_int(query);
    box->top = owl_book_take_int(query);
    box->right = owl_book_take_int(query);
    box->bottom = owl_book_take_int(query);
    box->score = owl_book_take_real(query);
}

/* Numbers without gaps are what the rest relies on: a file that was tampered with is not to lead past the end. */
void owl_book_read_frames(struct owl_book_run *run, int64_t card, struct owl_judged_frame *frame, int count)
{
    int next = 0;
    struct owl_book_query frames = owl_book_ask(run, read_frames), boxes = owl_book_ask(run, read_boxes);
    owl_book_put_integer(&frames, card);
    owl_book_put_integer(&boxes, card);
    while (owl_book_row(&frames)) {
        if (next >= count || owl_book_take_int(&frames) != next) {
            owl_book_run_damaged(run);
            break;
        }
        read_frame(&frames, &frame[next]);
        if (!read_verdict(&frames, &frame[next++].verdict))
            owl_book_run_damaged(run);
    }
    if (next < count)
        owl_book_run_damaged(run);
    while (owl_book_row(&boxes))
        read_box(&boxes, frame, count);
    owl_book_ask_end(&frames);
    owl_book_ask_end(&boxes);
}
