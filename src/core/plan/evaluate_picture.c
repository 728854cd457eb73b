/* Framing, focus, depth and blur at the mark. */
#include <math.h>

#include "core/constants.h"
#include "core/model/optics.h"
#include "core/plan/evaluating.h"

static void note_framing(struct owl_evaluating *part, double distance_m)
{
    const struct owl_plan *plan = part->plan;
    struct owl_outcome *out = &part->result->outcome;
    double focal_m = plan->lens.focal_m, m = part->magnification;
    double width_m = OWL_NOTE(out, FIELD_WIDTH, 0, owl_optics_field_size_m(part->view.width_m, focal_m, distance_m),
                              part->view.width_m, m);
    double height_m = OWL_NOTE(out, FIELD_HEIGHT, 0, owl_optics_field_size_m(part->view.height_m, focal_m, distance_m),
                               part->view.height_m, m);
    OWL_NOTE(out, FIELD_ANGLE, 0, owl_optics_field_angle_rad(part->view.width_m, focal_m, plan->lens.focus_m),
             part->view.width_m, focal_m, owl_optics_magnification(focal_m, plan->lens.focus_m));
    double angle = plan->stage.path_angle_rad;
    double across_m = plan->subject.length_m * cos(angle) + plan->subject.width_m * fabs(sin(angle));
    OWL_NOTE(out, BODY_ACROSS, 0, across_m, plan->subject.length_m, plan->subject.width_m, angle);
    OWL_NOTE(out, FILL_WIDTH, 0, across_m / width_m, across_m, width_m);
    OWL_NOTE(out, FILL_HEIGHT, 0, plan->subject.height_m / height_m, plan->subject.height_m, height_m);
    struct owl_path path = owl_stage_path(plan);
    struct owl_frame_box box = owl_view_body(&part->view, plan, &path, 0.0);
    OWL_NOTE(out, INSIDE_MARK, 0, box.inside, across_m, plan->subject.height_m);
    OWL_NOTE(out, PIXEL, 0, part->pixel_m, plan->camera.width_m, plan->camera.pixels_across);
    OWL_NOTE(out, BODY_PIXELS, 0, across_m * m / part->pixel_m, across_m, m, part->pixel_m);
}

static void note_focus(struct owl_evaluating *part)
{
    const struct owl_plan *plan = part->plan;
    struct owl_outcome *out = &part->result->outcome;
    double f = plan->lens.focal_m, s = plan->lens.focus_m;
    OWL_NOTE(out, FOCUS, 0, s, s);
    OWL_NOTE(out, FOCUS_SCALE, 0, s + f * (1.0 + owl_optics_magnification(f, s)), s, f);
    double hyperfocal_m = OWL_NOTE(out, HYPERFOCAL, 0,
                                   owl_optics_hyperfocal_m(f, plan->camera.aperture, plan->limits.blur_m), f,
                                   plan->camera.aperture, plan->limits.blur_m);
    double near_m = OWL_NOTE(out, NEAR, 0, owl_optics_near_m(f, hyperfocal_m, s), s, hyperfocal_m, f);
    double far_m = OWL_NOTE(out, FAR, 0, owl_optics_far_m(f, hyperfocal_m, s), s, hyperfocal_m, f);
    OWL_NOTE(out, DEPTH, 0, far_m - near_m, far_m, near_m);
}

static void note_depth_wanted(struct owl_evaluating *part, double distance_m)
{
    const struct owl_plan *plan = part->plan;
    struct owl_outcome *out = &part->result->outcome;
    double f = plan->lens.focal_m, angle = plan->stage.path_angle_rad;
    double depth_m = plan->subject.length_m * fabs(sin(angle)) +
                     (plan->subject.width_m + 2.0 * plan->stage.path_scatter_m) * cos(angle);
    OWL_NOTE(out, DEPTH_WANTED, 0, depth_m, plan->subject.length_m, angle, plan->subject.width_m,
             plan->stage.path_scatter_m);
    double near_m = OWL_NOTE(out, NEAR_WANTED, 0, distance_m - depth_m / 2.0, distance_m, depth_m);
    double far_m = OWL_NOTE(out, FAR_WANTED, 0, distance_m + depth_m / 2.0, distance_m, depth_m);
    if (near_m <= f)
        return; /* the animal reaches the lens: owl_evaluate_warnings says so */
    double spread_m = OWL_NOTE(out, IMAGE_SPREAD, 0, owl_optics_image_spread_m(f, near_m, far_m), f, near_m, far_m);
    OWL_NOTE(out, APERTURE_WANTED, 0, owl_optics_fnumber_for_spread(spread_m, plan->limits.blur_m), spread_m,
             plan->limits.blur_m);
    OWL_NOTE(out, APERTURE_SHARPEST, 0, owl_optics_fnumber_sharpest(spread_m, OWL_GREEN_WAVELENGTH_M), spread_m,
             OWL_GREEN_WAVELENGTH_M);
}

void owl_evaluate_picture(struct owl_evaluating *part)
{
    const struct owl_plan *plan = part->plan;
    struct owl_outcome *out = &part->result->outcome;
    part->middle = owl_stage_middle(plan);
    struct owl_point sight = owl_point_between(&plan->camera.place, &part->middle);
    double distance_m = OWL_NOTE(out, DISTANCE, 0, owl_point_length_m(&sight), sight.x_m, sight.y_m, sight.z_m);
    part->pixel_m = plan->camera.width_m / plan->camera.pixels_across;
    part->magnification = OWL_NOTE(out, MAGNIFICATION, 0, owl_optics_magnification(plan->lens.focal_m, distance_m),
                                   plan->lens.focal_m, distance_m);
    part->speed_across_m_s = plan->subject.speed_m_s * cos(plan->stage.path_angle_rad);
    note_framing(part, distance_m);
    note_focus(part);
    note_depth_wanted(part, distance_m);
}

/* The part of the depth wanted that the focus serves worst. */
static double worst_distance_m(const struct owl_evaluating *part)
{
    const struct owl_plan *plan = part->plan;
    double near_m = fmax(owl_outcome_value(&part->result->outcome, OWL_RESULT_NEAR_WANTED, 0), plan->lens.focal_m);
    double far_m = owl_outcome_value(&part->result->outcome, OWL_RESULT_FAR_WANTED, 0);
    double focus_m = plan->lens.focus_m, f = plan->lens.focal_m, n = plan->camera.aperture;
    return owl_optics_defocus_blur_m(f, n, focus_m, near_m) > owl_optics_defocus_blur_m(f, n, focus_m, far_m) ? near_m : far_m;
}

/* How long the light lasts that makes the picture: the longest pulse when the flashes outshine the
   darkest armed minute, else the shutter in the lightest. */
static double drawing_time_s(const struct owl_evaluating *part)
{
    bool armed = !isnan(part->lightest_lx);
    double dark_s = owl_shutter_at_s(part, armed ? part->darkest_lx : 0.0);
    if (part->flash_lxs > 0.0 && !(armed && part->darkest_lx * dark_s > part->flash_lxs))
        return fmin(part->longest_pulse_s, dark_s);
    return armed ? part->lightest_shutter_s : dark_s;
}

void owl_evaluate_blur(struct owl_evaluating *part)
{
    const struct owl_plan *plan = part->plan;
    struct owl_outcome *out = &part->result->outcome;
    double f = plan->lens.focal_m, n = plan->camera.aperture, m = part->magnification;
    double worst_m = worst_distance_m(part), time_s = drawing_time_s(part);
    struct owl_blur blur = {.pixel_m = part->pixel_m};
    blur.defocus_m = OWL_NOTE(out, DEFOCUS_BLUR, 0, owl_optics_defocus_blur_m(f, n, plan->lens.focus_m, worst_m), f,
                              worst_m, plan->lens.focus_m, n);
    blur.airy_m = OWL_NOTE(out, AIRY_BLUR, 0, owl_optics_airy_m(OWL_GREEN_WAVELENGTH_M, n, m), OWL_GREEN_WAVELENGTH_M, n, m);
    blur.motion_m = OWL_NOTE(out, MOTION_BLUR, 0, owl_optics_motion_blur_m(m, part->speed_across_m_s, time_s), m,
                             plan->subject.speed_m_s, plan->stage.path_angle_rad, time_s);
    double all_m = OWL_NOTE(out, BLUR, 0, owl_optics_blur_m(&blur), blur.defocus_m, blur.airy_m, blur.motion_m, blur.pixel_m);
    OWL_NOTE(out, BLUR_LIMIT, 0, plan->limits.blur_m, plan->limits.blur_m);
    OWL_NOTE(out, BLUR_PIXELS, 0, all_m / part->pixel_m, all_m, part->pixel_m);
    OWL_NOTE(out, BLUR_PRINT, 0, all_m * plan->limits.print_width_m / part->view.width_m, all_m,
             plan->limits.print_width_m, part->view.width_m);
}
