/* Files listed, and of each as much read into one buffer as its smallest sufficient picture takes. */
#include "card/frames.h"

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "card/folder.h"
#include "card/judge/luma.h"
#include "card/metadata.h"
#include "card/raw_preview.h"
#include "card/tree.h"
#include "image/jpeg.h"

#define FILE_BYTES_MOST ((uint64_t)256 << 20) /* of one frame; no camera of this trade writes more */
#define PREVIEW_HEAD_BYTES ((size_t)65536)    /* its frame header lies within the first of these */
#define SHAPE_OFF 0.02                        /* share by which sides may differ and still be the same frame */

struct owl_frames {
    int root;
    struct owl_tree tree;
    size_t *file;                   /* places of the pictures in the tree */
    struct owl_judged_frame *frame; /* names borrowed from the tree */
    int count, height;
    uint8_t *bytes;                 /* of the file read last */
    size_t room;
};

/* What was found in a file: its notes, and the picture to decode. */
struct found {
    struct owl_card_metadata notes;
    uint64_t offset;           /* of that picture in the file, until it is at hand */
    const uint8_t *bytes;
    size_t length;
    struct owl_jpeg_size size; /* of that picture */
};

static enum owl_status fail_reading(const char *folder, int trouble, struct owl_error *error)
{
    struct owl_text text = owl_text_over(error->words, sizeof error->words);
    owl_tree_show(&text, folder);
    owl_text_words(&text, " cannot be read: ");
    owl_calls_reason(&text, trouble);
    return OWL_CANNOT_READ;
}

static int open_file(const struct owl_frames *frames, const struct owl_tree_file *file)
{
    struct owl_folder folder = owl_folder_at(&owl_calls_system, frames->root);
    const char *name = NULL;
    int here = owl_folder_enter(&folder, file->path, false, &name);
    int handle = here < 0 ? -1 : owl_calls_open_original(&owl_calls_system, here, name);
    owl_folder_close(&folder);
    return handle;
}

/* Reads so many bytes from a place of the file to a place of the buffer; whether all came. */
static bool read_part(struct owl_frames *frames, int handle, uint64_t from, size_t wanted, size_t to)
{
    if (to + wanted > frames->room) {
        uint8_t *moved = realloc(frames->bytes, to + wanted);
        if (!moved)
            return false;
        frames->bytes = moved;
        frames->room = to + wanted;
    }
    return lseek(handle, (off_t)from, SEEK_SET) >= 0 &&
           owl_calls_read_full(&owl_calls_system, handle, frames->bytes + to, wanted) == (ssize_t)wanted;
}

/* Length of a path without the ending of its name. */
static size_t stem(const char *path)
{
    const char *dot = strrchr(path, '.'), *name = strrchr(path, '/');
    return dot && (!name || dot > name) ? (size_t)(dot - path) : strlen(path);
}

/* A raw file beside a JPEG file of its name is the same frame; paths come in order, so such files lie near each other. */
static bool has_jpeg(const struct owl_tree *tree, size_t place)
{
    const char *path = tree->files[place].path;
    size_t same = stem(path);
    for (int way = -1; way <= 1; way += 2)
        for (size_t i = place + (size_t)way; i < tree->count; i += (size_t)way) {
            const char *other = tree->files[i].path;
            if (strncmp(path, other, same) != 0)
                break;
            if (tree->files[i].kind == OWL_CARD_JPEG && stem(other) == same)
                return true;
        }
    return false;
}

static enum owl_status take_places(struct owl_frames *frames)
{
    frames->file = calloc(frames->tree.count + 1, sizeof *frames->file);
    frames->frame = calloc(frames->tree.count + 1, sizeof *frames->frame);
    if (!frames->file || !frames->frame)
        return OWL_NO_MEMORY;
    for (size_t i = 0; i < frames->tree.count; i++) {
        const struct owl_tree_file *file = &frames->tree.files[i];
        if (file->kind != OWL_CARD_JPEG && (file->kind != OWL_CARD_RAW || has_jpeg(&frames->tree, i)))
            continue;
        frames->frame[frames->count] = (struct owl_judged_frame){
            .name = file->path, .size_bytes = file->size_bytes, .changed_s = file->changed_s, .changed_ns = file->changed_ns,
            .taken_s = NAN, .exposure_s = NAN, .f_number = NAN, .iso = NAN, .focal_m = NAN};
        frames->file[frames->count++] = i;
    }
    return OWL_OK;
}

/* ---- the picture in a file ---- */

static double shape_of(int width, int height)
{
    return (double)height / width;
}

static bool alike(double shape, double other)
{
    return fabs(shape / other - 1.0) <= SHAPE_OFF;
}

/* Picks the smallest picture in the file that is wide enough, else the widest: a preview saves the reading and decoding of the
   whole. A picture of another shape than the whole has bars, and is passed over. at_hand: bytes of the file's head. */
static bool pick(const struct owl_frames *frames, size_t at_hand, uint64_t whole, int wide_px, struct found *found)
{
    const struct owl_card_metadata *notes = &found->notes;
    bool jpeg = owl_jpeg_size_of(frames->bytes, at_hand, &found->size) == OWL_OK;
    if (!jpeg && notes->kind == OWL_METADATA_JPEG)
        return false;
    int width = jpeg ? found->size.width : 0;
    double shape = jpeg ? shape_of(found->size.width, found->size.height)
                        : notes->width > 0 && notes->height > 0 ? shape_of(notes->width, notes->height) : NAN;
    found->offset = 0;
    found->length = jpeg ? (size_t)whole : 0;
    for (int i = 0; i < notes->previews; i++) {
        const struct owl_metadata_span *span = &notes->preview[i];
        bool inside = span->offset <= whole && span->length <= whole - span->offset && span->width > 0 && span->height > 0;
        bool better = width < wide_px ? span->width > width : span->width >= wide_px && span->width < width;
        if (!inside || !better || (!isnan(shape) && !alike(shape_of(span->width, span->height), shape)))
            continue;
        found->offset = span->offset;
        found->length = span->length;
        found->size = (struct owl_jpeg_size){span->width, span->height};
        width = span->width;
    }
    return found->length > 0;
}

/* An index may tell where a preview lies but not how large it is: its own head does. */
static void measure_previews(struct owl_frames *frames, int handle, size_t at_hand, struct found *found)
{
    for (int i = 0; i < found->notes.previews; i++) {
        struct owl_metadata_span *span = &found->notes.preview[i];
        struct owl_jpeg_size size;
        size_t head = span->length < PREVIEW_HEAD_BYTES ? span->length : PREVIEW_HEAD_BYTES;
        if (span->width > 0 || span->offset + head <= at_hand || !read_part(frames, handle, span->offset, head, at_hand) ||
            owl_jpeg_size_of(frames->bytes + at_hand, head, &size) != OWL_OK)
            continue;
        span->width = size.width;
        span->height = size.height;
    }
}

/* Of a JPEG file its head is enough to find the picture by, then that picture's bytes; of a raw file, whose notes lie anywhere,
   all of it is read. */
static bool look_at(struct owl_frames *frames, int handle, const struct owl_tree_file *file, int wide_px, struct found *found)
{
    uint64_t whole = file->size_bytes;
    size_t at_hand = whole < OWL_METADATA_HEAD_BYTES || file->kind == OWL_CARD_RAW ? (size_t)whole : OWL_METADATA_HEAD_BYTES;
    if (whole == 0 || whole > FILE_BYTES_MOST || !read_part(frames, handle, 0, at_hand, 0))
        return false;
    owl_metadata_read(frames->bytes, at_hand, whole, &found->notes);
    measure_previews(frames, handle, at_hand, found);
    if (!pick(frames, at_hand, whole, wide_px, found))
        return false;
    size_t place = (size_t)found->offset;
    if (found->offset + found->length > at_hand) {
        place = found->offset == 0 ? 0 : at_hand;
        size_t known = found->offset == 0 ? at_hand : 0;
        if (!read_part(frames, handle, found->offset + known, found->length - known, place + known))
            return false;
    }
    found->bytes = frames->bytes + place;
    return true;
}

/* A raw file of a make that our own reader does not know: its preview and what was noted, by the reader behind its fence. */
static bool look_apart(struct owl_frames *frames, const struct owl_tree_file *file, struct found *found)
{
    struct owl_raw_preview preview;
    int handle = open_file(frames, file);
    enum owl_status status = handle < 0 ? OWL_CANNOT_READ : owl_raw_preview(handle, file->size_bytes, &preview);
    if (handle >= 0)
        close(handle);
    if (status != OWL_OK)
        return false;
    free(frames->bytes);
    frames->bytes = preview.bytes;
    frames->room = preview.length;
    found->notes = (struct owl_card_metadata){
        .kind = OWL_METADATA_RAW, .has_taken = !isnan(preview.taken_local_s), .taken_local_s = preview.taken_local_s,
        .subsecond_s = NAN, .exposure_s = preview.exposure_s, .f_number = preview.f_number, .iso = preview.iso,
        .focal_m = preview.focal_m, .orientation = preview.orientation};
    found->bytes = frames->bytes;
    found->length = preview.length;
    return owl_jpeg_size_of(found->bytes, found->length, &found->size) == OWL_OK;
}

static bool look_into(struct owl_frames *frames, int frame, int wide_px, struct found *found)
{
    const struct owl_tree_file *file = &frames->tree.files[frames->file[frame]];
    int handle = open_file(frames, file);
    bool seen = handle >= 0 && look_at(frames, handle, file, wide_px, found);
    if (handle >= 0)
        close(handle);
    return seen || (file->kind == OWL_CARD_RAW && look_apart(frames, file, found));
}

/* The shape of the first frame that has one. */
static bool find_height(struct owl_frames *frames)
{
    for (int i = 0; i < frames->count; i++) {
        struct found found;
        if (!look_into(frames, i, OWL_FRAMES_WIDTH, &found))
            continue;
        double height = OWL_FRAMES_WIDTH * shape_of(found.size.width, found.size.height);
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
        struct owl_text text = owl_text_over(error->words, sizeof error->words);
        owl_tree_show(&text, folder);
        owl_text_words(&text, " holds no picture that can be read");
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
    free(frames->frame);
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

const struct owl_judged_frame *owl_frames_at(const struct owl_frames *frames, int frame)
{
    return &frames->frame[frame];
}

static void note(struct owl_judged_frame *frame, const struct found *found)
{
    const struct owl_card_metadata *notes = &found->notes;
    bool told = notes->width > 0 && notes->height > 0;
    frame->width = told ? notes->width : found->size.width;
    frame->height = told ? notes->height : found->size.height;
    frame->orientation = notes->orientation;
    frame->taken_s = notes->has_taken ? notes->taken_local_s + (isnan(notes->subsecond_s) ? 0.0 : notes->subsecond_s) : NAN;
    frame->exposure_s = notes->exposure_s;
    frame->f_number = notes->f_number;
    frame->iso = notes->iso;
    frame->focal_m = notes->focal_m;
    frame->flash_told = notes->has_flash;
    frame->flash_fired = notes->has_flash && (notes->flash & 1u);
}

enum owl_status owl_frames_luma(struct owl_frames *frames, int frame, uint8_t *level)
{
    struct found found;
    long warnings = 0;
    if (!look_into(frames, frame, OWL_FRAMES_WIDTH, &found))
        return OWL_CANNOT_READ;
    note(&frames->frame[frame], &found);
    if (!alike(OWL_FRAMES_WIDTH * shape_of(found.size.width, found.size.height), frames->height))
        return OWL_CANNOT_READ;
    enum owl_status status = owl_jpeg_luma(found.bytes, found.length, OWL_FRAMES_WIDTH, frames->height, level, &warnings);
    return status == OWL_OK && warnings > 0 ? OWL_CANNOT_READ : status;
}

enum owl_status owl_frames_picture(struct owl_frames *frames, int frame, int wide_px, struct owl_frames_picture *picture)
{
    struct found found;
    if (!look_into(frames, frame, wide_px, &found))
        return OWL_CANNOT_READ;
    *picture = (struct owl_frames_picture){found.bytes, found.length, found.notes.orientation};
    return OWL_OK;
}
