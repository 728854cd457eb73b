/* The judge, each stage against what is known of made pictures or worked out otherwise, then as a whole. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "card/judge/background.h"
#include "card/judge/blobs.h"
#include "card/judge/change.h"
#include "card/judge/judge.h"
#include "card/judge/photometry.h"
#include "card/made_footage.h"
#include "core/model/rng.h"
#include "support/check.h"

#define WIDE 384
#define HIGH 256
#define PIXELS (WIDE * HIGH)
#define FRAMES_MOST 200
#define NEEDED(expression) assert_true((expression) == OWL_OK)

static struct made_footage calm_day(uint64_t seed, int frames)
{
    return (struct made_footage){.seed = seed, .width = WIDE, .height = HIGH, .frames = frames, .noise = 2.0, .knock_at = -1,
                                 .least_share = 0.003, .most_share = 0.02};
}

static struct owl_luma picture(const uint8_t *level)
{
    return (struct owl_luma){WIDE, HIGH, level};
}

/* ---- lighting ---- */

/* identity: the same scene brighter by a third is alike, upside down it is not, three times as bright it is not. */
static void test_lighting_groups(void **state)
{
    (void)state;
    static uint8_t level[PIXELS], other[PIXELS];
    struct made_footage day = calm_day(3, 1);
    struct owl_lighting_groups groups = {0};
    struct owl_lighting lighting;
    int group;
    made_footage_frame(&day, 0, level);
    for (int kind = 0; kind < 4; kind++) {
        static const int expected[4] = {0, 0, 1, 2};
        for (int i = 0; i < PIXELS; i++)
            other[i] = (uint8_t)(level[kind == 2 ? PIXELS - 1 - i : i] * (kind == 1 ? 3 : 4) / (kind == 3 ? 12 : 4));
        struct owl_luma luma = picture(other);
        owl_lighting_of(&luma, &lighting);
        NEEDED(owl_lighting_join(&groups, &lighting, &group));
        assert_int_equal(group, expected[kind]);
    }
    owl_lighting_clear(&groups);
}

/* identity: an animal over a tenth of the frame does not make another light. */
static void test_lighting_forgives_an_animal(void **state)
{
    (void)state;
    static uint8_t level[PIXELS];
    struct made_footage day = calm_day(4, 1);
    struct owl_lighting plain, visited;
    struct owl_luma luma = picture(level);
    made_footage_frame(&day, 0, level);
    owl_lighting_of(&luma, &plain);
    for (int y = 90; y < 190; y++)
        memset(level + y * WIDE + 100, 20, 100);
    owl_lighting_of(&luma, &visited);
    assert_true(owl_lighting_likeness(&plain, &visited) > 0.85);
}

/* ---- registration ---- */

static void check_pose(double right_px, double down_px, double turn_rad)
{
    static uint8_t still[PIXELS], moved[PIXELS], half[PIXELS / 4];
    static float work[4 * PIXELS];
    static struct owl_landmarks landmarks;
    struct made_footage first = calm_day(11, 2), second = first;
    struct owl_luma before = picture(still), after = picture(moved);
    struct owl_pose pose;
    second.knock_at = 0;
    second.knock_right_px = right_px;
    second.knock_down_px = down_px;
    second.knock_turn_rad = turn_rad;
    made_footage_frame(&first, 0, still);
    made_footage_frame(&second, 1, moved);
    owl_landmarks_find(&before, work, &landmarks);
    assert_true(landmarks.count > OWL_PATCHES / 2);
    assert_true(owl_landmarks_pose(&landmarks, &after, NULL, half, &pose));
    check_near("right", pose.right_px, right_px, 0.1);
    check_near("down", pose.down_px, down_px, 0.1);
    check_near("turn", pose.turn_rad, turn_rad, 0.1 / 230.0);
}

/* identity: shifts and turns put in come out, between pixels, to the search's ends and none at all. */
static void test_registration_recovers(void **state)
{
    (void)state;
    check_pose(0.0, 0.0, 0.0);
    check_pose(0.3, -0.7, 0.0);
    check_pose(4.5, -3.0, 0.007);
    check_pose(-9.25, 6.5, -0.004);
    check_pose(17.0, 15.0, 0.0);
}

/* identity: there and back is nowhere; a chain is one after the other. */
static void test_registration_poses(void **state)
{
    (void)state;
    struct owl_pose a = {3.0, -2.0, 0.05}, b = {-1.0, 4.0, -0.02}, back = owl_pose_back(&a);
    struct owl_pose both = owl_pose_chain(&a, &b), none = owl_pose_chain(&a, &back), still = {0.0, 0.0, 0.0};
    struct owl_point_px one = owl_pose_apply(&a, WIDE, HIGH, 31.0, 77.0), two = owl_pose_apply(&b, WIDE, HIGH, one.x, one.y);
    struct owl_point_px at_once = owl_pose_apply(&both, WIDE, HIGH, 31.0, 77.0);
    check_near("none", owl_pose_apart_px(&none, &still, WIDE, HIGH), 0.0, 1e-9);
    check_near("x", at_once.x, two.x, 1e-9);
    check_near("y", at_once.y, two.y, 1e-9);
}

/* fault: a flat picture has no landmarks and no pose. */
static void test_registration_of_nothing(void **state)
{
    (void)state;
    static uint8_t level[PIXELS], half[PIXELS / 4];
    static float work[4 * PIXELS];
    static struct owl_landmarks landmarks;
    struct owl_luma luma = picture(level);
    struct owl_pose pose = {7.0, 7.0, 7.0};
    memset(level, 90, PIXELS);
    owl_landmarks_find(&luma, work, &landmarks);
    assert_int_equal(landmarks.count, 0);
    assert_false(owl_landmarks_pose(&landmarks, &luma, NULL, half, &pose));
    check_near("untouched", pose.right_px, 7.0, 0.0);
}

/* ---- photometry ---- */

/* identity: a gain that slopes and an offset put over a picture come out, also under an animal over a tenth of it. */
static void test_photometry_recovers(void **state)
{
    (void)state;
    static uint8_t base[PIXELS], level[PIXELS];
    static float even[PIXELS], work[PIXELS];
    struct made_footage day = calm_day(21, 1);
    struct owl_luma before = picture(base), after = picture(level);
    day.noise = 0.0;
    made_footage_frame(&day, 0, base);
    for (int animal = 0; animal < 2; animal++) {
        for (int i = 0; i < PIXELS; i++) {
            double u = 2.0 * (i % WIDE) / (WIDE - 1) - 1.0, value = base[i] * (0.8 + 0.1 * u) + 6.0;
            level[i] = (uint8_t)(value + 0.5);
        }
        for (int y = 100; animal && y < 200; y++)
            memset(level + y * WIDE + 150, 30, 100);
        struct owl_gain gain = owl_gain_between(&before, &after, NULL, work);
        for (int x = 20; x < WIDE; x += 86) {
            double u = 2.0 * x / (WIDE - 1) - 1.0;
            check_near("gain", owl_gain_at(&gain, WIDE, HIGH, x, 128.0), 0.8 + 0.1 * u, 0.01);
        }
        check_near("mean", owl_gain_mean(&gain), 0.8, 0.01);
        check_near("offset", gain.offset, 6.0, 1.0);
        owl_gain_undo(&gain, &after, even);
        check_near("undone", (double)even[30 * WIDE + 40], base[30 * WIDE + 40], 1.5);
    }
}

/* ---- background ---- */

static int by_size(const void *a, const void *b)
{
    return *(const uint8_t *)a - *(const uint8_t *)b;
}

/* identity: medians of levels and of distances, against a plain sort, for odd, even, one and the most frames. */
static void test_background_against_sort(void **state)
{
    (void)state;
    enum { PLACES = 1000 };
    static uint8_t level[64][PLACES], middle[PLACES], spread[PLACES];
    const uint8_t *frame[64];
    struct owl_rng rng = owl_rng_start(31, 0);
    for (int f = 0; f < 64; f++) {
        frame[f] = level[f];
        for (int i = 0; i < PLACES; i++)
            level[f][i] = (uint8_t)(i % 3 ? owl_rng_bits(&rng) & 255 : 200 + (owl_rng_bits(&rng) & 3));
    }
    static const int counts[] = {1, 2, 6, 7, 63, 64};
    for (size_t k = 0; k < sizeof counts / sizeof *counts; k++) {
        int count = counts[k];
        owl_background_ranked(frame, count, PLACES, count / 2, middle);
        owl_background_spread(frame, count, PLACES, middle, spread);
        for (int i = 0; i < PLACES; i++) {
            uint8_t sorted[64];
            for (int f = 0; f < count; f++)
                sorted[f] = level[f][i];
            qsort(sorted, (size_t)count, 1, by_size);
            assert_int_equal(middle[i], sorted[count / 2]);
            for (int f = 0; f < count; f++)
                sorted[f] = (uint8_t)abs(level[f][i] - middle[i]);
            qsort(sorted, (size_t)count, 1, by_size);
            assert_int_equal(spread[i], sorted[count / 2]);
        }
    }
}

/* ---- blobs ---- */

/* The smallest number reachable from a pixel, by spreading numbers until nothing changes. */
static void label_slowly(const uint8_t *mask, int width, int height, int32_t *label)
{
    for (int i = 0; i < width * height; i++)
        label[i] = mask[i] ? i + 1 : 0;
    for (bool changed = true; changed;) {
        changed = false;
        for (int y = 0; y < height; y++)
            for (int x = 0; x < width; x++)
                for (int n = 0; n < 9; n++) {
                    int u = x + n % 3 - 1, v = y + n / 3 - 1;
                    if (u < 0 || v < 0 || u >= width || v >= height || !mask[y * width + x] || !mask[v * width + u])
                        continue;
                    if (label[v * width + u] < label[y * width + x]) {
                        label[y * width + x] = label[v * width + u];
                        changed = true;
                    }
                }
    }
}

/* identity: the same patches as a slow way finds, on random masks of three densities. */
static void test_blobs_against_slow_labelling(void **state)
{
    (void)state;
    enum { W = 48, H = 40 };
    static uint8_t mask[W * H];
    static int32_t fast[W * H], slow[W * H], queue[W * H], first[W * H + 1];
    struct owl_rng rng = owl_rng_start(41, 0);
    for (int density = 1; density <= 3; density++) {
        int patches = 0;
        for (int i = 0; i < W * H; i++)
            mask[i] = owl_rng_chance(&rng, 0.15 * density);
        int found = owl_blobs_label(mask, W, H, queue, fast);
        label_slowly(mask, W, H, slow);
        memset(first, 0, sizeof first);
        for (int i = 0; i < W * H; i++) {
            assert_int_equal(fast[i] > 0, slow[i] > 0);
            patches += slow[i] == i + 1;
            if (fast[i] > 0 && first[fast[i]] == 0)
                first[fast[i]] = slow[i];
            if (fast[i] > 0)
                assert_int_equal(first[fast[i]], slow[i]);
        }
        assert_int_equal(found, patches);
    }
}

/* identity: a square and a far one give two boxes where they are; a blade weighs a fraction of its change; what is near is
   joined. */
static void test_blobs_boxes(void **state)
{
    (void)state;
    static float change[PIXELS];
    static uint8_t flat[PIXELS], mask[PIXELS], spare[PIXELS], depth[PIXELS], thick[PIXELS];
    static int32_t label[PIXELS], queue[PIXELS];
    struct owl_blob_room room = {mask, spare, depth, thick, label, queue};
    struct owl_blob blob[OWL_BLOBS_MOST];
    struct owl_luma luma = picture(flat);
    for (int y = 0; y < 30; y++)
        for (int x = 0; x < 30; x++) {
            change[(y + 40) * WIDE + x + 50] = 8.0f;
            if (x < 20 && y < 20)
                change[(y + 140) * WIDE + x + 300] = -8.0f;
            if (x < 12 && y < 12)
                change[(y + 44) * WIDE + x + 86] = 8.0f;
            if (x < 3)
                change[(2 * y + 180) * WIDE + x + 100] = change[(2 * y + 181) * WIDE + x + 100] = 8.0f;
        }
    int blobs = owl_blobs_find(change, &luma, &luma, &room, blob);
    assert_int_equal(blobs, 4);
    assert_int_equal(blob[0].area, 900);
    assert_int_equal(blob[3].area, 180);
    assert_true(blob[3].thin < 0.3 && blob[0].thin > 0.99);
    blobs = owl_blobs_join(blob, blobs, WIDE);
    assert_int_equal(blobs, 2);
    assert_int_equal(blob[0].left, 50);
    assert_int_equal(blob[0].right, 98);
    assert_int_equal(blob[0].bottom, 70);
    assert_int_equal(blob[1].left, 300);
    assert_true(blob[1].brightness < -7.0);
}

/* ---- faults ---- */

/* identity: a knock among trembling poses is found at its frame; a single jump and a slow drift are none. */
static void test_faults_knock(void **state)
{
    (void)state;
    enum { N = 60 };
    struct owl_pose pose[N];
    int segment[N];
    for (int knock = 5; knock < N - 5; knock++) {
        struct owl_rng rng = owl_rng_start(51, (uint64_t)knock);
        for (int i = 0; i < N; i++) {
            pose[i] = (struct owl_pose){0.4 * owl_rng_normal(&rng) + (i >= knock ? 4.5 : 0.0), 0.4 * owl_rng_normal(&rng), 0.0};
            if (i == knock - 4)
                pose[i].right_px += 20.0;
        }
        owl_knock_segments(pose, N, WIDE, HIGH, segment);
        for (int i = 0; i < N; i++)
            assert_int_equal(segment[i], i >= knock);
    }
    for (int i = 0; i < N; i++)
        pose[i] = (struct owl_pose){0.1 * i, 0.0, 0.0};
    owl_knock_segments(pose, N, WIDE, HIGH, segment);
    assert_int_equal(segment[N - 1], 0);
}

/* identity: fog lifts the blacks and takes detail; being out of focus only takes detail. */
static void test_faults_fog_and_focus(void **state)
{
    (void)state;
    static uint8_t level[PIXELS], spoilt[PIXELS];
    static float plane[PIXELS], work[PIXELS];
    struct made_footage night = calm_day(61, 1);
    struct owl_frame_look look;
    struct owl_lighting lighting;
    struct owl_luma sound = picture(level), bad = picture(spoilt);
    night.night = true;
    made_footage_frame(&night, 0, level);
    owl_lighting_of(&sound, &lighting);
    owl_frame_look_at(&sound, &lighting, &look);
    struct owl_frame_norm norm = {look.clipped, look.detail, look.darkest, look.mean};
    assert_false(owl_frame_fogged(&look, &norm) || owl_frame_out_of_focus(&look, &norm) || owl_frame_over_exposed(&look, &norm));
    for (int i = 0; i < PIXELS; i++)
        spoilt[i] = (uint8_t)(0.6 * level[i] + 60.0);
    owl_lighting_of(&bad, &lighting);
    owl_frame_look_at(&bad, &lighting, &look);
    assert_true(owl_frame_fogged(&look, &norm) && !owl_frame_out_of_focus(&look, &norm));
    for (int i = 0; i < PIXELS; i++)
        plane[i] = level[i];
    owl_luma_box_mean(WIDE, HIGH, 3, plane, work, plane);
    for (int i = 0; i < PIXELS; i++)
        spoilt[i] = (uint8_t)plane[i];
    owl_lighting_of(&bad, &lighting);
    owl_frame_look_at(&bad, &lighting, &look);
    assert_true(owl_frame_out_of_focus(&look, &norm) && !owl_frame_fogged(&look, &norm));
    for (int i = 0; i < PIXELS; i++)
        spoilt[i] = (uint8_t)(level[i] < 100 ? 2 * level[i] : 255);
    owl_lighting_of(&bad, &lighting);
    owl_frame_look_at(&bad, &lighting, &look);
    assert_true(owl_frame_over_exposed(&look, &norm));
}

/* ---- the whole judge ---- */

struct shown {
    uint8_t *level[FRAMES_MOST];
    struct made_scene scene[FRAMES_MOST];
    int frames, asked;
};

static enum owl_status show_again(void *context, int frame, uint8_t *level)
{
    struct shown *shown = context;
    shown->asked++;
    if (!shown->level[frame])
        return OWL_CANNOT_READ;
    memcpy(level, shown->level[frame], PIXELS);
    return OWL_OK;
}

static void film(const struct made_footage *footage, struct shown *shown)
{
    *shown = (struct shown){.frames = footage->frames};
    for (int i = 0; i < footage->frames; i++) {
        shown->level[i] = malloc(PIXELS);
        assert_non_null(shown->level[i]);
        shown->scene[i] = made_footage_frame(footage, i, shown->level[i]);
    }
}

static struct owl_judge *judge_film(const struct owl_judge_setup *setup, struct shown *shown)
{
    struct owl_judge *judge = owl_judge_new(setup);
    assert_non_null(judge);
    for (int i = 0; i < shown->frames; i++) {
        struct owl_luma luma = picture(shown->level[i]);
        NEEDED(owl_judge_add(judge, shown->level[i] ? &luma : NULL, setup->flashes > 0));
    }
    NEEDED(owl_judge_finish(judge, &(struct owl_judge_source){show_again, shown}));
    return judge;
}

static void forget(struct owl_judge *judge, struct shown *shown)
{
    owl_judge_free(judge);
    for (int i = 0; i < shown->frames; i++)
        free(shown->level[i]);
}

static int by_score(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return x < y ? -1 : x > y;
}

/* Share of empties below the score that keeps 99 of 100 subjects. Frames with a flash fault aside. */
static double removed_share(const struct owl_judge *judge, const struct shown *shown)
{
    double subject[FRAMES_MOST], empty[FRAMES_MOST];
    int subjects = 0, empties = 0, removed = 0;
    for (int i = 0; i < shown->frames; i++) {
        const struct owl_frame_verdict *verdict = owl_judge_verdict(judge, i);
        if (shown->scene[i].one_missing || shown->scene[i].none_fired)
            continue;
        assert_true(verdict->class != OWL_JUDGE_CANNOT);
        if (shown->scene[i].subject)
            subject[subjects++] = verdict->score;
        else
            empty[empties++] = verdict->score;
    }
    assert_true(subjects > 20 && empties > 50);
    qsort(subject, (size_t)subjects, sizeof *subject, by_score);
    for (int i = 0; i < empties; i++)
        removed += empty[i] < subject[subjects / 100];
    print_message("  %d subjects, %d empties, %.3f removed below score %.0f\n", subjects, empties, (double)removed / empties,
                  subject[subjects / 100]);
    return (double)removed / empties;
}

/* Median overlap of the truth with the best box, intersection over union. */
static double usual_overlap(const struct owl_judge *judge, const struct shown *shown)
{
    double overlap[FRAMES_MOST];
    int count = 0;
    for (int i = 0; i < shown->frames; i++) {
        const struct made_scene *scene = &shown->scene[i];
        const struct owl_frame_verdict *verdict = owl_judge_verdict(judge, i);
        if (!scene->subject || verdict->class < OWL_JUDGE_LOOK)
            continue;
        double best = 0.0;
        for (int k = 0; k < verdict->boxes; k++) {
            const struct owl_judge_box *box = &verdict->box[k];
            double across = fmin(box->right, scene->right) - fmax(box->left, scene->left);
            double down = fmin(box->bottom, scene->bottom) - fmax(box->top, scene->top);
            double both = across > 0.0 && down > 0.0 ? across * down : 0.0;
            double all = (double)(box->right - box->left) * (box->bottom - box->top) +
                         (double)(scene->right - scene->left) * (scene->bottom - scene->top) - both;
            best = fmax(best, both / all);
        }
        overlap[count++] = best;
    }
    qsort(overlap, (size_t)count, sizeof *overlap, by_score);
    return overlap[count / 2];
}

/* identity: by day, with drifting exposure and a trembling camera, 92 of 100 empties go where 99 of 100 subjects stay. */
static void test_judge_by_day(void **state)
{
    (void)state;
    struct made_footage day = calm_day(101, 160);
    struct owl_judge_setup setup = {.width = WIDE, .height = HIGH};
    struct shown shown;
    day.gain_spread = 0.3;
    day.jitter_px = 0.6;
    day.blades = 20;
    day.wind = 2.0;
    day.visited = 0.3;
    day.least_share = 0.0015;
    film(&day, &shown);
    struct owl_judge *judge = judge_film(&setup, &shown);
    assert_true(removed_share(judge, &shown) >= 0.92);
    assert_true(usual_overlap(judge, &shown) > 0.6);
    forget(judge, &shown);
}

/* identity: by night with wind in the grass 85 of 100 empties go; 95 of 100 failed flashes are seen, with no false alarm, and
   never called empty; a knock is found within one frame, and only one. */
static void test_judge_by_night(void **state)
{
    (void)state;
    struct made_footage night = calm_day(202, 200);
    struct owl_judge_setup setup = {.width = WIDE, .height = HIGH, .flashes = 2};
    struct shown shown;
    int faults = 0, seen = 0;
    night.night = true;
    night.blades = 60;
    night.wind = 4.0;
    night.visited = 0.3;
    night.gain_spread = 0.05;
    night.fault_every = 8;
    night.knock_at = 131;
    night.knock_right_px = 4.5;
    night.knock_down_px = -3.0;
    night.knock_turn_rad = 0.004;
    film(&night, &shown);
    struct owl_judge *judge = judge_film(&setup, &shown);
    assert_true(removed_share(judge, &shown) >= 0.85);
    for (int i = 0; i < shown.frames; i++) {
        const struct owl_frame_verdict *verdict = owl_judge_verdict(judge, i);
        bool fault = shown.scene[i].one_missing || shown.scene[i].none_fired;
        faults += fault;
        seen += fault && verdict->flash == (shown.scene[i].none_fired ? OWL_FLASH_NONE : OWL_FLASH_ONE_MISSING);
        assert_true(fault ? verdict->class != OWL_JUDGE_EMPTY : verdict->flash == OWL_FLASH_FULL);
        assert_true(!verdict->moved || abs(i - night.knock_at) <= 1);
    }
    assert_int_equal(owl_judge_verdict(judge, shown.frames - 1)->segment, 1);
    print_message("  %d of %d flash faults seen\n", seen, faults);
    assert_true(seen >= 0.95 * faults);
    forget(judge, &shown);
}

/* fault: unreadable frames, at first or second sight, and too few frames are what cannot be judged; the run goes on. */
static void test_judge_cannot(void **state)
{
    (void)state;
    struct made_footage day = calm_day(303, 12);
    struct owl_judge_setup setup = {.width = WIDE, .height = HIGH};
    struct shown shown;
    film(&day, &shown);
    free(shown.level[4]);
    shown.level[4] = NULL;
    struct owl_judge *judge = owl_judge_new(&setup);
    for (int i = 0; i < shown.frames; i++) {
        struct owl_luma luma = picture(shown.level[i]);
        NEEDED(owl_judge_add(judge, i == 4 ? NULL : &luma, false));
    }
    assert_null(owl_judge_verdict(judge, 0));
    free(shown.level[7]);
    shown.level[7] = NULL;
    NEEDED(owl_judge_finish(judge, &(struct owl_judge_source){show_again, &shown}));
    for (int i = 0; i < shown.frames; i++)
        assert_int_equal(owl_judge_verdict(judge, i)->class, i == 4 || i == 7 ? OWL_JUDGE_CANNOT : OWL_JUDGE_EMPTY);
    assert_int_equal(owl_judge_finish(judge, &(struct owl_judge_source){show_again, &shown}), OWL_BAD_USE);
    assert_null(owl_judge_verdict(judge, 12));
    forget(judge, &shown);
    day.frames = OWL_JUDGE_LEAST_FRAMES - 1;
    film(&day, &shown);
    judge = judge_film(&setup, &shown);
    assert_int_equal(owl_judge_verdict(judge, 0)->class, OWL_JUDGE_CANNOT);
    assert_int_equal(owl_judge_verdict(judge, 0)->alike, OWL_JUDGE_LEAST_FRAMES - 1);
    forget(judge, &shown);
    setup.width = 10;
    assert_null(owl_judge_new(&setup));
}

static void paint(uint8_t *level, int left, int top, int right, int bottom)
{
    for (int y = top; y < bottom; y++)
        memset(level + y * WIDE + left, 240, (size_t)(right - left));
}

/* identity: two animals give two boxes, one at the border is cut off, one in an ignored region is none; the numbers in the box
   are those of the pixels painted. */
static void test_judge_boxes_and_regions(void **state)
{
    (void)state;
    struct made_footage day = calm_day(404, 20);
    struct owl_judge_setup setup = {.width = WIDE, .height = HIGH, .ignored = 1, .ignore = {{0.75, 0.75, 1.0, 1.0}}};
    struct shown shown;
    film(&day, &shown);
    paint(shown.level[5], 100, 100, 140, 130);
    paint(shown.level[5], 220, 60, 250, 90);
    paint(shown.level[9], 0, 100, 40, 130);
    paint(shown.level[13], 300, 200, 340, 230);
    struct owl_judge *judge = judge_film(&setup, &shown);
    const struct owl_frame_verdict *two = owl_judge_verdict(judge, 5), *cut = owl_judge_verdict(judge, 9);
    assert_int_equal(two->class, OWL_JUDGE_SUBJECT);
    assert_int_equal(two->boxes, 2);
    check_near("left", two->box[0].left, 100, 1.0);
    check_near("right", two->box[0].right, 140, 1.0);
    check_near("top", two->box[1].top, 60, 1.0);
    assert_false(two->cut_off);
    check_near("mean", two->mean, 240.0, 16.0);
    assert_true(cut->class == OWL_JUDGE_SUBJECT && cut->cut_off);
    assert_int_equal(owl_judge_verdict(judge, 13)->class, OWL_JUDGE_EMPTY);
    assert_int_equal(shown.asked, shown.frames + 1);
    forget(judge, &shown);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_lighting_groups),
        cmocka_unit_test(test_lighting_forgives_an_animal),
        cmocka_unit_test(test_registration_recovers),
        cmocka_unit_test(test_registration_poses),
        cmocka_unit_test(test_registration_of_nothing),
        cmocka_unit_test(test_photometry_recovers),
        cmocka_unit_test(test_background_against_sort),
        cmocka_unit_test(test_blobs_against_slow_labelling),
        cmocka_unit_test(test_blobs_boxes),
        cmocka_unit_test(test_faults_knock),
        cmocka_unit_test(test_faults_fog_and_focus),
        cmocka_unit_test(test_judge_by_day),
        cmocka_unit_test(test_judge_by_night),
        cmocka_unit_test(test_judge_cannot),
        cmocka_unit_test(test_judge_boxes_and_regions),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
