/* The dates of a watch as an iCalendar file, for the calendar of a phone or computer [rfc5545]. Pure text. */
#ifndef OWL_SHEET_CALENDAR_H
#define OWL_SHEET_CALENDAR_H

#include "core/plan/evaluate.h"
#include "core/status.h"

/* Room that always holds the calendar of the longest watch, serviced every day. */
#define OWL_CALENDAR_BYTES 786432

/* Adds the whole file, lines ended by CR LF: the day of placing, the time to come back for the test in each of the first two
   nights that has one, the service visits with a reminder at nine in the morning of the day before, and the end of the watch.
   A service visit is due on the day of the night before the one in which the first of cells and card runs out, at the
   earliest a day after they were new, and is taken to renew them all; there is one wherever they would not see the watch out.
   Test times are in UTC to the minute, days are days of the site. stamp_unix_s is when the file is made, UTC. Names of events
   are the same for every calendar of this site and first night, so that a new one replaces the old; the place itself does
   not stand in it.
   `evaluation` and `watch` must be of this plan. OWL_OUTSIDE_DOMAIN when the stamp or the watch lies outside years 1 to 9999,
   with nothing added; OWL_NO_ROOM when text's buffer is too small. */
enum owl_status owl_calendar_write(const struct owl_plan *plan, const struct owl_evaluation *evaluation,
                                   const struct owl_watch_view *watch, double stamp_unix_s, struct owl_text *text) OWL_MUST_USE;

#endif
