/* New files, whole or not at all. */
#include "session/new_file.h"

#include <errno.h>
#include <stdbool.h>
#include <stdio.h>

enum owl_written owl_write_new_bytes(const char *path, const void *bytes, size_t length)
{
    FILE *file = fopen(path, "wbx");
    if (!file)
        return OWL_NOT_OPENED;
    bool whole = fwrite(bytes, 1, length, file) == length;
    int first_error = errno;
    if (fclose(file) != 0) {
        first_error = whole ? errno : first_error;
        whole = false;
    }
    if (whole)
        return OWL_WRITTEN;
    remove(path);
    errno = first_error;
    return OWL_NOT_WHOLE;
}

enum owl_written owl_write_new(const char *path, const struct owl_text *text)
{
    return owl_write_new_bytes(path, text->buffer, text->length);
}
