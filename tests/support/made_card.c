/* Frame by frame: rendered, stored, noted down. */
#include "support/made_card.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "core/plan/reader.h"
#include "support/made_jpeg.h"
#include "support/made_studio.h"

#define PATH_MOST 4096
#define PREVIEW_WIDTH 1620
#define STREAM_OF_FILE 1000000 /* beyond those of the frames' rendering */
#define FOUR_BYTES_MEAN 510.0  /* of the sum of four even bytes, and its standard deviation */
#define FOUR_BYTES_SPREAD 147.8

static enum owl_status say(struct made_card_trouble *trouble, enum owl_status status, const char *what)
{
    snprintf(trouble->words, sizeof trouble->words, "%s: %s", what, owl_status_words(status));
    return status;
}

struct made_card_wish made_card_usual(const char *plan_path, uint64_t seed, int frames)
{
    return (struct made_card_wish){
        .seed = seed, .plan_path = plan_path, .frames = frames, .width = 750, .height = 500, .visited = 1.0 / 3.0,
        .share = {[MADE_ONE_FLASH_FAILED] = 0.04, [MADE_ALL_FLASHES_FAILED] = 0.04, [MADE_OVER_EXPOSED] = 0.03,
                  [MADE_BLURRED] = 0.08, [MADE_GHOST] = 0.05, [MADE_CUT_OFF] = 0.08, [MADE_FOG] = 0.05, [MADE_RAIN] = 0.05},
        .blades = 120, .wind = 0.3, .noise = 1.0, .quality = 90};
}

static bool sound_wish(const struct made_card_wish *wish)
{
    double sum = 0.0;
    for (int i = MADE_SOUND + 1; i < MADE_FAULTS; i++) {
        if (!(wish->share[i] >= 0.0))
            return false;
        sum += wish->share[i];
    }
    return wish->frames >= 1 && wish->frames <= MADE_CARD_FRAMES_MOST && sum <= 1.0 && wish->visited >= 0.0 &&
           wish->visited <= 1.0 && wish->width >= 1 && wish->height >= 1 && wish->width <= OWL_FILM_SIDE_MOST &&
           wish->height <= OWL_FILM_SIDE_MOST && wish->file_width >= 0 && wish->file_width <= OWL_FILM_SIDE_MOST &&
           wish->quality >= 1 && wish->quality <= 100;
}

enum owl_status made_card_plan(const char *path, struct owl_plan *plan, struct made_card_trouble *trouble)
{
    FILE *file = fopen(path, "rb");
    char *bytes = malloc(OWL_PLAN_BYTES);
    struct owl_complaints complaints = {.count = 0};
    size_t length = file && bytes ? fread(bytes, 1, OWL_PLAN_BYTES, file) : 0;
    enum owl_status status = length > 0 ? owl_plan_read(bytes, length, plan, &complaints) : OWL_CANNOT_READ;
    if (file)
        fclose(file);
    free(bytes);
    if (status == OWL_BAD_PLAN && complaints.count > 0) {
        snprintf(trouble->words, sizeof trouble->words, "line %d: %s", complaints.list[0].line, complaints.list[0].words);
        return status;
    }
    return status == OWL_OK ? status : say(trouble, status, path);
}

/* ---- one file ---- */

static struct made_shot shot_of(const struct made_frame *frame, const struct owl_plan *plan)
{
    double second = floor(frame->taken_unix_s);
    return (struct made_shot){
        .taken_unix_s = (int64_t)second,
        .clock_minutes = MADE_CARD_CLOCK_MINUTES,
        .hundredths = (int)((frame->taken_unix_s - second) * 100.0),
        .exposure_s = frame->shutter_s,
        .aperture = plan->camera.aperture,
        .focal_m = plan->lens.focal_m,
        .iso = (int)lround(fmin(plan->camera.iso, 65535.0)),
        .flash_fired = plan->flashes > 0,
        .orientation = 1,
    };
}

static void to_file_pixels(struct made_frame *frame, double scale)
{
    frame->left = (int)floor(frame->left * scale);
    frame->top = (int)floor(frame->top * scale);
    frame->right = (int)ceil(frame->right * scale);
    frame->bottom = (int)ceil(frame->bottom * scale);
    frame->shift_x_px *= scale;
    frame->shift_y_px *= scale;
}

/* Half of a draw's eight bytes for each value: near enough to a bell, and millions of them are wanted. */
static void roughen(const struct made_picture *picture, double levels, struct owl_rng rng)
{
    size_t values = 3 * (size_t)picture->width * (size_t)picture->height;
    uint64_t bits = 0;
    for (size_t i = 0; i < values; i++) {
        bits = i % 2 ? bits >> 32 : owl_rng_bits(&rng);
        double sum = (double)((bits & 255) + (bits >> 8 & 255) + (bits >> 16 & 255) + (bits >> 24 & 255));
        double level = picture->rgb[i] + levels * (sum - FOUR_BYTES_MEAN) / FOUR_BYTES_SPREAD;
        picture->rgb[i] = (uint8_t)(fmin(fmax(level, 0.0), 255.0) + 0.5);
    }
}

static enum owl_status store(const char *path, const uint8_t *bytes, size_t length)
{
    FILE *file = fopen(path, "wb");
    if (!file)
        return OWL_CANNOT_WRITE;
    bool written = fwrite(bytes, 1, length, file) == length;
    return fclose(file) == 0 && written ? OWL_OK : OWL_CANNOT_WRITE;
}

static enum owl_status store_frame(const struct made_card_wish *wish, const struct owl_plan *plan, const char *path, int number,
                                   const struct made_picture *picture, struct made_frame *frame)
{
    struct made_jpeg_wish how = {.shot = shot_of(frame, plan), .quality = wish->quality};
    how.preview_width = wish->preview ? PREVIEW_WIDTH : 0;
    struct made_picture large = *picture;
    bool scaled = wish->file_width > 0 && wish->file_width != wish->width;
    if (scaled) {
        double scale = (double)wish->file_width / wish->width;
        large = made_picture_scaled(picture, wish->file_width, (int)fmax(1.0, round(wish->height * scale)));
        to_file_pixels(frame, scale);
        if (wish->file_noise > 0.0)
            roughen(&large, wish->file_noise, owl_rng_start(wish->seed, (uint64_t)(STREAM_OF_FILE + number)));
    }
    size_t length;
    uint8_t *bytes = made_jpeg(&large, &how, &length);
    enum owl_status status = store(path, bytes, length);
    free(bytes);
    if (scaled)
        free(large.rgb);
    return status;
}

/* ---- the card ---- */

static void note_truth(FILE *truth, const char *name, const struct made_frame *frame, const struct owl_plan *plan)
{
    const char *flash = frame->flash >= 0 ? plan->flash[frame->flash].name
                        : frame->fault == MADE_ALL_FLASHES_FAILED ? "all" : "";
    fprintf(truth, "%s,%.2f,%d,%d,%d,%d,%d,%d,%.6f,%s,%.3f,%s,%.1f,%.1f,%.3f,%.4g,%.5g\n", name, frame->taken_unix_s,
            frame->visit, frame->subject, frame->left, frame->top, frame->right, frame->bottom, frame->covered,
            made_fault_words(frame->fault), frame->strength, flash, frame->shift_x_px, frame->shift_y_px, frame->wind,
            frame->ambient_lx, frame->shutter_s);
}

static enum owl_status fill_card(const struct made_card_wish *wish, const struct owl_plan *plan, const char *directory,
                                 FILE *truth, struct made_frame *frames)
{
    struct made_studio *studio = made_studio_open(wish, plan);
    enum owl_status status = studio ? made_schedule(wish, plan, frames) : OWL_NO_MEMORY;
    fprintf(truth, "file,taken_unix_s,visit,subject,left,top,right,bottom,covered,fault,strength,flash,shift_x,shift_y,wind,"
                   "ambient_lx,shutter_s\n");
    for (int i = 0; i < wish->frames && status == OWL_OK; i++) {
        char name[32], path[PATH_MOST];
        struct made_picture picture;
        snprintf(name, sizeof name, "IMG_%04d.JPG", i + 1);
        snprintf(path, sizeof path, "%s/%s", directory, name);
        status = made_studio_shoot(studio, i + 1, &frames[i], &picture);
        if (status == OWL_OK)
            status = store_frame(wish, plan, path, i + 1, &picture, &frames[i]);
        if (status == OWL_OK)
            note_truth(truth, name, &frames[i], plan);
    }
    made_studio_close(studio);
    return status;
}

static FILE *open_truth(const char *directory, const char *truth_path)
{
    char beside[PATH_MOST];
    snprintf(beside, sizeof beside, "%s/../truth.csv", directory);
    return fopen(truth_path ? truth_path : beside, "w");
}

enum owl_status made_card(const struct made_card_wish *wish, const char *directory, const char *truth_path,
                          struct made_frame *frames, struct made_card_trouble *trouble)
{
    struct owl_plan plan;
    if (!sound_wish(wish))
        return say(trouble, OWL_BAD_USE, "what is wished of the card");
    enum owl_status status = made_card_plan(wish->plan_path, &plan, trouble);
    if (status != OWL_OK)
        return status;
    if (mkdir(directory, 0777) != 0 && errno != EEXIST)
        return say(trouble, OWL_CANNOT_WRITE, directory);
    FILE *truth = open_truth(directory, truth_path);
    if (!truth)
        return say(trouble, OWL_CANNOT_WRITE, truth_path ? truth_path : "the truth beside the directory");
    struct made_frame *own = frames ? frames : malloc((size_t)wish->frames * sizeof *own);
    status = own ? fill_card(wish, &plan, directory, truth, own) : OWL_NO_MEMORY;
    if (!frames)
        free(own);
    bool whole = fclose(truth) == 0;
    if (status == OWL_OK && !whole)
        status = OWL_CANNOT_WRITE;
    return status == OWL_OK ? status : say(trouble, status, directory);
}
