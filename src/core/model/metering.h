/* Light on the sensor's terms: exposure value, luminance, illuminance, guide number. Owns nothing.

   fnumber N > 0; time_s t > 0; iso S > 0 is the arithmetic speed; power is a share of full flash power in
   (0, 1]; guide numbers are metres, at ISO 100 unless an argument `iso` stands beside the name. Photometry
   throughout: "lx" means as the eye weighs light. Outside these ranges, and for NaN, every function
   returns NaN. The meter constants are calibration choices: their published spread is +-25 %, a third of
   a stop, and no result here is truer than that. Equations published [iso2720] [iso12232], both quoted
   from memory, unverified, unless a function says otherwise. */
#ifndef OWL_CORE_MODEL_METERING_H
#define OWL_CORE_MODEL_METERING_H

#define OWL_METERING_BASE_ISO 100.0 /* the speed guide numbers are quoted at, common practice */

/* EV = lg2(N^2/t): the camera's setting, whatever the speed. */
double owl_metering_exposure_value(double fnumber, double time_s);

/* Luminance (cd/m2) a reflected-light meter calls right for the setting, K N^2/(t S) [iso2720]. */
double owl_metering_luminance_cd_m2(double fnumber, double time_s, double iso);

/* Illuminance (lx) an incident-light meter with a flat receptor calls right, C N^2/(t S) [iso2720]. */
double owl_metering_illuminance_lx(double fnumber, double time_s, double iso);

/* Exposure at the subject (lx s) that the setting asks for: of standing light, C N^2/S [iso2720]. */
double owl_metering_ambient_exposure_needed_lxs(double fnumber, double iso);

/* The same of flash, C_f N^2/S, with the constant printed guide-number tables imply [film-data-sheet]. */
double owl_metering_flash_exposure_needed_lxs(double fnumber, double iso);

/* The f-number that fits a flash exposure at the subject, sqrt(Q S/C_f); 0 for no light. Several flashes
   on one point: add their exposures first. exposure_lxs >= 0. */
double owl_metering_fnumber_for(double exposure_lxs, double iso);

/* Luminous intensity times time on the beam's axis (cd s) of a flash of that guide number at a share of
   its power, C_f GN^2 p/100. guide_number_m > 0. Within 6 % of printed tables [film-data-sheet]. */
double owl_metering_intensity_time_cds(double guide_number_m, double power);

/* The guide number (m, at `iso`) of an intensity-time, sqrt(I S/C_f). intensity_time_cds > 0. */
double owl_metering_guide_number_m(double intensity_time_cds, double iso);

/* A guide number (m at ISO 100) carried to another speed, power and loss before the lamp:
   GN sqrt(p S/100) 2^(-loss/2). guide_number_m > 0; loss_stops finite, negative for a gain. */
double owl_metering_guide_number_at_m(double guide_number_m, double iso, double power, double loss_stops);

/* Exposure (lx s) a flash gives to a surface, I cos/d^2. intensity_time_cds >= 0; distance_m > 0;
   cos_incidence -1..1, that of the angle between the surface's normal and the light; negative, the
   light is behind the surface and the exposure is 0. A beam small against the distance. */
double owl_metering_flash_exposure_lxs(double intensity_time_cds, double distance_m, double cos_incidence);

/* Intensity off the beam's axis as a share of that on it, 2^-(angle/b)^2: one stop down at the edge of
   the nominal coverage. off_axis_rad of either sign; half_coverage_rad > 0. Estimate: practice accepts 1
   to 1.3 stops at the corners [iso1230]. */
double owl_metering_beam_share(double off_axis_rad, double half_coverage_rad);

/* Solid angle of a beam of rectangular section, 4 asin(sin(w/2) sin(h/2)); exact.
   width_rad, height_rad full angles in (0, pi]. Result sr, at most 2 pi. */
double owl_metering_beam_solid_angle_sr(double width_rad, double height_rad);

/* How the guide number changes when a zoom head narrows or widens its beam: (from/to)^(share/2), the
   ideal head (share 1) keeping all its light inside. Solid angles > 0; share_reached 0..1 is the share
   of the ideal stops reached, 0.6..0.8 in real heads (estimate). */
double owl_metering_zoom_ratio(double solid_angle_from_sr, double solid_angle_to_sr, double share_reached);

/* lg2 of a ratio of light: ratio >= 0; 0 gives -INFINITY, INFINITY itself. */
double owl_metering_stops(double ratio);

/* 2^stops, the inverse of owl_metering_stops. */
double owl_metering_stops_factor(double stops);

/* Feet to metres; exact. guide_number_ft > 0. */
double owl_metering_guide_number_from_feet_m(double guide_number_ft);

/* Exposure on the sensor (lx s) under a luminance, 0.65 L t/N^2, focus far away; 0.65 allows for a typical
   lens's transmission, vignetting and flare [iso12232]. luminance_cd_m2 >= 0. */
double owl_metering_focal_plane_exposure_lxs(double luminance_cd_m2, double time_s, double fnumber);

/* Speed by the output of a mid tone, 10/H_m (S_sos) [iso12232]. exposure_lxs > 0 on the sensor. */
double owl_metering_speed_output(double exposure_lxs);

/* Speed by saturation, 78/H_sat (S_sat) [iso12232]. exposure_lxs > 0 on the sensor, just clipping. */
double owl_metering_speed_saturation(double exposure_lxs);

/* Stops from the mid tone to clipping of a sensor of those two speeds: 2.96 when they agree, more
   when the saturation speed is the lower. Both > 0. */
double owl_metering_headroom_stops(double speed_output, double speed_saturation);

#endif
