/* The page around the parts: head, looks, title, stage. */
#include "sheet/field_sheet.h"

#include "core/draw/side.h"
#include "core/draw/stage.h"
#include "sheet/field_parts.h"

static const char looks[] =
    ":root{color-scheme:light dark;--owl-paper:#fcfbf7;--owl-ink:#262b24;--owl-faint:#62675c;--rule:#dad8cc;"
    "--wash:#f3f1e7;--alarm:#9a3412}\n"
    "@media screen and (prefers-color-scheme:dark){:root{--owl-paper:#161a17;--owl-ink:#e7e9e1;--owl-faint:#a1a89c;"
    "--rule:#343a34;--wash:#1f2420;--alarm:#f0a27c}}\n"
    "*{box-sizing:border-box}\n"
    "body{margin:0;background:var(--owl-paper);color:var(--owl-ink);font:1rem/1.5 system-ui,sans-serif}\n"
    "main{max-width:44rem;margin:0 auto;padding:1.2rem 1rem 4rem}\n"
    "h1{font-size:1.75rem;line-height:1.15;margin:0 0 .3rem;overflow-wrap:anywhere}\n"
    "h2{font-size:1.2rem;line-height:1.25;margin:2.6rem 0 .7rem;padding-top:.7rem;border-top:2px solid}\n"
    "h3{font-size:1rem;margin:1.3rem 0 .2rem}\n"
    "p{margin:.5rem 0}\n"
    "b{font-weight:650;white-space:nowrap;font-variant-numeric:tabular-nums}\n"
    "strong{font-weight:650}\n"
    ".quiet,caption{color:var(--owl-faint)}\n"
    ".lead{font-size:1.08rem}\n"
    "nav{display:flex;flex-wrap:wrap;gap:.1rem 1.1rem;margin:1rem 0 0}\n"
    "a{color:inherit;text-underline-offset:.2em}\n"
    "nav a{padding:.35rem 0}\n"
    "ul,ol{list-style:none;margin:0;padding:0}\n"
    "li{border-bottom:1px solid var(--rule);overflow-wrap:break-word}\n"
    ".ticks label{display:grid;grid-template-columns:1.25rem 1fr;gap:.75rem;padding:.5rem 0}\n"
    "input{appearance:none;width:1.15rem;height:1.15rem;margin:.17rem 0 0;border:1.5px solid;border-radius:2px;"
    "color:inherit;background:none}\n"
    "input:checked{background:currentColor;box-shadow:inset 0 0 0 3px var(--owl-paper)}\n"
    "input:focus-visible,a:focus-visible{outline:2px solid;outline-offset:2px}\n"
    ".steps{counter-reset:step}\n"
    ".steps li{counter-increment:step}\n"
    ".steps strong::before{content:counter(step) \". \"}\n"
    ".steps p{margin:.1rem 0}\n"
    ".plain li{padding:.5rem 0}\n"
    ".alarm{color:var(--alarm)}\n"
    "figure{margin:1rem 0 0}\n"
    "figcaption{font-size:.9rem;margin-top:.4rem}\n"
    ".owl-stage{display:block;width:100%;max-width:34rem!important;margin:0 auto;border:1px solid var(--rule)}\n"
    "table{border-collapse:collapse;width:100%}\n"
    "th,td{text-align:left;vertical-align:top;padding:.32rem .5rem .32rem 0;border-bottom:1px solid var(--rule)}\n"
    ".sets{display:grid;grid-template-columns:repeat(auto-fill,minmax(17rem,1fr));gap:0 2.2rem}\n"
    ".set th{width:42%;font-weight:400;color:var(--owl-faint)}\n"
    ".set td{font-variant-numeric:tabular-nums}\n"
    ".wide{overflow-x:auto}\n"
    ".sky{font-size:.86rem;font-variant-numeric:tabular-nums}\n"
    ".sky th,.sky td{padding:.25rem .3rem;line-height:1.25;text-align:right}\n"
    ".sky th:first-child{text-align:left;padding-left:0;white-space:nowrap;font-weight:400}\n"
    ".sky thead th{font-weight:400;color:var(--owl-faint);vertical-align:bottom;border-bottom:1.5px solid}\n"
    ".sky .sunday th,.sky .sunday td{border-bottom-color:var(--owl-faint)}\n"
    "@media (max-width:30rem){main{padding:.8rem .9rem 3rem}h1{font-size:1.45rem}"
    "figure{margin:1rem -.9rem 0}figcaption{margin:.4rem .9rem 0}.owl-stage{border-width:1px 0}.sky{font-size:.7rem}.sky th,.sky td{padding:.22rem .12rem}.sky thead th{font-size:.62rem}.sky .day{display:none}}\n"
    "@page{size:A4;margin:14mm 15mm}\n"
    "@media print{:root{--owl-paper:#fff;--owl-ink:#000;--owl-faint:#444;--rule:#bbb;--wash:#fff;--alarm:#000}"
    "body{font-size:10pt;line-height:1.35}main{max-width:none;padding:0}nav{display:none}"
    "h2{margin-top:7mm;padding-top:2mm;border-top-width:1px}h2,h3,thead,caption{break-after:avoid}"
    "li,tr,figure,.sets>div{break-inside:avoid}.ticks label{padding:1.2mm 0}.pack{columns:2;column-gap:9mm}"
    ".owl-stage{border:0;max-width:none!important;width:auto;max-height:200mm}"
    ".sets{display:block;columns:2;column-gap:9mm}h3{margin-top:3mm}th,td{padding:.9mm 1mm .9mm 0}"
    ".sky{font-size:8.5pt}.sky th,.sky td{padding:.45mm 1mm}.sky thead{display:table-header-group}.wide{overflow:visible}}\n";

static void write_title_words(const struct owl_sheet *sheet)
{
    owl_sheet_raw(sheet, "Field sheet");
    if (sheet->plan->site.name[0]) {
        owl_sheet_raw(sheet, ": ");
        owl_sheet_name(sheet, sheet->plan->site.name);
    }
}

static void write_year(const struct owl_sheet *sheet, double days)
{
    owl_text_char(sheet->html, ' ');
    owl_text_integer(sheet->html, owl_calendar_date((int64_t)days).year);
}

static void write_span(const struct owl_sheet *sheet)
{
    const struct owl_plan_watch *watch = &sheet->plan->watch;
    double last_days = watch->start_days + watch->nights - 1.0;
    owl_sheet_name(sheet, owl_animal_at((size_t)sheet->plan->subject.kind)->name);
    owl_sheet_raw(sheet, watch->nights > 1.0 ? "; nights of <b>" : "; night of <b>");
    owl_sheet_date(sheet, watch->start_days);
    write_year(sheet, watch->start_days);
    if (watch->nights > 1.0) {
        owl_sheet_raw(sheet, "</b> to <b>");
        owl_sheet_date(sheet, last_days);
        write_year(sheet, last_days);
    }
    owl_sheet_raw(sheet, "</b>, ");
    owl_unit_show(OWL_UNIT_COUNT, watch->nights, sheet->html);
    owl_sheet_raw(sheet, watch->nights > 1.0 ? " nights" : " night");
}

static void write_pointer_to_warnings(const struct owl_sheet *sheet)
{
    int count = sheet->evaluation->warnings;
    if (count == 0)
        return;
    owl_sheet_raw(sheet, "<p class=\"alarm\">The plan has <a href=\"#warnings\">");
    owl_text_integer(sheet->html, count);
    owl_sheet_raw(sheet, count > 1 ? " warnings</a>: read them before packing.</p>\n"
                                   : " warning</a>: read it before packing.</p>\n");
}

static void write_head(const struct owl_sheet *sheet)
{
    owl_sheet_raw(sheet, "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n"
                         "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n<title>");
    write_title_words(sheet);
    owl_sheet_raw(sheet, "</title>\n<style>\n");
    owl_sheet_raw(sheet, looks);
    owl_sheet_raw(sheet, "</style>\n</head>\n<body>\n<main>\n<header>\n<h1>");
    write_title_words(sheet);
    owl_sheet_raw(sheet, "</h1>\n<p class=\"lead\">");
    write_span(sheet);
    owl_sheet_raw(sheet, "</p>\n<p class=\"quiet\">");
    owl_unit_show(OWL_UNIT_LATITUDE, sheet->plan->site.latitude_rad, sheet->html);
    owl_sheet_raw(sheet, ", ");
    owl_unit_show(OWL_UNIT_LONGITUDE, sheet->plan->site.longitude_rad, sheet->html);
    owl_sheet_raw(sheet, "; clock of ");
    owl_sheet_name(sheet, sheet->plan->site.zone);
    owl_sheet_raw(sheet, "</p>\n");
    write_pointer_to_warnings(sheet);
    owl_sheet_raw(sheet, "<nav aria-label=\"On this sheet\"><a href=\"#packing\">Packing</a>");
    if (sheet->wiring)
        owl_sheet_raw(sheet, "<a href=\"#wiring\">Wiring</a>");
    owl_sheet_raw(sheet, "<a href=\"#placing\">Placing</a>"
                         "<a href=\"#stage\">Stage</a><a href=\"#settings\">Settings</a><a href=\"#test\">Test</a>"
                         "<a href=\"#leaving\">Leaving</a><a href=\"#care\">Care</a><a href=\"#warnings\">Warnings</a>"
                         "<a href=\"#sky\">Sky</a></nav>\n</header>\n");
}

static void write_stage(const struct owl_sheet *sheet)
{
    owl_sheet_open(sheet, "stage", "The stage");
    owl_sheet_raw(sheet, "<figure>\n");
    owl_draw_stage(sheet->plan, sheet->evaluation, sheet->html);
    owl_sheet_raw(sheet, "<figcaption class=\"quiet\">To scale. The camera looks up the page. Dashed lines are measured from "
                         "the mark along the ground; heights count from the ground at the mark. The flash drawn "
                         "heavier is the key.</figcaption>\n</figure>\n");
    owl_sheet_raw(sheet, "<figure>\n");
    owl_draw_side(sheet->plan, sheet->evaluation, sheet->html);
    owl_sheet_raw(sheet, "<figcaption class=\"quiet\">From the side, to scale: heights above the ground.</figcaption>\n</figure>\n");
    owl_sheet_close(sheet);
}

enum owl_status owl_sheet_write(const struct owl_plan *plan, const struct owl_evaluation *evaluation,
                                const struct owl_watch_view *watch, const struct owl_wire_answer *wiring, struct owl_text *html)
{
    const struct owl_sheet sheet = {plan, evaluation, watch, wiring, html};
    write_head(&sheet);
    owl_sheet_packing(&sheet);
    if (wiring)
        owl_sheet_wiring(&sheet);
    owl_sheet_placing(&sheet);
    write_stage(&sheet);
    owl_sheet_settings(&sheet);
    owl_sheet_test(&sheet);
    owl_sheet_leaving(&sheet);
    owl_sheet_care(&sheet);
    owl_sheet_warnings(&sheet);
    owl_sheet_sky(&sheet);
    owl_sheet_raw(&sheet, "</main>\n</body>\n</html>\n");
    return html->cut ? OWL_NO_ROOM : OWL_OK;
}
