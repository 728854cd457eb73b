/* The first pass over the frames, and what is known when it is through. */
#include "card/judge/judge.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "card/judge/judging.h"

#define FOG_LASTS_FRAMES 3 /* in a row, at the least; our own choice */
#define NORM_LEAST 3 /* frames before a median means anything */

/* ---- the judge ---- */

static bool sound(const struct owl_judge_setup *setup)
{
    return setup->width >= OWL_LUMA_SIDE_LEAST && setup->width <= OWL_LUMA_SIDE_MOST &&
           setup->height >= OWL_LUMA_SIDE_LEAST && setup->height <= OWL_LUMA_SIDE_MOST && setup->ignored >= 0 &&
           setup->ignored <= OWL_JUDGE_IGNORED && setup->subject_score >= 0.0;
}

static int pixel_at(double share, int side)
{
    return (int)lround(fmin(fmax(share, 0.0), 1.0) * side);
}

static void mark_ignored(struct owl_judge *judge)
{
    for (int k = 0; k < judge->setup.ignored; k++) {
        const struct owl_judge_region *region = &judge->setup.ignore[k];
        int width = judge->setup.width, height = judge->setup.height;
        int left = pixel_at(region->left, width), right = pixel_at(region->right, width);
        for (int y = pixel_at(region->top, height); y < pixel_at(region->bottom, height); y++)
            for (int x = left; x < right; x++)
                judge->ignored[(size_t)y * (size_t)width + (size_t)x] = 1;
    }
}

struct owl_judge *owl_judge_new(const struct owl_judge_setup *setup)
{
    struct owl_judge *judge = sound(setup) ? calloc(1, sizeof *judge) : NULL;
    if (!judge)
        return NULL;
    size_t pixels = (size_t)setup->width * (size_t)setup->height;
    judge->setup = *setup;
    if (!(setup->subject_score > 0.0))
        judge->setup.subject_score = OWL_JUDGE_SUBJECT_SCORE;
    judge->half = malloc(pixels / 4 + 1);
    judge->work = malloc(4 * pixels * sizeof *judge->work);
    judge->ignored = calloc(pixels, 1);
    if (!judge->half || !judge->work || !judge->ignored) {
        owl_judge_free(judge);
        return NULL;
    }
    mark_ignored(judge);
    return judge;
}

void owl_judge_free(struct owl_judge *judge)
{
    if (!judge)
        return;
    owl_lighting_clear(&judge->lighting);
    free(judge->group);
    free(judge->note);
    free(judge->half);
    free(judge->work);
    free(judge->ignored);
    free(judge);
}

const struct owl_frame_verdict *owl_judge_verdict(const struct owl_judge *judge, int frame)
{
    return judge->finished && frame >= 0 && frame < judge->frames ? &judge->note[frame].verdict : NULL;
}

double owl_judge_subject_score(const struct owl_judge *judge)
{
    return judge->setup.subject_score;
}

/* ---- the first pass ---- */

static enum owl_status make_room(struct owl_judge *judge)
{
    if (judge->frames == judge->frames_room) {
        int room = judge->frames_room ? 2 * judge->frames_room : 64;
        struct judge_note *note = realloc(judge->note, (size_t)room * sizeof *note);
        if (!note)
            return OWL_NO_MEMORY;
        judge->note = note;
        judge->frames_room = room;
    }
    if (judge->lighting.count == judge->groups_room) {
        int room = judge->groups_room ? 2 * judge->groups_room : 4;
        struct judge_group *group = realloc(judge->group, (size_t)room * sizeof *group);
        if (!group)
            return OWL_NO_MEMORY;
        judge->group = group;
        judge->groups_room = room;
    }
    return OWL_OK;
}

/* A new light: its leader is looked for in the other lights, the latest first, so that poses can be compared across. */
static void found_group(struct owl_judge *judge, const struct owl_luma *luma)
{
    int number = judge->lighting.count - 1;
    struct judge_group *group = &judge->group[number];
    *group = (struct judge_group){.linked = false};
    owl_landmarks_find(luma, judge->work, &group->landmarks);
    for (int i = number - 1; i >= 0 && !group->linked; i--) {
        struct judge_group *other = &judge->group[i];
        struct owl_pose pose;
        if (!other->linked || !owl_landmarks_pose(&other->landmarks, luma, &other->last, judge->half, &pose))
            continue;
        group->to_first = owl_pose_chain(&other->to_first, &pose);
        group->linked = true;
    }
    bool any = false;
    for (int i = 0; i < number; i++)
        any = any || judge->group[i].linked;
    group->linked = group->linked || (!any && group->landmarks.count > 0);
}

static void note_pose(struct owl_judge *judge, const struct owl_luma *luma, struct judge_note *note)
{
    struct judge_group *group = &judge->group[note->verdict.group];
    note->verdict.aligned = owl_landmarks_pose(&group->landmarks, luma, &group->last, judge->half, &note->to_leader);
    if (!note->verdict.aligned)
        return;
    group->last = note->to_leader;
    note->linked = group->linked;
    note->verdict.pose = owl_pose_chain(&group->to_first, &note->to_leader);
}

enum owl_status owl_judge_add(struct owl_judge *judge, const struct owl_luma *luma, bool flash_expected)
{
    if (judge->finished || (luma && (luma->width != judge->setup.width || luma->height != judge->setup.height)))
        return OWL_BAD_USE;
    enum owl_status status = make_room(judge);
    if (status != OWL_OK)
        return status;
    struct judge_note *note = &judge->note[judge->frames];
    *note = (struct judge_note){.readable = luma != NULL, .flash_expected = flash_expected};
    note->verdict.group = -1;
    if (luma) {
        int groups = judge->lighting.count;
        owl_lighting_of(luma, &note->lighting);
        owl_frame_look_at(luma, &note->lighting, &note->verdict.look);
        note->verdict.clipped = note->verdict.look.clipped;
        note->verdict.mean = note->verdict.look.mean;
        status = owl_lighting_join(&judge->lighting, &note->lighting, &note->verdict.group);
        if (status != OWL_OK)
            return status;
        if (judge->lighting.count > groups)
            found_group(judge, luma);
        note_pose(judge, luma, note);
    }
    judge->frames++;
    return OWL_OK;
}

/* ---- flashes ---- */

/* The frames of one kind nearest to number i of the list, in order. */
static int nearest(int count, int i, int *first)
{
    int width = count < OWL_FAULT_NEAR ? count : OWL_FAULT_NEAR;
    *first = i - width / 2;
    if (*first > count - width)
        *first = count - width;
    if (*first < 0)
        *first = 0;
    return width;
}

#define FLASH_CROWD 1.15 /* means within this factor are of flashes that fired alike; estimate */
#define FLASH_CROWD_LEAST 5

/* Among `width` frames of the list, those lit by the flashes alone and as usual; all where they are too few to tell. */
static int usual_company(const struct owl_judge *judge, const int *list, int width, const struct owl_lighting **company)
{
    double mean[OWL_FAULT_NEAR];
    int count = 0;
    for (int i = 0; i < width; i++)
        mean[i] = judge->note[list[i]].verdict.look.mean;
    double usual = owl_flash_usual_mean(mean, width);
    for (int i = 0; i < width; i++)
        if (mean[i] < usual * FLASH_CROWD && usual < mean[i] * FLASH_CROWD)
            company[count++] = &judge->note[list[i]].lighting;
    for (int i = 0; count < FLASH_CROWD_LEAST && i < width; i++)
        company[i] = &judge->note[list[i]].lighting;
    return count < FLASH_CROWD_LEAST ? width : count;
}

/* Every frame whose flashes should have fired is held against its neighbours of that kind. list: room for all frames. */
static void note_flashes(struct owl_judge *judge, int *list)
{
    int count = 0;
    for (int i = 0; i < judge->frames; i++)
        if (judge->note[i].readable && judge->note[i].flash_expected)
            list[count++] = i;
    for (int k = 0; k < count; k++) {
        const struct owl_lighting *company[OWL_FAULT_NEAR];
        struct owl_lighting usual;
        struct judge_note *note = &judge->note[list[k]];
        int first, width = nearest(count, k, &first);
        int alike = usual_company(judge, list + first, width, company);
        owl_lighting_usual(company, alike, &usual);
        owl_frame_compare_light(&note->lighting, &usual, &note->verdict.look);
        note->verdict.flash = owl_flash_state_of(&note->verdict.look, judge->setup.flashes);
    }
}

/* ---- what is usual in a group ---- */

static bool usable(const struct judge_note *note)
{
    return note->readable && note->verdict.flash != OWL_FLASH_NONE;
}

static double median(float *value, int count)
{
    return (double)owl_luma_ranked(value, count, count / 2);
}

/* column: room for four times all frames. How many frames the medians are of. */
static int note_norm(struct owl_judge *judge, int group, float *column)
{
    float *clipped = column, *detail = column + judge->frames, *darkest = detail + judge->frames, *mean = darkest + judge->frames;
    int count = 0;
    for (int i = 0; i < judge->frames; i++) {
        const struct owl_frame_verdict *verdict = &judge->note[i].verdict;
        if (verdict->group != group || !usable(&judge->note[i]))
            continue;
        clipped[count] = (float)verdict->look.clipped;
        detail[count] = (float)verdict->look.detail;
        mean[count] = (float)verdict->look.mean;
        darkest[count++] = (float)verdict->look.darkest;
    }
    if (count >= NORM_LEAST)
        judge->group[group].norm = (struct owl_frame_norm){median(clipped, count), median(detail, count), median(darkest, count),
                                                                 median(mean, count)};
    return count;
}

/* Fog sets in and goes slowly; a frame or two that look so are in another light, as when daylight lifts the blacks. */
static void keep_lasting_fog(struct owl_judge *judge)
{
    for (int i = 0; i < judge->frames;) {
        int past = i;
        while (past < judge->frames && judge->note[past].verdict.fogged)
            past++;
        for (int k = i; k < past && past - i < FOG_LASTS_FRAMES; k++)
            judge->note[k].verdict.fogged = false;
        i = past > i ? past : i + 1;
    }
}

static void note_faults(struct owl_judge *judge, float *column)
{
    struct owl_frame_norm common = {0};
    for (int group = 0, most = 0; group < judge->lighting.count; group++) {
        judge->group[group].norm = (struct owl_frame_norm){0};
        int count = note_norm(judge, group, column);
        if (count > most) {
            most = count;
            common = judge->group[group].norm;
        }
        judge->group[group].rare = count < OWL_JUDGE_LEAST_FRAMES;
    }
    for (int i = 0; i < judge->frames; i++) {
        struct owl_frame_verdict *verdict = &judge->note[i].verdict;
        if (!usable(&judge->note[i]))
            continue;
        verdict->norm = judge->group[verdict->group].norm;
        if (judge->group[verdict->group].rare) /* what is burnt out forms a group of its own */
            verdict->norm.clipped = common.clipped;
        verdict->over_exposed = owl_frame_over_exposed(&verdict->look, &verdict->norm);
        verdict->fogged = owl_frame_fogged(&verdict->look, &verdict->norm);
        verdict->out_of_focus = owl_frame_out_of_focus(&verdict->look, &verdict->norm);
    }
    keep_lasting_fog(judge);
}

/* ---- knocks ---- */

/* Frames without a comparable pose stand where the one before them stood. list, segment, pose: room for all frames. */
static void note_segments(struct owl_judge *judge, int *list, int *segment, struct owl_pose *pose)
{
    int count = 0, now = 0;
    for (int i = 0; i < judge->frames; i++)
        if (judge->note[i].linked) {
            pose[count] = judge->note[i].verdict.pose;
            list[count++] = i;
        }
    owl_knock_segments(pose, count, judge->setup.width, judge->setup.height, segment);
    for (int i = 0, k = 0; i < judge->frames; i++) {
        struct owl_frame_verdict *verdict = &judge->note[i].verdict;
        if (k < count && list[k] == i) {
            verdict->moved = segment[k] > now;
            now = segment[k++];
        }
        verdict->segment = now;
    }
}

/* ---- the second pass ---- */

static struct owl_pose usual_pose(const struct owl_judge *judge, const struct judge_run *run, float *column)
{
    float *right = column, *down = column + run->frames, *turn = down + run->frames;
    int count = 0;
    for (int i = 0; i < run->frames; i++) {
        const struct judge_note *note = &judge->note[run->frame[i]];
        if (!note->verdict.aligned)
            continue;
        right[count] = (float)note->to_leader.right_px;
        down[count] = (float)note->to_leader.down_px;
        turn[count++] = (float)note->to_leader.turn_rad;
    }
    if (count == 0)
        return (struct owl_pose){0.0, 0.0, 0.0};
    return (struct owl_pose){median(right, count), median(down, count), median(turn, count)};
}

/* Each light between two moves of the camera is a run of its own. */
static void judge_runs(struct owl_judge *judge, struct judge_window *window, const struct owl_judge_source *source, int *list,
                       float *column)
{
    int segments = judge->frames > 0 ? judge->note[judge->frames - 1].verdict.segment + 1 : 0;
    for (int segment = 0; segment < segments; segment++)
        for (int group = 0; group < judge->lighting.count; group++) {
            struct judge_run run = {.source = source, .frame = list, .frames = 0};
            for (int i = 0; i < judge->frames; i++) {
                const struct owl_frame_verdict *verdict = &judge->note[i].verdict;
                if (verdict->group == group && verdict->segment == segment && usable(&judge->note[i]))
                    list[run.frames++] = i;
            }
            run.stand = usual_pose(judge, &run, column);
            owl_judge_window_run(judge, window, &run);
        }
}

static void settle(struct owl_judge *judge)
{
    for (int i = 0; i < judge->frames; i++) {
        struct owl_frame_verdict *verdict = &judge->note[i].verdict;
        if (verdict->flash == OWL_FLASH_NONE)
            verdict->class = OWL_JUDGE_FLASH_FAILED;
        else if (verdict->flash == OWL_FLASH_ONE_MISSING && verdict->class == OWL_JUDGE_EMPTY)
            verdict->class = OWL_JUDGE_LOOK;
    }
}

enum owl_status owl_judge_finish(struct owl_judge *judge, const struct owl_judge_source *source)
{
    if (judge->finished)
        return OWL_BAD_USE;
    size_t frames = (size_t)judge->frames + 1;
    int *list = malloc(2 * frames * sizeof *list);
    float *column = malloc(4 * frames * sizeof *column);
    struct owl_pose *pose = malloc(frames * sizeof *pose);
    struct judge_window *window = owl_judge_window_new(judge);
    bool ready = list && column && pose && window;
    if (ready) {
        note_flashes(judge, list);
        note_faults(judge, column);
        note_segments(judge, list, list + frames, pose);
        judge_runs(judge, window, source, list, column);
        settle(judge);
        judge->finished = true;
    }
    owl_judge_window_free(window);
    free(pose);
    free(column);
    free(list);
    return ready ? OWL_OK : OWL_NO_MEMORY;
}
