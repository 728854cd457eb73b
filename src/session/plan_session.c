/* Opening a plan: read, parse, make its sky, evaluate. */
#include "session/plan_session.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "core/plan/reader.h"

#define COMPLAINT_BYTES 1024

/* The whole file, at most OWL_PLAN_BYTES; one byte more is read to tell a file that is too long. */
static enum owl_status read_file(const char *path, struct owl_session *session, struct owl_trouble *trouble)
{
    struct stat about;
    FILE *file = fopen(path, "rb");
    if (!file)
        return owl_trouble_say(&trouble->error, OWL_CANNOT_READ, path,
                               errno == ENOENT ? "there is no such file; the path of a plan file would be right"
                                               : strerror(errno));
    if (fstat(fileno(file), &about) == 0 && S_ISDIR(about.st_mode)) {
        fclose(file);
        return owl_trouble_say(&trouble->error, OWL_CANNOT_READ, path, "this is a directory; a plan file in it would be right");
    }
    session->bytes = malloc(OWL_PLAN_BYTES + 2);
    session->length = session->bytes ? fread(session->bytes, 1, OWL_PLAN_BYTES + 1, file) : 0;
    bool failed = ferror(file) != 0;
    fclose(file);
    if (!session->bytes)
        return owl_trouble_say(&trouble->error, OWL_NO_MEMORY, path, owl_status_words(OWL_NO_MEMORY));
    return failed ? owl_trouble_say(&trouble->error, OWL_CANNOT_READ, path, "it cannot be read to its end") : OWL_OK;
}

static void show_complaints(const char *name, const char *bytes, size_t length, const struct owl_complaints *complaints,
                            struct owl_trouble *trouble)
{
    size_t room = ((size_t)complaints->count + 1) * (COMPLAINT_BYTES + strlen(name));
    trouble->complaints = complaints->count > 0 ? malloc(room) : NULL;
    if (!trouble->complaints)
        return;
    struct owl_text all = owl_text_over(trouble->complaints, room);
    for (int i = 0; i < complaints->count; i++) {
        char buffer[COMPLAINT_BYTES];
        struct owl_text one = owl_text_over(buffer, sizeof buffer);
        owl_complaint_show(&complaints->list[i], name, bytes, length, &one);
        owl_text_words(&all, buffer);
    }
    if (complaints->left_out > 0) {
        owl_text_words(&all, name);
        owl_text_words(&all, ": ");
        owl_text_integer(&all, complaints->left_out);
        owl_text_words(&all, " more like these\n");
    }
}

enum owl_status owl_session_read_sky(const char *name, const char *bytes, size_t length, struct owl_plan *plan,
                                     struct owl_watch_sky *sky, struct owl_trouble *trouble)
{
    struct owl_complaints *complaints = calloc(1, sizeof *complaints);
    if (!complaints)
        return owl_trouble_say(&trouble->error, OWL_NO_MEMORY, name, owl_status_words(OWL_NO_MEMORY));
    enum owl_status status = owl_plan_read(bytes, length, plan, complaints);
    if (status == OWL_OK) {
        struct owl_watch_site site = owl_watch_site_of(plan);
        status = owl_watch_sky_open(sky, &site);
        if (status == OWL_UNKNOWN_ZONE)
            owl_plan_complain_zone(bytes, length, plan, complaints);
        else if (status != OWL_OK)
            (void)owl_trouble_say(&trouble->error, status, name, owl_status_words(status));
    }
    bool bom = length >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0;
    show_complaints(name, bytes + (bom ? 3 : 0), length - (bom ? 3 : 0), complaints, trouble);
    free(complaints);
    return status;
}

static enum owl_status evaluate(const char *name, struct owl_session *session, struct owl_trouble *trouble)
{
    size_t nights = (size_t)session->plan.watch.nights;
    session->night = calloc(nights, sizeof *session->night);
    session->row = calloc(nights * OWL_NIGHT_ROWS + 1, sizeof *session->row);
    if (!session->night || !session->row)
        return owl_trouble_say(&trouble->error, OWL_NO_MEMORY, name, owl_status_words(OWL_NO_MEMORY));
    session->watch = (struct owl_watch_view){
        .nights = (int)nights, .night = session->night, .row = session->row, .sky = &session->sky.sky};
    owl_activity_fill(&session->watch.activity, &session->plan);
    enum owl_status status = owl_watch_view_fill(&session->plan, &session->sky.sky, session->night, session->row);
    if (status == OWL_OK)
        status = owl_plan_evaluate(&session->plan, &session->watch, &session->evaluation);
    if (status == OWL_OUTSIDE_DOMAIN && session->evaluation.outcome.undefined > 0) {
        char words[160];
        snprintf(words, sizeof words, "these values take '%s' outside the range its formula holds for",
                 owl_result_row(session->evaluation.outcome.first_undefined)->key);
        return owl_trouble_say(&trouble->error, status, name, words);
    }
    return status == OWL_OK ? OWL_OK : owl_trouble_say(&trouble->error, status, name, owl_status_words(status));
}

/* Reads and evaluates what the session has in bytes, and hands it over or frees it. */
static enum owl_status finish_opening(const char *name, enum owl_status status, struct owl_session *opened,
                                      struct owl_session **session, struct owl_trouble *trouble)
{
    if (status == OWL_OK)
        status = owl_session_read_sky(name, opened->bytes, opened->length, &opened->plan, &opened->sky, trouble);
    if (status == OWL_OK)
        status = evaluate(name, opened, trouble);
    if (status == OWL_OK)
        *session = opened;
    else
        owl_session_free(opened);
    return status;
}

enum owl_status owl_session_read_file(const char *path, struct owl_session **session, struct owl_trouble *trouble)
{
    struct owl_session *opened = calloc(1, sizeof *opened);
    if (!opened)
        return owl_trouble_say(&trouble->error, OWL_NO_MEMORY, path, owl_status_words(OWL_NO_MEMORY));
    return finish_opening(path, read_file(path, opened, trouble), opened, session, trouble);
}

enum owl_status owl_session_read_words(const char *name, const char *words, struct owl_session **session,
                                       struct owl_trouble *trouble)
{
    struct owl_session *opened = calloc(1, sizeof *opened);
    if (opened) {
        opened->length = strlen(words);
        opened->bytes = strdup(words);
    }
    if (!opened || !opened->bytes) {
        free(opened);
        return owl_trouble_say(&trouble->error, OWL_NO_MEMORY, name, owl_status_words(OWL_NO_MEMORY));
    }
    return finish_opening(name, OWL_OK, opened, session, trouble);
}

void owl_session_free(struct owl_session *session)
{
    if (!session)
        return;
    owl_watch_sky_close(&session->sky);
    free(session->night);
    free(session->row);
    free(session->bytes);
    free(session);
}
