/* The command `rehearse`: its options, all seasons told or drawn, one pass told or drawn. */
#include <stdio.h>
#include <string.h>

#include "cli/command.h"
#include "cli/console.h"
#include "cli/rehearse_page.h"
#include "cli/seasons.h"
#include "core/draw/pass.h"
#include "core/rehearse/story.h"

#define PAGE_BYTES ((size_t)1 << 18)
#define PASS_MOST 1000000

/* ---- what was asked ---- */

struct asked {
    const char *file, *drawing, *curves; /* NULL: not given */
    uint64_t seasons, seed, threads, pass, season; /* 0: not given, but for the seed */
    bool json;
};

static int check_asked(const struct asked *asked)
{
    if (!asked->file)
        return owl_complain_usage("rehearse needs a file, such as examples/marten.plan", NULL);
    if ((asked->pass == 0) != (asked->season == 0))
        return owl_complain_usage("a pass is told by both --season and --pass", NULL);
    if (asked->pass != 0 && asked->json)
        return owl_complain_usage("a pass is told in words: leave out --json", NULL);
    if (asked->drawing && (*asked->drawing == '\0' || *asked->drawing == '-'))
        return owl_complain_usage("--draw needs the name of a new file, such as pass.svg", NULL);
    if (asked->drawing && asked->pass == 0)
        return owl_complain_usage("--draw draws one pass: say which by --season and --pass", NULL);
    if (asked->curves && (*asked->curves == '\0' || *asked->curves == '-'))
        return owl_complain_usage("--curves needs a directory for the drawings, such as drawings", NULL);
    if (asked->curves && (asked->pass != 0 || asked->json))
        return owl_complain_usage("--curves draws all seasons: leave out --pass and --json", NULL);
    return OWL_EXIT_WELL;
}

static int read_asked(int count, char **words, struct asked *asked)
{
    *asked = (struct asked){.seed = OWL_SEASONS_SEED};
    const struct owl_number_option options[] = {{"--seasons", &asked->seasons, 1, OWL_REHEARSAL_SEASONS_MOST},
                                            {"--seed", &asked->seed, 0, OWL_SEED_MOST},
                                            {"--threads", &asked->threads, 1, OWL_THREADS_MOST},
                                            {"--season", &asked->season, 1, OWL_REHEARSAL_SEASONS_MOST},
                                            {"--pass", &asked->pass, 1, PASS_MOST}};
    const size_t option_count = sizeof options / sizeof *options;
    for (int i = 0; i < count; i++) {
        size_t option = 0;
        while (option < option_count && strcmp(words[i], options[option].name) != 0)
            option++;
        if (option < option_count) {
            const char *value = i + 1 < count ? words[++i] : NULL;
            if (owl_read_number(&options[option], value) != OWL_EXIT_WELL)
                return OWL_EXIT_WRONG;
        } else if (strcmp(words[i], "--json") == 0) {
            asked->json = true;
        } else if (strcmp(words[i], "--draw") == 0) {
            asked->drawing = i + 1 < count ? words[++i] : "";
        } else if (strcmp(words[i], "--curves") == 0) {
            asked->curves = i + 1 < count ? words[++i] : "";
        } else if (words[i][0] == '-' && words[i][1] != '\0') {
            return owl_complain_usage("rehearse takes --seasons, --seed, --threads, --json, --season, --pass, --draw and "
                                      "--curves, not",
                                      words[i]);
        } else if (asked->file) {
            return owl_complain_usage("rehearse takes one file; this is a second:", words[i]);
        } else {
            asked->file = words[i];
        }
    }
    return check_asked(asked);
}

static int print_page(const struct owl_rehearse_page *page, bool json)
{
    struct owl_text text = owl_page_begin(PAGE_BYTES);
    if (!text.buffer)
        return OWL_EXIT_FAILED;
    if (json)
        owl_page_rehearsal_json(page, &text);
    else
        owl_page_rehearsal(page, &text);
    return owl_page_end(&text);
}

static int rehearse(const struct owl_session *session, struct owl_seasons *seasons, const struct asked *asked)
{
    const struct owl_seasons_wish wish = {(int)asked->seasons, asked->seed, asked->threads};
    int exit_status = owl_seasons_run(&wish, seasons);
    if (exit_status != OWL_EXIT_WELL)
        return exit_status;
    struct owl_rehearse_page page = {session, seasons->rehearsal, asked->file, asked->seed, seasons->wanted};
    return asked->curves ? owl_rehearse_curves(&page, asked->curves) : print_page(&page, asked->json);
}

/* ---- one pass ---- */

static int complain_pass(const struct asked *asked, int passes)
{
    fprintf(stderr, "owllight: --pass %d: season %d has %d %s of the subject\n", (int)asked->pass, (int)asked->season,
            passes, passes == 1 ? "pass" : "passes");
    return OWL_EXIT_WRONG;
}

static int tell_pass(const struct owl_setup *setup, const struct asked *asked)
{
    char buffer[OWL_STORY_BYTES];
    struct owl_text text = owl_text_over(buffer, sizeof buffer);
    int passes = 0;
    if (owl_rehearsal_story(setup, asked->seed, (int)asked->season - 1, (int)asked->pass - 1, &passes, &text) !=
        OWL_OK)
        return complain_pass(asked, passes);
    if (owl_print(&text))
        return OWL_EXIT_WELL;
    fprintf(stderr, "owllight: the output could not be written\n");
    return OWL_EXIT_FAILED;
}

static int draw_pass(const struct owl_session *session, const struct owl_setup *setup, const struct asked *asked)
{
    char buffer[OWL_PASS_BYTES];
    struct owl_text svg = owl_text_over(buffer, sizeof buffer);
    struct owl_trace trace;
    if (owl_season_trace(setup, asked->seed, (int)asked->season - 1, (int)asked->pass - 1, &trace) != OWL_OK)
        return complain_pass(asked, trace.passes);
    owl_draw_pass(&session->plan, &session->evaluation, &trace, &svg);
    if (svg.cut) {
        fprintf(stderr, "owllight: %s\n", owl_status_words(OWL_NO_ROOM));
        return OWL_EXIT_FAILED;
    }
    int exit_status = owl_write_picture(asked->drawing, "--draw", svg.buffer, svg.length);
    if (exit_status == OWL_EXIT_WELL)
        printf("%s\n", asked->drawing);
    return exit_status;
}

int owl_command_rehearse(int count, char **words)
{
    struct asked asked;
    struct owl_session *session = NULL;
    struct owl_seasons seasons = {0};
    int exit_status = read_asked(count, words, &asked);
    if (exit_status != OWL_EXIT_WELL)
        return exit_status;
    enum owl_status status = owl_session_open(asked.file, &session);
    if (status != OWL_OK)
        return owl_session_exit(status);
    exit_status = owl_seasons_prepare(session, asked.file, &seasons);
    if (exit_status == OWL_EXIT_WELL)
        exit_status = asked.drawing ? draw_pass(session, &seasons.setup, &asked)
                      : asked.pass  ? tell_pass(&seasons.setup, &asked)
                                    : rehearse(session, &seasons, &asked);
    owl_seasons_clear(&seasons);
    owl_session_free(session);
    return exit_status;
}
