/* The paper sheet is set twice: the first time only to count its pages. */
#include "paper/pdf.h"

#include <assert.h>
#include <stdlib.h>

#include "core/draw/ribbon.h"
#include "core/draw/side.h"
#include "core/draw/stage.h"
#include "paper/pages.h"
#include "sheet/clean.h"

#define TITLE_BYTES 256

static_assert(OWL_RIBBON_BYTES >= OWL_STAGE_BYTES && OWL_RIBBON_BYTES >= OWL_SIDE_BYTES, "the ribbon is the largest drawing");

static void write_span(struct owl_pages *pages)
{
    const struct owl_sheet *sheet = &pages->sheet;
    const struct owl_plan_watch *watch = &sheet->plan->watch;
    owl_pages_words(pages, "*");
    owl_pages_name(pages, owl_animal_at((size_t)sheet->plan->subject.kind)->name);
    owl_pages_words(pages, "*, ");
    OWL_TELL(pages, "% from the evening of ", {OWL_UNIT_NIGHTS, watch->nights});
    owl_sheet_date(sheet, watch->start_days);
    owl_text_char(&pages->gathered, ' ');
    owl_text_integer(&pages->gathered, owl_calendar_date((int64_t)watch->start_days).year);
    OWL_TELL(pages, "; %, %", {OWL_UNIT_LATITUDE, sheet->plan->site.latitude_rad},
             {OWL_UNIT_LONGITUDE, sheet->plan->site.longitude_rad});
    owl_pages_words(pages, "; clock of ");
    owl_pages_name(pages, sheet->plan->site.zone);
    owl_pages_paragraph(pages);
}

static void point_to_warnings(struct owl_pages *pages)
{
    int count = pages->sheet.evaluation->warnings;
    if (count == 0)
        return;
    OWL_TELL(pages, count > 1 ? "*The plan has % warnings: read them before packing.*"
                              : "*The plan has % warning: read it before packing.*",
             {OWL_UNIT_COUNT, count});
    owl_pages_paragraph(pages);
}

static void write_parts(struct owl_pages *pages, const char *title)
{
    owl_leaf_title(&pages->leaf, title);
    write_span(pages);
    point_to_warnings(pages);
    owl_leaf_columns(&pages->leaf, 2);
    owl_pages_packing(pages);
    owl_pages_placing(pages);
    owl_pages_settings(pages);
    owl_pages_test(pages);
    owl_pages_leaving(pages);
    owl_pages_warnings(pages);
    owl_pages_care(pages);
    owl_pages_sky(pages);
}

static bool put_nowhere(void *context, const char *bytes, size_t length)
{
    (void)context, (void)bytes, (void)length;
    return true;
}

/* head->pages becomes the number of pages written. */
static enum owl_status write_once(struct owl_pages *pages, struct owl_leaf_head *head, const struct owl_leaf_way *way,
                                  struct owl_error *error)
{
    pages->gathered = owl_text_over(pages->words, sizeof pages->words);
    pages->sheet.html = &pages->gathered;
    enum owl_status status = owl_leaf_open(&pages->leaf, head, way, error);
    if (status == OWL_OK)
        write_parts(pages, head->title);
    head->pages = pages->leaf.page;
    enum owl_status closed = owl_leaf_close(&pages->leaf);
    return status == OWL_OK ? closed : status;
}

enum owl_status owl_pdf_write(const struct owl_plan *plan, const struct owl_evaluation *evaluation,
                              const struct owl_watch_view *watch, double stamp_unix_s, const struct owl_leaf_way *way,
                              struct owl_error *error)
{
    char buffer[TITLE_BYTES];
    struct owl_text title = owl_text_over(buffer, sizeof buffer);
    struct owl_leaf_head head = {.title = buffer, .stamp_unix_s = stamp_unix_s};
    struct owl_pages *pages = calloc(1, sizeof *pages);
    char *svg = malloc(OWL_RIBBON_BYTES);
    enum owl_status status = pages && svg ? OWL_OK : OWL_NO_MEMORY;
    owl_text_words(&title, plan->site.name[0] ? "Field sheet: " : "Field sheet");
    owl_clean_words(&title, plan->site.name);
    if (status == OWL_OK) {
        *pages = (struct owl_pages){.sheet = {.plan = plan, .evaluation = evaluation, .watch = watch}, .svg = svg};
        status = write_once(pages, &head, &(struct owl_leaf_way){put_nowhere, NULL}, error);
    }
    if (status == OWL_OK)
        status = write_once(pages, &head, way, error);
    free(svg);
    free(pages);
    return status;
}
