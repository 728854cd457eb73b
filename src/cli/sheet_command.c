/* The command `sheet`: the field sheet into a folder, and beside it, where asked for, paper, calendar and place. */
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>

#include "cli/command.h"
#include "cli/console.h"
#include "cli/rig_wiring.h"
#include "cli/session.h"
#include "paper/pdf.h"
#include "sheet/calendar.h"
#include "sheet/field_sheet.h"
#include "sheet/gpx.h"

#define PATH_BYTES 4096
#define SHEET_OPTIONS "--shelf FILE, --paper, --calendar and --place"

struct asked {
    const char *file, *directory, *shelf[OWL_SHELF_FILES_MOST]; /* NULL: not given */
    int shelves;
    bool paper, calendar, place;
};

static int read_asked(int count, char **words, struct asked *asked)
{
    *asked = (struct asked){.file = count > 0 ? words[0] : NULL};
    for (int i = 1; i < count; i++) {
        const char *next = i + 1 < count ? words[i + 1] : NULL;
        if (strcmp(words[i], "-o") == 0 && next)
            asked->directory = words[++i];
        else if (strcmp(words[i], "--shelf") == 0 && next && asked->shelves < OWL_SHELF_FILES_MOST)
            asked->shelf[asked->shelves++] = words[++i];
        else if (strcmp(words[i], "--paper") == 0)
            asked->paper = true;
        else if (strcmp(words[i], "--calendar") == 0)
            asked->calendar = true;
        else if (strcmp(words[i], "--place") == 0)
            asked->place = true;
        else
            return owl_complain_usage("sheet takes a plan file, -o DIR, " SHEET_OPTIONS ", not", words[i]);
    }
    if (asked->file && asked->directory)
        return OWL_EXIT_WELL;
    return owl_complain_usage("sheet takes a plan file and a directory: sheet FILE -o DIR", NULL);
}

/* ---- files of the folder ---- */

/* A file on its way: written beside its final name first, so that a full disk leaves no half a sheet. */
struct coming {
    char path[PATH_BYTES], part[PATH_BYTES + 8];
    FILE *file;
    bool whole;
};

static int begin(const char *directory, const char *name, struct coming *coming)
{
    if (snprintf(coming->path, sizeof coming->path, "%s/%s", directory, name) >= (int)sizeof coming->path)
        return owl_complain_usage("the path is too long:", directory);
    snprintf(coming->part, sizeof coming->part, "%s.part", coming->path);
    if (mkdir(directory, 0777) != 0 && errno != EEXIST) {
        fprintf(stderr, "owllight: %s: %s\n", directory, strerror(errno));
        return OWL_EXIT_WRONG;
    }
    coming->file = fopen(coming->part, "wb");
    coming->whole = coming->file != NULL;
    if (coming->file)
        return OWL_EXIT_WELL;
    fprintf(stderr, "owllight: %s: %s\n", coming->path, strerror(errno));
    return OWL_EXIT_WRONG;
}

static bool put(void *context, const char *bytes, size_t length)
{
    struct coming *coming = context;
    coming->whole = coming->whole && fwrite(bytes, 1, length, coming->file) == length;
    return coming->whole;
}

/* good: what was to be written could be made; otherwise the file goes without a word. */
static int end(struct coming *coming, bool good)
{
    bool closed = fclose(coming->file) == 0;
    if (good && closed && coming->whole && rename(coming->part, coming->path) == 0) {
        printf("%s\n", coming->path);
        return OWL_EXIT_WELL;
    }
    if (good)
        fprintf(stderr, "owllight: %s: %s\n", coming->path, strerror(errno));
    remove(coming->part);
    return good ? OWL_EXIT_WRONG : OWL_EXIT_FAILED;
}

static int write_text(const char *directory, const char *name, const struct owl_text *text)
{
    struct coming coming;
    int exit_status = begin(directory, name, &coming);
    if (exit_status != OWL_EXIT_WELL)
        return exit_status;
    put(&coming, text->buffer, text->length);
    return end(&coming, true);
}

/* ---- what is written ---- */

/* Finds the wiring of a plan that names its gear: by wires where that can be. The exit status, told. */
static int find_wiring(const struct owl_session *session, const struct asked *asked, struct owl_rig_wiring *wiring)
{
    const struct owl_rig_wish wish = {.file = asked->file, .shelf = asked->shelf, .shelves = asked->shelves};
    int exit_status = owl_rig_wiring_open(&wish, &session->plan, wiring);
    for (int air = 0; air < 2 && exit_status == OWL_EXIT_WELL && !wiring->answer->found; air++)
        exit_status = owl_rig_wiring_find(wiring, air != 0);
    return exit_status;
}

static int finish(enum owl_status status, const char *directory, const char *name, struct owl_text *text)
{
    int exit_status = OWL_EXIT_FAILED;
    if (status == OWL_OK)
        exit_status = write_text(directory, name, text);
    else
        fprintf(stderr, "owllight: %s\n", owl_status_words(status));
    free(text->buffer);
    return exit_status;
}

static int make_sheet(const struct owl_session *session, const struct asked *asked, const struct owl_wire_answer *wiring)
{
    struct owl_text page = owl_page_begin(OWL_SHEET_BYTES);
    if (!page.buffer)
        return OWL_EXIT_FAILED;
    enum owl_status status = owl_sheet_write(&session->plan, &session->evaluation, &session->watch, wiring, &page);
    return finish(status, asked->directory, "field-sheet.html", &page);
}

static int make_calendar(const struct owl_session *session, const struct asked *asked)
{
    struct owl_text text = owl_page_begin(OWL_CALENDAR_BYTES);
    if (!text.buffer)
        return OWL_EXIT_FAILED;
    enum owl_status status = owl_calendar_write(&session->plan, &session->evaluation, &session->watch, (double)time(NULL), &text);
    return finish(status, asked->directory, "watch.ics", &text);
}

static int make_place(const struct owl_session *session, const struct asked *asked)
{
    struct owl_text text = owl_page_begin(OWL_GPX_BYTES);
    if (!text.buffer)
        return OWL_EXIT_FAILED;
    return finish(owl_gpx_write(&session->plan, &text), asked->directory, "place.gpx", &text);
}

static int make_paper(const struct owl_session *session, const struct asked *asked)
{
    struct coming coming;
    struct owl_error error = {{0}};
    int exit_status = begin(asked->directory, "field-sheet.pdf", &coming);
    if (exit_status != OWL_EXIT_WELL)
        return exit_status;
    const struct owl_leaf_way way = {put, &coming};
    enum owl_status status =
        owl_pdf_write(&session->plan, &session->evaluation, &session->watch, (double)time(NULL), &way, &error);
    if (status != OWL_OK)
        fprintf(stderr, "owllight: %s: %s\n", coming.path, error.words[0] ? error.words : owl_status_words(status));
    return end(&coming, status == OWL_OK);
}

int owl_command_sheet(int count, char **words)
{
    struct asked asked;
    struct owl_session *session = NULL;
    struct owl_rig_wiring wiring = {.room = NULL};
    int exit_status = read_asked(count, words, &asked);
    if (exit_status != OWL_EXIT_WELL)
        return exit_status;
    enum owl_status status = owl_session_open(asked.file, &session);
    if (status != OWL_OK)
        return owl_session_exit(status);
    if (owl_rig_named(&session->plan) || asked.shelves > 0)
        exit_status = find_wiring(session, &asked, &wiring);
    if (exit_status == OWL_EXIT_WELL)
        exit_status = make_sheet(session, &asked, wiring.answer && wiring.answer->found ? wiring.answer : NULL);
    if (exit_status == OWL_EXIT_WELL && asked.paper)
        exit_status = make_paper(session, &asked);
    if (exit_status == OWL_EXIT_WELL && asked.calendar)
        exit_status = make_calendar(session, &asked);
    if (exit_status == OWL_EXIT_WELL && asked.place)
        exit_status = make_place(session, &asked);
    owl_rig_wiring_close(&wiring);
    owl_session_free(session);
    return exit_status;
}
