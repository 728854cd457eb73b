/* A plan made into a scene. */
#include "core/desk/desk.h"

#include <math.h>

#include "core/constants.h"
#include "core/model/metering.h"
#include "core/plan/evaluating.h"
#include "core/plan/vector.h"

#define LOG_THICKEST_M 0.22 /* radius of what an animal walks on, our own choice */
#define LOG_REACH_M 6.0     /* to either side of the mark, likewise */
#define CARD_OF_BODY 0.5    /* side of the grey card against the animal's height */

/* What leaf litter and bark throw back, red, green, blue. Estimate. */
static const double ground_colour[3] = {0.150, 0.120, 0.085};
static const double log_colour[3] = {0.165, 0.135, 0.105};
static const double backdrop_hue[3] = {0.92, 1.02, 0.93}; /* luminance 1 */

struct owl_desk_moment owl_desk_moment_of(const struct owl_plan *plan, const struct owl_evaluation *evaluation)
{
    struct owl_desk_moment moment = {.sense = plan->stage.travel == OWL_TRAVEL_LEFT ? -1 : 1, .step = 0.2, .seed = 1};
    double past_m = owl_outcome_value(&evaluation->outcome, OWL_RESULT_OFFSET, 0);
    if (!evaluation->noticed || isnan(past_m))
        return moment;
    moment.sense = evaluation->worse_sense < 0 ? -1 : 1;
    moment.along_m = moment.sense * past_m;
    return moment;
}

/* The lit surface stands square to the beam, its width level. A flash that aims at itself points straight up. */
static struct owl_desk_lamp lamp_of(const struct owl_plan_flash *flash)
{
    static const struct owl_point up = {0.0, 0.0, 1.0}, ahead = {0.0, 1.0, 0.0};
    struct owl_point axis = owl_point_between(&flash->place, &flash->aim);
    struct owl_lit_surface lit = owl_lit_surface_of(flash);
    struct owl_desk_lamp lamp = {.place = flash->place, .width_m = lit.width_m, .height_m = lit.height_m};
    lamp.forward = owl_vector_length(&axis) > 0.0 ? owl_vector_unit(&axis) : up;
    struct owl_point across = owl_vector_cross(&lamp.forward, &up);
    if (!(owl_vector_length(&across) > 1e-6))
        across = owl_vector_cross(&lamp.forward, &ahead);
    lamp.across = owl_vector_unit(&across);
    lamp.up = owl_vector_cross(&lamp.across, &lamp.forward);
    lamp.half_coverage_rad = flash->coverage_rad / 2.0;
    lamp.intensity_cds = owl_metering_intensity_time_cds(flash->guide_number_m, 1.0) /
                         owl_metering_stops_factor(flash->diffuser_stops);
    return lamp;
}

static void set_animal(const struct owl_plan *plan, const struct owl_desk_moment *moment, struct owl_desk_scene *scene)
{
    struct owl_path path = owl_path_of(plan->stage.path_angle_rad + moment->turn_rad, moment->aside_m);
    scene->animal = !moment->absent && !moment->card;
    owl_form_of(&plan->subject, moment->step, &scene->form);
    scene->form_place = owl_path_point(plan, &path, moment->along_m);
    scene->form_cosine = moment->sense * path.cosine;
    scene->form_sine = moment->sense * path.sine;
    scene->card = moment->card;
    scene->card_middle = owl_stage_middle(plan);
    scene->card_half_m = CARD_OF_BODY / 2.0 * plan->subject.height_m;
}

/* Never thinner than the animal is wide; a low one lies half in the ground. */
static void set_log(const struct owl_plan *plan, struct owl_desk_scene *scene)
{
    double height_m = plan->stage.mark_height_m;
    struct owl_path path = owl_stage_path(plan);
    scene->log = height_m > 0.0;
    scene->log_radius_m = fmin(fmax(height_m / 2.0, plan->subject.width_m), fmax(plan->subject.width_m, LOG_THICKEST_M));
    scene->log_from = owl_path_point(plan, &path, -LOG_REACH_M);
    scene->log_to = owl_path_point(plan, &path, LOG_REACH_M);
    scene->log_from.z_m -= scene->log_radius_m;
    scene->log_to.z_m -= scene->log_radius_m;
}

/* So far behind the animal in the line of sight as the plan says, upright, facing the camera. */
static void set_backdrop(const struct owl_plan *plan, struct owl_desk_scene *scene)
{
    struct owl_point middle = owl_stage_middle(plan);
    struct owl_point sight = owl_point_between(&plan->camera.place, &middle);
    double lengths = plan->stage.backdrop_distance_m / owl_vector_length(&sight);
    scene->backdrop_place = owl_vector_along(&middle, &sight, lengths);
    scene->backdrop_normal = owl_vector_cross(&scene->view.right, &(struct owl_point){0.0, 0.0, 1.0});
    for (int c = 0; c < 3; c++)
        scene->backdrop_reflectance[c] = plan->stage.backdrop_brightness * backdrop_hue[c];
}

enum owl_status owl_desk_scene_of(const struct owl_plan *plan, const struct owl_desk_moment *moment, int width, int height,
                                  struct owl_desk_scene *scene)
{
    struct owl_desk_scene made = {.width = width, .height = height, .lamps = plan->flashes, .grain = 1.0, .seed = moment->seed};
    enum owl_status status = owl_view_of(plan, &made.view);
    if (status != OWL_OK)
        return status;
    if (width < 1 || height < 1 || width > OWL_FILM_SIDE_MOST || height > OWL_FILM_SIDE_MOST)
        return OWL_OUTSIDE_DOMAIN;
    made.planted = made.view;
    made.pixel_m = fmax(made.view.width_m / width, made.view.height_m / height);
    for (int i = 0; i < plan->flashes; i++)
        made.lamp[i] = lamp_of(&plan->flash[i]);
    for (int c = 0; c < 3; c++) {
        made.ground_reflectance[c] = ground_colour[c];
        made.log_reflectance[c] = log_colour[c];
    }
    set_animal(plan, moment, &made);
    set_log(plan, &made);
    set_backdrop(plan, &made);
    *scene = made;
    return OWL_OK;
}
