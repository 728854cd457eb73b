/* The page `owllight rehearse` prints: keepers, the ledger, the odds by night, what runs out, flashes and frames. */
#include "cli/rehearse_page.h"

#include <math.h>

#include "cli/plan_page.h"
#include "cli/seasons.h"
#include "core/constants.h"
#include "core/model/eye.h"

#define LABEL_COLUMNS 20
#define WORD_COLUMNS 9
#define BAR_COLUMNS 24
#define NUMBER_COLUMNS 9
#define RANGE_COLUMNS 16
#define CHART_COLUMNS 50
#define CHART_LINES 12
#define NEARLY_SURE 0.995
#define FINE 100.0 /* table entries are shown to hundredths */

static void number(struct owl_text *text, double value)
{
    owl_text_rounded(text, value, 3);
}

static void label(struct owl_text *text, const char *words)
{
    owl_text_words(text, "  ");
    owl_text_padded(text, words, LABEL_COLUMNS);
}

/* ` (5 to 14)` */
static void range(struct owl_text *text, const struct owl_spread *spread)
{
    owl_text_words(text, " (");
    number(text, spread->low);
    owl_text_words(text, " to ");
    number(text, spread->high);
    owl_text_char(text, ')');
}

static void write_title(const struct owl_rehearse_page *page, struct owl_text *text)
{
    const struct owl_plan *plan = &page->session->plan;
    const struct owl_rehearsal *rehearsal = page->rehearsal;
    owl_text_words(text, owl_animal_at((size_t)plan->subject.kind)->name);
    if (*plan->site.name) {
        owl_text_words(text, ", ");
        owl_text_words(text, plan->site.name);
    }
    owl_text_words(text, "\n");
    owl_text_integer(text, rehearsal->nights);
    owl_text_words(text, rehearsal->nights == 1 ? " night from " : " nights from ");
    owl_page_date(page->session, 0, text);
    owl_text_words(text, ", rehearsed ");
    owl_text_integer(text, rehearsal->seasons);
    owl_text_words(text, rehearsal->seasons == 1 ? " time, seed " : " times, seed ");
    owl_text_integer(text, (int64_t)page->seed);
    owl_text_char(text, '\n');
    if (rehearsal->seasons < page->wanted) {
        owl_text_words(text, "Stopped before the end: ");
        owl_text_integer(text, page->wanted);
        owl_text_words(text, " seasons were wanted, these are those that were done.\n");
    }
    owl_text_words(text, "Numbers are means over the seasons; in brackets what 5 and 95 of 100 seasons do not exceed.\n\n");
}

static void write_chances(const struct owl_rehearsal *rehearsal, struct owl_text *text)
{
    label(text, "at least one keeper");
    for (int i = 0; i < OWL_REHEARSAL_CHANCES; i++) {
        owl_text_words(text, i ? ", " : "");
        owl_unit_show(OWL_UNIT_PERCENT, owl_rehearsal_chance(i), text);
        if (isinf(rehearsal->nights_for[i])) {
            owl_text_words(text, " not within this watch");
            continue;
        }
        owl_text_words(text, " after ");
        owl_unit_show(OWL_UNIT_NIGHTS, rehearsal->nights_for[i], text);
    }
    owl_text_char(text, '\n');
}

static void write_keepers(const struct owl_rehearsal *rehearsal, struct owl_text *text)
{
    const struct owl_spread *keepers = &rehearsal->first[OWL_LEDGER_KEEPER];
    label(text, "keepers");
    number(text, keepers->mean);
    owl_text_words(text, " a watch");
    range(text, keepers);
    owl_text_words(text, ", ");
    number(text, keepers->mean / rehearsal->nights);
    owl_text_words(text, " a night");
    if (isfinite(rehearsal->keepers_error)) {
        owl_text_words(text, "; standard error of the mean ");
        owl_text_rounded(text, rehearsal->keepers_error, 2);
    }
    owl_text_char(text, '\n');
    label(text, "passes");
    number(text, rehearsal->passes.mean);
    owl_text_words(text, " a watch");
    range(text, &rehearsal->passes);
    owl_text_char(text, '\n');
    write_chances(rehearsal, text);
}

/* Whole hundredths of what is lost that add up with the keepers to the total: each is rounded down, and those that
   lost most by it get what is left. */
static void round_to_total(const struct owl_spread *row, double total, double *rounded)
{
    double left = floor(total * FINE + 0.5);
    for (int i = 0; i < OWL_LEDGER_ROWS; i++)
        left -= rounded[i] = floor(row[i].mean * FINE + (i == OWL_LEDGER_KEEPER ? 0.5 : 0.0));
    for (; left > 0.5; left -= 1.0) {
        int most = OWL_LEDGER_AWAY;
        for (int i = most + 1; i < OWL_LEDGER_ROWS; i++)
            if (row[i].mean * FINE - rounded[i] > row[most].mean * FINE - rounded[most])
                most = i;
        rounded[most] += 1.0;
    }
    for (int i = 0; i < OWL_LEDGER_ROWS; i++)
        rounded[i] /= FINE;
}

static void right_aligned(struct owl_text *text, double value, int columns)
{
    char words[32];
    struct owl_text shown = owl_text_over(words, sizeof words);
    owl_text_fixed(&shown, value, 2);
    owl_text_repeat(text, ' ', columns - (int)shown.length);
    owl_text_words(text, words);
}

static void bracketed(struct owl_text *text, const struct owl_spread *spread, int columns)
{
    char words[48];
    struct owl_text shown = owl_text_over(words, sizeof words);
    range(&shown, spread);
    owl_text_padded(text, words, columns);
}

static void bar(struct owl_text *text, double share, int columns)
{
    int filled = (int)(share * columns + 0.5);
    owl_text_repeat(text, '#', filled);
    owl_text_repeat(text, ' ', columns - filled);
}

static double sum_of(const struct owl_spread *row)
{
    double sum = 0.0;
    for (int i = 0; i < OWL_LEDGER_ROWS; i++)
        sum += row[i].mean;
    return sum;
}

static void write_meanings(const struct owl_rehearsal *rehearsal, struct owl_text *text)
{
    for (int row = 0; row < OWL_LEDGER_ROWS; row++) {
        if (rehearsal->first[row].mean == 0.0 && rehearsal->only[row].mean == 0.0)
            continue;
        owl_text_words(text, "  ");
        owl_text_padded(text, owl_ledger_word((enum owl_ledger_row)row), WORD_COLUMNS);
        owl_text_words(text, owl_ledger_meaning((enum owl_ledger_row)row));
        owl_text_char(text, '\n');
    }
}

static void write_ledger(const struct owl_rehearsal *rehearsal, struct owl_text *text)
{
    double first[OWL_LEDGER_ROWS], only[OWL_LEDGER_ROWS];
    double all = sum_of(rehearsal->first), won = sum_of(rehearsal->only);
    round_to_total(rehearsal->first, all, first);
    round_to_total(rehearsal->only, won, only);
    owl_text_words(text, "\nWhere the passes end, for a watch\n");
    owl_text_padded(text, "", 2 + WORD_COLUMNS + BAR_COLUMNS);
    owl_text_words(text, "    first link that fails    mended alone, wins\n");
    for (int row = 0; row < OWL_LEDGER_ROWS; row++) {
        owl_text_words(text, "  ");
        owl_text_padded(text, owl_ledger_word((enum owl_ledger_row)row), WORD_COLUMNS);
        bar(text, all > 0.0 ? rehearsal->first[row].mean / all : 0.0, BAR_COLUMNS);
        right_aligned(text, first[row], NUMBER_COLUMNS);
        bracketed(text, &rehearsal->first[row], row == OWL_LEDGER_KEEPER ? 0 : RANGE_COLUMNS);
        if (row != OWL_LEDGER_KEEPER) {
            right_aligned(text, only[row], NUMBER_COLUMNS);
            bracketed(text, &rehearsal->only[row], 0);
        }
        owl_text_char(text, '\n');
    }
    owl_text_words(text, "  ");
    owl_text_padded(text, "all", WORD_COLUMNS + BAR_COLUMNS);
    right_aligned(text, floor(all * FINE + 0.5) / FINE, NUMBER_COLUMNS);
    owl_text_padded(text, "", RANGE_COLUMNS);
    right_aligned(text, floor(won * FINE + 0.5) / FINE, NUMBER_COLUMNS);
    owl_text_words(text, "\n\n");
    write_meanings(rehearsal, text);
}

/* Up to the night from which more nights hardly matter. */
static int last_to_chart(const struct owl_rehearsal *rehearsal)
{
    int last = 1;
    while (last < rehearsal->nights && rehearsal->odds[last] < NEARLY_SURE)
        last++;
    return last;
}

static void write_odds(const struct owl_rehearsal *rehearsal, struct owl_text *text)
{
    int last = last_to_chart(rehearsal), apart = (last + CHART_LINES - 1) / CHART_LINES;
    owl_text_words(text, "\nA keeper by the end of night\n");
    for (int n = apart; n - apart < last; n += apart) {
        int night = n < rehearsal->nights ? n : rehearsal->nights;
        char words[16];
        struct owl_text shown = owl_text_over(words, sizeof words);
        owl_text_integer(&shown, night);
        owl_text_words(text, "  ");
        owl_text_padded(text, words, 5);
        bar(text, rehearsal->odds[night], CHART_COLUMNS);
        owl_text_char(text, ' ');
        owl_unit_show(OWL_UNIT_PERCENT, floor(rehearsal->odds[night] * 1000.0 + 0.5) / 1000.0, text);
        owl_text_char(text, '\n');
    }
}

static void show_out(double nights, struct owl_text *text)
{
    if (isinf(nights))
        owl_text_words(text, "lasts");
    else
        owl_unit_show(OWL_UNIT_NIGHTS, nights, text);
}

static void write_store(const struct owl_rehearse_page *page, int store, struct owl_text *text)
{
    const struct owl_rehearsal *rehearsal = page->rehearsal;
    const struct owl_spread *out = &rehearsal->out_nights[store];
    char words[48];
    struct owl_text shown = owl_text_over(words, sizeof words);
    owl_text_words(&shown, store == OWL_RIG_CARD ? "card" : "cells of ");
    if (store < OWL_RIG_CARD)
        owl_text_words(&shown, owl_device_name(&page->session->plan, store));
    label(text, words);
    if (rehearsal->lasts[store] >= 1.0) {
        owl_text_words(text, "lasts in every season\n");
        return;
    }
    owl_text_words(text, "lasts in ");
    owl_unit_show(OWL_UNIT_PERCENT, rehearsal->lasts[store], text);
    owl_text_words(text, " of the seasons; runs out after ");
    show_out(out->middle, text);
    owl_text_words(text, " (");
    show_out(out->low, text);
    owl_text_words(text, " to ");
    show_out(out->high, text);
    owl_text_words(text, ")\n");
}

static void write_stores(const struct owl_rehearse_page *page, struct owl_text *text)
{
    owl_text_words(text, "\nWhat runs out\n");
    for (int device = 0; device < OWL_DEVICE_FLASH + page->session->plan.flashes; device++)
        write_store(page, device, text);
    write_store(page, OWL_RIG_CARD, text);
}

static void write_flashes(const struct owl_rehearse_page *page, struct owl_text *text)
{
    const struct owl_rehearsal *rehearsal = page->rehearsal;
    const struct owl_plan *plan = &page->session->plan;
    if (plan->flashes == 0)
        return;
    owl_text_words(text, "\nFlashes at the mark\n");
    label(text, "flashes");
    number(text, rehearsal->flashes.mean / rehearsal->nights);
    owl_text_words(text, " a night");
    if (plan->camera.frames > 1.0) {
        owl_text_words(text, ", ");
        number(text, plan->camera.frames);
        owl_text_words(text, " in each firing");
    }
    owl_text_char(text, '\n');
    label(text, "shortest gap");
    if (isinf(rehearsal->shortest_gap_s)) {
        owl_text_words(text, "no two firings in any season\n");
        return;
    }
    owl_unit_show(OWL_UNIT_TIME, rehearsal->shortest_gap_s, text);
    owl_text_words(text, " between two firings, of all seasons\n");
    label(text, "too soon");
    number(text, rehearsal->unrested.mean);
    owl_text_words(text, " a watch");
    range(text, &rehearsal->unrested);
    owl_text_words(text, " flashed within the ");
    owl_unit_show(OWL_UNIT_TIME, OWL_EYE_REST_S, text);
    owl_text_words(text, " that eyes need to rest\n");
}

static void write_frames(const struct owl_rehearsal *rehearsal, struct owl_text *text)
{
    owl_text_words(text, "\nFrames\n");
    label(text, "on the card");
    number(text, rehearsal->frames.mean);
    owl_text_words(text, " a watch");
    range(text, &rehearsal->frames);
    owl_text_words(text, "\n");
    label(text, "false");
    number(text, rehearsal->false_frames.mean / rehearsal->nights);
    owl_text_words(text, " a night, by wind, rain and sun\n");
}

void owl_page_rehearsal(const struct owl_rehearse_page *page, struct owl_text *text)
{
    write_title(page, text);
    write_keepers(page->rehearsal, text);
    write_ledger(page->rehearsal, text);
    write_odds(page->rehearsal, text);
    write_stores(page, text);
    write_flashes(page, text);
    write_frames(page->rehearsal, text);
    owl_text_words(text, "\nOne pass in words: owllight rehearse ");
    owl_text_words(text, page->file);
    if (page->seed != OWL_SEASONS_SEED) {
        owl_text_words(text, " --seed ");
        owl_text_integer(text, (int64_t)page->seed);
    }
    owl_text_words(text, " --season 1 --pass 1\n");
}
