/* The outcome of a rehearsal as a page of text, and for machines. */
#ifndef OWL_CLI_REHEARSE_PAGE_H
#define OWL_CLI_REHEARSE_PAGE_H

#include "cli/session.h"
#include "core/rehearse/rehearsal.h"


struct owl_rehearse_page {
    const struct owl_session *session;
    const struct owl_rehearsal *rehearsal;
    const char *file;
    uint64_t seed;
    int wanted; /* seasons; more than were run when it was stopped */
};

void owl_page_rehearsal(const struct owl_rehearse_page *page, struct owl_text *text);

/* RFC 8259; what does not happen within the watch is null. */
void owl_page_rehearsal_json(const struct owl_rehearse_page *page, struct owl_text *text);

/* Writes the drawings of the rehearsal as new files into a directory, made if need be, and prints their names. The exit
   status; what went wrong is told. */
int owl_rehearse_curves(const struct owl_rehearse_page *page, const char *directory);

#endif
