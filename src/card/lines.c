/* Whole lines, safe on the device when asked. */
#include "card/lines.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define LARGEST_BYTES ((off_t)1 << 30)

static enum owl_status read_old(struct owl_lines *lines)
{
    struct stat facts;
    if (fstat(lines->file, &facts) != 0)
        return OWL_CANNOT_READ;
    if (facts.st_size > LARGEST_BYTES) {
        errno = EFBIG;
        return OWL_CANNOT_READ;
    }
    size_t size = (size_t)facts.st_size;
    lines->old = malloc(size + 1);
    if (!lines->old)
        return OWL_NO_MEMORY;
    ssize_t got = owl_calls_read_full(lines->calls, lines->file, lines->old, size);
    if (got < 0)
        return OWL_CANNOT_READ;
    lines->old[got] = '\0';
    lines->length = got;
    return OWL_OK;
}

/* A line without its end was being written when power or program went: what it told is found out anew. */
static enum owl_status drop_torn(struct owl_lines *lines)
{
    off_t whole = lines->length;
    while (whole > 0 && lines->old[whole - 1] != '\n')
        whole--;
    if (whole == lines->length)
        return OWL_OK;
    lines->old[whole] = '\0';
    lines->length = whole;
    return ftruncate(lines->file, whole) == 0 ? OWL_OK : OWL_CANNOT_WRITE;
}

enum owl_status owl_lines_open(struct owl_lines *lines, const struct owl_calls *calls, int folder, const char *name)
{
    *lines = (struct owl_lines){.calls = calls, .folder = folder, .file = -1, .name = name};
    lines->file = calls->open_at(folder, name, O_RDWR | O_APPEND | O_NOFOLLOW, 0);
    if (lines->file < 0)
        return errno == ENOENT ? OWL_OK : errno == EROFS ? OWL_CANNOT_WRITE : OWL_CANNOT_READ;
    enum owl_status status = read_old(lines);
    if (status == OWL_OK)
        status = drop_torn(lines);
    int trouble = errno;
    if (status != OWL_OK)
        owl_lines_close(lines);
    errno = trouble;
    return status;
}

char *owl_lines_next(char **at)
{
    if (!*at || !**at)
        return NULL;
    char *line = *at, *end = strchr(line, '\n');
    *at = end ? end + 1 : line + strlen(line);
    if (end)
        *end = '\0';
    return line;
}

static int make_file(struct owl_lines *lines)
{
    lines->file = lines->calls->open_at(lines->folder, lines->name, O_RDWR | O_APPEND | O_CREAT | O_EXCL, 0666);
    return lines->file < 0 ? -1 : lines->calls->sync_folder(lines->folder);
}

int owl_lines_add(struct owl_lines *lines, const char *line, size_t length)
{
    if (lines->file < 0 && make_file(lines) != 0)
        return -1;
    lines->unsettled = true;
    if (owl_calls_write_full(lines->calls, lines->file, line, length) == 0) {
        lines->length += (off_t)length;
        return 0;
    }
    int trouble = errno;
    int cut = ftruncate(lines->file, lines->length);
    (void)cut; /* where even that fails, the next opening takes the torn line off */
    errno = trouble;
    return -1;
}

static int write_beside(const struct owl_lines *lines, int file, const char *text, size_t length)
{
    if (file < 0 || owl_calls_write_full(lines->calls, file, text, length) != 0 || lines->calls->sync_data(file) != 0)
        return -1;
    return lines->calls->rename_over(lines->folder, OWL_LINES_PART, lines->name);
}

int owl_lines_replace(struct owl_lines *lines, const char *text, size_t length)
{
    int file = lines->calls->open_at(lines->folder, OWL_LINES_PART, O_RDWR | O_APPEND | O_CREAT | O_TRUNC | O_NOFOLLOW, 0666);
    if (write_beside(lines, file, text, length) != 0) {
        int trouble = errno;
        if (file >= 0)
            close(file);
        (void)lines->calls->remove(lines->folder, OWL_LINES_PART);
        errno = trouble;
        return -1;
    }
    if (lines->file >= 0)
        close(lines->file);
    lines->file = file;
    lines->length = (off_t)length;
    lines->unsettled = false;
    return lines->calls->sync_folder(lines->folder);
}

int owl_lines_settle(struct owl_lines *lines)
{
    if (lines->unsettled && lines->calls->sync_data(lines->file) != 0)
        return -1;
    lines->unsettled = false;
    return 0;
}

void owl_lines_close(struct owl_lines *lines)
{
    if (lines->file >= 0)
        close(lines->file);
    free(lines->old);
    lines->file = -1;
    lines->old = NULL;
}

/* ---- names ---- */

static const char plain[] = "\\\n\r\t", written[] = "\\nrt";

char *owl_lines_escape(const char *name)
{
    char *text = malloc(2 * strlen(name) + 1), *end = text;
    for (; text && *name; name++) {
        const char *found = strchr(plain, *name);
        if (found)
            *end++ = '\\';
        *end++ = found ? written[found - plain] : *name;
    }
    if (text)
        *end = '\0';
    return text;
}

void owl_lines_unescape(char *name)
{
    char *end = name;
    while (*name) {
        const char *found = *name == '\\' && name[1] ? strchr(written, name[1]) : NULL;
        *end++ = found ? plain[found - written] : *name;
        name += found ? 2 : 1;
    }
    *end = '\0';
}
