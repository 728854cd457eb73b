/* The light beam: breaks, height, fog and drift against what visibility means, limits and domains. */
#include "core/model/beam.h"

#include <math.h>

#include "support/check.h"

static void expect_nan(double value)
{
    assert_true(isnan(value));
}

/* identity: length over speed; a body of no length breaks it for no time. */
static void test_beam_break_is_length_over_speed(void **state)
{
    (void)state;
    check_near("fox at a trot", owl_beam_break_s(0.70, 2.7), 0.259259, 1e-6);
    check_near("no length", owl_beam_break_s(0.0, 2.0), 0.0, 0.0);
}

/* identity: the break must outlast the debounce time, being as long is not enough; a break without a value
   is none. */
static void test_beam_breaks_when_it_outlasts_the_debounce(void **state)
{
    (void)state;
    assert_true(owl_beam_breaks(0.18, 11.0, 0.005));
    assert_false(owl_beam_breaks(0.01, 11.0, 0.005));
    assert_false(owl_beam_breaks(0.5, 1.0, 0.5));
    assert_false(owl_beam_breaks(0.5, 0.0, 0.005));
    assert_false(owl_beam_breaks(NAN, 1.0, 0.005));
}

/* identity: common practice puts the beam at 0.5 to 0.7 of the shoulder. */
static void test_beam_height_is_a_share_of_the_shoulder(void **state)
{
    (void)state;
    double height_m = owl_beam_height_m(0.68);
    assert_true(height_m >= 0.5 * 0.68 && height_m <= 0.7 * 0.68);
    check_near("on the ground", owl_beam_height_m(0.0), 0.0, 0.0);
}

/* cited: over the visibility itself contrast falls to 2 %, which is 10 lg 50 = 16.990 dB; the rounded 3.91
   for ln 50 is 0.06 % short. */
static void test_beam_fog_over_the_visibility(void **state)
{
    (void)state;
    check_cited("koschmieder1924", "loss over the visibility dB", owl_beam_fog_loss_db(200.0, 200.0), 16.990, 0.011);
}

/* identity: loss grows with distance and thickness alike; none over no way and in clear air. */
static void test_beam_fog_is_proportional(void **state)
{
    (void)state;
    double loss_db = owl_beam_fog_loss_db(100.0, 10.0);
    check_near("twice the way", owl_beam_fog_loss_db(100.0, 20.0), 2.0 * loss_db, 1e-12);
    check_near("half the visibility", owl_beam_fog_loss_db(50.0, 10.0), 2.0 * loss_db, 1e-12);
    check_near("no way", owl_beam_fog_loss_db(100.0, 0.0), 0.0, 0.0);
    check_near("clear air", owl_beam_fog_loss_db(INFINITY, 10.0), 0.0, 0.0);
}

/* identity: the small-angle drift is within 1 % of the tangent up to 0.17 rad and changes sign with it. */
static void test_beam_drift_follows_the_tangent(void **state)
{
    (void)state;
    check_near("small", owl_beam_drift_m(0.01, 8.0), 0.08, 1e-15);
    check_near("stated limit", owl_beam_drift_m(0.17, 8.0) / (8.0 * tan(0.17)), 1.0, 0.01);
    check_near("other side", owl_beam_drift_m(-0.01, 8.0), -0.08, 1e-15);
}

/* identity: NaN outside the domains. */
static void test_beam_outside_its_domain(void **state)
{
    (void)state;
    expect_nan(owl_beam_break_s(0.5, 0.0));
    expect_nan(owl_beam_break_s(0.5, -1.0));
    expect_nan(owl_beam_break_s(-0.5, 1.0));
    expect_nan(owl_beam_break_s(NAN, 1.0));
    expect_nan(owl_beam_height_m(-0.1));
    expect_nan(owl_beam_fog_loss_db(0.0, 10.0));
    expect_nan(owl_beam_fog_loss_db(100.0, -1.0));
    expect_nan(owl_beam_drift_m(NAN, 1.0));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_beam_break_is_length_over_speed),
        cmocka_unit_test(test_beam_breaks_when_it_outlasts_the_debounce),
        cmocka_unit_test(test_beam_height_is_a_share_of_the_shoulder),
        cmocka_unit_test(test_beam_fog_over_the_visibility),
        cmocka_unit_test(test_beam_fog_is_proportional),
        cmocka_unit_test(test_beam_drift_follows_the_tangent),
        cmocka_unit_test(test_beam_outside_its_domain),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
