/* Shaping a body: the proportions of a build brought to the measures of one animal, in one moment of its stride. */
#include <math.h>
#include <string.h>

#include "core/constants.h"
#include "core/desk/form_builds.h"
#include "core/plan/vector.h"

/* What is being shaped: the measures, and the form that grows. */
struct shaping {
    const struct owl_plan_body *body;
    const struct owl_build *build;
    struct owl_form *form;
    double unit_m; /* of natural lengths */
    enum owl_skin skin;
    double soft; /* of the radius: how far the next part melts into those before it */
};

#define TRUNK_BLEND 0.04 /* of a section's radius: smooths its bends and hardly swells it */
#define RAIL_GAP 0.20    /* of its radius: half the gap from rail to rail, */
#define RAIL_GAPS_MOST 3 /* if they are not more than these */
#define LIMB_BLEND 1.0   /* where a limb comes out of the body */
#define JOINT_BLEND 0.4  /* where a part goes on from the end of another: no knot */
#define MARK_BLEND 0.15  /* of a wing or a mane, which lie on the trunk and must not swell it */
#define HARD_BLEND 0.3   /* of an eye's or a beak's radius: it stays apart from the fur */
#define TUCK 0.25        /* of the radius: how far the skin of belly and throat is set off their axis, */
#define TUCK_RADIUS 0.84 /* with this of the radius: it stands out by their sum less 1 */
#define TUCK_START 0.72  /* the same where it begins: there it comes out of the other skin in a point */

static struct owl_point point(double x_m, double y_m, double z_m)
{
    return (struct owl_point){x_m, y_m, z_m};
}

/* ---- parts and limbs ---- */

static void add_part(const struct shaping *s, const struct owl_form_part *part)
{
    struct owl_form *form = s->form;
    if (form->parts < OWL_FORM_PARTS && form->limbs > 0) {
        form->part[form->parts++] = *part;
        form->limb[form->limbs - 1].past = form->parts;
    }
}

static void begin_limb(const struct shaping *s)
{
    struct owl_form *form = s->form;
    if (form->limbs < OWL_FORM_LIMBS)
        form->limb[form->limbs++] = (struct owl_form_limb){.first = form->parts, .past = form->parts};
}

static struct owl_form_part cone(const struct shaping *s, const struct owl_point *from, double from_radius_m,
                                 const struct owl_point *to, double to_radius_m)
{
    bool hard = s->skin == OWL_SKIN_EYE || s->skin == OWL_SKIN_BARE;
    double blend_m = fmin(s->build->blend * s->unit_m, from_radius_m * (hard ? HARD_BLEND : s->soft));
    return (struct owl_form_part){.from = *from, .to = *to, .from_radius_m = from_radius_m, .to_radius_m = to_radius_m,
                                  .blend_m = blend_m, .skin = s->skin};
}

static void grow(const struct shaping *s, const struct owl_point *from, double from_radius_m, const struct owl_point *to,
                 double to_radius_m)
{
    struct owl_form_part part = cone(s, from, from_radius_m, to, to_radius_m);
    add_part(s, &part);
}

/* Above the shoulder a height counts in the surplus of the head, so that 2 is its top. */
static double height_m(const struct shaping *s, double z)
{
    double surplus_m = s->body->height_m - s->body->shoulder_m;
    return z <= 1.0 ? z * s->body->shoulder_m : s->body->shoulder_m + (z - 1.0) * surplus_m;
}

/* How far off the middle a ball lies that is flush with the flank at share 1. */
static double aside_m(const struct shaping *s, double share, double radius_m)
{
    return fmax(share * s->body->width_m / 2.0 - radius_m, 0.0);
}

/* ---- trunk ---- */

/* A section as balls one above the other or side by side, the outer ones flush with top and sides. */
struct cut {
    double x_m, y_m, z_m, rise_m, radius_m; /* y_m: of the outer left; rise_m: of the uppermost over the middle */
};

static struct cut cut_of(const struct shaping *s, const struct owl_build_section *section, bool broad)
{
    double half_wide_m = section->wide * s->body->width_m / 2.0;
    double top_m = height_m(s, section->top), half_deep_m = (top_m - height_m(s, section->bottom)) / 2.0;
    double radius_m = fmin(half_wide_m, half_deep_m);
    struct cut cut = {.x_m = section->x * s->body->length_m, .radius_m = radius_m, .z_m = top_m - radius_m};
    if (section == s->build->trunk)
        cut.x_m += radius_m;
    if (broad) {
        cut.y_m = half_wide_m - radius_m;
    } else {
        cut.rise_m = half_deep_m - radius_m;
        cut.z_m -= cut.rise_m;
    }
    return cut;
}

static void grow_rail(const struct shaping *s, const struct cut *from, const struct cut *to, double side)
{
    struct owl_point a = point(from->x_m, side * from->y_m, from->z_m + side * from->rise_m);
    struct owl_point b = point(to->x_m, side * to->y_m, to->z_m + side * to->rise_m);
    struct owl_form_part part = cone(s, &a, from->radius_m, &b, to->radius_m);
    part.blend_m = TRUNK_BLEND * fmin(from->radius_m, to->radius_m);
    add_part(s, &part);
}

/* One rail where the cuts are round; else more, so many that the grooves between them are shallow. */
static void grow_stretch(const struct shaping *s, const struct cut *from, const struct cut *to)
{
    double apart = fmax((from->y_m + from->rise_m) / from->radius_m, (to->y_m + to->rise_m) / to->radius_m);
    int gaps = apart < 0.01 ? 0 : (int)fmin(ceil(apart / RAIL_GAP), RAIL_GAPS_MOST);
    for (int i = 0; i <= gaps; i++)
        grow_rail(s, from, to, gaps ? 2.0 * i / gaps - 1.0 : 0.0);
}

/* Pale (or dark) skin along the underside: a cone of less radius, set off towards it. */
static void tuck_under(const struct shaping *s, const struct owl_form_part *above, enum owl_skin skin, bool begins)
{
    struct owl_point way = owl_vector_from_to(&above->from, &above->to);
    double length_m = hypot(way.x_m, way.z_m);
    if (skin == OWL_SKIN_COAT || !(length_m > 0.0))
        return;
    struct owl_point down = point(way.z_m / length_m, 0.0, -way.x_m / length_m);
    struct owl_form_part part = *above;
    part.from = owl_vector_along(&part.from, &down, TUCK * part.from_radius_m);
    part.to = owl_vector_along(&part.to, &down, TUCK * part.to_radius_m);
    part.from_radius_m *= begins ? TUCK_START : TUCK_RADIUS;
    part.to_radius_m *= TUCK_RADIUS;
    part.skin = skin;
    add_part(s, &part);
}

static struct owl_point mark_end(const struct shaping *s, const double end[3], double radius_m, double side)
{
    return point(end[0] * s->body->length_m, side * aside_m(s, end[1], radius_m), height_m(s, end[2]));
}

static void grow_marks(struct shaping *s)
{
    const struct owl_build_piece *mark = s->build->marks;
    s->soft = MARK_BLEND;
    for (int i = 0; i < OWL_BUILD_MARKS && mark[i].from_radius > 0.0; i++) {
        double from_m = mark[i].from_radius * s->unit_m, to_m = mark[i].to_radius * s->unit_m;
        s->skin = mark[i].skin;
        for (int side = 1; side >= (mark[i].both ? -1 : 1); side -= 2) {
            struct owl_point from = mark_end(s, mark[i].from, from_m, side), to = mark_end(s, mark[i].to, to_m, side);
            grow(s, &from, from_m, &to, to_m);
        }
    }
    s->skin = OWL_SKIN_COAT;
    s->soft = LIMB_BLEND;
}

static void grow_trunk(struct shaping *s)
{
    const struct owl_build_section *trunk = s->build->trunk;
    int widest = 0;
    for (int i = 1; i < OWL_BUILD_SECTIONS; i++)
        widest = trunk[i].wide > trunk[widest].wide ? i : widest;
    double deep_m = height_m(s, trunk[widest].top) - height_m(s, trunk[widest].bottom);
    bool broad = trunk[widest].wide * s->body->width_m > deep_m;
    begin_limb(s);
    struct cut last = cut_of(s, trunk, broad);
    for (int i = 1; i < OWL_BUILD_SECTIONS && trunk[i].wide > 0.0; i++) {
        struct cut next = cut_of(s, &trunk[i], broad);
        grow_stretch(s, &last, &next);
        struct owl_form_part lowest = {.from = point(last.x_m, 0.0, last.z_m - last.rise_m), .from_radius_m = last.radius_m,
                                       .to = point(next.x_m, 0.0, next.z_m - next.rise_m), .to_radius_m = next.radius_m,
                                       .blend_m = TRUNK_BLEND * last.radius_m};
        if (i + 1 < OWL_BUILD_SECTIONS && trunk[i + 1].wide > 0.0)
            tuck_under(s, &lowest, s->build->belly, i == 1);
        last = next;
    }
    grow_marks(s);
}

/* ---- head, neck, tail ---- */

static struct owl_point piece_end(const struct shaping *s, const struct owl_point *root, const double end[3], double side)
{
    return point(root->x_m + end[0] * s->unit_m, root->y_m + side * end[1] * s->unit_m, root->z_m + end[2] * s->unit_m);
}

/* The skin of a list's i-th piece, and how it is joined: to the one before, if it goes on from there. */
static void take_up(struct shaping *s, const struct owl_build_piece *piece, int i)
{
    bool goes_on = i > 0 && memcmp(piece[i].from, piece[i - 1].to, sizeof piece[i].from) == 0;
    s->skin = piece[i].skin;
    s->soft = goes_on ? JOINT_BLEND : LIMB_BLEND;
}

static void grow_pieces(struct shaping *s, const struct owl_point *root, const struct owl_build_piece *piece, int most)
{
    for (int i = 0; i < most && piece[i].from_radius > 0.0; i++) {
        take_up(s, piece, i);
        for (int side = 1; side >= (piece[i].both ? -1 : 1); side -= 2) {
            struct owl_point from = piece_end(s, root, piece[i].from, side), to = piece_end(s, root, piece[i].to, side);
            grow(s, &from, piece[i].from_radius * s->unit_m, &to, piece[i].to_radius * s->unit_m);
        }
    }
    s->skin = OWL_SKIN_COAT;
    s->soft = LIMB_BLEND;
}

/* Where the middle of the skull must be for the foremost piece to touch the nose's plane and its crown the head's height. */
static struct owl_point skull_of(const struct shaping *s)
{
    const struct owl_build_piece *head = s->build->head;
    double fore = 0.0;
    for (int i = 0; i < OWL_BUILD_PIECES && head[i].from_radius > 0.0; i++)
        fore = fmax(fore, fmax(head[i].from[0] + head[i].from_radius, head[i].to[0] + head[i].to_radius));
    double crown = fmax(head->from[2] + head->from_radius, head->to[2] + head->to_radius);
    return point(s->body->length_m / 2.0 - fore * s->unit_m, 0.0, s->body->height_m - crown * s->unit_m);
}

static void grow_neck(struct shaping *s, const struct owl_point *skull)
{
    const struct owl_build_joint *neck = s->build->neck;
    struct owl_point root = point(neck->x * s->body->length_m, 0.0, height_m(s, neck->z)), last = root;
    for (int i = 1; i < OWL_BUILD_NECK && neck[i].radius > 0.0; i++) {
        struct owl_point next = point(root.x_m + neck[i].x * (skull->x_m - root.x_m), 0.0,
                                      root.z_m + neck[i].z * (skull->z_m - root.z_m));
        struct owl_form_part part = cone(s, &last, neck[i - 1].radius * s->unit_m, &next, neck[i].radius * s->unit_m);
        add_part(s, &part);
        tuck_under(s, &part, s->build->throat, i == 1);
        s->soft = JOINT_BLEND;
        last = next;
    }
    s->soft = LIMB_BLEND;
}

static void grow_head(struct shaping *s)
{
    struct owl_point skull = skull_of(s);
    begin_limb(s);
    grow_neck(s, &skull);
    begin_limb(s);
    grow_pieces(s, &skull, s->build->head, OWL_BUILD_PIECES);
}

static void grow_tail(struct shaping *s)
{
    struct owl_point root = point(-s->body->length_m / 2.0, 0.0, height_m(s, s->build->tail_z));
    begin_limb(s);
    grow_pieces(s, &root, s->build->tail, OWL_BUILD_TAIL);
}

/* ---- legs ---- */

#define ON_GROUND 0.65 /* share of the stride a foot stands, walking: estimate */
#define LIFT 0.5       /* of the stride's reach: how high a foot swings through */

/* Where a foot is, -1 (behind) .. 1 (before), and how high of its lift. It stands first, then swings forward. */
static void foot_at(double phase, double *forward, double *lift)
{
    phase -= floor(phase);
    double swung = (phase - ON_GROUND) / (1.0 - ON_GROUND);
    *forward = swung < 0.0 ? 1.0 - 2.0 * phase / ON_GROUND : -cos(OWL_PI * swung);
    *lift = swung < 0.0 ? 0.0 : sin(OWL_PI * swung) * sin(OWL_PI * swung);
}

struct leg_pose {
    double forward_m, lift_m, side;
};

/* The hip stays, the knee goes along by a part, foot and hock by all; in swinging the knee is raised before the foot. */
static void grow_leg(struct shaping *s, const struct owl_build_leg *leg, const struct leg_pose *pose)
{
    double u = s->unit_m, side = pose->side, foot_m = leg->foot_radius * u, lift_m = pose->lift_m, forward_m = pose->forward_m;
    double hip_y_m = aside_m(s, leg->out, leg->hip.radius * u), foot_y_m = aside_m(s, leg->stance, foot_m);
    struct owl_point hip = point(leg->hip.x * s->body->length_m, side * hip_y_m, height_m(s, leg->hip.z));
    struct owl_point knee = point(hip.x_m + leg->knee.x * u + 0.4 * forward_m + 0.5 * lift_m,
                                  side * (0.6 * hip_y_m + 0.4 * foot_y_m), height_m(s, leg->knee.z) + 0.3 * lift_m);
    struct owl_point hock = point(hip.x_m + leg->hock.x * u + 0.8 * forward_m, side * (0.2 * hip_y_m + 0.8 * foot_y_m),
                                  height_m(s, leg->hock.z) + 0.8 * lift_m);
    struct owl_point heel = point(hip.x_m + leg->heel_x * u + forward_m, side * foot_y_m, foot_m + lift_m);
    struct owl_point toe = point(hip.x_m + leg->toe_x * u + forward_m, side * foot_y_m, foot_m + 0.6 * lift_m);
    begin_limb(s);
    s->skin = leg->thigh;
    s->soft = LIMB_BLEND;
    grow(s, &hip, leg->hip.radius * u, &knee, leg->knee.radius * u);
    s->skin = leg->shank;
    s->soft = JOINT_BLEND;
    grow(s, &knee, leg->knee.radius * u, &hock, leg->hock.radius * u);
    s->skin = leg->lower;
    grow(s, &hock, leg->hock.radius * u, &heel, 0.9 * foot_m);
    s->skin = leg->foot;
    grow(s, &heel, foot_m, &toe, foot_m);
    for (int way = -1; way <= 1 && leg->splay > 0.0; way += 2) {
        struct owl_point beside = point(toe.x_m, toe.y_m + way * leg->splay * (toe.x_m - heel.x_m), toe.z_m);
        grow(s, &heel, foot_m, &beside, foot_m);
    }
    s->skin = OWL_SKIN_COAT;
}

/* Walking, the feet follow each other round: left hind, left fore, right hind, right fore. */
static void grow_legs(struct shaping *s, double step)
{
    const struct owl_build_leg *legs[] = {&s->build->hind, &s->build->fore, &s->build->hind, &s->build->fore};
    for (int i = 0; i < 4; i++) {
        double forward, lift, reach_m = s->build->stride * s->unit_m;
        foot_at(step + 0.25 * i, &forward, &lift);
        struct leg_pose pose = {forward * reach_m, lift * LIFT * reach_m, i < 2 ? 1.0 : -1.0};
        if (legs[i]->hip.radius > 0.0)
            grow_leg(s, legs[i], &pose);
    }
}

/* ---- skins ---- */

static const double luminance[3] = {0.2126, 0.7152, 0.0722}; /* weights of red, green and blue [bt709] */

/* A reflectance of that luminance, its hue by `depth` that of the kind, the rest grey; paler where a colour would
   pass 1. */
static void tint(double wanted, const double hue[3], double depth, double out[3])
{
    double bright = 0.0, most = 1.0;
    for (int c = 0; c < 3; c++)
        bright += luminance[c] * hue[c];
    for (int c = 0; c < 3; c++)
        most = fmax(most, hue[c] / bright);
    if (wanted * (1.0 + depth * (most - 1.0)) > 1.0)
        depth = (1.0 / wanted - 1.0) / (most - 1.0);
    for (int c = 0; c < 3; c++)
        out[c] = wanted * (1.0 + depth * (hue[c] / bright - 1.0));
}

#define PALE_TIMES 2.5
#define PALE_MOST 0.7
#define DARK_TIMES 0.35
#define BARE_REFLECTANCE 0.06
#define EYE_REFLECTANCE 0.02

static void colour(const struct shaping *s)
{
    double coat = s->body->coat;
    const double *hue = owl_animal_at((size_t)s->body->kind)->coat_hue;
    double(*out)[3] = s->form->reflectance;
    tint(coat, hue, 1.0, out[OWL_SKIN_COAT]);
    tint(fmax(coat, fmin(PALE_TIMES * coat, PALE_MOST)), hue, 0.35, out[OWL_SKIN_PALE]);
    tint(DARK_TIMES * coat, hue, 0.7, out[OWL_SKIN_DARK]);
    tint(BARE_REFLECTANCE, hue, 0.3, out[OWL_SKIN_BARE]);
    tint(EYE_REFLECTANCE, hue, 0.0, out[OWL_SKIN_EYE]);
}

/* ---- the whole ---- */

void owl_form_of(const struct owl_plan_body *body, double step, struct owl_form *form)
{
    const struct owl_build *build = owl_build_of(owl_animal_at((size_t)body->kind)->build);
    struct shaping s = {.body = body, .build = build, .form = form, .skin = OWL_SKIN_COAT, .soft = LIMB_BLEND};
    s.unit_m = fmin(body->length_m, fmin(body->height_m / build->height, body->width_m / build->width));
    memset(form, 0, sizeof *form);
    grow_trunk(&s);
    grow_head(&s);
    grow_legs(&s, step);
    grow_tail(&s);
    colour(&s);
    owl_form_gather(form);
}
