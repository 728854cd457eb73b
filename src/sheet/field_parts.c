/* The small pieces every part of the field sheet is written with: markup, ticks, dates, numbers. */
#include "sheet/field_parts.h"

#include <math.h>

#include "core/calendar.h"
#include "core/constants.h"
#include "core/model/flash.h"

void owl_sheet_raw(const struct owl_sheet *sheet, const char *markup)
{
    owl_text_words(sheet->html, markup);
}

void owl_sheet_say(const struct owl_sheet *sheet, const char *markup, const struct owl_quantity *quantity)
{
    for (; *markup; markup++) {
        if (*markup != '%') {
            owl_text_char(sheet->html, *markup);
            continue;
        }
        owl_sheet_raw(sheet, "<b>");
        owl_unit_show(quantity->unit, quantity->value, sheet->html);
        owl_sheet_raw(sheet, "</b>");
        quantity++;
    }
}

struct owl_quantity owl_sheet_tape(double length_m)
{
    return (struct owl_quantity){OWL_UNIT_LENGTH, floor(length_m * 100.0 + 0.5) / 100.0};
}

struct owl_quantity owl_sheet_percent(double share)
{
    return (struct owl_quantity){OWL_UNIT_PERCENT, floor(share * 100.0 + 0.5) / 100.0};
}

void owl_sheet_name(const struct owl_sheet *sheet, const char *words)
{
    owl_text_markup(sheet->html, words);
}

void owl_sheet_open(const struct owl_sheet *sheet, const char *id, const char *heading)
{
    owl_sheet_raw(sheet, "<section id=\"");
    owl_sheet_raw(sheet, id);
    owl_sheet_raw(sheet, "\">\n<h2>");
    owl_sheet_raw(sheet, heading);
    owl_sheet_raw(sheet, "</h2>\n");
}

void owl_sheet_close(const struct owl_sheet *sheet)
{
    owl_sheet_raw(sheet, "</section>\n");
}

void owl_sheet_open_tick(const struct owl_sheet *sheet)
{
    owl_sheet_raw(sheet, "<li><label><input type=\"checkbox\"/><span>");
}

void owl_sheet_close_tick(const struct owl_sheet *sheet)
{
    owl_sheet_raw(sheet, "</span></label></li>\n");
}

void owl_sheet_tick(const struct owl_sheet *sheet, const char *markup)
{
    owl_sheet_open_tick(sheet);
    owl_sheet_raw(sheet, markup);
    owl_sheet_close_tick(sheet);
}

int owl_sheet_weekday(double days)
{
    return (int)(days - 7.0 * floor(days / 7.0));
}

const char *owl_sheet_weekday_name(double days)
{
    static const char *const names[] = {"Thu", "Fri", "Sat", "Sun", "Mon", "Tue", "Wed"};
    return names[owl_sheet_weekday(days)];
}

void owl_sheet_day_month(const struct owl_sheet *sheet, double days)
{
    static const char *const months[] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                         "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
    struct owl_date date = owl_calendar_date((int64_t)days);
    owl_text_integer(sheet->html, date.day);
    owl_text_char(sheet->html, ' ');
    owl_sheet_raw(sheet, months[(date.month + 11) % 12]);
}

void owl_sheet_date(const struct owl_sheet *sheet, double days)
{
    owl_sheet_raw(sheet, owl_sheet_weekday_name(days));
    owl_text_char(sheet->html, ' ');
    owl_sheet_day_month(sheet, days);
}

void owl_sheet_clock(const struct owl_sheet *sheet, double unix_s)
{
    double local_s = owl_sky_local_s(sheet->watch->sky, unix_s);
    owl_unit_show(OWL_UNIT_CLOCK, local_s - floor(local_s / OWL_SECONDS_PER_DAY) * OWL_SECONDS_PER_DAY, sheet->html);
}

void owl_sheet_focal(const struct owl_sheet *sheet)
{
    owl_sheet_raw(sheet, "<b>");
    owl_text_rounded(sheet->html, sheet->plan->lens.focal_m * 1000.0, 3);
    owl_sheet_raw(sheet, " mm</b>");
}

double owl_sheet_figure(const struct owl_sheet *sheet, enum owl_result result, int which)
{
    return owl_outcome_value(&sheet->evaluation->outcome, result, which);
}

int owl_sheet_trigger(const struct owl_sheet *sheet, int flash)
{
    const struct owl_plan_flash *one = &sheet->plan->flash[flash];
    if (one->link == OWL_LINK_RADIO && isnan(one->trigger_v))
        return OWL_TRIGGER_SAFE;
    return (int)owl_flash_trigger(one->trigger_v, sheet->plan->camera.socket_limit_v);
}

int owl_sheet_flash_order(const struct owl_sheet *sheet, int nth)
{
    int key = sheet->evaluation->key_flash;
    if (key < 0)
        return nth;
    if (nth == 0)
        return key;
    return nth <= key ? nth - 1 : nth;
}

/* ---- the page ---- */
