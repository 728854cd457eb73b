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

/* A stretch of one line. */
struct owl_span {
    const char *start, *end;
};

/* Where the reading stands. */
struct owl_place {
    struct owl_reading *reading;
    struct owl_span line;
    int number;                        /* of the line, from 1 */
    const struct owl_section *section; /* NULL before the first heading and under a bad one */
    int nth;
    bool headless_told, under_bad_heading;
};

#define OWL_READ_NAME_BYTES 48

/* reading_spans.c: without blanks at its ends; its length in characters; its words in lower case with
   single blanks (false when too long); its words in quotes, cut to a readable length; a complaint that
   underlines it. */
struct owl_span owl_span_trimmed(struct owl_span span);
int owl_span_characters(const char *start, const char *end);
bool owl_span_name(struct owl_span span, char name[OWL_READ_NAME_BYTES]);
void owl_span_quote(struct owl_text *text, struct owl_span span);
struct owl_text owl_complain_span(struct owl_place *place, struct owl_span span);

/* reading_values.c: the defaults of one section; a value as the user wrote it, or a complaint. */
void owl_plan_set_standards(const struct owl_section *section, int nth, struct owl_plan *plan);
void owl_read_value(struct owl_place *place, struct owl_span value, int field);

/* reading_missing.c: complaints about required fields that are not there. */
void owl_plan_complain_missing(struct owl_reading *reading);

/* A complaint that underlines the value of a field where the user wrote it, else its section's
   heading, else the plan as a whole. */
struct owl_text owl_complain_field(struct owl_reading *reading, const char *section, int nth,
                                   const char *field);

/* Fills in defaults that come from elsewhere in the plan (complete.c). */
void owl_plan_complete(struct owl_plan *plan);

/* Complaints about values that are each possible but cannot stand together (check.c). */
void owl_plan_check(struct owl_reading *reading);

#endif
