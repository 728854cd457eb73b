/* Plans opened, and what that meets told on the terminal. */
#include "cli/session.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "cli/command.h"
#include "cli/plan_page.h"
#include "core/plan/units.h"

int owl_complain_error(enum owl_status status, const struct owl_error *error)
{
    fprintf(stderr, "owllight: %s\n", error->words[0] ? error->words : owl_status_words(status));
    return status == OWL_NO_MEMORY || status == OWL_CANNOT_WRITE ? OWL_EXIT_FAILED : OWL_EXIT_WRONG;
}

int owl_complain_trouble(enum owl_status status, struct owl_trouble *trouble)
{
    int exit_status = OWL_EXIT_WELL;
    bool told = trouble->complaints != NULL;
    if (told)
        fputs(trouble->complaints, stderr);
    if (status != OWL_OK && (!told || trouble->error.words[0]))
        exit_status = owl_complain_error(status, &trouble->error);
    else if (status != OWL_OK)
        exit_status = OWL_EXIT_WRONG;
    owl_trouble_clear(trouble);
    return exit_status;
}

enum owl_status owl_session_open(const char *path, struct owl_session **session)
{
    struct owl_trouble trouble = {0};
    enum owl_status status = owl_session_read_file(path, session, &trouble);
    (void)owl_complain_trouble(status, &trouble);
    return status;
}

int owl_session_exit(enum owl_status status)
{
    return status == OWL_NO_MEMORY ? OWL_EXIT_FAILED : OWL_EXIT_WRONG;
}

int owl_session_find_night(const struct owl_session *session, const char *words)
{
    double days = NAN;
    size_t at = 0;
    enum owl_misread misread = owl_unit_read(OWL_UNIT_DATE, words, strlen(words), &days, &at);
    double night = days - session->plan.watch.start_days;
    if (misread == OWL_READ_WELL && night >= 0.0 && night < session->evaluation.nights)
        return (int)night;
    char buffer[64];
    struct owl_text text = owl_text_over(buffer, sizeof buffer);
    owl_page_date(session, 0, &text);
    owl_text_words(&text, " to ");
    owl_page_date(session, session->evaluation.nights - 1, &text);
    fprintf(stderr, "owllight: --night %s: no evening of this watch; one from %s would be right\n", words, buffer);
    return -1;
}

bool owl_print(const struct owl_text *text)
{
    bool whole = !text->cut && fwrite(text->buffer, 1, text->length, stdout) == text->length;
    return fflush(stdout) == 0 && whole;
}
