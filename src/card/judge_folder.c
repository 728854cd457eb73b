/* Each file is decoded once: between the judge's two passes the small pictures wait in a file without a name. */
#include "card/judge_folder.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "card/frames.h"

struct work {
    const struct owl_judge_wish *wish;
    struct owl_frames *frames;
    struct owl_judge *judge;
    uint8_t *level;
    FILE *kept;   /* every frame's luma; NULL: no room for one, and frames are decoded again */
    bool *known;  /* which frames it holds */
    int count, fetched;
    bool stopped;
};

static void tell(struct work *work, const char *doing, int done)
{
    if (work->wish->progress)
        work->wish->progress(work->wish->context, doing, done, work->count);
}

/* Once stopped, it stays so. */
static bool stop(struct work *work)
{
    work->stopped = work->stopped || (work->wish->stopped && work->wish->stopped(work->wish->context));
    return work->stopped;
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
    if (stop(work))
        return OWL_CANNOT_READ;
    tell(work, "judging", ++work->fetched);
    if (work->known[frame] && go_to(work, frame) && fread(level, 1, luma_bytes(work), work->kept) == luma_bytes(work))
        return OWL_OK;
    return owl_frames_luma(work->frames, frame, level);
}

/* A frame that cannot be read keeps its number, and the run goes on. */
static enum owl_status look_at_all(struct work *work)
{
    for (int i = 0; i < work->count; i++) {
        const struct owl_luma luma = {OWL_FRAMES_WIDTH, owl_frames_height(work->frames), work->level};
        if (stop(work))
            return OWL_BAD_USE;
        enum owl_status status = owl_frames_luma(work->frames, i, work->level);
        if (status == OWL_NO_MEMORY)
            return status;
        if (status == OWL_OK)
            keep(work, i);
        status = owl_judge_add(work->judge, status == OWL_OK ? &luma : NULL, work->wish->flashes > 0);
        if (status != OWL_OK)
            return status;
        tell(work, "looking at", i + 1);
    }
    return OWL_OK;
}

static enum owl_status judge_all(struct work *work)
{
    struct owl_judge_setup setup = {.width = OWL_FRAMES_WIDTH, .height = owl_frames_height(work->frames),
                                    .flashes = work->wish->flashes, .subject_score = work->wish->subject_score,
                                    .ignored = work->wish->ignored};
    memcpy(setup.ignore, work->wish->ignore, sizeof setup.ignore);
    work->count = owl_frames_count(work->frames);
    work->judge = owl_judge_new(&setup);
    work->level = malloc(luma_bytes(work));
    work->known = calloc((size_t)work->count + 1, sizeof *work->known);
    if (!work->judge || !work->level || !work->known)
        return OWL_NO_MEMORY;
    work->kept = tmpfile();
    enum owl_status status = look_at_all(work);
    const struct owl_judge_source source = {fetch, work};
    if (status == OWL_OK)
        status = owl_judge_finish(work->judge, &source);
    return status == OWL_OK && work->stopped ? OWL_BAD_USE : status;
}

static enum owl_status hand_over(const struct work *work, struct owl_judged *judged)
{
    struct owl_judged made = {.frame = calloc((size_t)work->count + 1, sizeof *made.frame), .count = work->count,
                              .width = OWL_FRAMES_WIDTH, .height = owl_frames_height(work->frames),
                              .flashes = work->wish->flashes, .subject_score = owl_judge_subject_score(work->judge)};
    bool whole = made.frame != NULL;
    for (int i = 0; whole && i < work->count; i++) {
        made.frame[i] = *owl_frames_at(work->frames, i);
        made.frame[i].name = strdup(made.frame[i].name);
        made.frame[i].verdict = *owl_judge_verdict(work->judge, i);
        whole = made.frame[i].name != NULL;
    }
    if (whole)
        *judged = made;
    else
        owl_judged_clear(&made);
    return whole ? OWL_OK : OWL_NO_MEMORY;
}

static bool sound(const struct owl_judge_wish *wish)
{
    return wish->flashes >= 0 && wish->subject_score >= 0.0 && wish->ignored >= 0 && wish->ignored <= OWL_JUDGE_IGNORED;
}

enum owl_status owl_judge_folder(const struct owl_judge_wish *wish, struct owl_judged *judged, struct owl_error *error)
{
    struct work work = {.wish = wish};
    enum owl_status status = sound(wish) ? owl_frames_open(wish->folder, &work.frames, error) : OWL_BAD_USE;
    if (status == OWL_OK)
        status = judge_all(&work);
    if (status == OWL_OK)
        status = hand_over(&work, judged);
    if (status != OWL_OK && status != OWL_CANNOT_READ)
        snprintf(error->words, sizeof error->words, "%s: %s", wish->folder,
                 work.stopped ? "the judging was stopped" : owl_status_words(status));
    if (work.kept)
        fclose(work.kept);
    free(work.known);
    free(work.level);
    owl_judge_free(work.judge);
    owl_frames_close(work.frames);
    return status;
}

bool owl_judged_still_there(const struct owl_judged *judged, const char *folder)
{
    struct owl_frames *frames = NULL;
    struct owl_error error;
    if (owl_frames_open(folder, &frames, &error) != OWL_OK)
        return false;
    bool same = owl_frames_count(frames) == judged->count;
    for (int i = 0; same && i < judged->count; i++) {
        const struct owl_judged_frame *now = owl_frames_at(frames, i), *then = &judged->frame[i];
        same = strcmp(now->name, then->name) == 0 && now->size_bytes == then->size_bytes && now->changed_s == then->changed_s &&
               now->changed_ns == then->changed_ns;
    }
    owl_frames_close(frames);
    return same;
}
