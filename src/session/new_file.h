/* Files that were not there before. */
#ifndef OWL_SESSION_NEW_FILE_H
#define OWL_SESSION_NEW_FILE_H

#include <stddef.h>

#include "core/text.h"

/* How the writing of a new file went; errno tells more about the last two. */
enum owl_written { OWL_WRITTEN, OWL_NOT_OPENED, OWL_NOT_WHOLE };

/* Writes a file that was not there before, whole or not at all. */
enum owl_written owl_write_new(const char *path, const struct owl_text *text);
enum owl_written owl_write_new_bytes(const char *path, const void *bytes, size_t length);

#endif
