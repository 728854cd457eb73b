/* The field table itself, one row a field, and the ways to look something up in it. */
#include "core/plan/fields.h"

#include <math.h>
#include <string.h>

#include "core/constants.h"
#include "core/model/bait.h"

#define DEG OWL_RAD_PER_DEG
#define KELVIN(c) ((c) + OWL_ZERO_CELSIUS_K)
#define ANY_SIZE_M 1000.0
#define LONG_TIME_S (400.0 * OWL_SECONDS_PER_DAY)

/* The words of each choice, in the order of its enum. */
#define CHOICE(name, count, ...)                                      \
    static const char *name(int place)                                \
    {                                                                 \
        static const char *const words[] = {__VA_ARGS__};             \
        return place >= 0 && place < (count) ? words[place] : NULL;   \
    }
CHOICE(cloud_words, 4, "clear", "thin", "average", "dark")
CHOICE(travel_words, 3, "left to right", "right to left", "both ways")
CHOICE(orientation_words, 2, "landscape", "portrait")
CHOICE(exposure_words, 2, "fixed", "metered")
CHOICE(sensor_words, 2, "heat", "beam")
CHOICE(gate_words, 3, "night", "day", "always")
CHOICE(link_words, 2, "wire", "radio")
CHOICE(yes_words, 2, "no", "yes")
CHOICE(control_words, 2, "quenched", "voltage")
CHOICE(pattern_words, 4, "night", "day", "dusk and dawn", "all hours")
CHOICE(subject_pattern_words, 5, "night", "day", "dusk and dawn", "all hours", "own hours")

static const char *animal_words(int place)
{
    return place >= 0 && (size_t)place < owl_animal_count() ? owl_animal_at((size_t)place)->name : NULL;
}

static const char *cell_words(int place)
{
    return place >= 0 && (size_t)place < owl_cells_count() ? owl_cells_at((size_t)place)->name : NULL;
}

static const char *food_words(int place)
{
    return place >= 0 && (size_t)place < owl_bait_count() ? owl_bait_at((size_t)place)->name : NULL;
}

#define AT(type, member) offsetof(struct type, member)
#define SUPPLY(type, cells_, kind_, standby_, standby_help)                                                  \
    {"cells", OWL_UNIT_COUNT, AT(type, supply.cells), cells_, 1, 48, NULL, OWL_ESTIMATE,                     \
     "cells in series that feed it"},                                                                        \
    {"cell kind", OWL_UNIT_CHOICE, AT(type, supply.kind), kind_, 0, 0, cell_words, OWL_ESTIMATE,             \
     "their chemistry"},                                                                                     \
    {"cell capacity", OWL_UNIT_CHARGE, AT(type, supply.capacity_ah), "=from the cell kind", 0.01, 1000,      \
     NULL, OWL_ESTIMATE, "charge of one cell at 20 C, as measured or printed"},                              \
    {"cell sets", OWL_UNIT_COUNT, AT(type, supply.sets), "1", 1, 48, NULL, OWL_ESTIMATE,                     \
     "such rows of cells side by side"},                                                                     \
    {"standby", OWL_UNIT_CURRENT, AT(type, supply.standby_a), standby_, 0, 10, NULL, OWL_ESTIMATE,           \
     standby_help}

static const struct owl_field site_fields[] = {
    {"name", OWL_UNIT_TEXT, AT(owl_plan_site, name), OWL_OPTIONAL, 0, 0, NULL, OWL_GIVEN, "what you call the place"},
    {"latitude", OWL_UNIT_LATITUDE, AT(owl_plan_site, latitude_rad), OWL_REQUIRED, -90 * DEG, 90 * DEG, NULL, OWL_GIVEN,
     "degrees north (N) or south (S)"},
    {"longitude", OWL_UNIT_LONGITUDE, AT(owl_plan_site, longitude_rad), OWL_REQUIRED, -180 * DEG, 180 * DEG, NULL, OWL_GIVEN,
     "degrees east (E) or west (W)"},
    {"altitude", OWL_UNIT_LENGTH, AT(owl_plan_site, altitude_m), "0 m", -430, 8000, NULL, OWL_ESTIMATE,
     "height above the sea"},
    {"zone", OWL_UNIT_TEXT, AT(owl_plan_site, zone), "UTC", 0, 0, NULL, OWL_GIVEN,
     "time zone by its place name, such as Europe/Oslo"},
    {"open sky", OWL_UNIT_PERCENT, AT(owl_plan_site, open_sky), "30 %", 0.001, 1, NULL, OWL_ESTIMATE,
     "share of the open sky's light that reaches the mark: meadow 100 %, wood edge 30 %, closed wood 2 %"},
    {"cloud", OWL_UNIT_CHOICE, AT(owl_plan_site, cloud), "thin", 0, 0, cloud_words, OWL_ESTIMATE, "the usual sky"},
};

static const struct owl_field watch_fields[] = {
    {"start", OWL_UNIT_DATE, AT(owl_plan_watch, start_days), OWL_REQUIRED, 730, 47110, NULL, OWL_GIVEN,
     "date of the first evening, by the clock of the site"},
    {"nights", OWL_UNIT_COUNT, AT(owl_plan_watch, nights), OWL_REQUIRED, 1, 366, NULL, OWL_GIVEN,
     "how many nights the rig stands alone"},
    {"from", OWL_UNIT_CLOCK, AT(owl_plan_watch, from_s), OWL_OPTIONAL, 0, 86399, NULL, OWL_GIVEN,
     "armed only from this time of day"},
    {"to", OWL_UNIT_CLOCK, AT(owl_plan_watch, to_s), OWL_OPTIONAL, 0, 86399, NULL, OWL_GIVEN,
     "armed only up to this time of day"},
};

static const struct owl_field subject_fields[] = {
    {"kind", OWL_UNIT_CHOICE, AT(owl_plan_body, kind), OWL_REQUIRED, 0, 0, animal_words, OWL_GIVEN, "the animal waited for"},
    {"mass", OWL_UNIT_MASS, AT(owl_plan_body, mass_kg), "=from the kind", 0.003, 7000, NULL, OWL_ESTIMATE, "body mass"},
    {"length", OWL_UNIT_LENGTH, AT(owl_plan_body, length_m), "=from the kind", 0.02, 8, NULL, OWL_ESTIMATE,
     "nose to rump, without the tail"},
    {"height", OWL_UNIT_LENGTH, AT(owl_plan_body, height_m), "=from the kind", 0.01, 6, NULL, OWL_ESTIMATE,
     "standing, to the top of the head"},
    {"shoulder", OWL_UNIT_LENGTH, AT(owl_plan_body, shoulder_m), "=from the kind", 0.01, 5, NULL, OWL_ESTIMATE,
     "shoulder height"},
    {"width", OWL_UNIT_LENGTH, AT(owl_plan_body, width_m), "=from the kind", 0.005, 3, NULL, OWL_ESTIMATE, "across the body"},
    {"speed", OWL_UNIT_SPEED, AT(owl_plan_body, speed_m_s), "=from the kind", 0.01, 40, NULL, OWL_ESTIMATE,
     "on an undisturbed pass"},
    {"active", OWL_UNIT_CHOICE, AT(owl_plan_body, pattern), "=from the kind", 0, 0, subject_pattern_words, OWL_ESTIMATE,
     "when it is about; own hours: as the next two say"},
    {"active from", OWL_UNIT_CLOCK, AT(owl_plan_body, active_from_s), OWL_OPTIONAL, 0, 86399, NULL, OWL_GIVEN,
     "hour of the animals' day, whatever the season: 06:00 is sunrise, 18:00 sunset"},
    {"active to", OWL_UNIT_CLOCK, AT(owl_plan_body, active_to_s), OWL_OPTIONAL, 0, 86399, NULL, OWL_GIVEN,
     "up to this hour of it, over midnight if need be"},
    {"speed spread", OWL_UNIT_NUMBER, AT(owl_plan_body, speed_spread), "0.3", 0, 1.5, NULL, OWL_ESTIMATE,
     "how its speed varies: deviation of the speed's logarithm from pass to pass"},
    {"stays", OWL_UNIT_PERCENT, AT(owl_plan_body, stays), "0 %", 0, 1, NULL, OWL_ESTIMATE,
     "share of passes in which it stops on the mark, to sniff or to feed"},
    {"stay", OWL_UNIT_TIME, AT(owl_plan_body, stay_s), "20 s", 0, 36000, NULL, OWL_ESTIMATE, "how long it then stands there on average"},
    {"shy", OWL_UNIT_PERCENT, AT(owl_plan_body, shy), "0 %", 0, 1, NULL, OWL_ESTIMATE,
     "chance that a flash drives it off; watch it and write down what you see"},
    {"shy nights", OWL_UNIT_NUMBER, AT(owl_plan_body, shy_nights), "3", 0, 366, NULL, OWL_ESTIMATE, "for how many nights it then stays away"},
    {"group", OWL_UNIT_NUMBER, AT(owl_plan_body, group), "1", 1, 100, NULL, OWL_ESTIMATE, "animals that pass together on average; 'passes' counts animals"},
    {"passes", OWL_UNIT_RATE, AT(owl_plan_body, passes_per_night), "=from scouting or density, else 0.3 per night", 0, 1000, NULL,
     OWL_ESTIMATE, "passes at the mark in 24 hours, when known"},
    {"scouted passes", OWL_UNIT_COUNT, AT(owl_plan_body, scouted_passes), OWL_OPTIONAL, 0, 100000, NULL, OWL_GIVEN,
     "passes counted while scouting; 0 is an answer too"},
    {"scouted nights", OWL_UNIT_NUMBER, AT(owl_plan_body, scouted_nights), OWL_OPTIONAL, 0.1, 3660, NULL, OWL_GIVEN,
     "nights watched for that"},
    {"density", OWL_UNIT_DENSITY, AT(owl_plan_body, density_per_m2), OWL_OPTIONAL, 0, 1, NULL, OWL_GIVEN,
     "animals to the square kilometre, when nobody has scouted"},
    {"coat", OWL_UNIT_PERCENT, AT(owl_plan_body, coat), "=from the kind", 0.01, 0.95, NULL, OWL_ESTIMATE,
     "share of light the coat throws back"},
    {"pupil", OWL_UNIT_LENGTH, AT(owl_plan_body, pupil_m), "=from the kind", 0.0005, 0.03, NULL, OWL_ESTIMATE,
     "pupil opened in the dark"},
};

static const struct owl_field passer_fields[] = {
    {"kind", OWL_UNIT_CHOICE, AT(owl_plan_passer, body.kind), OWL_REQUIRED, 0, 0, animal_words, OWL_GIVEN,
     "another animal that passes and fires the rig"},
    {"passes", OWL_UNIT_RATE, AT(owl_plan_passer, body.passes_per_night), "1 per night", 0, 1000, NULL, OWL_ESTIMATE,
     "its passes in 24 hours"},
    {"speed", OWL_UNIT_SPEED, AT(owl_plan_passer, body.speed_m_s), "=from the kind", 0.01, 40, NULL, OWL_ESTIMATE,
     "on an undisturbed pass"},
    {"active", OWL_UNIT_CHOICE, AT(owl_plan_passer, body.pattern), "=from the kind", 0, 0, pattern_words, OWL_ESTIMATE,
     "when it is about"},
};

static const struct owl_field stage_fields[] = {
    {"mark height", OWL_UNIT_LENGTH, AT(owl_plan_stage, mark_height_m), "0 m", 0, 30, NULL, OWL_ESTIMATE,
     "what the animal stands on, above the ground"},
    {"path angle", OWL_UNIT_ANGLE, AT(owl_plan_stage, path_angle_rad), "0 deg", -90 * DEG, 90 * DEG, NULL, OWL_ESTIMATE,
     "0: straight across the picture; +90: its right end leads away from the camera"},
    {"travel", OWL_UNIT_CHOICE, AT(owl_plan_stage, travel), "both ways", 0, 0, travel_words, OWL_ESTIMATE,
     "which way it walks, as the camera sees it"},
    {"path scatter", OWL_UNIT_LENGTH, AT(owl_plan_stage, path_scatter_m), "10 cm", 0, 10, NULL, OWL_ESTIMATE,
     "how far passes stray from the line, to either side"},
    {"backdrop distance", OWL_UNIT_LENGTH, AT(owl_plan_stage, backdrop_distance_m), "3 m", 0.05, ANY_SIZE_M, NULL, OWL_ESTIMATE,
     "from the mark to what stands behind it"},
    {"backdrop brightness", OWL_UNIT_PERCENT, AT(owl_plan_stage, backdrop_brightness), "15 %", 0.01, 0.95, NULL, OWL_ESTIMATE,
     "share of light the backdrop throws back"},
};

static const struct owl_field camera_fields[] = {
    {"place", OWL_UNIT_POINT, AT(owl_plan_camera, place), "=3 m before the mark, level with the animal", -ANY_SIZE_M, ANY_SIZE_M,
     NULL, OWL_ESTIMATE, "where the lens stands"},
    {"aim", OWL_UNIT_POINT, AT(owl_plan_camera, aim), "=the middle of the animal on the mark", -ANY_SIZE_M, ANY_SIZE_M, NULL,
     OWL_ESTIMATE, "what stands in the middle of the frame"},
    {"sensor width", OWL_UNIT_FOCAL, AT(owl_plan_camera, width_m), "23.5 mm", 0.004, 0.1, NULL, OWL_ESTIMATE,
     "long side of the image sensor"},
    {"sensor height", OWL_UNIT_FOCAL, AT(owl_plan_camera, height_m), "15.6 mm", 0.003, 0.1, NULL, OWL_ESTIMATE,
     "short side of the image sensor"},
    {"pixels across", OWL_UNIT_COUNT, AT(owl_plan_camera, pixels_across), "6000", 500, 50000, NULL, OWL_ESTIMATE,
     "pixels along the long side"},
    {"orientation", OWL_UNIT_CHOICE, AT(owl_plan_camera, orientation), "landscape", 0, 0, orientation_words, OWL_ESTIMATE,
     "how the frame lies"},
    {"iso", OWL_UNIT_NUMBER, AT(owl_plan_camera, iso), "400", 25, 409600, NULL, OWL_ESTIMATE, "speed set"},
    {"aperture", OWL_UNIT_FNUMBER, AT(owl_plan_camera, aperture), "f/8", 0.7, 128, NULL, OWL_ESTIMATE, "aperture set"},
    {"shutter", OWL_UNIT_SHUTTER, AT(owl_plan_camera, shutter_s), "1/160 s", 1.0 / 32000, 3600, NULL, OWL_ESTIMATE,
     "shutter time set; bulb: the sensor's hold sets it"},
    {"exposure", OWL_UNIT_CHOICE, AT(owl_plan_camera, exposure), "fixed", 0, 0, exposure_words, OWL_ESTIMATE,
     "fixed: always the shutter set; metered: the camera shortens it by its meter in good light"},
    {"fastest shutter", OWL_UNIT_TIME, AT(owl_plan_camera, fastest_s), "1/4000 s", 1.0 / 64000, 1, NULL, OWL_COMMON_PRACTICE,
     "shortest time a metered camera may choose without flashes"},
    {"x-sync", OWL_UNIT_TIME, AT(owl_plan_camera, xsync_s), "1/200 s", 1.0 / 4000, 1, NULL, OWL_COMMON_PRACTICE,
     "shortest shutter time that bares the whole frame to a flash"},
    {"shutter lag", OWL_UNIT_TIME, AT(owl_plan_camera, lag_s), "80 ms", 0, 10, NULL, OWL_ESTIMATE,
     "from release to open shutter, awake, focus locked"},
    {"wake", OWL_UNIT_TIME, AT(owl_plan_camera, wake_s), "400 ms", 0, 30, NULL, OWL_ESTIMATE, "from asleep to ready"},
    {"sleeps", OWL_UNIT_CHOICE, AT(owl_plan_camera, sleeps), "yes", 0, 0, yes_words, OWL_ESTIMATE,
     "whether it sleeps between passes"},
    {"frames", OWL_UNIT_COUNT, AT(owl_plan_camera, frames), "2", 1, 1000, NULL, OWL_ESTIMATE, "frames at each firing"},
    {"interval", OWL_UNIT_TIME, AT(owl_plan_camera, interval_s), "2 s", 0.02, 3600, NULL, OWL_ESTIMATE, "from one to the next of them"},
    {"socket limit", OWL_UNIT_VOLTAGE, AT(owl_plan_camera, socket_limit_v), "24 V", 1, 400, NULL, OWL_PUBLISHED,
     "highest trigger voltage its flash socket bears"},
    {"card", OWL_UNIT_BYTES, AT(owl_plan_camera, card_bytes), "64 GB", 1e6, 1e14, NULL, OWL_ESTIMATE, "room on the card"},
    {"frame size", OWL_UNIT_BYTES, AT(owl_plan_camera, frame_bytes), "35 MB", 1e5, 1e10, NULL, OWL_ESTIMATE, "bytes of one frame"},
    {"awake current", OWL_UNIT_CURRENT, AT(owl_plan_camera, awake_a), "200 mA", 0, 20, NULL, OWL_ESTIMATE, "drawn while awake"},
    {"awake time", OWL_UNIT_TIME, AT(owl_plan_camera, awake_s), "8 s", 0, 86400, NULL, OWL_ESTIMATE,
     "how long it stays awake after a firing"},
    {"frame energy", OWL_UNIT_ENERGY, AT(owl_plan_camera, frame_energy_j), "4 J", 0, 1000, NULL, OWL_ESTIMATE,
     "taken for one frame on top of being awake"},
    SUPPLY(owl_plan_camera, "2", "Li-ion", "1 mA", "drawn asleep"),
    {"gear", OWL_UNIT_TEXT, AT(owl_plan_camera, gear), OWL_OPTIONAL, 0, 0, NULL, OWL_GIVEN, "its name on the shelf, by which it is wired"},
};

static const struct owl_field lens_fields[] = {
    {"focal length", OWL_UNIT_FOCAL, AT(owl_plan_lens, focal_m), "50 mm", 0.003, 2, NULL, OWL_ESTIMATE, "focal length set"},
    {"widest aperture", OWL_UNIT_FNUMBER, AT(owl_plan_lens, widest), "f/2.8", 0.7, 64, NULL, OWL_ESTIMATE, "smallest f-number it has"},
    {"narrowest aperture", OWL_UNIT_FNUMBER, AT(owl_plan_lens, narrowest), "f/22", 1, 128, NULL, OWL_ESTIMATE, "largest f-number it has"},
    {"closest focus", OWL_UNIT_LENGTH, AT(owl_plan_lens, closest_m), "40 cm", 0.01, 100, NULL, OWL_ESTIMATE, "nearest distance it can focus"},
    {"focus distance", OWL_UNIT_LENGTH, AT(owl_plan_lens, focus_m), "=the middle of the animal on the mark", 0.01, 10000, NULL,
     OWL_ESTIMATE, "where it is focused and locked"},
};

static const struct owl_field sensor_fields[] = {
    {"kind", OWL_UNIT_CHOICE, AT(owl_plan_sensor, kind), "heat", 0, 0, sensor_words, OWL_ESTIMATE,
     "heat: notices warm bodies that move; beam: fires when a light beam is broken"},
    {"place", OWL_UNIT_POINT, AT(owl_plan_sensor, place), "=beside the camera", -ANY_SIZE_M, ANY_SIZE_M, NULL, OWL_ESTIMATE,
     "where it stands"},
    {"aim", OWL_UNIT_POINT, AT(owl_plan_sensor, aim), "=the middle of the animal on the mark", -ANY_SIZE_M, ANY_SIZE_M, NULL,
     OWL_ESTIMATE, "heat: middle of its view; beam: where the other end stands"},
    {"range", OWL_UNIT_LENGTH, AT(owl_plan_sensor, range_m), "12 m", 0.3, 200, NULL, OWL_ESTIMATE, "rated range for a walking man"},
    {"zones", OWL_UNIT_COUNT, AT(owl_plan_sensor, zones), "2", 1, 60, NULL, OWL_ESTIMATE,
     "finger zones left open side by side (mask the others)"},
    {"zone pitch", OWL_UNIT_ANGLE, AT(owl_plan_sensor, zone_pitch_rad), "8 deg", 0.2 * DEG, 60 * DEG, NULL, OWL_ESTIMATE,
     "angle from one finger zone to the next"},
    {"fan height", OWL_UNIT_ANGLE, AT(owl_plan_sensor, fan_height_rad), "10 deg", 0.2 * DEG, 120 * DEG, NULL, OWL_ESTIMATE,
     "height of the zones"},
    {"pulses", OWL_UNIT_COUNT, AT(owl_plan_sensor, pulses), "1", 1, 4, NULL, OWL_ESTIMATE,
     "zone edges to be crossed before it fires (sensitivity)"},
    {"delay", OWL_UNIT_TIME, AT(owl_plan_sensor, delay_s), "100 ms", 0, 10, NULL, OWL_ESTIMATE, "from crossing to its signal"},
    {"pause", OWL_UNIT_TIME, AT(owl_plan_sensor, pause_s), "10 s", 0, 86400, NULL, OWL_ESTIMATE, "deaf for so long after firing"},
    {"light gate", OWL_UNIT_CHOICE, AT(owl_plan_sensor, gate), "night", 0, 0, gate_words, OWL_ESTIMATE, "when it is armed"},
    {"gate level", OWL_UNIT_LIGHT, AT(owl_plan_sensor, gate_lx), "3 lx", 0.0001, 100000, NULL, OWL_ESTIMATE,
     "light at the mark where night turns to day for it"},
    {"hold", OWL_UNIT_TIME, AT(owl_plan_sensor, hold_s), "1/8 s", 1.0 / 4000, 60, NULL, OWL_ESTIMATE,
     "how long it holds a shutter set to bulb open by night"},
    {"hold by day", OWL_UNIT_TIME, AT(owl_plan_sensor, day_hold_s), "1/100 s", 1.0 / 4000, 60, NULL, OWL_ESTIMATE,
     "the same above the gate level"},
    {"debounce", OWL_UNIT_TIME, AT(owl_plan_sensor, debounce_s), "3 ms", 0, 10, NULL, OWL_ESTIMATE,
     "beam: shortest break that counts"},
    {"false triggers", OWL_UNIT_RATE, AT(owl_plan_sensor, false_triggers), "1 per night", 0, 100000, NULL, OWL_ESTIMATE,
     "firings by wind, rain and sun in 24 hours armed"},
    SUPPLY(owl_plan_sensor, "4", "lithium AA", "0.3 mA", "drawn all the time"),
    {"gear", OWL_UNIT_TEXT, AT(owl_plan_sensor, gear), OWL_OPTIONAL, 0, 0, NULL, OWL_GIVEN, "its name on the shelf, by which it is wired"},
};

static const struct owl_field flash_fields[] = {
    {"place", OWL_UNIT_POINT, AT(owl_plan_flash, place), OWL_REQUIRED, -ANY_SIZE_M, ANY_SIZE_M, NULL, OWL_GIVEN, "where it stands"},
    {"aim", OWL_UNIT_POINT, AT(owl_plan_flash, aim), "=the middle of the animal on the mark", -ANY_SIZE_M, ANY_SIZE_M, NULL,
     OWL_ESTIMATE, "where its beam points"},
    {"guide number", OWL_UNIT_LENGTH, AT(owl_plan_flash, guide_number_m), "28 m", 1, 200, NULL, OWL_ESTIMATE,
     "at ISO 100, full power and the coverage set; what it gives out of doors"},
    {"power", OWL_UNIT_POWER, AT(owl_plan_flash, power), "1/8", 1.0 / 1024, 1, NULL, OWL_ESTIMATE, "share of full power set"},
    {"coverage", OWL_UNIT_ANGLE, AT(owl_plan_flash, coverage_rad), "60 deg", 5 * DEG, 180 * DEG, NULL, OWL_ESTIMATE,
     "full angle to the edge of its beam, where it is one stop down"},
    {"diffuser", OWL_UNIT_STOPS, AT(owl_plan_flash, diffuser_stops), "0 stops", 0, 8, NULL, OWL_COMMON_PRACTICE,
     "light lost in a diffuser: cloth 1 to 2 stops, softbox 1.5 to 2.5"},
    {"diffuser width", OWL_UNIT_LENGTH, AT(owl_plan_flash, diffuser_width_m), OWL_OPTIONAL, 0.01, 3, NULL, OWL_GIVEN,
     "the lit surface the animal sees"},
    {"diffuser height", OWL_UNIT_LENGTH, AT(owl_plan_flash, diffuser_height_m), OWL_OPTIONAL, 0.01, 3, NULL, OWL_GIVEN,
     "the lit surface the animal sees"},
    {"window width", OWL_UNIT_LENGTH, AT(owl_plan_flash, window_width_m), "60 mm", 0.005, 0.5, NULL, OWL_ESTIMATE, "the bare flash window"},
    {"window height", OWL_UNIT_LENGTH, AT(owl_plan_flash, window_height_m), "35 mm", 0.005, 0.5, NULL, OWL_ESTIMATE, "the bare flash window"},
    {"control", OWL_UNIT_CHOICE, AT(owl_plan_flash, control), "quenched", 0, 0, control_words, OWL_ESTIMATE,
     "quenched: less power is a shorter pulse; voltage: studio type, less power is a longer one"},
    {"pulse", OWL_UNIT_TIME, AT(owl_plan_flash, pulse_s), "1/1000 s", 1e-6, 0.1, NULL, OWL_ESTIMATE,
     "time above half the peak at full power (t0.5)"},
    {"recycle", OWL_UNIT_TIME, AT(owl_plan_flash, recycle_s), "=from the stored energy and the cells", 0.05, 600, NULL, OWL_ESTIMATE,
     "to full charge after a full flash"},
    {"stored energy", OWL_UNIT_ENERGY, AT(owl_plan_flash, stored_energy_j), "60 J", 1, 2000, NULL, OWL_ESTIMATE, "in its capacitor, full"},
    {"trigger voltage", OWL_UNIT_VOLTAGE, AT(owl_plan_flash, trigger_v), OWL_OPTIONAL, 0, 1000, NULL, OWL_GIVEN,
     "across its open trigger contact, measured with the flash charged"},
    {"link", OWL_UNIT_CHOICE, AT(owl_plan_flash, link), "wire", 0, 0, link_words, OWL_ESTIMATE, "how the camera fires it"},
    {"link delay", OWL_UNIT_TIME, AT(owl_plan_flash, link_delay_s), "=0 for a wire, 0.5 ms for radio", 0, 0.1, NULL, OWL_ESTIMATE,
     "added by the link"},
    {"link miss", OWL_UNIT_PERCENT, AT(owl_plan_flash, link_miss), "0 %", 0, 1, NULL, OWL_ESTIMATE,
     "chance that the link does not hear one firing"},
    {"sleeps after", OWL_UNIT_TIME, AT(owl_plan_flash, sleeps_after_s), OWL_OPTIONAL, 1, LONG_TIME_S, NULL, OWL_GIVEN,
     "it switches itself off after so long; leave out when that is disabled"},
    SUPPLY(owl_plan_flash, "4", "NiMH AA", "0.4 mA", "drawn while it stands ready"),
    {"gear", OWL_UNIT_TEXT, AT(owl_plan_flash, gear), OWL_OPTIONAL, 0, 0, NULL, OWL_GIVEN, "its name on the shelf, by which it is wired"},
};

static const struct owl_field bait_fields[] = {
    {"food", OWL_UNIT_CHOICE, AT(owl_plan_bait, food), OWL_REQUIRED, 0, 0, food_words, OWL_GIVEN, "what is laid out"},
    {"amount", OWL_UNIT_MASS, AT(owl_plan_bait, amount_kg), OWL_REQUIRED, 0, 1000, NULL, OWL_GIVEN, "each night"},
};

static const struct owl_field housing_fields[] = {
    {"volume", OWL_UNIT_VOLUME, AT(owl_plan_housing, volume_m3), "4 L", 1e-5, 1, NULL, OWL_ESTIMATE, "air in the camera's box"},
    {"desiccant", OWL_UNIT_MASS, AT(owl_plan_housing, desiccant_kg), "20 g", 0, 10, NULL, OWL_ESTIMATE, "dry silica gel in the box"},
    {"port diameter", OWL_UNIT_LENGTH, AT(owl_plan_housing, port_diameter_m), OWL_OPTIONAL, 0.005, 1, NULL, OWL_GIVEN,
     "clear width of the window before the lens"},
    {"port gap", OWL_UNIT_LENGTH, AT(owl_plan_housing, port_gap_m), "40 mm", 0, 1, NULL, OWL_ESTIMATE,
     "from the lens's entrance pupil to the outer face of the window"},
    {"leak time", OWL_UNIT_TIME, AT(owl_plan_housing, leak_time_s), "30 d", 60, LONG_TIME_S, NULL, OWL_ESTIMATE,
     "time in which the box changes its air once"},
};

static const struct owl_field climate_fields[] = {
    {"night", OWL_UNIT_TEMPERATURE, AT(owl_plan_climate, night_k), "5 C", KELVIN(-60), KELVIN(45), NULL, OWL_ESTIMATE,
     "usual air temperature at night"},
    {"day", OWL_UNIT_TEMPERATURE, AT(owl_plan_climate, day_k), "12 C", KELVIN(-60), KELVIN(55), NULL, OWL_ESTIMATE,
     "usual air temperature by day"},
    {"humidity", OWL_UNIT_PERCENT, AT(owl_plan_climate, humidity), "85 %", 0.01, 1, NULL, OWL_ESTIMATE,
     "relative humidity of the night air"},
};

static const struct owl_field limits_fields[] = {
    {"inside", OWL_UNIT_PERCENT, AT(owl_plan_limits, inside), "100 %", 0.05, 1, NULL, OWL_COMMON_PRACTICE,
     "share of the body that must lie in the frame"},
    {"blur", OWL_UNIT_LENGTH, AT(owl_plan_limits, blur_m), "=the diagonal of the image sensor / 1500", 1e-6, 1e-3, NULL,
     OWL_COMMON_PRACTICE, "largest blur disc on the image sensor that still counts as sharp"},
    {"exposure", OWL_UNIT_STOPS, AT(owl_plan_limits, exposure_stops), "1 stop", 0.1, 6, NULL, OWL_COMMON_PRACTICE,
     "how far off the exposure may be"},
    {"ghost", OWL_UNIT_STOPS, AT(owl_plan_limits, ghost_stops), "5 stops", 0, 12, NULL, OWL_COMMON_PRACTICE,
     "how far the flashes must outshine the ambient light"},
    {"print width", OWL_UNIT_LENGTH, AT(owl_plan_limits, print_width_m), "40 cm", 0.02, 20, NULL, OWL_ESTIMATE,
     "width of the print the blur is stated for"},
};

#define FIELDS(list) list, (int)(sizeof list / sizeof *list)
#define ONCE(name, member, slot, list, help) \
    {name, offsetof(struct owl_plan, member), 0, 1, slot, FIELDS(list), help}
#define REPEATED(name, member, most, slot, list, help) \
    {name, offsetof(struct owl_plan, member), sizeof(((struct owl_plan *)0)->member[0]), most, slot, FIELDS(list), help}

/* Slots are numbered with room to spare: forty for a section that stands once. */
static const struct owl_section sections[] = {
    ONCE("site", site, 0, site_fields, "where"),
    ONCE("watch", watch, 40, watch_fields, "when"),
    ONCE("subject", subject, 80, subject_fields, "who is waited for"),
    ONCE("stage", stage, 120, stage_fields, "the ground around the mark"),
    ONCE("camera", camera, 160, camera_fields, "the body and its settings"),
    ONCE("lens", lens, 200, lens_fields, "the lens"),
    ONCE("sensor", sensor, 220, sensor_fields, "what fires the camera"),
    ONCE("bait", bait, 260, bait_fields, "food at the mark, if any"),
    ONCE("housing", housing, 270, housing_fields, "the box around the camera"),
    ONCE("climate", climate, 280, climate_fields, "air at the site"),
    ONCE("limits", limits, 290, limits_fields, "what counts as a keeper"),
    REPEATED("flash", flash, OWL_FLASHES, 300, flash_fields, "one section for each flash, with a name: [flash key]"),
    REPEATED("passer", passer, OWL_PASSERS, 450, passer_fields, "others that pass: [passer fox]"),
};

const char *owl_origin_words(enum owl_origin origin)
{
    static const char *const words[] = {"published", "common practice", "estimate", "measured", "given"};
    return words[origin];
}

int owl_section_count(void)
{
    return (int)(sizeof sections / sizeof *sections);
}

const struct owl_section *owl_section_at(int index)
{
    return &sections[index];
}

const struct owl_section *owl_section_find(const char *name)
{
    for (int i = 0; i < owl_section_count(); i++)
        if (strcmp(sections[i].name, name) == 0)
            return &sections[i];
    return NULL;
}

int owl_field_find(const struct owl_section *section, const char *name)
{
    for (int i = 0; i < section->field_count; i++)
        if (strcmp(section->fields[i].name, name) == 0)
            return i;
    return -1;
}

const void *owl_field_value(const struct owl_section *section, int nth, int field, const struct owl_plan *plan)
{
    return (const char *)plan + section->offset + section->stride * (size_t)nth + section->fields[field].offset;
}

void *owl_field_member(const struct owl_section *section, int nth, int field, struct owl_plan *plan)
{
    return (char *)plan + section->offset + section->stride * (size_t)nth + section->fields[field].offset;
}

int owl_field_slot(const struct owl_section *section, int nth, int field)
{
    return section->first_slot + nth * section->field_count + field;
}

bool owl_plan_gave(const struct owl_plan *plan, const char *section_name, int nth, const char *name)
{
    const struct owl_section *section = owl_section_find(section_name);
    int field = section ? owl_field_find(section, name) : -1;
    return field >= 0 && plan->line_of[owl_field_slot(section, nth, field)] != 0;
}

static void show_choice(const struct owl_field *field, int place, struct owl_text *text)
{
    const char *words = field->choice(place);
    owl_text_words(text, words ? words : "not given");
}

void owl_field_show(const struct owl_section *section, int nth, int field, const struct owl_plan *plan,
                    struct owl_text *text)
{
    const struct owl_field *row = &section->fields[field];
    const void *value = owl_field_value(section, nth, field, plan);
    if (row->unit == OWL_UNIT_TEXT)
        owl_text_words(text, *(const char *)value ? (const char *)value : "not given");
    else if (row->unit == OWL_UNIT_CHOICE)
        show_choice(row, *(const int *)value, text);
    else if (row->unit == OWL_UNIT_POINT)
        owl_unit_show_point(value, text);
    else
        owl_unit_show(row->unit, *(const double *)value, text);
}
