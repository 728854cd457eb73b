/* Writes for one plan what the WebAssembly module is to be given and what it must find: the text, the
   prepared nights and rows, and the native build's figures. Used by scripts/check-wasm. */
#include <stdio.h>
#include <stdlib.h>

#include "core/plan/evaluate.h"
#include "core/plan/reader.h"
#include "core/rehearse/rehearsal.h"
#include "sky/watch_sky.h"

#define SEASONS 200
#define SEED 7

/* The rehearsal of the evaluated plan; static, so that its padding is zero as in the module. */
static const struct owl_rehearsal *rehearse(const struct owl_plan *plan, const struct owl_watch_view *watch,
                                            const struct owl_evaluation *evaluation)
{
    static struct owl_setup_row row[OWL_NIGHTS_MOST * OWL_NIGHT_ROWS + 1];
    static struct owl_setup setup;
    static struct owl_season season[SEASONS];
    static double column[SEASONS];
    static struct owl_rehearsal rehearsal;
    struct owl_habits habits = owl_setup_habits_of(plan);
    if (owl_setup_prepare(plan, watch, evaluation, &habits, row, &setup) != OWL_OK)
        return NULL;
    owl_rehearsal_run(&setup, SEED, 0, SEASONS, season);
    owl_rehearsal_reduce(&setup, season, SEASONS, column, &rehearsal);
    return &rehearsal;
}

static int write_part(const char *stem, const char *part, const void *bytes, size_t length)
{
    char path[4096];
    snprintf(path, sizeof path, "%s.%s", stem, part);
    FILE *file = fopen(path, "wb");
    if (!file || fwrite(bytes, 1, length, file) != length)
        return 1;
    return fclose(file);
}

int main(int count, char **words)
{
    static char text[OWL_PLAN_BYTES];
    static struct owl_plan plan;
    static struct owl_complaints complaints;
    static struct owl_evaluation evaluation;
    static struct owl_watch_view watch;
    static double values[OWL_FIGURES];
    FILE *file = count == 3 ? fopen(words[1], "rb") : NULL;
    if (!file)
        return 1;
    size_t length = fread(text, 1, sizeof text, file);
    fclose(file);
    if (owl_plan_read(text, length, &plan, &complaints) != OWL_OK)
        return 1;
    struct owl_watch_site site = owl_watch_site_of(&plan);
    struct owl_watch_sky sky;
    size_t nights = (size_t)site.nights, rows = nights * OWL_NIGHT_ROWS + 1;
    struct owl_night *night = calloc(nights, sizeof *night);
    struct owl_watch_row *row = calloc(rows, sizeof *row);
    if (!night || !row || owl_watch_sky_open(&sky, &site) != OWL_OK ||
        owl_watch_view_fill(&plan, &sky.sky, night, row) != OWL_OK)
        return 1;
    watch = (struct owl_watch_view){.nights = site.nights, .night = night, .row = row, .sky = &sky.sky};
    owl_activity_fill(&watch.activity, &plan);
    if (owl_plan_evaluate(&plan, &watch, &evaluation) != OWL_OK)
        return 1;
    for (int i = 0; i < evaluation.outcome.count; i++)
        values[i] = evaluation.outcome.figure[i].value;
    const struct owl_rehearsal *rehearsal = rehearse(&plan, &watch, &evaluation);
    if (!rehearsal)
        return 1;
    int failed = write_part(words[2], "rehearsal", rehearsal, sizeof *rehearsal) |
                 write_part(words[2], "text", text, length) | write_part(words[2], "nights", night, nights * sizeof *night) |
                 write_part(words[2], "rows", row, rows * sizeof *row) |
                 write_part(words[2], "values", values, (size_t)evaluation.outcome.count * sizeof *values);
    owl_watch_sky_close(&sky);
    free(night);
    free(row);
    return failed;
}
