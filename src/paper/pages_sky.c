/* On paper: the night ribbon, and a line for every night. */
#include <math.h>

#include "core/constants.h"
#include "core/draw/ribbon.h"
#include "paper/pages.h"

#define CELLS 8
#define CELL_BYTES 24
#define NIGHTS_OF_ONE_COLUMN 14 /* a longer table goes into two */
#define RIBBON_HEIGHT_PT 400.0

/* The cells of one line; the sheet's helpers write into `sheet.html`, which is set to each cell in its turn. */
struct line {
    char bytes[CELLS][CELL_BYTES];
    const char *words[CELLS];
    struct owl_text text;
    struct owl_sheet sheet;
    int count;
};

static struct owl_text *next_cell(struct line *line)
{
    line->words[line->count] = line->bytes[line->count];
    line->text = owl_text_over(line->bytes[line->count++], CELL_BYTES);
    return &line->text;
}

static void add_event(struct line *line, const struct owl_sky_event *event)
{
    struct owl_text *cell = next_cell(line);
    switch (event->what) {
    case OWL_EVENT_AT: owl_sheet_clock(&line->sheet, event->unix_s); break;
    case OWL_EVENT_ALWAYS_UP: owl_text_words(cell, "up"); break;
    case OWL_EVENT_ALWAYS_DOWN: owl_text_words(cell, "down"); break;
    default: owl_text_words(cell, "none");
    }
}

static void add_night(struct owl_pages *pages, int n)
{
    const struct owl_night *night = &pages->sheet.watch->night[n];
    const struct owl_night_result *result = &pages->sheet.evaluation->night[n];
    struct line line = {.sheet = pages->sheet};
    line.sheet.html = &line.text;
    (void)next_cell(&line);
    owl_sheet_date(&line.sheet, pages->sheet.plan->watch.start_days + n);
    add_event(&line, &night->event[OWL_SUNSET]);
    struct owl_text *cell = next_cell(&line);
    if (isnan(result->test_unix_s))
        owl_text_words(cell, "none");
    else
        owl_sheet_clock(&line.sheet, result->test_unix_s);
    add_event(&line, &night->event[OWL_MOONRISE]);
    add_event(&line, &night->event[OWL_MOONSET]);
    owl_text_fixed(next_cell(&line), night->moon_lit * 100.0, 0);
    add_event(&line, &night->event[OWL_SUNRISE]);
    owl_text_fixed(next_cell(&line), result->armed_s / OWL_SECONDS_PER_HOUR, 1);
    owl_leaf_cells(&pages->leaf, line.words, CELLS, OWL_LEAF_LINE);
}

/* Whether the clock is moved in a night of the watch. */
static void write_clock_changes(struct owl_pages *pages)
{
    const struct owl_watch_view *watch = pages->sheet.watch;
    for (int n = 0; n < watch->nights; n++) {
        double noon_s = watch->night[n].noon_unix_s;
        int change_s = owl_sky_offset_s(watch->sky, noon_s + OWL_SECONDS_PER_DAY) - owl_sky_offset_s(watch->sky, noon_s);
        if (change_s == 0)
            continue;
        owl_pages_words(pages, " *In the night of ");
        owl_sheet_date(&pages->sheet, pages->sheet.plan->watch.start_days + n);
        owl_pages_words(pages, change_s > 0 ? " the clock is put forward* by " : " the clock is put back* by ");
        OWL_TELL(pages, "%.", {OWL_UNIT_TIME, fabs((double)change_s)});
    }
}

static void write_table_head(struct owl_pages *pages)
{
    static const char *const upper[CELLS] = {"", "Sun", "", "Moon", "Moon", "Moon", "Sun", "Armed"};
    static const char *const lower[CELLS] = {"Night", "sets", "Test", "rises", "sets", "lit, %", "rises", "hours"};
    owl_leaf_cells(&pages->leaf, upper, CELLS, OWL_LEAF_HEAD);
    owl_leaf_cells(&pages->leaf, lower, CELLS, OWL_LEAF_HEAD_END);
}

static void draw_ribbon(struct owl_pages *pages)
{
    struct owl_text svg = owl_text_over(pages->svg, OWL_RIBBON_BYTES);
    owl_draw_ribbon(pages->sheet.plan, pages->sheet.evaluation, pages->sheet.watch, &svg);
    owl_leaf_drawing(&pages->leaf, pages->svg, svg.length, RIBBON_HEIGHT_PT);
}

void owl_pages_sky(struct owl_pages *pages)
{
    int nights = pages->sheet.watch->nights;
    owl_leaf_next_page(&pages->leaf);
    owl_leaf_columns(&pages->leaf, 1);
    owl_leaf_heading(&pages->leaf, "Sky of the watch");
    owl_pages_words(pages, "By the clock of ");
    owl_pages_name(pages, pages->sheet.plan->site.zone);
    owl_pages_words(pages, ". A night has the date of its evening and runs from noon to noon. Test: from then on the light "
                           "is right for it. Lit: share of the moon's disc. Armed: hours in the 24.");
    write_clock_changes(pages);
    owl_pages_paragraph(pages);
    draw_ribbon(pages);
    owl_leaf_columns(&pages->leaf, nights > NIGHTS_OF_ONE_COLUMN ? 2 : 1);
    for (int n = 0; n < nights; n++) {
        if (owl_leaf_begins_column(&pages->leaf))
            write_table_head(pages);
        add_night(pages, n);
    }
}
