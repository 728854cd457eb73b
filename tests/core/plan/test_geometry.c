/* The stage as geometry: projection, the body box, and where a walk meets the sensor. */
#include "support/check.h"

#include <math.h>
#include <string.h>

#include "core/constants.h"
#include "core/plan/geometry.h"
#include "core/plan/reader.h"

static struct owl_plan plan;
static struct owl_complaints complaints;

static void read_stage(const char *more)
{
    char words[2048] = "[site]\nlatitude = 0 N\nlongitude = 0 E\n[watch]\nstart = 2027-01-09\nnights = 1\n"
                       "[subject]\nkind = lynx\nlength = 1 m\nheight = 60 cm\nwidth = 30 cm\nshoulder = 50 cm\n";
    strcat(words, more);
    if (owl_plan_read(words, strlen(words), &plan, &complaints) != OWL_OK)
        fail_msg("line %d: %s", complaints.list[0].line, complaints.list[0].words);
}

static struct owl_view view_of_plan(void)
{
    struct owl_view view;
    assert_int_equal(owl_view_of(&plan, &view), OWL_OK);
    return view;
}

/* identity: angles between axes are right angles, a point with itself makes none. */
static void test_geometry_angles(void **state)
{
    (void)state;
    const struct owl_point o = {0, 0, 0}, x = {2, 0, 0}, y = {0, 3, 0}, back = {-1, 0, 0};
    check_near("x, y", owl_point_angle_rad(&o, &x, &y), OWL_PI / 2.0, 1e-15);
    check_near("x, x", owl_point_angle_rad(&o, &x, &x), 0.0, 0.0);
    check_near("x, -x", owl_point_angle_rad(&o, &x, &back), OWL_PI, 1e-15);
    check_near("no direction", owl_point_angle_rad(&o, &o, &x), 0.0, 0.0);
}

/* identity: a level camera straight before the mark sees an upright, unturned frame. */
static void test_geometry_level_view(void **state)
{
    (void)state;
    read_stage("[camera]\nplace = 5 m before, 30 cm up\n[lens]\nfocal length = 50 mm\n");
    struct owl_view view = view_of_plan();
    check_near("forward", view.forward.y_m, 1.0, 1e-12);
    check_near("right", view.right.x_m, 1.0, 1e-12);
    check_near("up", view.up.z_m, 1.0, 1e-12);
    check_near("image distance 1/f = 1/s + 1/v", 1.0 / 0.05, 1.0 / 5.0 + 1.0 / view.image_m, 1e-9);
}

/* identity: the box is as large on the image sensor as its near face magnified. */
static void test_geometry_body_box(void **state)
{
    (void)state;
    read_stage("[camera]\nplace = 5 m before, 30 cm up\n[lens]\nfocal length = 50 mm\n");
    struct owl_view view = view_of_plan();
    struct owl_path path = owl_stage_path(&plan);
    struct owl_frame_box box = owl_view_body(&view, &plan, &path, 0.0);
    double near_m = 5.0 - 0.15;
    check_near("width", box.right_m - box.left_m, view.image_m * 1.0 / near_m, 1e-12);
    check_near("height", box.top_m - box.bottom_m, view.image_m * 0.6 / near_m, 1e-12);
    check_near("wholly inside", box.inside, 1.0, 0.0);
    double edge_m = near_m * view.width_m / 2.0 / view.image_m;
    check_near("half over the edge", owl_view_body(&view, &plan, &path, edge_m).inside, 0.5, 0.02);
    check_near("far outside", owl_view_body(&view, &plan, &path, 10.0).inside, 0.0, 0.0);
}

/* identity: what lies behind the camera is not in the frame. */
static void test_geometry_behind_the_camera(void **state)
{
    (void)state;
    read_stage("[stage]\npath angle = 90 deg\n[camera]\nplace = 5 m before, 30 cm up\n");
    struct owl_view view = view_of_plan();
    struct owl_path path = owl_stage_path(&plan);
    assert_true(owl_view_body(&view, &plan, &path, 0.0).in_front);
    assert_false(owl_view_body(&view, &plan, &path, -7.0).in_front);
    check_near("not inside", owl_view_body(&view, &plan, &path, -7.0).inside, 0.0, 0.0);
}

/* identity: portrait turns the frame, not the world. */
static void test_geometry_portrait(void **state)
{
    (void)state;
    read_stage("[camera]\norientation = portrait\nplace = 5 m before, 30 cm up\n");
    struct owl_view view = view_of_plan();
    check_near("width", view.width_m, plan.camera.height_m, 0.0);
    check_near("height", view.height_m, plan.camera.width_m, 0.0);
}

/* identity: a fan from the camera's side meets the path symmetrically; each way the first edge is
   half the fan before the mark: d tan(half). */
static void test_geometry_fan(void **state)
{
    (void)state;
    read_stage("[sensor]\nplace = 3 m before, 70 cm up\nzones = 2\nzone pitch = 6 deg\n");
    struct owl_path path = owl_stage_path(&plan);
    double want_m = -3.0 * tan(6.0 * OWL_RAD_PER_DEG);
    for (int sense = -1; sense <= 1; sense += 2) {
        struct owl_crossing crossing = owl_sensor_cross(&plan, &path, sense, INFINITY);
        assert_true(crossing.noticed);
        check_near("first edge", crossing.front_m, want_m, 1e-12);
        check_near("distance", crossing.distance_m, 3.0 / cos(6.0 * OWL_RAD_PER_DEG), 1e-12);
    }
    plan.sensor.pulses = 2.0;
    check_near("second edge", owl_sensor_cross(&plan, &path, 1, INFINITY).front_m, 0.0, 1e-12);
    assert_false(owl_sensor_cross(&plan, &path, 1, 3.01).noticed);
    plan.sensor.pulses = 1.0;
    check_near("within reach only the middle", owl_sensor_cross(&plan, &path, 1, 3.01).front_m, 0.0, 1e-12);
}

/* identity: a line beside the mark meets the fan nearer or farther. */
static void test_geometry_path_aside(void **state)
{
    (void)state;
    read_stage("[sensor]\nplace = 3 m before, 70 cm up\nzones = 2\nzone pitch = 6 deg\n");
    struct owl_path path = owl_path_of(0.0, 1.0); /* one metre behind the mark */
    check_near("farther", owl_sensor_cross(&plan, &path, 1, INFINITY).front_m, -4.0 * tan(6.0 * OWL_RAD_PER_DEG), 1e-12);
    struct owl_point point = owl_path_point(&plan, &path, 2.0);
    check_near("x", point.x_m, 2.0, 1e-12);
    check_near("y", point.y_m, 1.0, 1e-12);
}

/* identity: a beam fires where it crosses, in either sense, and not beyond its ends. */
static void test_geometry_beam(void **state)
{
    (void)state;
    read_stage("[sensor]\nkind = beam\nplace = 20 cm right, 1 m before, 30 cm up\naim = 20 cm right, 1 m behind, 30 cm up\n");
    struct owl_path path = owl_stage_path(&plan), beyond = owl_path_of(0.0, 1.5);
    check_near("to the right", owl_sensor_cross(&plan, &path, 1, 0.0).front_m, 0.2, 1e-12);
    check_near("to the left", owl_sensor_cross(&plan, &path, -1, 0.0).front_m, -0.2, 1e-12);
    assert_false(owl_sensor_cross(&plan, &beyond, 1, 0.0).noticed);
    struct owl_path along = owl_path_of(OWL_PI / 2.0, 0.0);
    assert_false(owl_sensor_cross(&plan, &along, 1, 0.0).noticed); /* walks beside the beam */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_geometry_angles),     cmocka_unit_test(test_geometry_level_view),
        cmocka_unit_test(test_geometry_body_box),   cmocka_unit_test(test_geometry_behind_the_camera),
        cmocka_unit_test(test_geometry_portrait),   cmocka_unit_test(test_geometry_fan),
        cmocka_unit_test(test_geometry_path_aside), cmocka_unit_test(test_geometry_beam),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
