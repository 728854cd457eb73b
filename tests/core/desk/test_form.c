/* The forms of the light desk: the distance of the solid against a search of its balls, and the bodies against the measures
   they are made to. The looks were judged by eye and are no matter of a test. */
#include "core/desk/form.h"

#include <math.h>
#include <string.h>

#include "core/plan/vector.h"
#include "support/check.h"

/* ---- what the tests share ---- */

/* Even numbers from 0 to 1, the same each time: a linear congruence. */
static double chance(uint32_t *state)
{
    *state = *state * 1664525u + 1013904223u;
    return (*state >> 8) / 16777216.0;
}

static struct owl_point chance_point(uint32_t *state, const struct owl_form *form)
{
    double wide_m = form->high.x_m - form->low.x_m;
    return (struct owl_point){form->low.x_m + wide_m * (1.4 * chance(state) - 0.2), wide_m * (chance(state) - 0.5),
                              form->low.z_m + wide_m * (1.2 * chance(state) - 0.1)};
}

static struct owl_plan_body body_of(size_t kind)
{
    const struct owl_animal *animal = owl_animal_at(kind);
    struct owl_plan_body body = {.kind = (int)kind, .length_m = animal->length_m, .height_m = animal->height_m,
                                 .shoulder_m = animal->shoulder_m, .width_m = animal->width_m, .coat = animal->coat_reflectance};
    return body;
}

static struct owl_plan_body named(const char *name)
{
    for (size_t i = 0; i < owl_animal_count(); i++)
        if (strcmp(owl_animal_at(i)->name, name) == 0)
            return body_of(i);
    fail_msg("no %s", name);
    return body_of(0);
}

/* The form's limbs [first, past) alone. */
static struct owl_form limbs_of(const struct owl_form *form, int first, int past)
{
    struct owl_form some = *form;
    some.limbs = past - first;
    memmove(some.limb, form->limb + first, (size_t)some.limbs * sizeof *some.limb);
    return some;
}

/* How far a ray goes until it meets the form, INFINITY where it misses. */
static double march(const struct owl_form *form, const struct owl_point *from, const struct owl_point *way, double far_m)
{
    double t = 0.0, touch_m = 1e-6 * far_m;
    for (int i = 0; i < 4000 && t < far_m; i++) {
        struct owl_point at = owl_vector_along(from, way, t);
        double free_m = owl_form_distance_m(form, &at);
        if (free_m < touch_m)
            return t;
        t += free_m;
    }
    return INFINITY;
}

/* The farthest of the form along one of the six axes, by rays against it: on a grid, and past the ends of the parts. */
static double extent(const struct owl_form *form, const struct owl_point *way, bool middle_only)
{
    struct owl_point size = owl_vector_from_to(&form->low, &form->high), back = owl_vector_scaled(way, -1.0);
    double far_m = 2.0 * owl_vector_length(&size), least_m = INFINITY;
    enum { ACROSS = 41 };
    for (int k = 0; k < ACROSS * ACROSS + 2 * form->parts; k++) {
        int grid = k - 2 * form->parts;
        struct owl_point at = {form->low.x_m + size.x_m * (grid / ACROSS) / (ACROSS - 1.0), 0.0, 0.0};
        at.y_m = form->low.y_m + size.y_m * (way->y_m != 0.0 ? 0.0 : (grid % ACROSS) / (ACROSS - 1.0));
        at.z_m = form->low.z_m + size.z_m * ((way->x_m != 0.0 ? grid / ACROSS : grid % ACROSS) / (ACROSS - 1.0));
        if (grid < 0)
            at = k % 2 ? form->part[k / 2].to : form->part[k / 2].from;
        if (middle_only)
            at.y_m = 0.0;
        double along_m = owl_vector_dot(&at, way);
        at = owl_vector_along(&at, way, far_m / 2.0 - along_m);
        least_m = fmin(least_m, march(form, &at, &back, far_m));
    }
    return far_m / 2.0 - least_m;
}

static const struct owl_point forward = {1, 0, 0}, backward = {-1, 0, 0}, left = {0, 1, 0}, up = {0, 0, 1}, down = {0, 0, -1};

/* ---- the solid ---- */

static struct owl_form one_cone(const struct owl_point *from, double from_radius_m, const struct owl_point *to,
                                double to_radius_m)
{
    struct owl_form form = {.parts = 1, .limbs = 1, .limb = {{.first = 0, .past = 1}}};
    form.part[0] = (struct owl_form_part){.from = *from, .to = *to, .from_radius_m = from_radius_m, .to_radius_m = to_radius_m};
    owl_form_gather(&form);
    return form;
}

/* The same cone as the least distance of the balls between both ends, by a search of thirds: the distance of such a ball is
   convex along the axis. */
static double searched_m(const struct owl_form_part *part, const struct owl_point *from, const struct owl_point *to,
                         const struct owl_point *at)
{
    double low = 0.0, high = 1.0, got[2] = {0.0, 0.0};
    for (int i = 0; i < 120; i++) {
        double share[2] = {low + (high - low) / 3.0, high - (high - low) / 3.0};
        for (int k = 0; k < 2; k++) {
            struct owl_point way = owl_vector_from_to(from, to), ball = owl_vector_along(from, &way, share[k]);
            struct owl_point off = owl_vector_from_to(&ball, at);
            got[k] = owl_vector_length(&off) - part->from_radius_m - share[k] * (part->to_radius_m - part->from_radius_m);
        }
        if (got[0] < got[1])
            high = share[1];
        else
            low = share[0];
    }
    return fmin(got[0], got[1]);
}

/* identity: a cone is the union of the balls between its ends; outside, its distance is the least of theirs. */
static void test_form_cone_is_its_balls(void **state)
{
    (void)state;
    uint32_t seed = 1;
    const struct owl_point from = {0.2, -0.1, 0.3}, to = {-0.4, 0.5, 0.9};
    const struct owl_form_part plain = {.from_radius_m = 0.35, .to_radius_m = 0.12};
    struct owl_form form = one_cone(&from, plain.from_radius_m, &to, plain.to_radius_m);
    for (int i = 0; i < 500; i++) {
        struct owl_point at = {4.0 * chance(&seed) - 2.0, 4.0 * chance(&seed) - 2.0, 4.0 * chance(&seed) - 2.0};
        check_near("distance", owl_form_distance_m(&form, &at), searched_m(&plain, &from, &to, &at), 1e-9);
    }
}

/* identity: a ball within the other adds nothing, at either end; a cone without length is a ball. */
static void test_form_ball_in_ball(void **state)
{
    (void)state;
    const struct owl_point here = {0, 0, 0}, near = {0.1, 0, 0}, at = {3, 0, 4};
    struct owl_form first = one_cone(&here, 1.0, &near, 0.2), second = one_cone(&near, 0.2, &here, 1.0);
    struct owl_form ball = one_cone(&here, 1.0, &here, 1.0);
    check_near("first", owl_form_distance_m(&first, &at), 4.0, 1e-12);
    check_near("second", owl_form_distance_m(&second, &at), 4.0, 1e-12);
    check_near("ball", owl_form_distance_m(&ball, &at), 4.0, 1e-12);
    check_near("inside", owl_form_distance_m(&ball, &here), -1.0, 1e-12);
}

/* identity: nothing is nowhere. */
static void test_form_empty(void **state)
{
    (void)state;
    struct owl_form form = {.parts = 0};
    const struct owl_point at = {1, 2, 3};
    owl_form_gather(&form);
    check_near("empty", owl_form_distance_m(&form, &at), INFINITY, 0.0);
    assert_int_equal(owl_form_skin_at(&form, &at), OWL_SKIN_COAT);
}

/* identity: two equal balls swell by a quarter of the blend where both are equally far, and are plain where one is nearer by
   the whole blend. */
static void test_form_melts_within_the_blend(void **state)
{
    (void)state;
    struct owl_form form = {.parts = 2, .limbs = 2, .limb = {{.first = 0, .past = 1}, {.first = 1, .past = 2}}};
    for (int i = 0; i < 2; i++) {
        struct owl_point middle = {i ? 1.0 : -1.0, 0, 0};
        form.part[i] = (struct owl_form_part){.from = middle, .to = middle, .from_radius_m = 0.5, .to_radius_m = 0.5,
                                              .blend_m = 0.4};
    }
    owl_form_gather(&form);
    const struct owl_point between = {0, 0, 1}, beside = {1.5, 0, 0};
    check_near("between", owl_form_distance_m(&form, &between), sqrt(2.0) - 0.5 - 0.1, 1e-12);
    check_near("beside", owl_form_distance_m(&form, &beside), 0.0, 1e-12);
    check_near("blend", form.blend_m, 0.4, 0.0);
}

/* identity: the distance changes no faster than the place, for every kind, near and far. */
static void test_form_distance_is_no_steeper_than_one(void **state)
{
    (void)state;
    uint32_t seed = 7;
    for (size_t kind = 0; kind < owl_animal_count(); kind++) {
        struct owl_plan_body body = body_of(kind);
        struct owl_form form;
        owl_form_of(&body, 0.3, &form);
        for (int i = 0; i < 4000; i++) {
            struct owl_point a = chance_point(&seed, &form), b = chance_point(&seed, &form);
            double closer = i % 2 ? 1.0 : pow(10.0, -6.0 * chance(&seed));
            struct owl_point way = owl_vector_from_to(&a, &b);
            b = owl_vector_along(&a, &way, closer);
            double apart_m = closer * owl_vector_length(&way);
            assert_true(fabs(owl_form_distance_m(&form, &a) - owl_form_distance_m(&form, &b)) <= apart_m + 1e-12);
        }
    }
}

/* identity: passing over far limbs and parts changes nothing: the same as melting all parts in their order, one by one. */
static void test_form_passing_over_changes_nothing(void **state)
{
    (void)state;
    uint32_t seed = 3;
    struct owl_plan_body body = named("red fox");
    struct owl_form form;
    owl_form_of(&body, 0.6, &form);
    for (int i = 0; i < 2000; i++) {
        struct owl_point at = chance_point(&seed, &form);
        double least_m = INFINITY;
        for (int k = 0; k < form.parts; k++) {
            const struct owl_form_part *part = &form.part[k];
            struct owl_form one = one_cone(&part->from, part->from_radius_m, &part->to, part->to_radius_m);
            double other_m = owl_form_distance_m(&one, &at), blend_m = part->blend_m;
            double h = isinf(least_m) ? 0.0 : fmax(blend_m - fabs(least_m - other_m), 0.0);
            least_m = fmin(least_m, other_m) - (h > 0.0 ? h * h / (4.0 * blend_m) : 0.0);
        }
        check_near("all parts", owl_form_distance_m(&form, &at), least_m, 1e-12);
    }
}

/* identity: no ray that goes by the distance steps through skin: none of the places it leapt over lies inside. */
static void test_form_marching_misses_nothing(void **state)
{
    (void)state;
    uint32_t seed = 11;
    struct owl_plan_body body = named("roe deer");
    struct owl_form form;
    owl_form_of(&body, 0.0, &form);
    int hits = 0;
    for (int i = 0; i < 200; i++) {
        struct owl_point from = {3.0 * chance(&seed) - 1.5, -3.0, 1.2 * chance(&seed)}, to = chance_point(&seed, &form);
        to.y_m *= 0.1;
        struct owl_point way = owl_vector_from_to(&from, &to);
        way = owl_vector_unit(&way);
        double reached_m = march(&form, &from, &way, 6.0);
        hits += isfinite(reached_m);
        for (double t = 0.0; t < fmin(reached_m, 6.0) - 1e-3; t += 5e-3) {
            struct owl_point at = owl_vector_along(&from, &way, t);
            assert_true(owl_form_distance_m(&form, &at) > 0.0);
        }
    }
    assert_in_range(hits, 20, 180);
}

/* ---- the bodies ---- */

#define OF_MEASURE 0.02

static void check_measures(const struct owl_plan_body *body, double step)
{
    const char *name = owl_animal_at((size_t)body->kind)->name;
    struct owl_form form;
    owl_form_of(body, step, &form);
    assert_true(form.parts < OWL_FORM_PARTS);
    struct owl_form trunk = limbs_of(&form, 0, 1), head = limbs_of(&form, 1, 3), legs = limbs_of(&form, 3, form.limbs - 1);
    check_near(name, extent(&head, &forward, true), body->length_m / 2.0, OF_MEASURE * body->length_m);
    check_near(name, extent(&trunk, &backward, false), body->length_m / 2.0, OF_MEASURE * body->length_m);
    check_near(name, extent(&trunk, &up, false), body->shoulder_m, OF_MEASURE * body->shoulder_m);
    check_near(name, extent(&head, &up, true), body->height_m, OF_MEASURE * body->height_m);
    check_near(name, extent(&trunk, &left, false), body->width_m / 2.0, OF_MEASURE * body->width_m / 2.0);
    check_near(name, extent(&legs, &down, false), 0.0, OF_MEASURE * body->shoulder_m);
}

/* identity: every kind of the table has the measures of its body. */
static void test_form_bodies_have_their_measures(void **state)
{
    (void)state;
    for (size_t kind = 0; kind < owl_animal_count(); kind++) {
        struct owl_plan_body body = body_of(kind);
        check_measures(&body, 0.1);
    }
}

/* identity: so have bodies very long, very flat, narrow or broad; and none of them runs out of parts. */
static void test_form_odd_bodies_have_their_measures(void **state)
{
    (void)state;
    for (size_t kind = 0; kind < owl_animal_count(); kind++) {
        struct owl_plan_body longer = body_of(kind), flat = longer, narrow = longer, broad = longer;
        longer.length_m *= 2.5;
        flat.height_m *= 0.45;
        flat.shoulder_m *= 0.45;
        narrow.width_m *= 0.5;
        broad.width_m *= 1.5;
        check_measures(&longer, 0.0);
        check_measures(&flat, 0.0);
        check_measures(&narrow, 0.0);
        check_measures(&broad, 0.0);
    }
}

/* identity: the box holds the whole form, and not much more than it. */
static void test_form_box_holds_it(void **state)
{
    (void)state;
    uint32_t seed = 5;
    for (size_t kind = 0; kind < owl_animal_count(); kind++) {
        struct owl_plan_body body = body_of(kind);
        struct owl_form form;
        owl_form_of(&body, 0.5, &form);
        for (int i = 0; i < 3000; i++) {
            struct owl_point at = {form.low.x_m + chance(&seed) * (form.high.x_m - form.low.x_m),
                                   form.low.y_m + chance(&seed) * (form.high.y_m - form.low.y_m),
                                   form.low.z_m + chance(&seed) * (form.high.z_m - form.low.z_m)};
            double *side[] = {&at.x_m, &at.y_m, &at.z_m};
            const double low[] = {form.low.x_m, form.low.y_m, form.low.z_m};
            const double high[] = {form.high.x_m, form.high.y_m, form.high.z_m};
            *side[i % 3] = i % 2 ? low[i % 3] : high[i % 3];
            assert_true(owl_form_distance_m(&form, &at) > 0.0);
        }
        assert_true(form.high.x_m < 0.56 * body.length_m && form.low.z_m > -0.15 * body.shoulder_m);
    }
}

/* The largest way any end of a part has gone from one form to the other. */
static double moved_m(const struct owl_form *a, const struct owl_form *b)
{
    double most_m = 0.0;
    assert_int_equal(a->parts, b->parts);
    for (int i = 0; i < a->parts; i++) {
        struct owl_point from = owl_vector_from_to(&a->part[i].from, &b->part[i].from);
        struct owl_point to = owl_vector_from_to(&a->part[i].to, &b->part[i].to);
        most_m = fmax(most_m, fmax(owl_vector_length(&from), owl_vector_length(&to)));
    }
    return most_m;
}

/* identity: the stride comes round, and 0.25 is not the pose of 0. */
static void test_form_stride_comes_round(void **state)
{
    (void)state;
    struct owl_plan_body body = named("red fox");
    struct owl_form start, end, quarter, before;
    owl_form_of(&body, 0.0, &start);
    owl_form_of(&body, 1.0, &end);
    owl_form_of(&body, 0.25, &quarter);
    owl_form_of(&body, -0.75, &before);
    check_near("once round", moved_m(&start, &end), 0.0, 1e-12);
    check_near("backwards", moved_m(&quarter, &before), 0.0, 1e-12);
    assert_true(moved_m(&start, &quarter) > 0.05 * body.length_m);
}

/* identity: walking, no part of a foot goes below the ground, two feet of four (one of two) stand on it at any time, and each
   one is lifted once. */
static void test_form_feet_walk(void **state)
{
    (void)state;
    for (size_t kind = 0; kind < owl_animal_count(); kind++) {
        struct owl_plan_body body = body_of(kind);
        double highest_m[OWL_FORM_LIMBS] = {0.0};
        struct owl_form form;
        for (int i = 0; i < 20; i++) {
            owl_form_of(&body, i / 20.0, &form);
            int standing = 0, legs = form.limbs - 4;
            for (int k = 3; k < form.limbs - 1; k++) {
                const struct owl_form_part *foot = &form.part[form.limb[k].past - 1];
                double sole_m = fmin(foot->from.z_m - foot->from_radius_m, foot->to.z_m - foot->to_radius_m);
                assert_true(sole_m > -1e-12);
                standing += sole_m < 1e-9;
                highest_m[k] = fmax(highest_m[k], sole_m);
            }
            assert_true(legs == 2 || legs == 4);
            assert_true(standing >= legs / 2);
        }
        for (int k = 3; k < form.limbs - 1; k++)
            assert_true(highest_m[k] > 0.01 * body.shoulder_m);
    }
}

/* ---- the skins ---- */

static enum owl_skin seen(const struct owl_form *form, const struct owl_point *from, const struct owl_point *to)
{
    struct owl_point way = owl_vector_from_to(from, to);
    way = owl_vector_unit(&way);
    double reached_m = march(form, from, &way, 20.0);
    assert_true(isfinite(reached_m));
    struct owl_point at = owl_vector_along(from, &way, reached_m);
    return owl_form_skin_at(form, &at);
}

/* identity: each kind has two eyes, alike, and each is seen from its side before the head. */
static void test_form_eyes_show(void **state)
{
    (void)state;
    for (size_t kind = 0; kind < owl_animal_count(); kind++) {
        struct owl_plan_body body = body_of(kind);
        struct owl_form form;
        owl_form_of(&body, 0.0, &form);
        int eyes = 0;
        double sum_m = 0.0;
        for (int i = 0; i < form.parts; i++) {
            const struct owl_form_part *eye = &form.part[i];
            if (eye->skin != OWL_SKIN_EYE)
                continue;
            eyes++;
            sum_m += eye->from.y_m;
            double side = eye->from.y_m > 0.0 ? 1.0 : -1.0;
            struct owl_point from = {eye->from.x_m + 2.0, eye->from.y_m + 2.0 * side, eye->from.z_m + 0.3};
            assert_int_equal(seen(&form, &from, &eye->from), OWL_SKIN_EYE);
        }
        assert_int_equal(eyes, 2);
        check_near("alike", sum_m, 0.0, 1e-12);
    }
}

/* identity: what a kind is known by is where it is: the marten's pale throat and dark tail, the deer's hooves, the fox's tail
   tip, the badger's stripes, the heron's bill. */
static void test_form_marks_are_in_place(void **state)
{
    (void)state;
    struct owl_form form;
    struct owl_plan_body body = named("pine marten");
    owl_form_of(&body, 0.0, &form);
    struct owl_point throat = form.part[form.limb[1].past - 1].to, low = {throat.x_m + 1.0, 0.0, throat.z_m - 1.0};
    assert_int_equal(seen(&form, &low, &throat), OWL_SKIN_PALE);
    struct owl_point flank = {0.0, 0.0, 0.6 * body.shoulder_m}, side = {0.0, 5.0, 0.6 * body.shoulder_m};
    assert_int_equal(seen(&form, &side, &flank), OWL_SKIN_COAT);
    assert_int_equal(form.part[form.parts - 1].skin, OWL_SKIN_DARK);

    body = named("roe deer");
    owl_form_of(&body, 0.0, &form);
    for (int k = 3; k < form.limbs - 1; k++)
        assert_int_equal(form.part[form.limb[k].past - 1].skin, OWL_SKIN_BARE);

    body = named("red fox");
    owl_form_of(&body, 0.0, &form);
    assert_int_equal(form.part[form.parts - 1].skin, OWL_SKIN_PALE);

    body = named("badger");
    owl_form_of(&body, 0.0, &form);
    struct owl_point above = {0.37 * body.length_m, 0.0, 5.0}, blaze = {0.37 * body.length_m, 0.0, 0.0};
    assert_int_equal(seen(&form, &above, &blaze), OWL_SKIN_PALE);
    for (int k = form.limb[2].first; k < form.limb[2].past; k++) {
        struct owl_point middle = form.part[k].middle;
        struct owl_point beside = {middle.x_m + 0.5, middle.y_m > 0.0 ? 2.0 : -2.0, middle.z_m + 1.0};
        if (form.part[k].skin == OWL_SKIN_DARK && form.part[k].length_m > 0.0)
            assert_int_equal(seen(&form, &beside, &middle), OWL_SKIN_DARK);
    }

    body = named("heron");
    owl_form_of(&body, 0.0, &form);
    struct owl_point tip = {0.48 * body.length_m, 0.0, 0.0}, over = {0.48 * body.length_m, 0.0, 5.0};
    assert_int_equal(seen(&form, &over, &tip), OWL_SKIN_BARE);
}

/* Luminance with the weights as the standard prints them. */
static double luminance_of(const double colour[3])
{
    return 0.2126 * colour[0] + 0.7152 * colour[1] + 0.0722 * colour[2];
}

/* identity: the coat's luminance is the plan's, the others follow, every share is one; a coat too light for its hue pales and
   keeps its luminance. */
static void test_form_colours(void **state)
{
    (void)state;
    static const double coats[] = {0.01, 0.12, 0.25, 0.5, 0.95};
    for (size_t kind = 0; kind < owl_animal_count(); kind++) {
        for (size_t i = 0; i < sizeof coats / sizeof *coats; i++) {
            struct owl_plan_body body = body_of(kind);
            struct owl_form form;
            body.coat = coats[i];
            owl_form_of(&body, 0.0, &form);
            check_near("coat", luminance_of(form.reflectance[OWL_SKIN_COAT]), coats[i], 1e-12);
            check_near("pale", luminance_of(form.reflectance[OWL_SKIN_PALE]), fmax(coats[i], fmin(2.5 * coats[i], 0.7)), 1e-12);
            check_near("dark", luminance_of(form.reflectance[OWL_SKIN_DARK]), 0.35 * coats[i], 1e-12);
            check_near("bare", luminance_of(form.reflectance[OWL_SKIN_BARE]), 0.065, 0.015);
            check_near("eye", luminance_of(form.reflectance[OWL_SKIN_EYE]), 0.02, 1e-12);
            for (int s = 0; s < OWL_SKINS; s++)
                for (int c = 0; c < 3; c++)
                    assert_true(form.reflectance[s][c] > 0.0 && form.reflectance[s][c] <= 1.0 + 1e-12);
        }
    }
    struct owl_plan_body fox = named("red fox");
    const double *hue = owl_animal_at((size_t)fox.kind)->coat_hue;
    struct owl_form form;
    owl_form_of(&fox, 0.0, &form);
    check_near("red to green", form.reflectance[0][0] / form.reflectance[0][1], hue[0] / hue[1], 1e-12);
    check_near("blue to green", form.reflectance[0][2] / form.reflectance[0][1], hue[2] / hue[1], 1e-12);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_form_cone_is_its_balls),
        cmocka_unit_test(test_form_ball_in_ball),
        cmocka_unit_test(test_form_empty),
        cmocka_unit_test(test_form_melts_within_the_blend),
        cmocka_unit_test(test_form_distance_is_no_steeper_than_one),
        cmocka_unit_test(test_form_passing_over_changes_nothing),
        cmocka_unit_test(test_form_marching_misses_nothing),
        cmocka_unit_test(test_form_bodies_have_their_measures),
        cmocka_unit_test(test_form_odd_bodies_have_their_measures),
        cmocka_unit_test(test_form_box_holds_it),
        cmocka_unit_test(test_form_stride_comes_round),
        cmocka_unit_test(test_form_feet_walk),
        cmocka_unit_test(test_form_eyes_show),
        cmocka_unit_test(test_form_marks_are_in_place),
        cmocka_unit_test(test_form_colours),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
