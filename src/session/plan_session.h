/* A plan opened: its text, plan, sky and evaluation, as every command and the workbench need them. */
#ifndef OWL_SESSION_PLAN_SESSION_H
#define OWL_SESSION_PLAN_SESSION_H

#include "core/plan/evaluate.h"
#include "core/status.h"
#include "session/trouble.h"
#include "sky/watch_sky.h"

struct owl_session {
    char *bytes; /* the plan's text as it was read */
    size_t length;
    struct owl_plan plan;
    struct owl_watch_sky sky;
    struct owl_night *night;
    struct owl_watch_row *row;
    struct owl_watch_view watch;
    struct owl_evaluation evaluation;
};

/* Reads and evaluates the plan at path. On OWL_OK the session is the caller's, for owl_session_free; else trouble tells all
   that is wrong and nothing stays open. */
enum owl_status owl_session_read_file(const char *path, struct owl_session **session, struct owl_trouble *trouble) OWL_MUST_USE;

/* The same for a plan's text, which is copied; name: what messages call it. */
enum owl_status owl_session_read_words(const char *name, const char *words, struct owl_session **session,
                                       struct owl_trouble *trouble) OWL_MUST_USE;

/* Only the plan and its sky, for a text in `bytes`; the sky is the caller's to close on OWL_OK. */
enum owl_status owl_session_read_sky(const char *name, const char *bytes, size_t length, struct owl_plan *plan,
                                     struct owl_watch_sky *sky, struct owl_trouble *trouble) OWL_MUST_USE;

void owl_session_free(struct owl_session *session);

#endif
