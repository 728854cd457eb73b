/* What no rig can do: values that are each possible but cannot stand together. */
#include <math.h>
#include <string.h>

#include "core/plan/geometry.h"
#include "core/plan/reader.h"
#include "core/plan/reading.h"
#include "core/plan/watch_view.h"

#define SAME_SPOT_M 0.02

static void complain_pair(struct owl_reading *reading, const char *section, int nth, const char *field,
                          const char *words, enum owl_unit unit, double value, const char *ending)
{
    struct owl_text text = owl_complain_field(reading, section, nth, field);
    owl_text_words(&text, words);
    owl_unit_show(unit, value, &text);
    owl_text_words(&text, ending);
}

static void check_lens(struct owl_reading *reading)
{
    const struct owl_plan *plan = &reading->plan;
    const struct owl_plan_lens *lens = &plan->lens;
    double aperture = plan->camera.aperture;
    if (lens->widest > lens->narrowest)
        complain_pair(reading, "lens", 0, "widest aperture", "the widest aperture is narrower than the narrowest; ",
                      OWL_UNIT_FNUMBER, lens->narrowest, " or a smaller f-number would be right");
    else if (aperture < lens->widest)
        complain_pair(reading, "camera", 0, "aperture", "the lens does not open so wide; ", OWL_UNIT_FNUMBER, lens->widest,
                      " or a larger f-number would be right");
    else if (aperture > lens->narrowest)
        complain_pair(reading, "camera", 0, "aperture", "the lens does not close so far; ", OWL_UNIT_FNUMBER, lens->narrowest,
                      " or a smaller f-number would be right");
    if (lens->focus_m < lens->closest_m)
        complain_pair(reading, "lens", 0, owl_plan_gave(plan, "lens", 0, "focus distance") ? "focus distance" : "closest focus",
                      "the focus lies nearer than the lens can focus; ", OWL_UNIT_LENGTH, lens->closest_m,
                      " or more from the camera would be right");
    else if (lens->focus_m <= 2.0 * lens->focal_m)
        complain_pair(reading, "lens", 0, "focal length", "the focus lies too near for this focal length; more than ",
                      OWL_UNIT_LENGTH, 2.0 * lens->focal_m, " would be right");
}

static void check_sync(struct owl_reading *reading)
{
    const struct owl_plan *plan = &reading->plan;
    double shortest_s = 0.0;
    for (int i = 0; i < plan->flashes; i++)
        shortest_s = fmax(shortest_s, plan->camera.xsync_s + plan->flash[i].link_delay_s);
    if (plan->flashes == 0)
        return;
    bool bulb = isinf(plan->camera.shutter_s);
    double shutter_s = bulb ? plan->sensor.hold_s : plan->camera.shutter_s;
    if (shutter_s < shortest_s * (1.0 - 1e-9))
        complain_pair(reading, bulb ? "sensor" : "camera", 0, bulb ? "hold" : "shutter",
                      "with flashes this shutter time is too short: part of the frame would stay dark; ", OWL_UNIT_SHUTTER,
                      shortest_s, " or longer would be right (x-sync and link delay)");
}

static const struct owl_point *device_place(const struct owl_plan *plan, int device)
{
    if (device == 0)
        return &plan->camera.place;
    return device == 1 ? &plan->sensor.place : &plan->flash[device - 2].place;
}

static void name_device(const struct owl_plan *plan, int device, struct owl_text *text)
{
    owl_text_words(text, device == 0 ? "the camera" : device == 1 ? "the sensor" : "flash ");
    if (device >= 2)
        owl_text_words(text, plan->flash[device - 2].name);
}

static void complain_spot(struct owl_reading *reading, int device, int other)
{
    struct owl_text text = device >= 2   ? owl_complain_field(reading, "flash", device - 2, "place")
                           : device == 1 ? owl_complain_field(reading, "sensor", 0, "place")
                                         : owl_complain_field(reading, "camera", 0, "place");
    name_device(&reading->plan, device, &text);
    owl_text_words(&text, " stands on the same spot as ");
    if (other >= 0)
        name_device(&reading->plan, other, &text);
    else
        owl_text_words(&text, "the animal");
    owl_text_words(&text, "; at least 2 cm apart would be right");
}

static void check_spots(struct owl_reading *reading)
{
    const struct owl_plan *plan = &reading->plan;
    struct owl_point middle = owl_stage_middle(plan);
    for (int device = 0; device < plan->flashes + 2; device++) {
        const struct owl_point *place = device_place(plan, device);
        if (owl_point_distance_m(place, &middle) < SAME_SPOT_M)
            complain_spot(reading, device, -1);
        for (int other = 0; other < device; other++)
            if (owl_point_distance_m(place, device_place(plan, other)) < SAME_SPOT_M)
                complain_spot(reading, device, other);
    }
}

static void check_aims(struct owl_reading *reading)
{
    const struct owl_plan *plan = &reading->plan;
    struct owl_text text;
    const struct owl_point *camera = &plan->camera.place, *aim = &plan->camera.aim;
    if (hypot(aim->x_m - camera->x_m, aim->y_m - camera->y_m) < SAME_SPOT_M) {
        text = owl_complain_field(reading, "camera", 0, "aim");
        owl_text_words(&text, "the camera looks straight up or down; an aim to one side of it would be right");
    }
    const struct owl_point *sensor = &plan->sensor.place, *sensor_aim = &plan->sensor.aim;
    if (hypot(sensor_aim->x_m - sensor->x_m, sensor_aim->y_m - sensor->y_m) < SAME_SPOT_M) {
        text = owl_complain_field(reading, "sensor", 0, "aim");
        owl_text_words(&text, "the sensor looks straight up or down; an aim to one side of it would be right");
    }
    for (int i = 0; i < plan->flashes; i++) {
        if (owl_point_distance_m(&plan->flash[i].place, &plan->flash[i].aim) < SAME_SPOT_M) {
            text = owl_complain_field(reading, "flash", i, "aim");
            owl_text_words(&text, "the flash stands where it points; an aim away from it would be right");
        }
    }
}

static void check_frame(struct owl_reading *reading)
{
    const struct owl_plan *plan = &reading->plan;
    struct owl_view view;
    if (reading->complaints->count > 0 || owl_view_of(plan, &view) != OWL_OK)
        return;
    struct owl_path path = owl_stage_path(plan);
    struct owl_frame_box box = owl_view_body(&view, plan, &path, 0.0);
    if (!box.in_front) {
        struct owl_text text = owl_complain_field(reading, "camera", 0, "place");
        owl_text_words(&text, "the animal on the mark is not wholly before the camera; farther away, or an aim at the mark, would be right");
        return;
    }
    double needed = fmax((box.right_m - box.left_m) / view.width_m, (box.top_m - box.bottom_m) / view.height_m);
    if (needed * plan->limits.inside <= 1.0)
        return;
    struct owl_text text = owl_complain_field(reading, "lens", 0, "focal length");
    owl_text_words(&text, "the animal is larger than the frame (");
    owl_unit_show(OWL_UNIT_PERCENT, needed, &text);
    owl_text_words(&text, " of it); a focal length of ");
    owl_unit_show(OWL_UNIT_FOCAL, floor(1000.0 * plan->lens.focal_m / (needed * plan->limits.inside)) / 1000.0, &text);
    owl_text_words(&text, " or less would be right, or a smaller share under [limits] inside");
}

static void check_pairs(struct owl_reading *reading)
{
    const struct owl_plan *plan = &reading->plan;
    struct owl_text text;
    if (isnan(plan->watch.from_s) != isnan(plan->watch.to_s)) {
        text = owl_complain_field(reading, "watch", 0, isnan(plan->watch.to_s) ? "from" : "to");
        owl_text_words(&text, "armed hours need both an end and a beginning; give 'from' and 'to', or neither");
    }
    bool from = !isnan(plan->subject.active_from_s), to = !isnan(plan->subject.active_to_s);
    bool own = plan->subject.pattern == OWL_PATTERN_OWN;
    if (from != to || from != own) {
        text = owl_complain_field(reading, "subject", 0, own ? "active" : from ? "active from" : "active to");
        owl_text_words(&text, "own hours need all three: 'active = own hours', 'active from' and 'active to'");
    }
    if (isnan(plan->subject.scouted_passes) != isnan(plan->subject.scouted_nights)) {
        text = owl_complain_field(reading, "subject", 0, isnan(plan->subject.scouted_passes) ? "scouted nights" : "scouted passes");
        owl_text_words(&text, "scouting needs both 'scouted passes' and 'scouted nights'");
    }
    if (owl_plan_gave(plan, "subject", 0, "passes") + !isnan(plan->subject.scouted_nights) + !isnan(plan->subject.density_per_m2) > 1) {
        text = owl_complain_field(reading, "subject", 0, owl_plan_gave(plan, "subject", 0, "density") ? "density" : "passes");
        owl_text_words(&text, "the rate of passes is told twice; one of 'passes', the scouting counts and 'density' would be right");
    }
    if (plan->camera.height_m > plan->camera.width_m) {
        text = owl_complain_field(reading, "camera", 0, "sensor height");
        owl_text_words(&text, "the image sensor is higher than wide; give its long side as 'sensor width' and 'orientation = portrait'");
    }
    if (plan->subject.shoulder_m > plan->subject.height_m) {
        text = owl_complain_field(reading, "subject", 0, "shoulder");
        owl_text_words(&text, "the shoulder is higher than the animal; 'height' counts to the top of the head");
    }
    for (int i = 0; i < plan->flashes; i++) {
        const struct owl_plan_flash *flash = &plan->flash[i];
        if (isnan(flash->diffuser_width_m) != isnan(flash->diffuser_height_m)) {
            text = owl_complain_field(reading, "flash", i, isnan(flash->diffuser_width_m) ? "diffuser height" : "diffuser width");
            owl_text_words(&text, "a diffuser needs both its width and its height");
        }
    }
}

void owl_plan_check(struct owl_reading *reading)
{
    check_pairs(reading);
    check_lens(reading);
    check_sync(reading);
    check_spots(reading);
    check_aims(reading);
    check_frame(reading);
}

static bool number_in_range(const struct owl_field *field, double value)
{
    bool bulb = field->unit == OWL_UNIT_SHUTTER && isinf(value);
    return isnan(value) || bulb || (value >= field->least && value <= field->most);
}

static bool in_range(const struct owl_field *field, const void *value)
{
    const struct owl_point *point = value;
    switch (field->unit) {
    case OWL_UNIT_TEXT:
    case OWL_UNIT_CHOICE: return true;
    case OWL_UNIT_POINT:
        return fabs(point->x_m) <= field->most && fabs(point->y_m) <= field->most && fabs(point->z_m) <= field->most;
    default: return number_in_range(field, *(const double *)value);
    }
}

static int times_standing(const struct owl_section *section, const struct owl_plan *plan)
{
    if (section->most == 1)
        return 1;
    return strcmp(section->name, "flash") == 0 ? plan->flashes : plan->passers;
}

/* Without a text there are no lines to point at: the complaints are only counted. */
bool owl_plan_stands(const struct owl_plan *plan)
{
    struct owl_complaints complaints = {.count = 0};
    struct owl_reading reading = {.bytes = "", .plan = *plan, .complaints = &complaints};
    for (int s = 0; s < owl_section_count(); s++) {
        const struct owl_section *section = owl_section_at(s);
        for (int nth = 0; nth < times_standing(section, plan); nth++)
            for (int field = 0; field < section->field_count; field++)
                if (!in_range(&section->fields[field], owl_field_value(section, nth, field, plan)))
                    return false;
    }
    memset(reading.plan.line_of, 0, sizeof reading.plan.line_of);
    owl_plan_check(&reading);
    return complaints.count == 0;
}

void owl_plan_complain_zone(const char *bytes, size_t length, const struct owl_plan *plan,
                            struct owl_complaints *complaints)
{
    struct owl_reading reading = {.bytes = bytes, .length = length, .plan = *plan, .complaints = complaints};
    if (length >= 3 && (unsigned char)bytes[0] == 0xEF) {
        reading.bytes += 3;
        reading.length -= 3;
    }
    complaints->count = complaints->left_out = 0;
    struct owl_text text = owl_complain_field(&reading, "site", 0, "zone");
    owl_text_words(&text, "no time zone of this name is installed; a place name such as Europe/Oslo, or UTC, would be right");
}
