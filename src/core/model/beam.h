/* The light beam across the path. */
#ifndef OWL_CORE_MODEL_BEAM_H
#define OWL_CORE_MODEL_BEAM_H

#include <stdbool.h>

/* How long a body breaks the beam, s: L / v. NaN unless L >= 0 and v > 0. Published [kinematics]. */
double owl_beam_break_s(double body_length_m, double speed_m_s);

/* Whether the break outlasts the sensor's debounce time (typically 1 to 5 ms, estimate); false where
   owl_beam_break_s is NaN. */
bool owl_beam_breaks(double body_length_m, double speed_m_s, double debounce_s);

#define OWL_BEAM_SHOULDER_SHARE 0.6 /* 0.5 to 0.7 of the shoulder, common practice */

/* Height for the beam above what the animal stands on, m. NaN unless shoulder >= 0. Common practice. */
double owl_beam_height_m(double shoulder_height_m);

/* Light lost in fog along a distance, dB: 4.34 * 3.91 / visibility * distance. NaN unless visibility
   > 0 and distance >= 0. Published [koschmieder1924], from memory. */
double owl_beam_fog_loss_db(double visibility_m, double distance_m);

/* How far a beam wanders at a distance when its stand turns by an angle, m, signed as the
   angle: theta * D, within 1 % up to 0.17 rad. Definition. */
double owl_beam_drift_m(double angle_rad, double distance_m);

#endif
