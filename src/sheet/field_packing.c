/* Before leaving home: everything the plan needs, to be ticked off. */
#include <math.h>

#include "core/model/bait.h"
#include "core/model/flash.h"
#include "sheet/field_parts.h"

#define CABLE_STEP_M 0.5 /* cables come in such lengths */

static void write_cells(const struct owl_sheet *sheet, const struct owl_supply *supply)
{
    OWL_SAY(sheet, "% &#215; ", {OWL_UNIT_COUNT, supply->cells * supply->sets});
    owl_sheet_name(sheet, owl_cells_at((size_t)supply->kind)->name);
    owl_sheet_raw(sheet, " in it, and as many to spare");
}

static void tick_camera(const struct owl_sheet *sheet)
{
    const struct owl_plan *plan = sheet->plan;
    owl_sheet_open_tick(sheet);
    owl_sheet_raw(sheet, "<strong>Camera</strong>, ");
    write_cells(sheet, &plan->camera.supply);
    owl_sheet_close_tick(sheet);
    owl_sheet_open_tick(sheet);
    owl_sheet_raw(sheet, "<strong>Lens</strong>, ");
    owl_sheet_focal(sheet);
    owl_sheet_close_tick(sheet);
    owl_sheet_open_tick(sheet);
    OWL_SAY(sheet, "<strong>Card</strong>, %, emptied and formatted in this camera", {OWL_UNIT_BYTES, plan->camera.card_bytes});
    owl_sheet_close_tick(sheet);
}

static void tick_sensor(const struct owl_sheet *sheet)
{
    owl_sheet_open_tick(sheet);
    owl_sheet_raw(sheet, sheet->plan->sensor.kind == OWL_SENSOR_BEAM ? "<strong>Sensor</strong> (beam) with its other end, "
                                                                     : "<strong>Sensor</strong> (heat), ");
    write_cells(sheet, &sheet->plan->sensor.supply);
    owl_sheet_close_tick(sheet);
    if (sheet->plan->sensor.kind == OWL_SENSOR_HEAT)
        owl_sheet_tick(sheet, "Opaque tape, to mask the sensor's zones that stay closed");
}

static void tick_flash(const struct owl_sheet *sheet, int i)
{
    const struct owl_plan_flash *flash = &sheet->plan->flash[i];
    owl_sheet_open_tick(sheet);
    owl_sheet_raw(sheet, "<strong>Flash ");
    owl_sheet_name(sheet, flash->name);
    owl_sheet_raw(sheet, "</strong>, ");
    write_cells(sheet, &flash->supply);
    owl_sheet_close_tick(sheet);
    if (flash->diffuser_stops <= 0.0 && isnan(flash->diffuser_width_m))
        return;
    owl_sheet_open_tick(sheet);
    owl_sheet_raw(sheet, "Diffuser for ");
    owl_sheet_name(sheet, flash->name);
    if (!isnan(flash->diffuser_width_m))
        OWL_SAY(sheet, ", % by %", {OWL_UNIT_LENGTH, flash->diffuser_width_m}, {OWL_UNIT_LENGTH, flash->diffuser_height_m});
    owl_sheet_close_tick(sheet);
}

/* What a flash's trigger voltage asks for. */
static void tick_adapter(const struct owl_sheet *sheet, int i)
{
    int verdict = owl_sheet_trigger(sheet, i);
    if (verdict == OWL_TRIGGER_SAFE)
        return;
    owl_sheet_open_tick(sheet);
    owl_sheet_raw(sheet, verdict == OWL_TRIGGER_NEVER ? "<span class=\"alarm\">Leave flash " : "Opto-isolated adapter for ");
    owl_sheet_name(sheet, sheet->plan->flash[i].name);
    if (verdict == OWL_TRIGGER_NEVER)
        owl_sheet_raw(sheet, " at home: its trigger voltage is too high for any camera</span>");
    else if (isnan(sheet->plan->flash[i].trigger_v))
        owl_sheet_raw(sheet, ": its trigger voltage has not been measured");
    else
        OWL_SAY(sheet, ": % on its trigger, the camera bears %", {OWL_UNIT_VOLTAGE, sheet->plan->flash[i].trigger_v},
                {OWL_UNIT_VOLTAGE, sheet->plan->camera.socket_limit_v});
    owl_sheet_close_tick(sheet);
}

/* Down to the ground, along it, and up again. */
static double cable_m(const struct owl_point *from, const struct owl_point *to)
{
    double length_m = hypot(to->x_m - from->x_m, to->y_m - from->y_m) + fabs(from->z_m) + fabs(to->z_m);
    return ceil(length_m / CABLE_STEP_M) * CABLE_STEP_M;
}

static void tick_cable(const struct owl_sheet *sheet, const char *name, const struct owl_point *place)
{
    owl_sheet_open_tick(sheet);
    owl_sheet_raw(sheet, "Cable from the camera to ");
    owl_sheet_name(sheet, name);
    OWL_SAY(sheet, ", at least %", {OWL_UNIT_LENGTH, cable_m(&sheet->plan->camera.place, place)});
    owl_sheet_close_tick(sheet);
}

static void tick_links(const struct owl_sheet *sheet)
{
    const struct owl_plan *plan = sheet->plan;
    int receivers = 0;
    tick_cable(sheet, "the sensor", &plan->sensor.place);
    for (int i = 0; i < plan->flashes; i++) {
        if (plan->flash[i].link == OWL_LINK_WIRE)
            tick_cable(sheet, plan->flash[i].name, &plan->flash[i].place);
        else
            receivers++;
    }
    if (receivers == 0)
        return;
    owl_sheet_open_tick(sheet);
    OWL_SAY(sheet, "Radio link: one sender, %", {OWL_UNIT_COUNT, receivers});
    owl_sheet_raw(sheet, receivers > 1 ? " receivers, cells for each and to spare" : " receiver, cells for both and to spare");
    owl_sheet_close_tick(sheet);
}

static void tick_stands(const struct owl_sheet *sheet)
{
    int flashes = sheet->plan->flashes, beam = sheet->plan->sensor.kind == OWL_SENSOR_BEAM;
    owl_sheet_open_tick(sheet);
    OWL_SAY(sheet, "% tripods, stakes or clamps: camera, sensor", {OWL_UNIT_COUNT, 2 + flashes + beam});
    owl_sheet_raw(sheet, beam ? " and its other end" : "");
    if (flashes > 0)
        OWL_SAY(sheet, flashes > 1 ? ", % flashes" : ", % flash", {OWL_UNIT_COUNT, flashes});
    owl_sheet_close_tick(sheet);
}

static double tape_m(const struct owl_plan *plan)
{
    double longest_m = fmax(hypot(plan->camera.place.x_m, plan->camera.place.y_m),
                            hypot(plan->sensor.place.x_m, plan->sensor.place.y_m));
    for (int i = 0; i < plan->flashes; i++)
        longest_m = fmax(longest_m, hypot(plan->flash[i].place.x_m, plan->flash[i].place.y_m));
    return ceil(longest_m);
}

static void tick_tools(const struct owl_sheet *sheet)
{
    const struct owl_plan *plan = sheet->plan;
    owl_sheet_open_tick(sheet);
    OWL_SAY(sheet, "Tape measure, % or longer; a peg for the mark; string", {OWL_UNIT_LENGTH, tape_m(plan)});
    owl_sheet_close_tick(sheet);
    owl_sheet_open_tick(sheet);
    OWL_SAY(sheet, "Stand-in for the animal: anything % long and % high", {OWL_UNIT_LENGTH, plan->subject.length_m},
            {OWL_UNIT_LENGTH, plan->subject.height_m});
    owl_sheet_close_tick(sheet);
    owl_sheet_open_tick(sheet);
    OWL_SAY(sheet, "Dry silica gel, %", {OWL_UNIT_MASS, plan->housing.desiccant_kg});
    owl_sheet_close_tick(sheet);
    if (plan->bait.food >= 0) {
        owl_sheet_open_tick(sheet);
        owl_sheet_raw(sheet, "Bait, ");
        owl_sheet_name(sheet, owl_bait_at((size_t)plan->bait.food)->name);
        OWL_SAY(sheet, ": % for each night it is laid out", {OWL_UNIT_MASS, plan->bait.amount_kg});
        owl_sheet_close_tick(sheet);
    }
    owl_sheet_tick(sheet, "Head torch with fresh cells, a second light");
    owl_sheet_tick(sheet, "Cloth, lens tissue, rain covers, tape, cable ties");
    owl_sheet_tick(sheet, "Pencil, watch, charged phone, this sheet");
    owl_sheet_tick(sheet, "Papers: the landowner's leave, licences where the species or the place needs one, a note with "
                          "your name and number for the rig");
}

void owl_sheet_packing(const struct owl_sheet *sheet)
{
    owl_sheet_open(sheet, "packing", "Before leaving home");
    owl_sheet_raw(sheet, "<ul class=\"ticks pack\">\n");
    tick_camera(sheet);
    tick_sensor(sheet);
    for (int i = 0; i < sheet->plan->flashes; i++)
        tick_flash(sheet, owl_sheet_flash_order(sheet, i));
    for (int i = 0; i < sheet->plan->flashes; i++)
        tick_adapter(sheet, owl_sheet_flash_order(sheet, i));
    tick_links(sheet);
    tick_stands(sheet);
    tick_tools(sheet);
    owl_sheet_raw(sheet, "</ul>\n");
    owl_sheet_close(sheet);
}
