/* The frames of a folder, in the order of their names, as small grey pictures for the judge. Files are only read. */
#ifndef OWL_CARD_FRAMES_H
#define OWL_CARD_FRAMES_H

#include <stddef.h>
#include <stdint.h>

#include "card/error.h"
#include "card/judged.h"
#include "core/status.h"

#define OWL_FRAMES_WIDTH 384 /* wide enough for subjects of a thousandth of the frame [card study]; estimate */

struct owl_frames;

/* Lists the pictures below a folder and settles one height for all from the first that can be read. A frame is a JPEG file, or a
   raw file that has no JPEG file of its name beside it. OWL_CANNOT_READ: the folder, told in error; also when it holds no
   picture that can be read. OWL_NO_MEMORY. *frames is untouched on failure. */
enum owl_status owl_frames_open(const char *folder, struct owl_frames **frames, struct owl_error *error) OWL_MUST_USE;
void owl_frames_close(struct owl_frames *frames);

int owl_frames_count(const struct owl_frames *frames);
int owl_frames_height(const struct owl_frames *frames);

/* What is known of a frame, as long as the frames are open: its name and file from the beginning, size, time and settings once
   its luma was asked for (until then, and where the file does not tell, 0 and NaN). The verdict in it is unset. */
const struct owl_judged_frame *owl_frames_at(const struct owl_frames *frames, int frame);

/* Its luma, from a preview inside the file where there is one wide enough, into level[OWL_FRAMES_WIDTH height].
   OWL_CANNOT_READ: it cannot be read, is damaged, or has another shape than the first. OWL_NO_MEMORY. */
enum owl_status owl_frames_luma(struct owl_frames *frames, int frame, uint8_t *level) OWL_MUST_USE;

/* A JPEG picture of it: the smallest in the file that is at least wide_px wide, else the widest. Valid until the next call. OWL_CANNOT_READ, OWL_NO_MEMORY. */
struct owl_frames_picture {
    const uint8_t *bytes;
    size_t length;
    int orientation; /* 1..8 of [exif]; 0: not told */
};
enum owl_status owl_frames_picture(struct owl_frames *frames, int frame, int wide_px, struct owl_frames_picture *picture)
    OWL_MUST_USE;

#endif
