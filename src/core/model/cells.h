/* Cells and batteries in the cold: what they hold, what is left after standing, how long they last.
   All values of the table are `estimate` (data-sheet style, from memory; usable shares within 15
   percentage points): the user's own measurement goes before them. Source key [cells] throughout. */
#ifndef OWL_CORE_MODEL_CELLS_H
#define OWL_CORE_MODEL_CELLS_H

#include <stddef.h>

#include "core/constants.h"

struct owl_cells_kind {
    const char *name;
    double nominal_v, cutoff_v;        /* of one cell; the 12 V block counts as one */
    double mean_v;                     /* over a whole discharge under load */
    double capacity_ah;                /* at 20 C and an easy drain */
    double resistance_ohm;             /* at 20 C */
    double resistance_cold_ohm;        /* at -20 C */
    double usable[3];                  /* share of the capacity left at 0, -10, -20 C */
    double self_discharge_per_month;   /* share lost at 20 C */
    double peukert, rating_h;          /* exponent and hours of the rated capacity; 1: no such loss */
    const double (*drain_table)[2];    /* drain in A against capacity in Ah, closed by {0, 0}; or NULL */
};

#define OWL_CELLS_MONTH_S (30.4375 * OWL_SECONDS_PER_DAY) /* a twelfth of 365.25 days */

size_t owl_cells_count(void);
const struct owl_cells_kind *owl_cells_at(size_t index);
/* By its name, capitals ignored; NULL when there is none. */
const struct owl_cells_kind *owl_cells_find(const char *name);

/* Cells as they are joined. */
struct owl_cells_set {
    const struct owl_cells_kind *kind;
    int in_series, in_parallel; /* at least 1 each */
    double capacity_ah;         /* of one cell as measured; NaN: the kind's */
    double temperature_k;
    double reserve_share;       /* kept back, 0..1 */
};

/* Share of the 20 C capacity usable at a temperature: linear between 20, 0, -10 and -20 C, flat
   beyond; NaN at or below 0 K. */
double owl_cells_usable_share(const struct owl_cells_kind *kind, double temperature_k);

/* Capacity at a drain, against the kind's own: from the kind's table, linear in the logarithm of the
   drain and flat beyond its ends, or by owl_cells_peukert_h for harder drains than rated. At most 1.
   NaN for a drain <= 0 or infinite. */
double owl_cells_drain_share(const struct owl_cells_kind *kind, double drain_a);

/* Inner resistance of one cell, ohm, by the straight line in the logarithm between 20 and -20 C, flat
   beyond. NaN at or below 0 K. */
double owl_cells_resistance_ohm(const struct owl_cells_kind *kind, double temperature_k);

/* Share lost by self-discharge in a month: s20 * 2^((T - 20 C)/10 K), at most 1. NaN at or below 0 K. */
double owl_cells_self_discharge_per_month(const struct owl_cells_kind *kind, double temperature_k);

/* Share left after standing for so many months (of 30.4375 days): (1 - s)^months. NaN
   unless months >= 0, and at or below 0 K. */
double owl_cells_left_share(const struct owl_cells_kind *kind, double temperature_k, double months);

/* Energy in J that can be used of the whole set at its temperature and a drain per cell row, before
   self-discharge, the reserve kept back; counted at the mean voltage. A drain weighs by what it is of the
   capacity: on a cell of twice the kind's, half. NaN for a drain <= 0 or infinite, at or below 0 K, a
   capacity <= 0, or a reserve outside 0..1. */
double owl_cells_energy_j(const struct owl_cells_set *set, double drain_a);

/* Nights n of 24 h until n * night_j equals what self-discharge has left of the store:
   E (1 - s)^(n / 30.4375) = n * night_j. INFINITY for nothing taken: self-discharge alone
   never empties the store. NaN for night_j < 0 and where owl_cells_energy_j is NaN. */
double owl_cells_nights(const struct owl_cells_set *set, double night_j, double drain_a);

/* Hours a battery of capacity_ah, rated at rating_h, runs at a current: H (C / (I H))^k; below the
   rated current simply C / I (the law overstates there). NaN unless all are > 0. Published: Peukert's
   law; the exponents are estimates. */
double owl_cells_peukert_h(double capacity_ah, double rating_h, double exponent, double current_a);

/* Voltage of the set under a current, V: series * V - I R series / parallel, V nominal. Below 0 when the
   set cannot give that current. */
double owl_cells_sag_v(const struct owl_cells_set *set, double current_a);

/* Most power the set can give into a circuit that adds its own resistance, W: V^2 / (4 R), V nominal.
   NaN unless circuit_ohm >= 0. */
double owl_cells_peak_power_w(const struct owl_cells_set *set, double circuit_ohm);

#endif
