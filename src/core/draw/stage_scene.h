/* The stage laid out on the sheet, and the pieces it is drawn with. Private to core/draw. */
#ifndef OWL_CORE_DRAW_STAGE_SCENE_H
#define OWL_CORE_DRAW_STAGE_SCENE_H

#include "core/draw/label.h"
#include "core/plan/evaluate.h"
#include "core/plan/geometry.h"

#define OWL_STAGE_WIDTH 440.0
#define OWL_STAGE_FONT 13.5
#define OWL_STAGE_LABELS 32
#define OWL_STAGE_BODIES 16

/* An animal seen from above. */
struct owl_stage_body {
    struct owl_point middle;
    double heading_rad;       /* plan direction its nose points in */
    const char *class, *nose; /* what it is drawn in; nose NULL: it stands and has none */
    bool loose;               /* it may lie off the sheet */
};

/* Camera, sensor and flashes in the order of OWL_DEVICE_*. */
struct owl_stage_scene {
    const struct owl_plan *plan;
    const struct owl_evaluation *evaluation;
    const char *name;            /* of the drawing: its ids begin with it */
    const char *note;            /* how its measures are to be read, in the strip */
    bool quiet;                  /* another thing is shown on the stage: fewer words, the path faint */
    struct owl_view view;
    bool viewed;                 /* the camera has a view to draw */
    double scale;                /* drawing units for a metre */
    double left_m, top_m;        /* the ground at the drawing's left upper corner */
    double reach_m;              /* farther than anything on the sheet */
    double ground_height;        /* of the drawn ground; a strip with scale and key follows */
    struct owl_point backdrop;   /* its middle */
    double ahead_x, ahead_y;     /* plan direction from camera to mark, length 1 */
    bool backdrop_shown;         /* it lies on the sheet */
    int bodies;
    struct owl_stage_body body[OWL_STAGE_BODIES];
    struct owl_label_board board;
    int labels;
    struct owl_label label[OWL_STAGE_LABELS];
};

double owl_stage_x(const struct owl_stage_scene *scene, double x_m);
double owl_stage_y(const struct owl_stage_scene *scene, double y_m);

const struct owl_point *owl_stage_place(const struct owl_plan *plan, int device);
const struct owl_point *owl_stage_aim(const struct owl_plan *plan, int device);

/* How far the sensor notices this animal, or is rated for where that is not known; no farther than the sheet reaches. */
double owl_stage_sensor_reach_m(const struct owl_stage_scene *scene);

/* A point `depth_m` before the camera; side -1 on the left edge of the frame, +1 on the right. */
struct owl_point owl_stage_in_view(const struct owl_stage_scene *scene, double depth_m, double side);

bool owl_stage_on_sheet(const struct owl_stage_scene *scene, const struct owl_point *point);

/* The stretch on the sheet of the line through `from` in the plan direction (x, y), in drawing
   units, towards that direction. Of a line that misses the sheet: a stroke against that direction, or off the sheet. */
struct owl_label_stroke owl_stage_visible(const struct owl_stage_scene *scene, const struct owl_point *from,
                                          double x, double y);

/* Laying out goes in steps: begin; add the bodies, more than there is room for are forgotten; fit chooses window and
   scale, so that all bodies but the loose and the point `also` (or NULL) are on the sheet unless they are far off, and keeps the
   places of what is drawn free of labels; labels, the most wanted first; end. */
void owl_stage_begin(struct owl_stage_scene *scene, const struct owl_plan *plan, const struct owl_evaluation *evaluation,
                     const char *name);
void owl_stage_add_body(struct owl_stage_scene *scene, const struct owl_stage_body *body);
void owl_stage_fit(struct owl_stage_scene *scene, const struct owl_point *also);
void owl_stage_label_devices(struct owl_stage_scene *scene);
void owl_stage_label_ground(struct owl_stage_scene *scene);
void owl_stage_end(struct owl_stage_scene *scene);

/* A label with its first line ("": none yet), still to be placed by owl_label_near; its next line. */
struct owl_label *owl_stage_label(struct owl_stage_scene *scene, double x_m, double y_m, const char *words);
struct owl_text owl_stage_label_line(struct owl_label *label);

/* What has left the sheet is named where it left. */
void owl_stage_hold_label(const struct owl_stage_scene *scene, struct owl_label *label);

/* Where the middle of the animal is when the shutter opens, past the mark in the sense of its walk: nine passes in ten lie
   between both, slow ones at low_m, fast ones at high_m. By the spread of its pace alone. NaN when it is not noticed. */
struct owl_stage_spread {
    double low_m, high_m;
};
struct owl_stage_spread owl_stage_spread_of(const struct owl_stage_scene *scene);

/* A length as a tape in the wood shows it, to the centimetre; and as a place on the way. */
void owl_stage_show_tape(struct owl_text *text, double length_m);
void owl_stage_show_past(struct owl_text *text, double past_m);

/* Pieces of SVG: ` name="value"`, `x y`, the beginning and end of a path, one straight line. */
void owl_stage_attribute(struct owl_text *svg, const char *name, double value);
void owl_stage_pair(struct owl_text *svg, double x, double y);
void owl_stage_open(struct owl_text *svg, const char *class);
void owl_stage_close(struct owl_text *svg);
void owl_stage_stroke(struct owl_text *svg, const char *class, const struct owl_label_stroke *stroke);

/* The drawing's beginning up to the words of its desc, which follow; and from their end to the first shape. */
void owl_stage_open_head(const struct owl_stage_scene *scene, const char *title, struct owl_text *svg);
void owl_stage_close_head(const struct owl_stage_scene *scene, struct owl_text *svg);

/* The plan's own head, whole. */
void owl_stage_head(const struct owl_stage_scene *scene, struct owl_text *svg);

/* Everything that lies on the ground but the bodies, left open for more; then the devices over it. */
void owl_stage_open_ground(const struct owl_stage_scene *scene, struct owl_text *svg);
void owl_stage_close_ground(struct owl_text *svg);
void owl_stage_draw_body(const struct owl_stage_scene *scene, struct owl_text *svg, const struct owl_stage_body *body);
void owl_stage_draw_arrow(struct owl_text *svg, double x, double y, double angle_rad);
void owl_stage_draw_glyph(const struct owl_stage_scene *scene, struct owl_text *svg, int device, double x, double y,
                          double angle_rad);
void owl_stage_draw_beam_end(struct owl_text *svg, double x, double y, double angle_rad);
void owl_stage_draw_devices(const struct owl_stage_scene *scene, struct owl_text *svg);

/* The labels with their leaders, and the strip with scale and key. */
void owl_stage_labels(const struct owl_stage_scene *scene, struct owl_text *svg);
void owl_stage_strip(const struct owl_stage_scene *scene, struct owl_text *svg);

#endif
