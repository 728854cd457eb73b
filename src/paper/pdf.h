/* The field sheet as a PDF for A4 paper, for those who print it and leave the phone at home. */
#ifndef OWL_PAPER_PDF_H
#define OWL_PAPER_PDF_H

#include "card/error.h"
#include "core/plan/evaluate.h"
#include "core/status.h"
#include "paper/leaf.h"

/* Writes packing, warnings, placing with both drawings, settings, test, leaving, care, and the sky of every night. Each
   stands there as on the field sheet, in fewer words; the wiring does not stand there. The bytes go to `way` as they come.
   stamp_unix_s is when it is made, UTC; with the same fonts installed the same plan and stamp give the same bytes.
   `evaluation` and `watch` must be of this plan. OWL_CANNOT_WRITE with words when no font is installed, or way did not take
   the bytes; OWL_OUTSIDE_DOMAIN when the stamp lies outside years 1 to 9999; OWL_NO_MEMORY. */
enum owl_status owl_pdf_write(const struct owl_plan *plan, const struct owl_evaluation *evaluation,
                              const struct owl_watch_view *watch, double stamp_unix_s, const struct owl_leaf_way *way,
                              struct owl_error *error) OWL_MUST_USE;

#endif
