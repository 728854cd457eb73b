/* How fast animals move and how tall they stand, from their mass. Laws for walking mammals of 0.01 to
   1000 kg, published ones quoted from memory. Single species stray from them: top speeds by up to a
   third (the three laws differ that much among themselves), ways covered in a day by a factor of three
   (both estimates). NaN unless mass > 0. */
#ifndef OWL_CORE_MODEL_GAIT_H
#define OWL_CORE_MODEL_GAIT_H

#include <stdbool.h>
#include <stddef.h>

#define OWL_GAIT_FROUDE_WALK 0.25 /* comfortable walk; 0.5 walk to trot, 2..3 trot to gallop [alexander1983] */

/* Top running speed, m/s: the curve lg v = 1.47832 + 0.25892 lg M - 0.06237 lg^2 M (km/h), with its
   peak at 119 kg. Published [garland1983]. */
double owl_gait_top_speed_m_s(double mass_kg);

/* The same by the straight line v = 23.6 M^0.165 km/h. Published [garland1983]. */
double owl_gait_top_speed_straight_m_s(double mass_kg);

/* The same by 25.5 M^0.26 (1 - exp(-22 M^-0.6)) km/h. Published [hirt2017]. */
double owl_gait_top_speed_saturating_m_s(double mass_kg);

/* Where trot turns into gallop, m/s: 5.5 M^0.24 km/h. Published [heglund1974]. */
double owl_gait_gallop_speed_m_s(double mass_kg);

/* Preferred trot, m/s: 1.09 M^0.222. Published [heglund1988]. */
double owl_gait_trot_speed_m_s(double mass_kg);

/* Speed at a Froude number for a hip height, m/s: sqrt(Fr g h). NaN unless both >= 0.
   Published [alexander1983]. */
double owl_gait_walk_speed_m_s(double hip_height_m, double froude);

/* Shoulder height, m: 0.20 M^0.36 for hoofed animals, dogs and cats; short-legged ones
   (badger, marten, hedgehog) stand at about 0.6 of it. Estimate, within a quarter. */
double owl_gait_shoulder_height_m(double mass_kg);

/* Way covered in a day, m: 3.87 M^0.22 km for hunters, 0.875 M^0.22 km for others. Published
   [garland1983a]. */
double owl_gait_day_range_m(double mass_kg, bool hunter);

/* Mean speed of animals met at a fixed place: the harmonic mean, as fast ones are met more often.
   NaN for none, or a speed <= 0. Published [rowcliffe2016]. */
double owl_gait_mean_speed_m_s(const double *speed_m_s, size_t count);

#endif
