/* What every device is set to, one small table each. */
#include <math.h>

#include "sheet/field_parts.h"

static void open_table(const struct owl_sheet *sheet, const char *heading, const char *name)
{
    owl_sheet_raw(sheet, "<div>\n<h3>");
    owl_sheet_raw(sheet, heading);
    owl_sheet_name(sheet, name);
    owl_sheet_raw(sheet, "</h3>\n<table class=\"set\"><tbody>\n");
}

static void close_table(const struct owl_sheet *sheet)
{
    owl_sheet_raw(sheet, "</tbody></table>\n</div>\n");
}

static void open_row(const struct owl_sheet *sheet, const char *label)
{
    owl_sheet_raw(sheet, "<tr><th scope=\"row\">");
    owl_sheet_raw(sheet, label);
    owl_sheet_raw(sheet, "</th><td>");
}

static void close_row(const struct owl_sheet *sheet)
{
    owl_sheet_raw(sheet, "</td></tr>\n");
}

static void words_row(const struct owl_sheet *sheet, const char *label, const char *markup)
{
    open_row(sheet, label);
    owl_sheet_raw(sheet, markup);
    close_row(sheet);
}

static void value_row(const struct owl_sheet *sheet, const char *label, enum owl_unit unit, double value)
{
    open_row(sheet, label);
    OWL_SAY(sheet, "%", {unit, value});
    close_row(sheet);
}

static void camera_table(const struct owl_sheet *sheet)
{
    const struct owl_plan_camera *camera = &sheet->plan->camera;
    bool bulb = isinf(camera->shutter_s), metered = camera->exposure == OWL_EXPOSURE_METERED;
    open_table(sheet, "Camera", "");
    value_row(sheet, "ISO", OWL_UNIT_NUMBER, camera->iso);
    value_row(sheet, "Aperture", OWL_UNIT_FNUMBER, camera->aperture);
    open_row(sheet, "Shutter");
    OWL_SAY(sheet, bulb      ? "%: the sensor holds it open"
                   : metered ? "up to %, shorter by the camera's meter"
                             : "%, set by hand",
            {OWL_UNIT_SHUTTER, camera->shutter_s});
    close_row(sheet);
    open_row(sheet, "Each firing");
    OWL_SAY(sheet, camera->frames > 1.0 ? "% frames, one every %" : "% frame", {OWL_UNIT_COUNT, camera->frames},
            {OWL_UNIT_TIME, camera->interval_s});
    close_row(sheet);
    words_row(sheet, "Between passes", camera->sleeps == OWL_YES ? "may sleep" : "stays awake: auto-off off");
    words_row(sheet, "Off", "autofocus, review of pictures, beep, wireless");
    words_row(sheet, "Frame lies", camera->orientation == OWL_PORTRAIT ? "upright" : "across");
    close_table(sheet);
}

static void lens_table(const struct owl_sheet *sheet)
{
    open_table(sheet, "Lens", "");
    open_row(sheet, "Focal length");
    owl_sheet_focal(sheet);
    close_row(sheet);
    open_row(sheet, "Focus");
    OWL_SAY(sheet, "% from the lens, locked", {OWL_UNIT_LENGTH, sheet->plan->lens.focus_m});
    close_row(sheet);
    words_row(sheet, "Stabiliser", "off");
    close_table(sheet);
}

static void gate_row(const struct owl_sheet *sheet)
{
    const struct owl_plan_sensor *sensor = &sheet->plan->sensor;
    open_row(sheet, "Light gate");
    if (sensor->gate == OWL_GATE_ALWAYS)
        owl_sheet_raw(sheet, "always armed");
    else
        OWL_SAY(sheet, sensor->gate == OWL_GATE_NIGHT ? "night: armed below % at the mark" : "day: armed above % at the mark",
                {OWL_UNIT_LIGHT, sensor->gate_lx});
    close_row(sheet);
    if (isnan(sheet->plan->watch.from_s))
        return;
    open_row(sheet, "Armed hours");
    OWL_SAY(sheet, "% to %", {OWL_UNIT_CLOCK, sheet->plan->watch.from_s}, {OWL_UNIT_CLOCK, sheet->plan->watch.to_s});
    close_row(sheet);
}

static void sensor_table(const struct owl_sheet *sheet)
{
    const struct owl_plan_sensor *sensor = &sheet->plan->sensor;
    open_table(sheet, "Sensor", "");
    if (sensor->kind == OWL_SENSOR_HEAT) {
        open_row(sheet, "Zones open");
        OWL_SAY(sheet, sensor->zones > 1.0 ? "%, side by side, % each" : "%, % wide", {OWL_UNIT_COUNT, sensor->zones},
                {OWL_UNIT_ANGLE, sensor->zone_pitch_rad});
        close_row(sheet);
        value_row(sheet, "Pulses to fire", OWL_UNIT_COUNT, sensor->pulses);
    } else {
        value_row(sheet, "Shortest break that counts", OWL_UNIT_TIME, sensor->debounce_s);
    }
    value_row(sheet, "Pause after firing", OWL_UNIT_TIME, sensor->pause_s);
    gate_row(sheet);
    if (isinf(sheet->plan->camera.shutter_s)) {
        open_row(sheet, "Holds the shutter");
        OWL_SAY(sheet, sensor->gate == OWL_GATE_NIGHT ? "%" : "% by night, % above the gate level",
                {OWL_UNIT_SHUTTER, sensor->hold_s}, {OWL_UNIT_SHUTTER, sensor->day_hold_s});
        close_row(sheet);
    }
    close_table(sheet);
}

static void flash_table(const struct owl_sheet *sheet, int i)
{
    const struct owl_plan_flash *flash = &sheet->plan->flash[i];
    open_table(sheet, "Flash ", flash->name);
    value_row(sheet, "Power, by hand", OWL_UNIT_POWER, flash->power);
    value_row(sheet, "Coverage", OWL_UNIT_ANGLE, flash->coverage_rad);
    open_row(sheet, "Diffuser");
    if (flash->diffuser_stops > 0.0)
        OWL_SAY(sheet, "on, takes %", {OWL_UNIT_STOPS, flash->diffuser_stops});
    else
        owl_sheet_raw(sheet, isnan(flash->diffuser_width_m) ? "none" : "on");
    close_row(sheet);
    words_row(sheet, "Fired by", flash->link == OWL_LINK_WIRE ? "wire" : "radio");
    open_row(sheet, "Auto-off");
    owl_sheet_raw(sheet, "off");
    if (!isnan(flash->sleeps_after_s))
        OWL_SAY(sheet, " (left on, it sleeps after %)", {OWL_UNIT_TIME, flash->sleeps_after_s});
    close_row(sheet);
    close_table(sheet);
}

void owl_sheet_settings(const struct owl_sheet *sheet)
{
    owl_sheet_open(sheet, "settings", "Settings");
    owl_sheet_raw(sheet, "<div class=\"sets\">\n");
    camera_table(sheet);
    lens_table(sheet);
    sensor_table(sheet);
    for (int i = 0; i < sheet->plan->flashes; i++)
        flash_table(sheet, owl_sheet_flash_order(sheet, i));
    owl_sheet_raw(sheet, "</div>\n");
    owl_sheet_close(sheet);
}
