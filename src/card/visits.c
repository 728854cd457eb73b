/* Order, grouping, booking and nights of a card's frames. */
#include "card/visits.h"

#include <math.h>
#include <stdlib.h>

#include "card/clock.h"
#include "core/constants.h"

#define DIM_MEAN 24.0       /* level of the box's mean; estimate */
#define DIM_DARK_SHARE 0.75 /* of the box; by night much around the animal is black anyway; estimate */
#define SHARPER 1.1         /* ratio of sharpness that makes a step; estimate */
#define EXPOSURE_STEP 0.05  /* share of the box, clipped or dark; estimate */
#define LEEWAY_S 2.0        /* frames of a burst may be written out of order, and whole seconds are coarse; estimate */
#define TIME_MOST_S 1e11    /* beyond it no time: the year 5000 */
#define NOON_S (0.5 * OWL_SECONDS_PER_DAY)
#define UNDATED INT64_MAX   /* sorts after all days */

/* ---- one frame ---- */

static bool shows(enum owl_judge_class class)
{
    return class == OWL_JUDGE_SUBJECT || class == OWL_JUDGE_LOOK;
}

/* The box is held to the same measure as the whole frame. */
static bool box_burnt(const struct owl_frame_verdict *verdict)
{
    struct owl_frame_look box = {.clipped = verdict->clipped, .light = 1.0};
    return owl_frame_over_exposed(&box, &verdict->norm);
}

unsigned owl_visits_failed(const struct owl_frame_verdict *verdict)
{
    if (verdict->class == OWL_JUDGE_FLASH_FAILED)
        return OWL_FAILED(OWL_LEDGER_DIM);
    if (!shows(verdict->class))
        return 0;
    bool flash_short = verdict->flash == OWL_FLASH_ONE_MISSING || verdict->flash == OWL_FLASH_NONE;
    unsigned failed = 0;
    if (verdict->cut_off)
        failed |= OWL_FAILED(OWL_LEDGER_CUT);
    if (verdict->fogged || verdict->out_of_focus)
        failed |= OWL_FAILED(OWL_LEDGER_SOFT);
    if (flash_short || verdict->mean < DIM_MEAN || verdict->dark > DIM_DARK_SHARE)
        failed |= OWL_FAILED(OWL_LEDGER_DIM);
    if (verdict->over_exposed || box_burnt(verdict))
        failed |= OWL_FAILED(OWL_LEDGER_BURNT);
    return failed;
}

static int links(unsigned failed)
{
    int count = 0;
    for (; failed; failed &= failed - 1)
        count++;
    return count;
}

/* What makes a frame better, the weightiest first. Fewest failed links, as the ledger has it. Then sharpness, since nothing mends
   blur; but it is a rough measure, and only a step of a tenth counts. Then exposure in the box, in steps too: blown and black
   parts are lost as well, though fewer. Then how large the animal is, and last how clearly it stands out. */
#define KEYS 5
struct rank {
    double key[KEYS];
};

static struct rank rank_of(const struct owl_frame_verdict *verdict)
{
    const struct owl_judge_box *box = &verdict->box[0];
    double area = verdict->boxes > 0 ? (double)(box->right - box->left) * (box->bottom - box->top) : 0.0;
    double sharp = verdict->sharpness > 0.0 ? floor(log(verdict->sharpness) / log(SHARPER)) : -INFINITY;
    return (struct rank){{-links(owl_visits_failed(verdict)), sharp,
                          -floor((verdict->clipped + verdict->dark) / EXPOSURE_STEP), area, verdict->score}};
}

static bool better(const struct rank *one, const struct rank *other)
{
    for (int i = 0; i < KEYS; i++)
        if (one->key[i] != other->key[i])
            return one->key[i] > other->key[i];
    return false;
}

/* ---- order ---- */

/* What the grouping works on: by place in the order, but for raw times. */
struct work {
    const struct owl_judged *judged;
    struct owl_visits *visits;
    double gap_s;
    double *raw_s;  /* as the camera told, by frame number; NaN: not told */
    double *time_s; /* put right, by place */
    int64_t *day;   /* by place, then sorted */
    struct run *run;
};

/* Frames in the order of their names between two steps back of the clock. */
struct run {
    int begin, past;
    double first_s, last_s; /* earliest and latest; by the camera's clock */
};

static int find_runs(const struct work *work)
{
    int runs = 0, count = work->judged->count;
    for (int begin = 0; begin < count; runs++) {
        int past = begin + owl_clock_step_back(work->raw_s + begin, count - begin, 1, LEEWAY_S);
        struct run run = {begin, past, NAN, NAN};
        for (int i = begin; i < past; i++) {
            run.first_s = fmin(run.first_s, work->raw_s[i]);
            run.last_s = fmax(run.last_s, work->raw_s[i]);
        }
        work->run[runs] = run;
        begin = past;
    }
    return runs;
}

static int earlier_run(const void *one, const void *other)
{
    double a = ((const struct run *)one)->first_s, b = ((const struct run *)other)->first_s;
    return (a > b) - (a < b);
}

static int earlier_name(const void *one, const void *other)
{
    int a = ((const struct run *)one)->begin, b = ((const struct run *)other)->begin;
    return (a > b) - (a < b);
}

/* Puts runs in the order of time where that can be told: file numbers that began anew, or two cards in one folder, give runs that
   do not overlap, all of plausible times. A clock that was lost or set back in the field mostly does not; then names are the
   better witness. Within a run names and times agree already. */
static bool order_runs(const struct work *work, int runs)
{
    bool told = true;
    if (runs == 1)
        return true;
    for (int i = 0; i < runs; i++)
        told = told && owl_clock_look(work->run[i].first_s, NAN) == OWL_CLOCK_PLAUSIBLE;
    qsort(work->run, (size_t)runs, sizeof *work->run, earlier_run);
    for (int i = 1; i < runs; i++)
        told = told && work->run[i].first_s >= work->run[i - 1].last_s;
    if (!told)
        qsort(work->run, (size_t)runs, sizeof *work->run, earlier_name);
    return told;
}

static void put_in_order(const struct work *work)
{
    struct owl_visits *visits = work->visits;
    bool all_told = true;
    for (int i = 0; i < visits->frames; i++) {
        double taken_s = work->judged->frame[i].taken_s;
        work->raw_s[i] = fabs(taken_s) < TIME_MOST_S ? taken_s : NAN;
        all_told = all_told && !isnan(work->raw_s[i]);
    }
    int runs = find_runs(work), place = 0;
    visits->by_clock = order_runs(work, runs) && all_told;
    for (int r = 0; r < runs; r++)
        for (int i = work->run[r].begin; i < work->run[r].past; i++, place++) {
            visits->order[place] = i;
            work->time_s[place] = work->raw_s[i] + work->judged->clock_shift_s;
        }
}

static const struct owl_frame_verdict *at(const struct work *work, int place)
{
    return &work->judged->frame[work->visits->order[place]].verdict;
}

/* ---- grouping ---- */

/* One end of a visit: its outermost place, and the time there or the nearest to it that is known. */
struct edge {
    int place;
    double time_s;
};

/* Seconds from an edge to a place, either way; INFINITY for too far. Where a time is missing only neighbours are near. */
static double way_s(const struct work *work, const struct edge *edge, int place)
{
    double way_s = work->time_s[place] - edge->time_s;
    if (place < edge->place)
        way_s = -way_s;
    if (isnan(way_s))
        return abs(place - edge->place) == 1 ? 0.0 : INFINITY;
    return way_s >= -LEEWAY_S && way_s <= work->gap_s ? fabs(way_s) : INFINITY;
}

static void move_edge(const struct work *work, struct edge *edge, int place)
{
    edge->place = place;
    if (!isnan(work->time_s[place]))
        edge->time_s = work->time_s[place];
}

static void group_shown(const struct work *work)
{
    struct owl_visits *visits = work->visits;
    struct edge edge = {-1, NAN};
    for (int place = 0; place < visits->frames; place++) {
        if (!shows(at(work, place)->class))
            continue;
        if (visits->count == 0 || isinf(way_s(work, &edge, place))) {
            visits->visit[visits->count++] = (struct owl_visit){.first = place};
            edge.time_s = NAN;
        }
        move_edge(work, &edge, place);
        visits->visit[visits->count - 1].past = place + 1;
    }
}

/* The edges of a visit as it stands: the innermost known time is looked for from its end inwards. */
static struct edge edge_of(const struct work *work, const struct owl_visit *visit, bool late)
{
    struct edge edge = {late ? visit->past - 1 : visit->first, NAN};
    int step = late ? -1 : 1;
    for (int place = edge.place; place >= visit->first && place < visit->past && isnan(edge.time_s); place += step)
        if (shows(at(work, place)->class))
            edge.time_s = work->time_s[place];
    return edge;
}

static bool dark(const struct work *work, int place)
{
    return at(work, place)->class == OWL_JUDGE_FLASH_FAILED;
}

/* Gives the dark frames between two visits, or before the first and after the last, to the nearer one in reach; of equals to the
   earlier. The edges' places move along, so that without times a row of dark frames stays together; their times stay with what
   was seen. */
static void share_dark(const struct work *work, struct owl_visit *before, struct owl_visit *after)
{
    int from = before ? before->past : 0, to = after ? after->first : work->visits->frames;
    struct edge early = before ? edge_of(work, before, true) : (struct edge){-1, NAN};
    struct edge late = after ? edge_of(work, after, false) : (struct edge){-1, NAN};
    for (int place = from; before && place < to; place++) {
        double back_s = way_s(work, &early, place);
        if (!dark(work, place) || isinf(back_s) || (after && way_s(work, &late, place) < back_s))
            continue;
        early.place = place;
        before->past = from = place + 1;
    }
    for (int place = to - 1; after && place >= from; place--)
        if (dark(work, place) && !isinf(way_s(work, &late, place)))
            late.place = after->first = place;
}

static void share_all_dark(const struct work *work)
{
    struct owl_visits *visits = work->visits;
    for (int i = 0; i <= visits->count; i++)
        share_dark(work, i > 0 ? &visits->visit[i - 1] : NULL, i < visits->count ? &visits->visit[i] : NULL);
}

/* ---- booking ---- */

static void look_through(const struct work *work, struct owl_visit *visit)
{
    visit->frames = visit->past - visit->first;
    visit->begin_s = visit->end_s = NAN;
    for (int place = visit->first; place < visit->past; place++) {
        visit->shown += shows(at(work, place)->class);
        visit->dark += dark(work, place);
        visit->sure = visit->sure || at(work, place)->class == OWL_JUDGE_SUBJECT;
        visit->begin_s = fmin(visit->begin_s, work->time_s[place]);
        visit->end_s = fmax(visit->end_s, work->time_s[place]);
    }
}

static bool counts(const struct work *work, const struct owl_visit *visit, int place)
{
    return at(work, place)->class == (visit->sure ? OWL_JUDGE_SUBJECT : OWL_JUDGE_LOOK);
}

static int best_place(const struct work *work, const struct owl_visit *visit)
{
    struct rank most = {{0}};
    int best = -1;
    for (int place = visit->first; place < visit->past; place++) {
        if (!counts(work, visit, place))
            continue;
        struct rank rank = rank_of(at(work, place));
        if (best < 0 || better(&rank, &most)) {
            best = place;
            most = rank;
        }
    }
    return best;
}

/* The ledger keeps the earliest of the frames with fewest failed links, so the best one is taken first; for what is alone the
   order is the same. */
static void book(const struct work *work, struct owl_visit *visit)
{
    look_through(work, visit);
    int best = best_place(work, visit);
    unsigned failed = owl_visits_failed(at(work, best));
    visit->best = work->visits->order[best];
    owl_ledger_take(&visit->verdict, failed);
    for (int place = visit->first; place < visit->past; place++) {
        if (dark(work, place))
            owl_ledger_take(&visit->verdict, failed | OWL_FAILED(OWL_LEDGER_DIM));
        else if (place != best && counts(work, visit, place))
            owl_ledger_take(&visit->verdict, owl_visits_failed(at(work, place)));
    }
    visit->row = owl_ledger_first(visit->verdict.failed);
    owl_ledger_book(visit->sure ? &work->visits->sure : &work->visits->unsure, &visit->verdict);
}

/* ---- nights ---- */

static int64_t day_of(double time_s)
{
    double day = floor((time_s - NOON_S) / OWL_SECONDS_PER_DAY);
    return isnan(day) ? UNDATED : (int64_t)day;
}

static int earlier_day(const void *one, const void *other)
{
    int64_t a = *(const int64_t *)one, b = *(const int64_t *)other;
    return (a > b) - (a < b);
}

/* After this day[] holds each night's once. */
static void make_nights(const struct work *work)
{
    struct owl_visits *visits = work->visits;
    for (int place = 0; place < visits->frames; place++)
        work->day[place] = day_of(work->time_s[place]);
    qsort(work->day, (size_t)visits->frames, sizeof *work->day, earlier_day);
    for (int i = 0; i < visits->frames; i++) {
        int64_t day = work->day[i];
        if (visits->nights > 0 && day == work->day[visits->nights - 1])
            continue;
        work->day[visits->nights] = day;
        struct owl_visits_night night = {.dated = day != UNDATED};
        if (night.dated)
            night.date = owl_calendar_date(day);
        visits->night[visits->nights++] = night;
    }
}

static struct owl_visits_night *night_of(const struct work *work, double time_s)
{
    int64_t day = day_of(time_s);
    int64_t *found = bsearch(&day, work->day, (size_t)work->visits->nights, sizeof day, earlier_day);
    return &work->visits->night[found - work->day];
}

static void count_frame(struct owl_visits_night *night, enum owl_judge_class class)
{
    night->frames++;
    night->shown += shows(class);
    night->empties += class == OWL_JUDGE_EMPTY;
    night->dark += class == OWL_JUDGE_FLASH_FAILED;
    night->cannot += class == OWL_JUDGE_CANNOT;
}

static void count_visit(const struct work *work, const struct owl_visit *visit)
{
    struct owl_visits_night *night = night_of(work, visit->begin_s);
    night->visits++;
    night->unsure += !visit->sure;
    night->keepers += visit->sure && visit->row == OWL_LEDGER_KEEPER;
}

/* Dark frames outside of visits, grouped as what shows something is. */
static void count_blind(const struct work *work)
{
    struct owl_visits *visits = work->visits;
    struct edge edge = {-1, NAN};
    bool open = false;
    for (int place = 0, v = 0; place < visits->frames; place++) {
        if (v < visits->count && place == visits->visit[v].first) {
            place = visits->visit[v++].past - 1;
            open = false;
        } else if (dark(work, place)) {
            if (!open || isinf(way_s(work, &edge, place))) {
                night_of(work, work->time_s[place])->blind++;
                visits->blind++;
                edge.time_s = NAN;
            }
            move_edge(work, &edge, place);
            open = true;
        }
    }
}

static void count_nights(const struct work *work)
{
    struct owl_visits *visits = work->visits;
    make_nights(work);
    for (int place = 0; place < visits->frames; place++)
        count_frame(night_of(work, work->time_s[place]), at(work, place)->class);
    for (int i = 0; i < visits->count; i++)
        count_visit(work, &visits->visit[i]);
    count_blind(work);
    for (int i = 0; i < visits->nights; i++) {
        visits->shown += visits->night[i].shown;
        visits->empties += visits->night[i].empties;
        visits->dark += visits->night[i].dark;
        visits->cannot += visits->night[i].cannot;
    }
}

/* ---- all of it ---- */

static void find_all(const struct work *work)
{
    put_in_order(work);
    group_shown(work);
    share_all_dark(work);
    for (int i = 0; i < work->visits->count; i++)
        book(work, &work->visits->visit[i]);
    count_nights(work);
}

/* Visits and nights are at most as many as frames; one more, so that nothing is asked for nothing. */
enum owl_status owl_visits_find(const struct owl_judged *judged, double gap_s, struct owl_visits *visits)
{
    size_t room = (size_t)judged->count + 1;
    *visits = (struct owl_visits){.frames = judged->count};
    if (!(gap_s >= 0.0 && gap_s < INFINITY))
        return OWL_OUTSIDE_DOMAIN;
    struct work work = {judged, visits, gap_s, malloc(room * sizeof(double)), malloc(room * sizeof(double)),
                        malloc(room * sizeof(int64_t)), malloc(room * sizeof(struct run))};
    visits->order = malloc(room * sizeof *visits->order);
    visits->visit = malloc(room * sizeof *visits->visit);
    visits->night = malloc(room * sizeof *visits->night);
    bool made = work.raw_s && work.time_s && work.day && work.run && visits->order && visits->visit && visits->night;
    if (made)
        find_all(&work);
    else
        owl_visits_free(visits);
    free(work.raw_s);
    free(work.time_s);
    free(work.day);
    free(work.run);
    return made ? OWL_OK : OWL_NO_MEMORY;
}

void owl_visits_free(struct owl_visits *visits)
{
    free(visits->order);
    free(visits->visit);
    free(visits->night);
    *visits = (struct owl_visits){0};
}
