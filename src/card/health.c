/* Puts the frames in order, counts hours and nights, and lets each part look. */
#include "card/health.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "card/clock.h"
#include "card/health_view.h"
#include "core/constants.h"
#include "core/model/odds.h"

#define HALF_DAY_S (0.5 * OWL_SECONDS_PER_DAY)
#define STEP_LEEWAY_S OWL_SECONDS_PER_DAY /* names may be out of order by less */

struct owl_health_wish owl_health_wish_none(void)
{
    return (struct owl_health_wish){NAN, NAN, NAN};
}

/* ---- findings ---- */

struct owl_health_finding owl_health_new(enum owl_health_kind kind)
{
    return (struct owl_health_finding){.kind = kind, .from_s = NAN, .to_s = NAN, .value = NAN, .low = NAN, .high = NAN,
                                       .second = NAN, .advised = NAN, .p = NAN};
}

static bool goes_before(const struct owl_health_finding *one, const struct owl_health_finding *other)
{
    return one->severity != other->severity ? one->severity > other->severity : one->kind < other->kind;
}

void owl_health_add(struct owl_health_view *view, const struct owl_health_finding *finding)
{
    struct owl_health *health = view->health;
    int place = health->findings;
    while (place > 0 && goes_before(finding, &health->finding[place - 1]))
        place--;
    if (health->findings == OWL_HEALTH_FINDINGS)
        health->left_out++;
    else
        health->findings++;
    for (int i = health->findings - 1; i > place; i--)
        health->finding[i] = health->finding[i - 1];
    if (place < health->findings)
        health->finding[place] = *finding;
}

void owl_health_share(struct owl_health_finding *finding)
{
    struct owl_odds_interval interval = owl_odds_wilson(finding->count, finding->of, OWL_CHANCE_Z_95);
    finding->value = (double)finding->count / finding->of;
    finding->low = interval.low;
    finding->high = interval.high;
}

/* ---- small questions ---- */

double owl_health_taken_s(const struct owl_health_view *view, int frame)
{
    return view->judged->frame[frame].taken_s;
}

double owl_health_night_of(double taken_s)
{
    return floor((taken_s - HALF_DAY_S) / OWL_SECONDS_PER_DAY);
}

bool owl_health_flashed(const struct owl_frame_verdict *verdict)
{
    return verdict->flash != OWL_FLASH_NOT_USED;
}

bool owl_health_missed(const struct owl_frame_verdict *verdict)
{
    return verdict->flash == OWL_FLASH_ONE_MISSING || verdict->flash == OWL_FLASH_NONE;
}

static int rising(const void *one, const void *other)
{
    double a = *(const double *)one, b = *(const double *)other;
    return (a > b) - (a < b);
}

double owl_health_median(double *value, int count)
{
    if (count < 1)
        return NAN;
    qsort(value, (size_t)count, sizeof *value, rising);
    return 0.5 * (value[(count - 1) / 2] + value[count / 2]);
}

/* ---- trends ---- */

/* Where sample i lies: in days, or by the frame's number. */
static double sample_x(const struct owl_health_view *view, int i)
{
    int frame = view->sample[i].frame;
    return view->by_time ? owl_health_taken_s(view, frame) / OWL_SECONDS_PER_DAY : frame;
}

/* One point for view->sample[from..past): its medians. */
static struct owl_chance_point middle_of(struct owl_health_view *view, int from, int past)
{
    struct owl_chance_point point;
    for (int i = from; i < past; i++)
        view->column[i - from] = sample_x(view, i);
    point.x = owl_health_median(view->column, past - from);
    for (int i = from; i < past; i++)
        view->column[i - from] = view->sample[i].value;
    point.y = owl_health_median(view->column, past - from);
    return point;
}

static double sample_night(const struct owl_health_view *view, int i)
{
    return owl_health_night_of(owl_health_taken_s(view, view->sample[i].frame));
}

static int points_of_nights(struct owl_health_view *view, int count)
{
    int points = 0;
    for (int i = 0, past; i < count; i = past) {
        for (past = i + 1; past < count && sample_night(view, past) == sample_night(view, i);)
            past++;
        view->point[points++] = middle_of(view, i, past);
    }
    return points;
}

static int points_of_frames(struct owl_health_view *view, int count)
{
    int points = count < OWL_CHANCE_POINTS ? count : OWL_CHANCE_POINTS;
    for (int i = 0; i < points; i++)
        view->point[i] = middle_of(view, (int)((long long)count * i / points), (int)((long long)count * (i + 1) / points));
    return points;
}

struct owl_health_change owl_health_change_of(struct owl_health_view *view, int count)
{
    struct owl_health_change change = {NAN, NAN, NAN, NAN, NAN, NAN, NAN};
    int points = 0;
    if (count < 1)
        return change;
    if (view->by_time)
        points = points_of_nights(view, count);
    if (points < OWL_HEALTH_TREND_NIGHTS || points > OWL_CHANCE_POINTS)
        points = points_of_frames(view, count);
    struct owl_chance_trend trend = owl_chance_trend_of(view->point, points, view->slopes);
    double span = sample_x(view, count - 1) - sample_x(view, 0);
    change.whole = trend.slope * span;
    change.low = trend.low * span;
    change.high = trend.high * span;
    change.p = trend.p;
    if (view->by_time) {
        change.nights = span;
        change.from_s = owl_health_taken_s(view, view->sample[0].frame);
        change.to_s = owl_health_taken_s(view, view->sample[count - 1].frame);
    }
    return change;
}

bool owl_health_changed(const struct owl_health_change *change, int tests)
{
    return change->p * tests < OWL_HEALTH_ALPHA && change->low * change->high > 0.0;
}

/* ---- frames that can be compared ---- */

static bool fit_to_compare(const struct owl_frame_verdict *verdict, bool flashed)
{
    bool light = !flashed || verdict->flash == OWL_FLASH_FULL;
    return verdict->class == OWL_JUDGE_EMPTY && verdict->group >= 0 && light && !owl_health_missed(verdict)
           && !verdict->fogged && !verdict->over_exposed && verdict->look.mean > 0.0;
}

static int commonest_group(struct owl_health_view *view, bool flashed)
{
    int best = 0, groups = view->judged->count;
    memset(view->tally, 0, ((size_t)groups + 1) * sizeof *view->tally);
    for (int i = 0; i < view->ordered; i++) {
        const struct owl_frame_verdict *verdict = &view->judged->frame[view->order[i]].verdict;
        if (verdict->group <= groups && fit_to_compare(verdict, flashed) && ++view->tally[verdict->group] > view->tally[best])
            best = verdict->group;
    }
    return best;
}

/* The commonest of view->column[0..count); NaN of none. */
static double commonest(struct owl_health_view *view, int count)
{
    double best = NAN;
    qsort(view->column, (size_t)count, sizeof *view->column, rising);
    for (int i = 0, past, most = 0; i < count; i = past) {
        for (past = i + 1; past < count && view->column[past] == view->column[i];)
            past++;
        if (past - i > most) {
            most = past - i;
            best = view->column[i];
        }
    }
    return best;
}

/* Keeps the samples whose setting is the commonest, or not told. */
static int keep_commonest(struct owl_health_view *view, int count, double (*setting)(const struct owl_judged_frame *))
{
    int told = 0, kept = 0;
    for (int i = 0; i < count; i++) {
        double value = setting(&view->judged->frame[view->sample[i].frame]);
        if (!isnan(value))
            view->column[told++] = value;
    }
    double usual = commonest(view, told);
    for (int i = 0; i < count; i++) {
        double value = setting(&view->judged->frame[view->sample[i].frame]);
        if (isnan(value) || value == usual)
            view->sample[kept++] = view->sample[i];
    }
    return kept;
}

static double aperture_of(const struct owl_judged_frame *frame)
{
    return frame->f_number;
}

static double iso_of(const struct owl_judged_frame *frame)
{
    return frame->iso;
}

int owl_health_alike(struct owl_health_view *view, bool flashed)
{
    int group = commonest_group(view, flashed), count = 0;
    for (int i = 0; i < view->ordered; i++) {
        const struct owl_frame_verdict *verdict = &view->judged->frame[view->order[i]].verdict;
        if (verdict->group == group && fit_to_compare(verdict, flashed))
            view->sample[count++].frame = view->order[i];
    }
    count = keep_commonest(view, count, aperture_of);
    return keep_commonest(view, count, iso_of);
}

/* ---- order ---- */

static int by_time(const void *one, const void *other)
{
    const struct owl_health_sample *a = one, *b = other;
    if (a->value != b->value)
        return a->value < b->value ? -1 : 1;
    return (a->frame > b->frame) - (a->frame < b->frame);
}

static bool reliable(const struct owl_health_view *view, double taken_s)
{
    return owl_clock_look(taken_s, view->wish->now_s) != OWL_CLOCK_RESET;
}

/* Where the clock was set back by days, only the longest stretch between is in an order. view->column holds all times. */
static void longest_stretch(const struct owl_health_view *view, int *from, int *past)
{
    int count = view->judged->count;
    *from = *past = 0;
    for (int begin = 0, end, most = 0; begin < count; begin = end) {
        int usable = 0;
        end = owl_clock_step_back(view->column, count, begin + 1, STEP_LEEWAY_S);
        for (int i = begin; i < end; i++)
            usable += !isnan(view->column[i]);
        if (usable > most) {
            most = usable;
            *from = begin;
            *past = end;
        }
    }
}

static void put_in_order(struct owl_health_view *view)
{
    int count = view->judged->count, from, past, timed = 0;
    for (int i = 0; i < count; i++)
        view->column[i] = reliable(view, owl_health_taken_s(view, i)) ? owl_health_taken_s(view, i) : NAN;
    longest_stretch(view, &from, &past);
    for (int i = from; i < past; i++)
        if (!isnan(view->column[i]))
            view->sample[timed++] = (struct owl_health_sample){i, view->column[i]};
    qsort(view->sample, (size_t)timed, sizeof *view->sample, by_time);
    for (int i = 0; i < timed; i++)
        view->timed[i] = view->sample[i].frame;
    view->timed_count = timed;
    view->by_time = timed > 0 && 2 * timed >= count;
    view->ordered = view->by_time ? timed : count;
    for (int i = 0; i < view->ordered; i++)
        view->order[i] = view->by_time ? view->timed[i] : i;
}

/* ---- hours and nights ---- */

static struct owl_health_night *night_of_frame(struct owl_health *health, double taken_s)
{
    double noon_s = owl_health_night_of(taken_s) * OWL_SECONDS_PER_DAY + HALF_DAY_S;
    if (health->nights == 0 || health->night[health->nights - 1].noon_s != noon_s)
        health->night[health->nights++] = (struct owl_health_night){.noon_s = noon_s};
    return &health->night[health->nights - 1];
}

static void count_frames(struct owl_health_view *view)
{
    struct owl_health *health = view->health;
    for (int i = 0; i < view->timed_count; i++) {
        const struct owl_frame_verdict *verdict = &view->judged->frame[view->timed[i]].verdict;
        double taken_s = owl_health_taken_s(view, view->timed[i]), day_s = fmod(taken_s, OWL_SECONDS_PER_DAY);
        struct owl_health_hour *hour = &health->hour[(int)(day_s / OWL_SECONDS_PER_HOUR)];
        struct owl_health_night *night = night_of_frame(health, taken_s);
        bool subject = verdict->class == OWL_JUDGE_SUBJECT, empty = verdict->class == OWL_JUDGE_EMPTY;
        hour->frames++;
        hour->subjects += subject;
        hour->empties += empty;
        night->frames++;
        night->subjects += subject;
        night->empties += empty;
        night->fogged += verdict->fogged;
        night->misfires += owl_health_missed(verdict);
    }
    health->timed = view->timed_count;
    if (view->timed_count > 0) {
        health->first_s = owl_health_taken_s(view, view->timed[0]);
        health->last_s = owl_health_taken_s(view, view->timed[view->timed_count - 1]);
    }
}

/* ---- all of it ---- */

static double scale_of(const struct owl_judged *judged)
{
    int width = 0;
    for (int i = 0; i < judged->count; i++)
        width = judged->frame[i].width > width ? judged->frame[i].width : width;
    return width > 0 && judged->width > 0 ? (double)width / judged->width : 1.0;
}

/* The working area: what needs the widest alignment first. */
struct area {
    double slopes[OWL_CHANCE_SLOPES];
    double rest[];
};

static size_t doubles_for(size_t bytes)
{
    return (bytes + sizeof(double) - 1) / sizeof(double);
}

static void deal(struct owl_health_view *view, struct area *area, size_t frames)
{
    double *at = area->rest;
    view->slopes = area->slopes;
    view->sample = (void *)at;
    at += doubles_for(frames * sizeof *view->sample);
    view->point = (void *)at;
    at += doubles_for(frames * sizeof *view->point);
    view->ranked = (void *)at;
    at += doubles_for(frames * sizeof *view->ranked);
    view->column = at;
    at += frames;
    view->timed = (void *)at;
    view->order = view->timed + frames;
    view->tally = view->order + frames;
}

static size_t bytes_for(size_t frames)
{
    size_t each = sizeof(struct owl_health_sample) + sizeof(struct owl_chance_point) + sizeof(struct owl_chance_ranked)
                  + sizeof(double) + 3 * sizeof(int);
    return sizeof(struct area) + (frames + 1) * each + 4 * sizeof(double);
}

enum owl_status owl_health_examine(const struct owl_judged *judged, const struct owl_health_wish *wish, struct owl_health *health)
{
    size_t frames = (size_t)(judged->count > 0 ? judged->count : 0) + 1;
    struct owl_health_view view = {.judged = judged, .wish = wish, .health = health, .scale = scale_of(judged)};
    memset(health, 0, sizeof *health);
    health->first_s = health->last_s = NAN;
    struct area *area = malloc(bytes_for(frames));
    health->night = malloc(frames * sizeof *health->night);
    if (!area || !health->night) {
        free(area);
        owl_health_clear(health);
        return OWL_NO_MEMORY;
    }
    deal(&view, area, frames);
    put_in_order(&view);
    count_frames(&view);
    owl_health_find_flashes(&view);
    owl_health_find_sight(&view);
    owl_health_find_stand(&view);
    owl_health_find_triggers(&view);
    owl_health_find_clock(&view);
    free(area);
    return OWL_OK;
}

void owl_health_clear(struct owl_health *health)
{
    free(health->night);
    health->night = NULL;
    health->nights = 0;
}
