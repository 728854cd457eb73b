/* The made-up cards of the tests: the same wish makes the same bytes, and the truth tells what the pixels show. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include <libexif/exif-data.h>

#include "support/check.h"
#include "support/made_card.h"
#include "support/made_studio.h"

#define FRAMES 24
#define WIDTH 150
#define HEIGHT 100
#define PIXELS (WIDTH * HEIGHT)

static const char plan_text[] =
    "[site]\nname = by the brook\nlatitude = 57.1 N\nlongitude = 4.5 W\n[watch]\nstart = 2027-01-09\nnights = 10\n"
    "[subject]\nkind = pine marten\n[stage]\ntravel = both ways\nbackdrop distance = 1.8 m\n"
    "[camera]\nplace = 2.4 m before, 70 cm up\niso = 800\naperture = f/8\nshutter = 1/160 s\nx-sync = 1/200 s\n"
    "[lens]\nfocal length = 50 mm\n[sensor]\nlight gate = night\ngate level = 0.5 lx\n"
    "[flash key]\nplace = 1.2 m left, 1.4 m before, 1.9 m up\nguide number = 28 m\npower = 1/8\n"
    "[flash fill]\nplace = 1.4 m right, 1.8 m before, 1.2 m up\nguide number = 28 m\npower = 1/16\n";

static char room[512], plan_path[600];
static struct owl_plan plan;
static struct made_card_trouble trouble;

static int make_room(void **state)
{
    (void)state;
    const char *temporary = getenv("TMPDIR");
    snprintf(room, sizeof room, "%s/made-card-XXXXXX", temporary ? temporary : "/tmp");
    if (!mkdtemp(room))
        return -1;
    snprintf(plan_path, sizeof plan_path, "%s/field.plan", room);
    FILE *file = fopen(plan_path, "w");
    if (!file || fputs(plan_text, file) < 0 || fclose(file) != 0)
        return -1;
    if (made_card_plan(plan_path, &plan, &trouble) == OWL_OK)
        return 0;
    print_error("%s\n", trouble.words);
    return -1;
}

static const char *in_room(const char *name)
{
    static char path[2][700];
    static int turn;
    turn = !turn;
    snprintf(path[turn], sizeof path[turn], "%s/%s", room, name);
    return path[turn];
}

static void clear_card(const char *name)
{
    char path[800];
    for (int i = 1; i <= FRAMES; i++) {
        snprintf(path, sizeof path, "%s/IMG_%04d.JPG", in_room(name), i);
        (void)unlink(path);
    }
    (void)rmdir(in_room(name));
    snprintf(path, sizeof path, "%s.csv", in_room(name));
    (void)unlink(path);
}

static int clear_room(void **state)
{
    (void)state;
    (void)unlink(plan_path);
    return rmdir(room);
}

static struct made_card_wish wish_of(uint64_t seed)
{
    struct made_card_wish wish = made_card_usual(plan_path, seed, FRAMES);
    wish.width = WIDTH;
    wish.height = HEIGHT;
    wish.blades = 30;
    return wish;
}

static void make(const struct made_card_wish *wish, const char *name, struct made_frame *frames)
{
    char truth[800];
    snprintf(truth, sizeof truth, "%s.csv", in_room(name));
    enum owl_status status = made_card(wish, in_room(name), truth, frames, &trouble);
    if (status != OWL_OK)
        print_error("%s\n", trouble.words);
    assert_int_equal(status, OWL_OK);
}

static uint8_t *read_file(const char *path, size_t *length)
{
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    uint8_t *bytes = malloc(1 << 20);
    assert_non_null(bytes);
    *length = fread(bytes, 1, 1 << 20, file);
    fclose(file);
    return bytes;
}

static bool same_bytes(const char *one, const char *other)
{
    size_t length[2];
    uint8_t *bytes[2] = {read_file(one, &length[0]), read_file(other, &length[1])};
    bool same = length[0] == length[1] && memcmp(bytes[0], bytes[1], length[0]) == 0;
    free(bytes[0]);
    free(bytes[1]);
    return same;
}

/* ---- whole cards ---- */

/* identity: a seed is a card, byte for byte, truth and all; another seed is another card */
static void test_made_card_follows_from_the_seed(void **state)
{
    (void)state;
    struct made_card_wish wish = wish_of(7), other = wish_of(8);
    int differ = 0;
    make(&wish, "one", NULL);
    make(&wish, "two", NULL);
    make(&other, "three", NULL);
    for (int i = 1; i <= FRAMES; i++) {
        char one[800], two[800], three[800];
        snprintf(one, sizeof one, "%s/one/IMG_%04d.JPG", room, i);
        snprintf(two, sizeof two, "%s/two/IMG_%04d.JPG", room, i);
        snprintf(three, sizeof three, "%s/three/IMG_%04d.JPG", room, i);
        assert_true(same_bytes(one, two));
        differ += !same_bytes(one, three);
    }
    assert_int_equal(differ, FRAMES);
    assert_true(same_bytes(in_room("one.csv"), in_room("two.csv")));
    clear_card("one");
    clear_card("two");
    clear_card("three");
}

static int lines_of(const char *path)
{
    size_t length;
    char *bytes = (char *)read_file(path, &length);
    int lines = 0;
    for (size_t i = 0; i < length; i++)
        lines += bytes[i] == '\n';
    free(bytes);
    return lines;
}

/* identity: the file says the same time as the truth, by a clock an hour ahead; boxes grow with the file */
static void test_made_card_files_agree_with_the_truth(void **state)
{
    (void)state;
    struct made_frame frames[FRAMES], large[FRAMES];
    struct made_card_wish wish = wish_of(3);
    make(&wish, "small", frames);
    wish.file_width = 2 * WIDTH;
    make(&wish, "large", large);
    assert_int_equal(lines_of(in_room("small.csv")), FRAMES + 1);
    for (int i = 0; i < FRAMES; i++) {
        char path[800], words[32];
        snprintf(path, sizeof path, "%s/large/IMG_%04d.JPG", room, i + 1);
        ExifData *notes = exif_data_new_from_file(path);
        ExifEntry *taken = exif_content_get_entry(notes->ifd[EXIF_IFD_EXIF], EXIF_TAG_DATE_TIME_ORIGINAL);
        ExifEntry *width = exif_content_get_entry(notes->ifd[EXIF_IFD_EXIF], EXIF_TAG_PIXEL_X_DIMENSION);
        time_t clock = (time_t)floor(frames[i].taken_unix_s) + 3600;
        strftime(words, sizeof words, "%Y:%m:%d %H:%M:%S", gmtime(&clock));
        assert_string_equal((const char *)taken->data, words);
        assert_int_equal(exif_get_long(width->data, exif_data_get_byte_order(notes)), 2 * WIDTH);
        exif_data_unref(notes);
        assert_int_equal(large[i].left, 2 * frames[i].left);
        assert_int_equal(large[i].bottom, 2 * frames[i].bottom);
    }
    clear_card("small");
    clear_card("large");
}

/* fault: what cannot be wished, read or written is told and stops */
static void test_made_card_refuses(void **state)
{
    (void)state;
    struct made_card_wish wish = wish_of(1);
    wish.frames = 0;
    assert_int_equal(made_card(&wish, in_room("none"), NULL, NULL, &trouble), OWL_BAD_USE);
    wish = wish_of(1);
    wish.share[MADE_FOG] = NAN;
    assert_int_equal(made_card(&wish, in_room("none"), NULL, NULL, &trouble), OWL_BAD_USE);
    wish = wish_of(1);
    wish.plan_path = in_room("missing.plan");
    assert_int_equal(made_card(&wish, in_room("none"), NULL, NULL, &trouble), OWL_CANNOT_READ);
    wish = wish_of(1);
    assert_int_equal(made_card(&wish, in_room("no/where"), NULL, NULL, &trouble), OWL_CANNOT_WRITE);
    assert_non_null(strstr(trouble.words, "no/where"));
}

/* ---- what happens ---- */

static struct made_frame many[600];

static struct made_card_wish wish_of_many(uint64_t seed)
{
    struct made_card_wish wish = wish_of(seed);
    wish.frames = 600;
    assert_int_equal(made_schedule(&wish, &plan, many), OWL_OK);
    return wish;
}

/* identity: in the dark, in order, in visits of 2 to 7 frames within a minute, and as many as wished */
static void test_made_schedule_times(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 20; seed++) {
        struct made_card_wish wish = wish_of_many(seed);
        int visited = 0, run = 1;
        for (int i = 0; i < wish.frames; i++) {
            bool same = i > 0 && many[i].visit > 0 && many[i].visit == many[i - 1].visit;
            visited += many[i].visit > 0;
            assert_true(many[i].ambient_lx < 1.0); /* a gate of 0.5 lx and an event's few minutes */
            assert_true(i == 0 || many[i].taken_unix_s > many[i - 1].taken_unix_s);
            if (i > 0 && many[i - 1].visit > 0 && !same)
                assert_in_range(run, 2, 7);
            run = same ? run + 1 : 1;
            if (same)
                assert_true(many[i].taken_unix_s - many[i - (run - 1)].taken_unix_s < 60.0);
        }
        assert_int_equal(visited, 200);
    }
}

/* identity: each fault as often as wished, on frames that can have it; weather in runs */
static void test_made_schedule_faults(void **state)
{
    (void)state;
    struct made_card_wish wish = wish_of_many(5);
    int count[MADE_FAULTS] = {0}, fog_edges = 0;
    for (int i = 0; i < wish.frames; i++) {
        count[many[i].fault]++;
        bool animal = many[i].fault == MADE_BLURRED || many[i].fault == MADE_GHOST || many[i].fault == MADE_CUT_OFF;
        assert_true(!animal || many[i].visit > 0);
        assert_int_equal(many[i].flash >= 0, many[i].fault == MADE_ONE_FLASH_FAILED);
        assert_true(many[i].flash < 2);
        fog_edges += i > 0 && (many[i].fault == MADE_FOG) != (many[i - 1].fault == MADE_FOG);
    }
    assert_int_equal(count[MADE_ONE_FLASH_FAILED], 24);
    assert_int_equal(count[MADE_ALL_FLASHES_FAILED], 24);
    assert_int_equal(count[MADE_OVER_EXPOSED], 18);
    assert_int_equal(count[MADE_BLURRED], 16);
    assert_int_equal(count[MADE_GHOST], 10);
    assert_int_equal(count[MADE_CUT_OFF], 16);
    assert_int_equal(count[MADE_FOG], 30);
    assert_int_equal(count[MADE_RAIN], 30);
    assert_in_range(fog_edges, 1, 20); /* the run, broken by other faults at the most */
}

/* ---- what the pixels show ---- */

static uint8_t shot[PIXELS * 3], other_shot[PIXELS * 3];

static struct made_card_wish quiet_wish(void)
{
    struct made_card_wish wish = wish_of(2);
    wish.noise = 0.0;
    wish.blades = 0;
    return wish;
}

static struct made_frame plain_frame(void)
{
    return (struct made_frame){.flash = -1, .ambient_lx = 0.01, .shutter_s = 1.0 / 160.0, .strength = 0.6,
                               .moment = {.sense = 1, .step = 0.2, .seed = 2}};
}

static struct made_frame shoot(const struct made_card_wish *wish, struct made_frame frame, uint8_t *pixels)
{
    struct made_studio *studio = made_studio_open(wish, &plan);
    struct made_picture picture;
    assert_non_null(studio);
    assert_int_equal(made_studio_shoot(studio, 1, &frame, &picture), OWL_OK);
    memcpy(pixels, picture.rgb, 3 * PIXELS);
    made_studio_close(studio);
    return frame;
}

static int green(const uint8_t *pixels, int x, int y)
{
    return pixels[3 * (y * WIDTH + x) + 1];
}

static double mean(const uint8_t *pixels)
{
    double sum = 0.0;
    for (int i = 0; i < PIXELS; i++)
        sum += pixels[3 * i + 1];
    return sum / PIXELS;
}

/* Mean difference of the pixels where the second picture lies so far to the right and lower. */
static double difference(int right, int down)
{
    double sum = 0.0;
    int count = 0;
    for (int y = 20; y < HEIGHT - 20; y++)
        for (int x = 20; x < WIDTH - 20; x++, count++)
            sum += abs(green(shot, x, y) - green(other_shot, x + right, y + down));
    return sum / count;
}

/* Mean difference from a pixel to the next. */
static double roughness(const uint8_t *pixels)
{
    double sum = 0.0;
    for (int y = 0; y < HEIGHT; y++)
        for (int x = 1; x < WIDTH; x++)
            sum += abs(green(pixels, x, y) - green(pixels, x - 1, y));
    return sum / PIXELS;
}

/* How many pixels are brighter by more than so many levels in the first. */
static int brighter(int levels)
{
    int count = 0;
    for (int i = 0; i < PIXELS; i++)
        count += shot[3 * i + 1] > other_shot[3 * i + 1] + levels;
    return count;
}

static int darkest_hundredth(const uint8_t *pixels)
{
    int level[256] = {0}, below = 0, at = 0;
    for (int i = 0; i < PIXELS; i++)
        level[pixels[3 * i + 1]]++;
    while (at < 255 && (below += level[at]) < PIXELS / 100)
        at++;
    return at;
}

/* identity: inside its box the picture differs from the same scene without the animal, outside only by its shadow */
static void test_made_studio_box_holds_the_animal(void **state)
{
    (void)state;
    struct made_card_wish wish = quiet_wish();
    struct made_frame frame = shoot(&wish, plain_frame(), shot), empty = plain_frame();
    empty.moment.absent = true;
    empty = shoot(&wish, empty, other_shot);
    assert_true(frame.subject);
    assert_false(empty.subject);
    assert_in_range(frame.left, 1, frame.right - 10);
    assert_in_range(frame.right, frame.left + 10, WIDTH - 1);
    double inside = 0.0, outside = 0.0;
    int in = 0, out = 0;
    for (int y = 0; y < HEIGHT; y++)
        for (int x = 0; x < WIDTH; x++) {
            int differs = abs(green(shot, x, y) - green(other_shot, x, y));
            bool boxed = x >= frame.left && x < frame.right && y >= frame.top && y < frame.bottom;
            *(boxed ? &inside : &outside) += differs;
            *(boxed ? &in : &out) += 1;
        }
    assert_true(inside / in > 4.0 * outside / out);
    assert_true(inside / in > 8.0);
    double box = (double)in / PIXELS;
    assert_true(frame.covered > 0.25 * box && frame.covered < box);
}

/* identity: less light the more flashes fail, more when it is too much */
static void test_made_studio_flashes(void **state)
{
    (void)state;
    struct made_card_wish wish = quiet_wish();
    struct made_frame frame = plain_frame();
    double level[5];
    shoot(&wish, frame, shot);
    level[0] = mean(shot);
    for (int flash = 0; flash < 2; flash++) {
        frame.fault = MADE_ONE_FLASH_FAILED;
        frame.flash = flash;
        shoot(&wish, frame, shot);
        level[1 + flash] = mean(shot);
    }
    frame.flash = -1;
    frame.fault = MADE_ALL_FLASHES_FAILED;
    shoot(&wish, frame, shot);
    level[3] = mean(shot);
    frame.fault = MADE_OVER_EXPOSED;
    shoot(&wish, frame, shot);
    level[4] = mean(shot);
    assert_true(level[1] < 0.9 * level[0] && level[2] < 0.97 * level[0]);
    assert_true(level[3] < 0.3 * fmin(level[1], level[2]));
    assert_true(level[4] > 1.5 * level[0]);
}

/* identity: after a knock the scene lies where the truth says, and nowhere else */
static void test_made_studio_knock_shifts(void **state)
{
    (void)state;
    struct made_card_wish wish = quiet_wish();
    struct made_frame frame = plain_frame();
    frame.moment.absent = true;
    shoot(&wish, frame, shot);
    frame.shift_x_px = 9.0;
    frame.shift_y_px = -5.0;
    shoot(&wish, frame, other_shot);
    double there = difference(9, -5);
    assert_true(there < 0.5 * difference(0, 0));
    for (int right = 6; right <= 12; right += 3)
        for (int down = -8; down <= -2; down += 3)
            assert_true((right == 9 && down == -5) || there < difference(right, down));
}

/* identity: fog lifts the blacks and softens; rain adds light in thin streaks and takes none away */
static void test_made_studio_weather(void **state)
{
    (void)state;
    struct made_card_wish wish = quiet_wish();
    struct made_frame frame = plain_frame();
    shoot(&wish, frame, other_shot);
    frame.fault = MADE_FOG;
    shoot(&wish, frame, shot);
    assert_true(darkest_hundredth(shot) > darkest_hundredth(other_shot) + 8);
    assert_true(roughness(shot) < 0.7 * roughness(other_shot));
    frame.fault = MADE_RAIN;
    shoot(&wish, frame, shot);
    assert_in_range(brighter(8), PIXELS / 300, PIXELS / 5);
    for (int i = 0; i < 3 * PIXELS; i++)
        assert_true(shot[i] >= other_shot[i]);
}

/* identity: a blurred animal is less rough inside its box, a ghost lets in ambient light, what is cut off meets the edge */
static void test_made_studio_animal_faults(void **state)
{
    (void)state;
    struct made_card_wish wish = quiet_wish();
    struct made_frame frame = plain_frame();
    shoot(&wish, frame, other_shot);
    frame.fault = MADE_BLURRED;
    shoot(&wish, frame, shot);
    assert_true(roughness(shot) < roughness(other_shot));
    assert_true(difference(0, 0) > 0.2);
    frame.fault = MADE_GHOST;
    struct made_frame ghost = shoot(&wish, frame, shot);
    assert_true(ghost.shutter_s > 0.1 && ghost.ambient_lx > frame.ambient_lx);
    assert_true(mean(shot) > 1.1 * mean(other_shot));
    wish = wish_of_many(11);
    int cut = 0;
    for (int i = 0; i < wish.frames && cut < 6; i++)
        if (many[i].fault == MADE_CUT_OFF) {
            struct made_frame shown = shoot(&wish, many[i], shot);
            assert_true(!shown.subject || shown.left == 0 || shown.right == WIDTH);
            cut++;
        }
    assert_int_equal(cut, 6);
}

/* identity: grass sways with the wind and with nothing else; noise is there when wished */
static void test_made_studio_wind_and_noise(void **state)
{
    (void)state;
    struct made_card_wish wish = quiet_wish();
    struct made_frame frame = plain_frame();
    wish.blades = 60;
    frame.moment.absent = true;
    frame.wind = -0.4;
    shoot(&wish, frame, shot);
    shoot(&wish, frame, other_shot);
    assert_memory_equal(shot, other_shot, sizeof shot);
    frame.wind = 0.4;
    shoot(&wish, frame, other_shot);
    assert_true(difference(0, 0) > 0.5);
    frame.wind = -0.4;
    wish.noise = 1.0;
    shoot(&wish, frame, other_shot);
    double one = difference(0, 0);
    wish.noise = 8.0;
    shoot(&wish, frame, other_shot);
    assert_true(difference(0, 0) > 2.0 * one);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_made_card_follows_from_the_seed),
        cmocka_unit_test(test_made_card_files_agree_with_the_truth),
        cmocka_unit_test(test_made_card_refuses),
        cmocka_unit_test(test_made_schedule_times),
        cmocka_unit_test(test_made_schedule_faults),
        cmocka_unit_test(test_made_studio_box_holds_the_animal),
        cmocka_unit_test(test_made_studio_flashes),
        cmocka_unit_test(test_made_studio_knock_shifts),
        cmocka_unit_test(test_made_studio_weather),
        cmocka_unit_test(test_made_studio_animal_faults),
        cmocka_unit_test(test_made_studio_wind_and_noise),
    };
    return cmocka_run_group_tests(tests, make_room, clear_room);
}
