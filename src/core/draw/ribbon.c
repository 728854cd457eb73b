/* The night ribbon as SVG: rows, marks in them, axes, key. */
#include "core/draw/ribbon.h"

#include <math.h>

#include "core/calendar.h"
#include "core/constants.h"
#include "core/draw/label.h"
#include "core/draw/ribbon_scene.h"

#define NAME "owl-ribbon"
#define LEFT 58.0            /* of the rows: dates stand before them */
#define RIGHT 374.0          /* and the shares after */
#define SHARE_LEFT 379.0
#define SHARE_WIDTH 26.0
#define PROFILE_TOP 28.0
#define PROFILE_HEIGHT 26.0
#define AXIS_TOP 55.0
#define ROWS_TOP 80.0
#define ROWS_HEIGHT 560.0    /* aimed at */
#define ROW_MOST 22.0
#define THIN_ROWS_HEIGHT 700.0
#define THIN_ROW_MOST 6.0
#define FULL_ROWS_MOST 60    /* nights; more of them are thin rows */
#define UNDER_ROW 4.0        /* for the armed line and the gap */
#define THIN_ROWS_A_CELL 2
#define HOUR_APART 45.0      /* between the hours of the axis */
#define MOON_WIDTHS 6
#define MOON_WIDEST 0.3      /* of the band, and no more than so much in all: */
#define MOON_MOST 3.2
#define MOON_LEAST_BAND 4.0  /* in thinner rows its light alone is seen */
#define MONTHS_NIGHTS 180    /* more nights than that are dated by their months */
#define SCALE_SHADE 20.0
#define SCALE_HEIGHT 11.0
#define SCALE_LEFT 34.0
#define TEST_ACROSS 12.0
#define DAYS_A_WEEK 7
#define SUNDAY 3             /* 1970-01-01 was a Thursday */
#define NOTE_BYTES OWL_CHART_PARAGRAPH

/* ---- places ---- */

static double clock_x(const struct owl_ribbon *ribbon, double clock_s)
{
    double share = (clock_s - ribbon->from_s) / (ribbon->to_s - ribbon->from_s);
    return ribbon->left + ribbon->width * fmin(fmax(share, 0.0), 1.0);
}

static double span_x(const struct owl_ribbon *ribbon, int night, double rows)
{
    return clock_x(ribbon, owl_ribbon_clock_s(ribbon, night, rows));
}

static double row_top(const struct owl_ribbon *ribbon, int night)
{
    return ribbon->top + night * ribbon->pitch;
}

static double row_middle(const struct owl_ribbon *ribbon, int night)
{
    return row_top(ribbon, night) + ribbon->band / 2.0;
}

static double rows_bottom(const struct owl_ribbon *ribbon)
{
    return row_top(ribbon, ribbon->nights - 1) + ribbon->band;
}

static void dash(struct owl_text *svg, double from_x, double to_x, double y)
{
    if (to_x - from_x < 0.05)
        return;
    owl_chart_move(svg, from_x, y);
    owl_chart_along(svg, 'H', to_x); /* neighbours meet in the same rounded number */
}

/* ---- the light ---- */

static void open_group(struct owl_text *svg, const char *class, double stroke_width)
{
    owl_text_words(svg, "<g class=\"");
    owl_text_words(svg, class);
    owl_text_char(svg, '"');
    owl_chart_attribute(svg, "stroke-width", stroke_width);
    owl_text_words(svg, ">\n");
}

static int shade_at(const struct owl_ribbon *ribbon, int night, int row, int step)
{
    const struct owl_watch_row *here = &ribbon->watch->row[night * OWL_NIGHT_ROWS + row];
    return owl_ribbon_shade(sqrt(here[0].light_lx * here[step].light_lx));
}

/* Neighbours of one shade are one dash, unless the clock is changed between them. */
static void draw_row_shade(const struct owl_ribbon *ribbon, int night, int shade, struct owl_text *svg)
{
    int step = ribbon->thin ? THIN_ROWS_A_CELL : 1, row = 0;
    while (row < OWL_NIGHT_ROWS) {
        if (shade_at(ribbon, night, row, step) != shade) {
            row += step;
            continue;
        }
        double from_s = owl_ribbon_clock_s(ribbon, night, row), to_s = from_s;
        do {
            to_s += step * OWL_ROW_STEP_S;
            row += step;
        } while (row < OWL_NIGHT_ROWS && shade_at(ribbon, night, row, step) == shade &&
                 fabs(owl_ribbon_clock_s(ribbon, night, row) - to_s) < OWL_ROW_STEP_S / 2.0);
        dash(svg, clock_x(ribbon, from_s), clock_x(ribbon, to_s), row_middle(ribbon, night));
    }
}

/* The lightest shade, all along; blank is only what the clock leaps over. */
static void draw_ground(const struct owl_ribbon *ribbon, struct owl_text *svg)
{
    open_group(svg, "noon", ribbon->band);
    owl_text_words(svg, "<path d=\"");
    for (int n = 0; n < ribbon->nights; n++) {
        double from_s = owl_ribbon_clock_s(ribbon, n, 0), to_s = from_s;
        for (int row = 1; row <= OWL_NIGHT_ROWS; row++) {
            double here_s = owl_ribbon_clock_s(ribbon, n, row);
            to_s += OWL_ROW_STEP_S;
            if (row < OWL_NIGHT_ROWS && fabs(here_s - to_s) < OWL_ROW_STEP_S / 2.0)
                continue;
            dash(svg, clock_x(ribbon, from_s), clock_x(ribbon, to_s), row_middle(ribbon, n));
            from_s = to_s = here_s;
        }
    }
    owl_text_words(svg, "\"/></g>\n");
}

static void open_shade(struct owl_text *svg, int shade)
{
    owl_text_words(svg, "<path stroke-opacity=\"");
    owl_text_fixed(svg, 1.0 - shade / (OWL_RIBBON_SHADES - 1.0), 2);
    owl_text_words(svg, "\" d=\"");
}

static void draw_light(const struct owl_ribbon *ribbon, struct owl_text *svg)
{
    draw_ground(ribbon, svg);
    open_group(svg, "sky", ribbon->band);
    for (int shade = 0; shade < OWL_RIBBON_SHADES - 1; shade++) {
        open_shade(svg, shade);
        for (int n = 0; n < ribbon->nights; n++)
            draw_row_shade(ribbon, n, shade, svg);
        owl_chart_end(svg);
    }
    owl_text_words(svg, "</g>\n");
}

/* ---- marks in the rows ---- */

static bool moon_lines(const struct owl_ribbon *ribbon)
{
    return ribbon->band >= MOON_LEAST_BAND;
}

static void draw_moon(const struct owl_ribbon *ribbon, struct owl_text *svg)
{
    for (int width = 1; moon_lines(ribbon) && width <= MOON_WIDTHS; width++) {
        double widest = fmin(MOON_WIDEST * ribbon->band, MOON_MOST);
        open_group(svg, "moon", fmax(widest * width / MOON_WIDTHS, 0.3));
        owl_text_words(svg, "<path d=\"");
        for (int n = 0; n < ribbon->nights; n++) {
            struct owl_ribbon_span span[2];
            int spans = owl_ribbon_moon(ribbon, n, span);
            if ((int)ceil(ribbon->watch->night[n].moon_lit * MOON_WIDTHS) != width)
                continue;
            for (int i = 0; i < spans; i++)
                dash(svg, span_x(ribbon, n, span[i].from), span_x(ribbon, n, span[i].to), row_middle(ribbon, n));
        }
        owl_text_words(svg, "\"/></g>\n");
    }
}

/* A line under the row; in thin rows the ends alone, which join to edges over the nights. */
static void draw_armed(const struct owl_ribbon *ribbon, struct owl_text *svg)
{
    owl_chart_path(svg, "armed");
    for (int n = 0; n < ribbon->nights; n++) {
        struct owl_ribbon_armed at = {.night = n};
        struct owl_ribbon_span span;
        while (owl_ribbon_next_armed(ribbon, &at, &span)) {
            double from = span_x(ribbon, n, span.from), to = span_x(ribbon, n, span.to), top = row_top(ribbon, n);
            if (!ribbon->thin) {
                dash(svg, from, to, top + ribbon->band + 1.2);
                continue;
            }
            if (span.from > 0.0) {
                owl_chart_move(svg, from, top);
                owl_chart_along(svg, 'v', ribbon->pitch);
            }
            if (span.to < OWL_NIGHT_ROWS) {
                owl_chart_move(svg, to, top);
                owl_chart_along(svg, 'v', ribbon->pitch);
            }
        }
    }
    owl_chart_end(svg);
}

static void draw_shares(const struct owl_ribbon *ribbon, struct owl_text *svg)
{
    open_group(svg, "share", ribbon->thin ? ribbon->pitch : ribbon->band * 0.6);
    owl_text_words(svg, "<path d=\"");
    for (int n = 0; n < ribbon->nights; n++) {
        double share = ribbon->evaluation->night[n].share;
        if (share > 0.0)
            dash(svg, SHARE_LEFT, SHARE_LEFT + SHARE_WIDTH * fmin(share, 1.0), row_middle(ribbon, n));
    }
    owl_text_words(svg, "\"/></g>\n");
    owl_chart_line(svg, "hair", SHARE_LEFT, ribbon->top, 'v', rows_bottom(ribbon) - ribbon->top);
}

static void draw_activity(const struct owl_ribbon *ribbon, struct owl_text *svg)
{
    double share[OWL_RIBBON_BINS], bottom = PROFILE_TOP + PROFILE_HEIGHT;
    int bins = owl_ribbon_activity(ribbon, share);
    owl_chart_path(svg, "about");
    for (int i = 0; i < bins; i++) {
        double height = PROFILE_HEIGHT * share[i], next = clock_x(ribbon, ribbon->from_s + (i + 1) * OWL_ROW_STEP_S);
        if (isnan(height))
            continue;
        owl_chart_move(svg, clock_x(ribbon, ribbon->from_s + i * OWL_ROW_STEP_S), bottom);
        owl_chart_along(svg, 'v', -height);
        owl_chart_along(svg, 'H', next);
        owl_chart_along(svg, 'V', bottom);
    }
    owl_chart_end(svg);
    owl_chart_line(svg, "hair", ribbon->left, bottom, 'h', ribbon->width);
}

/* ---- axes ---- */

static double hours_apart_s(const struct owl_ribbon *ribbon)
{
    static const double steps[] = {1.0, 2.0, 3.0, 4.0, 6.0, 12.0};
    double hours = (ribbon->to_s - ribbon->from_s) / OWL_SECONDS_PER_HOUR;
    return OWL_SECONDS_PER_HOUR * owl_chart_step(steps, sizeof steps / sizeof *steps, HOUR_APART * hours / ribbon->width);
}

static void label_hours(struct owl_ribbon *ribbon, double top)
{
    double step_s = hours_apart_s(ribbon);
    for (double s = ceil(ribbon->from_s / step_s) * step_s; s <= ribbon->to_s; s += step_s) {
        char words[16];
        struct owl_text text = owl_text_over(words, sizeof words);
        owl_chart_clock(&text, s);
        (void)owl_chart_put(&ribbon->chart, clock_x(ribbon, s), top, OWL_CHART_MIDDLE, words);
    }
}

static void draw_hours(const struct owl_ribbon *ribbon, struct owl_text *svg)
{
    double step_s = hours_apart_s(ribbon), height = rows_bottom(ribbon) - ribbon->top;
    owl_chart_path(svg, "hour");
    for (double s = ceil(ribbon->from_s / step_s) * step_s; s <= ribbon->to_s; s += step_s) {
        owl_chart_move(svg, clock_x(ribbon, s), ribbon->top);
        owl_chart_along(svg, 'v', height);
    }
    owl_chart_end(svg);
}

/* The night's date and, where that finds room, its share. */
static void label_night(struct owl_ribbon *ribbon, int night)
{
    char words[24];
    struct owl_text text = owl_text_over(words, sizeof words);
    double top = row_middle(ribbon, night) - OWL_CHART_LINE / 2.0;
    owl_chart_date(&text, ribbon->plan->watch.start_days + night);
    double share = ribbon->evaluation->night[night].share;
    if (!owl_chart_put(&ribbon->chart, ribbon->left - 6.0, top, OWL_CHART_END, words) || isnan(share))
        return;
    text = owl_text_over(words, sizeof words);
    owl_text_integer(&text, (int64_t)floor(share * 100.0 + 0.5));
    (void)owl_chart_put(&ribbon->chart, OWL_CHART_WIDTH - OWL_CHART_EDGE, top, OWL_CHART_END, words);
}

static bool dated(const struct owl_ribbon *ribbon, int night)
{
    int64_t days = (int64_t)ribbon->plan->watch.start_days + night;
    if (ribbon->nights > MONTHS_NIGHTS)
        return owl_calendar_date(days).day == 1;
    return ribbon->pitch > OWL_CHART_LINE || days % DAYS_A_WEEK == SUNDAY;
}

static void label_nights(struct owl_ribbon *ribbon)
{
    label_night(ribbon, 0);
    if (ribbon->nights > 1)
        label_night(ribbon, ribbon->nights - 1);
    for (int n = 1; n < ribbon->nights - 1; n++)
        if (dated(ribbon, n))
            label_night(ribbon, n);
}

/* Upright in a row; over thin rows, whose edges run nearly upright, across. */
static void draw_test(const struct owl_ribbon *ribbon, struct owl_text *svg, double x, double y, double band)
{
    owl_chart_move(svg, x - (ribbon->thin ? TEST_ACROSS / 2.0 : 0.0), y - (ribbon->thin ? 0.0 : band / 2.0));
    owl_chart_along(svg, ribbon->thin ? 'h' : 'v', ribbon->thin ? TEST_ACROSS : band);
}

/* In every row, or in thin ones at their dates. */
static void draw_tests(const struct owl_ribbon *ribbon, struct owl_text *svg)
{
    owl_chart_path(svg, "test");
    for (int n = 0; n < ribbon->nights; n++) {
        double rows = (ribbon->evaluation->night[n].test_unix_s - ribbon->watch->night[n].noon_unix_s) / OWL_ROW_STEP_S;
        if (!(rows >= 0.0 && rows <= OWL_NIGHT_ROWS) || (ribbon->thin && !dated(ribbon, n)))
            continue;
        draw_test(ribbon, svg, span_x(ribbon, n, rows), row_middle(ribbon, n), ribbon->band);
    }
    owl_chart_end(svg);
}

/* ---- the key ---- */

/* Where a light stands on it; it may be off the scale. */
static double scale_x(double light_lx)
{
    double shades = log10(light_lx / owl_ribbon_shade_lx(0)) * OWL_RIBBON_SHADES_A_TICK / 2.0;
    return SCALE_LEFT + SCALE_SHADE * shades;
}

/* From dark to light, with the light gate on it. */
static double lay_scale(struct owl_ribbon *ribbon, double top)
{
    const struct owl_plan_sensor *sensor = &ribbon->plan->sensor;
    double bottom = top + SCALE_HEIGHT + 3.0;
    for (int shade = 0; shade <= OWL_RIBBON_SHADES; shade += OWL_RIBBON_SHADES_A_TICK) {
        char words[24];
        struct owl_text text = owl_text_over(words, sizeof words);
        owl_text_rounded(&text, owl_ribbon_shade_lx(shade), 1);
        owl_text_words(&text, shade == 0 || shade == OWL_RIBBON_SHADES ? " lx" : "");
        (void)owl_chart_put(&ribbon->chart, SCALE_LEFT + SCALE_SHADE * shade, bottom, OWL_CHART_MIDDLE, words);
    }
    if (sensor->gate != OWL_GATE_ALWAYS) {
        char words[64];
        struct owl_text text = owl_text_over(words, sizeof words);
        owl_text_words(&text, "gate at ");
        owl_unit_show(OWL_UNIT_LIGHT, sensor->gate_lx, &text);
        double half = owl_label_width(words, OWL_CHART_FONT) / 2.0, least = OWL_CHART_EDGE + half;
        double x = fmin(fmax(scale_x(sensor->gate_lx), least), OWL_CHART_WIDTH - least);
        (void)owl_chart_put(&ribbon->chart, x, top - OWL_CHART_LINE - 4.0, OWL_CHART_MIDDLE, words);
    }
    return bottom + OWL_CHART_LINE + 5.0;
}

static void draw_scale(const struct owl_ribbon *ribbon, double top, struct owl_text *svg)
{
    const struct owl_plan_sensor *sensor = &ribbon->plan->sensor;
    double middle = top + SCALE_HEIGHT / 2.0, length = SCALE_SHADE * OWL_RIBBON_SHADES;
    double gate = scale_x(sensor->gate_lx);
    open_group(svg, "noon", SCALE_HEIGHT);
    owl_chart_line(svg, "", SCALE_LEFT, middle, 'h', length);
    owl_text_words(svg, "</g>");
    open_group(svg, "sky", SCALE_HEIGHT);
    for (int shade = 0; shade < OWL_RIBBON_SHADES - 1; shade++) {
        open_shade(svg, shade);
        dash(svg, SCALE_LEFT + SCALE_SHADE * shade, SCALE_LEFT + SCALE_SHADE * (shade + 1), middle);
        owl_chart_end(svg);
    }
    owl_text_words(svg, "</g>\n");
    if (sensor->gate != OWL_GATE_ALWAYS && gate >= SCALE_LEFT && gate <= SCALE_LEFT + length)
        owl_chart_line(svg, "armed", gate, top - 3.0, 'v', SCALE_HEIGHT + 6.0);
}

enum entry { ARMED, MOON, TEST, ABOUT, SHARE, ENTRIES };

static const char *entry_words(const struct owl_ribbon *ribbon, enum entry entry)
{
    static const char *const words[ENTRIES] = {"armed", "moon up: thicker, more lit", "come back and test",
                                               "when the animal is about", "% of that in armed time"};
    if (entry == MOON && !moon_lines(ribbon))
        return "paler in the dark: moonlight";
    return entry == ARMED && ribbon->thin ? "edge of armed time" : words[entry];
}

static void draw_entry(const struct owl_ribbon *ribbon, enum entry entry, double x, double y, struct owl_text *svg)
{
    double band = 9.0;
    switch (entry) {
    case ARMED:
        if (ribbon->thin)
            owl_chart_line(svg, "armed", x + OWL_CHART_SWATCH / 2.0, y - band / 2.0, 'v', band);
        else
            owl_chart_line(svg, "armed", x, y, 'h', OWL_CHART_SWATCH);
        break;
    case MOON:
        open_group(svg, "sky", band);
        owl_chart_line(svg, "", x, y, 'h', OWL_CHART_SWATCH);
        owl_text_words(svg, "</g>");
        open_group(svg, moon_lines(ribbon) ? "moon" : "noon", MOON_MOST);
        owl_chart_line(svg, "", x + 3.0, y, 'h', OWL_CHART_SWATCH - 3.0);
        owl_text_words(svg, "</g>");
        break;
    case TEST:
        owl_chart_path(svg, "test");
        draw_test(ribbon, svg, x + OWL_CHART_SWATCH / 2.0, y, band);
        owl_chart_end(svg);
        break;
    case ABOUT:
        owl_chart_path(svg, "about");
        owl_chart_move(svg, x, y + 5.0);
        owl_text_words(svg, "q4 0 6-6t6-3t3 5t5 4Z");
        owl_chart_end(svg);
        break;
    case SHARE:
        open_group(svg, "share", 6.0);
        owl_chart_line(svg, "", x, y, 'h', OWL_CHART_SWATCH * 0.7);
        owl_text_words(svg, "</g>");
        break;
    case ENTRIES: break;
    }
}

/* ---- the drawing ---- */

struct placed {
    double scale_top, x[ENTRIES], y[ENTRIES];
};

static void lay_out(struct owl_ribbon *ribbon, struct placed *placed)
{
    char note[NOTE_BYTES], title[OWL_CHART_WORDS];
    struct owl_text text = owl_text_over(title, sizeof title), notes = owl_text_over(note, sizeof note);
    ribbon->thin = ribbon->nights > FULL_ROWS_MOST;
    ribbon->left = LEFT;
    ribbon->width = RIGHT - LEFT;
    ribbon->top = ROWS_TOP;
    ribbon->pitch = ribbon->thin ? fmin(floor(THIN_ROWS_HEIGHT / ribbon->nights * 2.0) / 2.0, THIN_ROW_MOST)
                                 : fmin(floor(ROWS_HEIGHT / ribbon->nights), ROW_MOST);
    ribbon->pitch = fmax(ribbon->pitch, 2.0);
    ribbon->band = ribbon->pitch - (ribbon->thin ? 0.0 : UNDER_ROW);
    owl_text_words(&text, "Light at the mark, evening by evening from ");
    owl_unit_show(OWL_UNIT_DATE, ribbon->plan->watch.start_days, &text);
    (void)owl_chart_put(&ribbon->chart, OWL_CHART_EDGE, 5.0, OWL_CHART_START, title);
    label_hours(ribbon, AXIS_TOP);
    (void)owl_chart_put(&ribbon->chart, OWL_CHART_WIDTH - OWL_CHART_EDGE, PROFILE_TOP + 4.0, OWL_CHART_END, "share %");
    label_nights(ribbon);
    double below = fmax(rows_bottom(ribbon), ribbon->chart.height) + 3.0;
    label_hours(ribbon, below);
    placed->scale_top = below + 2.0 * OWL_CHART_LINE + 13.0;
    struct owl_chart_key key = {OWL_CHART_EDGE, lay_scale(ribbon, placed->scale_top)};
    for (enum entry entry = ARMED; entry < ENTRIES; entry++)
        owl_chart_entry(&ribbon->chart, &key, entry_words(ribbon, entry), &placed->x[entry], &placed->y[entry]);
    owl_ribbon_notes(ribbon, &notes);
    owl_chart_paragraph(&ribbon->chart, OWL_CHART_EDGE, OWL_CHART_WIDTH - OWL_CHART_EDGE, key.top + OWL_CHART_LINE + 4.0, note);
}

static void draw_head(const struct owl_ribbon *ribbon, struct owl_text *svg)
{
    char title[OWL_CHART_WORDS];
    struct owl_text text = owl_text_over(title, sizeof title);
    owl_text_words(&text, "The night ribbon: ");
    owl_text_integer(&text, ribbon->nights);
    owl_text_words(&text, ribbon->nights == 1 ? " night from " : " nights from ");
    owl_unit_show(OWL_UNIT_DATE, ribbon->plan->watch.start_days, &text);
    owl_chart_open(&ribbon->chart, NAME, title, svg);
    owl_ribbon_describe(ribbon, svg);
    owl_chart_begin(&ribbon->chart, svg);
}

void owl_draw_ribbon(const struct owl_plan *plan, const struct owl_evaluation *evaluation, const struct owl_watch_view *watch,
                     struct owl_text *svg)
{
    struct owl_ribbon ribbon = {.plan = plan, .evaluation = evaluation, .watch = watch};
    struct placed placed;
    owl_ribbon_survey(&ribbon);
    lay_out(&ribbon, &placed);
    draw_head(&ribbon, svg);
    draw_activity(&ribbon, svg);
    draw_light(&ribbon, svg);
    draw_moon(&ribbon, svg);
    draw_hours(&ribbon, svg);
    draw_armed(&ribbon, svg);
    draw_tests(&ribbon, svg);
    draw_shares(&ribbon, svg);
    draw_scale(&ribbon, placed.scale_top, svg);
    for (enum entry entry = ARMED; entry < ENTRIES; entry++)
        draw_entry(&ribbon, entry, placed.x[entry], placed.y[entry], svg);
    owl_chart_close(&ribbon.chart, svg);
}
