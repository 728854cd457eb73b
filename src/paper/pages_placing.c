/* On paper: what to pack, and where everything goes. */
#include <math.h>

#include "core/draw/side.h"
#include "core/draw/stage.h"
#include "core/model/bait.h"
#include "core/model/flash.h"
#include "core/plan/geometry.h"
#include "paper/pages.h"

#define CABLE_STEP_M 0.5 /* cables come in such lengths */
#define SAME_PLACE_M 0.005
#define SMALLEST_SHIFT_M 0.01 /* a sensor's aim is not held better */
#define STAGE_HEIGHT_PT 275.0
#define SIDE_HEIGHT_PT 212.0

/* ---- packing ---- */

static void pack_powered(struct owl_pages *pages, const char *what, const char *name, const struct owl_supply *supply,
                         const char *more)
{
    owl_pages_words(pages, what);
    owl_pages_name(pages, name);
    OWL_TELL(pages, ", % \xC3\x97 ", {OWL_UNIT_COUNT, supply->cells * supply->sets});
    owl_pages_name(pages, owl_cells_at((size_t)supply->kind)->name);
    owl_pages_words(pages, " in it, as many to spare");
    owl_pages_words(pages, more);
    owl_pages_tick(pages);
}

static bool has_diffuser(const struct owl_plan_flash *flash)
{
    return flash->diffuser_stops > 0.0 || !isnan(flash->diffuser_width_m);
}

static void pack_flash(struct owl_pages *pages, int i)
{
    const struct owl_plan_flash *flash = &pages->sheet.plan->flash[i];
    int trigger = owl_sheet_trigger(&pages->sheet, i);
    if (trigger == OWL_TRIGGER_NEVER) {
        owl_pages_words(pages, "*Leave at home:* flash ");
        owl_pages_name(pages, flash->name);
        owl_pages_words(pages, ", its trigger voltage is too high for any camera");
        owl_pages_tick(pages);
        return;
    }
    pack_powered(pages, "Flash ", flash->name, &flash->supply, has_diffuser(flash) ? "; its diffuser" : "");
    if (trigger != OWL_TRIGGER_SAFE) {
        owl_pages_words(pages, "Opto-isolated adapter for flash ");
        owl_pages_name(pages, flash->name);
        owl_pages_tick(pages);
    }
}

/* Down to the ground, along it, and up again. */
static double cable_m(const struct owl_point *from, const struct owl_point *to)
{
    double length_m = hypot(to->x_m - from->x_m, to->y_m - from->y_m) + fabs(from->z_m) + fabs(to->z_m);
    return ceil(length_m / CABLE_STEP_M) * CABLE_STEP_M;
}

static void pack_links(struct owl_pages *pages)
{
    const struct owl_plan *plan = pages->sheet.plan;
    int receivers = 0;
    OWL_TELL(pages, "Cables from the camera, at least: sensor %",
             {OWL_UNIT_LENGTH, cable_m(&plan->camera.place, &plan->sensor.place)});
    for (int i = 0; i < plan->flashes; i++) {
        if (plan->flash[i].link == OWL_LINK_RADIO) {
            receivers++;
            continue;
        }
        owl_pages_words(pages, ", flash ");
        owl_pages_name(pages, plan->flash[i].name);
        OWL_TELL(pages, " %", {OWL_UNIT_LENGTH, cable_m(&plan->camera.place, &plan->flash[i].place)});
    }
    owl_pages_tick(pages);
    if (receivers > 0) {
        OWL_TELL(pages, "Radio link: % for the camera, receivers for % of the flashes, cells for all", {OWL_UNIT_COUNT, 1.0},
                 {OWL_UNIT_COUNT, receivers});
        owl_pages_tick(pages);
    }
}

static double longest_m(const struct owl_plan *plan)
{
    double longest = fmax(hypot(plan->camera.place.x_m, plan->camera.place.y_m),
                          hypot(plan->sensor.place.x_m, plan->sensor.place.y_m));
    for (int i = 0; i < plan->flashes; i++)
        longest = fmax(longest, hypot(plan->flash[i].place.x_m, plan->flash[i].place.y_m));
    return ceil(longest);
}

static void pack_tools(struct owl_pages *pages)
{
    const struct owl_plan *plan = pages->sheet.plan;
    bool beam = plan->sensor.kind == OWL_SENSOR_BEAM;
    OWL_TELL(pages, "% stands: tripods, stakes or clamps", {OWL_UNIT_COUNT, 2.0 + plan->flashes + beam});
    owl_pages_tick(pages);
    OWL_TELL(pages, "Tape measure, % or longer; peg, string, tape, cable ties", {OWL_UNIT_LENGTH, longest_m(plan)});
    owl_pages_tick(pages);
    OWL_TELL(pages, "Stand-in for the animal, % long and % high", {OWL_UNIT_LENGTH, plan->subject.length_m},
             {OWL_UNIT_LENGTH, plan->subject.height_m});
    owl_pages_tick(pages);
    OWL_TELL(pages, "Dry silica gel, %; rain covers, cloth, lens tissue", {OWL_UNIT_MASS, plan->housing.desiccant_kg});
    owl_pages_tick(pages);
    if (plan->bait.food >= 0) {
        owl_pages_words(pages, "Bait, ");
        owl_pages_name(pages, owl_bait_at((size_t)plan->bait.food)->name);
        OWL_TELL(pages, ": % for each night it is laid out", {OWL_UNIT_MASS, plan->bait.amount_kg});
        owl_pages_tick(pages);
    }
    owl_pages_tick_words(pages, "Head torch with fresh cells, a second light, charged phone, watch, pencil");
    owl_pages_tick_words(pages, "The landowner's leave, licences, a note with your name and number for the rig");
}

void owl_pages_packing(struct owl_pages *pages)
{
    const struct owl_plan *plan = pages->sheet.plan;
    owl_leaf_heading(&pages->leaf, "Before leaving home");
    pack_powered(pages, "Camera", "", &plan->camera.supply, "");
    OWL_TELL(pages, "Lens, %; card, %, emptied and formatted", {OWL_UNIT_FOCAL, plan->lens.focal_m},
             {OWL_UNIT_BYTES, plan->camera.card_bytes});
    owl_pages_tick(pages);
    pack_powered(pages, plan->sensor.kind == OWL_SENSOR_BEAM ? "Beam sensor with its other end"
                                                             : "Heat sensor, opaque tape for its zones",
                 "", &plan->sensor.supply, "");
    for (int i = 0; i < plan->flashes; i++)
        pack_flash(pages, owl_sheet_flash_order(&pages->sheet, i));
    pack_links(pages);
    pack_tools(pages);
}

/* ---- placing ---- */

/* `3 m from the mark: 1.2 m left, 2.7 m before it; 80 cm up`. */
static void write_place(struct owl_pages *pages, const struct owl_point *place)
{
    bool sideways = fabs(place->x_m) >= SAME_PLACE_M, lengthways = fabs(place->y_m) >= SAME_PLACE_M;
    if (!sideways && !lengthways)
        owl_pages_words(pages, "straight over the mark");
    else
        OWL_TELL(pages, "% from the mark: ", owl_sheet_tape(hypot(place->x_m, place->y_m)));
    if (sideways)
        OWL_TELL(pages, place->x_m > 0.0 ? "% right" : "% left", owl_sheet_tape(fabs(place->x_m)));
    owl_pages_words(pages, sideways && lengthways ? ", " : "");
    if (lengthways)
        OWL_TELL(pages, place->y_m > 0.0 ? "% behind it" : "% before it", owl_sheet_tape(fabs(place->y_m)));
    OWL_TELL(pages, place->z_m < 0.0 ? "; % below the ground there" : "; % up", owl_sheet_tape(fabs(place->z_m)));
}

static void write_aim(struct owl_pages *pages, const struct owl_point *aim)
{
    struct owl_point middle = owl_stage_middle(pages->sheet.plan);
    owl_pages_words(pages, ". Aim: ");
    if (owl_point_distance_m(aim, &middle) < SAME_PLACE_M)
        OWL_TELL(pages, "the middle of the animal on the mark, % up", owl_sheet_tape(middle.z_m));
    else
        write_place(pages, aim);
}

static void place_mark(struct owl_pages *pages)
{
    static const char *const travel[] = {"left to right", "right to left", "both ways"};
    const struct owl_plan_stage *stage = &pages->sheet.plan->stage;
    owl_pages_words(pages, "*Mark.* Peg where the animal should be.");
    if (stage->mark_height_m > 0.0)
        OWL_TELL(pages, " It stands % above the ground there.", owl_sheet_tape(stage->mark_height_m));
    owl_pages_words(pages, " It comes ");
    owl_pages_words(pages, travel[stage->travel]);
    if (stage->path_angle_rad == 0.0)
        owl_pages_words(pages, ", straight across the picture.");
    else
        OWL_TELL(pages, stage->path_angle_rad > 0.0 ? "; the right end of its path leads away from the camera by %."
                                                    : "; the right end of its path comes towards the camera by %.",
                 {OWL_UNIT_ANGLE, fabs(stage->path_angle_rad)});
    owl_pages_tick(pages);
}

static double figure(const struct owl_pages *pages, enum owl_result result)
{
    return owl_sheet_figure(&pages->sheet, result, 0);
}

static void place_camera(struct owl_pages *pages)
{
    const struct owl_plan_camera *camera = &pages->sheet.plan->camera;
    owl_pages_words(pages, camera->orientation == OWL_PORTRAIT ? "*Camera,* upright, horizon level. Lens "
                                                               : "*Camera,* horizon level. Lens ");
    write_place(pages, &camera->place);
    write_aim(pages, &camera->aim);
    owl_pages_words(pages, ".");
    owl_pages_tick(pages);
    OWL_TELL(pages, "*Focus* on the stand-in on the mark, % from the lens (% on a scale from the image sensor). Autofocus "
                    "and stabiliser off, ring taped. Sharp from ",
             {OWL_UNIT_LENGTH, figure(pages, OWL_RESULT_FOCUS)}, {OWL_UNIT_LENGTH, figure(pages, OWL_RESULT_FOCUS_SCALE)});
    OWL_TELL(pages, isinf(figure(pages, OWL_RESULT_FAR)) ? "% to the horizon." : "% to %.",
             {OWL_UNIT_LENGTH, figure(pages, OWL_RESULT_NEAR)}, {OWL_UNIT_LENGTH, figure(pages, OWL_RESULT_FAR)});
    owl_pages_tick(pages);
    OWL_TELL(pages, "*Frame* at the mark: % wide, % high. The stand-in fills % of its width, % of its height.",
             owl_sheet_tape(figure(pages, OWL_RESULT_FIELD_WIDTH)), owl_sheet_tape(figure(pages, OWL_RESULT_FIELD_HEIGHT)),
             owl_sheet_percent(figure(pages, OWL_RESULT_FILL_WIDTH)), owl_sheet_percent(figure(pages, OWL_RESULT_FILL_HEIGHT)));
    owl_pages_tick(pages);
}

static void write_shift(struct owl_pages *pages)
{
    const struct owl_evaluation *evaluation = pages->sheet.evaluation;
    double shift_m = evaluation->aim_shift_m;
    if (!evaluation->noticed)
        owl_pages_words(pages, " *As planned it does not notice this animal: see the warnings first.*");
    else if (!evaluation->both_ways && fabs(shift_m) >= SMALLEST_SHIFT_M)
        OWL_TELL(pages, shift_m > 0.0 ? " Then move the aim % to the right along the path."
                                      : " Then move the aim % to the left along the path.",
                 owl_sheet_tape(fabs(shift_m)));
}

static void place_sensor(struct owl_pages *pages)
{
    const struct owl_plan_sensor *sensor = &pages->sheet.plan->sensor;
    owl_pages_words(pages, "*Sensor,* ");
    write_place(pages, &sensor->place);
    if (sensor->kind == OWL_SENSOR_BEAM) {
        owl_pages_words(pages, ". Its other end: ");
        write_place(pages, &sensor->aim);
        owl_pages_words(pages, ". Break the beam with your hand: it must answer.");
    } else {
        write_aim(pages, &sensor->aim);
        OWL_TELL(pages, sensor->zones == 1.0 ? ". Leave % zone open, mask the others."
                                             : ". Leave % zones side by side open, mask the others.",
                 {OWL_UNIT_COUNT, sensor->zones});
    }
    write_shift(pages);
    owl_pages_tick(pages);
}

static void place_flash(struct owl_pages *pages, int i)
{
    const struct owl_plan_flash *flash = &pages->sheet.plan->flash[i];
    owl_pages_words(pages, "*Flash ");
    owl_pages_name(pages, flash->name);
    owl_pages_words(pages, i == pages->sheet.evaluation->key_flash ? "*, the strongest, " : ",* ");
    write_place(pages, &flash->place);
    write_aim(pages, &flash->aim);
    OWL_TELL(pages, ". Power %, coverage %", {OWL_UNIT_POWER, flash->power}, {OWL_UNIT_ANGLE, flash->coverage_rad});
    owl_pages_words(pages, has_diffuser(flash) ? ", with its diffuser." : ", no diffuser.");
    owl_pages_tick(pages);
}

static void draw_stage(struct owl_pages *pages)
{
    struct owl_text svg = owl_text_over(pages->svg, OWL_STAGE_BYTES);
    owl_draw_stage(pages->sheet.plan, pages->sheet.evaluation, &svg);
    owl_leaf_drawing(&pages->leaf, pages->svg, svg.length, STAGE_HEIGHT_PT);
    svg = owl_text_over(pages->svg, OWL_SIDE_BYTES);
    owl_draw_side(pages->sheet.plan, pages->sheet.evaluation, &svg);
    owl_leaf_drawing(&pages->leaf, pages->svg, svg.length, SIDE_HEIGHT_PT);
}

void owl_pages_placing(struct owl_pages *pages)
{
    const struct owl_plan *plan = pages->sheet.plan;
    owl_leaf_heading(&pages->leaf, "Placing, in order");
    owl_leaf_note(&pages->leaf, "Distances run along the ground from the mark, heights from the ground at the mark; left and "
                                "right as the camera sees them, before: nearer to the camera.");
    place_mark(pages);
    place_camera(pages);
    place_sensor(pages);
    for (int i = 0; i < plan->flashes; i++)
        place_flash(pages, owl_sheet_flash_order(&pages->sheet, i));
    OWL_TELL(pages, "*Backdrop,* % behind the mark: nothing that shines, moves in the wind or is warmed by the sun.",
             {OWL_UNIT_LENGTH, plan->stage.backdrop_distance_m});
    owl_pages_tick(pages);
    owl_pages_tick_words(pages, "*Cords* flat on the ground, fixed, across no path of animals or people; a loop before every "
                                "plug.");
    OWL_TELL(pages, "*Weather:* % of dry silica gel in the box, rain covers over the flashes' cells, never over their windows.",
             {OWL_UNIT_MASS, plan->housing.desiccant_kg});
    if (figure(pages, OWL_RESULT_DEW_MARGIN) < 0.0)
        owl_pages_words(pages, " A roof over the window: dew or frost is to be expected on clear nights.");
    owl_pages_tick(pages);
    draw_stage(pages);
}
