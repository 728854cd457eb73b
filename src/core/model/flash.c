/* Pulse, recharge and trigger circuit of an electronic flash. */
#include "core/model/flash.h"

#include <math.h>
#include <stdbool.h>

/* Power goes as the voltage squared, and we take the lamp's resistance, which falls with current, to go as
   one over the root of the voltage: the pulse then as power^(-1/4). Our estimate. */
#define VOLTAGE_STRETCH (-0.25)

static bool is_power(double power)
{
    return power > 0.0 && power <= 1.0;
}

double owl_flash_decay_s(double half_peak_time_full_s)
{
    if (!(half_peak_time_full_s > 0.0))
        return NAN;
    return half_peak_time_full_s / log(2.0);
}

/* The light given by time T is the share 1 - exp(-T/tau) of all; log1p keeps small powers exact. */
double owl_flash_quench_s(double decay_s, double power)
{
    if (!(decay_s > 0.0 && is_power(power)))
        return NAN;
    return power < 1.0 ? -decay_s * log1p(-power) : INFINITY;
}

/* Time above 1/part of the peak. */
static double time_above_s(enum owl_flash_control control, double decay_s, double power, double part)
{
    if (!(decay_s > 0.0 && is_power(power)))
        return NAN;
    double whole_s = decay_s * log(part);
    switch (control) {
    case OWL_FLASH_QUENCHED:
        return fmin(whole_s, owl_flash_quench_s(decay_s, power));
    case OWL_FLASH_VOLTAGE:
        return whole_s * pow(power, VOLTAGE_STRETCH);
    }
    return NAN;
}

double owl_flash_half_peak_s(enum owl_flash_control control, double decay_s, double power)
{
    return time_above_s(control, decay_s, power, 2.0);
}

double owl_flash_tenth_peak_s(enum owl_flash_control control, double decay_s, double power)
{
    return time_above_s(control, decay_s, power, 10.0);
}

double owl_flash_stored_energy_j(double capacitance_f, double start_v, double end_v)
{
    if (!(capacitance_f > 0.0 && end_v >= 0.0 && start_v >= end_v))
        return NAN;
    return 0.5 * capacitance_f * (start_v + end_v) * (start_v - end_v);
}

/* V^2/(4 R) is the power into a load equal to R, the most there is. Compared multiplied out, so that R = 0
   is an ordinary value. */
double owl_flash_supply_power_w(double open_v, double resistance_ohm, double converter_w)
{
    if (!(open_v > 0.0 && resistance_ohm >= 0.0 && converter_w > 0.0))
        return NAN;
    if (converter_w * 4.0 * resistance_ohm <= open_v * open_v)
        return converter_w;
    return open_v * open_v / (4.0 * resistance_ohm);
}

double owl_flash_recycle_s(double energy_j, double efficiency, double supply_w)
{
    if (!(energy_j > 0.0 && efficiency > 0.0 && efficiency <= 1.0 && supply_w >= 0.0))
        return NAN;
    return supply_w > 0.0 ? energy_j / (efficiency * supply_w) : INFINITY;
}

double owl_flash_charge_share(double waited_s, double full_recycle_s, double power)
{
    if (!(waited_s >= 0.0 && full_recycle_s > 0.0 && is_power(power)))
        return NAN;
    return fmin(1.0 - power + waited_s / full_recycle_s, 1.0);
}

double owl_flash_sync_time_s(double xsync_s, double link_delay_s)
{
    if (!(xsync_s > 0.0 && link_delay_s >= 0.0))
        return NAN;
    return xsync_s + link_delay_s;
}

enum owl_trigger_verdict owl_flash_trigger(double open_circuit_v, double socket_limit_v)
{
    if (fabs(open_circuit_v) > OWL_FLASH_NEVER_V)
        return OWL_TRIGGER_NEVER;
    if (open_circuit_v >= 0.0 && open_circuit_v <= socket_limit_v)
        return OWL_TRIGGER_SAFE;
    return OWL_TRIGGER_ADAPTER;
}
