/* The light desk: light that falls off, faces aside and is hidden as physics says, and a grey card that agrees with the plan. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "support/check.h"
#include "support/made_watch.h"

#include "core/constants.h"
#include "core/desk/desk.h"
#include "core/desk/light.h"
#include "core/plan/reader.h"

#define WIDTH 96
#define HEIGHT 64
#define PIXELS ((size_t)WIDTH * HEIGHT)
#define SOME_LX 3.0

static const char usual[] =
    "[site]\nlatitude = 57.1 N\nlongitude = 4.5 W\n[watch]\nstart = 2027-01-09\nnights = 2\n"
    "[subject]\nkind = red fox\n[camera]\nplace = 3 m before, 70 cm up\naperture = f/8\niso = 400\n"
    "[flash key]\nplace = 1.2 m left, 1.1 m before, 1.6 m up\npower = 1/8\n"
    "[flash fill]\nplace = 1.5 m right, 1.6 m before, 90 cm up\npower = 1/32\ndiffuser = 1 stop\n";

static struct owl_plan plan;
static struct owl_complaints complaints;
static struct owl_evaluation evaluation;
static struct made_watch made;
static struct owl_desk_scene scene;
static float room[2 * 45 * PIXELS], other_room[2 * 45 * PIXELS];

static struct owl_desk_moment on_the_mark(void)
{
    return (struct owl_desk_moment){.sense = 1, .seed = 3};
}

static void set_scene(const char *text, const struct owl_desk_moment *moment)
{
    assert_int_equal(owl_plan_read(text, strlen(text), &plan, &complaints), OWL_OK);
    made_watch_fill(&plan, &made);
    assert_int_equal(owl_plan_evaluate(&plan, &made.view, &evaluation), OWL_OK);
    assert_int_equal(owl_desk_scene_of(&plan, moment, WIDTH, HEIGHT, &scene), OWL_OK);
}

static struct owl_film film_in(float *floats, int lights)
{
    assert_true(owl_film_floats(WIDTH, HEIGHT, lights) <= sizeof room / sizeof *room);
    memset(floats, 0, owl_film_floats(WIDTH, HEIGHT, lights) * sizeof *floats);
    return owl_film_over(floats, WIDTH, HEIGHT, lights);
}

static struct owl_film rendered(float *floats)
{
    struct owl_film film = film_in(floats, scene.lamps + 1);
    owl_desk_render(&scene, &film, 1, 0, 0, HEIGHT);
    return film;
}

static double outcome(enum owl_result result)
{
    return owl_outcome_value(&evaluation.outcome, result, 0);
}

/* ---- the card ---- */

#define MIDDLE_PIXEL ((size_t)HEIGHT / 2 * WIDTH + WIDTH / 2)

/* A grey card's light, 1 for mid grey, by the images of lights from..to. */
static double card_light(int from, int to, double ambient_lx, double shutter_s)
{
    struct owl_desk_moment moment = on_the_mark();
    moment.card = true;
    assert_int_equal(owl_desk_scene_of(&plan, &moment, WIDTH, HEIGHT, &scene), OWL_OK);
    struct owl_film film = rendered(room);
    struct owl_film_exposure exposure;
    assert_int_equal(owl_desk_exposure_of(&plan, &scene, ambient_lx, shutter_s, &exposure), OWL_OK);
    assert_true(film.cover[MIDDLE_PIXEL] == 1.0f);
    double sum = 0.0;
    for (int i = from; i < to; i++)
        sum += exposure.weight[i] * (double)film.body[i][3 * MIDDLE_PIXEL + 1];
    return sum;
}

/* identity: a grey card at the mark is as light as the plan computes, by the flashes and by the ambient light; the goal is
   0.05 stop, what is left is half a pixel of the beam */
static void test_desk_card_agrees_with_plan(void **state)
{
    (void)state;
    struct owl_desk_moment moment = on_the_mark();
    set_scene(usual, &moment);
    check_near("flashes in stops", log2(card_light(0, plan.flashes, 0.0, 0.01)), outcome(OWL_RESULT_LIGHT_ERROR), 0.02);
    double lx = outcome(OWL_RESULT_LIGHT_LIGHTEST), shutter_s = owl_desk_shutter_s(&plan, lx);
    check_near("shutter", shutter_s, outcome(OWL_RESULT_SHUTTER_LIGHTEST), 0.0);
    check_near("ambient in stops", log2(card_light(plan.flashes, plan.flashes + 1, lx, shutter_s)),
               outcome(OWL_RESULT_AMBIENT_LIGHTEST), 1e-6);
}

/* ---- single lamps on single spots ---- */

static struct owl_desk_lamp lamp_at(double x_m, double y_m, double z_m)
{
    double length = sqrt(x_m * x_m + y_m * y_m + z_m * z_m);
    struct owl_desk_lamp lamp = {.place = {x_m, y_m, z_m}, .forward = {-x_m / length, -y_m / length, -z_m / length},
                                 .across = {1.0, 0.0, 0.0}, .up = {0.0, 1.0, 0.0}, .intensity_cds = 100.0,
                                 .half_coverage_rad = 0.5, .width_m = 1e-4, .height_m = 1e-4};
    return lamp;
}

static struct owl_spot ground_spot(double x_m)
{
    return (struct owl_spot){.place = {x_m, 0.0, 0.0}, .normal = {0.0, 0.0, 1.0}};
}

static void empty_scene(void)
{
    memset(&scene, 0, sizeof scene);
    scene.form_cosine = 1.0;
}

/* cited: light falls with the square of the distance; closed form, exact but for rounding */
static void test_desk_inverse_square(void **state)
{
    (void)state;
    empty_scene();
    struct owl_spot spot = ground_spot(0.0);
    for (double far_m = 0.25; far_m < 100.0; far_m *= 2.0) {
        struct owl_desk_lamp lamp = lamp_at(0.0, 0.0, far_m);
        check_cited_relative("inverse-square", "light of 100 cd s", owl_light_lamp_lxs(&scene, &lamp, &spot, 4, 1),
                             100.0 / (far_m * far_m), 1e-12);
    }
}

/* cited: and with the cosine of the angle it comes in at; behind the surface there is none */
static void test_desk_cosine_law(void **state)
{
    (void)state;
    empty_scene();
    struct owl_spot spot = ground_spot(0.0);
    for (int degrees = 0; degrees < 90; degrees += 5) {
        double angle = degrees * OWL_RAD_PER_DEG;
        struct owl_desk_lamp lamp = lamp_at(2.0 * sin(angle), 0.0, 2.0 * cos(angle));
        check_cited("cosine-law", "light of 100 cd s", owl_light_lamp_lxs(&scene, &lamp, &spot, 4, 1), 25.0 * cos(angle), 1e-9);
    }
    struct owl_desk_lamp below = lamp_at(0.5, 0.0, -2.0);
    assert_true(owl_light_lamp_lxs(&scene, &below, &spot, 4, 1) == 0.0);
}

static void put_ball(double height_m, double radius_m)
{
    scene.animal = true;
    scene.form = (struct owl_form){.parts = 1, .limbs = 1, .limb = {{.past = 1}}};
    scene.form.part[0] = (struct owl_form_part){.from = {0.0, 0.0, height_m}, .to = {0.0, 0.0, height_m + 1e-9},
                                                .from_radius_m = radius_m, .to_radius_m = radius_m};
    owl_form_gather(&scene.form);
}

/* Where on the ground, going outwards, the share of the lamp's light passes a level. */
static double passes_at_m(const struct owl_desk_lamp *lamp, double dark_m, double lit_m, double level, int rays)
{
    for (int i = 0; i < 40; i++) {
        double middle_m = (dark_m + lit_m) / 2.0;
        struct owl_spot spot = ground_spot(middle_m);
        double share = owl_light_lamp_lxs(&scene, lamp, &spot, rays, 1);
        bool was_animal = scene.animal, was_log = scene.log;
        scene.animal = scene.log = false;
        share /= owl_light_lamp_lxs(&scene, lamp, &spot, rays, 1);
        scene.animal = was_animal;
        scene.log = was_log;
        if (share > level)
            lit_m = middle_m;
        else
            dark_m = middle_m;
    }
    return dark_m;
}

/* cited: the edge of a ball's shadow under a point of light, by its tangents; a ray of light begins 1.5 mm above the ground and
   ends a tenth of a millimetre from the ball, which the slope of the tangent makes 1.5 mm at most */
static void test_desk_shadow_edge(void **state)
{
    (void)state;
    empty_scene();
    for (double radius_m = 0.05; radius_m < 0.5; radius_m *= 2.0) {
        put_ball(1.0, radius_m);
        struct owl_desk_lamp lamp = lamp_at(0.0, 0.0, 3.0);
        double edge_m = 3.0 * tan(asin(radius_m / 2.0));
        check_cited("euclid", "radius of the shadow m", passes_at_m(&lamp, 0.0, 2.0, 0.5, 1), edge_m, 0.0015);
    }
}

/* Where the ray from a point of light at (x, height) past the right side of a log at height h meets the ground. */
static double past_log_m(double x_m, double height_m, double log_m, double radius_m)
{
    double down = atan2(-x_m, height_m - log_m) + asin(radius_m / hypot(x_m, height_m - log_m));
    return x_m + height_m * tan(down);
}

/* cited: the half-shadow of a lamp 40 cm wide behind a log, by the tangents from both its ends; the lamp is asked at 64 places
   across, so either end is found to 1/64 of the width, and 1.5 mm as above */
static void test_desk_penumbra_width(void **state)
{
    (void)state;
    const int rays = 64;
    const double width_m = 0.4, height_m = 2.5, log_m = 0.8, radius_m = 0.1;
    empty_scene();
    scene.log = true;
    scene.log_from = (struct owl_point){0.0, -6.0, log_m};
    scene.log_to = (struct owl_point){0.0, 6.0, log_m};
    scene.log_radius_m = radius_m;
    struct owl_desk_lamp lamp = lamp_at(0.0, 0.0, height_m);
    lamp.width_m = width_m;
    lamp.height_m = 0.01;
    double dark_m = past_log_m(width_m / 2.0, height_m, log_m, radius_m);
    double lit_m = past_log_m(-width_m / 2.0, height_m, log_m, radius_m);
    double step_m = (lit_m - dark_m) / rays + 0.0015;
    assert_true(lit_m > dark_m && dark_m > 0.0);
    check_cited("euclid", "dark up to m", passes_at_m(&lamp, 0.0, 2.0, 1e-9, rays), dark_m, step_m);
    check_cited("euclid", "whole light from m", passes_at_m(&lamp, 0.0, 2.0, 1.0 - 1e-9, rays), lit_m, step_m);
    double half_m = passes_at_m(&lamp, 0.0, 2.0, 0.5, rays);
    check_cited("euclid", "half the light at m", half_m, past_log_m(0.0, height_m, log_m, radius_m), step_m);
}

/* ---- whole pictures ---- */

/* identity: in even light from all sides, everything that throws back one share looks alike, wherever it faces: a ball in the
   air, the ground and the backdrop cannot be told apart */
static void test_desk_furnace(void **state)
{
    (void)state;
    struct owl_desk_moment moment = on_the_mark();
    set_scene(usual, &moment);
    plan.camera.place.z_m = 1.4;
    plan.camera.aim.z_m = 1.0;
    assert_int_equal(owl_desk_scene_of(&plan, &moment, WIDTH, HEIGHT, &scene), OWL_OK);
    put_ball(1.0, 0.2);
    scene.form_place = (struct owl_point){0.0, 0.0, 0.0};
    scene.grain = 0.0;
    for (int c = 0; c < 3; c++) {
        scene.ground_reflectance[c] = scene.backdrop_reflectance[c] = 0.4;
        for (int skin = 0; skin < OWL_SKINS; skin++)
            scene.form.reflectance[skin][c] = 0.4;
    }
    struct owl_film film = rendered(room);
    double covered = 0.0;
    for (size_t i = 0; i < PIXELS; i++) {
        covered += film.cover[i] > 0.0f;
        double seen = film.cover[i] > 0.0f ? (double)film.body[scene.lamps][3 * i] : (double)film.behind[scene.lamps][3 * i];
        check_near("even light", seen, 0.4, 1e-3);
    }
    assert_true(covered > 20.0 && covered < (double)PIXELS / 2.0);
}

/* identity: the image of one light is the same whether the others burn or not, so single images add up to the joint one */
static void test_desk_lights_do_not_mix(void **state)
{
    (void)state;
    struct owl_desk_moment moment = on_the_mark();
    set_scene(usual, &moment);
    struct owl_film joint = rendered(room);
    struct owl_desk_scene whole = scene;
    for (int i = 0; i < whole.lamps; i++) {
        scene = whole;
        scene.lamps = 1;
        scene.lamp[0] = whole.lamp[i];
        struct owl_film alone = rendered(other_room);
        assert_memory_equal(alone.behind[0], joint.behind[i], 3 * PIXELS * sizeof(float));
        assert_memory_equal(alone.body[0], joint.body[i], 3 * PIXELS * sizeof(float));
        assert_memory_equal(alone.body[1], joint.body[whole.lamps], 3 * PIXELS * sizeof(float));
    }
}

/* identity: coming from coarse to fine, and band by band, ends in the same bits as going at once */
static void test_desk_passes_end_alike(void **state)
{
    (void)state;
    struct owl_desk_moment moment = on_the_mark();
    set_scene(usual, &moment);
    struct owl_film once = rendered(room), slowly = film_in(other_room, scene.lamps + 1);
    for (int step = 8, done = 0; step >= 1; done = step, step /= 2)
        for (int row = 0; row < HEIGHT; row += 8)
            owl_desk_render(&scene, &slowly, step, done, row, row + 8);
    assert_memory_equal(once.cover, slowly.cover, PIXELS * sizeof(float));
    for (int i = 0; i <= scene.lamps; i++) {
        assert_memory_equal(once.behind[i], slowly.behind[i], 3 * PIXELS * sizeof(float));
        assert_memory_equal(once.body[i], slowly.body[i], 3 * PIXELS * sizeof(float));
    }
}

/* identity: the animal stands in the picture where the plan's geometry puts its box; the tail may reach out of it behind */
static void test_desk_animal_stands_in_its_box(void **state)
{
    (void)state;
    struct owl_desk_moment moment = on_the_mark();
    moment.along_m = 0.2;
    set_scene(usual, &moment);
    struct owl_film film = rendered(room);
    struct owl_path path = owl_stage_path(&plan);
    struct owl_frame_box box = owl_view_body(&scene.view, &plan, &path, 0.2);
    double right = -1.0, top = HEIGHT, bottom = -1.0;
    for (int y = 0; y < HEIGHT; y++)
        for (int x = 0; x < WIDTH; x++)
            if (film.cover[y * WIDTH + x] > 0.0f) {
                right = fmax(right, x + 1.0);
                top = fmin(top, y);
                bottom = fmax(bottom, y + 1.0);
            }
    double body_px = (box.right_m - box.left_m) / scene.pixel_m;
    check_near("nose", right, WIDTH / 2.0 + box.right_m / scene.pixel_m, 1.0 + 0.06 * body_px);
    check_near("head", top, HEIGHT / 2.0 - box.top_m / scene.pixel_m, 1.0 + 0.06 * body_px);
    check_near("feet", bottom, HEIGHT / 2.0 - box.bottom_m / scene.pixel_m, 1.0 + 0.06 * body_px);
}

/* identity: a smoothed edge has shares between nothing and all, and nothing else changes */
static void test_desk_smooths_edges_only(void **state)
{
    (void)state;
    static uint8_t marks[PIXELS];
    struct owl_desk_moment moment = on_the_mark();
    set_scene(usual, &moment);
    struct owl_film plain = rendered(room), film = rendered(other_room);
    owl_desk_mark(&film, marks);
    owl_desk_smooth(&scene, &film, marks, 0, HEIGHT);
    int between = 0, marked = 0;
    for (size_t i = 0; i < PIXELS; i++) {
        between += film.cover[i] > 0.0f && film.cover[i] < 1.0f;
        marked += marks[i];
        if (!marks[i])
            assert_memory_equal(&film.behind[0][3 * i], &plain.behind[0][3 * i], 3 * sizeof(float));
    }
    assert_true(between > 10 && marked < (int)PIXELS / 3);
}

/* identity: the slower light smears by walk times time, the flash by next to nothing; blur grows with the lens's opening */
static void test_desk_exposure_follows_settings(void **state)
{
    (void)state;
    struct owl_film_exposure exposure, wider;
    struct owl_desk_moment moment = on_the_mark();
    set_scene(usual, &moment);
    assert_int_equal(owl_desk_exposure_of(&plan, &scene, SOME_LX, 0.1, &exposure), OWL_OK);
    double moved_px = plan.subject.speed_m_s * 0.1 * outcome(OWL_RESULT_MAGNIFICATION) / scene.pixel_m;
    check_near("smear of 0.1 s", exposure.smear_x_px[plan.flashes], moved_px, 0.01 * moved_px);
    assert_true(fabs(exposure.smear_x_px[0]) < 0.05 * moved_px);
    plan.camera.aperture /= 2.0;
    assert_int_equal(owl_desk_exposure_of(&plan, &scene, SOME_LX, 0.1, &wider), OWL_OK);
    check_near("twice the disc", wider.disc_px, 2.0 * exposure.disc_px, 1e-9);
    check_near("four times the light", wider.weight[0], 4.0 * exposure.weight[0], 1e-9);
    assert_int_equal(owl_desk_exposure_of(&plan, &scene, NAN, 0.1, &wider), OWL_OUTSIDE_DOMAIN);
    assert_int_equal(owl_desk_exposure_of(&plan, &scene, 1.0, INFINITY, &wider), OWL_OUTSIDE_DOMAIN);
}

/* identity: blades change what is behind, in the lower part, and bend with the wind; the animal keeps its pixels */
static void test_desk_grass_bends(void **state)
{
    (void)state;
    struct owl_desk_moment moment = on_the_mark();
    set_scene(usual, &moment);
    struct owl_film plain = rendered(room), grown = rendered(other_room);
    owl_desk_grass(&scene, &grown, 40, 0.0);
    assert_memory_equal(plain.body[0], grown.body[0], 3 * PIXELS * sizeof(float));
    assert_memory_not_equal(plain.behind[0], grown.behind[0], 3 * PIXELS * sizeof(float));
    struct owl_film bent = rendered(room);
    owl_desk_grass(&scene, &bent, 40, 0.8);
    assert_memory_not_equal(bent.behind[0], grown.behind[0], 3 * PIXELS * sizeof(float));
}

/* fault: no view, no scene; nor one too large */
static void test_desk_refuses(void **state)
{
    (void)state;
    struct owl_desk_moment moment = on_the_mark();
    set_scene(usual, &moment);
    struct owl_desk_scene untouched = scene;
    assert_int_equal(owl_desk_scene_of(&plan, &moment, 0, HEIGHT, &untouched), OWL_OUTSIDE_DOMAIN);
    assert_int_equal(owl_desk_scene_of(&plan, &moment, WIDTH, OWL_FILM_SIDE_MOST + 1, &untouched), OWL_OUTSIDE_DOMAIN);
    plan.camera.aim = plan.camera.place;
    assert_int_equal(owl_desk_scene_of(&plan, &moment, WIDTH, HEIGHT, &untouched), OWL_OUTSIDE_DOMAIN);
    assert_memory_equal(&untouched, &scene, sizeof scene);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_desk_card_agrees_with_plan), cmocka_unit_test(test_desk_inverse_square),
        cmocka_unit_test(test_desk_cosine_law), cmocka_unit_test(test_desk_shadow_edge),
        cmocka_unit_test(test_desk_penumbra_width), cmocka_unit_test(test_desk_furnace),
        cmocka_unit_test(test_desk_lights_do_not_mix), cmocka_unit_test(test_desk_passes_end_alike),
        cmocka_unit_test(test_desk_animal_stands_in_its_box), cmocka_unit_test(test_desk_smooths_edges_only),
        cmocka_unit_test(test_desk_exposure_follows_settings), cmocka_unit_test(test_desk_grass_bends),
        cmocka_unit_test(test_desk_refuses),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
