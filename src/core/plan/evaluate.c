/* The order in which a plan is worked through. */
#include "core/plan/evaluate.h"

#include <math.h>
#include <string.h>

#include "core/plan/evaluating.h"

enum owl_status owl_plan_evaluate(const struct owl_plan *plan, const struct owl_watch_view *watch,
                                  struct owl_evaluation *evaluation)
{
    struct owl_evaluating part = {.plan = plan, .watch = watch, .result = evaluation};
    evaluation->outcome.count = evaluation->outcome.undefined = 0;
    evaluation->nights = watch->nights;
    evaluation->warnings = 0;
    enum owl_status status = owl_view_of(plan, &part.view);
    if (status != OWL_OK)
        return status;
    owl_evaluate_picture(&part);
    owl_evaluate_flashes(&part);
    owl_evaluate_armed(&part);
    owl_evaluate_ambient(&part);
    owl_evaluate_nights(&part);
    owl_evaluate_blur(&part);
    owl_evaluate_sensor(&part);
    owl_evaluate_outlast(&part);
    owl_evaluate_care(&part);
    owl_evaluate_warnings(&part);
    return evaluation->outcome.undefined ? OWL_OUTSIDE_DOMAIN : OWL_OK;
}
