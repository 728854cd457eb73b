/* Writes for one plan what the WebAssembly module is to be given and what it must find: the text, the
   prepared nights and rows, the sky as bytes, and the native build's figures, reports, drawings and, with the word `advice`
   behind, advice. Used by scripts/check-wasm. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/desk/desk.h"
#include "core/draw/curves.h"
#include "core/draw/ribbon.h"
#include "core/draw/side.h"
#include "core/draw/stage.h"
#include "core/model/sky_blob.h"
#include "core/plan/evaluate.h"
#include "core/plan/places.h"
#include "core/plan/reader.h"
#include "core/rehearse/rehearsal.h"
#include "core/report/advice.h"
#include "core/report/figures.h"
#include "core/report/form.h"
#include "core/report/ledger.h"
#include "sky/watch_sky.h"

#define PAGE_BYTES ((size_t)1 << 20)

#define SEASONS 200
#define SEED 7
#define WIDTH 120
#define HEIGHT 80
#define AMBIENT_LX 0.5

/* The rehearsal of the evaluated plan; static, so that its padding is zero as in the module. */
static const struct owl_rehearsal *rehearse(const struct owl_plan *plan, const struct owl_watch_view *watch,
                                            const struct owl_evaluation *evaluation)
{
    static struct owl_setup_row row[OWL_NIGHTS_MOST * OWL_NIGHT_ROWS + 1];
    static struct owl_setup setup;
    static struct owl_season season[SEASONS];
    static double column[SEASONS];
    static struct owl_rehearsal rehearsal;
    struct owl_habits habits = owl_setup_habits_of(plan);
    if (owl_setup_prepare(plan, watch, evaluation, &habits, row, &setup) != OWL_OK)
        return NULL;
    owl_rehearsal_run(&setup, SEED, 0, SEASONS, season);
    owl_rehearsal_reduce(&setup, season, SEASONS, column, &rehearsal);
    return &rehearsal;
}

/* The light desk's picture, smoothed, in a light that lets a ghost show. */
static const uint8_t *take_picture(const struct owl_plan *plan, const struct owl_evaluation *evaluation)
{
    static uint8_t marks[WIDTH * HEIGHT], picture[3 * WIDTH * HEIGHT];
    static float linear[3 * WIDTH * HEIGHT];
    struct owl_desk_moment moment = owl_desk_moment_of(plan, evaluation);
    struct owl_desk_scene scene;
    struct owl_film_exposure exposure;
    moment.along_m = 0.05;
    moment.sense = 1;
    if (owl_desk_scene_of(plan, &moment, WIDTH, HEIGHT, &scene) != OWL_OK ||
        owl_desk_exposure_of(plan, &scene, AMBIENT_LX, owl_desk_shutter_s(plan, AMBIENT_LX), &exposure) != OWL_OK)
        return NULL;
    float *room = calloc(owl_film_floats(WIDTH, HEIGHT, scene.lamps + 1), sizeof *room);
    struct owl_film film = owl_film_over(room, WIDTH, HEIGHT, scene.lamps + 1);
    float *work = calloc(owl_film_work_floats(&film), sizeof *work);
    if (room && work) {
        owl_desk_render(&scene, &film, 1, 0, 0, HEIGHT);
        owl_desk_mark(&film, marks);
        owl_desk_smooth(&scene, &film, marks, 0, HEIGHT);
        owl_film_develop(&film, &exposure, work, linear);
        owl_tone_bytes(linear, sizeof linear / sizeof *linear, picture);
    }
    bool taken = room && work;
    free(room);
    free(work);
    return taken ? picture : NULL;
}

static int write_part(const char *stem, const char *part, const void *bytes, size_t length)
{
    char path[4096];
    snprintf(path, sizeof path, "%s.%s", stem, part);
    FILE *file = fopen(path, "wb");
    if (!file || fwrite(bytes, 1, length, file) != length)
        return 1;
    return fclose(file);
}

/* ---- what the page is given as text ---- */

/* One plan with all that follows from it. */
struct whole {
    const char *stem, *text;
    size_t length;
    const struct owl_plan *plan;
    const struct owl_watch_view *watch;
    const struct owl_evaluation *evaluation;
    const struct owl_rehearsal *rehearsal;
};

static char page[PAGE_BYTES];

static struct owl_text begin_page(void)
{
    return owl_text_over(page, sizeof page);
}

static int end_page(const struct whole *whole, const char *part, const struct owl_text *text)
{
    return text->cut ? 1 : write_part(whole->stem, part, text->buffer, text->length);
}

static int write_drawings(const struct whole *whole)
{
    int failed = 0;
    for (int kind = 0; kind < 6; kind++) {
        char part[] = "draw0";
        struct owl_text text = begin_page();
        part[4] = (char)('0' + kind);
        switch (kind) {
        case 0: owl_draw_stage(whole->plan, whole->evaluation, &text); break;
        case 1: owl_draw_side(whole->plan, whole->evaluation, &text); break;
        case 2: owl_draw_ribbon(whole->plan, whole->evaluation, whole->watch, &text); break;
        case 3: owl_draw_keepers(whole->plan, whole->rehearsal, &text); break;
        case 4: owl_draw_cells(whole->plan, whole->evaluation, whole->rehearsal, &text); break;
        default: owl_draw_ledger(whole->plan, whole->rehearsal, &text);
        }
        failed |= end_page(whole, part, &text);
    }
    return failed;
}

static int write_reports(const struct whole *whole)
{
    static struct owl_places places;
    const struct owl_report_plan report = {whole->plan, whole->watch, whole->evaluation};
    const struct owl_report_rehearsal rehearsed = {whole->plan, whole->rehearsal, SEED, SEASONS};
    const struct owl_report_form form = {whole->text, whole->length, &places, whole->plan};
    int failed = 0;
    owl_places_find(whole->text, whole->length, &places);
    for (int kind = 1; kind < 6; kind++) {
        char part[] = "report0";
        struct owl_text text = begin_page();
        part[6] = (char)('0' + kind);
        switch (kind) {
        case 1: owl_report_form(&form, &text); break;
        case 2: owl_report_results(&report, &text); break;
        case 3: owl_report_nights(&report, &text); break;
        case 4: owl_report_warnings(&report, &text); break;
        default: owl_report_ledger(&rehearsed, &text);
        }
        failed |= end_page(whole, part, &text);
    }
    return failed;
}

static int write_sky(const struct whole *whole)
{
    static uint8_t bytes[OWL_SKY_BLOB_BYTES];
    char words[OWL_SKY_KEY_BYTES];
    struct owl_text key = owl_text_over(words, sizeof words);
    size_t length;
    owl_report_sky_key(whole->plan, &key);
    if (owl_sky_blob_write(whole->watch->sky, words, bytes, sizeof bytes, &length) != OWL_OK)
        return 1;
    return write_part(whole->stem, "sky", bytes, length) | write_part(whole->stem, "key", words, key.length);
}

static int write_advice(const struct whole *whole)
{
    enum { MOST = OWL_ADVISE_FRESH * OWL_ADVISE_SEASONS };
    static struct owl_setup_row row[OWL_NIGHTS_MOST * OWL_NIGHT_ROWS + 1];
    static struct owl_season season[MOST];
    static double column[OWL_ADVISE_COLUMNS][MOST];
    static struct owl_advise advise;
    const struct owl_habits habits = owl_setup_habits_of(whole->plan);
    const struct owl_advise_wish wish = {.seed = SEED};
    const struct owl_advise_room room = {row, season, {column[0], column[1], column[2]}};
    struct owl_advise_task task;
    struct owl_text text = begin_page();
    if (owl_advise_begin(&advise, whole->plan, whole->watch, &habits, &wish, &room) != OWL_OK)
        return 1;
    while (owl_advise_next(&advise, &task))
        owl_rehearsal_run(task.setup, task.seed, task.from, task.to, task.season);
    const struct owl_report_advised advised = {.plan = whole->plan, .advice = &advise.advice, .seed = SEED, .doable = true};
    owl_report_advice(&advised, &text);
    return end_page(whole, "advice", &text);
}

int main(int count, char **words)
{
    static char text[OWL_PLAN_BYTES];
    static struct owl_plan plan;
    static struct owl_complaints complaints;
    static struct owl_evaluation evaluation;
    static struct owl_watch_view watch;
    static double values[OWL_FIGURES];
    FILE *file = count == 3 || count == 4 ? fopen(words[1], "rb") : NULL;
    if (!file)
        return 1;
    size_t length = fread(text, 1, sizeof text, file);
    fclose(file);
    if (owl_plan_read(text, length, &plan, &complaints) != OWL_OK)
        return 1;
    struct owl_watch_site site = owl_watch_site_of(&plan);
    struct owl_watch_sky sky;
    size_t nights = (size_t)site.nights, rows = nights * OWL_NIGHT_ROWS + 1;
    struct owl_night *night = calloc(nights, sizeof *night);
    struct owl_watch_row *row = calloc(rows, sizeof *row);
    if (!night || !row || owl_watch_sky_open(&sky, &site) != OWL_OK ||
        owl_watch_view_fill(&plan, &sky.sky, night, row) != OWL_OK)
        return 1;
    watch = (struct owl_watch_view){.nights = site.nights, .night = night, .row = row, .sky = &sky.sky};
    owl_activity_fill(&watch.activity, &plan);
    if (owl_plan_evaluate(&plan, &watch, &evaluation) != OWL_OK)
        return 1;
    for (int i = 0; i < evaluation.outcome.count; i++)
        values[i] = evaluation.outcome.figure[i].value;
    const struct owl_rehearsal *rehearsal = rehearse(&plan, &watch, &evaluation);
    const uint8_t *picture = take_picture(&plan, &evaluation);
    if (!rehearsal || !picture)
        return 1;
    const struct whole whole = {words[2], text, length, &plan, &watch, &evaluation, rehearsal};
    int failed = write_part(words[2], "picture", picture, 3 * WIDTH * HEIGHT) |
                 write_part(words[2], "rehearsal", rehearsal, sizeof *rehearsal) |
                 write_part(words[2], "text", text, length) | write_part(words[2], "nights", night, nights * sizeof *night) |
                 write_part(words[2], "rows", row, rows * sizeof *row) |
                 write_part(words[2], "values", values, (size_t)evaluation.outcome.count * sizeof *values) |
                 write_drawings(&whole) | write_reports(&whole) | write_sky(&whole) |
                 (count == 4 ? write_advice(&whole) : 0);
    owl_watch_sky_close(&sky);
    free(night);
    free(row);
    return failed;
}
