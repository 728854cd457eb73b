/* Opening a plan file: read, parse, make its sky, evaluate. */
#include "cli/session.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "cli/command.h"
#include "cli/plan_page.h"
#include "core/plan/reader.h"
#include "core/plan/units.h"

#define COMPLAINT_BYTES 1024

static enum owl_status complain_file(const char *path, const char *words)
{
    fprintf(stderr, "owllight: %s: %s\n", path, words);
    return OWL_CANNOT_READ;
}

/* The whole file, at most OWL_PLAN_BYTES; one byte more is read to tell a file that is too long. */
static enum owl_status read_file(const char *path, char **bytes, size_t *length)
{
    struct stat about;
    FILE *file = fopen(path, "rb");
    if (!file)
        return complain_file(path, errno == ENOENT ? "there is no such file; the path of a plan file would be right"
                                                   : strerror(errno));
    if (fstat(fileno(file), &about) == 0 && S_ISDIR(about.st_mode)) {
        fclose(file);
        return complain_file(path, "this is a directory; a plan file in it would be right");
    }
    char *room = malloc(OWL_PLAN_BYTES + 2);
    if (!room) {
        fclose(file);
        return complain_file(path, owl_status_words(OWL_NO_MEMORY));
    }
    size_t count = fread(room, 1, OWL_PLAN_BYTES + 1, file);
    bool failed = ferror(file) != 0;
    fclose(file);
    if (failed) {
        free(room);
        return complain_file(path, "it cannot be read to its end");
    }
    *bytes = room;
    *length = count;
    return OWL_OK;
}

static void print_complaints(const char *path, const char *bytes, size_t length, const struct owl_complaints *complaints)
{
    for (int i = 0; i < complaints->count; i++) {
        char buffer[COMPLAINT_BYTES];
        struct owl_text text = owl_text_over(buffer, sizeof buffer);
        owl_complaint_show(&complaints->list[i], path, bytes, length, &text);
        fputs(buffer, stderr);
    }
    if (complaints->left_out > 0)
        fprintf(stderr, "%s: %d more like these\n", path, complaints->left_out);
}

static enum owl_status read_plan(const char *path, struct owl_session *session)
{
    const char *bytes = session->bytes;
    size_t length = session->length;
    struct owl_complaints *complaints = calloc(1, sizeof *complaints);
    if (!complaints)
        return complain_file(path, owl_status_words(OWL_NO_MEMORY));
    enum owl_status status = owl_plan_read(bytes, length, &session->plan, complaints);
    if (status == OWL_OK) {
        const struct owl_plan *plan = &session->plan;
        struct owl_watch_site site = owl_watch_site_of(plan);
        status = owl_watch_sky_open(&session->sky, &site);
        if (status == OWL_UNKNOWN_ZONE)
            owl_plan_complain_zone(bytes, length, plan, complaints);
        else if (status != OWL_OK)
            complain_file(path, owl_status_words(status));
    }
    bool bom = length >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0;
    print_complaints(path, bytes + (bom ? 3 : 0), length - (bom ? 3 : 0), complaints);
    free(complaints);
    return status;
}

static enum owl_status evaluate(const char *path, struct owl_session *session)
{
    size_t nights = (size_t)session->plan.watch.nights;
    session->night = calloc(nights, sizeof *session->night);
    session->row = calloc(nights * OWL_NIGHT_ROWS + 1, sizeof *session->row);
    if (!session->night || !session->row)
        return complain_file(path, owl_status_words(OWL_NO_MEMORY));
    session->watch = (struct owl_watch_view){
        .nights = (int)nights, .night = session->night, .row = session->row, .sky = &session->sky.sky};
    owl_activity_fill(&session->watch.activity, &session->plan);
    enum owl_status status = owl_watch_view_fill(&session->plan, &session->sky.sky, session->night, session->row);
    if (status == OWL_OK)
        status = owl_plan_evaluate(&session->plan, &session->watch, &session->evaluation);
    if (status == OWL_OUTSIDE_DOMAIN && session->evaluation.outcome.undefined > 0)
        fprintf(stderr, "owllight: %s: these values take '%s' outside the range its formula holds for\n", path,
                owl_result_row(session->evaluation.outcome.first_undefined)->key);
    else if (status != OWL_OK)
        complain_file(path, owl_status_words(status));
    return status;
}

/* Reads and evaluates what the session has in bytes, and hands it over or frees it. */
static enum owl_status finish_opening(const char *path, enum owl_status status, struct owl_session *opened,
                                      struct owl_session **session)
{
    if (status == OWL_OK)
        status = read_plan(path, opened);
    if (status == OWL_OK)
        status = evaluate(path, opened);
    if (status == OWL_OK)
        *session = opened;
    else
        owl_session_free(opened);
    return status;
}

enum owl_status owl_session_open(const char *path, struct owl_session **session)
{
    struct owl_session *opened = calloc(1, sizeof *opened);
    if (!opened)
        return complain_file(path, owl_status_words(OWL_NO_MEMORY));
    enum owl_status status = read_file(path, &opened->bytes, &opened->length);
    return finish_opening(path, status, opened, session);
}

enum owl_status owl_session_open_words(const char *name, const char *words, struct owl_session **session)
{
    struct owl_session *opened = calloc(1, sizeof *opened);
    if (opened) {
        opened->length = strlen(words);
        opened->bytes = strdup(words);
    }
    if (!opened || !opened->bytes) {
        free(opened);
        return complain_file(name, owl_status_words(OWL_NO_MEMORY));
    }
    return finish_opening(name, OWL_OK, opened, session);
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
