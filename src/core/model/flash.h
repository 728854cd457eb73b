/* The flash as a machine: its pulse, its recharge and what its trigger lead does to a camera. Owns nothing.

   Pulse model: after a rise of 30 to 80 us the light decays as exp(-t/tau). power is a share of full power
   in (0, 1]. Outside the ranges given, and for NaN, every function returns NaN.
   Accuracy: a typical full pulse is 1/800..1/1200 s at half peak; the switch itself takes 15..30 us (both
   estimates), so a time below about 30 us is what the model says and no real flash is that short. */
#ifndef OWL_CORE_MODEL_FLASH_H
#define OWL_CORE_MODEL_FLASH_H

#define OWL_FLASH_SOCKET_STANDARD_V                                                                        \
    24.0 /* open-circuit limit of a camera's sync socket [iso10330], from memory */
#define OWL_FLASH_CHARGER_EFFICIENCY 0.6  /* of the charging circuit; estimate, 0.55 to 0.7 */
#define OWL_FLASH_NEVER_V 250.0          /* above this no adapter either; common practice */

/* How a unit makes less than full power. */
enum owl_flash_control {
    OWL_FLASH_QUENCHED, /* the discharge is cut short: a shorter pulse */
    OWL_FLASH_VOLTAGE   /* charged to a lower voltage, the studio way: a longer pulse */
};

/* The decay's time constant from the half-peak time at full power, t0.5/ln 2.
   half_peak_time_full_s > 0. Result s. Terms as in [iso2827]. */
double owl_flash_decay_s(double half_peak_time_full_s);

/* When a quenched unit cuts its pulse to give `power`, -tau ln(1 - p): INFINITY at full power, tau p for
   small p. decay_s > 0. Result s after the peak. */
double owl_flash_quench_s(double decay_s, double power);

/* How long the light stays above a half and above a tenth of its peak: t0.5 and t0.1 of [iso2827]. t0.1 is
   what blurs motion. decay_s > 0. Result s.
   Quenched: the decay's own time or the cut, whichever comes first; half power still has the t0.5 of full.
   Voltage: the full-power time times p^(-1/4), our estimate; units differ by half as much again. */
double owl_flash_half_peak_s(enum owl_flash_control control, double decay_s, double power);
double owl_flash_tenth_peak_s(enum owl_flash_control control, double decay_s, double power);

/* Energy a capacitor gives between two voltages, C (V1^2 - V2^2)/2. capacitance_f > 0;
   start_v >= end_v >= 0 (a lamp dies at about 50 V, estimate). Result J, >= 0. */
double owl_flash_stored_energy_j(double capacitance_f, double start_v, double end_v);

/* Power the supply can put into the converter: its own limit or the most a cell pack can deliver into any
   load, V^2/(4 R), whichever is less. open_v > 0; resistance_ohm >= 0 of the whole pack; converter_w > 0.
   Result W. */
double owl_flash_supply_power_w(double open_v, double resistance_ohm, double converter_w);

/* Time to put energy into the capacitor, E/(eta P). energy_j > 0; efficiency in (0, 1], 0.55..0.7 in
   practice (estimate); supply_w >= 0, 0 gives INFINITY. Result s. The ready lamp comes at 65..72 % of the
   energy, half a stop down (estimate). */
double owl_flash_recycle_s(double energy_j, double efficiency, double supply_w);

/* Share of the full stored energy present waited_s after a flash that took `power` of a full store,
   recharged at constant power: 1 - p + waited/full_recycle, at most 1.
   waited_s >= 0; full_recycle_s > 0 is the time to fill an empty store. Result 0..1. */
double owl_flash_charge_share(double waited_s, double full_recycle_s, double power);

/* The shortest shutter time that still shows the whole frame to the flash: the camera's sync time and the
   delay of the link between them. xsync_s > 0; link_delay_s >= 0, 0.3..1 ms by radio (estimate). Result s. */
double owl_flash_sync_time_s(double xsync_s, double link_delay_s);

/* What a flash's trigger lead means for the camera it is to be plugged into. */
enum owl_trigger_verdict {
    OWL_TRIGGER_SAFE,    /* may be joined directly */
    OWL_TRIGGER_ADAPTER, /* only through an opto-isolated adapter */
    OWL_TRIGGER_NEVER    /* not at all */
};

/* Verdict on an open-circuit trigger voltage, measured with the unit charged and a meter of 10 Mohm or
   more, centre pin positive. socket_limit_v is what the camera's maker allows, else
   OWL_FLASH_SOCKET_STANDARD_V. Safe from 0 up to the limit, the limit included; never beyond
   OWL_FLASH_NEVER_V of either polarity, whatever the limit; an adapter for all between, for the wrong
   polarity, and where NaN, an unknown value, leaves it open. Common practice. */
enum owl_trigger_verdict owl_flash_trigger(double open_circuit_v, double socket_limit_v);

#endif
