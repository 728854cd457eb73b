/* Shelves opened: the user's own files and the generic one inside the program. */
#ifndef OWL_CLI_SHELF_FILES_H
#define OWL_CLI_SHELF_FILES_H

#include "shelf/wire.h"

#define OWL_SHELF_FILES_MOST (OWL_WIRE_SHELVES - 1) /* the generic shelf is the last */

struct owl_shelves {
    struct owl_shelf *shelf; /* `count` of them, the generic one last */
    int count;
};

/* Reads the files, and appends the generic shelf. The exit status, told; *shelves is then empty. */
int owl_shelves_open(const char *const *path, int paths, struct owl_shelves *shelves);
void owl_shelves_close(struct owl_shelves *shelves);

/* The whole text of a file, closed with NUL, from malloc, at most OWL_SHELF_BYTES; NULL, told. */
char *owl_shelves_text(const char *path, size_t *length);

/* Reads a shelf's text; complaints are told. The exit status. */
int owl_shelves_read(const char *path, const char *bytes, size_t length, struct owl_shelf *shelf);

#endif
