/* All results of a session for machines. */
#include "cli/plan_page.h"
#include "core/report/figures.h"

void owl_page_json(const struct owl_session *session, struct owl_text *text)
{
    const struct owl_report_plan report = {&session->plan, &session->watch, &session->evaluation};
    owl_report_plan(&report, text);
}
