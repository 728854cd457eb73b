/* What does not change from pass to pass, worked out once before the seasons of a rehearsal.
   The plan, the watch view and the rows are borrowed: they must outlive the setup and stay as they are. */
#ifndef OWL_CORE_REHEARSE_SETUP_H
#define OWL_CORE_REHEARSE_SETUP_H

#include "core/model/odds.h"
#include "core/plan/evaluating.h"

#define OWL_SETUP_ARRIVALS_MOST 50000.0 /* expected in a season: passes of all animals and false triggers */
#define OWL_SETUP_FRAMES_MOST 1e6       /* the same times the frames of a firing */
#define OWL_WALKERS (1 + OWL_PASSERS)   /* the subject comes first */

/* What is believed of the animals beyond the plan. */
struct owl_habits {
    double scouted_passes, scouted_nights; /* seen while scouting; nights 0: the plan's rate is taken as known */
    double speed_spread;                   /* standard deviation of the logarithm of the speed of passes */
    double stays, stay_s; /* chance that the subject stops on the mark, and for how long on average */
    double shy, shy_nights; /* chance that a flash drives it off, and for how many nights */
    double group;           /* animals of a pass, on average; 0 and 1: they come alone */
    double turn_per_m; /* path angle against its offset: their deviations stand as tan(angle) to offset over 1 m */
};

/* Not scouted; speed spread 0.3 and turn 1, both estimates. */
struct owl_habits owl_setup_usual_habits(void);

/* What the plan tells of the subject: its scouting counts and how its speed spreads. */
struct owl_habits owl_setup_habits_of(const struct owl_plan *plan);

/* One kind of animal that passes. */
struct owl_walker {
    double passes_per_night, speed_m_s, length_m, width_m, height_m;
    int pattern; /* enum owl_animal_pattern */
};

/* A flash. */
struct owl_setup_lamp {
    double intensity_cds, half_coverage_rad, pulse_s, power, recycle_s;
    double sleeps_after_s; /* INFINITY: never */
};

/* One set of cells, as the plan's own figures have it. */
struct owl_setup_cells {
    const struct owl_cells_kind *kind;
    double store_j;   /* usable in the beginning */
    double end_j;     /* what self-discharge leaves of it at the end of the watch */
    double standby_w; /* drawn all the time */
    double frame_j;   /* drawn for a frame on top */
};

/* One row of the watch view. */
struct owl_setup_row {
    double log_lx;               /* logarithm of the light at the mark */
    double before[OWL_PATTERNS]; /* share of the activity of its night that lies before it, for each pattern */
    bool scheduled;              /* the clock arms the rig */
    bool by_day;                 /* the sun is up */
};

struct owl_setup {
    const struct owl_plan *plan;
    const struct owl_watch_view *watch;
    const struct owl_setup_row *row; /* nights * OWL_NIGHT_ROWS + 1 */
    struct owl_habits habits;
    int nights;
    struct owl_odds_gamma belief; /* of the subject's rate; nights 0: the plan's is taken as known */
    struct owl_walker walker[OWL_WALKERS];
    int walkers;
    double offset_sd_m, turn_sd_rad;
    double reach_scale[2], reach_most; /* by night, by day: reach of a heat sensor, see owl_passage_reach_m */
    struct owl_evaluating light;       /* for owl_shutter_at_s, and the light needed */
    double ghost_factor, exposure_factor;
    struct owl_setup_lamp lamp[OWL_FLASHES];
    struct owl_setup_cells cells[OWL_DEVICES];
    int devices;
    double card_frames, frames_per_firing;
    double arrivals; /* to be expected in a season: passes of all animals and false triggers */
};

/* Fills *setup from a plan, its view and its evaluation, and row[nights * OWL_NIGHT_ROWS + 1].
   OWL_OUTSIDE_DOMAIN: more arrivals or frames than the bounds above are to be expected in a season, a number of
   *habits lies below 0 or is not finite, or the evaluation is not whole; *setup is then not to be used. */
enum owl_status owl_setup_prepare(const struct owl_plan *plan, const struct owl_watch_view *watch,
                                  const struct owl_evaluation *evaluation, const struct owl_habits *habits,
                                  struct owl_setup_row *row, struct owl_setup *setup) OWL_MUST_USE;

/* When in the watch, in seconds since its beginning, a pattern has spent so many nights' worth of activity: each
   night holds the same, spread over it by the pattern. nights_worth 0 up to, not including, setup->nights. */
double owl_setup_time_s(const struct owl_setup *setup, int pattern, double nights_worth);

/* The surroundings at one time. */
struct owl_minute {
    double at_s; /* since the watch began: local mean noon of the first day */
    double clock_s;
    double light_lx, shutter_s, ambient_lxs; /* light, shutter time at it, exposure by it */
    bool armed, by_day;
};

/* at_s is held to the watch. */
struct owl_minute owl_setup_minute(const struct owl_setup *setup, double at_s);

#endif
