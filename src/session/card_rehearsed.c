/* Counts and links of the ledger, seen and rehearsed. */
#include "session/card_rehearsed.h"

#define COVERS 0.9 /* share of the plan's nights from which numbers are compared */

int owl_visits_span(const struct owl_visits *visits)
{
    int dated = 0;
    while (dated < visits->nights && visits->night[dated].dated)
        dated++;
    if (dated == 0)
        return 0;
    return (int)(owl_calendar_days(visits->night[dated - 1].date) - owl_calendar_days(visits->night[0].date)) + 1;
}

/* Empty frames that belong to no visit. */
static int lone_empties(const struct owl_visits *visits, const struct owl_judged *judged)
{
    int count = visits->empties;
    for (int i = 0; i < visits->count; i++)
        for (int k = visits->visit[i].first; k < visits->visit[i].past; k++)
            count -= judged->frame[visits->order[k]].verdict.class == OWL_JUDGE_EMPTY;
    return count;
}

/* Of each season: its passes that leave a picture, and the frames of its false triggers. */
static void compare_counts(const struct owl_seasons *seasons, const struct owl_judged *judged, const struct owl_visits *visits,
                           struct owl_visits_rehearsed *rehearsed)
{
    for (int i = 0; i < seasons->done; i++)
        seasons->column[i] = owl_observed_visible(&seasons->season[i].ledger);
    rehearsed->visits = owl_observed_count_of(owl_ledger_passes(&visits->sure), seasons->column, seasons->done);
    for (int i = 0; i < seasons->done; i++)
        seasons->column[i] = seasons->season[i].false_frames;
    rehearsed->empties = owl_observed_count_of(lone_empties(visits, judged), seasons->column, seasons->done);
}

enum owl_status owl_card_compare(const struct owl_seasons *seasons, const struct owl_judged *judged,
                                 const struct owl_visits *visits, struct owl_visits_rehearsed *rehearsed, struct owl_error *error)
{
    struct owl_observed_rehearsed means = {.seasons = seasons->done};
    rehearsed->seasons = seasons->done;
    rehearsed->nights = seasons->rehearsal->nights;
    for (int i = 0; i < OWL_LEDGER_ROWS; i++)
        means.first[i] = seasons->rehearsal->first[i].mean;
    int span = owl_visits_span(visits);
    rehearsed->counted = span >= COVERS * rehearsed->nights && span <= rehearsed->nights + 1;
    compare_counts(seasons, judged, visits, rehearsed);
    enum owl_status status = owl_observed_compare(&means, &visits->sure, &rehearsed->links);
    return status == OWL_OK ? OWL_OK : owl_trouble_say(error, status, rehearsed->plan, owl_status_words(status));
}
