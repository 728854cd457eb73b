/* Frames by the clock put right, looked through beside what the plan tells. */
#include "session/card_health.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "core/constants.h"

/* The mean beginning of nautical dawn by the site's clock, s after midnight; NaN where there is none. */
static double usual_dawn_s(const struct owl_session *plan)
{
    double sum_s = 0.0;
    int count = 0;
    for (int i = 0; i < plan->watch.nights; i++) {
        const struct owl_sky_event *dawn = &plan->watch.night[i].event[OWL_NAUTICAL_DAWN];
        if (dawn->what != OWL_EVENT_AT)
            continue;
        sum_s += fmod(owl_sky_local_s(plan->watch.sky, dawn->unix_s), OWL_SECONDS_PER_DAY);
        count++;
    }
    return count > 0 ? sum_s / count : NAN;
}

/* What the card's watch tells beside its frames: when it ended, and the usual dawn. */
static struct owl_health_wish wish_of(const struct owl_card_session *session)
{
    struct owl_health_wish wish = owl_health_wish_none();
    const struct owl_session *plan = session->plan;
    wish.now_s = (double)time(NULL);
    if (!plan)
        return wish;
    const struct owl_night *last = &plan->watch.night[plan->watch.nights - 1];
    wish.until_s = owl_sky_local_s(plan->watch.sky, last->noon_unix_s + OWL_SECONDS_PER_DAY);
    wish.dawn_s = usual_dawn_s(plan);
    return wish;
}

enum owl_status owl_card_health(const struct owl_card_session *session, struct owl_health *health)
{
    struct owl_judged right = session->judged;
    struct owl_health_wish wish = wish_of(session);
    *health = (struct owl_health){.nights = 0};
    right.frame = calloc((size_t)right.count + 1, sizeof *right.frame);
    if (!right.frame)
        return OWL_NO_MEMORY;
    for (int i = 0; i < right.count; i++) {
        right.frame[i] = session->judged.frame[i];
        right.frame[i].taken_s += right.clock_shift_s;
    }
    right.clock_shift_s = 0.0;
    enum owl_status status = owl_health_examine(&right, &wish, health);
    free(right.frame);
    return status;
}

const char *owl_card_severity_words(enum owl_health_severity severity)
{
    static const char *const words[] = {[OWL_HEALTH_FACT] = "To know", [OWL_HEALTH_WATCH_IT] = "Watch it",
                                        [OWL_HEALTH_MEND_IT] = "Mend it"};
    return words[severity];
}
