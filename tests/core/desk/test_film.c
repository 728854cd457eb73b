/* A film developed: light that adds up, smears that keep their light, blurs of known width, and the tone curve. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "support/check.h"

#include "core/desk/film.h"

#define WIDTH 121
#define HEIGHT 81
#define PIXELS ((size_t)WIDTH * HEIGHT)
#define LIGHTS 3
#define MIDDLE ((size_t)HEIGHT / 2 * WIDTH + WIDTH / 2)

static float room[(6 * LIGHTS + 3) * PIXELS], work[16 * PIXELS], linear[3 * PIXELS], other[3 * PIXELS];
static struct owl_film film;
static struct owl_film_exposure exposure;

/* What is behind 8 m away, dark; no animal; everything in focus. The room for developing holds rubbish. */
static void begin(void)
{
    memset(room, 0, sizeof room);
    memset(work, 0xff, sizeof work);
    memset(linear, 0xff, sizeof linear);
    assert_true(owl_film_floats(WIDTH, HEIGHT, LIGHTS) <= sizeof room / sizeof *room);
    film = owl_film_over(room, WIDTH, HEIGHT, LIGHTS);
    assert_true(owl_film_work_floats(&film) <= sizeof work / sizeof *work);
    for (size_t i = 0; i < PIXELS; i++)
        film.behind_depth_m[i] = 8.0f;
    exposure = (struct owl_film_exposure){.weight = {1.0, 1.0, 1.0}, .focus_m = 2.0};
}

/* A block of animal 2 m away, right in focus, as light as `value` in one light. */
static void put_block(int left, int top, int right, int bottom, int light, float value)
{
    for (int y = top; y < bottom; y++)
        for (int x = left; x < right; x++) {
            size_t i = (size_t)y * WIDTH + (size_t)x;
            film.cover[i] = 1.0f;
            film.body_depth_m[i] = 2.0f;
            for (size_t c = 0; c < 3; c++)
                film.body[light][3 * i + c] = value;
        }
}

static void fill_behind(int light, float value)
{
    for (size_t i = 0; i < 3 * PIXELS; i++)
        film.behind[light][i] = value;
}

static double sum_of(const float *image)
{
    double sum = 0.0;
    for (size_t i = 0; i < PIXELS; i++)
        sum += (double)image[3 * i];
    return sum;
}

/* identity: a film without blur, smear or animal is the weighed sum of its images */
static void test_film_adds_lights_up(void **state)
{
    (void)state;
    begin();
    fill_behind(0, 0.5f);
    fill_behind(1, 0.25f);
    fill_behind(2, 4.0f);
    exposure.weight[0] = 2.0;
    exposure.weight[2] = 0.0;
    owl_film_develop(&film, &exposure, work, linear);
    for (size_t i = 0; i < 3 * PIXELS; i++)
        check_near("sum", (double)linear[i], 1.25, 1e-6);
}

/* identity: pictures of the lights one by one add up to the joint one, animal, smear and blur included */
static void test_film_single_lights_sum_to_joint(void **state)
{
    (void)state;
    begin();
    for (int light = 0; light < LIGHTS; light++) {
        fill_behind(light, 0.2f * (float)(light + 1));
        put_block(40, 30, 70, 50, light, 0.5f + (float)light);
    }
    exposure.disc_px = 6.0;
    exposure.smear_x_px[2] = 17.3;
    exposure.smear_y_px[2] = -4.2;
    memset(other, 0, sizeof other);
    for (int light = 0; light < LIGHTS; light++) {
        struct owl_film_exposure alone = exposure;
        for (int i = 0; i < LIGHTS; i++)
            alone.weight[i] = i == light ? exposure.weight[i] : 0.0;
        owl_film_develop(&film, &alone, work, linear);
        for (size_t i = 0; i < 3 * PIXELS; i++)
            other[i] += linear[i];
    }
    owl_film_develop(&film, &exposure, work, linear);
    for (size_t i = 0; i < 3 * PIXELS; i++)
        check_near("joint", (double)linear[i], (double)other[i], 2e-5);
}

/* Share of the way 0..length that falls on the pixel `step` pixels from its beginning. */
static double share_of_way(double step, double length)
{
    double share = fmin(step + 0.5, length) - fmax(step - 0.5, 0.0);
    return share > 0.0 ? share / length : 0.0;
}

/* identity: a smear lies on each column (each row, when it is steeper) with the share of time the animal's picture is there: all
   its light, from where it was to as far as it walked and no farther, within a pixel of the straight line */
static void test_film_smear_goes_one_way(void **state)
{
    (void)state;
    const double ways[][2] = {{20.0, 0.0}, {-20.0, 0.0}, {0.0, 15.5}, {0.3, -12.7}, {18.0, 7.0}, {-9.4, 9.4}, {-20.2, -3.0},
                              {0.4, 0.4}, {0.6, 0.0}};
    for (size_t k = 0; k < sizeof ways / sizeof *ways; k++) {
        bool wide = fabs(ways[k][0]) >= fabs(ways[k][1]);
        double greater = ways[k][wide ? 0 : 1], slope = ways[k][wide ? 1 : 0] / fabs(greater);
        double length = fmax(fabs(greater), 0.5);
        double found[WIDTH] = {0.0};
        begin();
        put_block(60, 40, 61, 41, 0, 1.0f);
        exposure.smear_x_px[0] = ways[k][0];
        exposure.smear_y_px[0] = ways[k][1];
        owl_film_develop(&film, &exposure, work, linear);
        for (size_t i = 0; i < PIXELS; i++) {
            double x = (double)(i % WIDTH) - 60.0, y = (double)(i / WIDTH) - 40.0;
            double step = (wide ? x : y) * (greater < 0.0 ? -1.0 : 1.0), beside = wide ? y : x;
            if (linear[3 * i] > 0.0f)
                check_near("beside the line", beside, slope * step, 1.0);
            found[wide ? i % WIDTH : i / WIDTH] += (double)linear[3 * i];
        }
        for (int i = 0; i < (wide ? WIDTH : HEIGHT); i++) {
            double step = (i - (wide ? 60 : 40)) * (greater < 0.0 ? -1.0 : 1.0);
            check_near("share of the way", found[i], share_of_way(step, length), 1e-6);
        }
        check_near("all light is kept", sum_of(linear), 1.0, 1e-6);
    }
}

/* identity: ways below half a pixel, without end or of no number smear nothing; neither does a light that does not burn */
static void test_film_smear_may_be_none(void **state)
{
    (void)state;
    const double ways[][2] = {{0.49, 0.0}, {-0.3, 0.3}, {NAN, 5.0}, {INFINITY, NAN}, {-INFINITY, INFINITY}};
    for (size_t k = 0; k < sizeof ways / sizeof *ways; k++) {
        begin();
        put_block(60, 40, 62, 43, 0, 1.0f);
        exposure.smear_x_px[0] = ways[k][0];
        exposure.smear_y_px[0] = ways[k][1];
        exposure.smear_x_px[1] = 30.0;
        exposure.weight[1] = 0.0;
        owl_film_develop(&film, &exposure, work, linear);
        for (size_t i = 0; i < 3 * PIXELS; i++)
            check_near("as it stood", (double)linear[i], (double)film.body[0][i], 0.0);
    }
}

/* identity: what walks off the film is gone, and does not come in on the other side */
static void test_film_smear_leaves_the_film(void **state)
{
    (void)state;
    begin();
    put_block(WIDTH - 3, 40, WIDTH - 2, 41, 0, 1.0f);
    exposure.smear_x_px[0] = 1e6;
    owl_film_develop(&film, &exposure, work, linear);
    check_near("far off", sum_of(linear), 2.5e-6, 1e-9);
    exposure.smear_x_px[0] = 20.0;
    exposure.smear_y_px[0] = -5.0;
    owl_film_develop(&film, &exposure, work, linear);
    check_near("what stays", sum_of(linear), 2.5 / 20.0, 1e-6);
    for (size_t i = 0; i < PIXELS; i++)
        assert_true(linear[3 * i] == 0.0f || i % WIDTH >= WIDTH - 3);
}

/* identity: where the smear covers a part of the time, exactly what is behind shows for the rest of it: a ghost. The black block,
   20 px wide, walks 40 px and so stands half the time before a spot well on its way, about a quarter half way in */
static void test_film_ghost_lets_through(void **state)
{
    (void)state;
    const struct {
        int x;
        double cover;
    } spots[] = {{30, 0.0}, {39, 0.0}, {40, 0.5 / 40.0}, {50, 10.5 / 40.0}, {59, 19.5 / 40.0},
                 {60, 0.5}, {75, 0.5}, {99, 0.5 / 40.0}, {100, 0.0}, {105, 0.0}};
    begin();
    for (size_t i = 0; i < 3 * PIXELS; i++)
        film.behind[0][i] = 0.5f + (float)(i % 37) / 20.0f;
    put_block(40, 30, 60, 50, 0, 0.0f);
    exposure.smear_x_px[0] = 40.0;
    owl_film_develop(&film, &exposure, work, linear);
    for (size_t k = 0; k < sizeof spots / sizeof *spots; k++)
        for (size_t c = 0; c < 3; c++) {
            size_t i = 3 * (40 * WIDTH + (size_t)spots[k].x) + c;
            check_near("let through", (double)linear[i], (double)film.behind[0][i] * (1.0 - spots[k].cover), 1e-6);
        }
}

/* identity: what looks alike everywhere stays so under any blur */
static void test_film_blur_keeps_even_light(void **state)
{
    (void)state;
    begin();
    fill_behind(0, 0.7f);
    put_block(20, 20, 90, 70, 0, 0.7f);
    const double discs_px[] = {0.0, 0.5, 1.5, 4.5, 13.5, 40.5, 121.5, 1e9, INFINITY, NAN};
    for (size_t k = 0; k < sizeof discs_px / sizeof *discs_px; k++) {
        exposure.disc_px = discs_px[k];
        exposure.focus_m = 5.0;
        owl_film_develop(&film, &exposure, work, linear);
        for (size_t i = 0; i < 3 * PIXELS; i++)
            check_near("even", (double)linear[i], 0.7, 1e-5);
    }
}

static double variance_px2(const float *image)
{
    double square = 0.0;
    for (size_t i = 0; i < PIXELS; i++) {
        double x = (double)(i % WIDTH) - WIDTH / 2;
        square += (double)image[3 * i] * x * x;
    }
    return square / sum_of(image);
}

/* cited: a point spreads to the variance of its disc, diameter^2/16 either way. A box of n pixels has (n^2 - 1)/12, so a straight
   run from n to n + 2 stays below side^2/12 by a twelfth at most */
static void test_film_blur_has_the_width_of_its_disc(void **state)
{
    (void)state;
    for (double disc_px = 2.0; disc_px < 40.0; disc_px *= 1.7) {
        double want_px2 = disc_px * disc_px / 16.0 - 1.0 / 24.0; /* the middle of that range */
        begin();
        film.behind[0][3 * MIDDLE] = 1000.0f;
        exposure.disc_px = disc_px / 0.75; /* at 8 m, focused at 2 m */
        owl_film_develop(&film, &exposure, work, linear);
        check_near("all light is kept", sum_of(linear), 1000.0, 1e-3);
        check_cited("disc-variance", "variance px2", variance_px2(linear), want_px2, 1.0 / 24.0 + 1e-4);
        for (size_t i = 0; i < PIXELS; i++)
            film.behind_depth_m[i] = INFINITY;
        exposure.disc_px = disc_px;
        owl_film_develop(&film, &exposure, work, linear);
        check_cited("disc-variance", "variance px2", variance_px2(linear), want_px2, 1.0 / 24.0 + 1e-4);
    }
}

/* identity: an animal out of focus, well inside, keeps its light, and hides as much of what is behind as when it is sharp */
static void test_film_blurred_animal_keeps_its_light(void **state)
{
    (void)state;
    for (int smeared = 0; smeared < 2; smeared++) {
        begin();
        put_block(50, 30, 70, 50, 0, 1.0f);
        exposure.focus_m = 8.0;
        exposure.disc_px = 5.0; /* 15 px at 2 m */
        exposure.smear_x_px[0] = exposure.smear_x_px[1] = smeared * 15.3;
        owl_film_develop(&film, &exposure, work, linear);
        check_near("its light", sum_of(linear), 400.0, 1e-2);
        assert_true(linear[3 * (40 * WIDTH + 48)] > 0.05f && linear[3 * (40 * WIDTH + 51)] < 0.9f); /* it is blurred */
        fill_behind(1, 1.0f);
        exposure.weight[0] = 0.0;
        owl_film_develop(&film, &exposure, work, linear);
        check_near("what it leaves", sum_of(linear), (double)PIXELS - 400.0, 1e-2);
    }
}

/* identity: shadows keep their value on a large film beside much light, where sums over the whole picture are greatest */
static void test_film_large_keeps_shadows(void **state)
{
    (void)state;
    const int width = 1920, height = 1280;
    size_t pixels = (size_t)width * (size_t)height;
    float *large = calloc(owl_film_floats(width, height, 1), sizeof *large), *image = calloc(3 * pixels, sizeof *image);
    struct owl_film bright = owl_film_over(large, width, height, 1);
    float *beside = calloc(owl_film_work_floats(&bright), sizeof *beside);
    assert_true(large && image && beside);
    for (size_t i = 0; i < pixels; i++) {
        bool shadow = i % 1920 >= 1720 && i / 1920 >= 1080;
        bright.behind_depth_m[i] = INFINITY;
        for (size_t c = 0; c < 3; c++)
            bright.behind[0][3 * i + c] = shadow ? 0.001f : 7.8f;
    }
    const struct owl_film_exposure wide = {.weight = {1.0}, .focus_m = 2.0, .disc_px = 20.0};
    owl_film_develop(&bright, &wide, beside, image);
    for (size_t x = 1740; x < 1920; x++)
        check_near("shadow", (double)image[3 * (1180 * 1920 + x)], 0.001, 1e-9);
    check_near("half way", (double)image[3 * (1180 * 1920 + 1720)] + (double)image[3 * (1180 * 1920 + 1719)], 7.801, 1e-5);
    free(beside);
    free(image);
    free(large);
}

/* identity: a sharp animal before a blurred ground has a clean edge, whatever depth stands where it does not */
static void test_film_blur_does_not_bleed(void **state)
{
    (void)state;
    begin();
    fill_behind(0, 1.0f);
    put_block(40, 30, 70, 50, 0, 0.0f);
    for (size_t i = 0; i < PIXELS; i++)
        if (film.cover[i] == 0.0f)
            film.body_depth_m[i] = NAN;
    exposure.disc_px = 20.0;
    owl_film_develop(&film, &exposure, work, linear);
    check_near("the animal", (double)linear[3 * (40 * WIDTH + 40)], 0.0, 1e-6);
    check_near("beside it", (double)linear[3 * (40 * WIDTH + 39)], 1.0, 1e-5);
}

/* identity: no light, no picture, smear or not */
static void test_film_without_light_is_black(void **state)
{
    (void)state;
    begin();
    fill_behind(0, 1.0f);
    put_block(40, 30, 70, 50, 0, 1.0f);
    exposure = (struct owl_film_exposure){.smear_x_px = {9.0, 9.0, 9.0}, .focus_m = 3.0, .disc_px = 9.0};
    owl_film_develop(&film, &exposure, work, linear);
    for (size_t i = 0; i < 3 * PIXELS; i++)
        assert_true(linear[i] == 0.0f);
}

/* identity: a depth of no number leaves its pixel as it is, and the rest is blurred all the same */
static void test_film_depth_may_be_missing(void **state)
{
    (void)state;
    begin();
    fill_behind(0, 0.25f);
    film.behind[0][3 * MIDDLE] = 1.0f;
    film.behind_depth_m[MIDDLE] = NAN;
    put_block(10, 10, 20, 20, 0, 0.25f);
    film.body_depth_m[10 * WIDTH + 10] = NAN;
    exposure.disc_px = 20.0;
    exposure.focus_m = 3.0;
    owl_film_develop(&film, &exposure, work, linear);
    assert_true(linear[3 * MIDDLE] == 1.0f);
    assert_true(linear[3 * (MIDDLE + 1)] > 0.25f && linear[3 * (MIDDLE + 1)] < 0.3f);
    check_near("the animal", (double)linear[3 * (15 * WIDTH + 15)], 0.25, 1e-6);
}

/* identity: focused at infinity the disc shrinks with distance; what has no depth stays as it is */
static void test_film_focus_at_infinity(void **state)
{
    (void)state;
    begin();
    film.behind[0][3 * MIDDLE] = 1.0f;
    exposure.focus_m = INFINITY;
    exposure.disc_px = 80.0; /* px m: 10 px at 8 m */
    owl_film_develop(&film, &exposure, work, linear);
    assert_true(linear[3 * MIDDLE] < 0.03f);
    for (size_t i = 0; i < PIXELS; i++)
        film.behind_depth_m[i] = 0.0f;
    owl_film_develop(&film, &exposure, work, linear);
    assert_true(linear[3 * MIDDLE] == 1.0f);
}

/* identity: the smallest film is one pixel */
static void test_film_of_one_pixel(void **state)
{
    (void)state;
    struct owl_film small = owl_film_over(room, 1, 1, 1);
    begin();
    small.behind[0][0] = 0.3f;
    small.cover[0] = 1.0f;
    small.body_depth_m[0] = small.behind_depth_m[0] = 1.0f;
    small.body[0][0] = 0.6f;
    exposure.disc_px = 9.0;
    owl_film_develop(&small, &exposure, work, linear);
    check_near("its body", (double)linear[0], 0.6, 1e-6);
}

/* ---- tone ---- */

/* cited: mid grey is code 118 of 255, what ISO 12232 takes for the mid tone; points of the
   sRGB curve, worked out from the standard's formula by another program; code 128 of 255 is 0.21586 of white */
static void test_tone_follows_srgb(void **state)
{
    (void)state;
    check_cited("iso12232", "mid tone of 255", owl_tone_code(1.0) * 255.0, 118.0, 0.5);
    const double shown[] = {0.001, 0.0031308, 0.01, 0.05, 0.2, 0.4, 0.5};
    const double code[] = {0.01292, 0.04045, 0.09985, 0.24780, 0.48453, 0.66519, 0.73536};
    for (size_t i = 0; i < sizeof shown / sizeof *shown; i++)
        check_cited("iec61966", "code", owl_tone_code(shown[i] / 0.18), code[i], 5e-6);
    check_cited("iec61966", "light of 128", owl_tone_light(128.0 / 255.0) * 0.18, 0.21586, 5e-6);
}

/* identity: the curve rises all the way without a corner, from nothing to white at the sensor's headroom, and turns back */
static void test_tone_rises_and_turns_back(void **state)
{
    (void)state;
    double before = -1.0;
    for (double linear_light = 0.0; linear_light <= OWL_TONE_CLIP; linear_light += 0.01) {
        double code = owl_tone_code(linear_light);
        assert_true(code > before);
        before = code;
        check_near("back", owl_tone_light(code), linear_light, 1e-9);
    }
    const double knee = 0.5 / 0.18, h = 1e-6;
    double below = owl_tone_code(knee) - owl_tone_code(knee - h), above = owl_tone_code(knee + h) - owl_tone_code(knee);
    check_near("no corner", above / below, 1.0, 1e-4);
    assert_true(owl_tone_code(OWL_TONE_CLIP) == 1.0 && owl_tone_code(1e9) == 1.0 && owl_tone_code(INFINITY) == 1.0);
    assert_true(owl_tone_code(0.0) == 0.0 && owl_tone_code(-3.0) == 0.0 && owl_tone_code(NAN) == 0.0);
    assert_true(owl_tone_light(0.0) == 0.0 && isnan(owl_tone_light(-1e-9)) && isnan(owl_tone_light(1.000001)));
    assert_true(isnan(owl_tone_light(NAN)));
    for (double shown = 0.0031307; shown < 0.0031309; shown += 1e-10)
        check_near("where the pieces meet", owl_tone_light(owl_tone_code(shown / 0.18)), shown / 0.18, 2e-8);
}

/* identity: bytes are the code of their light, rounded; the table may be a quarter of one off, so one at most where it rounds */
static void test_tone_bytes_are_codes(void **state)
{
    (void)state;
    float light[4000];
    uint8_t byte[4000];
    for (int i = 0; i < 4000; i++)
        light[i] = (float)(i * i) * 6e-7f; /* to 9.6 */
    owl_tone_bytes(light, 4000, byte);
    for (int i = 0; i < 4000; i++) {
        check_near("byte", byte[i], owl_tone_code((double)light[i]) * 255.0, 0.75);
        assert_true(i == 0 || byte[i] >= byte[i - 1]);
    }
    const float odd[] = {NAN, -1.0f, -NAN, INFINITY, 7.8f, 1e-30f, -INFINITY, 8.1f};
    const uint8_t want[] = {0, 0, 0, 255, 255, 0, 0, 255};
    owl_tone_bytes(odd, 8, byte);
    assert_memory_equal(byte, want, 8);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_film_adds_lights_up), cmocka_unit_test(test_film_single_lights_sum_to_joint),
        cmocka_unit_test(test_film_smear_goes_one_way), cmocka_unit_test(test_film_smear_may_be_none),
        cmocka_unit_test(test_film_smear_leaves_the_film), cmocka_unit_test(test_film_ghost_lets_through),
        cmocka_unit_test(test_film_blur_keeps_even_light), cmocka_unit_test(test_film_blur_has_the_width_of_its_disc),
        cmocka_unit_test(test_film_blurred_animal_keeps_its_light), cmocka_unit_test(test_film_large_keeps_shadows),
        cmocka_unit_test(test_film_blur_does_not_bleed), cmocka_unit_test(test_film_without_light_is_black),
        cmocka_unit_test(test_film_depth_may_be_missing), cmocka_unit_test(test_film_focus_at_infinity),
        cmocka_unit_test(test_film_of_one_pixel), cmocka_unit_test(test_tone_follows_srgb),
        cmocka_unit_test(test_tone_rises_and_turns_back), cmocka_unit_test(test_tone_bytes_are_codes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
