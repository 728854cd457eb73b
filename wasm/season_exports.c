/* Rehearsal and advice of the plan as it is evaluated. A new evaluation ends both. */
#include <string.h>

#include "core/rehearse/advise.h"
#include "core/report/advice.h"
#include "core/report/ledger.h"
#include "room.h"

#define SEASONS_MOST 10000
#define ADVISE_SEASONS ((size_t)OWL_ADVISE_FRESH * OWL_ADVISE_SEASONS)
#define ROWS (OWL_NIGHTS_MOST * OWL_NIGHT_ROWS + 1)

static struct owl_wasm_room *const room = &owl_wasm_room;

static struct owl_setup_row setup_row[ROWS];
static struct owl_setup setup;
static struct owl_season season[SEASONS_MOST];
static double column[SEASONS_MOST];
static struct owl_rehearsal rehearsal;
static struct owl_report_rehearsal rehearsed;
static int setup_turn, rehearsed_turn; /* of the evaluation they belong to; 0: none */
static uint64_t rehearsal_seed;

static struct owl_setup_row advise_row[ROWS];
static struct owl_season advise_season[ADVISE_SEASONS];
static double advise_column[OWL_ADVISE_COLUMNS][ADVISE_SEASONS];
static struct owl_advise advise;
static struct owl_report_advised advised;
static int advise_turn;
static bool advice_whole;

EXPORT("rehearse") int owl_wasm_rehearse(int seasons, int seed);
EXPORT("rehearsal") const struct owl_rehearsal *owl_wasm_rehearsal(void);
EXPORT("rehearse_most") int owl_wasm_rehearse_most(void);
EXPORT("rehearse_begin") int owl_wasm_rehearse_begin(int seed);
EXPORT("rehearse_run") int owl_wasm_rehearse_run(int from, int to);
EXPORT("rehearse_sum") int owl_wasm_rehearse_sum(int seasons);
EXPORT("advise_begin") int owl_wasm_advise_begin(int seed);
EXPORT("advise_step") int owl_wasm_advise_step(void);

static bool is_current(int turn)
{
    return turn != 0 && turn == room->turn && room->evaluated;
}

const struct owl_report_rehearsal *owl_wasm_rehearsed(void)
{
    return is_current(rehearsed_turn) ? &rehearsed : NULL;
}

const struct owl_report_advised *owl_wasm_advised(void)
{
    return is_current(advise_turn) && advice_whole ? &advised : NULL;
}

int owl_wasm_rehearse_most(void)
{
    return SEASONS_MOST;
}

/* Prepares a rehearsal of the plan just evaluated; -1 when it cannot be rehearsed. */
int owl_wasm_rehearse_begin(int seed)
{
    struct owl_habits habits = owl_setup_habits_of(&room->plan);
    setup_turn = rehearsed_turn = 0;
    if (!room->evaluated ||
        owl_setup_prepare(&room->plan, &room->watch, &room->evaluation, &habits, setup_row, &setup) != OWL_OK)
        return -1;
    setup_turn = room->turn;
    rehearsal_seed = (uint64_t)seed;
    return 0;
}

/* Runs seasons from..to-1; -1 when nothing is prepared or there are no such seasons. */
int owl_wasm_rehearse_run(int from, int to)
{
    if (!is_current(setup_turn) || from < 0 || from > to || to > SEASONS_MOST)
        return -1;
    owl_rehearsal_run(&setup, rehearsal_seed, from, to, season + from);
    return 0;
}

/* Sums up the first `seasons`, all of which must have been run. */
int owl_wasm_rehearse_sum(int seasons)
{
    if (!is_current(setup_turn) || seasons < 1 || seasons > SEASONS_MOST)
        return -1;
    memset(&rehearsal, 0, sizeof rehearsal); /* nights beyond this watch keep nothing of the last */
    owl_rehearsal_reduce(&setup, season, seasons, column, &rehearsal);
    rehearsed = (struct owl_report_rehearsal){&room->plan, &rehearsal, rehearsal_seed, seasons};
    rehearsed_turn = room->turn;
    return 0;
}

/* All in one; the size of the rehearsal in bytes, -1 when it cannot be. */
int owl_wasm_rehearse(int seasons, int seed)
{
    bool done = owl_wasm_rehearse_begin(seed) == 0 && owl_wasm_rehearse_run(0, seasons) == 0 &&
                owl_wasm_rehearse_sum(seasons) == 0;
    return done ? (int)sizeof rehearsal : -1;
}

const struct owl_rehearsal *owl_wasm_rehearsal(void)
{
    return &rehearsal;
}

/* Begins the search for advice; -1 when the plan cannot be rehearsed. */
int owl_wasm_advise_begin(int seed)
{
    struct owl_habits habits = owl_setup_habits_of(&room->plan);
    struct owl_advise_wish wish = {.seed = (uint64_t)seed};
    struct owl_advise_room space = {advise_row, advise_season, {NULL}};
    for (int i = 0; i < OWL_ADVISE_COLUMNS; i++)
        space.column[i] = advise_column[i];
    advise_turn = 0;
    advice_whole = false;
    if (!room->evaluated || owl_advise_begin(&advise, &room->plan, &room->watch, &habits, &wish, &space) != OWL_OK)
        return -1;
    advise_turn = room->turn;
    advised = (struct owl_report_advised){.plan = &room->plan, .advice = &advise.advice, .seed = wish.seed, .doable = true};
    return 0;
}

/* One task of the search; 1 while there is more, 0 when the advice is whole or its plan is gone. */
int owl_wasm_advise_step(void)
{
    struct owl_advise_task task;
    if (!is_current(advise_turn) || advice_whole)
        return 0;
    if (!owl_advise_next(&advise, &task)) {
        advice_whole = true;
        return 0;
    }
    owl_rehearsal_run(task.setup, task.seed, task.from, task.to, task.season);
    return 1;
}
