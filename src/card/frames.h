/* The frames of a folder, in the order of their names, as small grey pictures for the judge. Files are only read. */
#ifndef OWL_CARD_FRAMES_H
#define OWL_CARD_FRAMES_H

#include <stddef.h>
#include <stdint.h>

#include "card/error.h"
#include "core/status.h"

#define OWL_FRAMES_WIDTH 384 /* wide enough for subjects of a thousandth of the frame [card study]; estimate */

struct owl_frames;

/* Lists the JPEG files below a folder and settles one height for all from the first that can be read. OWL_CANNOT_READ: the
   folder, told in error; also when it holds no JPEG file that can be read. OWL_NO_MEMORY. *frames is untouched on failure. */
enum owl_status owl_frames_open(const char *folder, struct owl_frames **frames, struct owl_error *error) OWL_MUST_USE;
void owl_frames_close(struct owl_frames *frames);

int owl_frames_count(const struct owl_frames *frames);
int owl_frames_height(const struct owl_frames *frames);

/* The path of a frame from the folder; as long as the frames are open. */
const char *owl_frames_name(const struct owl_frames *frames, int frame);

/* Size of a frame's file as stored; 0, 0 until its luma was asked for. */
void owl_frames_size(const struct owl_frames *frames, int frame, int *width, int *height);

/* When it was taken by the camera's clock, s since 1970-01-01T00:00 of that clock; NaN where the file does not tell or its luma
   was not asked for yet. */
double owl_frames_taken_s(const struct owl_frames *frames, int frame);

/* Its luma, from a preview inside the file where there is one wide enough, into level[OWL_FRAMES_WIDTH height]. OWL_CANNOT_READ: it cannot be read, is damaged, or has another shape than the
   first. OWL_NO_MEMORY. */
enum owl_status owl_frames_luma(struct owl_frames *frames, int frame, uint8_t *level) OWL_MUST_USE;

#endif
