/* Natural light on level ground under the sun, the twilight, the moon and the night sky, and the refraction
   that lifts what gives it. Owns nothing.

   Altitudes are of the centre of the body, rad, negative below the horizon: "true" means airless and
   topocentric, "apparent" lifted by refraction. Illuminance is lux on a horizontal plane. Outside the ranges
   given, and for NaN, every function returns NaN. */
#ifndef OWL_CORE_MODEL_TWILIGHT_H
#define OWL_CORE_MODEL_TWILIGHT_H

#define OWL_CLOUD_CLEAR 0.0   /* sun or moon visible, less than 70 % cloud [janiczek1987] */
#define OWL_CLOUD_THIN 1.0    /* seen through thin cloud */
#define OWL_CLOUD_AVERAGE 2.0 /* average cloud */
#define OWL_CLOUD_DARK 3.0    /* dark stratus */

/* Refraction to add to a true altitude, at 1010 hPa and 10 C. -pi/2..pi/2; result rad, >= 0, and true plus
   refraction always rises with true. Published down to a true altitude of -0.575 deg, where the body stands
   apparently on the horizon [saemundsson1986]; there it agrees with owl_twilight_unrefract_rad within 0.07'.
   Deeper, where nothing is seen and only twilight asks, it fades by 1/e every 2 deg: estimate. */
double owl_twilight_refract_rad(double true_altitude_rad);

/* Refraction to take off an apparent altitude, same air. 0..pi/2; result rad, >= 0. Within 0.07' of
   detailed ray tracing [bennett1982]. */
double owl_twilight_unrefract_rad(double apparent_altitude_rad);

/* Factor on either refraction for other air: P/1010 hPa * 283.15 K/T. pressure_pa >= 0; temperature_k > 0.
   [meeus1998] */
double owl_twilight_refract_factor(double pressure_pa, double temperature_k);

/* Light of the sun and of the twilight it makes, clear sky. -pi/2..pi/2. A polynomial in lg lx by parts,
   stated error 0.03 in lg [seidelmann1992]; its parts meet within 1.1 %, so that going up it may fall by
   that much at a join. Below -12 deg it holds the clear night sky already (models differ there by a factor
   of 10 and more); from -18 deg down it stays at its last value, 6.4e-4 lx. So never add a night sky to
   it, take the greater. */
double owl_twilight_sun_lx(double apparent_altitude_rad);

/* Light of the moon alone, clear sky. apparent_altitude_rad -pi/2..pi/2; phase_angle_rad 0 (full)..pi
   (new); horizontal_parallax_rad > 0, about 0.0166. 0 below -0.8 deg. The same kind of fit
   [seidelmann1992]; published models of moonlight differ by up to
   30 %, and the surge of the last 3 deg before full is left out. */
double owl_twilight_moon_lx(double apparent_altitude_rad, double phase_angle_rad, double horizontal_parallax_rad);

/* What cloud divides sunlight, twilight and moonlight by: 1, 2, 3, 10 at the four classes
   [janiczek1987], its logarithm straight between them. cloud 0..3. */
double owl_twilight_cloud_divisor(double cloud);

/* Light of a moonless night far from towns: 8e-4 lx under a clear sky (pi times 2.5e-4 cd/m2), 1e-4 lx under
   dark cloud [biberman1971], its logarithm straight between. cloud 0..3. Good to a factor of 2; near towns
   cloud brightens the night instead. */
double owl_twilight_floor_lx(double cloud);

struct owl_twilight_sky {
    double sun_altitude_rad, moon_altitude_rad; /* true; -pi/2..pi/2 */
    double moon_phase_rad;                      /* phase angle: 0 full .. pi new */
    double moon_parallax_rad;                   /* horizontal parallax, > 0 */
    double cloud;                               /* 0 clear .. 3 dark */
    double open_sky; /* share of the open sky's light that reaches the mark: 1 open .. 0.02 closed canopy */
};

/* All the light there is: the greater of sun over cloud divisor and night sky, plus moon over cloud
   divisor, times open_sky. Result lx, >= 0; rises with either altitude but for 2 % at the joins of the
   fits. open_sky 0..1. */
double owl_twilight_horizontal_lx(const struct owl_twilight_sky *sky);

#endif
