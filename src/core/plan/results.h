/* The result table: what a plan computes, each with key, unit, formula, source and origin, and the
   record of one evaluation with the numbers that went into every result. */
#ifndef OWL_CORE_PLAN_RESULTS_H
#define OWL_CORE_PLAN_RESULTS_H

#include "core/plan/fields.h"

enum owl_result {
#define R(name, key, unit, origin, source, label, formula, inputs) OWL_RESULT_##name,
#include "core/plan/results.list.h"
#undef R
    OWL_RESULTS
};

struct owl_result_row {
    const char *key;
    enum owl_unit unit;
    enum owl_origin origin;
    const char *source, *label, *formula, *inputs;
};

const struct owl_result_row *owl_result_row(enum owl_result result);

/* The unit for machines: the SI name of its kind, or what the label has in brackets. */
void owl_result_si(enum owl_result result, struct owl_text *text);

#define OWL_FIGURES 224
#define OWL_FIGURE_INPUTS 6

/* One number with the numbers put in, in the order of the row's inputs. */
struct owl_figure {
    enum owl_result result;
    int which; /* the flash, or the device with cells, for keys with `*`; else 0 */
    int inputs;
    double value, input[OWL_FIGURE_INPUTS];
};

/* What an evaluation found. A plain value. */
struct owl_outcome {
    struct owl_figure figure[OWL_FIGURES];
    int count;
    int undefined;                  /* figures whose formula did not hold for this plan */
    enum owl_result first_undefined;
};

/* Notes a figure and gives its value back. A NaN counts as undefined and is not noted. */
double owl_outcome_note(struct owl_outcome *outcome, enum owl_result result, int which, double value,
                        int inputs, const double *input);

#define OWL_NOTE(outcome, name, which, value, ...)                              \
    owl_outcome_note(outcome, OWL_RESULT_##name, which, value,                  \
                     (int)(sizeof((double[]){__VA_ARGS__}) / sizeof(double)), (double[]){__VA_ARGS__})

/* NULL when the evaluation has no such figure. */
const struct owl_figure *owl_outcome_find(const struct owl_outcome *outcome, enum owl_result result, int which);

/* Its value, NaN when there is none. */
double owl_outcome_value(const struct owl_outcome *outcome, enum owl_result result, int which);

/* Devices with cells, in the order of `which`: camera, sensor, then the flashes. */
#define OWL_DEVICE_CAMERA 0
#define OWL_DEVICE_SENSOR 1
#define OWL_DEVICE_FLASH 2
#define OWL_DEVICES (OWL_DEVICE_FLASH + OWL_FLASHES)
const char *owl_device_name(const struct owl_plan *plan, int device);
const struct owl_supply *owl_device_supply(const struct owl_plan *plan, int device);

/* The full key of a figure, `*` replaced by its name. */
void owl_figure_key(const struct owl_plan *plan, enum owl_result result, int which, struct owl_text *text);

/* The figure with this full key; NULL when there is none. */
const struct owl_figure *owl_outcome_by_key(const struct owl_plan *plan, const struct owl_outcome *outcome,
                                            const char *key);

#endif
