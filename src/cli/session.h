/* A plan file opened: its text, plan, sky and evaluation, as every command needs them. */
#ifndef OWL_CLI_SESSION_H
#define OWL_CLI_SESSION_H

#include "core/plan/evaluate.h"
#include "core/status.h"
#include "sky/watch_sky.h"

struct owl_session {
    char *bytes; /* the plan file as it was read */
    size_t length;
    struct owl_plan plan;
    struct owl_watch_sky sky;
    struct owl_night *night;
    struct owl_watch_row *row;
    struct owl_watch_view watch;
    struct owl_evaluation evaluation;
};

/* Reads and evaluates the plan at path. On failure everything wrong has been told on stderr and
   nothing stays open. The session is the caller's; owl_session_free releases it. */
enum owl_status owl_session_open(const char *path, struct owl_session **session) OWL_MUST_USE;

/* The same for a plan's text, which is copied; name: what messages call it. */
enum owl_status owl_session_open_words(const char *name, const char *words, struct owl_session **session) OWL_MUST_USE;

void owl_session_free(struct owl_session *session);

/* The exit status that goes with a failed open. */
int owl_session_exit(enum owl_status status);

/* The place of a date in the watch; -1, told on stderr, when it is not in it. */
int owl_session_find_night(const struct owl_session *session, const char *words);

/* Writes a text to stdout; false when it does not go out whole. */
bool owl_print(const struct owl_text *text);

#endif
