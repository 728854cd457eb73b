/* What goes wrong with whole frames: flashes, exposure, fog, focus, a knock at the tripod. Owns nothing. */
#ifndef OWL_CARD_JUDGE_FAULTS_H
#define OWL_CARD_JUDGE_FAULTS_H

#include <stdbool.h>

#include "card/judge/lighting.h"
#include "card/judge/registration.h"

/* Limits, estimates from the card study and made-up nights. Light is a share of what is usual; levels are 0..255. */
#define OWL_FAULT_MISSING_LIGHT 0.78  /* 0.89 of the level */
#define OWL_FAULT_NO_LIGHT 0.13       /* 0.40 of the level */
#define OWL_FAULT_LOPSIDED 1.9        /* one half so many times the other, or the other way round: together with */
#define OWL_FAULT_LOPSIDED_LIGHT 0.90
#define OWL_FAULT_OVER_SHARE 0.08     /* of the frame burnt out, and */
#define OWL_FAULT_OVER_RATIO 2.5      /* so many times what is usual, or */
#define OWL_FAULT_OVER_LIGHT 2.0      /* a stop too much */
#define OWL_FAULT_DETAIL_LEFT 0.78    /* of what is usual */
#define OWL_FAULT_LIFTED_LEVELS 4.0   /* blacks above what is usual for so bright a frame */

enum owl_flash_state {
    OWL_FLASH_NOT_USED,    /* none was expected */
    OWL_FLASH_FULL,
    OWL_FLASH_ONE_MISSING, /* clearly less light than usual, but not none */
    OWL_FLASH_NONE
};

/* A frame in a few numbers. */
struct owl_frame_look {
    double mean;     /* level, 0..255 */
    double clipped;  /* share of pixels >= OWL_LUMA_CLIPPED */
    double detail;   /* mean gradient, levels a pixel */
    double darkest;  /* level that 5 % of the tiles do not reach */
    double light;    /* light against what is usual around it, the median of its parts; 1 where nothing is known */
    double lopsided; /* that of the left half over that of the right */
};

void owl_frame_look_at(const struct owl_luma *luma, const struct owl_lighting *lighting, struct owl_frame_look *look);

#define OWL_FAULT_NEAR 64

/* The mean level that frames crowd around, by halving the shortest half (the half-sample mode [bickel2006]): daylight adds to a
   flash as it likes, and a failed flash is rare, but the flash alone is always the same. mean: count 1..OWL_FAULT_NEAR. */
double owl_flash_usual_mean(const double *mean, int count);

/* What is usual among frames, tile by tile: the median. count 1..OWL_FAULT_NEAR frames. */
void owl_lighting_usual(const struct owl_lighting *const *lighting, int count, struct owl_lighting *usual);

/* light and lopsided of look: levels taken for light by a gamma of 2.2, common practice, only where the usual is not dark. */
void owl_frame_compare_light(const struct owl_lighting *lighting, const struct owl_lighting *usual, struct owl_frame_look *look);

/* For a frame whose flashes should have fired, by light, lopsided and mean. flashes: of the rig. */
enum owl_flash_state owl_flash_state_of(const struct owl_frame_look *look, int flashes);

/* What is usual among the frames of one light: medians. */
struct owl_frame_norm {
    double clipped, detail, darkest, mean;
};

bool owl_frame_over_exposed(const struct owl_frame_look *look, const struct owl_frame_norm *norm);

/* Detail lost and blacks lifted; detail lost and blacks black. Lost is detail that is less both in levels, which daylight over
   the flash leaves as it is, and in shares of the mean, which a dimmer flash does. */
bool owl_frame_fogged(const struct owl_frame_look *look, const struct owl_frame_norm *norm);
bool owl_frame_out_of_focus(const struct owl_frame_look *look, const struct owl_frame_norm *norm);

/* Numbers the poses, in order of time, by how often the camera was moved before: a knock is where the medians of seven poses
   before and after differ by more than a 192nd of the width. Single jumps and slow drift are none. */
void owl_knock_segments(const struct owl_pose *pose, int count, int width, int height, int *segment);

#endif
