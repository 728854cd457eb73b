/* The plan: everything a photographer writes down about one watch, in SI units.
   A plan is a plain value: it owns nothing and may be copied. owl_plan_read (reader.h) fills it. */
#ifndef OWL_CORE_PLAN_PLAN_H
#define OWL_CORE_PLAN_PLAN_H

#include <stdbool.h>
#include <stddef.h>

#include "core/model/animal.h"
#include "core/model/cells.h"
#include "core/plan/units.h"

#define OWL_FLASHES 6
#define OWL_PASSERS 6
#define OWL_NAME_BYTES 24

enum owl_cloud { OWL_CLOUD_CLEAR, OWL_CLOUD_THIN, OWL_CLOUD_AVERAGE, OWL_CLOUD_DARK };
enum owl_travel { OWL_TRAVEL_RIGHT, OWL_TRAVEL_LEFT, OWL_TRAVEL_BOTH };
enum owl_orientation { OWL_LANDSCAPE, OWL_PORTRAIT };
enum owl_exposure { OWL_EXPOSURE_FIXED, OWL_EXPOSURE_METERED };
enum owl_sensor_kind { OWL_SENSOR_HEAT, OWL_SENSOR_BEAM };
enum owl_gate { OWL_GATE_NIGHT, OWL_GATE_DAY, OWL_GATE_ALWAYS };
enum owl_link { OWL_LINK_WIRE, OWL_LINK_RADIO };
enum owl_yes_no { OWL_NO, OWL_YES };

struct owl_plan_site {
    char name[OWL_WORDS_BYTES], zone[OWL_WORDS_BYTES];
    double latitude_rad, longitude_rad, altitude_m, open_sky;
    int cloud;
};

struct owl_plan_watch {
    double start_days; /* the evening of the first night, days since 1970-01-01 */
    double nights;
    double from_s, to_s; /* armed hours by the clock, s after midnight; NaN: no schedule */
};

struct owl_plan_body {
    int kind; /* place in the animal table */
    double mass_kg, length_m, height_m, shoulder_m, width_m, speed_m_s, passes_per_night, coat, pupil_m;
    /* of the subject only: what its rate of passes rests on, and how its speed varies */
    double scouted_passes, scouted_nights, density_per_m2, speed_spread;
    double stays, stay_s, shy, shy_nights, group;
    double active_from_s, active_to_s; /* of the animals' day: sunrise at 6 h, sunset at 18 h; NaN: by the pattern */
    int pattern; /* enum owl_animal_pattern, or OWL_PATTERN_OWN of watch_view.h */
};

struct owl_plan_passer {
    char name[OWL_NAME_BYTES];
    struct owl_plan_body body;
};

struct owl_plan_stage {
    double mark_height_m, path_angle_rad, path_scatter_m, backdrop_distance_m, backdrop_brightness;
    int travel;
};

struct owl_supply {
    double cells, sets, capacity_ah, standby_a; /* cells in series; sets of them side by side */
    int kind;                                   /* place in the cell table */
};

struct owl_plan_camera {
    struct owl_point place, aim;
    double width_m, height_m, pixels_across, iso, aperture, shutter_s, fastest_s, xsync_s, lag_s, wake_s,
        frames, interval_s, socket_limit_v, card_bytes, frame_bytes, awake_a, awake_s, frame_energy_j;
    int orientation, exposure, sleeps;
    struct owl_supply supply;
    char gear[OWL_WORDS_BYTES]; /* its name on the shelf, as for sensor and flashes; "": none */
};

struct owl_plan_lens {
    double focal_m, widest, narrowest, closest_m, focus_m;
};

struct owl_plan_sensor {
    struct owl_point place, aim;
    int kind, gate;
    double range_m, zones, zone_pitch_rad, fan_height_rad, pulses, delay_s, pause_s, gate_lx, hold_s,
        day_hold_s, debounce_s, false_triggers;
    struct owl_supply supply;
    char gear[OWL_WORDS_BYTES];
};

struct owl_plan_flash {
    char name[OWL_NAME_BYTES];
    struct owl_point place, aim;
    double guide_number_m, power, coverage_rad, diffuser_stops, diffuser_width_m, diffuser_height_m,
        window_width_m, window_height_m, pulse_s, recycle_s, stored_energy_j, trigger_v, link_delay_s, link_miss,
        sleeps_after_s;
    int control, link;
    struct owl_supply supply;
    char gear[OWL_WORDS_BYTES];
};

struct owl_plan_bait {
    int food; /* place in the food table; -1: none */
    double amount_kg;
};

struct owl_plan_housing {
    double volume_m3, desiccant_kg, port_diameter_m, port_gap_m, leak_time_s;
};

struct owl_plan_climate {
    double night_k, day_k, humidity;
};

struct owl_plan_limits {
    double inside, blur_m, exposure_stops, ghost_stops, print_width_m;
};

#define OWL_FIELD_SLOTS 512

struct owl_plan {
    struct owl_plan_site site;
    struct owl_plan_watch watch;
    struct owl_plan_body subject;
    struct owl_plan_stage stage;
    struct owl_plan_camera camera;
    struct owl_plan_lens lens;
    struct owl_plan_sensor sensor;
    struct owl_plan_bait bait;
    struct owl_plan_housing housing;
    struct owl_plan_climate climate;
    struct owl_plan_limits limits;
    struct owl_plan_flash flash[OWL_FLASHES];
    struct owl_plan_passer passer[OWL_PASSERS];
    int flashes, passers;
    /* For each field slot (fields.h) the line the user wrote it on, 0 if he did not. */
    int line_of[OWL_FIELD_SLOTS];
};

#endif
