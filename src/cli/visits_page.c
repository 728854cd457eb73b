/* Words and columns of the visits; every number of the comparison stands beside what it is held against. */
#include "cli/visits_page.h"

#include <math.h>
#include <string.h>

#include "cli/card_options.h"
#include "cli/console.h"
#include "core/calendar.h"
#include "core/plan/units.h"

#define LINE_BYTES 256
#define EXTRA_BYTES 16384
#define NAME_COLUMNS 26
#define ROW_COLUMNS 9

static void padded_number(struct owl_text *text, double value, int decimals, int columns)
{
    char shown[40];
    struct owl_text number = owl_text_over(shown, sizeof shown);
    owl_text_fixed(&number, value, decimals);
    owl_text_repeat(text, ' ', columns - (int)number.length);
    owl_text_words(text, shown);
}

static void counted(struct owl_text *text, int count, const char *one, const char *many)
{
    owl_text_integer(text, count);
    owl_text_char(text, ' ');
    owl_text_words(text, count == 1 ? one : many);
}

/* ---- what there is ---- */

static void write_summary(const struct owl_card_session *session, const struct owl_visits *visits, struct owl_text *text)
{
    if (session->watch) {
        owl_text_words(text, "watch ");
        owl_text_words(text, session->watch);
        owl_text_words(text, ": ");
    }
    int unsure = 0, span = owl_visits_span(visits);
    for (int i = 0; i < visits->count; i++)
        unsure += !visits->visit[i].sure;
    counted(text, visits->count, "visit", "visits");
    if (unsure > 0) {
        owl_text_words(text, " (");
        counted(text, unsure, "of them not sure: look at it", "of them not sure: look at them");
        owl_text_char(text, ')');
    }
    if (span > 0) {
        owl_text_words(text, " in ");
        counted(text, span, "night", "nights");
    }
    owl_text_words(text, "\n");
    counted(text, visits->frames, "frame", "frames");
    owl_text_words(text, ": ");
    counted(text, visits->shown, "shows", "show");
    owl_text_words(text, " something, ");
    owl_text_integer(text, visits->empties);
    owl_text_words(text, " empty");
    if (visits->dark > 0) {
        owl_text_words(text, ", ");
        owl_text_integer(text, visits->dark);
        owl_text_words(text, " that no flash lit");
    }
    if (visits->cannot > 0) {
        owl_text_words(text, ", ");
        owl_text_integer(text, visits->cannot);
        owl_text_words(text, " that could not be judged");
    }
    owl_text_char(text, '\n');
    if (visits->blind > 0) {
        counted(text, visits->blind, "time", "times");
        owl_text_words(text, " no flash fired and nothing else tells whether somebody came\n");
    }
    if (!visits->by_clock)
        owl_text_words(text, "The camera's clock was lost or set back: frames stand in the order of their names; "
                             "owllight health tells more.\n");
    if (fabs(session->judged.clock_shift_s) > 0.0) {
        owl_text_words(text, "The camera's clock is put right by ");
        owl_text_char(text, session->judged.clock_shift_s < 0.0 ? '-' : '+');
        owl_unit_show(OWL_UNIT_TIME, fabs(session->judged.clock_shift_s), text);
        owl_text_words(text, ".\n");
    }
}

static void write_date(const struct owl_date *date, struct owl_text *text)
{
    owl_unit_show(OWL_UNIT_DATE, (double)owl_calendar_days(*date), text);
}

static void write_nights(const struct owl_visits *visits, struct owl_text *text)
{
    if (visits->nights == 0)
        return;
    owl_text_words(text, "\nNight (from noon)  visits  keepers  frames   empty  no flash  not judged\n");
    for (int i = 0; i < visits->nights; i++) {
        const struct owl_visits_night *night = &visits->night[i];
        owl_text_words(text, "  ");
        if (night->dated)
            write_date(&night->date, text);
        else
            owl_text_words(text, "no date   ");
        owl_page_integer(text, night->visits, 13);
        owl_page_integer(text, night->keepers, 9);
        owl_page_integer(text, night->frames, 8);
        owl_page_integer(text, night->empties, 8);
        owl_page_integer(text, night->dark, 10);
        owl_page_integer(text, night->cannot, 12);
        owl_text_char(text, '\n');
    }
}

static void write_visit(const struct owl_judged *judged, const struct owl_visit *visit, int number, struct owl_text *text)
{
    owl_page_integer(text, number, 6);
    owl_text_words(text, "  ");
    if (isnan(visit->begin_s))
        owl_text_words(text, "no time         ");
    else
        owl_unit_show(OWL_UNIT_MOMENT, visit->begin_s, text);
    owl_page_integer(text, visit->frames, 8);
    owl_text_words(text, "  ");
    owl_card_name(text, judged->frame[visit->best].name, NAME_COLUMNS);
    owl_text_words(text, owl_ledger_word(visit->row));
    if (!visit->sure)
        owl_text_words(text, ", not sure");
    owl_text_char(text, '\n');
}

static void write_visits(const struct owl_judged *judged, const struct owl_visits *visits, struct owl_text *text)
{
    if (visits->count == 0)
        return;
    owl_text_words(text, "\nVisit   begins              frames  best frame                ends as\n");
    for (int i = 0; i < visits->count; i++)
        write_visit(judged, &visits->visit[i], i + 1, text);
}

/* ---- the ledger ---- */

static void write_ledger_row(enum owl_ledger_row row, const struct owl_visits *visits, struct owl_text *text)
{
    owl_text_words(text, "  ");
    owl_text_padded(text, owl_ledger_word(row), ROW_COLUMNS);
    owl_page_integer(text, (int)visits->sure.first[row], 6);
    owl_page_integer(text, (int)visits->sure.only[row], 20);
    owl_page_integer(text, (int)visits->unsure.first[row], 12);
    owl_text_char(text, '\n');
}

static void write_ledger(const struct owl_visits *visits, struct owl_text *text)
{
    if (visits->count == 0)
        return;
    owl_text_words(text, "\nWhere the visits end\n             came   mended alone, wins    not sure\n");
    write_ledger_row(OWL_LEDGER_KEEPER, visits, text);
    for (int i = 0; i < OWL_OBSERVED_LINKS; i++)
        write_ledger_row(owl_observed_link(i), visits, text);
    owl_text_words(text, "  A card cannot show smeared and doubled, which count as keepers here, nor passes that left no picture.\n");
}

/* ---- beside the rehearsal ---- */

static void write_chance(struct owl_text *text, double p)
{
    if (p < 0.001)
        owl_text_words(text, "under 0.1 %");
    else {
        owl_text_rounded(text, p * 100.0, 2);
        owl_text_words(text, " %");
    }
}

static void write_link(const struct owl_observed_failing *link, struct owl_text *text)
{
    owl_text_words(text, "  ");
    owl_text_padded(text, owl_ledger_word(link->row), ROW_COLUMNS);
    owl_page_integer(text, (int)link->failed, 6);
    owl_text_words(text, " of");
    owl_page_integer(text, (int)link->reached, 5);
    padded_number(text, link->expected, 2, 13);
    owl_text_words(text, "       ");
    write_chance(text, link->p);
    owl_text_char(text, '\n');
}

static void write_count(struct owl_text *text, const char *what, const struct owl_observed_count *count)
{
    owl_text_words(text, "  ");
    owl_text_padded(text, what, 22);
    owl_text_rounded(text, count->seen, 6);
    owl_text_words(text, " came, ");
    owl_text_rounded(text, count->expected, 3);
    owl_text_words(text, " rehearsed; chance of a number so far off: ");
    write_chance(text, count->p);
    owl_text_char(text, '\n');
}

static const struct owl_observed_failing *link_of(const struct owl_observed *links, enum owl_ledger_row row)
{
    for (int i = 0; i < OWL_OBSERVED_LINKS; i++)
        if (links->link[i].row == row)
            return &links->link[i];
    return NULL;
}

static void write_blame(const struct owl_observed *links, struct owl_text *text)
{
    const struct owl_observed_failing *link = link_of(links, links->blamed);
    owl_text_words(text, "  Likeliest: ");
    if (!link) {
        owl_text_words(text, "all is as rehearsed (");
        write_chance(text, links->none);
        owl_text_words(text, ").\n");
        return;
    }
    owl_text_words(text, owl_ledger_word(link->row));
    owl_text_words(text, link->failed > link->expected ? ", more often than rehearsed (" : ", less often than rehearsed (");
    write_chance(text, link->blame);
    owl_text_words(text, "; that all is as rehearsed: ");
    write_chance(text, links->none);
    owl_text_words(text, "). Means: ");
    owl_text_words(text, owl_ledger_meaning(link->row));
    owl_text_words(text, ".\n");
}

static void write_rehearsed(const struct owl_visits_rehearsed *rehearsed, struct owl_text *text)
{
    const struct owl_observed *links = &rehearsed->links;
    owl_text_words(text, "\nBeside the rehearsal of ");
    owl_text_words(text, rehearsed->plan);
    owl_text_words(text, ", ");
    counted(text, rehearsed->seasons, "season", "seasons");
    owl_text_words(text, "\n           failed at risk     rehearsed       chance of a share so far off\n");
    for (int i = 0; i < OWL_OBSERVED_LINKS; i++)
        write_link(&links->link[i], text);
    owl_text_words(text, "  Chance that a watch as rehearsed shows so unlikely a ledger: ");
    write_chance(text, links->p);
    owl_text_words(text, links->exact ? " (exact test)\n" : " (at most)\n");
    write_blame(links, text);
    if (!rehearsed->counted) {
        owl_text_words(text, "  The card does not cover the ");
        counted(text, rehearsed->nights, "night", "nights");
        owl_text_words(text, " of the plan: numbers of visits are not compared.\n");
        return;
    }
    write_count(text, "visits", &rehearsed->visits);
    write_count(text, "frames with nobody", &rehearsed->empties);
}

/* ---- the page ---- */

size_t owl_page_visits_bytes(const struct owl_judged *judged, const struct owl_visits *visits)
{
    size_t names = 0;
    for (int i = 0; i < visits->count; i++)
        names += 4 * strlen(judged->frame[visits->visit[i].best].name);
    return EXTRA_BYTES + ((size_t)visits->count + (size_t)visits->nights) * LINE_BYTES + names;
}

void owl_page_visits(const struct owl_card_session *session, const struct owl_visits *visits,
                     const struct owl_visits_rehearsed *rehearsed, struct owl_text *text)
{
    write_summary(session, visits, text);
    write_nights(visits, text);
    write_visits(&session->judged, visits, text);
    write_ledger(visits, text);
    if (rehearsed)
        write_rehearsed(rehearsed, text);
}
