/* The working of a result: its formula, the numbers put in with where each comes from, the result,
   its source and how sure it is. */
#ifndef OWL_CORE_PLAN_WORKINGS_H
#define OWL_CORE_PLAN_WORKINGS_H

#include "core/plan/results.h"

#define OWL_SYMBOL_BYTES 8
#define OWL_MEANING_BYTES 80

/* One number put in. */
struct owl_working_input {
    char symbol[OWL_SYMBOL_BYTES];
    char meaning[OWL_MEANING_BYTES]; /* `camera.aperture`, `flash.key.exposure`, or words */
    char unit_words[16];             /* for a number that has no name elsewhere: its SI unit */
    bool is_field, is_result;        /* the meaning is a field of the plan, or another result's key */
    enum owl_unit unit;              /* of fields and results */
    enum owl_result result;          /* of results */
    enum owl_origin origin;          /* of fields: the default's, or given */
    int line;                        /* of fields: where the user wrote it, 0: a default */
    double value, named_value;       /* as put in; as the field or result has it now (NaN without one) */
};

/* The inputs of a figure, in the order of its formula; returns how many. */
int owl_working_inputs(const struct owl_plan *plan, const struct owl_outcome *outcome,
                       const struct owl_figure *figure, struct owl_working_input input[OWL_FIGURE_INPUTS]);

/* The whole working as text. */
void owl_working_show(const struct owl_plan *plan, const struct owl_outcome *outcome,
                      const struct owl_figure *figure, struct owl_text *text);

/* A figure's value as a person would write it, with its unit. */
void owl_figure_show(const struct owl_figure *figure, struct owl_text *text);

#endif
