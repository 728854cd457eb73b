/* Pulse, recharge and trigger verdicts against worked values, limits and domains. */
#include "core/model/flash.h"

#include <math.h>

#include "support/check.h"

static void expect_nan(double value)
{
    assert_true(isnan(value));
}

/* The decay of a unit whose full pulse lasts 1 ms at half peak. */
static double decay_of_1_ms(void)
{
    return owl_flash_decay_s(1e-3);
}

/* cited: quench times of powers 1/2 to 1/128 in us, t0.5(full) = 1 ms, worked elsewhere from the decay;
   half the last digit. */
static void test_flash_quench_follows_the_table(void **state)
{
    (void)state;
    static const double quench_us[] = {1000.0, 415.0, 192.6, 93.1, 45.8, 22.7, 11.3};
    static const double share_of_decay[] = {0.69315, 0.28768, 0.13353, 0.06454, 0.03175, 0.01575, 0.00784};
    for (int stop = 1; stop <= 7; stop++) {
        double power = pow(2.0, -stop);
        check_cited("iso2827", "quench time us", 1e6 * owl_flash_quench_s(decay_of_1_ms(), power),
                    quench_us[stop - 1], 0.05);
        check_cited("iso2827", "quench time in decays", owl_flash_quench_s(1.0, power),
                    share_of_decay[stop - 1], 5e-6);
    }
}

/* identity: the light up to the cut, summed in small steps, is the power asked for; full power is never cut;
   small powers cost tau p. */
static void test_flash_quench_gives_the_power(void **state)
{
    (void)state;
    double cut_s = owl_flash_quench_s(1e-3, 0.3);
    double light = 0.0;
    int steps = 2000;
    for (int i = 0; i < steps; i++)
        light += exp(-(i + 0.5) * cut_s / steps / 1e-3) * cut_s / steps;
    check_near("share of the light", light / 1e-3, 0.3, 1e-7);
    check_near("full power", owl_flash_quench_s(1e-3, 1.0), INFINITY, 0.0);
    check_near("small power", owl_flash_quench_s(1e-3, 1e-9), 1e-12, 1e-20);
}

/* cited: full power: t0.5 1000 us, t0.1 3321.9 us, in either kind of unit, worked elsewhere. */
static void test_flash_full_pulse_follows_the_table(void **state)
{
    (void)state;
    double decay_s = decay_of_1_ms();
    for (int control = OWL_FLASH_QUENCHED; control <= OWL_FLASH_VOLTAGE; control++) {
        check_cited("iso2827", "t0.5 full us",
                    1e6 * owl_flash_half_peak_s((enum owl_flash_control)control, decay_s, 1.0), 1000.0,
                    0.05);
        check_cited("iso2827", "t0.1 full us",
                    1e6 * owl_flash_tenth_peak_s((enum owl_flash_control)control, decay_s, 1.0), 3321.9,
                    0.05);
    }
}

/* cited: quenched: half power keeps the t0.5 of full but under a third of its t0.1 (1000 of 3322 us); at a
   sixteenth both are the cut, 93.1 us; worked elsewhere. */
static void test_flash_quenched_pulse_ends_at_the_cut(void **state)
{
    (void)state;
    double decay_s = decay_of_1_ms();
    check_cited("iso2827", "t0.5 half power us",
                1e6 * owl_flash_half_peak_s(OWL_FLASH_QUENCHED, decay_s, 0.5), 1000.0, 0.05);
    check_cited("iso2827", "t0.1 half power us",
                1e6 * owl_flash_tenth_peak_s(OWL_FLASH_QUENCHED, decay_s, 0.5), 1000.0, 0.05);
    check_cited("iso2827", "t0.5 sixteenth us",
                1e6 * owl_flash_half_peak_s(OWL_FLASH_QUENCHED, decay_s, 1.0 / 16.0), 93.1, 0.05);
    check_cited("iso2827", "t0.1 sixteenth us",
                1e6 * owl_flash_tenth_peak_s(OWL_FLASH_QUENCHED, decay_s, 1.0 / 16.0), 93.1, 0.05);
    check_near("t0.5 above half power", owl_flash_half_peak_s(OWL_FLASH_QUENCHED, decay_s, 0.8), 1e-3,
               1e-15);
    check_near("t0.1 reached before the cut", owl_flash_tenth_peak_s(OWL_FLASH_QUENCHED, decay_s, 0.95),
               owl_flash_tenth_peak_s(OWL_FLASH_QUENCHED, decay_s, 1.0), 0.0);
}

/* identity: by voltage a sixteenth of the power doubles both times: the estimate's fourth root. */
static void test_flash_voltage_pulse_grows_longer(void **state)
{
    (void)state;
    check_near("t0.5", owl_flash_half_peak_s(OWL_FLASH_VOLTAGE, decay_of_1_ms(), 1.0 / 16.0), 2e-3, 1e-12);
    check_near("t0.1 over t0.5", owl_flash_tenth_peak_s(OWL_FLASH_VOLTAGE, 1.0, 0.3) /
               owl_flash_half_peak_s(OWL_FLASH_VOLTAGE, 1.0, 0.3), log2(10.0), 1e-12);
}

/* identity: the decay falls to a half and to a tenth at its two times. */
static void test_flash_peak_times_are_of_the_decay(void **state)
{
    (void)state;
    check_near("a half", exp(-owl_flash_half_peak_s(OWL_FLASH_QUENCHED, 1e-3, 1.0) / 1e-3), 0.5, 1e-12);
    check_near("a tenth", exp(-owl_flash_tenth_peak_s(OWL_FLASH_QUENCHED, 1e-3, 1.0) / 1e-3), 0.1, 1e-12);
}

/* identity: two capacitors at 330 V by hand: 1000 uF down to 50 V and 1400 uF to nothing; half the last
   digit. */
static void test_flash_stored_energy_is_half_c_v_squared(void **state)
{
    (void)state;
    check_near("stored energy to 50 V", owl_flash_stored_energy_j(1000e-6, 330.0, 50.0), 53.20,
                5e-3);
    check_near("stored energy whole", owl_flash_stored_energy_j(1400e-6, 330.0, 0.0), 76.2,
                0.05);
    check_near("no step", owl_flash_stored_energy_j(1000e-6, 50.0, 50.0), 0.0, 0.0);
}

/* identity: the converter limits a stiff pack, the pack a strong converter; they meet at V^2/(4 R). */
static void test_flash_supply_takes_the_lesser(void **state)
{
    (void)state;
    check_near("converter", owl_flash_supply_power_w(6.0, 0.4, 12.0), 12.0, 0.0);
    check_near("pack", owl_flash_supply_power_w(6.0, 1.5, 12.0), 6.0, 1e-12);
    check_near("meeting", owl_flash_supply_power_w(6.0, 0.75, 12.0), 12.0, 1e-12);
    check_near("no resistance", owl_flash_supply_power_w(6.0, 0.0, 12.0), 12.0, 0.0);
    check_near("boundless converter", owl_flash_supply_power_w(6.0, 1.5, INFINITY), 6.0, 1e-12);
}

/* identity: energy over useful power; without power it never ends. */
static void test_flash_recycle_is_energy_over_power(void **state)
{
    (void)state;
    check_near("recycle", owl_flash_recycle_s(60.0, 0.6, 20.0), 5.0, 1e-12);
    check_near("lossless", owl_flash_recycle_s(60.0, 1.0, 20.0), 3.0, 1e-12);
    check_near("flat cells", owl_flash_recycle_s(60.0, 0.6, 0.0), INFINITY, 0.0);
}

/* identity: the store starts at what the flash left, fills in step with time and stops at full. */
static void test_flash_charge_fills_to_one(void **state)
{
    (void)state;
    check_near("at once", owl_flash_charge_share(0.0, 8.0, 0.75), 0.25, 1e-15);
    check_near("at once after a full flash", owl_flash_charge_share(0.0, 8.0, 1.0), 0.0, 0.0);
    check_near("half way", owl_flash_charge_share(3.0, 8.0, 0.75), 0.625, 1e-15);
    check_near("just full", owl_flash_charge_share(6.0, 8.0, 0.75), 1.0, 1e-15);
    check_near("long full", owl_flash_charge_share(INFINITY, 8.0, 0.75), 1.0, 0.0);
    check_near("never refilled", owl_flash_charge_share(100.0, INFINITY, 0.75), 0.25, 1e-15);
}

/* identity: the link's delay is added to the sync time. */
static void test_flash_sync_adds_the_delay(void **state)
{
    (void)state;
    check_near("wired", owl_flash_sync_time_s(0.004, 0.0), 0.004, 0.0);
    check_near("radio", owl_flash_sync_time_s(0.004, 0.001), 0.005, 1e-15);
}

/* cited: the standard's 24 V (from memory) and 224 V measured on an old unit in a published report. */
static void test_flash_trigger_follows_the_standard(void **state)
{
    (void)state;
    assert_int_equal(owl_flash_trigger(24.0, OWL_FLASH_SOCKET_STANDARD_V), OWL_TRIGGER_SAFE);
    assert_int_equal(owl_flash_trigger(24.1, OWL_FLASH_SOCKET_STANDARD_V), OWL_TRIGGER_ADAPTER);
    assert_int_equal(owl_flash_trigger(224.0, OWL_FLASH_SOCKET_STANDARD_V), OWL_TRIGGER_ADAPTER);
    assert_int_equal(owl_flash_trigger(300.0, OWL_FLASH_SOCKET_STANDARD_V), OWL_TRIGGER_NEVER);
}

/* identity: a camera's own limit counts, below and above the standard; wrong polarity and the unknown need an
   adapter; nothing above 250 V is ever joined. */
static void test_flash_trigger_minds_limit_polarity_and_the_unknown(void **state)
{
    (void)state;
    assert_int_equal(owl_flash_trigger(12.0, 6.0), OWL_TRIGGER_ADAPTER);
    assert_int_equal(owl_flash_trigger(6.0, 6.0), OWL_TRIGGER_SAFE);
    assert_int_equal(owl_flash_trigger(0.0, 6.0), OWL_TRIGGER_SAFE);
    assert_int_equal(owl_flash_trigger(224.0, 250.0), OWL_TRIGGER_SAFE);
    assert_int_equal(owl_flash_trigger(250.0, 400.0), OWL_TRIGGER_SAFE);
    assert_int_equal(owl_flash_trigger(250.0, 24.0), OWL_TRIGGER_ADAPTER);
    assert_int_equal(owl_flash_trigger(250.1, 400.0), OWL_TRIGGER_NEVER);
    assert_int_equal(owl_flash_trigger(-5.0, 24.0), OWL_TRIGGER_ADAPTER);
    assert_int_equal(owl_flash_trigger(-300.0, 24.0), OWL_TRIGGER_NEVER);
    assert_int_equal(owl_flash_trigger(INFINITY, 24.0), OWL_TRIGGER_NEVER);
    assert_int_equal(owl_flash_trigger(NAN, 24.0), OWL_TRIGGER_ADAPTER);
    assert_int_equal(owl_flash_trigger(5.0, NAN), OWL_TRIGGER_ADAPTER);
    assert_int_equal(owl_flash_trigger(300.0, NAN), OWL_TRIGGER_NEVER);
}

/* identity: pulses that cannot be give no number. */
static void test_flash_refuses_impossible_pulses(void **state)
{
    (void)state;
    static const double powers[] = {0.0, -0.5, 1.01, NAN};
    for (size_t i = 0; i < 4; i++) {
        expect_nan(owl_flash_quench_s(1e-3, powers[i]));
        expect_nan(owl_flash_half_peak_s(OWL_FLASH_QUENCHED, 1e-3, powers[i]));
        expect_nan(owl_flash_half_peak_s(OWL_FLASH_VOLTAGE, 1e-3, powers[i]));
        expect_nan(owl_flash_tenth_peak_s(OWL_FLASH_VOLTAGE, 1e-3, powers[i]));
        expect_nan(owl_flash_charge_share(1.0, 8.0, powers[i]));
    }
    expect_nan(owl_flash_decay_s(0.0));
    expect_nan(owl_flash_decay_s(NAN));
    expect_nan(owl_flash_quench_s(0.0, 0.5));
    expect_nan(owl_flash_half_peak_s(OWL_FLASH_QUENCHED, 0.0, 0.5));
    expect_nan(owl_flash_tenth_peak_s(OWL_FLASH_QUENCHED, -1e-3, 0.5));
    expect_nan(owl_flash_tenth_peak_s((enum owl_flash_control)2, 1e-3, 0.5));
}

/* identity: stores and supplies that cannot be give no number. */
static void test_flash_refuses_impossible_supplies(void **state)
{
    (void)state;
    expect_nan(owl_flash_stored_energy_j(0.0, 330.0, 50.0));
    expect_nan(owl_flash_stored_energy_j(1e-3, 50.0, 330.0));
    expect_nan(owl_flash_stored_energy_j(1e-3, 330.0, -1.0));
    expect_nan(owl_flash_supply_power_w(0.0, 0.4, 12.0));
    expect_nan(owl_flash_supply_power_w(6.0, -0.4, 12.0));
    expect_nan(owl_flash_supply_power_w(6.0, 0.4, 0.0));
    expect_nan(owl_flash_recycle_s(0.0, 0.6, 20.0));
    expect_nan(owl_flash_recycle_s(60.0, 0.0, 20.0));
    expect_nan(owl_flash_recycle_s(60.0, 1.1, 20.0));
    expect_nan(owl_flash_recycle_s(60.0, 0.6, -1.0));
    expect_nan(owl_flash_charge_share(-1.0, 8.0, 0.5));
    expect_nan(owl_flash_charge_share(1.0, 0.0, 0.5));
    expect_nan(owl_flash_sync_time_s(0.0, 0.001));
    expect_nan(owl_flash_sync_time_s(0.004, -0.001));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_flash_quench_follows_the_table),
        cmocka_unit_test(test_flash_quench_gives_the_power),
        cmocka_unit_test(test_flash_full_pulse_follows_the_table),
        cmocka_unit_test(test_flash_quenched_pulse_ends_at_the_cut),
        cmocka_unit_test(test_flash_voltage_pulse_grows_longer),
        cmocka_unit_test(test_flash_peak_times_are_of_the_decay),
        cmocka_unit_test(test_flash_stored_energy_is_half_c_v_squared),
        cmocka_unit_test(test_flash_supply_takes_the_lesser),
        cmocka_unit_test(test_flash_recycle_is_energy_over_power),
        cmocka_unit_test(test_flash_charge_fills_to_one),
        cmocka_unit_test(test_flash_sync_adds_the_delay),
        cmocka_unit_test(test_flash_trigger_follows_the_standard),
        cmocka_unit_test(test_flash_trigger_minds_limit_polarity_and_the_unknown),
        cmocka_unit_test(test_flash_refuses_impossible_pulses),
        cmocka_unit_test(test_flash_refuses_impossible_supplies),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
