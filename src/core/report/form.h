/* The form of a plan for machines (RFC 8259), made from the field table: everything a plan may hold, as it stands in the
   text and as it counts. */
#ifndef OWL_CORE_REPORT_FORM_H
#define OWL_CORE_REPORT_FORM_H

#include "core/plan/places.h"

/* A plan's text, sound or not, and what is known of it. */
struct owl_report_form {
    const char *bytes;
    size_t length;
    const struct owl_places *places; /* of this text */
    const struct owl_plan *plan;     /* the last sound one, NULL: none yet */
};

/* `{"sections": [..], "can add": [..]}`. A section: its place in the field table (`section`), name, nth, the name given to it
   (`own`), label, help, whether its heading stands (`given`) and where (`line`), fields. A field: its place in the section
   (`field`), name, kind of unit (`unit`), SI unit (`si`), the words in the text or else those that count without it, the value
   that counts in SI (a place as [x, y, z]; null when none does), `given` and `line`, the default as the field table has it
   (`standard`) and whether it must be given (`required`) or comes from the rest of the plan (`derived`), range, choices, origin
   of the default, help and an example. What could be added: bait, flashes, passers. */
void owl_report_form(const struct owl_report_form *form, struct owl_text *text);

/* `{"animals": [..], "cells": [..], "foods": [..]}`: what stands behind the words of the choices, SI. */
void owl_report_choices(struct owl_text *text);

#endif
