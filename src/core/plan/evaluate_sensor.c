/* Whether and where the sensor notices the animal, and where it is when the shutter opens. */
#include <math.h>

#include "core/constants.h"
#include "core/model/heat.h"
#include "core/plan/evaluating.h"

static double note_reach(struct owl_evaluating *part, double distance_m)
{
    const struct owl_plan *plan = part->plan;
    const struct owl_plan_sensor *sensor = &plan->sensor;
    struct owl_outcome *out = &part->result->outcome;
    struct owl_point sight = owl_point_between(&sensor->place, &part->middle);
    double turn = atan2(sight.y_m, sight.x_m) - plan->stage.path_angle_rad;
    double length_m = plan->subject.length_m, width_m = plan->subject.width_m, height_m = plan->subject.height_m;
    double across_m = OWL_NOTE(out, SENSOR_BODY, 0, length_m * fabs(sin(turn)) + width_m * fabs(cos(turn)), length_m, turn, width_m);
    struct owl_heat_target target;
    target.area_m2 = OWL_NOTE(out, SENSOR_AREA, 0,
                              owl_heat_visible_area_m2(across_m, height_m, sensor->zone_pitch_rad, sensor->fan_height_rad, distance_m),
                              across_m, sensor->zone_pitch_rad, distance_m, height_m, sensor->fan_height_rad);
    double air_k = plan->climate.night_k;
    double excess_k = OWL_NOTE(out, SENSOR_EXCESS, 0, owl_heat_coat_excess_k(air_k, OWL_HEAT_BODY_K), air_k);
    target.contrast_w_m2 = OWL_NOTE(out, SENSOR_CONTRAST, 0, owl_heat_contrast_w_m2(air_k + excess_k, air_k), air_k, excess_k);
    double across_m_s = plan->subject.speed_m_s * fabs(sin(turn));
    target.crossing_hz = OWL_NOTE(out, SENSOR_CROSSING, 0, owl_heat_crossing_hz(across_m_s, sensor->zone_pitch_rad, distance_m),
                                  plan->subject.speed_m_s, turn, sensor->zone_pitch_rad, distance_m);
    return OWL_NOTE(out, SENSOR_RANGE, 0, owl_heat_range_m(sensor->range_m, &target), sensor->range_m, target.area_m2,
                    target.contrast_w_m2, target.crossing_hz);
}

/* Body's middle past the mark, in the sense of the walk, at the open shutter. */
static double offset_m(const struct owl_plan *plan, const struct owl_crossing *crossed, double travel_m)
{
    return crossed->front_m + travel_m - plan->subject.length_m / 2.0;
}

static double inside_at(const struct owl_evaluating *part, int sense, double offset)
{
    struct owl_path path = owl_stage_path(part->plan);
    return owl_view_body(&part->view, part->plan, &path, sense * offset).inside;
}

static struct owl_crossing crossing_of(const struct owl_plan *plan, int sense, double reach_m)
{
    struct owl_path path = owl_stage_path(plan);
    return owl_sensor_cross(plan, &path, sense, reach_m);
}

/* The way in which the picture comes out worse. */
static int worse_sense(const struct owl_evaluating *part, double reach_m, double travel_m)
{
    const struct owl_plan *plan = part->plan;
    if (plan->stage.travel != OWL_TRAVEL_BOTH)
        return plan->stage.travel == OWL_TRAVEL_RIGHT ? 1 : -1;
    struct owl_crossing right = crossing_of(plan, 1, reach_m), left = crossing_of(plan, -1, reach_m);
    if (!right.noticed || !left.noticed)
        return left.noticed ? 1 : -1;
    double to_right = offset_m(plan, &right, travel_m), to_left = offset_m(plan, &left, travel_m);
    double inside_right = inside_at(part, 1, to_right), inside_left = inside_at(part, -1, to_left);
    if (inside_right != inside_left)
        return inside_right < inside_left ? 1 : -1;
    return fabs(to_right) >= fabs(to_left) ? 1 : -1;
}

static double note_delay(struct owl_evaluating *part)
{
    const struct owl_plan *plan = part->plan;
    struct owl_outcome *out = &part->result->outcome;
    double asleep = plan->camera.sleeps == OWL_YES ? 1.0 : 0.0;
    double latency_s = OWL_NOTE(out, SENSOR_LATENCY, 0, plan->sensor.delay_s, plan->sensor.delay_s);
    double delay_s = OWL_NOTE(out, RELEASE_DELAY, 0, latency_s + plan->camera.wake_s * asleep + plan->camera.lag_s,
                              latency_s, plan->camera.wake_s, asleep, plan->camera.lag_s);
    return OWL_NOTE(out, RELEASE_TRAVEL, 0, plan->subject.speed_m_s * delay_s, plan->subject.speed_m_s, delay_s);
}

void owl_evaluate_sensor(struct owl_evaluating *part)
{
    const struct owl_plan *plan = part->plan;
    struct owl_evaluation *result = part->result;
    struct owl_outcome *out = &result->outcome;
    struct owl_point sight = owl_point_between(&plan->sensor.place, &part->middle);
    double distance_m = OWL_NOTE(out, SENSOR_DISTANCE, 0, owl_point_length_m(&sight), sight.x_m, sight.y_m, sight.z_m);
    double reach_m = plan->sensor.kind == OWL_SENSOR_HEAT ? note_reach(part, distance_m) : INFINITY;
    double travel_m = note_delay(part);
    int sense = worse_sense(part, reach_m, travel_m);
    struct owl_crossing crossed = crossing_of(plan, sense, reach_m);
    result->noticed = crossed.noticed;
    result->both_ways = plan->stage.travel == OWL_TRAVEL_BOTH;
    result->worse_sense = sense;
    result->aim_shift_m = 0.0;
    if (!crossed.noticed)
        return;
    OWL_NOTE(out, NOTICE, 0, crossed.front_m, distance_m);
    double offset = OWL_NOTE(out, OFFSET, 0, offset_m(plan, &crossed, travel_m), crossed.front_m, travel_m, plan->subject.length_m);
    OWL_NOTE(out, OFFSET_INSIDE, 0, inside_at(part, sense, offset), offset);
    if (!result->both_ways)
        result->aim_shift_m = -sense * offset;
}
