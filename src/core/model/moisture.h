/* Moisture in and on the camera's box: dew point, silica gel, cooling under a clear sky, window. */
#ifndef OWL_CORE_MODEL_MOISTURE_H
#define OWL_CORE_MODEL_MOISTURE_H

#include <stdbool.h>

/* Saturation pressure over water, Pa; within 0.4 % from -40 to 50 C, the same curve beyond. NaN at or
   below 30.11 K, where it has its pole. Published [alduchov1996]. */
double owl_moisture_saturation_pa(double temperature_k);

/* The same over ice. NaN above 0 C, where there is none, and at or below 0 K. Published
   [alduchov1996]. */
double owl_moisture_saturation_ice_pa(double temperature_k);

/* Temperature at which air of this temperature and relative humidity (0..1] is saturated, K;
   never above the air's. NaN outside and where owl_moisture_saturation_pa is. Published
   [alduchov1996]. */
double owl_moisture_dew_point_k(double temperature_k, double humidity);

/* Mass of vapour in air, kg/m3: 2.1668e-3 e / T, with e in Pa. NaN unless e >= 0 and T > 0.
   Published [alduchov1996]. */
double owl_moisture_density_kg_m3(double vapour_pa, double temperature_k);

/* Water that silica gel takes up of its own mass at a relative humidity (0..1), linear between the
   table's points. NaN outside. Estimate, from memory [silica-gel]. */
double owl_moisture_desiccant_share(double humidity);

struct owl_moisture_box {
    double volume_m3, day_swing_k, temperature_k, humidity;
    double leak_time_s; /* in which it changes its air once; INFINITY: tight but for breathing */
};

/* Water that breathing (its air shrinks and swells with the day's warmth) and leaks bring into a box
   kept at 40 % relative humidity, kg; never negative: drier air dries it. NaN unless volume, swing and
   time are >= 0, leak time > 0 and humidity within 0..1. Estimate [din55474]. */
double owl_moisture_intake_kg(const struct owl_moisture_box *box, double seconds);

/* Dry silica gel for so much water, kg: it takes up a fifth of its own mass. NaN unless intake >= 0.
   Estimate [silica-gel]. */
double owl_moisture_desiccant_kg(double intake_kg);

/* Emissivity of the clear night sky: 0.741 + 0.0062 Td, Td in C, held within 0..1. Published
   [berdahl1982], from memory. */
double owl_moisture_sky_emissivity(double dew_point_k);

/* How much colder than the air a window or painted surface gets that sees so much of a clear night sky
   (0..1), all else it sees being as warm as the air, and takes heat_w_m2_k from the air (calm 5, light
   wind 20): K, 0 or negative, the balance solved to 1e-9. NaN unless air > 0 K, heat > 0, view within
   0..1 and the dew point is a number. Sky published [berdahl1982], the surface's emissivity of 0.95
   common practice. */
double owl_moisture_sky_cooling_k(double air_k, double dew_point_k, double heat_w_m2_k, double sky_view);

/* Whether dew or frost settles: the surface is colder than the dew point. */
bool owl_moisture_condenses(double surface_k, double dew_point_k);

/* Clear width a flat window needs, m: f/N + 2 L tan(angle/2), angle the diagonal field. NaN unless
   the angle lies within 0..pi (pi left out), f and N are > 0 and L >= 0. Definition [port-cone]. */
double owl_moisture_port_diameter_m(double focal_m, double fnumber, double field_angle_rad, double pupil_to_port_m);

#endif
