/* Files read whole, their complaints shown as a plan's are. */
#include "cli/shelf_files.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "cli/command.h"
#include "cli/console.h"
#include "shelf/generic.h"
#include "shelf/reader.h"

#define COMPLAINT_BYTES 1024

char *owl_shelves_text(const char *path, size_t *length)
{
    FILE *file = fopen(path, "rb");
    if (!file) {
        fprintf(stderr, "owllight: %s: %s\n", path,
                errno == ENOENT ? "there is no such file; a shelf file, as owllight shelf prints one, would be right" : strerror(errno));
        return NULL;
    }
    char *bytes = malloc(OWL_SHELF_BYTES + 2);
    *length = bytes ? fread(bytes, 1, OWL_SHELF_BYTES + 1, file) : 0;
    bool failed = ferror(file) != 0;
    fclose(file);
    if (!bytes) {
        owl_complain_memory();
        return NULL;
    }
    if (failed) {
        fprintf(stderr, "owllight: %s: it cannot be read to its end\n", path);
        free(bytes);
        return NULL;
    }
    bytes[*length] = '\0';
    return bytes;
}

int owl_shelves_read(const char *path, const char *bytes, size_t length, struct owl_shelf *shelf)
{
    struct owl_complaints *complaints = calloc(1, sizeof *complaints);
    if (!complaints)
        return owl_complain_memory();
    enum owl_status status = owl_shelf_read(bytes, length, shelf, complaints);
    bool bom = length >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0;
    for (int i = 0; i < complaints->count; i++) {
        char buffer[COMPLAINT_BYTES];
        struct owl_text text = owl_text_over(buffer, sizeof buffer);
        owl_complaint_show(&complaints->list[i], path, bytes + (bom ? 3 : 0), length - (bom ? 3 : 0), &text);
        fputs(buffer, stderr);
    }
    if (complaints->left_out > 0)
        fprintf(stderr, "%s: %d more like these\n", path, complaints->left_out);
    free(complaints);
    return status == OWL_OK ? OWL_EXIT_WELL : OWL_EXIT_WRONG;
}

static int take_file(const char *path, struct owl_shelf *shelf)
{
    size_t length = 0;
    char *bytes = owl_shelves_text(path, &length);
    int exit_status = bytes ? owl_shelves_read(path, bytes, length, shelf) : OWL_EXIT_WRONG;
    free(bytes);
    return exit_status;
}

int owl_shelves_open(const char *const *path, int paths, struct owl_shelves *shelves)
{
    *shelves = (struct owl_shelves){calloc((size_t)paths + 1, sizeof *shelves->shelf), paths + 1};
    if (!shelves->shelf)
        return owl_complain_memory();
    int exit_status = OWL_EXIT_WELL;
    for (int i = 0; i < paths && exit_status == OWL_EXIT_WELL; i++)
        exit_status = take_file(path[i], &shelves->shelf[i]);
    owl_shelf_generic(&shelves->shelf[paths]);
    if (exit_status != OWL_EXIT_WELL)
        owl_shelves_close(shelves);
    return exit_status;
}

void owl_shelves_close(struct owl_shelves *shelves)
{
    free(shelves->shelf);
    *shelves = (struct owl_shelves){0};
}
