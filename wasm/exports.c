/* The core as a WebAssembly module: the only file with export attributes.
   The caller writes plan text and prepared nights into the module's own buffers, calls, and reads
   doubles back. Nothing is allocated and nothing imported. */
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include "core/desk/desk.h"
#include "core/plan/evaluate.h"
#include "core/plan/reader.h"
#include "core/rehearse/rehearsal.h"

#define OWL_WASM_SEASONS 1000

#define OWL_WASM_DESK_WIDTH 480 /* the light desk's picture at most */
#define OWL_WASM_DESK_HEIGHT 480
#define OWL_WASM_DESK_PIXELS ((size_t)OWL_WASM_DESK_WIDTH * OWL_WASM_DESK_HEIGHT)

#define EXPORT(name) __attribute__((export_name(name)))

static char text[OWL_PLAN_BYTES + 1];
static struct owl_plan plan;
static struct owl_complaints complaints;
static struct owl_night night[OWL_NIGHTS_MOST];
static struct owl_watch_row row[OWL_NIGHTS_MOST * OWL_NIGHT_ROWS + 1];
static struct owl_watch_view watch;
static struct owl_evaluation evaluation;
static double values[OWL_FIGURES];
static struct owl_setup_row setup_row[OWL_NIGHTS_MOST * OWL_NIGHT_ROWS + 1];
static struct owl_setup setup;
static struct owl_season season[OWL_WASM_SEASONS];
static double column[OWL_WASM_SEASONS];
static struct owl_rehearsal rehearsal;
static struct owl_desk_scene scene;
static struct owl_film film;
static float film_room[(6 * OWL_FILM_LIGHTS + 3) * OWL_WASM_DESK_PIXELS];
static float work[13 * OWL_WASM_DESK_PIXELS], linear[3 * OWL_WASM_DESK_PIXELS];
static uint8_t marks[OWL_WASM_DESK_PIXELS], picture[3 * OWL_WASM_DESK_PIXELS];

EXPORT("text") char *owl_wasm_text(void);
EXPORT("nights") struct owl_night *owl_wasm_nights(void);
EXPORT("rows") struct owl_watch_row *owl_wasm_rows(void);
EXPORT("read") int owl_wasm_read(int length);
EXPORT("evaluate") int owl_wasm_evaluate(void);
EXPORT("rehearse") int owl_wasm_rehearse(int seasons, int seed);
EXPORT("rehearsal") const struct owl_rehearsal *owl_wasm_rehearsal(void);
EXPORT("desk_begin") int owl_wasm_desk_begin(int width, int height, double along_m, double sense);
EXPORT("desk_pass") void owl_wasm_desk_pass(int step, int done, int from, int to);
EXPORT("desk_smooth") void owl_wasm_desk_smooth(int from, int to);
EXPORT("desk_expose") const uint8_t *owl_wasm_desk_expose(double ambient_lx);
EXPORT("values") const double *owl_wasm_values(void);
EXPORT("complaint") const char *owl_wasm_complaint(int place);

char *owl_wasm_text(void)
{
    return text;
}

struct owl_night *owl_wasm_nights(void)
{
    return night;
}

struct owl_watch_row *owl_wasm_rows(void)
{
    return row;
}

/* Reads `length` bytes of text; 0, or the number of complaints. */
int owl_wasm_read(int length)
{
    enum owl_status status = owl_plan_read(text, (size_t)length, &plan, &complaints);
    return status == OWL_OK ? 0 : complaints.count;
}

const char *owl_wasm_complaint(int place)
{
    return place >= 0 && place < complaints.count ? complaints.list[place].words : "";
}

/* Evaluates the plan read under the nights and rows written; the number of figures, -1 when a formula
   did not hold. */
int owl_wasm_evaluate(void)
{
    watch = (struct owl_watch_view){.nights = (int)plan.watch.nights, .night = night, .row = row};
    owl_activity_fill(&watch.activity, &plan);
    if (owl_plan_evaluate(&plan, &watch, &evaluation) != OWL_OK)
        return -1;
    for (int i = 0; i < evaluation.outcome.count; i++)
        values[i] = evaluation.outcome.figure[i].value;
    return evaluation.outcome.count;
}

/* The figures' values, in the order of the evaluation. */
const double *owl_wasm_values(void)
{
    return values;
}

/* Rehearses the plan just evaluated; the size of the rehearsal in bytes, -1 when it cannot be. */
int owl_wasm_rehearse(int seasons, int seed)
{
    struct owl_habits habits = owl_setup_habits_of(&plan);
    if (seasons < 1 || seasons > OWL_WASM_SEASONS ||
        owl_setup_prepare(&plan, &watch, &evaluation, &habits, setup_row, &setup) != OWL_OK)
        return -1;
    memset(&rehearsal, 0, sizeof rehearsal); /* nights beyond this watch keep nothing of the last */
    owl_rehearsal_run(&setup, (uint64_t)seed, 0, seasons, season);
    owl_rehearsal_reduce(&setup, season, seasons, column, &rehearsal);
    return (int)sizeof rehearsal;
}

const struct owl_rehearsal *owl_wasm_rehearsal(void)
{
    return &rehearsal;
}

/* The scene of the plan evaluated, its animal so far past the mark towards growing x, on a film of that size; lights it
   has, -1 when there is no such picture. */
int owl_wasm_desk_begin(int width, int height, double along_m, double sense)
{
    struct owl_desk_moment moment = owl_desk_moment_of(&plan, &evaluation);
    moment.along_m = along_m;
    moment.sense = sense < 0.0 ? -1 : 1;
    if (width < 1 || height < 1 || width > OWL_WASM_DESK_WIDTH || height > OWL_WASM_DESK_HEIGHT ||
        owl_desk_scene_of(&plan, &moment, width, height, &scene) != OWL_OK)
        return -1;
    film = owl_film_over(film_room, width, height, scene.lamps + 1);
    if (owl_film_work_floats(&film) > sizeof work / sizeof *work)
        return -1;
    return film.lights;
}

/* One pass over some rows, as owl_desk_render. */
void owl_wasm_desk_pass(int step, int done, int from, int to)
{
    owl_desk_render(&scene, &film, step, done, from, to);
}

/* Smooths some rows; those from 0 on come first and mark what is to be smoothed. */
void owl_wasm_desk_smooth(int from, int to)
{
    if (from == 0)
        owl_desk_mark(&film, marks);
    owl_desk_smooth(&scene, &film, marks, from, to);
}

/* Develops the film as the plan now is set, in that ambient light: red, green, blue of every pixel; NULL when it cannot be. */
const uint8_t *owl_wasm_desk_expose(double ambient_lx)
{
    struct owl_film_exposure exposure;
    double shutter_s = owl_desk_shutter_s(&plan, ambient_lx);
    if (owl_desk_exposure_of(&plan, &scene, ambient_lx, shutter_s, &exposure) != OWL_OK)
        return NULL;
    owl_film_develop(&film, &exposure, work, linear);
    owl_tone_bytes(linear, 3 * (size_t)film.width * (size_t)film.height, picture);
    return picture;
}
