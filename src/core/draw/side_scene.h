/* The upright section laid out on the sheet. Private to core/draw.
   It is a stage scene of its own kind: x runs along the ground, 0 at the mark and growing away from the camera, and what
   the plan view calls y is the height. */
#ifndef OWL_CORE_DRAW_SIDE_SCENE_H
#define OWL_CORE_DRAW_SIDE_SCENE_H

#include "core/draw/stage_scene.h"

/* A place as the section shows it. */
struct owl_side_point {
    double along_m, up_m;
    double aside_m; /* to the right of the section as the camera sees it; not drawn */
};

struct owl_side_point owl_side_of(const struct owl_stage_scene *scene, const struct owl_point *point);
struct owl_side_point owl_side_device(const struct owl_stage_scene *scene, int device);

/* What opens up and down about an aim: a sensor's fan, a flash's beam. */
struct owl_side_fan {
    const struct owl_point *place, *aim;
    double angle_rad; /* whole */
    double radius_m;
};

struct owl_side_fan owl_side_sensor_fan(const struct owl_stage_scene *scene);
struct owl_side_fan owl_side_flash_beam(const struct owl_stage_scene *scene, const struct owl_plan_flash *flash);

/* On its rim: share -1 at the lower edge, +1 at the upper. */
struct owl_side_point owl_side_on_rim(const struct owl_stage_scene *scene, const struct owl_side_fan *fan, double share);

/* A point `depth_m` before the camera; side -1 on the lower edge of the frame, +1 on the upper. */
struct owl_side_point owl_side_in_view(const struct owl_stage_scene *scene, double depth_m, double side);

/* Whether the camera looks towards the mark at all. */
bool owl_side_frame_comes(const struct owl_stage_scene *scene);

/* Height of the frame's edge over the mark; infinite (of that sign) when the edge does not come there. */
double owl_side_frame_up_m(const struct owl_stage_scene *scene, double side);

/* How long the animal on the mark is along the section: the box around its body. */
double owl_side_across_m(const struct owl_stage_scene *scene);

/* What the animal stands on when the mark is above the ground, on the sheet. */
struct owl_label_box owl_side_perch(const struct owl_stage_scene *scene);

/* So far beside the section that its beam should not stand out. */
bool owl_side_far_aside(const struct owl_stage_scene *scene, const struct owl_point *place);

/* Whether anything stands lower than the ground at the mark. */
bool owl_side_sunken(const struct owl_plan *plan);

/* Whether a beam's other end can be told from its beginning here. */
bool owl_side_beam_shown(const struct owl_stage_scene *scene);

/* Lines of the drawing, in its units: a device's height, and a distance along the ground from the mark. */
struct owl_label_stroke owl_side_upright(const struct owl_stage_scene *scene, int device);
struct owl_label_stroke owl_side_tape(const struct owl_stage_scene *scene, double along_m);

/* Places all labels, the most wanted first; the text for screen readers. */
void owl_side_label(struct owl_stage_scene *scene);
void owl_side_describe(const struct owl_stage_scene *scene, struct owl_text *svg);

/* Chooses window and scale, and places all labels. */
void owl_side_lay_out(struct owl_stage_scene *scene, const struct owl_plan *plan, const struct owl_evaluation *evaluation);

#endif
