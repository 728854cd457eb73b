/* The clocks of cameras: whether one was reset, how two differ, and times put right. Times are seconds since 1970 of whatever
   clock, as doubles. Pure computation; nothing is allocated. */
#ifndef OWL_CARD_CLOCK_H
#define OWL_CARD_CLOCK_H

#include <stdbool.h>

#define OWL_CLOCK_ZONE_STEP_S 900.0    /* zones and summer times differ by multiples of it; common practice */
#define OWL_CLOCK_ZONE_MOST_S 93600.0  /* from 12 h behind UTC to 14 h ahead of it; common practice */
#define OWL_CLOCK_FIRST_YEAR 2005      /* before it no camera of this trade; estimate */
#define OWL_CLOCK_MATCHES_LEAST 3      /* moments in common to believe a shift; estimate */

enum owl_clock_look {
    OWL_CLOCK_PLAUSIBLE,
    OWL_CLOCK_MAYBE_RESET, /* within the first hour of a year, or of its first noon: where cameras start again; common practice */
    OWL_CLOCK_RESET,       /* before OWL_CLOCK_FIRST_YEAR, later than `now` by over a day, or no time at all */
};

/* How a time by a camera's clock looks. now_s: the time of looking, any zone; NaN: not known, then only the past is judged. */
enum owl_clock_look owl_clock_look(double local_s, double now_s);

/* The first of times[from..count), in the order the frames were counted, that lies more than leeway_s (from 0) before the
   time before it; count when there is none. NaN are passed over. There the clock was set back, or lost. */
int owl_clock_step_back(const double *times_s, int count, int from, double leeway_s);

/* Times in rising order, without NaN. */
struct owl_clock_series {
    const double *time_s;
    int count;
};

struct owl_clock_pair {
    double reference_s, other_s;
};

/* Pairs the moments of two series that agree within tolerance_s when shift_s is taken off the other; each goes into one pair
   at most, the earliest that fits. Writes up to room of them; returns how many there are, which may be more. */
int owl_clock_pairs(const struct owl_clock_series *reference, const struct owl_clock_series *other, double shift_s,
                    double tolerance_s, struct owl_clock_pair *pairs, int room);

struct owl_clock_shift {
    bool found;      /* at least OWL_CLOCK_MATCHES_LEAST in common, and twice as many as with any other shift */
    double shift_s;  /* the other clock ahead of the reference; NaN when no shift has a moment in common */
    int matched;     /* moments in common with that shift ... */
    int runner_up;   /* ... and with the best of the others */
};

/* The shift between two clocks of which one was set to another zone: the multiple of OWL_CLOCK_ZONE_STEP_S, at most
   OWL_CLOCK_ZONE_MOST_S either way, that brings most moments together. Of equals the smallest. tolerance_s: how far the
   clocks may be off else, above 0 and below half a step; NaN shift, nothing found, outside. Two cameras seldom see all the
   same visits: moments that only one has do no harm. */
struct owl_clock_shift owl_clock_zone_shift(const struct owl_clock_series *reference, const struct owl_clock_series *other,
                                            double tolerance_s);

/* How one clock goes against another: other = reference + offset + rate (reference - at). */
struct owl_clock_drift {
    double at_s;           /* by the reference clock: the middle of the pairs, where the offset is known best */
    double offset_s;       /* the other clock ahead */
    double rate;           /* seconds it gains in a second */
    double offset_error_s; /* standard errors; NaN with fewer than 3 pairs. At at_s the two are independent */
    double rate_error;
    double scatter_s;      /* standard deviation of the pairs about the line; NaN with fewer than 3 pairs */
    int pairs;
};

/* Ordinary least squares on paired moments, all equal in weight [least-squares]. With pairs at one single time only at and
   offset are known, for owl_clock_constant; with no pair, or one that is not finite, all is NaN. Good to some 1e-12 of the
   times' spread. */
struct owl_clock_drift owl_clock_fit(const struct owl_clock_pair *pairs, int count);

/* The drift of a clock that is only set wrong by a fixed amount. */
struct owl_clock_drift owl_clock_constant(double shift_s);

/* A time of the other clock by the reference clock; NaN when the drift is not known or the clock stands (rate <= -1). */
double owl_clock_apply(const struct owl_clock_drift *drift, double other_s);

/* Standard error of such a time from the fit alone; NaN where not known. */
double owl_clock_apply_error_s(const struct owl_clock_drift *drift, double other_s);

#endif
