/* The advice as a page of text, and for machines. */
#ifndef OWL_CLI_ADVISE_PAGE_H
#define OWL_CLI_ADVISE_PAGE_H

#include "cli/session.h"
#include "core/rehearse/advise.h"

struct owl_advise_page {
    const struct owl_session *session;
    const struct owl_advice *advice;
    const struct owl_keep *keep;
    int keeps;
    uint64_t seed;
    const char *written; /* the new plan's path, NULL when none was written */
    bool asked_to_write;
};

void owl_page_advice(const struct owl_advise_page *page, struct owl_text *text);

/* RFC 8259; `together` is null when nothing together wins more than the best alone. */
void owl_page_advice_json(const struct owl_advise_page *page, struct owl_text *text);

#endif
