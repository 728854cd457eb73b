/* One plan, evaluated: every figure of the result table, a line for each night, and what is wrong
   with the plan in the order of what it costs. Plain values; nothing is allocated. */
#ifndef OWL_CORE_PLAN_EVALUATE_H
#define OWL_CORE_PLAN_EVALUATE_H

#include "core/plan/results.h"
#include "core/plan/watch_view.h"

#define OWL_NIGHTS_MOST 366
#define OWL_WARNINGS 40

struct owl_night_result {
    double armed_s;                 /* armed time of the night's 24 hours */
    double share;                   /* of the subject's activity in it, 0..1 */
    double darkest_lx, lightest_lx; /* of the armed minutes; NaN when never armed */
    double test_unix_s;             /* when to come back for the test in the light it will work in; NaN: none */
};

struct owl_warning {
    bool danger;      /* to people, animals or gear: comes before everything that costs pictures */
    double cost;      /* share of the subject's passes it loses, 0..1 */
    char words[200];  /* what is wrong */
    char change[160]; /* the one change that mends it */
};

struct owl_evaluation {
    struct owl_outcome outcome;
    int nights;
    struct owl_night_result night[OWL_NIGHTS_MOST];
    int warnings;
    struct owl_warning warning[OWL_WARNINGS];
    int key_flash;      /* the strongest on the animal, -1 without flashes */
    bool noticed;       /* the sensor fires on the subject */
    bool both_ways;     /* the subject comes both ways; the offset figures are of the worse way */
    int worse_sense;    /* +1 walking to the right, -1 to the left */
    double aim_shift_m; /* move the sensor's aim so far along the path, towards growing x */
    int first_to_fail;  /* device of cells.*.nights, or OWL_DEVICES for the card */
};

/* Evaluates a complete plan under a prepared sky.
   OWL_OUTSIDE_DOMAIN: some formula did not hold; outcome.first_undefined names it. */
enum owl_status owl_plan_evaluate(const struct owl_plan *plan, const struct owl_watch_view *watch,
                                  struct owl_evaluation *evaluation) OWL_MUST_USE;

#endif
