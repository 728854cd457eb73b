/* Frames to visits: made-up cards with known visits, lost clocks, dark frames, and the edges. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "card/visits.h"
#include "core/model/rng.h"
#include "support/check.h"

#define ROOM 2000
#define NIGHT_S 1795291200.0 /* 2026-11-21T20:00, an evening [posix] */
#define DAY_S 86400.0
#define GAP_S 60.0

#define CUT OWL_FAILED(OWL_LEDGER_CUT)
#define SOFT OWL_FAILED(OWL_LEDGER_SOFT)
#define DIM OWL_FAILED(OWL_LEDGER_DIM)
#define BURNT OWL_FAILED(OWL_LEDGER_BURNT)

static struct owl_judged_frame frames[ROOM];
static struct owl_judged card = {.frame = frames, .width = 384, .height = 256, .flashes = 2};

/* ---- making cards ---- */

/* A frame with all in order. */
static struct owl_frame_verdict *add(double taken_s, enum owl_judge_class class)
{
    struct owl_judged_frame *frame = &frames[card.count++];
    *frame = (struct owl_judged_frame){.taken_s = taken_s, .width = 6000, .height = 4000};
    frame->verdict.class = class;
    frame->verdict.mean = 90.0;
    frame->verdict.flash = OWL_FLASH_FULL;
    if (class == OWL_JUDGE_FLASH_FAILED)
        frame->verdict.flash = OWL_FLASH_NONE;
    if (class == OWL_JUDGE_SUBJECT || class == OWL_JUDGE_LOOK) {
        frame->verdict.boxes = 1;
        frame->verdict.box[0] = (struct owl_judge_box){100, 100, 160, 140, 900.0};
        frame->verdict.score = 900.0;
        frame->verdict.sharpness = 0.4;
    }
    return &frame->verdict;
}

/* s subject, l look, . empty, x flash failed, ? cannot be judged; step_s apart. */
static void add_row(double from_s, double step_s, const char *classes)
{
    static const char letter[] = "?x.ls"; /* as enum owl_judge_class */
    for (int i = 0; classes[i]; i++)
        add(from_s + i * step_s, (enum owl_judge_class)(strchr(letter, classes[i]) - letter));
}

static void new_card(void)
{
    card.count = 0;
    card.clock_shift_s = 0.0;
}

/* What holds for any card. */
static void check_sums(const struct owl_visits *visits)
{
    int frames_sum = 0, visits_sum = 0, unsure = 0, blind = 0, keepers = 0, past = 0, sure = 0;
    bool met[ROOM] = {false};
    for (int i = 0; i < visits->frames; i++)
        met[visits->order[i]] = true;
    for (int i = 0; i < visits->frames; i++)
        assert_true(met[i]);
    for (int i = 0; i < visits->nights; i++) {
        const struct owl_visits_night *night = &visits->night[i];
        assert_int_equal(night->frames, night->shown + night->empties + night->dark + night->cannot);
        frames_sum += night->frames;
        visits_sum += night->visits;
        unsure += night->unsure;
        blind += night->blind;
        keepers += night->keepers;
        assert_true(night->dated || i == visits->nights - 1);
    }
    int shown = 0;
    for (int i = 0; i < visits->count; i++) {
        const struct owl_visit *visit = &visits->visit[i];
        assert_true(visit->first >= past && visit->past > visit->first);
        past = visit->past;
        assert_int_equal(visit->row, owl_ledger_first(visit->verdict.failed));
        assert_int_equal(visit->verdict.failed, owl_visits_failed(&frames[visit->best].verdict));
        shown += visit->shown;
        sure += visit->sure;
    }
    assert_int_equal(frames_sum, visits->frames);
    assert_int_equal(visits->frames, visits->shown + visits->empties + visits->dark + visits->cannot);
    assert_int_equal(shown, visits->shown);
    assert_int_equal(visits_sum, visits->count);
    assert_int_equal(unsure, visits->count - sure);
    assert_int_equal(blind, visits->blind);
    assert_int_equal(keepers, visits->sure.first[OWL_LEDGER_KEEPER]);
    assert_int_equal(owl_ledger_passes(&visits->sure), sure);
    assert_int_equal(owl_ledger_passes(&visits->unsure), unsure);
}

static struct owl_visits find(double gap_s)
{
    struct owl_visits visits;
    assert_int_equal(owl_visits_find(&card, gap_s, &visits), OWL_OK);
    check_sums(&visits);
    return visits;
}

static void check_visit(const struct owl_visits *visits, int number, int first, int past)
{
    assert_true(number < visits->count);
    assert_int_equal(visits->visit[number].first, first);
    assert_int_equal(visits->visit[number].past, past);
    assert_int_equal(visits->visit[number].frames, past - first);
}

/* ---- grouping ---- */

/* identity: the gap counts from picture to picture, empties between are bridged, those outside are not taken in */
static void test_visits_gap(void **state)
{
    (void)state;
    new_card();
    add_row(NIGHT_S, 30.0, ".s.s..s"); /* 60 s, then 90 s apart */
    struct owl_visits visits = find(GAP_S);
    assert_int_equal(visits.count, 2);
    check_visit(&visits, 0, 1, 4);
    check_visit(&visits, 1, 6, 7);
    assert_int_equal(visits.visit[0].shown, 2);
    check_near("begin", visits.visit[0].begin_s, NIGHT_S + 30.0, 0.0);
    check_near("end", visits.visit[0].end_s, NIGHT_S + 90.0, 0.0);
    assert_true(visits.by_clock && visits.visit[0].sure);
    owl_visits_free(&visits);
    visits = find(59.9);
    assert_int_equal(visits.count, 3);
    owl_visits_free(&visits);
    visits = find(90.0);
    assert_int_equal(visits.count, 1);
    owl_visits_free(&visits);
    visits = find(0.0);
    assert_int_equal(visits.count, 3);
    owl_visits_free(&visits);
    assert_null(visits.order);
    owl_visits_free(&visits);
}

/* identity: frames only worth a look make an uncertain visit, beside a subject they do not count for the row */
static void test_visits_unsure(void **state)
{
    (void)state;
    new_card();
    add_row(NIGHT_S, 10.0, "ll");
    add_row(NIGHT_S + 1000.0, 10.0, "lsl");
    frames[3].verdict.cut_off = true;
    struct owl_visits visits = find(GAP_S);
    assert_int_equal(visits.count, 2);
    assert_false(visits.visit[0].sure);
    assert_true(visits.visit[1].sure);
    assert_int_equal(visits.visit[1].shown, 3);
    assert_int_equal(visits.visit[1].best, 3);
    assert_int_equal(visits.visit[1].row, OWL_LEDGER_CUT);
    assert_int_equal(visits.visit[1].verdict.frames, 1);
    assert_int_equal(visits.unsure.first[OWL_LEDGER_KEEPER], 1);
    assert_int_equal(visits.sure.first[OWL_LEDGER_CUT], 1);
    assert_int_equal(visits.sure.only[OWL_LEDGER_CUT], 1);
    assert_int_equal(visits.night[0].unsure, 1);
    assert_int_equal(visits.night[0].keepers, 0);
    owl_visits_free(&visits);
}

/* identity: dark and broken frames inside belong to the visit, dark ones near it too, the others are blind */
static void test_visits_dark(void **state)
{
    (void)state;
    new_card();
    add_row(NIGHT_S, 20.0, "x.xs?xs.x....xx.x");
    struct owl_visits visits = find(GAP_S);
    assert_int_equal(visits.count, 1);
    check_visit(&visits, 0, 0, 9); /* dark frames 60 s before and 40 s after; that 140 s after no more */
    assert_int_equal(visits.visit[0].dark, 4);
    assert_int_equal(visits.visit[0].shown, 2);
    assert_int_equal(visits.visit[0].verdict.frames, 6);
    assert_int_equal(visits.visit[0].row, OWL_LEDGER_KEEPER);
    assert_int_equal(visits.blind, 1); /* three frames, 20 s and 40 s apart */
    assert_int_equal(visits.night[0].dark, 7);
    owl_visits_free(&visits);
    visits = find(20.0);
    assert_int_equal(visits.count, 2); /* 60 s between the pictures */
    check_visit(&visits, 0, 2, 4);     /* each takes the dark frame next to it */
    check_visit(&visits, 1, 5, 7);
    assert_int_equal(visits.blind, 4);
    owl_visits_free(&visits);
    new_card();
    add_row(NIGHT_S, 40.0, "sxxs");
    visits = find(100.0);
    assert_int_equal(visits.count, 2); /* a dark frame is no picture: it does not join, it goes to the nearer */
    check_visit(&visits, 0, 0, 2);
    check_visit(&visits, 1, 2, 4);
    owl_visits_free(&visits);
}

/* identity: what the dark hides wins nothing, so a dark frame is never the only failing link and never the best */
static void test_visits_dark_wins_nothing(void **state)
{
    (void)state;
    new_card();
    add_row(NIGHT_S, 5.0, "xsx");
    frames[1].verdict.cut_off = frames[1].verdict.fogged = true;
    struct owl_visits visits = find(GAP_S);
    assert_int_equal(visits.visit[0].best, 1);
    assert_int_equal(visits.visit[0].verdict.failed, CUT | SOFT);
    assert_int_equal(visits.visit[0].verdict.alone, 0);
    assert_int_equal(visits.visit[0].verdict.frames, 3);
    owl_visits_free(&visits);
}

/* ---- rows ---- */

/* identity: each fault of the judge has its link, at either side of its limit */
static void test_visits_links(void **state)
{
    (void)state;
    new_card();
    struct owl_frame_verdict *verdict = add(NIGHT_S, OWL_JUDGE_SUBJECT), fine = *verdict;
    assert_int_equal(owl_visits_failed(verdict), 0);
    verdict->cut_off = true;
    assert_int_equal(owl_visits_failed(verdict), CUT);
    *verdict = fine;
    verdict->fogged = true;
    assert_int_equal(owl_visits_failed(verdict), SOFT);
    *verdict = fine;
    verdict->out_of_focus = true;
    assert_int_equal(owl_visits_failed(verdict), SOFT);
    *verdict = fine;
    verdict->flash = OWL_FLASH_ONE_MISSING;
    assert_int_equal(owl_visits_failed(verdict), DIM);
    verdict->flash = OWL_FLASH_NONE;
    assert_int_equal(owl_visits_failed(verdict), DIM);
    verdict->flash = OWL_FLASH_NOT_USED;
    assert_int_equal(owl_visits_failed(verdict), 0);
    verdict->mean = 23.9;
    assert_int_equal(owl_visits_failed(verdict), DIM);
    verdict->mean = 24.0;
    verdict->dark = 0.75;
    assert_int_equal(owl_visits_failed(verdict), 0);
    verdict->dark = 0.76;
    assert_int_equal(owl_visits_failed(verdict), DIM);
    *verdict = fine;
    verdict->over_exposed = true;
    assert_int_equal(owl_visits_failed(verdict), BURNT);
    *verdict = fine;
    verdict->clipped = 0.1;
    assert_int_equal(owl_visits_failed(verdict), BURNT);
    verdict->norm.clipped = 0.05; /* a white sky that is always there */
    assert_int_equal(owl_visits_failed(verdict), 0);
    verdict->class = OWL_JUDGE_FLASH_FAILED;
    verdict->cut_off = true;
    assert_int_equal(owl_visits_failed(verdict), DIM);
    verdict->class = OWL_JUDGE_EMPTY;
    assert_int_equal(owl_visits_failed(verdict), 0);
    verdict->class = OWL_JUDGE_CANNOT;
    assert_int_equal(owl_visits_failed(verdict), 0);
}

/* identity: links before sharpness before exposure before size before score; sharpness and exposure in steps; the earliest of
   equals */
static void test_visits_best(void **state)
{
    (void)state;
    new_card();
    add_row(NIGHT_S, 5.0, "ssssss");
    struct owl_visits visits = find(GAP_S);
    assert_int_equal(visits.visit[0].best, 0);
    owl_visits_free(&visits);
    frames[5].verdict.score = 950.0;
    visits = find(GAP_S);
    assert_int_equal(visits.visit[0].best, 5);
    owl_visits_free(&visits);
    frames[4].verdict.box[0].right = 170;
    visits = find(GAP_S);
    assert_int_equal(visits.visit[0].best, 4);
    owl_visits_free(&visits);
    for (int i = 0; i < 6; i++)
        frames[i].verdict.dark = i == 3 ? 0.02 : 0.3;
    visits = find(GAP_S);
    assert_int_equal(visits.visit[0].best, 3);
    owl_visits_free(&visits);
    frames[2].verdict.sharpness = 0.5;
    visits = find(GAP_S);
    assert_int_equal(visits.visit[0].best, 2);
    owl_visits_free(&visits);
    for (int i = 0; i < 6; i++)
        frames[i].verdict.fogged = i != 1;
    frames[1].verdict.sharpness = 0.0;
    visits = find(GAP_S);
    assert_int_equal(visits.visit[0].best, 1);
    assert_int_equal(visits.visit[0].row, OWL_LEDGER_KEEPER);
    owl_visits_free(&visits);
}

/* identity: verdict and books are the core's: by the best frame's links, each link that alone would win it */
static void test_visits_alone(void **state)
{
    (void)state;
    new_card();
    add_row(NIGHT_S, 5.0, "sss");
    frames[0].verdict.cut_off = frames[0].verdict.over_exposed = true;
    frames[1].verdict.out_of_focus = true;
    frames[2].verdict.flash = OWL_FLASH_ONE_MISSING;
    frames[2].verdict.sharpness = 0.8; /* as few links as the one before, but the better frame */
    struct owl_visits visits = find(GAP_S);
    assert_int_equal(visits.visit[0].best, 2);
    assert_int_equal(visits.visit[0].verdict.failed, DIM);
    assert_int_equal(visits.visit[0].verdict.alone, SOFT | DIM);
    assert_int_equal(visits.visit[0].row, OWL_LEDGER_DIM);
    assert_int_equal(visits.sure.first[OWL_LEDGER_DIM], 1);
    assert_int_equal(visits.sure.only[OWL_LEDGER_DIM], 1);
    assert_int_equal(visits.sure.only[OWL_LEDGER_SOFT], 1);
    owl_visits_free(&visits);
}

/* ---- clocks ---- */

/* identity: file numbers that began anew: the runs come in the order of time, and a visit goes across */
static void test_visits_numbers_anew(void **state)
{
    (void)state;
    new_card();
    add_row(NIGHT_S + 20.0, 10.0, "s.s"); /* the first names, taken last */
    add_row(NIGHT_S, 10.0, "ss");
    struct owl_visits visits = find(GAP_S);
    static const int expected[] = {3, 4, 0, 1, 2};
    assert_memory_equal(visits.order, expected, sizeof expected);
    assert_true(visits.by_clock);
    assert_int_equal(visits.count, 1);
    check_visit(&visits, 0, 0, 5);
    owl_visits_free(&visits);
}

/* fault: the clock falls back to its first year, or an hour back: names keep the order, no visit reaches over it */
static void test_visits_clock_back(void **state)
{
    (void)state;
    static const double back_to_s[] = {946684805.0 /* 2000-01-01 [posix] */, NIGHT_S - 3600.0};
    for (int k = 0; k < 2; k++) {
        new_card();
        add_row(NIGHT_S - 4000.0, 10.0, "s");
        add_row(NIGHT_S, 10.0, ".ss");
        add_row(back_to_s[k], 10.0, "ss.");
        struct owl_visits visits = find(GAP_S);
        assert_false(visits.by_clock);
        for (int i = 0; i < visits.frames; i++)
            assert_int_equal(visits.order[i], i);
        assert_int_equal(visits.count, 3);
        check_visit(&visits, 1, 2, 4);
        check_visit(&visits, 2, 4, 6);
        assert_int_equal(visits.nights, k == 0 ? 2 : 1);
        owl_visits_free(&visits);
    }
}

/* identity: within two seconds the order of names stands, as when a burst is written out of order */
static void test_visits_small_step(void **state)
{
    (void)state;
    new_card();
    add(NIGHT_S + 1.0, OWL_JUDGE_SUBJECT);
    add(NIGHT_S, OWL_JUDGE_SUBJECT);
    add(NIGHT_S + 2.0, OWL_JUDGE_SUBJECT);
    struct owl_visits visits = find(0.5);
    assert_true(visits.by_clock);
    assert_int_equal(visits.count, 2);
    check_near("earliest", visits.visit[0].begin_s, NIGHT_S, 0.0);
    check_near("latest", visits.visit[0].end_s, NIGHT_S + 1.0, 0.0);
    owl_visits_free(&visits);
}

/* fault: no time at all: neighbours are a visit */
static void test_visits_no_time(void **state)
{
    (void)state;
    new_card();
    add_row(NAN, 0.0, "ss.sx.x..xx");
    struct owl_visits visits = find(GAP_S);
    assert_false(visits.by_clock);
    assert_int_equal(visits.count, 2);
    check_visit(&visits, 0, 0, 2);
    check_visit(&visits, 1, 3, 5);
    assert_int_equal(visits.blind, 2);
    assert_true(isnan(visits.visit[0].begin_s) && isnan(visits.visit[0].end_s));
    assert_int_equal(visits.nights, 1);
    assert_false(visits.night[0].dated);
    owl_visits_free(&visits);
}

/* fault: a missing time joins its neighbours, but not these to each other over more than the gap; times that are none */
static void test_visits_some_times(void **state)
{
    (void)state;
    new_card();
    add(NIGHT_S, OWL_JUDGE_SUBJECT);
    add(NAN, OWL_JUDGE_SUBJECT);
    add(NIGHT_S + 50.0, OWL_JUDGE_SUBJECT);
    add(INFINITY, OWL_JUDGE_SUBJECT);
    add(NIGHT_S + 500.0, OWL_JUDGE_SUBJECT);
    add(1e300, OWL_JUDGE_EMPTY);
    struct owl_visits visits = find(GAP_S);
    assert_int_equal(visits.count, 2);
    check_visit(&visits, 0, 0, 4);
    check_visit(&visits, 1, 4, 5);
    assert_int_equal(visits.nights, 2);
    assert_int_equal(visits.night[1].frames, 3);
    owl_visits_free(&visits);
}

/* ---- nights ---- */

/* identity: from noon to noon of the clock put right; a visit counts where it begins */
static void test_visits_nights(void **state)
{
    (void)state;
    double noon_s = NIGHT_S + 16.0 * 3600.0;
    new_card();
    add(noon_s - 10.0, OWL_JUDGE_SUBJECT);
    add(noon_s, OWL_JUDGE_SUBJECT);
    add(noon_s + 100.0, OWL_JUDGE_EMPTY);
    add(noon_s + 3.0 * DAY_S, OWL_JUDGE_CANNOT);
    struct owl_visits visits = find(GAP_S);
    assert_int_equal(visits.nights, 3);
    assert_int_equal(visits.night[0].date.year, 2026);
    assert_int_equal(visits.night[0].date.month, 11);
    assert_int_equal(visits.night[0].date.day, 21);
    assert_int_equal(visits.night[1].date.day, 22);
    assert_int_equal(visits.night[2].date.day, 25);
    assert_int_equal(visits.night[0].visits, 1);
    assert_int_equal(visits.night[0].keepers, 1);
    assert_int_equal(visits.night[1].visits, 0);
    assert_int_equal(visits.night[1].shown, 1);
    assert_int_equal(visits.night[1].empties, 1);
    assert_int_equal(visits.night[2].cannot, 1);
    owl_visits_free(&visits);
    card.clock_shift_s = 10.0;
    visits = find(GAP_S);
    assert_int_equal(visits.nights, 2);
    check_near("put right", visits.visit[0].begin_s, noon_s, 0.0);
    owl_visits_free(&visits);
}

/* ---- edges ---- */

/* fault: no frames, nothing that could be judged, a gap that is none */
static void test_visits_edges(void **state)
{
    (void)state;
    new_card();
    struct owl_visits visits = find(GAP_S);
    assert_int_equal(visits.count + visits.nights + visits.blind, 0);
    owl_visits_free(&visits);
    add_row(NIGHT_S, 10.0, "????");
    visits = find(GAP_S);
    assert_int_equal(visits.count + visits.blind, 0);
    assert_int_equal(visits.cannot, 4);
    owl_visits_free(&visits);
    assert_int_equal(owl_visits_find(&card, -1.0, &visits), OWL_OUTSIDE_DOMAIN);
    assert_int_equal(owl_visits_find(&card, NAN, &visits), OWL_OUTSIDE_DOMAIN);
    assert_int_equal(owl_visits_find(&card, INFINITY, &visits), OWL_OUTSIDE_DOMAIN);
    assert_null(visits.order);
}

/* identity: frames of one time and alike may be told in any order, visits and ledger stay; and the sums hold for any card */
static void test_visits_shuffled(void **state)
{
    (void)state;
    struct owl_rng rng = owl_rng_start(7, 0);
    for (int round = 0; round < 50; round++) {
        new_card();
        double time_s = NIGHT_S;
        for (int i = 0; i < 200; i++) {
            if (!owl_rng_chance(&rng, 0.5))
                time_s += owl_rng_exponential(&rng, 1.0 / 50.0);
            bool told = round % 2 == 0 || owl_rng_chance(&rng, 0.8);
            add(told ? time_s : NAN, (enum owl_judge_class)(owl_rng_bits(&rng) % 5));
            if (round % 5 == 4 && owl_rng_chance(&rng, 0.02))
                time_s -= 1000.0;
        }
        struct owl_visits visits = find(GAP_S);
        int count = visits.count, blind = visits.blind;
        struct owl_ledger ledger = visits.sure;
        owl_visits_free(&visits);
        if (round % 2 != 0 || round % 5 == 4)
            continue;
        for (int i = 0; i + 1 < card.count; i++)
            if (frames[i].taken_s >= frames[i + 1].taken_s && owl_rng_chance(&rng, 0.5)) {
                struct owl_judged_frame kept = frames[i];
                frames[i] = frames[i + 1];
                frames[i + 1] = kept;
            }
        visits = find(GAP_S);
        assert_int_equal(visits.count, count);
        assert_int_equal(visits.blind, blind);
        assert_memory_equal(&visits.sure, &ledger, sizeof ledger);
        owl_visits_free(&visits);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_visits_gap),         cmocka_unit_test(test_visits_unsure),
        cmocka_unit_test(test_visits_dark),        cmocka_unit_test(test_visits_dark_wins_nothing),
        cmocka_unit_test(test_visits_links),       cmocka_unit_test(test_visits_best),
        cmocka_unit_test(test_visits_alone),       cmocka_unit_test(test_visits_numbers_anew),
        cmocka_unit_test(test_visits_clock_back),  cmocka_unit_test(test_visits_small_step),
        cmocka_unit_test(test_visits_no_time),     cmocka_unit_test(test_visits_some_times),
        cmocka_unit_test(test_visits_nights),      cmocka_unit_test(test_visits_edges),
        cmocka_unit_test(test_visits_shuffled),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
