/* What joins what, as a drawing, and every part of it to be ticked off. */
#include "sheet/field_parts.h"
#include "shelf/wiring_drawing.h"

static void tick_parts(const struct owl_sheet *sheet)
{
    const struct owl_wire_answer *wiring = sheet->wiring;
    owl_sheet_raw(sheet, "<ul class=\"ticks\">\n");
    for (int i = 0; i < wiring->buys; i++) {
        owl_sheet_open_tick(sheet);
        owl_text_integer(sheet->html, wiring->buy[i].used);
        owl_sheet_raw(sheet, " &#215; ");
        owl_sheet_name(sheet, wiring->buy[i].thing->name);
        owl_sheet_close_tick(sheet);
    }
    owl_sheet_raw(sheet, "</ul>\n");
}

static void write_cautions(const struct owl_sheet *sheet)
{
    const struct owl_wire_answer *wiring = sheet->wiring;
    owl_sheet_raw(sheet, "<ul>\n");
    for (int i = 0; i < wiring->cautions; i++) {
        owl_sheet_raw(sheet, "<li><strong>");
        owl_sheet_name(sheet, wiring->use[wiring->caution[i].use].thing->name);
        owl_sheet_raw(sheet, "</strong>: ");
        owl_sheet_name(sheet, owl_wire_caution_words(wiring->caution[i].kind));
        owl_sheet_raw(sheet, "</li>\n");
    }
    owl_sheet_raw(sheet, "</ul>\n");
}

void owl_sheet_wiring(const struct owl_sheet *sheet)
{
    const char *name[OWL_FLASHES] = {NULL};
    for (int i = 0; i < sheet->plan->flashes; i++)
        name[i] = sheet->plan->flash[i].name;
    owl_sheet_open(sheet, "wiring", "Wiring");
    tick_parts(sheet);
    owl_sheet_raw(sheet, "<figure>\n");
    owl_draw_wiring(sheet->wiring, name, sheet->html);
    owl_sheet_raw(sheet, "<figcaption class=\"quiet\">From the sensor outwards. Full lines are cables, broken ones go through the "
                         "air. Join it all at home once, and fire it.</figcaption>\n</figure>\n");
    write_cautions(sheet);
    owl_sheet_close(sheet);
}
