/* The drawings of a rehearsal, each a file of its own in a directory. */
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "cli/command.h"
#include "cli/console.h"
#include "cli/rehearse_page.h"
#include "core/draw/curves.h"

enum curve { KEEPERS, CELLS, LEDGER, CURVES };

static const struct {
    const char *name;
    size_t bytes;
} curves[CURVES] = {
    [KEEPERS] = {"keepers.svg", OWL_KEEPERS_BYTES},
    [CELLS] = {"cells.svg", OWL_CELLS_BYTES},
    [LEDGER] = {"ledger.svg", OWL_LEDGER_BYTES},
};

static void draw(const struct owl_rehearse_page *page, enum curve curve, struct owl_text *svg)
{
    const struct owl_session *session = page->session;
    switch (curve) {
    case KEEPERS: owl_draw_keepers(&session->plan, page->rehearsal, svg); break;
    case CELLS: owl_draw_cells(&session->plan, &session->evaluation, page->rehearsal, svg); break;
    default: owl_draw_ledger(&session->plan, page->rehearsal, svg);
    }
}

static int write_curve(const struct owl_rehearse_page *page, const char *directory, enum curve curve)
{
    char path[4096];
    if (snprintf(path, sizeof path, "%s/%s", directory, curves[curve].name) >= (int)sizeof path)
        return owl_complain_usage("the path is too long:", directory);
    struct owl_text svg = owl_page_begin(curves[curve].bytes);
    if (!svg.buffer)
        return OWL_EXIT_FAILED;
    draw(page, curve, &svg);
    int exit_status = owl_write_picture(path, "--curves", svg.buffer, svg.length);
    free(svg.buffer);
    if (exit_status == OWL_EXIT_WELL)
        printf("%s\n", path);
    return exit_status;
}

int owl_rehearse_curves(const struct owl_rehearse_page *page, const char *directory)
{
    if (mkdir(directory, 0777) != 0 && errno != EEXIST) {
        fprintf(stderr, "owllight: %s: %s\n", directory, strerror(errno));
        return OWL_EXIT_WRONG;
    }
    for (enum curve curve = KEEPERS; curve < CURVES; curve++) {
        int exit_status = write_curve(page, directory, curve);
        if (exit_status != OWL_EXIT_WELL)
            return exit_status;
    }
    return OWL_EXIT_WELL;
}
