/* How long reading and evaluating one plan takes, the sky given. Prints microseconds, the best of
   many repetitions: the least is the least disturbed. */
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "core/plan/evaluate.h"
#include "core/plan/reader.h"
#include "sky/watch_sky.h"

#define REPEATS 200

static double now_s(void)
{
    struct timespec time;
    clock_gettime(CLOCK_MONOTONIC, &time);
    return (double)time.tv_sec + 1e-9 * (double)time.tv_nsec;
}

static size_t read_file(const char *path, char *bytes, size_t room)
{
    FILE *file = fopen(path, "rb");
    if (!file)
        return 0;
    size_t length = fread(bytes, 1, room, file);
    fclose(file);
    return length;
}

static void report(const char *what, double best_s)
{
    printf("%-44s %10.1f us\n", what, best_s * 1e6);
}

int main(int count, char **words)
{
    static char bytes[OWL_PLAN_BYTES];
    static struct owl_plan plan;
    static struct owl_complaints complaints;
    static struct owl_evaluation evaluation;
    size_t length = count > 1 ? read_file(words[1], bytes, sizeof bytes) : 0;
    if (length == 0 || owl_plan_read(bytes, length, &plan, &complaints) != OWL_OK)
        return 1;
    double read_s = 1e9, sky_s = 1e9, view_s = 1e9, evaluate_s = 1e9;
    struct owl_watch_site site = owl_watch_site_of(&plan);
    size_t nights = (size_t)site.nights;
    struct owl_night *night = calloc(nights, sizeof *night);
    struct owl_watch_row *row = calloc(nights * OWL_NIGHT_ROWS + 1, sizeof *row);
    struct owl_watch_sky sky;
    if (!night || !row || owl_watch_sky_open(&sky, &site) != OWL_OK)
        return 1;
    static struct owl_watch_view watch;
    watch = (struct owl_watch_view){.nights = site.nights, .night = night, .row = row, .sky = &sky.sky};
    owl_activity_fill(&watch.activity, &plan);
    for (int i = 0; i < REPEATS; i++) {
        double start = now_s();
        if (owl_plan_read(bytes, length, &plan, &complaints) != OWL_OK)
            return 1;
        double read = now_s();
        if (i < 5) {
            struct owl_watch_sky again;
            if (owl_watch_sky_open(&again, &site) != OWL_OK)
                return 1;
            double opened = now_s();
            if (owl_watch_view_fill(&plan, &sky.sky, night, row) != OWL_OK)
                return 1;
            double filled = now_s();
            sky_s = opened - read < sky_s ? opened - read : sky_s;
            view_s = filled - opened < view_s ? filled - opened : view_s;
            owl_watch_sky_close(&again);
        }
        double before = now_s();
        if (owl_plan_evaluate(&plan, &watch, &evaluation) != OWL_OK)
            return 1;
        double done = now_s();
        read_s = read - start < read_s ? read - start : read_s;
        evaluate_s = done - before < evaluate_s ? done - before : evaluate_s;
    }
    printf("%s, %d nights, %d figures\n", words[1], site.nights, evaluation.outcome.count);
    report("reading the plan", read_s);
    report("sky table", sky_s);
    report("light, clock and events of all nights", view_s);
    report("evaluating the plan, sky given", evaluate_s);
    owl_watch_sky_close(&sky);
    free(night);
    free(row);
    return 0;
}
