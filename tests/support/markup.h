/* What the tests of pages and drawings share: whether markup is well formed, and whether the labels of a drawing keep
   apart. Each check fails the running test. */
#ifndef OWL_TESTS_MARKUP_H
#define OWL_TESTS_MARKUP_H

/* Every tag closed by its own name, every attribute in double quotes, no bare ampersand. */
void check_balance(const char *text);

/* Every label of a stage drawing keeps to its own room: rooms inside the sheet and apart, texts inside their rooms. */
void check_labels(const char *svg);

/* Both, and what no drawing may hold: a number that is none, a script. */
void check_drawing(const char *svg);

#endif
