/* Step curve, bands and bars of a rehearsal. */
#include "core/draw/curves.h"

#include <math.h>

#include "core/draw/chart.h"

#define RIGHT (OWL_CHART_WIDTH - 16.0)
#define TITLE_TOP 5.0
#define FIRST_TOP 30.0       /* of what follows the title */

#define ODDS_LEFT 52.0
#define ODDS_HEIGHT 190.0
#define DOT 3.2

#define LIFE_LEFT 14.0
#define LIFE_HEIGHT 14.0
#define LIFE_GAP 9.0
#define LIFE_POINTS 6
#define SAME 1.01
#define MARK_WIDTH 3.0
#define LATEST_NIGHTS 3650.0 /* ten years: later is told as that */

#define BARS_LEFT 78.0
#define BARS_RIGHT 316.0
#define FIRST_RIGHT 374.0    /* of the two columns of numbers */
#define ONLY_RIGHT 432.0
#define BAR_PITCH 25.0
#define BAR_HEIGHT 9.0
#define DIAMOND 4.2

static void put_title(struct owl_chart *chart, const char *words)
{
    chart->height = 0.0;
    chart->texts = 0;
    (void)owl_chart_put(chart, OWL_CHART_EDGE, TITLE_TOP, OWL_CHART_START, words);
}

static void write_seasons(const struct owl_rehearsal *rehearsal, struct owl_text *text)
{
    owl_text_integer(text, rehearsal->seasons);
    owl_text_words(text, rehearsal->seasons == 1 ? " rehearsed season" : " rehearsed seasons");
}

static void write_percent(double share, struct owl_text *text)
{
    owl_unit_show(OWL_UNIT_PERCENT, floor(share * 1000.0 + 0.5) / 1000.0, text);
}

static void begin_at(struct owl_text *svg, double x, double y)
{
    owl_chart_move(svg, x, y);
}

static void line_to(struct owl_text *svg, double x, double y)
{
    owl_text_char(svg, 'L');
    owl_chart_number(svg, x);
    owl_text_char(svg, ' ');
    owl_chart_number(svg, y);
}

/* ---- keepers ---- */

static double night_x(double left, double night, int nights)
{
    return left + (RIGHT - left) * night / nights;
}

static double odds_y(double odds)
{
    return FIRST_TOP + ODDS_HEIGHT * (1.0 - odds);
}

/* The first night at whose end the chance is reached, 0: not within the watch. */
static int night_for(const struct owl_rehearsal *rehearsal, double chance)
{
    for (int n = 1; n <= rehearsal->nights; n++)
        if (rehearsal->odds[n] >= chance)
            return n;
    return 0;
}

static void tell_chances(const struct owl_rehearsal *rehearsal, struct owl_text *text)
{
    owl_text_words(text, "At least one keeper: ");
    for (int i = 0; i < OWL_REHEARSAL_CHANCES; i++) {
        int night = night_for(rehearsal, owl_rehearsal_chance(i));
        owl_text_words(text, i ? "; " : "");
        write_percent(owl_rehearsal_chance(i), text);
        if (night == 0) {
            owl_text_words(text, " not within this watch");
            continue;
        }
        owl_text_words(text, i ? " by that of night " : " sure by the end of night ");
        owl_text_integer(text, night);
    }
    owl_text_words(text, ". By the end of the watch: ");
    write_percent(rehearsal->odds[rehearsal->nights], text);
    owl_text_words(text, ". From ");
    write_seasons(rehearsal, text);
    owl_text_char(text, '.');
}

static void label_chances(const struct owl_rehearsal *rehearsal, struct owl_chart *chart)
{
    double bottom = FIRST_TOP + ODDS_HEIGHT + 4.0;
    for (int i = -1; i < OWL_REHEARSAL_CHANCES; i++) {
        double chance = i < 0 ? 0.0 : owl_rehearsal_chance(i);
        char words[16];
        struct owl_text text = owl_text_over(words, sizeof words);
        write_percent(chance, &text);
        (void)owl_chart_put(chart, ODDS_LEFT - 6.0, odds_y(chance) - OWL_CHART_LINE / 2.0, OWL_CHART_END, words);
        int night = i < 0 ? 0 : night_for(rehearsal, chance);
        text = owl_text_over(words, sizeof words);
        owl_text_integer(&text, night);
        if (night > 0)
            (void)owl_chart_put(chart, night_x(ODDS_LEFT, night, rehearsal->nights), bottom, OWL_CHART_MIDDLE, words);
    }
    owl_chart_nights_axis(chart, ODDS_LEFT, RIGHT - ODDS_LEFT, bottom, rehearsal->nights);
}

static void trace_odds(const struct owl_rehearsal *rehearsal, struct owl_text *svg)
{
    begin_at(svg, ODDS_LEFT, odds_y(0.0));
    for (int n = 1; n <= rehearsal->nights; n++) {
        owl_text_char(svg, 'H');
        owl_chart_number(svg, night_x(ODDS_LEFT, n, rehearsal->nights));
        owl_text_char(svg, 'V');
        owl_chart_number(svg, odds_y(rehearsal->odds[n]));
    }
}

static void draw_chance(const struct owl_rehearsal *rehearsal, double chance, struct owl_text *svg)
{
    int night = night_for(rehearsal, chance);
    double x = night ? night_x(ODDS_LEFT, night, rehearsal->nights) : RIGHT;
    owl_chart_line(svg, night ? "drop" : "hair", ODDS_LEFT, odds_y(chance), 'h', x - ODDS_LEFT);
    if (night == 0)
        return;
    owl_chart_line(svg, "drop", x, odds_y(chance), 'v', FIRST_TOP + ODDS_HEIGHT - odds_y(chance));
    owl_text_words(svg, "<circle class=\"ink\"");
    owl_chart_attribute(svg, "cx", x);
    owl_chart_attribute(svg, "cy", odds_y(chance));
    owl_chart_attribute(svg, "r", DOT);
    owl_text_words(svg, "/>");
}

void owl_draw_keepers(const struct owl_plan *plan, const struct owl_rehearsal *rehearsal, struct owl_text *svg)
{
    struct owl_chart chart;
    char told[OWL_CHART_PARAGRAPH];
    struct owl_text text = owl_text_over(told, sizeof told);
    put_title(&chart, "Chance of at least one keeper");
    tell_chances(rehearsal, &text);
    label_chances(rehearsal, &chart);
    double below = FIRST_TOP + ODDS_HEIGHT + 4.0 + OWL_CHART_LINE;
    (void)owl_chart_put(&chart, RIGHT, below, OWL_CHART_END, "night");
    owl_chart_paragraph(&chart, OWL_CHART_EDGE, OWL_CHART_WIDTH - OWL_CHART_EDGE, below + OWL_CHART_LINE + 3.0, told);
    owl_chart_open(&chart, "owl-keepers", "Chance of at least one keeper, night by night", svg);
    owl_text_markup(svg, owl_animal_at((size_t)plan->subject.kind)->name);
    owl_text_words(svg, ", nights counted from the evening of ");
    owl_unit_show(OWL_UNIT_DATE, plan->watch.start_days, svg);
    owl_text_words(svg, ". ");
    owl_text_words(svg, told);
    owl_chart_begin(&chart, svg);
    owl_chart_path(svg, "under");
    trace_odds(rehearsal, svg);
    owl_text_char(svg, 'V');
    owl_chart_number(svg, odds_y(0.0));
    owl_text_char(svg, 'Z');
    owl_chart_end(svg);
    owl_chart_line(svg, "hair", ODDS_LEFT, odds_y(0.0), 'h', RIGHT - ODDS_LEFT);
    owl_chart_path(svg, "line curve");
    trace_odds(rehearsal, svg);
    owl_chart_end(svg);
    for (int i = 0; i < OWL_REHEARSAL_CHANCES; i++)
        draw_chance(rehearsal, owl_rehearsal_chance(i), svg);
    owl_chart_close(&chart, svg);
}

/* ---- what runs out ---- */

struct lives {
    const struct owl_plan *plan;
    const struct owl_evaluation *evaluation;
    const struct owl_rehearsal *rehearsal; /* or NULL */
    int nights, stores;
    int store[OWL_RIG_CARD + 1];           /* devices in use, then the card */
    double top[OWL_RIG_CARD + 1];          /* of their bands */
    double axis_top;
};

static double average_nights(const struct lives *lives, int store)
{
    enum owl_result result = store == OWL_RIG_CARD ? OWL_RESULT_CARD_NIGHTS : OWL_RESULT_CELLS_NIGHTS;
    return owl_outcome_value(&lives->evaluation->outcome, result, store == OWL_RIG_CARD ? 0 : store);
}

/* From which to which night it runs out in most seasons; one number where both are as good as the same. */
static void tell_out(const struct owl_spread *out, struct owl_text *text)
{
    if (out->low * SAME > out->high) {
        owl_unit_show(OWL_UNIT_NIGHTS, out->high, text);
        return;
    }
    owl_text_rounded(text, out->low, 3);
    owl_text_words(text, " to ");
    owl_unit_show(OWL_UNIT_NIGHTS, out->high, text);
}

static void tell_seasons(const struct owl_rehearsal *rehearsal, int store, struct owl_text *text)
{
    const struct owl_spread *out = &rehearsal->out_nights[store];
    double lasts = rehearsal->lasts[store];
    if (lasts >= 1.0) {
        owl_text_words(text, "lasts in every season");
    } else if (isinf(out->high)) {
        owl_text_words(text, "lasts in ");
        write_percent(lasts, text);
        owl_text_words(text, " of the seasons");
        if (isinf(out->low))
            return;
        owl_text_words(text, "; in 5 of 100 out after ");
        owl_unit_show(OWL_UNIT_NIGHTS, out->low, text);
    } else {
        owl_text_words(text, "out after ");
        tell_out(out, text);
    }
}

/* `key: lasts in 93 % of the seasons; by the plan 96 nights` */
static void tell_store(const struct lives *lives, int store, struct owl_text *text)
{
    double average = average_nights(lives, store);
    owl_text_words(text, store == OWL_RIG_CARD ? "card" : owl_device_name(lives->plan, store));
    owl_text_words(text, ": ");
    if (lives->rehearsal)
        tell_seasons(lives->rehearsal, store, text);
    if (isnan(average))
        return;
    owl_text_words(text, lives->rehearsal ? "; by the plan " : "");
    if (average > LATEST_NIGHTS)
        owl_text_words(text, "more than ten years");
    else
        owl_unit_show(OWL_UNIT_NIGHTS, average, text);
}

struct point {
    double night, share;
};

/* The share that still lasts, through what the quantiles tell; at the end what is told to last. */
static int life_points(const struct lives *lives, int store, struct point *point)
{
    int count = 0;
    double nights = lives->nights;
    point[count++] = (struct point){0.0, 1.0};
    if (!lives->rehearsal) {
        double average = average_nights(lives, store);
        bool out = average < nights;
        point[count++] = (struct point){out ? average : nights, 1.0};
        return count;
    }
    const struct owl_spread *out = &lives->rehearsal->out_nights[store];
    const struct point quantile[] = {{out->low, 0.95}, {out->middle, 0.5}, {out->high, 0.05}};
    double lasts = lives->rehearsal->lasts[store];
    if (isinf(out->low))
        lasts = fmax(lasts, 0.95);
    else
        point[count++] = (struct point){fmin(out->low, nights), 1.0};
    for (int i = 0; i < 3; i++)
        if (isfinite(quantile[i].night))
            point[count++] = (struct point){fmin(quantile[i].night, nights), quantile[i].share};
    if (isinf(out->high))
        point[count++] = (struct point){nights, lasts};
    return count;
}

static void draw_life(const struct lives *lives, int i, struct owl_text *svg)
{
    struct point point[LIFE_POINTS];
    int count = life_points(lives, lives->store[i], point);
    double middle = lives->top[i] + LIFE_HEIGHT / 2.0, average = average_nights(lives, lives->store[i]);
    owl_chart_bar(svg, "track", LIFE_LEFT, lives->top[i], RIGHT - LIFE_LEFT, LIFE_HEIGHT);
    owl_chart_path(svg, "lives");
    for (int k = 0; k < 2 * count; k++) {
        const struct point *here = &point[k < count ? k : 2 * count - 1 - k];
        double x = night_x(LIFE_LEFT, here->night, lives->nights);
        double y = middle + (k < count ? -0.5 : 0.5) * LIFE_HEIGHT * here->share;
        if (k == 0)
            begin_at(svg, x, y);
        else
            line_to(svg, x, y);
    }
    owl_text_char(svg, 'Z');
    owl_chart_end(svg);
    double at = night_x(LIFE_LEFT, average, lives->nights) - MARK_WIDTH / 2.0;
    if (lives->rehearsal && average < lives->nights)
        owl_chart_bar(svg, "plan", at, lives->top[i] - MARK_WIDTH, MARK_WIDTH, LIFE_HEIGHT + 2.0 * MARK_WIDTH);
}

static void lay_out_lives(struct lives *lives, struct owl_chart *chart)
{
    double top = FIRST_TOP;
    lives->stores = 0;
    for (int store = 0; store <= OWL_RIG_CARD; store++) {
        if (store >= OWL_DEVICE_FLASH + lives->plan->flashes && store != OWL_RIG_CARD)
            continue;
        char told[OWL_CHART_PARAGRAPH];
        struct owl_text text = owl_text_over(told, sizeof told);
        tell_store(lives, store, &text);
        lives->top[lives->stores] = owl_chart_paragraph(chart, OWL_CHART_EDGE, OWL_CHART_WIDTH - OWL_CHART_EDGE, top, told) + 4.0;
        lives->store[lives->stores] = store;
        top = lives->top[lives->stores++] + LIFE_HEIGHT + LIFE_GAP;
    }
    lives->axis_top = top;
    owl_chart_nights_axis(chart, LIFE_LEFT, RIGHT - LIFE_LEFT, top, lives->nights);
    top += OWL_CHART_LINE;
    (void)owl_chart_put(chart, RIGHT, top, OWL_CHART_END, "night");
    const char *key = "Not rehearsed: by the plan, at average use.";
    if (lives->rehearsal)
        key = "As thick as the share of seasons in which it still lasts; upright mark: by the plan, at average use.";
    owl_chart_paragraph(chart, OWL_CHART_EDGE, OWL_CHART_WIDTH - OWL_CHART_EDGE, top + OWL_CHART_LINE + 2.0, key);
}

void owl_draw_cells(const struct owl_plan *plan, const struct owl_evaluation *evaluation, const struct owl_rehearsal *rehearsal,
                    struct owl_text *svg)
{
    struct owl_chart chart;
    struct lives lives = {.plan = plan, .evaluation = evaluation, .rehearsal = rehearsal, .nights = evaluation->nights};
    put_title(&chart, "What runs out: the cells of each device, and the card");
    lay_out_lives(&lives, &chart);
    owl_chart_open(&chart, "owl-cells", "What runs out: cells and card over the nights", svg);
    owl_text_words(svg, "A watch of ");
    owl_unit_show(OWL_UNIT_NIGHTS, lives.nights, svg);
    owl_text_char(svg, '.');
    for (int i = 0; i < lives.stores; i++) {
        char told[OWL_CHART_PARAGRAPH];
        struct owl_text text = owl_text_over(told, sizeof told);
        tell_store(&lives, lives.store[i], &text);
        owl_text_char(svg, ' ');
        owl_text_markup(svg, told);
        owl_text_char(svg, '.');
    }
    owl_chart_begin(&chart, svg);
    for (int i = 0; i < lives.stores; i++)
        draw_life(&lives, i, svg);
    owl_chart_line(svg, "hair", LIFE_LEFT, lives.axis_top - 3.0, 'h', RIGHT - LIFE_LEFT);
    owl_chart_close(&chart, svg);
}

/* ---- the ledger ---- */

static double bar_most(const struct owl_rehearsal *rehearsal)
{
    double most = 0.0;
    for (int row = 0; row < OWL_LEDGER_ROWS; row++)
        most = fmax(most, fmax(rehearsal->first[row].high, fmax(rehearsal->first[row].mean, rehearsal->only[row].mean)));
    return most > 0.0 ? most : 1.0;
}

static void write_count(double count, struct owl_text *text)
{
    bool hardly = count > 0.0 && count < 0.005;
    owl_text_words(text, hardly ? "<" : "");
    owl_text_fixed(text, hardly ? 0.01 : count, count >= 99.95 || count == 0.0 ? 0 : count >= 9.995 ? 1 : 2);
}

static double bar_top(int row)
{
    return FIRST_TOP + OWL_CHART_LINE + 5.0 + row * BAR_PITCH;
}

static void put_count(struct owl_chart *chart, double right, int row, double count)
{
    char words[32];
    struct owl_text text = owl_text_over(words, sizeof words);
    write_count(count, &text);
    (void)owl_chart_put(chart, right, bar_top(row) + (BAR_HEIGHT - OWL_CHART_LINE) / 2.0, OWL_CHART_END, words);
}

struct ledger_key {
    double x[3], y[3];
};

static void lay_out_ledger(const struct owl_rehearsal *rehearsal, struct owl_chart *chart, struct ledger_key *placed)
{
    static const char *const entry[] = {"first link that fails", "5 to 95 of 100 seasons", "mended alone, wins so many"};
    (void)owl_chart_put(chart, FIRST_RIGHT, FIRST_TOP, OWL_CHART_END, "first");
    (void)owl_chart_put(chart, ONLY_RIGHT, FIRST_TOP, OWL_CHART_END, "wins");
    for (int row = 0; row < OWL_LEDGER_ROWS; row++) {
        double middle = bar_top(row) + BAR_HEIGHT / 2.0;
        (void)owl_chart_put(chart, OWL_CHART_EDGE, middle - OWL_CHART_LINE / 2.0, OWL_CHART_START,
                            owl_ledger_word((enum owl_ledger_row)row));
        put_count(chart, FIRST_RIGHT, row, rehearsal->first[row].mean);
        if (row != OWL_LEDGER_KEEPER)
            put_count(chart, ONLY_RIGHT, row, rehearsal->only[row].mean);
    }
    struct owl_chart_key key = {OWL_CHART_EDGE, bar_top(OWL_LEDGER_ROWS) + 2.0};
    for (int i = 0; i < 3; i++)
        owl_chart_entry(chart, &key, entry[i], &placed->x[i], &placed->y[i]);
}

static void draw_diamond(struct owl_text *svg, double x, double y)
{
    owl_chart_path(svg, "wins");
    begin_at(svg, x - DIAMOND, y);
    line_to(svg, x, y - DIAMOND);
    line_to(svg, x + DIAMOND, y);
    line_to(svg, x, y + DIAMOND);
    owl_text_char(svg, 'Z');
    owl_chart_end(svg);
}

static void draw_row(const struct owl_rehearsal *rehearsal, int row, double most, struct owl_text *svg)
{
    const struct owl_spread *first = &rehearsal->first[row];
    double scale = (BARS_RIGHT - BARS_LEFT) / most, top = bar_top(row), middle = top + BAR_HEIGHT / 2.0;
    if (first->mean > 0.0)
        owl_chart_bar(svg, row == OWL_LEDGER_KEEPER ? "kept" : "lost", BARS_LEFT, top, scale * first->mean, BAR_HEIGHT);
    if (first->high > first->low)
        owl_chart_line(svg, "line", BARS_LEFT + scale * first->low, top + BAR_HEIGHT + 3.0, 'h',
                       scale * (first->high - first->low));
    if (rehearsal->only[row].mean > 0.0)
        draw_diamond(svg, BARS_LEFT + scale * rehearsal->only[row].mean, middle);
}

static void describe_count(double count, struct owl_text *svg)
{
    owl_text_rounded(svg, count, 3);
}

static void describe_ledger(const struct owl_rehearsal *rehearsal, struct owl_text *svg)
{
    owl_text_words(svg, "Passes of a watch, mean of ");
    write_seasons(rehearsal, svg);
    owl_text_words(svg, ": ");
    describe_count(rehearsal->passes.mean, svg);
    owl_text_words(svg, " in all.");
    for (int row = 0; row < OWL_LEDGER_ROWS; row++) {
        owl_text_char(svg, ' ');
        owl_text_words(svg, owl_ledger_word((enum owl_ledger_row)row));
        owl_text_words(svg, ": ");
        describe_count(rehearsal->first[row].mean, svg);
        owl_text_words(svg, ", in most seasons ");
        describe_count(rehearsal->first[row].low, svg);
        owl_text_words(svg, " to ");
        describe_count(rehearsal->first[row].high, svg);
        if (row != OWL_LEDGER_KEEPER) {
            owl_text_words(svg, "; mended alone, wins ");
            describe_count(rehearsal->only[row].mean, svg);
        }
        owl_text_char(svg, '.');
    }
}

void owl_draw_ledger(const struct owl_plan *plan, const struct owl_rehearsal *rehearsal, struct owl_text *svg)
{
    struct owl_chart chart;
    struct ledger_key placed;
    char title[OWL_CHART_WORDS];
    struct owl_text text = owl_text_over(title, sizeof title);
    owl_text_words(&text, "Where the passes of a watch end: ");
    owl_text_words(&text, owl_animal_at((size_t)plan->subject.kind)->name);
    put_title(&chart, title);
    lay_out_ledger(rehearsal, &chart, &placed);
    owl_chart_open(&chart, "owl-ledger", title, svg);
    describe_ledger(rehearsal, svg);
    owl_chart_begin(&chart, svg);
    owl_chart_line(svg, "hair", BARS_LEFT, bar_top(0) - 4.0, 'v', OWL_LEDGER_ROWS * BAR_PITCH - 4.0);
    for (int row = 0; row < OWL_LEDGER_ROWS; row++)
        draw_row(rehearsal, row, bar_most(rehearsal), svg);
    owl_chart_bar(svg, "lost", placed.x[0], placed.y[0] - BAR_HEIGHT / 2.0, OWL_CHART_SWATCH, BAR_HEIGHT);
    owl_chart_line(svg, "line", placed.x[1], placed.y[1], 'h', OWL_CHART_SWATCH);
    draw_diamond(svg, placed.x[2] + OWL_CHART_SWATCH / 2.0, placed.y[2]);
    owl_chart_close(&chart, svg);
}
