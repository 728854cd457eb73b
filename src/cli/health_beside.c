/* The moments in common are the beginnings of visits; a shift by whole zones is found first, then what is left of it as an
   offset and a rate. */
#include "cli/health_beside.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "card/clock.h"
#include "card/tree.h"
#include "card/visits.h"
#include "cli/command.h"
#include "cli/console.h"
#include "core/constants.h"
#include "core/plan/units.h"

#define TOLERANCE_S 180.0 /* how far two clocks set by hand may be apart, zones aside; common practice */
#define RATE_TOLD 2.0     /* standard errors from which a rate is told */

struct moments {
    double *begin_s;
    int count;
};

static int by_time(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* The beginnings of the sure visits, each by its own camera's clock as it was put right. */
static enum owl_status moments_of(const struct owl_judged *judged, struct moments *moments)
{
    struct owl_visits visits;
    enum owl_status status = owl_visits_find(judged, OWL_VISITS_GAP_S, &visits);
    if (status != OWL_OK)
        return status;
    *moments = (struct moments){calloc((size_t)visits.count + 1, sizeof *moments->begin_s), 0};
    for (int i = 0; moments->begin_s && i < visits.count; i++)
        if (visits.visit[i].sure && !isnan(visits.visit[i].begin_s))
            moments->begin_s[moments->count++] = visits.visit[i].begin_s;
    owl_visits_free(&visits);
    if (moments->begin_s)
        qsort(moments->begin_s, (size_t)moments->count, sizeof *moments->begin_s, by_time);
    return moments->begin_s ? OWL_OK : OWL_NO_MEMORY;
}

static void write_seconds(struct owl_text *text, double seconds)
{
    owl_text_char(text, seconds < 0.0 ? '-' : '+');
    owl_text_rounded(text, fabs(seconds), 6);
    owl_text_words(text, " s");
}

/* drift: of the other clock against this one, so the signs are turned. */
static void write_drift(const struct owl_clock_shift *shift, const struct owl_clock_drift *drift, int own, struct owl_text *text)
{
    double ahead_s = -drift->offset_s, gains_s = -drift->rate * OWL_SECONDS_PER_DAY, error_s = drift->rate_error * OWL_SECONDS_PER_DAY;
    owl_text_words(text, fabs(ahead_s) < 0.5 ? "  The two clocks agree to half a second" : ahead_s > 0.0 ? "  This clock is ahead by "
                                                                                                        : "  This clock is behind by ");
    if (fabs(ahead_s) >= 0.5)
        owl_unit_show(OWL_UNIT_TIME, fabs(ahead_s), text);
    owl_text_words(text, ", by ");
    owl_text_integer(text, drift->pairs);
    owl_text_words(text, " of ");
    owl_text_integer(text, own);
    owl_text_words(text, " visits that both saw (any other shift by quarters of an hour brings together at most ");
    owl_text_integer(text, shift->runner_up);
    owl_text_words(text, ").\n");
    if (fabs(gains_s) > RATE_TOLD * error_s) {
        owl_text_words(text, gains_s > 0.0 ? "  It gains " : "  It loses ");
        owl_text_rounded(text, fabs(gains_s), 2);
        owl_text_words(text, " s a day, give or take ");
        owl_text_rounded(text, error_s, 1);
        owl_text_words(text, " s.\n");
    }
    if (fabs(ahead_s) >= 0.5) {
        owl_text_words(text, "  If the other clock is right: --clock-shift '");
        write_seconds(text, round(-ahead_s));
        owl_text_words(text, "' on top of what is set now.\n");
    }
}

static enum owl_status compare(const struct moments *own, const struct moments *other, struct owl_text *text)
{
    const struct owl_clock_series reference = {own->begin_s, own->count}, series = {other->begin_s, other->count};
    struct owl_clock_shift shift = owl_clock_zone_shift(&reference, &series, TOLERANCE_S);
    if (!shift.found) {
        owl_text_words(text, "  No shift brings enough visits of both together: at most ");
        owl_text_integer(text, isnan(shift.shift_s) ? 0 : shift.matched);
        owl_text_words(text, ", and elsewhere ");
        owl_text_integer(text, shift.runner_up);
        owl_text_words(text, ".\n");
        return OWL_OK;
    }
    struct owl_clock_pair *pair = calloc((size_t)shift.matched + 1, sizeof *pair);
    if (!pair)
        return OWL_NO_MEMORY;
    int pairs = owl_clock_pairs(&reference, &series, shift.shift_s, TOLERANCE_S, pair, shift.matched);
    struct owl_clock_drift drift = owl_clock_fit(pair, pairs < shift.matched ? pairs : shift.matched);
    write_drift(&shift, &drift, own->count, text);
    free(pair);
    return OWL_OK;
}

int owl_health_beside(const struct owl_card_options *options, const struct owl_card_session *session, const char *beside,
                      struct owl_text *text)
{
    struct owl_card_options asked = {.folder = beside, .book = options->book, .no_book = options->no_book};
    struct owl_card_session other;
    int exit_status = owl_card_told_open(&asked, &other);
    if (exit_status != OWL_EXIT_WELL)
        return exit_status;
    struct moments own_moments = {NULL, 0}, other_moments = {NULL, 0};
    enum owl_status status = moments_of(&session->judged, &own_moments);
    if (status == OWL_OK)
        status = moments_of(&other.judged, &other_moments);
    if (status == OWL_OK) {
        owl_text_words(text, "\nThe clock beside that of ");
        owl_tree_show(text, beside);
        owl_text_char(text, '\n');
        status = compare(&own_moments, &other_moments, text);
    }
    free(own_moments.begin_s);
    free(other_moments.begin_s);
    owl_card_session_close(&other);
    return status == OWL_OK ? OWL_EXIT_WELL : owl_complain_memory();
}
