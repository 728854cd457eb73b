/* The event loop of a season: arrivals in order of time, the rig's answer to each. */
#include "core/rehearse/season.h"

#include <math.h>

#include "core/constants.h"
#include "core/model/eye.h"

#define SOURCES (OWL_WALKERS + 1) /* every walker, and false triggers */
#define FALSE_TRIGGERS OWL_WALKERS
#define SUBJECT 0
#define LINKS_SEED 0x6c696e6b73u /* keeps the links' draws apart from the arrivals' */
#define FOLLOW_S 3.0 /* from one animal of a group to the next on average, estimate */

/* Arrivals of one kind. Time runs in nights' worth of its activity, of which every night holds one. */
struct source {
    struct owl_rng rng;
    double per_night, next;
    int following; /* animals of the same group still to pass */
};

struct run {
    const struct owl_setup *setup;
    struct source source[SOURCES];
    struct owl_rng links;     /* which links hear; asked only where one may not, so that a wired rig takes no draw */
    struct owl_rig rig;
    struct owl_season *season;
    double flashed_s;         /* when the last flash went off */
    double scared_until_s;    /* the subject does not come before */
    int passes;               /* of the subject so far */
    int traced;               /* the pass to be told, -1: none */
    struct owl_trace *trace;
};

/* ---- who comes ---- */

static void wait_for_next(struct source *source)
{
    source->next += source->per_night > 0.0 ? owl_rng_exponential(&source->rng, source->per_night) : INFINITY;
}

static void begin_sources(struct run *run, uint64_t seed, int season)
{
    const struct owl_setup *setup = run->setup;
    for (int i = 0; i < SOURCES; i++) {
        struct source *source = &run->source[i];
        *source = (struct source){.rng = owl_rng_start(seed, (uint64_t)season * SOURCES + (uint64_t)i)};
        if (i < setup->walkers)
            source->per_night = setup->walker[i].passes_per_night;
        else if (i == FALSE_TRIGGERS)
            source->per_night = setup->plan->sensor.false_triggers;
        if (i == SUBJECT && setup->belief.nights > 0.0)
            source->per_night = owl_rng_gamma(&source->rng, setup->belief.shape, setup->belief.nights);
        if (i == SUBJECT)
            source->per_night /= fmax(1.0, setup->habits.group); /* of groups */
        wait_for_next(source);
    }
}

/* When the next of a source comes; a false trigger may come at any time of the day. */
static double arrival_s(const struct run *run, int i)
{
    double next = run->source[i].next;
    if (!(next < run->setup->nights))
        return INFINITY;
    if (i == FALSE_TRIGGERS)
        return next * OWL_SECONDS_PER_DAY;
    return owl_setup_time_s(run->setup, run->setup->walker[i].pattern, next);
}

/* ---- what the rig does ---- */

enum cause { BY_SUBJECT, BY_OTHER, BY_NOTHING };

/* Something that fires the rig, or would. */
struct occasion {
    enum cause cause;
    struct owl_minute minute;
    struct owl_pass pass;     /* none for BY_NOTHING */
    struct owl_notice notice;
    double noticed_s, signal_s;
    bool flees;               /* from the first flash */
    unsigned failed;          /* links that failed before any frame */
    struct owl_verdict verdict; /* BY_SUBJECT only */
};

/* The frames of one firing. What did not come about is taken by a rig of its own, mended, that is forgotten
   afterwards; when the card fills up, that one goes on. */
struct firing {
    struct owl_rig *rig, imagined;
    bool real, flashed, seen, gone;
    unsigned failed;
    double opens_s, step_s;
};

static void imagine(const struct run *run, struct firing *firing)
{
    firing->real = false;
    firing->imagined = owl_rig_mended(run->setup, &run->rig);
    firing->rig = &firing->imagined;
}

static void count_flash(struct run *run, struct firing *firing, double opens_s)
{
    struct owl_season *season = run->season;
    season->flashes++;
    if (!firing->flashed) {
        double gap_s = opens_s - run->flashed_s;
        season->shortest_gap_s = fmin(season->shortest_gap_s, gap_s);
        season->unrested += gap_s < OWL_EYE_REST_S;
    }
    firing->flashed = true;
    run->flashed_s = opens_s;
}

static bool is_traced(const struct run *run)
{
    return run->passes == run->traced;
}

/* A frame after the animal has gone again says nothing about the pass: a straight walk does not come back. */
static void judge_frame(struct run *run, struct occasion *occasion, struct firing *firing, struct owl_frame *frame)
{
    struct owl_verdict *verdict = &occasion->verdict;
    unsigned best = verdict->failed;
    owl_passage_judge(run->setup, &occasion->pass, &occasion->minute, frame);
    firing->gone = firing->seen && frame->inside == 0.0;
    firing->seen = firing->seen || frame->inside > 0.0;
    if (firing->gone)
        return;
    frame->failed |= firing->failed;
    owl_ledger_take(verdict, frame->failed);
    if (is_traced(run) && (verdict->frames == 1 || verdict->failed != best)) {
        run->trace->frame = *frame;
        run->trace->best = verdict->frames - 1;
    }
}

/* Flashes, as bits, whose link does not hear this time. */
static unsigned missed_flashes(struct run *run)
{
    const struct owl_plan *plan = run->setup->plan;
    unsigned missed = 0;
    for (int i = 0; i < plan->flashes; i++)
        if (plan->flash[i].link_miss > 0.0 && owl_rng_chance(&run->links, plan->flash[i].link_miss))
            missed |= 1u << i;
    return missed;
}

static void take_frame(struct run *run, struct occasion *occasion, struct firing *firing, int number)
{
    struct owl_frame frame = {.opens_s = firing->opens_s + number * firing->step_s};
    if (firing->real && firing->rig->card_left < 1.0) {
        imagine(run, firing);
        firing->failed |= OWL_FAILED(OWL_LEDGER_SPENT);
    }
    frame.light = owl_rig_frame(run->setup, firing->rig, frame.opens_s, missed_flashes(run));
    if (firing->real) {
        run->season->frames++;
        run->season->false_frames += occasion->cause == BY_NOTHING;
        if (frame.light.lit)
            count_flash(run, firing, frame.opens_s);
    }
    if (occasion->cause == BY_SUBJECT && !firing->gone)
        judge_frame(run, occasion, firing, &frame);
    if (occasion->flees && firing->real && frame.light.lit) {
        firing->gone = true;
        run->scared_until_s = frame.opens_s + run->setup->habits.shy_nights * OWL_SECONDS_PER_DAY;
    }
}

static void fire(struct run *run, struct occasion *occasion)
{
    const struct owl_setup *setup = run->setup;
    double shutter_s = occasion->minute.shutter_s;
    int frames = (int)setup->frames_per_firing;
    struct firing firing = {.rig = &run->rig, .real = true, .failed = occasion->failed};
    if (occasion->failed)
        imagine(run, &firing);
    firing.opens_s = owl_rig_opens_s(setup, firing.rig, occasion->signal_s);
    firing.step_s = fmax(setup->plan->camera.interval_s, shutter_s); /* one must end before the next */
    for (int i = 0; i < frames && (occasion->failed == 0 || !firing.gone); i++)
        take_frame(run, occasion, &firing, i);
    if (occasion->failed)
        return;
    run->season->firings++;
    owl_rig_pause(setup, &run->rig, occasion->signal_s, firing.opens_s + (frames - 1) * firing.step_s + shutter_s);
}

static bool is_deaf(const struct run *run, const struct occasion *occasion)
{
    return occasion->noticed_s < run->rig.deaf_until_s;
}

static void false_trigger(struct run *run, double at_s)
{
    struct occasion occasion = {.cause = BY_NOTHING, .noticed_s = at_s, .minute = owl_setup_minute(run->setup, at_s)};
    occasion.signal_s = at_s + run->setup->plan->sensor.delay_s;
    owl_rig_reckon(run->setup, &run->rig, at_s);
    if (!occasion.minute.armed || !owl_rig_works(&run->rig) || is_deaf(run, &occasion))
        return;
    if (occasion.signal_s < run->rig.busy_until_s)
        owl_rig_deafen(run->setup, &run->rig, occasion.signal_s);
    else
        fire(run, &occasion);
}

/* When the sensor decides. One whose zones do not lie across the path is mended by one aimed so that the shutter
   opens with the animal on the mark. */
static double noticed_at_s(const struct run *run, const struct owl_pass *pass, const struct owl_notice *notice)
{
    if (!isnan(notice->front_m))
        return owl_passage_time_s(pass, notice->front_m);
    double release_s = owl_rig_opens_s(run->setup, &run->rig, pass->at_s) - pass->at_s;
    return pass->at_s - run->setup->plan->sensor.delay_s - release_s;
}

static unsigned links_failed(const struct run *run, const struct occasion *occasion)
{
    bool paused = is_deaf(run, occasion) || occasion->signal_s < run->rig.busy_until_s;
    return (occasion->minute.armed ? 0 : OWL_FAILED(OWL_LEDGER_AWAY)) |
           (owl_rig_works(&run->rig) ? 0 : OWL_FAILED(OWL_LEDGER_SPENT)) |
           (occasion->notice.noticed ? 0 : OWL_FAILED(OWL_LEDGER_UNSEEN)) |
           (paused ? OWL_FAILED(OWL_LEDGER_BLANKED) : 0);
}

/* Before the firing: what the rig was like. */
static void trace_pass(struct run *run, const struct occasion *occasion)
{
    *run->trace = (struct owl_trace){.pass = occasion->pass,
                                     .minute = occasion->minute,
                                     .notice = occasion->notice,
                                     .failed = occasion->failed,
                                     .noticed_s = occasion->noticed_s,
                                     .signal_s = occasion->signal_s,
                                     .rig = run->rig};
}

/* A sensor that only the camera's frames hold up still begins its pause anew. */
static void answer(struct run *run, struct occasion *occasion)
{
    bool heard_by_busy = occasion->failed == OWL_FAILED(OWL_LEDGER_BLANKED) && !is_deaf(run, occasion);
    if (occasion->cause == BY_SUBJECT || occasion->failed == 0)
        fire(run, occasion);
    if (heard_by_busy)
        owl_rig_deafen(run->setup, &run->rig, occasion->signal_s);
}

static void book(struct run *run, const struct occasion *occasion)
{
    struct owl_season *season = run->season;
    owl_ledger_book(&season->ledger, &occasion->verdict);
    if (occasion->verdict.failed == 0 && season->first_keeper < 0)
        season->first_keeper = (int32_t)(occasion->pass.at_s / OWL_SECONDS_PER_DAY);
    if (is_traced(run))
        run->trace->verdict = occasion->verdict;
    run->passes++;
}

static void pass_by(struct run *run, int walker, double at_s)
{
    const struct owl_setup *setup = run->setup;
    struct occasion occasion = {.cause = walker == SUBJECT ? BY_SUBJECT : BY_OTHER};
    occasion.pass = owl_passage_draw(setup, &setup->walker[walker], at_s, &run->source[walker].rng);
    if (walker == SUBJECT) {
        occasion.flees = owl_rng_chance(&run->source[SUBJECT].rng, setup->habits.shy);
        if (at_s < run->scared_until_s)
            return; /* it would have come, had no flash driven it off */
    }
    occasion.minute = owl_setup_minute(setup, at_s);
    occasion.notice = owl_passage_notice(setup, &occasion.pass, occasion.minute.by_day);
    occasion.noticed_s = noticed_at_s(run, &occasion.pass, &occasion.notice);
    occasion.signal_s = occasion.noticed_s + setup->plan->sensor.delay_s;
    owl_rig_reckon(setup, &run->rig, at_s);
    occasion.failed = links_failed(run, &occasion);
    if (walker == SUBJECT && is_traced(run))
        trace_pass(run, &occasion);
    answer(run, &occasion);
    if (walker == SUBJECT)
        book(run, &occasion);
}

/* When the next of a source comes, after one came at at_s: the rest of its group first. */
static double next_arrival_s(struct run *run, int i, double at_s)
{
    struct source *source = &run->source[i];
    double group = i == SUBJECT ? run->setup->habits.group : 1.0;
    if (source->following > 0) {
        source->following--;
    } else {
        wait_for_next(source);
        if (group > 1.0)
            source->following = owl_rng_poisson(&source->rng, group - 1.0);
    }
    double follows_s = at_s + (source->following > 0 ? FOLLOW_S * owl_rng_exponential(&source->rng, 1.0) : 0.0);
    if (source->following > 0 && follows_s < run->setup->nights * OWL_SECONDS_PER_DAY)
        return follows_s;
    source->following = 0;
    return fmax(arrival_s(run, i), at_s);
}

static void run_season(struct run *run, uint64_t seed, int season)
{
    double arrival[SOURCES], end_s = run->setup->nights * OWL_SECONDS_PER_DAY;
    *run->season = (struct owl_season){.first_keeper = -1, .shortest_gap_s = INFINITY};
    run->flashed_s = run->scared_until_s = -INFINITY;
    owl_rig_begin(run->setup, &run->rig);
    begin_sources(run, seed, season);
    run->links = owl_rng_start(seed ^ LINKS_SEED, (uint64_t)season);
    for (int i = 0; i < SOURCES; i++)
        arrival[i] = arrival_s(run, i);
    for (;;) {
        int next = 0;
        for (int i = 1; i < SOURCES; i++)
            if (arrival[i] < arrival[next])
                next = i;
        if (isinf(arrival[next]))
            break;
        if (next == FALSE_TRIGGERS)
            false_trigger(run, arrival[next]);
        else
            pass_by(run, next, arrival[next]);
        arrival[next] = next_arrival_s(run, next, arrival[next]);
    }
    owl_rig_reckon(run->setup, &run->rig, end_s);
    for (int i = 0; i <= OWL_RIG_CARD; i++)
        run->season->out_nights[i] = run->rig.out_s[i] / OWL_SECONDS_PER_DAY;
}

void owl_season_run(const struct owl_setup *setup, uint64_t seed, int season, struct owl_season *result)
{
    struct run run = {.setup = setup, .season = result, .traced = -1};
    run_season(&run, seed, season);
}

enum owl_status owl_season_trace(const struct owl_setup *setup, uint64_t seed, int season, int pass,
                                 struct owl_trace *trace)
{
    struct owl_season result;
    struct run run = {.setup = setup, .season = &result, .traced = pass, .trace = trace};
    run_season(&run, seed, season);
    trace->passes = run.passes;
    return pass >= 0 && pass < run.passes ? OWL_OK : OWL_OUTSIDE_DOMAIN;
}
