/* The random encounter proof: animals at random places that walk straight in random directions are noticed by the
   sensor's fan as often as published [rowcliffe2008], (2 + theta)/pi r v D. A program of some seconds, not a test of
   every build; prints the largest error and ends with 1 when one is beyond five standard errors. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/constants.h"
#include "core/model/odds.h"
#include "core/model/rng.h"
#include "core/plan/geometry.h"
#include "core/plan/reader.h"

#define ANIMALS 500000
#define ZONES 60 /* the fan is then the sector to within (theta/60)^2/24 of its width */

static struct owl_plan plan;
static struct owl_complaints complaints;

static void read_fan(double angle_rad)
{
    static const char words[] = "[site]\nlatitude = 0 N\nlongitude = 0 E\n[watch]\nstart = 2027-01-09\nnights = 1\n"
                                "[subject]\nkind = lynx\n[sensor]\nplace = 40 cm right, 3 m before, 70 cm up\n";
    if (owl_plan_read(words, strlen(words), &plan, &complaints) != OWL_OK)
        exit(EXIT_FAILURE);
    plan.sensor.zones = ZONES;
    plan.sensor.zone_pitch_rad = angle_rad / ZONES;
    plan.sensor.pulses = 1.0;
}

/* Whether an animal that starts somewhere in the disc around the sensor is first noticed on its walk. The line it
   walks on is noticed at one place, so each counts once, when that place lies within its walk. */
static bool meets(struct owl_rng *rng, double disc_m, double radius_m, double walk_m)
{
    double from_m = disc_m * sqrt(owl_rng_uniform(rng)), round = OWL_TAU * owl_rng_uniform(rng);
    double x_m = plan.sensor.place.x_m + from_m * cos(round), y_m = plan.sensor.place.y_m + from_m * sin(round);
    struct owl_path path = owl_path_of(OWL_TAU * owl_rng_uniform(rng), 0.0);
    double along_m = x_m * path.cosine + y_m * path.sine;
    path.aside_m = y_m * path.cosine - x_m * path.sine;
    struct owl_crossing crossed = owl_sensor_cross(&plan, &path, 1, radius_m);
    return crossed.noticed && crossed.front_m >= along_m && crossed.front_m < along_m + walk_m;
}

/* Counted over expected, and how many standard errors that is off. */
static double run(double radius_m, double angle_rad, double *off)
{
    struct owl_rng rng = owl_rng_start(2008, (uint64_t)(angle_rad * 1000.0));
    read_fan(angle_rad);
    double walk_m = radius_m, disc_m = radius_m + walk_m, counted = 0.0;
    double density = ANIMALS / (OWL_PI * disc_m * disc_m);
    double expected = owl_odds_encounters_per_s(radius_m, angle_rad, walk_m, density); /* of one second at walk_m a second */
    for (int i = 0; i < ANIMALS; i++)
        counted += meets(&rng, disc_m, radius_m, walk_m);
    *off = (counted - expected) / sqrt(expected * (1.0 - expected / ANIMALS));
    printf("sector %4.2f rad, %4.1f m: %8.0f noticed, %10.1f expected, ratio %.5f, %+.2f standard errors\n", angle_rad,
           radius_m, counted, expected, counted / expected, *off);
    return counted / expected;
}

int main(void)
{
    static const double sector[][2] = {{12.0, 0.175}, {8.0, 0.7}, {5.0, 1.5708}, {9.0, 3.0}};
    double largest = 0.0, farthest = 0.0;
    for (size_t i = 0; i < sizeof sector / sizeof *sector; i++) {
        double off, ratio = run(sector[i][0], sector[i][1], &off);
        largest = fmax(largest, fabs(ratio - 1.0));
        farthest = fmax(farthest, fabs(off));
    }
    printf("random encounters: largest error %.2f %%, %.1f standard errors\n", largest * 100.0, farthest);
    return farthest <= 5.0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
