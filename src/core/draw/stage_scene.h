/* The stage laid out on the sheet, and the pieces it is drawn with. Private to core/draw. */
#ifndef OWL_CORE_DRAW_STAGE_SCENE_H
#define OWL_CORE_DRAW_STAGE_SCENE_H

#include "core/draw/label.h"
#include "core/plan/evaluate.h"
#include "core/plan/geometry.h"

#define OWL_STAGE_WIDTH 440.0
#define OWL_STAGE_FONT 13.5
#define OWL_STAGE_LABELS 32

/* Camera, sensor and flashes in the order of OWL_DEVICE_*. */
struct owl_stage_scene {
    const struct owl_plan *plan;
    const struct owl_evaluation *evaluation;
    struct owl_view view;
    bool viewed;                 /* the camera has a view to draw */
    double scale;                /* drawing units for a metre */
    double left_m, top_m;        /* the ground at the drawing's left upper corner */
    double reach_m;              /* farther than anything on the sheet */
    double ground_height;        /* of the drawn ground; a strip with scale and key follows */
    struct owl_point backdrop;   /* its middle */
    double ahead_x, ahead_y;     /* plan direction from camera to mark, length 1 */
    bool backdrop_shown;         /* it lies on the sheet */
    bool opened;                 /* the shutter opens at all */
    struct owl_point animal;     /* where the animal's middle then is */
    struct owl_label_board board;
    int labels;
    struct owl_label label[OWL_STAGE_LABELS];
};

double owl_stage_x(const struct owl_stage_scene *scene, double x_m);
double owl_stage_y(const struct owl_stage_scene *scene, double y_m);

const struct owl_point *owl_stage_place(const struct owl_plan *plan, int device);
const struct owl_point *owl_stage_aim(const struct owl_plan *plan, int device);

/* A point `depth_m` before the camera; side -1 on the left edge of the frame, +1 on the right. */
struct owl_point owl_stage_in_view(const struct owl_stage_scene *scene, double depth_m, double side);

/* The stretch on the sheet of the line through `from` in the plan direction (x, y), in drawing
   units, towards that direction. */
struct owl_label_stroke owl_stage_visible(const struct owl_stage_scene *scene, const struct owl_point *from,
                                          double x, double y);

/* Lays the whole scene out: window, scale, and a place for every label. */
void owl_stage_lay_out(const struct owl_plan *plan, const struct owl_evaluation *evaluation,
                       struct owl_stage_scene *scene);

/* Pieces of SVG: ` name="value"`, `x y`, the beginning and end of a path, one straight line. */
void owl_stage_attribute(struct owl_text *svg, const char *name, double value);
void owl_stage_pair(struct owl_text *svg, double x, double y);
void owl_stage_open(struct owl_text *svg, const char *class);
void owl_stage_close(struct owl_text *svg);
void owl_stage_stroke(struct owl_text *svg, const char *class, const struct owl_label_stroke *stroke);

/* The drawing's beginning, its labels with their leaders, and the strip with scale and key. */
void owl_stage_head(const struct owl_stage_scene *scene, struct owl_text *svg);
void owl_stage_labels(const struct owl_stage_scene *scene, struct owl_text *svg);
void owl_stage_strip(const struct owl_stage_scene *scene, struct owl_text *svg);

#endif
