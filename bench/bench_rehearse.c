/* Seasons of the marten example in a second on one core. Prints the best of several runs. */
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "core/plan/evaluate.h"
#include "core/plan/reader.h"
#include "core/rehearse/rehearsal.h"
#include "sky/watch_sky.h"

#define SEASONS 400
#define REPEATS 5

static double now_s(void)
{
    struct timespec time;
    clock_gettime(CLOCK_MONOTONIC, &time);
    return (double)time.tv_sec + 1e-9 * (double)time.tv_nsec;
}

int main(int count, char **words)
{
    static char bytes[OWL_PLAN_BYTES];
    static struct owl_plan plan;
    static struct owl_complaints complaints;
    static struct owl_evaluation evaluation;
    static struct owl_watch_view watch;
    static struct owl_setup_row rows[OWL_NIGHTS_MOST * OWL_NIGHT_ROWS + 1];
    static struct owl_setup setup;
    static struct owl_season season[SEASONS];
    FILE *file = count > 1 ? fopen(words[1], "rb") : NULL;
    size_t length = file ? fread(bytes, 1, sizeof bytes, file) : 0;
    if (file)
        fclose(file);
    if (owl_plan_read(bytes, length, &plan, &complaints) != OWL_OK)
        return 1;
    struct owl_watch_site site = owl_watch_site_of(&plan);
    size_t nights = (size_t)site.nights;
    struct owl_night *night = calloc(nights, sizeof *night);
    struct owl_watch_row *row = calloc(nights * OWL_NIGHT_ROWS + 1, sizeof *row);
    struct owl_watch_sky sky;
    if (!night || !row || owl_watch_sky_open(&sky, &site) != OWL_OK ||
        owl_watch_view_fill(&plan, &sky.sky, night, row) != OWL_OK)
        return 1;
    watch = (struct owl_watch_view){.nights = site.nights, .night = night, .row = row, .sky = &sky.sky};
    owl_activity_fill(&watch.activity, &plan);
    struct owl_habits habits = owl_setup_habits_of(&plan);
    if (owl_plan_evaluate(&plan, &watch, &evaluation) != OWL_OK ||
        owl_setup_prepare(&plan, &watch, &evaluation, &habits, rows, &setup) != OWL_OK)
        return 1;
    double best_s = 1e9;
    for (int i = 0; i < REPEATS; i++) {
        double start = now_s();
        owl_rehearsal_run(&setup, 1, 0, SEASONS, season);
        double taken = now_s() - start;
        best_s = taken < best_s ? taken : best_s;
    }
    printf("%s: %d nights, %.0f arrivals a season: %.1f us a season, %.0f seasons a second on one core\n", words[1],
           site.nights, setup.arrivals, best_s / SEASONS * 1e6, SEASONS / best_s);
    owl_watch_sky_close(&sky);
    free(night);
    free(row);
    return 0;
}
