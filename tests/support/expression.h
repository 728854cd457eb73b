/* Reads a formula of the result table and computes it, for the tests only: what the user is shown
   as the formula must be what was computed. */
#ifndef OWL_TESTS_EXPRESSION_H
#define OWL_TESTS_EXPRESSION_H

#define EXPRESSION_SYMBOLS 8

struct expression_symbols {
    int count;
    const char *name[EXPRESSION_SYMBOLS];
    double value[EXPRESSION_SYMBOLS];
};

/* The right side of `X = ...`: + - * / ^, brackets, sqrt abs sin cos atan lg2 floor min max, if(a < b, x, y), inf.
   Fails the running test on anything it does not know. */
double expression_value(const char *formula, const struct expression_symbols *symbols);

#endif
