/* Values hashed onto a lattice and blended between its corners. */
#include "core/desk/grain.h"

#include <math.h>

#define OCTAVES 3
#define FINER 3.0
#define FAINTER 0.6
#define FARTHEST 1e8 /* beyond it a lattice place is no whole number any more; the pattern ends there */

/* An integer hash with full avalanche: two rounds of multiply and shift. */
static uint32_t spread(uint32_t x)
{
    x ^= x >> 16;
    x *= 0x7feb352du;
    x ^= x >> 15;
    x *= 0x846ca68bu;
    return x ^ (x >> 16);
}

double owl_grain_share(uint32_t seed, uint32_t number)
{
    return spread(spread(seed) + number) * (1.0 / 4294967296.0);
}

static double corner(uint32_t seed, int64_t x, int64_t y, int64_t z)
{
    uint32_t number = (uint32_t)x * 0x8da6b343u + (uint32_t)y * 0xd8163841u + (uint32_t)z * 0xcb1ab31fu;
    return owl_grain_share(seed, number) * 2.0 - 1.0;
}

static double eased(double t)
{
    return t * t * (3.0 - 2.0 * t);
}

static double between(double from, double to, double share)
{
    return from + (to - from) * share;
}

double owl_grain_at(uint32_t seed, double x, double y, double z)
{
    if (!(fabs(x) < FARTHEST && fabs(y) < FARTHEST && fabs(z) < FARTHEST))
        return 0.0;
    double fx = floor(x), fy = floor(y), fz = floor(z);
    int64_t ix = (int64_t)fx, iy = (int64_t)fy, iz = (int64_t)fz;
    double sx = eased(x - fx), sy = eased(y - fy), sz = eased(z - fz), level[2];
    for (int k = 0; k < 2; k++) {
        double low = between(corner(seed, ix, iy, iz + k), corner(seed, ix + 1, iy, iz + k), sx);
        double high = between(corner(seed, ix, iy + 1, iz + k), corner(seed, ix + 1, iy + 1, iz + k), sx);
        level[k] = between(low, high, sy);
    }
    return between(level[0], level[1], sz);
}

double owl_grain_rough(uint32_t seed, const double at_m[3], double cell_m, double spot_m)
{
    double sum = 0.0, size_m = cell_m, share = 1.0;
    for (int i = 0; i < OCTAVES && size_m > spot_m; i++) {
        double shown = fmin(1.0, size_m / spot_m - 1.0);
        sum += share * shown * owl_grain_at(seed + (uint32_t)i, at_m[0] / size_m, at_m[1] / size_m, at_m[2] / size_m);
        size_m /= FINER;
        share *= FAINTER;
    }
    return sum;
}
