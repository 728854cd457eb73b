/* The values gear can be set to: the trade's rounded series in thirds of a stop. */
#ifndef OWL_CORE_PLAN_DIALS_H
#define OWL_CORE_PLAN_DIALS_H

/* The smallest f-number of the series that is not below this one; the last of it beyond. */
double owl_dial_aperture_up(double fnumber);

/* The f-number of the series nearest in stops. */
double owl_dial_aperture_near(double fnumber);

/* The longest shutter time of the series that is no longer than this, s; the shortest beyond. */
double owl_dial_shutter_down_s(double time_s);

/* The smallest ISO speed of the series that is not below this one; the last of it beyond. */
double owl_dial_iso_up(double iso);

/* The largest flash power (full, 1/2, 1/4 .. 1/128) that is not above this one; 1/128 below. */
double owl_dial_power_down(double power);

#endif
