/* One animal going by, and one frame of it: whether the sensor notices, where it is, what the picture comes to.
   Nothing here remembers; what the rig remembers is rig.h's. */
#ifndef OWL_CORE_REHEARSE_PASSAGE_H
#define OWL_CORE_REHEARSE_PASSAGE_H

#include "core/model/rng.h"
#include "core/rehearse/rig.h"

struct owl_pass {
    const struct owl_walker *walker;
    double at_s; /* when its middle reaches the mark, since the watch began */
    double stay_s; /* how long it then stands there */
    double speed_m_s;
    struct owl_path path;
    int sense; /* +1 walking to the right, -1 to the left */
};

/* A pass of a walker at a time: way, offset, turn and speed, and its stay on the mark are drawn, six draws whatever the plan. Only the subject stays. */
struct owl_pass owl_passage_draw(const struct owl_setup *setup, const struct owl_walker *walker, double at_s,
                                 struct owl_rng *rng);

/* How far a heat sensor notices this animal on its own path at its own pace: owl_heat_range_m of the area it shows,
   the contrast by night or by day, and the zones it crosses. */
double owl_passage_reach_m(const struct owl_setup *setup, const struct owl_pass *pass, bool by_day);

struct owl_notice {
    bool noticed;
    double front_m; /* its nose past the mark, in the sense of the walk, when the sensor decides. Not noticed: where a
                       sensor that reached far enough would decide, NaN if its zones do not lie across the path */
    double distance_m; /* from the sensor to that place */
};

struct owl_notice owl_passage_notice(const struct owl_setup *setup, const struct owl_pass *pass, bool by_day);

/* Its middle past the mark at a time, in the sense of the walk, and whether it stands there. */
double owl_passage_past_m(const struct owl_pass *pass, double at_s);
bool owl_passage_stands(const struct owl_pass *pass, double at_s);

/* When its nose is so far past the mark. */
double owl_passage_time_s(const struct owl_pass *pass, double front_m);

/* A frame of the subject. */
struct owl_frame {
    double opens_s;               /* when the shutter opens */
    double past_m;                /* its middle past the mark, in the sense of the walk */
    double inside;                /* share of it in the frame */
    double defocus_m, travel_m;   /* blur on the image sensor: of its part farthest out of focus, by the walk */
    double stops;                 /* exposure against a right one, -INFINITY for no light at all */
    struct owl_rig_light light;
    unsigned failed;              /* bits of OWL_FAILED */
};

/* Judges the frame whose opens_s and light are given, of the subject, under the light of a minute; fills the rest.
   A frame that missed the animal is judged further as though it stood on the mark, one that lacks a flash with
   spent cells as though that had fired: every link for itself. */
void owl_passage_judge(const struct owl_setup *setup, const struct owl_pass *pass, const struct owl_minute *minute,
                       struct owl_frame *frame);

#endif
