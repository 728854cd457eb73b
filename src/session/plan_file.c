/* New content is written beside the file and renamed over it, so that a crash leaves the old file or the new one. */
#define _XOPEN_SOURCE 700 /* for realpath */
#include "session/plan_file.h"

#include <errno.h>
#include <fcntl.h>
#include <libgen.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "core/plan/reader.h"
#include "session/trouble.h"

#define PARTS_MOST 100 /* names tried */
#define MODE_OF_NEW 0666 /* less what the user's umask takes */

/* ---- reading ---- */

static bool stamp_of(const char *bytes, size_t length, char stamp[OWL_PLAN_STAMP_BYTES])
{
    struct owl_digester digester;
    if (owl_digester_init(&digester) != OWL_OK)
        return false;
    owl_digester_start(&digester);
    owl_digester_feed(&digester, bytes, length);
    struct owl_digest digest = owl_digester_end(&digester);
    owl_digest_write(&digest, stamp);
    owl_digester_clear(&digester);
    return true;
}

/* Up to `room` bytes; -1 with errno. */
static ssize_t read_all(int handle, char *bytes, size_t room)
{
    size_t length = 0;
    while (length < room) {
        ssize_t got = read(handle, bytes + length, room - length);
        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0)
            return -1;
        if (got == 0)
            break;
        length += (size_t)got;
    }
    return (ssize_t)length;
}

static enum owl_status take_in(int handle, const char *path, struct owl_plan_file *file, struct owl_error *error)
{
    struct owl_plan_file made = {.bytes = malloc(OWL_PLAN_BYTES + 2)};
    ssize_t length = made.bytes ? read_all(handle, made.bytes, OWL_PLAN_BYTES + 1) : 0;
    if (length < 0 || length > OWL_PLAN_BYTES) {
        free(made.bytes);
        return owl_trouble_say(error, OWL_CANNOT_READ, path, length < 0 ? strerror(errno) : "it is too long for a plan");
    }
    made.length = (size_t)length;
    if (!made.bytes || !stamp_of(made.bytes, made.length, made.stamp)) {
        free(made.bytes);
        return owl_trouble_say(error, OWL_NO_MEMORY, path, owl_status_words(OWL_NO_MEMORY));
    }
    made.bytes[length] = '\0';
    owl_plan_file_clear(file);
    *file = made;
    return OWL_OK;
}

/* Opened without waiting: a pipe by that name must not hold the program up. *about is set where a file was read. */
static enum owl_status read_it(const char *path, struct owl_plan_file *file, struct stat *about, struct owl_error *error)
{
    int handle = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOCTTY);
    if (handle < 0 && errno == ENOENT) {
        owl_plan_file_clear(file);
        return OWL_OK;
    }
    if (handle < 0)
        return owl_trouble_say(error, OWL_CANNOT_READ, path, strerror(errno));
    bool regular = fstat(handle, about) == 0 && S_ISREG(about->st_mode);
    enum owl_status status = regular ? take_in(handle, path, file, error)
                                     : owl_trouble_say(error, OWL_CANNOT_READ, path, "it is no file");
    close(handle);
    return status;
}

enum owl_status owl_plan_file_read(const char *path, struct owl_plan_file *file, struct owl_error *error)
{
    struct stat about;
    return read_it(path, file, &about, error);
}

void owl_plan_file_clear(struct owl_plan_file *file)
{
    free(file->bytes);
    *file = (struct owl_plan_file){0};
}

/* ---- writing ---- */

static bool write_all(int handle, const char *bytes, size_t length)
{
    while (length > 0) {
        ssize_t put = write(handle, bytes, length);
        if (put < 0 && errno == EINTR)
            continue;
        if (put < 0)
            return false;
        bytes += put;
        length -= (size_t)put;
    }
    return true;
}

/* Opens a file of a name nobody has beside `path`; its name goes to part[PATH_MAX]. -1 with errno. */
static int open_part(const char *path, mode_t mode, char *part)
{
    int handle = -1;
    errno = EEXIST;
    for (int i = 0; i < PARTS_MOST && handle < 0 && errno == EEXIST; i++) {
        if (snprintf(part, PATH_MAX, "%s.%ld-%d.part", path, (long)getpid(), i) >= PATH_MAX) {
            errno = ENAMETOOLONG;
            return -1;
        }
        handle = open(part, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, mode);
    }
    return handle;
}

/* Writes such a file with the mode and, where allowed, the owner of `like`; NULL: those of a new file. False with errno, and
   no file. */
static bool write_part(const char *path, const char *bytes, size_t length, const struct stat *like, char *part)
{
    int handle = open_part(path, like ? S_IRUSR | S_IWUSR : MODE_OF_NEW, part);
    if (handle < 0)
        return false;
    if (like && fchown(handle, like->st_uid, like->st_gid) != 0)
        errno = 0; /* another's file that we may write: its new owner is us */
    bool whole = (!like || fchmod(handle, like->st_mode & 07777) == 0) && write_all(handle, bytes, length) && fsync(handle) == 0;
    int trouble = errno;
    if (close(handle) != 0 && whole) {
        trouble = errno;
        whole = false;
    }
    if (!whole)
        unlink(part);
    errno = trouble;
    return whole;
}

/* Brings the folder's names to the device; where that cannot be done they are there all the same. */
static void settle_folder(const char *path)
{
    char copy[PATH_MAX];
    snprintf(copy, sizeof copy, "%s", path);
    int handle = open(dirname(copy), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (handle >= 0) {
        (void)fsync(handle);
        close(handle);
    }
}

static enum owl_status fail_writing(const char *path, const char *words, struct owl_error *error)
{
    return owl_trouble_say(error, OWL_CANNOT_WRITE, path, words);
}

static bool same_file(const char *path, const struct stat *then)
{
    struct stat now;
    return stat(path, &now) == 0 && now.st_dev == then->st_dev && now.st_ino == then->st_ino && now.st_size == then->st_size &&
           now.st_mtim.tv_sec == then->st_mtim.tv_sec && now.st_mtim.tv_nsec == then->st_mtim.tv_nsec;
}

static enum owl_status back_up(const char *path, const struct owl_plan_file *old, const struct stat *about,
                               struct owl_error *error)
{
    char backup[PATH_MAX], part[PATH_MAX];
    struct stat there;
    if (snprintf(backup, sizeof backup, "%s~", path) >= (int)sizeof backup)
        return fail_writing(path, strerror(ENAMETOOLONG), error);
    if (lstat(backup, &there) == 0 && !S_ISREG(there.st_mode))
        return fail_writing(backup, "it is no file, so no backup can be kept there", error);
    if (!write_part(backup, old->bytes, old->length, about, part))
        return fail_writing(backup, strerror(errno), error);
    if (rename(part, backup) == 0)
        return OWL_OK;
    int trouble = errno;
    unlink(part);
    return fail_writing(backup, strerror(trouble), error);
}

/* Puts the new content in place; *conflict where the file changed under our hands. */
static enum owl_status put_in_place(const char *path, const char *bytes, size_t length, const struct stat *about, bool *conflict,
                                    struct owl_error *error)
{
    char part[PATH_MAX];
    if (!write_part(path, bytes, length, about, part))
        return fail_writing(path, strerror(errno), error);
    *conflict = about && !same_file(path, about);
    /* A new file is linked, which fails where one has come by now; an old one is renamed over. */
    bool placed = !*conflict && (about ? rename(part, path) == 0 : link(part, path) == 0);
    int trouble = errno;
    if (!placed || !about)
        unlink(part);
    struct stat now;
    *conflict = *conflict || (!placed && !about && trouble == EEXIST && stat(path, &now) == 0);
    return placed || *conflict ? OWL_OK : fail_writing(path, strerror(trouble), error);
}

static enum owl_status replace(const char *path, const char *bytes, size_t length, const struct owl_plan_file *old,
                               const struct stat *about, bool *conflict, struct owl_error *error)
{
    if (!old->bytes)
        return put_in_place(path, bytes, length, NULL, conflict, error);
    if ((about->st_mode & 0222) == 0 || access(path, W_OK) != 0)
        return fail_writing(path, "it is read-only", error);
    enum owl_status status = back_up(path, old, about, error);
    return status == OWL_OK ? put_in_place(path, bytes, length, about, conflict, error) : status;
}

enum owl_status owl_plan_file_save(const char *path, const char *bytes, size_t length, const char *stamp, bool *conflict,
                                   struct owl_plan_file *there, struct owl_error *error)
{
    struct owl_plan_file old = {0};
    struct stat about;
    char *real = realpath(path, NULL); /* so that a link stays one; NULL where there is no file */
    const char *place = real ? real : path;
    *conflict = false;
    enum owl_status status = read_it(place, &old, &about, error);
    if (status == OWL_OK) {
        *conflict = strcmp(old.stamp, stamp) != 0;
        bool same = !*conflict && old.bytes && old.length == length && memcmp(old.bytes, bytes, length) == 0;
        if (!*conflict && !same)
            status = replace(place, bytes, length, &old, &about, conflict, error);
        if (status == OWL_OK && !*conflict && !same)
            settle_folder(place);
    }
    owl_plan_file_clear(&old);
    if (status == OWL_OK)
        status = owl_plan_file_read(place, there, error);
    free(real);
    return status;
}
