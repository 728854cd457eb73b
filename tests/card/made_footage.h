/* Made footage for the judge: a textured scene seen by a fixed camera, by day or by flash, with wind in grass, noise and
   animals whose places are known; they are darker or paler than the ground, camouflage is not made. The same footage always
   makes the same pictures. */
#ifndef OWL_TESTS_MADE_FOOTAGE_H
#define OWL_TESTS_MADE_FOOTAGE_H

#include <stdbool.h>
#include <stdint.h>

struct made_footage {
    uint64_t seed;
    int width, height, frames;
    bool night;            /* two flashes, left and right, falling off; otherwise even daylight */
    int blades;            /* of bright grass */
    double wind;           /* how far tips sway, pixels, 1 standard deviation */
    double noise;          /* levels at mid grey */
    double gain_spread;    /* of the exposure, stops, 1 standard deviation */
    double jitter_px;      /* of the camera, 1 standard deviation */
    double visited;        /* share of frames with an animal; they come in visits of 3 */
    double least_share, most_share; /* of the frame the animal covers */
    int knock_at;          /* frame from which the camera stands otherwise; -1: never */
    double knock_right_px, knock_down_px, knock_turn_rad;
    int fault_every;       /* one frame in so many has a flash fault, both kinds in turn; 0: none */
};

/* The truth of a frame. */
struct made_scene {
    bool subject, one_missing, none_fired;
    int left, top, right, bottom; /* of the animal, pixels of the picture */
    double gain;                  /* of the exposure */
    double right_px, down_px, turn_rad; /* where what lies still has moved */
};

/* Frame number `number` into level[width height]; its truth. */
struct made_scene made_footage_frame(const struct made_footage *footage, int number, uint8_t *level);

#endif
