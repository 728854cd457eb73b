/* The second pass: a window slides over frames of one light, makes their background and holds each frame against it. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "card/judge/judging.h"

#define HOP (OWL_JUDGE_WINDOW / 2)
#define STILL_PX 0.12         /* a pose smaller than this is no pose: moving a picture costs sharpness */
#define STUDY_PIXELS (768.0 * 576.0) /* size the scores are told for */
#define BORDER_PX 2

struct judge_window {
    int width, height, blocks;
    void *planes;                             /* holds all that follows */
    uint8_t *taken;                           /* a frame as it came */
    uint8_t *aligned[OWL_JUDGE_WINDOW];       /* moved to where the camera usually stands, */
    uint8_t *even[OWL_JUDGE_WINDOW];          /* and brought to one light */
    int16_t *change[OWL_JUDGE_WINDOW];
    float *activity[OWL_JUDGE_WINDOW];
    struct owl_pose pose[OWL_JUDGE_WINDOW];
    struct owl_gain gain[OWL_JUDGE_WINDOW];
    uint8_t *first;                           /* whose light that is */
    uint8_t *barred;
    float *usual, *calmed, *work;
    struct owl_background background;
    struct owl_blob_room room;
};

/* ---- room ---- */

struct block {
    char *base; /* NULL: only counting */
    size_t used;
};

static void *carve(struct block *block, size_t bytes)
{
    void *room = block->base ? block->base + block->used : NULL;
    block->used += (bytes + 15) / 16 * 16;
    return room;
}

/* Deals the window's planes out of one block. */
static void deal(struct judge_window *window, struct block *block)
{
    size_t pixels = (size_t)window->width * (size_t)window->height, floats = pixels * sizeof(float);
    for (int i = 0; i < OWL_JUDGE_WINDOW; i++) {
        window->aligned[i] = carve(block, pixels);
        window->even[i] = carve(block, pixels);
        window->change[i] = carve(block, pixels * sizeof(int16_t));
        window->activity[i] = carve(block, (size_t)window->blocks * sizeof(float));
    }
    window->taken = carve(block, pixels);
    window->first = carve(block, pixels);
    window->barred = carve(block, pixels);
    window->usual = carve(block, (size_t)window->blocks * sizeof(float));
    window->calmed = carve(block, floats);
    window->work = carve(block, 4 * floats);
    window->background = (struct owl_background){.width = window->width, .height = window->height};
    window->background.level = carve(block, pixels);
    window->background.least = carve(block, pixels);
    window->background.most = carve(block, pixels);
    window->background.certainty = carve(block, floats);
    window->room.mask = carve(block, pixels);
    window->room.spare = carve(block, pixels);
    window->room.depth = carve(block, pixels);
    window->room.thick = carve(block, pixels);
    window->room.label = carve(block, pixels * sizeof(int32_t));
    window->room.queue = carve(block, pixels * sizeof(int32_t));
}

struct judge_window *owl_judge_window_new(const struct owl_judge *judge)
{
    struct judge_window *window = calloc(1, sizeof *window);
    if (!window)
        return NULL;
    window->width = judge->setup.width;
    window->height = judge->setup.height;
    window->blocks = owl_change_blocks(window->width) * owl_change_blocks(window->height);
    struct block block = {NULL, 0};
    deal(window, &block);
    window->planes = malloc(block.used);
    if (!window->planes) {
        free(window);
        return NULL;
    }
    deal(window, &(struct block){window->planes, 0});
    return window;
}

void owl_judge_window_free(struct judge_window *window)
{
    if (window)
        free(window->planes);
    free(window);
}

/* ---- taking frames in ---- */

/* The frame as the camera would have seen it from where it usually stands. */
static enum owl_status take(const struct owl_judge *judge, struct judge_window *window, const struct judge_run *run, int number,
                            uint8_t *aligned, struct owl_pose *pose)
{
    static const struct owl_pose still = {0.0, 0.0, 0.0};
    const struct judge_note *note = &judge->note[run->frame[number]];
    enum owl_status status = run->source->fetch(run->source->context, run->frame[number], window->taken);
    if (status != OWL_OK)
        return status;
    struct owl_pose back = owl_pose_back(&run->stand);
    *pose = note->verdict.aligned ? owl_pose_chain(&back, &note->to_leader) : still;
    if (owl_pose_apart_px(pose, &still, window->width, window->height) < STILL_PX)
        *pose = still;
    struct owl_luma taken = {window->width, window->height, window->taken};
    if (owl_pose_apart_px(pose, &still, window->width, window->height) > 0.0)
        owl_pose_undo(&taken, pose, aligned);
    else
        memcpy(aligned, window->taken, owl_luma_pixels(&taken));
    return OWL_OK;
}

static void drop(struct judge_run *run, int number)
{
    memmove(&run->frame[number], &run->frame[number + 1], (size_t)(run->frames - number - 1) * sizeof *run->frame);
    run->frames--;
}

static void brighten(struct judge_window *window, int slot)
{
    struct owl_luma base = {window->width, window->height, window->first};
    struct owl_luma luma = {window->width, window->height, window->aligned[slot]};
    struct owl_gain gain = owl_gain_between(&base, &luma, NULL, window->work);
    owl_gain_undo(&gain, &luma, window->work);
    for (size_t i = 0; i < owl_luma_pixels(&luma); i++) {
        float level = window->work[i] + 0.5f;
        window->even[slot][i] = level < 0.0f ? 0 : level > 255.0f ? 255 : (uint8_t)level;
    }
}

/* Frames up to number `end` of the run into their slots; those that cannot be fetched leave the run. */
static void load(const struct owl_judge *judge, struct judge_window *window, struct judge_run *run, int *loaded, int end)
{
    while (*loaded < end && *loaded < run->frames) {
        int slot = *loaded % OWL_JUDGE_WINDOW;
        if (take(judge, window, run, *loaded, window->aligned[slot], &window->pose[slot]) != OWL_OK) {
            drop(run, *loaded);
            continue;
        }
        brighten(window, slot);
        ++*loaded;
    }
}

/* The frame of middling brightness among the first ones gives the light the others are brought to. */
static void choose_light(const struct owl_judge *judge, struct judge_window *window, struct judge_run *run)
{
    while (run->frames > 0) {
        int count = run->frames < OWL_JUDGE_WINDOW ? run->frames : OWL_JUDGE_WINDOW, choice = 0;
        float mean[OWL_JUDGE_WINDOW];
        for (int i = 0; i < count; i++)
            mean[i] = (float)judge->note[run->frame[i]].verdict.look.mean;
        float middle = owl_luma_ranked(mean, count, count / 2);
        while (choice < count - 1 && (float)judge->note[run->frame[choice]].verdict.look.mean < middle)
            choice++;
        for (int i = 0; i < count; i++)
            if ((float)judge->note[run->frame[i]].verdict.look.mean == middle)
                choice = i;
        struct owl_pose pose;
        if (take(judge, window, run, choice, window->first, &pose) == OWL_OK)
            return;
        drop(run, choice);
    }
}

/* ---- one frame against the background ---- */

/* Bars what is to be ignored (told in pixels of the frame as taken) and what the camera did not see. */
static void bar(const struct owl_judge *judge, struct judge_window *window, const struct owl_pose *pose)
{
    static const struct owl_pose still = {0.0, 0.0, 0.0};
    int width = window->width, height = window->height;
    if (owl_pose_apart_px(pose, &still, width, height) <= 0.0) {
        memcpy(window->barred, judge->ignored, (size_t)width * (size_t)height);
        return;
    }
    for (int y = 0; y < height; y++) {
        struct owl_point_px at = owl_pose_apply(pose, width, height, 0.0, y);
        double c = cos(pose->turn_rad), s = sin(pose->turn_rad);
        for (int x = 0; x < width; x++) {
            int u = (int)floor(at.x + c * x + 0.5), v = (int)floor(at.y + s * x + 0.5);
            bool outside = u < 0 || v < 0 || u >= width || v >= height;
            window->barred[(size_t)y * (size_t)width + (size_t)x] =
                outside || judge->ignored[(size_t)v * (size_t)width + (size_t)u];
        }
    }
}

static void measure_change(const struct owl_judge *judge, struct judge_window *window, int slot)
{
    struct owl_luma base = {window->width, window->height, window->background.level};
    struct owl_luma luma = {window->width, window->height, window->aligned[slot]};
    bar(judge, window, &window->pose[slot]);
    window->gain[slot] = owl_gain_between(&base, &luma, window->barred, window->work);
    owl_change_of(&window->background, &window->gain[slot], &luma, window->barred, window->work, window->change[slot]);
    owl_change_activity(window->change[slot], window->width, window->height, window->activity[slot]);
}

static int clamped(double value, int most)
{
    return value < 0.0 ? 0 : value > most ? most : (int)value;
}

/* The box of a blob in the frame as taken: around its four corners there. */
static struct owl_judge_box raw_box(const struct judge_window *window, const struct owl_pose *pose, const struct owl_blob *blob)
{
    double left = INFINITY, top = INFINITY, right = -INFINITY, bottom = -INFINITY;
    for (int i = 0; i < 4; i++) {
        struct owl_point_px at = owl_pose_apply(pose, window->width, window->height, (i % 2 ? blob->right : blob->left) - 0.5,
                                                (i / 2 ? blob->bottom : blob->top) - 0.5);
        left = fmin(left, at.x + 0.5);
        right = fmax(right, at.x + 0.5);
        top = fmin(top, at.y + 0.5);
        bottom = fmax(bottom, at.y + 0.5);
    }
    return (struct owl_judge_box){clamped(floor(left + 0.5), window->width - 1), clamped(floor(top + 0.5), window->height - 1),
                                  clamped(floor(right + 0.5), window->width), clamped(floor(bottom + 0.5), window->height),
                                  blob->weight * STUDY_PIXELS / ((double)window->width * window->height)};
}

/* Exposure and sharpness inside a blob's box. Sharpness is curvature over slope: both grow with contrast, only the first with
   focus. */
static void look_inside(const struct judge_window *window, int slot, const struct owl_blob *blob, struct owl_frame_verdict *verdict)
{
    long long sum = 0, clipped = 0, dark = 0, slope = 0, curve = 0;
    int width = window->width, count = 0;
    for (int y = blob->top; y < blob->bottom; y++)
        for (int x = blob->left; x < blob->right; x++) {
            const uint8_t *here = window->aligned[slot] + (size_t)y * (size_t)width + (size_t)x;
            sum += here[0];
            clipped += here[0] >= OWL_LUMA_CLIPPED;
            dark += here[0] <= OWL_LUMA_DARK;
            count++;
            if (x == 0 || y == 0 || x == width - 1 || y == window->height - 1)
                continue;
            slope += abs(here[1] - here[-1]) + abs(here[width] - here[-width]);
            curve += abs(4 * here[0] - here[1] - here[-1] - here[width] - here[-width]);
        }
    verdict->mean = (double)sum / count;
    verdict->clipped = (double)clipped / count;
    verdict->dark = (double)dark / count;
    verdict->sharpness = slope > 0 ? (double)curve / (double)slope : 0.0;
}

static bool at_border(const struct judge_window *window, const struct owl_judge_box *box)
{
    return box->left <= BORDER_PX || box->top <= BORDER_PX || box->right >= window->width - BORDER_PX ||
           box->bottom >= window->height - BORDER_PX;
}

static enum owl_judge_class class_of(const struct owl_judge *judge, double score)
{
    double subject = judge->setup.subject_score;
    return score >= subject ? OWL_JUDGE_SUBJECT : score < OWL_JUDGE_EMPTY_SHARE * subject ? OWL_JUDGE_EMPTY : OWL_JUDGE_LOOK;
}

static void pass_verdict(const struct owl_judge *judge, struct judge_window *window, int slot, struct owl_frame_verdict *verdict)
{
    struct owl_blob blob[OWL_BLOBS_MOST];
    struct owl_luma luma = {window->width, window->height, window->aligned[slot]};
    struct owl_luma base = {window->width, window->height, window->background.level};
    struct owl_change_calm calm = owl_change_calm(window->activity[slot], window->usual, window->blocks);
    owl_change_calmed(window->change[slot], window->usual, &calm, window->width, window->height, window->calmed);
    int blobs = owl_blobs_find(window->calmed, &luma, &base, &window->room, blob);
    blobs = owl_blobs_join(blob, blobs, window->width);
    verdict->calm = calm.calm;
    verdict->wind = calm.wind;
    verdict->gain = owl_gain_mean(&window->gain[slot]);
    verdict->offset = window->gain[slot].offset;
    verdict->boxes = blobs < OWL_JUDGE_BOXES ? blobs : OWL_JUDGE_BOXES;
    for (int i = 0; i < verdict->boxes; i++)
        verdict->box[i] = raw_box(window, &window->pose[slot], &blob[i]);
    verdict->thin = blobs > 0 ? blob[0].thin : 1.0;
    verdict->shadow = blobs > 0 ? blob[0].shadow : 1.0;
    if (blobs > 0) {
        verdict->score = verdict->box[0].score;
        verdict->cut_off = at_border(window, &verdict->box[0]);
        look_inside(window, slot, &blob[0], verdict);
    }
    verdict->class = class_of(judge, verdict->score);
}

/* ---- the run ---- */

/* Frames first..end - 1 make the background; from..to - 1 are judged by it. */
static void judge_window(struct owl_judge *judge, struct judge_window *window, const struct judge_run *run, const int span[4])
{
    int first = span[0], end = span[1], from = span[2], to = span[3], count = end - first;
    const uint8_t *even[OWL_JUDGE_WINDOW] = {NULL};
    const float *activity[OWL_JUDGE_WINDOW] = {NULL};
    for (int i = 0; i < count; i++)
        even[i] = window->even[(first + i) % OWL_JUDGE_WINDOW];
    owl_background_make(even, count, window->work, &window->background);
    for (int i = 0; i < count; i++) {
        int slot = (first + i) % OWL_JUDGE_WINDOW;
        measure_change(judge, window, slot);
        activity[i] = window->activity[slot];
    }
    owl_change_usual(activity, count, window->blocks, window->usual);
    for (int i = from; i < to; i++) {
        struct owl_frame_verdict *verdict = &judge->note[run->frame[i]].verdict;
        verdict->alike = run->frames;
        pass_verdict(judge, window, i % OWL_JUDGE_WINDOW, verdict);
    }
}

void owl_judge_window_run(struct owl_judge *judge, struct judge_window *window, struct judge_run *run)
{
    int loaded = 0, judged = 0;
    for (int i = 0; i < run->frames; i++)
        judge->note[run->frame[i]].verdict.alike = run->frames;
    if (run->frames < OWL_JUDGE_LEAST_FRAMES)
        return;
    choose_light(judge, window, run);
    for (int start = 0; judged < run->frames; start += HOP) {
        load(judge, window, run, &loaded, start + OWL_JUDGE_WINDOW);
        bool last = start + OWL_JUDGE_WINDOW >= run->frames;
        int end = last ? run->frames : start + OWL_JUDGE_WINDOW;
        int first = end > OWL_JUDGE_WINDOW ? end - OWL_JUDGE_WINDOW : 0;
        if (run->frames < OWL_JUDGE_LEAST_FRAMES)
            return;
        int to = last ? end : start + OWL_JUDGE_WINDOW / 2 + HOP / 2;
        judge_window(judge, window, run, (const int[4]){first, end, judged, to});
        judged = to;
    }
}
