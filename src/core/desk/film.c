/* How a film lies in its room. */
#include "core/desk/film.h"

#define PLANES_PER_LIGHT 6 /* red, green, blue of what is behind and of the body */
#define PLANES_BESIDE 3    /* cover and both depths */

size_t owl_film_floats(int width, int height, int lights)
{
    return (size_t)width * (size_t)height * (size_t)(PLANES_PER_LIGHT * lights + PLANES_BESIDE);
}

struct owl_film owl_film_over(float *room, int width, int height, int lights)
{
    struct owl_film film = {.width = width, .height = height, .lights = lights};
    size_t pixels = (size_t)width * (size_t)height;
    for (int i = 0; i < lights; i++) {
        film.behind[i] = room;
        film.body[i] = room + 3 * pixels;
        room += 6 * pixels;
    }
    film.cover = room;
    film.behind_depth_m = room + pixels;
    film.body_depth_m = room + 2 * pixels;
    return film;
}
