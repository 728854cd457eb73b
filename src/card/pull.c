/* A card brought home, from the first look to the last note. */
#include "card/pull.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "card/pull_run.h"

#define BLOCK_BYTES 4096      /* a file takes whole blocks */
#define SPARE_BYTES (1 << 20) /* for folders and lists */

/* ---- opening ---- */

static enum owl_status open_card(struct owl_pull_run *run)
{
    const char *path = run->wish->card;
    run->card = run->calls->open_at(AT_FDCWD, path, O_RDONLY | O_DIRECTORY, 0);
    if (run->card < 0 || fstat(run->card, &run->card_facts) != 0)
        return owl_pull_end(run, OWL_CANNOT_READ, "The card cannot be opened at", path, errno);
    enum owl_status status = owl_tree_list(&run->tree, run->calls, run->card);
    if (status == OWL_CANNOT_READ)
        return owl_pull_end(run, status, "The card cannot be listed at", path, errno);
    return status == OWL_OK ? OWL_OK : owl_pull_end(run, status, "No memory is left.", NULL, 0);
}

static enum owl_status open_target(struct owl_pull_run *run)
{
    const char *path = run->wish->target;
    run->target = owl_folder_open_target(path, run->card);
    if (run->target < 0 && errno == EXDEV)
        return owl_pull_end(run, OWL_BAD_USE, "Nothing is ever written to a card; choose another target than", path, 0);
    if (run->target < 0)
        return owl_pull_end(run, OWL_CANNOT_WRITE, "The copies cannot be kept in", path, errno);
    if (!owl_calls_lock(run->target))
        return owl_pull_end(run, OWL_BAD_USE, "Another pull is at work in", path, 0);
    bool cleared = run->calls->remove(run->target, OWL_PULL_PART) == 0 || errno == ENOENT;
    if (!cleared || (run->calls->remove(run->target, OWL_LINES_PART) != 0 && errno != ENOENT))
        return owl_pull_end(run, OWL_CANNOT_WRITE, "The copies cannot be kept in", path, errno);
    return OWL_OK;
}

static enum owl_status open_lists(struct owl_pull_run *run)
{
    enum owl_status status = owl_manifest_open(&run->manifest, run->calls, run->target);
    if (status == OWL_CANNOT_READ || status == OWL_CANNOT_WRITE)
        return owl_pull_end(run, status, "The list of copies cannot be opened in", run->wish->target, errno);
    if (status != OWL_OK || owl_digester_init(&run->digester) != OWL_OK)
        return owl_pull_end(run, OWL_NO_MEMORY, "No memory is left.", NULL, 0);
    run->from = owl_folder_at(run->calls, run->card);
    run->to = owl_folder_at(run->calls, run->target);
    return OWL_OK;
}

/* ---- the first look ---- */

static enum owl_status check_room(struct owl_pull_run *run, uint64_t needed)
{
    uint64_t room;
    if (needed == 0 || run->calls->free_bytes(run->target, &room) != 0 || room >= needed + SPARE_BYTES)
        return OWL_OK;
    struct owl_text text = owl_text_over(run->error->words, sizeof run->error->words);
    owl_text_words(&text, "There is no room in ");
    owl_tree_show(&text, run->wish->target);
    owl_text_words(&text, ": ");
    owl_text_fixed(&text, (double)needed / 1e6, 1);
    owl_text_words(&text, " MB are still to be copied, ");
    owl_text_fixed(&text, (double)room / 1e6, 1);
    owl_text_words(&text, " MB are free. Nothing was copied.");
    return OWL_CANNOT_WRITE;
}

static enum owl_status look(struct owl_pull_run *run)
{
    uint64_t needed = 0;
    run->states = malloc(run->tree.count + 1);
    if (!run->states)
        return owl_pull_end(run, OWL_NO_MEMORY, "No memory is left.", NULL, 0);
    for (size_t i = 0; i < run->tree.count; i++) {
        const struct owl_tree_file *file = &run->tree.files[i];
        enum owl_pull_state state = owl_pull_state_of(run, file);
        run->states[i] = (unsigned char)state;
        run->report->kinds[file->kind]++;
        if (state == OWL_PULL_TO_COPY)
            needed += (file->size_bytes + BLOCK_BYTES - 1) / BLOCK_BYTES * BLOCK_BYTES;
        if (state != OWL_PULL_THERE)
            run->progress.bytes_all += file->size_bytes;
    }
    return check_room(run, needed);
}

static enum owl_status note_oddities(struct owl_pull_run *run)
{
    enum owl_status status = OWL_OK;
    for (size_t i = 0; i < run->tree.oddity_count && status == OWL_OK; i++) {
        const struct owl_tree_oddity *oddity = &run->tree.oddities[i];
        char words[160];
        struct owl_text text = owl_text_over(words, sizeof words);
        owl_text_words(&text, oddity->words);
        if (oddity->trouble) {
            owl_text_words(&text, ": ");
            owl_calls_reason(&text, oddity->trouble);
        }
        status = owl_pull_note(run, oddity->trouble ? OWL_PULL_FAILED : OWL_PULL_LEFT_OUT, oddity->path, words);
    }
    return status;
}

/* ---- the run ---- */

enum owl_status owl_pull_settle(struct owl_pull_run *run)
{
    run->unsettled = 0;
    if (owl_folder_settle(&run->to) != 0 || owl_manifest_settle(&run->manifest) != OWL_OK)
        return owl_pull_end(run, OWL_CANNOT_WRITE, "The copies cannot be made safe in", run->wish->target, errno);
    return OWL_OK;
}

static enum owl_status copy_all(struct owl_pull_run *run)
{
    enum owl_status status = OWL_OK;
    run->progress.files_all = run->tree.count;
    for (size_t i = 0; i < run->tree.count && status == OWL_OK; i++) {
        run->progress.path = run->tree.files[i].path;
        run->progress.files = i;
        if (run->states[i] != OWL_PULL_THERE && !owl_pull_tell(run, 0))
            break;
        status = owl_pull_file(run, &run->tree.files[i], run->states[i]);
    }
    run->progress.files = run->tree.count;
    if (status == OWL_OK)
        (void)owl_pull_tell(run, 0);
    return status;
}

static enum owl_status pull(struct owl_pull_run *run)
{
    enum owl_status status = open_card(run);
    if (status == OWL_OK)
        status = open_target(run);
    if (status == OWL_OK)
        status = open_lists(run);
    run->report->files = run->tree.count;
    if (status == OWL_OK)
        status = note_oddities(run);
    size_t failed_folders = run->report->failed;
    if (status == OWL_OK)
        status = look(run);
    if (status == OWL_OK)
        status = copy_all(run);
    const struct owl_pull_report *report = run->report;
    run->report->not_reached =
        report->files - report->copied - report->already - report->duplicates - (report->failed - failed_folders);
    return status;
}

/* What was copied is made safe also when the run ended early; its first trouble is the one told. */
static enum owl_status finish(struct owl_pull_run *run, enum owl_status status)
{
    struct owl_error first = *run->error;
    if (!run->to.calls)
        return status;
    enum owl_status settled = owl_pull_settle(run);
    if (settled == OWL_OK && (settled = owl_manifest_tidy(&run->manifest)) != OWL_OK)
        (void)owl_pull_end(run, settled, "The list of copies cannot be written to", run->wish->target, errno);
    if (status == OWL_OK)
        return settled;
    *run->error = first;
    return status;
}

static void close_all(struct owl_pull_run *run)
{
    if (run->to.calls) {
        owl_folder_close(&run->from);
        owl_folder_close(&run->to);
    }
    owl_manifest_close(&run->manifest);
    owl_digester_clear(&run->digester);
    owl_tree_clear(&run->tree);
    free(run->states);
    if (run->card >= 0)
        close(run->card);
    if (run->target >= 0)
        close(run->target);
}

enum owl_status owl_pull(const struct owl_pull_wish *wish, struct owl_pull_report *report, struct owl_error *error)
{
    struct owl_pull_run run = {.wish = wish, .report = report, .error = error, .card = -1, .target = -1};
    *report = (struct owl_pull_report){0};
    error->words[0] = '\0';
    run.calls = wish->calls ? wish->calls : &owl_calls_system;
    run.progress.path = "";
    run.manifest.lines.file = run.manifest.other_lines.file = -1;
    clock_gettime(CLOCK_MONOTONIC, &run.start);
    enum owl_status status = finish(&run, pull(&run));
    owl_pull_clock(&run);
    close_all(&run);
    return status;
}
