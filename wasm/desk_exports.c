/* The light desk of the plan as it is evaluated: its picture pass by pass, on a film of the module's own. */
#include "core/desk/desk.h"
#include "room.h"

#define WIDTH_MOST 480
#define HEIGHT_MOST 480
#define PIXELS_MOST ((size_t)WIDTH_MOST * HEIGHT_MOST)

static struct owl_wasm_room *const room = &owl_wasm_room;

static struct owl_desk_scene scene;
static struct owl_film film; /* without pixels until begun */
static float film_room[(6 * OWL_FILM_LIGHTS + 3) * PIXELS_MOST];
static float work[13 * PIXELS_MOST], linear[3 * PIXELS_MOST];
static uint8_t marks[PIXELS_MOST], picture[3 * PIXELS_MOST];

EXPORT("desk_begin") int owl_wasm_desk_begin(int width, int height, double along_m, double sense);
EXPORT("desk_pass") void owl_wasm_desk_pass(int step, int done, int from, int to);
EXPORT("desk_smooth") void owl_wasm_desk_smooth(int from, int to);
EXPORT("desk_expose") const uint8_t *owl_wasm_desk_expose(double ambient_lx);
EXPORT("desk_width") int owl_wasm_desk_width(void);
EXPORT("desk_height") int owl_wasm_desk_height(void);

/* The scene of the plan evaluated, its animal so far past the mark towards growing x, on a film of that size; lights it
   has, -1 when there is no such picture. */
int owl_wasm_desk_begin(int width, int height, double along_m, double sense)
{
    film.width = film.height = 0;
    if (!room->evaluated || width < 1 || height < 1 || width > WIDTH_MOST || height > HEIGHT_MOST)
        return -1;
    struct owl_desk_moment moment = owl_desk_moment_of(&room->plan, &room->evaluation);
    moment.along_m = along_m;
    moment.sense = sense < 0.0 ? -1 : 1;
    if (owl_desk_scene_of(&room->plan, &moment, width, height, &scene) != OWL_OK)
        return -1;
    struct owl_film made = owl_film_over(film_room, width, height, scene.lamps + 1);
    if (owl_film_work_floats(&made) > sizeof work / sizeof *work)
        return -1;
    film = made;
    return film.lights;
}

/* Size of the picture last begun; 0 when none is. */
int owl_wasm_desk_width(void)
{
    return film.width;
}

int owl_wasm_desk_height(void)
{
    return film.height;
}

static bool holds(int from, int to)
{
    return from >= 0 && from <= to && to <= film.height;
}

/* One pass over some rows, as owl_desk_render. */
void owl_wasm_desk_pass(int step, int done, int from, int to)
{
    if (holds(from, to) && step > 0)
        owl_desk_render(&scene, &film, step, done, from, to);
}

/* Smooths some rows; those from 0 on come first and mark what is to be smoothed. */
void owl_wasm_desk_smooth(int from, int to)
{
    if (!holds(from, to))
        return;
    if (from == 0)
        owl_desk_mark(&film, marks);
    owl_desk_smooth(&scene, &film, marks, from, to);
}

/* Develops the film as the plan now is set, in that ambient light: red, green, blue of every pixel; NULL when it cannot be. */
const uint8_t *owl_wasm_desk_expose(double ambient_lx)
{
    struct owl_film_exposure exposure;
    if (film.width == 0)
        return NULL;
    double shutter_s = owl_desk_shutter_s(&room->plan, ambient_lx);
    if (owl_desk_exposure_of(&room->plan, &scene, ambient_lx, shutter_s, &exposure) != OWL_OK)
        return NULL;
    owl_film_develop(&film, &exposure, work, linear);
    owl_tone_bytes(linear, 3 * (size_t)film.width * (size_t)film.height, picture);
    return picture;
}
