/* The stage as geometry: distances, what the camera sees, where the path meets the sensor.
   Axes: origin on the ground at the mark, x right as the camera sees it, y away from it, z up. */
#ifndef OWL_CORE_PLAN_GEOMETRY_H
#define OWL_CORE_PLAN_GEOMETRY_H

#include "core/plan/plan.h"
#include "core/status.h"

struct owl_point owl_point_between(const struct owl_point *from, const struct owl_point *to);
double owl_point_length_m(const struct owl_point *vector);
double owl_point_distance_m(const struct owl_point *one, const struct owl_point *other);

/* Angle between the directions from `apex` to `one` and to `other`, 0..pi; 0 when either is no
   direction. */
double owl_point_angle_rad(const struct owl_point *apex, const struct owl_point *one,
                           const struct owl_point *other);

/* The middle of the subject standing on the mark. */
struct owl_point owl_stage_middle(const struct owl_plan *plan);

/* The straight line one pass follows. */
struct owl_path {
    double angle_rad; /* against x: positive when its right end leads away from the camera */
    double aside_m;   /* the line passes the mark so far to the left of growing x */
    double cosine, sine; /* of the angle, worked out once: every question about a path asks for them */
};

struct owl_path owl_path_of(double angle_rad, double aside_m);

/* The line the plan describes, through the mark. */
struct owl_path owl_stage_path(const struct owl_plan *plan);

/* A point on a path, `along_m` past the mark in the sense of growing x, on the mark's height. */
struct owl_point owl_path_point(const struct owl_plan *plan, const struct owl_path *path, double along_m);

/* A camera's eye: place, axes, and the frame as it lies. */
struct owl_view {
    struct owl_point place, right, up, forward;
    double width_m, height_m; /* of the image sensor as it lies: portrait turns it */
    double image_m;           /* image distance f (1 + m) at the focus distance */
};

/* The view of the plan's camera. OWL_OUTSIDE_DOMAIN when it aims straight up or down, or at
   itself, or the focus is nearer than the focal length. */
enum owl_status owl_view_of(const struct owl_plan *plan, struct owl_view *view) OWL_MUST_USE;

/* Where the upright box around a body falls in the frame. */
struct owl_frame_box {
    double left_m, right_m, bottom_m, top_m; /* on the image sensor, from its middle, picture way up */
    double inside;                           /* share of the box that lies in the frame, 0..1 */
    bool in_front;                           /* false: the body is not wholly before the camera */
};

/* The subject's body on a path, its middle `along_m` past the mark. */
struct owl_frame_box owl_view_body(const struct owl_view *view, const struct owl_plan *plan,
                                   const struct owl_path *path, double along_m);

/* Where and when a sensor decides. */
struct owl_crossing {
    bool noticed;     /* enough zone edges cross the path within reach */
    double front_m;   /* where the front of the body is when the deciding edge is crossed, along the
                         path from the mark, in the sense of the walk (negative: before the mark) */
    double distance_m; /* from the sensor to that point */
};

/* The plan's sensor, heat or beam, against a path. sense +1: the animal walks towards growing x,
   -1: the other way. reach_m: how far a heat sensor can notice this body (a beam asks for none). */
struct owl_crossing owl_sensor_cross(const struct owl_plan *plan, const struct owl_path *path, int sense,
                                     double reach_m);

#endif
