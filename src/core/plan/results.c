/* The result table and the record of an evaluation. */
#include "core/plan/results.h"

#include <math.h>
#include <string.h>

static const struct owl_result_row rows[OWL_RESULTS] = {
#define R(name, key, unit, origin, source, label, formula, inputs) \
    {key, OWL_UNIT_##unit, OWL_##origin, source, label, formula, inputs},
#include "core/plan/results.list.h"
#undef R
};

const struct owl_result_row *owl_result_row(enum owl_result result)
{
    return &rows[result];
}

void owl_result_si(enum owl_result result, struct owl_text *text)
{
    const struct owl_result_row *row = &rows[result];
    if (row->unit != OWL_UNIT_PHYSICAL) {
        owl_text_words(text, owl_unit_si(row->unit));
        return;
    }
    const char *open = strrchr(row->label, '('), *close = strrchr(row->label, ')');
    if (open && close > open)
        owl_text_bytes(text, open + 1, (size_t)(close - open - 1));
}

double owl_outcome_note(struct owl_outcome *outcome, enum owl_result result, int which, double value,
                        int inputs, const double *input)
{
    if (isnan(value)) {
        if (outcome->undefined++ == 0)
            outcome->first_undefined = result;
        return value;
    }
    if (outcome->count < OWL_FIGURES) {
        struct owl_figure *figure = &outcome->figure[outcome->count++];
        figure->result = result;
        figure->which = which;
        figure->inputs = inputs;
        figure->value = value;
        memcpy(figure->input, input, (size_t)inputs * sizeof *input);
    }
    return value;
}

const struct owl_figure *owl_outcome_find(const struct owl_outcome *outcome, enum owl_result result, int which)
{
    for (int i = 0; i < outcome->count; i++)
        if (outcome->figure[i].result == result && outcome->figure[i].which == which)
            return &outcome->figure[i];
    return NULL;
}

double owl_outcome_value(const struct owl_outcome *outcome, enum owl_result result, int which)
{
    const struct owl_figure *figure = owl_outcome_find(outcome, result, which);
    return figure ? figure->value : NAN;
}

const char *owl_device_name(const struct owl_plan *plan, int device)
{
    if (device == OWL_DEVICE_CAMERA)
        return "camera";
    return device == OWL_DEVICE_SENSOR ? "sensor" : plan->flash[device - OWL_DEVICE_FLASH].name;
}

const struct owl_supply *owl_device_supply(const struct owl_plan *plan, int device)
{
    if (device == OWL_DEVICE_CAMERA)
        return &plan->camera.supply;
    return device == OWL_DEVICE_SENSOR ? &plan->sensor.supply : &plan->flash[device - OWL_DEVICE_FLASH].supply;
}

void owl_figure_key(const struct owl_plan *plan, enum owl_result result, int which, struct owl_text *text)
{
    const char *key = rows[result].key, *star = strchr(key, '*');
    if (!star) {
        owl_text_words(text, key);
        return;
    }
    owl_text_bytes(text, key, (size_t)(star - key));
    owl_text_words(text, strncmp(key, "cells", 5) == 0 ? owl_device_name(plan, which) : plan->flash[which].name);
    owl_text_words(text, star + 1);
}

const struct owl_figure *owl_outcome_by_key(const struct owl_plan *plan, const struct owl_outcome *outcome,
                                            const char *key)
{
    for (int i = 0; i < outcome->count; i++) {
        char name[96];
        struct owl_text text = owl_text_over(name, sizeof name);
        owl_figure_key(plan, outcome->figure[i].result, outcome->figure[i].which, &text);
        if (strcmp(name, key) == 0)
            return &outcome->figure[i];
    }
    return NULL;
}
