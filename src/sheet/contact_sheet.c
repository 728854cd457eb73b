/* The page around the strips: head, looks, dates, what failed, the count of every night. */
#include "sheet/contact_sheet.h"

#include <math.h>
#include <string.h>

#include "core/calendar.h"
#include "core/constants.h"
#include "core/text.h"
#include "sheet/contact_parts.h"
#include "sheet/field_parts.h"
#include "sheet/moment.h"

#define WORDS_BYTES 64

static const char looks[] =
    ":root{color-scheme:light dark;--paper:#fcfbf7;--ink:#262b24;--faint:#62675c;--rule:#dad8cc;--film:#191713;"
    "--edge:#e0a94f;--caption:#d8d4c8;--pencil:#f0603c;--crop:#ffe7a3}\n"
    "@media screen and (prefers-color-scheme:dark){:root{--paper:#1d211e;--ink:#e7e9e1;--faint:#a1a89c;--rule:#3a413b;"
    "--film:#0c0b09}}\n"
    "*{box-sizing:border-box}\n"
    "body{margin:0;background:var(--paper);color:var(--ink);font:1rem/1.5 system-ui,sans-serif}\n"
    "main{max-width:84rem;margin:0 auto;padding:1.4rem 1.2rem 4rem}\n"
    "h1{font-size:1.75rem;line-height:1.15;margin:0 0 .3rem;overflow-wrap:anywhere}\n"
    "h2{font-size:1.2rem;line-height:1.25;margin:2.8rem 0 .9rem;padding-top:.7rem;border-top:2px solid}\n"
    "h3{font-size:1rem;margin:0;white-space:nowrap}\n"
    "p{margin:.4rem 0;max-width:44rem}\n"
    "b,strong{font-weight:650}\n"
    ".whole{white-space:nowrap}\n"
    "a{color:inherit;text-underline-offset:.2em}\n"
    "a:focus-visible{outline:2px solid;outline-offset:2px}\n"
    ".quiet,caption{color:var(--faint)}\n"
    ".dates{list-style:none;display:grid;grid-template-columns:repeat(auto-fill,minmax(4.1rem,1fr));margin:1.2rem 0 0;padding:0;"
    "border:1px solid var(--rule);border-width:1px 0;font-size:.8rem;line-height:1.3;font-variant-numeric:tabular-nums}\n"
    ".dates>li{margin-bottom:-1px;border:1px solid var(--rule);border-width:0 1px 1px 0;color:var(--faint)}\n"
    ".dates span,.dates a{display:block;padding:.3rem .4rem .35rem}\n"
    ".dates a{color:var(--ink);text-decoration:none;box-shadow:inset 0 -3px var(--edge)}\n"
    ".dates a:hover{text-decoration:underline}\n"
    ".dates b,.dates small,.dates i{display:block;font:inherit;white-space:nowrap}\n"
    ".dates b{font-weight:650}\n"
    "article{margin:0 0 1.8rem}\n"
    "article>header{display:flex;flex-wrap:wrap;align-items:baseline;gap:0 .9rem;margin-bottom:.35rem}\n"
    "article>header p{margin:0;font-variant-numeric:tabular-nums}\n"
    ".strip{display:grid;grid-template-columns:minmax(0,40rem) minmax(0,1fr);gap:.8rem;align-items:start;background:var(--film);"
    "color:var(--caption);padding:.8rem;border-radius:2px}\n"
    ".lone{grid-template-columns:minmax(0,40rem);max-width:41.6rem}\n"
    ".others{display:grid;grid-template-columns:repeat(auto-fill,minmax(min(12.5rem,100%),1fr));gap:.8rem;align-items:start}\n"
    ".few{grid-template-columns:repeat(2,minmax(0,20rem))}\n"
    "figure{margin:0;min-width:0}\n"
    "figcaption{font-size:.85rem;line-height:1.35;overflow-wrap:anywhere}\n"
    ".best figcaption{font-size:.95rem}\n"
    ".edge{display:flex;flex-wrap:wrap;justify-content:space-between;gap:0 .8rem;padding:.3rem 0 .1rem;color:var(--edge);"
    "font:.78rem/1.3 ui-monospace,monospace;letter-spacing:.04em}\n"
    ".print{position:relative;overflow:hidden;background:#2a2722}\n"
    ".print img,.print svg{display:block;width:100%;height:auto}\n"
    ".print svg{position:absolute;inset:0;height:100%;fill:none;stroke:var(--crop);stroke-width:1.3}\n"
    ".print path{vector-effect:non-scaling-stroke}\n"
    ".under{stroke:#000;stroke-opacity:.55;stroke-width:3.4}\n"
    ".best .print{overflow:visible}\n"
    ".best .print svg{overflow:hidden}\n"
    ".strip:not(.lone) .best .print::after{content:\"\";position:absolute;inset:-4px -3px -3px -4px;"
    "border:3px solid var(--pencil);"
    "border-radius:14px 3px 9px 4px/3px 11px 4px 16px;transform:rotate(-.25deg);pointer-events:none}\n"
    ".blank{aspect-ratio:3/2;display:grid;place-items:center;padding:1rem;text-align:center}\n"
    ".wide{overflow-x:auto}\n"
    "table{border-collapse:collapse;font-variant-numeric:tabular-nums}\n"
    "caption{text-align:left;padding-bottom:.4rem}\n"
    "th,td{text-align:left;vertical-align:top;padding:.3rem 1.2rem .3rem 0;border-bottom:1px solid var(--rule)}\n"
    "th{font-weight:400}\n"
    "thead th{color:var(--faint);vertical-align:bottom;border-bottom:1.5px solid}\n"
    "tfoot th,tfoot td{font-weight:650;border-bottom:0}\n"
    ".name{overflow-wrap:anywhere;min-width:8rem}\n"
    ".count td,.count thead th+th{text-align:right}\n"
    "@media screen and (max-width:60rem){.strip{grid-template-columns:minmax(0,1fr)}.others:not(.few){grid-template-columns:"
    "repeat(auto-fill,minmax(min(9rem,100%),1fr))}.best{max-width:40rem}}\n"
    "@media screen and (max-width:30rem){main{padding:.9rem .9rem 3rem}h1{font-size:1.45rem}.still,.count .year{display:none}"
    ".strip{margin:0 -.9rem;border-radius:0}table{font-size:.85rem}"
    "th,td{padding-right:.7rem}.count th,.count td{padding-right:.45rem}.name{min-width:0}}\n"
    "@page{size:A4;margin:12mm}\n"
    "@media print{:root{--paper:#fff;--ink:#000;--faint:#444;--rule:#bbb;--film:#fff;--edge:#000;--caption:#000;--pencil:#000}"
    "body{font-size:9pt;line-height:1.3}main{max-width:none;padding:0}.dates{display:none}"
    "h2{margin-top:6mm;padding-top:2mm;border-top-width:1px}h2,h3,article>header,thead,caption{break-after:avoid}"
    "article,figure,tr{break-inside:avoid}article{margin-bottom:5mm}"
    ".strip{grid-template-columns:85mm minmax(0,1fr);gap:3mm;padding:0}.others{grid-template-columns:repeat(3,minmax(0,1fr));"
    "gap:2mm}.few{grid-template-columns:repeat(2,minmax(0,1fr))}figcaption,.best figcaption{font-size:7.5pt}.edge{font-size:7pt}"
    ".strip:not(.lone) .best .print::after{border-width:1.5px}"
    ".print,.print svg{print-color-adjust:exact}thead{display:table-header-group}.wide{overflow:visible}}\n";

/* ---- words the parts share ---- */

void owl_contact_count(struct owl_pieces *page, int count, const char *one, const char *several)
{
    owl_pieces_integer(page, count);
    owl_pieces_raw(page, " ");
    owl_pieces_raw(page, count == 1 ? one : several);
}

static bool known_night(int64_t night_days)
{
    return owl_calendar_date(night_days).year > 0;
}

/* The field sheet's own words for a date; it needs no plan for them. */
void owl_contact_date(struct owl_pieces *page, int64_t night_days, bool with_year)
{
    if (!known_night(night_days)) {
        owl_pieces_raw(page, "not known");
        return;
    }
    char words[WORDS_BYTES];
    struct owl_text text = owl_text_over(words, sizeof words);
    const struct owl_sheet sheet = {.html = &text};
    owl_sheet_date(&sheet, (double)night_days);
    owl_pieces_raw(page, "<span class=\"whole\">");
    owl_pieces_words(page, words);
    if (with_year) {
        owl_pieces_raw(page, "<span class=\"year\"> ");
        owl_pieces_integer(page, owl_calendar_date(night_days).year);
        owl_pieces_raw(page, "</span>");
    }
    owl_pieces_raw(page, "</span>");
}

void owl_contact_night_id(struct owl_pieces *page, int64_t night_days)
{
    char words[WORDS_BYTES];
    struct owl_text text = owl_text_over(words, sizeof words);
    owl_moment_date(night_days, &text);
    owl_pieces_raw(page, "night-");
    owl_pieces_words(page, known_night(night_days) ? words : "unknown");
}

void owl_contact_time(struct owl_pieces *page, double local_s, bool with_date)
{
    if (!owl_moment_known(local_s))
        return;
    char words[WORDS_BYTES];
    struct owl_text text = owl_text_over(words, sizeof words);
    owl_moment_clock(local_s, &text);
    if (with_date) {
        owl_contact_date(page, (int64_t)floor(local_s / OWL_SECONDS_PER_DAY), false);
        owl_pieces_raw(page, ", ");
    }
    owl_pieces_words(page, words);
}

/* ---- head ---- */

static struct owl_contact_night total_of(const struct owl_contact_sheet *sheet)
{
    struct owl_contact_night total = {.night_days = OWL_CONTACT_NO_NIGHT};
    for (int i = 0; i < sheet->nights; i++) {
        const struct owl_contact_night *night = &sheet->night[i];
        total.visits += night->visits;
        total.frames += night->frames;
        total.shown += night->shown;
        total.failed += night->failed;
        total.empty += night->empty;
    }
    return total;
}

/* Whether no visit before has this row, and how many have it. */
static int count_of_row(const struct owl_contact_sheet *sheet, int first)
{
    int count = 0;
    for (int i = 0; i < sheet->visits; i++)
        if (strcmp(sheet->visit[i].row, sheet->visit[first].row) == 0) {
            if (i < first)
                return 0;
            count++;
        }
    return count;
}

static void write_rows(struct owl_pieces *page, const struct owl_contact_sheet *sheet)
{
    bool any = false;
    for (int i = 0; i < sheet->visits; i++) {
        int count = sheet->visit[i].row[0] ? count_of_row(sheet, i) : 0;
        if (count == 0)
            continue;
        owl_pieces_raw(page, any ? ", " : "<p>Where the visits ended: ");
        owl_pieces_words(page, sheet->visit[i].row);
        owl_pieces_raw(page, " ");
        owl_pieces_integer(page, count);
        any = true;
    }
    owl_pieces_raw(page, any ? ".</p>\n" : "");
}

static void write_counts(struct owl_pieces *page, const struct owl_contact_sheet *sheet)
{
    struct owl_contact_night total = total_of(sheet);
    owl_pieces_raw(page, "<p>");
    owl_contact_count(page, sheet->visits, "visit", "visits");
    owl_pieces_raw(page, " in ");
    owl_contact_count(page, sheet->nights, "night", "nights");
    owl_pieces_raw(page, "; ");
    owl_contact_count(page, total.frames, "frame", "frames");
    owl_pieces_raw(page, ": ");
    owl_pieces_integer(page, total.shown);
    owl_pieces_raw(page, " shown, ");
    owl_pieces_integer(page, total.empty);
    owl_pieces_raw(page, " empty, ");
    owl_pieces_integer(page, total.failed);
    owl_pieces_raw(page, " failed.</p>\n");
    write_rows(page, sheet);
}

/* Weekday above, day and month below. */
static void write_short_date(struct owl_pieces *page, int64_t night_days)
{
    if (!known_night(night_days)) {
        owl_pieces_raw(page, "<i>Night</i> <i>not known</i>");
        return;
    }
    char words[WORDS_BYTES];
    struct owl_text text = owl_text_over(words, sizeof words);
    const struct owl_sheet sheet = {.html = &text};
    owl_pieces_raw(page, "<i>");
    owl_pieces_raw(page, owl_sheet_weekday_name((double)night_days));
    owl_pieces_raw(page, "</i> <i>");
    owl_sheet_day_month(&sheet, (double)night_days);
    owl_pieces_words(page, words);
    owl_pieces_raw(page, "</i>");
}

static void write_date_cell(struct owl_pieces *page, const struct owl_contact_night *night)
{
    owl_pieces_raw(page, night->visits > 0 ? "<li>" : "<li class=\"still\">");
    if (night->visits > 0) {
        owl_pieces_raw(page, "<a href=\"#");
        owl_contact_night_id(page, night->night_days);
        owl_pieces_raw(page, "\">");
    } else {
        owl_pieces_raw(page, "<span>");
    }
    write_short_date(page, night->night_days);
    owl_pieces_raw(page, night->visits > 0 ? " <b>" : " <small>");
    if (night->visits > 0)
        owl_contact_count(page, night->visits, "visit", "visits");
    else
        owl_pieces_raw(page, "none");
    owl_pieces_raw(page, night->visits > 0 ? "</b></a></li>" : "</small></span></li>");
}

static void write_head(struct owl_pieces *page, const struct owl_contact_sheet *sheet)
{
    owl_pieces_raw(page, "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n"
                         "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n"
                         "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; img-src data:; "
                         "style-src 'unsafe-inline'\"/>\n<title>Contact sheet: ");
    owl_pieces_words(page, sheet->title);
    owl_pieces_raw(page, "</title>\n<style>\n");
    owl_pieces_raw(page, looks);
    owl_pieces_raw(page, "</style>\n</head>\n<body>\n<main>\n<header>\n<h1>Contact sheet: ");
    owl_pieces_words(page, sheet->title);
    owl_pieces_raw(page, "</h1>\n");
    write_counts(page, sheet);
    if (sheet->note[0]) {
        owl_pieces_raw(page, "<p class=\"quiet\">");
        owl_pieces_words(page, sheet->note);
        owl_pieces_raw(page, "</p>\n");
    }
    owl_pieces_raw(page, "<p class=\"quiet\">A night has the date of its evening. Thin lines frame what changed against the "
                         "background; a line in pencil goes around the best frame of a visit.</p>\n"
                         "<nav aria-label=\"Nights\"><ol class=\"dates\">\n");
    for (int i = 0; i < sheet->nights; i++)
        write_date_cell(page, &sheet->night[i]);
    owl_pieces_raw(page, "\n</ol></nav>\n</header>\n");
}

/* ---- body ---- */

static void write_visits(struct owl_pieces *page, const struct owl_contact_sheet *sheet)
{
    for (int i = 0; i < sheet->visits && !page->failed; i++) {
        bool first = i == 0 || sheet->visit[i].night_days != sheet->visit[i - 1].night_days;
        if (first) {
            owl_pieces_raw(page, i > 0 ? "</section>\n<section>\n<h2 id=\"" : "<section>\n<h2 id=\"");
            owl_contact_night_id(page, sheet->visit[i].night_days);
            owl_pieces_raw(page, known_night(sheet->visit[i].night_days) ? "\">Night of " : "\">Night: ");
            owl_contact_date(page, sheet->visit[i].night_days, true);
            owl_pieces_raw(page, "</h2>\n");
        }
        owl_contact_visit(page, sheet, &sheet->visit[i]);
    }
    owl_pieces_raw(page, sheet->visits > 0 ? "</section>\n" : "");
}

static void write_failures(struct owl_pieces *page, const struct owl_contact_sheet *sheet)
{
    if (sheet->failures == 0)
        return;
    owl_pieces_raw(page, "<section>\n<h2 id=\"failed\">Frames that failed</h2>\n<div class=\"wide\"><table>\n"
                         "<caption>Whether these show anything could not be told: look at them yourself.</caption>\n"
                         "<thead><tr><th scope=\"col\">Frame</th><th scope=\"col\">Taken</th><th scope=\"col\">Why</th></tr>"
                         "</thead>\n<tbody>\n");
    for (int i = 0; i < sheet->failures; i++) {
        owl_pieces_raw(page, "<tr><th scope=\"row\" class=\"name\">");
        owl_pieces_words(page, sheet->failure[i].name);
        owl_pieces_raw(page, "</th><td>");
        owl_contact_time(page, sheet->failure[i].taken_s, true);
        owl_pieces_raw(page, "</td><td>");
        owl_pieces_words(page, sheet->failure[i].why);
        owl_pieces_raw(page, "</td></tr>\n");
    }
    owl_pieces_raw(page, "</tbody></table></div>\n</section>\n");
}

static void write_counted(struct owl_pieces *page, const struct owl_contact_night *night)
{
    const int count[] = {night->visits, night->shown, night->failed, night->empty, night->frames};
    for (size_t i = 0; i < sizeof count / sizeof *count; i++) {
        owl_pieces_raw(page, "<td>");
        owl_pieces_integer(page, count[i]);
        owl_pieces_raw(page, "</td>");
    }
    owl_pieces_raw(page, "</tr>\n");
}

static void write_nights(struct owl_pieces *page, const struct owl_contact_sheet *sheet)
{
    struct owl_contact_night total = total_of(sheet);
    owl_pieces_raw(page, "<section>\n<h2 id=\"nights\">All nights, all frames</h2>\n<div class=\"wide\"><table class=\"count\">\n"
                         "<caption>Every frame of the card is counted here once.</caption>\n"
                         "<thead><tr><th scope=\"col\">Night</th><th scope=\"col\">Visits</th>"
                         "<th scope=\"col\">Shown</th><th scope=\"col\">Failed</th>"
                         "<th scope=\"col\">Empty</th><th scope=\"col\">Frames</th></tr></thead>\n<tbody>\n");
    for (int i = 0; i < sheet->nights; i++) {
        owl_pieces_raw(page, "<tr><th scope=\"row\">");
        owl_contact_date(page, sheet->night[i].night_days, true);
        owl_pieces_raw(page, "</th>");
        write_counted(page, &sheet->night[i]);
    }
    owl_pieces_raw(page, "</tbody>\n<tfoot><tr><th scope=\"row\">Together</th>");
    write_counted(page, &total);
    owl_pieces_raw(page, "</tfoot></table></div>\n</section>\n");
}

enum owl_status owl_contact_sheet_write(const struct owl_contact_sheet *sheet,
                                        bool (*put)(void *context, const char *bytes, size_t length), void *put_context)
{
    struct owl_pieces page = owl_pieces_to(put, put_context);
    write_head(&page, sheet);
    write_visits(&page, sheet);
    write_failures(&page, sheet);
    write_nights(&page, sheet);
    owl_pieces_raw(&page, "</main>\n</body>\n</html>\n");
    return owl_pieces_end(&page) ? OWL_OK : OWL_CANNOT_WRITE;
}
