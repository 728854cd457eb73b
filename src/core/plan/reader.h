/* From the text of a plan file to a plan: `[heading]`, `name = value`, `# remark`.
   Everything wrong is found in one reading and told with its place. */
#ifndef OWL_CORE_PLAN_READER_H
#define OWL_CORE_PLAN_READER_H

#include "core/plan/complaints.h"
#include "core/plan/plan.h"
#include "core/status.h"

/* Longest plan text read; a plan is a page, not a book. */
#define OWL_PLAN_BYTES 262144

/* Reads length bytes (UTF-8, with or without byte-order mark, any line ends) into *plan, fills in
   what was left out, and checks that it can stand in the field.
   OWL_OK: *plan is complete and lies within every field's range.
   OWL_BAD_PLAN: *complaints says why; *plan is untouched. */
enum owl_status owl_plan_read(const char *bytes, size_t length, struct owl_plan *plan,
                              struct owl_complaints *complaints) OWL_MUST_USE;

/* Whether a plan changed by other means than its text could still be read: every value within its field's range, and
   all of them able to stand together. */
bool owl_plan_stands(const struct owl_plan *plan);

/* A complaint that the zone the plan names is not installed: found only by the rooms above. */
void owl_plan_complain_zone(const char *bytes, size_t length, const struct owl_plan *plan,
                            struct owl_complaints *complaints);

#endif
