/* Iterated least squares with weights that fall to zero for what does not fit. */
#include "card/judge/photometry.h"

#include <math.h>
#include <stdbool.h>

#define UNKNOWNS (OWL_GAIN_TERMS + 1)
#define ROUNDS 7
#define TUKEY_REACH 4.5         /* in median deviations, brought to standard deviations */
#define SIGMA_PER_MAD 1.4826
#define LEAST_SIGMA 0.7         /* levels: what rounding alone does */
#define FEWEST_SAMPLES 50
#define SETTLED 1e-3            /* a round that changes no term by more is the last */
#define SLOPE_RIDGE 0.002       /* pulls towards 0, as a share of the evidence: slopes a little, */
#define CURVE_RIDGE 0.02        /* curves more */
#define OFFSET_RIDGE 0.0005

struct samples {
    int count;
    float *base, *level, *x, *y, *miss, *sorted;
};

/* One sample each way in four, without what is burnt out. */
static struct samples take(const struct owl_luma *base, const struct owl_luma *luma, const uint8_t *barred, float *work)
{
    size_t room = OWL_GAIN_ROOM(luma->width, luma->height) / 6;
    struct samples samples = {0, work, work + room, work + 2 * room, work + 3 * room, work + 4 * room, work + 5 * room};
    for (int y = 0; y < luma->height; y += OWL_GAIN_STEP)
        for (int x = 0; x < luma->width; x += OWL_GAIN_STEP) {
            size_t i = (size_t)y * (size_t)luma->width + (size_t)x;
            if ((barred && barred[i]) || base->level[i] >= OWL_LUMA_CLIPPED || luma->level[i] >= OWL_LUMA_CLIPPED)
                continue;
            int n = samples.count++;
            samples.base[n] = base->level[i];
            samples.level[n] = luma->level[i];
            samples.x[n] = 2.0f * (float)x / (float)(luma->width - 1) - 1.0f;
            samples.y[n] = 2.0f * (float)y / (float)(luma->height - 1) - 1.0f;
        }
    return samples;
}

/* Where the fit begins: one gain for all. */
static struct owl_gain first_guess(const struct samples *samples)
{
    int lit = 0;
    for (int i = 0; i < samples->count; i++)
        if (samples->base[i] > (float)(2 * OWL_LUMA_DARK))
            samples->sorted[lit++] = samples->level[i] / samples->base[i];
    double gain = lit > FEWEST_SAMPLES ? (double)owl_luma_ranked(samples->sorted, lit, lit / 2) : 1.0;
    return (struct owl_gain){{fmax(gain, OWL_GAIN_LEAST), 0.0, 0.0, 0.0, 0.0, 0.0}, 0.0};
}

static void row_of(const struct samples *samples, int i, double row[UNKNOWNS])
{
    double base = (double)samples->base[i], x = (double)samples->x[i], y = (double)samples->y[i];
    row[0] = base;
    row[1] = base * x;
    row[2] = base * y;
    row[3] = base * x * x;
    row[4] = base * x * y;
    row[5] = base * y * y;
    row[6] = 1.0;
}

/* The misses of a fit, and the deviation usual among them. */
static double measure(const struct samples *samples, const struct owl_gain *gain)
{
    for (int i = 0; i < samples->count; i++) {
        double row[UNKNOWNS], fit = gain->offset;
        row_of(samples, i, row);
        for (int k = 0; k < OWL_GAIN_TERMS; k++)
            fit += gain->term[k] * row[k];
        samples->miss[i] = samples->level[i] - (float)fit;
        samples->sorted[i] = fabsf(samples->miss[i]);
    }
    double sigma = SIGMA_PER_MAD * (double)owl_luma_ranked(samples->sorted, samples->count, samples->count / 2);
    return fmax(sigma, LEAST_SIGMA);
}

/* Cholesky's way, in place: false if the matrix is not positive. */
static bool solve(double a[UNKNOWNS][UNKNOWNS], double b[UNKNOWNS])
{
    for (int i = 0; i < UNKNOWNS; i++)
        for (int j = 0; j <= i; j++) {
            double sum = a[i][j];
            for (int k = 0; k < j; k++)
                sum -= a[i][k] * a[j][k];
            if (i == j && !(sum > 0.0))
                return false;
            a[i][j] = i == j ? sqrt(sum) : sum / a[j][j];
        }
    for (int i = 0; i < UNKNOWNS; i++) {
        for (int k = 0; k < i; k++)
            b[i] -= a[i][k] * b[k];
        b[i] /= a[i][i];
    }
    for (int i = UNKNOWNS - 1; i >= 0; i--) {
        for (int k = i + 1; k < UNKNOWNS; k++)
            b[i] -= a[k][i] * b[k];
        b[i] /= a[i][i];
    }
    return true;
}

/* One round; whether another is worth it. */
static bool refit(const struct samples *samples, double sigma, struct owl_gain *gain)
{
    double a[UNKNOWNS][UNKNOWNS] = {{0}}, b[UNKNOWNS] = {0}, reach = TUKEY_REACH * sigma;
    for (int i = 0; i < samples->count; i++) {
        double row[UNKNOWNS], part = (double)samples->miss[i] / reach;
        if (part * part >= 1.0)
            continue;
        double weight = (1.0 - part * part) * (1.0 - part * part);
        row_of(samples, i, row);
        for (int j = 0; j < UNKNOWNS; j++) {
            for (int k = 0; k <= j; k++)
                a[j][k] += weight * row[j] * row[k];
            b[j] += weight * row[j] * (double)samples->level[i];
        }
    }
    double evidence = a[0][0], moved = 0.0;
    for (int k = 1; k < OWL_GAIN_TERMS; k++)
        a[k][k] += (k < 3 ? SLOPE_RIDGE : CURVE_RIDGE) * evidence;
    a[6][6] += OFFSET_RIDGE * a[6][6] + 1e-9;
    if (!solve(a, b))
        return false;
    for (int k = 0; k < OWL_GAIN_TERMS; k++) {
        moved = fmax(moved, fabs(gain->term[k] - b[k]));
        gain->term[k] = b[k];
    }
    moved = fmax(moved, fabs(gain->offset - b[6]) / 255.0);
    gain->offset = b[6];
    return moved > SETTLED;
}

struct owl_gain owl_gain_between(const struct owl_luma *base, const struct owl_luma *luma, const uint8_t *barred, float *work)
{
    struct owl_gain gain = {{1.0, 0.0, 0.0, 0.0, 0.0, 0.0}, 0.0};
    struct samples samples = take(base, luma, barred, work);
    if (samples.count < FEWEST_SAMPLES)
        return gain;
    gain = first_guess(&samples);
    for (int i = 0; i < ROUNDS; i++)
        if (!refit(&samples, measure(&samples, &gain), &gain))
            break;
    return gain;
}

double owl_gain_at(const struct owl_gain *gain, int width, int height, double x, double y)
{
    double u = 2.0 * x / (width - 1) - 1.0, v = 2.0 * y / (height - 1) - 1.0;
    const double *t = gain->term;
    return fmax(t[0] + u * (t[1] + u * t[3] + v * t[4]) + v * (t[2] + v * t[5]), OWL_GAIN_LEAST);
}

/* x^2 and y^2 have a mean of 1/3, all other terms of 0. */
double owl_gain_mean(const struct owl_gain *gain)
{
    return gain->term[0] + (gain->term[3] + gain->term[5]) / 3.0;
}

void owl_gain_undo(const struct owl_gain *gain, const struct owl_luma *luma, float *out)
{
    const double *t = gain->term;
    float offset = (float)gain->offset, step = 2.0f / (float)(luma->width - 1);
    for (int y = 0; y < luma->height; y++) {
        double v = 2.0 * y / (luma->height - 1) - 1.0;
        float still = (float)(t[0] + v * (t[2] + v * t[5])), slope = (float)(t[1] + v * t[4]), curve = (float)t[3];
        const uint8_t *level = luma->level + (size_t)y * (size_t)luma->width;
        float *row = out + (size_t)y * (size_t)luma->width;
        for (int x = 0; x < luma->width; x++) {
            float u = step * (float)x - 1.0f, here = still + u * (slope + u * curve);
            row[x] = ((float)level[x] - offset) / (here > (float)OWL_GAIN_LEAST ? here : (float)OWL_GAIN_LEAST);
        }
    }
}
