/* Any bytes through the plan reader; a plan that reads well goes on through the evaluation under a
   small made-up sky, so that no possible plan can break it. */
#include <stdint.h>

#include "core/plan/evaluate.h"
#include "core/plan/reader.h"
#include "core/plan/workings.h"
#include "support/made_watch.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* One working a run, another for every length of input. */
static void evaluate(struct owl_plan *plan, size_t which)
{
    static struct owl_evaluation evaluation;
    static char buffer[4096];
    static struct made_watch watch;
    made_watch_fill(plan, &watch);
    if (owl_plan_evaluate(plan, &watch.view, &evaluation) != OWL_OK)
        return;
    const struct owl_figure *figure = &evaluation.outcome.figure[which % (size_t)evaluation.outcome.count];
    struct owl_text text = owl_text_over(buffer, sizeof buffer);
    owl_working_show(plan, &evaluation.outcome, figure, &text);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct owl_plan plan;
    static struct owl_complaints complaints;
    static char buffer[2048];
    if (owl_plan_read((const char *)data, size, &plan, &complaints) == OWL_OK) {
        evaluate(&plan, size);
        return 0;
    }
    for (int i = 0; i < complaints.count; i++) {
        struct owl_text text = owl_text_over(buffer, sizeof buffer);
        owl_complaint_show(&complaints.list[i], "fuzz", (const char *)data, size, &text);
    }
    return 0;
}
