/* What the tests of the rehearsal share: a watch of many like nights, a rig that loses nothing, and both made ready.
   Everything is static: a test program has one plan and one watch at a time. */
#ifndef OWL_TESTS_LONG_WATCH_H
#define OWL_TESTS_LONG_WATCH_H

#include "support/check.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/constants.h"
#include "core/plan/reader.h"
#include "core/rehearse/rehearsal.h"

#define LONG_NIGHTS 100
#define LONG_ROWS (LONG_NIGHTS * OWL_NIGHT_ROWS + 1)

static struct owl_plan plan;
static struct owl_complaints complaints;
static struct owl_evaluation evaluation;
static struct owl_night long_night[LONG_NIGHTS];
static struct owl_watch_row long_row[LONG_ROWS];
static struct owl_watch_view watch;
static struct owl_setup_row setup_row[LONG_ROWS];
static struct owl_setup setup;

/* Light runs as exp of a cosine, from noon_lx at noon to midnight_lx; clock and animals' hour are solar time. */
static inline void fill_long_watch(int nights, double noon_lx, double midnight_lx)
{
    double middle = 0.5 * (log(noon_lx) + log(midnight_lx)), swing = 0.5 * (log(noon_lx) - log(midnight_lx));
    plan.watch.nights = nights;
    for (int n = 0; n < nights; n++)
        long_night[n].noon_unix_s = (plan.watch.start_days + n + 0.5) * OWL_SECONDS_PER_DAY;
    for (int i = 0; i <= nights * OWL_NIGHT_ROWS; i++) {
        double day = i / (double)OWL_NIGHT_ROWS;
        long_row[i].light_lx = exp(middle + swing * cos(OWL_TAU * day));
        long_row[i].clock_s = fmod(day + 0.5, 1.0) * OWL_SECONDS_PER_DAY;
        long_row[i].anchored_rad = fmod(OWL_PI + OWL_TAU * day, OWL_TAU);
    }
    watch = (struct owl_watch_view){.nights = nights, .night = long_night, .row = long_row};
    owl_activity_fill(&watch.activity, &plan);
}

static inline enum owl_status make_ready(const struct owl_habits *habits)
{
    assert_int_equal(owl_plan_evaluate(&plan, &watch, &evaluation), OWL_OK);
    return owl_setup_prepare(&plan, &watch, &evaluation, habits, setup_row, &setup);
}

/* Evaluates the plan as it stands and prepares the setup. */
static inline void prepare_plan(const struct owl_habits *habits)
{
    assert_int_equal(make_ready(habits), OWL_OK);
}

static inline void read_words(const char *words)
{
    if (owl_plan_read(words, strlen(words), &plan, &complaints) != OWL_OK)
        fail_msg("line %d: %s", complaints.list[0].line, complaints.list[0].words);
}

#define PERFECT_LX 160000.0 /* right at f/8, ISO 400 and 1/4000 s: 250 * 8^2 / 400 * 4000 */

/* A beam that fires without delay, a camera that is never asleep, a wide lens, cells from which nothing is drawn,
   a short shutter in its right light: nothing is lost. The animal is a box of 1 m by 60 cm by 30 cm. */
static inline void read_perfect_rig(void)
{
    read_words("[site]\nlatitude = 0 N\nlongitude = 0 E\n[watch]\nstart = 2027-01-09\nnights = 40\n"
               "[subject]\nkind = lynx\nlength = 1 m\nheight = 60 cm\nwidth = 30 cm\nshoulder = 50 cm\nspeed = 1 m/s\n"
               "active = all hours\npasses = 2 per night\n"
               "[stage]\ntravel = left to right\npath scatter = 0 m\n"
               "[camera]\nplace = 5 m before, 30 cm up\nshutter = 1/4000 s\nshutter lag = 0 s\nsleeps = no\nframes = 1\n"
               "awake current = 0 A\nframe energy = 0 J\n"
               "[lens]\nfocal length = 24 mm\n"
               "[sensor]\nkind = beam\nplace = 50 cm right, 2 m before, 30 cm up\n"
               "aim = 50 cm right, 2 m behind, 30 cm up\n"
               "delay = 0 s\npause = 0 s\nlight gate = always\ndebounce = 0 s\nfalse triggers = 0 per night\nstandby = 0 A\n");
    fill_long_watch(40, PERFECT_LX, PERFECT_LX);
}

/* The examples, under the made-up watch. */
static inline void read_example(const char *name, int nights)
{
    static char bytes[16384];
    char path[4096];
    snprintf(path, sizeof path, "%s/../../examples/%s.plan", OWL_TEST_DATA, name);
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    size_t length = fread(bytes, 1, sizeof bytes - 1, file);
    fclose(file);
    bytes[length] = '\0';
    read_words(bytes);
    fill_long_watch(nights, 2900.0, 0.001);
}

/* Sum of one ledger column over seasons run one after the other. */
struct long_run {
    double passes, keepers, first[OWL_LEDGER_ROWS], only[OWL_LEDGER_ROWS], frames;
};

static inline struct long_run run_long(uint64_t seed, int seasons)
{
    struct long_run sum;
    memset(&sum, 0, sizeof sum);
    for (int i = 0; i < seasons; i++) {
        struct owl_season season;
        owl_season_run(&setup, seed, i, &season);
        for (int row = 0; row < OWL_LEDGER_ROWS; row++) {
            sum.first[row] += season.ledger.first[row];
            sum.only[row] += season.ledger.only[row];
        }
        sum.passes += owl_ledger_passes(&season.ledger);
        sum.frames += season.frames;
    }
    sum.keepers = sum.first[OWL_LEDGER_KEEPER];
    return sum;
}

/* A share of trials against its probability: five standard errors, a chance of 6e-7 to fail for nothing. */
static inline void check_share(const char *what, double successes, double trials, double probability)
{
    check_near(what, successes / trials, probability, 5.0 * sqrt(probability * (1.0 - probability) / trials));
}

#endif
