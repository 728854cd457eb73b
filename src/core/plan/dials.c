/* The rounded series. Common practice: they are engraved on the gear. */
#include "core/plan/dials.h"

#include <math.h>

#define COUNT(list) ((int)(sizeof list / sizeof *list))

static const double apertures[] = {1,   1.1, 1.2, 1.4, 1.6, 1.8, 2,  2.2, 2.5, 2.8, 3.2, 3.5, 4,  4.5, 5,  5.6,
                                   6.3, 7.1, 8,   9,   10,  11,  13, 14,  16,  18,  20,  22,  25, 29,  32};
static const double speeds[] = {30,  40,  50,  60,   80,   100,  125,  160,  200,  250,  320, 400,
                                500, 640, 800, 1000, 1250, 1600, 2000, 2500, 3200, 4000, 5000, 6400, 8000};
static const double iso_thirds[] = {100, 125, 160};
#define ISO_DOUBLINGS 12 /* up to 409600 */

/* A value computed as a member of the series may come out a hair above it. */
#define SLACK (1.0 - 1e-9)

double owl_dial_aperture_up(double fnumber)
{
    for (int i = 0; i < COUNT(apertures); i++)
        if (apertures[i] >= fnumber * SLACK)
            return apertures[i];
    return apertures[COUNT(apertures) - 1];
}

double owl_dial_aperture_near(double fnumber)
{
    double best = apertures[0];
    for (int i = 1; i < COUNT(apertures); i++)
        if (fabs(log(apertures[i] / fnumber)) < fabs(log(best / fnumber)))
            best = apertures[i];
    return best;
}

double owl_dial_shutter_down_s(double time_s)
{
    for (int i = 0; i < COUNT(speeds); i++)
        if (1.0 / speeds[i] * SLACK <= time_s)
            return 1.0 / speeds[i];
    return 1.0 / speeds[COUNT(speeds) - 1];
}

double owl_dial_iso_up(double iso)
{
    double octave = 1.0;
    for (int i = 0; i <= 3 * ISO_DOUBLINGS; i++) {
        double value = iso_thirds[i % 3] * octave;
        if (value >= iso * SLACK)
            return value;
        octave *= i % 3 == 2 ? 2.0 : 1.0;
    }
    return iso_thirds[0] * exp2(ISO_DOUBLINGS);
}

double owl_dial_power_down(double power)
{
    double step = 1.0;
    while (step > 1.0 / 128.0 && step * SLACK > power)
        step /= 2.0;
    return step;
}
