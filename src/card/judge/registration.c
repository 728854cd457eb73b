/* Patches found by normalised correlation, first at half size, then to a fraction of a pixel; a rigid motion fitted to those
   that agree. */
#include "card/judge/registration.h"

#include <math.h>

#define HALF_SIDE (OWL_PATCH_SIDE / 2)
#define HALF_REACH (OWL_REGISTRATION_REACH_PX / 2)
#define NEAR_REACH 2         /* half-size pixels searched around a good guess */
#define FINE_REACH 2         /* pixels searched around the find at half size */
#define CORNER_STEP 3        /* pixels between the places tried in a cell */
#define CORNER_LEAST 6.0     /* smaller eigenvalue of a landmark's structure, levels^2 a pixel */
#define FOUND_CORRELATION 0.7
#define FEWEST_FOUND 6
#define AGREEING_SHARE 0.35
#define FIT_ROUNDS 5
#define AGREEING_PX 0.9
#define FIRST_TRUST 0.5f
#define LEAST_TRUST 0.35f
#define TRUST_STEP 0.1f
#define STAYS_AGAINST 1.3     /* times as many must agree on another pose than on the one guessed */

/* ---- poses ---- */

struct owl_point_px owl_pose_apply(const struct owl_pose *pose, int width, int height, double x, double y)
{
    double c = cos(pose->turn_rad), s = sin(pose->turn_rad), u = x - 0.5 * (width - 1), v = y - 0.5 * (height - 1);
    return (struct owl_point_px){c * u - s * v + 0.5 * (width - 1) + pose->right_px,
                                 s * u + c * v + 0.5 * (height - 1) + pose->down_px};
}

struct owl_pose owl_pose_chain(const struct owl_pose *first, const struct owl_pose *then)
{
    double c = cos(then->turn_rad), s = sin(then->turn_rad);
    return (struct owl_pose){c * first->right_px - s * first->down_px + then->right_px,
                             s * first->right_px + c * first->down_px + then->down_px, first->turn_rad + then->turn_rad};
}

struct owl_pose owl_pose_back(const struct owl_pose *pose)
{
    double c = cos(pose->turn_rad), s = sin(pose->turn_rad);
    return (struct owl_pose){-c * pose->right_px - s * pose->down_px, s * pose->right_px - c * pose->down_px, -pose->turn_rad};
}

double owl_pose_apart_px(const struct owl_pose *a, const struct owl_pose *b, int width, int height)
{
    double corner = 0.5 * hypot(width, height);
    return hypot(a->right_px - b->right_px, a->down_px - b->down_px) + corner * fabs(a->turn_rad - b->turn_rad);
}

/* ---- landmarks ---- */

/* Sums of the gradient's products over whole patches, as tables of sums from the top left. */
static void structure(const struct owl_luma *luma, float *xx, float *xy, float *yy)
{
    int width = luma->width;
    for (int y = 0; y < luma->height; y++)
        for (int x = 0; x < width; x++) {
            size_t i = (size_t)y * (size_t)width + (size_t)x;
            float gx = 0.0f, gy = 0.0f;
            if (x > 0 && y > 0 && x < width - 1 && y < luma->height - 1) {
                gx = 0.5f * (float)(luma->level[i + 1] - luma->level[i - 1]);
                gy = 0.5f * (float)(luma->level[i + (size_t)width] - luma->level[i - (size_t)width]);
            }
            xx[i] = gx * gx;
            xy[i] = gx * gy;
            yy[i] = gy * gy;
        }
}

/* The smaller eigenvalue of the mean structure around a pixel, the means lying in xx, xy, yy. */
static double cornerness(const float *xx, const float *xy, const float *yy, size_t i)
{
    double half = 0.5 * ((double)xx[i] + (double)yy[i]), apart = 0.5 * ((double)xx[i] - (double)yy[i]);
    return half - hypot(apart, (double)xy[i]);
}

/* count levels shifted to mean 0 and scaled to length 1; false where they are all alike. */
static bool normalise(float *value, int count)
{
    float sum = 0.0f, squares = 0.0f;
    for (int i = 0; i < count; i++)
        sum += value[i];
    for (int i = 0; i < count; i++) {
        value[i] -= sum / (float)count;
        squares += value[i] * value[i];
    }
    if (!(squares > 0.0f))
        return false;
    float scale = 1.0f / sqrtf(squares);
    for (int i = 0; i < count; i++)
        value[i] *= scale;
    return true;
}

static bool cut(const struct owl_luma *luma, struct owl_patch *patch)
{
    for (int y = 0; y < OWL_PATCH_SIDE; y++)
        for (int x = 0; x < OWL_PATCH_SIDE; x++)
            patch->full[y * OWL_PATCH_SIDE + x] =
                luma->level[(size_t)(patch->top + y) * (size_t)luma->width + (size_t)(patch->left + x)];
    for (int y = 0; y < HALF_SIDE; y++)
        for (int x = 0; x < HALF_SIDE; x++) {
            const float *corner = patch->full + 2 * y * OWL_PATCH_SIDE + 2 * x;
            patch->half[y * HALF_SIDE + x] =
                0.25f * (corner[0] + corner[1] + corner[OWL_PATCH_SIDE] + corner[OWL_PATCH_SIDE + 1]);
        }
    return normalise(patch->full, OWL_PATCH_SIDE * OWL_PATCH_SIDE) && normalise(patch->half, HALF_SIDE * HALF_SIDE);
}

static int even(int i)
{
    return i - i % 2;
}

void owl_landmarks_find(const struct owl_luma *luma, float *work, struct owl_landmarks *landmarks)
{
    int width = luma->width, height = luma->height, middle = OWL_PATCH_SIDE / 2;
    float *xx = work, *xy = xx + owl_luma_pixels(luma), *yy = xy + owl_luma_pixels(luma), *spare = yy + owl_luma_pixels(luma);
    structure(luma, xx, xy, yy);
    owl_luma_box_mean(width, height, middle, xx, spare, xx);
    owl_luma_box_mean(width, height, middle, xy, spare, xy);
    owl_luma_box_mean(width, height, middle, yy, spare, yy);
    landmarks->count = 0;
    for (int cell = 0; cell < OWL_PATCHES; cell++) {
        int u = cell % OWL_PATCHES_ACROSS, v = cell / OWL_PATCHES_ACROSS;
        struct owl_patch *patch = &landmarks->patch[landmarks->count];
        double best = CORNER_LEAST;
        bool found = false;
        for (int y = v * height / OWL_PATCHES_DOWN; y < (v + 1) * height / OWL_PATCHES_DOWN; y += CORNER_STEP)
            for (int x = u * width / OWL_PATCHES_ACROSS; x < (u + 1) * width / OWL_PATCHES_ACROSS; x += CORNER_STEP) {
                if (x < middle || y < middle || x > width - middle - 1 || y > height - middle - 1)
                    continue;
                double corner = cornerness(xx, xy, yy, (size_t)y * (size_t)width + (size_t)x);
                if (corner > best) {
                    best = corner;
                    patch->left = even(x - middle);
                    patch->top = even(y - middle);
                    patch->trust = FIRST_TRUST;
                    found = true;
                }
            }
        landmarks->count += found && cut(luma, patch);
    }
}

/* ---- finding them again ---- */

/* Correlation of a normalised template with the same square of a picture at (left, top); -1 beyond its border. */
static float correlation(const struct owl_luma *luma, const float *template, int side, int left, int top)
{
    if (left < 0 || top < 0 || left + side > luma->width || top + side > luma->height)
        return -1.0f;
    float cross = 0.0f;
    int sum = 0, squares = 0;
    for (int y = 0; y < side; y++) {
        const uint8_t *row = luma->level + (size_t)(top + y) * (size_t)luma->width + (size_t)left;
        for (int x = 0; x < side; x++) {
            int level = row[x];
            sum += level;
            squares += level * level;
            cross += template[y * side + x] * (float)level;
        }
    }
    float spread = (float)squares - (float)sum * (float)sum / (float)(side * side);
    return spread > 0.0f ? cross / sqrtf(spread) : 0.0f;
}

/* Where a parabola through three neighbouring values has its top, against the middle one. */
static double top_of(float before, float middle, float after)
{
    double bend = (double)before - 2.0 * (double)middle + (double)after;
    return bend < 0.0 ? fmax(-0.5, fmin(0.5, 0.5 * ((double)before - (double)after) / bend)) : 0.0;
}

struct search {
    const struct owl_luma *luma;
    const float *template;
    int side, reach;
};

/* The best place within reach of (*left, *top), written there; its correlation. */
static float best_place(const struct search *search, int *left, int *top)
{
    int at_left = *left, at_top = *top;
    float best = -1.0f;
    for (int dy = -search->reach; dy <= search->reach; dy++)
        for (int dx = -search->reach; dx <= search->reach; dx++) {
            float here = correlation(search->luma, search->template, search->side, at_left + dx, at_top + dy);
            if (here > best) {
                best = here;
                *left = at_left + dx;
                *top = at_top + dy;
            }
        }
    return best;
}

struct find {
    struct owl_patch *patch;
    double x, y;          /* the patch's middle against the picture's, in the landmarks' picture */
    double right, down;   /* how far away it was found */
};

static bool find_patch(struct owl_patch *patch, const struct owl_luma *luma, const struct owl_luma *half,
                       const struct owl_pose *guess, int reach, struct find *find)
{
    double middle = 0.5 * (OWL_PATCH_SIDE - 1);
    struct owl_point_px at = owl_pose_apply(guess, luma->width, luma->height, patch->left + middle, patch->top + middle);
    int left = (int)lround((at.x - middle) / 2.0), top = (int)lround((at.y - middle) / 2.0);
    struct search coarse = {half, patch->half, HALF_SIDE, reach}, fine = {luma, patch->full, OWL_PATCH_SIDE, FINE_REACH};
    if (best_place(&coarse, &left, &top) < (float)FOUND_CORRELATION)
        return false;
    left *= 2;
    top *= 2;
    float best = best_place(&fine, &left, &top);
    if (best < (float)FOUND_CORRELATION)
        return false;
    float before_x = correlation(luma, patch->full, OWL_PATCH_SIDE, left - 1, top);
    float after_x = correlation(luma, patch->full, OWL_PATCH_SIDE, left + 1, top);
    float before_y = correlation(luma, patch->full, OWL_PATCH_SIDE, left, top - 1);
    float after_y = correlation(luma, patch->full, OWL_PATCH_SIDE, left, top + 1);
    *find = (struct find){patch, patch->left + middle - 0.5 * (luma->width - 1), patch->top + middle - 0.5 * (luma->height - 1),
                          left + top_of(before_x, best, after_x) - patch->left,
                          top + top_of(before_y, best, after_y) - patch->top};
    return before_x > -1.0f && after_x > -1.0f && before_y > -1.0f && after_y > -1.0f;
}

/* ---- the motion they agree on ---- */

static double miss_px(const struct find *find, const struct owl_pose *pose)
{
    return hypot(find->right - pose->right_px + pose->turn_rad * find->y, find->down - pose->down_px - pose->turn_rad * find->x);
}

/* Least squares for shift and (small) turn over the finds nearer than that; how many those are. With x, y taken from their
   own mean the normal equations fall apart into three single ones. */
static int refit(const struct find *find, int finds, double nearer_px, struct owl_pose *pose)
{
    double n = 0.0, x = 0.0, y = 0.0, right = 0.0, down = 0.0, moment = 0.0, turn = 0.0;
    bool used[OWL_PATCHES];
    for (int i = 0; i < finds; i++) {
        used[i] = miss_px(&find[i], pose) <= nearer_px;
        if (!used[i])
            continue;
        n += 1.0;
        x += find[i].x;
        y += find[i].y;
        right += find[i].right;
        down += find[i].down;
    }
    if (n < 3.0)
        return 0;
    for (int i = 0; i < finds; i++) {
        double u = find[i].x - x / n, v = find[i].y - y / n;
        moment += used[i] ? u * u + v * v : 0.0;
        turn += used[i] ? u * (find[i].down - down / n) - v * (find[i].right - right / n) : 0.0;
    }
    turn = moment > 0.0 ? turn / moment : 0.0;
    *pose = (struct owl_pose){right / n + turn * y / n, down / n - turn * x / n, turn};
    return (int)n;
}

/* Once from where most finds lie, once from the guess. Leaves in the wind agree among each other, too: so the camera is taken
   to stand where it stood unless clearly more speak for another place. */
static bool agree(const struct find *find, int finds, const struct owl_pose *guess, struct owl_pose *pose)
{
    static const double nearer_px[FIT_ROUNDS] = {4.0, 2.0, AGREEING_PX, AGREEING_PX, AGREEING_PX};
    float right[OWL_PATCHES], down[OWL_PATCHES];
    if (finds < FEWEST_FOUND)
        return false;
    for (int i = 0; i < finds; i++) {
        right[i] = (float)find[i].right;
        down[i] = (float)find[i].down;
    }
    struct owl_pose fit = {.right_px = (double)owl_luma_ranked(right, finds, finds / 2)}, stay = *guess;
    fit.down_px = (double)owl_luma_ranked(down, finds, finds / 2);
    int used = 0, staying = 0;
    for (int i = 0; i < FIT_ROUNDS; i++)
        used = refit(find, finds, nearer_px[i], &fit);
    for (int i = 0; i < FIT_ROUNDS; i++)
        staying = refit(find, finds, AGREEING_PX, &stay);
    if (used <= STAYS_AGAINST * staying) {
        fit = stay;
        used = staying;
    }
    if (used < FEWEST_FOUND || used < AGREEING_SHARE * finds)
        return false;
    *pose = fit;
    return true;
}

/* Moves the trusted finds to the front; how many, or all if they are too few to go by. */
static int trusted(struct find *find, int finds)
{
    int count = 0;
    for (int i = 0; i < finds; i++) {
        if (find[i].patch->trust < LEAST_TRUST)
            continue;
        struct find kept = find[count];
        find[count++] = find[i];
        find[i] = kept;
    }
    return count >= FEWEST_FOUND ? count : finds;
}

static bool pose_within(struct owl_landmarks *landmarks, const struct owl_luma *luma, const struct owl_luma *half,
                        const struct owl_pose *guess, int reach, struct owl_pose *pose)
{
    struct find find[OWL_PATCHES];
    int finds = 0;
    for (int i = 0; i < landmarks->count; i++)
        finds += find_patch(&landmarks->patch[i], luma, half, guess, reach, &find[finds]);
    if (reach <= NEAR_REACH && finds < landmarks->count / 2)
        return false;
    if (!agree(find, trusted(find, finds), guess, pose))
        return false;
    for (int i = 0; i < finds; i++) {
        float agreed = miss_px(&find[i], pose) <= AGREEING_PX ? 1.0f : 0.0f;
        find[i].patch->trust += TRUST_STEP * (agreed - find[i].patch->trust);
    }
    return true;
}

bool owl_landmarks_pose(struct owl_landmarks *landmarks, const struct owl_luma *luma, const struct owl_pose *guess,
                        uint8_t *half, struct owl_pose *pose)
{
    static const struct owl_pose nowhere = {0.0, 0.0, 0.0};
    struct owl_luma small = {luma->width / 2, luma->height / 2, half};
    owl_luma_halve(luma, half);
    if (guess && pose_within(landmarks, luma, &small, guess, NEAR_REACH, pose))
        return true;
    return pose_within(landmarks, luma, &small, guess ? guess : &nowhere, HALF_REACH, pose);
}

/* ---- undoing it ---- */

static double inside(double at, int count)
{
    return at < 0.0 ? 0.0 : at > count - 1 ? count - 1 : at;
}

void owl_pose_undo(const struct owl_luma *luma, const struct owl_pose *pose, uint8_t *out)
{
    int width = luma->width, height = luma->height;
    double c = cos(pose->turn_rad), s = sin(pose->turn_rad);
    for (int y = 0; y < height; y++) {
        struct owl_point_px at = owl_pose_apply(pose, width, height, 0.0, y);
        for (int x = 0; x < width; x++) {
            double u = inside(at.x + c * x, width), v = inside(at.y + s * x, height);
            int left = (int)u, top = (int)v;
            const uint8_t *corner = luma->level + (size_t)top * (size_t)width + (size_t)left;
            int right = left < width - 1, below = top < height - 1 ? width : 0;
            double p = u - left, q = v - top;
            double upper = corner[0] + p * (corner[right] - corner[0]);
            double lower = corner[below] + p * (corner[below + right] - corner[below]);
            out[(size_t)y * (size_t)width + (size_t)x] = (uint8_t)(upper + q * (lower - upper) + 0.5);
        }
    }
}
