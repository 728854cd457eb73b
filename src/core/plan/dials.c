/* The rounded series. Common practice: they are engraved on the gear. */
#include "core/plan/dials.h"

#include <math.h>

#define COUNT(list) ((int)(sizeof list / sizeof *list))

static const double apertures[] = {1,   1.1, 1.2, 1.4, 1.6, 1.8, 2,  2.2, 2.5, 2.8, 3.2, 3.5, 4,  4.5, 5,  5.6,
                                   6.3, 7.1, 8,   9,   10,  11,  13, 14,  16,  18,  20,  22,  25, 29,  32};
static const double speeds[] = {30,  40,  50,  60,   80,   100,  125,  160,  200,  250,  320, 400,
                                500, 640, 800, 1000, 1250, 1600, 2000, 2500, 3200, 4000, 5000, 6400, 8000};
static const double iso_speeds[] = {100,   125,   160,   200,   250,   320,    400,    500,    640,    800,    1000,   1250,  1600,
                                    2000,  2500,  3200,  4000,  5000,  6400,   8000,   10000,  12800,  16000,  20000,  25600, 32000,
                                    40000, 51200, 64000, 80000, 102400, 128000, 160000, 204800, 256000, 320000, 409600};

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
    for (int i = 0; i < COUNT(iso_speeds); i++)
        if (iso_speeds[i] >= iso * SLACK)
            return iso_speeds[i];
    return iso_speeds[COUNT(iso_speeds) - 1];
}

double owl_dial_power_down(double power)
{
    double step = 1.0;
    while (step > 1.0 / 128.0 && step * SLACK > power)
        step /= 2.0;
    return step;
}
