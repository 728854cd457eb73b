/* Folder handles, part by part. */
#include "card/folder.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define AS_FOLDER (O_RDONLY | O_DIRECTORY | O_CLOEXEC)

struct owl_folder owl_folder_at(const struct owl_calls *calls, int root)
{
    return (struct owl_folder){calls, root, root, NULL, false};
}

int owl_folder_settle(struct owl_folder *folder)
{
    if (folder->unsettled && folder->calls->sync_folder(folder->here) != 0)
        return -1;
    folder->unsettled = false;
    return 0;
}

void owl_folder_close(struct owl_folder *folder)
{
    if (folder->here != folder->root)
        close(folder->here);
    free(folder->path);
    *folder = owl_folder_at(folder->calls, folder->root);
}

/* A new folder's own name must be safe before files in it can be. */
static int make_part(const struct owl_calls *calls, int folder, const char *part)
{
    if (mkdirat(folder, part, 0777) == 0)
        return calls->sync_folder(folder);
    return errno == EEXIST ? 0 : -1;
}

static int enter_part(const struct owl_folder *folder, int from, const char *part, bool make)
{
    int inner = folder->calls->open_at(from, part, AS_FOLDER | O_NOFOLLOW, 0);
    if (inner >= 0 || errno != ENOENT || !make)
        return inner;
    return make_part(folder->calls, from, part) == 0 ? folder->calls->open_at(from, part, AS_FOLDER | O_NOFOLLOW, 0) : -1;
}

static int walk_parts(const struct owl_folder *folder, const char *path, bool make)
{
    int here = folder->root;
    while (*path) {
        char part[NAME_MAX + 1];
        size_t length = strcspn(path, "/");
        if (length > NAME_MAX) {
            errno = ENAMETOOLONG;
            length = 0;
        }
        memcpy(part, path, length);
        part[length] = '\0';
        int inner = length > 0 ? enter_part(folder, here, part, make) : -1;
        int trouble = errno;
        if (here != folder->root)
            close(here);
        errno = trouble;
        if (inner < 0)
            return -1;
        here = inner;
        path += length + (path[length] == '/');
    }
    return here;
}

static bool is_here(const struct owl_folder *folder, const char *path, size_t length)
{
    return folder->path ? strlen(folder->path) == length && memcmp(folder->path, path, length) == 0 : length == 0;
}

int owl_folder_enter(struct owl_folder *folder, const char *path, bool make, const char **name)
{
    const char *slash = strrchr(path, '/');
    size_t length = slash ? (size_t)(slash - path) : 0;
    *name = slash ? slash + 1 : path;
    if (is_here(folder, path, length))
        return folder->here;
    if (owl_folder_settle(folder) != 0)
        return -1;
    owl_folder_close(folder);
    if (length == 0)
        return folder->root;
    char *own = strndup(path, length);
    int here = own ? walk_parts(folder, own, make) : -1;
    if (here < 0) {
        free(own);
        return -1;
    }
    folder->here = here;
    folder->path = own;
    return here;
}

/* ---- the target ---- */

static bool same_folder(const struct stat *one, const struct stat *other)
{
    return one->st_dev == other->st_dev && one->st_ino == other->st_ino;
}

/* Whether a folder is another or lies below it: climbs to the top, where ".." leads nowhere else. */
static bool lies_in(int folder, int other)
{
    struct stat wanted, now, before;
    if (fstat(other, &wanted) != 0)
        return true;
    int here = openat(folder, ".", AS_FOLDER);
    bool found = false, top = here < 0 || fstat(here, &now) != 0;
    while (!found && !top) {
        found = same_folder(&now, &wanted);
        int above = openat(here, "..", AS_FOLDER);
        close(here);
        here = above;
        before = now;
        top = here < 0 || fstat(here, &now) != 0 || same_folder(&now, &before);
    }
    if (here >= 0)
        close(here);
    return found;
}

static int forbid(int folder, int forbidden)
{
    if (folder < 0 || !lies_in(folder, forbidden))
        return folder;
    close(folder);
    errno = EXDEV;
    return -1;
}

/* The path up to its last part. */
static char *parent_of(const char *path, const char **last)
{
    const char *slash = strrchr(path, '/');
    *last = slash ? slash + 1 : path;
    if (!slash)
        return strdup(".");
    return slash == path ? strdup("/") : strndup(path, (size_t)(slash - path));
}

static int open_or_make(const char *path, int forbidden)
{
    int folder = forbid(open(path, AS_FOLDER), forbidden);
    if (folder >= 0 || errno != ENOENT)
        return folder;
    const char *last;
    char *parent = parent_of(path, &last);
    /* "." is its own parent: where even that is gone, nothing can be made. */
    int above = parent && strcmp(parent, path) != 0 ? open_or_make(parent, forbidden) : -1;
    free(parent);
    if (above < 0)
        return -1;
    if (mkdirat(above, last, 0777) == 0 || errno == EEXIST)
        folder = openat(above, last, AS_FOLDER);
    int trouble = errno;
    close(above);
    errno = trouble;
    return forbid(folder, forbidden);
}

int owl_folder_open_target(const char *path, int forbidden)
{
    size_t length = strlen(path);
    while (length > 1 && path[length - 1] == '/')
        length--;
    char *own = strndup(path, length);
    int folder = own && length > 0 ? open_or_make(own, forbidden) : -1;
    int trouble = length > 0 ? errno : ENOENT;
    free(own);
    errno = trouble;
    return folder;
}
