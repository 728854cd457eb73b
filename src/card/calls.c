/* The system's calls, with what Linux adds to POSIX kept in this one file. */
#define _GNU_SOURCE /* O_NOATIME, renameat2, sync_file_range, flock */
#include "card/calls.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <sys/statvfs.h>
#include <unistd.h>

/* ---- the table ---- */

static int open_at(int directory, const char *name, int flags, mode_t mode)
{
    return openat(directory, name, flags | O_CLOEXEC, mode);
}

/* Where neither of the two safe ways is known to the file system, look and then rename: only another program that
   makes the same name in between could be overwritten. */
static int rename_looking(int from, const char *name, int to, const char *new_name)
{
    struct stat there;
    if (fstatat(to, new_name, &there, AT_SYMLINK_NOFOLLOW) == 0) {
        errno = EEXIST;
        return -1;
    }
    return errno == ENOENT ? renameat(from, name, to, new_name) : -1;
}

static int rename_new(int from, const char *name, int to, const char *new_name)
{
    if (renameat2(from, name, to, new_name, RENAME_NOREPLACE) == 0)
        return 0;
    if (errno != EINVAL && errno != ENOSYS && errno != EOPNOTSUPP)
        return -1;
    if (linkat(from, name, to, new_name, 0) == 0)
        return unlinkat(from, name, 0);
    if (errno != EPERM && errno != EOPNOTSUPP && errno != ENOSYS && errno != EMLINK)
        return -1;
    return rename_looking(from, name, to, new_name);
}

static int rename_over(int directory, const char *name, const char *new_name)
{
    return renameat(directory, name, directory, new_name);
}

static int remove_at(int directory, const char *name)
{
    return unlinkat(directory, name, 0);
}

static int free_bytes(int directory, uint64_t *bytes)
{
    struct statvfs room;
    if (fstatvfs(directory, &room) != 0)
        return -1;
    *bytes = (uint64_t)room.f_bavail * room.f_frsize;
    return 0;
}

/* Some file systems cannot sync a folder and say so with EINVAL: they need no syncing of theirs or allow none. */
static int sync_folder(int directory)
{
    return fsync(directory) == 0 || errno == EINVAL ? 0 : -1;
}

const struct owl_calls owl_calls_system = {open_at,    read,        write,     fdatasync, sync_folder,
                                           rename_new, rename_over, remove_at, free_bytes};

/* ---- what is built on it ---- */

int owl_calls_open_original(const struct owl_calls *calls, int directory, const char *name)
{
    /* Not blocking: a pipe put in the file's place since the listing must not hold us up. */
    int flags = O_RDONLY | O_NOFOLLOW | O_NONBLOCK;
    int file = calls->open_at(directory, name, flags | O_NOATIME, 0);
    if (file < 0 && errno == EPERM)
        file = calls->open_at(directory, name, flags, 0);
    if (file < 0)
        return -1;
    struct stat facts;
    if (fstat(file, &facts) == 0 && S_ISREG(facts.st_mode))
        return file;
    close(file);
    errno = EINVAL;
    return -1;
}

ssize_t owl_calls_read_full(const struct owl_calls *calls, int file, void *bytes, size_t count)
{
    size_t done = 0;
    while (done < count) {
        ssize_t got = calls->read(file, (char *)bytes + done, count - done);
        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0)
            return -1;
        if (got == 0)
            break;
        done += (size_t)got;
    }
    return (ssize_t)done;
}

int owl_calls_write_full(const struct owl_calls *calls, int file, const void *bytes, size_t count)
{
    size_t done = 0;
    while (done < count) {
        ssize_t put = calls->write(file, (const char *)bytes + done, count - done);
        if (put < 0 && errno == EINTR)
            continue;
        if (put == 0)
            errno = ENOSPC;
        if (put <= 0)
            return -1;
        done += (size_t)put;
    }
    return 0;
}

void owl_calls_begin_writing(int file, uint64_t from, size_t count)
{
    /* A hint: sync_data says later whether the bytes arrived. */
    (void)sync_file_range(file, (off64_t)from, (off64_t)count, SYNC_FILE_RANGE_WRITE);
}

void owl_calls_forget(int file)
{
    (void)posix_fadvise(file, 0, 0, POSIX_FADV_DONTNEED);
}

bool owl_calls_lock(int directory)
{
    return flock(directory, LOCK_EX | LOCK_NB) == 0 || errno != EWOULDBLOCK;
}

void owl_calls_reason(struct owl_text *text, int trouble)
{
    static const struct {
        int trouble;
        const char *words;
    } reasons[] = {
        {EIO, "the device gives errors"},
        {ENODEV, "the device is gone"},
        {ENXIO, "the device is gone"},
        {ENOMEDIUM, "the device is gone"},
        {ENOSPC, "no room is left"},
        {EDQUOT, "your share of the room is used up"},
        {EROFS, "it can only be read, not written"},
        {EACCES, "you have no permission"},
        {EPERM, "you have no permission"},
        {ENOENT, "it is not there"},
        {ENOTDIR, "something that is no folder stands in the way"},
        {EEXIST, "the name is taken"},
        {ELOOP, "a link stands in the way"},
        {ENAMETOOLONG, "the name is too long"},
        {EILSEQ, "such a name cannot be kept there"},
        {EINVAL, "such a name or file cannot be kept there"},
        {EFBIG, "the file is too large for that kind of disk"},
        {EXDEV, "that folder belongs to another disk"},
        {ENOMEM, "no memory is left"},
    };
    for (size_t i = 0; i < sizeof reasons / sizeof reasons[0]; i++)
        if (reasons[i].trouble == trouble) {
            owl_text_words(text, reasons[i].words);
            return;
        }
    owl_text_words(text, "the system reports error ");
    owl_text_integer(text, trouble);
}
