/* One file brought home. */
#include "card/pull_run.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "card/copy.h"

#define COARSE_CLOCK_S 2         /* the step of time of the coarsest file system in use, FAT */
#define TROUBLED_FILES_MOST 8    /* a reader that fails so often in a row is gone, whatever its errors say */
#define DIGITS_ADDED 8           /* of the content, to a name that is taken; all 32 where that is taken too */
#define LONGEST_ENDING 8

/* ---- what is there ---- */

/* Names at the target's first folder that are ours to write. */
static bool is_ours(const char *path)
{
    static const char *const names[] = {OWL_PULL_PART, OWL_MANIFEST_NAME, OWL_MANIFEST_OTHERS_NAME, OWL_LINES_PART};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++)
        if (owl_text_same_name(path, names[i]))
            return true;
    return false;
}

/* Whether two times are the same on a target that may keep only even seconds. */
static bool same_time(const struct owl_tree_file *file, const struct stat *copy)
{
    if (copy->st_mtim.tv_sec == file->changed_s && copy->st_mtim.tv_nsec == file->changed_ns)
        return true;
    bool coarse = copy->st_mtim.tv_nsec == 0 && copy->st_mtim.tv_sec % COARSE_CLOCK_S == 0;
    int64_t apart_s = file->changed_s - copy->st_mtim.tv_sec;
    return coarse && apart_s >= -COARSE_CLOCK_S && apart_s < COARSE_CLOCK_S;
}

/* The name a file is expected under in the target. */
static const char *expected_name(const struct owl_pull_run *run, const struct owl_tree_file *file)
{
    const char *other = owl_manifest_other_name(&run->manifest, file);
    return other ? other : file->path;
}

static bool facts_in_target(struct owl_pull_run *run, const char *path, struct stat *facts)
{
    const char *name;
    int folder = owl_folder_enter(&run->to, path, false, &name);
    return folder >= 0 && fstatat(folder, name, facts, AT_SYMLINK_NOFOLLOW) == 0 && S_ISREG(facts->st_mode);
}

enum owl_pull_state owl_pull_state_of(struct owl_pull_run *run, const struct owl_tree_file *file)
{
    struct stat facts;
    const char *name = expected_name(run, file);
    if (name == file->path && is_ours(name))
        return OWL_PULL_TO_COPY;
    if (!facts_in_target(run, name, &facts) || (uint64_t)facts.st_size != file->size_bytes)
        return OWL_PULL_TO_COPY;
    /* What has another name was noted with its size and time, and the copy may bear another file's time. */
    bool sure = name != file->path || (same_time(file, &facts) && owl_manifest_of_name(&run->manifest, name));
    return sure && !run->wish->thorough ? OWL_PULL_THERE : OWL_PULL_IN_DOUBT;
}

/* The content of a file in the target, read from the device; false when it cannot be read. */
static bool digest_in_target(struct owl_pull_run *run, const char *path, struct owl_digest *digest)
{
    struct owl_folder folder = owl_folder_at(run->calls, run->target);
    const char *name;
    int inner = owl_folder_enter(&folder, path, false, &name);
    int file = inner < 0 ? -1 : owl_calls_open_original(run->calls, inner, name);
    owl_folder_close(&folder);
    if (file < 0)
        return false;
    owl_calls_forget(file);
    int failed = owl_digester_file(&run->digester, run->calls, file, digest);
    close(file);
    return failed == 0;
}

/* ---- what fails ---- */

static bool is_gone(const struct owl_pull_run *run, int trouble)
{
    struct stat now;
    if (trouble == ENODEV || trouble == ENXIO || trouble == ENOMEDIUM || run->troubled_in_a_row >= TROUBLED_FILES_MOST)
        return true;
    return stat(run->wish->card, &now) != 0 || now.st_dev != run->card_facts.st_dev || now.st_ino != run->card_facts.st_ino;
}

static enum owl_status fail(struct owl_pull_run *run, const struct owl_tree_file *file, const char *what, int trouble)
{
    char words[160];
    struct owl_text text = owl_text_over(words, sizeof words);
    owl_text_words(&text, what);
    owl_text_words(&text, trouble ? ": " : "");
    if (trouble)
        owl_calls_reason(&text, trouble);
    return owl_pull_note(run, OWL_PULL_FAILED, file->path, words);
}

/* A file of the card that cannot be read. When the card itself is gone, so is the run. */
static enum owl_status fail_reading(struct owl_pull_run *run, const struct owl_tree_file *file, int trouble)
{
    run->troubled_in_a_row += trouble == EIO;
    enum owl_status status = fail(run, file, "it cannot be read", trouble);
    if (status != OWL_OK || !is_gone(run, trouble))
        return status;
    run->report->card_gone = true;
    return owl_pull_end(run, OWL_CANNOT_READ, "The card can no longer be read. What is copied is safe; put the card in again "
                        "and pull once more.", NULL, 0);
}

/* Whether the target as a whole is in trouble, and not one name in it. */
static bool ends_all(int trouble)
{
    return trouble == ENOSPC || trouble == EDQUOT || trouble == EROFS || trouble == EIO || trouble == ENODEV ||
           trouble == ENXIO || trouble == ENOMEDIUM || trouble == EMFILE || trouble == ENFILE || trouble == ENOMEM;
}

static enum owl_status fail_writing(struct owl_pull_run *run, const struct owl_tree_file *file, int trouble)
{
    if (ends_all(trouble))
        return owl_pull_end(run, OWL_CANNOT_WRITE, "The copy cannot be written to", run->wish->target, trouble);
    return fail(run, file, "its copy cannot be written", trouble);
}

static enum owl_status fail_noting(struct owl_pull_run *run, enum owl_status status)
{
    int trouble = errno;
    if (status == OWL_NO_MEMORY)
        return owl_pull_end(run, status, "No memory is left.", NULL, 0);
    return owl_pull_end(run, status, "The list of copies cannot be written to", run->wish->target, trouble);
}

/* ---- names ---- */

/* The path with "~" and so many digits of the content before its ending; the name is cut where it would grow too long.
   0 digits: as it is. From malloc. */
static char *name_with(const char *path, const struct owl_digest *digest, size_t digits)
{
    size_t room = strlen(path) + OWL_DIGEST_DIGITS + 2;
    char *longer = malloc(room), hex[OWL_DIGEST_DIGITS + 1];
    if (!longer)
        return NULL;
    struct owl_text text = owl_text_over(longer, room);
    const char *slash = strrchr(path, '/'), *own = slash ? slash + 1 : path, *dot = strrchr(own, '.');
    const char *ending = digits > 0 && dot && dot != own && strlen(dot) <= LONGEST_ENDING ? dot : own + strlen(own);
    size_t stem = (size_t)(ending - own), added = digits > 0 ? digits + 1 : 0, most = NAME_MAX - added - strlen(ending);
    owl_digest_write(digest, hex);
    owl_text_bytes(&text, path, (size_t)(own - path));
    owl_text_bytes(&text, own, digits > 0 && stem > most ? most : stem);
    owl_text_words(&text, digits > 0 ? "~" : "");
    owl_text_bytes(&text, hex, digits);
    owl_text_words(&text, ending);
    return longer;
}

/* Whether the file under a name has the copy's content. */
static bool is_same_there(struct owl_pull_run *run, const char *path, const struct owl_copy *copy)
{
    struct stat facts;
    struct owl_digest digest;
    return facts_in_target(run, path, &facts) && facts.st_size == copy->facts.st_size &&
           digest_in_target(run, path, &digest) && owl_digest_same(&digest, &copy->digest);
}

/* Gives the proved copy the first name that is free, or finds it there under one: `kept`, from malloc. 0, or -1 and errno. */
static int give_name(struct owl_pull_run *run, const struct owl_tree_file *file, const struct owl_copy *copy, char **kept,
                     bool *found)
{
    static const size_t digits[] = {0, DIGITS_ADDED, OWL_DIGEST_DIGITS};
    for (size_t i = is_ours(file->path); i < sizeof digits / sizeof digits[0]; i++) {
        const char *name;
        char *path = name_with(file->path, &copy->digest, digits[i]);
        int folder = path ? owl_folder_enter(&run->to, path, true, &name) : -1;
        *kept = path;
        *found = false;
        if (folder >= 0 && run->calls->rename_new(run->target, OWL_PULL_PART, folder, name) == 0) {
            run->to.unsettled = true;
            return 0;
        }
        int trouble = errno;
        *found = folder >= 0 && trouble == EEXIST && is_same_there(run, path, copy);
        if (*found)
            return 0;
        free(path);
        *kept = NULL;
        errno = trouble;
        if (trouble != EEXIST)
            break;
    }
    return -1;
}

/* ---- one file ---- */

static bool going_on(void *context, size_t bytes)
{
    return owl_pull_tell(context, bytes);
}

/* The name of a copy with the same content, still whole, that makes this one needless. */
static const char *kept_before(struct owl_pull_run *run, const struct owl_tree_file *file, const struct owl_copy *copy)
{
    bool alone = file->kind == OWL_CARD_JPEG || file->kind == OWL_CARD_RAW || file->kind == OWL_CARD_MOVIE;
    const struct owl_manifest_copy *known =
        alone && copy->facts.st_size > 0 ? owl_manifest_of_content(&run->manifest, &copy->digest) : NULL;
    return known && is_same_there(run, known->name, copy) ? known->name : NULL;
}

static enum owl_status note_copy(struct owl_pull_run *run, const struct owl_tree_file *file, const struct owl_copy *copy,
                                 const char *kept)
{
    enum owl_status status = owl_manifest_note(&run->manifest, kept, &copy->digest);
    if (status == OWL_OK && strcmp(kept, file->path) != 0)
        status = owl_manifest_note_other(&run->manifest, file, kept, &copy->digest);
    if (status != OWL_OK)
        return fail_noting(run, status);
    return ++run->unsettled >= OWL_PULL_SETTLE_FILES ? owl_pull_settle(run) : OWL_OK;
}

static enum owl_status keep_duplicate(struct owl_pull_run *run, const struct owl_tree_file *file, const struct owl_copy *copy,
                                      const char *known)
{
    enum owl_status status = owl_pull_note_kept(run, OWL_PULL_DUPLICATE, file->path, known);
    return status == OWL_OK ? note_copy(run, file, copy, known) : status;
}

static enum owl_status name_copy(struct owl_pull_run *run, const struct owl_tree_file *file, const struct owl_copy *copy)
{
    char *kept = NULL;
    bool found = false;
    if (give_name(run, file, copy, &kept, &found) != 0)
        return fail_writing(run, file, errno);
    enum owl_status status = note_copy(run, file, copy, kept);
    if (status == OWL_OK && !found && strcmp(kept, file->path) != 0)
        status = owl_pull_note_kept(run, OWL_PULL_RENAMED, file->path, kept);
    run->report->copied += !found;
    run->report->already += found;
    run->report->bytes_copied += found ? 0 : (uint64_t)copy->facts.st_size;
    free(kept);
    return status;
}

static enum owl_status tell_end(struct owl_pull_run *run, const struct owl_tree_file *file, const struct owl_copy *copy,
                                enum owl_copy_end end)
{
    switch (end) {
    case OWL_COPY_UNREADABLE:
        return fail_reading(run, file, copy->trouble);
    case OWL_COPY_UNWRITABLE:
        return fail_writing(run, file, copy->trouble);
    case OWL_COPY_CHANGED:
        return fail(run, file, "it changed while it was read", 0);
    case OWL_COPY_DIFFERS:
        return fail(run, file, "its copy reads back differently: do not trust the target's disk, its cable or this memory", 0);
    case OWL_COPY_DONE:
    case OWL_COPY_STOPPED:
        break;
    }
    return OWL_OK;
}

static enum owl_status copy_open(struct owl_pull_run *run, const struct owl_tree_file *file, struct owl_copy *copy)
{
    enum owl_copy_end end = owl_copy_write(copy);
    if (end == OWL_COPY_DONE)
        run->troubled_in_a_row = 0;
    const char *known = end == OWL_COPY_DONE ? kept_before(run, file, copy) : NULL;
    if (known)
        return keep_duplicate(run, file, copy, known);
    if (end == OWL_COPY_DONE)
        end = owl_copy_prove(copy);
    return end == OWL_COPY_DONE ? name_copy(run, file, copy) : tell_end(run, file, copy, end);
}

static enum owl_status copy_file(struct owl_pull_run *run, const struct owl_tree_file *file, int original)
{
    struct owl_copy copy = {.calls = run->calls, .digester = &run->digester, .original = original,
                            .going_on = going_on, .context = run};
    copy.copy = run->calls->open_at(run->target, OWL_PULL_PART, O_RDWR | O_CREAT | O_EXCL | O_NOFOLLOW, 0666);
    if (copy.copy < 0)
        return owl_pull_end(run, OWL_CANNOT_WRITE, "The copy cannot be written to", run->wish->target, errno);
    enum owl_status status = copy_open(run, file, &copy);
    close(copy.copy);
    if (run->calls->remove(run->target, OWL_PULL_PART) != 0 && errno != ENOENT && status == OWL_OK)
        status = owl_pull_end(run, OWL_CANNOT_WRITE, "A half-made copy cannot be removed from", run->wish->target, errno);
    return status;
}

/* Reads the original and the file that is there. `done` when they are the same, which is noted, or the original fails. */
static enum owl_status compare(struct owl_pull_run *run, const struct owl_tree_file *file, int original, bool *done)
{
    struct owl_digest wanted, there;
    const char *kept = expected_name(run, file);
    *done = true;
    if (owl_digester_file(&run->digester, run->calls, original, &wanted) != 0)
        return fail_reading(run, file, errno);
    run->troubled_in_a_row = 0;
    *done = digest_in_target(run, kept, &there) && owl_digest_same(&wanted, &there);
    if (!*done)
        return OWL_OK;
    enum owl_status status = owl_manifest_note(&run->manifest, kept, &wanted);
    run->report->already++;
    (void)owl_pull_tell(run, (size_t)file->size_bytes);
    return status == OWL_OK ? OWL_OK : fail_noting(run, status);
}

enum owl_status owl_pull_file(struct owl_pull_run *run, const struct owl_tree_file *file, enum owl_pull_state state)
{
    const char *name;
    if (state == OWL_PULL_THERE) {
        run->report->already++;
        return OWL_OK;
    }
    int folder = owl_folder_enter(&run->from, file->path, false, &name);
    int original = folder < 0 ? -1 : owl_calls_open_original(run->calls, folder, name);
    if (original < 0)
        return fail_reading(run, file, errno);
    bool done = false;
    enum owl_status status = state == OWL_PULL_IN_DOUBT ? compare(run, file, original, &done) : OWL_OK;
    if (status == OWL_OK && !done)
        status = lseek(original, 0, SEEK_SET) == 0 ? copy_file(run, file, original) : fail_reading(run, file, errno);
    close(original);
    return status;
}
