/* Visits and false alarms drawn over the nights, then faults dealt out to them. */
#include "support/made_schedule.h"

#include <math.h>
#include <stdlib.h>

#include "core/constants.h"
#include "core/plan/geometry.h"
#include "support/made_watch.h"

/* Each purpose draws from its own stream, so that a fault more moves no animal. */
enum { STREAM_EVENTS = 1, STREAM_FAULTS, STREAM_WIND, STREAM_MOMENTS };

#define VISIT_FEWEST 2
#define VISIT_MOST 7
#define APART_S 120.0    /* between the last frame of one event and the first of the next */
#define TRIES 10000
#define SIDES 0.97       /* share of the frame's width an animal keeps within */
#define ALONG_STEP_M 0.02
#define ALONG_MOST_M 10.0
#define TURN_SPREAD_RAD 0.12

static const struct {
    const char *words;
    bool animal;
} fault_facts[MADE_FAULTS] = {
#define FAULT_FACT(name, words, animal) {words, animal},
    MADE_FAULT_LIST(FAULT_FACT)
#undef FAULT_FACT
};

const char *made_fault_words(enum made_fault fault)
{
    return fault_facts[fault].words;
}

double made_between(struct owl_rng *rng, double from, double to)
{
    return from + (to - from) * owl_rng_uniform(rng);
}

static int one_of(struct owl_rng *rng, int count)
{
    return (int)(owl_rng_uniform(rng) * count);
}

/* ---- when ---- */

struct clockwork {
    const struct made_card_wish *wish;
    const struct owl_plan *plan;
    struct made_watch sky; /* a night that stands for all */
    struct owl_rng rng;
};

static double light_lx(const struct clockwork *clockwork, double unix_s)
{
    double since_noon_s = fmod(unix_s - clockwork->sky.night[0].noon_unix_s, OWL_SECONDS_PER_DAY);
    double rows = since_noon_s / OWL_ROW_STEP_S;
    const struct owl_watch_row *row = &clockwork->sky.row[(int)rows];
    return row[0].light_lx * pow(row[1].light_lx / row[0].light_lx, rows - floor(rows));
}

static bool works(const struct clockwork *clockwork, double lx)
{
    const struct owl_plan_sensor *sensor = &clockwork->plan->sensor;
    double gate_lx = clockwork->wish->lightest_lx > 0.0 ? clockwork->wish->lightest_lx : sensor->gate_lx;
    if (sensor->gate == OWL_GATE_DAY)
        return lx >= sensor->gate_lx;
    return sensor->gate == OWL_GATE_ALWAYS || lx <= gate_lx;
}

/* NaN: the sensor never works. */
static double draw_time(struct clockwork *clockwork)
{
    double span_s = clockwork->plan->watch.nights * OWL_SECONDS_PER_DAY;
    for (int i = 0; i < TRIES; i++) {
        double unix_s = clockwork->sky.night[0].noon_unix_s + made_between(&clockwork->rng, 0.0, span_s);
        if (works(clockwork, light_lx(clockwork, unix_s)))
            return unix_s;
    }
    return NAN;
}

static int by_time(const void *one, const void *other)
{
    double a = ((const struct made_frame *)one)->taken_unix_s, b = ((const struct made_frame *)other)->taken_unix_s;
    return a < b ? -1 : a > b;
}

/* First each event by its first frame, all of them in order of time; the others of a visit are filled in behind. `strength`
   holds the number of frames meanwhile. Returns how many events, 0 if the sensor never works. */
static int draw_events(struct clockwork *clockwork, struct made_frame *frames)
{
    int frames_left = clockwork->wish->frames, visited_left = (int)lround(clockwork->wish->visited * frames_left), events = 0;
    for (; frames_left > 0; events++) {
        int count = 1;
        if (visited_left >= VISIT_FEWEST)
            count = VISIT_FEWEST + one_of(&clockwork->rng, (visited_left < VISIT_MOST ? visited_left : VISIT_MOST) - 1);
        if (visited_left - count == 1)
            count += count > VISIT_FEWEST ? -1 : 1; /* one frame more would be no visit */
        frames[events] = (struct made_frame){.taken_unix_s = draw_time(clockwork), .visit = visited_left >= VISIT_FEWEST,
                                             .strength = count, .flash = -1};
        if (isnan(frames[events].taken_unix_s))
            return 0;
        visited_left -= frames[events].visit ? count : 0;
        frames_left -= count;
    }
    qsort(frames, (size_t)events, sizeof *frames, by_time);
    return events;
}

/* Events begin when the one before is over; frames of one follow within a minute. From the last event on, since frames
   move towards the end to make room. */
static void spread_events(struct clockwork *clockwork, int events, struct made_frame *frames)
{
    int to = clockwork->wish->frames, visits = 0;
    for (int i = 0; i < events; i++)
        frames[i].visit = frames[i].visit ? ++visits : 0;
    for (int i = events - 1; i >= 0; i--) {
        struct made_frame first = frames[i];
        int count = (int)first.strength;
        first.strength = 0.0;
        for (to -= count; count-- > 0;)
            frames[to + count] = first;
    }
    for (int i = 1; i < clockwork->wish->frames; i++) {
        bool same = frames[i].visit > 0 && frames[i].visit == frames[i - 1].visit;
        double earliest_s = frames[i - 1].taken_unix_s + (same ? made_between(&clockwork->rng, 1.5, 9.5) : APART_S);
        frames[i].taken_unix_s = same ? earliest_s : fmax(frames[i].taken_unix_s, earliest_s);
    }
}

/* ---- how it stands ---- */

enum owl_status made_schedule_turn(struct owl_plan *plan, const struct made_card_wish *wish, double right_px, double down_px)
{
    struct owl_view view;
    enum owl_status status = owl_view_of(plan, &view);
    if (status != OWL_OK)
        return status;
    double far_m = owl_point_distance_m(&plan->camera.place, &plan->camera.aim);
    double step_m = fmax(view.width_m / wish->width, view.height_m / wish->height) / view.image_m * far_m;
    double right_m = -right_px * step_m, up_m = down_px * step_m;
    struct owl_point *aim = &plan->camera.aim;
    aim->x_m += right_m * view.right.x_m + up_m * view.up.x_m;
    aim->y_m += right_m * view.right.y_m + up_m * view.up.y_m;
    aim->z_m += right_m * view.right.z_m + up_m * view.up.z_m;
    return OWL_OK;
}

/* A pass of an animal before the camera as it stands. */
struct pass {
    const struct owl_plan *plan;
    struct owl_view view;
    struct owl_path path;
    int sense;
    double nose_m, tail_m; /* from its middle, along its nose; the tail's is negative */
};

static struct pass pass_of(const struct owl_plan *plan, const struct owl_view *view, const struct owl_desk_moment *moment)
{
    struct owl_form form;
    struct pass pass = {.plan = plan, .view = *view, .sense = moment->sense};
    owl_form_of(&plan->subject, moment->step, &form);
    pass.path = owl_path_of(plan->stage.path_angle_rad + moment->turn_rad, moment->aside_m);
    pass.nose_m = form.high.x_m;
    pass.tail_m = form.low.x_m;
    return pass;
}

/* Whether a point on the path lies between the frame's sides, with a little to spare. */
static bool between_sides(const struct pass *pass, double along_m)
{
    struct owl_point at = owl_path_point(pass->plan, &pass->path, along_m);
    struct owl_point sight = owl_point_between(&pass->view.place, &at);
    double aside_m = sight.x_m * pass->view.right.x_m + sight.y_m * pass->view.right.y_m + sight.z_m * pass->view.right.z_m;
    double depth_m = sight.x_m * pass->view.forward.x_m + sight.y_m * pass->view.forward.y_m +
                     sight.z_m * pass->view.forward.z_m;
    return depth_m > 0.0 && pass->view.image_m * fabs(aside_m) < SIDES * pass->view.width_m / 2.0 * depth_m;
}

/* Between which places past the mark all of it is in the frame, tail too; on the mark where it never is. */
static void whole_along(const struct pass *pass, double span_m[2])
{
    bool found = false;
    span_m[0] = span_m[1] = 0.0;
    for (double along_m = -ALONG_MOST_M; along_m < ALONG_MOST_M; along_m += ALONG_STEP_M) {
        bool nose = between_sides(pass, along_m + pass->sense * pass->nose_m);
        if (!nose || !between_sides(pass, along_m + pass->sense * pass->tail_m))
            continue;
        span_m[0] = found ? span_m[0] : along_m;
        span_m[1] = along_m;
        found = true;
    }
}

/* How far past the mark, going that way, the share of the body inside the frame first falls below `inside`. */
static double cut_along(const struct pass *pass, int way, double inside)
{
    double along_m = 0.0;
    while (along_m < ALONG_MOST_M && owl_view_body(&pass->view, pass->plan, &pass->path, way * along_m).inside >= inside)
        along_m += ALONG_STEP_M;
    return way * along_m;
}

/* `progress` 0..1: from where it is just whole at the side it comes from to where it is at the other. */
static double along_at(const struct pass *pass, const struct made_frame *frame, double progress)
{
    double span_m[2], share = pass->sense > 0 ? progress : 1.0 - progress;
    if (frame->fault == MADE_CUT_OFF)
        return cut_along(pass, (progress < 0.5 ? -1 : 1) * pass->sense, 0.7 - 0.45 * frame->strength);
    whole_along(pass, span_m);
    return span_m[0] + share * (span_m[1] - span_m[0]);
}

static int sense_of(const struct owl_plan *plan, struct owl_rng *rng)
{
    bool right = owl_rng_chance(rng, 0.5);
    if (plan->stage.travel == OWL_TRAVEL_BOTH)
        return right ? 1 : -1;
    return plan->stage.travel == OWL_TRAVEL_LEFT ? -1 : 1;
}

/* An animal comes in on its way and goes on from frame to frame, at last to stand where it just is whole. */
static enum owl_status place_animals(const struct made_card_wish *wish, const struct owl_plan *plan, struct made_frame *frames)
{
    struct owl_rng rng = owl_rng_start(wish->seed, STREAM_MOMENTS);
    struct owl_desk_moment way = {.sense = 1};
    double progress = 0.0;
    for (int i = 0; i < wish->frames; i++) {
        struct owl_plan turned = *plan;
        struct owl_view view;
        enum owl_status status = made_schedule_turn(&turned, wish, frames[i].shift_x_px, frames[i].shift_y_px);
        if (status == OWL_OK)
            status = owl_view_of(&turned, &view);
        if (status != OWL_OK)
            return status;
        if (i == 0 || frames[i].visit != frames[i - 1].visit) {
            way = (struct owl_desk_moment){.sense = sense_of(plan, &rng)};
            way.aside_m = plan->stage.path_scatter_m * owl_rng_normal(&rng);
            way.turn_rad = TURN_SPREAD_RAD * owl_rng_normal(&rng);
            progress = made_between(&rng, 0.0, 0.6);
        }
        way.seed = (uint32_t)wish->seed;
        way.step = owl_rng_uniform(&rng);
        way.absent = frames[i].visit == 0;
        frames[i].moment = way;
        struct pass pass = pass_of(&turned, &view, &way);
        if (!way.absent)
            frames[i].moment.along_m = along_at(&pass, &frames[i], progress);
        progress = fmin(progress + made_between(&rng, 0.02, 0.2), 1.0);
    }
    return OWL_OK;
}

/* ---- what is wrong ---- */

static bool can_have(const struct made_frame *frame, const struct owl_plan *plan, enum made_fault fault)
{
    if (frame->fault != MADE_SOUND || (fault_facts[fault].animal && frame->visit == 0))
        return false;
    return plan->flashes >= (fault == MADE_ONE_FLASH_FAILED ? 2 : fault == MADE_ALL_FLASHES_FAILED ? 1 : 0);
}

static void set_fault(struct made_frame *frame, const struct owl_plan *plan, enum made_fault fault, struct owl_rng *rng)
{
    frame->fault = fault;
    frame->strength = owl_rng_uniform(rng);
    int flash = one_of(rng, plan->flashes > 0 ? plan->flashes : 1);
    frame->flash = fault == MADE_ONE_FLASH_FAILED ? flash : -1;
}

/* Weather comes over frames that follow each other, strongest in the middle. */
static void deal_weather(const struct made_card_wish *wish, const struct owl_plan *plan, enum made_fault fault, int count,
                         struct owl_rng *rng, struct made_frame *frames)
{
    int first = one_of(rng, wish->frames), dealt = 0;
    for (int i = 0; i < wish->frames && dealt < count; i++) {
        struct made_frame *frame = &frames[(first + i) % wish->frames];
        if (!can_have(frame, plan, fault))
            continue;
        set_fault(frame, plan, fault, rng);
        frame->strength = sin(OWL_PI * (++dealt - 0.5) / count);
    }
}

static void deal_singly(const struct made_card_wish *wish, const struct owl_plan *plan, enum made_fault fault, int count,
                        struct owl_rng *rng, struct made_frame *frames)
{
    for (int tries = 0; tries < TRIES && count > 0; tries++) {
        struct made_frame *frame = &frames[one_of(rng, wish->frames)];
        if (!can_have(frame, plan, fault))
            continue;
        set_fault(frame, plan, fault, rng);
        count--;
    }
}

/* The faults that take an animal first, while there are sound frames with one. */
static void deal_faults(const struct made_card_wish *wish, const struct owl_plan *plan, struct made_frame *frames)
{
    struct owl_rng rng = owl_rng_start(wish->seed, STREAM_FAULTS);
    for (int pass = 0; pass < 2; pass++)
        for (int fault = MADE_SOUND + 1; fault < MADE_FAULTS; fault++) {
            int able = 0;
            for (int i = 0; i < wish->frames; i++)
                able += !fault_facts[fault].animal || frames[i].visit > 0;
            int count = (int)lround(wish->share[fault] * able);
            if (fault_facts[fault].animal != (pass == 0))
                continue;
            if (fault == MADE_FOG || fault == MADE_RAIN)
                deal_weather(wish, plan, (enum made_fault)fault, count, &rng, frames);
            else
                deal_singly(wish, plan, (enum made_fault)fault, count, &rng, frames);
        }
}

/* Gusts last as long as an event; within it the blades sway. */
static void set_surroundings(struct clockwork *clockwork, struct made_frame *frames)
{
    const struct made_card_wish *wish = clockwork->wish;
    struct owl_rng rng = owl_rng_start(wish->seed, STREAM_WIND);
    double gust = 0.0;
    for (int i = 0; i < wish->frames; i++) {
        if (i == 0 || frames[i].visit == 0 || frames[i].visit != frames[i - 1].visit)
            gust = made_between(&rng, 0.2, 1.0);
        frames[i].wind = wish->wind * gust * made_between(&rng, -0.6, 1.0);
        frames[i].ambient_lx = light_lx(clockwork, frames[i].taken_unix_s);
        frames[i].shutter_s = owl_desk_shutter_s(clockwork->plan, frames[i].ambient_lx);
        bool knocked = wish->knock_at > 0 && i + 1 >= wish->knock_at;
        frames[i].shift_x_px = knocked ? wish->knock_x_px : 0.0;
        frames[i].shift_y_px = knocked ? wish->knock_y_px : 0.0;
    }
}

enum owl_status made_schedule(const struct made_card_wish *wish, const struct owl_plan *plan, struct made_frame *frames)
{
    struct clockwork clockwork = {.wish = wish, .plan = plan, .rng = owl_rng_start(wish->seed, STREAM_EVENTS)};
    struct owl_plan short_watch = *plan; /* the made-up sky sets its nights */
    made_watch_fill(&short_watch, &clockwork.sky);
    int events = draw_events(&clockwork, frames);
    if (events == 0)
        return OWL_OUTSIDE_DOMAIN;
    spread_events(&clockwork, events, frames);
    set_surroundings(&clockwork, frames);
    deal_faults(wish, plan, frames);
    return place_animals(wish, plan, frames);
}
