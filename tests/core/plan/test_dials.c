/* The rounded series on the gear's dials. */
#include "support/check.h"

#include <math.h>

#include "core/plan/dials.h"

/* identity: every marked value stands on its exact third-stop place 2^(k/6) within the trade's
   rounding, a fifth of a stop at most. */
static void test_dials_apertures_are_thirds(void **state)
{
    (void)state;
    double last = 0.9;
    for (int k = 0; k <= 30; k++) {
        double exact = exp2(k / 6.0), marked = owl_dial_aperture_near(exact);
        assert_true(marked > last);
        assert_true(fabs(2.0 * log2(marked / exact)) < 0.2);
        last = marked;
    }
}

/* identity: up never goes below, a marked value stays itself, beyond the series its end holds. */
static void test_dials_round_the_safe_way(void **state)
{
    (void)state;
    check_near("f/3.7", owl_dial_aperture_up(3.7), 4.0, 0.0);
    check_near("f/8", owl_dial_aperture_up(8.0), 8.0, 0.0);
    check_near("f/100", owl_dial_aperture_up(100.0), 32.0, 0.0);
    check_near("1/1390 s", owl_dial_shutter_down_s(1.0 / 1390.0), 1.0 / 1600.0, 0.0);
    check_near("1/250 s", owl_dial_shutter_down_s(1.0 / 250.0), 1.0 / 250.0, 0.0);
    check_near("1/99999 s", owl_dial_shutter_down_s(1e-5), 1.0 / 8000.0, 0.0);
    check_near("ISO 390", owl_dial_iso_up(390.0), 400.0, 0.0);
    check_near("ISO 1000", owl_dial_iso_up(1000.0), 1000.0, 0.0);
    check_near("ISO 1001", owl_dial_iso_up(1001.0), 1250.0, 0.0);
    check_near("ISO 1e9", owl_dial_iso_up(1e9), 409600.0, 0.0);
    check_near("0.3 of full", owl_dial_power_down(0.3), 0.25, 0.0);
    check_near("full", owl_dial_power_down(1.0), 1.0, 0.0);
    check_near("next to nothing", owl_dial_power_down(1e-6), 1.0 / 128.0, 0.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_dials_apertures_are_thirds),
        cmocka_unit_test(test_dials_round_the_safe_way),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
