/* The command `judge`: every frame of a folder gets its verdict. Nothing is moved, marked or deleted. */
#include <stdio.h>
#include <string.h>

#include "card/verdict_words.h"
#include "cli/card_options.h"
#include "cli/card_table.h"
#include "cli/command.h"
#include "cli/console.h"

#define LINE_BYTES 192
#define LINES_EXTRA 64
#define NAME_COLUMNS 28
#define OWN_OPTIONS "--table, --all, --correct"

struct asked {
    struct owl_card_options card;
    bool table, all;
    const char *correction; /* FRAME=VERDICT; NULL: none */
};

static int read_asked(int count, char **words, struct asked *asked)
{
    *asked = (struct asked){.table = false};
    for (int i = 0; i < count;) {
        int taken = owl_card_option(&asked->card, count, words, i);
        if (taken < 0)
            return OWL_EXIT_WRONG;
        if (taken == 0 && strcmp(words[i], "--table") == 0)
            asked->table = true;
        else if (taken == 0 && strcmp(words[i], "--all") == 0)
            asked->all = true;
        else if (taken == 0 && strcmp(words[i], "--correct") == 0)
            asked->correction = i + 1 < count ? words[++i] : "";
        else if (taken == 0 && owl_card_folder(&asked->card, "judge", OWN_OPTIONS, words[i]) != OWL_EXIT_WELL)
            return OWL_EXIT_WRONG;
        i += taken > 0 ? taken : 1;
    }
    return asked->card.folder ? OWL_EXIT_WELL : owl_complain_usage("judge needs the folder of a card brought home", NULL);
}

/* ---- what is told ---- */

static bool worth_a_line(const struct asked *asked, const struct owl_judged_frame *frame)
{
    const struct owl_frame_verdict *verdict = &frame->verdict;
    return asked->all || frame->corrected || verdict->class != OWL_JUDGE_EMPTY || verdict->moved || verdict->fogged ||
           verdict->over_exposed || verdict->out_of_focus || verdict->flash == OWL_FLASH_ONE_MISSING;
}

static void tell_frame(const struct owl_judged_frame *frame, struct owl_text *page)
{
    owl_text_words(page, "  ");
    owl_card_name(page, frame->name, NAME_COLUMNS);
    owl_text_padded(page, owl_verdict_class_words(frame->verdict.class), 14);
    owl_verdict_remarks(&frame->verdict, page);
    if (frame->corrected)
        owl_text_words(page, " (your word)");
    owl_text_char(page, '\n');
}

static void tell_summary(const struct owl_judged *judged, struct owl_text *page)
{
    int count[OWL_JUDGE_SUBJECT + 1] = {0};
    for (int i = 0; i < judged->count; i++)
        count[judged->frame[i].verdict.class]++;
    owl_text_integer(page, judged->count);
    owl_text_words(page, judged->count == 1 ? " frame" : " frames");
    const char *before = ": ";
    for (int class = OWL_JUDGE_SUBJECT; class >= OWL_JUDGE_CANNOT; class--) {
        if (count[class] == 0)
            continue;
        owl_text_words(page, before);
        owl_text_integer(page, count[class]);
        owl_text_char(page, ' ');
        owl_text_words(page, owl_verdict_class_words((enum owl_judge_class)class));
        before = ", ";
    }
    owl_text_words(page, "\n\n");
}

static int tell_table(const struct owl_card_session *session)
{
    struct owl_visits visits;
    if (owl_visits_find(&session->judged, OWL_VISITS_GAP_S, &visits) != OWL_OK)
        return owl_complain_memory();
    int exit_status = owl_card_table(session, &visits);
    owl_visits_free(&visits);
    return exit_status;
}

static int tell(const struct asked *asked, const struct owl_judged *judged)
{
    size_t names = 0;
    for (int i = 0; i < judged->count; i++)
        names += 4 * strlen(judged->frame[i].name);
    struct owl_text page = owl_page_begin(((size_t)judged->count + LINES_EXTRA) * LINE_BYTES * 2 + names);
    if (!page.buffer)
        return OWL_EXIT_FAILED;
    tell_summary(judged, &page);
    for (int i = 0; i < judged->count; i++)
        if (worth_a_line(asked, &judged->frame[i]))
            tell_frame(&judged->frame[i], &page);
    return owl_page_end(&page);
}

/* ---- the user's word ---- */

/* FRAME=VERDICT: kept in the book through every later judging. */
static int correct(const char *words, struct owl_card_session *session)
{
    char name[4096];
    enum owl_judge_class class;
    struct owl_error error = {{0}};
    const char *equals = strrchr(words, '=');
    size_t length = equals ? (size_t)(equals - words) : sizeof name;
    if (length == 0 || length >= sizeof name || !owl_verdict_class_of(equals + 1, &class))
        return owl_complain_usage("--correct takes a frame and its verdict, such as IMG_0042.JPG=empty or 42=subject, not", words);
    memcpy(name, words, length);
    name[length] = '\0';
    int frame = owl_card_told_frame(session, name);
    if (frame < 0)
        return OWL_EXIT_WRONG;
    if (!session->book)
        return owl_complain_usage("--correct needs a book to keep it in", NULL);
    enum owl_status status = owl_card_session_correct(session, frame, class, &error);
    return status == OWL_OK ? OWL_EXIT_WELL : owl_complain_error(status, &error);
}

int owl_command_judge(int count, char **words)
{
    struct asked asked;
    struct owl_card_session session;
    int exit_status = read_asked(count, words, &asked);
    if (exit_status == OWL_EXIT_WELL)
        exit_status = owl_card_told_open(&asked.card, &session);
    if (exit_status != OWL_EXIT_WELL)
        return exit_status;
    if (asked.correction)
        exit_status = correct(asked.correction, &session);
    if (exit_status == OWL_EXIT_WELL)
        exit_status = asked.table ? tell_table(&session) : tell(&asked, &session.judged);
    owl_card_session_close(&session);
    return exit_status;
}
