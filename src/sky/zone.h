/* The clock of a place: spans of constant offset from the time zones installed with the system.
   Owns nothing. Not for use from two threads at once: it changes the process's TZ and puts it back. */
#ifndef OWL_SKY_ZONE_H
#define OWL_SKY_ZONE_H

#include "core/model/sky_table.h"
#include "core/status.h"

/* Fills spans[OWL_ZONE_SPANS] and *count with the offsets that zone `name` (as in "Europe/London") has from
   from_unix_s to to_unix_s, both ends in, changes to the second. The first span begins at from_unix_s. Changes less
   than a day apart that undo each other are not seen; no zone has such. OWL_UNKNOWN_ZONE when name is NULL, no such
   zone file is installed, or the name could not be one (an absolute path, "..", other characters than letters, digits
   and _ + - /). OWL_OUTSIDE_DOMAIN when the times are not in order within the years 1900 to 2200; OWL_NO_ROOM for
   more than OWL_ZONE_SPANS spans; OWL_NO_MEMORY. On failure spans and count are undefined. */
enum owl_status owl_zone_spans(const char *name, double from_unix_s, double to_unix_s,
                               struct owl_zone_span spans[OWL_ZONE_SPANS], int *count) OWL_MUST_USE;

#endif
