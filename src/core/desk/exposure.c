/* The settings of a plan as weights of the film's images. */
#include <math.h>

#include "core/constants.h"
#include "core/desk/desk.h"
#include "core/model/flash.h"
#include "core/model/optics.h"
#include "core/plan/evaluating.h"
#include "core/plan/vector.h"

#define FARTHEST_SMEAR_M 20.0  /* an animal that walks farther has long left the frame */
#define NEAREST_M 0.05         /* a smear that would pass the lens ends before it */

double owl_desk_shutter_s(const struct owl_plan *plan, double ambient_lx)
{
    struct owl_evaluating part = {.plan = plan};
    owl_light_prepare(&part);
    return owl_shutter_at_s(&part, ambient_lx);
}

/* Where a point falls on the film, pixels from its middle, right and down; false when it is not before the lens. */
static bool on_film(const struct owl_desk_scene *scene, const struct owl_point *at, double film_px[2])
{
    const struct owl_view *view = &scene->view;
    struct owl_point sight = owl_vector_from_to(&view->place, at);
    double depth_m = owl_vector_dot(&sight, &view->forward);
    if (depth_m < NEAREST_M)
        return false;
    film_px[0] = view->image_m * owl_vector_dot(&sight, &view->right) / depth_m / scene->pixel_m;
    film_px[1] = -view->image_m * owl_vector_dot(&sight, &view->up) / depth_m / scene->pixel_m;
    return true;
}

static void set_smear(const struct owl_plan *plan, const struct owl_desk_scene *scene, double time_s, double smear_px[2])
{
    struct owl_point from = scene->form_place, heading = {scene->form_cosine, scene->form_sine, 0.0};
    from.z_m += plan->subject.height_m / 2.0;
    struct owl_point to = owl_vector_along(&from, &heading, fmin(plan->subject.speed_m_s * time_s, FARTHEST_SMEAR_M));
    double begin_px[2], end_px[2];
    bool shown = scene->animal && on_film(scene, &from, begin_px) && on_film(scene, &to, end_px);
    for (int i = 0; i < 2; i++)
        smear_px[i] = shown ? end_px[i] - begin_px[i] : 0.0;
}

static void set_light(const struct owl_plan *plan, const struct owl_desk_scene *scene, int light, double time_s,
                      struct owl_film_exposure *exposure)
{
    double smear_px[2];
    set_smear(plan, scene, time_s, smear_px);
    exposure->smear_x_px[light] = smear_px[0];
    exposure->smear_y_px[light] = smear_px[1];
}

enum owl_status owl_desk_exposure_of(const struct owl_plan *plan, const struct owl_desk_scene *scene, double ambient_lx,
                                     double shutter_s, struct owl_film_exposure *exposure)
{
    struct owl_evaluating part = {.plan = plan};
    owl_light_prepare(&part);
    if (!(ambient_lx >= 0.0 && shutter_s > 0.0 && isfinite(ambient_lx * shutter_s)))
        return OWL_OUTSIDE_DOMAIN;
    struct owl_film_exposure made = {.focus_m = plan->lens.focus_m};
    for (int i = 0; i < plan->flashes; i++) {
        const struct owl_plan_flash *flash = &plan->flash[i];
        double decay_s = owl_flash_decay_s(flash->pulse_s);
        double lasts_s = owl_flash_tenth_peak_s((enum owl_flash_control)flash->control, decay_s, flash->power);
        made.weight[i] = flash->power / (part.flash_needed_lxs * OWL_MID_REFLECTANCE);
        set_light(plan, scene, i, lasts_s, &made);
    }
    made.weight[plan->flashes] = ambient_lx * shutter_s / (part.ambient_needed_lxs * OWL_MID_REFLECTANCE);
    set_light(plan, scene, plan->flashes, shutter_s, &made);
    double focal_m = plan->lens.focal_m;
    made.disc_px = owl_optics_defocus_blur_m(focal_m, plan->camera.aperture, plan->lens.focus_m, INFINITY) / scene->pixel_m;
    *exposure = made;
    return OWL_OK;
}
