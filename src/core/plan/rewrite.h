/* Changes to a plan: made to its value, and written into its text with everything else left as it stands.
   Owns nothing. */
#ifndef OWL_CORE_PLAN_REWRITE_H
#define OWL_CORE_PLAN_REWRITE_H

#include "core/plan/fields.h"
#include "core/status.h"

#define OWL_CHANGE_BYTES 64
#define OWL_CHANGES_MOST 64 /* in one rewriting */

/* A field and what it is to be. */
struct owl_change {
    const struct owl_section *section;
    int nth;                      /* among the sections of its kind, from 0 */
    int field;                    /* its place in the section */
    char words[OWL_CHANGE_BYTES]; /* the new value as a plan holds it: `f/8` */
};

/* Makes a change to a complete plan: the field counts as given (a line of -1 when it had none), and what other parts
   of the plan leave to it is filled in anew, as reading the changed text would. A passer's kind cannot be changed so.
   OWL_OUTSIDE_DOMAIN: the words are no value of the field, or it lies outside its range; *plan is untouched. */
enum owl_status owl_plan_apply(const struct owl_change *change, struct owl_plan *plan) OWL_MUST_USE;

/* Writes the text with the changes made: values in their places, with remarks, blanks and line ends as they were; a
   field that was not given at the end of its section, a section that was not there at the end. The last change to a
   field counts. plan: what owl_plan_read made of the text. text->cut tells when the buffer was too small. */
void owl_plan_rewrite(const char *bytes, size_t length, const struct owl_plan *plan, const struct owl_change *change,
                      int changes, struct owl_text *text);

#endif
