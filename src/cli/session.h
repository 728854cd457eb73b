/* A plan file opened for a command, everything wrong with it told on stderr. */
#ifndef OWL_CLI_SESSION_H
#define OWL_CLI_SESSION_H

#include "session/plan_session.h"

/* Reads and evaluates the plan at path. On failure everything wrong has been told on stderr and
   nothing stays open. The session is the caller's; owl_session_free releases it. */
enum owl_status owl_session_open(const char *path, struct owl_session **session) OWL_MUST_USE;

/* The exit status that goes with a failed open. */
int owl_session_exit(enum owl_status status);

/* Tells an error's words, and the exit status that goes with it. */
int owl_complain_error(enum owl_status status, const struct owl_error *error);

/* Tells all of a trouble and clears it; the exit status, OWL_EXIT_WELL for OWL_OK. */
int owl_complain_trouble(enum owl_status status, struct owl_trouble *trouble);

/* The place of a date in the watch; -1, told on stderr, when it is not in it. */
int owl_session_find_night(const struct owl_session *session, const char *words);

/* Writes a text to stdout; false when it does not go out whole. */
bool owl_print(const struct owl_text *text);

#endif
