/* The command `judge`: every frame of a folder gets its verdict. Nothing is moved, marked or deleted. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "card/frames.h"
#include "card/judge/judge.h"
#include "card/tree.h"
#include "cli/command.h"
#include "cli/console.h"
#include "core/plan/units.h"

#define FLASHES_MOST 6
#define LINE_BYTES 192
#define LINES_EXTRA 64

struct asked {
    const char *folder; /* NULL: not given */
    uint64_t flashes;
    bool table, all;
};

static int read_asked(int count, char **words, struct asked *asked)
{
    *asked = (struct asked){.flashes = 1};
    const struct owl_number_option flashes = {"--flashes", &asked->flashes, 0, FLASHES_MOST};
    for (int i = 0; i < count; i++) {
        if (strcmp(words[i], "--flashes") == 0) {
            if (owl_read_number(&flashes, i + 1 < count ? words[++i] : NULL) != OWL_EXIT_WELL)
                return OWL_EXIT_WRONG;
        } else if (strcmp(words[i], "--table") == 0) {
            asked->table = true;
        } else if (strcmp(words[i], "--all") == 0) {
            asked->all = true;
        } else if (words[i][0] == '-' && words[i][1] != '\0') {
            return owl_complain_usage("judge takes --flashes, --table and --all, not", words[i]);
        } else if (asked->folder) {
            return owl_complain_usage("judge takes one folder; this is a second:", words[i]);
        } else {
            asked->folder = words[i];
        }
    }
    return asked->folder ? OWL_EXIT_WELL : owl_complain_usage("judge needs the folder of a card brought home", NULL);
}

/* ---- the judging ---- */

struct work {
    struct asked asked;
    struct owl_frames *frames;
    struct owl_judge *judge;
    uint8_t *level;
    FILE *kept;   /* every frame's luma, in a file without a name, so that no frame is decoded twice; NULL: no room for one */
    bool *known;  /* which frames it holds */
    int count, fetched;
    struct owl_progress progress;
};

static void tell_progress(struct work *work, const char *doing, int done)
{
    if (owl_progress_due(&work->progress))
        fprintf(stderr, "\r%s %d of %d frames ", doing, done, work->count);
}

static size_t luma_bytes(const struct work *work)
{
    return (size_t)OWL_FRAMES_WIDTH * (size_t)owl_frames_height(work->frames);
}

static bool go_to(const struct work *work, int frame)
{
    return work->kept && fseeko(work->kept, (off_t)frame * (off_t)luma_bytes(work), SEEK_SET) == 0;
}

static void keep(struct work *work, int frame)
{
    work->known[frame] = go_to(work, frame) && fwrite(work->level, 1, luma_bytes(work), work->kept) == luma_bytes(work);
}

static enum owl_status fetch(void *context, int frame, uint8_t *level)
{
    struct work *work = context;
    tell_progress(work, "judging", ++work->fetched);
    if (work->known[frame] && go_to(work, frame) && fread(level, 1, luma_bytes(work), work->kept) == luma_bytes(work))
        return OWL_OK;
    return owl_frames_luma(work->frames, frame, level);
}

/* A frame that cannot be read keeps its number, and the run goes on. */
static enum owl_status look_at_all(struct work *work)
{
    int height = owl_frames_height(work->frames);
    for (int i = 0; i < work->count; i++) {
        const struct owl_luma luma = {OWL_FRAMES_WIDTH, height, work->level};
        enum owl_status status = owl_frames_luma(work->frames, i, work->level);
        if (status == OWL_NO_MEMORY)
            return status;
        if (status == OWL_OK)
            keep(work, i);
        status = owl_judge_add(work->judge, status == OWL_OK ? &luma : NULL, work->asked.flashes > 0);
        if (status != OWL_OK)
            return status;
        tell_progress(work, "looking at", i + 1);
    }
    return OWL_OK;
}

static int judge_all(struct work *work)
{
    int height = owl_frames_height(work->frames);
    const struct owl_judge_setup setup = {.width = OWL_FRAMES_WIDTH, .height = height, .flashes = (int)work->asked.flashes};
    work->count = owl_frames_count(work->frames);
    work->judge = owl_judge_new(&setup);
    work->level = malloc(luma_bytes(work));
    work->known = calloc((size_t)work->count + 1, sizeof *work->known);
    if (!work->judge || !work->level || !work->known)
        return owl_complain_memory();
    work->kept = tmpfile();
    work->progress = owl_progress_begin();
    enum owl_status status = look_at_all(work);
    const struct owl_judge_source source = {fetch, work};
    if (status == OWL_OK)
        status = owl_judge_finish(work->judge, &source);
    owl_progress_end(&work->progress);
    if (status == OWL_OK)
        return OWL_EXIT_WELL;
    fprintf(stderr, "owllight: %s: %s\n", work->asked.folder, owl_status_words(status));
    return OWL_EXIT_FAILED;
}

/* ---- what is told ---- */

static const char *class_words(enum owl_judge_class class)
{
    static const char *const words[] = {[OWL_JUDGE_CANNOT] = "can't judge", [OWL_JUDGE_FLASH_FAILED] = "flash failed",
                                        [OWL_JUDGE_EMPTY] = "empty", [OWL_JUDGE_LOOK] = "look", [OWL_JUDGE_SUBJECT] = "subject"};
    return words[class];
}

static const char *flash_words(enum owl_flash_state flash)
{
    static const char *const words[] = {[OWL_FLASH_NOT_USED] = "not used", [OWL_FLASH_FULL] = "fired",
                                        [OWL_FLASH_ONE_MISSING] = "one missing", [OWL_FLASH_NONE] = "none"};
    return words[flash];
}

/* Whether its boxes are of anything. */
static bool shows_something(const struct owl_frame_verdict *verdict)
{
    return verdict->class == OWL_JUDGE_SUBJECT || verdict->class == OWL_JUDGE_LOOK;
}

static void remark(struct owl_text *page, const char *words, bool *first)
{
    owl_text_words(page, *first ? "" : ", ");
    owl_text_words(page, words);
    *first = false;
}

static void tell_remarks(const struct owl_frame_verdict *verdict, struct owl_text *page)
{
    bool first = true;
    if (verdict->class == OWL_JUDGE_CANNOT)
        remark(page, verdict->alike > 0 ? "too few frames in this light" : "damaged, or of another shape than the rest", &first);
    if (verdict->flash == OWL_FLASH_ONE_MISSING)
        remark(page, "one flash missing", &first);
    if (verdict->flash == OWL_FLASH_NONE && verdict->class != OWL_JUDGE_FLASH_FAILED)
        remark(page, "no flash", &first);
    if (verdict->over_exposed)
        remark(page, "over-exposed", &first);
    if (verdict->fogged)
        remark(page, "lens fogged", &first);
    if (verdict->out_of_focus)
        remark(page, "not sharp", &first);
    if (verdict->cut_off && shows_something(verdict))
        remark(page, "cut off", &first);
    if (verdict->moved)
        remark(page, "the camera was moved before it", &first);
}

static bool worth_a_line(const struct work *work, const struct owl_frame_verdict *verdict)
{
    return work->asked.all || verdict->class != OWL_JUDGE_EMPTY || verdict->moved || verdict->fogged || verdict->over_exposed ||
           verdict->out_of_focus || verdict->flash == OWL_FLASH_ONE_MISSING;
}

static void tell_frame(const struct work *work, int frame, struct owl_text *page)
{
    const struct owl_frame_verdict *verdict = owl_judge_verdict(work->judge, frame);
    char shown[LINE_BYTES / 2];
    struct owl_text name = owl_text_over(shown, sizeof shown);
    owl_tree_show(&name, owl_frames_name(work->frames, frame));
    owl_text_words(page, "  ");
    owl_text_padded(page, shown, 28);
    owl_text_padded(page, class_words(verdict->class), 14);
    tell_remarks(verdict, page);
    owl_text_char(page, '\n');
}

static void tell_summary(const struct work *work, struct owl_text *page)
{
    int count[OWL_JUDGE_SUBJECT + 1] = {0};
    for (int i = 0; i < work->count; i++)
        count[owl_judge_verdict(work->judge, i)->class]++;
    owl_text_integer(page, work->count);
    owl_text_words(page, work->count == 1 ? " frame" : " frames");
    for (int class = OWL_JUDGE_SUBJECT; class >= OWL_JUDGE_CANNOT; class--) {
        if (count[class] == 0)
            continue;
        owl_text_words(page, class == OWL_JUDGE_SUBJECT ? ": " : ", ");
        owl_text_integer(page, count[class]);
        owl_text_char(page, ' ');
        owl_text_words(page, class_words((enum owl_judge_class)class));
    }
    owl_text_words(page, "\n\n");
}

/* Comma separated (RFC 4180), one line a frame, boxes in pixels of the file. */
static void tell_table_line(const struct work *work, int frame, struct owl_text *page)
{
    const struct owl_frame_verdict *verdict = owl_judge_verdict(work->judge, frame);
    int width = 0, height = 0;
    owl_frames_size(work->frames, frame, &width, &height);
    owl_text_char(page, '"');
    for (const char *c = owl_frames_name(work->frames, frame); *c; c++)
        owl_text_bytes(page, *c == '"' ? "\"\"" : c, *c == '"' ? 2 : 1);
    owl_text_words(page, "\",");
    if (!isnan(owl_frames_taken_s(work->frames, frame)))
        owl_unit_show(OWL_UNIT_MOMENT, owl_frames_taken_s(work->frames, frame), page);
    owl_text_char(page, ',');
    owl_text_words(page, class_words(verdict->class));
    owl_text_char(page, ',');
    owl_text_fixed(page, verdict->score, 0);
    owl_text_char(page, ',');
    owl_text_words(page, flash_words(verdict->flash));
    const struct owl_judge_box *box = &verdict->box[0];
    const double across = (double)width / OWL_FRAMES_WIDTH, down = (double)height / owl_frames_height(work->frames);
    const double side[4] = {box->left * across, box->top * down, box->right * across, box->bottom * down};
    int boxes = shows_something(verdict) ? verdict->boxes : 0;
    for (int i = 0; i < 4; i++) {
        owl_text_char(page, ',');
        if (boxes > 0)
            owl_text_fixed(page, side[i], 0);
    }
    owl_text_char(page, ',');
    owl_text_integer(page, boxes);
    owl_text_words(page, ",\"");
    tell_remarks(verdict, page);
    owl_text_words(page, "\"\r\n");
}

static int tell(const struct work *work)
{
    struct owl_text page = owl_page_begin(((size_t)work->count + LINES_EXTRA) * LINE_BYTES * 4);
    if (!page.buffer)
        return OWL_EXIT_FAILED;
    if (work->asked.table)
        owl_text_words(&page, "file,taken,verdict,score,flash,left,top,right,bottom,boxes,remarks\r\n");
    else
        tell_summary(work, &page);
    for (int i = 0; i < work->count; i++) {
        if (work->asked.table)
            tell_table_line(work, i, &page);
        else if (worth_a_line(work, owl_judge_verdict(work->judge, i)))
            tell_frame(work, i, &page);
    }
    return owl_page_end(&page);
}

int owl_command_judge(int count, char **words)
{
    struct work work = {0};
    struct owl_error error = {{0}};
    int exit_status = read_asked(count, words, &work.asked);
    if (exit_status != OWL_EXIT_WELL)
        return exit_status;
    enum owl_status status = owl_frames_open(work.asked.folder, &work.frames, &error);
    if (status == OWL_NO_MEMORY)
        return owl_complain_memory();
    if (status != OWL_OK) {
        fprintf(stderr, "owllight: %s\n", error.words);
        return OWL_EXIT_WRONG;
    }
    exit_status = judge_all(&work);
    if (exit_status == OWL_EXIT_WELL)
        exit_status = tell(&work);
    if (work.kept)
        fclose(work.kept);
    free(work.known);
    owl_judge_free(work.judge);
    owl_frames_close(work.frames);
    free(work.level);
    return exit_status;
}
