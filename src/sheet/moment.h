/* Times of frames in words, by the clock they were taken by: seconds since 1970-01-01T00:00 of that clock. Times that are not
   known, or outside the years 1 to 9999, write nothing. */
#ifndef OWL_SHEET_MOMENT_H
#define OWL_SHEET_MOMENT_H

#include <stdbool.h>
#include <stdint.h>

#include "core/text.h"

bool owl_moment_known(double local_s);

#define OWL_MOMENT_NO_NIGHT INT64_MIN

/* The night a time falls in, noon to noon, by its evening in days since 1970-01-01; OWL_MOMENT_NO_NIGHT for NaN. */
int64_t owl_moment_night(double local_s);

/* 2027-01-09T17:42:05, with hundredths of the second where they are not 0 [iso8601]; without a zone, as none is known. */
void owl_moment_iso(double local_s, struct owl_text *text);

/* 17:42:05, the second begun. */
void owl_moment_clock(double local_s, struct owl_text *text);

/* 2027-01-09, for days since 1970-01-01. */
void owl_moment_date(int64_t days, struct owl_text *text);

#endif
