/* What the tests share: comparisons that name what they compare, and the record of how far each
   outside source agreed. Include after the system headers that cmocka wants. */
#ifndef OWL_TESTS_CHECK_H
#define OWL_TESTS_CHECK_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

/* A value against an outside source (a key of docs/sources.md). Fails the test when
   |actual - expected| > tolerance; infinities must match exactly. When the environment variable
   OWL_EVIDENCE names a file, a line with source, what, actual, expected and tolerance between tabs is added:
   scripts/evidence makes the table of largest errors from that. */
void check_cited(const char *source, const char *what, double actual, double expected, double tolerance);

/* The same with the tolerance as a share of |expected|. */
void check_cited_relative(const char *source, const char *what, double actual, double expected,
                          double tolerance);

/* An identity or property, not an outside value: nothing is recorded. */
void check_near(const char *what, double actual, double expected, double tolerance);

/* The absolute path of a file below tests/data. The text lives until the next call. */
const char *check_data_path(const char *name);

#endif
