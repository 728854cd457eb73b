/* Writes for one plan what the WebAssembly module is to be given and what it must find: the text, the
   prepared nights and rows, and the native build's figures. Used by scripts/check-wasm. */
#include <stdio.h>
#include <stdlib.h>

#include "core/plan/evaluate.h"
#include "core/plan/reader.h"
#include "sky/watch_sky.h"

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
    struct owl_watch_site site = {.latitude_rad = plan.site.latitude_rad, .longitude_rad = plan.site.longitude_rad,
                                  .height_m = plan.site.altitude_m, .zone = plan.site.zone,
                                  .start = owl_calendar_date((int64_t)plan.watch.start_days), .nights = (int)plan.watch.nights};
    struct owl_watch_sky sky;
    size_t nights = (size_t)site.nights, rows = nights * OWL_NIGHT_ROWS + 1;
    struct owl_night *night = calloc(nights, sizeof *night);
    struct owl_watch_row *row = calloc(rows, sizeof *row);
    if (!night || !row || owl_watch_sky_open(&sky, &site) != OWL_OK ||
        owl_watch_view_fill(&plan, &sky.sky, night, row) != OWL_OK)
        return 1;
    watch = (struct owl_watch_view){.nights = site.nights, .night = night, .row = row, .sky = &sky.sky};
    owl_activity_fill(&watch.activity);
    if (owl_plan_evaluate(&plan, &watch, &evaluation) != OWL_OK)
        return 1;
    for (int i = 0; i < evaluation.outcome.count; i++)
        values[i] = evaluation.outcome.figure[i].value;
    int failed = write_part(words[2], "text", text, length) | write_part(words[2], "nights", night, nights * sizeof *night) |
                 write_part(words[2], "rows", row, rows * sizeof *row) |
                 write_part(words[2], "values", values, (size_t)evaluation.outcome.count * sizeof *values);
    owl_watch_sky_close(&sky);
    free(night);
    free(row);
    return failed;
}
