/* The command `light`: the picture the rig will take, lit as the flashes stand, as a PNG file. */
#include <math.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "cli/command.h"
#include "cli/console.h"
#include "cli/session.h"
#include "core/calendar.h"
#include "core/constants.h"
#include "core/desk/desk.h"
#include "core/model/metering.h"
#include "image/png.h"

#define USUAL_WIDTH 960
#define LEAST_WIDTH 16
#define MOST_WIDTH 4096
#define BAND_ROWS 8 /* a thread takes so many rows at a time */
#define PAGE_BYTES ((size_t)1 << 14)

/* ---- what was asked ---- */

struct asked {
    const char *file, *picture, *night, *at, *only; /* NULL: not given */
    uint64_t width, threads;
    bool on_mark, card;
};

struct word_option {
    const char *name;
    const char **words;
};

/* Takes the option at words[*i] if it is one that has a word behind it; -1 when it is not. */
static int read_word_option(struct asked *asked, int count, char **words, int *i)
{
    const struct word_option options[] = {
        {"-o", &asked->picture}, {"--night", &asked->night}, {"--at", &asked->at}, {"--only", &asked->only}};
    for (size_t option = 0; option < sizeof options / sizeof *options; option++) {
        if (strcmp(words[*i], options[option].name) != 0)
            continue;
        if (*i + 1 == count)
            return owl_complain_usage("a word is missing after", words[*i]);
        *options[option].words = words[++*i];
        return OWL_EXIT_WELL;
    }
    return -1;
}

static int read_number_option(struct asked *asked, int count, char **words, int *i)
{
    const struct owl_number_option options[] = {{"--width", &asked->width, LEAST_WIDTH, MOST_WIDTH},
                                                {"--threads", &asked->threads, 1, OWL_THREADS_MOST}};
    for (size_t option = 0; option < sizeof options / sizeof *options; option++)
        if (strcmp(words[*i], options[option].name) == 0)
            return owl_read_number(&options[option], *i + 1 < count ? words[++*i] : NULL);
    return -1;
}

static int read_plain(struct asked *asked, const char *word)
{
    if (strcmp(word, "--on-mark") == 0)
        asked->on_mark = true;
    else if (strcmp(word, "--card") == 0)
        asked->card = true;
    else if (word[0] == '-' && word[1] != '\0')
        return owl_complain_usage("light takes -o, --night, --at, --only, --width, --threads, --on-mark and --card, not", word);
    else if (asked->file)
        return owl_complain_usage("light takes one file; this is a second:", word);
    else
        asked->file = word;
    return OWL_EXIT_WELL;
}

static int read_asked(int count, char **words, struct asked *asked)
{
    *asked = (struct asked){.width = USUAL_WIDTH};
    for (int i = 0; i < count; i++) {
        int exit_status = read_word_option(asked, count, words, &i);
        if (exit_status < 0)
            exit_status = read_number_option(asked, count, words, &i);
        if (exit_status < 0)
            exit_status = read_plain(asked, words[i]);
        if (exit_status != OWL_EXIT_WELL)
            return exit_status;
    }
    if (!asked->file)
        return owl_complain_usage("light needs a file, such as: light examples/marten.plan -o picture.png", NULL);
    if (!asked->picture || *asked->picture == '\0' || *asked->picture == '-')
        return owl_complain_usage("light needs -o and the name of a new picture, such as: -o picture.png", NULL);
    return OWL_EXIT_WELL;
}

/* ---- the minute ---- */

/* Light at a time of the watch: between its rows the logarithm runs straight. */
static double light_at_lx(const struct owl_watch_view *watch, double unix_s)
{
    double rows = (unix_s - watch->night[0].noon_unix_s) / OWL_ROW_STEP_S;
    int last = watch->nights * OWL_NIGHT_ROWS - 1, row = rows < 0.0 ? 0 : rows > last ? last : (int)rows;
    double share = fmin(fmax(rows - row, 0.0), 1.0);
    return exp(log(watch->row[row].light_lx) * (1.0 - share) + log(watch->row[row + 1].light_lx) * share);
}

/* The time of day on a night of the watch: from noon on it is of the evening's date, before that of the next. */
static int read_minute(const struct owl_session *session, const char *words, int night, double *unix_s)
{
    double clock_s = NAN;
    size_t at = 0;
    if (owl_unit_read(OWL_UNIT_CLOCK, words, strlen(words), &clock_s, &at) != OWL_READ_WELL) {
        fprintf(stderr, "owllight: --at %s: a time by the clock of the site, such as 21:30, would be right\n", words);
        return OWL_EXIT_WRONG;
    }
    double days = session->plan.watch.start_days + night + (clock_s < OWL_SECONDS_PER_DAY / 2.0);
    *unix_s = owl_sky_unix_s(session->watch.sky, owl_calendar_date((int64_t)days), (int)clock_s);
    return OWL_EXIT_WELL;
}

/* Without a time asked for: the minute of the test, so that picture and test frame can be laid side by side; else midnight. */
static double usual_minute(const struct owl_session *session, int night)
{
    double test_s = session->evaluation.night[night].test_unix_s;
    return isnan(test_s) ? session->watch.night[night].noon_unix_s + OWL_SECONDS_PER_DAY / 2.0 : test_s;
}

/* ---- the rendering, shared among threads ---- */

struct crew {
    const struct owl_desk_scene *scene;
    struct owl_film *film;
    const uint8_t *marks; /* NULL: the first pass */
    atomic_int next_row;
};

static void render_bands(void *shared)
{
    struct crew *crew = shared;
    int from = atomic_fetch_add(&crew->next_row, BAND_ROWS);
    for (; from < crew->film->height; from = atomic_fetch_add(&crew->next_row, BAND_ROWS)) {
        if (crew->marks)
            owl_desk_smooth(crew->scene, crew->film, crew->marks, from, from + BAND_ROWS);
        else
            owl_desk_render(crew->scene, crew->film, 1, 0, from, from + BAND_ROWS);
    }
}

static void render(const struct owl_desk_scene *scene, struct owl_film *film, uint8_t *marks, int threads)
{
    struct crew crew = {.scene = scene, .film = film};
    owl_share_work(threads, render_bands, render_bands, &crew);
    owl_desk_mark(film, marks);
    struct crew smoothing = {.scene = scene, .film = film, .marks = marks};
    owl_share_work(threads, render_bands, render_bands, &smoothing);
}

/* ---- the picture ---- */

struct picture {
    struct owl_session *session;
    const struct asked *asked;
    int width, height, only; /* the light shown alone; -1: all */
    double unix_s, ambient_lx, shutter_s;
    struct owl_desk_moment moment;
    struct owl_desk_scene scene;
    float *room;
    uint8_t *rgb;
};

static int find_light(const struct owl_session *session, const char *name)
{
    const struct owl_plan *plan = &session->plan;
    for (int i = 0; i < plan->flashes; i++)
        if (strcmp(plan->flash[i].name, name) == 0)
            return i;
    if (strcmp(name, "ambient") == 0)
        return plan->flashes;
    fprintf(stderr, "owllight: --only %s: the lights of this plan are", name);
    for (int i = 0; i < plan->flashes; i++)
        fprintf(stderr, " %s,", plan->flash[i].name);
    fputs(" ambient\n", stderr);
    return -1;
}

/* The frame as it lies, so many pixels wide. */
static int picture_height(const struct owl_plan *plan, int width)
{
    const struct owl_plan_camera *camera = &plan->camera;
    double ratio = camera->height_m / camera->width_m;
    double height = width * (camera->orientation == OWL_PORTRAIT ? 1.0 / ratio : ratio);
    return height < 1.0 ? 1 : height > OWL_FILM_SIDE_MOST ? OWL_FILM_SIDE_MOST : (int)lround(height);
}

static int settle(struct picture *picture)
{
    struct owl_session *session = picture->session;
    const struct asked *asked = picture->asked;
    int night = asked->night ? owl_session_find_night(session, asked->night) : 0;
    if (night < 0)
        return OWL_EXIT_WRONG;
    picture->unix_s = usual_minute(session, night);
    if (asked->at && read_minute(session, asked->at, night, &picture->unix_s) != OWL_EXIT_WELL)
        return OWL_EXIT_WRONG;
    picture->only = asked->only ? find_light(session, asked->only) : -1;
    if (asked->only && picture->only < 0)
        return OWL_EXIT_WRONG;
    picture->ambient_lx = light_at_lx(&session->watch, picture->unix_s);
    picture->shutter_s = owl_desk_shutter_s(&session->plan, picture->ambient_lx);
    picture->moment = owl_desk_moment_of(&session->plan, &session->evaluation);
    picture->moment.card = asked->card;
    if (asked->on_mark)
        picture->moment.along_m = 0.0;
    picture->width = (int)asked->width;
    picture->height = picture_height(&session->plan, picture->width);
    enum owl_status status =
        owl_desk_scene_of(&session->plan, &picture->moment, picture->width, picture->height, &picture->scene);
    if (status == OWL_OK)
        return OWL_EXIT_WELL;
    fprintf(stderr, "owllight: %s: %s\n", asked->file, owl_status_words(status));
    return OWL_EXIT_WRONG;
}

/* Renders, exposes, and leaves red, green, blue in picture->rgb. */
static int take_picture(struct picture *picture)
{
    int lights = picture->session->plan.flashes + 1;
    size_t pixels = (size_t)picture->width * (size_t)picture->height;
    size_t film_floats = owl_film_floats(picture->width, picture->height, lights);
    struct owl_film_exposure exposure;
    enum owl_status status = owl_desk_exposure_of(&picture->session->plan, &picture->scene, picture->ambient_lx,
                                                  picture->shutter_s, &exposure);
    if (status != OWL_OK) {
        fprintf(stderr, "owllight: %s: %s\n", picture->asked->file, owl_status_words(status));
        return OWL_EXIT_WRONG;
    }
    picture->room = malloc(film_floats * sizeof *picture->room);
    picture->rgb = malloc(pixels * 3);
    if (!picture->room || !picture->rgb)
        return owl_complain_memory();
    struct owl_film film = owl_film_over(picture->room, picture->width, picture->height, lights);
    float *work = malloc((owl_film_work_floats(&film) + pixels * 3) * sizeof *work);
    if (!work)
        return owl_complain_memory();
    float *linear = work + owl_film_work_floats(&film);
    render(&picture->scene, &film, picture->rgb, owl_thread_count(picture->asked->threads));
    for (int i = 0; i < lights; i++)
        if (picture->only >= 0 && i != picture->only)
            exposure.weight[i] = 0.0;
    owl_film_develop(&film, &exposure, work, linear);
    owl_tone_bytes(linear, pixels * 3, picture->rgb);
    free(work);
    return OWL_EXIT_WELL;
}

static int write_picture(const struct picture *picture)
{
    struct owl_png png;
    const char *title = picture->session->plan.site.name;
    enum owl_status status = owl_png_encode(picture->width, picture->height, picture->rgb, *title ? title : "owllight", &png);
    if (status != OWL_OK)
        return owl_complain_memory();
    int exit_status = owl_write_picture(picture->asked->picture, "-o", png.bytes, png.length);
    free(png.bytes);
    return exit_status;
}

/* ---- what is told about it ---- */

static void tell_animal(const struct picture *picture, struct owl_text *page)
{
    const struct owl_plan *plan = &picture->session->plan;
    double past_m = picture->moment.sense * picture->moment.along_m;
    owl_text_words(page, "  ");
    if (picture->asked->card) {
        owl_text_words(page, "a grey card on the mark, facing the camera\n");
        return;
    }
    owl_text_words(page, owl_animal_at((size_t)plan->subject.kind)->name);
    if (past_m == 0.0) {
        owl_text_words(page, " on the mark");
    } else {
        owl_text_words(page, ", its middle ");
        owl_unit_show(OWL_UNIT_LENGTH, fabs(past_m), page);
        owl_text_words(page, past_m > 0.0 ? " past the mark" : " before the mark");
    }
    owl_text_words(page, picture->asked->on_mark ? "\n" : " as the shutter opens (working shutter.offset)\n");
}

/* A flash from behind throws nothing on the side the camera sees: what it gives is a rim. */
static void tell_flash(const struct picture *picture, int i, struct owl_text *page)
{
    const struct owl_plan_flash *flash = &picture->session->plan.flash[i];
    const struct owl_outcome *outcome = &picture->session->evaluation.outcome;
    owl_text_words(page, "  ");
    owl_text_padded(page, flash->name, 10);
    owl_unit_show(OWL_UNIT_POWER, flash->power, page);
    if (owl_outcome_value(outcome, OWL_RESULT_FLASH_EXPOSURE, i) > 0.0) {
        owl_text_words(page, ", alone ");
        owl_unit_show(OWL_UNIT_STOPS, owl_outcome_value(outcome, OWL_RESULT_FLASH_STOPS, i), page);
        owl_text_words(page, " against a right exposure (working flash.");
        owl_text_words(page, flash->name);
        owl_text_words(page, ".stops)\n");
    } else {
        owl_text_words(page, ", from behind: a rim of light\n");
    }
}

static void tell_lights(const struct picture *picture, struct owl_text *page)
{
    for (int i = 0; i < picture->session->plan.flashes; i++)
        if (picture->only < 0 || picture->only == i)
            tell_flash(picture, i, page);
}

static void tell_ambient(const struct picture *picture, struct owl_text *page)
{
    const struct owl_plan *plan = &picture->session->plan;
    double needed_lxs = owl_metering_ambient_exposure_needed_lxs(plan->camera.aperture, plan->camera.iso);
    if (picture->only >= 0 && picture->only != plan->flashes)
        return;
    owl_text_words(page, "  ");
    owl_text_padded(page, "ambient", 10);
    owl_unit_show(OWL_UNIT_LIGHT, picture->ambient_lx, page);
    owl_text_words(page, " at ");
    owl_unit_show(OWL_UNIT_MOMENT, owl_sky_local_s(picture->session->watch.sky, picture->unix_s), page);
    owl_text_words(page, ", shutter ");
    owl_unit_show(OWL_UNIT_SHUTTER, picture->shutter_s, page);
    owl_text_words(page, ", ");
    owl_unit_show(OWL_UNIT_STOPS, owl_metering_stops(picture->ambient_lx * picture->shutter_s / needed_lxs), page);
    owl_text_words(page, " against a right exposure\n");
}

static int tell(const struct picture *picture)
{
    struct owl_text page = owl_page_begin(PAGE_BYTES);
    if (!page.buffer)
        return OWL_EXIT_FAILED;
    owl_text_words(&page, picture->asked->picture);
    owl_text_words(&page, ": ");
    owl_text_integer(&page, picture->width);
    owl_text_words(&page, " by ");
    owl_text_integer(&page, picture->height);
    owl_text_words(&page, " pixels\n");
    tell_animal(picture, &page);
    tell_lights(picture, &page);
    tell_ambient(picture, &page);
    return owl_page_end(&page);
}

int owl_command_light(int count, char **words)
{
    struct asked asked;
    struct picture picture = {.asked = &asked};
    int exit_status = read_asked(count, words, &asked);
    if (exit_status != OWL_EXIT_WELL)
        return exit_status;
    enum owl_status status = owl_session_open(asked.file, &picture.session);
    if (status != OWL_OK)
        return owl_session_exit(status);
    exit_status = settle(&picture);
    if (exit_status == OWL_EXIT_WELL)
        exit_status = take_picture(&picture);
    if (exit_status == OWL_EXIT_WELL)
        exit_status = write_picture(&picture);
    if (exit_status == OWL_EXIT_WELL)
        exit_status = tell(&picture);
    free(picture.room);
    free(picture.rgb);
    owl_session_free(picture.session);
    return exit_status;
}
