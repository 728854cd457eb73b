/* Whether camera and tripod stand still. */
#include <math.h>

#include "card/health_view.h"
#include "core/constants.h"

#define SLIP_FRAMES_LEAST 8
#define SLIP_LEAST_PX 0.5      /* of the small picture: five times what a pose is good for; estimate */
#define SLIP_MUCH 0.01         /* of the width; estimate */
#define SLIPS_TOLD 4
#define MOVES_TOLD 4
#define MOVE_FRAMES 7          /* poses either side, as the judge takes them */
#define MEDIAN_ERROR 1.858     /* standard error of a median over MAD / sqrt(n): 1.4826 sqrt(pi/2), normal scatter */
#define AXES 3

/* A pose's part along one axis, px of the whole picture. A turn: what it moves at the middle of the side edges. */
static double along(const struct owl_health_view *view, int frame, int axis)
{
    const struct owl_pose *pose = &view->judged->frame[frame].verdict.pose;
    double px = axis == 0 ? pose->right_px : axis == 1 ? pose->down_px : pose->turn_rad * 0.5 * view->judged->width;
    return px * view->scale;
}

static const struct owl_frame_verdict *verdict_at(const struct owl_health_view *view, int place)
{
    return &view->judged->frame[view->order[place]].verdict;
}

/* ---- slip ---- */

static int gather(struct owl_health_view *view, int segment, int axis)
{
    int count = 0;
    for (int i = 0; i < view->ordered; i++)
        if (verdict_at(view, i)->aligned && verdict_at(view, i)->segment == segment)
            view->sample[count++] = (struct owl_health_sample){view->order[i], along(view, view->order[i], axis)};
    return count;
}

static int last_segment(const struct owl_health_view *view)
{
    int last = -1;
    for (int i = 0; i < view->ordered; i++)
        if (verdict_at(view, i)->segment > last)
            last = verdict_at(view, i)->segment;
    return last;
}

static bool find_slip(struct owl_health_view *view, int segment, int axis, int tests)
{
    struct owl_health_finding finding = owl_health_new(OWL_HEALTH_SLIP);
    int count = gather(view, segment, axis);
    struct owl_health_change change = owl_health_change_of(view, count);
    if (!owl_health_changed(&change, tests) || fabs(change.whole) < SLIP_LEAST_PX * view->scale)
        return false;
    double half_width = 0.5 * view->judged->width * view->scale;
    finding.severity = fabs(change.whole) >= SLIP_MUCH * 2.0 * half_width ? OWL_HEALTH_MEND_IT : OWL_HEALTH_WATCH_IT;
    finding.from_s = change.from_s;
    finding.to_s = change.to_s;
    finding.value = change.whole;
    finding.low = change.low;
    finding.high = change.high;
    finding.axis = axis;
    finding.second = axis == 2 ? change.whole / half_width * OWL_DEG_PER_RAD : NAN;
    finding.count = count;
    finding.p = change.p;
    finding.tests = tests;
    owl_health_add(view, &finding);
    return true;
}

static void find_slips(struct owl_health_view *view)
{
    int segments = 0, last = last_segment(view), told = 0;
    for (int segment = 0; segment <= last; segment++)
        segments += gather(view, segment, 0) >= SLIP_FRAMES_LEAST;
    for (int segment = 0; segment <= last && told < SLIPS_TOLD; segment++)
        for (int axis = 0; axis < AXES && gather(view, segment, axis) >= SLIP_FRAMES_LEAST; axis++)
            told += find_slip(view, segment, axis, AXES * segments);
}

/* ---- moves ---- */

/* Where the camera stood by up to MOVE_FRAMES poses from a place on, in steps of 1 or -1, within one segment. */
struct stand {
    double at[AXES], error[AXES];
    int frames;
};

static struct stand stand_by(struct owl_health_view *view, int place, int step)
{
    struct stand stand = {.frames = 0};
    int frame[MOVE_FRAMES], segment = place >= 0 && place < view->ordered ? verdict_at(view, place)->segment : -1;
    for (int i = place; i >= 0 && i < view->ordered && stand.frames < MOVE_FRAMES; i += step) {
        if (verdict_at(view, i)->segment != segment)
            break;
        if (verdict_at(view, i)->aligned)
            frame[stand.frames++] = view->order[i];
    }
    for (int axis = 0; axis < AXES; axis++) {
        for (int i = 0; i < stand.frames; i++)
            view->column[i] = along(view, frame[i], axis);
        stand.at[axis] = owl_health_median(view->column, stand.frames);
        for (int i = 0; i < stand.frames; i++)
            view->column[i] = fabs(along(view, frame[i], axis) - stand.at[axis]);
        stand.error[axis] = MEDIAN_ERROR * owl_health_median(view->column, stand.frames) / sqrt(stand.frames);
    }
    return stand;
}

static void find_move(struct owl_health_view *view, int place)
{
    struct owl_health_finding finding = owl_health_new(OWL_HEALTH_MOVED);
    struct stand before = stand_by(view, place - 1, -1), after = stand_by(view, place, 1);
    double to_corner = view->judged->width > 0 ? (double)view->judged->height / view->judged->width : 0.0;
    double right = after.at[0] - before.at[0], down = after.at[1] - before.at[1], turn = fabs(after.at[2] - before.at[2]);
    double error = 0.0;
    for (int axis = 0; axis < AXES; axis++)
        error = hypot(error, hypot(before.error[axis], after.error[axis]));
    /* a corner lies farther out than the side's middle; in the worst case both ways add up */
    finding.value = hypot(right, down) + turn * hypot(1.0, to_corner);
    finding.low = fmax(finding.value - OWL_CHANCE_Z_95 * error, 0.0);
    finding.high = finding.value + OWL_CHANCE_Z_95 * error;
    finding.severity = finding.value >= SLIP_MUCH * view->judged->width * view->scale ? OWL_HEALTH_MEND_IT : OWL_HEALTH_WATCH_IT;
    if (view->by_time) {
        finding.from_s = place > 0 ? owl_health_taken_s(view, view->order[place - 1]) : NAN;
        finding.to_s = owl_health_taken_s(view, view->order[place]);
    }
    finding.count = before.frames;
    finding.of = after.frames;
    owl_health_add(view, &finding);
}

void owl_health_find_stand(struct owl_health_view *view)
{
    find_slips(view);
    for (int i = 0, told = 0; i < view->ordered && told < MOVES_TOLD; i++)
        if (verdict_at(view, i)->moved) {
            find_move(view, i);
            told++;
        }
}
