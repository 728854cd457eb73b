/* Whether the flashes weaken, fail, or are asked too soon. */
#include <math.h>

#include "card/health_view.h"

#define TONE_GAMMA 2.2            /* level to light; common practice */
#define TREND_FRAMES_LEAST 8      /* estimate */
#define WEAKER_STOPS 0.2          /* from here on it is told ... estimate */
#define MUCH_WEAKER_STOPS 0.5     /* ... and has to be mended; estimate */
#define WEAKER_TESTS 2            /* both halves together, one against the other */
#define STOPPED_LEAST 3           /* frames in a row; estimate */
#define SIDES_APART 1.2           /* light of one half over the other that tells them apart; estimate */
#define SIDES_LEAST 5             /* estimate */
#define MISSED_OFTEN 0.02         /* lower bound of the share: watch it ... estimate */
#define MISSED_TOO_OFTEN 0.1      /* ... mend it; estimate */

static const double gap_edge_s[] = {1.0, 1.5, 2.0, 3.0, 4.0, 6.0, 8.0, 10.0, 15.0, 20.0, 30.0, 45.0, 60.0, 120.0};
#define GAP_EDGES (int)(sizeof gap_edge_s / sizeof *gap_edge_s)

static const struct owl_frame_verdict *verdict_at(const struct owl_health_view *view, int place)
{
    return &view->judged->frame[view->order[place]].verdict;
}

static int flashes_between(const struct owl_health_view *view, int first_frame, int last_frame)
{
    int count = 0;
    bool inside = false;
    for (int i = 0; i < view->ordered; i++) {
        inside = inside || view->order[i] == first_frame;
        count += inside && owl_health_flashed(verdict_at(view, i));
        if (view->order[i] == last_frame)
            break;
    }
    return count;
}

/* ---- weaker ---- */

static void tell_weaker(struct owl_health_view *view, enum owl_health_kind kind, int count)
{
    struct owl_health_finding finding = owl_health_new(kind);
    int first = view->sample[0].frame, last = view->sample[count - 1].frame;
    struct owl_health_change change = owl_health_change_of(view, count);
    bool either = kind == OWL_HEALTH_FLASH_SIDE_WEAKER;
    if (!owl_health_changed(&change, WEAKER_TESTS) || (either ? fabs(change.whole) : -change.whole) < WEAKER_STOPS)
        return;
    finding.severity = fabs(change.whole) >= MUCH_WEAKER_STOPS ? OWL_HEALTH_MEND_IT : OWL_HEALTH_WATCH_IT;
    finding.from_s = change.from_s;
    finding.to_s = change.to_s;
    finding.value = change.whole;
    finding.low = change.low;
    finding.high = change.high;
    finding.second = change.nights;
    finding.count = flashes_between(view, first, last);
    finding.of = count;
    finding.p = change.p;
    finding.tests = WEAKER_TESTS;
    owl_health_add(view, &finding);
}

/* By the mean level: the judge's other figures for light follow the neighbourhood and would hide a slow fall. All levels of a
   picture under s times the light are s^(1/2.2) times as high, so their mean is, too. */
static void find_weaker(struct owl_health_view *view)
{
    int count = owl_health_alike(view, true);
    for (int i = 0; i < count; i++)
        view->sample[i].value = TONE_GAMMA * log2(view->judged->frame[view->sample[i].frame].verdict.look.mean);
    if (count >= TREND_FRAMES_LEAST)
        tell_weaker(view, OWL_HEALTH_FLASH_WEAKER, count);
}

/* One half against the other is known against the neighbourhood only. Where that is the whole watch a trend shows. */
static void find_side_weaker(struct owl_health_view *view)
{
    int flashed = 0, kept = 0;
    for (int i = 0; i < view->judged->count; i++)
        flashed += owl_health_flashed(&view->judged->frame[i].verdict);
    if (view->judged->flashes < 2 || flashed > OWL_FAULT_NEAR)
        return;
    int count = owl_health_alike(view, true);
    for (int i = 0; i < count; i++) {
        double lopsided = view->judged->frame[view->sample[i].frame].verdict.look.lopsided;
        if (lopsided > 0.0)
            view->sample[kept++] = (struct owl_health_sample){view->sample[i].frame, log2(lopsided)};
    }
    if (kept >= TREND_FRAMES_LEAST)
        tell_weaker(view, OWL_HEALTH_FLASH_SIDE_WEAKER, kept);
}

/* ---- stopped ---- */

struct firing {
    int flashed, missed;
    int tail;       /* missed in a row at the end ... */
    int tail_place; /* ... the first of them in the order */
    double tail_p;
};

/* All orders of hits and misses being as likely, P(the last `tail` are misses) = prod (missed - i)/(flashed - i). */
static struct firing count_firing(const struct owl_health_view *view)
{
    struct firing firing = {.tail_p = 1.0};
    for (int i = 0; i < view->ordered; i++) {
        if (!owl_health_flashed(verdict_at(view, i)))
            continue;
        firing.flashed++;
        if (owl_health_missed(verdict_at(view, i))) {
            if (firing.tail++ == 0)
                firing.tail_place = i;
            firing.missed++;
        } else {
            firing.tail = 0;
        }
    }
    for (int i = 0; i < firing.tail; i++)
        firing.tail_p *= (double)(firing.missed - i) / (firing.flashed - i);
    return firing;
}

static bool stopped(const struct firing *firing)
{
    bool never = firing->missed == firing->flashed;
    return firing->tail >= STOPPED_LEAST && (never || firing->tail_p < OWL_HEALTH_ALPHA);
}

static void find_stopped(struct owl_health_view *view, const struct firing *firing)
{
    struct owl_health_finding finding = owl_health_new(OWL_HEALTH_FLASH_STOPPED);
    if (!stopped(firing))
        return;
    finding.severity = OWL_HEALTH_MEND_IT;
    if (view->by_time) {
        finding.from_s = owl_health_taken_s(view, view->order[firing->tail_place]);
        finding.to_s = view->health->last_s;
    }
    finding.count = firing->tail;
    finding.of = firing->flashed;
    finding.other = firing->missed;
    finding.p = firing->missed < firing->flashed ? firing->tail_p : NAN;
    finding.tests = 1;
    owl_health_add(view, &finding);
}

/* ---- misfires ---- */

static void find_misfires(struct owl_health_view *view, const struct firing *firing)
{
    struct owl_health_finding finding = owl_health_new(OWL_HEALTH_MISFIRES);
    if (firing->missed == 0)
        return;
    if (view->by_time) {
        finding.from_s = view->health->first_s;
        finding.to_s = view->health->last_s;
    }
    finding.count = firing->missed;
    finding.of = firing->flashed;
    for (int i = 0; i < view->ordered; i++)
        finding.other += verdict_at(view, i)->flash == OWL_FLASH_NONE;
    owl_health_share(&finding);
    finding.severity = finding.low >= MISSED_TOO_OFTEN ? OWL_HEALTH_MEND_IT
                     : finding.low >= MISSED_OFTEN     ? OWL_HEALTH_WATCH_IT
                                                       : OWL_HEALTH_FACT;
    owl_health_add(view, &finding);
}

/* Seconds since the frame with flash before into samples, for the frames that have one; those of a flash that had stopped for
   good tell nothing. */
static int gather_gaps(struct owl_health_view *view, const struct firing *firing)
{
    int count = 0, end = stopped(firing) ? firing->tail_place : view->ordered;
    double before_s = NAN;
    for (int i = 0; view->by_time && i < end; i++) {
        if (!owl_health_flashed(verdict_at(view, i)))
            continue;
        double taken_s = owl_health_taken_s(view, view->order[i]);
        if (!isnan(before_s))
            view->sample[count++] = (struct owl_health_sample){view->order[i], taken_s - before_s};
        before_s = taken_s;
    }
    return count;
}

struct split {
    struct owl_chance_share soon, later;
    double p;
    int edge;
};

static struct split split_at(const struct owl_health_view *view, int count, int edge)
{
    struct split split = {.edge = edge};
    for (int i = 0; i < count; i++) {
        bool missed = owl_health_missed(&view->judged->frame[view->sample[i].frame].verdict);
        struct owl_chance_share *share = view->sample[i].value <= gap_edge_s[edge] ? &split.soon : &split.later;
        share->of++;
        share->hits += missed;
    }
    split.p = owl_chance_more(split.soon, split.later);
    return split;
}

static void find_misfires_soon(struct owl_health_view *view, const struct firing *firing)
{
    struct owl_health_finding finding = owl_health_new(OWL_HEALTH_MISFIRES_SOON);
    struct split best = {.p = 2.0};
    int count = gather_gaps(view, firing), before = 0;
    for (int edge = 0; edge < GAP_EDGES; edge++) {
        struct split split = split_at(view, count, edge);
        if (split.soon.of == before || split.later.of == 0)
            continue;
        before = split.soon.of;
        finding.tests++;
        if (split.p < best.p)
            best = split;
    }
    if (finding.tests == 0 || !(best.p * finding.tests < OWL_HEALTH_ALPHA))
        return;
    finding.severity = OWL_HEALTH_MEND_IT;
    finding.from_s = view->health->first_s;
    finding.to_s = view->health->last_s;
    finding.count = best.soon.hits;
    finding.of = best.soon.of;
    finding.other = best.later.hits;
    finding.other_of = best.later.of;
    finding.second = gap_edge_s[best.edge];
    finding.advised = best.edge + 1 < GAP_EDGES ? gap_edge_s[best.edge + 1] : 2.0 * gap_edge_s[best.edge];
    finding.p = best.p;
    owl_health_share(&finding);
    owl_health_add(view, &finding);
}

/* The half that was darker when one flash was missing: as likely left as right, if both miss alike. */
static void find_misfires_side(struct owl_health_view *view)
{
    struct owl_health_finding finding = owl_health_new(OWL_HEALTH_MISFIRES_SIDE);
    int left = 0, right = 0;
    for (int i = 0; i < view->ordered; i++) {
        const struct owl_frame_verdict *verdict = verdict_at(view, i);
        if (verdict->flash != OWL_FLASH_ONE_MISSING)
            continue;
        left += verdict->look.lopsided < 1.0 / SIDES_APART;
        right += verdict->look.lopsided > SIDES_APART;
    }
    finding.count = left > right ? left : right;
    finding.of = left + right;
    finding.p = fmin(2.0 * owl_chance_at_least((struct owl_chance_share){finding.count, finding.of}, 0.5), 1.0);
    if (finding.of < SIDES_LEAST || !(finding.p < OWL_HEALTH_ALPHA))
        return;
    finding.tests = 1;
    finding.severity = OWL_HEALTH_WATCH_IT;
    finding.second = left > right ? -1.0 : 1.0;
    owl_health_share(&finding);
    owl_health_add(view, &finding);
}

void owl_health_find_flashes(struct owl_health_view *view)
{
    struct firing firing = count_firing(view);
    find_weaker(view);
    find_side_weaker(view);
    find_stopped(view, &firing);
    find_misfires(view, &firing);
    find_misfires_soon(view, &firing);
    find_misfires_side(view);
}
