/* Lamps with a surface, what hides them, and light from all around. */
#include "core/desk/light.h"

#include "core/constants.h"
#include "core/desk/grain.h"
#include "core/model/metering.h"
#include "core/plan/vector.h"

#define WET_MIRRORS 0.025  /* of light that falls on a cornea head on; from its refractive index 1.376 */
#define OPEN_PLACES 4
#define LIFT_M 1.5e-3      /* a ray of light begins so far above the skin */
#define CONE_MARGIN 1.2    /* between the spheres a ray steps through a cone may be a little wider than they */

/* A place on the lit surface, across and up from its middle in shares of half its size. */
static struct owl_point lamp_place(const struct owl_desk_lamp *lamp, double across, double up)
{
    struct owl_point beside = owl_vector_along(&lamp->place, &lamp->across, across * lamp->width_m / 2.0);
    return owl_vector_along(&beside, &lamp->up, up * lamp->height_m / 2.0);
}

static double half_diagonal_m(const struct owl_desk_lamp *lamp)
{
    return hypot(lamp->width_m, lamp->height_m) / 2.0;
}

static struct owl_ray ray_to(const struct owl_point *from, const struct owl_point *to, double *far_m)
{
    struct owl_point way = owl_vector_from_to(from, to);
    *far_m = owl_vector_length(&way);
    return (struct owl_ray){*from, owl_vector_scaled(&way, 1.0 / *far_m)};
}

static struct owl_ray ray_above(const struct owl_spot *spot, const struct owl_point *to, double *far_m)
{
    struct owl_point lifted = owl_vector_along(&spot->place, &spot->normal, LIFT_M);
    return ray_to(&lifted, to, far_m);
}

/* Whether one place of the lamp is seen from the spot: above its horizon, and nothing between. */
static bool place_seen(const struct owl_desk_scene *scene, const struct owl_spot *spot, const struct owl_point *place)
{
    double far_m = 0.0, clearance = INFINITY;
    struct owl_ray ray = ray_above(spot, place, &far_m);
    return owl_vector_dot(&ray.direction, &spot->normal) > 0.0 && owl_trace_free(scene, &ray, far_m, &clearance);
}

/* One place in each of rays * rays fields of the lit surface, moved within its field from spot to spot. */
static double share_by_places(const struct owl_desk_scene *scene, const struct owl_desk_lamp *lamp, const struct owl_spot *spot,
                              int rays, uint32_t number)
{
    int seen = 0;
    for (int i = 0; i < rays * rays; i++) {
        uint32_t place = number * 131u + (uint32_t)i * 2u;
        double across = (i % rays + owl_grain_share(scene->seed, place)) * 2.0 / rays - 1.0;
        double up = ((i / rays) + owl_grain_share(scene->seed, place + 1)) * 2.0 / rays - 1.0;
        struct owl_point at = lamp_place(lamp, across, up);
        seen += place_seen(scene, spot, &at);
    }
    return (double)seen / (rays * rays);
}

/* The middle of the lamp is asked first: where its ray passes everything wider than the lamp is, the whole of it is seen. */
static double share_seen(const struct owl_desk_scene *scene, const struct owl_desk_lamp *lamp, const struct owl_spot *spot,
                         int rays, uint32_t number)
{
    double half_m = half_diagonal_m(lamp), far_m = 0.0, clearance = INFINITY;
    if (!owl_trace_in_the_way(scene, &spot->place, &lamp->place, half_m))
        return 1.0;
    struct owl_ray middle = ray_above(spot, &lamp->place, &far_m);
    bool free = owl_trace_free(scene, &middle, far_m, &clearance);
    if (free && clearance > CONE_MARGIN * half_m / far_m)
        return 1.0;
    return rays > 1 ? share_by_places(scene, lamp, spot, rays, number) : free;
}

double owl_light_lamp_lxs(const struct owl_desk_scene *scene, const struct owl_desk_lamp *lamp, const struct owl_spot *spot,
                          int rays, uint32_t number)
{
    double far_m = 0.0;
    struct owl_ray ray = ray_to(&spot->place, &lamp->place, &far_m);
    double facing = owl_vector_dot(&ray.direction, &spot->normal);
    if (!(facing > 0.0) || !(far_m > 0.0))
        return 0.0;
    double off_rad = acos(fmin(fmax(-owl_vector_dot(&ray.direction, &lamp->forward), -1.0), 1.0));
    double beam = owl_metering_beam_share(off_rad, lamp->half_coverage_rad);
    double unhidden_lxs = owl_metering_flash_exposure_lxs(lamp->intensity_cds, far_m, facing) * beam;
    return unhidden_lxs * share_seen(scene, lamp, spot, rays, number);
}

/* From a few places above the spot: the nearer something else is than the spot itself, the more of the light it hides. */
double owl_light_open_share(const struct owl_desk_scene *scene, const struct owl_spot *spot)
{
    static const double above_m[OPEN_PLACES] = {0.01, 0.03, 0.09, 0.27};
    static const double share[OPEN_PLACES] = {0.20, 0.30, 0.30, 0.20};
    double hidden = 0.0;
    struct owl_point tip = owl_vector_along(&spot->place, &spot->normal, above_m[OPEN_PLACES - 1]);
    if (spot->solo || !owl_trace_in_the_way(scene, &spot->place, &tip, above_m[OPEN_PLACES - 1]))
        return 1.0;
    for (int i = 0; i < OPEN_PLACES; i++) {
        struct owl_point at = owl_vector_along(&spot->place, &spot->normal, above_m[i]);
        double free_m = owl_trace_near_m(scene, &at);
        hidden += share[i] * fmin(fmax(1.0 - free_m / above_m[i], 0.0), 1.0);
    }
    return 1.0 - hidden;
}

/* The mirrored sight meets the lit surface or it does not; where it does, its luminance is seen. */
double owl_light_glint_lxs(const struct owl_desk_lamp *lamp, const struct owl_spot *spot, const struct owl_point *sight)
{
    struct owl_point way = owl_vector_along(sight, &spot->normal, -2.0 * owl_vector_dot(sight, &spot->normal));
    struct owl_point gap = owl_vector_from_to(&spot->place, &lamp->place);
    double nearing = -owl_vector_dot(&way, &lamp->forward);
    double t = -owl_vector_dot(&gap, &lamp->forward) / nearing;
    struct owl_point at = owl_vector_along(&spot->place, &way, t), off = owl_vector_from_to(&lamp->place, &at);
    if (!(nearing > 0.0 && t > 0.0) || fabs(owl_vector_dot(&off, &lamp->across)) > lamp->width_m / 2.0 ||
        fabs(owl_vector_dot(&off, &lamp->up)) > lamp->height_m / 2.0)
        return 0.0;
    return OWL_PI * WET_MIRRORS * lamp->intensity_cds / (lamp->width_m * lamp->height_m);
}
