/* The head of each file is enough; sizes of sensors come from the lens database's crop factors. */
#include "gear/from_photos.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "card/tree.h"
#include "core/plan/units.h"
#ifdef OWL_HAVE_LENSFUN
#include <lensfun/lensfun.h>
#endif

#define FULL_WIDTH_M 0.036 /* the frame that crop factors are told against; common practice */
#define FULL_HEIGHT_M 0.024

static enum owl_status complain(const char *path, const char *words, enum owl_status status, struct owl_error *error)
{
    struct owl_text text = owl_text_over(error->words, sizeof error->words);
    owl_tree_show(&text, path);
    owl_text_words(&text, ": ");
    owl_text_words(&text, words);
    return status;
}

static enum owl_status read_notes(const char *path, struct owl_card_metadata *notes, struct owl_error *error)
{
    FILE *file = fopen(path, "rb");
    if (!file)
        return complain(path, strerror(errno), OWL_CANNOT_READ, error);
    uint8_t *head = malloc(OWL_METADATA_HEAD_BYTES);
    size_t length = head ? fread(head, 1, OWL_METADATA_HEAD_BYTES, file) : 0;
    long end = fseek(file, 0, SEEK_END) == 0 ? ftell(file) : -1;
    fclose(file);
    if (head)
        owl_metadata_read(head, length, end > (long)length ? (uint64_t)end : length, notes);
    free(head);
    if (!head)
        return complain(path, owl_status_words(OWL_NO_MEMORY), OWL_NO_MEMORY, error);
    if (notes->kind == OWL_METADATA_UNKNOWN)
        return complain(path, "this is no picture whose notes can be read; a JPEG or raw file out of the camera would be right",
                        OWL_CANNOT_READ, error);
    if (notes->model[0] == '\0' && notes->make[0] == '\0')
        return complain(path, "it does not tell what camera took it; a file as it came out of the camera would be right",
                        OWL_CANNOT_READ, error);
    return OWL_OK;
}

static void widen(double value, double *least, double *most)
{
    if (isnan(value))
        return;
    *least = *least > 0.0 ? fmin(*least, value) : value;
    *most = fmax(*most, value);
}

enum owl_status owl_gear_take_photo(struct owl_gear_seen *seen, const char *path, struct owl_error *error)
{
    struct owl_card_metadata notes;
    enum owl_status status = read_notes(path, &notes, error);
    if (status != OWL_OK)
        return status;
    if (seen->photos > 0 && (strcmp(seen->make, notes.make) != 0 || strcmp(seen->model, notes.model) != 0))
        return complain(path, "another camera took it than the first picture; pictures of one camera would be right", OWL_BAD_USE,
                        error);
    memcpy(seen->make, notes.make, sizeof seen->make);
    memcpy(seen->model, notes.model, sizeof seen->model);
    int across = notes.width > notes.height ? notes.width : notes.height;
    int down = notes.width > notes.height ? notes.height : notes.width;
    if (across > seen->pixels_across) {
        seen->pixels_across = across;
        seen->pixels_down = down;
    }
    widen(notes.focal_m, &seen->focal_least_m, &seen->focal_most_m);
    widen(notes.f_number, &seen->widest, &seen->narrowest);
    widen(notes.iso, &seen->iso_least, &seen->iso_most);
    seen->photos++;
    return OWL_OK;
}

void owl_gear_find_sensor(struct owl_gear_seen *seen)
{
#ifdef OWL_HAVE_LENSFUN
    lfDatabase *base = lf_db_new();
    if (base && lf_db_load(base) == LF_NO_ERROR) {
        const lfCamera **found = lf_db_find_cameras(base, seen->make, seen->model);
        if (found && found[0] && found[0]->CropFactor > 0.0f)
            seen->crop = (double)found[0]->CropFactor;
        lf_free((void *)found);
    }
    if (base)
        lf_db_destroy(base);
#else
    (void)seen;
#endif
}

bool owl_gear_sensor_m(const struct owl_gear_seen *seen, double *width_m, double *height_m)
{
    if (!(seen->crop > 0.0) || seen->pixels_across <= 0 || seen->pixels_down <= 0)
        return false;
    double shape = (double)seen->pixels_down / seen->pixels_across;
    double diagonal_m = hypot(FULL_WIDTH_M, FULL_HEIGHT_M) / seen->crop;
    *width_m = diagonal_m / hypot(1.0, shape);
    *height_m = *width_m * shape;
    return true;
}

/* ---- sections of a plan ---- */

static void write_value(struct owl_text *text, const char *name, enum owl_unit unit, double value, const char *remark)
{
    owl_text_words(text, name);
    owl_text_words(text, " = ");
    owl_unit_show(unit, value, text);
    owl_text_words(text, remark);
    owl_text_char(text, '\n');
}

/* A plan's remark may hold no line end; what cameras note down is printable ASCII. */
static void write_camera(const struct owl_gear_seen *seen, struct owl_text *text)
{
    double width_m, height_m;
    owl_text_words(text, "[camera]\n# by its own notes: ");
    if (strncmp(seen->model, seen->make, strlen(seen->make)) != 0) { /* many bodies' names begin with their maker's */
        owl_text_words(text, seen->make);
        owl_text_words(text, *seen->model ? " " : "");
    }
    owl_text_words(text, seen->model);
    owl_text_char(text, '\n');
    if (owl_gear_sensor_m(seen, &width_m, &height_m)) {
        write_value(text, "sensor width", OWL_UNIT_FOCAL, width_m, "  # of the image sensor, by the installed lens database's crop factor");
        write_value(text, "sensor height", OWL_UNIT_FOCAL, height_m, "  # by the shape of its pictures");
    } else {
        owl_text_words(text, "# sensor width and sensor height stand in the camera's manual: the installed lens database does "
                             "not know this body\n");
    }
    if (seen->pixels_across > 0)
        write_value(text, "pixels across", OWL_UNIT_COUNT, seen->pixels_across, "");
}

static void write_lens(const struct owl_gear_seen *seen, struct owl_text *text)
{
    owl_text_words(text, "\n[lens]\n");
    if (seen->focal_most_m > 0.0) {
        write_value(text, "focal length", OWL_UNIT_FOCAL, seen->focal_most_m,
                    seen->focal_most_m > seen->focal_least_m ? "  # the longest of these pictures; set what you will use" : "");
        if (seen->focal_most_m > seen->focal_least_m)
            write_value(text, "# the shortest of them", OWL_UNIT_FOCAL, seen->focal_least_m, "");
    }
    if (seen->widest > 0.0) {
        write_value(text, "widest aperture", OWL_UNIT_FNUMBER, seen->widest, "  # the widest used in these pictures: the lens may open wider");
        write_value(text, "narrowest aperture", OWL_UNIT_FNUMBER, fmax(seen->narrowest, seen->widest), "  # the narrowest used in them");
    }
}

void owl_gear_write(const struct owl_gear_seen *seen, struct owl_text *text)
{
    owl_text_words(text, "# from ");
    owl_text_integer(text, seen->photos);
    owl_text_words(text, seen->photos == 1 ? " picture\n" : " pictures\n");
    write_camera(seen, text);
    write_lens(seen, text);
}
