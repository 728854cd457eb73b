/* What the sensor fired at, and whether it went on firing; and what the camera's clock did. */
#include <math.h>

#include "card/clock.h"
#include "card/health_view.h"
#include "core/constants.h"
#include "core/model/odds.h"

#define KINDS_OF_FALSE_TRIGGERS 3  /* nights, wind, sun share the alarms */
#define BURST_S 60.0               /* frames nearer are one event; common practice */
#define APART_S 600.0              /* frames farther apart are taken as independent; estimate */
#define NIGHTS_LEAST 4
#define NIGHTS_MOST 3660           /* a longer watch is a wrong clock */
#define NIGHT_TIMES 2.0            /* as many empties as usual, to be told; estimate */
#define NIGHT_MORE 5               /* and so many more; estimate */
#define NIGHTS_TOLD 4
#define MEDIAN_EFFICIENCY (2.0 / OWL_PI) /* of the median of a normal sample, against its mean */
#define MAD_SIGMA 1.4826           /* standard deviation over MAD, normal */
#define WIND_FRAMES_LEAST 10
#define WIND_SHARE 0.6             /* of pairs, to be told; estimate */
#define SUN_FROM_H 11              /* common practice */
#define SUN_TO_H 15
#define SUN_HOURS_LEAST 6          /* hours of the day with frames, to compare with; estimate */
#define SUN_EMPTIES_LEAST 8
#define SUN_SUBJECTS_LEAST 10
#define SUN_TIMES 1.5              /* estimate */
#define SILENCE_LEAST_S OWL_SECONDS_PER_DAY /* estimate */
#define SILENCE_TIMES 2.0          /* the longest other wait; estimate */
#define SILENCE_WAITS_LEAST 5
#define CLOCK_LEEWAY_S 60.0        /* names and times may differ in order by so much; estimate */
#define CLOCK_BACKS_TOLD 4

static double limit(int tests)
{
    return OWL_HEALTH_ALPHA / tests;
}

/* ---- nights ---- */

/* Median of column[0..count) and `zeros` noughts, or, where from is not nought, of all their distances from it. */
static double median_with_zeros(double *column, int count, int zeros, double from)
{
    for (int i = 0; i < count; i++)
        column[i] = fabs(column[i] - from);
    owl_health_median(column, count);
    double middle = 0.0;
    for (int half = 0; half < 2; half++) { /* a place in the merged order; `below`: values that come before the noughts' */
        int place = (count + zeros - 1 + half) / 2, below = 0;
        while (below < count && column[below] < fabs(from))
            below++;
        middle += 0.5 * (place < below ? column[place] : place < below + zeros ? fabs(from) : column[place - zeros]);
    }
    return middle;
}

/* Empty frames of each night into view->tally, those of one burst as one. */
static void tally_events(struct owl_health_view *view)
{
    double last_s = -INFINITY;
    int night = 0;
    for (int i = 0; i < view->health->nights; i++)
        view->tally[i] = 0;
    for (int i = 0; i < view->timed_count; i++) {
        double taken_s = owl_health_taken_s(view, view->timed[i]);
        if (view->judged->frame[view->timed[i]].verdict.class != OWL_JUDGE_EMPTY)
            continue;
        while (taken_s >= view->health->night[night].noon_s + OWL_SECONDS_PER_DAY)
            night++;
        view->tally[night] += taken_s - last_s > BURST_S;
        last_s = taken_s;
    }
}

static int gather_others(const struct owl_health_view *view, int night, bool events)
{
    int count = 0;
    for (int i = 0; i < view->health->nights; i++)
        if (i != night)
            view->column[count++] = events ? view->tally[i] : view->health->night[i].empties;
    return count;
}

/* P(as many events as in a night) on a night like the others: their usual number is known from a median only, and where it
   scatters more than chance events do, `spread` of them count as one. */
static double night_chance(struct owl_health_view *view, int night, int zeros)
{
    int others = gather_others(view, night, true);
    double usual = median_with_zeros(view->column, others, zeros, 0.0);
    others = gather_others(view, night, true);
    double sigma = MAD_SIGMA * median_with_zeros(view->column, others, zeros, usual);
    double spread = fmax(1.0, sigma * sigma / fmax(usual, 1.0)), nights = (others + zeros) * MEDIAN_EFFICIENCY;
    struct owl_odds_gamma belief = owl_odds_posterior(usual / spread * nights, nights, owl_odds_jeffreys());
    double events = floor(fmin(view->tally[night] / spread, OWL_ODDS_VISITS_MAX));
    return owl_odds_at_least(belief, (int)events, 1.0);
}

static bool find_night(struct owl_health_view *view, int night, int zeros)
{
    struct owl_health_finding finding = owl_health_new(OWL_HEALTH_NIGHT_OF_EMPTIES);
    const struct owl_health_night *at = &view->health->night[night];
    finding.tests = KINDS_OF_FALSE_TRIGGERS * (view->health->nights + zeros);
    finding.p = night_chance(view, night, zeros);
    finding.second = median_with_zeros(view->column, gather_others(view, night, false), zeros, 0.0);
    finding.count = at->empties;
    finding.of = at->frames;
    if (!(finding.p < limit(finding.tests)) || at->empties < fmax(NIGHT_TIMES * finding.second, finding.second + NIGHT_MORE))
        return false;
    finding.severity = OWL_HEALTH_WATCH_IT;
    finding.from_s = at->noon_s;
    finding.to_s = at->noon_s + OWL_SECONDS_PER_DAY;
    finding.value = at->empties;
    finding.low = owl_odds_gamma_quantile(at->empties, 0.025);
    finding.high = owl_odds_gamma_quantile(at->empties + 1.0, 0.975);
    owl_health_add(view, &finding);
    return true;
}

static void find_nights(struct owl_health_view *view)
{
    const struct owl_health *health = view->health;
    if (health->nights == 0)
        return;
    double span = (health->night[health->nights - 1].noon_s - health->night[0].noon_s) / OWL_SECONDS_PER_DAY + 1.0;
    int zeros = span <= NIGHTS_MOST ? (int)span - health->nights : 0;
    if (health->nights + zeros < NIGHTS_LEAST)
        return;
    tally_events(view);
    for (int i = 0, told = 0; i < health->nights && told < NIGHTS_TOLD; i++)
        told += find_night(view, i, zeros);
}

/* ---- wind and sun ---- */

/* Frames of a class, each at least APART_S after the one before: into samples. Frames of one gust or one visit say the same. */
static int gather_class(struct owl_health_view *view, enum owl_judge_class class)
{
    int count = 0;
    double last_s = -INFINITY;
    for (int i = 0; i < view->timed_count; i++) {
        double taken_s = owl_health_taken_s(view, view->timed[i]);
        if (view->judged->frame[view->timed[i]].verdict.class != class || taken_s - last_s < APART_S)
            continue;
        view->sample[count++].frame = view->timed[i];
        last_s = taken_s;
    }
    return count;
}

static int rank_class(struct owl_health_view *view, enum owl_judge_class class, int from)
{
    int count = gather_class(view, class), ranked = from;
    for (int i = 0; i < count; i++) {
        double wind = view->judged->frame[view->sample[i].frame].verdict.wind;
        if (wind > 0.0)
            view->ranked[ranked++] = (struct owl_chance_ranked){wind, class == OWL_JUDGE_EMPTY};
    }
    return ranked - from;
}

static void span_of_all(const struct owl_health_view *view, struct owl_health_finding *finding)
{
    finding->from_s = view->health->first_s;
    finding->to_s = view->health->last_s;
}

static void find_wind(struct owl_health_view *view)
{
    struct owl_health_finding finding = owl_health_new(OWL_HEALTH_EMPTIES_IN_WIND);
    finding.count = rank_class(view, OWL_JUDGE_EMPTY, 0);
    finding.other = rank_class(view, OWL_JUDGE_SUBJECT, finding.count);
    if (finding.count < WIND_FRAMES_LEAST || finding.other < WIND_FRAMES_LEAST)
        return;
    struct owl_chance_ranks ranks = owl_chance_larger(view->ranked, finding.count + finding.other);
    finding.tests = KINDS_OF_FALSE_TRIGGERS;
    if (!(ranks.p < limit(finding.tests)) || ranks.share < WIND_SHARE)
        return;
    finding.severity = OWL_HEALTH_WATCH_IT;
    finding.value = ranks.share;
    finding.low = ranks.low;
    finding.high = ranks.high;
    finding.p = ranks.p;
    span_of_all(view, &finding);
    owl_health_add(view, &finding);
}

static struct owl_chance_share in_sun(struct owl_health_view *view, enum owl_judge_class class)
{
    struct owl_chance_share share = {0, gather_class(view, class)};
    for (int i = 0; i < share.of; i++) {
        double hour = fmod(owl_health_taken_s(view, view->sample[i].frame), OWL_SECONDS_PER_DAY) / OWL_SECONDS_PER_HOUR;
        share.hits += hour >= SUN_FROM_H && hour < SUN_TO_H;
    }
    return share;
}

/* More empties in the hours of sun than their share of the hours in which the camera fired at all, and than subjects. */
static void find_sun(struct owl_health_view *view)
{
    struct owl_health_finding finding = owl_health_new(OWL_HEALTH_EMPTIES_IN_SUN);
    struct owl_chance_share empties = in_sun(view, OWL_JUDGE_EMPTY), subjects = in_sun(view, OWL_JUDGE_SUBJECT);
    int hours = 0;
    for (int i = 0; i < 24; i++)
        hours += view->health->hour[i].frames > 0;
    if (hours < SUN_HOURS_LEAST || empties.hits < SUN_EMPTIES_LEAST)
        return;
    double even = (double)(SUN_TO_H - SUN_FROM_H) / hours;
    finding.p = owl_chance_at_least(empties, even);
    if (subjects.of >= SUN_SUBJECTS_LEAST)
        finding.p = fmax(finding.p, owl_chance_more(empties, subjects));
    finding.tests = KINDS_OF_FALSE_TRIGGERS;
    if (!(finding.p < limit(finding.tests)) || empties.hits < SUN_TIMES * even * empties.of)
        return;
    finding.severity = OWL_HEALTH_WATCH_IT;
    finding.count = empties.hits;
    finding.of = empties.of;
    finding.other = subjects.hits;
    finding.other_of = subjects.of;
    finding.value = SUN_FROM_H;
    finding.second = SUN_TO_H;
    span_of_all(view, &finding);
    owl_health_add(view, &finding);
}

/* ---- silence ---- */

/* The waits between events. */
struct waits {
    int count;
    double longest_s, second_s;
    double from_s, to_s; /* of the longest */
};

static struct waits gather_waits(const struct owl_health_view *view)
{
    struct waits waits = {0, 0.0, 0.0, NAN, NAN};
    for (int i = 1; i < view->timed_count; i++) {
        double before_s = owl_health_taken_s(view, view->timed[i - 1]), after_s = owl_health_taken_s(view, view->timed[i]);
        double wait_s = after_s - before_s;
        if (!(wait_s > BURST_S))
            continue;
        waits.count++;
        if (wait_s > waits.longest_s) {
            waits.second_s = waits.longest_s;
            waits.longest_s = wait_s;
            waits.from_s = before_s;
            waits.to_s = after_s;
        } else {
            waits.second_s = fmax(waits.second_s, wait_s);
        }
    }
    return waits;
}

/* finding: kind, from, to and value filled. longest_s: of `others` other waits. */
static void tell_silence(struct owl_health_view *view, struct owl_health_finding *finding, double longest_s, int others)
{
    bool any = finding->kind == OWL_HEALTH_SILENCE;
    double times = finding->value / longest_s;
    if (others < SILENCE_WAITS_LEAST || !(finding->value >= SILENCE_LEAST_S) || times < SILENCE_TIMES)
        return;
    finding->p = owl_chance_wait(times, others, any);
    if (!(finding->p < OWL_HEALTH_ALPHA))
        return;
    finding->tests = 1;
    finding->severity = any ? OWL_HEALTH_WATCH_IT : OWL_HEALTH_MEND_IT;
    finding->second = longest_s;
    finding->count = others;
    owl_health_add(view, finding);
}

static void find_silence(struct owl_health_view *view)
{
    struct waits waits = gather_waits(view);
    struct owl_health_finding end = owl_health_new(OWL_HEALTH_SILENCE_AT_END), within = owl_health_new(OWL_HEALTH_SILENCE);
    end.from_s = view->health->last_s;
    end.to_s = view->wish->until_s;
    end.value = end.to_s - end.from_s;
    tell_silence(view, &end, waits.longest_s, waits.count);
    within.from_s = waits.from_s;
    within.to_s = waits.to_s;
    within.value = waits.longest_s;
    tell_silence(view, &within, waits.second_s, waits.count - 1);
}

void owl_health_find_triggers(struct owl_health_view *view)
{
    find_nights(view);
    find_wind(view);
    find_sun(view);
    find_silence(view);
}

/* ---- clock ---- */

static void find_reset(struct owl_health_view *view, double first_s)
{
    struct owl_health_finding finding = owl_health_new(OWL_HEALTH_CLOCK_RESET);
    enum owl_clock_look look = owl_clock_look(first_s, view->wish->now_s);
    if (isnan(first_s) || look == OWL_CLOCK_PLAUSIBLE)
        return;
    finding.severity = look == OWL_CLOCK_RESET ? OWL_HEALTH_MEND_IT : OWL_HEALTH_WATCH_IT;
    finding.count = look == OWL_CLOCK_RESET;
    finding.from_s = first_s;
    owl_health_add(view, &finding);
}

static double time_before(const struct owl_health_view *view, int frame)
{
    double before_s = NAN;
    for (int i = 0; i < frame; i++)
        before_s = isnan(view->column[i]) ? before_s : view->column[i];
    return before_s;
}

static void find_backs(struct owl_health_view *view)
{
    int count = view->judged->count, frame = owl_clock_step_back(view->column, count, 0, CLOCK_LEEWAY_S);
    for (int told = 0; frame < count && told < CLOCK_BACKS_TOLD; told++) {
        struct owl_health_finding finding = owl_health_new(OWL_HEALTH_CLOCK_BACK);
        finding.severity = OWL_HEALTH_MEND_IT;
        finding.from_s = time_before(view, frame);
        finding.to_s = view->column[frame];
        finding.value = finding.from_s - finding.to_s;
        finding.count = frame;
        owl_health_add(view, &finding);
        frame = owl_clock_step_back(view->column, count, frame + 1, CLOCK_LEEWAY_S);
    }
}

void owl_health_find_clock(struct owl_health_view *view)
{
    struct owl_health_finding missing = owl_health_new(OWL_HEALTH_CLOCK_MISSING);
    double first_s = NAN;
    for (int i = view->judged->count - 1; i >= 0; i--) {
        view->column[i] = owl_health_taken_s(view, i);
        if (isnan(view->column[i]))
            missing.count++;
        else
            first_s = view->column[i];
    }
    find_reset(view, first_s);
    find_backs(view);
    missing.of = view->judged->count;
    missing.severity = 2 * missing.count > missing.of ? OWL_HEALTH_WATCH_IT : OWL_HEALTH_FACT;
    if (missing.count > 0)
        owl_health_add(view, &missing);
}
