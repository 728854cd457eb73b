/* The health of made-up cards: faults put in are found, with the right numbers and dates; a healthy card has none. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "card/health.h"
#include "core/model/rng.h"
#include "support/check.h"

#define DAY_S 86400.0
#define HOUR_S 3600.0
#define FIRST_NOON_S 1799236800.0 /* 2027-01-06T12:00 [posix] */
#define FRAMES_MOST 1200
#define NIGHTS 14
#define SCALE 16                  /* whole pictures of 6144 px, small ones of 384 */
#define HEALTHY_CARDS 200

static struct owl_judged_frame frame_room[FRAMES_MOST];
static struct owl_judged card;
static struct owl_health health;
static char words[1024];

/* ---- made-up cards ---- */

static struct owl_judged_frame plain_frame(double taken_s)
{
    struct owl_judged_frame frame = {.name = NULL, .taken_s = taken_s, .exposure_s = 1.0 / 160.0, .f_number = 8.0, .iso = 400.0,
                                     .focal_m = 0.05, .width = 384 * SCALE, .height = 256 * SCALE};
    frame.verdict = (struct owl_frame_verdict){.class = OWL_JUDGE_EMPTY, .flash = OWL_FLASH_FULL, .aligned = true, .gain = 1.0,
                                               .calm = 1.0, .wind = 1.0,
                                               .look = {.mean = 80.0, .detail = 16.0, .light = 1.0, .lopsided = 1.0}};
    return frame;
}

static void empty_card(void)
{
    card = (struct owl_judged){.frame = frame_room, .width = 384, .height = 256, .flashes = 2};
}

static struct owl_frame_verdict *add_frame(double taken_s)
{
    card.frame[card.count] = plain_frame(taken_s);
    return &card.frame[card.count++].verdict;
}

/* Light and stand vary from night to night and from frame to frame, as weather and cells make them. */
static void add_event(struct owl_rng *rng, double taken_s, int frames, const double night[4])
{
    bool subject = owl_rng_chance(rng, 0.4);
    for (int i = 0; i < frames; i++) {
        struct owl_frame_verdict *verdict = add_frame(taken_s + 3.0 * i);
        verdict->class = subject ? OWL_JUDGE_SUBJECT : OWL_JUDGE_EMPTY;
        verdict->look.mean *= exp2((0.1 * owl_rng_normal(rng) + night[0]) / 2.2);
        verdict->look.lopsided = exp2(0.05 * owl_rng_normal(rng));
        verdict->look.detail = 0.2 * verdict->look.mean * (1.0 + 0.03 * owl_rng_normal(rng));
        verdict->pose = (struct owl_pose){0.2 * owl_rng_normal(rng) + night[1], 0.2 * owl_rng_normal(rng) + night[2],
                                          5e-4 * owl_rng_normal(rng) + night[3]};
        verdict->wind = owl_rng_log_normal(rng, 1.0, 0.3);
        if (owl_rng_chance(rng, 0.01))
            verdict->flash = OWL_FLASH_ONE_MISSING;
    }
}

/* About `frames` frames in NIGHTS nights, single or in threes, at all hours. */
static void healthy_card(uint64_t stream, int frames)
{
    struct owl_rng rng = owl_rng_start(2027, stream);
    double rate_s = frames / 2.0 / (NIGHTS * DAY_S), night[4] = {0}, now = -1.0;
    empty_card();
    for (double at_s = 0.0; card.count < FRAMES_MOST - 3;) {
        at_s += owl_rng_exponential(&rng, rate_s);
        if (at_s >= NIGHTS * DAY_S)
            break;
        if (floor(at_s / DAY_S) != now) {
            now = floor(at_s / DAY_S);
            for (int i = 0; i < 4; i++)
                night[i] = (i == 3 ? 5e-4 : 0.1) * owl_rng_normal(&rng);
        }
        add_event(&rng, FIRST_NOON_S + at_s, owl_rng_chance(&rng, 0.5) ? 3 : 1, night);
    }
}

static double nights_in(const struct owl_judged_frame *frame)
{
    return (frame->taken_s - FIRST_NOON_S) / DAY_S;
}

static int by_time(const void *one, const void *other)
{
    double a = ((const struct owl_judged_frame *)one)->taken_s, b = ((const struct owl_judged_frame *)other)->taken_s;
    return (a > b) - (a < b);
}

static void put_in_order(void)
{
    qsort(card.frame, (size_t)card.count, sizeof *card.frame, by_time);
}

/* ---- looking ---- */

static const char *told(const struct owl_health_finding *finding)
{
    struct owl_text text = owl_text_over(words, sizeof words);
    owl_health_tell(finding, &text);
    assert_false(text.cut);
    return words;
}

static void show_findings(void)
{
    for (int i = 0; getenv("OWL_SHOW") && i < health.findings; i++)
        print_message("%d %g %s\n", (int)health.finding[i].severity, health.finding[i].p, told(&health.finding[i]));
}

static void examine_until(double until_s)
{
    struct owl_health_wish wish = owl_health_wish_none();
    wish.until_s = until_s;
    assert_int_equal(owl_health_examine(&card, &wish, &health), OWL_OK);
    show_findings();
}

static void examine(void)
{
    examine_until(NAN);
}

static const struct owl_health_finding *found(enum owl_health_kind kind)
{
    for (int i = 0; i < health.findings; i++)
        if (health.finding[i].kind == kind)
            return &health.finding[i];
    return NULL;
}

static const struct owl_health_finding *must_find(enum owl_health_kind kind)
{
    const struct owl_health_finding *finding = found(kind);
    assert_non_null(finding);
    return finding;
}

static void assert_told(const struct owl_health_finding *finding, const char *part)
{
    if (!strstr(told(finding), part))
        fail_msg("'%s' lacks '%s'", words, part);
}

static void assert_inside(const struct owl_health_finding *finding, double truth)
{
    if (!(finding->low <= truth && truth <= finding->high && finding->low <= finding->value && finding->value <= finding->high))
        fail_msg("%g not in %g..%g, or not about %g", truth, finding->low, finding->high, finding->value);
}

/* ---- healthy cards ---- */

static bool alarm(enum owl_health_kind from, enum owl_health_kind to)
{
    bool any = false;
    for (int i = 0; i < health.findings; i++)
        any = any || (health.finding[i].kind >= from && health.finding[i].kind <= to
                      && health.finding[i].severity > OWL_HEALTH_FACT && health.finding[i].kind != OWL_HEALTH_MISFIRES);
    return any;
}

/* identity: of 200 healthy cards at most one in twenty gives a false alarm about flashes, recycling, stand or triggers */
static void test_health_of_healthy_cards(void **state)
{
    (void)state;
    int flashes = 0, misfires = 0, stand = 0, triggers = 0, silence = 0, focus = 0;
    for (uint64_t i = 0; i < HEALTHY_CARDS; i++) {
        healthy_card(i, 300);
        examine_until(FIRST_NOON_S + NIGHTS * DAY_S);
        flashes += alarm(OWL_HEALTH_FLASH_WEAKER, OWL_HEALTH_FLASH_STOPPED);
        misfires += alarm(OWL_HEALTH_MISFIRES_SOON, OWL_HEALTH_MISFIRES_SIDE);
        stand += alarm(OWL_HEALTH_SLIP, OWL_HEALTH_MOVED);
        triggers += alarm(OWL_HEALTH_NIGHT_OF_EMPTIES, OWL_HEALTH_EMPTIES_IN_SUN);
        silence += alarm(OWL_HEALTH_SILENCE_AT_END, OWL_HEALTH_SILENCE);
        focus += alarm(OWL_HEALTH_FOCUS_DRIFT, OWL_HEALTH_FOCUS_DRIFT);
        owl_health_clear(&health);
    }
    print_message("false alarms in %d cards: flashes %d, misfires %d, stand %d, triggers %d, silence %d, focus %d\n",
                  HEALTHY_CARDS, flashes, misfires, stand, triggers, silence, focus);
    assert_true(flashes <= HEALTHY_CARDS / 20 && misfires <= HEALTHY_CARDS / 20);
    assert_true(stand <= HEALTHY_CARDS / 20 && triggers <= HEALTHY_CARDS / 20);
    assert_true(silence <= HEALTHY_CARDS / 20 && focus <= HEALTHY_CARDS / 20);
}

/* identity: every frame is counted once, in its hour and its night */
static void test_health_counts(void **state)
{
    (void)state;
    int hours = 0, nights = 0, subjects = 0, empties = 0;
    healthy_card(7, 300);
    examine();
    for (int i = 0; i < 24; i++)
        hours += health.hour[i].frames;
    for (int i = 0; i < health.nights; i++) {
        nights += health.night[i].frames;
        subjects += health.night[i].subjects;
        empties += health.night[i].empties;
        check_near("a night begins at noon", fmod(health.night[i].noon_s - FIRST_NOON_S, DAY_S), 0.0, 0.0);
    }
    assert_int_equal(hours, card.count);
    assert_int_equal(nights, card.count);
    assert_int_equal(subjects + empties, card.count);
    assert_true(health.nights <= NIGHTS && health.nights > NIGHTS - 3);
    owl_health_clear(&health);
}

/* ---- flashes ---- */

/* identity: light that falls by 0.05 stop a night is found, the truth within the interval, and is not taken for lost focus */
static void test_health_flash_weaker(void **state)
{
    (void)state;
    int inside = 0;
    for (uint64_t stream = 300; stream < 320; stream++) {
        healthy_card(stream, 400);
        for (int i = 0; i < card.count; i++) {
            double darker = exp2(-0.05 * nights_in(&card.frame[i]) / 2.2);
            card.frame[i].verdict.look.mean *= darker;
            card.frame[i].verdict.look.detail *= darker;
        }
        examine();
        assert_null(found(OWL_HEALTH_FOCUS_DRIFT));
        const struct owl_health_finding *finding = must_find(OWL_HEALTH_FLASH_WEAKER);
        double truth = -0.05 * finding->second;
        inside += finding->low <= truth && truth <= finding->high;
        check_near("stops", finding->value, truth, 0.4); /* 4 standard errors */
        assert_true(finding->high < 0.0 && finding->count > 300);
        owl_health_clear(&health);
    }
    assert_true(inside >= 17);
}

/* identity: its words */
static void test_health_flash_weaker_words(void **state)
{
    (void)state;
    empty_card();
    for (int i = 0; i <= 100; i++)
        add_frame(FIRST_NOON_S + 10.0 * HOUR_S + i * DAY_S / 10.0)->look.mean *= exp2(-0.006 * i / 2.2);
    examine();
    const struct owl_health_finding *finding = must_find(OWL_HEALTH_FLASH_WEAKER);
    assert_int_equal(finding->severity, OWL_HEALTH_MEND_IT);
    assert_told(finding, "The flash light fell by 0.60 stop (0.60 to 0.60 stop with 95 % confidence) between 6 and 16 January: "
                         "0.06 stop a night and 0.59 stop in a hundred flashes.");
    owl_health_clear(&health);
}

/* identity: settings changed in between are no weaker flash; without times the frames' order serves */
static void test_health_flash_weaker_or_not(void **state)
{
    (void)state;
    healthy_card(1, 400);
    for (int i = 0; i < card.count / 3; i++) {
        card.frame[i].f_number = 5.6;
        card.frame[i].verdict.look.mean *= exp2(1.0 / 2.2);
    }
    examine();
    assert_null(found(OWL_HEALTH_FLASH_WEAKER));
    assert_told(must_find(OWL_HEALTH_APERTURE), "The aperture changed from f/5.6 to f/8 on ");
    owl_health_clear(&health);
    healthy_card(2, 300);
    for (int i = 0; i < card.count; i++) {
        card.frame[i].verdict.look.mean *= exp2(-0.002 * i / 2.2);
        card.frame[i].taken_s = NAN;
    }
    examine();
    const struct owl_health_finding *finding = must_find(OWL_HEALTH_FLASH_WEAKER);
    assert_inside(finding, -0.002 * (card.count - 1));
    assert_true(isnan(finding->from_s) && isnan(finding->second));
    assert_told(finding, "stop in a hundred flashes.");
    assert_int_equal(must_find(OWL_HEALTH_CLOCK_MISSING)->count, card.count);
    owl_health_clear(&health);
}

/* identity: on a short card the weaker side is named */
static void test_health_flash_side(void **state)
{
    (void)state;
    empty_card();
    for (int i = 0; i < 50; i++)
        add_frame(FIRST_NOON_S + i * DAY_S / 5.0)->look.lopsided = exp2(0.01 * (25 - i));
    examine();
    const struct owl_health_finding *finding = must_find(OWL_HEALTH_FLASH_SIDE_WEAKER);
    assert_told(finding, "The light on the left half fell, against the right half, by 0.4");
    card.flashes = 1;
    owl_health_clear(&health);
    examine();
    assert_null(found(OWL_HEALTH_FLASH_SIDE_WEAKER));
    owl_health_clear(&health);
}

/* identity: flashes that died, dated; and flashes that never fired */
static void test_health_flash_stopped(void **state)
{
    (void)state;
    empty_card();
    for (int i = 0; i < 40; i++)
        add_frame(FIRST_NOON_S + i * 6.0 * HOUR_S)->flash = i < 30 ? OWL_FLASH_FULL : OWL_FLASH_NONE;
    examine();
    const struct owl_health_finding *finding = must_find(OWL_HEALTH_FLASH_STOPPED);
    check_near("first of them", finding->from_s, FIRST_NOON_S + 180.0 * HOUR_S, 0.0);
    check_near("1 of 40 over 10", log(finding->p), -log(847660528.0), 1e-9);
    assert_told(finding, "In the last 10 frames with flash, some or all of its light was missing, from 14 January 00:00 on.");
    owl_health_clear(&health);
    for (int i = 0; i < 40; i++)
        card.frame[i].verdict.flash = OWL_FLASH_NONE;
    examine();
    assert_told(must_find(OWL_HEALTH_FLASH_STOPPED), "In all 40 frames with flash");
    owl_health_clear(&health);
}

/* A flash that wants 3.5 s: of 14 frames sooner than that 9 miss, of 120 later ones 1. */
static void recycling_card(void)
{
    double at_s = FIRST_NOON_S;
    empty_card();
    (void)add_frame(at_s);
    for (int i = 0; i < 134; i++) {
        bool soon = i % 9 == 0 && i < 126;
        at_s += soon ? 3.5 : i % 2 ? 7.0 + i : 5000.0;
        struct owl_frame_verdict *verdict = add_frame(at_s);
        if ((soon && i < 81) || i == 100)
            verdict->flash = i % 2 ? OWL_FLASH_ONE_MISSING : OWL_FLASH_NONE;
    }
}

/* identity: the right split, its counts, chance and advice */
static void test_health_misfires_soon(void **state)
{
    (void)state;
    recycling_card();
    examine();
    const struct owl_health_finding *finding = must_find(OWL_HEALTH_MISFIRES_SOON);
    check_near("within", finding->second, 4.0, 0.0);
    check_near("advised", finding->advised, 6.0, 0.0);
    check_cited_relative("fisher1922", "9/14 against 1/120", finding->p, 6.615842770584151e-10, 1e-11);
    assert_told(finding, "Frames within 4 s of the one before missed a flash in 9 of 14, 64 % (38.8 to 83.7 % with 95 % "
                         "confidence); later ones in 1 of 120.");
    struct owl_text text = owl_text_over(words, sizeof words);
    owl_health_advise(finding, &text);
    assert_string_equal(words, "The flashes need longer to charge: leave 6 s between frames, or set them to a lower power.");
    assert_int_equal(must_find(OWL_HEALTH_MISFIRES)->count, 10);
    owl_health_clear(&health);
}

/* identity: the half that is dark when one flash is missing; as often left as right is nothing */
static void test_health_misfires_side(void **state)
{
    (void)state;
    for (int both = 0; both < 2; both++) {
        healthy_card(5, 300);
        for (int i = 0; i < 12; i++) {
            card.frame[10 * i].verdict.flash = OWL_FLASH_ONE_MISSING;
            card.frame[10 * i].verdict.look.lopsided = both && i % 2 ? 0.5 : 2.0;
        }
        examine();
        if (both)
            assert_null(found(OWL_HEALTH_MISFIRES_SIDE));
        else
            assert_told(must_find(OWL_HEALTH_MISFIRES_SIDE), "the right half of the picture was the darker in 12 of 12 frames.");
        owl_health_clear(&health);
    }
}

/* ---- sight ---- */

/* identity: three nights with fog before dawn: each run with its times, and what they have in common */
static void test_health_fog(void **state)
{
    (void)state;
    empty_card();
    for (int i = 0; i < 480; i++) {
        double hour = (i % 48) * 0.5;
        bool fogged = i / 48 >= 3 && i / 48 < 6 && hour >= 16.0 && hour <= 18.0; /* 04:00 to 06:00 */
        add_frame(FIRST_NOON_S + i * HOUR_S / 2.0)->fogged = fogged;
    }
    examine();
    assert_told(must_find(OWL_HEALTH_FOG), "5 of 5 frames in a row were fogged, from 10 January 04:00 to 10 January 06:00.");
    assert_told(must_find(OWL_HEALTH_FOG_HOURS), "3 of 3 spells of fog fell between 02:00 and 08:00");
    int runs = 0;
    for (int i = 0; i < health.findings; i++)
        runs += health.finding[i].kind == OWL_HEALTH_FOG;
    assert_int_equal(runs, 3);
    owl_health_clear(&health);
    struct owl_health_wish wish = {NAN, NAN, 2.0 * HOUR_S};
    assert_int_equal(owl_health_examine(&card, &wish, &health), OWL_OK);
    assert_null(found(OWL_HEALTH_FOG_HOURS)); /* dawn at 2: the fog comes after it */
    owl_health_clear(&health);
}

/* identity: counts with their shares, focus that drifts */
static void test_health_sight(void **state)
{
    (void)state;
    healthy_card(9, 300);
    for (int i = 0; i < card.count; i++) {
        card.frame[i].verdict.over_exposed = i % 10 == 0;
        card.frame[i].verdict.look.detail *= 1.0 - 0.02 * nights_in(&card.frame[i]);
    }
    card.frame[3].width = 0;
    card.frame[3].verdict.group = -1;
    card.frame[4].verdict.out_of_focus = true;
    examine();
    assert_int_equal(must_find(OWL_HEALTH_DAMAGED)->count, 1);
    assert_int_equal(must_find(OWL_HEALTH_OVER_EXPOSED)->severity, OWL_HEALTH_WATCH_IT);
    assert_int_equal(must_find(OWL_HEALTH_OUT_OF_FOCUS)->severity, OWL_HEALTH_FACT);
    check_near("detail lost", must_find(OWL_HEALTH_FOCUS_DRIFT)->value, -0.27, 0.05);
    assert_told(must_find(OWL_HEALTH_FOCUS_DRIFT), "Fine detail fell by 2");
    owl_health_clear(&health);
}

/* ---- stand ---- */

/* identity: a slip of 0.3 small px a night to the right, a turn, each with the truth inside the interval */
static void test_health_slip(void **state)
{
    (void)state;
    healthy_card(11, 300);
    for (int i = 0; i < card.count; i++) {
        card.frame[i].verdict.pose.right_px += 0.3 * nights_in(&card.frame[i]);
        card.frame[i].verdict.pose.turn_rad -= 0.001 * nights_in(&card.frame[i]);
    }
    examine();
    const struct owl_health_finding *slid = must_find(OWL_HEALTH_SLIP), *turned = NULL;
    for (int i = 0; i < health.findings; i++)
        if (health.finding[i].kind == OWL_HEALTH_SLIP && health.finding[i].axis == 2)
            turned = &health.finding[i];
    double nights = nights_in(&card.frame[card.count - 1]) - nights_in(&card.frame[0]);
    assert_int_equal(slid->axis, 0);
    check_near("slip", slid->value, 0.3 * nights * SCALE, 0.15 * 0.3 * nights * SCALE);
    assert_told(slid, "The picture slowly slid to the right by ");
    assert_non_null(turned);
    check_near("turn", turned->second, -0.001 * nights * 57.29578, 0.15);
    assert_told(turned, "The picture slowly turned counter-clockwise by ");
    owl_health_clear(&health);
}

/* identity: a knock with its date and size, and no slip on either side of it */
static void test_health_moved(void **state)
{
    (void)state;
    healthy_card(12, 300);
    for (int i = 150; i < card.count; i++) {
        card.frame[i].verdict.pose.right_px += 3.0;
        card.frame[i].verdict.pose.down_px -= 4.0;
        card.frame[i].verdict.segment = 1;
    }
    card.frame[150].verdict.moved = true;
    examine();
    const struct owl_health_finding *finding = must_find(OWL_HEALTH_MOVED);
    check_near("moved", finding->value, 5.0 * SCALE, 0.6 * SCALE);
    check_near("not before", finding->from_s, card.frame[149].taken_s, 0.0);
    check_near("not after", finding->to_s, card.frame[150].taken_s, 0.0);
    assert_int_equal(finding->severity, OWL_HEALTH_MEND_IT);
    assert_null(found(OWL_HEALTH_SLIP));
    owl_health_clear(&health);
}

/* ---- triggers ---- */

/* identity: the one bad night is named */
static void test_health_night_of_empties(void **state)
{
    (void)state;
    healthy_card(13, 300);
    for (int i = 0; i < 90; i++)
        (void)add_frame(FIRST_NOON_S + 6.0 * DAY_S + i * 700.0);
    put_in_order();
    examine();
    const struct owl_health_finding *finding = must_find(OWL_HEALTH_NIGHT_OF_EMPTIES);
    check_near("its noon", finding->from_s, FIRST_NOON_S + 6.0 * DAY_S, 0.0);
    assert_true(finding->count >= 90 && finding->second < 25.0);
    assert_told(finding, "The night from 12 January to 13 January brought ");
    owl_health_clear(&health);
}

/* identity: windy empties; calm ones say nothing */
static void test_health_wind(void **state)
{
    (void)state;
    for (int windy = 0; windy < 2; windy++) {
        healthy_card(14, 300);
        for (int i = 0; i < card.count; i++)
            if (card.frame[i].verdict.class == OWL_JUDGE_EMPTY)
                card.frame[i].verdict.wind *= windy ? 1.6 : 0.8;
        examine();
        if (windy)
            assert_told(must_find(OWL_HEALTH_EMPTIES_IN_WIND), "Empty frames come in wind");
        else
            assert_null(found(OWL_HEALTH_EMPTIES_IN_WIND));
        owl_health_clear(&health);
    }
}

/* identity: empties at noon on all days are the sun's; with as many subjects they are not */
static void test_health_sun(void **state)
{
    (void)state;
    for (int visited = 0; visited < 2; visited++) {
        healthy_card(15, 300);
        for (int i = 0; i < 4 * NIGHTS; i++) {
            (void)add_frame(FIRST_NOON_S + (i / 4) * DAY_S + (i % 4) * 2400.0);
            if (visited)
                add_frame(FIRST_NOON_S + (i / 4) * DAY_S + (i % 4) * 2400.0 + 60.0)->class = OWL_JUDGE_SUBJECT;
        }
        put_in_order();
        examine();
        if (visited)
            assert_null(found(OWL_HEALTH_EMPTIES_IN_SUN));
        else
            assert_told(must_find(OWL_HEALTH_EMPTIES_IN_SUN), " between 11:00 and 15:00");
        assert_null(found(OWL_HEALTH_NIGHT_OF_EMPTIES));
        owl_health_clear(&health);
    }
}

/* identity: silence at the end only where an end is told, and in the middle */
static void test_health_silence(void **state)
{
    (void)state;
    healthy_card(16, 300);
    while (nights_in(&card.frame[card.count - 1]) > 9.0)
        card.count--;
    examine();
    assert_null(found(OWL_HEALTH_SILENCE_AT_END));
    owl_health_clear(&health);
    examine_until(FIRST_NOON_S + NIGHTS * DAY_S);
    const struct owl_health_finding *finding = must_find(OWL_HEALTH_SILENCE_AT_END);
    assert_int_equal(finding->severity, OWL_HEALTH_MEND_IT);
    check_near("since", finding->from_s, card.frame[card.count - 1].taken_s, 0.0);
    assert_told(finding, "though the watch went on for 5");
    owl_health_clear(&health);
    for (int i = 50; i < card.count; i++)
        card.frame[i].taken_s += 5.0 * DAY_S;
    examine();
    finding = must_find(OWL_HEALTH_SILENCE);
    check_near("from", finding->from_s, card.frame[49].taken_s, 0.0);
    assert_told(finding, " until ");
    owl_health_clear(&health);
}

/* ---- clock and settings ---- */

/* identity: a clock that lost its time in the middle; the longer stretch alone is dated */
static void test_health_clock(void **state)
{
    (void)state;
    healthy_card(17, 300);
    for (int i = 200; i < card.count; i++)
        card.frame[i].taken_s += 1577836800.0 - FIRST_NOON_S; /* 2020-01-01T00:00 */
    examine();
    const struct owl_health_finding *finding = must_find(OWL_HEALTH_CLOCK_BACK);
    assert_int_equal(finding->count, 200);
    assert_told(finding, "The camera's clock goes back at frame 201 of the card, from 2027-01-");
    assert_int_equal(health.timed, 200);
    assert_null(found(OWL_HEALTH_SILENCE));
    owl_health_clear(&health);
    for (int i = 0; i < card.count; i++)
        card.frame[i].taken_s = 946684800.0 + i; /* 2000-01-01T00:00 */
    examine();
    assert_told(must_find(OWL_HEALTH_CLOCK_RESET), "wrong from the beginning: the first frame says 2000-01-01 00:00.");
    assert_int_equal(health.timed, 0);
    owl_health_clear(&health);
}

/* identity: one change is dated, many are counted */
static void test_health_settings(void **state)
{
    (void)state;
    healthy_card(18, 300);
    for (int i = 0; i < card.count; i++) {
        card.frame[i].iso = i < 100 ? 400.0 : 1600.0;
        card.frame[i].exposure_s = i % 2 ? 1.0 / 60.0 : 1.0 / 250.0;
    }
    examine();
    const struct owl_health_finding *iso = must_find(OWL_HEALTH_ISO), *exposure = must_find(OWL_HEALTH_EXPOSURE);
    assert_told(iso, "The ISO sensitivity changed from 400 to 1600 on ");
    check_near("its date", iso->from_s, card.frame[100].taken_s, 0.0);
    assert_int_equal(iso->severity, OWL_HEALTH_FACT);
    assert_int_equal(exposure->count, card.count - 1);
    assert_told(exposure, "; all lie between 1/250 s and 1/60 s.");
    assert_null(found(OWL_HEALTH_APERTURE));
    owl_health_clear(&health);
}

/* ---- edges ---- */

/* fault: no frame, one, no times, all damaged, all at one time, nothing told */
static void test_health_edges(void **state)
{
    (void)state;
    empty_card();
    examine_until(FIRST_NOON_S);
    assert_int_equal(health.findings, 0);
    owl_health_clear(&health);
    owl_health_clear(&health);
    (void)add_frame(FIRST_NOON_S);
    examine_until(FIRST_NOON_S + 100.0 * DAY_S);
    assert_int_equal(health.findings, 0);
    assert_int_equal(health.nights, 1);
    owl_health_clear(&health);
    for (int i = 1; i < 300; i++)
        (void)add_frame(FIRST_NOON_S);
    examine();
    assert_int_equal(health.findings, 0);
    owl_health_clear(&health);
    for (int i = 0; i < 300; i++)
        card.frame[i] = (struct owl_judged_frame){.taken_s = NAN, .exposure_s = NAN, .f_number = NAN, .iso = NAN,
                                                  .verdict = {.group = -1}};
    card.width = card.height = 0;
    examine();
    assert_int_equal(health.findings, 2);
    assert_int_equal(must_find(OWL_HEALTH_DAMAGED)->count, 300);
    assert_int_equal(must_find(OWL_HEALTH_CLOCK_MISSING)->count, 300);
    owl_health_clear(&health);
}

/* fault: more findings than there is room for: the gravest stay, in order */
static void test_health_too_many(void **state)
{
    (void)state;
    struct owl_rng rng = owl_rng_start(1, 1);
    healthy_card(20, 900);
    for (int i = 0; i < card.count; i++) {
        struct owl_judged_frame *frame = &card.frame[i];
        frame->verdict.segment = i / 60;
        frame->verdict.moved = i % 60 == 0 && i > 0;
        frame->verdict.pose.right_px += 0.1 * (i % 60);
        frame->verdict.pose.down_px += 0.1 * (i % 60);
        frame->verdict.fogged = i % 50 < 10;
        frame->verdict.over_exposed = frame->verdict.out_of_focus = owl_rng_chance(&rng, 0.2);
        frame->f_number = i % 2 ? 4.0 : 8.0;
        frame->iso = i % 2 ? 100.0 : 800.0;
        frame->exposure_s = i % 2 ? 0.1 : 0.01;
        frame->taken_s += i % 100 == 99 ? -3600.0 : 0.0;
        frame->verdict.flash = i % 3 ? OWL_FLASH_FULL : OWL_FLASH_ONE_MISSING;
        frame->verdict.look.lopsided = 2.0;
    }
    examine_until(FIRST_NOON_S + 100.0 * DAY_S);
    for (int i = 0; i < health.findings; i++) {
        struct owl_text text = owl_text_over(words, sizeof words);
        owl_health_tell(&health.finding[i], &text);
        owl_text_char(&text, ' ');
        owl_health_advise(&health.finding[i], &text);
        owl_text_char(&text, ' ');
        owl_health_working(&health.finding[i], &text);
        assert_false(text.cut);
        assert_null(strstr(words, "nan"));
        assert_null(strstr(words, "inf "));
        assert_true(i == 0 || health.finding[i].severity <= health.finding[i - 1].severity);
        if (getenv("OWL_SHOW"))
            print_message("%d %s\n", (int)health.finding[i].severity, words);
    }
    assert_true(health.findings >= 20 && health.findings <= OWL_HEALTH_FINDINGS);
    owl_health_clear(&health);
}

/* identity: each kind has its words; a number that is none has none */
static void test_health_words_for_all(void **state)
{
    (void)state;
    for (int kind = 0; kind < OWL_HEALTH_KINDS; kind++) {
        struct owl_health_finding finding = {.kind = (enum owl_health_kind)kind, .count = 1, .of = 2, .p = 0.01, .tests = 2};
        assert_true(strlen(owl_health_advice(finding.kind)) > 20);
        assert_true(strlen(told(&finding)) > 10);
        assert_int_equal(words[strlen(words) - 1], '.');
    }
    struct owl_health_finding none = {.kind = OWL_HEALTH_KINDS};
    assert_string_equal(told(&none), "");
    assert_string_equal(owl_health_advice(OWL_HEALTH_KINDS), "");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_health_of_healthy_cards),    cmocka_unit_test(test_health_counts),
        cmocka_unit_test(test_health_flash_weaker),        cmocka_unit_test(test_health_flash_weaker_words),
        cmocka_unit_test(test_health_flash_weaker_or_not), cmocka_unit_test(test_health_flash_side),
        cmocka_unit_test(test_health_flash_stopped),       cmocka_unit_test(test_health_misfires_soon),
        cmocka_unit_test(test_health_misfires_side),       cmocka_unit_test(test_health_fog),
        cmocka_unit_test(test_health_sight),               cmocka_unit_test(test_health_slip),
        cmocka_unit_test(test_health_moved),               cmocka_unit_test(test_health_night_of_empties),
        cmocka_unit_test(test_health_wind),                cmocka_unit_test(test_health_sun),
        cmocka_unit_test(test_health_silence),             cmocka_unit_test(test_health_clock),
        cmocka_unit_test(test_health_settings),            cmocka_unit_test(test_health_edges),
        cmocka_unit_test(test_health_too_many),            cmocka_unit_test(test_health_words_for_all),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
