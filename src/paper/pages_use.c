/* On paper: what is wrong with the plan, what everything is set to, the test, the leaving, and the cautions. */
#include <math.h>
#include <string.h>

#include "core/constants.h"
#include "core/model/bait.h"
#include "core/model/eye.h"
#include "core/model/flash.h"
#include "paper/pages.h"
#include "sheet/clean.h"

/* ---- warnings ---- */

static void write_sentence(struct owl_pages *pages, const char *words)
{
    char head[2] = {words[0], '\0'};
    if (head[0] >= 'a' && head[0] <= 'z')
        head[0] = (char)(head[0] - 'a' + 'A');
    owl_pages_name(pages, head);
    owl_pages_name(pages, words + (words[0] != '\0'));
    owl_pages_words(pages, ". ");
}

void owl_pages_warnings(struct owl_pages *pages)
{
    const struct owl_evaluation *evaluation = pages->sheet.evaluation;
    if (evaluation->warnings == 0)
        return;
    owl_leaf_heading(&pages->leaf, "Warnings of the plan");
    for (int i = 0; i < evaluation->warnings; i++) {
        const struct owl_warning *warning = &evaluation->warning[i];
        owl_pages_words(pages, warning->danger ? "*Danger:* " : "");
        write_sentence(pages, warning->words);
        owl_pages_words(pages, "*Change:* ");
        write_sentence(pages, warning->change);
        owl_pages_paragraph(pages);
    }
}

/* ---- settings ---- */

static void set_value(struct owl_pages *pages, const char *label, enum owl_unit unit, double value)
{
    OWL_TELL(pages, "%", {unit, value});
    owl_pages_setting(pages, label);
}

static void set_camera(struct owl_pages *pages)
{
    const struct owl_plan *plan = pages->sheet.plan;
    const struct owl_plan_camera *camera = &plan->camera;
    owl_leaf_small_heading(&pages->leaf, "Camera and lens");
    set_value(pages, "ISO", OWL_UNIT_NUMBER, camera->iso);
    set_value(pages, "Aperture", OWL_UNIT_FNUMBER, camera->aperture);
    OWL_TELL(pages, isinf(camera->shutter_s)                      ? "%: the sensor holds it open"
                    : camera->exposure == OWL_EXPOSURE_METERED ? "up to %, shorter by the camera's meter"
                                                               : "%, set by hand",
             {OWL_UNIT_SHUTTER, camera->shutter_s});
    owl_pages_setting(pages, "Shutter");
    OWL_TELL(pages, camera->frames > 1.0 ? "% frames, one every %" : "% frame", {OWL_UNIT_COUNT, camera->frames},
             {OWL_UNIT_TIME, camera->interval_s});
    owl_pages_setting(pages, "Each firing");
    owl_pages_setting_words(pages, "Between passes", camera->sleeps == OWL_YES ? "may sleep" : "stays awake: auto-off off");
    owl_pages_setting_words(pages, "Off", "autofocus, stabiliser, review of pictures, beep, wireless");
    OWL_TELL(pages, "%, focus locked at % from the lens", {OWL_UNIT_FOCAL, plan->lens.focal_m},
             {OWL_UNIT_LENGTH, plan->lens.focus_m});
    owl_pages_setting(pages, "Lens");
}

static void set_gate(struct owl_pages *pages)
{
    const struct owl_plan *plan = pages->sheet.plan;
    if (plan->sensor.gate == OWL_GATE_ALWAYS)
        owl_pages_words(pages, "always armed");
    else
        OWL_TELL(pages, plan->sensor.gate == OWL_GATE_NIGHT ? "armed below % at the mark" : "armed above % at the mark",
                 {OWL_UNIT_LIGHT, plan->sensor.gate_lx});
    owl_pages_setting(pages, "Light gate");
    if (isnan(plan->watch.from_s))
        return;
    OWL_TELL(pages, "% to %", {OWL_UNIT_CLOCK, plan->watch.from_s}, {OWL_UNIT_CLOCK, plan->watch.to_s});
    owl_pages_setting(pages, "Armed hours");
}

static void set_sensor(struct owl_pages *pages)
{
    const struct owl_plan_sensor *sensor = &pages->sheet.plan->sensor;
    owl_leaf_small_heading(&pages->leaf, "Sensor");
    if (sensor->kind == OWL_SENSOR_HEAT) {
        OWL_TELL(pages, sensor->zones > 1.0 ? "%, side by side, % each" : "%, % wide", {OWL_UNIT_COUNT, sensor->zones},
                 {OWL_UNIT_ANGLE, sensor->zone_pitch_rad});
        owl_pages_setting(pages, "Zones open");
        set_value(pages, "Pulses to fire", OWL_UNIT_COUNT, sensor->pulses);
    } else {
        set_value(pages, "Shortest break", OWL_UNIT_TIME, sensor->debounce_s);
    }
    set_value(pages, "Pause after firing", OWL_UNIT_TIME, sensor->pause_s);
    set_gate(pages);
    if (!isinf(pages->sheet.plan->camera.shutter_s))
        return;
    OWL_TELL(pages, sensor->gate == OWL_GATE_NIGHT ? "%" : "% by night, % above the gate level",
             {OWL_UNIT_SHUTTER, sensor->hold_s}, {OWL_UNIT_SHUTTER, sensor->day_hold_s});
    owl_pages_setting(pages, "Holds the shutter");
}

static void set_flash(struct owl_pages *pages, int i)
{
    const struct owl_plan_flash *flash = &pages->sheet.plan->flash[i];
    OWL_TELL(pages, "power %, coverage %, ", {OWL_UNIT_POWER, flash->power}, {OWL_UNIT_ANGLE, flash->coverage_rad});
    if (flash->diffuser_stops > 0.0)
        OWL_TELL(pages, "diffuser (takes %), ", {OWL_UNIT_STOPS, flash->diffuser_stops});
    else
        owl_pages_words(pages, isnan(flash->diffuser_width_m) ? "no diffuser, " : "diffuser, ");
    owl_pages_words(pages, flash->link == OWL_LINK_WIRE ? "by wire, auto-off off" : "by radio, auto-off off");
    char label[4 * OWL_NAME_BYTES];
    struct owl_text name = owl_text_over(label, sizeof label);
    owl_clean_words(&name, flash->name);
    owl_pages_setting(pages, label);
}

void owl_pages_settings(struct owl_pages *pages)
{
    int flashes = pages->sheet.plan->flashes;
    owl_leaf_heading(&pages->leaf, "Settings");
    set_camera(pages);
    set_sensor(pages);
    if (flashes > 0)
        owl_leaf_small_heading(&pages->leaf, "Flashes, by hand");
    for (int i = 0; i < flashes; i++)
        set_flash(pages, owl_sheet_flash_order(&pages->sheet, i));
}

/* ---- test and leaving ---- */

static void write_test_time(struct owl_pages *pages)
{
    const struct owl_sheet *sheet = &pages->sheet;
    double test_unix_s = sheet->evaluation->nights > 0 ? sheet->evaluation->night[0].test_unix_s : NAN;
    bool day = sheet->plan->sensor.gate == OWL_GATE_DAY;
    if (isnan(test_unix_s)) {
        owl_pages_words(pages, day ? "*It never gets light enough on the first day to arm the rig: see the warnings.*"
                                   : "*The light does not pass the level for the test in the first night: test at the "
                                     "darkest hour you can.*");
    } else {
        owl_pages_words(pages, day ? "*Do it at " : "*Come back tonight at ");
        owl_sheet_clock(sheet, test_unix_s);
        owl_pages_words(pages, "* (");
        owl_sheet_date(sheet, floor(owl_sky_local_s(sheet->watch->sky, test_unix_s) / OWL_SECONDS_PER_DAY));
        owl_pages_words(pages, day ? "): only then is the gate open." : "): before that, daylight still lies in the picture.");
    }
    owl_pages_paragraph(pages);
}

void owl_pages_test(struct owl_pages *pages)
{
    const struct owl_plan *plan = pages->sheet.plan;
    owl_leaf_heading(&pages->leaf, "Test in the light it will work in");
    write_test_time(pages);
    OWL_TELL(pages, "Stand-in on the mark, then on a string through the path both ways at %, you well aside; wait % between "
                    "two passes.",
             {OWL_UNIT_SPEED, plan->subject.speed_m_s}, {OWL_UNIT_TIME, plan->sensor.pause_s});
    owl_pages_tick(pages);
    OWL_TELL(pages, plan->camera.frames == 1.0 ? "% frame came each time." : "% frames came each time.",
             {OWL_UNIT_COUNT, plan->camera.frames});
    owl_pages_tick(pages);
    owl_pages_tick_words(pages, "*Frame:* the whole body inside both ways, room before the nose. *Focus:* the largest "
                                "magnification, at the eye. *Exposure:* by the histogram, nothing piled up at either end.");
    if (plan->flashes > 0)
        owl_pages_tick_words(pages, "*No ghost* beside the sharp outline. *All flashes:* cover one after the other and see "
                                    "its light go, in the last frame of a firing too.");
    owl_pages_tick_words(pages, plan->camera.sleeps == OWL_YES ? "Untouched until the camera sleeps, then once more."
                                                               : "Untouched for half an hour, then once more: still awake?");
}

void owl_pages_leaving(struct owl_pages *pages)
{
    owl_leaf_heading(&pages->leaf, "When leaving");
    owl_pages_tick_words(pages, "Card empty and in the camera, not write-protected");
    owl_pages_words(pages, "Camera's date and clock set to the clock of ");
    owl_pages_name(pages, pages->sheet.plan->site.zone);
    owl_pages_tick(pages);
    owl_pages_tick_words(pages, "Lens and window clean and dry; fresh cells in every device, doors shut");
    if (pages->sheet.plan->flashes > 0)
        owl_pages_tick_words(pages, "Flashes: auto-off off, powers as here, ready lamps lit");
    owl_pages_tick_words(pages, "Focus ring taped, focus and shutter by hand; gate and pause set back from the test; sensor "
                                "on");
    if (pages->sheet.plan->bait.food >= 0)
        owl_pages_tick_words(pages, "Bait on the mark and nowhere else");
    owl_pages_tick_words(pages, "Stand-in, string, tape and litter taken along; the note with your name on the rig");
    owl_pages_tick_words(pages, "Left at ________ on ____________, first frame number ________");
}

/* ---- care ---- */

static bool has_cells(const struct owl_plan *plan, const char *word)
{
    for (int device = 0; device < OWL_DEVICE_FLASH + plan->flashes; device++)
        if (strstr(owl_cells_at((size_t)owl_device_supply(plan, device)->kind)->name, word))
            return true;
    return false;
}

static void caution(struct owl_pages *pages, const char *words)
{
    owl_pages_words(pages, words);
    owl_pages_paragraph(pages);
}

static void cautions_flash(struct owl_pages *pages)
{
    const struct owl_plan *plan = pages->sheet.plan;
    bool doubtful = false;
    caution(pages, "*Flashes hold a deadly charge* for days, switched off and without cells. Never open one; a wet, cracked "
                   "or humming one goes to a repair workshop.");
    for (int i = 0; i < plan->flashes; i++)
        doubtful = doubtful || owl_sheet_trigger(&pages->sheet, i) != OWL_TRIGGER_SAFE;
    if (doubtful)
        caution(pages, "*Trigger voltage:* join no flash whose voltage has not been measured, charged and with a meter of "
                       "high resistance, except through an opto-isolated adapter.");
    owl_pages_words(pages, "*Eyes:* never look into a flash close by, nor fire one at a face or an animal at arm's length; "
                           "cover it while you work before it.");
    if (plan->sensor.pause_s < OWL_EYE_REST_S && plan->sensor.gate != OWL_GATE_DAY)
        OWL_TELL(pages, " An animal's night sight needs % between firings; the pause is set to %.",
                 {OWL_UNIT_TIME, OWL_EYE_REST_S}, {OWL_UNIT_TIME, plan->sensor.pause_s});
    owl_pages_paragraph(pages);
}

static void caution_bait(struct owl_pages *pages)
{
    double share = owl_sheet_figure(&pages->sheet, OWL_RESULT_BAIT_SHARE, 0);
    owl_pages_words(pages, "*Bait:* ");
    if (!isnan(share))
        OWL_TELL(pages, "it gives % of the animal's day; above % it becomes a need. ", owl_sheet_percent(share),
                 owl_sheet_percent(OWL_BAIT_SHARE_LIMIT));
    owl_pages_words(pages, "Feeding is forbidden in many places and for many animals, and shared food spreads disease: ask "
                           "first, lay out little, clear away what is left, stop if sick animals come.");
    owl_pages_paragraph(pages);
}

void owl_pages_care(struct owl_pages *pages)
{
    const struct owl_plan *plan = pages->sheet.plan;
    owl_leaf_heading(&pages->leaf, "Care");
    owl_leaf_note(&pages->leaf, "Plain cautions; local law and licensed practice come before this sheet.");
    if (plan->flashes > 0)
        cautions_flash(pages);
    if (has_cells(plan, "ithium") || has_cells(plan, "Li"))
        caution(pages, "*Lithium cells:* do not crush, pierce, heat or short them; charge none below freezing. One swollen "
                       "or hot stays outside, away from anything that burns, and is handed in as its maker says.");
    caution(pages, "*Cells and wiring:* never mix old with new or one kind with another. A 12 V battery can set a wood on "
                   "fire: a fuse at its pole, nothing bare. Mains out of doors is work for a licensed electrician.");
    if (plan->bait.food >= 0)
        caution_bait(pages);
    caution(pages, "*Alone after dark:* tell somebody where you are, when you will be back, and what to do if you are not.");
    caution(pages, "*Trees and water:* dead limbs fall without wind; fix nothing higher than you reach from firm ground. "
                   "Streams rise overnight: stay above the flood line and off ice.");
    caution(pages, "*Cords:* nobody, on two legs or four, may trip over or be caught in one.");
    caution(pages, "*Protected species, nests and dens* may not be disturbed, lit or approached without a licence in many "
                   "places: ask before placing. If the animal shies from the rig or changes its ways, take it away.");
    caution(pages, "*Leave and privacy:* the landowner's leave first. Keep the rig off ways that people use, put up the "
                   "notice local law asks for, delete pictures of strangers.");
}
