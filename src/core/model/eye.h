/* What a flash does to an eye that looks into it: hazard margins and night vision. Owns nothing.

   A caution, never a certificate: the limits are human ones quoted from memory, and the window, the pulse
   and the spectrum are the user's or a 6000 K stand-in's, so that a margin may be off by a factor of 3.
   intensity_time_cds (cd s, on axis) is what owl_metering_intensity_time_cds gives; radiance_time
   (cd s m-2) is that over the flash's window and does not change with distance. Both >= 0.
   A margin is limit over dose: above 1 is within the limit, INFINITY with no light.
   Outside the ranges given, and for NaN, every function returns NaN. */
#ifndef OWL_CORE_MODEL_EYE_H
#define OWL_CORE_MODEL_EYE_H

#define OWL_EYE_REST_S 600.0    /* least time between flashes on one animal at night; common practice */
#define OWL_EYE_MARGIN_WARN 5.0 /* warn below this margin; our choice, for the factor of 3 above */

/* Exposure at the eye (lx s), I/d^2. distance_m > 0. */
double owl_eye_exposure_lxs(double intensity_time_cds, double distance_m);

/* Luminance times time of the flash's window as seen (cd s m-2), I/A. window_area_m2 > 0, the lit one:
   a window not filled by the beam is brighter than this says. */
double owl_eye_radiance_time_cds_m2(double intensity_time_cds, double window_area_m2);

/* The angle a window of two sides fills for the eye (rad), (w + h)/(2 d): small angles. The limits
   hold the mean of both sides, not each side, between their bounds: stricter for a strip-like window.
   All > 0. */
double owl_eye_source_angle_rad(double width_m, double height_m, double distance_m);

/* Blue-light dose (J m-2 sr-1) of white light of 6000 K, and the margin to 1e6 J m-2 sr-1, the limit for any
   exposure below 1e4 s [icnirp2013]. 5500..6500 K moves it by 9 %. */
double owl_eye_blue_dose(double radiance_time_cds_m2);
double owl_eye_blue_margin(double radiance_time_cds_m2);

/* Dose for the heating of the retina (J m-2 sr-1), 2013 weighting, of white light of 6000 K; the infrared
   lines of a xenon lamp add about 20 % (estimate), not counted [icnirp2013]. */
double owl_eye_thermal_dose(double radiance_time_cds_m2);

/* The 2013 limit to that dose (J m-2 sr-1): 2e4 t^0.75/alpha below 0.25 s, 2.8e4 t/alpha from there on.
   alpha is held between 1.5 mrad and alpha_max = 5 mrad below 0.625 ms, 0.2 sqrt(t) rad to 0.25 s, 0.1 rad
   beyond. pulse_s >= 1e-6; angle_rad > 0. [icnirp2013] */
double owl_eye_thermal_limit(double pulse_s, double angle_rad);

/* Limit over dose by the 2013 guideline; domain of owl_eye_thermal_limit. */
double owl_eye_thermal_margin(double radiance_time_cds_m2, double pulse_s, double angle_rad);

/* The same by the 2006 lamp standard, which counts blue light up to tenfold: dose limit
   5e4 t^0.75/alpha, alpha held to 1.7..100 mrad [iec62471]. pulse_s 1e-5 up to, not including, 0.25 s, where
   the small-source bound starts to grow; angle_rad > 0. */
double owl_eye_thermal_margin_2006(double radiance_time_cds_m2, double pulse_s, double angle_rad);

/* A human margin carried to a night animal's eye, divided by 10: wider pupil over a shorter eye gives 6
   times the light on the retina, the mirror behind it up to twice. Estimate; no animal limits are
   published. human_margin >= 0, INFINITY stays. */
double owl_eye_animal_margin(double human_margin);

/* Retinal exposure for the rods (scotopic troland seconds): luminance-time in ordinary (photopic) units,
   times 2.38 for rods under white light of 6000 K, times the pupil's area in mm2.
   luminance_time_cds_m2 >= 0; pupil_m > 0, the diameter. */
double owl_eye_retinal_exposure_td_s(double luminance_time_cds_m2, double pupil_m);

/* Share of rod pigment bleached by it, 1 - exp(-Q/1e7) [lamb2004]. exposure_td_s >= 0. Result 0..1. For a
   pulse short against the minutes of regeneration; human rods. */
double owl_eye_bleached_share(double exposure_td_s);

/* Share still bleached after waiting, b exp(-t/420 s) [rushton1972]. bleached_share 0..1; waited_s >= 0. */
double owl_eye_bleach_left(double bleached_share, double waited_s);

/* Decades by which rod threshold has come down after waiting, on the slow straight branch, 0.24 a minute
   [lamb2004]: human; ends when the dark threshold is reached, 30 to 40 min after a full bleach.
   waited_s >= 0. */
double owl_eye_rod_recovery_decades(double waited_s);

/* Time (s) for so many decades on that branch. decades >= 0. */
double owl_eye_rest_s(double decades);

#endif
