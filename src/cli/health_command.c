/* The command `health`: what the frames of a card tell of the rig that took them, in sentences, with what to do. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "cli/card_options.h"
#include "cli/command.h"
#include "cli/console.h"
#include "cli/health_beside.h"
#include "core/constants.h"
#include "core/plan/units.h"
#include "session/card_health.h"

#define OWN_OPTIONS "--working, --hours, --beside"
#define FINDING_BYTES 2048
#define NIGHT_BYTES 160
#define EXTRA_BYTES 8192
#define BAR_COLUMNS 40
#define HOURS 24

struct asked {
    struct owl_card_options card;
    bool working, hours;
    const char *beside; /* the folder of another camera's card; NULL: none */
};

static int read_asked(int count, char **words, struct asked *asked)
{
    *asked = (struct asked){.working = false};
    for (int i = 0; i < count;) {
        int taken = owl_card_option(&asked->card, count, words, i);
        if (taken < 0)
            return OWL_EXIT_WRONG;
        if (taken == 0 && strcmp(words[i], "--working") == 0)
            asked->working = true;
        else if (taken == 0 && strcmp(words[i], "--hours") == 0)
            asked->hours = true;
        else if (taken == 0 && strcmp(words[i], "--beside") == 0 && i + 1 < count)
            asked->beside = words[++i];
        else if (taken == 0 && owl_card_folder(&asked->card, "health", OWN_OPTIONS, words[i]) != OWL_EXIT_WELL)
            return OWL_EXIT_WRONG;
        i += taken > 0 ? taken : 1;
    }
    return asked->card.folder ? OWL_EXIT_WELL : owl_complain_usage("health needs the folder of a card brought home", NULL);
}

/* ---- the page ---- */

static void write_span(const struct owl_health *health, const struct owl_card_session *session, bool shifted,
                       struct owl_text *text)
{
    owl_text_integer(text, session->judged.count);
    owl_text_words(text, session->judged.count == 1 ? " frame" : " frames");
    if (!isnan(health->first_s)) {
        owl_text_words(text, " from ");
        owl_unit_show(OWL_UNIT_MOMENT, health->first_s, text);
        owl_text_words(text, " to ");
        owl_unit_show(OWL_UNIT_MOMENT, health->last_s, text);
        owl_text_words(text, shifted ? " by the camera's clock put right" : " by the camera's clock");
    }
    owl_text_words(text, "\n");
}

/* Sentences of several lines stand below each other, indented alike. */
static void write_indented(const char *words, struct owl_text *text)
{
    for (const char *line = words; *line;) {
        size_t length = strcspn(line, "\n");
        owl_text_words(text, "  ");
        owl_text_bytes(text, line, length);
        owl_text_char(text, '\n');
        line += length + (line[length] == '\n');
    }
}

static void write_finding(const struct owl_health_finding *finding, bool working, struct owl_text *text)
{
    char words[FINDING_BYTES];
    struct owl_text told = owl_text_over(words, sizeof words);
    owl_text_char(text, '\n');
    owl_text_words(text, owl_card_severity_words(finding->severity));
    owl_text_words(text, "\n");
    owl_health_tell(finding, &told);
    write_indented(words, text);
    told = owl_text_over(words, sizeof words);
    owl_health_advise(finding, &told);
    write_indented(words, text);
    if (!working)
        return;
    told = owl_text_over(words, sizeof words);
    owl_health_working(finding, &told);
    write_indented(words, text);
}

static void write_nights(const struct owl_health *health, struct owl_text *text)
{
    owl_text_words(text, "\nNight (from noon)  frames  subject   empty  fogged  misfires\n");
    for (int i = 0; i < health->nights; i++) {
        const struct owl_health_night *night = &health->night[i];
        owl_text_words(text, "  ");
        owl_unit_show(OWL_UNIT_DATE, floor(night->noon_s / OWL_SECONDS_PER_DAY), text);
        owl_page_integer(text, night->frames, 13);
        owl_page_integer(text, night->subjects, 9);
        owl_page_integer(text, night->empties, 8);
        owl_page_integer(text, night->fogged, 8);
        owl_page_integer(text, night->misfires, 10);
        owl_text_char(text, '\n');
    }
}

static void write_hours(const struct owl_health *health, struct owl_text *text)
{
    int most = 1;
    for (int hour = 0; hour < HOURS; hour++)
        most = health->hour[hour].frames > most ? health->hour[hour].frames : most;
    owl_text_words(text, "\nHour     frames  subject   empty\n");
    for (int i = 0; i < HOURS; i++) {
        const struct owl_health_hour *hour = &health->hour[(i + HOURS / 2) % HOURS];
        owl_page_integer(text, (i + HOURS / 2) % HOURS, 4);
        owl_text_words(text, " h");
        owl_page_integer(text, hour->frames, 9);
        owl_page_integer(text, hour->subjects, 9);
        owl_page_integer(text, hour->empties, 8);
        owl_text_words(text, hour->frames ? "  " : "");
        owl_text_repeat(text, '#', (hour->frames * BAR_COLUMNS + most - 1) / most);
        owl_text_char(text, '\n');
    }
}

static void write_page(const struct asked *asked, const struct owl_card_session *session, const struct owl_health *health,
                       bool shifted, struct owl_text *text)
{
    write_span(health, session, shifted, text);
    if (health->findings == 0)
        owl_text_words(text, "Nothing is found to mend.\n");
    for (int i = 0; i < health->findings; i++)
        write_finding(&health->finding[i], asked->working, text);
    if (health->left_out > 0) {
        owl_text_words(text, "\nand ");
        owl_text_integer(text, health->left_out);
        owl_text_words(text, " more, none graver than these\n");
    }
    if (asked->hours && health->timed > 0) {
        write_nights(health, text);
        write_hours(health, text);
    }
}

int owl_command_health(int count, char **words)
{
    struct asked asked;
    struct owl_card_session session;
    struct owl_health health;
    int exit_status = read_asked(count, words, &asked);
    if (exit_status == OWL_EXIT_WELL)
        exit_status = owl_card_told_open(&asked.card, &session);
    if (exit_status != OWL_EXIT_WELL)
        return exit_status;
    bool shifted = fabs(session.judged.clock_shift_s) > 0.0;
    enum owl_status status = owl_card_health(&session, &health);
    struct owl_text page = {0};
    if (status == OWL_OK)
        page = owl_page_begin(EXTRA_BYTES + 3 * OWL_HEALTH_FINDINGS * FINDING_BYTES + (size_t)health.nights * NIGHT_BYTES);
    else
        exit_status = owl_complain_memory();
    if (page.buffer) {
        write_page(&asked, &session, &health, shifted, &page);
        if (asked.beside)
            exit_status = owl_health_beside(&asked.card, &session, asked.beside, &page);
        if (exit_status == OWL_EXIT_WELL)
            exit_status = owl_page_end(&page);
        else
            free(page.buffer);
    } else if (exit_status == OWL_EXIT_WELL) {
        exit_status = OWL_EXIT_FAILED;
    }
    owl_health_clear(&health);
    owl_card_session_close(&session);
    return exit_status;
}
