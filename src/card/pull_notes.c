/* What a pull tells: notes, last words, progress. */
#include "card/pull_run.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "card/grow.h"

#define SHOWN_BYTES 4    /* of one byte of a name, at most: \xNN */
#define SURE_AFTER_S 1.0 /* before that, a rate says nothing */

static char *shown(const char *name)
{
    size_t room = SHOWN_BYTES * strlen(name) + 1;
    char *words = malloc(room);
    if (words) {
        struct owl_text text = owl_text_over(words, room);
        owl_tree_show(&text, name);
    }
    return words;
}

/* Takes both over. */
static enum owl_status add_note(struct owl_pull_run *run, enum owl_pull_note_kind kind, char *name, char *words)
{
    struct owl_pull_report *report = run->report;
    if (!name || !words || !owl_grow(&report->notes, &report->note_room, report->note_count, sizeof *report->notes)) {
        free(name);
        free(words);
        return owl_pull_end(run, OWL_NO_MEMORY, "No memory is left.", NULL, 0);
    }
    report->notes[report->note_count++] = (struct owl_pull_note){kind, name, words};
    report->failed += kind == OWL_PULL_FAILED;
    report->left_out += kind == OWL_PULL_LEFT_OUT;
    report->duplicates += kind == OWL_PULL_DUPLICATE;
    return OWL_OK;
}

enum owl_status owl_pull_note(struct owl_pull_run *run, enum owl_pull_note_kind kind, const char *name, const char *words)
{
    return add_note(run, kind, shown(name), strdup(words));
}

enum owl_status owl_pull_note_kept(struct owl_pull_run *run, enum owl_pull_note_kind kind, const char *name, const char *kept)
{
    return add_note(run, kind, shown(name), shown(kept));
}

void owl_pull_report_clear(struct owl_pull_report *report)
{
    for (size_t i = 0; i < report->note_count; i++) {
        free(report->notes[i].name);
        free(report->notes[i].words);
    }
    free(report->notes);
    *report = (struct owl_pull_report){0};
}

enum owl_status owl_pull_end(struct owl_pull_run *run, enum owl_status status, const char *what, const char *name, int trouble)
{
    struct owl_text text = owl_text_over(run->error->words, sizeof run->error->words);
    owl_text_words(&text, what);
    if (name) {
        owl_text_char(&text, ' ');
        owl_tree_show(&text, name);
    }
    if (trouble) {
        owl_text_words(&text, ": ");
        owl_calls_reason(&text, trouble);
    }
    owl_text_words(&text, name || trouble ? "." : "");
    return status;
}

void owl_pull_clock(struct owl_pull_run *run)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    run->report->seconds = (double)(now.tv_sec - run->start.tv_sec) + 1e-9 * (double)(now.tv_nsec - run->start.tv_nsec);
}

bool owl_pull_tell(struct owl_pull_run *run, size_t bytes)
{
    struct owl_pull_progress *progress = &run->progress;
    progress->bytes += bytes;
    owl_pull_clock(run);
    double gone_s = run->report->seconds;
    bool sure = gone_s >= SURE_AFTER_S && progress->bytes > 0;
    double left = progress->bytes_all > progress->bytes ? (double)(progress->bytes_all - progress->bytes) : 0.0;
    progress->bytes_per_s = sure ? (double)progress->bytes / gone_s : 0.0;
    progress->left_s = sure ? left / progress->bytes_per_s : NAN;
    if (!run->wish->progress || run->report->stopped || run->wish->progress(run->wish->context, progress))
        return !run->report->stopped;
    run->report->stopped = true;
    return false;
}
