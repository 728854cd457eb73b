/* Judges the frames of one fixed camera: what is empty, what shows a subject and where, what went wrong. Pure computation on
   small grey pictures; how they come out of files is the caller's. The judge owns all its memory; owl_judge_free gives it back.

   The frames pass twice, in the order they were taken: owl_judge_add sees each once, owl_judge_finish asks for each once
   more. Between them no picture is kept, only about two kilobytes a frame; while finishing, a window of
   OWL_JUDGE_WINDOW frames. The same frames give the same verdicts. Methods and parameters: card study, values are estimates
   tuned on its footage and on made-up nights. */
#ifndef OWL_CARD_JUDGE_JUDGE_H
#define OWL_CARD_JUDGE_JUDGE_H

#include "card/judge/faults.h"
#include "card/judge/registration.h"

#define OWL_JUDGE_VERSION 2        /* counts up with every change by which verdicts may differ */
#define OWL_JUDGE_WINDOW 64        /* frames a background is made of, at most */
#define OWL_JUDGE_LEAST_FRAMES 6   /* alike in light, to judge by */
#define OWL_JUDGE_BOXES 8
#define OWL_JUDGE_IGNORED 16       /* regions, at most */
#define OWL_JUDGE_SUBJECT_SCORE 1200.0 /* from which there is a subject */

#define OWL_JUDGE_EMPTY_SHARE 0.5 /* of that score, below which the frame is empty: there the card study drew its line */

enum owl_judge_class {
    OWL_JUDGE_CANNOT,       /* damaged, or too few frames in the same light */
    OWL_JUDGE_FLASH_FAILED, /* too dark to judge, because no flash fired */
    OWL_JUDGE_EMPTY,
    OWL_JUDGE_LOOK,         /* not sure: look at it */
    OWL_JUDGE_SUBJECT
};

/* A part of the frame, in shares of its sides from the top left, 0..1. */
struct owl_judge_region {
    double left, top, right, bottom;
};

struct owl_judge_setup {
    int width, height; /* of every picture, OWL_LUMA_SIDE_LEAST..OWL_LUMA_SIDE_MOST; 384 wide is right for nearly all */
    int flashes;       /* of the rig; with fewer than 2, none can be the only one missing */
    double subject_score; /* 0: OWL_JUDGE_SUBJECT_SCORE */
    int ignored;
    struct owl_judge_region ignore[OWL_JUDGE_IGNORED]; /* what moves there is never a subject */
};

/* Pixels of the picture as taken, before any alignment; right and bottom one past. */
struct owl_judge_box {
    int left, top, right, bottom;
    double score;
};

struct owl_frame_verdict {
    enum owl_judge_class class;
    double score;                /* weight of the change, as if the picture had 768 x 576 pixels */
    int boxes;                   /* the heaviest first */
    struct owl_judge_box box[OWL_JUDGE_BOXES];
    bool cut_off;                /* the first box touches the border */
    double clipped, dark, mean;  /* in the first box, else in the frame: shares of pixels >= 250 and <= 5, mean level */
    double sharpness;            /* in the first box: fine against coarse detail; only to rank the frames of one visit */
    int group, alike;            /* lighting group, and how many frames the background could draw on */
    int segment;                 /* counts how often the camera was moved before */
    bool moved;                  /* first frame after the camera was moved */
    enum owl_flash_state flash;
    bool over_exposed, fogged, out_of_focus;
    struct owl_frame_look look;  /* the numbers behind the faults ... */
    struct owl_frame_norm norm;  /* ... what they were compared with */
    struct owl_pose pose;        /* where the camera looked, against the first frame it could be compared with */
    bool aligned;                /* pose could be found */
    double gain, offset;         /* of the light against the background's, mean over the frame */
    double calm;                 /* divisor of all change, 1..4: how unlike the background the whole frame is */
    double wind;                 /* activity of restless parts against their usual one, 0.8..3 */
    double thin, shadow;         /* what thinness and a shadow's texture left of the heaviest change, 0..1 */
};

struct owl_judge;

/* NULL: no memory, or the setup is out of range. */
struct owl_judge *owl_judge_new(const struct owl_judge_setup *setup);

/* The next frame. luma NULL: it could not be read, and keeps its number. flash_expected: the flashes should have fired.
   OWL_BAD_USE: another size than the setup's, or finished already; OWL_NO_MEMORY. */
enum owl_status owl_judge_add(struct owl_judge *judge, const struct owl_luma *luma, bool flash_expected) OWL_MUST_USE;

/* Where frames come from a second time: frame (from 0, in no fixed order) into level[width height]. What it returns other
   than OWL_OK makes that frame OWL_JUDGE_CANNOT, and the run goes on. */
struct owl_judge_source {
    enum owl_status (*fetch)(void *context, int frame, uint8_t *level);
    void *context;
};

/* Judges all frames added. OWL_BAD_USE: called before; OWL_NO_MEMORY. */
enum owl_status owl_judge_finish(struct owl_judge *judge, const struct owl_judge_source *source) OWL_MUST_USE;

/* Borrowed until the judge is freed; NULL before it has finished or for a frame never added. */
const struct owl_frame_verdict *owl_judge_verdict(const struct owl_judge *judge, int frame);

/* The score from which it sees a subject. */
double owl_judge_subject_score(const struct owl_judge *judge);

void owl_judge_free(struct owl_judge *judge);

#endif
