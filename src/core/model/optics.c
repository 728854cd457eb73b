/* Thin-lens optics in closed form. */
#include "core/model/optics.h"

#include <math.h>
#include <stdbool.h>

/* First zero of the diffraction pattern of a round pupil, as a diameter in units of lambda N: 2 * 1.2197
   rounded as the trade prints it [ray2002]. */
#define DARK_RING 2.44

#define PRINT_CIRCLES_PER_DIAGONAL 1500.0 /* common practice */

/* Whether the lens forms a real image of a plane at that distance. */
static bool in_front(double focal_m, double distance_m)
{
    return focal_m > 0.0 && distance_m > focal_m;
}

double owl_optics_magnification(double focal_m, double distance_m)
{
    if (!in_front(focal_m, distance_m))
        return NAN;
    return focal_m / (distance_m - focal_m);
}

double owl_optics_field_angle_rad(double extent_m, double focal_m, double focus_m)
{
    if (!(extent_m > 0.0 && in_front(focal_m, focus_m)))
        return NAN;
    double image_m = focal_m * (1.0 + owl_optics_magnification(focal_m, focus_m));
    return 2.0 * atan(extent_m / (2.0 * image_m));
}

/* extent/m written without the division by m, which is 0 at infinity. */
double owl_optics_field_size_m(double extent_m, double focal_m, double distance_m)
{
    if (!(extent_m > 0.0 && in_front(focal_m, distance_m)))
        return NAN;
    return extent_m * (distance_m - focal_m) / focal_m;
}

double owl_optics_hyperfocal_m(double focal_m, double fnumber, double coc_m)
{
    if (!(focal_m > 0.0 && fnumber > 0.0 && coc_m > 0.0))
        return NAN;
    return focal_m * focal_m / (fnumber * coc_m) + focal_m;
}

double owl_optics_near_m(double focal_m, double hyperfocal_m, double focus_m)
{
    if (!(in_front(focal_m, focus_m) && in_front(focal_m, hyperfocal_m)))
        return NAN;
    double reach_m = hyperfocal_m - focal_m;
    if (isinf(focus_m))
        return reach_m;
    return focus_m * reach_m / (reach_m + focus_m - focal_m);
}

double owl_optics_far_m(double focal_m, double hyperfocal_m, double focus_m)
{
    if (!(in_front(focal_m, focus_m) && in_front(focal_m, hyperfocal_m)))
        return NAN;
    if (focus_m >= hyperfocal_m)
        return INFINITY;
    return focus_m * (hyperfocal_m - focal_m) / (hyperfocal_m - focus_m);
}

/* The harmonic mean, by way of 1/F so that an infinite far end needs no case of its own. */
double owl_optics_focus_between_m(double near_m, double far_m)
{
    if (!(near_m > 0.0 && far_m >= near_m))
        return NAN;
    return 2.0 / (1.0 / near_m + 1.0 / far_m);
}

/* f n/(n - f) - f F/(F - f) = f^2 (1/n - 1/F)/((1 - f/n)(1 - f/F)): no difference of two near-equal image
   distances, and an infinite far end needs no case of its own. */
double owl_optics_image_spread_m(double focal_m, double near_m, double far_m)
{
    if (!(in_front(focal_m, near_m) && far_m >= near_m))
        return NAN;
    double between = 1.0 / near_m - 1.0 / far_m;
    return focal_m * focal_m * between / ((1.0 - focal_m / near_m) * (1.0 - focal_m / far_m));
}

double owl_optics_fnumber_for_spread(double spread_m, double coc_m)
{
    if (!(spread_m >= 0.0 && coc_m > 0.0))
        return NAN;
    return spread_m / (2.0 * coc_m);
}

/* The worst blur squared is (Dv/2N)^2 + (2.44 lambda N)^2; its derivative by N^2 is zero where both terms
   are equal. */
double owl_optics_fnumber_sharpest(double spread_m, double wavelength_m)
{
    if (!(spread_m >= 0.0 && wavelength_m > 0.0))
        return NAN;
    return sqrt(spread_m / (2.0 * DARK_RING * wavelength_m));
}

/* f^2 |d - s|/(N d (s - f)) = (f^2/N) |1/s - 1/d|/(1 - f/s): the form that holds at infinity. */
double owl_optics_defocus_blur_m(double focal_m, double fnumber, double focus_m, double distance_m)
{
    if (!(in_front(focal_m, focus_m) && fnumber > 0.0 && distance_m > 0.0))
        return NAN;
    double apart = fabs(1.0 / focus_m - 1.0 / distance_m);
    return focal_m * focal_m / fnumber * apart / (1.0 - focal_m / focus_m);
}

double owl_optics_airy_m(double wavelength_m, double fnumber, double magnification)
{
    if (!(wavelength_m > 0.0 && fnumber > 0.0 && magnification >= 0.0))
        return NAN;
    return DARK_RING * wavelength_m * fnumber * (1.0 + magnification);
}

double owl_optics_motion_blur_m(double magnification, double speed_m_s, double time_s)
{
    if (!(magnification >= 0.0 && speed_m_s >= 0.0 && time_s >= 0.0))
        return NAN;
    return magnification * speed_m_s * time_s;
}

double owl_optics_blur_m(const struct owl_blur *blur)
{
    if (!(blur->defocus_m >= 0.0 && blur->airy_m >= 0.0 && blur->motion_m >= 0.0 && blur->pixel_m >= 0.0))
        return NAN;
    return hypot(hypot(blur->defocus_m, blur->airy_m), hypot(blur->motion_m, blur->pixel_m));
}

double owl_optics_print_coc_m(double diagonal_m)
{
    if (!(diagonal_m > 0.0))
        return NAN;
    return diagonal_m / PRINT_CIRCLES_PER_DIAGONAL;
}

/* 1 + m = s/(s - f), so D = s^2/(s - f), that is s^2 - D s + D f = 0; the larger root is the subject of
   m <= 1, the smaller its mirror in close-up. */
double owl_optics_subject_distance_m(double sensor_plane_distance_m, double focal_m)
{
    if (!(focal_m > 0.0 && isfinite(focal_m) && sensor_plane_distance_m >= 4.0 * focal_m))
        return NAN;
    return sensor_plane_distance_m / 2.0 * (1.0 + sqrt(1.0 - 4.0 * focal_m / sensor_plane_distance_m));
}
