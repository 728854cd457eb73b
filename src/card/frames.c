/* Files listed, read one at a time into one buffer, and made small. */
#include "card/frames.h"

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "card/folder.h"
#include "card/judge/luma.h"
#include "card/metadata.h"
#include "card/tree.h"
#include "image/jpeg.h"

#define FILE_BYTES_MOST ((uint64_t)256 << 20) /* of one frame; no camera of this trade writes more */
#define SHAPE_OFF 0.02                        /* share by which sides may differ and still be the same frame */

struct owl_frames {
    int root;
    struct owl_tree tree;
    size_t *file; /* places of the JPEG files in the tree */
    struct owl_jpeg_size *size;
    double *taken_s;
    int count, height;
    uint8_t *bytes;
    size_t room;
};

static enum owl_status fail_reading(const char *folder, int trouble, struct owl_error *error)
{
    char reason[128];
    struct owl_text text = owl_text_over(reason, sizeof reason);
    owl_calls_reason(&text, trouble);
    snprintf(error->words, sizeof error->words, "%s cannot be read: %s", folder, reason);
    return OWL_CANNOT_READ;
}

/* Reads the whole file into the buffer: its length, or 0. */
static size_t read_file(struct owl_frames *frames, const struct owl_tree_file *file)
{
    struct owl_folder folder = owl_folder_at(&owl_calls_system, frames->root);
    const char *name = NULL;
    int here = owl_folder_enter(&folder, file->path, false, &name);
    int handle = here < 0 ? -1 : owl_calls_open_original(&owl_calls_system, here, name);
    ssize_t length = 0;
    if (handle >= 0 && file->size_bytes <= FILE_BYTES_MOST) {
        size_t wanted = (size_t)file->size_bytes;
        uint8_t *moved = wanted > frames->room ? realloc(frames->bytes, wanted) : frames->bytes;
        if (moved) {
            frames->bytes = moved;
            frames->room = wanted > frames->room ? wanted : frames->room;
            length = owl_calls_read_full(&owl_calls_system, handle, frames->bytes, wanted);
        }
    }
    if (handle >= 0)
        close(handle);
    owl_folder_close(&folder);
    return length > 0 ? (size_t)length : 0;
}

static enum owl_status take_places(struct owl_frames *frames)
{
    frames->file = calloc(frames->tree.count + 1, sizeof *frames->file);
    frames->size = calloc(frames->tree.count + 1, sizeof *frames->size);
    frames->taken_s = calloc(frames->tree.count + 1, sizeof *frames->taken_s);
    if (!frames->file || !frames->size || !frames->taken_s)
        return OWL_NO_MEMORY;
    for (size_t i = 0; i < frames->tree.count; i++)
        if (frames->tree.files[i].kind == OWL_CARD_JPEG)
            frames->file[frames->count++] = i;
    for (int i = 0; i < frames->count; i++)
        frames->taken_s[i] = NAN;
    return OWL_OK;
}

/* The shape of the first frame that has one. */
static bool find_height(struct owl_frames *frames)
{
    for (int i = 0; i < frames->count; i++) {
        struct owl_jpeg_size size;
        size_t length = read_file(frames, &frames->tree.files[frames->file[i]]);
        if (length == 0 || owl_jpeg_size_of(frames->bytes, length, &size) != OWL_OK)
            continue;
        double height = (double)OWL_FRAMES_WIDTH * size.height / size.width;
        if (height < OWL_LUMA_SIDE_LEAST || height > OWL_LUMA_SIDE_MOST)
            continue;
        frames->height = (int)lround(height);
        return true;
    }
    return false;
}

enum owl_status owl_frames_open(const char *folder, struct owl_frames **frames, struct owl_error *error)
{
    struct owl_frames *made = calloc(1, sizeof *made);
    if (!made)
        return OWL_NO_MEMORY;
    enum owl_status status = OWL_OK;
    made->root = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (made->root < 0)
        status = fail_reading(folder, errno, error);
    if (status == OWL_OK && owl_tree_list(&made->tree, &owl_calls_system, made->root) != OWL_OK)
        status = fail_reading(folder, errno, error);
    if (status == OWL_OK)
        status = take_places(made);
    if (status == OWL_OK && !find_height(made)) {
        snprintf(error->words, sizeof error->words, "%s holds no JPEG file that can be read", folder);
        status = OWL_CANNOT_READ;
    }
    if (status == OWL_OK)
        *frames = made;
    else
        owl_frames_close(made);
    return status;
}

void owl_frames_close(struct owl_frames *frames)
{
    if (!frames)
        return;
    owl_tree_clear(&frames->tree);
    free(frames->file);
    free(frames->size);
    free(frames->taken_s);
    free(frames->bytes);
    if (frames->root >= 0)
        close(frames->root);
    free(frames);
}

int owl_frames_count(const struct owl_frames *frames)
{
    return frames->count;
}

int owl_frames_height(const struct owl_frames *frames)
{
    return frames->height;
}

const char *owl_frames_name(const struct owl_frames *frames, int frame)
{
    return frames->tree.files[frames->file[frame]].path;
}

void owl_frames_size(const struct owl_frames *frames, int frame, int *width, int *height)
{
    *width = frames->size[frame].width;
    *height = frames->size[frame].height;
}

/* The smallest picture in the file that is wide enough: a preview saves the decoding of the whole. */
static const uint8_t *smallest_picture(const struct owl_frames *frames, size_t *length, const struct owl_card_metadata *notes)
{
    const uint8_t *bytes = frames->bytes;
    int least_width = OWL_JPEG_SIDE_MOST + 1;
    size_t whole = *length;
    for (int i = 0; i < notes->previews; i++) {
        const struct owl_metadata_span *span = &notes->preview[i];
        double shape = span->width > 0 ? (double)OWL_FRAMES_WIDTH * span->height / span->width / frames->height : 0.0;
        bool inside = span->offset <= whole && span->length <= whole - span->offset;
        if (!inside || span->width < OWL_FRAMES_WIDTH || span->width >= least_width || fabs(shape - 1.0) > SHAPE_OFF)
            continue;
        least_width = span->width;
        bytes = frames->bytes + span->offset;
        *length = span->length;
    }
    return bytes;
}

double owl_frames_taken_s(const struct owl_frames *frames, int frame)
{
    return frames->taken_s[frame];
}

enum owl_status owl_frames_luma(struct owl_frames *frames, int frame, uint8_t *level)
{
    struct owl_card_metadata notes;
    long warnings = 0;
    size_t length = read_file(frames, &frames->tree.files[frames->file[frame]]);
    struct owl_jpeg_size size;
    enum owl_status status = length ? owl_jpeg_size_of(frames->bytes, length, &size) : OWL_CANNOT_READ;
    if (status != OWL_OK)
        return status;
    frames->size[frame] = size;
    double height = (double)OWL_FRAMES_WIDTH * size.height / size.width;
    if (fabs(height / frames->height - 1.0) > SHAPE_OFF)
        return OWL_CANNOT_READ;
    owl_metadata_read(frames->bytes, length, length, &notes);
    frames->taken_s[frame] = notes.has_taken ? notes.taken_local_s : NAN;
    const uint8_t *picture = smallest_picture(frames, &length, &notes);
    status = owl_jpeg_luma(picture, length, OWL_FRAMES_WIDTH, frames->height, level, &warnings);
    return status == OWL_OK && warnings > 0 ? OWL_CANNOT_READ : status;
}
