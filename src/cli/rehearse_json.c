/* The outcome of a rehearsal for machines. */
#include "cli/rehearse_page.h"
#include "core/report/ledger.h"

void owl_page_rehearsal_json(const struct owl_rehearse_page *page, struct owl_text *text)
{
    const struct owl_report_rehearsal report = {&page->session->plan, page->rehearsal, page->seed, page->wanted};
    owl_report_ledger(&report, text);
}
