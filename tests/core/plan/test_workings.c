/* The workings: what a user is told about a number is how the number was made. */
#include "support/check.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/plan/evaluate.h"
#include "core/plan/reader.h"
#include "core/plan/workings.h"
#include "support/expression.h"
#include "support/made_watch.h"

static struct owl_plan plan;
static struct owl_complaints complaints;
static struct owl_evaluation evaluation;
static struct made_watch watch;
static bool seen[OWL_RESULTS];

static void evaluate_example(const char *name)
{
    static char bytes[16384];
    char path[4096];
    snprintf(path, sizeof path, "%s/../../examples/%s.plan", OWL_TEST_DATA, name);
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    size_t length = fread(bytes, 1, sizeof bytes, file);
    fclose(file);
    if (owl_plan_read(bytes, length, &plan, &complaints) != OWL_OK)
        fail_msg("%s:%d: %s", name, complaints.list[0].line, complaints.list[0].words);
    made_watch_fill(&plan, &watch);
    assert_int_equal(owl_plan_evaluate(&plan, &watch.view, &evaluation), OWL_OK);
}

/* The inputs named elsewhere hold the value they are said to have, and the formula as written gives
   the result. */
static void check_figure(const struct owl_figure *figure)
{
    const struct owl_result_row *row = owl_result_row(figure->result);
    struct owl_working_input input[OWL_FIGURE_INPUTS];
    struct expression_symbols symbols = {0};
    int count = owl_working_inputs(&plan, &evaluation.outcome, figure, input);
    seen[figure->result] = true;
    if (count != figure->inputs)
        fail_msg("%s: %d inputs noted, %d described", row->key, figure->inputs, count);
    for (int i = 0; i < count; i++) {
        bool named = strchr(input[i].meaning, '.') && !input[i].unit_words[0];
        if (named && !input[i].is_field && !input[i].is_result)
            fail_msg("%s: '%s' is neither a field nor a result", row->key, input[i].meaning);
        if (named && !(input[i].value == input[i].named_value))
            fail_msg("%s: %s went in as %g but is %g", row->key, input[i].meaning, input[i].value, input[i].named_value);
        symbols.name[symbols.count] = input[i].symbol;
        symbols.value[symbols.count++] = input[i].value;
    }
    if (strncmp(row->formula, "by steps:", 9) == 0)
        return;
    double value = expression_value(row->formula, &symbols);
    if (isinf(value) ? value != figure->value : !(fabs(value - figure->value) <= 1e-9 * fmax(fabs(value), 1e-9)))
        fail_msg("%s: the formula gives %.12g, the plan %.12g", row->key, value, figure->value);
}

/* identity: every figure of every example explains itself truly, by its own formula where it has one. */
static void test_workings_of_the_examples(void **state)
{
    (void)state;
    static const char *const names[] = {"marten", "dipper", "lynx", "first"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        evaluate_example(names[i]);
        for (int f = 0; f < evaluation.outcome.count; f++)
            check_figure(&evaluation.outcome.figure[f]);
    }
    for (int i = 0; i < OWL_RESULTS; i++)
        if (!seen[i])
            fail_msg("no example shows %s", owl_result_row((enum owl_result)i)->key);
}

/* identity: every working prints whole: formula, inputs, result, origin and source. */
static void test_workings_print(void **state)
{
    (void)state;
    evaluate_example("marten");
    for (int f = 0; f < evaluation.outcome.count; f++) {
        char buffer[2048];
        struct owl_text text = owl_text_over(buffer, sizeof buffer);
        owl_working_show(&plan, &evaluation.outcome, &evaluation.outcome.figure[f], &text);
        assert_false(text.cut);
        assert_non_null(strstr(buffer, "result: "));
        assert_non_null(strstr(buffer, "source "));
        assert_null(strstr(buffer, "nan"));
    }
}

/* identity: a key finds its figure and no other text does. */
static void test_workings_keys(void **state)
{
    (void)state;
    evaluate_example("marten");
    for (int f = 0; f < evaluation.outcome.count; f++) {
        char key[96];
        struct owl_text text = owl_text_over(key, sizeof key);
        owl_figure_key(&plan, evaluation.outcome.figure[f].result, evaluation.outcome.figure[f].which, &text);
        assert_ptr_equal(owl_outcome_by_key(&plan, &evaluation.outcome, key), &evaluation.outcome.figure[f]);
    }
    assert_null(owl_outcome_by_key(&plan, &evaluation.outcome, "picture"));
    assert_null(owl_outcome_by_key(&plan, &evaluation.outcome, ""));
}

/* identity: every source key of the result table is an entry of docs/sources.md. */
static void test_workings_sources_are_listed(void **state)
{
    (void)state;
    static char sources[65536];
    char path[4096];
    snprintf(path, sizeof path, "%s/../../docs/sources.md", OWL_TEST_DATA);
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    sources[fread(sources, 1, sizeof sources - 1, file)] = '\0';
    fclose(file);
    for (int i = 0; i < OWL_RESULTS; i++) {
        char entry[64];
        snprintf(entry, sizeof entry, "| %s |", owl_result_row((enum owl_result)i)->source);
        if (!strstr(sources, entry))
            fail_msg("docs/sources.md has no '%s'", entry);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_workings_of_the_examples),
        cmocka_unit_test(test_workings_print),
        cmocka_unit_test(test_workings_keys),
        cmocka_unit_test(test_workings_sources_are_listed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
