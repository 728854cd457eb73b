/* A plan file as an editor holds it: read with a stamp of its content, and put in place whole only while it is still that.
   What was there goes to a file beside it, its name with "~" behind it. */
#ifndef OWL_SESSION_PLAN_FILE_H
#define OWL_SESSION_PLAN_FILE_H

#include <stdbool.h>
#include <stddef.h>

#include "card/digest.h"
#include "card/error.h"
#include "core/status.h"

#define OWL_PLAN_STAMP_BYTES (OWL_DIGEST_DIGITS + 1)

/* Begins as {0}; owl_plan_file_clear gives its memory back. */
struct owl_plan_file {
    char *bytes; /* NUL behind them; NULL: there is no such file */
    size_t length;
    char stamp[OWL_PLAN_STAMP_BYTES]; /* digest of the bytes; "" where there is no file */
};

/* Reads the file as it is now, links followed. OWL_OK too where there is none. OWL_CANNOT_READ: it is no regular file, larger
   than OWL_PLAN_BYTES, or cannot be read; OWL_NO_MEMORY. */
enum owl_status owl_plan_file_read(const char *path, struct owl_plan_file *file, struct owl_error *error) OWL_MUST_USE;
void owl_plan_file_clear(struct owl_plan_file *file);

/* Puts `length` bytes in place of a file whose content has this stamp ("": there is none), and brings both to the device.
   Mode and links stay; the owner where that is allowed. *there becomes what the file holds afterwards: what was given, or where
   *conflict is true, and nothing was written, what somebody else wrote meanwhile. OWL_CANNOT_WRITE: the file is read-only, the
   backup's name is taken by what is no file, no room, no permission: nothing is altered then but, at most, the backup. */
enum owl_status owl_plan_file_save(const char *path, const char *bytes, size_t length, const char *stamp, bool *conflict,
                                   struct owl_plan_file *there, struct owl_error *error) OWL_MUST_USE;

#endif
