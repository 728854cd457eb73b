/* The passive heat sensor: what a warm body radiates against its background, how the sensor's zones
   and electronics answer, and how far it notices. */
#ifndef OWL_CORE_MODEL_HEAT_H
#define OWL_CORE_MODEL_HEAT_H

#include "core/constants.h"

#define OWL_HEAT_BODY_K (OWL_ZERO_CELSIUS_K + 37.0) /* body of a warm-blooded animal; estimate */
#define OWL_HEAT_WARM_UP_S 45.0 /* after switching on, before it can be trusted; common practice 30..60 s */

/* Radiant exitance of a black body, W/m2: sigma T^4. NaN for T < 0. Published [planck]. */
double owl_heat_exitance_w_m2(double temperature_k);

/* The part of it between 8 and 14 um, where such sensors see: Planck's law integrated, within 1e-6 of
   the value from 200 to 340 K. 0 at 0 K, NaN below. Published [planck]. */
double owl_heat_band_exitance_w_m2(double temperature_k);

/* Difference of the two in that band, W/m2; negative when the surface is the colder. */
double owl_heat_contrast_w_m2(double surface_k, double background_k);

/* How much warmer than the air the outside of a coat is, K: 4 K in air of 10 C, falling on a straight
   line to nothing at body heat, at most 10 K; 0 in hotter air. NaN unless air > 0 K and body > 10 C.
   Estimate [coat-excess]. */
double owl_heat_coat_excess_k(double air_k, double body_k);

/* Zones crossed in a second, Hz: v / (P d); 0 for a walk straight at the sensor. NaN unless speed >= 0
   and pitch and distance are > 0. Published [heat-sensor]. */
double owl_heat_crossing_hz(double speed_across_m_s, double zone_pitch_rad, double distance_m);

/* Answer of element and amplifier at a frequency, 1 at its best (0.411 Hz), for a thermal time of
   0.15 s and an electrical one of 1 s. 0 at 0 Hz and at infinity, NaN below. Published form, times from memory
   [porter1981]. */
double owl_heat_response(double crossing_hz);

/* Warm area inside one zone, m2: min(length, P d) * min(height, fan height * d). NaN unless all are
   >= 0. Estimate: the body taken as a box [heat-sensor]. */
double owl_heat_visible_area_m2(double body_length_m, double body_height_m, double zone_pitch_rad,
                                double fan_height_rad, double distance_m);

struct owl_heat_target {
    double area_m2, contrast_w_m2, crossing_hz;
};

/* How far the sensor notices a target, m: the rated range times sqrt(A |M| / (A0 M0)) and
   sqrt(G / G0). The rating's reference is a walking person: A0 = 0.7 m2, 3.5 K over air of 20 C,
   1 m/s across zones of 6 degrees at 12 m, whatever the rating. At most 1.5 times the rated range,
   where the zone is filled. Either sign of contrast counts. NaN unless range, area and frequency are
   >= 0 and the contrast is a number. Estimate, within 40 % [heat-sensor]. */
double owl_heat_range_m(double rated_range_m, const struct owl_heat_target *target);

/* From the crossing to the sensor's signal, s: half a zone period for each pulse counted, and the
   electronics. INFINITY at 0 Hz: nothing is crossed. NaN unless all are >= 0. Common practice
   [heat-sensor]. */
double owl_heat_latency_s(double pulses, double crossing_hz, double electronics_s);

#endif
