/* What the parts of the plan reader share while one plan is read. Private to core/plan. */
#ifndef OWL_CORE_PLAN_READING_H
#define OWL_CORE_PLAN_READING_H

#include "core/plan/complaints.h"
#include "core/plan/fields.h"

struct owl_reading {
    const char *bytes; /* the text, byte-order mark skipped */
    size_t length;
    struct owl_plan plan;
    struct owl_complaints *complaints;
    int section_line[16];   /* where each section of the table first stands, 0: nowhere */
    int flash_line[OWL_FLASHES], passer_line[OWL_PASSERS];
};

/* A complaint that underlines the value of a field where the user wrote it, else its section's
   heading, else the plan as a whole. */
struct owl_text owl_complain_field(struct owl_reading *reading, const char *section, int nth,
                                   const char *field);

/* Fills in defaults that come from elsewhere in the plan (complete.c). */
void owl_plan_complete(struct owl_plan *plan);

/* Complaints about values that are each possible but cannot stand together (check.c). */
void owl_plan_check(struct owl_reading *reading);

#endif
