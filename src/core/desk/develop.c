/* A film developed: images weighed and added, the animal smeared by its walk, everything blurred by its distance. */
#include <math.h>
#include <string.h>

#include "core/desk/film.h"

#define LEAST_SMEAR_PX 0.5
#define BOX_OF_DISC 0.8660254 /* a box of so many diameters spreads as wide as the disc: side^2/12 = diameter^2/16 */
#define LEAST_HALF_PX 0.05    /* a box that reaches no farther than this beyond its pixel blurs nothing */
#define MOST_HALF_PX 400.0
#define COLOURS 3

/* A piece of the film, and planes of its size. */
struct piece {
    int left, top, width, height;
    size_t pixels;
};

/* Room for developing, laid out over the caller's. Sums are doubles: over a whole picture floats would lose the shadows. */
struct darkroom {
    struct piece whole;
    double *sum;                    /* one more than the piece has either way */
    float *behind_half, *body_half; /* how far the box of each pixel of the film reaches beyond it */
    float *behind, *body, *cover;   /* of the lights developed together; planes of a piece */
    float *half;
    double most_behind, most_body; /* the farthest reach */
};

#define DARKROOM_PLANES 10 /* two halves of the film; of a piece behind and body of three colours, cover, one half */

static size_t sums_of(const struct owl_film *film)
{
    return ((size_t)film->width + 1) * ((size_t)film->height + 1);
}

size_t owl_film_work_floats(const struct owl_film *film)
{
    size_t pixels = (size_t)film->width * (size_t)film->height;
    return DARKROOM_PLANES * pixels + 2 * sums_of(film) + 2;
}

static struct piece piece_of(int left, int top, int right, int bottom)
{
    struct piece piece = {left, top, right - left, bottom - top, 0};
    piece.pixels = (size_t)piece.width * (size_t)piece.height;
    return piece;
}

static struct darkroom darkroom_over(const struct owl_film *film, float *work)
{
    struct darkroom room = {.whole = piece_of(0, 0, film->width, film->height)};
    size_t pixels = room.whole.pixels;
    while ((uintptr_t)work % sizeof(double) != 0)
        work++;
    room.sum = (double *)(void *)work;
    work += 2 * sums_of(film);
    room.behind_half = work;
    room.body_half = work + pixels;
    room.behind = work + 2 * pixels;
    room.body = work + 5 * pixels;
    room.cover = work + 8 * pixels;
    room.half = work + 9 * pixels;
    return room;
}

/* ---- smear ---- */

/* One line of pixels in the order of the walk, and how its box of `length` pixels weighs them: half the pixel it begins in,
   `whole` whole ones behind, and of one more the rest. */
struct smear {
    ptrdiff_t along, beside; /* from a pixel to the next along the greater axis, and to its neighbour line */
    int count, lines;        /* pixels of a line; lines of the film */
    double slope;            /* lines to a pixel */
    double length, rest;
    int whole;
    bool backwards;
};

static struct smear smear_of(const struct piece *piece, double x_px, double y_px, ptrdiff_t stride)
{
    bool wide = fabs(x_px) >= fabs(y_px);
    ptrdiff_t row = stride * piece->width;
    double greater = wide ? x_px : y_px, lesser = wide ? y_px : x_px;
    struct smear smear = {.along = wide ? stride : row, .beside = wide ? row : stride,
                          .count = wide ? piece->width : piece->height, .lines = wide ? piece->height : piece->width};
    smear.slope = lesser / greater;
    smear.length = fmax(fabs(greater), LEAST_SMEAR_PX);
    double behind = fmin(smear.length - 0.5, (double)smear.count + 1.0);
    smear.whole = (int)behind;
    smear.rest = behind - smear.whole;
    smear.backwards = greater < 0.0;
    return smear;
}

/* Pixel `step` of the line that begins at `line`; NULL off the film. */
static float *pixel_of(const struct smear *smear, float *plane, int line, int step)
{
    int place = smear->backwards ? smear->count - 1 - step : step;
    int across = line + (int)floor(smear->slope * place + 0.5);
    if (across < 0 || across >= smear->lines)
        return NULL;
    return plane + place * smear->along + across * smear->beside;
}

/* before[i]: sum of the line's first i pixels. */
static void smear_line(const struct smear *smear, float *plane, int line, double *before)
{
    before[0] = 0.0;
    for (int i = 0; i < smear->count; i++) {
        const float *pixel = pixel_of(smear, plane, line, i);
        before[i + 1] = before[i] + (pixel ? (double)*pixel : 0.0);
    }
    for (int i = 0; i < smear->count; i++) {
        float *pixel = pixel_of(smear, plane, line, i);
        if (!pixel)
            continue;
        int from = i - smear->whole;
        double sum = 0.5 * (before[i + 1] - before[i]) + before[i] - before[from > 0 ? from : 0];
        if (from > 0)
            sum += smear->rest * (before[from] - before[from - 1]);
        *pixel = (float)(sum / smear->length);
    }
}

static void smear_plane(const struct piece *piece, float *plane, ptrdiff_t stride, const double way_px[2], double *before)
{
    struct smear smear = smear_of(piece, way_px[0], way_px[1], stride);
    int most = (int)ceil(fabs(smear.slope) * smear.count) + 1;
    for (int line = -most; line < smear.lines + most; line++)
        smear_line(&smear, plane, line, before);
}

/* ---- blur ---- */

/* How far the box of each pixel reaches beyond it; the farthest of all is returned. The disc is disc_px |1 - focus/depth|; what
   has no depth is not blurred. */
static double find_halves(const struct owl_film_exposure *exposure, const float *depth_m, size_t pixels, float *half)
{
    bool far_focus = isinf(exposure->focus_m);
    double one = far_focus ? 0.0 : 1.0, focus_m = far_focus ? 1.0 : exposure->focus_m, most = 0.0;
    double scale = BOX_OF_DISC * exposure->disc_px / 2.0;
    for (size_t i = 0; i < pixels; i++) {
        double depth = (double)depth_m[i], reach = scale * fabs(one - focus_m / depth) - 0.5;
        reach = depth > 0.0 && reach > 0.0 ? reach : 0.0;
        reach = reach < MOST_HALF_PX ? reach : MOST_HALF_PX;
        half[i] = (float)reach;
        most = reach > most ? reach : most;
    }
    return most;
}

/* Where the animal does not stand, its blur is that of its nearest part: in its row, else in its column. Without a cover
   there is nothing to find, and all is 0. */
static void spread_depth(const struct owl_film *film, float *spread_m)
{
    size_t width = (size_t)film->width, pixels = width * (size_t)film->height;
    for (size_t i = 0; i < pixels; i++)
        spread_m[i] = film->cover[i] > 0.0f ? film->body_depth_m[i] : 0.0f;
    for (size_t i = 1; i < pixels; i++)
        if (spread_m[i] == 0.0f && i % width != 0)
            spread_m[i] = spread_m[i - 1];
    for (size_t i = pixels - 1; i-- > 0;)
        if (spread_m[i] == 0.0f && (i + 1) % width != 0)
            spread_m[i] = spread_m[i + 1];
    for (size_t i = width; i < pixels; i++)
        if (spread_m[i] == 0.0f)
            spread_m[i] = spread_m[i - width];
    for (size_t i = pixels - width; i-- > 0;)
        if (spread_m[i] == 0.0f)
            spread_m[i] = spread_m[i + width];
}

/* sum[y][x]: of everything above and to the left. */
static void sum_plane(const struct piece *piece, const float *plane, size_t stride, double *sum)
{
    size_t width = (size_t)piece->width, row = width + 1;
    for (size_t x = 0; x <= width; x++)
        sum[x] = 0.0;
    for (size_t y = 0; y < (size_t)piece->height; y++) {
        double so_far = 0.0, *here = sum + (y + 1) * row;
        const float *pixel = plane + y * width * stride;
        here[0] = 0.0;
        for (size_t x = 0; x < width; x++) {
            so_far += (double)pixel[x * stride];
            here[x + 1] = here[x + 1 - row] + so_far;
        }
    }
}

/* Mean of the box around a pixel, as much of it as lies on the piece. */
static double box_mean(const struct piece *piece, const double *sum, int x, int y, int reach)
{
    int left = x > reach ? x - reach : 0, right = x + reach + 1 < piece->width ? x + reach + 1 : piece->width;
    int top = y > reach ? y - reach : 0, bottom = y + reach + 1 < piece->height ? y + reach + 1 : piece->height;
    const double *above = sum + (size_t)top * ((size_t)piece->width + 1);
    const double *below = sum + (size_t)bottom * ((size_t)piece->width + 1);
    return (below[right] - below[left] - above[right] + above[left]) / ((right - left) * (bottom - top));
}

/* Between two whole boxes the mean runs straight. */
static void blur_plane(const struct piece *piece, float *plane, size_t stride, const float *half, double *sum)
{
    sum_plane(piece, plane, stride, sum);
    for (int y = 0; y < piece->height; y++)
        for (int x = 0; x < piece->width; x++) {
            size_t i = (size_t)y * (size_t)piece->width + (size_t)x;
            if (half[i] < (float)LEAST_HALF_PX)
                continue;
            int reach = (int)half[i];
            double more = (double)half[i] - reach, mean = box_mean(piece, sum, x, y, reach);
            plane[i * stride] = (float)(mean + more * (box_mean(piece, sum, x, y, reach + 1) - mean));
        }
}

static void blur_colours(const struct piece *piece, float *colours, const float *half, double *sum)
{
    for (size_t c = 0; c < COLOURS; c++)
        blur_plane(piece, colours + c, COLOURS, half, sum);
}

/* ---- lights developed together ---- */

/* Lights whose picture of the animal moves alike. */
struct group {
    double weight[OWL_FILM_LIGHTS]; /* 0 for those of other groups */
    double way_px[2];
    bool alone; /* no light burns but these */
};

static bool smears(const struct owl_film_exposure *exposure, int light)
{
    return hypot(exposure->smear_x_px[light], exposure->smear_y_px[light]) >= LEAST_SMEAR_PX;
}

/* The weighed sum of images over a piece of the film. */
static void add_images(const struct owl_film *film, float *const image[], const double *weight, const struct piece *piece,
                       float *sum)
{
    size_t row = COLOURS * (size_t)piece->width;
    memset(sum, 0, COLOURS * piece->pixels * sizeof *sum);
    for (int light = 0; light < film->lights; light++) {
        float factor = (float)weight[light];
        for (size_t y = 0; factor != 0.0f && y < (size_t)piece->height; y++) {
            size_t start = ((size_t)piece->top + y) * (size_t)film->width + (size_t)piece->left;
            const float *from = image[light] + COLOURS * start;
            float *to = sum + row * y;
            for (size_t i = 0; i < row; i++)
                to[i] += factor * from[i];
        }
    }
}

/* One plane of the film, cut to a piece. */
static void cut_plane(const struct owl_film *film, const float *plane, const struct piece *piece, float *cut)
{
    for (size_t y = 0; y < (size_t)piece->height; y++) {
        const float *from = plane + ((size_t)piece->top + y) * (size_t)film->width + (size_t)piece->left;
        memcpy(cut + y * (size_t)piece->width, from, (size_t)piece->width * sizeof *cut);
    }
}

static int clipped(double value, int most)
{
    return value < 0.0 ? 0 : value > most ? most : (int)value;
}

/* Where the animal's picture may reach: where it stands, its way, its blur, and around it what the blur of the ground asks
   for. Empty when there is no animal. */
static struct piece reach_of(const struct owl_film *film, const struct darkroom *room, const struct group *group)
{
    int left = film->width, right = 0, top = film->height, bottom = 0;
    for (int y = 0; y < film->height; y++)
        for (int x = 0; x < film->width; x++)
            if (film->cover[(size_t)y * (size_t)film->width + (size_t)x] > 0.0f) {
                left = x < left ? x : left;
                right = x >= right ? x + 1 : right;
                top = y < top ? y : top;
                bottom = y + 1;
            }
    if (left >= right)
        return piece_of(0, 0, 0, 0);
    double around = room->most_behind + room->most_body + 4.0, x_px = group->way_px[0], y_px = group->way_px[1];
    return piece_of(clipped(left + (x_px < 0.0 ? x_px : 0.0) - around, film->width),
                    clipped(top + (y_px < 0.0 ? y_px : 0.0) - around, film->height),
                    clipped(right + (x_px > 0.0 ? x_px : 0.0) + around, film->width),
                    clipped(bottom + (y_px > 0.0 ? y_px : 0.0) + around, film->height));
}

/* What is behind the animal in the light of the group, as the lens blurs it. */
static void find_ground(const struct owl_film *film, const struct darkroom *room, const struct group *group,
                        const struct piece *piece, float *linear)
{
    if (group->alone) { /* it is developed already */
        const struct owl_film developed = {.width = film->width, .height = film->height, .lights = 1, .behind = {linear}};
        add_images(&developed, developed.behind, &(const double){1.0}, piece, room->behind);
        return;
    }
    add_images(film, film->behind, group->weight, piece, room->behind);
    cut_plane(film, room->behind_half, piece, room->half);
    if (room->most_behind >= LEAST_HALF_PX)
        blur_colours(piece, room->behind, room->half, room->sum);
}

static void find_animal(const struct owl_film *film, const struct darkroom *room, const struct group *group,
                        const struct piece *piece)
{
    add_images(film, film->body, group->weight, piece, room->body);
    cut_plane(film, film->cover, piece, room->cover);
    if (hypot(group->way_px[0], group->way_px[1]) >= LEAST_SMEAR_PX) {
        for (ptrdiff_t c = 0; c < COLOURS; c++)
            smear_plane(piece, room->body + c, COLOURS, group->way_px, room->sum);
        smear_plane(piece, room->cover, 1, group->way_px, room->sum);
    }
    if (room->most_body >= LEAST_HALF_PX) {
        cut_plane(film, room->body_half, piece, room->half);
        blur_colours(piece, room->body, room->half, room->sum);
        blur_plane(piece, room->cover, 1, room->half, room->sum);
    }
}

/* Lays the animal, in the light of one group, over what is developed of the ground. */
static void lay_animal(const struct owl_film *film, const struct darkroom *room, const struct group *group, float *linear)
{
    struct piece piece = reach_of(film, room, group);
    find_ground(film, room, group, &piece, linear);
    find_animal(film, room, group, &piece);
    for (size_t y = 0; y < (size_t)piece.height; y++) {
        float *to = linear + COLOURS * (((size_t)piece.top + y) * (size_t)film->width + (size_t)piece.left);
        for (size_t x = 0; x < (size_t)piece.width; x++) {
            size_t i = y * (size_t)piece.width + x;
            for (size_t c = 0; c < COLOURS; c++)
                to[COLOURS * x + c] += room->body[COLOURS * i + c] - room->cover[i] * room->behind[COLOURS * i + c];
        }
    }
}

void owl_film_develop(const struct owl_film *film, const struct owl_film_exposure *exposure, float *work, float *linear)
{
    struct darkroom room = darkroom_over(film, work);
    struct group still = {.alone = true};
    room.most_behind = find_halves(exposure, film->behind_depth_m, room.whole.pixels, room.behind_half);
    spread_depth(film, room.half);
    room.most_body = find_halves(exposure, room.half, room.whole.pixels, room.body_half);
    add_images(film, film->behind, exposure->weight, &room.whole, linear);
    if (room.most_behind >= LEAST_HALF_PX)
        blur_colours(&room.whole, linear, room.behind_half, room.sum);
    for (int i = 0; i < film->lights; i++) {
        bool moves = smears(exposure, i) && exposure->weight[i] != 0.0;
        still.weight[i] = moves ? 0.0 : exposure->weight[i];
        still.alone = still.alone && !moves;
    }
    lay_animal(film, &room, &still, linear);
    for (int i = 0; i < film->lights; i++) {
        struct group moving = {.way_px = {exposure->smear_x_px[i], exposure->smear_y_px[i]}};
        moving.weight[i] = exposure->weight[i];
        if (smears(exposure, i) && exposure->weight[i] != 0.0)
            lay_animal(film, &room, &moving, linear);
    }
}
