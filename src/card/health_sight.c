/* What lens, focus, settings and files are like: fog, blur, too much light, changed settings, damage. */
#include <math.h>

#include "card/health_view.h"
#include "core/constants.h"

#define FOG_CLEAR_FRAMES 3       /* clear ones in a run of fog; estimate */
#define FOG_PAUSE_S (6.0 * OWL_SECONDS_PER_HOUR) /* longest between two frames of one run; estimate */
#define FOGS_TOLD 4
#define BEFORE_DAWN_H 4.0
#define DEW_FROM_H 2.0           /* without a dawn told: the coldest hours; common practice */
#define DEW_TO_H 8.0
#define OFTEN 0.05               /* lower bound of a share to watch; estimate */
#define DAMAGED_OFTEN 0.01       /* estimate */
#define DRIFT_FRAMES_LEAST 8
#define DRIFT_LEAST 0.1          /* of fine detail lost; estimate */
#define SETTING_STEP 0.1         /* ratio that is a change and no rounding; a third of a stop is 0.12 in f-number */

static const struct owl_frame_verdict *verdict_at(const struct owl_health_view *view, int place)
{
    return &view->judged->frame[view->order[place]].verdict;
}

static double time_at(const struct owl_health_view *view, int place)
{
    return view->by_time ? owl_health_taken_s(view, view->order[place]) : NAN;
}

/* ---- fog ---- */

struct fog {
    int first, last; /* places in the order */
    int fogged;
};

/* The next run of fog from a place on; fogged 0: none. */
static struct fog next_fog(const struct owl_health_view *view, int from)
{
    struct fog fog = {.fogged = 0};
    for (int i = from; i < view->ordered; i++) {
        bool ended = fog.fogged > 0
                     && (i - fog.last > FOG_CLEAR_FRAMES + 1 || time_at(view, i) - time_at(view, fog.last) > FOG_PAUSE_S);
        if (ended)
            break;
        if (!verdict_at(view, i)->fogged)
            continue;
        if (fog.fogged++ == 0)
            fog.first = i;
        fog.last = i;
    }
    return fog;
}

static void tell_fog(struct owl_health_view *view, const struct fog *fog)
{
    struct owl_health_finding finding = owl_health_new(OWL_HEALTH_FOG);
    finding.severity = OWL_HEALTH_WATCH_IT;
    finding.from_s = time_at(view, fog->first);
    finding.to_s = time_at(view, fog->last);
    finding.count = fog->fogged;
    finding.of = fog->last - fog->first + 1;
    owl_health_share(&finding);
    owl_health_add(view, &finding);
}

static void keep_heaviest(struct fog *kept, const struct fog *fog)
{
    int least = 0;
    for (int i = 1; i < FOGS_TOLD; i++)
        if (kept[i].fogged < kept[least].fogged)
            least = i;
    if (fog->fogged > kept[least].fogged)
        kept[least] = *fog;
}

static bool in_hours(double taken_s, double from_h, double to_h)
{
    double hour = fmod(taken_s, OWL_SECONDS_PER_DAY) / OWL_SECONDS_PER_HOUR;
    return fmod(hour - from_h + 24.0, 24.0) < fmod(to_h - from_h + 24.0, 24.0);
}

/* Frames of one run are one weather, so runs are counted, against the share of clear frames in those hours. */
static void find_fog_hours(struct owl_health_view *view)
{
    struct owl_health_finding finding = owl_health_new(OWL_HEALTH_FOG_HOURS);
    double dawn_h = view->wish->dawn_s / OWL_SECONDS_PER_HOUR;
    finding.value = isnan(dawn_h) ? DEW_FROM_H : fmod(dawn_h - BEFORE_DAWN_H + 24.0, 24.0);
    finding.second = isnan(dawn_h) ? DEW_TO_H : dawn_h;
    struct fog fog = next_fog(view, 0);
    for (; fog.fogged > 0; fog = next_fog(view, fog.last + 1)) {
        double middle_s = 0.5 * (time_at(view, fog.first) + time_at(view, fog.last));
        finding.of++;
        finding.count += in_hours(middle_s, finding.value, finding.second);
    }
    for (int i = 0; i < view->ordered; i++) {
        bool clear = !verdict_at(view, i)->fogged;
        finding.other_of += clear;
        finding.other += clear && in_hours(time_at(view, i), finding.value, finding.second);
    }
    if (finding.of == 0 || finding.other_of == 0)
        return;
    double usual = (double)finding.other / finding.other_of;
    finding.p = owl_chance_at_least((struct owl_chance_share){finding.count, finding.of}, usual);
    finding.tests = 1;
    finding.severity = OWL_HEALTH_MEND_IT;
    if (finding.p < OWL_HEALTH_ALPHA)
        owl_health_add(view, &finding);
}

static void find_fog(struct owl_health_view *view)
{
    struct fog kept[FOGS_TOLD] = {{0}};
    struct fog fog = next_fog(view, 0);
    for (; fog.fogged > 0; fog = next_fog(view, fog.last + 1))
        keep_heaviest(kept, &fog);
    for (int i = 0; i < FOGS_TOLD; i++)
        if (kept[i].fogged > 0)
            tell_fog(view, &kept[i]);
    if (view->by_time)
        find_fog_hours(view);
}

/* ---- counts ---- */

static bool damaged(const struct owl_judged_frame *frame)
{
    return frame->width == 0 || frame->verdict.group < 0;
}

static bool over_exposed(const struct owl_judged_frame *frame)
{
    return frame->verdict.over_exposed;
}

static bool out_of_focus(const struct owl_judged_frame *frame)
{
    return frame->verdict.out_of_focus;
}

static void find_count(struct owl_health_view *view, enum owl_health_kind kind, bool (*is)(const struct owl_judged_frame *),
                       double often)
{
    struct owl_health_finding finding = owl_health_new(kind);
    double from_s = NAN, to_s = NAN;
    for (int i = 0; i < view->judged->count; i++)
        finding.count += is(&view->judged->frame[i]);
    for (int i = 0; i < view->timed_count; i++) {
        if (!is(&view->judged->frame[view->timed[i]]))
            continue;
        to_s = owl_health_taken_s(view, view->timed[i]);
        from_s = isnan(from_s) ? to_s : from_s;
    }
    if (finding.count == 0)
        return;
    finding.of = view->judged->count;
    finding.from_s = from_s;
    finding.to_s = to_s;
    owl_health_share(&finding);
    finding.severity = finding.low >= often ? OWL_HEALTH_WATCH_IT : OWL_HEALTH_FACT;
    owl_health_add(view, &finding);
}

/* ---- focus ---- */

/* Detail as a share of the mean level: a weaker flash leaves that as it was. */
static void find_focus_drift(struct owl_health_view *view)
{
    struct owl_health_finding finding = owl_health_new(OWL_HEALTH_FOCUS_DRIFT);
    int count = owl_health_alike(view, false), kept = 0;
    for (int i = 0; i < count; i++) {
        const struct owl_frame_look *look = &view->judged->frame[view->sample[i].frame].verdict.look;
        if (look->detail > 0.0)
            view->sample[kept++] = (struct owl_health_sample){view->sample[i].frame, log2(look->detail / look->mean)};
    }
    if (kept < DRIFT_FRAMES_LEAST)
        return;
    struct owl_health_change change = owl_health_change_of(view, kept);
    if (!owl_health_changed(&change, 1) || exp2(change.whole) - 1.0 > -DRIFT_LEAST)
        return;
    finding.severity = OWL_HEALTH_WATCH_IT;
    finding.from_s = change.from_s;
    finding.to_s = change.to_s;
    finding.value = exp2(change.whole) - 1.0;
    finding.low = exp2(change.low) - 1.0;
    finding.high = exp2(change.high) - 1.0;
    finding.count = kept;
    finding.p = change.p;
    finding.tests = 1;
    owl_health_add(view, &finding);
}

/* ---- settings ---- */

static double aperture(const struct owl_judged_frame *frame)
{
    return frame->f_number;
}

static double exposure(const struct owl_judged_frame *frame)
{
    return frame->exposure_s;
}

static double iso(const struct owl_judged_frame *frame)
{
    return frame->iso;
}

static void find_setting(struct owl_health_view *view, enum owl_health_kind kind,
                         double (*setting)(const struct owl_judged_frame *))
{
    struct owl_health_finding finding = owl_health_new(kind);
    double before = NAN;
    for (int i = 0; i < view->ordered; i++) {
        double value = setting(&view->judged->frame[view->order[i]]);
        if (!(value > 0.0))
            continue;
        finding.low = fmin(finding.low, value);
        finding.high = fmax(finding.high, value);
        finding.of++;
        if (fabs(log(value / before)) > SETTING_STEP) {
            if (finding.count++ == 0) {
                finding.value = before;
                finding.second = value;
                finding.from_s = time_at(view, i);
            }
            finding.to_s = time_at(view, i);
        }
        before = value;
    }
    if (finding.count > 0)
        owl_health_add(view, &finding);
}

void owl_health_find_sight(struct owl_health_view *view)
{
    find_fog(view);
    find_setting(view, OWL_HEALTH_APERTURE, aperture);
    find_setting(view, OWL_HEALTH_EXPOSURE, exposure);
    find_setting(view, OWL_HEALTH_ISO, iso);
    find_count(view, OWL_HEALTH_DAMAGED, damaged, DAMAGED_OFTEN);
    find_count(view, OWL_HEALTH_OVER_EXPOSED, over_exposed, OFTEN);
    find_count(view, OWL_HEALTH_OUT_OF_FOCUS, out_of_focus, OFTEN);
    find_focus_drift(view);
}
