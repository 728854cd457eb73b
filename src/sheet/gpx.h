/* The place of the site as a GPX file, for maps and satellite receivers [gpx11]. Pure text. */
#ifndef OWL_SHEET_GPX_H
#define OWL_SHEET_GPX_H

#include "core/plan/plan.h"
#include "core/status.h"

/* Room that always holds the file. */
#define OWL_GPX_BYTES 2048

/* Adds the whole file: one waypoint with the site's name, to a millionth of a degree, a tenth of a metre, and a caution about
   handing it on. No height is given: receivers mean another one.
   OWL_OUTSIDE_DOMAIN when the site is not on the globe, with nothing added; OWL_NO_ROOM when text's buffer is too small. */
enum owl_status owl_gpx_write(const struct owl_plan *plan, struct owl_text *text) OWL_MUST_USE;

#endif
