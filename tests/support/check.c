/* Comparisons and the evidence record. */
#include "support/check.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

static int agree(double actual, double expected, double tolerance)
{
    if (isinf(expected))
        return actual == expected;
    return fabs(actual - expected) <= tolerance;
}

void check_near(const char *what, double actual, double expected, double tolerance)
{
    if (!agree(actual, expected, tolerance))
        fail_msg("%s: got %.12g, want %.12g within %.3g", what, actual, expected, tolerance);
}

void check_cited(const char *source, const char *what, double actual, double expected, double tolerance)
{
    const char *path = getenv("OWL_EVIDENCE");
    FILE *record = path ? fopen(path, "a") : NULL;
    if (record) {
        fprintf(record, "%s\t%s\t%.12g\t%.12g\t%.3g\n", source, what, actual, expected, tolerance);
        fclose(record);
    }
    if (!agree(actual, expected, tolerance))
        fail_msg("[%s] %s: got %.12g, want %.12g within %.3g", source, what, actual, expected, tolerance);
}

void check_cited_relative(const char *source, const char *what, double actual, double expected,
                          double tolerance)
{
    check_cited(source, what, actual, expected, fabs(expected) * tolerance);
}

const char *check_data_path(const char *name)
{
    static char path[4096];
    snprintf(path, sizeof path, "%s/%s", OWL_TEST_DATA, name);
    return path;
}
