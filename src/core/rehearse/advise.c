/* The search: every lever alone, then together from the best on, then all of it anew under fresh random numbers. */
#include "core/rehearse/advise.h"

#include <math.h>
#include <string.h>

#include "core/plan/reader.h"

#define COST_MOST 1.6e7         /* arrivals in all seasons of the search, when their number is left to us */
#define SEASONS_LEAST 12
#define TRIALS_LEAST 120
#define FIRST_STAGE 8           /* a share of the seasons after which a hopeless candidate is dropped: 1/8, then */
#define SECOND_STAGE 3          /* 1/3 */
#define STAGE_LEAST 25
#define HOPE 3.0                /* standard errors a candidate may still be better than it looks */
#define SURE 1.645              /* of a normal: 5 % beyond on either side */
#define WORTH_SHARE 0.01        /* of the keepers: a smaller gain is not worth a change; our choice */
#define WORTH_PASSES 0.005      /* of the passes, for plans of few keepers; our choice */
#define NEARLY_AS_GOOD 0.95     /* of the gain: then the smaller step is taken; our choice */
#define ALIKE 0.98              /* of the gain: then the handier lever comes first; our choice */
#define LINKS_SHARE 0.3         /* of the passes must get one link further for a step without keepers to count */
#define LINK_WORTH 1e-4         /* of owl_season_score */
#define ROUNDS 2
#define COARSE_ALONE 32
#define COARSE_TOGETHER 4
#define FRESH_SEED 0x9e3779b97f4a7c15u /* any number: another stream */

enum column { REFERENCE, BEST, TRIAL };

static bool is_fresh(const struct owl_advise *advise)
{
    return advise->phase >= OWL_ADVISE_FRESH_AS_IT_IS;
}

static double *column(const struct owl_advise *advise, enum column which)
{
    return advise->room.column[which];
}

static void keep_column(const struct owl_advise *advise, enum column from, enum column to)
{
    int count = is_fresh(advise) ? advise->advice.fresh_seasons : advise->advice.seasons;
    memcpy(column(advise, to), column(advise, from), (size_t)count * sizeof(double));
}

/* ---- one candidate ---- */

/* False: gear, reader, bounds or keeps do not allow it, or it comes to the plan as it stands. */
static bool make_plan(struct owl_advise *advise, const struct owl_steps *steps)
{
    struct owl_change change[OWL_CHANGES_MOST];
    struct owl_plan *plan = &advise->trial.plan;
    int changes = owl_steps_changes(steps, advise->lever, advise->levers, advise->plan, change);
    *plan = *advise->plan;
    for (int i = 0; i < changes; i++)
        if (owl_plan_apply(&change[i], plan) != OWL_OK)
            return false;
    return changes >= 0 && owl_keeps_hold(advise->wish.keep, advise->wish.keeps, advise->plan, plan) &&
           owl_plan_stands(plan);
}

static bool prepare(struct owl_advise *advise)
{
    struct owl_evaluation *evaluation = &advise->trial.evaluation;
    return owl_plan_evaluate(&advise->trial.plan, advise->watch, evaluation) == OWL_OK &&
           owl_setup_prepare(&advise->trial.plan, advise->watch, evaluation, &advise->habits, advise->room.row,
                             &advise->trial.setup) == OWL_OK;
}

/* Whether seasons are to be run for these steps. */
static bool begin_trial(struct owl_advise *advise, const struct owl_steps *steps, double target)
{
    if (!make_plan(advise, steps) || !prepare(advise) ||
        !owl_bounds_hold(&advise->bounds, &advise->trial.plan, &advise->trial.evaluation))
        return false;
    advise->trial.steps = *steps;
    advise->trial.done = advise->trial.to = 0;
    advise->trial.wanted = is_fresh(advise) ? advise->advice.fresh_seasons : advise->advice.seasons;
    advise->trial.target = target;
    advise->trial.running = true;
    advise->trial.held = false;
    if (!is_fresh(advise))
        advise->advice.trials++;
    return true;
}

static int next_stage(const struct owl_advise *advise)
{
    int done = advise->trial.done, wanted = advise->trial.wanted;
    int first = wanted / FIRST_STAGE, second = wanted / SECOND_STAGE;
    if (advise->trial.target == -INFINITY || second < STAGE_LEAST)
        return wanted;
    if (done == 0)
        return first > STAGE_LEAST ? first : STAGE_LEAST;
    return done < second ? second : wanted;
}

static void name_task(struct owl_advise *advise, struct owl_advise_task *task)
{
    advise->trial.to = next_stage(advise);
    *task = (struct owl_advise_task){.setup = &advise->trial.setup,
                                     .seed = is_fresh(advise) ? advise->wish.seed ^ FRESH_SEED : advise->wish.seed,
                                     .from = advise->trial.done,
                                     .to = advise->trial.to,
                                     .season = advise->room.season + advise->trial.done};
}

/* Takes in the seasons of a stage; false when more are to be run. */
static bool end_stage(struct owl_advise *advise)
{
    const struct owl_season *season = advise->room.season;
    double *trial = column(advise, TRIAL);
    for (int i = advise->trial.done; i < advise->trial.to; i++)
        trial[i] = is_fresh(advise) ? season[i].ledger.first[OWL_LEDGER_KEEPER] : owl_season_score(&season[i]);
    advise->trial.done = advise->trial.to;
    struct owl_difference difference = owl_difference_of(trial, column(advise, REFERENCE), advise->trial.done);
    advise->trial.difference = difference;
    if (difference.mean + HOPE * difference.error <= advise->trial.target)
        return true;
    if (advise->trial.done < advise->trial.wanted)
        return false;
    advise->trial.held = owl_bounds_hold_seasons(&advise->bounds, season, advise->trial.done);
    return true;
}

/* ---- along a line ---- */

static void begin_line(struct owl_advise *advise, int hint, int reach)
{
    struct owl_advise_line *line = &advise->line;
    line->hint = hint;
    line->reach = reach;
    line->tries = line->stride = line->best = 0;
    memset(line->tried, 0, sizeof line->tried);
}

static void single_line(struct owl_advise *advise, int lever)
{
    advise->line = (struct owl_advise_line){.levers = 1, .lever = {lever}, .ratio = {1}};
}

/* Coarse: the hint, then 1, -1, 2, -2, 4 .. up to the reach; fine: to both sides of the best, nearer and nearer. 0: the
   line is done. */
static int next_place(struct owl_advise_line *line)
{
    if (line->tries == 0 && line->hint != 0) {
        line->tries = 1;
        return line->hint;
    }
    line->tries += line->tries == 0;
    int coarse = 1 << (line->tries - 1) / 2;
    if (line->stride == 0 && coarse <= line->reach)
        return line->tries++ % 2 ? coarse : -coarse;
    if (line->best == 0)
        return 0;
    if (line->stride == 0) {
        line->stride = line->best > 0 ? line->best : -line->best;
        line->tries = 1;
    }
    if (line->tries % 2 && (line->stride /= 2) == 0)
        return 0;
    return line->best + (line->tries++ % 2 ? line->stride : -line->stride);
}

static bool is_news(struct owl_advise_line *line, int place)
{
    unsigned bit = (unsigned)(place + 64);
    if (bit >= 192u || place == 0 || (line->tried[bit / 64u] >> bit % 64u & 1u))
        return false;
    line->tried[bit / 64u] |= (uint64_t)1 << bit % 64u;
    return true;
}

/* The next candidate along the line from some steps; false when the line is done. */
static bool try_line(struct owl_advise *advise, const struct owl_steps *from)
{
    struct owl_advise_line *line = &advise->line;
    for (int place = next_place(line); place != 0; place = next_place(line)) {
        struct owl_steps steps = *from;
        if (!is_news(line, place) || advise->advice.trials >= advise->trials_most)
            continue;
        for (int i = 0; i < line->levers; i++)
            steps.step[line->lever[i]] += place * line->ratio[i];
        line->place = place;
        if (begin_trial(advise, &steps, fmax(line->best ? line->gain.mean * NEARLY_AS_GOOD : 0.0, 0.0)))
            return true;
    }
    return false;
}

/* Of two nearly as good, the smaller step. */
static void take_place(struct owl_advise *advise)
{
    struct owl_advise_line *line = &advise->line;
    struct owl_difference gain = advise->trial.difference;
    if (!advise->trial.held || gain.mean - SURE * gain.error <= 0.0)
        return;
    bool smaller = line->place * line->place < line->best * line->best;
    double needed = line->best == 0 ? 0.0 : smaller ? line->gain.mean * NEARLY_AS_GOOD : line->gain.mean / NEARLY_AS_GOOD;
    if (gain.mean <= needed)
        return;
    line->best = line->place;
    line->gain = gain;
    keep_column(advise, TRIAL, BEST);
}

/* ---- each alone ---- */

static const struct owl_steps as_it_is = {{0}};

static void sort_found(struct owl_advise *advise)
{
    for (int i = 1; i < advise->founds; i++) {
        struct owl_lever_found moving = advise->found[i];
        int j = i;
        for (; j > 0 && advise->found[j - 1].gain < moving.gain; j--)
            advise->found[j] = advise->found[j - 1];
        advise->found[j] = moving;
    }
}

static void note_found(struct owl_advise *advise)
{
    const struct owl_advise_line *line = &advise->line;
    if (line->best != 0 && line->gain.mean >= advise->worth)
        advise->found[advise->founds++] = (struct owl_lever_found){line->lever[0], line->best, line->gain.mean};
}

static void begin_alone(struct owl_advise *advise, int lever)
{
    advise->at = lever;
    single_line(advise, lever);
    begin_line(advise, 0, COARSE_ALONE);
}

static bool try_alone(struct owl_advise *advise)
{
    while (advise->at < advise->levers) {
        if (try_line(advise, &as_it_is))
            return true;
        note_found(advise);
        begin_alone(advise, advise->at + 1);
    }
    sort_found(advise);
    advise->best = as_it_is;
    if (advise->founds > 0)
        advise->best.step[advise->found[0].lever] = advise->found[0].step;
    advise->phase = OWL_ADVISE_REFERENCE;
    advise->at = 0;
    return begin_trial(advise, &advise->best, -INFINITY);
}

/* ---- together ---- */

/* What is set in step so that the exposure stays as it is, in thirds of a stop and whole stops of flash power. */
static const struct {
    enum owl_lever_kind one, other;
    int step, other_step;
} joint[] = {
    {OWL_LEVER_APERTURE, OWL_LEVER_ISO, 1, 1},     {OWL_LEVER_APERTURE, OWL_LEVER_POWER, 3, 1},
    {OWL_LEVER_ISO, OWL_LEVER_POWER, 3, -1},       {OWL_LEVER_APERTURE, OWL_LEVER_SHUTTER, 1, 1},
    {OWL_LEVER_ISO, OWL_LEVER_SHUTTER, 1, -1},     {OWL_LEVER_POWER, OWL_LEVER_POWER, 1, 1},
};
#define JOINTS ((int)(sizeof joint / sizeof *joint))

static void add_levers(struct owl_advise *advise, enum owl_lever_kind kind, int ratio)
{
    struct owl_advise_line *line = &advise->line;
    for (int i = 0; i < advise->levers; i++) {
        if (advise->lever[i].kind != kind || line->levers == OWL_ADVISE_JOINT)
            continue;
        line->lever[line->levers] = i;
        line->ratio[line->levers++] = ratio;
    }
}

static void joint_line(struct owl_advise *advise, int number)
{
    advise->line = (struct owl_advise_line){.levers = 0};
    add_levers(advise, joint[number].one, joint[number].step);
    if (joint[number].other != joint[number].one)
        add_levers(advise, joint[number].other, joint[number].other_step);
}

static bool is_found(const struct owl_advise *advise, int lever)
{
    for (int i = 0; i < advise->founds; i++)
        if (advise->found[i].lever == lever)
            return true;
    return false;
}

/* First what won alone, then settings in step, then the other levers. False past the last. */
static bool begin_together(struct owl_advise *advise, int at)
{
    int others = at - advise->founds - JOINTS;
    advise->at = at;
    if (others >= advise->levers)
        return false;
    if (at < advise->founds) {
        const struct owl_lever_found *found = &advise->found[at];
        single_line(advise, found->lever);
        begin_line(advise, found->step - advise->best.step[found->lever], COARSE_TOGETHER);
    } else if (others < 0) {
        joint_line(advise, at - advise->founds);
        begin_line(advise, 0, COARSE_TOGETHER);
    } else {
        single_line(advise, others);
        begin_line(advise, 0, is_found(advise, others) ? 0 : advise->founds > 0 ? COARSE_TOGETHER : COARSE_ALONE);
    }
    return true;
}

/* A step counts when it wins keepers worth having, or, while most passes are lost, gets many of them further. */
static void step_on(struct owl_advise *advise)
{
    const struct owl_advise_line *line = &advise->line;
    bool many_lost = advise->advice.keepers < 0.5 * advise->advice.passes;
    double enough = many_lost ? LINKS_SHARE * LINK_WORTH * advise->advice.passes : 0.5 * advise->worth;
    if (line->best == 0 || line->gain.mean < enough)
        return;
    for (int i = 0; i < line->levers; i++)
        advise->best.step[line->lever[i]] += line->best * line->ratio[i];
    advise->improved = 1;
    keep_column(advise, BEST, REFERENCE);
}

static bool try_prune(struct owl_advise *advise);

static bool try_together(struct owl_advise *advise)
{
    for (;;) {
        if (try_line(advise, &advise->best))
            return true;
        step_on(advise);
        if (begin_together(advise, advise->at + 1))
            continue;
        if (++advise->round == ROUNDS || !advise->improved)
            break;
        advise->improved = 0;
        begin_together(advise, 0);
    }
    advise->phase = OWL_ADVISE_PRUNE;
    advise->at = advise->levers;
    return try_prune(advise);
}

/* What must be carried about goes back first. */
static bool try_prune(struct owl_advise *advise)
{
    while (--advise->at >= 0) {
        struct owl_steps steps = advise->best;
        if (steps.step[advise->at] == 0)
            continue;
        steps.step[advise->at] = 0;
        if (begin_trial(advise, &steps, -0.5 * advise->worth))
            return true;
    }
    advise->phase = OWL_ADVISE_FRESH_AS_IT_IS;
    return begin_trial(advise, &as_it_is, -INFINITY);
}

static void take_prune(struct owl_advise *advise)
{
    if (!advise->trial.held || advise->trial.difference.mean < -0.25 * advise->worth)
        return;
    advise->best = advise->trial.steps;
    keep_column(advise, TRIAL, REFERENCE);
}

/* ---- fresh random numbers ---- */

static struct owl_gain gain_of(const struct owl_difference *difference)
{
    return (struct owl_gain){difference->mean, difference->mean - SURE * difference->error, difference->mean + SURE * difference->error};
}

static bool is_worth(const struct owl_advise *advise)
{
    struct owl_gain gain = gain_of(&advise->trial.difference);
    return advise->trial.held && gain.low > 0.0 && gain.mean >= advise->worth;
}

static int levers_moved(const struct owl_steps *steps)
{
    int moved = 0;
    for (int i = 0; i < OWL_LEVERS_MOST; i++)
        moved += steps->step[i] != 0;
    return moved;
}

/* A single step that only the search together came upon is an advice of its own. */
static void find_single_best(struct owl_advise *advise)
{
    if (levers_moved(&advise->best) != 1)
        return;
    int lever = 0, place = advise->founds < OWL_ADVICE_SINGLES ? advise->founds : OWL_ADVICE_SINGLES - 1;
    while (advise->best.step[lever] == 0)
        lever++;
    for (int i = 0; i < advise->founds; i++)
        if (advise->found[i].lever == lever)
            place = i;
    advise->found[place] = (struct owl_lever_found){lever, advise->best.step[lever], 0.0};
    advise->founds = place < advise->founds ? advise->founds : place + 1;
}

static bool try_fresh_together(struct owl_advise *advise)
{
    advise->phase = OWL_ADVISE_FRESH_TOGETHER;
    if (levers_moved(&advise->best) > 1 && begin_trial(advise, &advise->best, -INFINITY))
        return true;
    advise->phase = OWL_ADVISE_DONE;
    return false;
}

static bool try_fresh_alone(struct owl_advise *advise)
{
    while (++advise->at < advise->founds && advise->at < OWL_ADVICE_SINGLES) {
        struct owl_steps steps = as_it_is;
        steps.step[advise->found[advise->at].lever] = advise->found[advise->at].step;
        if (begin_trial(advise, &steps, -INFINITY))
            return true;
    }
    return try_fresh_together(advise);
}

/* Behind those that win clearly more, and those nearly alike that are handier. */
static void note_single(struct owl_advise *advise)
{
    struct owl_advice *advice = &advise->advice;
    const struct owl_lever *lever = &advise->lever[advise->found[advise->at].lever];
    struct owl_advised single = {.gain = gain_of(&advise->trial.difference)};
    single.changes = owl_lever_changes(lever, advise->plan, advise->found[advise->at].step, single.change);
    int place = advice->singles;
    for (; place > 0 && advice->single[place - 1].gain.mean < single.gain.mean; place--)
        advice->single[place] = advice->single[place - 1];
    advice->single[place] = single;
    advice->singles++;
}

static void note_together(struct owl_advise *advise)
{
    struct owl_advice *advice = &advise->advice;
    double alone = advice->singles > 0 ? advice->single[0].gain.mean : 0.0;
    if (!is_worth(advise) || advise->trial.difference.mean < alone + 0.5 * advise->worth)
        return;
    advice->gain = gain_of(&advise->trial.difference);
    advice->changes = owl_steps_changes(&advise->best, advise->lever, advise->levers, advise->plan, advice->together);
}

/* ---- the phases ---- */

static double mean_of(const struct owl_season *season, int seasons, bool of_keepers)
{
    double sum = 0.0;
    for (int i = 0; i < seasons; i++)
        sum += of_keepers ? season[i].ledger.first[OWL_LEDGER_KEEPER] : owl_ledger_passes(&season[i].ledger);
    return sum / seasons;
}

static void take_as_it_is(struct owl_advise *advise)
{
    struct owl_advice *advice = &advise->advice;
    const struct owl_season *season = advise->room.season;
    advice->keepers = mean_of(season, advise->trial.done, true);
    advice->passes = mean_of(season, advise->trial.done, false);
    advise->worth = fmax(WORTH_SHARE * advice->keepers, WORTH_PASSES * advice->passes);
    owl_bounds_take_seasons(&advise->bounds, season, advise->trial.done);
    keep_column(advise, TRIAL, REFERENCE);
}

static void conclude(struct owl_advise *advise)
{
    switch (advise->phase) {
    case OWL_ADVISE_AS_IT_IS:
        take_as_it_is(advise);
        advise->phase = OWL_ADVISE_ALONE;
        begin_alone(advise, 0);
        break;
    case OWL_ADVISE_REFERENCE:
        keep_column(advise, TRIAL, REFERENCE);
        advise->phase = OWL_ADVISE_TOGETHER;
        begin_together(advise, 0);
        break;
    case OWL_ADVISE_ALONE:
    case OWL_ADVISE_TOGETHER: take_place(advise); break;
    case OWL_ADVISE_PRUNE: take_prune(advise); break;
    case OWL_ADVISE_FRESH_AS_IT_IS:
        take_as_it_is(advise);
        find_single_best(advise);
        advise->phase = OWL_ADVISE_FRESH_ALONE;
        advise->at = -1;
        break;
    case OWL_ADVISE_FRESH_ALONE:
        if (is_worth(advise))
            note_single(advise);
        break;
    default:
        note_together(advise);
        advise->phase = OWL_ADVISE_DONE;
    }
}

static bool propose(struct owl_advise *advise)
{
    switch (advise->phase) {
    case OWL_ADVISE_ALONE: return try_alone(advise);
    case OWL_ADVISE_TOGETHER: return try_together(advise);
    case OWL_ADVISE_PRUNE: return try_prune(advise);
    case OWL_ADVISE_FRESH_ALONE: return try_fresh_alone(advise);
    default: return false;
    }
}

bool owl_advise_next(struct owl_advise *advise, struct owl_advise_task *task)
{
    if (advise->trial.running && advise->trial.to > advise->trial.done && end_stage(advise)) {
        advise->trial.running = false;
        conclude(advise);
    }
    if (!advise->trial.running && !propose(advise))
        return false;
    name_task(advise, task);
    return true;
}

/* By what they cost, never by the clock, so that the advice is the same on every machine. */
static void share_out(struct owl_advise *advise)
{
    const struct owl_setup *setup = &advise->trial.setup;
    double cost = 1.0 + setup->arrivals * (1.0 + 0.2 * (setup->frames_per_firing - 1.0));
    double seasons = COST_MOST / cost / (0.5 * OWL_ADVISE_TRIALS_MOST);
    advise->advice.seasons = advise->wish.seasons;
    advise->trials_most = OWL_ADVISE_TRIALS_MOST;
    if (advise->wish.seasons == 0) {
        advise->advice.seasons = (int)fmin(fmax(seasons, SEASONS_LEAST), OWL_ADVISE_SEASONS);
        advise->trials_most = (int)fmin(fmax(COST_MOST / cost / SEASONS_LEAST, TRIALS_LEAST), OWL_ADVISE_TRIALS_MOST);
    }
    advise->advice.fresh_seasons = OWL_ADVISE_FRESH * advise->advice.seasons;
}

enum owl_status owl_advise_begin(struct owl_advise *advise, const struct owl_plan *plan, const struct owl_watch_view *watch,
                                 const struct owl_habits *habits, const struct owl_advise_wish *wish,
                                 const struct owl_advise_room *room)
{
    memset(advise, 0, sizeof *advise);
    advise->plan = plan;
    advise->watch = watch;
    advise->habits = *habits;
    advise->wish = *wish;
    advise->room = *room;
    advise->levers = owl_levers_of(plan, advise->lever);
    advise->trial.plan = *plan;
    if (!prepare(advise))
        return OWL_OUTSIDE_DOMAIN;
    advise->bounds = owl_bounds_of(plan, &advise->trial.evaluation);
    share_out(advise);
    memset(column(advise, REFERENCE), 0, (size_t)advise->advice.fresh_seasons * sizeof(double));
    return begin_trial(advise, &as_it_is, -INFINITY) ? OWL_OK : OWL_OUTSIDE_DOMAIN;
}
