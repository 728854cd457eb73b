/* Room for a warning in the evaluation. */
#include "core/plan/warning.h"

#include <math.h>

void owl_warning_new(struct owl_evaluating *part, double cost, bool danger, struct owl_fault *fault)
{
    struct owl_evaluation *result = part->result;
    if (result->warnings == OWL_WARNINGS)
        result->warnings--; /* more than forty faults help nobody */
    struct owl_warning *warning = &result->warning[result->warnings++];
    warning->cost = fmin(fmax(cost, 0.0), 1.0);
    warning->danger = danger;
    fault->words = owl_text_over(warning->words, sizeof warning->words);
    fault->change = owl_text_over(warning->change, sizeof warning->change);
}

double owl_warning_value(const struct owl_evaluating *part, enum owl_result result)
{
    return owl_outcome_value(&part->result->outcome, result, 0);
}
