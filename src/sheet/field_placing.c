/* In the wood: placing in order, the test in the light the rig will work in, and what to look at
   before walking away. */
#include <math.h>

#include "core/constants.h"
#include "core/plan/geometry.h"
#include "sheet/field_parts.h"

#define SMALLEST_SHIFT_M 0.01 /* a sensor's aim is not held better */
#define SAME_PLACE_M 0.005

static void open_step(const struct owl_sheet *sheet, const char *title)
{
    owl_sheet_open_tick(sheet);
    owl_sheet_raw(sheet, "<strong>");
    owl_sheet_raw(sheet, title);
    owl_sheet_raw(sheet, "</strong> ");
}

static void write_side(const struct owl_sheet *sheet, double value_m, const char *plus, const char *minus, bool more)
{
    owl_sheet_raw(sheet, more ? ", " : "");
    OWL_SAY(sheet, value_m > 0.0 ? plus : minus, owl_sheet_tape(fabs(value_m)));
}

/* `3 m from the mark (1.2 m left, 2.7 m before it)`: what a tape along the ground shows. */
static void write_ground(const struct owl_sheet *sheet, const struct owl_point *place)
{
    bool sideways = fabs(place->x_m) >= SAME_PLACE_M, lengthways = fabs(place->y_m) >= SAME_PLACE_M;
    if (!sideways && !lengthways) {
        owl_sheet_raw(sheet, "straight over the mark");
        return;
    }
    OWL_SAY(sheet, "% from the mark (", owl_sheet_tape(hypot(place->x_m, place->y_m)));
    if (sideways)
        write_side(sheet, place->x_m, "% right", "% left", false);
    if (lengthways)
        write_side(sheet, place->y_m, "% behind it", "% before it", sideways);
    owl_sheet_raw(sheet, sideways && !lengthways ? " of it)" : ")");
}

static void write_height(const struct owl_sheet *sheet, const char *what, const struct owl_point *place)
{
    owl_sheet_raw(sheet, what);
    OWL_SAY(sheet, place->z_m < 0.0 ? " % below the ground at the mark" : " % up", owl_sheet_tape(fabs(place->z_m)));
}

static void write_aim(const struct owl_sheet *sheet, const struct owl_point *aim)
{
    struct owl_point middle = owl_stage_middle(sheet->plan);
    if (owl_point_distance_m(aim, &middle) < SAME_PLACE_M) {
        OWL_SAY(sheet, "at the middle of the animal on the mark, % up", owl_sheet_tape(middle.z_m));
        return;
    }
    owl_sheet_raw(sheet, "at a point ");
    write_ground(sheet, aim);
    write_height(sheet, ",", aim);
}

static void step_mark(const struct owl_sheet *sheet)
{
    const struct owl_plan_stage *stage = &sheet->plan->stage;
    static const char *const travel[] = {"left to right", "right to left", "both ways"};
    open_step(sheet, "The mark.");
    owl_sheet_raw(sheet, "Peg the spot where the animal should be. Everything is measured from it: distances along the "
                         "ground, heights from the ground at the mark; left and right as the camera sees them; before means "
                         "nearer to the camera, behind means farther away.");
    if (stage->mark_height_m > 0.0)
        OWL_SAY(sheet, " The animal stands % above that ground.", owl_sheet_tape(stage->mark_height_m));
    owl_sheet_raw(sheet, " It comes ");
    owl_sheet_raw(sheet, travel[stage->travel]);
    if (stage->path_angle_rad == 0.0)
        owl_sheet_raw(sheet, ", straight across the picture.");
    else
        OWL_SAY(sheet, stage->path_angle_rad > 0.0 ? "; the right end of its path leads away from the camera by %."
                                                   : "; the right end of its path comes towards the camera by %.",
                {OWL_UNIT_ANGLE, fabs(stage->path_angle_rad)});
    owl_sheet_close_tick(sheet);
}

static void step_camera(const struct owl_sheet *sheet)
{
    const struct owl_plan_camera *camera = &sheet->plan->camera;
    open_step(sheet, "Camera.");
    owl_sheet_raw(sheet, "Lens ");
    write_ground(sheet, &camera->place);
    write_height(sheet, ",", &camera->place);
    owl_sheet_raw(sheet, camera->orientation == OWL_PORTRAIT ? ".<br/>Camera upright, horizon level. Aim " : ".<br/>Horizon level. Aim ");
    write_aim(sheet, &camera->aim);
    owl_sheet_raw(sheet, ". Screw everything tight.");
    owl_sheet_close_tick(sheet);
}

static void step_focus(const struct owl_sheet *sheet)
{
    open_step(sheet, "Focus, then lock.");
    OWL_SAY(sheet, "Put the stand-in on the mark and focus on it: % from the lens, % on a scale that counts from the image "
                   "sensor.<br/>Switch autofocus and stabiliser off and tape the ring down.<br/>Sharp from ",
            {OWL_UNIT_LENGTH, owl_sheet_figure(sheet, OWL_RESULT_FOCUS, 0)},
            {OWL_UNIT_LENGTH, owl_sheet_figure(sheet, OWL_RESULT_FOCUS_SCALE, 0)});
    double far_m = owl_sheet_figure(sheet, OWL_RESULT_FAR, 0);
    OWL_SAY(sheet, isinf(far_m) ? "% to the horizon." : "% to %.", {OWL_UNIT_LENGTH, owl_sheet_figure(sheet, OWL_RESULT_NEAR, 0)},
            {OWL_UNIT_LENGTH, far_m});
    owl_sheet_close_tick(sheet);
}

static void step_frame(const struct owl_sheet *sheet)
{
    open_step(sheet, "Frame.");
    OWL_SAY(sheet, "At the mark the frame is % wide and % high. The stand-in fills % of its width and % of its height.",
            owl_sheet_tape(owl_sheet_figure(sheet, OWL_RESULT_FIELD_WIDTH, 0)),
            owl_sheet_tape(owl_sheet_figure(sheet, OWL_RESULT_FIELD_HEIGHT, 0)),
            owl_sheet_percent(owl_sheet_figure(sheet, OWL_RESULT_FILL_WIDTH, 0)),
            owl_sheet_percent(owl_sheet_figure(sheet, OWL_RESULT_FILL_HEIGHT, 0)));
    owl_sheet_close_tick(sheet);
}

/* What the evaluation says about the aim: nothing when there is nothing to move. */
static void write_aim_shift(const struct owl_sheet *sheet)
{
    const struct owl_evaluation *evaluation = sheet->evaluation;
    if (!evaluation->noticed) {
        owl_sheet_raw(sheet, "<br/><span class=\"alarm\">As planned it does not notice this animal: see the warnings first.</span>");
        return;
    }
    double shift_m = evaluation->aim_shift_m;
    if (evaluation->both_ways || fabs(shift_m) < SMALLEST_SHIFT_M)
        return;
    OWL_SAY(sheet, shift_m > 0.0 ? "<br/>Then move its aim % to the right along the path: so the animal is on the mark when the "
                                   "shutter opens."
                                 : "<br/>Then move its aim % to the left along the path: so the animal is on the mark when the "
                                   "shutter opens.",
            owl_sheet_tape(fabs(shift_m)));
}

static void step_sensor(const struct owl_sheet *sheet)
{
    const struct owl_plan_sensor *sensor = &sheet->plan->sensor;
    open_step(sheet, "Sensor.");
    write_ground(sheet, &sensor->place);
    write_height(sheet, ",", &sensor->place);
    if (sensor->kind == OWL_SENSOR_BEAM) {
        owl_sheet_raw(sheet, ".<br/>Its other end ");
        write_ground(sheet, &sensor->aim);
        write_height(sheet, ",", &sensor->aim);
        owl_sheet_raw(sheet, ".<br/>Break the beam with your hand: it must answer.");
    } else {
        owl_sheet_raw(sheet, ".<br/>Aim ");
        write_aim(sheet, &sensor->aim);
        OWL_SAY(sheet, sensor->zones == 1.0 ? ".<br/>Leave % zone open and mask the others."
                                            : ".<br/>Leave % zones side by side open and mask the others.",
                {OWL_UNIT_COUNT, sensor->zones});
    }
    write_aim_shift(sheet);
    owl_sheet_close_tick(sheet);
}

static void step_flash(const struct owl_sheet *sheet, int i)
{
    const struct owl_plan_flash *flash = &sheet->plan->flash[i];
    owl_sheet_open_tick(sheet);
    owl_sheet_raw(sheet, "<strong>Flash ");
    owl_sheet_name(sheet, flash->name);
    owl_sheet_raw(sheet, i == sheet->evaluation->key_flash ? " (the strongest).</strong> " : ".</strong> ");
    write_ground(sheet, &flash->place);
    write_height(sheet, ",", &flash->place);
    owl_sheet_raw(sheet, ".<br/>Aim ");
    write_aim(sheet, &flash->aim);
    OWL_SAY(sheet, ".<br/>Power %, coverage %", {OWL_UNIT_POWER, flash->power}, {OWL_UNIT_ANGLE, flash->coverage_rad});
    owl_sheet_raw(sheet, flash->diffuser_stops > 0.0 || !isnan(flash->diffuser_width_m) ? ", with its diffuser.<br/>"
                                                                                        : ", no diffuser.<br/>");
    owl_sheet_raw(sheet, flash->link == OWL_LINK_WIRE ? "Join it by wire. Auto-off off."
                                                      : "Receiver on, same channel. Auto-off off.");
    owl_sheet_close_tick(sheet);
}

static void step_rest(const struct owl_sheet *sheet)
{
    open_step(sheet, "Backdrop.");
    OWL_SAY(sheet, "% behind the mark: nothing in it that shines, moves in the wind or is warmed by the sun.",
            {OWL_UNIT_LENGTH, sheet->plan->stage.backdrop_distance_m});
    owl_sheet_close_tick(sheet);
    open_step(sheet, "Cords.");
    owl_sheet_raw(sheet, "Flat on the ground, fixed, under leaves; across no path of animals or people; a loop before every "
                         "plug, so that water drips off and a pull does not part it.");
    owl_sheet_close_tick(sheet);
    open_step(sheet, "Weather.");
    OWL_SAY(sheet, "% of dry silica gel in the box, rain covers over the flashes' cells, never over their windows.",
            {OWL_UNIT_MASS, sheet->plan->housing.desiccant_kg});
    if (owl_sheet_figure(sheet, OWL_RESULT_DEW_MARGIN, 0) < 0.0)
        owl_sheet_raw(sheet, " A roof over the window: on clear nights dew or frost is to be expected on it.");
    owl_sheet_close_tick(sheet);
}

void owl_sheet_placing(const struct owl_sheet *sheet)
{
    owl_sheet_open(sheet, "placing", "Placing, in order");
    owl_sheet_raw(sheet, "<ol class=\"ticks steps\">\n");
    step_mark(sheet);
    step_camera(sheet);
    step_focus(sheet);
    step_frame(sheet);
    step_sensor(sheet);
    for (int i = 0; i < sheet->plan->flashes; i++)
        step_flash(sheet, owl_sheet_flash_order(sheet, i));
    step_rest(sheet);
    owl_sheet_raw(sheet, "</ol>\n");
    owl_sheet_close(sheet);
}

/* ---- test ---- */

static void write_test_time(const struct owl_sheet *sheet)
{
    double test_unix_s = sheet->evaluation->nights > 0 ? sheet->evaluation->night[0].test_unix_s : NAN;
    owl_sheet_raw(sheet, "<p class=\"lead\">");
    if (isnan(test_unix_s)) {
        owl_sheet_raw(sheet, sheet->plan->sensor.gate == OWL_GATE_DAY
                                 ? "In this watch's first day it never gets light enough for the gate to arm the rig: see the warnings."
                                 : "The light does not pass the level for the test in the first night: test at the darkest "
                                   "hour you can, and see the warnings.");
    } else {
        owl_sheet_raw(sheet, sheet->plan->sensor.gate == OWL_GATE_DAY ? "Do it at <b>" : "Come back tonight at <b>");
        owl_sheet_clock(sheet, test_unix_s);
        owl_sheet_raw(sheet, "</b> (");
        owl_sheet_date(sheet, floor(owl_sky_local_s(sheet->watch->sky, test_unix_s) / OWL_SECONDS_PER_DAY));
        owl_sheet_raw(sheet, sheet->plan->sensor.gate == OWL_GATE_DAY
                                 ? "): only then is the gate open."
                                 : "): before that, daylight still lies in the picture. A test in daylight proves nothing.");
    }
    owl_sheet_raw(sheet, "</p>\n");
}

void owl_sheet_test(const struct owl_sheet *sheet)
{
    const struct owl_plan *plan = sheet->plan;
    owl_sheet_open(sheet, "test", "Test in the light it will work in");
    write_test_time(sheet);
    owl_sheet_raw(sheet, "<ul class=\"ticks\">\n");
    owl_sheet_open_tick(sheet);
    OWL_SAY(sheet, "Stand-in on the mark, then drawn through the path both ways on a string at the animal's pace, %, you "
                   "well aside: the sensor must see it, not you.", {OWL_UNIT_SPEED, plan->subject.speed_m_s});
    owl_sheet_close_tick(sheet);
    owl_sheet_open_tick(sheet);
    OWL_SAY(sheet, "Between two passes wait for the sensor's pause, %.", {OWL_UNIT_TIME, plan->sensor.pause_s});
    owl_sheet_raw(sheet, plan->sensor.pause_s > 60.0 ? " Shorten it for the test and set it back." : "");
    owl_sheet_close_tick(sheet);
    owl_sheet_open_tick(sheet);
    OWL_SAY(sheet, plan->camera.frames == 1.0 ? "% frame came each time." : "% frames came each time.",
            {OWL_UNIT_COUNT, plan->camera.frames});
    owl_sheet_close_tick(sheet);
    owl_sheet_tick(sheet, "<strong>Frame:</strong> the whole body inside, both ways, with room in front of the nose.");
    owl_sheet_tick(sheet, "<strong>Focus:</strong> the largest magnification, at the eye's place.");
    owl_sheet_tick(sheet, "<strong>Exposure:</strong> by the histogram at arm's length, not by the bright screen in the dark; "
                          "nothing piled up at either end.");
    if (plan->flashes > 0) {
        owl_sheet_tick(sheet, "<strong>Ghost:</strong> no second, faint outline beside the sharp one.");
        owl_sheet_tick(sheet, "<strong>All flashes:</strong> cover one after the other and see the light it gave go; in the last "
                              "frame of a firing too.");
    }
    owl_sheet_tick(sheet, sheet->plan->camera.sleeps == OWL_YES
                              ? "Let the rig stand untouched until the camera sleeps, then draw the stand-in through once more."
                              : "Let the rig stand untouched for half an hour, then draw the stand-in through once more: still awake?");
    owl_sheet_raw(sheet, "</ul>\n");
    owl_sheet_close(sheet);
}

void owl_sheet_leaving(const struct owl_sheet *sheet)
{
    owl_sheet_open(sheet, "leaving", "When leaving");
    owl_sheet_raw(sheet, "<ul class=\"ticks\">\n");
    owl_sheet_tick(sheet, "Card empty again, and in the camera; nothing protects it from writing");
    owl_sheet_open_tick(sheet);
    owl_sheet_raw(sheet, "Camera's date and clock set, to the minute, to the clock of ");
    owl_sheet_name(sheet, sheet->plan->site.zone);
    owl_sheet_close_tick(sheet);
    owl_sheet_tick(sheet, "Lens and window clean and dry, front and back");
    owl_sheet_tick(sheet, "Fresh cells in every device, door shut");
    if (sheet->plan->flashes > 0)
        owl_sheet_tick(sheet, "Auto-off off on every flash, powers as on this sheet, ready lamps lit");
    owl_sheet_tick(sheet, "Focus ring still taped, focus and shutter still set by hand");
    owl_sheet_tick(sheet, "Light gate and pause set back from the test; sensor switched on");
    if (sheet->plan->bait.food >= 0)
        owl_sheet_tick(sheet, "Bait on the mark and nowhere else");
    owl_sheet_tick(sheet, "Stand-in, string, tape and litter taken along; the note with your name on the rig");
    owl_sheet_tick(sheet, "Noted: left at ______ on ____________, first frame number ______");
    owl_sheet_raw(sheet, "</ul>\n");
    owl_sheet_close(sheet);
}
