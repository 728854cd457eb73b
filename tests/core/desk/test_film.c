/* A film developed: light that adds up, smears that keep their light, blurs of known width, and the tone curve. */
#include <math.h>
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

/* What is behind 8 m away, dark; no animal; everything in focus. */
static void begin(void)
{
    memset(room, 0, sizeof room);
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

/* identity: a smear keeps all its light, begins where the animal was and reaches as far as it walked, no farther */
static void test_film_smear_goes_one_way(void **state)
{
    (void)state;
    const double ways[][2] = {{20.0, 0.0}, {-20.0, 0.0}, {0.0, 15.5}, {0.3, -12.7}, {18.0, 7.0}, {-9.4, 9.4}};
    for (size_t k = 0; k < sizeof ways / sizeof *ways; k++) {
        begin();
        put_block(60, 40, 61, 41, 0, 1.0f);
        exposure.smear_x_px[0] = ways[k][0];
        exposure.smear_y_px[0] = ways[k][1];
        owl_film_develop(&film, &exposure, work, linear);
        check_near("all light is kept", sum_of(linear), 1.0, 1e-5);
        double x = 0.0, y = 0.0;
        for (size_t i = 0; i < PIXELS; i++) {
            x += (double)linear[3 * i] * ((double)(i % WIDTH) - 60.0);
            y += (double)linear[3 * i] * ((double)(i / WIDTH) - 40.0);
        }
        check_near("its middle, across", x, ways[k][0] / 2.0, 0.51);
        check_near("its middle, down", y, ways[k][1] / 2.0, 0.51);
        double ahead = linear[3 * (40 * WIDTH + 60)];
        check_near("half a pixel where it began", ahead, 0.5 / fmax(fabs(ways[k][0]), fabs(ways[k][1])), 1e-6);
    }
}

/* identity: where the smear covers a part of the time, what is behind shows for the rest of it: a ghost */
static void test_film_ghost_lets_through(void **state)
{
    (void)state;
    begin();
    fill_behind(0, 1.0f);
    put_block(40, 30, 60, 50, 0, 0.0f);
    exposure.smear_x_px[0] = 40.0;
    owl_film_develop(&film, &exposure, work, linear);
    /* 20 px wide, walks 40 px: at most half the time before any spot */
    check_near("half through", (double)linear[3 * (40 * WIDTH + 75)], 0.5, 0.02);
    check_near("untouched before it", (double)linear[3 * (40 * WIDTH + 30)], 1.0, 1e-6);
    check_near("untouched beyond", (double)linear[3 * (40 * WIDTH + 105)], 1.0, 1e-6);
}

/* identity: what looks alike everywhere stays so under any blur */
static void test_film_blur_keeps_even_light(void **state)
{
    (void)state;
    begin();
    fill_behind(0, 0.7f);
    put_block(20, 20, 90, 70, 0, 0.7f);
    for (double disc_px = 0.5; disc_px < 200.0; disc_px *= 3.0) {
        exposure.disc_px = disc_px;
        exposure.focus_m = 5.0;
        owl_film_develop(&film, &exposure, work, linear);
        for (size_t i = 0; i < 3 * PIXELS; i++)
            check_near("even", (double)linear[i], 0.7, 1e-5);
    }
}

/* cited: a point spreads to the variance of its disc, diameter^2/16 either way; a box between two whole widths may be off by a
   twelfth of a pixel squared for the pixel itself and 0.25 for the straight run between the boxes */
static void test_film_blur_has_the_width_of_its_disc(void **state)
{
    (void)state;
    for (double disc_px = 6.0; disc_px < 40.0; disc_px *= 1.7) {
        begin();
        film.behind[0][3 * MIDDLE] = 1000.0f;
        exposure.disc_px = disc_px / 0.75; /* at 8 m, focused at 2 m */
        owl_film_develop(&film, &exposure, work, linear);
        double sum = sum_of(linear), square = 0.0;
        for (size_t i = 0; i < PIXELS; i++) {
            double x = (double)(i % WIDTH) - WIDTH / 2;
            square += (double)linear[3 * i] * x * x;
        }
        check_near("all light is kept", sum, 1000.0, 0.01);
        check_cited("disc-variance", "variance px2", square / sum, disc_px * disc_px / 16.0, 1.0 / 12.0 + 0.25);
    }
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

/* cited: mid grey is code 118 of 255, what ISO 12232 takes for the mid tone; points of the sRGB curve */
static void test_tone_follows_srgb(void **state)
{
    (void)state;
    check_cited("iso12232", "mid tone of 255", owl_tone_code(1.0) * 255.0, 118.0, 0.5);
    const double shown[] = {0.001, 0.0031308, 0.01, 0.05, 0.2, 0.4, 0.5};
    const double code[] = {0.01292, 0.04045, 0.09985, 0.24780, 0.48453, 0.66519, 0.73536};
    for (size_t i = 0; i < sizeof shown / sizeof *shown; i++)
        check_cited("iec61966", "code", owl_tone_code(shown[i] / 0.18), code[i], 1e-5);
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
    double below = (owl_tone_code(knee) - owl_tone_code(knee - h)) / h, above = (owl_tone_code(knee + h) - owl_tone_code(knee)) / h;
    check_near("no corner", above / below, 1.0, 1e-4);
    assert_true(owl_tone_code(OWL_TONE_CLIP) == 1.0 && owl_tone_code(1e9) == 1.0 && owl_tone_code(INFINITY) == 1.0);
    assert_true(owl_tone_code(0.0) == 0.0 && owl_tone_code(-3.0) == 0.0 && owl_tone_code(NAN) == 0.0);
}

/* identity: bytes are the code of their light, rounded; the table may be a quarter of one off, so one at most where it rounds */
static void test_tone_bytes_are_codes(void **state)
{
    (void)state;
    float light[4000];
    uint8_t byte[4000];
    for (int i = 0; i < 4000; i++)
        light[i] = (float)(i * i) * 6e-7f;
    owl_tone_bytes(light, 4000, byte);
    for (int i = 0; i < 4000; i++) {
        check_near("byte", byte[i], owl_tone_code((double)light[i]) * 255.0, 0.76);
        assert_true(i == 0 || byte[i] >= byte[i - 1]);
    }
    const float odd[] = {NAN, -1.0f, 0.0f, INFINITY, 7.8f, 1e-30f};
    const uint8_t want[] = {0, 0, 0, 255, 255, 0};
    owl_tone_bytes(odd, 6, byte);
    assert_memory_equal(byte, want, 6);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_film_adds_lights_up), cmocka_unit_test(test_film_single_lights_sum_to_joint),
        cmocka_unit_test(test_film_smear_goes_one_way), cmocka_unit_test(test_film_ghost_lets_through),
        cmocka_unit_test(test_film_blur_keeps_even_light), cmocka_unit_test(test_film_blur_has_the_width_of_its_disc),
        cmocka_unit_test(test_film_blur_does_not_bleed), cmocka_unit_test(test_film_focus_at_infinity),
        cmocka_unit_test(test_film_of_one_pixel), cmocka_unit_test(test_tone_follows_srgb),
        cmocka_unit_test(test_tone_rises_and_turns_back), cmocka_unit_test(test_tone_bytes_are_codes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
