/* Finding what the ribbon shows: clock and axis, armed time, moon, shades, activity; and its sentences. */
#include "core/draw/ribbon_scene.h"

#include <math.h>

#include "core/constants.h"

#define DARK_LX 10.0              /* below, the axis must show it */
#define AXIS_MARGIN_S 2700.0      /* of lighter sky on either side of that */
#define WHOLE_DAY_FROM_S 72000.0  /* an axis longer than that shows the whole 24 hours */
#define ARMED_SPANS_MOST 8        /* of one night; a real light passes the gate two or four times */
#define CHANGES_TOLD 4
#define A_BIT 1e-6                /* of a bin: rows that begin with one may fall short of it by rounding */

/* Into half a day either way. */
static double wrapped_s(double seconds)
{
    return seconds - floor(seconds / OWL_SECONDS_PER_DAY + 0.5) * OWL_SECONDS_PER_DAY;
}

/* ---- the clock ---- */

/* Rows tell the hour only; what they should tell without a change of the clock says which day is meant. */
static double row_clock_s(const struct owl_ribbon *ribbon, int night, int row)
{
    const struct owl_watch_row *first = ribbon->watch->row, *here = &first[night * OWL_NIGHT_ROWS + row];
    double expected_s = first->clock_s + row * OWL_ROW_STEP_S;
    return expected_s + wrapped_s(here->clock_s - expected_s);
}

double owl_ribbon_clock_s(const struct owl_ribbon *ribbon, int night, double rows)
{
    int row = (int)rows;
    return row_clock_s(ribbon, night, row) + (rows - row) * OWL_ROW_STEP_S;
}

double owl_ribbon_clock_change_s(const struct owl_ribbon *ribbon, int night)
{
    double length_s = row_clock_s(ribbon, night, OWL_NIGHT_ROWS) - row_clock_s(ribbon, night, 0);
    return length_s - OWL_SECONDS_PER_DAY;
}

/* ---- armed time ---- */

/* Of the ten minutes from a row on, the share 0..1 from..to within the armed hours. */
static struct owl_ribbon_span scheduled(const struct owl_plan_watch *watch, double clock_s)
{
    if (isnan(watch->from_s) || isnan(watch->to_s))
        return (struct owl_ribbon_span){0.0, 1.0};
    double day_s = OWL_SECONDS_PER_DAY;
    double window_s = watch->to_s - watch->from_s + (watch->to_s <= watch->from_s ? day_s : 0.0);
    double since_s = clock_s - watch->from_s + (clock_s < watch->from_s ? day_s : 0.0), until_s = day_s - since_s;
    if (since_s >= window_s)
        return (struct owl_ribbon_span){fmin(until_s / OWL_ROW_STEP_S, 1.0), 1.0};
    return (struct owl_ribbon_span){0.0, fmin((window_s - since_s) / OWL_ROW_STEP_S, 1.0)};
}

/* The same for the light gate; between rows the logarithm of the light runs straight. */
static struct owl_ribbon_span gated(const struct owl_plan_sensor *sensor, double here_lx, double next_lx)
{
    if (sensor->gate == OWL_GATE_ALWAYS)
        return (struct owl_ribbon_span){0.0, 1.0};
    bool dark = here_lx < sensor->gate_lx, dark_next = next_lx < sensor->gate_lx, night = sensor->gate == OWL_GATE_NIGHT;
    if (dark == dark_next)
        return (struct owl_ribbon_span){0.0, dark == night ? 1.0 : 0.0};
    double at = here_lx > 0.0 && next_lx > 0.0 ? log(sensor->gate_lx / here_lx) / log(next_lx / here_lx) : 0.5;
    return dark == night ? (struct owl_ribbon_span){0.0, at} : (struct owl_ribbon_span){at, 1.0};
}

static bool armed_within(const struct owl_ribbon *ribbon, int night, int row, struct owl_ribbon_span *part)
{
    const struct owl_watch_row *here = &ribbon->watch->row[night * OWL_NIGHT_ROWS + row];
    struct owl_ribbon_span hours = scheduled(&ribbon->plan->watch, here[0].clock_s);
    struct owl_ribbon_span gate = gated(&ribbon->plan->sensor, here[0].light_lx, here[1].light_lx);
    part->from = fmax(hours.from, gate.from);
    part->to = fmin(hours.to, gate.to);
    return part->from < part->to;
}

bool owl_ribbon_next_armed(const struct owl_ribbon *ribbon, struct owl_ribbon_armed *at, struct owl_ribbon_span *span)
{
    struct owl_ribbon_span part;
    bool last = ++at->given == ARMED_SPANS_MOST;
    while (at->row < OWL_NIGHT_ROWS && !armed_within(ribbon, at->night, at->row, &part))
        at->row++;
    if (at->row == OWL_NIGHT_ROWS)
        return false;
    *span = (struct owl_ribbon_span){at->row + part.from, at->row + part.to};
    for (at->row++; at->row < OWL_NIGHT_ROWS; at->row++) {
        bool armed = armed_within(ribbon, at->night, at->row, &part);
        if (!last && !(armed && part.from == 0.0 && span->to == at->row))
            break;
        if (armed)
            span->to = at->row + part.to;
    }
    return true;
}

/* ---- moon, shades, activity ---- */

static double place_in_night(const struct owl_night *night, const struct owl_sky_event *event)
{
    return fmin(fmax((event->unix_s - night->noon_unix_s) / OWL_ROW_STEP_S, 0.0), OWL_NIGHT_ROWS);
}

/* From sunset to sunrise; all of a night in which the sun does not do both. */
static struct owl_ribbon_span sunless(const struct owl_night *night)
{
    const struct owl_sky_event *set = &night->event[OWL_SUNSET], *rise = &night->event[OWL_SUNRISE];
    struct owl_ribbon_span span = {0.0, set->what == OWL_EVENT_ALWAYS_UP ? 0.0 : OWL_NIGHT_ROWS};
    if (set->what != OWL_EVENT_AT || rise->what != OWL_EVENT_AT || set->unix_s >= rise->unix_s)
        return span;
    return (struct owl_ribbon_span){place_in_night(night, set), place_in_night(night, rise)};
}

int owl_ribbon_moon(const struct owl_ribbon *ribbon, int night, struct owl_ribbon_span span[2])
{
    const struct owl_night *here = &ribbon->watch->night[night];
    const struct owl_sky_event *rise = &here->event[OWL_MOONRISE], *set = &here->event[OWL_MOONSET];
    bool rises = rise->what == OWL_EVENT_AT, sets = set->what == OWL_EVENT_AT;
    double up = rises ? place_in_night(here, rise) : 0.0, down = sets ? place_in_night(here, set) : OWL_NIGHT_ROWS;
    if (!rises && !sets && rise->what != OWL_EVENT_ALWAYS_UP)
        return 0;
    struct owl_ribbon_span night_rows = sunless(here), up_rows[2] = {{up < down ? up : 0.0, down}, {up, OWL_NIGHT_ROWS}};
    int spans = 0;
    for (int i = 0; i < (up < down ? 1 : 2); i++) {
        span[spans] = (struct owl_ribbon_span){fmax(up_rows[i].from, night_rows.from), fmin(up_rows[i].to, night_rows.to)};
        spans += span[spans].from < span[spans].to;
    }
    return spans;
}

double owl_ribbon_shade_lx(int shade)
{
    static const double decade[OWL_RIBBON_SHADES_A_TICK] = {1.0, 4.6415888336127775, 21.544346900318832};
    static const double tick[] = {1e-4, 1e-2, 1.0, 1e2, 1e4};
    return tick[shade / OWL_RIBBON_SHADES_A_TICK] * decade[shade % OWL_RIBBON_SHADES_A_TICK];
}

int owl_ribbon_shade(double light_lx)
{
    int shade = 0;
    while (shade < OWL_RIBBON_SHADES - 1 && light_lx >= owl_ribbon_shade_lx(shade + 1))
        shade++;
    return shade;
}

int owl_ribbon_activity(const struct owl_ribbon *ribbon, double share[OWL_RIBBON_BINS])
{
    int bins = (int)((ribbon->to_s - ribbon->from_s) / OWL_ROW_STEP_S + 0.5), count[OWL_RIBBON_BINS] = {0};
    double most = 0.0;
    for (int i = 0; i < bins; i++)
        share[i] = 0.0;
    for (int n = 0; n < ribbon->nights; n++) {
        for (int i = 0; i < OWL_NIGHT_ROWS; i++) {
            const struct owl_watch_row *row = &ribbon->watch->row[n * OWL_NIGHT_ROWS + i];
            int bin = (int)floor((row_clock_s(ribbon, n, i) - ribbon->from_s) / OWL_ROW_STEP_S + A_BIT);
            if (bin < 0 || bin >= bins)
                continue;
            share[bin] += owl_activity_at(&ribbon->watch->activity, ribbon->plan->subject.pattern, row->anchored_rad);
            count[bin]++;
        }
    }
    for (int i = 0; i < bins; i++)
        most = fmax(most, share[i] = count[i] ? share[i] / count[i] : NAN);
    for (int i = 0; i < bins && most > 0.0; i++)
        share[i] /= most;
    return bins;
}

/* ---- the survey ---- */

static void include(struct owl_ribbon_span *within, double from_s, double to_s)
{
    within->from = fmin(within->from, from_s); /* NaN, as in the beginning, gives way */
    within->to = fmax(within->to, to_s);
}

static void survey_night(struct owl_ribbon *ribbon, int night, struct owl_ribbon_span *shown_s)
{
    struct owl_ribbon_armed at = {.night = night};
    struct owl_ribbon_span span;
    bool armed = false;
    while (owl_ribbon_next_armed(ribbon, &at, &span)) {
        include(&ribbon->armed_s, owl_ribbon_clock_s(ribbon, night, span.from), owl_ribbon_clock_s(ribbon, night, span.to));
        armed = true;
    }
    ribbon->armed_nights += armed;
    for (int i = 0; i < OWL_NIGHT_ROWS; i++) {
        double clock_s = row_clock_s(ribbon, night, i);
        if (ribbon->watch->row[night * OWL_NIGHT_ROWS + i].light_lx < DARK_LX)
            include(shown_s, clock_s, clock_s + OWL_ROW_STEP_S);
    }
}

static void set_axis(struct owl_ribbon *ribbon, struct owl_ribbon_span shown_s)
{
    struct owl_ribbon_span whole_s = {NAN, NAN};
    for (int n = 0; n < ribbon->nights; n++)
        include(&whole_s, row_clock_s(ribbon, n, 0), row_clock_s(ribbon, n, OWL_NIGHT_ROWS));
    shown_s.from -= AXIS_MARGIN_S;
    shown_s.to += AXIS_MARGIN_S;
    if (!(shown_s.to - shown_s.from < WHOLE_DAY_FROM_S))
        shown_s = whole_s;
    ribbon->from_s = floor(fmax(shown_s.from, whole_s.from) / OWL_SECONDS_PER_HOUR) * OWL_SECONDS_PER_HOUR;
    ribbon->to_s = ceil(fmin(shown_s.to, whole_s.to) / OWL_SECONDS_PER_HOUR) * OWL_SECONDS_PER_HOUR;
    ribbon->to_s = fmin(ribbon->to_s, ribbon->from_s + OWL_RIBBON_BINS * OWL_ROW_STEP_S);
}

void owl_ribbon_survey(struct owl_ribbon *ribbon)
{
    struct owl_ribbon_span shown_s = {NAN, NAN};
    ribbon->nights = ribbon->watch->nights;
    ribbon->armed_nights = 0;
    ribbon->armed_s = shown_s;
    for (int n = 0; n < ribbon->nights; n++)
        survey_night(ribbon, n, &shown_s);
    include(&shown_s, ribbon->armed_s.from, ribbon->armed_s.to);
    set_axis(ribbon, shown_s);
}

/* ---- sentences ---- */

static void count_nights(struct owl_text *text, int nights)
{
    owl_text_integer(text, nights);
    owl_text_words(text, nights == 1 ? " night" : " nights");
}

static void note_armed(const struct owl_ribbon *ribbon, struct owl_text *text)
{
    const struct owl_plan_watch *watch = &ribbon->plan->watch;
    if (ribbon->plan->sensor.gate == OWL_GATE_ALWAYS && (isnan(watch->from_s) || isnan(watch->to_s)))
        owl_text_words(text, "Armed at every minute. ");
    if (ribbon->armed_nights == ribbon->nights)
        return;
    if (ribbon->armed_nights == 0) {
        owl_text_words(text, "Never armed: no minute of this watch is within the hours set and passes the light gate. ");
        return;
    }
    owl_text_words(text, "Not armed at all in ");
    count_nights(text, ribbon->nights - ribbon->armed_nights);
    owl_text_words(text, ". ");
}

static void note_sun(const struct owl_ribbon *ribbon, enum owl_sky_event_what what, const char *words, struct owl_text *text)
{
    int count = 0;
    for (int n = 0; n < ribbon->nights; n++)
        count += ribbon->watch->night[n].event[OWL_SUNSET].what == what;
    if (count == 0)
        return;
    owl_text_words(text, words);
    if (count < ribbon->nights) {
        owl_text_words(text, " for ");
        count_nights(text, count);
    } else {
        owl_text_words(text, " all the time");
    }
    owl_text_words(text, ". ");
}

/* In the night of 27 Mar the clock is put forward: its row has a gap. */
static void note_clock(const struct owl_ribbon *ribbon, struct owl_text *text)
{
    int told = 0;
    for (int n = 0; n < ribbon->nights && told < CHANGES_TOLD; n++) {
        double change_s = owl_ribbon_clock_change_s(ribbon, n);
        if (change_s == 0.0)
            continue;
        owl_text_words(text, "In the night from ");
        owl_chart_date(text, ribbon->plan->watch.start_days + n);
        owl_text_words(text, change_s > 0.0 ? " the clock goes forward by " : " the clock goes back by ");
        owl_unit_show(OWL_UNIT_TIME, fabs(change_s), text);
        owl_text_words(text, ". ");
        told++;
    }
}

void owl_ribbon_notes(const struct owl_ribbon *ribbon, struct owl_text *text)
{
    note_armed(ribbon, text);
    note_sun(ribbon, OWL_EVENT_ALWAYS_DOWN, "The sun stays down", text);
    note_sun(ribbon, OWL_EVENT_ALWAYS_UP, "The sun stays up", text);
    note_clock(ribbon, text);
}

/* On 2027-01-09: armed from 17:02 to 07:51, test at 17:10. */
static void describe_night(const struct owl_ribbon *ribbon, int night, struct owl_text *text)
{
    const struct owl_night_result *result = &ribbon->evaluation->night[night];
    struct owl_ribbon_armed at = {.night = night};
    struct owl_ribbon_span span;
    owl_text_words(text, " Evening of ");
    owl_unit_show(OWL_UNIT_DATE, ribbon->plan->watch.start_days + night, text);
    owl_text_words(text, ":");
    while (owl_ribbon_next_armed(ribbon, &at, &span)) {
        owl_text_words(text, at.given > 1 ? ", and from " : " armed from ");
        owl_chart_clock(text, owl_ribbon_clock_s(ribbon, night, span.from));
        owl_text_words(text, " to ");
        owl_chart_clock(text, owl_ribbon_clock_s(ribbon, night, span.to));
    }
    owl_text_words(text, at.given > 1 ? "" : " not armed");
    if (!isnan(result->test_unix_s)) {
        double rows = (result->test_unix_s - ribbon->watch->night[night].noon_unix_s) / OWL_ROW_STEP_S;
        owl_text_words(text, ", come back and test at ");
        owl_chart_clock(text, owl_ribbon_clock_s(ribbon, night, fmin(fmax(rows, 0.0), OWL_NIGHT_ROWS)));
    }
    owl_text_words(text, ", moon lit ");
    owl_unit_show(OWL_UNIT_PERCENT, floor(ribbon->watch->night[night].moon_lit * 100.0 + 0.5) / 100.0, text);
    owl_text_char(text, '.');
}

void owl_ribbon_describe(const struct owl_ribbon *ribbon, struct owl_text *text)
{
    const struct owl_outcome *outcome = &ribbon->evaluation->outcome;
    double share = owl_outcome_value(outcome, OWL_RESULT_ARMED_SHARE, 0);
    double darkest_lx = owl_outcome_value(outcome, OWL_RESULT_LIGHT_DARKEST, 0);
    owl_text_words(text, "Light at the mark, one row for each night, the first on top, by the clock of the site from ");
    owl_chart_clock(text, ribbon->from_s);
    owl_text_words(text, " to ");
    owl_chart_clock(text, ribbon->to_s);
    owl_text_words(text, "; the darker a row, the less light. ");
    owl_ribbon_notes(ribbon, text);
    if (!isnan(share)) {
        owl_text_words(text, "Of the animal's activity ");
        owl_unit_show(OWL_UNIT_PERCENT, floor(share * 100.0 + 0.5) / 100.0, text);
        owl_text_words(text, " falls into armed time. ");
    }
    if (!isnan(darkest_lx)) {
        owl_text_words(text, "Light while armed: ");
        owl_unit_show(OWL_UNIT_LIGHT, darkest_lx, text);
        owl_text_words(text, " to ");
        owl_unit_show(OWL_UNIT_LIGHT, owl_outcome_value(outcome, OWL_RESULT_LIGHT_LIGHTEST, 0), text);
        owl_text_words(text, ".");
    }
    describe_night(ribbon, 0, text);
    if (ribbon->nights > 1)
        describe_night(ribbon, ribbon->nights - 1, text);
}
