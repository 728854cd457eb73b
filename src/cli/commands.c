/* The commands: what they take, what they print. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "card/tree.h"
#include "card/verdict_words.h"
#include "cli/card_options.h"
#include "cli/command.h"
#include "cli/console.h"
#include "cli/plan_page.h"
#include "cli/session.h"
#include "core/plan/complaints.h"
#include "core/plan/workings.h"

#define PAGE_BYTES ((size_t)2 << 20)

struct plan_words {
    const char *file, *night;
    bool json;
};

static int read_plan_words(int count, char **words, struct plan_words *read)
{
    *read = (struct plan_words){0};
    for (int i = 0; i < count; i++) {
        if (strcmp(words[i], "--json") == 0)
            read->json = true;
        else if (strcmp(words[i], "--night") == 0 && i + 1 < count)
            read->night = words[++i];
        else if (words[i][0] == '-' && words[i][1] != '\0')
            return owl_complain_usage("plan takes --night DATE and --json, not", words[i]);
        else if (read->file)
            return owl_complain_usage("plan takes one file; this is a second:", words[i]);
        else
            read->file = words[i];
    }
    return read->file ? OWL_EXIT_WELL : owl_complain_usage("plan needs a file, such as examples/marten.plan", NULL);
}

int owl_command_plan(int count, char **words)
{
    struct plan_words read;
    struct owl_session *session = NULL;
    int exit_status = read_plan_words(count, words, &read);
    if (exit_status != OWL_EXIT_WELL)
        return exit_status;
    enum owl_status status = owl_session_open(read.file, &session);
    if (status != OWL_OK)
        return owl_session_exit(status);
    int night = read.night ? owl_session_find_night(session, read.night) : 0;
    struct owl_text page = night < 0 ? (struct owl_text){0} : owl_page_begin(PAGE_BYTES);
    if (page.buffer) {
        if (read.json)
            owl_page_json(session, &page);
        else if (read.night)
            owl_page_night(session, night, &page);
        else
            owl_page_plan(session, &page);
        exit_status = owl_page_end(&page);
    } else {
        exit_status = night < 0 ? OWL_EXIT_WRONG : OWL_EXIT_FAILED;
    }
    owl_session_free(session);
    return exit_status;
}

/* Candidate keys for the spelling guess, one buffer for the key at hand. */
struct key_list {
    const struct owl_session *session;
    char (*key)[96];
};

static const char *key_at(const void *list, int place)
{
    const struct key_list *keys = list;
    const struct owl_outcome *outcome = &keys->session->evaluation.outcome;
    if (place >= outcome->count)
        return NULL;
    struct owl_text text = owl_text_over(keys->key[place], sizeof *keys->key);
    owl_figure_key(&keys->session->plan, outcome->figure[place].result, outcome->figure[place].which, &text);
    return keys->key[place];
}

static int complain_key(const struct owl_session *session, const char *key)
{
    struct key_list keys = {session, calloc(OWL_FIGURES, sizeof *keys.key)};
    const char *nearest = keys.key ? owl_spelling_nearest(key, key_at, &keys) : NULL;
    if (nearest)
        fprintf(stderr, "owllight: no result is called '%s'; did you mean '%s'?\n", key, nearest);
    else
        fprintf(stderr, "owllight: no result is called '%s'; owllight plan shows the keys in brackets\n", key);
    free(keys.key);
    return OWL_EXIT_WRONG;
}

/* How a frame of a judged card came to its verdict. */
static int tell_frame(int count, char **words)
{
    struct owl_card_options options = {.folder = words[0]};
    struct owl_card_session session;
    for (int i = 2; i < count;) {
        int taken = owl_card_option(&options, count, words, i);
        if (taken <= 0)
            return taken < 0 ? OWL_EXIT_WRONG : owl_complain_usage("working takes a frame's name or number and " OWL_CARD_OPTIONS
                                                                   ", not", words[i]);
        i += taken;
    }
    int exit_status = owl_card_told_open(&options, &session);
    if (exit_status != OWL_EXIT_WELL)
        return exit_status;
    int frame = owl_card_told_frame(&session, words[1]);
    struct owl_text page = frame < 0 ? (struct owl_text){0} : owl_page_begin(PAGE_BYTES);
    exit_status = frame < 0 ? OWL_EXIT_WRONG : OWL_EXIT_FAILED;
    if (page.buffer) {
        owl_tree_show(&page, session.judged.frame[frame].name);
        owl_text_words(&page, session.judged.frame[frame].corrected ? ", by your word: " : ": ");
        owl_verdict_working(&session.judged, frame, &page);
        exit_status = owl_page_end(&page);
    }
    owl_card_session_close(&session);
    return exit_status;
}

static bool is_folder(const char *path)
{
    struct stat about;
    return stat(path, &about) == 0 && S_ISDIR(about.st_mode);
}

int owl_command_working(int count, char **words)
{
    struct owl_session *session = NULL;
    if (count >= 2 && is_folder(words[0]))
        return tell_frame(count, words);
    if (count != 2)
        return owl_complain_usage("working takes a plan file and a key, such as: working examples/marten.plan picture.near; or a "
                                  "card's folder and a frame, such as: working larch-january IMG_0042.JPG", NULL);
    enum owl_status status = owl_session_open(words[0], &session);
    if (status != OWL_OK)
        return owl_session_exit(status);
    const struct owl_figure *figure = owl_outcome_by_key(&session->plan, &session->evaluation.outcome, words[1]);
    int exit_status = OWL_EXIT_FAILED;
    struct owl_text page = {0};
    if (!figure)
        exit_status = complain_key(session, words[1]);
    else
        page = owl_page_begin(PAGE_BYTES);
    if (page.buffer) {
        owl_working_show(&session->plan, &session->evaluation.outcome, figure, &page);
        exit_status = owl_page_end(&page);
    }
    owl_session_free(session);
    return exit_status;
}
