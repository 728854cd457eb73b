/* The command `visits`: the frames of a card grouped to visits, and what came held against what was rehearsed. */
#include <stdio.h>
#include <string.h>

#include "cli/card_options.h"
#include "cli/card_table.h"
#include "cli/command.h"
#include "cli/console.h"
#include "cli/seasons.h"
#include "cli/visits_page.h"
#include "core/plan/units.h"
#include "session/card_contact.h"
#include "session/card_rehearsed.h"

#define OWN_OPTIONS "--plan, --gap, --contact, --sidecars"
#define GAP_MOST_S 86400.0

struct asked {
    struct owl_card_options card;
    const char *plan; /* NULL: that of the card's watch */
    double gap_s;
    const char *contact; /* NULL: not given */
    bool sidecars;
};

static int read_gap(struct asked *asked, const char *words)
{
    size_t at = 0;
    double gap_s = 0.0;
    bool read = words && owl_unit_read(OWL_UNIT_TIME, words, strlen(words), &gap_s, &at) == OWL_READ_WELL;
    if (!read || gap_s < 0.0 || gap_s > GAP_MOST_S) {
        fprintf(stderr, "owllight: --gap %s: the longest time between two pictures of one visit would be right, such as '90 s'\n",
                words ? words : "without a time");
        return OWL_EXIT_WRONG;
    }
    asked->gap_s = gap_s;
    return OWL_EXIT_WELL;
}

static int read_asked(int count, char **words, struct asked *asked)
{
    *asked = (struct asked){.gap_s = OWL_VISITS_GAP_S};
    for (int i = 0; i < count;) {
        const char *next = i + 1 < count ? words[i + 1] : NULL;
        int taken = owl_card_option(&asked->card, count, words, i);
        if (taken < 0)
            return OWL_EXIT_WRONG;
        if (taken == 0 && strcmp(words[i], "--gap") == 0) {
            if (read_gap(asked, next) != OWL_EXIT_WELL)
                return OWL_EXIT_WRONG;
            taken = 2;
        } else if (taken == 0 && strcmp(words[i], "--plan") == 0) {
            if (!next)
                return owl_complain_usage("--plan needs a plan file behind it", NULL);
            asked->plan = next;
            taken = 2;
        } else if (taken == 0 && strcmp(words[i], "--contact") == 0) {
            if (!next || *next == '\0' || *next == '-')
                return owl_complain_usage("--contact needs the name of a new file, such as contact.html", NULL);
            asked->contact = next;
            taken = 2;
        } else if (taken == 0 && strcmp(words[i], "--sidecars") == 0) {
            asked->sidecars = true;
            taken = 1;
        } else if (taken == 0) {
            if (owl_card_folder(&asked->card, "visits", OWN_OPTIONS, words[i]) != OWL_EXIT_WELL)
                return OWL_EXIT_WRONG;
            taken = 1;
        }
        i += taken;
    }
    return asked->card.folder ? OWL_EXIT_WELL : owl_complain_usage("visits needs the folder of a card brought home", NULL);
}

/* ---- beside the rehearsal ---- */

static int compare(const struct owl_session *plan, const struct owl_judged *judged, const struct owl_visits *visits,
                   struct owl_visits_rehearsed *rehearsed)
{
    struct owl_seasons seasons = {0};
    struct owl_error error = {{0}};
    int exit_status = owl_seasons_prepare(plan, rehearsed->plan, &seasons);
    if (exit_status == OWL_EXIT_WELL)
        exit_status = owl_seasons_run(&(struct owl_seasons_wish){.seed = OWL_SEASONS_SEED}, &seasons);
    if (exit_status == OWL_EXIT_WELL && owl_card_compare(&seasons, judged, visits, rehearsed, &error) != OWL_OK) {
        owl_complain_error(OWL_BAD_USE, &error);
        exit_status = OWL_EXIT_WRONG;
    }
    owl_seasons_clear(&seasons);
    return exit_status;
}

/* ---- the command ---- */

static void tell_picture(void *context, const char *doing, int done, int all)
{
    if (owl_progress_due(context))
        fprintf(stderr, "\r%s %d of %d ", doing, done, all);
}

static int write_contact(const struct owl_card_session *session, const struct owl_visits *visits, const char *path)
{
    struct owl_error error = {{0}};
    struct owl_progress progress = owl_progress_begin();
    const struct owl_listener listener = {.progress = tell_picture, .context = &progress};
    const struct owl_contact_wish wish = {path, "--contact", &listener};
    enum owl_status status = owl_card_contact(session, visits, &wish, &error);
    owl_progress_end(&progress);
    if (status != OWL_OK)
        return owl_complain_error(status, &error);
    printf("%s\n", path);
    return OWL_EXIT_WELL;
}

static int keep_visits(const struct owl_card_session *session, const struct owl_visits *visits)
{
    struct owl_error error = {{0}};
    enum owl_status status = owl_card_session_keep_visits(session, visits, &error);
    return status == OWL_OK ? OWL_EXIT_WELL : owl_complain_error(status, &error);
}

static int tell(const struct asked *asked, const struct owl_card_session *session, const struct owl_visits *visits)
{
    struct owl_session *given = NULL;
    enum owl_status status = asked->plan ? owl_session_open(asked->plan, &given) : OWL_OK;
    if (status != OWL_OK)
        return owl_session_exit(status);
    const struct owl_session *plan = given ? given : session->plan;
    char name[160];
    snprintf(name, sizeof name, "the plan of watch %s", session->watch ? session->watch : "");
    struct owl_visits_rehearsed rehearsed = {.plan = asked->plan ? asked->plan : name};
    int exit_status = plan ? compare(plan, &session->judged, visits, &rehearsed) : OWL_EXIT_WELL;
    struct owl_text page = {0};
    if (exit_status == OWL_EXIT_WELL)
        page = owl_page_begin(owl_page_visits_bytes(&session->judged, visits));
    if (page.buffer) {
        owl_page_visits(session, visits, plan ? &rehearsed : NULL, &page);
        exit_status = owl_page_end(&page);
    } else if (exit_status == OWL_EXIT_WELL) {
        exit_status = OWL_EXIT_FAILED;
    }
    owl_session_free(given);
    return exit_status;
}

int owl_command_visits(int count, char **words)
{
    struct asked asked;
    struct owl_card_session session;
    struct owl_visits visits;
    int exit_status = read_asked(count, words, &asked);
    if (exit_status == OWL_EXIT_WELL)
        exit_status = owl_card_told_open(&asked.card, &session);
    if (exit_status != OWL_EXIT_WELL)
        return exit_status;
    enum owl_status status = owl_visits_find(&session.judged, asked.gap_s, &visits);
    if (status != OWL_OK) {
        owl_card_session_close(&session);
        return owl_complain_memory();
    }
    exit_status = keep_visits(&session, &visits);
    if (exit_status == OWL_EXIT_WELL && asked.contact)
        exit_status = write_contact(&session, &visits, asked.contact);
    if (exit_status == OWL_EXIT_WELL && asked.sidecars)
        exit_status = owl_card_tell_sidecars(&session, &visits);
    if (exit_status == OWL_EXIT_WELL && !asked.contact && !asked.sidecars)
        exit_status = tell(&asked, &session, &visits);
    owl_visits_free(&visits);
    owl_card_session_close(&session);
    return exit_status;
}
