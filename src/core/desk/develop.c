/* A film developed: images weighed and added, the animal smeared by its walk, everything blurred by its distance. */
#include <math.h>
#include <string.h>

#include "core/desk/film.h"

#define LEAST_SMEAR_PX 0.5
#define BOX_OF_DISC 0.8660254 /* a box of so many diameters spreads as wide as the disc: side^2/12 = diameter^2/16 */
#define LEAST_HALF_PX 0.05f   /* a box that reaches no farther than this beyond its pixel blurs nothing */
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
    float most_behind, most_body; /* the farthest reach */
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

/* Lines of pixels in the order of the walk, sheared to run along it, and how a box of `length` pixels weighs each line: half
   the pixel it begins in, `whole` whole ones behind, and of one more the rest. */
struct smear {
    ptrdiff_t along, beside; /* from a pixel to the next along the greater axis, and to its neighbour line */
    int count, lines;        /* pixels of a line; lines of the piece */
    double length, rest;
    int whole;
    int lowest, highest;           /* of the shifts */
    int shift[OWL_FILM_SIDE_MOST]; /* lines a sheared line has moved by its so-manieth pixel; rises or falls all the way */
};

static void find_smear(const struct piece *piece, const double way_px[2], ptrdiff_t stride, struct smear *smear)
{
    bool wide = fabs(way_px[0]) >= fabs(way_px[1]);
    double greater = wide ? way_px[0] : way_px[1], lesser = wide ? way_px[1] : way_px[0];
    ptrdiff_t row = stride * piece->width;
    smear->along = (wide ? stride : row) * (greater < 0.0 ? -1 : 1);
    smear->beside = wide ? row : stride;
    smear->count = wide ? piece->width : piece->height;
    smear->lines = wide ? piece->height : piece->width;
    smear->length = fmax(fabs(greater), LEAST_SMEAR_PX);
    double behind = fmin(smear->length - 0.5, (double)smear->count + 1.0);
    smear->whole = (int)behind;
    smear->rest = behind - smear->whole;
    smear->lowest = smear->highest = 0;
    for (int i = 0; i < smear->count; i++) {
        smear->shift[i] = (int)floor(lesser / fabs(greater) * i + 0.5);
        smear->lowest = smear->shift[i] < smear->lowest ? smear->shift[i] : smear->lowest;
        smear->highest = smear->shift[i] > smear->highest ? smear->shift[i] : smear->highest;
    }
}

/* Where pixel i of a sheared line lies, on a plane whose lines begin at `start`. */
static inline ptrdiff_t place_of(const struct smear *smear, ptrdiff_t start, int line, int i)
{
    return start + i * smear->along + (line + smear->shift[i]) * smear->beside;
}

/* Smears one sheared line, of which the pixels [from, to) lie on the piece. before[i]: sum of those ahead of pixel i. */
static void smear_line(const struct smear *smear, float *plane, int line, int from, int to, double *before)
{
    ptrdiff_t start = smear->along < 0 ? (1 - smear->count) * smear->along : 0;
    before[from] = 0.0;
    for (int i = from; i < to; i++)
        before[i + 1] = before[i] + (double)plane[place_of(smear, start, line, i)];
    if (before[to] == 0.0)
        return;
    for (int i = from; i < to; i++) {
        int last = i - smear->whole > from ? i - smear->whole : from;
        double sum = 0.5 * (before[i + 1] - before[i]) + before[i] - before[last];
        if (last > from)
            sum += smear->rest * (before[last] - before[last - 1]);
        plane[place_of(smear, start, line, i)] = (float)(sum / smear->length);
    }
}

static bool on_piece(const struct smear *smear, int line, int i)
{
    return line + smear->shift[i] >= 0 && line + smear->shift[i] < smear->lines;
}

static void smear_plane(const struct smear *smear, float *plane, double *before)
{
    for (int line = -smear->highest; line < smear->lines - smear->lowest; line++) {
        int from = 0, to = smear->count;
        while (from < to && !on_piece(smear, line, from))
            from++;
        while (from < to && !on_piece(smear, line, to - 1))
            to--;
        smear_line(smear, plane, line, from, to, before);
    }
}

/* ---- blur ---- */

/* How far the boxes reach beyond their pixels at a depth: scale |one - focus/depth| - 1/2, not below 0. */
struct reach {
    float scale, one, focus_m;
};

static struct reach find_reach(const struct owl_film_exposure *exposure)
{
    bool far_focus = isinf(exposure->focus_m);
    return (struct reach){.scale = (float)(BOX_OF_DISC * exposure->disc_px / 2.0), .one = far_focus ? 0.0f : 1.0f,
                          .focus_m = far_focus ? 1.0f : (float)exposure->focus_m};
}

/* What has no depth is not blurred. */
static float half_at(const struct reach *reach, float depth_m)
{
    float half = reach->scale * fabsf(reach->one - reach->focus_m / depth_m) - 0.5f;
    if (!(depth_m > 0.0f && half > 0.0f))
        return 0.0f;
    return half < (float)OWL_FILM_SIDE_MOST ? half : (float)OWL_FILM_SIDE_MOST;
}

/* The reach behind the animal at each pixel; the farthest of all is returned. */
static float find_behind(const struct owl_film *film, const struct reach *reach, size_t pixels, float *half)
{
    float most = 0.0f;
    for (size_t i = 0; i < pixels; i++) {
        half[i] = half_at(reach, film->behind_depth_m[i]);
        most = half[i] > most ? half[i] : most;
    }
    return most;
}

/* The same of the animal; NOWHERE where it does not stand. */
#define NOWHERE (-1.0f)

static float find_body(const struct owl_film *film, const struct reach *reach, size_t pixels, float *half)
{
    float most = 0.0f;
    for (size_t i = 0; i < pixels; i++) {
        half[i] = film->cover[i] > 0.0f ? half_at(reach, film->body_depth_m[i]) : NOWHERE;
        most = half[i] > most ? half[i] : most;
    }
    return most;
}

static void take_neighbour(float *half, const float *neighbour)
{
    if (*half == NOWHERE)
        *half = *neighbour;
}

/* Where the animal does not stand, its blur is that of its nearest part: in its row, else in its column. For an animal
   that stands somewhere. */
static void spread_body(const struct piece *whole, float *half)
{
    size_t width = (size_t)whole->width, pixels = whole->pixels;
    for (float *row = half; row < half + pixels; row += width) {
        for (size_t x = 1; x < width; x++)
            take_neighbour(row + x, row + x - 1);
        for (size_t x = width - 1; x-- > 0;)
            take_neighbour(row + x, row + x + 1);
    }
    for (size_t i = width; i < pixels; i++)
        take_neighbour(half + i, half + i - width);
    for (size_t i = pixels - width; i-- > 0;)
        take_neighbour(half + i, half + i + width);
}

/* sum[y][x]: of everything above and to the left. */
static void sum_plane(const struct piece *piece, const float *plane, size_t stride, double *sum)
{
    size_t width = (size_t)piece->width, row = width + 1;
    for (size_t x = 0; x <= width; x++)
        sum[x] = 0.0;
    for (size_t y = 0; y < (size_t)piece->height; y++) {
        double so_far = 0.0, *here = sum + (y + 1) * row;
        const double *above = sum + y * row;
        const float *pixel = plane + y * width * stride;
        here[0] = 0.0;
        for (size_t x = 0; x < width; x++) {
            so_far += (double)pixel[x * stride];
            here[x + 1] = above[x + 1] + so_far;
        }
    }
}

/* Mean of the box around a pixel, as much of it as lies on the piece. */
static double mean_at_edge(const struct piece *piece, const double *sum, int x, int y, int reach)
{
    int left = x > reach ? x - reach : 0, right = x + reach + 1 < piece->width ? x + reach + 1 : piece->width;
    int top = y > reach ? y - reach : 0, bottom = y + reach + 1 < piece->height ? y + reach + 1 : piece->height;
    const double *above = sum + (size_t)top * ((size_t)piece->width + 1);
    const double *below = sum + (size_t)bottom * ((size_t)piece->width + 1);
    return (below[right] - below[left] - above[right] + above[left]) / ((right - left) * (bottom - top));
}

/* Sum of the box of `side` pixels whose first is the one `sum` points to; `row` to the next row. */
static inline double box_sum(const double *sum, ptrdiff_t row, int side)
{
    const double *below = sum + row * side;
    return below[side] - below[0] - sum[side] + sum[0];
}

/* Between two whole boxes, of odd sides, the mean runs straight. */
static inline double mean_around(const struct piece *piece, const double *sum, int x, int y, float half)
{
    int reach = (int)half, wide = reach + 1;
    double more = (double)half - reach;
    if (x < wide || y < wide || x + wide >= piece->width || y + wide >= piece->height) {
        double mean = mean_at_edge(piece, sum, x, y, reach);
        return mean + more * (mean_at_edge(piece, sum, x, y, wide) - mean);
    }
    ptrdiff_t row = piece->width + 1;
    const double *first = sum + (y - wide) * row + (x - wide);
    int side = 2 * reach + 1;
    double small = (double)side * side, large = (double)(side + 2) * (side + 2);
    double outer = more * small * box_sum(first, row, side + 2);
    return (outer + (1.0 - more) * large * box_sum(first + row + 1, row, side)) / (small * large);
}

static void blur_plane(const struct piece *piece, float *plane, size_t stride, const float *half, double *sum)
{
    sum_plane(piece, plane, stride, sum);
    size_t i = 0;
    for (int y = 0; y < piece->height; y++)
        for (int x = 0; x < piece->width; x++, i++)
            if (half[i] >= LEAST_HALF_PX)
                plane[i * stride] = (float)mean_around(piece, sum, x, y, half[i]);
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
    bool moves, burns, alone; /* alone: no light burns but these */
};

static bool smears(const struct owl_film_exposure *exposure, int light)
{
    double way_px = hypot(exposure->smear_x_px[light], exposure->smear_y_px[light]);
    return exposure->weight[light] != 0.0 && isfinite(way_px) && way_px >= LEAST_SMEAR_PX;
}

static void add_row(const float *from, float factor, size_t count, bool first, float *restrict to)
{
    if (first)
        for (size_t i = 0; i < count; i++)
            to[i] = factor * from[i];
    else
        for (size_t i = 0; i < count; i++)
            to[i] += factor * from[i];
}

/* The weighed sum of images over a piece of the film. */
static void add_images(const struct owl_film *film, float *const image[], const double *weight, const struct piece *piece,
                       float *sum)
{
    size_t row = COLOURS * (size_t)piece->width;
    for (size_t y = 0; y < (size_t)piece->height; y++) {
        size_t start = ((size_t)piece->top + y) * (size_t)film->width + (size_t)piece->left;
        float *to = sum + row * y;
        bool first = true;
        for (int light = 0; light < film->lights; light++)
            if (weight[light] != 0.0) {
                add_row(image[light] + COLOURS * start, (float)weight[light], row, first, to);
                first = false;
            }
        if (first)
            memset(to, 0, row * sizeof *to);
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

/* Where the animal's picture may reach: where it stands, its way, its blur, and around it room for whole boxes, its own and
   those of what is behind. Empty when there is no animal. */
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
    float farther = room->most_behind > room->most_body ? room->most_behind : room->most_body;
    double around = (double)(room->most_body + farther) + 4.0, x_px = group->way_px[0], y_px = group->way_px[1];
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
    if (group->moves) {
        struct smear smear;
        find_smear(piece, group->way_px, COLOURS, &smear);
        for (size_t c = 0; c < COLOURS; c++)
            smear_plane(&smear, room->body + c, room->sum);
        find_smear(piece, group->way_px, 1, &smear);
        smear_plane(&smear, room->cover, room->sum);
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
    if (piece.pixels == 0)
        return;
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
    struct reach reach = find_reach(exposure);
    struct group still = {.alone = true};
    room.most_behind = find_behind(film, &reach, room.whole.pixels, room.behind_half);
    room.most_body = find_body(film, &reach, room.whole.pixels, room.body_half);
    if (room.most_body >= LEAST_HALF_PX)
        spread_body(&room.whole, room.body_half);
    add_images(film, film->behind, exposure->weight, &room.whole, linear);
    if (room.most_behind >= LEAST_HALF_PX)
        blur_colours(&room.whole, linear, room.behind_half, room.sum);
    for (int i = 0; i < film->lights; i++) {
        still.weight[i] = smears(exposure, i) ? 0.0 : exposure->weight[i];
        still.alone = still.alone && !smears(exposure, i);
        still.burns = still.burns || still.weight[i] != 0.0;
    }
    if (still.burns)
        lay_animal(film, &room, &still, linear);
    for (int i = 0; i < film->lights; i++) {
        struct group moving = {.way_px = {exposure->smear_x_px[i], exposure->smear_y_px[i]}, .moves = true, .burns = true};
        moving.weight[i] = exposure->weight[i];
        if (smears(exposure, i))
            lay_animal(film, &room, &moving, linear);
    }
}
