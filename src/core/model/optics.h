/* The lens: scale, field, depth of field and the blurs that limit it. Owns nothing.

   Model: a thin lens with its pupils at the single principal plane. Every distance is metres from that
   plane to the subject along the axis (only owl_optics_subject_distance_m starts from the sensor), every
   blur is metres on the sensor. Valid for distances above about 5 focal lengths; nearer, a real lens
   departs from it by its pupil magnification. A distance may be INFINITY wherever the text says so.
   Outside the ranges given, and for NaN, every function returns NaN.
   The formulas are published [conrad2006] [ray2002] unless a function says otherwise. */
#ifndef OWL_CORE_MODEL_OPTICS_H
#define OWL_CORE_MODEL_OPTICS_H

/* Image size over subject size, f/(s - f).
   focal_m > 0; distance_m > focal_m, INFINITY allowed (gives 0). Result >= 0. */
double owl_optics_magnification(double focal_m, double distance_m);

/* Full angle of view across one side (or the diagonal) of the sensor, 2 atan(extent/(2 f (1 + m))), m
   being the magnification at the focus. extent_m > 0; focal_m > 0; focus_m > focal_m, INFINITY allowed.
   Result rad, 0..pi. Rectilinear lenses only. */
double owl_optics_field_angle_rad(double extent_m, double focal_m, double focus_m);

/* Width of the scene that fills `extent_m` of the sensor at the distance in focus, extent/m.
   extent_m > 0; focal_m > 0; distance_m > focal_m; INFINITY gives INFINITY. Result m. */
double owl_optics_field_size_m(double extent_m, double focal_m, double distance_m);

/* Focus distance from which everything to infinity is sharp to the circle coc_m: f^2/(N c) + f.
   All > 0. Result m, above focal_m. */
double owl_optics_hyperfocal_m(double focal_m, double fnumber, double coc_m);

/* Near and far limit of depth of field, hyperfocal_m coming from owl_optics_hyperfocal_m.
   focal_m > 0; hyperfocal_m > focal_m and finite; focus_m > focal_m, INFINITY allowed.
   Near: s (H - f)/(H + s - 2 f), at most H - f. Far: s (H - f)/(H - s), INFINITY for focus_m >= H. */
double owl_optics_near_m(double focal_m, double hyperfocal_m, double focus_m);
double owl_optics_far_m(double focal_m, double hyperfocal_m, double focus_m);

/* Where to focus so that both ends are equally blurred: the harmonic mean 2 n F/(n + F), exact.
   0 < near_m <= far_m; far_m INFINITY gives 2 near_m. */
double owl_optics_focus_between_m(double near_m, double far_m);

/* Distance between the image planes of both ends: the focus spread, f n/(n - f) - f F/(F - f).
   0 < focal_m < near_m <= far_m, far_m INFINITY allowed. Result m, >= 0. */
double owl_optics_image_spread_m(double focal_m, double near_m, double far_m);

/* The f-number that holds the blur at both ends of a focus spread to coc_m, Dv/(2 c).
   spread_m >= 0; coc_m > 0. Leaves out a factor 1/(1 + m), m the mean magnification of both
   ends: on the safe side, 5 % at m = 0.05. */
double owl_optics_fnumber_for_spread(double spread_m, double coc_m);

/* The f-number that makes the worst blur over a focus spread least: there the blur of defocus at both
   ends equals the disc of diffraction, N = sqrt(Dv/(2 * 2.44 lambda)). When it lies below
   owl_optics_fnumber_for_spread, so deep a scene cannot be that sharp at any aperture.
   spread_m >= 0; wavelength_m > 0. Agrees with the published practice within 4 % [hansma1996]. */
double owl_optics_fnumber_sharpest(double spread_m, double wavelength_m);

/* Blur disc of a point at distance_m when the lens is focused at focus_m, f^2 |d - s|/(N d (s - f)).
   focal_m, fnumber > 0; focus_m > focal_m and distance_m > 0, INFINITY allowed for both. Result m, >= 0. */
double owl_optics_defocus_blur_m(double focal_m, double fnumber, double focus_m, double distance_m);

/* Diameter of the first dark ring of diffraction, 2.44 lambda N (1 + m).
   wavelength_m, fnumber > 0; magnification >= 0. Result m. */
double owl_optics_airy_m(double wavelength_m, double fnumber, double magnification);

/* Path on the sensor of a subject moving across the axis, m v t. All >= 0. For a flash time_s is its t0.1. */
double owl_optics_motion_blur_m(double magnification, double speed_m_s, double time_s);

/* Everything that spreads a point on the sensor, m; 0 for what does not apply. */
struct owl_blur {
    double defocus_m; /* disc of defocus */
    double airy_m;    /* disc of diffraction */
    double motion_m;  /* path of the moving subject */
    double pixel_m;   /* pixel pitch */
};

/* One width for all blurs, the root of the sum of their squares; each >= 0.
   Common practice, not physics: exact only if every one were a bell curve. */
double owl_optics_blur_m(const struct owl_blur *blur);

/* Circle of confusion by the print: diagonal/1500, a print seen whole at arm's length.
   diagonal_m > 0. Common practice. */
double owl_optics_print_coc_m(double diagonal_m);

/* Subject distance from the principal plane out of one measured to the sensor plane, D = s + f (1 + m),
   solved exactly for the farther of its two answers (m <= 1); the gap between a real lens's two principal
   planes is left out. focal_m > 0; sensor_plane_distance_m >= 4 focal_m (no lens reaches nearer),
   INFINITY allowed. Result m, >= 2 focal_m. */
double owl_optics_subject_distance_m(double sensor_plane_distance_m, double focal_m);

#endif
