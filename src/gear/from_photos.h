/* What a photographer's own pictures tell of the camera and the lens that took them. Files are only read; names of makers come
   from them and from the lens database installed on the machine, never from here; numbers of single pieces are not read. */
#ifndef OWL_GEAR_FROM_PHOTOS_H
#define OWL_GEAR_FROM_PHOTOS_H

#include "card/error.h"
#include "card/metadata.h"
#include "core/status.h"
#include "core/text.h"

/* Begins as {0}. What no picture told is 0, or no words. */
struct owl_gear_seen {
    int photos;                /* taken in */
    char make[OWL_METADATA_WORDS], model[OWL_METADATA_WORDS];
    int pixels_across, pixels_down; /* of the largest, turned so that it lies */
    double focal_least_m, focal_most_m;
    double widest, narrowest;  /* f-numbers used */
    double iso_least, iso_most;
    double crop;               /* 36 x 24 mm over the sensor, by diagonals [lensfun]; 0: the body is not in the database */
};

/* Takes in one picture. OWL_CANNOT_READ: no picture, or it tells nothing of its camera; OWL_BAD_USE: of another camera than the
   first; both told in error. */
enum owl_status owl_gear_take_photo(struct owl_gear_seen *seen, const char *path, struct owl_error *error) OWL_MUST_USE;

/* Asks the installed database for the sensor's size; nothing changes where it does not know the body. */
void owl_gear_find_sensor(struct owl_gear_seen *seen);

/* The sides of its sensor, by crop factor and the picture's shape; false where the factor is not known. */
bool owl_gear_sensor_m(const struct owl_gear_seen *seen, double *width_m, double *height_m);

/* Sections of a plan: camera and lens, each value with where it comes from. */
void owl_gear_write(const struct owl_gear_seen *seen, struct owl_text *text);

#endif
