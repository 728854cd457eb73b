/* Any bytes through the plan reader; a plan that reads well goes on through the evaluation under a
   small made-up sky, so that no possible plan can break it. */
#include <math.h>
#include <stdint.h>
#include <string.h>

#include "core/constants.h"
#include "core/plan/evaluate.h"
#include "core/plan/reader.h"
#include "core/plan/workings.h"

#define NIGHTS 2

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void make_watch(const struct owl_plan *plan, struct owl_watch_view *watch)
{
    static struct owl_night night[NIGHTS];
    static struct owl_watch_row row[NIGHTS * OWL_NIGHT_ROWS + 1];
    for (int n = 0; n < NIGHTS; n++)
        night[n].noon_unix_s = owl_watch_noon_unix_s(plan, n);
    for (int i = 0; i <= NIGHTS * OWL_NIGHT_ROWS; i++) {
        double day = i / (double)OWL_NIGHT_ROWS;
        row[i].light_lx = exp(4.0 + 8.0 * cos(OWL_TAU * day));
        row[i].clock_s = fmod(day + 0.5, 1.0) * OWL_SECONDS_PER_DAY;
        row[i].anchored_rad = fmod(OWL_PI + OWL_TAU * day, OWL_TAU);
    }
    *watch = (struct owl_watch_view){NIGHTS, night, row, NULL};
}

static void evaluate(struct owl_plan *plan)
{
    static struct owl_evaluation evaluation;
    static char buffer[4096];
    struct owl_watch_view watch;
    plan->watch.nights = NIGHTS;
    make_watch(plan, &watch);
    if (owl_plan_evaluate(plan, &watch, &evaluation) != OWL_OK)
        return;
    for (int i = 0; i < evaluation.outcome.count; i++) {
        struct owl_text text = owl_text_over(buffer, sizeof buffer);
        owl_working_show(plan, &evaluation.outcome, &evaluation.outcome.figure[i], &text);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct owl_plan plan;
    static struct owl_complaints complaints;
    static char buffer[2048];
    if (owl_plan_read((const char *)data, size, &plan, &complaints) == OWL_OK) {
        evaluate(&plan);
        return 0;
    }
    for (int i = 0; i < complaints.count; i++) {
        struct owl_text text = owl_text_over(buffer, sizeof buffer);
        owl_complaint_show(&complaints.list[i], "fuzz", (const char *)data, size, &text);
    }
    return 0;
}
