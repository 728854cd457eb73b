/* The search: every lever alone, then together from the best on, then all of it anew under fresh random numbers. */
#include "core/rehearse/advise.h"

#include <math.h>
#include <string.h>

#define COST_MOST 1.6e7   /* arrivals in all seasons of the search, when their number is left to us: a few seconds */
#define SEASONS_LEAST 12
#define TRIALS_LEAST 120
#define WORTH_SHARE 0.01  /* of the keepers: a smaller gain is not worth a change; our choice */
#define WORTH_PASSES 0.005 /* of the passes, for plans of few keepers; our choice */
#define PART_WORTH 0.5    /* of that, for what is one change of several; our choice */
#define ALIKE 0.98        /* of the gain: then the handier lever comes first; our choice */
#define MANY_LOST 0.5     /* of the passes: then getting them some links further counts, too */
#define FURTHER 0.3       /* of the passes, by one link at least */
#define ROUNDS 2
#define REACH_ALONE 32
#define REACH_TOGETHER 4
#define FRESH_SEED 0x9e3779b97f4a7c15u /* any number: other streams */

enum column { REFERENCE, BEST, TRIAL };

static const struct owl_steps as_it_is = {{0}};

static bool is_fresh(const struct owl_advise *advise)
{
    return advise->phase >= OWL_ADVISE_FRESH_AS_IT_IS;
}

static int seasons_wanted(const struct owl_advise *advise)
{
    return is_fresh(advise) ? advise->advice.fresh_seasons : advise->advice.seasons;
}

static void keep_column(const struct owl_advise *advise, enum column from, enum column to)
{
    memcpy(advise->room.column[to], advise->room.column[from], (size_t)seasons_wanted(advise) * sizeof(double));
}

/* A candidate among others may be dropped early: hope is what it must seem able to win, -INFINITY to run it whole. */
static bool begin_trial(struct owl_advise *advise, const struct owl_steps *steps, double hope)
{
    bool begun = owl_trial_begin(&advise->trial, &advise->ground, steps, seasons_wanted(advise), hope);
    advise->advice.trials += begun && !is_fresh(advise);
    return begun;
}

static bool try_line(struct owl_advise *advise, const struct owl_steps *from)
{
    while (advise->advice.trials < advise->trials_most && owl_line_next(&advise->line)) {
        struct owl_steps steps = owl_line_steps(&advise->line, from, advise->line.place);
        if (begin_trial(advise, &steps, owl_line_target(&advise->line)))
            return true;
    }
    return false;
}

static void take_place(struct owl_advise *advise)
{
    if (advise->trial.held && owl_line_take(&advise->line, &advise->trial.difference))
        keep_column(advise, TRIAL, BEST);
}

/* ---- each alone ---- */

static void sort_found(struct owl_advise *advise)
{
    for (int i = 1; i < advise->founds; i++) {
        struct owl_advise_found moving = advise->found[i];
        int j = i;
        for (; j > 0 && advise->found[j - 1].gain < moving.gain; j--)
            advise->found[j] = advise->found[j - 1];
        advise->found[j] = moving;
    }
}

static void begin_alone(struct owl_advise *advise, int lever)
{
    advise->at = lever;
    advise->line = owl_line_of(lever, 0, REACH_ALONE);
}

static void end_alone(struct owl_advise *advise)
{
    const struct owl_line *line = &advise->line;
    if (line->best != 0 && line->gain.mean >= advise->worth)
        advise->found[advise->founds++] = (struct owl_advise_found){line->lever[0], line->best, line->gain.mean};
    begin_alone(advise, advise->at + 1);
}

static bool try_alone(struct owl_advise *advise)
{
    while (advise->at < advise->ground.levers) {
        if (try_line(advise, &as_it_is))
            return true;
        end_alone(advise);
    }
    sort_found(advise);
    advise->best = as_it_is;
    if (advise->founds > 0)
        advise->best.step[advise->found[0].lever] = advise->found[0].step;
    advise->phase = OWL_ADVISE_REFERENCE;
    return begin_trial(advise, &advise->best, -INFINITY);
}

/* ---- together ---- */

static bool is_found(const struct owl_advise *advise, int lever)
{
    for (int i = 0; i < advise->founds; i++)
        if (advise->found[i].lever == lever)
            return true;
    return false;
}

/* First what won alone, then settings in step, then the other levers; where nothing won alone they may have far to go.
   False past the last. */
static bool begin_together(struct owl_advise *advise, int at)
{
    int other = at - advise->founds - OWL_LINE_JOINTS;
    advise->at = at;
    if (other >= advise->ground.levers)
        return false;
    if (at < advise->founds) {
        const struct owl_advise_found *found = &advise->found[at];
        advise->line = owl_line_of(found->lever, found->step - advise->best.step[found->lever], REACH_TOGETHER);
    } else if (other < 0) {
        advise->line = owl_line_joint(&advise->ground, at - advise->founds, REACH_TOGETHER);
    } else {
        advise->line = owl_line_of(other, 0, is_found(advise, other) ? 0 : advise->founds > 0 ? REACH_TOGETHER : REACH_ALONE);
    }
    return true;
}

static void end_together(struct owl_advise *advise)
{
    const struct owl_line *line = &advise->line;
    const struct owl_advice *advice = &advise->advice;
    bool many_lost = advice->keepers < (1.0 - MANY_LOST) * advice->passes;
    double enough = many_lost ? FURTHER * OWL_LINK_WORTH * advice->passes : PART_WORTH * advise->worth;
    if (line->best == 0 || line->gain.mean < enough)
        return;
    advise->best = owl_line_steps(line, &advise->best, line->best);
    advise->improved = true;
    keep_column(advise, BEST, REFERENCE);
}

static bool try_prune(struct owl_advise *advise);

static bool try_together(struct owl_advise *advise)
{
    do {
        if (try_line(advise, &advise->best))
            return true;
        end_together(advise);
        if (!begin_together(advise, advise->at + 1) && advise->improved && ++advise->round < ROUNDS) {
            advise->improved = false;
            begin_together(advise, 0);
        }
    } while (advise->at < advise->founds + OWL_LINE_JOINTS + advise->ground.levers);
    advise->phase = OWL_ADVISE_PRUNE;
    advise->at = advise->ground.levers;
    return try_prune(advise);
}

/* What must be carried about goes back first. */
static bool try_prune(struct owl_advise *advise)
{
    while (--advise->at >= 0) {
        struct owl_steps steps = advise->best;
        steps.step[advise->at] = 0;
        if (advise->best.step[advise->at] != 0 && begin_trial(advise, &steps, -2.0 * advise->worth))
            return true;
    }
    advise->phase = OWL_ADVISE_FRESH_AS_IT_IS;
    return begin_trial(advise, &as_it_is, -INFINITY);
}

static void take_prune(struct owl_advise *advise)
{
    if (!advise->trial.held || advise->trial.difference.mean < -PART_WORTH * advise->worth)
        return;
    advise->best = advise->trial.steps;
    keep_column(advise, TRIAL, REFERENCE);
}

/* ---- fresh random numbers ---- */

/* One step that only the search together came upon is an advice of its own. */
static void find_best_alone(struct owl_advise *advise)
{
    int lever = 0, place = advise->founds < OWL_ADVICE_SINGLES ? advise->founds : OWL_ADVICE_SINGLES - 1;
    if (owl_steps_moved(&advise->best) != 1)
        return;
    while (advise->best.step[lever] == 0)
        lever++;
    for (int i = 0; i < advise->founds && i < OWL_ADVICE_SINGLES; i++)
        if (advise->found[i].lever == lever)
            place = i;
    advise->found[place] = (struct owl_advise_found){lever, advise->best.step[lever], 0.0};
    advise->founds = place < advise->founds ? advise->founds : place + 1;
}

static bool try_fresh(struct owl_advise *advise)
{
    while (++advise->at < advise->founds && advise->at < OWL_ADVICE_SINGLES) {
        struct owl_steps steps = as_it_is;
        steps.step[advise->found[advise->at].lever] = advise->found[advise->at].step;
        if (begin_trial(advise, &steps, -INFINITY))
            return true;
    }
    advise->phase = OWL_ADVISE_FRESH_TOGETHER;
    return owl_steps_moved(&advise->best) > 1 && begin_trial(advise, &advise->best, -INFINITY);
}

static struct owl_gain gain_of(const struct owl_difference *difference)
{
    double half = OWL_INTERVAL_ERRORS * difference->error;
    return (struct owl_gain){difference->mean, difference->mean - half, difference->mean + half};
}

static bool is_confirmed(const struct owl_advise *advise)
{
    return advise->trial.held && gain_of(&advise->trial.difference).low > 0.0 && advise->trial.difference.mean >= advise->worth;
}

static void note_alone(struct owl_advise *advise)
{
    struct owl_advice *advice = &advise->advice;
    const struct owl_advise_found *found = &advise->found[advise->at];
    if (!is_confirmed(advise))
        return;
    struct owl_advised *single = &advice->single[advice->singles++];
    single->lever = found->lever;
    single->gain = gain_of(&advise->trial.difference);
    single->changes = owl_lever_changes(&advise->ground.lever[found->lever], advise->ground.plan, found->step, single->change);
}

static void note_together(struct owl_advise *advise)
{
    struct owl_advice *advice = &advise->advice;
    double alone = 0.0;
    for (int i = 0; i < advice->singles; i++)
        alone = fmax(alone, advice->single[i].gain.mean);
    if (!is_confirmed(advise) || advise->trial.difference.mean < alone + PART_WORTH * advise->worth)
        return;
    advice->gain = gain_of(&advise->trial.difference);
    advice->changes = owl_steps_changes(&advise->ground, &advise->best, advice->together);
}

/* The best of those from `from` on; of some nearly alike the handiest. */
static int next_best(const struct owl_advice *advice, int from)
{
    double most = 0.0;
    int best = -1;
    for (int i = from; i < advice->singles; i++)
        most = fmax(most, advice->single[i].gain.mean);
    for (int i = from; i < advice->singles; i++)
        if (advice->single[i].gain.mean >= ALIKE * most && (best < 0 || advice->single[i].lever < advice->single[best].lever))
            best = i;
    return best;
}

static void sort_singles(struct owl_advice *advice)
{
    for (int i = 0; i < advice->singles; i++) {
        int best = next_best(advice, i);
        struct owl_advised moving = advice->single[i];
        advice->single[i] = advice->single[best];
        advice->single[best] = moving;
    }
}

/* ---- the phases ---- */

static void take_as_it_is(struct owl_advise *advise)
{
    struct owl_advice *advice = &advise->advice;
    double keepers = 0.0, passes = 0.0;
    for (int i = 0; i < advise->trial.done; i++) {
        keepers += advise->room.season[i].ledger.first[OWL_LEDGER_KEEPER];
        passes += owl_ledger_passes(&advise->room.season[i].ledger);
    }
    advice->keepers = keepers / advise->trial.done;
    advice->passes = passes / advise->trial.done;
    advise->worth = fmax(WORTH_SHARE * advice->keepers, WORTH_PASSES * advice->passes);
    owl_bounds_take_seasons(&advise->ground.bounds, advise->room.season, advise->trial.done);
    keep_column(advise, TRIAL, REFERENCE);
}

/* What follows from a trial that is over. */
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
        find_best_alone(advise);
        advise->phase = OWL_ADVISE_FRESH_ALONE;
        advise->at = -1;
        break;
    case OWL_ADVISE_FRESH_ALONE: note_alone(advise); break;
    default: note_together(advise);
    }
}

static bool propose(struct owl_advise *advise)
{
    switch (advise->phase) {
    case OWL_ADVISE_ALONE: return try_alone(advise);
    case OWL_ADVISE_TOGETHER: return try_together(advise);
    case OWL_ADVISE_PRUNE: return try_prune(advise);
    case OWL_ADVISE_FRESH_ALONE: return try_fresh(advise);
    default: return false;
    }
}

static void take_seasons(struct owl_advise *advise)
{
    struct owl_trial *trial = &advise->trial;
    double *score = advise->room.column[TRIAL];
    for (int i = trial->done; i < trial->to; i++)
        score[i] = is_fresh(advise) ? advise->room.season[i].ledger.first[OWL_LEDGER_KEEPER] : owl_season_score(&advise->room.season[i]);
    if (owl_trial_judge(trial, &advise->ground, advise->room.season, score, advise->room.column[REFERENCE]))
        conclude(advise);
}

bool owl_advise_next(struct owl_advise *advise, struct owl_advise_task *task)
{
    struct owl_trial *trial = &advise->trial;
    if (trial->running && trial->to > trial->done)
        take_seasons(advise);
    if (!trial->running && !propose(advise)) {
        if (advise->phase != OWL_ADVISE_DONE)
            sort_singles(&advise->advice);
        advise->phase = OWL_ADVISE_DONE;
        return false;
    }
    owl_trial_go_on(trial);
    *task = (struct owl_advise_task){.setup = &trial->setup,
                                     .seed = is_fresh(advise) ? advise->wish.seed ^ FRESH_SEED : advise->wish.seed,
                                     .from = trial->done,
                                     .to = trial->to,
                                     .season = advise->room.season + trial->done};
    return true;
}

/* By what they cost, never by the clock, so that the advice is the same on every machine. */
static void share_out(struct owl_advise *advise, const struct owl_setup *setup)
{
    double cost = 1.0 + setup->arrivals * (1.0 + 0.2 * (setup->frames_per_firing - 1.0));
    double seasons = COST_MOST / cost / (PART_WORTH * OWL_ADVISE_TRIALS_MOST);
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
    struct owl_trial *trial = &advise->trial;
    memset(advise, 0, sizeof *advise);
    advise->wish = *wish;
    advise->room = *room;
    advise->ground = (struct owl_ground){.plan = plan, .watch = watch, .habits = *habits, .keep = wish->keep, .keeps = wish->keeps, .row = room->row};
    advise->ground.levers = owl_levers_of(plan, advise->ground.lever);
    if (owl_plan_evaluate(plan, watch, &trial->evaluation) != OWL_OK ||
        owl_setup_prepare(plan, watch, &trial->evaluation, habits, room->row, &trial->setup) != OWL_OK)
        return OWL_OUTSIDE_DOMAIN;
    advise->ground.bounds = owl_bounds_of(plan, &trial->evaluation);
    share_out(advise, &trial->setup);
    memset(room->column[REFERENCE], 0, (size_t)advise->advice.fresh_seasons * sizeof(double));
    return begin_trial(advise, &as_it_is, -INFINITY) ? OWL_OK : OWL_OUTSIDE_DOMAIN;
}
