/* The light desk at 480 by 320 on one core: the first coarse picture, the whole picture, and the same film exposed anew. */
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "core/desk/desk.h"
#include "core/plan/reader.h"

#define WIDTH 480
#define HEIGHT 320
#define REPEATS 20
#define SOME_LX 20.0

static double now_s(void)
{
    struct timespec time;
    clock_gettime(CLOCK_MONOTONIC, &time);
    return (double)time.tv_sec + 1e-9 * (double)time.tv_nsec;
}

struct desk {
    struct owl_desk_scene scene;
    struct owl_film film;
    struct owl_film_exposure exposure;
    float *work, *linear;
    uint8_t *bytes;
};

static void expose(struct desk *desk)
{
    owl_film_develop(&desk->film, &desk->exposure, desk->work, desk->linear);
    owl_tone_bytes(desk->linear, (size_t)3 * WIDTH * HEIGHT, desk->bytes);
}

static void first_picture(struct desk *desk)
{
    owl_desk_render(&desk->scene, &desk->film, 8, 0, 0, HEIGHT);
    expose(desk);
}

static void whole_picture(struct desk *desk)
{
    owl_desk_render(&desk->scene, &desk->film, 1, 0, 0, HEIGHT);
    owl_desk_mark(&desk->film, desk->bytes);
    owl_desk_smooth(&desk->scene, &desk->film, desk->bytes, 0, HEIGHT);
    expose(desk);
}

static double best_ms(void (*work)(struct desk *), struct desk *desk)
{
    double best_s = 1e9;
    for (int i = 0; i < REPEATS; i++) {
        double start = now_s();
        work(desk);
        double taken = now_s() - start;
        best_s = taken < best_s ? taken : best_s;
    }
    return best_s * 1e3;
}

int main(int count, char **words)
{
    static char bytes[OWL_PLAN_BYTES];
    static struct owl_plan plan;
    static struct owl_complaints complaints;
    static struct desk desk;
    struct owl_desk_moment moment = {.sense = 1, .step = 0.2, .seed = 1};
    FILE *file = count > 1 ? fopen(words[1], "rb") : NULL;
    size_t length = file ? fread(bytes, 1, sizeof bytes, file) : 0;
    if (file)
        fclose(file);
    if (owl_plan_read(bytes, length, &plan, &complaints) != OWL_OK ||
        owl_desk_scene_of(&plan, &moment, WIDTH, HEIGHT, &desk.scene) != OWL_OK ||
        owl_desk_exposure_of(&plan, &desk.scene, SOME_LX, owl_desk_shutter_s(&plan, SOME_LX), &desk.exposure) != OWL_OK)
        return 1;
    int lights = desk.scene.lamps + 1;
    float *room = malloc(owl_film_floats(WIDTH, HEIGHT, lights) * sizeof *room);
    desk.film = owl_film_over(room, WIDTH, HEIGHT, lights);
    desk.work = malloc(owl_film_work_floats(&desk.film) * sizeof *desk.work);
    desk.linear = malloc((size_t)3 * WIDTH * HEIGHT * sizeof *desk.linear);
    desk.bytes = malloc((size_t)3 * WIDTH * HEIGHT);
    if (!room || !desk.work || !desk.linear || !desk.bytes)
        return 1;
    double first_ms = best_ms(first_picture, &desk), whole_ms = best_ms(whole_picture, &desk), anew_ms = best_ms(expose, &desk);
    printf("%s: light desk, %d lights, %d by %d: first picture %.1f ms, whole %.0f ms, exposed anew %.2f ms\n", words[1], lights,
           WIDTH, HEIGHT, first_ms, whole_ms, anew_ms);
    free(room);
    free(desk.work);
    free(desk.linear);
    free(desk.bytes);
    return 0;
}
